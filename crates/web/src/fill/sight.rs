//! What the page says of the demo's simulated vehicle.

use app::JobView;
use app::demo::{Beside, Shown, Sight};
use job::plan::StepKey;

use crate::view::{Act, Field, Weight};

/// In the demo nobody can look under the vehicle, so the page says what would be seen there.
pub(crate) fn sight(view: &JobView) -> String {
    let seen = view.sight.as_ref().filter(|_| view.demo && !view.live.ended);
    let Some(seen) = seen else { return String::new() };
    let Some(beside) = seen.of(view.prompt.circuit.as_deref()) else { return String::new() };
    if view.state.setting_level() {
        return format!("Simulated: {} at the level plug.", beside.flow.replace('-', " "));
    }
    let first = view.prompt.acts.first().map_or("", |act| act.word);
    words(view.prompt.step, first, seen, beside, view.state.idling_since_ms.is_some())
        .map_or_else(String::new, |words| format!("Simulated: {words}."))
}

fn words(step: Option<StepKey>, first: &str, sight: &Sight, beside: &Beside, idling: bool) -> Option<String> {
    let litres = |ml: f64| format!("{:.2} L", ml / 1000.0);
    let pan = |ml: f64, what: &str| Some(format!("{} in the {what} at {:.0} °C", litres(ml), beside.fluid_c));
    let still = if beside.moving { ", still running" } else { "" };
    match (step, first) {
        (Some(StepKey::LevelVehicle), _) => Some(format!("the vehicle stands {}", sight.stands())),
        (Some(StepKey::MeasureDrained | StepKey::OpenDrain), _) if beside.drained_ml > 0.0 => {
            pan(beside.drained_ml, "pan")
        }
        (Some(StepKey::Extract), _) => pan(beside.drained_ml, "jug"),
        (Some(StepKey::MeasureRunOff), _) => pan(beside.caught_ml, "pan"),
        (Some(StepKey::WeighBefore | StepKey::WeighAfter), _) => {
            Some(format!("can, pump and hose weigh {:.3} kg{still}", beside.can_kg))
        }
        (_, "exchange") => {
            let (out, fresh) = beside.passed_ml;
            Some(format!("{} came out at {:.0} °C, {} went in{still}", litres(out), beside.fluid_c, litres(fresh)))
        }
        (Some(StepKey::ReadCold), "dip") => beside.cold.map(|shown| format!("{} cold mark", level(shown))),
        (_, "dip") => beside.shown.map(|shown| format!("{} mark", level(shown))),
        (_, "probe" | "edge" | "readout") => beside.shown.map(level),
        (_, "reading") if idling => Some(format!("the reader shows {:.0} °C", beside.display_c)),
        (_, "reading") => Some(format!("a thermometer in the fluid shows {:.0} °C", beside.fluid_c)),
        _ => None,
    }
}

/// What the level reads as; of a dipstick the sentence ends at its marks.
fn level(shown: Shown) -> String {
    let figure = |value: f64, places| quantity::print::trimmed(value, places);
    match shown {
        Shown::RunsOver => "it runs over the edge".to_owned(),
        Shown::BelowEdge { below } => format!("the fluid stands {} mm below the edge", figure(below.mm(), 0)),
        Shown::Stick { one, other } => {
            format!("the dipstick is wet {} mm and {} mm above the low", figure(one.mm(), 0), figure(other.mm(), 0))
        }
        Shown::Probe { wetted } => format!("the probe is wet for {} mm", figure(wetted.mm(), 0)),
        Shown::Figure { value } => format!("the figure is {}", figure(value, 2)),
    }
}

/// How long one need not wait for, in minutes.
const MINUTES: [(&str, &str); 4] = [("1", "1 minute"), ("5", "5 minutes"), ("15", "15 minutes"), ("60", "1 hour")];

/// In the demo nobody has to wait; `None` where no simulated vehicle runs.
pub(crate) fn pass(view: &JobView) -> Option<Act> {
    view.sight.as_ref().filter(|_| view.demo)?;
    let mut act = Act::new(&view.job, &app::new_id(), view.state.last_seq, "pass", "Let it pass")
        .weight(Weight::Quiet)
        .field(Field::choice("minutes", "How long", &MINUTES));
    act.action = format!("/job/{}/pass", view.job);
    Some(act)
}
