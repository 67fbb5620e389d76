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

/// Everything the bench list and torque card say.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct BenchList {
    pub title: String,
    pub subtitle: String,
    pub steps: Vec<Step>,
    /// (what, how much).
    pub bench: Vec<(String, String)>,
    pub torques: Table,
    pub cautions: Vec<String>,
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
