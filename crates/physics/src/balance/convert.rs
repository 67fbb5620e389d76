//! One portion at the reference temperature, with every input that makes it uncertain.

use quantity::{Density, Temperature, Volume};

use super::entry::{Amount, Expansion, Portion};
use crate::expansion::{self, ctl, local_coefficient};
use crate::{Limits, PhysicsError};

/// Volumes of one portion.
pub static PORTION: Limits = Limits::new("volume of a portion", "mL", 0.0, 1e6);
/// Masses of one portion.
pub static PORTION_MASS: Limits = Limits::new("mass of a portion", "kg", 0.0, 1e3);
/// Standard uncertainty of a volume.
pub static VOLUME_U: Limits = Limits::new("standard uncertainty of a volume", "mL", 0.0, 1e6);
/// Standard uncertainty of a mass.
pub static MASS_U: Limits = Limits::new("standard uncertainty of a mass", "kg", 0.0, 1e3);
/// Standard uncertainty of a temperature.
pub static TEMPERATURE_U: Limits = Limits::new("standard uncertainty of a temperature", "K", 0.0, 200.0);
/// Standard uncertainty of a density.
pub static DENSITY_U: Limits = Limits::new("standard uncertainty of a density", "kg/m³", 0.0, 500.0);
/// Density at the reference temperature.
pub static DENSITY: Limits = Limits::new("density at the reference temperature", "kg/m³", 600.0, 1400.0);
/// Readings of one amount.
pub static READINGS: Limits = Limits::new("number of readings", "1", 2.0, 1000.0);
/// Standard uncertainty of a coefficient of expansion.
pub static COEFFICIENT_U: Limits = Limits::new("standard uncertainty of the coefficient", "1/K", 0.0, 2e-3);

/// What an uncertain input is, so that one shared by several portions is counted once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Source {
    /// Volume or mass of the portion.
    Amount { weighed: bool },
    /// Temperature of the portion, with its thermometer.
    Temperature(Option<u32>),
    /// Density at 15 °C or coefficient of expansion, one for all portions.
    Fluid,
    /// Density at the reference temperature, one for all portions.
    ReferenceDensity,
}

/// An uncertain input of one portion: standard uncertainty and mL per unit.
pub(crate) struct Leg {
    pub source: Source,
    pub u: f64,
    pub sensitivity: f64,
    /// Degrees of freedom of `u`.
    pub dof: f64,
}

impl Leg {
    const fn judged(source: Source, u: f64, sensitivity: f64) -> Self {
        Self { source, u, sensitivity, dof: f64::INFINITY }
    }
}

/// Volume at the reference temperature and its uncertain inputs.
pub(crate) fn at_reference(
    portion: &Portion,
    expansion: &Expansion,
    reference: Temperature,
) -> Result<(Volume, Vec<Leg>), PhysicsError> {
    let (volume, mut legs) = match portion.amount {
        Amount::Measured(v) => measured(portion, v.value, v.u, expansion, reference),
        Amount::Weighed(m) => weighed(m.value.kg(), m.u.kg(), expansion, reference),
    }?;
    if let Some(readings) = portion.readings {
        let dof = READINGS.check(f64::from(readings))? - 1.0;
        let of_amount = legs.iter_mut().filter(|leg| matches!(leg.source, Source::Amount { .. }));
        of_amount.for_each(|leg| leg.dof = dof);
    }
    Ok((volume, legs))
}

/// V_ref = V·f, f = CTL(T)/CTL(T_ref) or exp(β·(T_ref − T)); derivatives in closed form.
fn measured(
    portion: &Portion,
    volume: Volume,
    u: Volume,
    expansion: &Expansion,
    reference: Temperature,
) -> Result<(Volume, Vec<Leg>), PhysicsError> {
    let v = PORTION.check(volume.ml())?;
    let u_volume = VOLUME_U.check(u.ml())?;
    let at = portion.temperature.value;
    let u_temperature = TEMPERATURE_U.check(portion.temperature.u.celsius())?;
    let (factor, beta, per_fluid, u_fluid) = match *expansion {
        Expansion::Density15(rho) => {
            let f = expansion::Expansion::Density15(rho.value).ratio(at, reference)?;
            let per_density = log_ctl_per_density(rho.value, at)? - log_ctl_per_density(rho.value, reference)?;
            (f, local_coefficient(rho.value, at)?, per_density, DENSITY_U.check(rho.u.kg_per_m3())?)
        }
        Expansion::Coefficient { per_kelvin, .. } => {
            let f = expansion::Expansion::Coefficient(per_kelvin.value).ratio(at, reference)?;
            (f, per_kelvin.value, (reference - at).kelvin(), COEFFICIENT_U.check(per_kelvin.u)?)
        }
    };
    let at_reference = v * f_checked(factor)?;
    Ok((
        Volume::from_ml(at_reference),
        vec![
            Leg::judged(Source::Amount { weighed: false }, u_volume, factor),
            Leg::judged(Source::Temperature(portion.thermometer), u_temperature, -beta * at_reference),
            Leg::judged(Source::Fluid, u_fluid, at_reference * per_fluid),
        ],
    ))
}

/// V_ref = m/ρ(T_ref).
fn weighed(
    kg: f64,
    u_kg: f64,
    expansion: &Expansion,
    reference: Temperature,
) -> Result<(Volume, Vec<Leg>), PhysicsError> {
    let m = PORTION_MASS.check(kg)?;
    let u_mass = MASS_U.check(u_kg)?;
    let (density, leg): (f64, &dyn Fn(f64) -> Result<Leg, PhysicsError>) = match expansion {
        Expansion::Density15(rho) => (rho.value.kg_per_m3() * ctl(rho.value, reference)?, &|v| {
            let relative = 1.0 / rho.value.kg_per_m3() + log_ctl_per_density(rho.value, reference)?;
            Ok(Leg::judged(Source::Fluid, DENSITY_U.check(rho.u.kg_per_m3())?, -v * relative))
        }),
        Expansion::Coefficient { density: Some(rho), .. } => (DENSITY.check(rho.value.kg_per_m3())?, &|v| {
            let u = DENSITY_U.check(rho.u.kg_per_m3())?;
            Ok(Leg::judged(Source::ReferenceDensity, u, -v / rho.value.kg_per_m3()))
        }),
        Expansion::Coefficient { density: None, .. } => {
            return Err(PhysicsError::Contradiction(
                "a portion was weighed but no density is known; give the density, or the volume of the portion".into(),
            ));
        }
    };
    let v = m / density * 1e6;
    Ok((Volume::from_ml(v), vec![Leg::judged(Source::Amount { weighed: true }, u_mass, 1e6 / density), leg(v)?]))
}

fn f_checked(factor: f64) -> Result<f64, PhysicsError> {
    if factor.is_finite() {
        return Ok(factor);
    }
    Err(PhysicsError::Contradiction("the volume correction gives no number; check temperatures and density".into()))
}

/// ∂ ln CTL/∂ρ₁₅ at `t`, per kg/m³: (α/ρ)·(Δ + 1.6·α·Δ²), Δ = t − 15 °C, as α = K/ρ.
fn log_ctl_per_density(density15: Density, t: Temperature) -> Result<f64, PhysicsError> {
    let alpha = expansion::alpha15(density15)?;
    let delta = t.celsius() - 15.0;
    Ok(alpha / density15.kg_per_m3() * (delta + 1.6 * alpha * delta * delta))
}
