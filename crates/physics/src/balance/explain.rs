//! What most likely went wrong when a ledger does not close.

use quantity::Volume;
use serde::Serialize;

use super::convert::PORTION;
use super::entry::{Amount, Balance, Ledger, Portion, Way};
use crate::PhysicsError;

/// What may have happened. The words of `name` are stable; sentences may change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mishap {
    /// The ledger is right: the charge was off before the job.
    ChargeWasOff,
    /// Fluid that came out with filter and pan was not measured.
    ResidueNotMeasured,
    /// Run-off was spilled or not measured.
    RunOffNotCaught,
    /// A jug was read one litre off.
    MisreadByALitre,
    /// A container was poured once more, or once less, than entered.
    ContainerMiscounted,
    /// The engine stood still while the level plug was out.
    EngineStopped,
    /// Another housing was drained, or filled.
    WrongPlug,
    /// A quart was taken for a litre, or the other way round.
    QuartForLitre,
    /// A volume was read hot and entered as cold.
    ReadHot,
}

/// What is known besides the ledger. All of it may be unknown.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Known {
    /// Whether the engine stopped while the level plug was out.
    pub engine_stopped: Option<bool>,
    /// The container that was poured from.
    pub container: Option<Volume>,
}

/// One explanation, with what it would account for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Explanation {
    /// Which mishap.
    pub mishap: Mishap,
    /// What it would account for, signed as the balance's `net`.
    #[serde(rename = "explains_ml")]
    pub explains: Volume,
    /// What would still be open.
    #[serde(rename = "leaves_ml")]
    pub leaves: Volume,
    /// How likely beside the others, 0 to 1; all together 1.
    pub share: f64,
    /// In words: what it would be, and how to find out.
    pub text: String,
}

/// A mishap with the shift of `net` that it would bring: mean and deviation in mL, and how often it happens.
struct Candidate {
    mishap: Mishap,
    mean: f64,
    deviation: f64,
    often: f64,
    text: &'static str,
}

/// Half a litre either way before the job is common; more is rare (judgement, from drained volumes reported in the trade).
const CHARGE_DEVIATION: f64 = 400.0;
/// One US quart is 0.946352946 L (NIST SP 811): what 1 L is more than it.
const QUART_SHORT: f64 = 1.0 - 0.946_352_946;
/// A volume read hot and entered as cold is this much too large (50 K of 0.00075/K), and the deviation (15 K).
const HOT: (f64, f64) = (0.0375, 0.011);

/// What most likely went wrong when a ledger does not close, likeliest first; empty when it closes.
///
/// p(m) ∝ often(m) · N(net; μ_m, σ_m² + u²); explains = μ_m + σ_m²/(σ_m² + u²)·(net − μ_m); leaves = net − explains.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | net, u | `balance.net` | mL | as [`super::balance`] |
/// | μ_m, σ_m, often(m) | table in `docs/physics/ledger.md` | mL, mL, 1 | – |
/// | – | `known` | – | – |
///
/// It ranks; it proves nothing. Explanations of the same size (a litre misread, a charge a litre off) cannot be told apart
/// by the ledger and then stand side by side.
///
/// # Source
/// Bayes' rule over a list of mishaps; sizes and frequencies are common practice and judgement, no source.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for the container or a portion.
///
/// # Example
/// Poured 5 L, out 4 L in three portions, all cold: 1 L too much went in; a litre misread explains all of it.
/// ```
/// use physics::balance::{Amount, Expansion, Known, Ledger, Mishap, Portion, USUAL_TOLERANCE, Way, balance, explanations};
/// use quantity::{Temperature, Uncertain, Volume};
/// let cold = Temperature::from_celsius(20.0);
/// let portion = |way, litres, ml| Portion {
///     way,
///     amount: Amount::Measured(Uncertain::new(Volume::from_litres(litres), Volume::from_ml(ml))),
///     temperature: Uncertain::new(cold, Temperature::from_celsius(1.0)),
///     thermometer: None,
///     readings: None,
/// };
/// let ledger = Ledger {
///     portions: vec![
///         portion(Way::Poured, 5.0, 20.0),
///         portion(Way::Drained, 3.7, 20.0),
///         portion(Way::Residue, 0.1, 10.0),
///         portion(Way::RunOff, 0.2, 10.0),
///     ],
///     expansion: Expansion::Coefficient { per_kelvin: Uncertain::new(0.00075, 0.0), density: None },
///     reference: cold,
///     level: None,
///     tolerance: USUAL_TOLERANCE,
/// };
/// let list = explanations(&ledger, &balance(&ledger).unwrap(), &Known::default()).unwrap();
/// assert_eq!(list[0].mishap, Mishap::MisreadByALitre);
/// assert!((list[0].explains.ml() - 1000.0).abs() < 1.0);
/// ```
pub fn explanations(ledger: &Ledger, balance: &Balance, known: &Known) -> Result<Vec<Explanation>, PhysicsError> {
    if balance.closes {
        return Ok(Vec::new());
    }
    let (net, u) = (balance.net.value.ml(), balance.net.u.ml());
    let mut found: Vec<(f64, Explanation)> = candidates(ledger, known, net)?
        .into_iter()
        .map(|c| {
            // A millilitre of room keeps a ledger without doubt from dividing by nothing.
            let (own, read) = (c.deviation * c.deviation, u * u + 1.0);
            let off = net - c.mean;
            // In logarithms: far from every candidate all densities underflow.
            let weight = libm::log(c.often) - 0.5 * (off * off / (own + read) + libm::log(own + read));
            let explains = c.mean + own / (own + read) * off;
            let (explains_ml, leaves) = (Volume::from_ml(explains), Volume::from_ml(net - explains));
            (weight, Explanation { mishap: c.mishap, explains: explains_ml, leaves, share: 0.0, text: c.text.into() })
        })
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    let best = found.first().map_or(0.0, |f| f.0);
    // Of one mishap with several sizes the likeliest stands for all.
    let mut list: Vec<Explanation> = Vec::new();
    for (weight, mut explanation) in found {
        explanation.share = libm::exp(weight - best);
        match list.iter_mut().find(|other| other.mishap == explanation.mishap) {
            Some(other) => other.share += explanation.share,
            None => list.push(explanation),
        }
    }
    let all: f64 = list.iter().map(|e| e.share).sum();
    list.iter_mut().for_each(|e| e.share /= all);
    list.sort_by(|a, b| b.share.total_cmp(&a.share));
    Ok(list)
}

/// Every mishap that would move `net` the way it lies. Sizes and frequencies: common practice and judgement, no source.
fn candidates(ledger: &Ledger, known: &Known, net: f64) -> Result<Vec<Candidate>, PhysicsError> {
    use Mishap::{ChargeWasOff, EngineStopped, ResidueNotMeasured, RunOffNotCaught, WrongPlug};
    let has = |way: Way| ledger.portions.iter().any(|p| p.way == way);
    let sign = net.signum();
    let mut list = Vec::new();
    let mut add = |mishap, mean, deviation, often, text| list.push(Candidate { mishap, mean, deviation, often, text });
    let off = if net > 0.0 {
        "the unit was low before the job and has been filled up: that is the as-found error"
    } else {
        "the unit was overfull before the job: that is the as-found error"
    };
    add(ChargeWasOff, 0.0, CHARGE_DEVIATION, 0.35, off);
    if net > 0.0 {
        let often = if has(Way::Residue) { 0.02 } else { 0.30 };
        add(ResidueNotMeasured, 400.0, 150.0, often, "what came out with filter and pan was not measured: weigh them");
        let (mean, deviation, often) = if has(Way::RunOff) { (150.0, 100.0, 0.06) } else { (600.0, 200.0, 0.40) };
        let text = "run-off was spilled or not measured: look at the floor, the tray and the rag";
        add(RunOffNotCaught, mean, deviation, often, text);
        let text = "part of what was poured went into another housing: check which plug was filled";
        add(WrongPlug, 1200.0, 400.0, 0.02, text);
    } else {
        let often = match known.engine_stopped {
            Some(true) => 0.60,
            Some(false) => 0.001,
            None => 0.05,
        };
        let text = "the engine stood still while the level plug was out, converter and cooler emptied: add what was lost, \
                    set the level again";
        add(EngineStopped, -1250.0, 430.0, often, text);
        let text = "part of what was drained came from another housing: check which plug was opened";
        add(WrongPlug, -1200.0, 400.0, 0.04, text);
    }
    for portion in &ledger.portions {
        list.extend(of_portion(portion, known, sign)?);
    }
    Ok(list)
}

/// What may be wrong with one portion.
fn of_portion(portion: &Portion, known: &Known, sign: f64) -> Result<Vec<Candidate>, PhysicsError> {
    // A scale is not misread by a litre, and heat does not move it.
    let Amount::Measured(volume) = portion.amount else { return Ok(Vec::new()) };
    let ml = PORTION.check(volume.value.ml())?;
    let mut list = Vec::new();
    let mut add = |mishap, mean, deviation, often, text| list.push(Candidate { mishap, mean, deviation, often, text });
    if ml >= 700.0 {
        add(
            Mishap::MisreadByALitre,
            sign * 1000.0,
            5.0,
            0.05,
            "a jug was read a litre off: pour it back and read again",
        );
        let text = "a quart was taken for a litre or the other way round: look at the jug's scale";
        add(Mishap::QuartForLitre, sign * QUART_SHORT * ml, 5.0, 0.02, text);
    }
    if portion.way == Way::Poured {
        let size = known.container.map_or(Ok(1000.0), |c| PORTION.check(c.ml()))?;
        let often = if known.container.is_some() { 0.10 } else { 0.03 };
        let text = if sign > 0.0 {
            "one container fewer was poured than entered: count the empty ones"
        } else {
            "one container more was poured than entered: count the empty ones"
        };
        add(Mishap::ContainerMiscounted, sign * size, 20.0, often, text);
    }
    // Fluid that leaves the unit comes hot; entered as cold it counts for too much, so that net is too small.
    if portion.way != Way::Poured && sign < 0.0 && portion.temperature.value.celsius() < 40.0 {
        let text = "what was drained was read hot and entered as cold: note its temperature when it is read";
        add(Mishap::ReadHot, -HOT.0 * ml, HOT.1 * ml, 0.05, text);
    }
    Ok(list)
}
