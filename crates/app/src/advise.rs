//! Standing and shims in sentences: what the figures mean for today's work.

use physics::shim::shim_plan;
use physics::shim::{ShimPlan, Stance};
use physics::soak::{Arrival, Meets, Refill, SoakPlan, Stand, USUAL_METAL_PER_LITRE};
use physics::soak::{USUAL_TIME_CONSTANT, soak_plan};
use physics::thermometer::{Instrument, compare, worth};
use quantity::print::{self, Units};
use quantity::read::{self, Kind, Region};
use quantity::{Angle, Length, Temperature, TemperatureDifference};
use sheet::{Sheet, Sourced};

use crate::error::AppError;

/// Density at 15 °C where the sheet states none: the middle of the usual 820–870 kg/m³ (common practice, no source).
const USUAL_DENSITY: quantity::Density = quantity::Density::from_kg_per_m3(845.0);
/// Drained share where the sheet states none: the middle of the usual 30–50 % (common practice, no source).
const USUAL_DRAINED: f64 = 0.4;
/// Shims higher than this are no shims: ramps or stands of another height (judgement).
const TALL_MM: f64 = 60.0;

/// What a drain and refill of this unit exchanges, with new fluid at a temperature.
pub fn refill_of(sheet: &Sheet, poured_at: Temperature) -> Refill {
    let capacity = &sheet.capacity;
    let total = capacity.total.mid();
    Refill {
        total,
        renewed: capacity.drained.as_ref().map_or(total * USUAL_DRAINED, Sourced::mid).min(total),
        poured_at,
        metal_kj_per_k: USUAL_METAL_PER_LITRE * total.litres(),
        density: sheet.fluid.density15.as_ref().map_or(USUAL_DENSITY, Sourced::mid),
    }
}

/// The plan for an arrival in sentences.
pub fn soak_words(arrival: &Arrival, plan: &SoakPlan) -> Vec<String> {
    let c = |t: Temperature| format!("{:.0} °C", t.celsius());
    let for_time = |stand: &Stand| {
        let minutes = |time: quantity::Duration| format!("{:.0}", time.minutes());
        format!("{} min ({}–{})", minutes(stand.for_time), minutes(stand.shortest), minutes(stand.longest))
    };
    let mut says = Vec::new();
    let refilled = plan.mixes_at.is_some();
    let start = plan.mixes_at.unwrap_or(arrival.fluid);
    match plan.meets {
        Meets::FromBelow if refilled => says.push(format!(
            "Begin now: refilled it stands near {}, below the window, and warms into it.",
            c(start)
        )),
        Meets::FromBelow => says.push(format!("Begin now: {} is below the window; it warms into it.", c(start))),
        Meets::Inside if refilled => says.push(format!(
            "Refilled at once it ends near {}, inside the window already: the engine runs it out at the top. Let it stand first.",
            c(start)
        )),
        Meets::Inside => says.push(format!("{} is inside the window now: only setting the level is possible at once.", c(start))),
        Meets::AfterStanding if refilled => says.push(format!(
            "Cold fluid does not cool it enough: refilled at once it ends near {}, above the window.",
            c(start)
        )),
        Meets::AfterStanding => says.push(format!("{} is above the window: engine off, let it stand.", c(start))),
        Meets::NotToday => says.push(format!(
            "Not in this air: at {} standing never brings it below the window's high edge. Come back in the cool, or overnight elsewhere.",
            c(arrival.ambient)
        )),
    }
    if let (Some(before), true) = (&plan.before_drain, plan.meets != Meets::FromBelow) {
        says.push(format!(
            "Stand {} until the fluid reads {}, then drain and refill: it then begins at the low edge, {}.",
            for_time(before),
            c(before.until),
            c(arrival.window.low)
        ));
    }
    if let Some(high) = &plan.to_high_edge {
        let and_low = plan
            .to_low_edge
            .as_ref()
            .map_or_else(String::new, |low| format!("; {} to the low edge, {}", for_time(low), c(low.until)));
        let from = if refilled { "Or refill at once and let it stand: " } else { "It is " };
        says.push(format!("{from}{} to the high edge, {}{and_low}.", for_time(high), c(high.until)));
    }
    if plan.meets == Meets::AfterStanding && plan.to_low_edge.is_none() {
        says.push(format!(
            "In air at {} it never comes to the low edge: little of the window is left.",
            c(arrival.ambient)
        ));
    }
    says.push(format!(
        "The times hold for a time constant of {:.0} min, in brackets a third more or less; a fan or a wet floor shortens them.",
        arrival.time_constant.minutes()
    ));
    says
}

/// The shims in sentences.
pub fn shim_words(stance: &Stance, plan: &ShimPlan) -> Vec<String> {
    let mut says = Vec::new();
    let wanted: Vec<_> = plan.shims.iter().filter(|shim| shim.level.mm() >= 0.5).collect();
    if wanted.is_empty() {
        return vec!["It stands level: nothing goes under any stand.".to_owned()];
    }
    let list: Vec<String> =
        wanted.iter().map(|shim| format!("{:.0} mm under {}", shim.level.mm(), shim.stand.words())).collect();
    says.push(format!("For level: {}, each ± {:.0} mm.", list.join(", "), plan.u.mm()));
    if plan.inside {
        says.push(format!(
            "It stands within the {:.1}° allowed as it is; shims only better it.",
            stance.allowed.degrees()
        ));
    } else {
        let least: Vec<String> = plan
            .shims
            .iter()
            .filter(|shim| shim.least.mm() >= 0.5)
            .map(|shim| format!("{:.0} mm under {}", shim.least.mm(), shim.stand.words()))
            .collect();
        let allowed = stance.allowed.degrees();
        says.push(format!("At least, to be inside {allowed:.1}°: {}.", least.join(", ")));
    }
    if wanted.iter().any(|shim| shim.level.mm() > TALL_MM) {
        says.push(
            "That is no shim any more: use ramps or stands of another height, never a stack of boards.".to_owned(),
        );
    }
    says.push("Measure again after the shims and after the push test, and enter that tilt.".to_owned());
    says
}

/// An answer as a small table and sentences.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Advice {
    pub head: Vec<String>,
    pub rows: Vec<Vec<String>>,
    pub says: Vec<String>,
}

/// A quantity from a field; an empty field is the default, or an error where there is none.
fn field<K: Kind>(name: &str, text: &str, default: Option<K>) -> Result<K, AppError> {
    match (text.trim(), default) {
        ("", Some(default)) => Ok(default),
        (text, _) => read::one(text, Region::Us)
            .map_err(|why| AppError::Input { what: format!("{name}: {why}"), hint: why.hint().to_owned() }),
    }
}

fn impossible(why: &physics::PhysicsError) -> AppError {
    AppError::Input { what: why.to_string(), hint: "Check the figure and its unit.".to_owned() }
}

/// How long a hot arrival has to stand, from what stands in the fields: quantities as text.
///
/// # Errors
/// [`AppError::Input`] naming the field and what to write.
pub fn soak_advice(sheet: &Sheet, fluid: &str, ambient: &str, poured_at: &str) -> Result<Advice, AppError> {
    let Some(window) = sheet.window_span() else {
        return Err(AppError::Input {
            what: "this unit has no window".to_owned(),
            hint: "Nothing has to be waited for.".to_owned(),
        });
    };
    let ambient = field("Air in the bay", ambient, None)?;
    let arrival = Arrival {
        fluid: field("Fluid on arrival", fluid, None)?,
        ambient,
        window,
        time_constant: USUAL_TIME_CONSTANT,
        refill: Some(refill_of(sheet, field("New fluid", poured_at, Some(ambient))?)),
    };
    let plan = soak_plan(&arrival).map_err(|why| impossible(&why))?;
    Ok(Advice { says: soak_words(&arrival, &plan), ..Advice::default() })
}

/// What to put under which stand, from what stands in the fields.
///
/// # Errors
/// [`AppError::Input`] naming the field and what to write.
pub fn shim_advice(sheet: &Sheet, pitch: &str, roll: &str, base: &str, track: &str) -> Result<Advice, AppError> {
    let stance = Stance {
        nose_up: field("Nose up", pitch, Some(Angle::default()))?,
        right_up: field("Right side up", roll, Some(Angle::default()))?,
        wheelbase: field("Front to rear stands", base, None)?,
        track: field("Left to right stands", track, Some(Length::from_metres(1.5)))?,
        allowed: sheet.tilt_limit(),
        u: Angle::from_degrees(0.1),
    };
    let plan = shim_plan(&stance).map_err(|why| impossible(&why))?;
    let rows = plan.shims.iter().map(|shim| {
        let mm = |length: Length| format!("{:.0} mm", length.mm());
        vec![shim.stand.words().to_owned(), mm(shim.level), mm(shim.least)]
    });
    let head = ["Stand", "for level", "at least"].map(str::to_owned).into();
    Ok(Advice { head, rows: rows.collect(), says: shim_words(&stance, &plan) })
}

/// Which thermometer tells the truth, from one reading a line: `name: 18.2 °C`. A plain number is in `unit`.
///
/// # Errors
/// [`AppError::Input`] naming the line and what to write.
pub fn thermometer_advice(sheet: &Sheet, lines: &str, stood: &str, unit: &str) -> Result<Advice, AppError> {
    let mut instruments: Vec<Instrument> = Vec::new();
    for (number, line) in lines.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
        let Some((name, text)) = line.split_once([':', '=']) else {
            return Err(AppError::Input {
                what: format!("line {}: “{}” is no reading", number + 1, line.trim()),
                hint: "Write one a line: probe: 18.2 °C".to_owned(),
            });
        };
        let plain = text.trim().replace(',', ".").parse::<f64>().is_ok();
        let text = if plain { format!("{} {unit}", text.trim()) } else { text.to_owned() };
        let reading: Temperature = field(&format!("line {}", number + 1), &text, None)?;
        let name = name.trim().to_owned();
        match instruments.iter_mut().find(|one| one.name == name) {
            Some(one) => one.readings.push(reading),
            None => instruments.push(Instrument { name, readings: vec![reading], u: None, reference: false }),
        }
    }
    let stood = (!stood.trim().is_empty()).then(|| field("It stood", stood, None)).transpose()?;
    let found = compare(&instruments, stood).map_err(|why| impossible(&why))?;
    let rows = found.graded.iter().map(|one| {
        let ml = worth(sheet.capacity.total.mid(), USUAL_EXPANSION, one.offset.value);
        let ml = ml.map_or_else(|_| String::new(), |ml| format!("{} mL", print::number(ml.ml(), 0)));
        let off = print::number(one.offset.value.kelvin(), 1);
        vec![
            one.name.clone(),
            print::temperature(one.mean, Units::Metric),
            format!("{off} K"),
            ml,
            one.trust.words().to_owned(),
        ]
    });
    let truth = print::temperature_uncertain(found.truth, wide(found.truth_u), Units::Metric);
    let mut says = vec![format!("Most likely {truth} (k = 2).")];
    says.extend(found.graded.iter().map(|one| format!("{}: {}.", one.name, one.why)));
    says.extend(found.remarks.iter().cloned());
    let head = ["Instrument", "reads", "off by", "worth", "trust"].map(str::to_owned).into();
    Ok(Advice { head, rows: rows.collect(), says })
}

fn wide(u: TemperatureDifference) -> TemperatureDifference {
    u * 2.0
}

/// Expansion of a typical fluid per kelvin: 0.6278 / 845 (ASTM D1250 lubricating-oil constant).
const USUAL_EXPANSION: f64 = 0.000_743;
