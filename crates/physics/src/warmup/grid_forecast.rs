//! The grid's answer to the questions of a forecast.

use super::clean::Clean;
use super::first_order::{left_over, time_of_left_over};
use super::forecast::Interval;
use super::grid::{Cell, Posterior, Priors, crossing, posterior, reading_variance};
use super::outcome::{Arrival, Prediction, SHARES, even_picks, fan_times, interval, weighted_interval};

/// Equally heavy curves that stand for the posterior where it has no closed form.
const CURVES: usize = 300;
/// Times are found to this, minutes.
const TIME_TOLERANCE: f64 = 1e-4;

/// Forecast by the lag-aware grid. `low`, `high` in °C, `horizon` in minutes since the origin.
pub(crate) fn predict(clean: &Clean, (low, high): (f64, f64), horizon: f64, priors: &Priors) -> Prediction {
    let p = posterior(clean, reading_variance(clean), priors);
    let now = clean.now();
    let opens = arrival(&p, low, now, horizon);
    let closes = arrival(&p, high, now, horizon);
    let all: Vec<(f64, Cell)> = p.curves().into_iter().map(|c| (c.weight, c)).collect();
    let curves = even_picks(&all, CURVES);
    let mut dwell: Vec<(f64, f64)> = curves
        .iter()
        .filter_map(|c| {
            let (open, close) = (reached(c, low)?.max(now), reached(c, high)?.max(now));
            (close <= horizon).then_some((close - open, 1.0))
        })
        .collect();
    let fan = fan_times(now, horizon, &opens, &closes)
        .into_iter()
        .filter_map(|t| {
            let mut at: Vec<(f64, f64)> = curves.iter().map(|c| (temperature(c, t), 1.0)).collect();
            Some((t, weighted_interval(&mut at)?))
        })
        .collect();
    Prediction {
        opens,
        closes,
        dwell: weighted_interval(&mut dwell),
        ends_at: Some(ends_at(&p)),
        rate: curves.iter().map(|c| temperature(c, now + 0.05) - temperature(c, (now - 0.05).max(0.0))).sum::<f64>()
            / (curves.len().max(1) as f64 * (now + 0.05 - (now - 0.05).max(0.0))),
        fan,
        model: "lag-aware grid",
    }
}

fn temperature(c: &Cell, t: f64) -> f64 {
    let e = left_over(t.max(0.0), c.tau, c.lag);
    e * c.start + (1.0 - e) * c.end
}

/// When one curve reaches `target`; `None` when it never does.
fn reached(c: &Cell, target: f64) -> Option<f64> {
    if c.start >= target {
        return Some(0.0);
    }
    let left = (c.end - target) / (c.end - c.start);
    (c.end > target && left > 0.0 && left < 1.0).then(|| time_of_left_over(left, c.tau, c.lag))
}

fn arrival(p: &Posterior, target: f64, now: f64, horizon: f64) -> Arrival {
    let total = p.arrived(horizon, target).min(1.0);
    if total < 1e-3 {
        return Arrival { when: None, never: 1.0 - total };
    }
    let at = |share: f64| crossing(|t| p.arrived(t, target), share * total, now, horizon, TIME_TOLERANCE);
    Arrival { when: Some(interval(SHARES.map(at))), never: 1.0 - total }
}

fn ends_at(p: &Posterior) -> Interval {
    let (low, high) = p.cells.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), c| {
        let reach = 6.0 * c.cov[2].max(0.0).sqrt();
        (l.min(c.end - reach), h.max(c.end + reach))
    });
    interval(SHARES.map(|s| crossing(|t| p.ends_below(t), s, low, high, 1e-3)))
}
