//! Between the log on disk, which knows only text, and the domain, which knows only facts.

use std::sync::OnceLock;

use job::entry::{Body, FORMAT};
use job::{Entry, Fact, Plan, Prompt, State, fold, plan::plan_of};
use physics::runoff::Scale;
use physics::warmup::{Forecast, UnitHistory};
use serde::Serialize;
use store::JobRow;

use crate::error::AppError;
use crate::forecast;

/// A job as read from its log.
#[derive(Debug, Clone)]
pub struct Loaded {
    /// Its name.
    pub job: String,
    /// The log, in order.
    pub log: Vec<Entry>,
    /// Hash of the last entry, for the proof sheet.
    pub hash: String,
    /// What follows from the log.
    pub state: State,
    /// Of a unit with several circuits the one that is warmed and watched, as that circuit sees the log.
    pub(crate) warmed: Option<State>,
    /// The plan from the job's own copy of the sheet.
    pub plan: Plan,
    /// What finished jobs from the same sheet taught about its warm-up.
    pub history: Option<UnitHistory>,
    /// What they taught about its run-off.
    pub scale: Scale,
    foreseen: Foreseen,
}

/// What follows from the log by a computation worth doing once, whoever asks and however often.
#[derive(Debug, Clone, Default)]
struct Foreseen {
    forecast: OnceLock<Option<Forecast>>,
    back: OnceLock<Option<[f64; 3]>>,
}

/// One line of the log for people.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LogLine {
    pub seq: u64,
    pub at_ms: i64,
    pub by: String,
    pub kind: &'static str,
    pub text: String,
    /// True when a later entry withdrew or replaced it.
    pub corrected: bool,
    /// Name of the circuit it speaks of; of a unit with one circuit, and of what concerns the vehicle, none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub circuit: Option<String>,
}

/// Reads stored entries into a job.
pub(crate) fn load(job: &str, stored: &[store::Entry]) -> Result<Loaded, AppError> {
    let log = stored.iter().map(|entry| decode(job, entry)).collect::<Result<Vec<_>, _>>()?;
    let state = fold(&log).map_err(|why| AppError::unreadable(job, &why))?;
    let plan = plan_of(&state.opening, &state.sheet);
    let hash = stored.last().map(|entry| entry.hash.clone()).unwrap_or_default();
    Ok(Loaded::new(job.to_owned(), log, hash, state, plan))
}

fn decode(job: &str, entry: &store::Entry) -> Result<Entry, AppError> {
    let unreadable =
        |why: String| AppError::Unreadable { job: job.to_owned(), why: format!("entry {}: {why}", entry.seq) };
    if entry.format > i64::from(FORMAT) {
        return Err(unreadable(format!("format {} is newer than this program's {FORMAT}", entry.format)));
    }
    let body = body(&entry.body).map_err(unreadable)?;
    Ok(Entry { seq: entry.seq.unsigned_abs(), at_ms: entry.at_ms, by: entry.by.clone(), body })
}

/// What an entry says, from how it is stored.
pub(crate) fn body(stored: &str) -> Result<Body, String> {
    serde_json::from_str(stored).map_err(|why| why.to_string())
}

/// The floor's row for a job: where it stands and what it waits for.
pub(crate) fn row(job: &str, state: &State, prompt: &Prompt) -> JobRow {
    let closed = state.ending.is_some();
    let stage = match (&state.ending, state.setting_level()) {
        (Some(job::state::Ending::Finished), _) => "finished",
        (Some(job::state::Ending::Stopped { .. }), _) => "stopped",
        (None, true) => "setting the level",
        (None, false) if state.idling_since_ms.is_some() => "engine idling",
        (None, false) if state.was_drained() => "drained",
        (None, false) => "preparing",
    };
    let out: Vec<&str> = state.plugs_out().iter().map(|plug| plug.name.as_str()).collect();
    let as_left = if closed { as_left(state) } else { String::new() };
    let used = if closed { job::stock::used(state) } else { Vec::new() };
    let summary = serde_json::json!({
        "as_left": as_left,
        "ended_ms": state.ended_ms,
        "used": used,
        "found": crate::decide::earlier(job, state),
        "plugs_out": out,
        "temperature_c": state.last_reading().map(|reading| reading.temp_c.celsius()),
        "idling": state.idling_since_ms.is_some(),
        "demo": state.opening.demo,
    });
    JobRow {
        job: job.to_owned(),
        seq: 0,
        title: state.sheet.name.clone(),
        vehicle: state.opening.vehicle.clone(),
        stage: stage.to_owned(),
        waits_for: if closed { String::new() } else { prompt.verb.clone() },
        closed,
        updated_ms: state.last_ms,
        summary: summary.to_string(),
    }
}

/// The charge error that a closed job left, as on its proof sheet: expanded, k = 2.
fn as_left(state: &State) -> String {
    let left = job::outcome::outcome(state).as_left_ml;
    left.map_or_else(String::new, |left| {
        format!("as left {}", quantity::print::uncertain(left.value.ml(), 2.0 * left.u.ml(), "mL"))
    })
}

/// The row of a log, for rebuilding projections. The forecast plays no part: a row must follow from the log alone.
pub(crate) fn row_of_log(job: &str, stored: &[store::Entry]) -> Result<JobRow, String> {
    let loaded = load(job, stored).map_err(|why| why.to_string())?;
    Ok(row_of(&loaded))
}

pub(crate) fn row_of(loaded: &Loaded) -> JobRow {
    let prompt = job::prompt(&loaded.state, &loaded.plan, &job::prompt::Outlook::default(), loaded.state.last_ms);
    row(&loaded.job, &loaded.state, &prompt)
}

/// A fact with the gates that were passed for it, as stored.
pub(crate) fn encode(fact: Fact, overrides: Vec<job::Override>) -> Result<(String, String), AppError> {
    let kind = fact.kind().to_owned();
    let body = serde_json::to_string(&Body { fact, overrides }).map_err(|why| AppError::Input {
        what: format!("the entry cannot be written: {why}"),
        hint: "Check the figures.".to_owned(),
    })?;
    Ok((kind, body))
}

impl Loaded {
    /// A job's log and what follows from it, before earlier jobs have taught anything.
    pub(crate) fn new(job: String, log: Vec<Entry>, hash: String, state: State, plan: Plan) -> Self {
        let warmed = state.warmed();
        Self { job, log, hash, state, warmed, plan, history: None, scale: Scale::MODEL, foreseen: Foreseen::default() }
    }

    /// The circuit whose temperature is watched: of several the one that is warmed.
    pub(crate) fn warmed(&self) -> &State {
        self.warmed.as_ref().unwrap_or(&self.state)
    }

    /// The job after further entries, as [`load`] would read it from the log, with what earlier jobs taught.
    pub(crate) fn followed(&self, further: &[Entry]) -> Result<Self, AppError> {
        let mut log = self.log.clone();
        log.extend_from_slice(further);
        let state = match job::follow(&self.state, further) {
            Some(state) => state,
            None => fold(&log).map_err(|why| AppError::unreadable(&self.job, &why))?,
        };
        let (history, scale) = (self.history, self.scale);
        Ok(Self { history, scale, ..Self::new(self.job.clone(), log, String::new(), state, self.plan.clone()) })
    }

    /// The forecast of the window; it does not depend on the moment it is asked for.
    pub(crate) fn forecast(&self) -> Option<&Forecast> {
        let now = || forecast::of_job(self.warmed(), self.history.as_ref());
        self.foreseen.forecast.get_or_init(now).as_ref().filter(|_| self.state.ending.is_none())
    }

    /// When a missed unit is back in its window, seconds from `now_ms`.
    pub(crate) fn back(&self, now_ms: i64) -> Option<[f64; 3]> {
        let last = self.state.last_reading()?.at_ms;
        let from_reading = self.foreseen.back.get_or_init(|| forecast::back(self.warmed(), last));
        from_reading.map(|back| back.map(|seconds| seconds - (now_ms - last) as f64 / 1000.0))
    }

    /// The log in words, oldest first.
    pub fn lines(&self) -> Vec<LogLine> {
        let corrected: std::collections::BTreeSet<u64> = self
            .log
            .iter()
            .filter_map(|entry| match &entry.body.fact {
                Fact::EntryWithdrawn { entry, .. } | Fact::EntryReplaced { entry, .. } => Some(*entry),
                _ => None,
            })
            .collect();
        let sheet = &self.state.sheet;
        // A look belongs to the plug that was taken out for it.
        let mut side: Option<&str> = None;
        let mut of = |fact| {
            if !matches!(fact, &Fact::RunOffSeen { .. }) {
                side = job::family::circuit::circuit_of(fact, sheet);
            }
            side.filter(|_| !sheet.further.is_empty()).map(|id| sheet.circuit_name(id).to_owned())
        };
        self.log
            .iter()
            .map(|entry| LogLine {
                circuit: of(&entry.body.fact),
                seq: entry.seq,
                at_ms: entry.at_ms,
                by: entry.by.clone(),
                kind: entry.body.fact.kind(),
                text: job::words::sentence(&entry.body.fact, &self.state.sheet),
                corrected: corrected.contains(&entry.seq),
            })
            .collect()
    }
}
