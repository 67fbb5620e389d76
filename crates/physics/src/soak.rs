//! A vehicle that arrives too hot for its window: how warm it is after refilling, and how long it has to stand.

use quantity::{Density, Duration, Span, Temperature, Volume};

use crate::PhysicsError;
use crate::warmup::{
    FLUID_TEMPERATURE, Mixing, TIME_CONSTANT, TYPICAL_SPECIFIC_HEAT, cooling_time, mixing_temperature,
};

/// Time constant of a transmission that stands with the engine off: common practice, no source.
pub const USUAL_TIME_CONSTANT: Duration = Duration::from_minutes(150.0);
/// How far a time constant may be from the usual one either way, as a share of it: judgement.
pub const TIME_CONSTANT_DOUBT: f64 = 0.30;
/// Metal that shares the fluid's temperature, kJ/K for each litre of the whole fill: common practice, no source.
pub const USUAL_METAL_PER_LITRE: f64 = 4.0;

/// A hot arrival.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrival {
    /// Fluid as it comes in.
    pub fluid: Temperature,
    /// Air in the bay.
    pub ambient: Temperature,
    /// The window of the level.
    pub window: Span<Temperature>,
    /// How slowly it cools with the engine off.
    pub time_constant: Duration,
    /// What is exchanged; `None` when it only waits.
    pub refill: Option<Refill>,
}

/// What is drained and poured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Refill {
    /// The whole fill.
    pub total: Volume,
    /// What a drain brings and is poured again.
    pub renewed: Volume,
    /// Temperature of the new fluid.
    pub poured_at: Temperature,
    /// Heat capacity of the metal, kJ/K.
    pub metal_kj_per_k: f64,
    /// Density of the fluid.
    pub density: Density,
}

/// How long to stand until a temperature is reached, with the shortest and longest that the time constant allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    pub until: Temperature,
    pub for_time: Duration,
    pub shortest: Duration,
    pub longest: Duration,
}

/// How an arrival meets its window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meets {
    /// Cold enough to begin at once: it warms into the window from below.
    FromBelow,
    /// Inside the window now: only a level check is possible at once, not a drain first.
    Inside,
    /// Has to stand first.
    AfterStanding,
    /// The air is too warm: standing never brings it under the window's high edge.
    NotToday,
}

/// The plan for an arrival.
#[derive(Debug, Clone, PartialEq)]
pub struct SoakPlan {
    pub meets: Meets,
    /// Where fluid and metal end when it is drained and refilled at once; `None` without a refill.
    pub mixes_at: Option<Temperature>,
    /// The fluid temperature at which draining and refilling ends at the low edge of the window; `None` without a refill.
    pub drain_at: Option<Temperature>,
    /// Standing until the fluid is just inside the window, from what it is after refilling or, without refill, now.
    pub to_high_edge: Option<Stand>,
    /// The same until its low edge: from there it warms through the whole window.
    pub to_low_edge: Option<Stand>,
    /// Standing before the drain, until `drain_at`; `None` without a refill or when it can be drained now.
    pub before_drain: Option<Stand>,
}

/// When a hot arrival can be set, by standing and by refilling with cold fluid.
///
/// Standing: t = τ ln((T − T_air)/(T_edge − T_air)). Refilling: T_mix = T − s (T − T_new) with the share of heat
/// s = C_new/(C_new + C_left + C_metal); it ends at the low edge when T = (T_low − s T_new)/(1 − s).
///
/// | symbol | field | unit | valid range |
/// |---|---|---|---|
/// | T | `fluid` | °C | −60 to 300 |
/// | T_air | `ambient` | °C | −60 to 300 |
/// | T_low, T_high | `window` | °C | −60 to 300 |
/// | τ | `time_constant` | s | 1 to 10⁶ |
/// | s | from `refill` | 1 | as [`mixing_temperature`] |
///
/// # Source
/// [`cooling_time`] and [`mixing_temperature`]; the interval of the times is the doubt of τ, [`TIME_CONSTANT_DOUBT`].
///
/// # Errors
/// Any field outside its range; a window whose ends are reversed; more renewed than the whole fill.
///
/// # Example
/// Missed at 52 °C in 20 °C air, window 40–44 °C, τ = 150 min: 150 ln(32/24) = 43 min to the high edge,
/// 150 ln(32/20) = 71 min to the low edge.
/// ```
/// use physics::soak::{Arrival, USUAL_TIME_CONSTANT, soak_plan};
/// use quantity::{Span, Temperature};
/// let c = Temperature::from_celsius;
/// let window = Span { low: c(40.0), high: c(44.0) };
/// let plan = soak_plan(&Arrival {
///     fluid: c(52.0), ambient: c(20.0), window, time_constant: USUAL_TIME_CONSTANT, refill: None,
/// }).unwrap();
/// assert!((plan.to_high_edge.unwrap().for_time.minutes() - 43.15).abs() < 0.01);
/// assert!((plan.to_low_edge.unwrap().for_time.minutes() - 70.50).abs() < 0.01);
/// ```
pub fn soak_plan(arrival: &Arrival) -> Result<SoakPlan, PhysicsError> {
    let window = arrival.window;
    for t in [arrival.fluid, arrival.ambient, window.low, window.high] {
        FLUID_TEMPERATURE.check(t.celsius())?;
    }
    TIME_CONSTANT.check(arrival.time_constant.seconds())?;
    if window.low > window.high {
        return Err(PhysicsError::Contradiction(
            "the window ends below where it begins; give the low edge first".into(),
        ));
    }
    let share = arrival.refill.as_ref().map(|refill| heat_share(refill, arrival.fluid)).transpose()?;
    let mixes_at = arrival.refill.zip(share).map(|(refill, s)| arrival.fluid + (refill.poured_at - arrival.fluid) * s);
    let drain_at =
        arrival.refill.zip(share).map(|(refill, s)| window.low + (window.low - refill.poured_at) * (s / (1.0 - s)));
    let start = mixes_at.unwrap_or(arrival.fluid);
    let meets = if start < window.low {
        Meets::FromBelow
    } else if start <= window.high {
        Meets::Inside
    } else if arrival.ambient < window.high {
        Meets::AfterStanding
    } else {
        Meets::NotToday
    };
    let before = drain_at.filter(|drain| arrival.fluid > *drain);
    Ok(SoakPlan {
        meets,
        mixes_at,
        drain_at,
        to_high_edge: stand(arrival, start, window.high)?,
        to_low_edge: stand(arrival, start, window.low)?,
        before_drain: before.map(|drain| stand(arrival, arrival.fluid, drain)).transpose()?.flatten(),
    })
}

/// The share of all heat that the new fluid carries, 0 to below 1.
fn heat_share(refill: &Refill, unit_at: Temperature) -> Result<f64, PhysicsError> {
    let left = refill.total - refill.renewed;
    if left.ml() < 0.0 {
        return Err(PhysicsError::Contradiction(format!(
            "{:.2} L are renewed but the unit holds {:.2} L; check both volumes",
            refill.renewed.litres(),
            refill.total.litres()
        )));
    }
    let mixing = Mixing {
        poured: refill.renewed,
        poured_at: refill.poured_at,
        left,
        metal_kj_per_k: refill.metal_kj_per_k,
        unit_at,
        density: refill.density,
        specific_heat: TYPICAL_SPECIFIC_HEAT,
    };
    // The share does not depend on the temperatures: taken one kelvin apart it is the difference itself.
    let one = Temperature::from_celsius(1.0);
    let zero = Temperature::from_celsius(0.0);
    mixing_temperature(&mixing)?;
    let share = mixing_temperature(&Mixing { poured_at: one, unit_at: zero, ..mixing })?.celsius();
    if share < 1.0 {
        Ok(share)
    } else {
        Err(PhysicsError::Contradiction(
            "all of the fluid is renewed and no metal is counted; give the metal's heat capacity".into(),
        ))
    }
}

/// Standing from one temperature to another; `None` when it is there already or never gets there.
fn stand(arrival: &Arrival, from: Temperature, until: Temperature) -> Result<Option<Stand>, PhysicsError> {
    if from <= until || until <= arrival.ambient {
        return Ok(None);
    }
    let at = |factor: f64| cooling_time(from, until, arrival.ambient, arrival.time_constant * factor);
    Ok(Some(Stand {
        until,
        for_time: at(1.0)?,
        shortest: at(1.0)? * (1.0 - TIME_CONSTANT_DOUBT),
        longest: at(1.0)? * (1.0 + TIME_CONSTANT_DOUBT),
    }))
}
