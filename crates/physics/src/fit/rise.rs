//! A rise (or fall) with one time constant, found without a start value: the two levels are linear, only τ is searched.

use quantity::Uncertain;

use super::{Fit, FitError, Triangle, checked, fit};

/// Time constants tried: from a tenth of the first x to a thousand times the last.
const SHORTEST: f64 = 0.1;
const LONGEST: f64 = 1000.0;
/// Steps of ln τ; 90 over ten decades keep neighbours within a third of each other.
const STEPS: u32 = 90;

/// A fitted rise; x and y in the units given.
#[derive(Debug, Clone, PartialEq)]
pub struct Rise {
    /// Level at x = 0; without doubt when it was given.
    pub start: Uncertain<f64>,
    /// Level it tends to.
    pub end: Uncertain<f64>,
    /// Time constant, unit of x.
    pub time_constant: Uncertain<f64>,
    /// The fit of (ln τ, end, start), or of (ln τ, end) when the start was given.
    pub fit: Fit,
}

/// The first-order rise that passes nearest to measured points, without a start value.
///
/// y = y₀ + (y₁ − y₀)(1 − e^(−x/τ)): for each τ the best levels follow directly; the sum of squares is searched over a
/// grid of ln τ, then all are fitted together from there by [`fit`].
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | xᵢ | `x` | any | finite, ≥ 0, not all 0 |
/// | yᵢ | `y` | any | finite |
/// | y₀ | `from` | unit of y | finite, or `None` to fit it too |
///
/// # Source
/// Separable least squares (Golub and Pereyra 1973, from memory). Checked with NIST StRD Misra1a and BoxBOD.
///
/// # Errors
/// As [`fit`]; [`FitError::BeforeStart`] for x < 0; [`FitError::NoTimeConstant`] when a straight line or a jump fits best.
///
/// # Example
/// 80 − 60 e^(−x/15) at 0, 10, 20, 40: 20.000, 49.195, 64.184, 75.831.
/// ```
/// let rise = physics::fit::rise(&[0.0, 10.0, 20.0, 40.0], &[20.000, 49.195, 64.184, 75.831], None).unwrap();
/// assert!((rise.time_constant.value - 15.0).abs() < 0.001 && (rise.end.value - 80.0).abs() < 0.001);
/// ```
pub fn rise(x: &[f64], y: &[f64], from: Option<f64>) -> Result<Rise, FitError> {
    checked(x, y, if from.is_some() { 2 } else { 3 })?;
    super::finite("the given level at x = 0, number", from.as_slice())?;
    if let Some(at) = x.iter().position(|v| *v < 0.0) {
        return Err(FitError::BeforeStart { place: at + 1, value: x[at] });
    }
    let last = x.iter().copied().fold(0.0, f64::max);
    let first = x.iter().copied().filter(|v| *v > 0.0).fold(last, f64::min);
    if last == 0.0 {
        return Err(FitError::NotFixed { place: 1 });
    }
    let (low, high) = (libm::log(SHORTEST * first), libm::log(LONGEST * last));
    let at = |i: u32| low + (high - low) * f64::from(i) / f64::from(STEPS);
    let tried = (0..=STEPS).filter_map(|i| levels(x, y, from, at(i)).map(|found| (i, found)));
    let best = tried.min_by(|a, b| a.1.sum.total_cmp(&b.1.sum));
    let Some((i, best)) = best else { return Err(FitError::NotFixed { place: 2 }) };
    if i == 0 {
        return Err(FitError::NoTimeConstant { shape: "a jump", cure: "closer together at the start" });
    }
    if i == STEPS {
        return Err(FitError::NoTimeConstant { shape: "a straight line", cure: "until the curve bends" });
    }
    polished(x, y, from, at(i), &best)
}

/// Best levels for one time constant.
struct Levels {
    end: f64,
    start: f64,
    sum: f64,
}

/// `None` where the levels cannot be told apart.
fn levels(x: &[f64], y: &[f64], from: Option<f64>, ln_tau: f64) -> Option<Levels> {
    let tau = libm::exp(ln_tau);
    let risen: Vec<f64> = x.iter().map(|v| -libm::expm1(-v / tau)).collect();
    let known = from.unwrap_or(0.0);
    // Above the known start, or above 0 with a column of ones for the start; scaled, as far out all are tiny.
    let size = super::length(&risen);
    let column: Vec<f64> = risen.iter().map(|g| g / size).collect();
    let columns = if from.is_some() { vec![column] } else { vec![column, vec![1.0; x.len()]] };
    let triangle = Triangle::of(columns, y.iter().map(|v| v - known).collect());
    let found = triangle.step(0.0)?;
    let start = found.get(1).copied().unwrap_or(known);
    let sum = triangle.rest;
    sum.is_finite().then(|| Levels { end: start + found[0] / size, start, sum })
}

fn polished(x: &[f64], y: &[f64], from: Option<f64>, ln_tau: f64, best: &Levels) -> Result<Rise, FitError> {
    let curve = |x: f64, b: &[f64], slopes: &mut [f64]| {
        let share = x * libm::exp(-b[0]);
        let left = libm::exp(-share);
        let start = b.get(2).copied().or(from).unwrap_or_default();
        slopes[0] = -(b[1] - start) * share * left;
        slopes[1] = -libm::expm1(-share);
        if let Some(of_start) = slopes.get_mut(2) {
            *of_start = left;
        }
        start + (b[1] - start) * slopes[1]
    };
    let mut begin = vec![ln_tau, best.end];
    if from.is_none() {
        begin.push(best.start);
    }
    let fit = fit(x, y, &begin, curve)?;
    let tau = libm::exp(fit.parameters[0].value);
    let start = fit.parameters.get(2).copied().or(from.map(|y0| Uncertain::new(y0, 0.0)));
    Ok(Rise {
        start: start.unwrap_or(Uncertain::new(0.0, 0.0)),
        end: fit.parameters[1],
        time_constant: Uncertain::new(tau, tau * fit.parameters[0].u),
        fit,
    })
}
