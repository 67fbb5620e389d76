//! The one thing to do now, why, and what the one button enters.

use physics::runoff::{self, FlowSeen, Judgement, Verdict};
use quantity::{Temperature, TemperatureRate};
use serde::Serialize;
use sheet::Role;

use crate::entry::Flow;
use crate::plan::{Plan, StepKey, the};
use crate::state::{SettingVerdict, State};

/// How loud the prompt is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Urgency {
    /// Work on.
    Calm,
    /// Within a minute and a half.
    GetReady,
    /// Now.
    ActNow,
    /// Something is going wrong.
    Stop,
}

/// A field that a prompt asks for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ask {
    /// Field name of the word list.
    pub field: &'static str,
    /// What a person reads.
    pub label: String,
    /// Unit shown beside the field; empty for a choice.
    pub unit: &'static str,
    /// A likely value to start from.
    pub suggestion: String,
    /// The choices, as word and label; empty for a figure.
    pub options: Vec<(&'static str, String)>,
}

/// What one button would send.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Act {
    /// Word of the word list.
    pub word: &'static str,
    /// Text on the button.
    pub label: String,
    /// Fields that are settled.
    pub fixed: Vec<(&'static str, String)>,
    /// Fields to be filled in.
    pub asks: Vec<Ask>,
    /// True for what cannot be undone: the button is held.
    pub hold: bool,
}

/// What the forecast says, as far as the prompt needs it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Outlook {
    /// Slope now.
    pub rate: Option<TemperatureRate>,
    /// Seconds from now until the window opens, median.
    pub opens_in_s: Option<f64>,
    /// Seconds from now until it closes, median.
    pub closes_in_s: Option<f64>,
    /// True when the window will probably never be reached.
    pub never: bool,
    /// Flow from expansion alone.
    pub expansion_ml_per_min: Option<f64>,
}

/// The one thing to do now.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Prompt {
    /// The step it belongs to, `None` for an emergency or a closed job.
    pub step: Option<StepKey>,
    pub urgency: Urgency,
    /// One line, imperative.
    pub verb: String,
    /// One line.
    pub why: String,
    pub caution: Option<String>,
    /// The one button first; further ones are quieter.
    pub acts: Vec<Act>,
}

/// The prompt for a state.
pub fn prompt(state: &State, plan: &Plan, outlook: &Outlook, now_ms: i64) -> Prompt {
    if let Some(ended) = ended(state) {
        return ended;
    }
    if let Some(emergency) = lost_fluid(state, plan) {
        return emergency;
    }
    if state.setting_level() {
        return while_open(state, outlook, now_ms);
    }
    if let Some(again) = set_again(state, outlook, now_ms) {
        return again;
    }
    let next = plan.steps.iter().find(|step| !step.key.done(state));
    let Some(step) = next else {
        return quiet("Nothing is left to do.", "The job can be finished.", vec![finish()]);
    };
    let (urgency, verb, why) = match step.key {
        StepKey::WarmUp | StepKey::SetLevel => warm_up(state, outlook, now_ms),
        _ => (Urgency::Calm, step.verb.clone(), step.why.clone()),
    };
    let open_now = urgency == Urgency::ActNow;
    if let Some(cooling) = cooling(state, step.key, now_ms) {
        return cooling;
    }
    let caution = plan
        .steps
        .iter()
        .find(|other| other.key == if open_now { StepKey::SetLevel } else { step.key })
        .and_then(|found| found.caution.clone());
    Prompt { step: Some(step.key), urgency, verb, why, caution, acts: acts(step.key, state, plan, open_now) }
}

fn quiet(verb: &str, why: &str, acts: Vec<Act>) -> Prompt {
    Prompt { step: None, urgency: Urgency::Calm, verb: verb.to_owned(), why: why.to_owned(), caution: None, acts }
}

fn ended(state: &State) -> Option<Prompt> {
    use crate::state::Ending;
    Some(match state.ending.as_ref()? {
        Ending::Finished => quiet("Done.", "The record is closed; the proof sheet is ready.", Vec::new()),
        Ending::Stopped { reason } => {
            let out = state.plugs_out();
            let acts = out.iter().map(|plug| close(state, &plug.id)).collect();
            let verb = if out.is_empty() { "Stopped." } else { "Stopped. Put in every plug that is out." };
            quiet(verb, reason, acts)
        }
    })
}

/// Gate 5: the engine stopped while the level plug was out.
fn lost_fluid(state: &State, plan: &Plan) -> Option<Prompt> {
    if !state.lost_fluid {
        return None;
    }
    let level = state.with_role(Role::Level)?;
    let (verb, act) = if state.plug_state(&level.id).out {
        (format!("Put {} in now.", the(&level.name)), close(state, &level.id))
    } else {
        let again = plan.fill.surplus_ml.litres() + 1.0;
        ("Add the fluid that was lost.".to_owned(), pour(&format!("{again:.1}")))
    };
    Some(Prompt {
        step: None,
        urgency: Urgency::Stop,
        verb,
        why: "The engine stopped with the level plug out: a litre or more drains back and runs off. Plug in, add, start over.".to_owned(),
        caution: None,
        acts: vec![act],
    })
}

/// While the level plug is out: look, judge, close.
fn while_open(state: &State, outlook: &Outlook, now_ms: i64) -> Prompt {
    let level = state.with_role(Role::Level).map(|plug| plug.id.clone()).unwrap_or_default();
    let close_now = close(state, &level);
    let (urgency, verb, why, first) = match judged(state, outlook, now_ms) {
        None if state.fresh_reading(now_ms).is_none() => (
            Urgency::ActNow,
            "Read the fluid temperature.".to_owned(),
            "Without it nobody knows whether the window is still open.".to_owned(),
            reading(),
        ),
        None => (
            Urgency::ActNow,
            "Look: what comes out?".to_owned(),
            "Give it five seconds; the first gush is the pipe's own content.".to_owned(),
            look(),
        ),
        Some(Judgement { verdict, reason }) => {
            let (urgency, verb) = told(verdict);
            let first = if verdict == Verdict::Wait { look() } else { close_now.clone() };
            (urgency, verb.to_owned(), format!("{}.{}", capital(&reason), closing_soon(outlook)), first)
        }
    };
    let mut acts = vec![first];
    for other in [close_now, look(), reading()] {
        if acts.iter().all(|act| act.word != other.word) {
            acts.push(other);
        }
    }
    Prompt { step: Some(StepKey::SetLevel), urgency, verb, why, caution: None, acts }
}

/// What a verdict at the open plug says to do.
fn told(verdict: Verdict) -> (Urgency, &'static str) {
    match verdict {
        Verdict::Wait => (Urgency::Calm, "Let it run. Seal and bit in hand."),
        Verdict::CloseNow => (Urgency::ActNow, "Put the level plug in now."),
        Verdict::ItIsExpansion => (Urgency::ActNow, "This is expansion: put the level plug in now."),
        Verdict::AddAndRepeat => (Urgency::Stop, "Nothing comes: put the level plug in, add, repeat."),
        Verdict::TooHotCloseCoolAddRepeat => (Urgency::Stop, "Too hot: put the level plug in now."),
        Verdict::SomethingIsWrong => (Urgency::Stop, "Something is wrong: put the level plug in."),
    }
}

/// The last look at the open plug, judged; `None` without a look or without a fresh temperature.
pub fn judged(state: &State, outlook: &Outlook, now_ms: i64) -> Option<Judgement> {
    let setting = state.settings.last().filter(|setting| setting.closed_ms.is_none())?;
    let temperature = state.fresh_reading(now_ms)?.temp_c;
    let window = state.sheet.window_span()?;
    let last = setting.looks.last();
    if last.is_none() && temperature <= window.high {
        return None;
    }
    let seen = last.map_or(FlowSeen::Nothing, |look| match (look.flow, look.drops_per_min) {
        (Flow::Stream, _) => FlowSeen::Stream,
        (Flow::ThinStream, _) => FlowSeen::ThinStream,
        (Flow::Drops, Some(rate)) => FlowSeen::DropsPerMinute(rate),
        (Flow::Drops, None) => FlowSeen::Drops,
        (Flow::Nothing, _) => FlowSeen::Nothing,
    });
    let look = runoff::Look {
        seen,
        has_run: setting.looks.iter().any(|look| look.flow > Flow::Drops),
        open_for: Some(quantity::Duration::from_seconds((now_ms - setting.opened_ms) as f64 / 1000.0)),
        breaks_by: None,
        expansion: quantity::Flow::from_ml_per_minute(outlook.expansion_ml_per_min.unwrap_or(0.0)),
        drop: DROP,
        temperature,
        window,
    };
    runoff::verdict(&look).ok()
}

/// A drop of fluid: the middle of the usual 0.03–0.06 mL (common practice, no source).
const DROP: quantity::Volume = quantity::Volume::from_ml(0.05);

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn closing_soon(outlook: &Outlook) -> String {
    match outlook.closes_in_s {
        Some(left) if (0.0..90.0).contains(&left) => format!(" The window closes in about {left:.0} s."),
        _ => String::new(),
    }
}

/// After a setting that did not end well.
fn set_again(state: &State, outlook: &Outlook, now_ms: i64) -> Option<Prompt> {
    let setting = state.settings.last()?;
    let poured_since = state.poured.iter().any(|pour| Some(pour.at_ms) > setting.closed_ms);
    let verdict = setting.verdict(&state.sheet);
    let add = |verb: &str, why: &str| {
        Some(Prompt {
            step: Some(StepKey::SetLevel),
            urgency: Urgency::Calm,
            verb: verb.to_owned(),
            why: why.to_owned(),
            caution: None,
            acts: vec![pour("0.5"), reading()],
        })
    };
    match verdict {
        SettingVerdict::NothingCame if !poured_since => {
            add("Add 0.5 L and open again inside the window.", "Nothing ran off: the level was below the lip.")
        }
        SettingVerdict::ClosedHot if !poured_since && ran_dry(setting) => add(
            "Let it cool, add 0.3–0.5 L, then repeat inside the window.",
            "Level set hot leaves the unit underfilled.",
        ),
        SettingVerdict::Unwitnessed if !poured_since => add(
            "Add 0.3 L and repeat, with a reading and a look.",
            "The level was set without a fresh temperature or without a look at the run-off: nobody can say that it is right.",
        ),
        SettingVerdict::Set | SettingVerdict::Spoilt | SettingVerdict::Open => None,
        _ if cooling(state, StepKey::SetLevel, now_ms).is_some() => cooling(state, StepKey::SetLevel, now_ms),
        _ if state.idling_since_ms.is_some() && state.cycled => {
            let (urgency, verb, why) = warm_up(state, outlook, now_ms);
            let open_now = urgency == Urgency::ActNow;
            let acts = if open_now { vec![open_level(state), reading()] } else { vec![reading(), open_level(state)] };
            Some(Prompt { step: Some(StepKey::SetLevel), urgency, verb, why, caution: None, acts })
        }
        _ => None,
    }
}

/// True when the surplus was out before the plug went in: then hot fluid ran off that is missing cold.
fn ran_dry(setting: &crate::state::Setting) -> bool {
    setting.looks.last().is_none_or(|look| look.flow <= Flow::Drops)
}

/// Before the level plug comes out: wait, get ready, open, or too late.
fn warm_up(state: &State, outlook: &Outlook, now_ms: i64) -> (Urgency, String, String) {
    let Some(window) = state.sheet.window_span() else { return (Urgency::Calm, String::new(), String::new()) };
    let level = state.with_role(Role::Level).map_or_else(|| "the level plug".to_owned(), |plug| the(&plug.name));
    let Some(reading) = state.fresh_reading(now_ms) else {
        return (
            Urgency::Calm,
            "Read the fluid temperature.".to_owned(),
            "A reading every minute or so; three give a forecast.".to_owned(),
        );
    };
    let temp = reading.temp_c;
    if temp > window.high {
        return (
            Urgency::Stop,
            "Too hot. Engine off, let it cool into the window.".to_owned(),
            "Level set hot leaves the unit underfilled.".to_owned(),
        );
    }
    if temp >= window.low {
        return (Urgency::ActNow, format!("Open {level} now."), format!("Inside the window.{}", closing_soon(outlook)));
    }
    let figure = figure(window.low);
    if outlook.never {
        return (
            Urgency::Calm,
            "The window will probably not be reached at this idle.".to_owned(),
            "Drive it warm, or raise the idle as the maker allows, then come back.".to_owned(),
        );
    }
    match outlook.opens_in_s {
        Some(left) if left < 90.0 => (
            Urgency::GetReady,
            "Get ready. Bit, catch pan and new seal in hand.".to_owned(),
            format!("Open {level} when the figure reaches {figure}."),
        ),
        _ => (
            Urgency::Calm,
            "Wait for the window.".to_owned(),
            format!("Open {level} when the figure reaches {figure}."),
        ),
    }
}

/// Missed the window: engine off, and no start before the fluid has cooled to the low edge; starting and cycling take
/// the two minutes in which it warms back into the window.
fn cooling(state: &State, next: StepKey, now_ms: i64) -> Option<Prompt> {
    let window = state.sheet.window_span()?;
    let idling = state.idling_since_ms.is_some();
    let last = state.last_reading()?;
    let waits = matches!(next, StepKey::WarmUp | StepKey::SetLevel | StepKey::StartEngine | StepKey::CycleSelector);
    if !waits || state.poured.is_empty() || last.temp_c <= if idling { window.high } else { window.low } {
        return None;
    }
    if idling && state.fresh_reading(now_ms).is_none() {
        return None;
    }
    let stop = act("stop-engine", "Engine is off", Vec::new(), Vec::new(), false);
    let (urgency, verb, acts) = if idling {
        (Urgency::Stop, "Too hot. Engine off, let it cool.".to_owned(), vec![stop, reading()])
    } else {
        let start = act("start-engine", "Engine is idling", Vec::new(), Vec::new(), true);
        (Urgency::Calm, format!("Let it cool to {}. Read it now and then.", figure(window.low)), vec![reading(), start])
    };
    let why = "Level set hot leaves the unit underfilled.".to_owned();
    Some(Prompt { step: Some(next), urgency, verb, why, caution: None, acts })
}

fn figure(temp: Temperature) -> String {
    format!("{:.0} °C", temp.celsius().ceil())
}

fn act(word: &'static str, label: &str, fixed: Vec<(&'static str, String)>, asks: Vec<Ask>, hold: bool) -> Act {
    Act { word, label: label.to_owned(), fixed, asks, hold }
}

fn ask(field: &'static str, label: &str, unit: &'static str, suggestion: &str) -> Ask {
    Ask { field, label: label.to_owned(), unit, suggestion: suggestion.to_owned(), options: Vec::new() }
}

fn choose(field: &'static str, label: &str, options: &[(&'static str, &str)]) -> Ask {
    let options: Vec<_> = options.iter().map(|(word, text)| (*word, (*text).to_owned())).collect();
    Ask { field, label: label.to_owned(), unit: "", suggestion: String::new(), options }
}

fn reading() -> Act {
    act("reading", "Enter a reading", Vec::new(), vec![ask("temperature", "Fluid temperature", "°C", "")], false)
}

fn look() -> Act {
    let options = [("stream", "Stream"), ("thin-stream", "Thin stream"), ("drops", "Drops"), ("nothing", "Nothing")];
    act("look", "What comes out", Vec::new(), vec![choose("flow", "Run-off", &options)], false)
}

fn pour(litres: &str) -> Act {
    let asks = vec![ask("volume", "Poured", "L", litres), ask("at", "Fluid at", "°C", "20")];
    act("pour", "It is in", Vec::new(), asks, false)
}

fn measured(word: &'static str, label: &str, litres: &str, at: &str) -> Act {
    act(word, "Enter", Vec::new(), vec![ask("volume", label, "L", litres), ask("at", "Fluid at", "°C", at)], false)
}

fn finish() -> Act {
    act("finish", "Finish the job", Vec::new(), Vec::new(), true)
}

/// A close button: torque and seal are asked for only where the sheet has them.
fn close(state: &State, plug: &str) -> Act {
    let found = state.plug(plug);
    let name = found.map_or(plug, |plug| plug.name.as_str());
    let mut asks = Vec::new();
    if let Some(torque) = found.and_then(|plug| plug.torque.as_ref()) {
        asks.push(ask("torque", &format!("Torque ({})", torque.printed), "N·m", ""));
    }
    if found.and_then(|plug| plug.seal.as_ref()).is_some_and(|seal| seal.single_use) {
        asks.push(choose("new_seal", "New seal", &[("yes", "New seal fitted"), ("no", "Old seal")]));
    }
    act("close", &format!("{name} is in"), vec![("plug", plug.to_owned())], asks, false)
}

fn open_level(state: &State) -> Act {
    let plug = state.with_role(Role::Level).map(|plug| plug.id.clone()).unwrap_or_default();
    act("open", "Level plug is out", vec![("plug", plug)], Vec::new(), true)
}

/// The buttons of a step.
fn acts(key: StepKey, state: &State, plan: &Plan, open_now: bool) -> Vec<Act> {
    let id = |role: Role| state.with_role(role).map(|plug| plug.id.clone()).unwrap_or_default();
    let name = |role: Role| state.with_role(role).map(|plug| plug.name.clone()).unwrap_or_default();
    let litres = |volume: quantity::Volume| format!("{:.2}", volume.litres());
    let prove = |role: Role| {
        let plug = || vec![("plug", id(role))];
        let stuck = [plug(), vec![("turned", "no".to_owned())]].concat();
        vec![
            act("prove", "It turned", plug(), Vec::new(), false),
            act("prove", "It does not turn", stuck, Vec::new(), true),
        ]
    };
    let last = state.last_reading().map_or_else(|| "20".to_owned(), |r| format!("{:.0}", r.temp_c.celsius()));
    match key {
        StepKey::LevelVehicle => {
            let asks = vec![ask("pitch", "Nose up", "°", ""), ask("roll", "Right side up", "°", "")];
            vec![act("level-vehicle", "Enter the tilt", Vec::new(), asks, false)]
        }
        StepKey::ProveFill => prove(Role::Fill),
        StepKey::ProveLevel => prove(Role::Level),
        StepKey::OpenDrain => {
            vec![act(
                "open",
                &format!("{} is out", name(Role::Drain)),
                vec![("plug", id(Role::Drain))],
                Vec::new(),
                true,
            )]
        }
        StepKey::MeasureDrained => {
            let stop = |stop: &crate::stop::DrainStop| {
                act("stop", stop.seen, vec![("because", stop.reason.to_owned())], Vec::new(), true)
            };
            let first = measured("drained", "Drained", "", "");
            std::iter::once(first).chain(crate::stop::DRAIN_STOPS.iter().map(stop)).collect()
        }
        StepKey::MeasureResidue => {
            let usual = state.sheet.capacity.residue.as_ref().map_or(String::new(), |r| litres(r.mid()));
            vec![measured("residue", "In filter and pan", &usual, "20")]
        }
        StepKey::CloseDrain => vec![close(state, &id(Role::Drain))],
        StepKey::OpenFill => {
            vec![act(
                "open",
                &format!("{} is out", name(Role::Fill)),
                vec![("plug", id(Role::Fill))],
                Vec::new(),
                false,
            )]
        }
        StepKey::Pour => vec![pour(&litres(plan.fill.first_ml))],
        StepKey::StartEngine => vec![act("start-engine", "Engine is idling", Vec::new(), Vec::new(), true)],
        StepKey::PourAfterStart => vec![pour(&litres(plan.fill.after_start_ml)), reading()],
        StepKey::CycleSelector => {
            let fixed = vec![("nobody_underneath", "yes".to_owned())];
            vec![act("cycle-selector", "Nobody underneath; all ranges held", fixed, Vec::new(), true), reading()]
        }
        StepKey::WarmUp | StepKey::SetLevel if open_now => vec![open_level(state), reading()],
        StepKey::WarmUp | StepKey::SetLevel => vec![reading(), open_level(state)],
        StepKey::MeasureRunOff => vec![measured("run-off", "Ran off", "", &last)],
        StepKey::CloseFill => vec![close(state, &id(Role::Fill))],
        StepKey::Torques => torques(state),
        StepKey::CheckLeaks => vec![
            act("leak-check", "All dry", vec![("result", "dry".to_owned())], Vec::new(), false),
            act("leak-check", "It leaks", vec![("result", "leak".to_owned())], Vec::new(), false),
        ],
        StepKey::RoadTest => vec![act("road-test", "Driven", Vec::new(), Vec::new(), false), finish()],
        StepKey::Finish => vec![finish()],
    }
}

/// One button for each torque or seal that is still missing.
fn torques(state: &State) -> Vec<Act> {
    let mut acts = Vec::new();
    for plug in &state.sheet.plugs {
        let now = state.plug_state(&plug.id);
        if !now.disturbed || now.out {
            continue;
        }
        let fixed = || vec![("plug", plug.id.clone())];
        if let Some(torque) = plug.torque.as_ref().filter(|_| now.torque_nm.is_none()) {
            let label = format!("{} ({})", plug.name, torque.printed);
            acts.push(act("tighten", "Enter the torque", fixed(), vec![ask("torque", &label, "N·m", "")], false));
        }
        if plug.seal.as_ref().is_some_and(|seal| seal.single_use) && !now.new_seal {
            acts.push(act("seal", &format!("{}: new seal fitted", plug.name), fixed(), Vec::new(), false));
        }
    }
    acts
}
