//! Sheets: the list, one sheet as text or as a form with its findings, two side by side, a passage with proposals.

use askama::Template;

use super::{Choice, Field, Shell};

/// One sheet of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetRow {
    pub name: String,
    pub title: String,
    pub kind: String,
    /// "shipped", "version 3".
    pub from: String,
    /// "2 errors", "1 caution"; empty for nothing to object.
    pub state: String,
}

/// The list.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "sheets.html")]
pub struct SheetsView {
    pub shell: Shell,
    pub rows: Vec<SheetRow>,
    pub compare: Vec<Field>,
    pub new: Vec<Field>,
}

/// One finding.
#[derive(Clone, Debug, PartialEq)]
pub struct FindingView {
    /// "error", "caution", "note".
    pub severity: &'static str,
    pub message: String,
    pub hint: String,
    pub line: usize,
    pub column: usize,
}

/// What the check says of a text.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "part/findings.html")]
pub struct FindingsView {
    /// "2 errors, 1 note", or that there is nothing to object.
    pub count: String,
    /// Whether it can be planned from.
    pub sound: bool,
    pub findings: Vec<FindingView>,
}

/// One value to fill in.
#[derive(Clone, Debug, PartialEq)]
pub struct SlotView {
    /// Name of the form's field.
    pub name: String,
    pub label: String,
    pub hint: String,
    pub value: String,
    /// Words to choose from; empty for a line of text.
    pub choices: Vec<Choice>,
    pub sourced: bool,
    /// One item a line.
    pub list: bool,
}

/// The values of one table.
#[derive(Clone, Debug, PartialEq)]
pub struct SlotsView {
    pub title: String,
    pub about: String,
    pub slots: Vec<SlotView>,
}

/// One version in the history.
#[derive(Clone, Debug, PartialEq)]
pub struct VersionView {
    pub number: u32,
    pub when: String,
    pub by: String,
    pub why: String,
}

/// One sheet to edit.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "sheet.html")]
pub struct SheetView {
    pub shell: Shell,
    pub name: String,
    pub text: String,
    /// The form; `None` shows the text.
    pub slots: Option<Vec<SlotsView>>,
    pub findings: FindingsView,
    /// The version this was made from, 0 for none.
    pub based_on: u32,
    pub by: String,
    pub why: String,
    pub history: Vec<VersionView>,
    /// What became of the last act; empty for nothing.
    pub news: String,
    /// What was wrong with it; empty for nothing.
    pub trouble: String,
}

/// One value in which two sheets differ.
#[derive(Clone, Debug, PartialEq)]
pub struct DifferenceView {
    pub path: String,
    pub a: String,
    pub b: String,
    pub a_source: String,
    pub b_source: String,
    pub agree: bool,
    /// Whether the second has something to take.
    pub offers: bool,
    pub ticked: bool,
}

/// Two sheets side by side.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "compare.html")]
pub struct CompareView {
    pub shell: Shell,
    pub a: String,
    pub b: String,
    pub choose: Vec<Field>,
    pub rows: Vec<DifferenceView>,
    pub trouble: String,
}

/// One value found in a passage.
#[derive(Clone, Debug, PartialEq)]
pub struct ProposalView {
    pub number: usize,
    pub printed: String,
    pub sentence: String,
    pub place: String,
    pub because: String,
    /// The value it seems to be; empty for none. It is ticked by a person, never beforehand.
    pub path: String,
    /// The same in words, with its path.
    pub meaning: String,
    /// Other values it may be; the first is none of them.
    pub choices: Vec<Choice>,
    pub note: String,
}

/// A passage of a manual.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "passage.html")]
pub struct PassageView {
    pub shell: Shell,
    pub into: Field,
    pub source: Field,
    pub passage: String,
    pub proposals: Vec<ProposalView>,
    /// What is wrong with the passage; empty for nothing.
    pub trouble: String,
}
