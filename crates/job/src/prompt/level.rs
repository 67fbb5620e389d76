//! Prompts of the families whose level is read or poured, and of the steps that only some families have.

use physics::expansion::Expansion;
use quantity::{Temperature, Volume};
use sheet::{Level, Renewal, Role};

use super::acts::{acts, close, look, open_level, pour, read_level, reading, runs_over, stop_engine, take_out};
use super::runoff::figure;
use super::{Prompt, Urgency, calm};
use crate::entry::{Flow, How};
use crate::family::{gates, read, renew, runoff, volume};
use crate::plan::{Fill, Step, StepKey, the};
use crate::state::{FIRST_TRICKLE_MS, Setting, SettingVerdict, State};

/// Less than this is not worth a pour: common practice, no source.
const LEAST_L: f64 = 0.02;

/// From being asked for something to having it entered: common practice, no source.
const LEAD_MS: i64 = 60_000;

/// The first filling: what the plan says, or as much as came out where that is the rule.
pub(super) fn first_filling(state: &State, fill: &Fill) -> Volume {
    let as_came = matches!(state.sheet.level, Level::SameBack) || matches!(state.sheet.renewal, Renewal::Extraction(_));
    if !as_came || state.drained.is_empty() {
        return fill.first_ml;
    }
    // New fluid is poured at about 20 °C; what came out hot takes less room then.
    let density = Expansion::Density15(crate::outcome::density15(&state.sheet));
    let room = Temperature::from_celsius(20.0);
    let cold = |item: &crate::state::Measured| {
        let measure = &item.measure;
        density.volume_at(measure.volume_ml, measure.temp_c, room).unwrap_or(measure.volume_ml)
    };
    state.drained.iter().map(cold).sum::<Volume>() + state.sheet.surplus()
}

/// A dry unit that was started owes its second part now.
pub(super) fn rest_owed(state: &State, fill: &Fill) -> Option<Prompt> {
    renew::rest_owed(state).then(|| Prompt {
        step: Some(StepKey::PourAfterStart),
        circuit: None,
        urgency: Urgency::ActNow,
        verb: format!("Pour the second part now: {:.2} L.", fill.after_start_ml.litres()),
        why: "The unit was dry: until it is in, the pump draws air.".to_owned(),
        caution: None,
        acts: vec![pour(&format!("{:.2}", fill.after_start_ml.litres())), stop_engine()],
    })
}

/// After a reading or a filling that is not right.
pub(super) fn again(state: &State) -> Option<Prompt> {
    let level = &state.sheet.level;
    if level.runs_off() {
        return None;
    }
    let verdict = state.level_verdict()?;
    let missing = match level {
        Level::VolumeOnly(by) => -volume::off(state, by)?.value,
        Level::SameBack => -volume::change(state)?.value,
        _ => read::against(level, read::standing(state)?)?.missing(),
    };
    let litres = missing.litres().abs().max(LEAST_L);
    let amount = format!("{litres:.2}");
    let then = if level.is_read() { ", let it rest, read again" } else { "" };
    let (verb, why, acts) = match verdict {
        SettingVerdict::TooLow => {
            (format!("Add {amount} L{then}."), "There is too little in.", vec![pour(&amount), reading()])
        }
        SettingVerdict::TooHigh => {
            (format!("Take out {amount} L{then}."), "There is too much in.", vec![take_out(&amount), reading()])
        }
        _ => return None,
    };
    let key = if level.is_read() { StepKey::ReadLevel } else { StepKey::Pour };
    Some(Prompt {
        step: Some(key),
        circuit: None,
        urgency: Urgency::Calm,
        verb,
        why: format!("{why} {}", weighed_or_not(state)),
        caution: None,
        acts,
    })
}

fn weighed_or_not(state: &State) -> &'static str {
    let by_jug = state.poured.iter().chain(&state.drained).any(|item| item.measure.how != How::Scale);
    match (&state.sheet.level, by_jug) {
        (Level::SameBack | Level::VolumeOnly(_), true) => "A scale is better than a jug here.",
        _ => "Enter what really went in or came out.",
    }
}

/// Steps whose prompt depends on more than their words; `None` for all others.
pub(super) fn of_step(step: &Step, state: &State, fill: &Fill, now_ms: i64) -> Option<Prompt> {
    match step.key {
        StepKey::WarmUp if !state.sheet.level.runs_off() => Some(warm(step, state, now_ms)),
        StepKey::Preset => Some(preset(step, state, now_ms)),
        StepKey::Exchange => Some(exchange(step, state, fill, now_ms)),
        StepKey::Rest => Some(rest(step, state, now_ms)),
        StepKey::ReadLevel | StepKey::ReadCold => Some(reads(step, state, fill, now_ms)),
        _ => None,
    }
}

/// A fresh reading inside the range of a step; else what to do about it.
fn out_of_range(step: &Step, state: &State, now_ms: i64) -> Option<Prompt> {
    let range = step.conditions.temperature?;
    let idling = state.idling_since_ms.is_some();
    // What is asked for takes a minute to do and to enter; the reading must still hold then.
    let Some(fresh) = state.fresh_reading(now_ms.saturating_add(LEAD_MS)) else {
        let why = format!("{}; {} to {} is asked for.", step.verb, figure(range.low), figure(range.high));
        return Some(Prompt { acts: vec![reading()], ..calm(step, "Read the fluid temperature.".to_owned(), why) });
    };
    let (verb, why, acts) = if fresh.temp_c < range.low {
        let how = if idling { "It warms by idling or driving." } else { "Let it come up to the air of the workshop." };
        (format!("Wait for {}.", figure(range.low)), how, vec![reading()])
    } else if fresh.temp_c > range.high {
        let stop = if idling { vec![reading(), stop_engine()] } else { vec![reading()] };
        (format!("Let it cool to {}.", figure(range.high)), "The figure holds only in its temperature range.", stop)
    } else {
        return None;
    };
    Some(Prompt { acts, ..calm(step, verb, why.to_owned()) })
}

fn warm(step: &Step, state: &State, now_ms: i64) -> Prompt {
    // The range of the level, not of the step, which only asks for the engine.
    let range = state.sheet.window_span();
    let asked =
        Step { conditions: sheet::Conditions { temperature: range, ..step.conditions.clone() }, ..step.clone() };
    out_of_range(&asked, state, now_ms)
        .unwrap_or_else(|| Prompt { acts: vec![reading()], ..calm(step, step.verb.clone(), step.why.clone()) })
}

fn preset(step: &Step, state: &State, now_ms: i64) -> Prompt {
    out_of_range(step, state, now_ms).unwrap_or_else(|| Prompt {
        urgency: Urgency::ActNow,
        acts: vec![open_level(state), reading()],
        ..calm(step, step.verb.clone(), step.why.clone())
    })
}

/// A cold stage that did not end well is repeated; one that did leads on.
pub(super) fn preset_again(state: &State, setting: &Setting) -> Option<Prompt> {
    if runoff::preset_done(state) || setting.spoilt {
        return None;
    }
    let poured_since = state.poured.iter().any(|pour| Some(pour.at_ms) > setting.closed_ms);
    (!poured_since).then(|| Prompt {
        step: Some(StepKey::Preset),
        circuit: None,
        urgency: Urgency::Calm,
        verb: "Add 0.5 L and open again, still cold.".to_owned(),
        why: "Nothing ran off: the safe minimum is not in yet.".to_owned(),
        caution: None,
        acts: vec![pour("0.5"), reading()],
    })
}

fn exchange(step: &Step, state: &State, fill: &Fill, now_ms: i64) -> Prompt {
    if let Some(wait) = out_of_range(step, state, now_ms) {
        return wait;
    }
    let acts = acts(StepKey::Exchange, state, fill, false);
    let (fresh, _) = renew::passed(state);
    let apart = renew::apart(state);
    let least = renew::exchange(state).map_or(0.0, |exchange| exchange.volume.mid().litres());
    if apart.ml().abs() > renew::most_apart(state) {
        let lags = if apart.ml() > 0.0 { "the old fluid catch up" } else { "the new fluid catch up" };
        let why = format!("In and out differ by {:.2} L; the sheet allows less.", apart.litres().abs());
        return Prompt { urgency: Urgency::Stop, acts, ..calm(step, format!("Let {lags}."), why) };
    }
    let why = format!("{:.1} of {least:.1} L are through. {}", fresh.litres(), step.why);
    Prompt { acts, ..calm(step, step.verb.clone(), why) }
}

fn rest(step: &Step, state: &State, now_ms: i64) -> Prompt {
    let left = gates::rest_left_ms(state, now_ms) as f64 / 1000.0;
    let ready = super::acts::act("rest", "It has rested", Vec::new(), Vec::new(), false);
    let verb = match left {
        left if left > 0.0 => format!("Let it rest, {:.0} min {:02.0} s more.", (left / 60.0).floor(), left % 60.0),
        _ => "It has rested.".to_owned(),
    };
    let acts = if left > 0.0 { vec![reading(), ready] } else { vec![ready, reading()] };
    Prompt { acts, ..calm(step, verb, step.why.clone()) }
}

fn reads(step: &Step, state: &State, fill: &Fill, now_ms: i64) -> Prompt {
    if let Some(wait) = out_of_range(step, state, now_ms) {
        return wait;
    }
    if step.conditions.rest.is_some() && gates::rest_left_ms(state, now_ms) > 0 {
        return rest(step, state, now_ms);
    }
    let mut acts = match step.key {
        StepKey::ReadCold => acts(step.key, state, fill, false),
        _ => vec![read_level(state)],
    };
    if matches!(state.sheet.level, Level::BottomOfHole(_)) {
        acts.push(runs_over());
    }
    let why = match &state.sheet.level {
        Level::Probe(probe) => {
            let limits = state.fresh_reading(now_ms).and_then(|now| read::chart_limits(probe, now.temp_c));
            limits.map_or_else(
                || step.why.clone(),
                |at| format!("At this temperature {:.0} to {:.0} mm is right. {}", at.low.mm(), at.high.mm(), step.why),
            )
        }
        _ => step.why.clone(),
    };
    Prompt { urgency: Urgency::ActNow, acts, ..calm(step, step.verb.clone(), why) }
}

/// The side hole is open: the first trickle proves nothing, then pour until one runs.
pub(super) fn at_side_hole(state: &State, now_ms: i64) -> Prompt {
    let level = state.with_role(Role::Level);
    let id = level.map(|plug| plug.id.clone()).unwrap_or_default();
    let name = level.map_or_else(|| "the level plug".to_owned(), |plug| the(&plug.name));
    let close_now = close(state, &id);
    let setting = state.settings.last();
    let early = setting.is_some_and(|setting| now_ms.saturating_sub(setting.opened_ms) < FIRST_TRICKLE_MS);
    let last = setting.and_then(|setting| setting.looks.last());
    // A look counts once the first trickle is over, and only until more is poured.
    let poured_ms = state.poured.iter().map(|item| item.at_ms).max().unwrap_or(i64::MIN);
    let counts = |look: &crate::state::Look| {
        let settled = setting.is_some_and(|s| look.at_ms.saturating_sub(s.opened_ms) >= FIRST_TRICKLE_MS);
        settled && look.at_ms >= poured_ms
    };
    let (urgency, verb, why, mut acts) = if state.fresh_reading(now_ms).is_none() {
        let why = "Without it nobody knows whether the window is still open.";
        (Urgency::ActNow, "Read the fluid temperature.".to_owned(), why, vec![reading(), look(), close_now])
    } else if early {
        let why = "What runs first stood behind the plug and proves nothing.";
        (Urgency::Calm, "Wait a quarter of a minute, then look.".to_owned(), why, vec![look(), pour("0.2"), close_now])
    } else {
        match last.filter(|look| counts(look)).map(|look| look.flow) {
            None => {
                let why = "A trickle says that the level stands at the hole.";
                (
                    Urgency::ActNow,
                    "Look: what runs from the hole?".to_owned(),
                    why,
                    vec![look(), pour("0.2"), close_now],
                )
            }
            Some(Flow::Nothing) => {
                let why = "The level is below the hole.";
                (
                    Urgency::Calm,
                    "Pour a little until a trickle runs.".to_owned(),
                    why,
                    vec![pour("0.2"), look(), close_now],
                )
            }
            Some(Flow::Stream) => {
                let why = "The level is above the hole.";
                (Urgency::Calm, "Let it run down to a trickle.".to_owned(), why, vec![look(), close_now])
            }
            Some(Flow::ThinStream | Flow::Drops) => {
                let why = "A trickle runs: the level stands at the hole.";
                (Urgency::ActNow, format!("Put {name} in now."), why, vec![close_now, look(), pour("0.2")])
            }
        }
    };
    if acts.iter().all(|act| act.word != "reading") {
        acts.push(reading());
    }
    Prompt { step: Some(StepKey::SetLevel), circuit: None, urgency, verb, why: why.to_owned(), caution: None, acts }
}
