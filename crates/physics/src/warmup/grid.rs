//! The lag-aware grid: exact Bayesian posterior of a first-order warm-up with lag, without iteration.
//!
//! For each pair (τ, λ) the curve is linear in (T_start, T_end), so their posterior is a normal distribution in
//! closed form; the pairs are weighed against each other by evidence.

use super::clean::Clean;
use super::first_order::left_over;
use super::forecast::UnitHistory;

const TAU_STEPS: usize = 41;
const TAU_LOW: f64 = 4.0;
const TAU_HIGH: f64 = 100.0;
/// Cells lighter than this share of the whole are left out.
const NEGLIGIBLE: f64 = 1e-9;

/// What is believed before the first reading; minutes and °C.
#[derive(Debug, Clone)]
pub(crate) struct Priors {
    /// ln τ is normal: mean τ and the standard deviation of ln τ.
    pub tau: (f64, f64),
    /// Lags with their weights.
    pub lags: Vec<(f64, f64)>,
    /// End temperature: a mixture of weight, mean, standard deviation.
    pub ends: Vec<(f64, f64, f64)>,
    /// Start temperature: mean, standard deviation.
    pub start: (f64, f64),
}

impl Priors {
    /// Nothing known about the unit. A judgement, no source: most units level off at 85 ± 12 °C at idle, some
    /// barely warm; τ is 18 min within a factor 1.65.
    pub fn wide() -> Self {
        let lags = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0];
        Self {
            tau: (18.0, 0.5),
            lags: lags.iter().map(|&l| (l, if l == 0.0 { 0.25 } else { 1.0 / 12.0 })).collect(),
            ends: vec![(0.85, 85.0, 12.0), (0.15, 58.0, 10.0)],
            start: (20.0, 40.0),
        }
    }

    /// What earlier jobs on this kind of unit taught; never trusted to better than 10 % of τ, 2 K, 0.5 min.
    pub fn from_history(history: &UnitHistory) -> Option<Self> {
        let tau = history.time_constant.value.minutes();
        let end = history.end.value.celsius();
        let lag = history.lag.value.minutes();
        let spread = [history.time_constant.u.minutes() / tau, history.end.u.celsius(), history.lag.u.minutes()];
        let sane = tau.is_finite() && tau > 0.5 && tau < 500.0 && end.is_finite() && lag.is_finite();
        if !sane || spread.iter().any(|u| !u.is_finite() || *u < 0.0) {
            return None;
        }
        let wide = Self::wide();
        let u_lag = spread[2].max(0.5);
        let lags: Vec<(f64, f64)> = wide
            .lags
            .iter()
            .map(|&(l, _)| (l, libm::exp(-0.5 * libm::pow((l - lag.clamp(0.0, 12.0)) / u_lag, 2.0)).max(1e-12)))
            .collect();
        let all: f64 = lags.iter().map(|l| l.1).sum();
        Some(Self {
            tau: (tau.clamp(TAU_LOW, TAU_HIGH), spread[0].clamp(0.1, 1.0)),
            lags: lags.into_iter().map(|(l, w)| (l, w / all)).collect(),
            ends: vec![(1.0, end, spread[1].max(2.0))],
            start: wide.start,
        })
    }
}

/// One pair (τ, λ) under one prior of the end: weight and the normal posterior of (T_start, T_end).
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cell {
    pub weight: f64,
    pub tau: f64,
    pub lag: f64,
    pub start: f64,
    pub end: f64,
    /// Covariance: start–start, start–end, end–end.
    pub cov: [f64; 3],
}

impl Cell {
    /// Mean and standard deviation of the temperature when the share `e` of the way is left.
    fn temperature(&self, e: f64) -> (f64, f64) {
        let n = 1.0 - e;
        let var = e * e * self.cov[0] + 2.0 * e * n * self.cov[1] + n * n * self.cov[2];
        (e * self.start + n * self.end, var.max(0.0).sqrt())
    }
}

/// The posterior as a weighted list of cells, heaviest nowhere in particular, weights summing to 1.
#[derive(Debug, Clone)]
pub(crate) struct Posterior {
    pub cells: Vec<Cell>,
}

/// Variance of one reading: instrument, display step, and a floor against overconfidence.
pub(crate) fn reading_variance(clean: &Clean) -> f64 {
    let instrument = if clean.step >= 0.4 { 0.3 } else { 0.1 };
    instrument * instrument + clean.step * clean.step / 12.0 + 0.0025
}

/// The exact posterior.
pub(crate) fn posterior(clean: &Clean, variance: f64, priors: &Priors) -> Posterior {
    let mut cells = Vec::with_capacity(TAU_STEPS * priors.lags.len() * priors.ends.len());
    let mut logs = Vec::with_capacity(cells.capacity());
    for k in 0..TAU_STEPS {
        let tau = TAU_LOW * libm::pow(TAU_HIGH / TAU_LOW, k as f64 / (TAU_STEPS - 1) as f64);
        let z = libm::log(tau / priors.tau.0) / priors.tau.1;
        for &(lag, lag_weight) in &priors.lags {
            let sums = Sums::of(clean, tau, lag);
            for &(weight, mean, sd) in &priors.ends {
                let (cell, evidence) = sums.solve(variance, priors.start, (mean, sd));
                cells.push(Cell { tau, lag, ..cell });
                logs.push(-0.5 * z * z + libm::log(lag_weight * weight) + evidence);
            }
        }
    }
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    for (cell, log) in cells.iter_mut().zip(&logs) {
        cell.weight = libm::exp(log - top);
    }
    let all: f64 = cells.iter().map(|c| c.weight).sum();
    cells.retain(|c| c.weight > NEGLIGIBLE * all);
    let kept: f64 = cells.iter().map(|c| c.weight).sum();
    cells.iter_mut().for_each(|c| c.weight /= kept);
    Posterior { cells }
}

/// Sums of the 2×2 normal equations, independent of the priors.
struct Sums {
    ee: f64,
    en: f64,
    nn: f64,
    ey: f64,
    ny: f64,
}

impl Sums {
    fn of(clean: &Clean, tau: f64, lag: f64) -> Self {
        let mut s = Self { ee: 0.0, en: 0.0, nn: 0.0, ey: 0.0, ny: 0.0 };
        for (&t, &y) in clean.minutes.iter().zip(&clean.celsius) {
            let e = left_over(t.max(0.0), tau, lag);
            let n = 1.0 - e;
            s.ee += e * e;
            s.en += e * n;
            s.nn += n * n;
            s.ey += e * y;
            s.ny += n * y;
        }
        s
    }

    /// Posterior of (start, end) and its log evidence up to a constant shared by all cells.
    fn solve(&self, variance: f64, start: (f64, f64), end: (f64, f64)) -> (Cell, f64) {
        let (ps, pe) = (1.0 / (start.1 * start.1), 1.0 / (end.1 * end.1));
        let (a, b, d) = (self.ee / variance + ps, self.en / variance, self.nn / variance + pe);
        let (r0, r1) = (self.ey / variance + start.0 * ps, self.ny / variance + end.0 * pe);
        let det = a * d - b * b;
        let cov = [d / det, -b / det, a / det];
        let (t0, t1) = (cov[0] * r0 + cov[1] * r1, cov[1] * r0 + cov[2] * r1);
        let evidence = 0.5 * (t0 * r0 + t1 * r1) - 0.5 * libm::log(det) - libm::log(end.1) - 0.5 * end.0 * end.0 * pe;
        (Cell { weight: 0.0, tau: 0.0, lag: 0.0, start: t0, end: t1, cov }, evidence)
    }
}

fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

impl Posterior {
    /// P(the temperature at `t` minutes is at least `target`) = P(it has arrived by then), as every curve rises.
    pub fn arrived(&self, t: f64, target: f64) -> f64 {
        self.cells
            .iter()
            .map(|c| {
                let (mean, sd) = c.temperature(left_over(t, c.tau, c.lag));
                c.weight * normal_cdf((mean - target) / sd.max(1e-9))
            })
            .sum()
    }

    /// P(the end temperature is at most `t`).
    pub fn ends_below(&self, t: f64) -> f64 {
        self.cells.iter().map(|c| c.weight * normal_cdf((t - c.end) / c.cov[2].sqrt().max(1e-9))).sum()
    }

    /// Every cell as nine curves (weight, cell with start and end set), the 3 × 3 Gauss–Hermite points of its
    /// normal distribution; cells below a thousandth of the heaviest are left out.
    pub fn curves(&self) -> Vec<Cell> {
        const NODES: [(f64, f64); 3] =
            [(-1.732_050_807_568_877_2, 1.0 / 6.0), (0.0, 2.0 / 3.0), (1.732_050_807_568_877_2, 1.0 / 6.0)];
        let heaviest = self.cells.iter().map(|c| c.weight).fold(0.0, f64::max);
        let mut curves = Vec::new();
        for c in self.cells.iter().filter(|c| c.weight >= 1e-3 * heaviest) {
            let l00 = c.cov[0].max(0.0).sqrt().max(1e-12);
            let l10 = c.cov[1] / l00;
            let l11 = (c.cov[2] - l10 * l10).max(0.0).sqrt();
            for (z0, w0) in NODES {
                for (z1, w1) in NODES {
                    let (start, end) = (c.start + l00 * z0, c.end + l10 * z0 + l11 * z1);
                    curves.push(Cell { weight: c.weight * w0 * w1, start, end, ..*c });
                }
            }
        }
        curves
    }
}

/// Where a rising function of time passes `p` in [low, high], by the Illinois false position on a bracket;
/// `high` when it is not reached.
pub(crate) fn crossing(f: impl Fn(f64) -> f64, p: f64, low: f64, high: f64, tolerance: f64) -> f64 {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a) - p, f(b) - p);
    if fa >= 0.0 {
        return a;
    }
    if fb.is_nan() || fb < 0.0 {
        return b;
    }
    for i in 0..100 {
        if b - a <= tolerance {
            break;
        }
        // Every third step halves, so a flat stretch cannot stall it.
        let m = if i % 3 == 2 { 0.5 * (a + b) } else { (a * fb - b * fa) / (fb - fa) };
        let m = if m > a && m < b { m } else { 0.5 * (a + b) };
        let fm = f(m) - p;
        if fm < 0.0 {
            (a, fa, fb) = (m, fm, fb * 0.5);
        } else {
            (b, fb, fa) = (m, fm, fa * 0.5);
        }
    }
    0.5 * (a + b)
}
