//! What a camera sees, and the sheet beside the film.

use askama::Template;

use super::{Act, Shell, Under};

/// The overlay for a camera: temperature, window, step.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "film.html")]
pub struct FilmView {
    pub shell: Shell,
    pub under: Under,
    /// What lies behind the figures: `black`, `green`, `white` or `clear`.
    pub ground: &'static str,
    /// "Step 7 of 14".
    pub step: String,
    /// "window 35–45 °C"; empty for none.
    pub window: String,
}

/// One run of the camera.
#[derive(Clone, Debug, PartialEq)]
pub struct ClipView {
    pub title: String,
    /// (time, words).
    pub chapters: Vec<(String, String)>,
}

/// Chapters, tools, torques and steps.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "film_sheet.html")]
pub struct FilmSheetView {
    pub shell: Shell,
    pub job: String,
    pub title: String,
    pub subtitle: String,
    pub clips: Vec<ClipView>,
    /// Marks the start of the camera; `None` when the job is over.
    pub camera: Option<Act>,
    /// (verb, why, caution).
    pub steps: Vec<(String, String, String)>,
    pub cautions: Vec<String>,
    pub tools: Vec<(String, String)>,
    pub head: Vec<String>,
    pub rows: Vec<Vec<String>>,
    pub footer: String,
}

/// The grounds there are; the first is the usual one.
pub const GROUNDS: [&str; 4] = ["black", "green", "white", "clear"];
