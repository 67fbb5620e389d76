//! The ledger thrown many times: every input drawn from its doubt, the balance computed each time without linearising.
//!
//! Seeded and counted: the same ledger, seed and number of trials give the same bytes on every machine.

use quantity::{Density, Temperature, Uncertain, Volume};

use crate::balance::{Amount, Expansion, Ledger, balance};
use crate::{Limits, PhysicsError, expansion};

mod draw;

/// Number of trials.
pub static TRIALS: Limits = Limits::new("number of trials", "trials", 1000.0, 1e7);

/// What the trials gave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Mean and standard deviation.
    pub result: Uncertain<Volume>,
    /// One trial in forty lies below.
    pub low: Volume,
    /// One trial in forty lies above.
    pub high: Volume,
    /// How many trials.
    pub trials: u32,
}

/// The charge error as found (what the unit gained, when the level was not set) by drawing every input many times.
///
/// Model and symbols as [`balance`]; each input from a normal distribution, what is shared (thermometer, density,
/// coefficient) drawn once per trial. The middle 95 % lie between `low` and `high`.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | – | `ledger` | – | as [`balance`], draws included |
/// | M | `trials` | 1 | 1000 to 10⁷ |
/// | – | `seed` | 1 | any |
///
/// Degrees of freedom are left aside: a doubt from few readings is drawn as if it were known.
/// Mean and standard deviation scatter from seed to seed by u/√M and u/√(2 M). Time and memory grow with M: 8 bytes a trial.
///
/// # Source
/// JCGM 101:2008, clauses 5 and 7. Draws: Philox 4×32-10 and the normal quantile AS 241.
///
/// # Errors
/// As [`balance`]; trials outside [`TRIALS`]; a doubt so large that a drawn temperature, density or coefficient leaves the
/// range of the formula.
///
/// # Example
/// 4 L ± 0.03 L poured and 3 L ± 0.04 L drained at the reference temperature: the unit gained 1 L ± 0.05 L.
/// ```
/// use physics::balance::{Amount, Expansion, Ledger, Portion, USUAL_TOLERANCE, Way};
/// use quantity::{Temperature, Uncertain, Volume};
/// let (at, litres) = (Temperature::from_celsius(20.0), Volume::from_litres);
/// let portion = |way, v, u| Portion {
///     way,
///     amount: Amount::Measured(Uncertain::new(litres(v), litres(u))),
///     temperature: Uncertain::new(at, Temperature::from_celsius(0.0)),
///     thermometer: None,
///     readings: None,
/// };
/// let ledger = Ledger {
///     portions: vec![portion(Way::Poured, 4.0, 0.03), portion(Way::Drained, 3.0, 0.04)],
///     expansion: Expansion::Coefficient { per_kelvin: Uncertain::new(0.00075, 0.0), density: None },
///     reference: at,
///     level: None,
///     tolerance: USUAL_TOLERANCE,
/// };
/// let spread = physics::montecarlo::spread(&ledger, 100_000, 1).unwrap();
/// assert!((spread.result.value.ml() - 1000.0).abs() < 1.0 && (spread.result.u.ml() - 50.0).abs() < 0.5);
/// ```
pub fn spread(ledger: &Ledger, trials: u32, seed: u64) -> Result<Spread, PhysicsError> {
    TRIALS.check(f64::from(trials))?;
    let linear = balance(ledger)?;
    let near = linear.as_found.unwrap_or(linear.net).value.ml();
    let model = Model::of(ledger);
    let mut z = vec![0.0; model.draws];
    let mut results = Vec::with_capacity(trials as usize);
    for trial in 0..trials {
        draw::normals(seed, trial, &mut z);
        results.push(model.result(&z)? - near);
    }
    // Reckoned from the linear result, so that no digits are lost in the squares.
    let count = f64::from(trials);
    let mean = results.iter().sum::<f64>() / count;
    let variance = results.iter().map(|r| (r - mean) * (r - mean)).sum::<f64>() / (count - 1.0);
    let mut at_share = |share: f64| {
        let place = (share * (count - 1.0)).round() as usize;
        near + *results.select_nth_unstable_by(place, f64::total_cmp).1
    };
    Ok(Spread {
        low: Volume::from_ml(at_share(0.025)),
        high: Volume::from_ml(at_share(0.975)),
        result: Uncertain::new(Volume::from_ml(near + mean), Volume::from_ml(variance.sqrt())),
        trials,
    })
}

/// A number, its doubt, and which draw moves it.
#[derive(Clone, Copy)]
struct Drawn {
    value: f64,
    u: f64,
    draw: usize,
}

impl Drawn {
    fn of(self, z: &[f64]) -> f64 {
        self.value + self.u * z[self.draw]
    }
}

/// Amount of one portion, with its sign.
struct Leg {
    sign: f64,
    amount: Drawn,
    /// `None` when it was weighed.
    temperature: Option<Drawn>,
}

enum Fluid {
    Density15(Drawn),
    Coefficient { per_kelvin: Drawn, density: Option<Drawn> },
}

/// The ledger with every input tied to its draw.
struct Model {
    legs: Vec<Leg>,
    fluid: Fluid,
    reference: Temperature,
    level: Option<Drawn>,
    draws: usize,
}

impl Model {
    fn of(ledger: &Ledger) -> Self {
        let mut draws = 0;
        let mut next = || {
            draws += 1;
            draws - 1
        };
        let mut drawn = |value: f64, u: f64| Drawn { value, u, draw: next() };
        let mut thermometers: Vec<(u32, usize)> = Vec::new();
        let mut legs = Vec::with_capacity(ledger.portions.len());
        for portion in &ledger.portions {
            let (amount, measured) = match portion.amount {
                Amount::Measured(v) => (drawn(v.value.ml(), v.u.ml()), true),
                Amount::Weighed(m) => (drawn(m.value.kg(), m.u.kg()), false),
            };
            let mut temperature = drawn(portion.temperature.value.celsius(), portion.temperature.u.celsius());
            if let Some(number) = portion.thermometer {
                match thermometers.iter().find(|t| t.0 == number) {
                    Some(first) => temperature.draw = first.1,
                    None => thermometers.push((number, temperature.draw)),
                }
            }
            legs.push(Leg { sign: portion.way.sign(), amount, temperature: measured.then_some(temperature) });
        }
        let fluid = match ledger.expansion {
            Expansion::Density15(rho) => Fluid::Density15(drawn(rho.value.kg_per_m3(), rho.u.kg_per_m3())),
            Expansion::Coefficient { per_kelvin, density } => Fluid::Coefficient {
                per_kelvin: drawn(per_kelvin.value, per_kelvin.u),
                density: density.map(|rho| drawn(rho.value.kg_per_m3(), rho.u.kg_per_m3())),
            },
        };
        let level = ledger.level.map(|level| drawn(level.value.ml(), level.u.ml()));
        Self { legs, fluid, reference: ledger.reference, level, draws }
    }

    fn result(&self, z: &[f64]) -> Result<f64, PhysicsError> {
        let reference = self.reference;
        let gained = match self.fluid {
            Fluid::Density15(rho) => {
                let rho = Density::from_kg_per_m3(rho.of(z));
                let at_reference = expansion::ctl(rho, reference)?;
                let per_kg = 1e6 / (rho.kg_per_m3() * at_reference);
                self.gained(z, Some(per_kg), |t| Ok(expansion::ctl(rho, t)? / at_reference))?
            }
            Fluid::Coefficient { per_kelvin, density } => {
                let swelling = expansion::Expansion::Coefficient(per_kelvin.of(z));
                let per_kg = match density {
                    Some(rho) => Some(1e6 / crate::balance::DENSITY.check(rho.of(z))?),
                    None => None,
                };
                self.gained(z, per_kg, |t| swelling.ratio(t, reference))?
            }
        };
        Ok(self.level.map_or(gained, |level| level.of(z) - gained))
    }

    /// Sum of the portions at the reference temperature, mL.
    fn gained(
        &self,
        z: &[f64],
        per_kg: Option<f64>,
        factor: impl Fn(Temperature) -> Result<f64, PhysicsError>,
    ) -> Result<f64, PhysicsError> {
        let mut sum = 0.0;
        for leg in &self.legs {
            let factor = match leg.temperature {
                Some(t) => factor(Temperature::from_celsius(t.of(z)))?,
                // The balance has refused a weighed portion without a density.
                None => per_kg.unwrap_or(f64::NAN),
            };
            sum += leg.sign * leg.amount.of(z) * factor;
        }
        Ok(sum)
    }
}
