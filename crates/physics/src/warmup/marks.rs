//! From readings to marks: times at which the temperature is known, each with its variance. On a coarse display the moment
//! at which the value changes says far more than the value, so the changes are the marks.

use super::clean::Clean;

/// A display at least this coarse is read by its changes, K.
const COARSE: f64 = 0.25;
/// Standard deviation of an instrument, and a floor against overconfidence, K.
const INSTRUMENT: f64 = 0.1;
const FLOOR: f64 = 0.03;

/// The temperature at one time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Mark {
    pub minutes: f64,
    pub celsius: f64,
    pub variance: f64,
}

/// Whether the changes of the display are used rather than what it showed: it is coarse, and each value stays for two
/// readings or more.
pub(crate) fn by_changes(clean: &Clean) -> bool {
    let changes = clean.celsius.windows(2).filter(|w| w[0] != w[1]).count();
    clean.step >= COARSE && changes >= 2 && clean.minutes.len() >= 2 * changes
}

/// The marks in order of time, at most `most` of them.
pub(crate) fn marks(clean: &Clean, most: usize) -> Vec<Mark> {
    if by_changes(clean) { averaged(&changes(clean), most) } else { shown(clean, most) }
}

/// Averages of what was shown. Readings of a coarse display that show the same value share its rounding error, so only
/// different values count for that.
fn shown(clean: &Clean, most: usize) -> Vec<Mark> {
    let n = clean.minutes.len();
    let count = n.min(most);
    (0..count)
        .map(|b| {
            let (from, to) = (b * n / count, (b + 1) * n / count);
            let (t, y) = (&clean.minutes[from..to], &clean.celsius[from..to]);
            let k = (to - from) as f64;
            let mut values = y.to_vec();
            values.sort_by(f64::total_cmp);
            values.dedup();
            let rounding = clean.step * clean.step / 12.0 / values.len() as f64;
            Mark {
                minutes: t.iter().sum::<f64>() / k,
                celsius: y.iter().sum::<f64>() / k,
                variance: INSTRUMENT * INSTRUMENT / k + rounding + FLOOR * FLOOR,
            }
        })
        .collect()
}

/// The first reading, every change of the display (half way between the values, half way between the readings; a value that
/// flickers counts once, at the middle), and where it must be by now.
fn changes(clean: &Clean) -> Vec<Mark> {
    let (t, y, step) = (&clean.minutes, &clean.celsius, clean.step);
    let pace = clean.rise() / (clean.now() - t[0]).max(0.1);
    let mut marks = vec![Mark { minutes: t[0], celsius: y[0], variance: step * step / 12.0 }];
    // Time, level, spacing of the readings about it, how many crossings of the same level in a row.
    let mut crossings: Vec<(f64, f64, f64, f64)> = Vec::new();
    for i in 1..t.len() {
        if y[i] == y[i - 1] {
            continue;
        }
        let (at, level, gap) = (0.5 * (t[i] + t[i - 1]), 0.5 * (y[i] + y[i - 1]), t[i] - t[i - 1]);
        match crossings.last_mut() {
            Some(last) if (last.1 - level).abs() < 0.25 * step => {
                *last = ((last.0 * last.3 + at) / (last.3 + 1.0), level, last.2.max(gap), last.3 + 1.0);
            }
            _ => crossings.push((at, level, gap, 1.0)),
        }
    }
    marks.extend(crossings.iter().map(|&(minutes, celsius, gap, _)| {
        let timing = (pace * gap) * (pace * gap) / 12.0;
        Mark { minutes, celsius, variance: INSTRUMENT * INSTRUMENT + FLOOR * FLOOR + timing }
    }));
    let Some(last) = marks.last().copied() else { return marks };
    // Since its last change it has moved on, but not by a whole step.
    let moved = (pace * (clean.now() - last.minutes) / step).clamp(0.25, 0.75);
    let low = clean.last() - 0.5 * step;
    if clean.now() > last.minutes {
        marks.push(Mark { minutes: clean.now(), celsius: low + moved * step, variance: step * step / 16.0 });
    }
    marks
}

/// Neighbouring marks averaged until there are at most `most`; the weight of each is its precision.
fn averaged(marks: &[Mark], most: usize) -> Vec<Mark> {
    let count = marks.len().min(most);
    (0..count)
        .map(|b| {
            let group = &marks[b * marks.len() / count..(b + 1) * marks.len() / count];
            let precision: f64 = group.iter().map(|m| 1.0 / m.variance).sum();
            let mean = |f: fn(&Mark) -> f64| group.iter().map(|m| f(m) / m.variance).sum::<f64>() / precision;
            Mark { minutes: mean(|m| m.minutes), celsius: mean(|m| m.celsius), variance: 1.0 / precision }
        })
        .collect()
}

/// Slope of the least-squares line through points; `None` when they have no extent.
pub(crate) fn slope(points: &[(f64, f64)]) -> Option<f64> {
    let n = points.len().max(1) as f64;
    let (mx, my) = points.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n));
    let (xx, xy) =
        points.iter().fold((0.0, 0.0), |(xx, xy), p| (xx + (p.0 - mx) * (p.0 - mx), xy + (p.0 - mx) * (p.1 - my)));
    (xx > 0.0).then_some(xy / xx)
}
