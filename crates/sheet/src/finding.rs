//! What a check has to say about one place in a sheet.

use crate::Sheet;
use serde::Serialize;
use std::ops::Range;

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// The sheet cannot be used until this is put right.
    Error,
    /// The sheet can be used; somebody should look at this first.
    Caution,
    /// Worth knowing.
    Note,
}

/// One thing found, with its place in the text.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// Permanent name of this kind of finding, see [`crate::CODES`].
    pub code: &'static str,
    /// What is wrong, where, and why it is wrong.
    pub message: String,
    /// What to do about it.
    pub hint: String,
    /// Line, counted from 1.
    pub line: usize,
    /// Column in characters, counted from 1.
    pub column: usize,
    /// The place as byte offsets into the text; `None` when the whole text is meant.
    #[serde(skip)]
    pub span: Option<Range<usize>>,
}

/// The answer of [`crate::check`].
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Checked {
    /// The sheet; `Some` exactly when no finding is an error.
    pub sheet: Option<Sheet>,
    /// Findings in the order of their place in the text.
    pub findings: Vec<Finding>,
}

impl Checked {
    /// True when any finding is an error.
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|f| f.severity == Severity::Error)
    }
}
