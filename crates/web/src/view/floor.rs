//! Home: the jobs open now, the finished ones, a job to open.

use askama::Template;

use super::{Act, Band, Banner, Forecast, Shell};

/// A job that is open.
#[derive(Clone, Debug, PartialEq)]
pub struct JobRow {
    pub id: String,
    pub vehicle: String,
    pub unit: String,
    /// Where it stands: "Warming up, 7 of 14".
    pub stands: String,
    /// What it waits for: "the window", "a torque for the drain plug".
    pub waits_for: String,
    /// "34.2 °C"; empty when there is no reading.
    pub temperature: String,
    pub band: Band,
    pub band_word: String,
    pub forecast: Forecast,
    /// "LEVEL PLUG OUT", with the seconds since.
    pub out: Vec<(String, i64)>,
    /// Not started yet: leads to the bench first.
    pub fresh: bool,
}

/// A job that is over.
#[derive(Clone, Debug, PartialEq)]
pub struct FinishedRow {
    pub id: String,
    pub vehicle: String,
    pub unit: String,
    pub day: String,
    /// "as left −20 ± 45 mL", "stopped: fill plug does not turn".
    pub result: String,
}

/// Home.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "floor.html")]
pub struct FloorView {
    pub shell: Shell,
    /// Windows that want the same hands.
    pub meetings: Vec<Banner>,
    pub open: Vec<JobRow>,
    pub finished: Vec<FinishedRow>,
    /// Job seconds per second of life.
    pub speed: f64,
    /// The form that opens a job; goes to `/job`.
    pub opening: Act,
    /// What was wrong with the form; empty for nothing.
    pub trouble: String,
    /// Words for a damaged job that will not open; empty for none.
    pub damaged: Vec<String>,
}
