//! Curves fitted to measured points: least squares for any curve whose slopes are known, and the one-exponential rise.

use quantity::Uncertain;

mod rise;
mod triangle;

pub use rise::{Rise, rise};
use triangle::{Triangle, length};

/// Rounds of evaluating the curve at every point before a fit gives up.
pub const MOST_EVALUATIONS: usize = 2000;
/// The first step is at most this many times as long as the start itself, parameters scaled by their effect.
const FIRST_REACH: f64 = 1.0;
/// A fit has converged when what steps could still change is this share of the parameters' own doubt.
const OFFSET: f64 = 1e-10;
/// When steps can change less than this share of the sum of squares, their success is no longer seen in it.
const BELOW_ROUNDING: f64 = 1e-11;
/// What is accepted instead when rounding lets no step succeed any more.
const OFFSET_AT_ROUNDING: f64 = 1e-5;
/// A parameter whose effect the others explain up to this share is not fixed by the points.
const DEPENDENT: f64 = 1e-13;

/// Why a fit gave no parameters.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FitError {
    /// No more points than parameters: nothing is left to judge the fit by.
    #[error("{points} points do not fix {parameters} parameters; give at least {}", .parameters + 1)]
    TooFewPoints {
        /// Points given.
        points: usize,
        /// Parameters asked for.
        parameters: usize,
    },
    /// As many x as y are needed.
    #[error("{x} values of x stand against {y} values of y; give one x for each y")]
    LengthsDiffer {
        /// Values of x.
        x: usize,
        /// Values of y.
        y: usize,
    },
    /// A number that is none, or the curve has no value at the start.
    #[error("{what} {place} is {value}; it must be a finite number")]
    NotFinite {
        /// What is not finite, in words.
        what: &'static str,
        /// Its place, counted from 1.
        place: usize,
        /// What was found there.
        value: f64,
    },
    /// A rise counts from x = 0.
    #[error("x {place} is {value}; a rise is counted from x = 0, so move the axis to its start")]
    BeforeStart {
        /// Its place, counted from 1.
        place: usize,
        /// What was found there.
        value: f64,
    },
    /// The points do not tell one parameter from the others.
    #[error(
        "the points do not fix parameter {place}: other parameters explain its effect; measure further along the curve"
    )]
    NotFixed {
        /// Its place, counted from 1.
        place: usize,
    },
    /// The best rise is a straight line or a jump: its time constant has no value.
    #[error("the points show {shape}, so the time constant has no value; measure {cure}")]
    NoTimeConstant {
        /// What they show instead.
        shape: &'static str,
        /// What would help.
        cure: &'static str,
    },
    /// The limit of evaluations came first, or no step lowers the sum of squares though it is no minimum.
    #[error(
        "no minimum found after {evaluations} evaluations, sum of squares {residual_sum}; start nearer to the answer"
    )]
    NoConvergence {
        /// Rounds of evaluating the curve at every point.
        evaluations: usize,
        /// The lowest sum of squares seen.
        residual_sum: f64,
    },
}

/// A fitted curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Each parameter with its standard deviation, in the order of the start.
    pub parameters: Vec<Uncertain<f64>>,
    /// Covariance of the parameters, row by row.
    pub covariance: Vec<f64>,
    /// Sum of the squared residuals.
    pub residual_sum: f64,
    /// √(sum / degrees of freedom).
    pub residual_deviation: f64,
    /// Points less parameters.
    pub dof: usize,
    /// Rounds of evaluating the curve at every point.
    pub evaluations: usize,
}

/// The parameters with which a curve passes nearest to measured points, and how well the points fix them.
///
/// Minimises Σ (yᵢ − f(xᵢ, b))²; standard deviations s √((RᵀR)⁻¹ⱼⱼ), s² = Σ/(n − p), R from the slopes ∂f/∂b at the end.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | xᵢ, yᵢ | `x`, `y` | any | finite, n > p |
/// | b | `start` | any | finite, curve finite there |
/// | f, ∂f/∂b | `curve(x, b, slopes)` | unit of y | exact slopes; differences cost the digits of the deviations |
///
/// Columns are scaled by their length (largest so far) and reduced by Householder reflections; RᵀR is never formed. Each
/// step is damped to stay within a reach that grows and shrinks with its success; a step to where the curve has no
/// value is turned down.
///
/// # Source
/// Levenberg (1944) and Marquardt (1963); scaling and reach after Moré (1978); stop by the relative offset of Bates and
/// Watts (1981); all from memory. Checked with the certified values of NIST StRD (`docs/physics/fit.md`).
///
/// # Errors
/// [`FitError`]: too few points, lengths that differ, numbers that are none, parameters the points do not fix, no
/// convergence within [`MOST_EVALUATIONS`]. From a bad start it may find a minimum that is not the lowest.
///
/// # Example
/// y = b x through (1, 2), (2, 4), (3, 7): b = Σxy/Σx² = 31/14, Σr² = 69 − 31²/14 = 0.357, u = √(0.357/2/14) = 0.113:
/// ```
/// let line = |x: f64, b: &[f64], slopes: &mut [f64]| {
///     slopes[0] = x;
///     b[0] * x
/// };
/// let fit = physics::fit::fit(&[1.0, 2.0, 3.0], &[2.0, 4.0, 7.0], &[1.0], line).unwrap();
/// assert!((fit.parameters[0].value - 31.0 / 14.0).abs() < 1e-12 && (fit.parameters[0].u - 0.113).abs() < 5e-4);
/// ```
pub fn fit(
    x: &[f64],
    y: &[f64],
    start: &[f64],
    curve: impl Fn(f64, &[f64], &mut [f64]) -> f64,
) -> Result<Fit, FitError> {
    checked(x, y, start.len())?;
    finite("start of parameter", start)?;
    let points = Points { x, y, curve };
    let mut at = points.at(start.to_vec());
    finite("the curve at the start, at point", &at.values)?;
    finite("a slope of the curve at the start, number", &at.columns.concat())?;
    finite("the sum of squares at the start, number", &[at.sum])?;
    let mut evaluations = 1;
    let mut scale = vec![0.0_f64; start.len()];
    let mut radius = None;
    while evaluations < MOST_EVALUATIONS {
        for (s, column) in scale.iter_mut().zip(&at.columns) {
            *s = s.max(length(column));
        }
        let triangle = at.triangle(&scale);
        if at.is_minimum(&triangle, y, OFFSET) {
            return at.fitted(evaluations);
        }
        if triangle.reach() <= BELOW_ROUNDING * at.sum {
            return at.polished(&points, &scale, evaluations);
        }
        let size = at.scaled_size(&scale);
        let mut reach = radius.unwrap_or(if size > 0.0 { FIRST_REACH * size } else { FIRST_REACH });
        let mut accepted = false;
        while !accepted && evaluations < MOST_EVALUATIONS && reach > f64::EPSILON * f64::EPSILON * size {
            let Some(step) = triangle.step_within(reach) else { break };
            let moved = at.parameters.iter().zip(&step).zip(&scale);
            let tried = points.at(moved.map(|((b, d), s)| b + d / unless_zero(*s)).collect());
            evaluations += 1;
            let gain = (at.sum - tried.sum) / triangle.gain(&step);
            // Not finite is no gain.
            accepted = gain > 1e-4 && tried.sum < at.sum && tried.is_finite();
            let taken = length(&step);
            reach = if !accepted {
                0.25 * taken
            } else if gain < 0.25 {
                0.5 * taken
            } else {
                reach
            };
            if accepted {
                reach = if gain > 0.75 { reach.max(2.0 * taken) } else { reach };
                at = tried;
            }
        }
        radius = Some(reach);
        if !accepted {
            let at_rounding = at.is_minimum(&triangle, y, OFFSET_AT_ROUNDING);
            return if at_rounding { at.fitted(evaluations) } else { Err(at.no_convergence(evaluations)) };
        }
    }
    Err(at.no_convergence(evaluations))
}

fn checked(x: &[f64], y: &[f64], parameters: usize) -> Result<(), FitError> {
    if x.len() != y.len() {
        return Err(FitError::LengthsDiffer { x: x.len(), y: y.len() });
    }
    if y.len() <= parameters || parameters == 0 {
        return Err(FitError::TooFewPoints { points: y.len(), parameters });
    }
    finite("x", x)?;
    finite("y", y)
}

fn finite(what: &'static str, of: &[f64]) -> Result<(), FitError> {
    match of.iter().position(|v| !v.is_finite()) {
        Some(at) => Err(FitError::NotFinite { what, place: at + 1, value: of[at] }),
        None => Ok(()),
    }
}

/// A column without effect keeps its length of 0; dividing by 1 leaves it so.
fn unless_zero(scale: f64) -> f64 {
    if scale > 0.0 { scale } else { 1.0 }
}

struct Points<'a, F> {
    x: &'a [f64],
    y: &'a [f64],
    curve: F,
}

/// Curve and slopes at one choice of parameters.
struct At {
    parameters: Vec<f64>,
    values: Vec<f64>,
    residuals: Vec<f64>,
    columns: Vec<Vec<f64>>,
    sum: f64,
}

impl<F: Fn(f64, &[f64], &mut [f64]) -> f64> Points<'_, F> {
    fn at(&self, parameters: Vec<f64>) -> At {
        let mut slopes = vec![0.0; parameters.len()];
        let mut columns = vec![Vec::with_capacity(self.y.len()); parameters.len()];
        let mut values = Vec::with_capacity(self.y.len());
        for x in self.x {
            values.push((self.curve)(*x, &parameters, &mut slopes));
            columns.iter_mut().zip(&slopes).for_each(|(column, slope)| column.push(*slope));
        }
        let residuals: Vec<f64> = self.y.iter().zip(&values).map(|(y, f)| y - f).collect();
        let sum = residuals.iter().map(|r| r * r).sum();
        At { parameters, values, residuals, columns, sum }
    }
}

impl At {
    fn is_finite(&self) -> bool {
        self.sum.is_finite() && self.columns.iter().flatten().all(|s| s.is_finite())
    }

    fn triangle(&self, scale: &[f64]) -> Triangle {
        let scaled =
            self.columns.iter().zip(scale).map(|(column, s)| column.iter().map(|v| v / unless_zero(*s)).collect());
        Triangle::of(scaled.collect(), self.residuals.clone())
    }

    /// Full steps near the minimum, where rounding hides the change of the sum but not that of its slope.
    fn polished<F: Fn(f64, &[f64], &mut [f64]) -> f64>(
        mut self,
        points: &Points<F>,
        scale: &[f64],
        mut evaluations: usize,
    ) -> Result<Fit, FitError> {
        for _ in 0..200 {
            let triangle = self.triangle(scale);
            let Some(step) = triangle.step(0.0) else { break };
            let moved = self.parameters.iter().zip(&step).zip(scale);
            let tried = points.at(moved.map(|((b, d), s)| b + d / unless_zero(*s)).collect());
            evaluations += 1;
            if !tried.is_finite() || tried.triangle(scale).reach() > 0.9 * triangle.reach() {
                break;
            }
            self = tried;
        }
        self.fitted(evaluations)
    }

    /// Length of the parameters, each times the length of its column.
    fn scaled_size(&self, scale: &[f64]) -> f64 {
        length(&self.parameters.iter().zip(scale).map(|(b, s)| b * s).collect::<Vec<_>>())
    }

    /// What steps can still reach, beside what they cannot, each per degree of freedom; or a fit down to rounding.
    fn is_minimum(&self, triangle: &Triangle, y: &[f64], offset: f64) -> bool {
        let (n, p) = (y.len() as f64, self.parameters.len() as f64);
        let largest = y.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        triangle.reach() / p <= offset * offset * triangle.rest / (n - p)
            || self.sum <= n * (16.0 * f64::EPSILON * largest).powi(2)
    }

    fn fitted(self, evaluations: usize) -> Result<Fit, FitError> {
        let scale: Vec<f64> = self.columns.iter().map(|column| length(column)).collect();
        let triangle = self.triangle(&scale);
        if let Some(at) = triangle.dependent(DEPENDENT) {
            return Err(FitError::NotFixed { place: at + 1 });
        }
        let p = self.parameters.len();
        let dof = self.values.len() - p;
        let variance = self.sum / dof as f64;
        let covariance: Vec<f64> = (triangle.covariance().iter().enumerate())
            .map(|(at, c)| variance * c / scale[at / p] / scale[at % p])
            .collect();
        let with_deviation = |(j, b): (usize, &f64)| Uncertain::new(*b, covariance[j * p + j].sqrt());
        Ok(Fit {
            parameters: self.parameters.iter().enumerate().map(with_deviation).collect(),
            residual_sum: self.sum,
            residual_deviation: variance.sqrt(),
            covariance,
            dof,
            evaluations,
        })
    }

    /// Often a parameter that the points do not fix is the cause; then that is said.
    fn no_convergence(self, evaluations: usize) -> FitError {
        let residual_sum = self.sum;
        self.fitted(evaluations).err().unwrap_or(FitError::NoConvergence { evaluations, residual_sum })
    }
}
