//! How far off level a simulated vehicle stands.

use quantity::{Angle, Length};
use serde::{Deserialize, Serialize};

/// How a vehicle stands on its lift or stands; level by default.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Stance {
    /// Nose up is positive, degrees.
    #[serde(rename = "nose_up_deg")]
    pub nose_up: Angle,
    /// Right side up is positive, degrees.
    #[serde(rename = "right_up_deg")]
    pub right_up: Angle,
}

impl Stance {
    /// How far an edge stands above (+) or below (−) where it would be on level ground, for [`CircuitParams::lean`]:
    /// `ahead` and `right` are where it is from the middle of the fluid's surface. The surface stays horizontal while
    /// the case turns under it, so each axis lifts the edge by its distance times the slope.
    ///
    /// ```
    /// use link::simulate::Stance;
    /// use quantity::{Angle, Length};
    /// let nose_up = Stance { nose_up: Angle::from_degrees(1.0), ..Stance::default() };
    /// let lean = nose_up.lean(Length::from_mm(-100.0), Length::from_mm(0.0));
    /// assert!((lean.mm() + 1.746).abs() < 0.001); // 100 mm behind the middle: 1 in 57.29 lower
    /// ```
    ///
    /// [`CircuitParams::lean`]: super::CircuitParams::lean
    pub fn lean(&self, ahead: Length, right: Length) -> Length {
        let slope = |angle: Angle| libm::tan(angle.degrees().to_radians());
        Length::from_mm(ahead.mm() * slope(self.nose_up) + right.mm() * slope(self.right_up))
    }
}
