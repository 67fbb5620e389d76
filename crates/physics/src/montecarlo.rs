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
    /// Mean and standard deviation. Where an amount rests on two or three readings no standard deviation exists: then the
    /// median and an infinite one.
    pub result: Uncertain<Volume>,
    /// One trial in forty lies below.
    pub low: Volume,
    /// One trial in forty lies above.
    pub high: Volume,
    /// How many trials.
    pub trials: u32,
}

/// A t distribution with no more degrees of freedom than this has no standard deviation.
const NO_DEVIATION: f64 = 2.0;

/// The charge error as found (what the unit gained, when the level was not set) by drawing every input many times.
///
/// Model and symbols as [`balance`]; each input from a normal distribution, an amount whose doubt rests on n readings from the
/// t distribution with n − 1 degrees of freedom, shifted to its mean and scaled by its u. What is shared (thermometer, density,
/// coefficient) is drawn once per trial. The middle 95 % lie between `low` and `high`.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | – | `ledger` | – | as [`balance`], draws included |
/// | M | `trials` | 1 | 1000 to 10⁷ |
/// | – | `seed` | 1 | any |
///
/// A doubt of n readings is wider here than a judged one, by √((n − 1)/(n − 3)); the linear way widens k instead.
/// Mean and standard deviation scatter from seed to seed by u/√M and u/√(2 M). Time and memory grow with M: 8 bytes a trial.
///
/// # Source
/// JCGM 101:2008, clauses 5, 6.4.9 and 7. Draws: Philox 4×32-10, the normal quantile AS 241, and Bailey's polar way to t.
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
    let mut z = vec![0.0; model.freedoms.len()];
    let mut results = Vec::with_capacity(trials as usize);
    for trial in 0..trials {
        draw::standard(seed, trial, &model.freedoms, &mut z);
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
    let (low, middle, high) = (at_share(0.025), at_share(0.5), at_share(0.975));
    let (value, u) = if model.deviates() { (near + mean, variance.sqrt()) } else { (middle, f64::INFINITY) };
    let [low, high, value, u] = [low, high, value, u].map(Volume::from_ml);
    Ok(Spread { result: Uncertain::new(value, u), low, high, trials })
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
    /// Degrees of freedom of each draw; infinite where the doubt was judged.
    freedoms: Vec<f64>,
}

impl Model {
    fn of(ledger: &Ledger) -> Self {
        let mut freedoms = Vec::new();
        let mut read = |value: f64, u: f64, freedom: f64| {
            freedoms.push(freedom);
            Drawn { value, u, draw: freedoms.len() - 1 }
        };
        let judged = f64::INFINITY;
        let mut thermometers: Vec<(u32, usize)> = Vec::new();
        let mut legs = Vec::with_capacity(ledger.portions.len());
        for portion in &ledger.portions {
            let freedom = portion.readings.map_or(judged, |n| f64::from(n) - 1.0);
            let (amount, measured) = match portion.amount {
                Amount::Measured(v) => (read(v.value.ml(), v.u.ml(), freedom), true),
                Amount::Weighed(m) => (read(m.value.kg(), m.u.kg(), freedom), false),
            };
            let mut temperature = read(portion.temperature.value.celsius(), portion.temperature.u.celsius(), judged);
            if let Some(number) = portion.thermometer {
                match thermometers.iter().find(|t| t.0 == number) {
                    Some(first) => temperature.draw = first.1,
                    None => thermometers.push((number, temperature.draw)),
                }
            }
            legs.push(Leg { sign: portion.way.sign(), amount, temperature: measured.then_some(temperature) });
        }
        let mut drawn = |value: f64, u: f64| read(value, u, judged);
        let fluid = match ledger.expansion {
            Expansion::Density15(rho) => Fluid::Density15(drawn(rho.value.kg_per_m3(), rho.u.kg_per_m3())),
            Expansion::Coefficient { per_kelvin, density } => Fluid::Coefficient {
                per_kelvin: drawn(per_kelvin.value, per_kelvin.u),
                density: density.map(|rho| drawn(rho.value.kg_per_m3(), rho.u.kg_per_m3())),
            },
        };
        let level = ledger.level.map(|level| drawn(level.value.ml(), level.u.ml()));
        Self { legs, fluid, reference: ledger.reference, level, freedoms }
    }

    /// Whether the result has a standard deviation.
    fn deviates(&self) -> bool {
        let endless = |amount: &Drawn| amount.u > 0.0 && self.freedoms[amount.draw] <= NO_DEVIATION;
        !self.legs.iter().any(|leg| endless(&leg.amount))
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
