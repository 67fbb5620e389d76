//! How far two colours lie apart for the eye.

use std::f64::consts::{PI, TAU};

use crate::{Limits, PhysicsError};

/// Lightness of a colour.
pub static LIGHTNESS: Limits = Limits::new("lightness", "of CIELAB", 0.0, 100.5);
/// Red–green and yellow–blue of a colour.
pub static OPPONENT: Limits = Limits::new("a or b of a colour", "of CIELAB", -200.0, 200.0);

/// A colour in CIELAB.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lab {
    /// Lightness, 0 black to 100 white.
    pub l: f64,
    /// Green (negative) to red.
    pub a: f64,
    /// Blue (negative) to yellow.
    pub b: f64,
}

impl Lab {
    fn checked(self) -> Result<Self, PhysicsError> {
        LIGHTNESS.check(self.l)?;
        OPPONENT.check(self.a)?;
        OPPONENT.check(self.b)?;
        Ok(self)
    }

    fn chroma(self) -> f64 {
        libm::hypot(self.a, self.b)
    }
}

/// Lightness, chroma and hue of a pair, with a stretched by the chroma.
struct Pair {
    step: [f64; 3],
    mean: [f64; 3],
}

/// The difference of two colours as the eye weighs it (CIEDE2000, k_L = k_C = k_H = 1); about 1 is just visible.
///
/// ΔE₀₀² = (ΔL′/S_L)² + (ΔC′/S_C)² + (ΔH′/S_H)² + R_T (ΔC′/S_C)(ΔH′/S_H).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | L | `first.l`, `second.l` | CIELAB | 0 to 100.5 |
/// | a, b | `first.a` … | CIELAB | −200 to 200 |
///
/// Hues exactly opposite have no mean: there the result jumps with the last digit, by up to 1 %.
///
/// # Source
/// ISO/CIE 11664-6; equations as discussed in Color Research & Application 30(1), 2005, 21–30, from memory, checked
/// with the 34 pairs of its table 1.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a coordinate outside its range.
///
/// # Example
/// Two greys of lightness 50 and 60: mean 55, S_L = 1 + 0.015 × 25/√45 = 1.0559; 10/1.0559 = 9.47.
/// ```
/// use physics::colour::{Lab, difference};
/// let grey = |l| Lab { l, a: 0.0, b: 0.0 };
/// assert!((difference(grey(50.0), grey(60.0)).unwrap() - 9.47).abs() < 0.005);
/// ```
pub fn difference(first: Lab, second: Lab) -> Result<f64, PhysicsError> {
    Ok(apart(first.checked()?, second.checked()?))
}

/// As [`difference`], for colours known to lie in range.
pub(super) fn apart(first: Lab, second: Lab) -> f64 {
    let Pair { step: [lightness, chroma, hue], mean: [l, c, h] } = pair(first, second);
    let wave = |factor: f64, shift_deg: f64| libm::cos(factor * h - shift_deg.to_radians());
    let weight = 1.0 - 0.17 * wave(1.0, 30.0) + 0.24 * wave(2.0, 0.0) + 0.32 * wave(3.0, -6.0) - 0.20 * wave(4.0, 63.0);
    let from_middle = (l - 50.0) * (l - 50.0);
    let lightness = lightness / (1.0 + 0.015 * from_middle / (20.0 + from_middle).sqrt());
    let chroma = chroma / (1.0 + 0.045 * c);
    let hue = hue / (1.0 + 0.015 * c * weight);
    let blue = (h.to_degrees() - 275.0) / 25.0;
    let turn = (60.0 * libm::exp(-blue * blue)).to_radians();
    let rotation = -2.0 * saturation(c) * libm::sin(turn);
    let square = lightness * lightness + chroma * chroma + hue * hue + rotation * chroma * hue;
    square.max(0.0).sqrt()
}

/// √(C⁷/(C⁷ + 25⁷)).
fn saturation(chroma: f64) -> f64 {
    let seventh = libm::pow(chroma, 7.0);
    (seventh / (seventh + libm::pow(25.0, 7.0))).sqrt()
}

fn pair(first: Lab, second: Lab) -> Pair {
    let stretch = 1.0 + 0.5 * (1.0 - saturation(0.5 * (first.chroma() + second.chroma())));
    let stretched = |colour: Lab| Lab { a: stretch * colour.a, ..colour };
    let (one, two) = (stretched(first), stretched(second));
    let (c1, c2) = (one.chroma(), two.chroma());
    let hue = |colour: Lab| {
        let angle = libm::atan2(colour.b, colour.a);
        if angle < 0.0 { angle + TAU } else { angle }
    };
    let (h1, h2) = (hue(one), hue(two));
    // A grey has no hue: no step, and the mean is the other's.
    let grey = c1 * c2 == 0.0;
    let way = h2 - h1;
    let (turn, mean_hue) = match way {
        _ if grey => (0.0, if c1 == 0.0 { h2 } else { h1 }),
        _ if way.abs() <= PI => (way, 0.5 * (h1 + h2)),
        _ => (way - TAU.copysign(way), 0.5 * (h1 + h2) + if h1 + h2 < TAU { PI } else { -PI }),
    };
    Pair {
        step: [two.l - one.l, c2 - c1, 2.0 * (c1 * c2).sqrt() * libm::sin(0.5 * turn)],
        mean: [0.5 * (one.l + two.l), 0.5 * (c1 + c2), mean_hue],
    }
}
