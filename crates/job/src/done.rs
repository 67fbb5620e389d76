//! Which steps the log shows done.

use sheet::{EngineState, Renewal, Role, StepKey};

use crate::entry::{Mark, When};
use crate::family::{gates, read, renew, runoff};
use crate::state::{Read, State};
use StepKey as K;

/// True when the log shows the step done in the circuit that `state` looks at; a shared step looks at the whole job.
pub fn done(key: StepKey, state: &State) -> bool {
    let set = state.level_set();
    match key {
        K::LevelVehicle => state.tilt.is_some(),
        K::ProveFill => state.proven(Role::Fill),
        K::ProveLevel => state.proven(Role::Level),
        K::OpenDrain => state.was_drained(),
        K::MeasureDrained | K::Extract => !state.drained.is_empty(),
        K::MeasureResidue => !state.residue.is_empty(),
        K::CloseDrain => state.was_drained() && !state.out(Role::Drain),
        K::OpenFill => state.out(Role::Fill) || !state.poured.is_empty() || closed(state, Role::Fill),
        K::OpenLevel => state.out(Role::Level) || closed(state, Role::Level),
        K::Pour => !state.poured.is_empty(),
        K::MeasureRunOff => {
            let closed = state.settings.last().and_then(|setting| setting.closed_ms);
            closed.is_some_and(|closed| state.run_off.iter().any(|caught| caught.at_ms >= closed))
        }
        K::CloseFill => closed(state, Role::Fill),
        K::CloseLevel | K::ClosePort => closed(state, Role::Level),
        K::Torques => crate::act::untorqued(state).is_empty() && crate::act::unsealed(state).is_empty(),
        K::CheckLeaks => state.leaks_dry == Some(true),
        K::RoadTest => state.road_tested,
        K::Finish => state.ending.is_some(),
        K::OpenLine | K::StartForExchange | K::Exchange | K::StopAfterExchange | K::CloseLine => exchanged(key, state),
        K::WeighBefore => !state.weighed.is_empty() || !state.poured.is_empty(),
        K::WeighAfter => state.weighed.iter().any(|w| w.when == When::After) || !state.poured.is_empty(),
        K::Preset => runoff::preset_done(state) || set,
        K::StartEngine | K::PourAfterStart | K::CycleSelector | K::ReadCold | K::WarmUp | K::StopEngine | K::Rest => {
            set || running(key, state)
        }
        K::ReadLevel | K::SetLevel => set,
    }
}

fn closed(state: &State, role: Role) -> bool {
    state.with_role(role).is_some_and(|plug| {
        let now = state.plug_state(&plug.id);
        now.closed_ms.is_some() && !now.out
    })
}

fn exchanged(key: StepKey, state: &State) -> bool {
    let (through, joined) = (renew::through(state), renew::line_joined(state));
    let idling = state.idling_since_ms.is_some();
    match key {
        K::OpenLine => renew::line_open(state) || joined,
        K::StartForExchange => idling || through,
        K::Exchange => through,
        K::StopAfterExchange => joined || through && !idling,
        _ => joined,
    }
}

/// Steps between the start of the engine and the level.
fn running(key: StepKey, state: &State) -> bool {
    let to_read_off = state.sheet.level.engine() == Some(EngineState::Off);
    let last_pour = state.poured.iter().map(|item| item.at_ms).max();
    // A level that is stated with the engine off has been idled for once it was stopped after the last pouring.
    let stopped_warm = to_read_off
        && state.idling_since_ms.is_none()
        && state.stopped_ms.is_some_and(|stopped| state.started_ms.is_some_and(|s| s < stopped) && warm(state));
    match key {
        K::StartEngine => state.idling_since_ms.is_some() || stopped_warm,
        K::PourAfterStart => match state.sheet.renewal {
            Renewal::DryFill(_) => state.first_started_ms.is_some() && !renew::rest_owed(state),
            _ => state.poured.len() >= 2,
        },
        K::CycleSelector => gates::cycled_since_start(state),
        K::ReadCold => {
            let cold = |read: &crate::state::LevelRead| matches!(read.read, Read::Dip { mark: Mark::Cold, .. });
            state.level_reads.iter().any(cold) || !state.level_reads.is_empty() || warm(state)
        }
        K::WarmUp => state.sheet.level.is_read() && warm(state),
        K::StopEngine => stopped_warm,
        K::Rest => {
            let since = gates::resting_since_ms(state).or(last_pour);
            let rested = state.rested.iter().any(|(_, at)| since.is_none_or(|since| *at >= since));
            rested || read::standing(state).is_some()
        }
        _ => false,
    }
}

/// The last reading lies inside the range of the level.
fn warm(state: &State) -> bool {
    let range = state.sheet.window_span();
    state.last_reading().zip(range).is_some_and(|(reading, range)| range.contains(reading.temp_c))
}
