//! The forecast of a job's window from its own readings.

use job::State;
use job::entry::Fact;
use job::prompt::Outlook;
use physics::warmup::{Forecast, Knowledge, Reaches, ReadingPoint, UnitHistory, forecast, learnt};
use quantity::{Density, Span, Temperature, TemperatureDifference};

/// Readings closer together than this add nothing to a forecast but time.
const SPACING_MS: i64 = 4_000;

/// The forecast from the readings since the engine was started; seconds count from that moment. `None` while the engine
/// is off or nothing was read.
pub fn of_job(state: &State, history: Option<&UnitHistory>) -> Option<Forecast> {
    let since = state.idling_since_ms?;
    let readings = thinned(state.warm_up(), since);
    let known = Knowledge { ambient: air(state), engine_started_s: Some(0.0), unit_history: history.copied() };
    forecast(&readings, state.sheet.window_span()?, &known).ok()
}

/// When a missed unit will have cooled far enough: with the engine idling back to the high edge once it is off, with the
/// engine off to the low edge, where it may be started again. Seconds from `now_ms`: p10, p50, p90.
pub fn back(state: &State, now_ms: i64) -> Option<[f64; 3]> {
    let last = state.last_reading()?;
    let window = state.sheet.window_span()?;
    let idling = state.idling_since_ms.is_some();
    let edge = if idling { window.high } else { window.low };
    if state.ending.is_some() || state.level_set() || state.poured.is_empty() || last.temp_c <= edge {
        return None;
    }
    let since = if idling { last.at_ms } else { state.stopped_ms.unwrap_or(last.at_ms).min(last.at_ms) };
    let first = state.readings.iter().position(|reading| reading.at_ms >= since)?;
    let readings = thinned(&state.readings[first..], since);
    let known = Knowledge { ambient: air(state), engine_started_s: None, unit_history: None };
    let back = forecast(&readings, Span { low: edge, high: edge }, &known).ok()?.back_s?;
    let gone = (now_ms - last.at_ms) as f64 / 1000.0;
    Some([back.p10 - gone, back.p50 - gone, back.p90 - gone])
}

/// The new fluid stood in the workshop, so it is as warm as the air there.
fn air(state: &State) -> Option<Temperature> {
    state.poured.last().map(|pour| pour.measure.temp_c)
}

/// What the warm-ups of a job teach about the next of its kind; `None` when no stretch of it rises far enough.
pub fn taught(log: &[job::Entry], state: &State) -> Option<UnitHistory> {
    let starts = log.iter().filter(|entry| matches!(entry.body.fact, Fact::EngineStarted)).map(|entry| entry.at_ms);
    starts.rev().find_map(|start| {
        let stop = |entry: &&job::Entry| entry.at_ms >= start && matches!(entry.body.fact, Fact::EngineStopped);
        let end = log.iter().find(stop).map_or(i64::MAX, |entry| entry.at_ms);
        let within: Vec<_> =
            state.readings.iter().filter(|reading| (start..=end).contains(&reading.at_ms)).cloned().collect();
        let known = Knowledge { engine_started_s: Some(0.0), ..Knowledge::default() };
        learnt(&thinned(&within, start), &known)
    })
}

/// A reader that sends every second is thinned, keeping the first and the last.
fn thinned(readings: &[job::state::Reading], since: i64) -> Vec<ReadingPoint> {
    let mut kept: Vec<ReadingPoint> = Vec::new();
    let mut last_ms: Option<i64> = None;
    for (index, reading) in readings.iter().enumerate() {
        if index + 1 == readings.len() || last_ms.is_none_or(|last| reading.at_ms - last >= SPACING_MS) {
            last_ms = Some(reading.at_ms);
            kept.push(ReadingPoint {
                elapsed_s: (reading.at_ms - since) as f64 / 1000.0,
                temperature: reading.temp_c,
                quantum: None::<TemperatureDifference>,
                coolant: None,
            });
        }
    }
    kept
}

/// What the prompt needs of a forecast, in seconds from `now_ms`.
pub fn outlook(state: &State, forecast: Option<&Forecast>, now_ms: i64) -> Outlook {
    let (Some(forecast), Some(since)) = (forecast, state.idling_since_ms) else { return Outlook::default() };
    let elapsed = (now_ms - since) as f64 / 1000.0;
    Outlook {
        rate: forecast.rate,
        opens_in_s: forecast.opens_s.map(|opens| opens.p50 - elapsed),
        closes_in_s: forecast.closes_s.map(|closes| closes.p50 - elapsed),
        never: forecast.reaches == Reaches::No,
        expansion_ml_per_min: expansion(state, forecast),
        breaks_by: None,
    }
}

/// Flow at the lip from expansion alone: β·V·dT/dt.
fn expansion(state: &State, forecast: &Forecast) -> Option<f64> {
    let rate = forecast.rate?;
    let beta = physics::expansion::local_coefficient(density15(state), forecast.temperature).ok()?;
    let flow = physics::expansion::expansion_flow(state.sheet.capacity.total.mid(), beta, rate).ok()?;
    Some(flow.ml_per_minute())
}

/// Density at 15 °C from the sheet, or the typical one of a low-viscosity fluid (845 kg/m³, typical, from memory).
pub fn density15(state: &State) -> Density {
    job::outcome::density15(&state.sheet)
}
