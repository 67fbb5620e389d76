//! What is missing for a command: the gates that stand in its way, in any order.

use quantity::Torque;
use sheet::{Level, Renewal, Role, StepKey};

use crate::act::{Refusal, unsealed, untorqued};
use crate::command::Command;
use crate::entry::{Measure, Purpose, When};
use crate::family::{self, renew};
use crate::gate::Gate;
use crate::shelf::same_fluid;
use crate::state::{SettingVerdict, State};

/// The circuit a command speaks of; `None` for what concerns the whole vehicle, and in a unit with one circuit.
///
/// # Errors
/// [`Refusal::Impossible`] when a unit has several circuits and the command names none of them.
pub fn circuit_of(state: &State, command: &Command) -> Result<Option<String>, Refusal> {
    let named = match command {
        Command::ProvePlug { plug, .. }
        | Command::OpenPlug { plug }
        | Command::ClosePlug { plug, .. }
        | Command::TightenPlug { plug, .. }
        | Command::ConfirmSeal { plug } => state.plug(plug).map(|plug| plug.circuit.clone()),
        Command::MeasureDrained(measure)
        | Command::MeasureResidue(measure)
        | Command::Pour(measure)
        | Command::MeasureRunOff(measure)
        | Command::Exchange { fresh: measure, .. } => measure.circuit.clone(),
        Command::ReadDip { of, .. }
        | Command::ReadProbe { of, .. }
        | Command::SeeEdge { of, .. }
        | Command::TakeReadout { of, .. }
        | Command::WeighCan { of, .. }
        | Command::Rest { of }
        | Command::OpenLine { of }
        | Command::CloseLine { of } => of.circuit.clone(),
        Command::Replace { with, .. } => return circuit_of(state, with),
        _ => return Ok(None),
    };
    let circuits = state.sheet.circuits();
    match named {
        Some(id) if circuits.contains(&id.as_str()) => Ok(Some(id)),
        None if circuits.len() == 1 => Ok(None),
        other => Err(Refusal::Impossible {
            what: match other {
                Some(id) => format!("This unit has no circuit “{id}”."),
                None => "This unit has several circuits, and it was not said which one is meant.".to_owned(),
            },
            cure: format!("Name it: circuit={}.", circuits.join(" or circuit=")),
        }),
    }
}

/// The step that a command carries out, as far as its conditions matter.
pub fn step_of(state: &State, command: &Command, now_ms: i64) -> Option<StepKey> {
    Some(match command {
        Command::OpenPlug { plug } if family::runoff::opens_for_preset(state, plug, now_ms) => StepKey::Preset,
        Command::OpenPlug { .. } => StepKey::SetLevel,
        Command::ReadDip { mark: crate::entry::Mark::Cold, .. } => StepKey::ReadCold,
        Command::ReadDip { .. } | Command::ReadProbe { .. } | Command::SeeEdge { .. } | Command::TakeReadout { .. } => {
            StepKey::ReadLevel
        }
        Command::Exchange { .. } => StepKey::Exchange,
        _ => return None,
    })
}

/// Every condition that is missing for this command, in any order. Of a unit with several circuits a command that names
/// one is held against that one, any other against all of them.
pub fn missing_gates(state: &State, command: &Command, now_ms: i64) -> Vec<Gate> {
    let Ok(circuit) = circuit_of(state, command) else { return Vec::new() };
    if state.sheet.further.is_empty() {
        return of_one(state, command, now_ms);
    }
    let Some(id) = circuit else {
        return state.circuits().iter().flat_map(|one| of_one(one, command, now_ms)).collect();
    };
    let mut gates = of_one(&state.seen_by(&id), command, now_ms);
    gates.extend(kept_apart(state, command, &id));
    gates
}

/// Fluids of different circuits never meet: one is open at a time, and the can is named before it is emptied.
fn kept_apart(state: &State, command: &Command, id: &str) -> Vec<Gate> {
    let mut gates = Vec::new();
    let opens = matches!(command, Command::OpenPlug { .. } | Command::OpenLine { .. } | Command::Pour(_));
    let other_open = state.plugs_out().iter().any(|plug| plug.circuit != id)
        || state.lines.iter().any(|line| line.open && line.of.circuit.as_deref() != Some(id));
    if opens && other_open {
        gates.push(Gate::OtherCircuitOpen);
    }
    if let Command::Pour(measure) | Command::Exchange { fresh: measure, .. } = command {
        let takes = |circuit: &str, fluid: &str| {
            let sheet = state.sheet.of_circuit(circuit);
            sheet.is_some_and(|sheet| sheet.fluid.approvals.iter().any(|approved| same_fluid(fluid, approved)))
        };
        match measure.fluid.as_deref() {
            None => gates.push(Gate::FluidUnnamed),
            Some(fluid) if takes(id, fluid) => {}
            Some(fluid) if state.sheet.circuits().iter().any(|other| takes(other, fluid)) => {
                gates.push(Gate::WrongCircuit)
            }
            Some(_) => {}
        }
    }
    gates
}

/// The gates of a unit with one circuit, or of one circuit alone.
fn of_one(state: &State, command: &Command, now_ms: i64) -> Vec<Gate> {
    let mut gates = Vec::new();
    let mut need = |holds: bool, gate: Gate| {
        if !holds {
            gates.push(gate);
        }
    };
    // A plug that is out goes in whatever else ended.
    let after_the_end = matches!(
        command,
        Command::Note { .. }
            | Command::KeepPhoto { .. }
            | Command::Withdraw { .. }
            | Command::Replace { .. }
            | Command::TakeReading { .. }
            | Command::ClosePlug { .. }
            | Command::TightenPlug { .. }
            | Command::ConfirmSeal { .. }
    );
    need(state.ending.is_none() || after_the_end, Gate::JobEnded);
    match command {
        Command::OpenPlug { plug } => {
            need(!state.plug_state(plug).out, Gate::PlugAlreadyOut);
            match purpose(state, plug) {
                Purpose::Fill => {}
                Purpose::Drain => {
                    family::gates::proofs(state, &mut need);
                    need(state.idling_since_ms.is_none(), Gate::EngineNotOff);
                }
                Purpose::Check => {
                    need(!drain_out(state), Gate::DrainPlugOut);
                    need(state.idling_since_ms.is_none(), Gate::EngineNotOff);
                }
                Purpose::Level => level_gates(state, now_ms, &mut need),
            }
        }
        Command::ClosePlug { plug, torque, .. } => {
            need(state.plug_state(plug).out, Gate::PlugAlreadyIn);
            need(torque.is_none_or(|torque| !torque_off(state, plug, torque)), Gate::TorqueOff);
        }
        Command::TightenPlug { plug, torque } => {
            need(!state.plug_state(plug).out, Gate::PlugOut);
            need(!torque_off(state, plug, *torque), Gate::TorqueOff);
        }
        Command::MeasureDrained(_) | Command::MeasureResidue(_) => {
            family::gates::proofs(state, &mut need);
            if matches!((&state.sheet.renewal, command), (Renewal::Extraction(_), Command::MeasureDrained(_))) {
                need(state.idling_since_ms.is_none(), Gate::EngineNotOff);
                need(state.out(Role::Fill), Gate::FillPlugIn);
            }
        }
        Command::Pour(measure) => {
            need(!drain_out(state), Gate::DrainPlugOut);
            need(!renew::line_open(state), Gate::LineOpen);
            need(!matches!(state.sheet.level, Level::SameBack) || !state.drained.is_empty(), Gate::DrainedNotMeasured);
            let in_sight = !family::gates::one_port(state) || state.idling_since_ms.is_some();
            need(in_sight || !state.weighed.is_empty(), Gate::CanNotWeighed);
            approved(state, measure, &mut need);
        }
        Command::WeighCan { when: When::After, .. } => {
            need(!drain_out(state), Gate::DrainPlugOut);
            need(state.out(Role::Fill), Gate::FillPlugIn);
        }
        Command::Exchange { fresh, .. } => {
            renew::gates(state, command, now_ms, &mut need);
            approved(state, fresh, &mut need);
        }
        Command::OpenLine { .. } | Command::CloseLine { .. } => renew::gates(state, command, now_ms, &mut need),
        Command::Rest { .. } => need(family::gates::rest_left_ms(state, now_ms) == 0, Gate::NotRested),
        Command::ReadDip { .. } | Command::ReadProbe { .. } | Command::SeeEdge { .. } | Command::TakeReadout { .. } => {
            need(!drain_out(state), Gate::DrainPlugOut);
            need(!renew::rest_owed(state), Gate::RestNotPoured);
            need(!renew::line_open(state), Gate::LineOpen);
            family::read::gates(state, command, now_ms, &mut need);
        }
        Command::StartEngine => {
            need(state.idling_since_ms.is_none(), Gate::EngineAlreadyIdling);
            need(!drain_out(state), Gate::DrainPlugOut);
            need(!level_out(state), Gate::LevelPlugOut);
            need(!family::gates::empty(state), Gate::NotRefilled);
            need(!state.lost_fluid, Gate::LostFluidNotAdded);
            let pumps = renew::exchange(state).is_some() && !renew::through(state);
            need(pumps || !renew::line_open(state), Gate::LineOpen);
            need(pumps || renew::apart(state).ml().abs() <= renew::most_apart(state), Gate::ExchangeApart);
        }
        Command::StopEngine => need(state.idling_since_ms.is_some(), Gate::EngineAlreadyOff),
        Command::CycleSelector { nobody_underneath } => {
            need(!drain_out(state), Gate::DrainPlugOut);
            need(!level_out(state), Gate::LevelPlugOut);
            need(*nobody_underneath, Gate::SomebodyUnderneath);
            need(state.idling_since_ms.is_some(), Gate::EngineNotIdling);
            need(!renew::rest_owed(state), Gate::RestNotPoured);
            need(!renew::line_open(state), Gate::LineOpen);
        }
        Command::RoadTest => {
            need(!drain_out(state), Gate::DrainPlugOut);
            need(!state.out(Role::Level), Gate::LevelPlugOut);
            need(!state.out(Role::Fill), Gate::FillPlugOut);
            need(!family::gates::empty(state), Gate::NotRefilled);
            need(!renew::rest_owed(state), Gate::RestNotPoured);
            need(!renew::line_open(state), Gate::LineOpen);
        }
        Command::Finish => {
            need(!state.lost_fluid, Gate::LostFluidNotAdded);
            need(state.plugs_out().is_empty(), Gate::PlugOut);
            need(!family::gates::empty(state), Gate::NotRefilled);
            need(!renew::rest_owed(state), Gate::RestNotPoured);
            need(!renew::line_open(state), Gate::LineOpen);
            need(state.level_set(), level_gate(state));
            need(untorqued(state).is_empty(), Gate::TorqueUnrecorded);
            need(unsealed(state).is_empty(), Gate::SealUnconfirmed);
            need(state.leaks_dry == Some(true), Gate::LeaksNotChecked);
        }
        _ => {}
    }
    gates
}

/// How far from the sheet's torque an entered one may be, as a share of it: less than between N·m and lbf·ft (0.74), more than a
/// wrench errs. Judgement.
const TORQUE_APART: f64 = 0.25;

/// True when this torque is nobody's idea of what the sheet asks: a slip of the pen, the wrong unit or the wrong plug.
fn torque_off(state: &State, plug: &str, torque: Torque) -> bool {
    let asked = state.plug(plug).and_then(|plug| plug.torque.as_ref());
    asked.is_some_and(|asked| {
        let (low, high) = (asked.value.low.nm(), asked.value.high.nm());
        torque.nm() < low * (1.0 - TORQUE_APART) || torque.nm() > high * (1.0 + TORQUE_APART)
    })
}

/// Gate 4: what must hold before the level plug comes out to set the level.
fn level_gates(state: &State, now_ms: i64, need: &mut impl FnMut(bool, Gate)) {
    need(!drain_out(state), Gate::DrainPlugOut);
    need(!state.lost_fluid, Gate::LostFluidNotAdded);
    need(!family::gates::empty(state), Gate::NotRefilled);
    need(!renew::rest_owed(state), Gate::RestNotPoured);
    need(!renew::line_open(state), Gate::LineOpen);
    family::runoff::gates(state, now_ms, need);
}

/// What a job whose level is not right misses, in the words of its family.
fn level_gate(state: &State) -> Gate {
    match (state.level_verdict(), &state.sheet.level) {
        (Some(SettingVerdict::PresetOnly), _) => Gate::PresetOnly,
        (Some(_), Level::VolumeOnly(_)) => Gate::VolumeOff,
        (Some(_), Level::SameBack) => Gate::NotAllBack,
        (Some(SettingVerdict::TooLow | SettingVerdict::TooHigh), level) if level.is_read() => Gate::LevelOff,
        _ => Gate::LevelNotSet,
    }
}

/// A fluid that was named must be an approved one.
fn approved(state: &State, measure: &Measure, need: &mut impl FnMut(bool, Gate)) {
    let Some(fluid) = &measure.fluid else { return };
    need(state.sheet.fluid.approvals.iter().any(|approved| same_fluid(fluid, approved)), Gate::FluidNotApproved);
}

/// The level plug is out to set the level; a hole that is open to judge at is another matter.
fn level_out(state: &State) -> bool {
    state.with_role(Role::Level).is_some_and(|plug| {
        let now = state.plug_state(&plug.id);
        now.out && now.purpose != Some(Purpose::Fill)
    })
}
fn drain_out(state: &State) -> bool {
    state.sheet.plugs.iter().any(|plug| {
        let now = state.plug_state(&plug.id);
        now.out && now.purpose == Some(Purpose::Drain)
    })
}

/// What taking this plug out now is for. A plug with the drain and the level role (a standpipe in the drain hole)
/// drains until fluid was poured, and sets the level afterwards.
pub fn purpose(state: &State, plug: &str) -> Purpose {
    let one = state.plug(plug).map(|plug| state.seen_by(&plug.circuit));
    let state = one.as_deref().unwrap_or(state);
    let roles = state.plug(plug).map(|plug| plug.roles.as_slice()).unwrap_or_default();
    let (drain, level) = (roles.contains(&Role::Drain), roles.contains(&Role::Level));
    let fill = roles.contains(&Role::Fill);
    let runs_off = state.sheet.level.runs_off();
    match (drain, level) {
        (true, false) => Purpose::Drain,
        (true, true) if state.poured.is_empty() && state.idling_since_ms.is_none() => Purpose::Drain,
        // One port fills while the engine is off and sets the level while it idles.
        (_, true) if runs_off && fill && state.idling_since_ms.is_none() => Purpose::Fill,
        (_, true) if runs_off => Purpose::Level,
        (_, true) if !fill => Purpose::Check,
        _ => Purpose::Fill,
    }
}
