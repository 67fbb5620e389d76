//! How long a sump takes to drain through its plug hole.

use super::SUMP_AREA;
use super::regime::{G, INLET_LOSS, LAMINAR_ENERGY, VISCOSITY};
use crate::{Limits, PhysicsError};
use quantity::{Area, Duration, KinematicViscosity, Length, Span};

/// Bore of a drain hole.
pub static HOLE: Limits = Limits::new("drain hole bore", "mm", 3.0, 60.0);
/// Length of a drain hole.
pub static HOLE_LENGTH: Limits = Limits::new("drain hole length", "mm", 1.0, 100.0);
/// Head of fluid above a drain hole.
pub static DRAIN_HEAD: Limits = Limits::new("head above the drain hole", "mm", 0.1, 1000.0);
/// Discharge coefficient of the slow end.
const SLOW_COEFFICIENT: f64 = 0.61;

/// A sump and its drain hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drain {
    /// Area of the fluid's surface.
    pub sump_area: Area,
    /// Head above the hole when the plug comes out.
    pub from: Length,
    /// Head at which it counts as drained; the film tail comes after.
    pub to: Length,
    /// Bore of the hole.
    pub bore: Length,
    /// Length of the hole.
    pub length: Length,
    /// Viscosity at the temperature of the drain.
    pub viscosity: KinematicViscosity,
}

/// How long a sump takes to drain, from the fast to the slow model; the fill plug out, else it gulps and takes longer.
///
/// Fast, the hole running full with head h + l: a = 1.25, b = 32 ν l/d², s = √(b² + 4 a g (h + l)),
/// t = A/((π d²/4) g) · [s₁ − s₂ + b ln((s₁ − b)/(s₂ − b))].
/// Slow, a sharp orifice: t = A/(0.61 π d²/4) · √(2/g) · (√h₁ − √h₂).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | A | `sump_area` | m² | 0.002 to 1 |
/// | h₁, h₂ | `from`, `to` | mm | 0.1 to 1000, falling |
/// | d, l | `bore`, `length` | mm | 3 to 60, 1 to 100 |
/// | ν | `viscosity` | mm²/s | 1 to 5000 |
///
/// # Source
/// Laminar pipe flow with inlet loss as [`super::Standpipe::full_pipe`], A dh/dt = −(π d²/4) v integrated in closed form by
/// the substitution s; Torricelli. Good to ±25 %.
///
/// # Errors
/// Any argument outside its range; a head that does not fall.
///
/// # Example
/// 0.06 m², 80 → 2 mm, 14 mm hole: slow 0.06/(0.61 × 1.5394e-4) × 0.45160 × (0.28284 − 0.04472) = 68.7 s.
/// ```
/// use quantity::{Area, KinematicViscosity, Length};
/// let mm = Length::from_mm;
/// let drain = physics::runoff::Drain {
///     sump_area: Area::from_square_metres(0.06),
///     from: mm(80.0),
///     to: mm(2.0),
///     bore: mm(14.0),
///     length: mm(10.0),
///     viscosity: KinematicViscosity::from_mm2_per_s(16.0),
/// };
/// let time = physics::runoff::drain_time(&drain).unwrap();
/// assert!((time.low.seconds() - 54.1).abs() < 0.06 && (time.high.seconds() - 68.7).abs() < 0.06);
/// ```
pub fn drain_time(drain: &Drain) -> Result<Span<Duration>, PhysicsError> {
    let area = SUMP_AREA.check(drain.sump_area.square_metres())?;
    let h1 = DRAIN_HEAD.check(drain.from.mm())? / 1000.0;
    let h2 = DRAIN_HEAD.check(drain.to.mm())? / 1000.0;
    let d = HOLE.check(drain.bore.mm())? / 1000.0;
    let l = HOLE_LENGTH.check(drain.length.mm())? / 1000.0;
    let nu = VISCOSITY.check(drain.viscosity.mm2_per_s())? / 1e6;
    if h2 > h1 {
        return Err(PhysicsError::Contradiction(format!(
            "draining from {} mm up to {} mm; swap the two heads",
            drain.from.mm(),
            drain.to.mm()
        )));
    }
    let hole = std::f64::consts::PI * d * d / 4.0;
    let a = (LAMINAR_ENERGY + INLET_LOSS) / 2.0;
    let b = 32.0 * nu * l / (d * d);
    let s = |h: f64| (b * b + 4.0 * a * G * (h + l)).sqrt();
    // s − b written without the cancellation that thick fluid would bring.
    let above_b = |h: f64| 4.0 * a * G * (h + l) / (s(h) + b);
    let full = area / (hole * G) * (s(h1) - s(h2) + b * libm::log(above_b(h1) / above_b(h2)));
    let sharp = area / (SLOW_COEFFICIENT * hole) * (2.0 / G).sqrt() * (h1.sqrt() - h2.sqrt());
    Ok(Span { low: Duration::from_seconds(full.min(sharp)), high: Duration::from_seconds(full.max(sharp)) })
}
