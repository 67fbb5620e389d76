//! The lesson: how far off the ensemble was on simulated units of many structures, learnt as a small network from the signs of
//! a log to the quantiles that would have been right, and applied by stretching every path in time.

use super::paths::arrivals;
use super::signs::{Logs, SIGNS, SOON, Seen, Signs};
use super::taught::TAUGHT;

/// Units in each of both inner layers.
pub const WIDTH: usize = 24;
/// A corrected time is at most this many times shorter or longer, natural log.
const MOST: f64 = 1.5;
/// Quantiles stay at least this far apart, natural log.
const APART: f64 = 0.01;
/// How the map of times goes on beyond its outer quantiles: least and most slope.
const SLOPES: (f64, f64) = (0.3, 3.0);

/// A network of two inner layers. Signs are first held within the range they were taught with and brought to mean 0 and
/// standard deviation 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Net {
    /// Low and high limit, mean and standard deviation of each sign.
    pub signs: [[f32; 4]; SIGNS],
    /// Weights from each sign; the last row is added.
    pub first: [[f32; WIDTH]; SIGNS + 1],
    pub second: [[f32; WIDTH]; WIDTH + 1],
    /// What is added to the log of each quantile.
    pub third: [[f32; 3]; WIDTH + 1],
}

/// Sums of products with the rows; the last row is added.
fn layer<const N: usize>(x: impl Iterator<Item = f64>, rows: &[[f32; N]]) -> [f64; N] {
    let mut sums = rows.last().map_or([0.0; N], |r| r.map(f64::from));
    for (x, row) in x.zip(rows) {
        sums.iter_mut().zip(row).for_each(|(sum, w)| *sum += x * f64::from(*w));
    }
    sums
}

impl Net {
    /// Signs as the first layer takes them.
    pub fn scaled<'a>(&'a self, signs: &'a Signs) -> impl Iterator<Item = f64> + 'a {
        signs.iter().zip(&self.signs).map(|(x, by)| {
            let [low, high, mean, sd] = by.map(f64::from);
            (x.clamp(low, high) - mean) / sd
        })
    }

    /// The quantiles that would have been right, from those of the ensemble: its own about its median, and what the network adds.
    pub fn corrected(&self, logs: Logs, signs: &Signs) -> Logs {
        let inner = layer(self.scaled(signs), &self.first).map(libm::tanh);
        let inner = layer(inner.into_iter(), &self.second).map(libm::tanh);
        let by = layer(inner.into_iter(), &self.third);
        let [low, middle, high] = std::array::from_fn(|i| logs[i] + by[i].clamp(-MOST, MOST));
        [low.min(middle - APART), middle, high.max(middle + APART)]
    }
}

/// A rising map of minutes ahead: three points, linear in logs between them.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    from: Logs,
    to: Logs,
}

impl Stretch {
    fn at(&self, minutes: f64) -> f64 {
        let x = libm::log(minutes.max(SOON));
        let slope = |i: usize| {
            let span = self.from[i + 1] - self.from[i];
            if span > 1e-3 { (self.to[i + 1] - self.to[i]) / span } else { 1.0 }
        };
        let [low, middle, high] = self.from;
        let y = if x < low {
            self.to[0] + slope(0).clamp(SLOPES.0, SLOPES.1) * (x - low)
        } else if x < middle {
            self.to[0] + slope(0) * (x - low)
        } else if x < high {
            self.to[1] + slope(1) * (x - middle)
        } else {
            self.to[2] + slope(1).clamp(SLOPES.0, SLOPES.1) * (x - high)
        };
        libm::exp(y)
    }
}

/// Stretches every path so that it reaches both ends of the window when the lesson says.
pub(super) fn apply(seen: &Seen, window: (f64, f64)) -> Vec<f64> {
    let (times, now) = (seen.times, seen.times[0]);
    let mut paths = seen.paths.to_vec();
    let ends = [window.0, window.1].map(|target| {
        let when = arrivals(times, &paths, target);
        let stretch =
            seen.of(target, &when).map(|(logs, signs)| Stretch { from: logs, to: TAUGHT.corrected(logs, &signs) });
        (when, stretch)
    });
    if ends.iter().all(|end| end.1.is_none()) {
        return paths;
    }
    // A path that does not come so far is stretched as the slow ones are.
    let slow = ends.iter().filter_map(|end| end.1).next_back().map_or(1.0, |s| libm::exp(s.from[2] - s.to[2]));
    let before = seen.paths.chunks_exact(times.len());
    for (k, (path, before)) in paths.chunks_exact_mut(times.len()).zip(before).enumerate() {
        let mut points = Points::new();
        for (when, stretch) in &ends {
            if let (Some(at), Some(stretch)) = (when[k].map(|t| t - now).filter(|t| *t > SOON), stretch) {
                points.push(stretch.at(at), at);
            }
        }
        let mut i = 0;
        for (y, t) in path.iter_mut().zip(times) {
            let then = now + points.back(t - now, slow);
            while i + 2 < times.len() && times[i + 1] < then {
                i += 1;
            }
            let share = ((then - times[i]) / (times[i + 1] - times[i])).clamp(0.0, 1.0);
            *y = before[i] + (before[i + 1] - before[i]) * share;
        }
    }
    paths
}

/// From minutes ahead as stretched back to minutes ahead before: at most two points after the start, both rising.
struct Points {
    stretched: [f64; 3],
    before: [f64; 3],
    count: usize,
}

impl Points {
    fn new() -> Self {
        Self { stretched: [0.0; 3], before: [0.0; 3], count: 1 }
    }

    fn push(&mut self, stretched: f64, before: f64) {
        let last = self.count - 1;
        let gone = before - self.before[last];
        if gone > 1e-9 {
            // Never out of order: at the least a fifth of the time it took.
            self.stretched[self.count] = stretched.max(self.stretched[last] + 0.2 * gone);
            self.before[self.count] = before;
            self.count += 1;
        }
    }

    /// Between the points, and beyond the last at the pace of the whole.
    fn back(&self, stretched: f64, without: f64) -> f64 {
        let last = self.count - 1;
        if last == 0 {
            return stretched * without;
        }
        if stretched >= self.stretched[last] {
            return self.before[last] + (stretched - self.stretched[last]) * self.before[last] / self.stretched[last];
        }
        let i = if last == 2 && stretched >= self.stretched[1] { 1 } else { 0 };
        let share = (stretched - self.stretched[i]) / (self.stretched[i + 1] - self.stretched[i]);
        self.before[i] + (self.before[i + 1] - self.before[i]) * share
    }
}

#[cfg(test)]
mod tests {
    use super::{APART, Points, Stretch, TAUGHT};
    use crate::warmup::signs::SIGNS;

    #[test]
    fn law_what_was_taught_is_usable() {
        for [low, high, mean, sd] in TAUGHT.signs {
            assert!(low <= high && (low..=high).contains(&mean) && sd > 0.0, "{low} {high} {mean} {sd}");
        }
        let weights = TAUGHT.first.iter().chain(&TAUGHT.second).flatten().chain(TAUGHT.third.iter().flatten());
        assert!(weights.clone().all(|w| w.is_finite() && w.abs() < 10.0) && weights.clone().any(|w| *w != 0.0));
    }

    /// Signs far beyond what was taught are held at the limits, so what is said stays near to what the ensemble says.
    #[test]
    fn law_quantiles_stay_in_order() {
        for i in 0..2000 {
            let signs: [f64; SIGNS] = std::array::from_fn(|j| {
                let size = 10f64.powf(((i * 7 + j * 13) % 12) as f64 - 4.0);
                if (i + j).is_multiple_of(3) { -size } else { size }
            });
            let said = TAUGHT.corrected([1.0, 1.2, 1.5], &signs);
            assert!(said[1] - said[0] >= APART - 1e-12 && said[2] - said[1] >= APART - 1e-12, "{said:?}");
            assert!((said[1] - 1.2).abs() <= 1.5 && said.iter().all(|x| x.is_finite()), "{said:?}");
        }
    }

    #[test]
    fn law_stretching_keeps_the_order_of_times() {
        let stretch = Stretch { from: [0.5, 1.0, 1.8], to: [0.7, 0.9, 2.4] };
        for (from, to) in stretch.from.iter().zip(&stretch.to) {
            assert!((stretch.at(from.exp()).ln() - to).abs() < 1e-12);
        }
        let times: Vec<f64> = (1..2000).map(|i| stretch.at(0.05 * f64::from(i))).collect();
        assert!(times.windows(2).all(|w| w[0] < w[1]));
        let same = Stretch { from: [0.5, 1.0, 1.8], to: [0.5, 1.0, 1.8] };
        assert!((1..500).map(f64::from).all(|t| (same.at(t) / t - 1.0).abs() < 1e-12));
    }

    /// By hand: 2 min become 3, 6 become 5; half way between is half way, and beyond it goes on at 6/5.
    #[test]
    fn hand_a_path_is_followed_back() {
        let mut points = Points::new();
        points.push(3.0, 2.0);
        points.push(5.0, 6.0);
        let rows = [(0.0, 0.0), (1.5, 1.0), (3.0, 2.0), (4.0, 4.0), (5.0, 6.0), (10.0, 12.0)];
        for (stretched, before) in rows {
            assert!((points.back(stretched, 1.0) - before).abs() < 1e-12, "{stretched}");
        }
        assert!((Points::new().back(8.0, 0.5) - 4.0).abs() < 1e-12);
    }
}
