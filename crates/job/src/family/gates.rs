//! Gates that follow from the entry conditions of a step.

use quantity::Angle;
use sheet::{Conditions, EngineNeed, Level, Renewal, Role};

use crate::gate::Gate;
use crate::state::State;

/// What is missing of a step's conditions.
pub fn entry(state: &State, conditions: &Conditions, now_ms: i64, need: &mut impl FnMut(bool, Gate)) {
    let idling = state.idling_since_ms.is_some();
    match conditions.engine {
        EngineNeed::Idling | EngineNeed::Pumping => need(idling, Gate::EngineNotIdling),
        EngineNeed::Off | EngineNeed::Stopped => need(!idling, Gate::EngineNotOff),
        EngineNeed::Any => {}
    }
    if conditions.selector_cycled {
        need(cycled_since_start(state), Gate::SelectorNotCycled);
    }
    if let Some(limit) = conditions.tilt {
        tilt(state, limit, need);
    }
    if let Some(range) = conditions.temperature {
        let believed = state.believed(now_ms);
        need(!believed.is_empty(), Gate::TemperatureUnknown);
        need(believed.iter().all(|reading| reading.temp_c >= range.low), Gate::TooCold);
        need(believed.iter().all(|reading| reading.temp_c <= range.high), Gate::TooHot);
    }
    if conditions.rest.is_some() {
        need(rest_left_ms(state, now_ms) == 0, Gate::NotRested);
    }
}

/// Every range was held since the engine was last started, whether it still idles or was stopped for a reading.
pub fn cycled_since_start(state: &State) -> bool {
    let stopped_to_read = state.sheet.level.engine() == Some(sheet::EngineState::Off);
    let held = state.cycled_ms.zip(state.started_ms).is_some_and(|(cycled, started)| cycled >= started);
    state.cycled || stopped_to_read && held
}

fn tilt(state: &State, limit: Angle, need: &mut impl FnMut(bool, Gate)) {
    match state.tilt {
        None => need(false, Gate::TiltUnknown),
        Some(tilt) => {
            let over = |angle: Angle| angle.degrees().abs() > limit.degrees();
            need(!over(tilt.pitch_deg) && !over(tilt.roll_deg), Gate::TiltTooLarge);
        }
    }
}

/// From when the fluid rests: the last pouring, what was last taken out where a stick, probe or figure must settle again
/// (at an open hole it runs off by itself), and the stop of the engine where it is read with the engine off.
pub fn resting_since_ms(state: &State) -> Option<i64> {
    let level = &state.sheet.level;
    let stopped = state.stopped_ms.filter(|_| level.engine() != Some(sheet::EngineState::Idling));
    let poured = state.poured.iter().map(|item| item.at_ms).max();
    let settles = level.is_read() && !matches!(level, Level::BottomOfHole(_));
    let taken = state.run_off.iter().map(|item| item.at_ms).max().filter(|_| settles);
    poured.into_iter().chain(taken).chain(stopped).max()
}

/// How long it must still rest; zero when it has, or when nothing is asked.
pub fn rest_left_ms(state: &State, now_ms: i64) -> i64 {
    let asked = state.sheet.level.rest().seconds() * 1000.0;
    // Before it began to rest, by a clock that went back, no rest has gone.
    let gone = resting_since_ms(state).map_or(i64::MAX, |since| now_ms.saturating_sub(since).max(0));
    (asked.clamp(0.0, 86_400_000.0) as i64).saturating_sub(gone).max(0)
}

/// True while the unit must not be started: it was drained or came dry, and nothing was poured.
pub fn empty(state: &State) -> bool {
    let dry = matches!(state.sheet.renewal, Renewal::DryFill(_));
    (dry || state.was_drained()) && state.poured.is_empty()
}

/// Both ways of proving the plugs that a circuit has.
pub fn proofs(state: &State, need: &mut impl FnMut(bool, Gate)) {
    let proven = |role: Role| state.with_role(role).is_none() || state.proven(role);
    need(proven(Role::Fill), Gate::FillPlugNotProven);
    need(proven(Role::Level), Gate::LevelPlugNotProven);
}

/// True when the unit is filled and set through one and the same port.
pub fn one_port(state: &State) -> bool {
    matches!(state.sheet.level, Level::FilledUnderPressure(_))
}
