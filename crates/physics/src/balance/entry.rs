//! What goes into the ledger and what comes out: the types, and nothing else.

use quantity::{Density, Mass, Temperature, Uncertain, Volume};
use serde::Serialize;

/// Which way a portion of fluid went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// Drained or drawn out of the unit.
    Drained,
    /// Left the unit without being measured in the drain pan: filter, pan, film, spill.
    Residue,
    /// Poured into the unit.
    Poured,
    /// Ran off at the level plug.
    RunOff,
}

impl Way {
    /// Every way, in the order of a job.
    pub const ALL: [Self; 4] = [Self::Drained, Self::Residue, Self::Poured, Self::RunOff];

    /// +1 when the portion adds to what is in the unit, −1 when it takes away.
    pub const fn sign(self) -> f64 {
        match self {
            Self::Poured => 1.0,
            Self::Drained | Self::Residue | Self::RunOff => -1.0,
        }
    }

    /// The word for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Drained => "drained",
            Self::Residue => "residue",
            Self::Poured => "poured",
            Self::RunOff => "run-off",
        }
    }
}

/// How much, and how it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Read on a jug, at the portion's temperature.
    Measured(Uncertain<Volume>),
    /// Weighed; the temperature of the portion then does not matter.
    Weighed(Uncertain<Mass>),
}

/// One portion of fluid with its temperature. The uncertainty of a temperature is a difference, held as
/// that many degrees Celsius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Portion {
    /// Which way it went.
    pub way: Way,
    /// How much.
    pub amount: Amount,
    /// Its temperature when the volume was read.
    pub temperature: Uncertain<Temperature>,
    /// Number of the thermometer. Portions read with the same one share its error; `None` is on its own.
    pub thermometer: Option<u32>,
    /// From how many readings the doubt of the amount was computed, see [`super::repeated`]; `None`: it was judged.
    pub readings: Option<u32>,
}

/// How the fluid expands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Expansion {
    /// Density at 15 °C; volume correction for lubricating oils.
    Density15(Uncertain<Density>),
    /// A constant coefficient in 1/K, V = V_ref·exp(β·(T − T_ref)), and the density at the reference temperature,
    /// needed only for portions that were weighed.
    Coefficient {
        /// β and its standard uncertainty, 1/K.
        per_kelvin: Uncertain<f64>,
        /// Density at the reference temperature.
        density: Option<Uncertain<Density>>,
    },
}

/// Everything the balance is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Ledger {
    /// Every portion, in any order.
    pub portions: Vec<Portion>,
    /// How the fluid expands.
    pub expansion: Expansion,
    /// All volumes are stated at this temperature.
    pub reference: Temperature,
    /// Error of the level as left (positive: too much in the unit), at the reference temperature;
    /// `None` when the level was not set after the service, so that nothing can be said about as found.
    pub level: Option<Uncertain<Volume>>,
    /// The balance closes when its size is at most this.
    pub tolerance: Volume,
}

/// A portion seen at the reference temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Converted {
    /// Which way it went.
    pub way: Way,
    /// Its volume at the reference temperature, with everything that makes it uncertain.
    #[serde(rename = "at_reference_ml")]
    pub at_reference: Uncertain<Volume>,
}

/// What the as-found error says in words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Smaller than the expanded uncertainty.
    NoSignificantDifference,
    /// Too little in the unit, beyond doubt.
    Underfilled,
    /// Too much in the unit, beyond doubt.
    Overfilled,
    /// The level was not set afterwards: nothing can be said.
    NotKnown,
}

impl Verdict {
    /// The sentence for the sheet.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NoSignificantDifference => "no significant difference found",
            Self::Underfilled => "underfilled as found",
            Self::Overfilled => "overfilled as found",
            Self::NotKnown => "as found not known: the level was not set afterwards",
        }
    }
}

/// One line of the uncertainty budget, largest contribution first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BudgetRow {
    /// Which input, e.g. "drained 1, volume".
    pub input: String,
    /// Unit of `u`.
    pub unit: &'static str,
    /// Its standard uncertainty.
    pub u: f64,
    /// How much the result moves per unit of the input, mL per `unit`.
    pub sensitivity: f64,
    /// Size of `sensitivity`·`u`.
    #[serde(rename = "contribution_ml")]
    pub contribution: Volume,
    /// Share of the variance; rows sum to 100. Negative when a shared error cancels.
    pub share_percent: f64,
}

/// The balance of a job at the reference temperature.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Balance {
    /// The temperature all volumes are stated at.
    #[serde(rename = "reference_c")]
    pub reference: Temperature,
    /// Each portion, in the order given.
    pub portions: Vec<Converted>,
    /// Poured − run-off − drained − residue: what the unit gained.
    #[serde(rename = "net_ml")]
    pub net: Uncertain<Volume>,
    /// Charge error before the job, positive = overfilled; `None` when the level was not set afterwards.
    #[serde(rename = "as_found_ml")]
    pub as_found: Option<Uncertain<Volume>>,
    /// Effective degrees of freedom of that u; absent when every doubt was judged, so that there is no end of them.
    pub degrees_of_freedom: Option<f64>,
    /// Coverage factor k for 95.45 %: 2 without end of degrees of freedom, more with few.
    pub coverage: f64,
    /// U = k·u of `as_found` (of `net` when that is not known).
    #[serde(rename = "expanded_ml")]
    pub expanded: Volume,
    /// |net| ≤ tolerance.
    pub closes: bool,
    /// The tolerance used.
    #[serde(rename = "tolerance_ml")]
    pub tolerance: Volume,
    /// What it says in words.
    pub verdict: Verdict,
    /// Where the uncertainty comes from.
    pub budget: Vec<BudgetRow>,
}

impl Balance {
    /// The sum of the portions that went one way, at the reference temperature.
    pub fn sum(&self, way: Way) -> Volume {
        self.portions.iter().filter(|p| p.way == way).map(|p| p.at_reference.value).sum()
    }
}
