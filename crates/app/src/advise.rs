//! Standing and shims in sentences: what the figures mean for today's work.

use physics::shim::{ShimPlan, Stance};
use physics::soak::{Arrival, Meets, Refill, SoakPlan, Stand, USUAL_METAL_PER_LITRE};
use quantity::Temperature;
use sheet::{Sheet, Sourced};

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
