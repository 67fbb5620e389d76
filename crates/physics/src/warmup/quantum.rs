//! The step of a display, found from what it showed.

/// Whole steps a display may have: size in K, offset on the Celsius scale, how many different values must fit,
/// and how far a value may lie off the step because the log was rounded to 0.1 °C.
const STEPS: [(f64, f64, usize, f64); 6] = [
    (1.0, 0.0, 2, 0.002),
    (5.0 / 9.0, -160.0 / 9.0, 2, 0.006),
    (5.0 / 9.0, -160.0 / 9.0, 4, 0.0501),
    (0.5, 0.0, 3, 0.002),
    (0.1, 0.0, 2, 0.002),
    (0.01, 0.0, 3, 0.0002),
];

/// Step of the display in K, 0 when none is seen: the widest step on which every value lies.
pub(crate) fn display_step(values: &[f64]) -> f64 {
    let mut sorted: Vec<f64> = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    for (step, offset, least, slack) in STEPS {
        let fits = |y: &f64| {
            let n = (y - offset) / step;
            (n - libm::round(n)).abs() * step <= slack
        };
        if sorted.len() >= least && sorted.iter().all(fits) {
            return step;
        }
    }
    odd_step(&sorted)
}

/// A step that is no round number (a count of a control unit, 0.75 K): the smallest difference, if all others
/// are whole multiples of it.
fn odd_step(sorted: &[f64]) -> f64 {
    let gaps: Vec<f64> = sorted.windows(2).map(|w| w[1] - w[0]).collect();
    let least = gaps.iter().copied().fold(f64::INFINITY, f64::min);
    let whole = |g: &f64| {
        let n = g / least;
        (n - libm::round(n)).abs() < 0.04
    };
    if gaps.len() >= 4 && least > 0.01 && gaps.iter().all(whole) { least } else { 0.0 }
}
