//! Prompts around a level that is set by what runs off: wait, open, look, close, and what to do when it went wrong.

use physics::runoff::{self, FlowSeen, Judgement, Verdict};
use quantity::Temperature;
use sheet::{Level, Role};

use super::acts::{act, close, look, open_level, pour, reading, stop_engine};
use super::{Outlook, Prompt, Urgency};
use crate::entry::Flow;
use crate::plan::{Fill, StepKey, the};
use crate::state::{SettingVerdict, State};

/// Gate 5: the engine stopped while the level plug was out.
pub(super) fn lost_fluid(state: &State, fill: &Fill) -> Option<Prompt> {
    if !state.lost_fluid {
        return None;
    }
    let level = state.with_role(Role::Level)?;
    let (verb, act) = if state.plug_state(&level.id).out {
        (format!("Put {} in now.", the(&level.name)), close(state, &level.id))
    } else {
        let again = fill.surplus_ml.litres() + 1.0;
        ("Add the fluid that was lost.".to_owned(), pour(&format!("{again:.1}")))
    };
    Some(Prompt {
        step: None,
        circuit: None,
        urgency: Urgency::Stop,
        verb,
        why: "The engine stopped with the level plug out: a litre or more drains back and runs off. Plug in, add, start over.".to_owned(),
        caution: None,
        acts: vec![act],
    })
}

/// While the level plug is out: look, judge, close.
pub(super) fn while_open(state: &State, outlook: &Outlook, now_ms: i64) -> Prompt {
    if let Level::SideHole(_) = state.sheet.level {
        return super::level::at_side_hole(state, now_ms);
    }
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
    Prompt { step: Some(StepKey::SetLevel), circuit: None, urgency, verb, why, caution: None, acts }
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
    let window = match state.sheet.level.preset().filter(|_| setting.preset) {
        Some(preset) => preset.temperature.value,
        None => state.sheet.window_span()?,
    };
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
        open_for: Some(quantity::Duration::from_seconds((now_ms.saturating_sub(setting.opened_ms)) as f64 / 1000.0)),
        breaks_by: outlook.breaks_by,
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
pub(super) fn set_again(state: &State, outlook: &Outlook, now_ms: i64) -> Option<Prompt> {
    let setting = state.settings.last().filter(|_| state.sheet.level.runs_off())?;
    // The cold stage that is done leads on to the hot one; one that is not done is repeated by its own step.
    if setting.preset {
        return super::level::preset_again(state, setting);
    }
    let poured_since = state.poured.iter().any(|pour| Some(pour.at_ms) > setting.closed_ms);
    let verdict = setting.verdict(&state.sheet);
    let add = |verb: &str, why: &str| {
        Some(Prompt {
            step: Some(StepKey::SetLevel),
            circuit: None,
            urgency: Urgency::Calm,
            verb: verb.to_owned(),
            why: why.to_owned(),
            caution: None,
            acts: vec![pour("0.5"), reading()],
        })
    };
    match verdict {
        SettingVerdict::TooLow if !poured_since => {
            add("Add 0.2 L and open again inside the window.", "It had stopped running: the level is below the hole.")
        }
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
            Some(Prompt { step: Some(StepKey::SetLevel), circuit: None, urgency, verb, why, caution: None, acts })
        }
        _ => None,
    }
}

/// True when the surplus was out before the plug went in: then hot fluid ran off that is missing cold.
fn ran_dry(setting: &crate::state::Setting) -> bool {
    setting.looks.last().is_none_or(|look| look.flow <= Flow::Drops)
}

/// Before the level plug comes out: wait, get ready, open, or too late.
pub(super) fn warm_up(state: &State, outlook: &Outlook, now_ms: i64) -> (Urgency, String, String) {
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
pub(super) fn cooling(state: &State, next: StepKey, now_ms: i64) -> Option<Prompt> {
    let window = state.sheet.window_span()?;
    let idling = state.idling_since_ms.is_some();
    let last = state.last_reading()?;
    let waits = matches!(
        next,
        StepKey::WarmUp | StepKey::SetLevel | StepKey::ReadLevel | StepKey::StartEngine | StepKey::CycleSelector
    );
    // A level that is read waits where it stands; only one that runs off is missed on the way up.
    let waits = waits && (state.sheet.level.runs_off() || idling);
    if !waits || state.poured.is_empty() || last.temp_c <= if idling { window.high } else { window.low } {
        return None;
    }
    if idling && state.fresh_reading(now_ms).is_none() {
        return None;
    }
    let stop = stop_engine();
    let (urgency, verb, acts) = if idling {
        (Urgency::Stop, "Too hot. Engine off, let it cool.".to_owned(), vec![stop, reading()])
    } else {
        let start = act("start-engine", "Engine is idling", Vec::new(), Vec::new(), true);
        (Urgency::Calm, format!("Let it cool to {}. Read it now and then.", figure(window.low)), vec![reading(), start])
    };
    let why = match state.sheet.level.runs_off() {
        true => "Level set hot leaves the unit underfilled.".to_owned(),
        false => "The reading holds only in its temperature range.".to_owned(),
    };
    Some(Prompt { step: Some(next), circuit: None, urgency, verb, why, caution: None, acts })
}

pub(super) fn figure(temp: Temperature) -> String {
    format!("{:.0} °C", temp.celsius().ceil())
}
