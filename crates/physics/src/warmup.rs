//! Warm-up: when the window opens, how long it lasts, or that it never will at this idle.

mod clean;
mod first_order;
mod forecast;
mod grid;
mod grid_forecast;
#[cfg(test)]
mod grid_test;
mod outcome;
mod quantum;
mod report;

pub use first_order::{
    Approach, FLUID_TEMPERATURE, LAG, METAL_CAPACITY, MIXED_VOLUME, Mixing, SPECIFIC_HEAT, TIME_CONSTANT,
    TYPICAL_SPECIFIC_HEAT, cooling_time, mixing_temperature,
};
pub use forecast::{FanPoint, Finding, Forecast, Interval, Knowledge, Reaches, ReadingPoint, UnitHistory};
use quantity::{Duration, Span, Temperature};

use crate::PhysicsError;

/// Nothing is foretold further ahead than this; not reached by then counts as never.
pub const HORIZON: Duration = Duration::from_hours(4.0);

/// Every code a finding of a forecast may carry.
pub const FINDING_CODES: [&str; 16] = [
    "too_few_readings",
    "flat_line",
    "jump",
    "gap",
    "already_inside",
    "already_past",
    "cooling",
    "engine_stopped",
    "out_of_order",
    "substitute_value",
    "not_finite",
    "never_at_this_idle",
    "may_never_reach",
    "stays_inside",
    "may_not_close",
    "back_in_window",
];

/// When the window opens and closes, from the readings so far and what else is known.
///
/// | argument | unit | valid range |
/// |---|---|---|
/// | `readings` | s, °C | at least one finite reading between −60 and 250 °C, in any order |
/// | `window` | °C | finite, low ≤ high |
/// | `known` | °C, s | anything not finite is left aside |
///
/// The same readings give the same bytes on every machine. Moving all times by one amount moves every time in
/// the answer by the same amount (to rounding).
///
/// # Source
/// Lumped first-order warming behind a first-order lag with priors, integrated exactly; the priors are judgement,
/// checked by simulation only (see `docs/physics/forecast.md`).
/// # Errors
/// [`PhysicsError::Contradiction`] when no reading is usable or the window is not a finite span. Odd readings are
/// no error: they give findings, and `None` where nothing can be said.
/// # Example
/// ```
/// use physics::warmup::{Knowledge, Reaches, ReadingPoint, forecast};
/// use quantity::{Span, Temperature};
/// let shown = [22.0, 25.0, 27.0, 30.0, 32.0, 34.0];
/// let readings: Vec<_> = shown.iter().enumerate().map(|(i, y)| ReadingPoint::new(60.0 * i as f64, *y)).collect();
/// let window = Span { low: Temperature::from_celsius(40.0), high: Temperature::from_celsius(50.0) };
/// let f = forecast(&readings, window, &Knowledge::default()).unwrap();
/// assert_eq!(f.reaches, Reaches::Yes);
/// let opens = f.opens_s.unwrap();
/// assert!(opens.p10 < opens.p50 && (opens.p50 / 60.0 - 8.0).abs() < 0.7);
/// ```
pub fn forecast(
    readings: &[ReadingPoint],
    window: Span<Temperature>,
    known: &Knowledge,
) -> Result<Forecast, PhysicsError> {
    let ends = (window.low.celsius(), window.high.celsius());
    if !(ends.0.is_finite() && ends.1.is_finite() && ends.0 <= ends.1) {
        return Err(PhysicsError::Contradiction(format!(
            "the window from {} to {} °C is no span; give a finite low end and a high end that is not below it",
            ends.0, ends.1
        )));
    }
    let mut findings = Vec::new();
    let Some(clean) = clean::clean(readings, known, &mut findings) else {
        return Err(PhysicsError::Contradiction(report::nothing_usable(readings, &findings)));
    };
    let horizon = clean.now() + HORIZON.minutes();
    let priors = known.unit_history.as_ref().and_then(grid::Priors::from_history).unwrap_or_else(grid::Priors::wide);
    let prediction = grid_forecast::predict(&clean, ends, horizon, &priors);
    Ok(report::report(&clean, window, known, prediction, findings))
}
