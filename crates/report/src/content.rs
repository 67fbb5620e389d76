//! What a sheet says. All words are already formatted for people; nothing is computed here.

use serde::{Deserialize, Serialize};

/// A result with its doubt.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Figure {
    /// "As found".
    pub label: String,
    /// "−180 mL"; empty when not known, the words then say why.
    pub value: String,
    /// "± 60 mL".
    pub doubt: String,
    /// "underfilled; 1.9 % of the charge".
    pub words: String,
}

/// A small table. A row shorter than the head is padded with blanks, a longer one loses nothing: the rest joins its last cell.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Table {
    pub head: Vec<String>,
    pub rows: Vec<Vec<String>>,
    /// The line under the rule; empty for none.
    pub total: Vec<String>,
}

/// A gate that was overridden.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Override {
    pub gate: String,
    pub reason: String,
    pub when: String,
}

/// Everything the proof sheet says.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Proof {
    pub workshop: String,
    /// A simulated vehicle: the sheet then says so across its face.
    pub demo: bool,
    pub title: String,
    pub job: String,
    pub date: String,
    pub technician: String,
    pub vehicle: Vec<(String, String)>,
    pub unit: Vec<(String, String)>,
    pub verdict: String,
    pub as_found: Figure,
    pub as_left: Figure,
    pub ledger: Table,
    pub budget: Table,
    pub tape: draw::TapeInput,
    pub torques: Table,
    pub fluid: Vec<(String, String)>,
    pub overrides: Vec<Override>,
    pub corrections: Vec<String>,
    pub cautions: Vec<String>,
    pub next_due: Vec<(String, String)>,
    pub not_claimed: Vec<String>,
    /// Why the job ended early, if it did.
    pub stopped: Option<String>,
    /// Hash of the log, model version.
    pub footer: String,
}

/// One step of the bench list.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Step {
    /// What to do, in one line.
    pub verb: String,
    pub why: String,
    /// Empty for none.
    pub caution: String,
}

/// One thing on the bench list.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BenchLine {
    pub what: String,
    /// "5.9 L"; empty for one of a kind.
    pub amount: String,
    /// Which one and why; empty for nothing.
    pub note: String,
    /// Lies ready.
    pub ready: bool,
}

/// Things that belong together.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BenchGroup {
    pub title: String,
    pub lines: Vec<BenchLine>,
}

/// One plug of the torque card.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlugCard {
    pub name: String,
    /// "25 N·m (18 lbf·ft)"; empty when not stated.
    pub torque: String,
    /// Where it is, its bit, its seal, the wrench: (what, which).
    pub facts: Vec<(String, String)>,
}

/// The torque card.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct TorqueCard {
    pub title: String,
    pub subtitle: String,
    /// A simulated vehicle.
    pub demo: bool,
    /// Which plug is which.
    pub section: Option<draw::SectionInput>,
    pub plugs: Vec<PlugCard>,
}

/// The fluid of one circuit.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct FluidTables {
    /// Name of the circuit; empty in a unit with one.
    pub circuit: String,
    /// The fluid, line by line.
    pub need: Table,
    /// The containers to take and to buy.
    pub containers: Table,
}

/// Everything the bench list says.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct BenchList {
    /// Its plugs stand on the bench list too.
    pub card: TorqueCard,
    /// One a circuit: its name, empty in a unit with one; the fluid line by line; the containers to take and to buy.
    pub fluids: Vec<FluidTables>,
    /// What must be looked at about them.
    pub remarks: Vec<String>,
    pub groups: Vec<BenchGroup>,
    pub cautions: Vec<String>,
    pub steps: Vec<Step>,
    /// When the list was printed, and from what.
    pub footer: String,
}

/// The label of a container of used fluid.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct UsedLabel {
    pub workshop: String,
    /// A simulated vehicle.
    pub demo: bool,
    pub date: String,
    /// "5.2 L".
    pub amount: String,
    /// How the amount is made up; empty for nothing.
    pub parts: String,
    /// Vehicle, unit, job: (what, which).
    pub source: Vec<(String, String)>,
    /// European waste codes with their meaning, and whether it is the one.
    pub codes: Vec<(String, String, bool)>,
    /// What must never happen to it, and which rules apply.
    pub rules: Vec<String>,
}

/// Why no sheet could be made.
#[derive(Debug, thiserror::Error)]
pub enum ReportError {
    /// The shipped font could not be read: the program is damaged.
    #[error("the font inside the program cannot be read: the program file is damaged, install it again")]
    Font,
    /// The PDF writer refused.
    #[error("the sheet could not be written as PDF: {0}")]
    Write(String),
}
