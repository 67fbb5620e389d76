//! One newtype a quantity. Each holds one number in one canonical unit, has one constructor and one
//! reader per unit, and is serialised as that bare number (the key that holds it names the unit).

use serde::{Deserialize, Serialize};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident [$unit:literal] { $($from:ident / $to:ident = $factor:expr),+ $(,)? }) => {
        $(#[$doc])*
        #[doc = concat!("\n\nCanonical unit: ", $unit, ".")]
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            $(
                #[doc = concat!("From a number in the unit the name says; ×", stringify!($factor), " to ", $unit, ".")]
                pub const fn $from(value: f64) -> Self { Self(value * $factor) }
                #[doc = concat!("The number in the unit the name says; ÷", stringify!($factor), " from ", $unit, ".")]
                pub const fn $to(self) -> f64 { self.0 / $factor }
            )+
            /// True when the number is neither NaN nor infinite.
            pub const fn is_finite(self) -> bool { self.0.is_finite() }
            /// The smaller of two.
            pub const fn min(self, other: Self) -> Self { Self(self.0.min(other.0)) }
            /// The larger of two.
            pub const fn max(self, other: Self) -> Self { Self(self.0.max(other.0)) }
        }
    };
}

macro_rules! linear {
    ($($name:ident),+) => { $(
        impl std::ops::Add for $name { type Output = Self; fn add(self, o: Self) -> Self { Self(self.0 + o.0) } }
        impl std::ops::Sub for $name { type Output = Self; fn sub(self, o: Self) -> Self { Self(self.0 - o.0) } }
        impl std::ops::Neg for $name { type Output = Self; fn neg(self) -> Self { Self(-self.0) } }
        impl std::ops::Mul<f64> for $name { type Output = Self; fn mul(self, k: f64) -> Self { Self(self.0 * k) } }
        impl std::ops::Div<f64> for $name { type Output = Self; fn div(self, k: f64) -> Self { Self(self.0 / k) } }
        /// The ratio of two of the same kind, a bare number.
        impl std::ops::Div for $name { type Output = f64; fn div(self, o: Self) -> f64 { self.0 / o.0 } }
        impl std::iter::Sum for $name { fn sum<I: Iterator<Item = Self>>(i: I) -> Self { Self(i.map(|x| x.0).sum()) } }
    )+ };
}

quantity!(/// A difference between two temperatures. Fahrenheit differences have no 32 offset.
    TemperatureDifference ["K"] { from_kelvin / kelvin = 1.0, from_fahrenheit / fahrenheit = 5.0 / 9.0 });
quantity!(/// How fast a temperature changes.
    TemperatureRate ["K/min"] { from_kelvin_per_minute / kelvin_per_minute = 1.0, from_kelvin_per_second / kelvin_per_second = 60.0, from_fahrenheit_per_minute / fahrenheit_per_minute = 5.0 / 9.0 });
quantity!(/// A volume of fluid.
    Volume ["mL"] { from_ml / ml = 1.0, from_litres / litres = 1000.0, from_cubic_metres / cubic_metres = 1e6,
        from_us_gallons / us_gallons = 3785.411784, from_us_quarts / us_quarts = 946.352946, from_us_pints / us_pints = 473.176473, from_us_fluid_ounces / us_fluid_ounces = 29.5735295625,
        from_imperial_gallons / imperial_gallons = 4546.09, from_imperial_quarts / imperial_quarts = 1136.5225, from_imperial_pints / imperial_pints = 568.26125 });
quantity!(/// A volume per time.
    Flow ["mL/min"] { from_ml_per_minute / ml_per_minute = 1.0, from_ml_per_second / ml_per_second = 60.0, from_litres_per_minute / litres_per_minute = 1000.0 });
quantity!(/// A tightening torque.
    Torque ["N·m"] { from_nm / nm = 1.0, from_lbf_ft / lbf_ft = 1.3558179483314004, from_lbf_in / lbf_in = 0.1129848290276167, from_kgf_m / kgf_m = 9.80665, from_kgf_cm / kgf_cm = 0.0980665 });
quantity!(/// A length in the workshop.
    Length ["mm"] { from_mm / mm = 1.0, from_cm / cm = 10.0, from_metres / metres = 1000.0, from_inches / inches = 25.4, from_feet / feet = 304.8 });
quantity!(/// An area, of a sump's fluid surface for instance.
    Area ["m²"] { from_square_metres / square_metres = 1.0, from_square_cm / square_cm = 1e-4, from_square_mm / square_mm = 1e-6, from_square_inches / square_inches = 0.00064516 });
quantity!(/// A tilt or an adapter angle.
    Angle ["deg"] { from_degrees / degrees = 1.0, from_radians / radians = 180.0 / std::f64::consts::PI });
quantity!(/// A mass.
    Mass ["kg"] { from_kg / kg = 1.0, from_grams / grams = 1e-3, from_pounds / pounds = 0.45359237, from_ounces / ounces = 0.028349523125 });
quantity!(/// A density.
    Density ["kg/m³"] { from_kg_per_m3 / kg_per_m3 = 1.0, from_kg_per_litre / kg_per_litre = 1000.0, from_lb_per_us_gallon / lb_per_us_gallon = 119.82642731689663 });
quantity!(/// A kinematic viscosity; 1 cSt is 1 mm²/s.
    KinematicViscosity ["mm²/s"] { from_mm2_per_s / mm2_per_s = 1.0, from_m2_per_s / m2_per_s = 1e6 });
quantity!(/// A distance travelled.
    Distance ["km"] { from_km / km = 1.0, from_miles / miles = 1.609344, from_metres / metres = 1e-3 });
quantity!(/// A span of time.
    Duration ["s"] { from_seconds / seconds = 1.0, from_minutes / minutes = 60.0, from_hours / hours = 3600.0, from_days / days = 86400.0, from_months / months = 2629746.0, from_years / years = 31556952.0 });
quantity!(/// A pressure.
    Pressure ["kPa"] { from_kpa / kpa = 1.0, from_bar / bar = 100.0, from_psi / psi = 6.894757293168361, from_mpa / mpa = 1000.0 });

linear!(
    TemperatureDifference,
    TemperatureRate,
    Volume,
    Flow,
    Torque,
    Length,
    Area,
    Angle,
    Mass,
    Density,
    KinematicViscosity,
    Distance,
    Duration,
    Pressure
);

/// A temperature as a point on a scale. Two points do not add:
///
/// ```compile_fail
/// let t = quantity::Temperature::from_celsius(20.0);
/// let nonsense = t + t;
/// ```
///
/// A point and a difference do:
///
/// ```
/// use quantity::{Temperature, TemperatureDifference};
/// let t = Temperature::from_celsius(20.0) + TemperatureDifference::from_kelvin(15.0);
/// assert_eq!(t.celsius(), 35.0);
/// ```
///
/// Canonical unit: °C.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Temperature(f64);

impl Temperature {
    /// Absolute zero.
    pub const ABSOLUTE_ZERO: Self = Self(-273.15);
    /// From degrees Celsius.
    pub const fn from_celsius(c: f64) -> Self {
        Self(c)
    }
    /// In degrees Celsius.
    pub const fn celsius(self) -> f64 {
        self.0
    }
    /// From degrees Fahrenheit.
    pub const fn from_fahrenheit(f: f64) -> Self {
        Self((f - 32.0) * 5.0 / 9.0)
    }
    /// In degrees Fahrenheit.
    pub const fn fahrenheit(self) -> f64 {
        self.0 * 9.0 / 5.0 + 32.0
    }
    /// From kelvin.
    pub const fn from_kelvin(k: f64) -> Self {
        Self(k - 273.15)
    }
    /// In kelvin.
    pub const fn kelvin(self) -> f64 {
        self.0 + 273.15
    }
    /// True when the number is neither NaN nor infinite.
    pub const fn is_finite(self) -> bool {
        self.0.is_finite()
    }
    /// The smaller of two.
    pub const fn min(self, other: Self) -> Self {
        Self(self.0.min(other.0))
    }
    /// The larger of two.
    pub const fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }
}

impl std::ops::Sub for Temperature {
    type Output = TemperatureDifference;
    fn sub(self, other: Self) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
}
impl std::ops::Add<TemperatureDifference> for Temperature {
    type Output = Self;
    fn add(self, d: TemperatureDifference) -> Self {
        Self(self.0 + d.0)
    }
}
impl std::ops::Sub<TemperatureDifference> for Temperature {
    type Output = Self;
    fn sub(self, d: TemperatureDifference) -> Self {
        Self(self.0 - d.0)
    }
}
