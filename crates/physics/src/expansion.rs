//! How a lubricating oil swells with temperature: volumes and densities from one temperature to another.

use crate::{Limits, PhysicsError};
use quantity::{Density, Flow, Temperature, TemperatureRate, Volume};

mod typical;
pub use typical::{TypicalFluid, typical_fluids};

/// Density at 15 °C for which the lubricating-oil table holds.
pub static DENSITY15: Limits = Limits::new("density at 15 °C", "kg/m³", 800.9, 1163.5);
/// Fluid temperature for which the lubricating-oil table holds.
pub static TEMPERATURE: Limits = Limits::new("fluid temperature", "°C", -50.0, 150.0);
/// A plausible coefficient of expansion of a service fluid.
pub static COEFFICIENT: Limits = Limits::new("coefficient of expansion", "1/K", 1e-4, 2e-3);
/// A volume of fluid in service work.
pub static VOLUME: Limits = Limits::new("fluid volume", "mL", 0.0, 1e6);
/// How fast a fluid temperature may change.
pub static RATE: Limits = Limits::new("temperature rate", "K/min", -60.0, 60.0);

/// Constant of the generalised lubricating oils, kg/m³ per K, on the base of 15 °C.
const K1: f64 = 0.6278;
/// Base temperature of the table, °C.
const BASE_C: f64 = 15.0;

/// How much a fluid swells per kelvin at 15 °C, from its density there.
///
/// α = K₁ / ρ₁₅ with K₁ = 0.6278 kg/(m³·K).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | ρ₁₅ | `density15` | kg/m³ | 800.9 to 1163.5 |
///
/// # Source
/// API MPMS chapter 11.1 / ASTM D1250, generalised lubricating oils, 1980 edition on the base of 15 °C
/// (K₀ = 0); second-hand from public implementations. The 2004 edition on 60 °F has K₁ = 0.34878 per °F,
/// and 0.34878 × 1.8 = 0.6278.
///
/// # Errors
/// Density outside [`DENSITY15`].
///
/// # Example
/// 0.6278 / 850 = 7.386e-4 per K:
/// ```
/// let alpha = physics::expansion::alpha15(quantity::Density::from_kg_per_m3(850.0)).unwrap();
/// assert!((alpha - 7.386e-4).abs() < 1e-7);
/// ```
pub fn alpha15(density15: Density) -> Result<f64, PhysicsError> {
    Ok(K1 / DENSITY15.check(density15.kg_per_m3())?)
}

/// The factor that turns a volume at `t` into the volume of the same fluid at 15 °C.
///
/// CTL = exp(−α Δ (1 + 0.8 α Δ)), Δ = t − 15 °C; V₁₅ = V CTL and ρ = ρ₁₅ CTL.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | ρ₁₅ | `density15` | kg/m³ | 800.9 to 1163.5 |
/// | t | `t` | °C | −50 to 150 |
///
/// # Source
/// API MPMS chapter 11.1 / ASTM D1250 (as [`alpha15`]); the small shift between the 1968 and 1990
/// temperature scales is left out (7e-6 of the volume at 50 °C).
///
/// # Errors
/// Density outside [`DENSITY15`], temperature outside [`TEMPERATURE`].
///
/// # Example
/// 850 kg/m³ at 40 °C: α Δ = 7.3859e-4 × 25 = 0.018465; × (1 + 0.8 × 0.018465) = 0.018737; exp(−0.018737) = 0.98144.
/// ```
/// use quantity::{Density, Temperature};
/// let factor = physics::expansion::ctl(Density::from_kg_per_m3(850.0), Temperature::from_celsius(40.0)).unwrap();
/// assert!((factor - 0.98144).abs() < 5e-6);
/// ```
pub fn ctl(density15: Density, t: Temperature) -> Result<f64, PhysicsError> {
    let alpha = alpha15(density15)?;
    Ok(ctl_of(alpha, TEMPERATURE.check(t.celsius())? - BASE_C))
}

fn ctl_of(alpha: f64, delta: f64) -> f64 {
    let x = alpha * delta;
    libm::exp(-x * (1.0 + 0.8 * x))
}

/// How much a fluid swells per kelvin at the temperature it has now.
///
/// β = α (1 + 1.6 α Δ), the slope of −ln CTL; symbols as in [`ctl`].
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | ρ₁₅ | `density15` | kg/m³ | 800.9 to 1163.5 |
/// | t | `t` | °C | −50 to 150 |
///
/// # Source
/// Derivative of the equation of [`ctl`].
///
/// # Errors
/// As [`ctl`].
///
/// # Example
/// 850 kg/m³ at 80 °C: 7.3859e-4 × (1 + 1.6 × 0.048008) = 7.953e-4 per K.
/// ```
/// use quantity::{Density, Temperature};
/// let beta = physics::expansion::local_coefficient(Density::from_kg_per_m3(850.0), Temperature::from_celsius(80.0)).unwrap();
/// assert!((beta - 7.953e-4).abs() < 1e-7);
/// ```
pub fn local_coefficient(density15: Density, t: Temperature) -> Result<f64, PhysicsError> {
    let alpha = alpha15(density15)?;
    Ok(alpha * (1.0 + 1.6 * alpha * (TEMPERATURE.check(t.celsius())? - BASE_C)))
}

/// The density of a fluid at a temperature.
///
/// ρ = ρ₁₅ CTL; symbols as in [`ctl`].
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | ρ₁₅ | `density15` | kg/m³ | 800.9 to 1163.5 |
/// | t | `t` | °C | −50 to 150 |
///
/// # Source
/// As [`ctl`].
///
/// # Errors
/// As [`ctl`].
///
/// # Example
/// 850 × 0.97396 = 827.87 kg/m³ at 50 °C.
/// ```
/// use quantity::{Density, Temperature};
/// let rho = physics::expansion::density_at(Density::from_kg_per_m3(850.0), Temperature::from_celsius(50.0)).unwrap();
/// assert!((rho.kg_per_m3() - 827.87).abs() < 0.005);
/// ```
pub fn density_at(density15: Density, t: Temperature) -> Result<Density, PhysicsError> {
    Ok(density15 * ctl(density15, t)?)
}

/// The density at 15 °C of a fluid that was weighed or floated at another temperature.
///
/// Solves ρ₁₅ CTL(ρ₁₅, t) = ρ by repeating ρ₁₅ ← ρ / CTL(ρ₁₅, t); each pass shrinks the error about fiftyfold.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | ρ | `observed` | kg/m³ | such that ρ₁₅ is 800.9 to 1163.5 |
/// | t | `t` | °C | −50 to 150 |
///
/// # Source
/// As [`ctl`]; fixed-point iteration.
///
/// # Errors
/// Temperature outside [`TEMPERATURE`]; a density whose value at 15 °C is outside [`DENSITY15`].
///
/// # Example
/// 846 at 22 °C: first guess α Δ = 0.6278 × 7 / 846 = 0.005195, CTL 0.994797, 846 / 0.994797 = 850.42; next 850.40.
/// ```
/// use quantity::{Density, Temperature};
/// let rho = physics::expansion::density15(Density::from_kg_per_m3(846.0), Temperature::from_celsius(22.0)).unwrap();
/// assert!((rho.kg_per_m3() - 850.4013).abs() < 5e-5);
/// ```
pub fn density15(observed: Density, t: Temperature) -> Result<Density, PhysicsError> {
    let delta = TEMPERATURE.check(t.celsius())? - BASE_C;
    let rho = OBSERVED_DENSITY.check(observed.kg_per_m3())?;
    let mut base = rho;
    for _ in 0..30 {
        base = rho / ctl_of(K1 / base, delta);
    }
    Ok(Density::from_kg_per_m3(DENSITY15.check(base)?))
}

/// A density as observed at any temperature of the table.
pub static OBSERVED_DENSITY: Limits = Limits::new("observed density", "kg/m³", 700.0, 1250.0);

/// What is known about how the fluid swells: its density, or only a coefficient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Expansion {
    /// Density at 15 °C; the coefficient follows from it and grows with temperature.
    Density15(Density),
    /// A constant coefficient per K, as a sheet may print it.
    Coefficient(f64),
}

impl Expansion {
    /// Volume at `to` of the fluid that fills 1 at `from`; equations and limits as [`volume_at`] and [`volume_at_beta`].
    ///
    /// # Errors
    /// As those two.
    pub fn ratio(self, from: Temperature, to: Temperature) -> Result<f64, PhysicsError> {
        match self {
            Self::Density15(density15) => Ok(ctl(density15, from)? / ctl(density15, to)?),
            Self::Coefficient(beta) => {
                let beta = COEFFICIENT.check(beta)?;
                let (from, to) = (TEMPERATURE.check(from.celsius())?, TEMPERATURE.check(to.celsius())?);
                Ok(libm::exp(beta * (to - from)))
            }
        }
    }

    /// Volume at `to` of a volume measured at `from`.
    ///
    /// # Errors
    /// As [`volume_at`] and [`volume_at_beta`].
    pub fn volume_at(self, volume: Volume, from: Temperature, to: Temperature) -> Result<Volume, PhysicsError> {
        VOLUME.check(volume.ml())?;
        Ok(volume * self.ratio(from, to)?)
    }

    /// Coefficient per K at `t`.
    ///
    /// # Errors
    /// As [`local_coefficient`]; a constant coefficient outside [`COEFFICIENT`].
    pub fn coefficient_at(self, t: Temperature) -> Result<f64, PhysicsError> {
        match self {
            Self::Density15(density15) => local_coefficient(density15, t),
            Self::Coefficient(beta) => {
                TEMPERATURE.check(t.celsius())?;
                COEFFICIENT.check(beta)
            }
        }
    }
}

/// The volume at `to` of fluid that measured `volume` at `from`.
///
/// V₂ = V₁ CTL(t₁) / CTL(t₂).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V₁ | `volume` | mL | 0 to 1e6 |
/// | t₁, t₂ | `from`, `to` | °C | −50 to 150 |
/// | ρ₁₅ | `density15` | kg/m³ | 800.9 to 1163.5 |
///
/// # Source
/// As [`ctl`].
///
/// # Errors
/// Any argument outside its range.
///
/// # Example
/// 8 L of an 850 kg/m³ fluid from 40 to 60 °C: 8 × 0.98144 / 0.96646 = 8.1240 L.
/// ```
/// use quantity::{Density, Temperature, Volume};
/// let (cold, warm) = (Temperature::from_celsius(40.0), Temperature::from_celsius(60.0));
/// let v = physics::expansion::volume_at(Volume::from_litres(8.0), cold, warm, Density::from_kg_per_m3(850.0)).unwrap();
/// assert!((v.ml() - 8124.0).abs() < 0.1);
/// ```
pub fn volume_at(
    volume: Volume,
    from: Temperature,
    to: Temperature,
    density15: Density,
) -> Result<Volume, PhysicsError> {
    Expansion::Density15(density15).volume_at(volume, from, to)
}

/// The volume at `to` of fluid that measured `volume` at `from`, when only a constant coefficient is known.
///
/// V₂ = V₁ exp(β (t₂ − t₁)), which is what a constant coefficient means; there and back gives the same volume.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V₁ | `volume` | mL | 0 to 1e6 |
/// | t₁, t₂ | `from`, `to` | °C | −50 to 150 |
/// | β | `beta` | 1/K | 1e-4 to 2e-3 |
///
/// # Source
/// Definition of the coefficient, dV/dT = β V, integrated.
///
/// # Errors
/// Any argument outside its range.
///
/// # Example
/// 4.30 L at 75 °C with 0.00075 per K: 4.30 × exp(−0.04125) = 4.30 × 0.95959 = 4.126 L at 20 °C.
/// ```
/// use quantity::{Temperature, Volume};
/// let (hot, cool) = (Temperature::from_celsius(75.0), Temperature::from_celsius(20.0));
/// let v = physics::expansion::volume_at_beta(Volume::from_litres(4.30), hot, cool, 0.00075).unwrap();
/// assert!((v.litres() - 4.126).abs() < 0.0005);
/// ```
pub fn volume_at_beta(volume: Volume, from: Temperature, to: Temperature, beta: f64) -> Result<Volume, PhysicsError> {
    Expansion::Coefficient(beta).volume_at(volume, from, to)
}

/// How much fluid expansion alone pushes over the lip while the unit warms.
///
/// Q = β V dT/dt; negative while it cools.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V | `charge` | mL | 0 to 1e6 |
/// | β | `beta` | 1/K | 1e-4 to 2e-3 |
/// | dT/dt | `rate` | K/min | −60 to 60 |
///
/// # Source
/// Definition of the coefficient.
///
/// # Errors
/// Any argument outside its range.
///
/// # Example
/// 9 L, 0.00075 per K, 1.8 K/min: 9000 × 0.00075 × 1.8 = 12.15 mL/min.
/// ```
/// use quantity::{TemperatureRate, Volume};
/// let rate = TemperatureRate::from_kelvin_per_minute(1.8);
/// let q = physics::expansion::expansion_flow(Volume::from_litres(9.0), 0.00075, rate).unwrap();
/// assert!((q.ml_per_minute() - 12.15).abs() < 1e-9);
/// ```
pub fn expansion_flow(charge: Volume, beta: f64, rate: TemperatureRate) -> Result<Flow, PhysicsError> {
    let volume = VOLUME.check(charge.ml())?;
    Ok(Flow::from_ml_per_minute(volume * COEFFICIENT.check(beta)? * RATE.check(rate.kelvin_per_minute())?))
}
