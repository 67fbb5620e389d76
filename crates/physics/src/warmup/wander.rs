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

/// Vectors that are whitened side by side.
pub(crate) const LANES: usize = 8;
/// One component of each of them.
pub(crate) type Lanes = [f64; LANES];

/// A time as the drift counts it, in units of the span over which the rate is correlated: s, e^−s, e^s.
#[derive(Debug, Clone, Copy)]
struct Counted(f64, f64, f64);

impl Counted {
    /// `minutes` since the drift began; the least span keeps e^s far from overflow.
    fn new(minutes: f64, span: f64) -> Self {
        let s = -FORGETS_MIN * libm::expm1(-minutes.max(0.0) / FORGETS_MIN) / span;
        Self(s, libm::exp(-s), libm::exp(s))
    }

    /// Covariance of the integral of an Ornstein–Uhlenbeck rate, of standard deviation 1 for each span, that starts at time 0.
    fn drift(self, other: Self) -> f64 {
        let (least, most) = if self.0 < other.0 { (self, other) } else { (other, self) };
        2.0 * least.0 - 1.0 + least.1 + most.1 - most.1 * least.2
    }
}

/// One strength of wandering, prepared for a set of readings.
pub(crate) struct Wander {
    /// Variance of the drift in one span, K².
    strength: f64,
    span: f64,
    origin: f64,
    marks: Vec<Counted>,
    /// Lower triangle of the Cholesky factor of the covariance of the readings, row by row, diagonal inverted.
    lower: Vec<f64>,
    pub log_det: f64,
}

impl Wander {
    pub fn new(bins: &Bins, sd: f64, span: f64) -> Self {
        let n = bins.minutes.len();
        let origin = bins.minutes.first().copied().unwrap_or(0.0);
        let marks = bins.minutes.iter().map(|t| Counted::new(t - origin, span)).collect();
        let strength = (sd * span) * (sd * span);
        let mut w = Self { strength, span, origin, marks, lower: vec![0.0; n * (n + 1) / 2], log_det: 0.0 };
        for i in 0..n {
            for j in 0..=i {
                let mut sum = w.covariance(w.marks[i], w.marks[j]);
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

    fn covariance(&self, a: Counted, b: Counted) -> f64 {
        START_SD * START_SD + self.strength * a.drift(b)
    }

    /// L⁻¹·x of some vectors side by side, so that a sum of products is a product under the inverse covariance.
    pub fn whiten<const N: usize>(&self, x: &[[f64; N]], out: &mut [[f64; N]]) {
        for i in 0..x.len().min(out.len()) {
            let r = &self.lower[row(i)..=row(i) + i];
            let mut sum = x[i];
            for (factor, done) in r.iter().zip(&out[..i]) {
                for lane in 0..N {
                    sum[lane] -= factor * done[lane];
                }
            }
            out[i] = sum.map(|sum| sum * r[i]);
        }
    }

    /// The same in a vector of its own.
    pub fn whitened<const N: usize>(&self, x: &[[f64; N]]) -> Vec<[f64; N]> {
        let mut out = vec![[0.0; N]; x.len()];
        self.whiten(x, &mut out);
        out
    }

    /// Whitened covariance of the process at `times` with the readings (all times of the first reading, then of the next), and
    /// its variance at each time given the readings.
    pub fn ahead(&self, times: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let (n, m) = (self.marks.len(), times.len());
        let counted: Vec<Counted> = times.iter().map(|t| Counted::new(t - self.origin, self.span)).collect();
        let mut cross = vec![0.0; n * m];
        let mut variance = Vec::with_capacity(m);
        let (mut x, mut white) = (vec![[0.0; LANES]; n], vec![[0.0; LANES]; n]);
        for (block, some) in counted.chunks(LANES).enumerate() {
            for (row, mark) in x.iter_mut().zip(&self.marks) {
                row.iter_mut().zip(some).for_each(|(x, t)| *x = self.covariance(*t, *mark));
            }
            self.whiten(&x, &mut white);
            for (lane, t) in some.iter().enumerate() {
                white.iter().enumerate().for_each(|(k, row)| cross[k * m + block * LANES + lane] = row[lane]);
                let explained: f64 = white.iter().map(|row| row[lane] * row[lane]).sum();
                variance.push((self.covariance(*t, *t) - explained).max(0.0));
            }
        }
        (cross, variance)
    }
}

fn row(i: usize) -> usize {
    i * (i + 1) / 2
}

#[cfg(test)]
mod tests {
    use super::{Bins, Counted, Wander};

    /// The double integral of sd² e^(−|u − v|) over 0..a and 0..b, by the midpoint rule.
    #[test]
    fn law_the_drift_is_the_integral_of_its_rate() {
        for (a, b) in [(2.0, 5.0), (7.0, 7.0), (12.0, 3.0)] {
            let (a, b) = (Counted::new(a, 6.0), Counted::new(b, 6.0));
            let steps = 800;
            let middle = |i: usize, end: f64| (i as f64 + 0.5) * end / steps as f64;
            let cells = (0..steps).flat_map(|i| (0..steps).map(move |j| (i, j)));
            let sum: f64 = cells.map(|(i, j)| (-(middle(i, a.0) - middle(j, b.0)).abs()).exp()).sum();
            let integral = sum * a.0 * b.0 / (steps * steps) as f64;
            assert!((a.drift(b) - integral).abs() < 1e-5, "{} {integral}", a.drift(b));
        }
    }

    /// A process tied to a sharp reading has no freedom there, and later gains some.
    #[test]
    fn law_what_was_read_leaves_no_doubt_there() {
        let bins = Bins { minutes: vec![0.0, 2.0, 4.0], celsius: vec![0.0; 3], variance: vec![1e-4; 3] };
        let wander = Wander::new(&bins, 0.5, 6.0);
        let (cross, variance) = wander.ahead(&[4.0, 5.0, 9.0]);
        assert!(cross.len() == 9 && variance[0] < 1.1e-4 && variance[1] > variance[0] && variance[2] > variance[1]);
        let alone: Vec<f64> = wander.whitened(&[[1.0], [2.0], [4.0]]).into_iter().flatten().collect();
        let beside = wander.whitened(&[[9.0, 1.0], [8.0, 2.0], [7.0, 4.0]]);
        assert!(alone.iter().zip(&beside).all(|(one, row)| *one == row[1]));
    }
}
