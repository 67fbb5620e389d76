//! Folding a log: entry by entry into the state that follows from it.

use std::collections::{BTreeMap, BTreeSet};

use quantity::Torque;
use sheet::Sheet;

use crate::command::Opening;
use crate::entry::{Entry, Fact, Measure, Of, Override, Purpose};
use crate::family;
use crate::state::{
    Ending, Exchanged, FoldError, LevelRead, Line, Look, Measured, Overridden, Photo, PlugState, Read, Reading, Remark,
    Setting, State, Tilt, Weighed,
};

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
    state.note_overrides(first);
    let (withdrawn, replaced) = corrections(log);
    for entry in &log[1..] {
        state.saw(entry);
        if !withdrawn.contains(&entry.seq) {
            state.add(entry, replaced.get(&entry.seq).copied().unwrap_or(&entry.body.fact));
        }
    }
    Ok(state)
}

/// The state after further entries, without folding the whole log again: what [`fold`] gives for log and entries together.
/// `None` when one of them is a correction, which reaches back; then the log has to be folded.
pub fn follow(state: &State, further: &[Entry]) -> Option<State> {
    let reaches_back =
        |entry: &Entry| matches!(entry.body.fact, Fact::EntryWithdrawn { .. } | Fact::EntryReplaced { .. });
    if further.iter().any(reaches_back) {
        return None;
    }
    let mut state = state.clone();
    for entry in further {
        state.saw(entry);
        state.add(entry, &entry.body.fact);
    }
    Some(state)
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
    /// Whatever it says, it is the newest.
    fn saw(&mut self, entry: &Entry) {
        self.last_seq = entry.seq;
        self.last_ms = self.last_ms.max(entry.at_ms);
        self.last_by.clone_from(&entry.by);
    }

    fn add(&mut self, entry: &Entry, fact: &Fact) {
        self.note_overrides(entry);
        self.apply(entry, fact);
    }

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
            level_reads: Vec::new(),
            weighed: Vec::new(),
            exchanged: Vec::new(),
            lines: Vec::new(),
            rested: Vec::new(),
            first_started_ms: None,
            started_ms: None,
            leaks_dry: None,
            road_tested: false,
            stuck: None,
            ending: None,
            ended_ms: None,
            overrides: Vec::new(),
            camera_ms: Vec::new(),
            notes: Vec::new(),
            photos: Vec::new(),
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
                self.started_ms = Some(at_ms);
                self.first_started_ms.get_or_insert(at_ms);
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
            Fact::DipRead { mark, one_mm, other_mm, of } => {
                self.read_level(Read::Dip { mark: *mark, one_mm: *one_mm, other_mm: *other_mm }, of, seq, at_ms);
            }
            Fact::ProbeRead { mm, of } => self.read_level(Read::Probe { mm: *mm }, of, seq, at_ms),
            Fact::EdgeSeen { below_mm, runs, of } => {
                self.read_level(Read::Edge { below_mm: *below_mm, runs: *runs }, of, seq, at_ms);
            }
            Fact::ReadoutTaken { value, of } => self.read_level(Read::Readout { value: *value }, of, seq, at_ms),
            Fact::CanWeighed { when, mass_kg, temp_c, of } => {
                let weighed = Weighed { seq, at_ms, when: *when, mass_kg: *mass_kg, temp_c: *temp_c, of: of.clone() };
                self.poured.extend(family::renew::pumped(self, &weighed));
                self.weighed.push(weighed);
            }
            Fact::FluidRested { of } => self.rested.push((of.clone(), at_ms)),
            Fact::LineOpened { of } => {
                self.lines.retain(|line| line.of != *of);
                self.lines.push(Line { of: of.clone(), open: true, opened_ms: at_ms });
                self.leaks_dry = None;
            }
            Fact::LineClosed { of } => {
                self.lines.iter_mut().filter(|line| line.of == *of).for_each(|line| line.open = false);
            }
            Fact::FluidExchanged { out, fresh } => {
                self.exchanged.push(Exchanged { seq, at_ms, out: out.clone(), fresh: fresh.clone() });
            }
            Fact::NoteWritten { text } => self.notes.push(Remark { seq, at_ms, text: text.clone() }),
            Fact::PhotoKept { of, digest, width, height } => {
                let (of, digest) = (*of, digest.clone());
                self.photos.push(Photo { seq, at_ms, of, digest, width: *width, height: *height });
            }
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
            let preset = family::runoff::opens_for_preset(self, plug, at_ms);
            self.settings.push(Setting {
                plug: plug.to_owned(),
                preset,
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

    fn read_level(&mut self, read: Read, of: &Of, seq: u64, at_ms: i64) {
        let reading = self.fresh_reading(at_ms).copied();
        let cycled = self.cycled_ms.is_some_and(|cycled| self.started_ms.is_some_and(|started| cycled >= started));
        self.level_reads.push(LevelRead {
            seq,
            at_ms,
            read,
            temp_c: reading.map(|reading| reading.temp_c),
            source: reading.map(|reading| reading.source),
            tilt: self.tilt,
            cycled,
            of: of.clone(),
        });
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
