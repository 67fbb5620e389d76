//! The ledger at one temperature: what went in and out, the charge error as found, and how sure it is.

mod convert;
mod entry;
mod explain;
pub mod gum;
mod repeat;

pub use convert::{
    COEFFICIENT_U, DENSITY, DENSITY_U, MASS_U, PORTION, PORTION_MASS, READINGS, TEMPERATURE_U, VOLUME_U,
};
use convert::{Leg, Source, at_reference};
pub use entry::{Amount, Balance, BudgetRow, Converted, Expansion, Ledger, Portion, Verdict, Way};
pub use explain::{Explanation, Known, Mishap, explanations};
use gum::{Combined, Input, Pair, combined, coverage_factor};
use quantity::{Uncertain, Volume};
pub use repeat::repeated;

use crate::{Limits, PhysicsError};

/// Errors of a level as left that can be stated.
pub static LEVEL_ERROR: Limits = Limits::new("level error as left", "mL", -1e5, 1e5);
/// Tolerances of a balance.
pub static TOLERANCE: Limits = Limits::new("tolerance of the balance", "mL", 0.0, 1e5);
/// Tolerance used when none is given: common practice, no source.
pub const USUAL_TOLERANCE: Volume = Volume::from_ml(100.0);
/// Coverage probability of every U here; k is 2 when no doubt rests on a few readings.
pub const COVERAGE_PROBABILITY: f64 = 0.9545;

/// What the unit gained, and its charge error before the job, with everything at one temperature:
/// net = Σ poured − Σ run-off − Σ drained − Σ residue; e = d_level − net; every V at T_ref, V_ref = V·f(T), or
/// m/ρ(T_ref) when weighed. e > 0: the unit held too much as found.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V | `portions[].amount` | mL or kg | 0 to 10⁶ mL, 0 to 1000 kg |
/// | T | `portions[].temperature` | °C | −50 to 150 |
/// | f, ρ | `expansion` | kg/m³ or 1/K | 800.9 to 1163.5 at 15 °C, or 10⁻⁴ to 2·10⁻³ |
/// | T_ref | `reference` | °C | −50 to 150 |
/// | d_level | `level` | mL | −10⁵ to 10⁵ |
/// | u | every `u` | as its value | ≥ 0 |
///
/// It takes the level as left to be right within `level`, and the fluid left inside to be unchanged. Air buoyancy
/// on the scale (0.1 %) is left aside. Temperatures read with the same thermometer share one error.
///
/// # Source
/// Mass balance; uncertainty after JCGM 100:2008, 5.1.2 and 5.2.2, U = k·u with k for 95.45 % and the effective degrees
/// of freedom of G.4.1 (k = 2 when all doubts were judged); volume correction as [`crate::expansion::ctl`].
/// # Errors
/// [`PhysicsError::OutOfRange`] naming the argument; [`PhysicsError::Contradiction`] when nothing was entered or a
/// portion was weighed and no density is known.
/// # Example
/// Drained 4.30 L at 75 °C, residue 0.30 L at 20 °C, poured 5.00 L at 20 °C, run-off 0.62 L at 38 °C; 0.00075/K,
/// all at 20 °C: 5.00 − 0.612 − 4.126 − 0.300 = −0.04 L, which closes within 0.1 L.
/// ```
/// use physics::balance::{Amount, Expansion, Ledger, Portion, USUAL_TOLERANCE, Way, balance};
/// use quantity::{Temperature, Uncertain, Volume};
/// let c = Temperature::from_celsius;
/// let portion = |way, litres, celsius| Portion {
///     way,
///     amount: Amount::Measured(Uncertain::new(Volume::from_litres(litres), Volume::from_ml(20.0))),
///     temperature: Uncertain::new(c(celsius), c(1.0)),
///     thermometer: None,
///     readings: None,
/// };
/// let ledger = Ledger {
///     portions: vec![
///         portion(Way::Drained, 4.30, 75.0),
///         portion(Way::Residue, 0.30, 20.0),
///         portion(Way::Poured, 5.00, 20.0),
///         portion(Way::RunOff, 0.62, 38.0),
///     ],
///     expansion: Expansion::Coefficient { per_kelvin: Uncertain::new(0.00075, 0.0), density: None },
///     reference: c(20.0),
///     level: None,
///     tolerance: USUAL_TOLERANCE,
/// };
/// let b = balance(&ledger).unwrap();
/// assert!((b.net.value.ml() + 38.0).abs() < 0.5 && b.closes);
/// ```
pub fn balance(ledger: &Ledger) -> Result<Balance, PhysicsError> {
    if ledger.portions.is_empty() {
        return Err(PhysicsError::Contradiction(
            "the ledger is empty; enter at least one volume with its temperature".into(),
        ));
    }
    TOLERANCE.check(ledger.tolerance.ml())?;
    let mut inputs = Inputs::default();
    let mut portions = Vec::with_capacity(ledger.portions.len());
    let mut counts = [0usize; Way::ALL.len()];
    for portion in &ledger.portions {
        let (volume, legs) = at_reference(portion, &ledger.expansion, ledger.reference)?;
        let alone: Vec<Input> = legs.iter().map(|l| Input { u: l.u, sensitivity: l.sensitivity, dof: l.dof }).collect();
        let u = Volume::from_ml(combined(&alone, &[])?.u);
        portions.push(Converted { way: portion.way, at_reference: Uncertain::new(volume, u) });
        counts[portion.way as usize] += 1;
        inputs.add(&format!("{} {}", portion.way.name(), counts[portion.way as usize]), portion.way, legs, ledger);
    }
    let gained: f64 = portions.iter().map(|p| p.way.sign() * p.at_reference.value.ml()).sum();
    let of_net = inputs.combined()?;
    let net = Uncertain::new(Volume::from_ml(gained), Volume::from_ml(of_net.u));
    let (as_found, result) = match ledger.level {
        None => (None, of_net),
        Some(level) => {
            let error = LEVEL_ERROR.check(level.value.ml())?;
            inputs.flip();
            let u = VOLUME_U.check(level.u.ml())?;
            inputs.push("level as left".into(), "mL", Input::judged(u, 1.0));
            let of_found = inputs.combined()?;
            (Some(Uncertain::new(Volume::from_ml(error - gained), Volume::from_ml(of_found.u))), of_found)
        }
    };
    let coverage = coverage(result.dof)?;
    let expanded = Volume::from_ml(coverage * result.u);
    Ok(Balance {
        reference: ledger.reference,
        portions,
        net,
        as_found,
        degrees_of_freedom: Some(result.dof).filter(|dof| dof.is_finite()),
        coverage,
        expanded,
        closes: gained.abs() <= ledger.tolerance.ml(),
        tolerance: ledger.tolerance,
        verdict: verdict(as_found, expanded),
        budget: inputs.budget(&result),
    })
}

/// k for [`COVERAGE_PROBABILITY`]; fewer than one degree of freedom, which G.4.1 can give, count as one.
fn coverage(dof: f64) -> Result<f64, PhysicsError> {
    if dof.is_finite() { coverage_factor(COVERAGE_PROBABILITY, dof.max(1.0)) } else { Ok(2.0) }
}

fn verdict(as_found: Option<Uncertain<Volume>>, expanded: Volume) -> Verdict {
    match as_found {
        None => Verdict::NotKnown,
        Some(e) if e.value + expanded < Volume::default() => Verdict::Underfilled,
        Some(e) if e.value - expanded > Volume::default() => Verdict::Overfilled,
        Some(_) => Verdict::NoSignificantDifference,
    }
}

/// Every uncertain input of the result, those shared by several portions once.
#[derive(Default)]
struct Inputs {
    names: Vec<(String, &'static str)>,
    inputs: Vec<Input>,
    thermometers: Vec<(usize, u32)>,
    shared: Vec<(Source, usize)>,
}

impl Inputs {
    fn push(&mut self, name: String, unit: &'static str, input: Input) -> usize {
        self.names.push((name, unit));
        self.inputs.push(input);
        self.inputs.len() - 1
    }

    fn add(&mut self, portion: &str, way: Way, legs: Vec<Leg>, ledger: &Ledger) {
        for leg in legs {
            let sensitivity = way.sign() * leg.sensitivity;
            if let Some(&(_, at)) = self.shared.iter().find(|s| s.0 == leg.source) {
                self.inputs[at].sensitivity += sensitivity;
                continue;
            }
            let coefficient = matches!(ledger.expansion, Expansion::Coefficient { .. });
            let (name, unit) = match leg.source {
                Source::Amount { weighed: false } => (format!("{portion}, volume"), "mL"),
                Source::Amount { weighed: true } => (format!("{portion}, mass"), "kg"),
                Source::Temperature(_) => (format!("{portion}, temperature"), "K"),
                Source::Fluid if coefficient => ("coefficient of expansion".into(), "1/K"),
                Source::Fluid => ("density at 15 °C".into(), "kg/m³"),
                Source::ReferenceDensity => ("density at the reference temperature".into(), "kg/m³"),
            };
            let at = self.push(name, unit, Input { u: leg.u, sensitivity, dof: leg.dof });
            match leg.source {
                Source::Temperature(Some(number)) => self.thermometers.push((at, number)),
                Source::Fluid | Source::ReferenceDensity => self.shared.push((leg.source, at)),
                Source::Temperature(None) | Source::Amount { .. } => {}
            }
        }
    }

    /// From what the unit gained to what it held too much before.
    fn flip(&mut self) {
        self.inputs.iter_mut().for_each(|i| i.sensitivity = -i.sensitivity);
    }

    fn combined(&self) -> Result<Combined, PhysicsError> {
        let mut pairs = Vec::new();
        for (i, a) in self.thermometers.iter().enumerate() {
            for b in self.thermometers[i + 1..].iter().filter(|b| b.1 == a.1) {
                pairs.push(Pair { a: a.0, b: b.0, r: 1.0 });
            }
        }
        combined(&self.inputs, &pairs)
    }

    fn budget(self, result: &Combined) -> Vec<BudgetRow> {
        let variance = result.u * result.u;
        let share = |part: f64| if variance > 0.0 { 100.0 * part / variance } else { 0.0 };
        let mut rows: Vec<BudgetRow> = self
            .names
            .into_iter()
            .zip(&self.inputs)
            .zip(&result.parts)
            .map(|(((input, unit), i), part)| BudgetRow {
                input,
                unit,
                u: i.u,
                sensitivity: i.sensitivity,
                contribution: Volume::from_ml((i.u * i.sensitivity).abs()),
                share_percent: share(*part),
            })
            .collect();
        rows.sort_by(|a, b| b.contribution.ml().total_cmp(&a.contribution.ml()));
        rows
    }
}
