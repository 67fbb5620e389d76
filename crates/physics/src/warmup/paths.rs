//! The fits of the ensemble carried on from the last readings: paths, and the answer read from them.

use super::ensemble::{Evidence, Fit, Pasts};
use super::outcome::{Arrival, Prediction, fan_times, plain_interval};
use super::vehicle::{STEP, share};
use crate::normal::quantile;

/// Paths drawn about each fit.
const PATHS: usize = 2;

/// Times at which paths are known: every half minute at first, then wider.
pub(super) fn times_ahead(now: f64, horizon: f64) -> Vec<f64> {
    let mut times = vec![now];
    let mut t = now;
    while t < horizon {
        t += match t - now {
            near if near < 15.0 => STEP,
            far if far < 60.0 => 2.0 * STEP,
            _ => 8.0 * STEP,
        };
        times.push(t);
    }
    times
}

/// Paths from now on, all times of the first, then of the next: each fit with its scale and its wandering, at evenly spread
/// depths of their uncertainty.
pub(super) fn paths(evidence: &Evidence, past: &Pasts, picks: &[Fit], times: &[f64]) -> Vec<f64> {
    let ahead: Vec<Ahead> = (0..evidence.wanders.len()).map(|strength| Ahead::new(evidence, strength, times)).collect();
    let mut out = Vec::with_capacity(picks.len() * PATHS * times.len());
    let mut spread = Spread::default();
    for (p, fit) in picks.iter().enumerate() {
        // Picks of the same fit follow each other.
        if p == 0 || *fit != picks[p - 1] {
            spread.find(evidence, &ahead[fit.strength], past, fit, times);
        }
        for k in 0..PATHS {
            let z = quantile((k as f64 + share(p, 0)) / PATHS as f64);
            out.extend(spread.mean.iter().zip(&spread.sd).map(|(mean, sd)| mean + z * sd));
        }
    }
    out
}

/// What one strength of wandering says of the times to come, whatever the vehicle.
struct Ahead {
    /// Whitened covariance with the readings: all times of the first mark, then of the next.
    cross: Vec<f64>,
    variance: Vec<f64>,
    /// What the readings alone add to the mean.
    of_readings: Vec<f64>,
}

impl Ahead {
    fn new(evidence: &Evidence, strength: usize, times: &[f64]) -> Self {
        let (cross, variance) = evidence.wanders[strength].ahead(times);
        let mut of_readings = vec![0.0; times.len()];
        add_products(&cross, evidence.white[strength].iter().copied(), &mut of_readings);
        Self { cross, variance, of_readings }
    }
}

/// Adds to `sums`, one for each time, the products of `cross` with one factor for each mark.
fn add_products(cross: &[f64], factors: impl Iterator<Item = f64>, sums: &mut [f64]) {
    for (row, factor) in cross.chunks_exact(sums.len()).zip(factors) {
        sums.iter_mut().zip(row).for_each(|(sum, c)| *sum += c * factor);
    }
}

/// Mean and standard deviation of the paths about one fit.
#[derive(Default)]
struct Spread {
    mean: Vec<f64>,
    sd: Vec<f64>,
    of_rise: Vec<f64>,
}

impl Spread {
    fn find(&mut self, evidence: &Evidence, ahead: &Ahead, past: &Pasts, fit: &Fit, times: &[f64]) {
        let vehicle = &past.vehicles[fit.vehicle];
        let (mut run, first) = (vehicle.run, vehicle.first);
        let rise: Vec<[f64; 1]> = past.rise(fit.vehicle).map(|y| [y]).collect();
        let white = evidence.wanders[fit.strength].whitened(&rise);
        self.of_rise.clear();
        self.of_rise.resize(times.len(), 0.0);
        add_products(&ahead.cross, white.into_iter().flatten(), &mut self.of_rise);
        self.mean.clear();
        self.sd.clear();
        let mut last = times[0];
        for (i, (&t, of_rise)) in times.iter().zip(&self.of_rise).enumerate() {
            if t > last {
                run.step(t - last);
                last = t;
            }
            let beyond = run.fluid - first - of_rise;
            self.mean.push(evidence.setting.first + ahead.of_readings[i] + (1.0 + fit.scale) * beyond);
            self.sd.push((ahead.variance[i] + beyond * beyond * fit.scale_var).sqrt());
        }
    }
}

/// How fast the paths warm at first, on average, K/min.
pub(super) fn rate(times: &[f64], paths: &[f64]) -> f64 {
    let rates = paths.chunks_exact(times.len()).map(|p| (p[1] - p[0]) / (times[1] - times[0]));
    rates.sum::<f64>() / (paths.len() / times.len()).max(1) as f64
}

/// When a path first reaches `target`, minutes; `None` when it does not.
fn first_at(times: &[f64], path: &[f64], target: f64) -> Option<f64> {
    let i = path.iter().position(|y| *y >= target)?;
    if i == 0 {
        return Some(times[0]);
    }
    let share = (target - path[i - 1]) / (path[i] - path[i - 1]);
    Some(times[i - 1] + (times[i] - times[i - 1]) * share)
}

/// When each path first reaches `target`.
pub(super) fn arrivals(times: &[f64], paths: &[f64], target: f64) -> Vec<Option<f64>> {
    paths.chunks_exact(times.len()).map(|p| first_at(times, p, target)).collect()
}

/// The answer that the paths give.
pub(super) fn answer(times: &[f64], all: &[f64], (low, high): (f64, f64), rate: f64) -> Prediction {
    let (now, horizon) = (times[0], times[times.len() - 1]);
    let paths = || all.chunks_exact(times.len());
    let (open, close) = (arrivals(times, all, low), arrivals(times, all, high));
    let summary = |all: &[Option<f64>]| {
        let met: Vec<f64> = all.iter().flatten().copied().collect();
        let never = 1.0 - met.len() as f64 / all.len().max(1) as f64;
        Arrival { when: plain_interval(met.into_iter()), never }
    };
    let (opens, closes) = (summary(&open), summary(&close));
    let dwell = open.iter().zip(&close).filter_map(|(o, c)| Some((*c)? - (*o)?));
    let at = |t: f64| {
        let i = times.partition_point(|x| *x <= t).clamp(1, times.len() - 1);
        let share = ((t - times[i - 1]) / (times[i] - times[i - 1])).clamp(0.0, 1.0);
        plain_interval(paths().map(|p| p[i - 1] + (p[i] - p[i - 1]) * share))
    };
    let fan = fan_times(now, horizon, &opens, &closes).into_iter().filter_map(|t| Some((t, at(t)?))).collect();
    Prediction {
        dwell: plain_interval(dwell),
        ends_at: at(horizon),
        rate,
        opens,
        closes,
        fan,
        model: "weighted ensemble",
    }
}
