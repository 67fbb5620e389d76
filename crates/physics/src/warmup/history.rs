//! What a finished warm-up teaches about the next of its kind.

use quantity::{Duration, Temperature, Uncertain};

use super::clean::clean;
use super::forecast::{Knowledge, ReadingPoint, UnitHistory};
use super::grid::{Cell, Priors, posterior, reading_variance};

/// Below these a log teaches nothing: readings, rise in K.
const LEAST_READINGS: usize = 8;
const LEAST_RISE: f64 = 12.0;
/// How far two jobs on the same kind of unit differ at least (judgement, no source): share of τ, K, minutes of lag.
const UNLIKE: (f64, f64, f64) = (0.2, 5.0, 1.0);

/// The time constant, end temperature and lag that describe a warm-up on the whole, for [`Knowledge::unit_history`] of a
/// later job; `None` when the log is too short, too flat or falling.
///
/// | argument | unit | valid range |
/// |---|---|---|
/// | `readings` | s, °C | at least 8 usable ones that rise by 12 K |
/// | `known` | s | only the engine start is used |
///
/// # Source
/// Mean and spread of the posterior of the lag-aware grid; the spread is never taken smaller than that between two jobs
/// (20 %, 5 K, 1 min: judgement, no source).
/// # Errors
/// None: what cannot be learnt from is `None`.
/// # Example
/// A log from 20 towards 85 °C with τ = 15 min over 40 min teaches about 15 min and 85 °C.
pub fn learnt(readings: &[ReadingPoint], known: &Knowledge) -> Option<UnitHistory> {
    let clean = clean(readings, known, &mut Vec::new())?;
    if clean.cooling || clean.frozen || clean.minutes.len() < LEAST_READINGS || clean.rise() < LEAST_RISE {
        return None;
    }
    let p = posterior(&clean, reading_variance(&clean), &Priors::wide());
    let of = |f: &dyn Fn(&Cell) -> f64, within: &dyn Fn(&Cell) -> f64| {
        let mean: f64 = p.cells.iter().map(|c| c.weight * f(c)).sum();
        let var: f64 = p.cells.iter().map(|c| c.weight * ((f(c) - mean) * (f(c) - mean) + within(c))).sum();
        (mean, var.max(0.0).sqrt())
    };
    let (tau, u_tau) = of(&|c| c.tau, &|_| 0.0);
    let (end, u_end) = of(&|c| c.end, &|c| c.cov[2]);
    let (lag, u_lag) = of(&|c| c.lag, &|_| 0.0);
    // A bent curve may ask for an end that no fluid has: it teaches nothing that can be used.
    let told = history((tau, u_tau), (end, u_end), (lag, u_lag));
    super::check_history(&told).is_ok().then_some(told)
}

/// Several jobs on one kind of unit as one: the mean, and as spread the larger of that among them and their own; `None`
/// without any.
pub fn pooled(jobs: &[UnitHistory]) -> Option<UnitHistory> {
    let n = jobs.len() as f64;
    let of = |f: &dyn Fn(&UnitHistory) -> (f64, f64)| {
        let mean = jobs.iter().map(|j| f(j).0).sum::<f64>() / n;
        let among = jobs.iter().map(|j| (f(j).0 - mean) * (f(j).0 - mean)).sum::<f64>() / (n - 1.0).max(1.0);
        let own = jobs.iter().map(|j| f(j).1).sum::<f64>() / n;
        (mean, among.sqrt().max(own / n.sqrt()))
    };
    (!jobs.is_empty()).then(|| {
        history(
            of(&|j| (j.time_constant.value.minutes(), j.time_constant.u.minutes())),
            of(&|j| (j.end.value.celsius(), j.end.u.celsius())),
            of(&|j| (j.lag.value.minutes(), j.lag.u.minutes())),
        )
    })
}

fn history(tau: (f64, f64), end: (f64, f64), lag: (f64, f64)) -> UnitHistory {
    let minutes = |value: f64, u: f64| Uncertain::new(Duration::from_minutes(value), Duration::from_minutes(u));
    let c = Temperature::from_celsius;
    UnitHistory {
        time_constant: minutes(tau.0, tau.1.max(UNLIKE.0 * tau.0)),
        end: Uncertain::new(c(end.0), c(end.1.max(UNLIKE.1))),
        lag: minutes(lag.0, lag.1.max(UNLIKE.2)),
    }
}
