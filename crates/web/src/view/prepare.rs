//! The bench list before anything is undone.

use askama::Template;

use super::{Field, Shell};

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
    /// Id of the next tick.
    pub id: String,
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

/// The fluid, line by line, and the containers it comes in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NeedView {
    /// Name of the circuit; empty in a unit with one.
    pub circuit: String,
    /// (what, how much, why).
    pub lines: Vec<(String, String, String)>,
    pub total: String,
    /// (container, what it costs).
    pub cans: Vec<(String, String)>,
    /// "61.00 EUR; 250 mL left over"; empty without containers.
    pub sum: String,
    /// Why there are no containers, or what must be looked at; empty for nothing.
    pub notes: Vec<String>,
}

/// A small form that reckons and enters nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReckonView {
    pub id: String,
    pub title: String,
    pub about: String,
    pub fields: Vec<Field>,
    pub button: String,
    /// What the other forms were given, so that their answers stay.
    pub carried: Vec<(String, String)>,
    pub head: Vec<String>,
    pub rows: Vec<Vec<String>>,
    pub says: Vec<String>,
    /// What is wrong with what was entered; empty for nothing.
    pub trouble: String,
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
    /// The verdict before this job; empty when nothing was looked at.
    pub found: String,
    /// Where one decides about this unit and vehicle.
    pub decide: String,
    /// One a circuit.
    pub needs: Vec<NeedView>,
    pub groups: Vec<BenchGroup>,
    /// Number of the last entry.
    pub seq: u64,
    /// "9 of 14 ready".
    pub ready: String,
    /// Papers and further pages: (address, words).
    pub papers: Vec<(String, String)>,
    pub reckons: Vec<ReckonView>,
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

/// One plug on the torque card's own page.
#[derive(Clone, Debug, PartialEq)]
pub struct PlugCardView {
    pub name: String,
    pub torque: String,
    /// (what, which).
    pub facts: Vec<(String, String)>,
}

/// The torque card as a page, to be printed on A5 or held beside the job.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "card.html")]
pub struct CardView {
    pub shell: Shell,
    pub job: String,
    pub title: String,
    pub subtitle: String,
    pub section: String,
    pub plugs: Vec<PlugCardView>,
}

/// The label of the used fluid as a page.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "label.html")]
pub struct LabelView {
    pub shell: Shell,
    pub job: String,
    pub amount: String,
    pub date: String,
    pub parts: String,
    pub source: Vec<(String, String)>,
    /// (code, meaning, whether it is the one).
    pub codes: Vec<(String, String, bool)>,
    pub rules: Vec<String>,
    /// Address of the PDF.
    pub pdf: String,
}

/// One rung of the ladder: what to try, how, when to stop.
#[derive(Clone, Debug, PartialEq)]
pub struct RungView {
    pub try_this: String,
    pub how: String,
    pub stop_when: String,
}

/// The ladder for a plug that does not turn.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "stubborn.html")]
pub struct StubbornView {
    pub shell: Shell,
    pub job: String,
    pub rungs: Vec<RungView>,
    pub always: String,
}

/// One of the workshop's lists, as a text to be edited.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ListView {
    /// Its word in the form.
    pub word: String,
    pub title: String,
    pub about: String,
    pub text: String,
    /// True when the text is only an example.
    pub example: bool,
    /// True when it was kept just now.
    pub kept: bool,
    /// (line, what is wrong, what to do).
    pub findings: Vec<(usize, String, String)>,
    /// Id of the next keeping.
    pub id: String,
    /// The moment that the text describes.
    pub as_of_ms: i64,
    /// What the latest jobs took off since the list was kept: (job, vehicle, sentences).
    pub used: Vec<(String, String, Vec<String>)>,
    /// How many more there were before them.
    pub earlier: usize,
}

/// Price list, stock and tools.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "stock.html")]
pub struct StockView {
    pub shell: Shell,
    pub lists: Vec<ListView>,
}
