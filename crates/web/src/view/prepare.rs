//! The bench list before anything is undone.

use askama::Template;

use super::Shell;

/// Danger, why, what to do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CautionView {
    pub danger: String,
    pub why: String,
    pub cure: String,
}

/// One thing for the bench.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchLine {
    /// Name of the tick, unique on the page.
    pub key: String,
    /// "5 L", "2 ×"; empty for none.
    pub amount: String,
    pub what: String,
    /// Why, or how the amount comes about; empty for none.
    pub note: String,
    pub ticked: bool,
}

/// Things that belong together: fluid, seals, bits.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchGroup {
    pub title: String,
    pub lines: Vec<BenchLine>,
}

/// One row of the torque card.
#[derive(Clone, Debug, PartialEq)]
pub struct TorqueLine {
    pub plug: String,
    /// "25 N·m (18 lbf·ft)".
    pub torque: String,
    pub bit: String,
    pub seal: String,
    /// "wrench 5–60 N·m fits"; empty for none.
    pub wrench: String,
    /// The value's source in the sheet.
    pub source: String,
}

/// One plug, and where to find it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlugLine {
    pub name: String,
    pub whereabouts: String,
}

/// The bench list.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "prepare.html")]
pub struct PrepareView {
    pub shell: Shell,
    pub job: String,
    /// "Overflow in a window, engine idling".
    pub method: String,
    /// "Window 35–45 °C"; empty for none.
    pub window: String,
    /// What the sheet leaves doubtful; empty for nothing.
    pub notes: Vec<String>,
    pub groups: Vec<BenchGroup>,
    pub torques: Vec<TorqueLine>,
    pub plugs: Vec<PlugLine>,
    /// The section as SVG.
    pub section: String,
    pub cautions: Vec<CautionView>,
    /// The steps, in order.
    pub steps: Vec<String>,
    /// "Start" or "Back under".
    pub start: String,
}
