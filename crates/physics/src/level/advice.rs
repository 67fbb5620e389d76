//! What to improve about a level, in the words of the workshop.

use super::part::{Cause, Term};
use super::{BASE, Setting};
use quantity::{Length, Uncertain, Volume};

/// Parts smaller than this, mL, get no advice.
const WORTH_WHILE: f64 = 10.0;

/// One improvement.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// What to do.
    pub text: String,
    /// What it is worth: the size of the part it removes.
    pub worth: Volume,
}

/// Advice for every part that matters, in the order of the parts (largest first), the sum first when it is clearly off.
pub(super) fn advice(setting: &Setting, terms: &[Term], error: Uncertain<f64>) -> Vec<Advice> {
    let mut list = Vec::new();
    if error.value.abs() > 2.0 * error.u && error.value.abs() > WORTH_WHILE {
        let what = if error.value > 0.0 { "overfilled: let" } else { "underfilled: add" };
        let way = if error.value > 0.0 { "run off" } else { "before it is driven" };
        list.push(Advice {
            text: format!("{what} {:.0} mL {way}, or set the level again", error.value.abs()),
            worth: Volume::from_ml(error.value.abs()),
        });
    }
    list.extend(terms.iter().filter(|term| term.size() > WORTH_WHILE).filter_map(|term| {
        let text = cure(setting, term)?;
        Some(Advice { text, worth: Volume::from_ml(term.size()) })
    }));
    list
}

fn cure(setting: &Setting, term: &Term) -> Option<String> {
    let size = term.size();
    Some(match term.cause {
        Cause::Temperature => {
            let off = (setting.set_at - setting.reference).kelvin();
            let change = if off > 0.0 { "cooler" } else { "warmer" };
            format!(
                "close the plug {:.0} K {change}, at {:.0} °C: saves {size:.0} mL",
                off.abs(),
                setting.reference.celsius()
            )
        }
        Cause::Reading => format!(
            "compare the reading with a second thermometer on the cold unit; half the doubt saves {:.0} mL",
            term.u() / 2.0
        ),
        Cause::Place => format!(
            "read the temperature in the sump, or compare this sensor on the cold unit and enter what it is off: saves \
             {size:.0} mL"
        ),
        Cause::Elsewhere => {
            format!("let it idle until converter and cooler are as warm as the sump: saves {size:.0} mL")
        }
        Cause::Pitch => {
            let nose_up = setting.tilt?.nose_up;
            let end = if nose_up.degrees() > 0.0 { "rear" } else { "front" };
            levelling(nose_up.radians(), setting.wheelbase, end, "wheelbase", size)?
        }
        Cause::Roll => {
            let right_up = setting.tilt?.right_up;
            let side = if right_up.degrees() > 0.0 { "left" } else { "right" };
            levelling(right_up.radians(), setting.track, side, "distance between the stands", size)?
        }
        Cause::LeftAtClosing => format!("let it run until the drip is no more than expansion: saves {size:.0} mL"),
        Cause::ClosedLate => format!("note the temperature at the moment the plug is closed: saves {size:.0} mL"),
        Cause::Selector => format!("hold each range three seconds, then set the level again: saves {size:.0} mL"),
        Cause::Engine => "engine idling, add what was lost, set the level again".to_string(),
        Cause::Case | Cause::Repeatability => return None,
    })
}

/// How far to raise the low end; `None` when it already stands level.
fn levelling(radians: f64, base: Option<Length>, end: &str, base_name: &str, saves: f64) -> Option<String> {
    if radians == 0.0 {
        return None;
    }
    let slope = libm::sin(radians.abs());
    Some(match base.filter(|base| BASE.check(base.mm()).is_ok()) {
        Some(base) => format!("raise the {end} stands by {:.0} mm: saves {saves:.0} mL", base.mm() * slope),
        None => {
            format!("raise the {end} stands by {:.0} mm per metre of {base_name}: saves {saves:.0} mL", 1000.0 * slope)
        }
    })
}
