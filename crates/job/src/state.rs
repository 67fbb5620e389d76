//! The state of a job, by folding its log. Nothing else holds the truth.

use std::collections::{BTreeMap, BTreeSet};

use quantity::{Angle, Temperature, Torque, Volume};
use serde::Serialize;
use sheet::{Plug, Role, Sheet};

use crate::command::Opening;
use crate::entry::{Entry, Fact, Flow, Measure, Override, Purpose, Source};
use crate::gate::Gate;

/// A reading older than this no longer says how warm the fluid is: a unit warms up to 3 °C a minute early
/// on (common practice), so two minutes are half a window.
pub const READING_FRESH_MS: i64 = 120_000;

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
    pub leaks_dry: Option<bool>,
    pub road_tested: bool,
    pub stuck: Option<String>,
    pub ending: Option<Ending>,
    pub ended_ms: Option<i64>,
    pub overrides: Vec<Overridden>,
    /// When the camera was started; each time begins a clip of its own.
    pub camera_ms: Vec<i64>,
    pub notes: Vec<Remark>,
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
    /// The last reading, whatever its age.
    pub fn last_reading(&self) -> Option<&Reading> {
        self.readings.last()
    }
    /// The last reading if it is fresh at `now_ms`.
    pub fn fresh_reading(&self, now_ms: i64) -> Option<&Reading> {
        self.last_reading().filter(|reading| now_ms - reading.at_ms <= READING_FRESH_MS)
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
    /// The last setting's verdict, if the level plug was ever out for it.
    pub fn level_verdict(&self) -> Option<SettingVerdict> {
        self.settings.last().map(|setting| setting.verdict(&self.sheet))
    }
    /// True when the level settled inside the window.
    pub fn level_set(&self) -> bool {
        self.level_verdict() == Some(SettingVerdict::Set)
    }
}

impl Setting {
    /// How it ended, judged against the sheet's window.
    pub fn verdict(&self, sheet: &Sheet) -> SettingVerdict {
        let Some(window) = sheet.window_span() else { return SettingVerdict::Unwitnessed };
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
        match last.flow {
            Flow::Stream | Flow::ThinStream => SettingVerdict::StillStreaming,
            Flow::Drops | Flow::Nothing => SettingVerdict::Set,
        }
    }
}

/// Folds a log into its state.
///
/// Corrections act first: a withdrawn entry counts as never made, a replaced one as the replacement at the
/// old place and time. The sheet is the copy kept in the opening entry.
///
/// # Errors
/// [`FoldError`] when the log does not open a job or its sheet cannot be read.
pub fn fold(log: &[Entry]) -> Result<State, FoldError> {
    let Some((first, Fact::JobOpened(opening))) = log.first().map(|entry| (entry, &entry.body.fact)) else {
        return Err(FoldError::NoOpening);
    };
    let checked = sheet::check(&opening.sheet);
    let Some(sheet) = checked.sheet else {
        let why = checked.findings.first().map_or("no finding", |finding| finding.message.as_str());
        return Err(FoldError::SheetUnreadable(why.to_owned()));
    };
    let mut state = State::opened(opening, sheet, first);
    let (withdrawn, replaced) = corrections(log);
    for entry in &log[1..] {
        state.last_seq = entry.seq;
        state.last_ms = state.last_ms.max(entry.at_ms);
        state.last_by.clone_from(&entry.by);
        if withdrawn.contains(&entry.seq) {
            continue;
        }
        state.note_overrides(entry);
        state.apply(entry, replaced.get(&entry.seq).copied().unwrap_or(&entry.body.fact));
    }
    Ok(state)
}

fn corrections(log: &[Entry]) -> (BTreeSet<u64>, BTreeMap<u64, &Fact>) {
    let mut withdrawn = BTreeSet::new();
    let mut replaced = BTreeMap::new();
    for entry in log {
        match &entry.body.fact {
            Fact::EntryWithdrawn { entry: target, .. } => {
                withdrawn.insert(*target);
            }
            Fact::EntryReplaced { entry: target, with, .. } => {
                replaced.insert(*target, with.as_ref());
            }
            _ => {}
        }
    }
    (withdrawn, replaced)
}

impl State {
    fn opened(opening: &Opening, sheet: Sheet, first: &Entry) -> Self {
        let plugs = sheet.plugs.iter().map(|plug| (plug.id.clone(), PlugState::default())).collect();
        Self {
            opening: opening.clone(),
            opened_ms: first.at_ms,
            sheet,
            plugs,
            idling_since_ms: None,
            stopped_ms: None,
            cycled: false,
            cycled_ms: None,
            tilt: None,
            readings: Vec::new(),
            drained: Vec::new(),
            residue: Vec::new(),
            poured: Vec::new(),
            run_off: Vec::new(),
            settings: Vec::new(),
            lost_fluid: false,
            leaks_dry: None,
            road_tested: false,
            stuck: None,
            ending: None,
            ended_ms: None,
            overrides: Vec::new(),
            camera_ms: Vec::new(),
            notes: Vec::new(),
            bench_ready: BTreeSet::new(),
            corrections: Vec::new(),
            last_seq: first.seq,
            last_ms: first.at_ms,
            last_by: first.by.clone(),
        }
    }

    fn note_overrides(&mut self, entry: &Entry) {
        for Override { gate, reason } in &entry.body.overrides {
            self.overrides.push(Overridden { seq: entry.seq, at_ms: entry.at_ms, gate: *gate, reason: reason.clone() });
        }
    }

    fn apply(&mut self, entry: &Entry, fact: &Fact) {
        let (seq, at_ms) = (entry.seq, entry.at_ms);
        let measured = |measure: &Measure| Measured { seq, at_ms, measure: measure.clone() };
        match fact {
            Fact::JobOpened(_) => {}
            Fact::VehicleLevelled { pitch_deg, roll_deg } => {
                self.tilt = Some(Tilt { pitch_deg: *pitch_deg, roll_deg: *roll_deg });
            }
            Fact::PlugProven { plug } => self.plugs.entry(plug.clone()).or_default().proven = true,
            Fact::PlugStuck { plug } => self.stuck = Some(plug.clone()),
            Fact::PlugOpened { plug, purpose } => self.open_plug(plug, *purpose, seq, at_ms),
            Fact::PlugClosed { plug, torque_nm, new_seal } => self.close_plug(plug, *torque_nm, *new_seal, at_ms),
            Fact::PlugTightened { plug, torque_nm } => {
                self.plugs.entry(plug.clone()).or_default().torque_nm = Some(*torque_nm);
            }
            Fact::SealConfirmed { plug } => self.plugs.entry(plug.clone()).or_default().new_seal = true,
            Fact::FluidDrained(measure) => self.drained.push(measured(measure)),
            Fact::ResidueMeasured(measure) => self.residue.push(measured(measure)),
            Fact::FluidPoured(measure) => {
                self.poured.push(measured(measure));
                self.lost_fluid = false;
            }
            Fact::RunOffMeasured(measure) => self.run_off.push(measured(measure)),
            Fact::EngineStarted => {
                self.idling_since_ms = Some(at_ms);
                self.cycled = false;
            }
            Fact::EngineStopped => {
                self.stopped_ms = Some(at_ms);
                self.stop_engine();
            }
            Fact::SelectorCycled => {
                self.cycled = true;
                self.cycled_ms = Some(at_ms);
            }
            Fact::ReadingTaken { temp_c, source } => {
                // A device that was cut off sends late: readings stand in the order they were taken.
                let place = self.readings.partition_point(|reading| reading.at_ms <= at_ms);
                self.readings.insert(place, Reading { seq, at_ms, temp_c: *temp_c, source: *source });
            }
            Fact::RunOffSeen { flow, drops_per_min } => {
                let look = Look { seq, at_ms, flow: *flow, drops_per_min: *drops_per_min };
                if let Some(setting) = self.settings.last_mut() {
                    setting.looks.push(look);
                }
            }
            Fact::LeaksChecked { dry } => self.leaks_dry = Some(*dry),
            Fact::RoadTested => self.road_tested = true,
            Fact::NoteWritten { text } => self.notes.push(Remark { seq, at_ms, text: text.clone() }),
            Fact::CameraStarted => self.camera_ms.push(at_ms),
            Fact::BenchTicked { item, ready: true } => {
                self.bench_ready.insert(item.clone());
            }
            Fact::BenchTicked { item, ready: false } => {
                self.bench_ready.remove(item);
            }
            Fact::EntryWithdrawn { entry, reason } => {
                self.corrections.push(Remark { seq, at_ms, text: format!("entry {entry} withdrawn: {reason}") });
            }
            Fact::EntryReplaced { entry, reason, .. } => {
                self.corrections.push(Remark { seq, at_ms, text: format!("entry {entry} corrected: {reason}") });
            }
            Fact::JobFinished => {
                self.ending = Some(Ending::Finished);
                self.ended_ms = Some(at_ms);
            }
            Fact::JobStopped { reason } => {
                self.ending = Some(Ending::Stopped { reason: reason.clone() });
                self.ended_ms = Some(at_ms);
            }
        }
    }

    fn open_plug(&mut self, plug: &str, purpose: Purpose, seq: u64, at_ms: i64) {
        let state = self.plugs.entry(plug.to_owned()).or_default();
        *state = PlugState {
            out: true,
            proven: true,
            disturbed: true,
            opened_ms: Some(at_ms),
            purpose: Some(purpose),
            closed_ms: state.closed_ms,
            torque_nm: None,
            new_seal: false,
        };
        self.leaks_dry = None;
        if purpose == Purpose::Level {
            self.settings.push(Setting {
                opened_seq: seq,
                opened_ms: at_ms,
                closed_ms: None,
                temp_open_c: self.fresh_reading(at_ms).map(|reading| reading.temp_c),
                temp_close_c: None,
                looks: Vec::new(),
                tilt: self.tilt,
                cycled: self.cycled,
                spoilt: false,
            });
        }
    }

    fn close_plug(&mut self, plug: &str, torque: Option<Torque>, new_seal: Option<bool>, at_ms: i64) {
        let temp = self.fresh_reading(at_ms).map(|reading| reading.temp_c);
        let state = self.plugs.entry(plug.to_owned()).or_default();
        state.out = false;
        state.closed_ms = Some(at_ms);
        state.torque_nm = torque;
        state.new_seal = new_seal.unwrap_or(false);
        let level = state.purpose == Some(Purpose::Level);
        if let Some(setting) = self.settings.last_mut().filter(|setting| level && setting.closed_ms.is_none()) {
            setting.closed_ms = Some(at_ms);
            setting.temp_close_c = temp;
        }
    }

    fn stop_engine(&mut self) {
        self.idling_since_ms = None;
        self.cycled = false;
        if let Some(setting) = self.settings.last_mut().filter(|setting| setting.closed_ms.is_none()) {
            setting.spoilt = true;
            self.lost_fluid = true;
        }
    }
}
