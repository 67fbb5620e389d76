//! The state of a job, by folding its log. Nothing else holds the truth.

use std::collections::{BTreeMap, BTreeSet};

use quantity::{Angle, Length, Mass, Temperature, Torque, Volume};
use serde::Serialize;
use sheet::{Plug, Role, Sheet};

use crate::command::Opening;
use crate::entry::{Flow, Mark, Measure, Of, Purpose, Source, Subject, When};
use crate::family;
use crate::gate::Gate;

pub use crate::fold::{fold, follow};

/// A reading older than this no longer says how warm the fluid is: a unit warms up to 3 °C a minute early
/// on (common practice), so two minutes are half a window.
pub const READING_FRESH_MS: i64 = 120_000;

/// Clocks of devices that agree differ by no more than this; what is further ahead comes from one that has moved.
pub const CLOCKS_APART_MS: i64 = 5_000;

fn is_fresh(reading: &Reading, now_ms: i64) -> bool {
    (-CLOCKS_APART_MS..=READING_FRESH_MS).contains(&now_ms.saturating_sub(reading.at_ms))
}

/// What runs from an opened hole stood behind the plug for about this long: common practice, no source.
pub const FIRST_TRICKLE_MS: i64 = 15_000;

/// Why a log does not fold.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FoldError {
    /// The log is empty or does not begin with the opening of a job.
    #[error("the log does not begin with the opening of a job")]
    NoOpening,
    /// The sheet kept in the opening entry cannot be read.
    #[error("the unit sheet kept in the job cannot be read: {0}")]
    SheetUnreadable(String),
}

/// What is known of one plug.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct PlugState {
    /// True while it is out.
    pub out: bool,
    /// Shown to turn.
    pub proven: bool,
    /// Has been out in this job.
    pub disturbed: bool,
    /// When it was last taken out.
    pub opened_ms: Option<i64>,
    /// When it was last put in.
    pub closed_ms: Option<i64>,
    /// Torque since it was last put in.
    pub torque_nm: Option<Torque>,
    /// New seal since it was last put in.
    pub new_seal: bool,
    /// Why it was last taken out.
    pub purpose: Option<Purpose>,
}

/// A photo kept with the job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Photo {
    pub seq: u64,
    pub at_ms: i64,
    pub of: Subject,
    /// Names the picture beside the log.
    pub digest: String,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

/// Most photos that a job keeps.
pub const MOST_PHOTOS: usize = 24;

/// A temperature with its time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Reading {
    pub seq: u64,
    pub at_ms: i64,
    pub temp_c: Temperature,
    pub source: Source,
}

/// A look at the run-off.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Look {
    pub seq: u64,
    pub at_ms: i64,
    pub flow: Flow,
    pub drops_per_min: Option<f64>,
}

/// A measured volume with its time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Measured {
    pub seq: u64,
    pub at_ms: i64,
    #[serde(flatten)]
    pub measure: Measure,
}

/// One time that the level plug was out with the engine idling.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Setting {
    /// Which plug.
    pub plug: String,
    /// True for the cold stage of a two-stage overflow.
    pub preset: bool,
    /// Entry that took the plug out.
    pub opened_seq: u64,
    pub opened_ms: i64,
    pub closed_ms: Option<i64>,
    /// The last fresh temperature when it was taken out and when it was put in.
    pub temp_open_c: Option<Temperature>,
    pub temp_close_c: Option<Temperature>,
    /// Looks at the run-off meanwhile.
    pub looks: Vec<Look>,
    /// Tilt on record then.
    pub tilt: Option<Tilt>,
    /// Selector had been cycled since the engine started.
    pub cycled: bool,
    /// The engine stopped before the plug was in.
    pub spoilt: bool,
}

/// What a level was read as.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "read", rename_all = "kebab-case")]
pub enum Read {
    /// Above the low mark on either side of a dipstick.
    Dip { mark: Mark, one_mm: Length, other_mm: Length },
    /// On a probe.
    Probe { mm: Length },
    /// Below the edge of a hole; `runs` when it runs over.
    Edge { below_mm: Length, runs: bool },
    /// The figure of the vehicle or a reader.
    Readout { value: f64 },
}

/// A level reading with what held when it was taken.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LevelRead {
    pub seq: u64,
    pub at_ms: i64,
    #[serde(flatten)]
    pub read: Read,
    /// The last fresh fluid temperature and where it came from.
    pub temp_c: Option<Temperature>,
    pub source: Option<Source>,
    pub tilt: Option<Tilt>,
    /// Selector had been cycled since the engine was started.
    pub cycled: bool,
    #[serde(flatten)]
    pub of: Of,
}

/// A weight of the can.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Weighed {
    pub seq: u64,
    pub at_ms: i64,
    pub when: When,
    pub mass_kg: Mass,
    pub temp_c: Temperature,
    #[serde(flatten)]
    pub of: Of,
}

/// A portion passed through the cooler line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Exchanged {
    pub seq: u64,
    pub at_ms: i64,
    pub out: Measure,
    pub fresh: Measure,
}

/// The cooler line of a circuit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    #[serde(flatten)]
    pub of: Of,
    pub open: bool,
    pub opened_ms: i64,
}

/// How the vehicle stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tilt {
    /// Nose up is positive.
    pub pitch_deg: Angle,
    /// Right side up is positive.
    pub roll_deg: Angle,
}

/// How a level setting ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SettingVerdict {
    /// A stream broke to drops inside the window, and the plug went in inside the window.
    Set,
    /// The plug is still out.
    Open,
    /// Nothing ever came: add and repeat.
    NothingCame,
    /// Closed while it still streamed: surplus is left.
    StillStreaming,
    /// Closed below the window.
    ClosedCold,
    /// Closed above the window.
    ClosedHot,
    /// No temperature or no look on record.
    Unwitnessed,
    /// The engine stopped meanwhile.
    Spoilt,
    /// Read, and below its limits.
    TooLow,
    /// Read, and above its limits.
    TooHigh,
    /// Only the cold preset of a two-stage overflow is done.
    PresetOnly,
    /// As much is in as before; right only if it was right before.
    SameAsBefore,
}

/// An override with its place in the log.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Overridden {
    pub seq: u64,
    pub at_ms: i64,
    pub gate: Gate,
    pub reason: String,
}

/// How a job ended.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ending {
    Finished,
    Stopped { reason: String },
}

/// A note or correction, for the record.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Remark {
    pub seq: u64,
    pub at_ms: i64,
    pub text: String,
}

/// Everything that follows from the log.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct State {
    pub opening: Opening,
    pub opened_ms: i64,
    #[serde(skip)]
    pub sheet: Sheet,
    pub plugs: BTreeMap<String, PlugState>,
    pub idling_since_ms: Option<i64>,
    /// When the engine was last stopped.
    pub stopped_ms: Option<i64>,
    pub cycled: bool,
    pub cycled_ms: Option<i64>,
    pub tilt: Option<Tilt>,
    pub readings: Vec<Reading>,
    pub drained: Vec<Measured>,
    pub residue: Vec<Measured>,
    pub poured: Vec<Measured>,
    pub run_off: Vec<Measured>,
    pub settings: Vec<Setting>,
    /// The engine stopped with the level plug out and nothing was poured since.
    pub lost_fluid: bool,
    pub level_reads: Vec<LevelRead>,
    pub weighed: Vec<Weighed>,
    pub exchanged: Vec<Exchanged>,
    pub lines: Vec<Line>,
    /// When fluid was said to have rested, by circuit.
    pub rested: Vec<(Of, i64)>,
    /// When the engine was first and last started.
    pub first_started_ms: Option<i64>,
    pub started_ms: Option<i64>,
    pub leaks_dry: Option<bool>,
    pub road_tested: bool,
    pub stuck: Option<String>,
    pub ending: Option<Ending>,
    pub ended_ms: Option<i64>,
    pub overrides: Vec<Overridden>,
    /// When the camera was started; each time begins a clip of its own.
    pub camera_ms: Vec<i64>,
    pub notes: Vec<Remark>,
    /// Photos kept with the job.
    pub photos: Vec<Photo>,
    /// Keys of what is ready on the bench.
    pub bench_ready: BTreeSet<String>,
    pub corrections: Vec<Remark>,
    pub last_seq: u64,
    pub last_ms: i64,
    pub last_by: String,
}

impl State {
    /// The sheet's plug with this id.
    pub fn plug(&self, id: &str) -> Option<&Plug> {
        self.sheet.plug(id)
    }
    /// The state of a plug; a plug nobody touched is in.
    pub fn plug_state(&self, id: &str) -> PlugState {
        self.plugs.get(id).cloned().unwrap_or_default()
    }
    /// The plug that carries a role.
    pub fn with_role(&self, role: Role) -> Option<&Plug> {
        self.sheet.plug_with(role)
    }
    /// True when every plug of a role has been shown to turn.
    pub fn proven(&self, role: Role) -> bool {
        self.with_role(role).is_some_and(|plug| self.plug_state(&plug.id).proven)
    }
    /// True when the plug of a role is out.
    pub fn out(&self, role: Role) -> bool {
        self.with_role(role).is_some_and(|plug| self.plug_state(&plug.id).out)
    }
    /// Plugs that are out now, in the sheet's order.
    pub fn plugs_out(&self) -> Vec<&Plug> {
        self.sheet.plugs.iter().filter(|plug| self.plug_state(&plug.id).out).collect()
    }
    /// True when the level plug is out for setting the level.
    pub fn setting_level(&self) -> bool {
        self.settings.last().is_some_and(|setting| setting.closed_ms.is_none())
    }
    /// When fluid last went in or was taken out.
    pub fn last_change_ms(&self) -> Option<i64> {
        self.poured.iter().chain(&self.run_off).map(|item| item.at_ms).max()
    }
    /// The reading that was entered last, whatever its age and whatever time it bears: a clock that goes back must not hide
    /// what was just read.
    pub fn last_reading(&self) -> Option<&Reading> {
        self.readings.iter().max_by_key(|reading| reading.seq)
    }
    /// How warm the fluid is at `now_ms`, as far as that is known: the reading entered last, if it is fresh. One that came late
    /// from a device that was cut off gives way to the latest that is fresh.
    pub fn fresh_reading(&self, now_ms: i64) -> Option<&Reading> {
        let fresh = |reading: &&Reading| is_fresh(reading, now_ms);
        let last = self.last_reading()?;
        if is_fresh(last, now_ms) {
            return Some(last);
        }
        let late = now_ms.saturating_sub(last.at_ms) > READING_FRESH_MS;
        self.readings.iter().rev().filter(|_| late).find(fresh)
    }
    /// Every reading that a gate must satisfy at `now_ms`: the one that counts, and those taken after it although entered
    /// before it, so that two devices that disagree never open what one of them would keep shut.
    pub fn believed(&self, now_ms: i64) -> Vec<&Reading> {
        let Some(counts) = self.fresh_reading(now_ms) else { return Vec::new() };
        let too = |reading: &&Reading| reading.at_ms > counts.at_ms && is_fresh(reading, now_ms);
        std::iter::once(counts).chain(self.readings.iter().filter(too)).collect()
    }
    /// By how much the last entry is ahead of `now_ms`, where that is more than clocks differ by: a clock has moved.
    pub fn ahead_ms(&self, now_ms: i64) -> Option<i64> {
        let ahead = self.last_ms.saturating_sub(now_ms);
        (ahead > CLOCKS_APART_MS).then_some(ahead)
    }
    /// Readings since the engine last started: what a forecast may use.
    pub fn warm_up(&self) -> &[Reading] {
        let Some(since) = self.idling_since_ms else { return &[] };
        let first = self.readings.iter().position(|reading| reading.at_ms >= since).unwrap_or(self.readings.len());
        &self.readings[first..]
    }
    /// The sum of measured volumes at their own temperatures.
    pub fn total(list: &[Measured]) -> Volume {
        list.iter().map(|item| item.measure.volume_ml).sum()
    }
    /// True while nothing was done but what can be done at the bench.
    pub fn untouched(&self) -> bool {
        self.tilt.is_none()
            && self.readings.is_empty()
            && self.idling_since_ms.is_none()
            && self.plugs.values().all(|plug| *plug == PlugState::default())
    }
    /// True once fluid was drained or the drain was open.
    pub fn was_drained(&self) -> bool {
        !self.drained.is_empty() || self.plugs.values().any(|plug| plug.purpose == Some(Purpose::Drain))
    }
    /// How the level was judged last, by the ways of its family; `None` before it was.
    pub fn level_verdict(&self) -> Option<SettingVerdict> {
        family::verdict(self)
    }
    /// True when the level is right as far as its family can say: set, read or filled as it belongs, or the same amount
    /// put back.
    pub fn level_set(&self) -> bool {
        matches!(self.level_verdict(), Some(SettingVerdict::Set | SettingVerdict::SameAsBefore))
    }
}

impl Setting {
    /// How it ended, judged against the sheet's window.
    pub fn verdict(&self, sheet: &Sheet) -> SettingVerdict {
        let span = match sheet.level.preset().filter(|_| self.preset) {
            Some(preset) => Some(preset.temperature.value),
            None => sheet.window_span(),
        };
        let Some(window) = span else { return SettingVerdict::Unwitnessed };
        if self.spoilt {
            return SettingVerdict::Spoilt;
        }
        if self.closed_ms.is_none() {
            return SettingVerdict::Open;
        }
        let (Some(temp), Some(last)) = (self.temp_close_c, self.looks.last()) else {
            return SettingVerdict::Unwitnessed;
        };
        if temp < window.low {
            return SettingVerdict::ClosedCold;
        }
        if temp > window.high {
            return SettingVerdict::ClosedHot;
        }
        if self.looks.iter().all(|look| look.flow == Flow::Nothing) {
            return SettingVerdict::NothingCame;
        }
        match (&sheet.level, last.flow) {
            // What runs first stood behind the plug.
            (sheet::Level::SideHole(_), _) if last.at_ms.saturating_sub(self.opened_ms) < FIRST_TRICKLE_MS => {
                SettingVerdict::Unwitnessed
            }
            (sheet::Level::SideHole(_), Flow::ThinStream | Flow::Drops) => SettingVerdict::Set,
            (sheet::Level::SideHole(_), Flow::Nothing) => SettingVerdict::TooLow,
            (_, Flow::Stream | Flow::ThinStream) => SettingVerdict::StillStreaming,
            (_, Flow::Drops | Flow::Nothing) => SettingVerdict::Set,
        }
    }
}
