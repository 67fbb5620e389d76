//! Whether, when and how: findings by tap, the verdict, the ways side by side, a text to sign.

use askama::Template;

use super::{Act, Choice, Field, Shell};

/// One question with its answers.
#[derive(Clone, Debug, PartialEq)]
pub struct AskView {
    pub name: String,
    pub ask: String,
    pub how: String,
    pub answers: Vec<Choice>,
}

/// One reason, or one thing noted besides.
#[derive(Clone, Debug, PartialEq)]
pub struct ReasonView {
    pub because: String,
    pub cure: String,
    pub source: String,
}

/// One way to renew.
#[derive(Clone, Debug, PartialEq)]
pub struct WayView {
    pub name: String,
    /// Cells of the table, in the order of the head.
    pub cells: Vec<String>,
    pub seen: String,
    pub risk: String,
    pub chosen: bool,
}

/// A heading with lines.
#[derive(Clone, Debug, PartialEq)]
pub struct LinesView {
    pub heading: String,
    pub lines: Vec<String>,
}

/// Due and ways of one circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitView {
    /// Its name; empty in a unit with one.
    pub name: String,
    /// Its own verdict, as title with its mark.
    pub verdict: String,
    pub due: LinesView,
    /// What one drain at each interval leads to; empty for not known.
    pub policy: String,
    /// Heads of the figures.
    pub head: Vec<String>,
    pub ways: Vec<WayView>,
    pub assumptions: Vec<String>,
    /// The renewal bars as SVG.
    pub bars: String,
}

/// What the findings come to.
#[derive(Clone, Debug, PartialEq)]
pub struct RulingView {
    /// `service`, `service-with-consent`, `diagnose-first`, `stop`.
    pub word: String,
    pub title: String,
    pub glyph: String,
    /// Whether a job may be planned.
    pub permits: bool,
    pub reasons: Vec<ReasonView>,
    pub noted: Vec<ReasonView>,
    /// "Service, if smell: as new / stale".
    pub milder: Vec<String>,
    pub open: Vec<String>,
    /// Each circuit by its own figures, the first one first.
    pub circuits: Vec<CircuitView>,
    /// The text for the customer.
    pub paper: Vec<LinesView>,
    /// Address of the same as PDF.
    pub pdf: String,
    /// Opens a job on these findings; against a service only for a typed reason.
    pub opening: Act,
}

/// The page.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "decide.html")]
pub struct DecideView {
    pub shell: Shell,
    /// The sheet to judge by.
    pub sheet: Field,
    pub asks: Vec<AskView>,
    pub figures: Vec<Field>,
    pub ruling: Option<RulingView>,
    /// What was wrong with the form; empty for nothing.
    pub trouble: String,
}
