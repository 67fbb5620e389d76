//! What a page or a command shows of a job: one reading of the log at one moment.

use job::outcome::Outcome;
use job::state::{PlugState, Setting};
use job::{Plan, Prompt, State};
use physics::runoff::Scale;
use physics::warmup::Forecast;
use serde::Serialize;
use store::JobRow;

use crate::error::AppError;
use crate::forecast;
use crate::level::{LevelNow, level};
use crate::meet::Meeting;
use crate::record::{Loaded, LogLine};
use crate::workshop::Workshop;

/// Everything there is to show of one job.
#[derive(Debug, Clone, Serialize)]
pub struct JobView {
    pub job: String,
    /// The moment it was looked at.
    pub now_ms: i64,
    /// Seconds of this clock in a second of life; 1 but in the demo.
    pub speed: f64,
    pub demo: bool,
    pub state: State,
    /// Of a unit with several circuits the one that is warmed and watched.
    #[serde(skip)]
    pub(crate) warmed: Option<State>,
    #[serde(skip)]
    pub plan: Plan,
    pub prompt: Prompt,
    pub live: Live,
    /// Seconds count from the start of the engine.
    pub forecast: Option<Forecast>,
    pub outcome: Outcome,
    /// Where the fluid stands against the lip.
    pub level: LevelNow,
    pub log: Vec<LogLine>,
    pub hash: String,
    /// Other jobs whose window comes at the same time.
    pub meets: Vec<Meeting>,
    /// What the demo's simulated vehicle shows just now.
    pub sight: Option<crate::demo::Sight>,
    /// What earlier jobs had taught about the run-off: for an ended job those that had ended before it.
    pub learnt: Option<String>,
}

/// The fast part: a few figures that change between entries.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Live {
    pub seq: u64,
    pub now_ms: i64,
    /// Where the fluid is against the window: cold, open, hot, or unknown without a fresh reading.
    pub zone: Zone,
    pub temperature_c: Option<f64>,
    /// Seconds since that reading was taken.
    pub reading_age_s: Option<f64>,
    pub rate_c_per_min: Option<f64>,
    /// Seconds from now; p10, p50, p90.
    pub opens_in_s: Option<[f64; 3]>,
    pub closes_in_s: Option<[f64; 3]>,
    pub dwell_s: Option<f64>,
    /// Why there is no countdown, or what else must be known about it.
    pub remark: Option<String>,
    pub never: bool,
    /// The level was set inside the window: nothing is awaited any more.
    pub level_set: bool,
    /// When a missed unit has cooled far enough, seconds from now.
    pub back_in_s: Option<[f64; 3]>,
    pub expansion_ml_per_min: Option<f64>,
    /// Plugs that are out, with the seconds since.
    pub plugs_out: Vec<(String, f64)>,
    pub idling_s: Option<f64>,
    pub verb: String,
    pub why: String,
    pub urgency: job::prompt::Urgency,
    pub ended: bool,
}

/// Where the fluid is against the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Zone {
    Unknown,
    Cold,
    Open,
    Hot,
}

/// One job on the floor.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FloorRow {
    pub job: String,
    pub title: String,
    pub vehicle: String,
    pub stage: String,
    pub waits_for: String,
    pub closed: bool,
    /// What came of a closed job: "as left −20 ± 45 mL"; empty when it cannot be said.
    pub came: String,
    pub updated_ms: i64,
    pub plugs_out: Vec<String>,
    pub live: Option<Live>,
    /// Why the job cannot be shown, when its log is damaged.
    pub damaged: bool,
}

impl FloorRow {
    pub(crate) fn new(row: JobRow, loaded: Option<&Loaded>, now_ms: i64) -> Self {
        let summary: serde_json::Value = serde_json::from_str(&row.summary).unwrap_or_default();
        let plugs_out = summary["plugs_out"].as_array().into_iter().flatten();
        let live = loaded.map(|loaded| live_of(loaded, now_ms).0);
        Self {
            plugs_out: plugs_out.filter_map(|name| name.as_str().map(str::to_owned)).collect(),
            damaged: !row.closed && live.is_none(),
            waits_for: live.as_ref().map_or(row.waits_for, |live| live.verb.clone()),
            job: row.job,
            title: row.title,
            vehicle: row.vehicle,
            stage: row.stage,
            closed: row.closed,
            came: summary["as_left"].as_str().unwrap_or_default().to_owned(),
            updated_ms: row.updated_ms,
            live,
        }
    }
}

impl Workshop {
    /// A job as it stands now.
    ///
    /// # Errors
    /// [`AppError::NoSuchJob`], or what is wrong with its log.
    pub async fn view(&self, job: &str) -> Result<JobView, AppError> {
        let view = self.view_alone(job).await?;
        let awaits = !view.state.level_set();
        let meets = if awaits { self.meets(job, &view.state.opening.vehicle, &view.live) } else { Vec::new() };
        Ok(JobView { meets, ..view })
    }

    /// The same without a look at the other jobs: what a stream of figures needs, many times a second.
    ///
    /// # Errors
    /// As [`Workshop::view`].
    pub async fn view_alone(&self, job: &str) -> Result<JobView, AppError> {
        let loaded = self.load(job).await?;
        let mut view = view_of(&loaded, self.clock.now_ms(), self.clock.speed());
        if view.state.ending.is_some() {
            view.learn(self.learnt_by_the_end(&loaded).await);
        }
        Ok(JobView { sight: self.sight(&loaded), ..view })
    }

    /// The fast part alone.
    ///
    /// # Errors
    /// [`AppError::NoSuchJob`], or what is wrong with its log.
    pub async fn live(&self, job: &str) -> Result<Live, AppError> {
        let loaded = self.load(job).await?;
        Ok(live_of(&loaded, self.clock.now_ms()).0)
    }
}

/// A loaded job at one moment.
pub fn view_of(loaded: &Loaded, now_ms: i64, speed: f64) -> JobView {
    let (live, prompt, forecast) = live_of(loaded, now_ms);
    let outcome = job::outcome::outcome(&loaded.state);
    let warmed = loaded.warmed();
    let outlook = forecast::outlook(warmed, forecast.as_ref(), now_ms);
    let now = match &loaded.warmed {
        Some(one) => level(one, &job::outcome::outcome(one), &outlook, loaded.scale, now_ms),
        None => level(&loaded.state, &outcome, &outlook, loaded.scale, now_ms),
    };
    let mut view = JobView {
        job: loaded.job.clone(),
        now_ms,
        speed,
        demo: loaded.state.opening.demo,
        state: loaded.state.clone(),
        plan: loaded.plan.clone(),
        prompt,
        live,
        forecast,
        level: now,
        warmed: loaded.warmed.clone(),
        outcome,
        log: loaded.lines(),
        hash: loaded.hash.clone(),
        meets: Vec::new(),
        sight: None,
        learnt: None,
    };
    view.learn(loaded.scale);
    view
}

impl JobView {
    /// Says in the record what earlier jobs taught about the run-off, if they did.
    fn learn(&mut self, scale: Scale) {
        self.learnt = crate::runoff::words(scale);
        self.outcome.assumptions.extend(self.learnt.clone());
    }
}

pub(crate) fn live_of(loaded: &Loaded, now_ms: i64) -> (Live, Prompt, Option<Forecast>) {
    let state = &loaded.state;
    let ended = state.ending.is_some();
    let forecast = loaded.forecast().cloned();
    let warmed = loaded.warmed();
    let mut outlook = forecast::outlook(warmed, forecast.as_ref(), now_ms);
    outlook.breaks_by = crate::runoff::breaks_by(warmed, loaded.scale, outlook.rate, now_ms);
    let prompt = job::prompt(state, &loaded.plan, &outlook, now_ms);
    let seconds = |since: i64| (now_ms - since) as f64 / 1000.0;
    let elapsed = state.idling_since_ms.map(seconds).filter(|elapsed| *elapsed >= -APART_S);
    let from_now = |interval: Option<physics::warmup::Interval>| {
        interval.zip(elapsed).map(|(i, elapsed)| [i.p10 - elapsed, i.p50 - elapsed, i.p90 - elapsed])
    };
    let last = state.last_reading();
    let zone = match state.fresh_reading(now_ms).zip(warmed.sheet.window_span()) {
        None => Zone::Unknown,
        Some((reading, window)) if reading.temp_c < window.low => Zone::Cold,
        Some((reading, window)) if reading.temp_c > window.high => Zone::Hot,
        Some(_) => Zone::Open,
    };
    let live = Live {
        seq: state.last_seq,
        now_ms,
        zone,
        temperature_c: last.map(|reading| reading.temp_c.celsius()),
        // Before it was taken, by a clock that went back, it has no age.
        reading_age_s: last.map(|reading| seconds(reading.at_ms)).filter(|age| *age >= -APART_S),
        rate_c_per_min: forecast.as_ref().and_then(|f| f.rate).map(quantity::TemperatureRate::kelvin_per_minute),
        opens_in_s: from_now(forecast.as_ref().and_then(|f| f.opens_s)),
        closes_in_s: from_now(forecast.as_ref().and_then(|f| f.closes_s)),
        dwell_s: forecast.as_ref().and_then(|f| f.dwell_s).map(|dwell| dwell.p50),
        remark: remark(state, forecast.as_ref(), now_ms),
        never: outlook.never,
        level_set: state.level_set(),
        back_in_s: loaded.back(now_ms),
        expansion_ml_per_min: outlook.expansion_ml_per_min,
        plugs_out: plugs_out(state, now_ms),
        idling_s: elapsed,
        verb: prompt.verb.clone(),
        why: prompt.why.clone(),
        urgency: prompt.urgency,
        ended,
    };
    (live, prompt, forecast)
}

fn plugs_out(state: &State, now_ms: i64) -> Vec<(String, f64)> {
    let since = |now: &PlugState| now.opened_ms.map_or(0.0, |since| ((now_ms - since) as f64 / 1000.0).max(0.0));
    state.plugs_out().iter().map(|plug| (plug.name.clone(), since(&state.plug_state(&plug.id)))).collect()
}

/// Clocks that agree differ by no more than this, s.
const APART_S: f64 = job::state::CLOCKS_APART_MS as f64 / 1000.0;

/// A span of time in round words.
pub(crate) fn span_words(ms: i64) -> String {
    match ms / 1000 {
        s if s < 120 => format!("{s} s"),
        s if s < 7_200 => format!("{} min", s / 60),
        s if s < 172_800 => format!("{} h", s / 3600),
        s => format!("{} days", s / 86_400),
    }
}

/// Why no countdown is shown, in one short sentence.
fn remark(state: &State, forecast: Option<&Forecast>, now_ms: i64) -> Option<String> {
    if state.ending.is_some() || state.level_set() {
        return None;
    }
    if let Some(ahead) = state.ahead_ms(now_ms) {
        return Some(format!("A clock has moved: the last entry is {} ahead of now. Read again.", span_words(ahead)));
    }
    if state.idling_since_ms.is_none() {
        return Some("The forecast begins when the engine idles.".to_owned());
    }
    let few = state.warm_up().len();
    let Some(forecast) = forecast else {
        return Some(format!("No forecast yet: {} more reading{}.", 3 - few.min(2), if few == 2 { "" } else { "s" }));
    };
    if forecast.opens_s.is_some() || forecast.closes_s.is_some() {
        return None;
    }
    forecast.findings.first().map(|finding| finding.message.clone())
}

/// The settings of a view, newest last; a convenience for pages.
impl JobView {
    /// Name of that circuit; empty in a unit that has only one.
    pub fn watched(&self) -> &str {
        self.warmed.as_ref().map_or("", |one| one.sheet.circuit.1.as_str())
    }

    /// The circuit whose temperature and level the figures speak of: of several the one that is warmed.
    pub fn warmed(&self) -> &State {
        self.warmed.as_ref().unwrap_or(&self.state)
    }

    /// The setting under way or the last one.
    pub fn setting(&self) -> Option<&Setting> {
        self.state.settings.last()
    }
}
