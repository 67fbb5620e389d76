//! Propagation of uncertainty through a linearised model, with correlation and degrees of freedom.

use crate::{Limits, PhysicsError};

/// Correlation coefficients.
pub static CORRELATION: Limits = Limits::new("correlation coefficient", "1", -1.0, 1.0);
/// Standard uncertainties of any input.
pub static STANDARD_UNCERTAINTY: Limits = Limits::new("standard uncertainty", "of its input", 0.0, f64::MAX);
/// Coverage probabilities.
pub static COVERAGE: Limits = Limits::new("coverage probability", "1", 1e-6, 1.0 - 1e-9);

/// One input of a model: its standard uncertainty, how much the result moves with it, and its degrees of freedom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// Standard uncertainty, unit of the input, not negative.
    pub u: f64,
    /// Partial derivative of the result, unit of the result per unit of the input.
    pub sensitivity: f64,
    /// Degrees of freedom; infinite for an uncertainty that was judged, not computed from repeats.
    pub dof: f64,
}

impl Input {
    /// An input whose uncertainty was judged.
    pub const fn judged(u: f64, sensitivity: f64) -> Self {
        Self { u, sensitivity, dof: f64::INFINITY }
    }
}

/// Two inputs, by their place in the list, and how their errors go together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Place of one input.
    pub a: usize,
    /// Place of the other.
    pub b: usize,
    /// Correlation coefficient, −1 to 1.
    pub r: f64,
}

/// The combined standard uncertainty of a result.
#[derive(Debug, Clone, PartialEq)]
pub struct Combined {
    /// Combined standard uncertainty, unit of the result.
    pub u: f64,
    /// Effective degrees of freedom (Welch–Satterthwaite); infinite when every input was judged.
    pub dof: f64,
    /// What each input brings to u², in the order given; negative where a correlation cancels. They sum to u².
    pub parts: Vec<f64>,
}

/// Combined standard uncertainty of a result from those of its inputs:
/// u² = Σᵢ Σⱼ cᵢ·uᵢ·r(i,j)·cⱼ·uⱼ; ν = u⁴ / Σ (cᵢuᵢ)⁴/νᵢ.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | uᵢ | `inputs[i].u` | of the input | ≥ 0 |
/// | cᵢ | `inputs[i].sensitivity` | result per input | finite |
/// | νᵢ | `inputs[i].dof` | 1 | > 0, may be infinite |
/// | r(i,j) | `pairs` | 1 | −1 to 1; pairs not listed are 0 |
///
/// # Source
/// JCGM 100:2008, equations 13 and 16 (5.1.2, 5.2.2) and G.2b. With correlated inputs ν is only a guide (G.4.1).
/// # Errors
/// [`PhysicsError::OutOfRange`] for u or r; [`PhysicsError::Contradiction`] for a sensitivity or ν that is no such
/// number, a pair that names no two inputs, or correlations that no set of errors can have (u² < 0).
/// # Example
/// Contributions of 3 and 4: 5; fully correlated: 7.
/// ```
/// use physics::balance::gum::{Input, Pair, combined};
/// let inputs = [Input::judged(3.0, 1.0), Input::judged(2.0, 2.0)];
/// assert_eq!(combined(&inputs, &[]).unwrap().u, 5.0);
/// assert_eq!(combined(&inputs, &[Pair { a: 0, b: 1, r: 1.0 }]).unwrap().u, 7.0);
/// ```
pub fn combined(inputs: &[Input], pairs: &[Pair]) -> Result<Combined, PhysicsError> {
    for (i, input) in inputs.iter().enumerate() {
        STANDARD_UNCERTAINTY.check(input.u)?;
        if !input.sensitivity.is_finite() || input.dof.is_nan() || input.dof <= 0.0 {
            return Err(PhysicsError::Contradiction(format!(
                "input {i} has sensitivity {} and {} degrees of freedom; the first must be finite, the second positive",
                input.sensitivity, input.dof
            )));
        }
    }
    let both = |c: &dyn Fn(&Input) -> f64| covariance_parts(inputs, pairs, c, c);
    let parts = both(&|i| i.sensitivity)?;
    let variance: f64 = parts.iter().sum();
    let size: f64 = inputs.iter().map(|i| square(i.u * i.sensitivity)).sum();
    if !variance.is_finite() || variance < -1e-9 * size {
        return Err(PhysicsError::Contradiction(
            "these uncertainties and correlations give no variance (too large, or correlations that contradict each \
             other); check the correlation coefficients"
                .into(),
        ));
    }
    let u = variance.max(0.0).sqrt();
    let spread: f64 = inputs.iter().map(|i| square(square(i.u * i.sensitivity / u)) / i.dof).sum();
    let dof = if u > 0.0 && spread > 0.0 { 1.0 / spread } else { f64::INFINITY };
    Ok(Combined { u, dof, parts })
}

/// Covariance of two results of the same inputs, one with the inputs' own sensitivities and one with `other`:
/// cov = Σᵢ Σⱼ cᵢ·uᵢ·r(i,j)·c'ⱼ·uⱼ.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | cᵢ, uᵢ, r(i,j) | `inputs`, `pairs` | as [`combined`] | as [`combined`] |
/// | c'ⱼ | `other[j]` | second result per input | finite |
///
/// # Source
/// JCGM 100:2008, H.2.3 equation H.9.
/// # Errors
/// As [`combined`] for r and pairs; a list `other` of another length.
/// # Example
/// Two results x₁ + x₂ and x₁ − x₂ of independent inputs with u = 3 and 2: cov = 9 − 4 = 5.
/// ```
/// use physics::balance::gum::{Input, covariance};
/// let inputs = [Input::judged(3.0, 1.0), Input::judged(2.0, 1.0)];
/// assert_eq!(covariance(&inputs, &[1.0, -1.0], &[]).unwrap(), 5.0);
/// ```
pub fn covariance(inputs: &[Input], other: &[f64], pairs: &[Pair]) -> Result<f64, PhysicsError> {
    if other.len() != inputs.len() {
        return Err(PhysicsError::Contradiction(format!(
            "{} sensitivities for {} inputs; give one for each",
            other.len(),
            inputs.len()
        )));
    }
    let mut sum = 0.0;
    for (a, b) in inputs.iter().zip(other) {
        sum += a.u * a.sensitivity * a.u * b;
    }
    for p in pairs {
        let (a, b) = pair_of(inputs, p)?;
        sum += p.r * a.u * b.u * (a.sensitivity * other[p.b] + b.sensitivity * other[p.a]);
    }
    Ok(sum)
}

fn square(x: f64) -> f64 {
    x * x
}

fn pair_of<'a>(inputs: &'a [Input], p: &Pair) -> Result<(&'a Input, &'a Input), PhysicsError> {
    CORRELATION.check(p.r)?;
    match (inputs.get(p.a), inputs.get(p.b)) {
        (Some(a), Some(b)) if p.a != p.b => Ok((a, b)),
        _ => Err(PhysicsError::Contradiction(format!(
            "a correlation is given between inputs {} and {}, but there are {} inputs and the two must differ",
            p.a,
            p.b,
            inputs.len()
        ))),
    }
}

fn covariance_parts(
    inputs: &[Input],
    pairs: &[Pair],
    c: &dyn Fn(&Input) -> f64,
    d: &dyn Fn(&Input) -> f64,
) -> Result<Vec<f64>, PhysicsError> {
    let mut parts: Vec<f64> = inputs.iter().map(|i| i.u * c(i) * i.u * d(i)).collect();
    for p in pairs {
        let (a, b) = pair_of(inputs, p)?;
        let shared = p.r * a.u * c(a) * b.u * d(b);
        parts[p.a] += shared;
        parts[p.b] += shared;
    }
    Ok(parts)
}

/// Coverage factor for a probability and degrees of freedom: the two-sided quantile of Student's distribution, ν
/// cut to a whole number; the normal one when ν is infinite.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | p | `p` | 1 | 10⁻⁶ to 1 − 10⁻⁹ |
/// | ν | `dof` | 1 | ≥ 1, may be infinite; above 10 000 it is taken as infinite |
///
/// # Source
/// JCGM 100:2008, G.3 and table G.2; distribution for whole ν by the finite series of Abramowitz and Stegun 26.7.3–4,
/// from memory, checked against that table.
/// # Errors
/// [`PhysicsError::OutOfRange`] for p, [`PhysicsError::Contradiction`] for ν below 1.
/// # Example
/// ν = 16, 99 %: 2.921 (table G.2: 2.92).
pub fn coverage_factor(p: f64, dof: f64) -> Result<f64, PhysicsError> {
    COVERAGE.check(p)?;
    if dof.is_nan() || dof < 1.0 {
        return Err(PhysicsError::Contradiction(format!("{dof} degrees of freedom; at least 1 is needed")));
    }
    let inside = |t: f64| {
        if dof > 10_000.0 { libm::erf(t / std::f64::consts::SQRT_2) } else { student_inside(t, dof.floor() as u32) }
    };
    let (mut low, mut high) = (0.0, 1.0);
    while inside(high) < p && high < 1e12 {
        high *= 2.0;
    }
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if inside(middle) < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(0.5 * (low + high))
}

/// P(|t| ≤ `t`) for whole degrees of freedom.
fn student_inside(t: f64, nu: u32) -> f64 {
    let theta = libm::atan2(t, f64::from(nu).sqrt());
    let (sin, cos) = (libm::sin(theta), libm::cos(theta));
    let odd = nu % 2 == 1;
    // Σ over the powers of cos² with the ratio of consecutive even and odd numbers.
    let (mut term, mut sum) = if odd { (cos, cos) } else { (1.0, 1.0) };
    let terms = if odd { nu / 2 } else { (nu / 2).max(1) };
    for k in 1..terms {
        let k = f64::from(k);
        term *= cos * cos * if odd { 2.0 * k / (2.0 * k + 1.0) } else { (2.0 * k - 1.0) / (2.0 * k) };
        sum += term;
    }
    match (odd, nu) {
        (true, 1) => theta * std::f64::consts::FRAC_2_PI,
        (true, _) => std::f64::consts::FRAC_2_PI * (theta + sin * sum),
        _ => sin * sum,
    }
}
