//! The second page of an act that cannot be taken back, and the page for what went wrong.

use askama::Template;

use super::{Act, Shell};

/// Asked once more where there is no script to hold a button.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "confirm.html")]
pub struct ConfirmView {
    pub shell: Shell,
    /// "Open the level plug".
    pub act: String,
    pub why: String,
    pub action: String,
    pub back: String,
    /// Everything the form sent, to be sent again.
    pub hidden: Vec<(String, String)>,
}

/// What went wrong.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "trouble.html")]
pub struct TroubleView {
    pub shell: Shell,
    /// Status, as a number.
    pub status: u16,
    /// Permanent code.
    pub code: String,
    pub title: String,
    pub what: String,
    pub cure: String,
    /// The way past it, for a typed reason.
    pub anyway: Option<Act>,
}
