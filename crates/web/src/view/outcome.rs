//! What came of the job.

use askama::Template;

use super::{LogLine, PhotoView, Shell};

/// One figure with its doubt.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FigureView {
    pub title: String,
    /// "−20"; "–" when it cannot be said.
    pub value: String,
    /// "± 45 mL".
    pub doubt: String,
    /// "underfilled", "within the doubt: right"; or why it cannot be said.
    pub says: String,
}

/// One line of the ledger.
#[derive(Clone, Debug, PartialEq)]
pub struct LedgerLine {
    pub what: String,
    /// "4.30 L".
    pub measured: String,
    /// "75 °C".
    pub at: String,
    /// "−4.13 L" at the reference temperature.
    pub at_reference: String,
    /// "± 20 mL".
    pub doubt: String,
    /// A line that sums up those above.
    pub total: bool,
}

/// One part of the error budget.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetLine {
    pub name: String,
    /// "± 34 mL".
    pub size: String,
    /// Part of the largest, 0 to 100; the length of the bar.
    pub bar: f64,
    /// What would make it smaller; empty for none.
    pub advice: String,
}

/// One line of the proof sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct ProofLine {
    pub what: String,
    pub value: String,
    pub note: String,
}

/// What came of the job.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "outcome.html")]
pub struct OutcomeView {
    pub shell: Shell,
    pub job: String,
    /// "Right", "Right within the doubt", "Stopped, vehicle still drives".
    pub verdict: String,
    pub why: String,
    pub as_found: FigureView,
    pub as_left: FigureView,
    /// What "±" means; empty when there is no figure.
    pub doubt_note: String,
    /// "at 20 °C".
    pub reference: String,
    pub ledger: Vec<LedgerLine>,
    /// "closes within ± 0.10 L".
    pub balance: String,
    pub budget: Vec<BudgetLine>,
    pub next_due: String,
    pub next_due_why: String,
    /// What is owed before the job is over; empty for nothing.
    pub owed: Vec<String>,
    /// The tape as SVG.
    pub tape: String,
    pub photos: Vec<PhotoView>,
    pub log: Vec<LogLine>,
}

/// The proof sheet as a page.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "proof.html")]
pub struct ProofView {
    pub shell: Shell,
    pub job: String,
    pub workshop: String,
    pub verdict: String,
    pub figures: Vec<FigureView>,
    /// What "±" means; empty when there is no figure.
    pub doubt_note: String,
    pub lines: Vec<ProofLine>,
    pub ledger: Vec<LedgerLine>,
    pub reference: String,
    pub torques: Vec<ProofLine>,
    /// Gates that were overridden, with the typed reason.
    pub overrides: Vec<String>,
    pub tape: String,
    /// Model version and hash of the log.
    pub stamp: String,
}

impl OutcomeView {
    /// As found and as left, in that order.
    #[must_use]
    pub fn found_and_left(&self) -> [&FigureView; 2] {
        [&self.as_found, &self.as_left]
    }
}
