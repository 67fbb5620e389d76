//! The ways to renew the fluid side by side: what stays in, how old the blend is, what it takes and what it shows.

use std::sync::LazyLock;

use physics::renewal::{AGE, FRACTION, MONEY, PRICE_LIMIT, Steady, TOTAL, flow_through, steady_state};
use physics::{Limits, PhysicsError};
use quantity::{Distance, Volume};
use serde::{Deserialize, Serialize};
use sheet::Sheet;

/// A drain brings this share where the sheet does not say; common practice, no source (30 to 50 %).
const USUAL_FRACTION: f64 = 0.4;
/// Passes one may ask for.
static PASSES: Limits = Limits::new("number of passes", "1", 1.0, 50.0);
/// Money an hour.
static RATE: Limits = Limits::new("price of an hour", "money/h", 0.0, 1e6);

/// A figure that cannot be, or a damaged file.
pub type MethodError = PhysicsError;

/// The unit as far as renewing is concerned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// Dry fill.
    pub total: Volume,
    /// What a drain brings as a share of it, 0.0001 to 1.
    pub fraction: f64,
    /// True when the sheet does not state it and a usual share stands in.
    pub assumed: bool,
    /// What filter and pan give besides.
    pub residue: Volume,
}

impl Unit {
    /// As the sheet states it.
    pub fn of(sheet: &Sheet) -> Self {
        let stated = sheet.drained_fraction();
        Self {
            total: sheet.capacity.total.mid(),
            fraction: stated.unwrap_or(USUAL_FRACTION),
            assumed: stated.is_none(),
            residue: sheet.capacity.residue.as_ref().map(sheet::Sourced::mid).unwrap_or_default(),
        }
    }
}

/// Prices, where known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Costs {
    /// Money a litre.
    pub per_litre: Option<f64>,
    /// Money an hour of work.
    pub per_hour: Option<f64>,
    /// Passes of the repeated drain, if others than the usual three are wanted.
    pub passes: Option<u32>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Method {
    id: String,
    name: String,
    short: String,
    passes: u32,
    share: f64,
    #[serde(default)]
    residue: bool,
    #[serde(default)]
    through: f64,
    hours: f64,
    #[serde(default)]
    drive_between: bool,
    seen: String,
    risk: String,
    needs: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    method: Vec<Method>,
}

/// One way, with what it comes to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// Its permanent name.
    pub id: String,
    /// What people read.
    pub name: String,
    /// The same where there is little room, with the number of passes.
    pub short: String,
    /// Drains; 0 for an exchange alone.
    pub passes: u32,
    /// Fluid poured and run through, without surplus.
    pub litres: f64,
    /// Share of old fluid that is safe to promise: ideal mixing.
    pub old_fraction: f64,
    /// Share if the exchange pushed the old fluid out without mixing; the same as `old_fraction` for drains.
    pub old_fraction_at_best: f64,
    /// Mean age of the blend afterwards.
    pub blend_age_km: Option<f64>,
    /// Once done many times at the sheet's interval: mean age before and after each service.
    pub steady_state: Option<Steady>,
    /// Fluid and work.
    pub cost: Option<f64>,
    /// Hours in the bay, without waiting and driving between passes.
    pub bay_hours: f64,
    /// True when the vehicle is driven between two passes.
    pub drive_between: bool,
    /// What is seen of the inside.
    pub seen: String,
    /// What can go wrong.
    pub risk: String,
    /// What it needs.
    pub needs: String,
}

/// The ways side by side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// Least old fluid last; the order of the file.
    pub methods: Vec<Row>,
    /// What was taken for granted.
    pub assumptions: Vec<String>,
}

fn methods() -> Result<&'static [Method], MethodError> {
    static METHODS: LazyLock<Result<Vec<Method>, String>> = LazyLock::new(|| {
        let file: Result<File, _> = toml::from_str(include_str!("../../rules/methods.toml"));
        file.map(|file| file.method).map_err(|why| why.to_string())
    });
    match &*METHODS {
        Ok(methods) => Ok(methods),
        Err(why) => Err(PhysicsError::Contradiction(format!("the program's list of methods is damaged: {why}"))),
    }
}

/// What a policy "one drain every D" leads to, from the sheet.
///
/// # Errors
/// [`MethodError`] for a figure that cannot be; `None` when there is no distance.
pub fn policy(unit: &Unit, every: Option<Distance>) -> Result<Option<Steady>, MethodError> {
    every.map(|every| steady_state(unit.fraction, every)).transpose()
}

/// Every way, for this unit and fluid of this age.
///
/// Old fluid is what conservation leaves: (1 − f)ⁿ for n drains of a share f, times e^(−r) for r fills run through with
/// ideal mixing; without any mixing r fills leave 1 − r of it.
///
/// # Errors
/// [`MethodError`] for a figure that cannot be.
pub fn compare(
    unit: &Unit,
    age: Option<Distance>,
    every: Option<Distance>,
    costs: &Costs,
) -> Result<Comparison, MethodError> {
    TOTAL.check(unit.total.ml())?;
    FRACTION.check(unit.fraction)?;
    let rows = methods()?.iter().map(|method| row(method, unit, age, every, costs)).collect::<Result<Vec<_>, _>>()?;
    let mut assumptions = vec![
        "Old fluid left: ideal mixing, the safe figure; the lower figure of an exchange is without any mixing."
            .to_owned(),
        "Bay time, what is seen and risk: common practice, no source.".to_owned(),
    ];
    if unit.assumed {
        let percent = unit.fraction * 100.0;
        assumptions.push(format!(
            "The sheet does not say what a drain brings: {percent:.0} % is taken (common practice, no source)."
        ));
    }
    Ok(Comparison { methods: rows, assumptions })
}

fn row(
    method: &Method,
    unit: &Unit,
    age: Option<Distance>,
    every: Option<Distance>,
    costs: &Costs,
) -> Result<Row, MethodError> {
    let passes = match costs.passes {
        Some(passes) if method.passes > 1 => PASSES.check(f64::from(passes)).map(|_| passes)?,
        _ => method.passes,
    };
    let more = if method.residue { unit.residue / unit.total } else { 0.0 };
    let share = (unit.fraction * method.share + more).min(1.0);
    let drained = libm::pow(1.0 - share, f64::from(passes));
    let mixed = 1.0 - flow_through(method.through, 1)?;
    let old = drained * mixed;
    let at_best = drained * (1.0 - method.through).max(0.0);
    let litres = unit.total.litres() * (f64::from(passes) * share + method.through);
    let hours = method.hours * f64::from(passes.max(1));
    let fluid = costs.per_litre.map(|price| PRICE_LIMIT.check(price)).transpose()?.map(|price| price * litres);
    let work = costs.per_hour.map(|rate| RATE.check(rate)).transpose()?.map(|rate| rate * hours);
    let cost = if fluid.is_none() && work.is_none() { None } else { Some(fluid.unwrap_or(0.0) + work.unwrap_or(0.0)) };
    let age = age.map(|age| AGE.check(age.km())).transpose()?;
    let renewed = 1.0 - old;
    Ok(Row {
        id: method.id.clone(),
        name: method.name.clone(),
        short: if passes > 1 { format!("{} ×{passes}", method.short) } else { method.short.clone() },
        passes,
        litres,
        old_fraction: old,
        old_fraction_at_best: at_best,
        blend_age_km: age.map(|age| age * old),
        steady_state: every.map(|every| steady_state(renewed, every)).transpose()?,
        cost: cost.map(|cost| MONEY.check(cost)).transpose()?,
        bay_hours: hours,
        drive_between: method.drive_between,
        seen: method.seen.clone(),
        risk: method.risk.clone(),
        needs: method.needs.clone(),
    })
}
