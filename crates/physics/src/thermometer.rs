//! Several thermometers on one vehicle that has stood for a night: which of them tells the truth, and how far each is off.

use quantity::{Duration, Temperature, TemperatureDifference, Uncertain, Volume};

use crate::{Limits, PhysicsError};

/// Readings that can be compared.
pub static READING: Limits = Limits::new("reading", "°C", -60.0, 300.0);
/// Instruments of one comparison.
pub static INSTRUMENTS: Limits = Limits::new("number of instruments", "", 2.0, 30.0);
/// Standard uncertainty of an instrument.
pub static OWN_DOUBT: Limits = Limits::new("uncertainty of an instrument", "K", 0.0, 50.0);
/// Time that the vehicle stood.
pub static STOOD: Limits = Limits::new("time the vehicle stood", "h", 0.0, 10_000.0);

/// Standing this long with the engine off, a unit is as cold as the air within 2 % of what it was warmer by: four times
/// the usual 150 minutes (common practice, no source).
pub const COLD_SOAK: Duration = Duration::from_hours(10.0);
/// Standard uncertainty taken for an instrument that states none: 2 °C either way, rectangular (judgement).
pub const USUAL_DOUBT: TemperatureDifference = TemperatureDifference::from_kelvin(1.155);
/// No thermometer of a workshop is known better than this, K (judgement).
const LEAST_DOUBT: f64 = 0.01;
/// Off by no more than this: trusted as it is. Common practice, no source; on 9 L it is worth about 10 mL.
pub const TRUSTED_WITHIN: TemperatureDifference = TemperatureDifference::from_kelvin(1.5);
/// Off by no more than this: usable with its correction. Beyond it an instrument is not off but wrong.
pub const USABLE_WITHIN: TemperatureDifference = TemperatureDifference::from_kelvin(6.0);

/// Readings that a control unit gives when it does not read its sensor: the lowest and highest of one byte with an offset
/// of 40 (0 − 40 and 255 − 40, derived).
const BYTE_ENDS: [f64; 2] = [-40.0, 215.0];
/// Round figures that control units fall back on: common practice, no source. Only a suspicion.
const ROUND_FIGURES: [f64; 8] = [0.0, 20.0, 40.0, 50.0, 60.0, 80.0, 90.0, 100.0];

/// One instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    pub name: String,
    /// What it read, in the order of time; at least one.
    pub readings: Vec<Temperature>,
    /// Its standard uncertainty; [`USUAL_DOUBT`] when it states none.
    pub u: Option<TemperatureDifference>,
    /// True when the others are judged by this one: a thermometer with a certificate.
    pub reference: bool,
}

/// How far an instrument is trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trust {
    /// Take it as it reads.
    Trusted,
    /// Take it with its correction.
    Corrected,
    /// Two instruments disagree, and nothing says which is right.
    Unclear,
    /// Do not use it.
    Refused,
    /// It does not measure at all: the figure is one that a control unit puts in place of a reading.
    Substitute,
}

impl Trust {
    /// The grade in one word, for scripts.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Trusted => "trusted",
            Self::Corrected => "corrected",
            Self::Unclear => "unclear",
            Self::Refused => "refused",
            Self::Substitute => "substitute",
        }
    }
    /// The grade in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Trusted => "trusted as it reads",
            Self::Corrected => "use with its correction",
            Self::Unclear => "unclear: a third instrument decides",
            Self::Refused => "do not use",
            Self::Substitute => "not a measurement: a substitute value",
        }
    }
}

/// What the comparison says of one instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Graded {
    pub name: String,
    /// Mean of its readings.
    pub mean: Temperature,
    /// What it reads too much, with standard uncertainty.
    pub offset: Uncertain<TemperatureDifference>,
    pub trust: Trust,
    /// Why, in words.
    pub why: String,
}

/// The comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// What the temperature most likely is.
    pub truth: Temperature,
    /// Its standard uncertainty.
    pub truth_u: TemperatureDifference,
    /// One for each instrument, in the order given.
    pub graded: Vec<Graded>,
    /// What else must be known about it.
    pub remarks: Vec<String>,
}

/// Compares thermometers on a vehicle that has stood until all of it is at one temperature.
///
/// The truth is the reference where there is one, else the weighted mean m = Σ wᵢ xᵢ/Σ wᵢ, wᵢ = 1/uᵢ², of the largest set of those that
/// measure which agrees: χ² = Σ wᵢ (xᵢ − m)² no larger than one draw in twenty. u(m) = 1/√Σ wᵢ times Birge's ratio
/// max(1, √(χ²/(n − 1))). Offset dᵢ = xᵢ − m, u²(dᵢ) = uᵢ² − u²(m) for one that m is made of, else uᵢ² + u²(m).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | xᵢ | `instruments[].readings`, mean | °C | −60 to 300 |
/// | uᵢ | `instruments[].u` | K | 0 to 50 |
/// | – | number of instruments | – | 2 to 30 |
/// | – | `stood` | h | 0 to 10 000 |
///
/// # Source
/// Evaluation of comparisons of measurement standards: weighted mean with chi-square test, Cox, Metrologia 39 (2002) 589; the largest
/// consistent subset, Cox, Metrologia 44 (2007) 187; Birge, Phys. Rev. 40 (1932) 207 (all second-hand, from memory). The grades are judgement.
///
/// # Errors
/// A reading, doubt, time or number of instruments outside its range; an instrument without a reading; two references.
///
/// # Example
/// 18, 18.5 and −40 °C after a night: −40 is the low end of a byte, so the truth is the mean of 18 and 18.5, 18.25 °C.
/// ```
/// use physics::thermometer::{Instrument, Trust, compare};
/// use quantity::{Duration, Temperature};
/// let one = |name: &str, c| Instrument {
///     name: name.into(), readings: vec![Temperature::from_celsius(c)], u: None, reference: false,
/// };
/// let found = compare(&[one("probe", 18.0), one("air", 18.5), one("unit", -40.0)], Some(Duration::from_hours(12.0))).unwrap();
/// assert!((found.truth.celsius() - 18.25).abs() < 1e-12);
/// assert_eq!(found.graded[2].trust, Trust::Substitute);
/// ```
pub fn compare(instruments: &[Instrument], stood: Option<Duration>) -> Result<Comparison, PhysicsError> {
    INSTRUMENTS.check(instruments.len() as f64)?;
    let mut means = Vec::new();
    for one in instruments {
        means.push((mean(one)?, OWN_DOUBT.check(one.u.unwrap_or(USUAL_DOUBT).kelvin())?));
    }
    if instruments.iter().filter(|one| one.reference).count() > 1 {
        return Err(PhysicsError::Contradiction("two instruments are named as the reference; name one".into()));
    }
    let reference = instruments.iter().position(|one| one.reference);
    let dead: Vec<bool> = means.iter().map(|(x, _)| BYTE_ENDS.contains(x)).collect();
    let alive: Vec<(f64, f64)> = means.iter().zip(&dead).filter(|(_, dead)| !**dead).map(|(one, _)| *one).collect();
    if alive.is_empty() {
        return Err(PhysicsError::Contradiction(
            "none of the instruments measures: all show a substitute value".into(),
        ));
    }
    let agreed = agreed(&alive);
    let (truth, u_truth) = reference.map_or((agreed.mean, agreed.u), |at| means[at]);
    let pair = reference.is_none() && alive.len() == 2;
    let graded = instruments.iter().zip(&means).zip(&dead).enumerate().map(|(at, ((one, (x, u)), dead))| {
        // What an instrument shares with the mean that it went into does not count twice.
        let shares = reference.is_none() && agreed.members.contains(&(*x, *u)) && *u > u_truth;
        let doubt = match shares {
            true => (u * u - u_truth * u_truth).sqrt(),
            false => u.hypot(u_truth),
        };
        let offset = Uncertain::new(*x - truth, if reference == Some(at) { *u } else { doubt });
        let (trust, why) = grade(one, offset, *dead, pair, reference == Some(at), (*x - truth) * 2.0);
        let offset = offset.map(TemperatureDifference::from_kelvin);
        Graded { name: one.name.clone(), mean: Temperature::from_celsius(*x), offset, trust, why }
    });
    let graded: Vec<Graded> = graded.collect();
    let remarks = remarks(&graded, alive.len(), stood)?;
    let (truth, truth_u) = (Temperature::from_celsius(truth), TemperatureDifference::from_kelvin(u_truth));
    Ok(Comparison { truth, truth_u, graded, remarks })
}

fn mean(one: &Instrument) -> Result<f64, PhysicsError> {
    if one.readings.is_empty() {
        return Err(PhysicsError::Contradiction(format!("{} has no reading; give at least one", one.name)));
    }
    let mut sum = 0.0;
    for reading in &one.readings {
        sum += READING.check(reading.celsius())?;
    }
    Ok(sum / one.readings.len() as f64)
}

/// What instruments say together.
struct Agreed {
    mean: f64,
    u: f64,
    /// Those that agree.
    members: Vec<(f64, f64)>,
}

/// Chi-square that one draw in twenty exceeds, for 1 to 8 degrees of freedom (any statistics table); beyond by Wilson and
/// Hilferty's approximation.
const CHI_SQUARE_95: [f64; 8] = [3.841, 5.991, 7.815, 9.488, 11.070, 12.592, 14.067, 15.507];

fn chi_square_95(freedom: usize) -> f64 {
    CHI_SQUARE_95.get(freedom.wrapping_sub(1)).copied().unwrap_or_else(|| {
        let n = freedom as f64;
        let root = 1.0 - 2.0 / (9.0 * n) + 1.644_854 * (2.0 / (9.0 * n)).sqrt();
        n * root * root * root
    })
}

/// The weighted mean of the largest set that agrees: as long as chi-square is too large, the one that adds most to it is left out,
/// while more than half remain. Those that remain widen the doubt by Birge’s ratio where they scatter more than they claim.
fn agreed(of: &[(f64, f64)]) -> Agreed {
    // An instrument without any doubt would silence all others.
    let floor = |u: f64| u.max(LEAST_DOUBT);
    let mut members = of.to_vec();
    loop {
        let weight: f64 = members.iter().map(|(_, u)| 1.0 / (floor(*u) * floor(*u))).sum();
        let mean = members.iter().map(|(x, u)| x / (floor(*u) * floor(*u))).sum::<f64>() / weight;
        let part = |(x, u): &(f64, f64)| (x - mean) * (x - mean) / (floor(*u) * floor(*u));
        let chi_square: f64 = members.iter().map(part).sum();
        let freedom = members.len() - 1;
        let agrees = freedom == 0 || chi_square <= chi_square_95(freedom);
        if agrees || (members.len() - 1) * 2 <= of.len() {
            let birge = if freedom == 0 { 1.0 } else { (chi_square / freedom as f64).sqrt().max(1.0) };
            return Agreed { mean, u: birge * (1.0 / weight).sqrt(), members };
        }
        let worst = (0..members.len()).max_by(|a, b| part(&members[*a]).total_cmp(&part(&members[*b])));
        members.remove(worst.unwrap_or(0));
    }
}

/// The grade of one instrument. `apart` is how far the two of a pair are from each other.
fn grade(
    one: &Instrument,
    offset: Uncertain<f64>,
    dead: bool,
    pair: bool,
    reference: bool,
    apart: f64,
) -> (Trust, String) {
    let off = offset.value.abs();
    let way = if offset.value > 0.0 { "high" } else { "low" };
    let first = one.readings.first().map_or(0.0, |reading| reading.celsius());
    let constant = one.readings.iter().all(|reading| reading.celsius() == first);
    if dead {
        let why = format!("{first:.0} °C is an end of the scale: the sensor or its line is not read");
        return (Trust::Substitute, why);
    }
    if reference {
        return (Trust::Trusted, "the others are judged by it".into());
    }
    if pair && apart.abs() > 2.0 * TRUSTED_WITHIN.kelvin() {
        return (Trust::Unclear, format!("the two are {:.1} K apart, and either may be the wrong one", apart.abs()));
    }
    if off > USABLE_WITHIN.kelvin() && constant && ROUND_FIGURES.contains(&first) {
        let why = format!("{off:.1} K {way} and exactly {first:.0} °C: probably a figure put in place of a reading");
        return (Trust::Substitute, why);
    }
    if off > USABLE_WITHIN.kelvin() {
        return (Trust::Refused, format!("{off:.1} K {way}: more than wear; look at sensor, plug and parameter"));
    }
    if off <= TRUSTED_WITHIN.kelvin() {
        return (Trust::Trusted, "agrees with the others".into());
    }
    (Trust::Corrected, format!("reads {off:.1} K {way}; the offset may be another when hot"))
}

fn remarks(graded: &[Graded], alive: usize, stood: Option<Duration>) -> Result<Vec<String>, PhysicsError> {
    let mut remarks = Vec::new();
    match stood.map(|stood| STOOD.check(stood.seconds() / 3600.0)).transpose()? {
        None => {
            remarks.push("How long the vehicle stood is not said: a unit that is still warm spoils the test.".into())
        }
        Some(hours) if hours * 3600.0 < COLD_SOAK.seconds() => remarks.push(format!(
            "{hours:.1} h are short: a unit needs about {:.0} h with the engine off to be as cold as the air.",
            COLD_SOAK.seconds() / 3600.0
        )),
        Some(_) => {}
    }
    if alive == 1 {
        remarks.push("Only one instrument measures: nothing says whether it is right.".into());
    } else if graded.iter().any(|one| one.trust == Trust::Unclear) {
        remarks.push("With two instruments a disagreement does not say which is wrong; take a third.".into());
    }
    if graded.iter().any(|one| one.trust == Trust::Substitute) {
        remarks.push(
            "A substitute value opens no window: take the fluid temperature from another instrument, or stop.".into(),
        );
    }
    Ok(remarks)
}

/// What a temperature that is off is worth in fluid: ΔV = β V ΔT.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | β | `per_kelvin` | 1/K | 0.0001 to 0.002 |
/// | V | `charge` | mL | 100 to 100 000 |
/// | ΔT | `offset` | K | −300 to 300 |
///
/// # Source
/// Definition of the coefficient of expansion, to first order. A sensor that reads high has the level set too cold.
///
/// # Errors
/// Any argument outside its range.
///
/// # Example
/// 5 K on 9 L at 0.00075 per K: 33.75 mL.
/// ```
/// use quantity::{TemperatureDifference, Volume};
/// let ml = physics::thermometer::worth(Volume::from_litres(9.0), 0.00075, TemperatureDifference::from_kelvin(5.0)).unwrap();
/// assert!((ml.ml() - 33.75).abs() < 1e-9);
/// ```
pub fn worth(charge: Volume, per_kelvin: f64, offset: TemperatureDifference) -> Result<Volume, PhysicsError> {
    static EXPANSION: Limits = Limits::new("coefficient of expansion", "1/K", 1e-4, 2e-3);
    static OFF: Limits = Limits::new("offset", "K", -300.0, 300.0);
    crate::level::CHARGE.check(charge.ml())?;
    Ok(charge * EXPANSION.check(per_kelvin)? * OFF.check(offset.kelvin())?)
}
