//! When the fluid is due: by distance, by time, and by the age of the blend that is really in the case.

use physics::renewal::{AGE, FRACTION, INTERVAL, steady_state};
use physics::{Limits, PhysicsError};
use quantity::{Distance, Duration};
use serde::Serialize;
use sheet::Sheet;

/// Times a fluid may have been in a unit.
static TIME: Limits = Limits::new("time since the last service", "years", 0.0, 200.0);
/// Intervals in time.
static TIME_INTERVAL: Limits = Limits::new("time between services", "years", 0.01, 100.0);
/// What severe use multiplies an interval by.
static SEVERE: Limits = Limits::new("factor for severe use", "1", 0.01, 1.0);

/// An interval overrun this many times is called overdue; common practice, no source.
const OVERDUE: f64 = 2.0;

/// A figure that cannot be.
pub type DueError = PhysicsError;

/// What is known about the fluid now in the unit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Run {
    /// Since the last service, or since new.
    pub distance: Option<Distance>,
    /// Since the last service, or since new.
    pub time: Option<Duration>,
    /// Mean distance of all fluid in the unit; for fluid never renewed the same as `distance`.
    pub blend: Option<Distance>,
    /// Towing, short trips, heat.
    pub severe: bool,
}

/// What the sheet asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Policy {
    /// Between services.
    pub distance: Option<Distance>,
    /// Between services.
    pub time: Option<Duration>,
    /// What severe use multiplies both by, above 0 and at most 1.
    pub severe_factor: f64,
    /// Share of the fluid that a service as described renews, 0 to 1.
    pub fraction: Option<f64>,
}

impl Policy {
    /// As the sheet states it; of a printed range the shorter end.
    pub fn of(sheet: &Sheet) -> Self {
        let interval = sheet.interval.as_ref();
        Self {
            distance: interval.and_then(|i| i.distance.as_ref()).map(|d| d.value.low),
            time: interval.and_then(|i| i.time.as_ref()).map(|t| t.value.low),
            severe_factor: interval.map_or(1.0, |i| i.severe_factor),
            fraction: sheet.drained_fraction(),
        }
    }
}

/// By which measure the fluid is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Distance since the last service.
    Distance,
    /// Time since the last service.
    Time,
    /// Mean distance of the blend.
    BlendAge,
}

impl Measure {
    /// What people read.
    pub fn title(self) -> &'static str {
        match self {
            Self::Distance => "Distance since the last service",
            Self::Time => "Time since the last service",
            Self::BlendAge => "Mean age of the blend",
        }
    }
}

/// One measure against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Marks {
    /// Which.
    pub measure: Measure,
    /// `km` or `a` (years).
    pub unit: &'static str,
    /// How far it has come.
    pub run: f64,
    /// How far it may come.
    pub limit: f64,
    /// What is left; 0 when it is due.
    pub left: f64,
    /// `run` as a part of `limit`.
    pub share: f64,
}

/// When the fluid is due.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Due {
    /// The answer to the question `due`: not-yet, due, overdue, not-known.
    pub status: &'static str,
    /// Each measure that is known, furthest along first.
    pub marks: Vec<Marks>,
    /// Measures the sheet states and nobody answered.
    pub missing: Vec<Measure>,
}

/// Whether the fluid is due.
///
/// The limit of the blend's age is what the sheet's own policy leads to: a share f renewed every D leaves a blend whose
/// mean age tends to D/f just before a service, so a blend no older than that is what the sheet accepts. "Not yet" is only
/// said when every measure the sheet states is known.
///
/// # Errors
/// [`DueError`] for a figure that cannot be.
pub fn due(run: &Run, policy: &Policy) -> Result<Due, DueError> {
    let factor = if run.severe { SEVERE.check(policy.severe_factor)? } else { 1.0 };
    let mut marks = Vec::new();
    let mut missing = Vec::new();
    let mut judge = |measure, unit, run: Option<f64>, limit: f64| match run {
        Some(run) => {
            marks.push(Marks { measure, unit, run, limit, left: (limit - run).max(0.0), share: run / limit });
        }
        None => missing.push(measure),
    };
    let distance = policy.distance.map(|d| INTERVAL.check(d.km())).transpose()?;
    let run_km = run.distance.map(|d| AGE.check(d.km())).transpose()?;
    let blend = run.blend.map(|d| AGE.check(d.km())).transpose()?;
    let years = run.time.map(|t| TIME.check(t.years())).transpose()?;
    if let Some(limit) = distance {
        judge(Measure::Distance, "km", run_km, limit * factor);
    }
    if let Some(limit) = policy.time {
        judge(Measure::Time, "a", years, TIME_INTERVAL.check(limit.years())? * factor);
    }
    if let (Some(limit), Some(fraction), Some(blend)) = (distance, policy.fraction, blend) {
        let steady = steady_state(FRACTION.check(fraction)?, Distance::from_km(limit * factor))?;
        judge(Measure::BlendAge, "km", Some(blend), steady.before.km());
    }
    marks.sort_by(|a: &Marks, b| b.share.total_cmp(&a.share));
    let status = match marks.first() {
        Some(mark) if mark.share >= OVERDUE => "overdue",
        Some(mark) if mark.share >= 1.0 => "due",
        Some(_) if missing.is_empty() => "not-yet",
        _ => "not-known",
    };
    Ok(Due { status, marks, missing })
}
