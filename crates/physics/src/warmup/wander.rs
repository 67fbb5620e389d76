//! What no model of a vehicle knows: a heat input that wanders. A normal process that explains the misfit of a vehicle
//! to the readings, ties its path to the last of them and lets it drift off again afterwards.

use super::clean::Clean;
use super::marks::marks;

/// At most this many marks of the readings are used.
const BINS: usize = 16;
/// How well the start temperature is known beside the first reading, K.
const START_SD: f64 = 8.0;

/// Marks of the readings: minutes, °C, variance.
#[derive(Debug, Clone)]
pub(crate) struct Bins {
    pub minutes: Vec<f64>,
    pub celsius: Vec<f64>,
    pub variance: Vec<f64>,
}

/// The readings as few marks.
pub(crate) fn bins(clean: &Clean) -> Bins {
    let marks = marks(clean, BINS);
    Bins {
        minutes: marks.iter().map(|m| m.minutes).collect(),
        celsius: marks.iter().map(|m| m.celsius).collect(),
        variance: marks.iter().map(|m| m.variance).collect(),
    }
}

/// A drift of the temperature is lost to the air in the long run: time counts less and less, up to this many minutes.
const FORGETS_MIN: f64 = 45.0;

/// Covariance of the integral of an Ornstein–Uhlenbeck rate (standard deviation `sd` K/min, correlated over `span`
/// minutes) that starts at time 0.
fn drift(a: f64, b: f64, sd: f64, span: f64) -> f64 {
    let counted = |x: f64| -FORGETS_MIN * libm::expm1(-x.max(0.0) / FORGETS_MIN) / span;
    let (s, t) = (counted(a), counted(b));
    let e = libm::exp(-s) + libm::exp(-t) - libm::exp(-(s - t).abs());
    (sd * span) * (sd * span) * (2.0 * s.min(t) - 1.0 + e)
}

/// One strength of wandering, prepared for a set of readings.
pub(crate) struct Wander {
    sd: f64,
    span: f64,
    origin: f64,
    minutes: Vec<f64>,
    /// Lower triangle of the Cholesky factor of the covariance of the readings, row by row, diagonal inverted.
    lower: Vec<f64>,
    pub log_det: f64,
}

impl Wander {
    pub fn new(bins: &Bins, sd: f64, span: f64) -> Self {
        let n = bins.minutes.len();
        let origin = bins.minutes.first().copied().unwrap_or(0.0);
        let mut w =
            Self { sd, span, origin, minutes: bins.minutes.clone(), lower: vec![0.0; n * (n + 1) / 2], log_det: 0.0 };
        for i in 0..n {
            for j in 0..=i {
                let mut sum = w.covariance(bins.minutes[i], bins.minutes[j]);
                if i == j {
                    sum += bins.variance[i];
                }
                for k in 0..j {
                    sum -= w.lower[row(i) + k] * w.lower[row(j) + k];
                }
                w.lower[row(i) + j] = if i == j { 1.0 / sum.max(1e-9).sqrt() } else { sum * w.lower[row(j) + j] };
            }
            w.log_det -= 2.0 * libm::log(w.lower[row(i) + i]);
        }
        w
    }

    fn covariance(&self, a: f64, b: f64) -> f64 {
        START_SD * START_SD + drift(a - self.origin, b - self.origin, self.sd, self.span)
    }

    /// L⁻¹·x, so that a sum of products is a product under the inverse covariance.
    pub fn whiten(&self, x: &[f64], out: &mut [f64]) {
        for i in 0..x.len() {
            let r = &self.lower[row(i)..row(i) + i + 1];
            let mut sum = x[i];
            for k in 0..i {
                sum -= r[k] * out[k];
            }
            out[i] = sum * r[i];
        }
    }

    /// Whitened covariance of the process at `t` with the readings, and its variance there given them.
    pub fn ahead(&self, t: f64) -> (Vec<f64>, f64) {
        let cross: Vec<f64> = self.minutes.iter().map(|&m| self.covariance(t, m)).collect();
        let mut white = vec![0.0; cross.len()];
        self.whiten(&cross, &mut white);
        let explained: f64 = white.iter().map(|w| w * w).sum();
        (white, (self.covariance(t, t) - explained).max(0.0))
    }
}

fn row(i: usize) -> usize {
    i * (i + 1) / 2
}
