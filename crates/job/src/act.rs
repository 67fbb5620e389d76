//! A command against a state: entries, or a refusal that names the missing condition and its cure.

use quantity::Angle;
use serde::Serialize;
use sheet::Role;

use crate::command::Command;
use crate::entry::{Fact, Override, Purpose};
use crate::gate::Gate;
use crate::state::State;

/// Why a command wrote nothing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "refused", rename_all = "kebab-case")]
pub enum Refusal {
    /// Conditions are missing. The first in order of precedence leads; the rest follow so that nobody
    /// cures one only to meet the next.
    Gate { gate: Gate, reason: String, cure: String, overridable: bool, also: Vec<Gate> },
    /// The sheet has no such plug.
    NoSuchPlug { plug: String, known: Vec<String> },
    /// A correction names an entry that cannot be corrected.
    NoSuchEntry { entry: u64, why: String },
    /// A value that cannot be: outside what the thing can be at all.
    Impossible { what: String, cure: String },
}

impl Refusal {
    /// Permanent code.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Gate { gate, .. } => gate.code(),
            Self::NoSuchPlug { .. } => "no-such-plug",
            Self::NoSuchEntry { .. } => "no-such-entry",
            Self::Impossible { .. } => "impossible",
        }
    }
    /// What, why and what to do, in that order.
    pub fn message(&self) -> (String, String) {
        match self {
            Self::Gate { reason, cure, .. } => (reason.clone(), cure.clone()),
            Self::NoSuchPlug { plug, known } => {
                (format!("The sheet has no plug “{plug}”."), format!("Plugs of this unit: {}.", known.join(", ")))
            }
            Self::NoSuchEntry { entry, why } => {
                (format!("Entry {entry} cannot be corrected: {why}."), "Look up the number in the log.".to_owned())
            }
            Self::Impossible { what, cure } => (what.clone(), cure.clone()),
        }
    }
}

/// What a command would write.
///
/// `overrides` are gates the technician passes on their own responsibility, each with a typed reason; only those
/// gates that stand in the way and may be overridden are taken, and only those taken are recorded.
///
/// # Errors
/// [`Refusal`], naming the first missing condition in order of precedence.
pub fn act(
    state: &State,
    command: &Command,
    overrides: &[Override],
    now_ms: i64,
) -> Result<(Vec<Fact>, Vec<Override>), Refusal> {
    possible(state, command)?;
    let mut missing = missing_gates(state, command, now_ms);
    missing.sort();
    missing.dedup();
    let (passed, standing): (Vec<Gate>, Vec<Gate>) = missing.into_iter().partition(|gate| {
        gate.text().overridable && overrides.iter().any(|given| given.gate == *gate && !given.reason.trim().is_empty())
    });
    if let Some((first, rest)) = standing.split_first() {
        return Err(Refusal::Gate {
            gate: *first,
            reason: explain(state, command, *first),
            cure: first.text().cure.to_owned(),
            overridable: standing.iter().all(|gate| gate.text().overridable),
            also: rest.to_vec(),
        });
    }
    let taken = overrides.iter().filter(|given| passed.contains(&given.gate)).cloned().collect();
    Ok((facts(state, command)?, taken))
}

/// The gate's reason, with this job's figures where they help.
fn explain(state: &State, command: &Command, gate: Gate) -> String {
    let text = gate.text().reason;
    let plugs = || state.plugs_out().iter().map(|plug| plug.name.as_str()).collect::<Vec<_>>().join(", ");
    match gate {
        Gate::PlugOut => format!("Still out: {}.", plugs()),
        Gate::TorqueUnrecorded => format!("{text} ({})", untorqued(state).join(", ")),
        Gate::SealUnconfirmed => format!("{text} ({})", unsealed(state).join(", ")),
        Gate::TooCold | Gate::TooHot => match state.last_reading().zip(state.sheet.window_span()) {
            Some((reading, window)) => format!(
                "The fluid reads {:.0} °C and the window is {:.1}–{:.1} °C. {text}",
                reading.temp_c.celsius(),
                window.low.celsius(),
                window.high.celsius()
            ),
            None => text.to_owned(),
        },
        Gate::PlugAlreadyOut | Gate::PlugAlreadyIn => match command {
            Command::OpenPlug { plug } | Command::ClosePlug { plug, .. } => format!("{text} ({plug})"),
            _ => text.to_owned(),
        },
        _ => text.to_owned(),
    }
}

/// Names of plugs that were out and have no torque on record, though the sheet gives one.
pub fn untorqued(state: &State) -> Vec<&str> {
    disturbed(state).filter(|(plug, now)| plug.torque.is_some() && now.torque_nm.is_none()).map(named).collect()
}

/// Names of plugs that were out, have a single-use seal, and no new one on record.
pub fn unsealed(state: &State) -> Vec<&str> {
    disturbed(state)
        .filter(|(plug, now)| plug.seal.as_ref().is_some_and(|seal| seal.single_use) && !now.new_seal)
        .map(named)
        .collect()
}

fn disturbed(state: &State) -> impl Iterator<Item = (&sheet::Plug, crate::state::PlugState)> {
    state.sheet.plugs.iter().map(|plug| (plug, state.plug_state(&plug.id))).filter(|(_, now)| now.disturbed && !now.out)
}

fn named((plug, _): (&sheet::Plug, crate::state::PlugState)) -> &str {
    &plug.name
}

/// Checks that do not depend on the order of work: does the plug exist, can the figure be at all.
fn possible(state: &State, command: &Command) -> Result<(), Refusal> {
    let plug = match command {
        Command::ProvePlug { plug, .. }
        | Command::OpenPlug { plug }
        | Command::ClosePlug { plug, .. }
        | Command::TightenPlug { plug, .. }
        | Command::ConfirmSeal { plug } => Some(plug),
        _ => None,
    };
    if let Some(plug) = plug.filter(|plug| state.plug(plug).is_none()) {
        let known = state.sheet.plugs.iter().map(|plug| plug.id.clone()).collect();
        return Err(Refusal::NoSuchPlug { plug: plug.clone(), known });
    }
    let impossible = |what: String, cure: &str| Err(Refusal::Impossible { what, cure: cure.to_owned() });
    match command {
        Command::TakeReading { temp, .. } if !(-60.0..=200.0).contains(&temp.celsius()) => impossible(
            format!("A fluid temperature of {} °C cannot be.", temp.celsius()),
            "Check the unit (°C or °F) and the parameter on the reader.",
        ),
        Command::MeasureDrained(measure)
        | Command::MeasureResidue(measure)
        | Command::Pour(measure)
        | Command::MeasureRunOff(measure)
            if !(0.0..=60_000.0).contains(&measure.volume_ml.ml())
                || !(-60.0..=200.0).contains(&measure.temp_c.celsius()) =>
        {
            impossible(
                format!("{} mL at {} °C cannot be.", measure.volume_ml.ml(), measure.temp_c.celsius()),
                "Give a volume up to 60 L and its temperature, each with its unit.",
            )
        }
        Command::LevelVehicle { pitch, roll } if !(pitch.degrees().abs() <= 30.0 && roll.degrees().abs() <= 30.0) => {
            impossible("A vehicle does not stand more than 30° off level.".to_owned(), "Give both angles in degrees.")
        }
        Command::ClosePlug { torque: Some(torque), .. } | Command::TightenPlug { torque, .. }
            if !(0.1..=400.0).contains(&torque.nm()) =>
        {
            impossible(format!("{} N·m is no torque for a plug.", torque.nm()), "Check the figure and its unit.")
        }
        Command::Look { drops_per_min: Some(rate), .. } if !(0.0..=6000.0).contains(rate) => {
            impossible(format!("{rate} drops a minute cannot be counted."), "Tap once a drop for some seconds.")
        }
        Command::TickBench { item, .. } => {
            let keys = crate::bench::keys(&state.sheet);
            if keys.iter().any(|(key, _)| key == item) {
                return Ok(());
            }
            let known: Vec<&str> = keys.iter().map(|(key, _)| key.as_str()).collect();
            impossible(format!("“{item}” is not on the bench list."), &format!("What is on it: {}.", known.join(", ")))
        }
        _ => Ok(()),
    }
}

/// Every condition that is missing for this command, in any order.
pub fn missing_gates(state: &State, command: &Command, now_ms: i64) -> Vec<Gate> {
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
                    need(state.proven(Role::Fill), Gate::FillPlugNotProven);
                    need(state.proven(Role::Level), Gate::LevelPlugNotProven);
                    need(state.idling_since_ms.is_none(), Gate::EngineNotOff);
                }
                Purpose::Level => level_gates(state, now_ms, &mut need),
            }
        }
        Command::ClosePlug { plug, .. } => need(state.plug_state(plug).out, Gate::PlugAlreadyIn),
        Command::TightenPlug { plug, .. } => need(!state.plug_state(plug).out, Gate::PlugOut),
        Command::MeasureDrained(_) | Command::MeasureResidue(_) => {
            need(state.proven(Role::Fill), Gate::FillPlugNotProven);
            need(state.proven(Role::Level), Gate::LevelPlugNotProven);
        }
        Command::Pour(_) => need(!drain_out(state), Gate::DrainPlugOut),
        Command::StartEngine => {
            need(state.idling_since_ms.is_none(), Gate::EngineAlreadyIdling);
            need(!drain_out(state), Gate::DrainPlugOut);
            need(!state.out(Role::Level), Gate::LevelPlugOut);
            need(!state.was_drained() || !state.poured.is_empty(), Gate::NotRefilled);
            need(!state.lost_fluid, Gate::LostFluidNotAdded);
        }
        Command::StopEngine => need(state.idling_since_ms.is_some(), Gate::EngineAlreadyOff),
        Command::CycleSelector { nobody_underneath } => {
            need(!drain_out(state), Gate::DrainPlugOut);
            need(!state.out(Role::Level), Gate::LevelPlugOut);
            need(*nobody_underneath, Gate::SomebodyUnderneath);
            need(state.idling_since_ms.is_some(), Gate::EngineNotIdling);
        }
        Command::RoadTest => {
            need(!drain_out(state), Gate::DrainPlugOut);
            need(!state.out(Role::Level), Gate::LevelPlugOut);
            need(!state.out(Role::Fill), Gate::FillPlugOut);
            need(!state.was_drained() || !state.poured.is_empty(), Gate::NotRefilled);
        }
        Command::Finish => {
            need(!state.lost_fluid, Gate::LostFluidNotAdded);
            need(state.plugs_out().is_empty(), Gate::PlugOut);
            need(!state.was_drained() || !state.poured.is_empty(), Gate::NotRefilled);
            need(state.level_set(), Gate::LevelNotSet);
            need(untorqued(state).is_empty(), Gate::TorqueUnrecorded);
            need(unsealed(state).is_empty(), Gate::SealUnconfirmed);
            need(state.leaks_dry == Some(true), Gate::LeaksNotChecked);
        }
        _ => {}
    }
    gates
}

/// Gate 4: what must hold before the level plug comes out to set the level.
fn level_gates(state: &State, now_ms: i64, need: &mut impl FnMut(bool, Gate)) {
    need(!drain_out(state), Gate::DrainPlugOut);
    need(!state.lost_fluid, Gate::LostFluidNotAdded);
    need(!state.was_drained() || !state.poured.is_empty(), Gate::NotRefilled);
    need(state.idling_since_ms.is_some(), Gate::EngineNotIdling);
    need(state.cycled, Gate::SelectorNotCycled);
    match state.tilt {
        None => need(false, Gate::TiltUnknown),
        Some(tilt) => {
            let limit = state.sheet.limits.tilt.value.high;
            let over = |angle: Angle| angle.degrees().abs() > limit.degrees();
            need(!over(tilt.pitch_deg) && !over(tilt.roll_deg), Gate::TiltTooLarge);
        }
    }
    match state.fresh_reading(now_ms).zip(state.sheet.window_span()) {
        None => need(false, Gate::TemperatureUnknown),
        Some((reading, window)) => {
            need(reading.temp_c >= window.low, Gate::TooCold);
            need(reading.temp_c <= window.high, Gate::TooHot);
        }
    }
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
    let roles = state.plug(plug).map(|plug| plug.roles.as_slice()).unwrap_or_default();
    let (drain, level) = (roles.contains(&Role::Drain), roles.contains(&Role::Level));
    match (drain, level) {
        (true, false) => Purpose::Drain,
        (true, true) if state.poured.is_empty() && state.idling_since_ms.is_none() => Purpose::Drain,
        (_, true) => Purpose::Level,
        (false, false) => Purpose::Fill,
    }
}

fn facts(state: &State, command: &Command) -> Result<Vec<Fact>, Refusal> {
    Ok(match command.clone() {
        Command::LevelVehicle { pitch, roll } => vec![Fact::VehicleLevelled { pitch_deg: pitch, roll_deg: roll }],
        Command::ProvePlug { plug, turned: true } => vec![Fact::PlugProven { plug }],
        Command::ProvePlug { plug, turned: false } => stuck(state, plug),
        Command::OpenPlug { plug } => {
            let purpose = purpose(state, &plug);
            vec![Fact::PlugOpened { plug, purpose }]
        }
        Command::ClosePlug { plug, torque, new_seal } => vec![Fact::PlugClosed { plug, torque_nm: torque, new_seal }],
        Command::TightenPlug { plug, torque } => vec![Fact::PlugTightened { plug, torque_nm: torque }],
        Command::ConfirmSeal { plug } => vec![Fact::SealConfirmed { plug }],
        Command::MeasureDrained(measure) => vec![Fact::FluidDrained(measure)],
        Command::MeasureResidue(measure) => vec![Fact::ResidueMeasured(measure)],
        Command::Pour(measure) => vec![Fact::FluidPoured(measure)],
        Command::MeasureRunOff(measure) => vec![Fact::RunOffMeasured(measure)],
        Command::StartEngine => vec![Fact::EngineStarted],
        Command::StopEngine => vec![Fact::EngineStopped],
        Command::CycleSelector { .. } => vec![Fact::SelectorCycled],
        Command::TakeReading { temp, source } => vec![Fact::ReadingTaken { temp_c: temp, source }],
        Command::Look { flow, drops_per_min } => {
            if !state.setting_level() {
                return Err(Refusal::Impossible {
                    what: "Run-off can only be seen while the level plug is out.".to_owned(),
                    cure: "Open the level plug first.".to_owned(),
                });
            }
            vec![Fact::RunOffSeen { flow, drops_per_min }]
        }
        Command::CheckLeaks { dry } => vec![Fact::LeaksChecked { dry }],
        Command::RoadTest => vec![Fact::RoadTested],
        Command::Note { text } => vec![Fact::NoteWritten { text }],
        Command::TickBench { item, ready } => vec![Fact::BenchTicked { item, ready }],
        Command::StartCamera => vec![Fact::CameraStarted],
        Command::Withdraw { entry, reason } => {
            correctable(state, entry)?;
            vec![Fact::EntryWithdrawn { entry, reason }]
        }
        Command::Replace { entry, with, reason } => {
            correctable(state, entry)?;
            possible(state, &with)?;
            let with = facts(state, &with)?.into_iter().next().map(Box::new);
            with.map(|with| vec![Fact::EntryReplaced { entry, with, reason }]).unwrap_or_default()
        }
        Command::Finish => vec![Fact::JobFinished],
        Command::Stop { reason } => vec![Fact::JobStopped { reason }],
    })
}

/// A plug that must turn and does not ends the job while the vehicle still drives.
fn stuck(state: &State, plug: String) -> Vec<Fact> {
    let name = state.plug(&plug).map_or_else(|| plug.clone(), |plug| plug.name.clone());
    let mut facts = vec![Fact::PlugStuck { plug }];
    if !state.was_drained() {
        facts.push(Fact::JobStopped {
            reason: format!("{name} does not turn. Nothing was drained: the vehicle still drives."),
        });
    }
    facts
}

fn correctable(state: &State, entry: u64) -> Result<(), Refusal> {
    let refuse = |why: &str| Err(Refusal::NoSuchEntry { entry, why: why.to_owned() });
    match entry {
        0 => refuse("entries are numbered from 1"),
        1 => refuse("it opened the job; open a new job instead"),
        n if n > state.last_seq => refuse(&format!("the log ends at {}", state.last_seq)),
        _ => Ok(()),
    }
}
