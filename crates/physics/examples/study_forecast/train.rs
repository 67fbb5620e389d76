//! A small network taught by the pinball loss of three quantiles: Adam with a cooling step, noise on its inputs, weights that
//! shrink. Everything in a fixed order, so the same samples teach the same.

use physics::warmup::teaching::{Net, SIGNS, Signs, WIDTH};

use super::teach::Sample;
use super::truth::Draws;

const SHARES: [f64; 3] = [0.1, 0.5, 0.9];
const EPOCHS: usize = 20;
const BATCH: usize = 512;
const STEP: f64 = 4e-3;
const SHRINK: f64 = 3e-3;
const NOISE: f64 = 0.15;
/// Within this error the loss is rounded.
const ROUND: f64 = 0.02;
/// Errors beyond this teach no more than this.
const MOST: f64 = 2.5;
/// Share of the samples beyond each limit of a sign.
const OUTER: f64 = 0.003;

const FIRST: usize = (SIGNS + 1) * WIDTH;
const SECOND: usize = (WIDTH + 1) * WIDTH;
const ALL: usize = FIRST + SECOND + (WIDTH + 1) * 3;

/// All weights in a row: first, second, third layer, each with its added row last.
struct Weights(Vec<f64>);

fn limits(samples: &[&Sample]) -> [[f32; 4]; SIGNS] {
    std::array::from_fn(|j| {
        let mut x: Vec<f64> = samples.iter().map(|s| s.signs[j]).collect();
        x.sort_by(f64::total_cmp);
        let place = |share: f64| x[((share * x.len() as f64) as usize).min(x.len() - 1)];
        let (low, high) = (place(OUTER), place(1.0 - OUTER));
        let n = x.len() as f64;
        let mean = x.iter().map(|x| x.clamp(low, high)).sum::<f64>() / n;
        let var = x.iter().map(|x| (x.clamp(low, high) - mean).powi(2)).sum::<f64>() / n;
        [low, high, mean, var.sqrt().max(1e-3)].map(rounded)
    })
}

/// To four figures, as it is written.
fn rounded(x: f64) -> f32 {
    format!("{x:.3e}").parse().expect("a number")
}

/// y += x·W for rows of `n`, the last row added.
fn forward(x: &[f64], w: &[f64], y: &mut [f64]) {
    let n = y.len();
    y.copy_from_slice(&w[x.len() * n..(x.len() + 1) * n]);
    for (x, row) in x.iter().zip(w.chunks_exact(n)) {
        y.iter_mut().zip(row).for_each(|(y, w)| *y += x * w);
    }
}

/// Adds the slope of the loss by the weights, and gives that by the inputs.
fn back(x: &[f64], w: &[f64], by_y: &[f64], by_w: &mut [f64], by_x: &mut [f64]) {
    let n = by_y.len();
    for (i, x) in x.iter().enumerate() {
        let (row, out) = (&w[i * n..(i + 1) * n], &mut by_w[i * n..(i + 1) * n]);
        by_x[i] = row.iter().zip(by_y).map(|(w, g)| w * g).sum();
        out.iter_mut().zip(by_y).for_each(|(o, g)| *o += x * g);
    }
    by_w[x.len() * n..].iter_mut().zip(by_y).for_each(|(o, g)| *o += g);
}

impl Weights {
    fn new(d: &mut Draws) -> Self {
        let mut w = vec![0.0; ALL];
        let mut fill =
            |from: usize, count: usize, sd: f64| w[from..from + count].iter_mut().for_each(|w| *w = sd * d.normal());
        fill(0, SIGNS * WIDTH, (SIGNS as f64).recip().sqrt());
        fill(FIRST, WIDTH * WIDTH, (WIDTH as f64).recip().sqrt());
        fill(FIRST + SECOND, WIDTH * 3, 0.01);
        Self(w)
    }

    /// Adds the slope of one sample's loss by every weight.
    fn slope(&self, x: &Signs, wanted: [f64; 3], weight: f64, by: &mut [f64]) {
        let (first, rest) = self.0.split_at(FIRST);
        let (second, third) = rest.split_at(SECOND);
        let (mut a, mut b, mut y) = ([0.0; WIDTH], [0.0; WIDTH], [0.0; 3]);
        forward(x, first, &mut a);
        a.iter_mut().for_each(|a| *a = a.tanh());
        forward(&a, second, &mut b);
        b.iter_mut().for_each(|b| *b = b.tanh());
        forward(&b, third, &mut y);
        let by_y: [f64; 3] = std::array::from_fn(|i| {
            let off = wanted[i] - y[i];
            let share = if off > 0.0 { SHARES[i] } else { 1.0 - SHARES[i] };
            -share * (off / ROUND).clamp(-1.0, 1.0) * weight
        });
        let (by_first, rest) = by.split_at_mut(FIRST);
        let (by_second, by_third) = rest.split_at_mut(SECOND);
        let (mut by_b, mut by_a, mut by_x) = ([0.0; WIDTH], [0.0; WIDTH], [0.0; SIGNS]);
        back(&b, third, &by_y, by_third, &mut by_b);
        by_b.iter_mut().zip(&b).for_each(|(g, b)| *g *= 1.0 - b * b);
        back(&a, second, &by_b, by_second, &mut by_a);
        by_a.iter_mut().zip(&a).for_each(|(g, a)| *g *= 1.0 - a * a);
        back(x, first, &by_a, by_first, &mut by_x);
    }
}

/// The network that these samples teach.
pub fn train(samples: &[&Sample]) -> Net {
    let mut net = Net {
        signs: limits(samples),
        first: [[0.0; WIDTH]; SIGNS + 1],
        second: [[0.0; WIDTH]; WIDTH + 1],
        third: [[0.0; 3]; WIDTH + 1],
    };
    let mean = samples.iter().map(|s| s.weight).sum::<f64>() / samples.len() as f64;
    let scaled: Vec<(Signs, [f64; 3], f64)> = samples
        .iter()
        .map(|s| {
            let mut x = [0.0; SIGNS];
            x.iter_mut().zip(net.scaled(&s.signs)).for_each(|(x, y)| *x = y);
            let off = (s.truth - s.logs[1]).clamp(-MOST, MOST) + s.logs[1];
            (x, s.logs.map(|log| off - log), s.weight / mean)
        })
        .collect();
    let mut d = Draws(5);
    let mut weights = Weights::new(&mut d);
    let (mut m, mut v) = (vec![0.0; ALL], vec![0.0; ALL]);
    let mut order: Vec<usize> = (0..samples.len()).collect();
    let (mut fade_m, mut fade_v) = (1.0, 1.0);
    for epoch in 0..EPOCHS {
        for i in (1..order.len()).rev() {
            order.swap(i, d.uniform(0.0, (i + 1) as f64) as usize % (i + 1));
        }
        let step = STEP * 0.5 * (1.0 + (std::f64::consts::PI * epoch as f64 / EPOCHS as f64).cos());
        for batch in order.chunks(BATCH) {
            let mut by = vec![0.0; ALL];
            for &i in batch {
                let (x, wanted, weight) = &scaled[i];
                let noisy = x.map(|x| x + NOISE * d.normal());
                weights.slope(&noisy, *wanted, weight / batch.len() as f64, &mut by);
            }
            (fade_m, fade_v) = (fade_m * 0.9, fade_v * 0.999);
            for k in 0..ALL {
                m[k] = 0.9 * m[k] + 0.1 * by[k];
                v[k] = 0.999 * v[k] + 0.001 * by[k] * by[k];
                let size = (v[k] / (1.0 - fade_v)).sqrt() + 1e-8;
                weights.0[k] -= step * (m[k] / (1.0 - fade_m) / size + SHRINK * weights.0[k]);
            }
        }
    }
    let mut flat = weights.0.iter().map(|w| rounded(*w));
    let mut next = || flat.next().expect("as many as there are");
    net.first.iter_mut().flatten().for_each(|w| *w = next());
    net.second.iter_mut().flatten().for_each(|w| *w = next());
    net.third.iter_mut().flatten().for_each(|w| *w = next());
    net
}

#[cfg(test)]
mod tests {
    use super::{ALL, Weights, forward, train};
    use super::{FIRST, ROUND, SECOND, SHARES};
    use crate::teach::Sample;
    use crate::truth::Draws;
    use physics::warmup::teaching::{Signs, WIDTH};

    /// The rounded pinball loss of one sample.
    fn loss(w: &[f64], x: &Signs, wanted: [f64; 3]) -> f64 {
        let (mut a, mut b, mut y) = ([0.0; WIDTH], [0.0; WIDTH], [0.0; 3]);
        forward(x, &w[..FIRST], &mut a);
        forward(&a.map(f64::tanh), &w[FIRST..FIRST + SECOND], &mut b);
        forward(&b.map(f64::tanh), &w[FIRST + SECOND..], &mut y);
        let one = |i: usize| {
            let off = wanted[i] - y[i];
            let share = if off > 0.0 { SHARES[i] } else { 1.0 - SHARES[i] };
            let size = off.abs();
            share * if size < ROUND { size * size / (2.0 * ROUND) } else { size - ROUND / 2.0 }
        };
        (0..3).map(one).sum()
    }

    /// Definition of a slope, by a small difference in every weight.
    #[test]
    fn law_the_slope_is_that_of_the_loss() {
        let mut d = Draws(3);
        let mut weights = Weights::new(&mut d);
        weights.0.iter_mut().for_each(|w| *w += 0.1 * d.normal());
        let x: Signs = std::array::from_fn(|_| d.normal());
        let wanted = [-0.4, 0.013, 0.6];
        let mut by = vec![0.0; ALL];
        weights.slope(&x, wanted, 1.0, &mut by);
        for k in 0..ALL {
            let at = |by: f64| {
                let mut w = weights.0.clone();
                w[k] += by;
                loss(&w, &x, wanted)
            };
            let slope = (at(1e-6) - at(-1e-6)) / 2e-6;
            assert!((slope - by[k]).abs() < 1e-5 * (1.0 + slope.abs()), "{k}: {slope} {}", by[k]);
        }
    }

    /// What is off by a known factor, with a spread that a sign tells, is put right.
    #[test]
    fn law_a_plain_lesson_is_learnt() {
        let mut d = Draws(4);
        let samples: Vec<Sample> = (0..12_000)
            .map(|_| {
                let signs: Signs = std::array::from_fn(|_| d.normal());
                let spread = if signs[7] > 0.0 { 0.3 } else { 0.1 };
                let truth = 2.0 + 0.25 * signs[3] + spread * d.normal();
                Sample { structure: "", weight: 1.0, logs: [1.9, 2.2, 2.3], signs, truth }
            })
            .collect();
        let net = train(&samples.iter().collect::<Vec<_>>());
        let said: Vec<[f64; 3]> = samples.iter().map(|s| net.corrected(s.logs, &s.signs)).collect();
        for wide in [true, false] {
            // Away from the edge, which noise on the signs blurs.
            let clear = |x: f64| if wide { x > 0.5 } else { x < -0.5 };
            let chosen = || samples.iter().zip(&said).filter(|(s, _)| clear(s.signs[7]));
            let n = chosen().count() as f64;
            let held = chosen().filter(|(s, q)| q[0] <= s.truth && s.truth <= q[2]).count() as f64 / n;
            let width = chosen().map(|(_, q)| q[2] - q[0]).sum::<f64>() / n;
            let sd = if wide { 0.3 } else { 0.1 };
            assert!((held - 0.8).abs() < 0.05, "{wide}: held {held}");
            assert!((width / (2.0 * 1.2816 * sd) - 1.0).abs() < 0.2, "{wide}: width {width}");
        }
    }
}
