//! The live page: what to do now, what is known, how sure that is.

use std::borrow::Borrow;

use askama::Template;
use serde::Serialize;

use super::{Act, CautionView, Shell};

/// How a plug is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlugShape {
    In,
    Out,
    /// In, and shown to turn.
    Proven,
}

impl PlugShape {
    /// Class and drawing of the shape.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::In => "in",
            Self::Out => "out",
            Self::Proven => "proven",
        }
    }
}

/// One plug of the strip.
#[derive(Clone, Debug, PartialEq)]
pub struct PlugView {
    pub name: String,
    pub shape: PlugShape,
    /// "IN", "OUT", "PROVEN".
    pub state: String,
    /// "25 N·m", "torque owed"; empty for none.
    pub detail: String,
    /// Seconds since it came out.
    pub out_s: Option<i64>,
}

/// The plugs of one circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// What the circuit is called; empty in a unit that has only one.
    pub circuit: String,
    pub plugs: Vec<PlugView>,
}

/// The engine, as the strip shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct Engine {
    pub idling: bool,
    /// Seconds since it was started or stopped, where known.
    pub since_s: Option<i64>,
}

/// Where the temperature stands against the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Band {
    Cold,
    Open,
    Hot,
    /// No reading, or a unit without a window.
    Unknown,
}

impl Band {
    /// Class on the page and name in the live stream.
    #[must_use]
    pub fn class(self) -> &'static str {
        match self {
            Self::Cold => "cold",
            Self::Open => "open",
            Self::Hot => "hot",
            Self::Unknown => "unknown",
        }
    }

    /// Shape beside the word.
    #[must_use]
    pub fn shape(self) -> &'static str {
        match self {
            Self::Cold => "▼",
            Self::Open => "●",
            Self::Hot => "▲",
            Self::Unknown => "◇",
        }
    }
}

/// What the page is in the mood for; decides the weight of verb and button.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mood {
    Wait,
    Act,
    Stop,
}

impl Mood {
    /// Class on the page and name in the live stream.
    #[must_use]
    pub fn class(self) -> &'static str {
        match self {
            Self::Wait => "wait",
            Self::Act => "act",
            Self::Stop => "stop",
        }
    }
}

/// Which of the three sounds is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Cue {
    None,
    Ready,
    Act,
    Stop,
}

/// What is known of the window's opening or closing.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Forecast {
    /// "opens in", "closes in", "never at this idle", "missed: back in about".
    pub lead: String,
    /// Seconds that are left and count down; `None` when there is nothing to count.
    pub left_s: Option<i64>,
    /// Words in place of a count: "two more readings"; empty while counting.
    pub says: String,
    /// "± 20 s"; empty for none.
    pub doubt: String,
    /// "then lasts 5:30"; empty for none.
    pub then: String,
}

impl Forecast {
    /// Class of the count: digits, more digits than fit at full size, or words.
    #[must_use]
    pub fn class(&self) -> &'static str {
        match self.left_s {
            Some(s) if s >= 3600 => "clock long hours",
            Some(s) if s >= 600 => "clock long",
            Some(_) => "clock",
            None if self.says.chars().count() > 22 => "words long",
            None => "words",
        }
    }

    /// The count as it is first shown.
    #[must_use]
    pub fn count(&self) -> String {
        self.left_s.map_or_else(String::new, clock)
    }
}

/// One labelled mark of the scale.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleTick {
    /// 0 to 100 along the scale.
    pub at: f64,
    pub label: String,
}

/// The ruler under the figure: the window as a hatched stretch, the temperature as a pointer.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleView {
    /// Window edges, 0 to 100 along the scale.
    pub low: f64,
    pub high: f64,
    pub ticks: Vec<ScaleTick>,
}

impl ScaleView {
    /// Width of the window along the scale.
    #[must_use]
    pub fn width(&self) -> f64 {
        (self.high - self.low).max(0.0)
    }
}

/// A plug that is out, in the live stream.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlugOut {
    /// "LEVEL PLUG OUT".
    pub words: String,
    pub out_s: i64,
}

/// The live figures: drawn by the page, then renewed by the stream as JSON.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Live {
    /// Last entry of the log.
    pub seq: u64,
    /// Job seconds per second of life; 1 except in a demo.
    pub speed: f64,
    /// Whole degrees, as shown: "34"; "–" when not known.
    pub whole: String,
    /// ".2"; empty when not known that well.
    pub tenths: String,
    /// "°C" or "°F".
    pub unit: String,
    /// "+1.8 °C/min"; empty when not known.
    pub rate: String,
    /// Seconds since the reading.
    pub age_s: Option<i64>,
    /// Where the reading came from: "reader", "typed".
    pub source: String,
    pub band: Band,
    /// "COLD", "OPEN NOW", "TOO HOT", "NO READING".
    pub band_word: String,
    /// Pointer along the scale, 0 to 100.
    pub pointer: Option<f64>,
    pub forecast: Forecast,
    pub mood: Mood,
    pub verb: String,
    pub why: String,
    pub cue: Cue,
    /// What is spoken with the cue; empty for nothing.
    pub say: String,
    pub out: Vec<PlugOut>,
}

impl Live {
    /// As the stream sends it, and as the page carries it for the script.
    #[must_use]
    pub fn json(&self) -> String {
        // Plain strings and numbers: writing them cannot fail.
        serde_json::to_string(self).unwrap_or_default()
    }

    /// Class of the word beside the figure: the accent is for a window that is to be used now.
    #[must_use]
    pub fn flag(&self) -> &'static str {
        if self.band == Band::Open && self.band_word != "OPEN NOW" { "inside" } else { self.band.class() }
    }

    /// Class of a figure that is wider than two digits.
    #[must_use]
    pub fn width(&self) -> &'static str {
        if self.whole.chars().count() > 2 { " wide" } else { "" }
    }

    /// The page's own answer to "how old is this figure".
    #[must_use]
    pub fn age(&self) -> String {
        self.age_s.map_or_else(String::new, clock)
    }
}

/// What kind of news stands above the verb.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BannerKind {
    /// A gate said no.
    Refused,
    /// Someone else entered meanwhile.
    Conflict,
    /// The technician was away.
    Interrupted,
    /// Another window comes at the same time.
    Meeting,
    /// The job is over.
    Over,
}

impl BannerKind {
    /// Class on the page.
    #[must_use]
    pub fn class(self) -> &'static str {
        match self {
            Self::Refused => "refused",
            Self::Conflict => "conflict",
            Self::Interrupted => "interrupted",
            Self::Meeting => "meeting",
            Self::Over => "over",
        }
    }
}

/// News above the verb.
#[derive(Clone, Debug, PartialEq)]
pub struct Banner {
    pub kind: BannerKind,
    /// "NOT YET", "SOMEONE ELSE ENTERED", "YOU STOPPED 6 MIN AGO".
    pub title: String,
    /// Permanent code of the gate; empty for none.
    pub code: String,
    pub why: String,
    /// What cures it; empty for none.
    pub cure: String,
    /// "Do it anyway", with a typed reason, where the gate allows that.
    pub anyway: Option<Act>,
    /// (words, address); for the way to the outcome.
    pub link: Option<(String, String)>,
}

/// How run-off looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flow {
    Stream,
    ThinStream,
    Drops,
    Nothing,
}

impl Flow {
    /// Value in the command and name of the drawing.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Stream => "stream",
            Self::ThinStream => "thin-stream",
            Self::Drops => "drops",
            Self::Nothing => "nothing",
        }
    }
}

/// One look button.
#[derive(Clone, Debug, PartialEq)]
pub struct LookView {
    pub flow: Flow,
    pub label: String,
    /// The one seen last.
    pub last: bool,
    pub id: String,
}

/// What runs off, and how much of it is only expansion.
#[derive(Clone, Debug, PartialEq)]
pub struct RunoffView {
    /// "Surplus still running", "This is expansion: close".
    pub verdict: String,
    /// "46 mL/min, 12 of it expansion ≈ 243 drops/min"; empty for none.
    pub figures: String,
    /// "as left if closed now −20 ± 45 mL"; empty for none.
    pub as_left: String,
    /// The looks; empty when there is nothing to look at.
    pub looks: Vec<LookView>,
    pub action: String,
    pub seq: u64,
    /// Count the drops.
    pub drops: Option<Act>,
}

/// A quiet act below the page's one button.
#[derive(Clone, Debug, PartialEq)]
pub struct OtherAct {
    pub title: String,
    /// One line on what it is for; empty for none.
    pub about: String,
    pub act: Act,
    /// Opened at once, because something in it is wrong.
    pub open: bool,
}

/// One entry of the log.
#[derive(Clone, Debug, PartialEq)]
pub struct LogLine {
    pub seq: u64,
    /// Time of day.
    pub time: String,
    pub words: String,
    /// Who entered it.
    pub who: String,
    /// Corrected by a later entry.
    pub corrected: bool,
    /// Entered with a gate overridden.
    pub overridden: bool,
    /// Stands above this line and the ones under it: the circuit they speak of; empty where it is the same as above, and
    /// in a unit with one circuit.
    pub heading: String,
}

/// Everything under the head of the live page; also sent alone when the log has changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Under {
    pub job: String,
    pub sides: Vec<Side>,
    pub engine: Engine,
    /// The circuit that the prompt speaks of; empty in a unit that has only one, and for what concerns the vehicle.
    pub side: String,
    /// The circuit that figures and pictures speak of; empty in a unit that has only one.
    pub watched: String,
    /// In the demo: what a person beside the simulated vehicle would see; empty otherwise.
    pub sight: String,
    /// A page that helps with just this step: (address, words).
    pub aside: Option<(String, String)>,
    /// Said in the strip where that matters: "Nobody underneath".
    pub nobody: String,
    pub live: Live,
    pub banners: Vec<Banner>,
    pub caution: Option<CautionView>,
    /// The one act; `None` when the job is over.
    pub act: Option<Act>,
    pub scale: Option<ScaleView>,
    pub runoff: Option<RunoffView>,
    /// The pictures as SVG; empty when there is nothing to draw yet.
    pub tape: String,
    pub section: String,
    pub others: Vec<OtherAct>,
    pub log: Vec<LogLine>,
}

/// The live page.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "under.html")]
pub struct UnderView {
    pub shell: Shell,
    pub under: Under,
}

/// The live page's main part, alone.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "part/under.html")]
pub struct UnderFragment {
    pub under: Under,
}

/// Seconds as "0:36", "12:05", "1:02:00"; a count that has run out stays at 0:00.
#[must_use]
pub fn clock<S: Borrow<i64>>(seconds: S) -> String {
    let s = (*seconds.borrow()).max(0);
    let (h, m, s) = (s / 3600, s / 60 % 60, s % 60);
    if h > 0 { format!("{h}:{m:02}:{s:02}") } else { format!("{m}:{s:02}") }
}
