//! What earlier jobs of a unit say about its run-off: by how much the real flow differs from the model.

use quantity::{Duration, Flow, Uncertain, Volume};
use serde::{Deserialize, Serialize};

use super::{RunOff, RunOffForecast, SURPLUS, run_off};
use crate::{Limits, PhysicsError};

/// Real flow over model flow.
pub static SCALE: Limits = Limits::new("real flow per flow of the model", "1", 0.1, 10.0);
/// Doubt of the model's flow before any job of the unit, as a logarithm (judgement: ±30 % in time and the gap between the two models).
pub const PRIOR_DOUBT: f64 = 0.25;
/// Scatter of one unit from job to job, as a logarithm (judgement: lip, tilt, rag, film).
pub const JOB_SCATTER: f64 = 0.10;
/// Time at which a limit was seen to be passed.
static SEEN_AFTER: Limits = Limits::new("time from opening to what was seen", "s", 1.0, 3600.0);
/// Doubt of that time.
static SEEN_DOUBT: Limits = Limits::new("doubt of the time seen", "s", 0.0, 600.0);
/// Limit of the flow that was seen to be passed.
static SEEN_FLOW: Limits = Limits::new("flow seen to be passed", "mL/s", 0.01, 20.0);
/// Logarithm of a factor.
static LOGARITHM: Limits = Limits::new("logarithm of the scale factor", "1", -2.4, 2.4);
/// Doubt of it.
static LOGARITHM_DOUBT: Limits = Limits::new("doubt of the logarithm of the scale factor", "1", 0.0, 10.0);

/// One run-off that was watched, on the unit and with the setting given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Watched {
    /// The setting; its own `scale` is left aside.
    pub run: RunOff,
    /// Standard uncertainty of the surplus.
    pub surplus_u: Volume,
    /// What was seen: the flow fell below this, [`super::STREAM_BREAKS`] when the stream broke to drops.
    pub below: Flow,
    /// When, since the plug was opened, with its standard uncertainty (half the time between two looks, divided by √3).
    pub after: Uncertain<Duration>,
}

/// What the jobs of a unit say about its flow.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Scale {
    /// Natural logarithm of real flow over model flow.
    pub logarithm: f64,
    /// Its standard uncertainty for the *next* job, scatter from job to job included.
    pub u: f64,
    /// From how many jobs; 0 is the model as it stands.
    pub jobs: u32,
}

impl Scale {
    /// The model as it stands: no job yet.
    pub const MODEL: Self = Self { logarithm: 0.0, u: PRIOR_DOUBT, jobs: 0 };

    /// Real flow over model flow.
    pub fn factor(self) -> f64 {
        libm::exp(self.logarithm)
    }

    /// How much of the model's own bracket is left, 0 to 1.
    pub(super) fn narrowing(self) -> f64 {
        (self.u / PRIOR_DOUBT).clamp(0.0, 1.0)
    }

    pub(super) fn checked(self) -> Result<Self, PhysicsError> {
        LOGARITHM.check(self.logarithm)?;
        LOGARITHM_DOUBT.check(self.u)?;
        Ok(self)
    }
}

/// By how much the real flow of one watched job differed from the model, as a logarithm with its doubt.
///
/// ln s with t(s Q) = t_seen, t the mean of both models; u² = (∂ln s/∂t u_t)² + (∂ln s/∂V u_V)².
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | t_seen, u_t | `after` | s | 1 to 3600, 0 to 600 |
/// | V, u_V | `run.surplus`, `surplus_u` | mL | above 0 to 10 000 |
/// | – | `below` | mL/s | 0.01 to 20 |
/// | s | result | 1 | 0.1 to 10 |
///
/// # Source
/// Inverse of [`run_off`], found by halving; the two slopes by moving time and surplus by their doubt. Combination by JCGM
/// 100:2008, 5.1.
///
/// # Errors
/// Any argument outside its range; a time that no factor from 0.1 to 10 explains (surplus or time are then wrong).
///
/// # Example
/// A stream that breaks just when the model says gives ln s = 0; half as long again gives a flow clearly below it.
/// ```
/// use physics::runoff::{RunOff, STREAM_BREAKS, Watched, job_scale, run_off};
/// use quantity::{Area, Duration, Flow, KinematicViscosity, Length, Uncertain, Volume};
/// let run = RunOff::new(
///     Volume::from_litres(0.5),
///     Length::from_mm(8.0),
///     Area::from_square_metres(0.06),
///     KinematicViscosity::from_mm2_per_s(16.0),
/// );
/// let below = Flow::from_ml_per_second(STREAM_BREAKS);
/// let watched = |seconds: f64| Watched {
///     run,
///     surplus_u: Volume::default(),
///     below,
///     after: Uncertain::new(Duration::from_seconds(seconds), Duration::default()),
/// };
/// let model = run_off(&run).unwrap().stream_breaks.unwrap().best.seconds();
/// assert!(job_scale(&watched(model)).unwrap().value.abs() < 1e-4);
/// assert!(job_scale(&watched(1.5 * model)).unwrap().value < -0.3);
/// ```
pub fn job_scale(seen: &Watched) -> Result<Uncertain<f64>, PhysicsError> {
    let after = SEEN_AFTER.check(seen.after.value.seconds())?;
    let u_after = SEEN_DOUBT.check(seen.after.u.seconds())?;
    let u_surplus = SURPLUS.check(seen.surplus_u.ml())?;
    SEEN_FLOW.check(seen.below.ml_per_second())?;
    let surplus = seen.run.surplus.ml();
    let at = |after: f64, surplus: f64| logarithm(seen, after, Volume::from_ml(surplus));
    let value = at(after, surplus)?;
    // Outwards and inwards where there is room, so that the slope is that of the middle.
    let slope = |u: f64, from: &dyn Fn(f64) -> Result<f64, PhysicsError>| {
        if u == 0.0 { Ok(0.0) } else { Ok((from(u)? - from(-u)?) / 2.0) }
    };
    let small = |u: f64, of: f64| u.min(0.2 * of);
    let (t, v) = (small(u_after, after), small(u_surplus, surplus));
    let by_time = slope(t, &|d| at(after + d, surplus))? * if t > 0.0 { u_after / t } else { 0.0 };
    let by_surplus = slope(v, &|d| at(after, surplus + d))? * if v > 0.0 { u_surplus / v } else { 0.0 };
    Ok(Uncertain::new(value, (by_time * by_time + by_surplus * by_surplus).sqrt()))
}

/// The logarithm of the factor with which the model needs `after` seconds.
fn logarithm(seen: &Watched, after: f64, surplus: Volume) -> Result<f64, PhysicsError> {
    let time = |logarithm: f64| -> Result<f64, PhysicsError> {
        let scale = Scale { logarithm, u: 0.0, jobs: 1 };
        let forecast = run_off(&RunOff { surplus, scale, ..seen.run })?;
        Ok(mean_time(&forecast, seen.below).unwrap_or(f64::INFINITY))
    };
    let (mut low, mut high) = (libm::log(SCALE.low), libm::log(SCALE.high));
    // More flow, less time.
    if time(low)? < after || time(high)? > after {
        return Err(PhysicsError::Contradiction(format!(
            "{:.0} mL that took {after:.0} s are further from the model than a factor of 10; check surplus, bore, time, and \
             whether it was a stream at first",
            surplus.ml()
        )));
    }
    while high - low > 1e-5 {
        let middle = 0.5 * (low + high);
        if time(middle)? > after { low = middle } else { high = middle }
    }
    Ok(0.5 * (low + high))
}

/// Half way between the two models, s.
fn mean_time(forecast: &RunOffForecast, below: Flow) -> Option<f64> {
    let (slow, fast) = forecast.times_below(below);
    Some(0.5 * (slow? + fast?).seconds())
}

/// What all watched jobs of a unit say together, drawn towards the model as long as they are few.
///
/// w₀ = 1/σ₀², wᵢ = 1/(uᵢ² + σ_j²); ln s = Σ wᵢ ln sᵢ/(w₀ + Σ wᵢ); u² = b/(w₀ + Σ wᵢ) + b σ_j²,
/// b = max(1, Σ wᵢ (ln sᵢ − mean)²/(n − 1)).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | ln sᵢ, uᵢ | `jobs` | 1 | −2.4 to 2.4, 0 to 10 |
/// | σ₀ | [`PRIOR_DOUBT`] 0.25 | 1 | – |
/// | σ_j | [`JOB_SCATTER`] 0.10 | 1 | – |
///
/// u is for the next job: doubt of the mean and scatter from job to job. It is never more than σ₀.
///
/// # Source
/// Bayes' rule for normal errors with known deviations (any statistics text): a weighted mean with the model as one more
/// job of value 0. When the jobs scatter more than they claim, b widens it (Birge's ratio). σ₀ and σ_j are judgement.
///
/// # Errors
/// A logarithm or doubt outside its range.
///
/// # Example
/// Three jobs, each ln s = −0.30 ± 0.10: wᵢ = 50, w₀ = 16; −0.30 × 150/166 = −0.271; u = √(1/166 + 0.01) = 0.127.
/// ```
/// use physics::runoff::pooled_scale;
/// use quantity::Uncertain;
/// let pooled = pooled_scale(&[Uncertain::new(-0.30, 0.10); 3]).unwrap();
/// assert!((pooled.logarithm + 0.2711).abs() < 5e-5 && (pooled.u - 0.1266).abs() < 5e-5 && pooled.jobs == 3);
/// ```
pub fn pooled_scale(jobs: &[Uncertain<f64>]) -> Result<Scale, PhysicsError> {
    let (mut weight, mut sum, mut squares) = (0.0, 0.0, 0.0);
    for job in jobs {
        let y = LOGARITHM.check(job.value)?;
        let u = LOGARITHM_DOUBT.check(job.u)?;
        let w = 1.0 / (u * u + JOB_SCATTER * JOB_SCATTER);
        weight += w;
        sum += w * y;
        squares += w * y * y;
    }
    if jobs.is_empty() {
        return Ok(Scale::MODEL);
    }
    let spread = (squares - sum * sum / weight).max(0.0);
    let others = jobs.len().saturating_sub(1);
    let birge = if others == 0 { 1.0 } else { (spread / others as f64).max(1.0) };
    let all = 1.0 / (PRIOR_DOUBT * PRIOR_DOUBT) + weight;
    let u = (birge * (1.0 / all + JOB_SCATTER * JOB_SCATTER)).sqrt();
    let jobs = u32::try_from(jobs.len()).unwrap_or(u32::MAX);
    Ok(Scale { logarithm: sum / all, u: u.min(PRIOR_DOUBT), jobs })
}
