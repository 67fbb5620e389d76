//! How thick a fluid is at a temperature, and how little it thins when it warms (viscosity index).

use crate::{Limits, PhysicsError};
use quantity::{KinematicViscosity, Temperature};

/// Kinematic viscosity of a service fluid between frost and full heat.
pub static VISCOSITY: Limits = Limits::new("kinematic viscosity", "mm²/s", 0.5, 1e6);
/// Temperature for which a viscosity line is used.
pub static TEMPERATURE: Limits = Limits::new("fluid temperature", "°C", -60.0, 200.0);
/// Kinematic viscosity at 100 °C for which the viscosity index is defined.
pub static KV100: Limits = Limits::new("kinematic viscosity at 100 °C", "mm²/s", 2.0, 500.0);

/// The line of a fluid on the viscosity–temperature chart, through two measured points.
///
/// log₁₀ log₁₀ Z = A − B log₁₀ T, Z = ν + 0.7 + exp(−1.47 − 1.84 ν − 0.51 ν²).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | ν | viscosity | mm²/s | 0.5 to 1e6 |
/// | T | temperature | K (given in °C) | −60 to 200 °C |
///
/// # Source
/// ASTM D341-09 and later; second-hand from two public implementations that agree. Base-10 logarithms.
///
/// # Errors
/// See the constructor and the readers.
///
/// # Example
/// 34 mm²/s at 40 °C and 7.4 at 100 °C. y₁ = log log 34.7 = 0.187614, y₂ = log log 8.1 = −0.041682; x₁ = log 313.15 =
/// 2.495752, x₂ = log 373.15 = 2.571883. B = 0.229296 / 0.076131 = 3.0119, A = 0.18761 + 3.0119 × 2.49575 = 7.7045.
/// ```
/// use quantity::{KinematicViscosity, Temperature};
/// let kv = KinematicViscosity::from_mm2_per_s;
/// let line = physics::viscosity::ViscosityLine::from_40_and_100(kv(34.0), kv(7.4)).unwrap();
/// let at50 = line.at(Temperature::from_celsius(50.0)).unwrap();
/// assert!((at50.mm2_per_s() - 24.5).abs() < 0.05);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ViscosityLine {
    a: f64,
    b: f64,
    cold: Temperature,
    hot: Temperature,
}

impl ViscosityLine {
    /// The line through two points, in either order.
    ///
    /// # Errors
    /// A viscosity or temperature outside its range; points less than 1 K apart; a fluid that does not thin when it warms.
    pub fn through(
        first: (Temperature, KinematicViscosity),
        second: (Temperature, KinematicViscosity),
    ) -> Result<Self, PhysicsError> {
        let (cold, hot) = if first.0 <= second.0 { (first, second) } else { (second, first) };
        let (x1, x2) = (log_kelvin(cold.0)?, log_kelvin(hot.0)?);
        let (v1, v2) = (VISCOSITY.check(cold.1.mm2_per_s())?, VISCOSITY.check(hot.1.mm2_per_s())?);
        if hot.0.celsius() - cold.0.celsius() < 1.0 {
            return Err(PhysicsError::Contradiction(
                "the two viscosity points are less than 1 K apart; take them at 40 °C and 100 °C".into(),
            ));
        }
        if v1 <= v2 {
            return Err(PhysicsError::Contradiction(format!(
                "the fluid would be {v1} mm²/s cold and {v2} mm²/s hot, but fluids thin when they warm; are the two values swapped?"
            )));
        }
        let (y1, y2) = (log_log_z(v1), log_log_z(v2));
        let b = (y1 - y2) / (x2 - x1);
        Ok(Self { a: y1 + b * x1, b, cold: cold.0, hot: hot.0 })
    }

    /// The line through the two values that a data sheet prints, at 40 °C and 100 °C.
    ///
    /// # Errors
    /// As [`ViscosityLine::through`].
    pub fn from_40_and_100(kv40: KinematicViscosity, kv100: KinematicViscosity) -> Result<Self, PhysicsError> {
        Self::through((Temperature::from_celsius(40.0), kv40), (Temperature::from_celsius(100.0), kv100))
    }

    /// The intercept A of the line, for base-10 logarithms.
    pub const fn a(&self) -> f64 {
        self.a
    }

    /// The slope B of the line, for base-10 logarithms.
    pub const fn b(&self) -> f64 {
        self.b
    }

    /// True when `t` lies outside the two points the line was drawn through, so that a value there is extrapolated.
    pub fn is_extrapolated(&self, t: Temperature) -> bool {
        !(self.cold <= t && t <= self.hot)
    }

    /// The kinematic viscosity at a temperature.
    ///
    /// # Errors
    /// Temperature outside [`TEMPERATURE`]; a result outside [`VISCOSITY`].
    pub fn at(&self, t: Temperature) -> Result<KinematicViscosity, PhysicsError> {
        let y = self.a - self.b * log_kelvin(t)?;
        let x = libm::pow(10.0, libm::pow(10.0, y)) - 0.7;
        let v = x - libm::exp(-0.7487 - 3.295 * x + 0.6119 * x * x - 0.3193 * x * x * x);
        Ok(KinematicViscosity::from_mm2_per_s(VISCOSITY.check(v)?))
    }

    /// The temperature at which the fluid has a viscosity; the line read the other way.
    ///
    /// # Errors
    /// Viscosity outside [`VISCOSITY`]; a result outside [`TEMPERATURE`].
    pub fn temperature_for(&self, viscosity: KinematicViscosity) -> Result<Temperature, PhysicsError> {
        let y = log_log_z(VISCOSITY.check(viscosity.mm2_per_s())?);
        let t = Temperature::from_kelvin(libm::pow(10.0, (self.a - y) / self.b));
        TEMPERATURE.check(t.celsius())?;
        Ok(t)
    }
}

fn log_kelvin(t: Temperature) -> Result<f64, PhysicsError> {
    TEMPERATURE.check(t.celsius())?;
    Ok(libm::log10(t.kelvin()))
}

fn log_log_z(v: f64) -> f64 {
    let z = v + 0.7 + libm::exp(-1.47 - 1.84 * v - 0.51 * v * v);
    libm::log10(libm::log10(z))
}

/// The viscosity index: 0 for a fluid that thins strongly when it warms, 100 and more for one that hardly does.
///
/// Up to 100: 100 (L − U) / (L − H). Above: 100 + (10^N − 1) / 0.00715 with N = log₁₀(H / U) / log₁₀ Y.
/// L and H come from the table of the standard by linear interpolation; above Y = 70:
/// L = 0.8353 Y² + 14.67 Y − 216 and H = 0.1684 Y² + 11.85 Y − 97.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | U | `kv40` | mm²/s | more than Y |
/// | Y | `kv100` | mm²/s | 2 to 500 |
///
/// # Source
/// ASTM D2270, second-hand (`data/d2270_LH.csv`). The unrounded value; print it with [`printed_index`].
///
/// # Errors
/// Y outside [`KV100`] (the index is not defined below 2 mm²/s); U not above Y; U outside [`VISCOSITY`].
///
/// # Example
/// The standard's own: U = 73.30, Y = 8.86 give L = 119.94, H = 69.48: 100 × (119.94 − 73.30) / (119.94 − 69.48) = 92.43.
/// ```
/// use quantity::KinematicViscosity;
/// let kv = KinematicViscosity::from_mm2_per_s;
/// let index = physics::viscosity::viscosity_index(kv(73.30), kv(8.86)).unwrap();
/// assert!((index - 92.43).abs() < 0.01);
/// ```
pub fn viscosity_index(kv40: KinematicViscosity, kv100: KinematicViscosity) -> Result<f64, PhysicsError> {
    let u = VISCOSITY.check(kv40.mm2_per_s())?;
    let y = KV100.check(kv100.mm2_per_s())?;
    if u <= y {
        return Err(PhysicsError::Contradiction(format!(
            "{u} mm²/s at 40 °C is not more than {y} mm²/s at 100 °C; are the two values swapped?"
        )));
    }
    let (l, h) = index_basis(y);
    if u >= h {
        return Ok(100.0 * (l - u) / (l - h));
    }
    let n = libm::log10(h / u) / libm::log10(y);
    Ok(100.0 + (libm::pow(10.0, n) - 1.0) / 0.00715)
}

/// The whole number to print for a viscosity index: halves go to the even neighbour.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | index | `index` | 1 | any; what is no number stays none |
///
/// # Source
/// ASTM D2270, reporting (second-hand), with the usual rule for halves.
/// # Errors
/// None.
/// # Example
/// 156.5 is printed 156, 157.5 is printed 158.
/// ```
/// assert_eq!((physics::viscosity::printed_index(156.5), physics::viscosity::printed_index(157.5)), (156.0, 158.0));
/// ```
pub fn printed_index(index: f64) -> f64 {
    index.round_ties_even()
}

/// L and H for a viscosity at 100 °C of at least 2 mm²/s.
fn index_basis(y: f64) -> (f64, f64) {
    let mut below: Option<[f64; 3]> = None;
    for row in index_table() {
        if let Some([y0, l0, h0]) = below
            && y <= row[0]
        {
            let share = (y - y0) / (row[0] - y0);
            return (l0 + share * (row[1] - l0), h0 + share * (row[2] - h0));
        }
        below = Some(row);
    }
    (0.8353 * y * y + 14.67 * y - 216.0, 0.1684 * y * y + 11.85 * y - 97.0)
}

/// The rows of the table: viscosity at 100 °C, L, H, in rising order. Comments and the heading do not parse and drop out.
fn index_table() -> impl Iterator<Item = [f64; 3]> {
    include_str!("../data/d2270_LH.csv").lines().filter_map(|line| {
        let mut cells = line.split(',').map(|cell| cell.parse().ok());
        Some([cells.next()??, cells.next()??, cells.next()??])
    })
}
