//! Where the fluid stands against the lip: before, while and after the level plug is out.

use job::State;
use job::closing::{self, DROP_ML};
use job::entry::Flow as Seen;
use job::outcome::{Outcome, if_closed_now};
use job::prompt::Outlook;
use job::state::Setting;
use physics::runoff::{RunOff, Scale, THIN_STREAM, run_off};
use quantity::{Duration, Flow as Volumetric, Length, Temperature, Uncertain, Volume};
use serde::Serialize;

use crate::runoff::{setup, surplus, swelling};

/// The level as far as it is known. Heights are mm above the lip at the standpipe.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct LevelNow {
    /// At the temperature of the fluid now.
    pub now_mm: Option<f64>,
    /// At the reference temperature, with the fluid that is in the unit.
    pub reference_mm: Option<f64>,
    /// At the reference temperature, if the level plug goes in now.
    pub if_closed_mm: Option<f64>,
    /// Fluid above the lip now; negative is missing.
    pub surplus_ml: Option<f64>,
    /// What leaves the level plug.
    pub runoff_ml_per_min: Option<f64>,
    /// Seconds from now until the stream breaks to drops: low, best, high. Only while it streams.
    pub breaks_in_s: Option<[f64; 3]>,
    /// From how many earlier jobs the flow of this unit is known.
    pub learnt_from: u32,
    /// The part of it that is only expansion.
    pub expansion_ml_per_min: Option<f64>,
    /// Charge error if the level plug goes in now.
    pub if_closed_ml: Option<Uncertain<Volume>>,
    /// True when it rests on what went in and came out alone: right only if the level was right before.
    pub by_ledger: bool,
    /// Why nothing is known.
    pub unknown: &'static str,
}

fn unknown(why: &'static str) -> LevelNow {
    LevelNow { unknown: why, ..LevelNow::default() }
}

/// The level of a job at one moment.
pub fn level(state: &State, outcome: &Outcome, outlook: &Outlook, scale: Scale, now_ms: i64) -> LevelNow {
    if let Some(setting) = state.settings.last().filter(|setting| setting.closed_ms.is_none()) {
        return while_open(state, outcome, setting, outlook, scale, now_ms);
    }
    if let Some(left) = outcome.as_left_ml {
        return standing(state, outcome.reference_c, left.value, now_ms);
    }
    if state.lost_fluid {
        return unknown("fluid was lost: level not known");
    }
    if state.poured.is_empty() {
        return unknown(if state.was_drained() { "drained" } else { "level not known yet" });
    }
    let Some(ledger) = outcome.ledger.as_ref().filter(|_| !state.drained.is_empty()) else {
        return unknown("level not known: no drained volume");
    };
    let standing = standing(state, outcome.reference_c, ledger.net.value, now_ms);
    LevelNow { by_ledger: true, ..standing }
}

/// The plug is in: the charge error as a height at the reference temperature, and with the fluid's own heat while the
/// engine keeps converter and cooler full.
fn standing(state: &State, reference: Temperature, error: Volume, now_ms: i64) -> LevelNow {
    let Some(area) = state.sheet.sump_area() else { return unknown("the surface of this unit is not stated") };
    let height = |ml: f64| ml / 1000.0 / area.mid().square_metres();
    let fresh = state.fresh_reading(now_ms).filter(|_| state.idling_since_ms.is_some());
    let swollen = fresh.and_then(|reading| swelling(state, reference, reading.temp_c));
    LevelNow {
        now_mm: swollen.map(|swollen| height(error.ml() + swollen.ml())),
        reference_mm: Some(height(error.ml())),
        surplus_ml: Some(error.ml()),
        ..LevelNow::default()
    }
}

/// The level plug is out: the head over the lip from how it runs, the error that closing now would leave.
fn while_open(
    state: &State,
    outcome: &Outcome,
    setting: &Setting,
    outlook: &Outlook,
    scale: Scale,
    now_ms: i64,
) -> LevelNow {
    let Some(area) = state.sheet.sump_area().map(sheet::Sourced::mid) else {
        return unknown("the surface of this unit is not stated");
    };
    let head = closing::head_left(state, setting, now_ms).map(|head| (head.value.mm(), head.u.mm()));
    let still = |head, flow| Running { head, flow, breaks: None };
    let Running { head, flow, breaks } = match setting.looks.last() {
        Some(look) if look.flow == Seen::Nothing && setting.looks.iter().all(|look| look.flow == Seen::Nothing) => {
            return unknown("below the lip, nobody knows how far");
        }
        Some(look) if look.flow != Seen::Stream => {
            let Some(head) = head else { return unknown("no fresh temperature: read it") };
            let counted = look.drops_per_min.map(|rate| rate * DROP_ML);
            let flow = match look.flow {
                Seen::Nothing => Some(0.0),
                _ => counted.or_else(|| over(state, Length::from_mm(head.0))),
            };
            still(head, flow)
        }
        _ => running(state, outcome, setting, outlook, scale, now_ms),
    };
    let ml = |mm: f64| Volume::from_cubic_metres(area.square_metres() * mm / 1000.0);
    let left = Uncertain::new(ml(head.0), ml(head.1));
    let closed = if_closed_now(state, now_ms, Some(left));
    LevelNow {
        now_mm: Some(head.0),
        reference_mm: None,
        if_closed_mm: closed.as_ref().map(|error| error.error.value.ml() / 1000.0 / area.square_metres()),
        surplus_ml: Some(left.value.ml()),
        runoff_ml_per_min: flow,
        breaks_in_s: breaks,
        learnt_from: scale.jobs,
        expansion_ml_per_min: outlook.expansion_ml_per_min,
        if_closed_ml: closed.map(|error| error.error),
        by_ledger: false,
        unknown: "",
    }
}

/// What runs over the edge at a head, mL/min.
fn over(state: &State, head: Length) -> Option<f64> {
    let edge = closing::edge(state, state.last_reading()?.temp_c)?;
    edge.flow(head).ok().map(|flow| flow.ml_per_minute())
}

/// What runs over the lip.
struct Running {
    /// mm above the lip, with its standard uncertainty.
    head: (f64, f64),
    /// mL/min.
    flow: Option<f64>,
    /// Seconds from now.
    breaks: Option<[f64; 3]>,
}

/// A full stream: the surplus by the ledger (else the planned one), followed since the plug came out. A stream that is
/// still seen is at least as high as a thin one.
fn running(
    state: &State,
    outcome: &Outcome,
    setting: &Setting,
    outlook: &Outlook,
    scale: Scale,
    now_ms: i64,
) -> Running {
    let thin = closing::edge_head(state, Volumetric::from_ml_per_second(THIN_STREAM));
    let least = thin.map_or(1.0, |head| head.mm());
    let model = || {
        let temp = state.fresh_reading(now_ms)?.temp_c;
        let input = RunOff { scale, ..setup(state, surplus(state, outcome, temp), temp, outlook.rate)? };
        let since = Duration::from_seconds((now_ms - setting.opened_ms).max(0) as f64 / 1000.0);
        let forecast = run_off(&input).ok()?;
        let then = forecast.at(since);
        let breaks = forecast.stream_breaks.map(|b| [b.low, b.best, b.high].map(|end| (end - since).seconds()));
        Some(Running { head: (then.head.mm(), then.head.mm() / 2.0), flow: Some(then.flow.ml_per_minute()), breaks })
    };
    // Nobody knows whether it was right before: the doubt is as large as the head itself.
    model().filter(|now| now.head.0 > least).unwrap_or_else(|| Running {
        head: (least * 1.5, least),
        flow: over(state, Length::from_mm(least * 1.5)),
        breaks: None,
    })
}
