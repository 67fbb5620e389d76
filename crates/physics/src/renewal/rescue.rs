//! The wrong fluid got in: how often to drain and fill until little enough of it is left, and when no number may be given.

use quantity::Volume;
use serde::Serialize;

use super::dilution::{FRACTION, TOTAL, passes_to_reach};
use crate::{Limits, PhysicsError};

/// Foreign fluid in the unit.
pub static FOREIGN: Limits = Limits::new("foreign fluid", "mL", 1.0, 1e6);
/// Share of foreign fluid that may stay.
pub static REMAINS: Limits = Limits::new("share of foreign fluid that may stay", "1", 1e-6, 1.0);

/// What is known about the two fluids together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Together {
    /// Both makers say that they may be mixed.
    Compatible,
    /// Nobody says so.
    Unknown,
    /// They harm the unit or each other: another friction class, another base, brake fluid, coolant, water.
    Harmful,
}

/// What happened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WrongFluid {
    /// Fluid in the unit in all, the foreign one included.
    pub total: Volume,
    /// Foreign fluid in it.
    pub foreign: Volume,
    /// Share that one drain takes out.
    pub fraction: f64,
    /// Share of foreign fluid that may stay.
    pub may_stay: f64,
    /// What is known about the two.
    pub together: Together,
    /// True when the engine has run since, so that it is everywhere.
    pub has_run: bool,
}

/// What to do about it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rescue {
    /// Share of foreign fluid now.
    pub foreign_now: f64,
    /// Share of foreign fluid after each drain-and-fill; empty when none is promised.
    pub after_each: Vec<f64>,
    /// Drain-and-fills until no more than the wanted share is left; absent when none is promised.
    pub passes: Option<u32>,
    /// Right fluid that takes.
    #[serde(rename = "fluid_ml")]
    pub fluid: Option<Volume>,
    /// What to do, in words.
    pub advice: Vec<&'static str>,
}

/// How many drain-and-fills bring a foreign fluid down to a share, or that none will do: x_n = x₀ (1 − f)ⁿ, x₀ = V_f/V.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V | `total` | mL | 10 to 10⁶ |
/// | V_f | `foreign` | mL | 1 to V |
/// | f | `fraction` | 1 | 0.0001 to 1 |
/// | x | `may_stay` | 1 | 10⁻⁶ to 1 |
///
/// Where mixing is harmful no number is given: a share that is harmless is not known, and each run spreads it further.
///
/// # Source
/// Dilution as [`super::passes`], well mixed, the unit run between two drains. What to do: common practice, no source.
///
/// # Errors
/// [`PhysicsError::OutOfRange`]; [`PhysicsError::Contradiction`] when more foreign fluid is in than fluid, or when it would
/// take more than 1000 drains.
///
/// # Example
/// 2 of 10 L, drains of 0.4, wanted 1 %: 0.2·0.6ⁿ ≤ 0.01, n = ln 20/ln(1/0.6) = 5.86, so 6, and 0.2·0.6⁶ = 0.93 %.
/// ```
/// use physics::renewal::{Together, WrongFluid, rescue};
/// use quantity::Volume;
/// let wrong = WrongFluid {
///     total: Volume::from_litres(10.0),
///     foreign: Volume::from_litres(2.0),
///     fraction: 0.4,
///     may_stay: 0.01,
///     together: Together::Unknown,
///     has_run: true,
/// };
/// assert_eq!(rescue(&wrong).unwrap().passes, Some(6));
/// assert_eq!(rescue(&WrongFluid { together: Together::Harmful, ..wrong }).unwrap().passes, None);
/// ```
pub fn rescue(wrong: &WrongFluid) -> Result<Rescue, PhysicsError> {
    const MOST: u32 = 1000;
    let total = TOTAL.check(wrong.total.ml())?;
    let foreign = FOREIGN.check(wrong.foreign.ml())?;
    let fraction = FRACTION.check(wrong.fraction)?;
    let may_stay = REMAINS.check(wrong.may_stay)?;
    if foreign > total {
        return Err(PhysicsError::Contradiction(format!(
            "{foreign:.0} mL of foreign fluid in {total:.0} mL; give all fluid in the unit, the foreign one included"
        )));
    }
    let now = foreign / total;
    let mut advice = Vec::new();
    if !wrong.has_run {
        advice.push("do not start it: what has not been run has not mixed, and the first drain takes most of it");
    }
    if wrong.together == Together::Harmful {
        advice.push("no number of drains is promised: nobody knows a share of it that does no harm");
        advice.push("drain, take pan and filter off, open cooler and converter, clean by the maker's procedure");
        return Ok(Rescue { foreign_now: now, after_each: Vec::new(), passes: None, fluid: None, advice });
    }
    if wrong.together == Together::Unknown {
        advice.push("nobody says that the two may be mixed: the share is arithmetic, not a clearance; ask the maker");
    }
    // The share to be removed, of what is foreign now; no more than a whole.
    let passes = passes_to_reach(fraction, (1.0 - may_stay / now).clamp(0.0, 1.0 - 1e-9))?;
    if passes > MOST {
        return Err(PhysicsError::Contradiction(format!(
            "{passes} drains would be needed; with so small a share per drain use an exchange through the cooler line"
        )));
    }
    advice.push("run it through all ranges between two drains, else cooler and converter keep what they hold");
    let after_each = (1..=passes).map(|n| now * libm::pow(1.0 - fraction, f64::from(n))).collect();
    let fluid = Some(wrong.total * (f64::from(passes) * fraction));
    Ok(Rescue { foreign_now: now, after_each, passes: Some(passes), fluid, advice })
}
