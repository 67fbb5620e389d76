//! Warm-up: when the window opens, how long it lasts, or that it never will at this idle.

mod clean;
mod ensemble;
mod first_order;
mod forecast;
mod grid;
mod grid_forecast;
#[cfg(test)]
mod grid_test;
mod history;
mod knee;
mod lesson;
mod marks;
mod outcome;
mod paths;
mod quantum;
mod report;
mod signs;
mod taught;
mod vehicle;
mod wander;

pub use first_order::{
    Approach, FLUID_TEMPERATURE, LAG, METAL_CAPACITY, MIXED_VOLUME, Mixing, SPECIFIC_HEAT, TIME_CONSTANT,
    TYPICAL_SPECIFIC_HEAT, cooling_time, mixing_temperature,
};
pub use forecast::{FanPoint, Finding, Forecast, Interval, Knowledge, Reaches, ReadingPoint, UnitHistory};
pub use history::{learnt, pooled};
use quantity::{Duration, Span, Temperature};

use crate::{Limits, PhysicsError};

/// Nothing is foretold further ahead than this; not reached by then counts as never.
pub const HORIZON: Duration = Duration::from_hours(4.0);

/// Every code a finding of a forecast may carry.
pub const FINDING_CODES: [&str; 19] = [
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
    "display_step",
    "irregular_times",
    "knee",
];

/// When the window opens and closes, from the readings so far and what else is known.
///
/// | argument | unit | valid range |
/// |---|---|---|
/// | `readings` | s, °C | at least one finite reading between −60 and 250 °C, in any order |
/// | `window` | °C | −60 to 300, low ≤ high |
/// | `known.ambient` | °C | −60 to 60 |
/// | `known.engine_started_s` | s | finite; not used when more than 12 h from the first reading |
/// | `known.unit_history` | s, °C | as [`Approach::new`] |
///
/// The same readings give the same bytes on every machine. Moving all times by one amount moves every time in
/// the answer by the same amount (to rounding).
///
/// # Source
/// Two thousand simulated units (churning heat that falls as the fluid thins, fast idle, cooler, case) weighed by Bayes'
/// rule with a wandering heat input, and put right by what other simulated units taught; the ranges are judgement, checked by
/// simulation only (`docs/physics/forecast.md`, `cargo run -p physics --release --example study_forecast`).
/// # Errors
/// [`PhysicsError::OutOfRange`] for the window, the air or the history; [`PhysicsError::Contradiction`] when no reading is
/// usable or the window is reversed. Odd readings are no error: they give findings, and `None` where nothing can be said.
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
    forecast_by(Model::Ensemble, readings, window, known)
}

/// Ways of forecasting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Model {
    /// First-order warming behind a first-order lag, integrated exactly.
    Grid,
    /// Simulated vehicles weighed by evidence, with a wandering heat input.
    Ensemble,
}

/// As [`forecast`], by a chosen model.
///
/// # Errors
/// As [`forecast`].
pub fn forecast_by(
    model: Model,
    readings: &[ReadingPoint],
    window: Span<Temperature>,
    known: &Knowledge,
) -> Result<Forecast, PhysicsError> {
    let ends = checked_window(window)?;
    check_known(known)?;
    let mut findings = Vec::new();
    let Some(clean) = clean::clean(readings, known, &mut findings) else {
        return Err(PhysicsError::Contradiction(report::nothing_usable(readings, &findings)));
    };
    let horizon = clean.now() + HORIZON.minutes();
    let prediction = match model {
        Model::Grid => {
            let history = known.unit_history.as_ref().and_then(grid::Priors::from_history);
            grid_forecast::predict(&clean, ends, horizon, &history.unwrap_or_else(grid::Priors::wide))
        }
        Model::Ensemble => {
            let ambient = known.ambient.map(Temperature::celsius);
            ensemble::predict(&clean, ends, horizon, ambient, known.unit_history.as_ref())
        }
    };
    Ok(report::report(&clean, window, known, prediction, findings))
}

/// For the study that teaches the forecast; no part of what others may rely on.
#[doc(hidden)]
pub mod teaching {
    use quantity::{Span, Temperature};

    pub use super::lesson::{Net, WIDTH};
    pub use super::signs::{Logs, SIGNS, Signs, Told};
    use super::{HORIZON, Knowledge, ReadingPoint, check_known, checked_window, clean, ensemble};
    use crate::PhysicsError;

    /// What the lesson would be told for both ends of the window: logs of minutes from now as the ensemble has them, and the
    /// signs; `None` where nothing is corrected.
    ///
    /// # Errors
    /// As [`super::forecast`].
    pub fn told(
        readings: &[ReadingPoint],
        window: Span<Temperature>,
        known: &Knowledge,
    ) -> Result<[Option<Told>; 2], PhysicsError> {
        let (low, high) = checked_window(window)?;
        check_known(known)?;
        let Some(clean) = clean::clean(readings, known, &mut Vec::new()) else { return Ok([None; 2]) };
        let (horizon, air) = (clean.now() + HORIZON.minutes(), known.ambient.map(Temperature::celsius));
        Ok(ensemble::told(&clean, [low, high], horizon, air, known.unit_history.as_ref()))
    }
}

/// Air temperatures in which work is done.
pub static AMBIENT: Limits = Limits::new("air temperature", "°C", -60.0, 60.0);

fn checked_window(window: Span<Temperature>) -> Result<(f64, f64), PhysicsError> {
    let low = FLUID_TEMPERATURE.check(window.low.celsius())?;
    let high = FLUID_TEMPERATURE.check(window.high.celsius())?;
    if low <= high {
        return Ok((low, high));
    }
    Err(PhysicsError::Contradiction(format!("the window runs from {low} down to {high} °C; give the low end first")))
}

fn check_known(known: &Knowledge) -> Result<(), PhysicsError> {
    if let Some(ambient) = known.ambient {
        AMBIENT.check(ambient.celsius())?;
    }
    if let Some(started) = known.engine_started_s
        && !started.is_finite()
    {
        return Err(PhysicsError::Contradiction("the time of engine start is no number; leave it out instead".into()));
    }
    known.unit_history.as_ref().map_or(Ok(()), check_history)
}

fn check_history(h: &UnitHistory) -> Result<(), PhysicsError> {
    Approach::new(Temperature::default(), h.end.value, h.time_constant.value, h.lag.value)?;
    for u in [h.time_constant.u.seconds(), h.end.u.celsius(), h.lag.u.seconds()] {
        HISTORY_U.check(u)?;
    }
    Ok(())
}

/// Standard uncertainties of what earlier jobs taught.
pub static HISTORY_U: Limits = Limits::new("standard uncertainty of the unit's history", "s or K", 0.0, 1e5);
