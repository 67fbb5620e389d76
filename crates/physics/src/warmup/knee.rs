//! A knee: the pace of warming changes within a few readings, as where a cooler's bypass opens or the idle is let go.

use super::marks::Mark;

/// Marks on each side of a knee, at least.
const SIDE: usize = 4;
/// How much faster or slower it must go on.
const FACTOR: f64 = 1.7;
/// The broken line must explain this much better than a smooth bend: sum of squares below this share of the parabola's.
const BETTER: f64 = 0.3;

/// Where the pace changed: minutes, K/min before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Knee {
    pub minutes: f64,
    pub before: f64,
    pub after: f64,
}

/// The knee in a row of marks; `None` when a smooth bend explains them as well, or nearly so.
pub(crate) fn knee(marks: &[Mark]) -> Option<Knee> {
    let n = marks.len();
    if n < 2 * SIDE {
        return None;
    }
    let smooth = squares(marks, |t| [1.0, t, t * t]).1;
    let noise: f64 = marks.iter().map(|m| m.variance).sum();
    let (at, (fit, broken)) = (SIDE - 1..=n - SIDE)
        .map(|i| {
            let t = marks[i].minutes;
            (t, squares(marks, move |x| [1.0, x, (x - t).max(0.0)]))
        })
        .min_by(|a, b| a.1.1.total_cmp(&b.1.1))?;
    let (before, after) = (fit[1], fit[1] + fit[2]);
    let clear = broken < BETTER * smooth && smooth > noise;
    let faster = before > 0.0 && after > FACTOR * before;
    let slower = after > 0.0 && before > FACTOR * after;
    (clear && (faster || slower)).then_some(Knee { minutes: at, before, after })
}

/// Least squares of three columns: coefficients and the sum of squares left.
fn squares(marks: &[Mark], row: impl Fn(f64) -> [f64; 3]) -> ([f64; 3], f64) {
    let mut a = [[0.0f64; 4]; 3];
    for m in marks {
        let r = row(m.minutes);
        for i in 0..3 {
            for j in 0..3 {
                a[i][j] += r[i] * r[j];
            }
            a[i][3] += r[i] * m.celsius;
        }
    }
    for i in 0..3 {
        let pivot = (i..3).max_by(|&p, &q| a[p][i].abs().total_cmp(&a[q][i].abs())).unwrap_or(i);
        a.swap(i, pivot);
        if a[i][i].abs() < 1e-12 {
            return ([0.0; 3], f64::INFINITY);
        }
        for k in 0..3 {
            if k != i {
                let share = a[k][i] / a[i][i];
                let lead = a[i];
                a[k].iter_mut().zip(lead).for_each(|(x, l)| *x -= share * l);
            }
        }
    }
    let fit = [a[0][3] / a[0][0], a[1][3] / a[1][1], a[2][3] / a[2][2]];
    let left = marks
        .iter()
        .map(|m| {
            let r = row(m.minutes);
            let off = m.celsius - fit[0] * r[0] - fit[1] * r[1] - fit[2] * r[2];
            off * off
        })
        .sum();
    (fit, left)
}
