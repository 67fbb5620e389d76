//! The one thing to do now, why, and what the one button enters.

mod acts;
mod level;
mod runoff;

use quantity::TemperatureRate;
use serde::Serialize;
use sheet::EngineNeed;

use crate::done::done;
use crate::plan::{Plan, Step, StepKey};
use crate::state::State;
use acts::{acts, close, finish, named, stop_engine};

pub use acts::at_hand;
pub use runoff::judged;

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
    /// The latest time after opening at which a stream should have broken to drops.
    pub breaks_by: Option<quantity::Duration>,
}

/// The one thing to do now.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Prompt {
    /// The step it belongs to, `None` for an emergency or a closed job.
    pub step: Option<StepKey>,
    /// The circuit it speaks of, where the unit has several.
    pub circuit: Option<String>,
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
    let circuits = state.circuits();
    let fill = |one: &State| plan.fill_of(&one.sheet.circuit.0);
    let urgent = |ask: &dyn Fn(&State) -> Option<Prompt>| circuits.iter().find_map(|one| Some((ask(one)?, one)));
    let pressing = urgent(&|one| runoff::lost_fluid(one, &fill(one)))
        .or_else(|| urgent(&|one| level::rest_owed(one, &fill(one))))
        .or_else(|| urgent(&|one| one.setting_level().then(|| runoff::while_open(one, outlook, now_ms))))
        .or_else(|| urgent(&|one| runoff::set_again(one, outlook, now_ms)))
        .or_else(|| urgent(&|one| level::again(one)));
    if let Some((prompt, one)) = pressing {
        return named(prompt, state, &one.sheet.circuit.0);
    }
    let seen = |step: &Step| {
        if step.key.is_shared() { std::borrow::Cow::Borrowed(state) } else { state.seen_by(&step.circuit) }
    };
    let Some(step) = plan.steps.iter().find(|step| !done(step.key, &seen(step))) else {
        return quiet("Nothing is left to do.", "The job can be finished.", vec![finish()]);
    };
    let prompt = of_step(step, &seen(step), plan, outlook, now_ms);
    if step.key.is_shared() { prompt } else { named(prompt, state, &step.circuit) }
}

/// The prompt of the next step in the circuit that `state` looks at.
fn of_step(step: &Step, state: &State, plan: &Plan, outlook: &Outlook, now_ms: i64) -> Prompt {
    let wants_it_off = matches!(step.conditions.engine, EngineNeed::Off | EngineNeed::Stopped);
    if wants_it_off && state.idling_since_ms.is_some() {
        let verb = "Stop the engine.".to_owned();
        return Prompt { acts: vec![stop_engine()], ..calm(step, verb, format!("Next: {}.", step.verb)) };
    }
    if let Some(cooling) = runoff::cooling(state, step.key, now_ms) {
        return cooling;
    }
    let fill = plan.fill_of(&step.circuit);
    if let Some(special) = level::of_step(step, state, &fill, now_ms) {
        return special;
    }
    let (urgency, verb, why) = match step.key {
        StepKey::WarmUp | StepKey::SetLevel => runoff::warm_up(state, outlook, now_ms),
        _ => (Urgency::Calm, step.verb.clone(), step.why.clone()),
    };
    let open_now = urgency == Urgency::ActNow;
    let caution = plan
        .steps
        .iter()
        .filter(|other| other.circuit == step.circuit)
        .find(|other| other.key == if open_now { StepKey::SetLevel } else { step.key })
        .and_then(|found| found.caution.clone());
    let acts = acts(step.key, state, &fill, open_now);
    Prompt { step: Some(step.key), circuit: None, urgency, verb, why, caution, acts }
}

/// A step with nothing pressing about it and no button yet.
fn calm(step: &Step, verb: String, why: String) -> Prompt {
    Prompt {
        step: Some(step.key),
        circuit: None,
        urgency: Urgency::Calm,
        verb,
        why,
        caution: step.caution.clone(),
        acts: Vec::new(),
    }
}

fn quiet(verb: &str, why: &str, acts: Vec<Act>) -> Prompt {
    Prompt {
        step: None,
        circuit: None,
        urgency: Urgency::Calm,
        verb: verb.to_owned(),
        why: why.to_owned(),
        caution: None,
        acts,
    }
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
