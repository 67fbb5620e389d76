//! Ageing: how much faster hot fluid wears, as a relative index; never a distance or a date.

use quantity::{Distance, Duration, Temperature, TemperatureDifference};
use serde::Serialize;

use crate::{Limits, PhysicsError};

/// Molar gas constant, J/(mol·K), exact in the SI since 2019.
pub const GAS_CONSTANT: f64 = 8.314_462_618_153_24;
/// Below this oxidation is negligible in practice (a judgement, no source): the rate is held at its value here.
pub const ONSET: Temperature = Temperature::from_celsius(60.0);
/// Temperatures for which a rate may be given; nothing is extrapolated beyond.
pub static AGEING_TEMPERATURE: Limits = Limits::new("fluid temperature for ageing", "°C", -60.0, 150.0);
/// Temperature steps that double the rate.
pub static DOUBLING: Limits = Limits::new("step that doubles the rate", "K", 3.0, 40.0);
/// Activation energies.
pub static ACTIVATION: Limits = Limits::new("activation energy", "kJ/mol", 20.0, 250.0);
/// Shares of a histogram.
pub static WEIGHT: Limits = Limits::new("share of the time", "1", 0.0, 1e9);

/// How the rate of ageing grows with temperature. Both are parameters, not truths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rule {
    /// The rate doubles every so many kelvin; 10 K is the common rule of thumb, which some call too general.
    Doubling(TemperatureDifference),
    /// Arrhenius with this activation energy, kJ/mol; 90.9 is 4750·R·ln 10, a handbook life line, from memory.
    Arrhenius(f64),
}

impl Rule {
    /// The rule of thumb: doubling every 10 K.
    pub const COMMON: Self = Self::Doubling(TemperatureDifference::from_kelvin(10.0));

    fn checked(self) -> Result<Self, PhysicsError> {
        match self {
            Self::Doubling(step) => DOUBLING.check(step.kelvin()).map(|_| self),
            Self::Arrhenius(energy) => ACTIVATION.check(energy).map(|_| self),
        }
    }

    fn ratio(self, t: Temperature, reference: Temperature) -> f64 {
        match self {
            Self::Doubling(step) => libm::exp2((t - reference).kelvin() / step.kelvin()),
            Self::Arrhenius(energy) => {
                libm::exp(1e3 * energy / GAS_CONSTANT * (1.0 / reference.kelvin() - 1.0 / t.kelvin()))
            }
        }
    }

    /// Temperature at which the rate is `ratio` times that at `reference`.
    fn inverse(self, ratio: f64, reference: Temperature) -> Temperature {
        match self {
            Self::Doubling(step) => reference + step * libm::log2(ratio),
            Self::Arrhenius(energy) => {
                let k = 1.0 / reference.kelvin() - libm::log(ratio) * GAS_CONSTANT / (1e3 * energy);
                Temperature::from_kelvin(1.0 / k)
            }
        }
    }
}

/// How many times faster fluid ages at one temperature than at another: 2^((T − T_r)/step), or
/// e^(E/R·(1/T_r − 1/T)) in kelvin; T below 60 °C counts as 60 °C.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | T, T_r | `t`, `reference` | °C | −60 to 150 |
/// | step | `rule` | K | 3 to 40 |
/// | E | `rule` | kJ/mol | 20 to 250 |
///
/// # Source
/// Arrhenius equation; the doubling rule is trade practice.
/// # Errors
/// [`PhysicsError::OutOfRange`]: there is no answer above 150 °C.
/// # Example
/// 100 against 80 °C: 4 by the rule of thumb; e^(90.94·1000/8.3145·(1/353.15 − 1/373.15)) = 5.26.
pub fn relative_rate(t: Temperature, reference: Temperature, rule: Rule) -> Result<f64, PhysicsError> {
    AGEING_TEMPERATURE.check(t.celsius())?;
    AGEING_TEMPERATURE.check(reference.celsius())?;
    Ok(rule.checked()?.ratio(t.max(ONSET), reference.max(ONSET)))
}

/// The activation energy with which a rate exactly doubles from one temperature to another, kJ/mol:
/// E = R·ln 2/(1/T₁ − 1/T₂).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | T₁ | `from` | °C | −60 to 150 |
/// | T₂ | `to` | °C | −60 to 150, above T₁ |
///
/// # Source
/// Arrhenius equation solved for E.
/// # Errors
/// [`PhysicsError::OutOfRange`]; [`PhysicsError::Contradiction`] unless T₂ > T₁.
/// # Example
/// 80 → 90 °C: 8.3145·0.6931/(1/353.15 − 1/363.15) = 73.9 kJ/mol; 100 → 110 °C 82.4: one rule is not the other.
pub fn energy_of_doubling(from: Temperature, to: Temperature) -> Result<f64, PhysicsError> {
    AGEING_TEMPERATURE.check(from.celsius())?;
    AGEING_TEMPERATURE.check(to.celsius())?;
    if from >= to {
        return Err(PhysicsError::Contradiction("a rate doubles from a lower to a higher temperature".into()));
    }
    Ok(1e-3 * GAS_CONSTANT * std::f64::consts::LN_2 / (1.0 / from.kelvin() - 1.0 / to.kelvin()))
}

/// How hard a unit ages its fluid.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Wear {
    /// Times as fast as at the reference temperature.
    pub index: f64,
    /// The one temperature that would age it as fast.
    #[serde(rename = "equivalent_c")]
    pub equivalent: Temperature,
    /// The plain mean, which understates it.
    #[serde(rename = "mean_c")]
    pub mean: Temperature,
    /// Share of the time below 60 °C, counted as 60 °C.
    pub below_onset: f64,
}

/// Ageing over a histogram of temperatures: index = Σ pᵢ·r(Tᵢ)/Σ pᵢ, T_eq from r(T_eq) = index.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | Tᵢ, pᵢ | `histogram` | °C, any | −60 to 150 °C; shares ≥ 0, not all 0 |
/// | T_r | `reference` | °C | −60 to 150 |
///
/// An index, for comparing one use with another; never a promise of distance or time.
///
/// # Source
/// Linear summing of damage; rates as [`relative_rate`].
/// # Errors
/// [`PhysicsError::OutOfRange`]; [`PhysicsError::Contradiction`] without any share.
/// # Example
/// Half the time at 80 °C, half at 100 °C, rule of thumb, T_r = 80 °C: (1 + 4)/2 = 2.5, as if always at 93.2 °C, though
/// the mean is 90 °C.
pub fn wear(histogram: &[(Temperature, f64)], reference: Temperature, rule: Rule) -> Result<Wear, PhysicsError> {
    let (mut all, mut sum, mut mean, mut below) = (0.0, 0.0, 0.0, 0.0);
    for &(t, share) in histogram {
        let p = WEIGHT.check(share)?;
        all += p;
        sum += p * relative_rate(t, reference, rule)?;
        mean += p * t.celsius();
        below += if t < ONSET { p } else { 0.0 };
    }
    if all <= 0.0 {
        return Err(PhysicsError::Contradiction("the histogram holds no time; give at least one share above 0".into()));
    }
    let index = sum / all;
    Ok(Wear {
        index,
        equivalent: rule.checked()?.inverse(index, reference.max(ONSET)),
        mean: Temperature::from_celsius(mean / all),
        below_onset: below / all,
    })
}

/// Age of a blend in time after a service: share `old` of the age before, as the new fluid has age 0.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | old | `old_fraction` | 1 | 0 to 1 |
/// | age | `age` | s | 0 to 10¹⁰ |
///
/// # Source
/// Conservation, as [`crate::renewal::passes`] for distance. Multiply by [`Wear::index`] for an age in wear.
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// 0.216 of the fluid is ten years old: 2.16 years.
pub fn blend_time(age: Duration, old_fraction: f64) -> Result<Duration, PhysicsError> {
    static OLD: Limits = Limits::new("share of old fluid", "1", 0.0, 1.0);
    static TIME: Limits = Limits::new("age of the fluid", "s", 0.0, 1e10);
    Ok(Duration::from_seconds(TIME.check(age.seconds())? * OLD.check(old_fraction)?))
}

/// Distance at the reference temperature that ages fluid as much as the real distance did: D·index.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | D | `distance`, for instance the blend age | km | 0 to 10⁷ |
/// | index | [`Wear::index`] | 1 | above 0 to 10⁶ |
///
/// It compares one use with another and carries the blend age into wear; the limit on paper was made for an unknown use,
/// so it is no promise.
///
/// # Source
/// Definition of the index; wear leaves with the fluid as distance does, so it obeys [`crate::renewal::transient`].
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// A blend of 90 000 km in a use of index 1.60 has aged as one of 144 000 km at 80 °C.
pub fn weighted_distance(distance: Distance, index: f64) -> Result<Distance, PhysicsError> {
    static INDEX: Limits = Limits::new("index of ageing", "1", 1e-6, 1e6);
    Ok(Distance::from_km(crate::renewal::AGE.check(distance.km())? * INDEX.check(index)?))
}
