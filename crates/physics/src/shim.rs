//! How much to put under which stand so that a vehicle that stands off level stands level.

use quantity::{Angle, Length};

use crate::level::{BASE, TILT};
use crate::{Limits, PhysicsError};

/// Tilt that a sheet still allows.
pub static ALLOWED: Limits = Limits::new("allowed tilt", "deg", 0.0, 20.0);

/// How a vehicle stands and on what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stance {
    /// Positive with the nose up.
    pub nose_up: Angle,
    /// Positive with the right side up.
    pub right_up: Angle,
    /// Between front and rear stands, or the axles.
    pub wheelbase: Length,
    /// Between left and right stands.
    pub track: Length,
    /// Tilt allowed on either axis.
    pub allowed: Angle,
    /// Standard uncertainty of either angle.
    pub u: Angle,
}

/// A stand, seen from the driver's seat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stand {
    FrontLeft,
    FrontRight,
    RearLeft,
    RearRight,
}

impl Stand {
    /// Every stand.
    pub const ALL: [Self; 4] = [Self::FrontLeft, Self::FrontRight, Self::RearLeft, Self::RearRight];
    /// Its name in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::FrontLeft => "front left",
            Self::FrontRight => "front right",
            Self::RearLeft => "rear left",
            Self::RearRight => "rear right",
        }
    }
}

/// What to put under one stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shim {
    pub stand: Stand,
    /// Height that makes it level.
    pub level: Length,
    /// Height that brings both axes just inside the allowed tilt.
    pub least: Length,
}

/// The shims of all four stands.
#[derive(Debug, Clone, PartialEq)]
pub struct ShimPlan {
    /// One for each stand; the highest corner gets nothing.
    pub shims: [Shim; 4],
    /// Standard uncertainty of a height, from that of the angles.
    pub u: Length,
    /// True when it stands inside the allowed tilt as it is.
    pub inside: bool,
}

/// What to put under which stand.
///
/// h = b sin|θ| under the low end and w sin|φ| under the low side; a stand on both gets the sum.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | θ, φ | `nose_up`, `right_up` | deg | −20 to 20 |
/// | b, w | `wheelbase`, `track` | mm | 300 to 10 000 |
/// | – | `allowed` | deg | 0 to 20 |
/// | u | `u` of either angle | deg | 0 to 20 |
///
/// # Source
/// Geometry; base and track are measured along the vehicle, so they are the long side of the triangle. The sum at a
/// corner is exact to second order in the tilt: at 5° both ways it is 0.4 % off.
///
/// # Errors
/// Any argument outside its range.
///
/// # Example
/// Nose up 3.18° on 2.7 m: 2700 × sin 3.18° = 149.8 mm under both rear stands.
/// ```
/// use physics::shim::{Stance, shim_plan};
/// use quantity::{Angle, Length};
/// let deg = Angle::from_degrees;
/// let plan = shim_plan(&Stance {
///     nose_up: deg(3.18), right_up: deg(0.0), wheelbase: Length::from_metres(2.7), track: Length::from_metres(1.5),
///     allowed: deg(1.0), u: deg(0.1),
/// }).unwrap();
/// assert!((plan.shims[2].level.mm() - 149.8).abs() < 0.05 && plan.shims[0].level.mm() == 0.0);
/// ```
pub fn shim_plan(stance: &Stance) -> Result<ShimPlan, PhysicsError> {
    let pitch = TILT.check(stance.nose_up.degrees())?;
    let roll = TILT.check(stance.right_up.degrees())?;
    let base = BASE.check(stance.wheelbase.mm())?;
    let track = BASE.check(stance.track.mm())?;
    let allowed = ALLOWED.check(stance.allowed.degrees())?;
    let u = ALLOWED.check(stance.u.degrees())?;
    let height = |long: f64, degrees: f64| long * libm::sin(degrees.to_radians());
    let both = |degrees: f64, long: f64| {
        (height(long, degrees.abs()), height(long, degrees.abs()) - height(long, allowed.min(degrees.abs())))
    };
    let (along, across) = (both(pitch, base), both(roll, track));
    let shims = Stand::ALL.map(|stand| {
        let front = matches!(stand, Stand::FrontLeft | Stand::FrontRight);
        let left = matches!(stand, Stand::FrontLeft | Stand::RearLeft);
        let low_end = pitch != 0.0 && front == (pitch < 0.0);
        let low_side = roll != 0.0 && left == (roll > 0.0);
        let part = |of: f64, low: bool| if low { of } else { 0.0 };
        Shim {
            stand,
            level: Length::from_mm(part(along.0, low_end) + part(across.0, low_side)),
            least: Length::from_mm(part(along.1, low_end) + part(across.1, low_side)),
        }
    });
    let doubt = height(base.max(track), u);
    Ok(ShimPlan { shims, u: Length::from_mm(doubt), inside: pitch.abs() <= allowed && roll.abs() <= allowed })
}
