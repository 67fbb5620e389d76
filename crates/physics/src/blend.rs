//! How thick a blend of fluids is, from its parts, all at one temperature.

use crate::viscosity::VISCOSITY;
use crate::{Limits, PhysicsError};
use quantity::KinematicViscosity;

/// Share of one part in a blend.
pub static SHARE: Limits = Limits::new("share of a part", "of the blend", 0.0, 1.0);
/// The shares of all parts together; nothing is scaled to fit in silence.
pub static WHOLE: Limits = Limits::new("sum of the shares", "of the blend", 1.0 - 1e-6, 1.0 + 1e-6);

/// One part of a blend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Its viscosity at the temperature of the blend.
    pub viscosity: KinematicViscosity,
    /// Its share, 0 to 1: by mass or by volume as the rule asks.
    pub share: f64,
}

/// A scale on which the viscosities of the parts of a blend add up by their shares.
struct Rule {
    forward: fn(f64) -> f64,
    back: fn(f64) -> f64,
}

static INDEX_BY_MASS: Rule = Rule {
    forward: |v| 14.534 * libm::log(libm::log(v + 0.8)) + 10.975,
    back: |index| libm::exp(libm::exp((index - 10.975) / 14.534)) - 0.8,
};
static CHART_BY_VOLUME: Rule = Rule {
    forward: |v| libm::log10(libm::log10(v + 0.7)),
    back: |height| libm::pow(10.0, libm::pow(10.0, height)) - 0.7,
};

/// The blending index of a fluid at one temperature.
///
/// VBN = 14.534 ln ln(ν + 0.8) + 10.975, natural logarithms.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | ν | `viscosity` | mm²/s | 0.5 to 1e6 |
///
/// # Source
/// Refutas (2000), second-hand from public texts, some of which print base-10 logarithms by mistake.
///
/// # Errors
/// Viscosity outside [`VISCOSITY`].
///
/// # Example
/// 34 mm²/s: ln 34.8 = 3.54962, ln of it 1.26684; 14.534 × 1.26684 + 10.975 = 29.387.
/// ```
/// let index = physics::blend::blending_index(quantity::KinematicViscosity::from_mm2_per_s(34.0)).unwrap();
/// assert!((index - 29.38725).abs() < 5e-6);
/// ```
pub fn blending_index(viscosity: KinematicViscosity) -> Result<f64, PhysicsError> {
    Ok((INDEX_BY_MASS.forward)(VISCOSITY.check(viscosity.mm2_per_s())?))
}

/// The viscosity of a blend from the mass fractions of its parts.
///
/// VBN of the blend = Σ wᵢ VBN(νᵢ), see [`blending_index`]; back by ν = exp exp((VBN − 10.975)/14.534) − 0.8.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | νᵢ | `parts[].viscosity` | mm²/s | 0.5 to 1e6, all at the same temperature |
/// | wᵢ | `parts[].share` | by mass | 0 to 1, sum 1 within 1e-6 |
///
/// # Source
/// As [`blending_index`]. It holds for fluids that mix; for similar ones it agrees with [`blend_by_volume`] within 0.3 %.
///
/// # Errors
/// Anything outside its range, shares that do not make a whole (an empty list among them).
///
/// # Example
/// Half 34, half 22 mm²/s: (29.38725 + 27.54372)/2 = 28.46549; ln ln(ν + 0.8) = 1.20342; ν = e^3.33149 − 0.8 = 27.18.
/// ```
/// use physics::blend::{Part, blend_by_mass};
/// let half = |v| Part { viscosity: quantity::KinematicViscosity::from_mm2_per_s(v), share: 0.5 };
/// let blend = blend_by_mass(&[half(34.0), half(22.0)]).unwrap();
/// assert!((blend.mm2_per_s() - 27.180).abs() < 0.0005);
/// ```
pub fn blend_by_mass(parts: &[Part]) -> Result<KinematicViscosity, PhysicsError> {
    blend(parts, &INDEX_BY_MASS)
}

/// The viscosity of a blend from the volume fractions of its parts.
///
/// log₁₀ log₁₀(ν + 0.7) of the blend = Σ φᵢ log₁₀ log₁₀(νᵢ + 0.7).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | νᵢ | `parts[].viscosity` | mm²/s | 0.5 to 1e6, all at the same temperature |
/// | φᵢ | `parts[].share` | by volume | 0 to 1, sum 1 within 1e-6 |
///
/// # Source
/// Procedure of the kind of ASTM D7152, from memory; the scale is that of ASTM D341 without its term for thin
/// fluids, so below 2 mm²/s it is a rough guide.
///
/// # Errors
/// As [`blend_by_mass`].
///
/// # Example
/// Half 34, half 22 mm²/s: log log 34.7 = 0.187614, log log 22.7 = 0.132268; mean 0.159941;
/// 10^(10^0.159941) − 0.7 = 10^1.445243 − 0.7 = 27.18.
/// ```
/// use physics::blend::{Part, blend_by_volume};
/// let half = |v| Part { viscosity: quantity::KinematicViscosity::from_mm2_per_s(v), share: 0.5 };
/// let blend = blend_by_volume(&[half(34.0), half(22.0)]).unwrap();
/// assert!((blend.mm2_per_s() - 27.177).abs() < 0.0005);
/// ```
pub fn blend_by_volume(parts: &[Part]) -> Result<KinematicViscosity, PhysicsError> {
    blend(parts, &CHART_BY_VOLUME)
}

fn blend(parts: &[Part], rule: &Rule) -> Result<KinematicViscosity, PhysicsError> {
    let (mut whole, mut sum) = (0.0, 0.0);
    for part in parts {
        let share = SHARE.check(part.share)?;
        whole += share;
        sum += share * (rule.forward)(VISCOSITY.check(part.viscosity.mm2_per_s())?);
    }
    let mean = sum / WHOLE.check(whole)?;
    Ok(KinematicViscosity::from_mm2_per_s((rule.back)(mean)))
}
