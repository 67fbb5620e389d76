//! A command against a state: entries, or a refusal that names the missing condition and its cure.

use crate::command::{Command, Opening};
use crate::decide::{Earlier, standing};
use crate::entry::{Fact, Of, Override, When};
use crate::missing::{circuit_of, missing_gates};
use quantity::print::{self, Units};
use serde::Serialize;

use crate::gate::Gate;
pub use crate::missing::purpose;
use crate::state::{MOST_PHOTOS, State};

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
    let seen = circuit_of(state, command)?;
    let one = seen.as_deref().map_or(std::borrow::Cow::Borrowed(state), |id| state.seen_by(id));
    let one = one.as_ref();
    crate::family::read::possible(one, command)?;
    let taken = passed(missing_gates(state, command, now_ms), overrides, |gate| explain(one, command, gate, now_ms))?;
    Ok((facts(state, command)?, taken))
}

/// Whether a job may be opened: what was found, now or when an earlier job on this vehicle was opened, may say that this is
/// no fluid service. `unit` is the id of the sheet: findings of now take the place of earlier ones of the same unit.
///
/// # Errors
/// [`Refusal`] with what was found, unless the gates are among `overrides`; those taken are given back.
pub fn open(
    opening: &Opening,
    unit: &str,
    earlier: &[Earlier],
    overrides: &[Override],
) -> Result<Vec<Override>, Refusal> {
    let now = opening.found.iter().map(|found| (found.verdict, found.because.join(" ")));
    let before = standing(earlier).into_iter().filter(|one| opening.found.is_none() || one.unit != unit);
    let found: Vec<_> = now.chain(before.map(|one| (one.verdict, one.says()))).collect();
    let gates = found.iter().filter_map(|(verdict, _)| Gate::of_verdict(*verdict)).collect();
    passed(gates, overrides, |gate| {
        let says = found.iter().filter(|(verdict, _)| Gate::of_verdict(*verdict) == Some(gate));
        std::iter::once(gate.text().reason).chain(says.map(|(_, why)| why.as_str())).collect::<Vec<_>>().join(" ")
    })
}

/// The overrides that let a command pass what it misses.
fn passed(
    mut missing: Vec<Gate>,
    overrides: &[Override],
    explain: impl Fn(Gate) -> String,
) -> Result<Vec<Override>, Refusal> {
    missing.sort();
    missing.dedup();
    let (passed, standing): (Vec<Gate>, Vec<Gate>) = missing.into_iter().partition(|gate| {
        gate.text().overridable && overrides.iter().any(|given| given.gate == *gate && !given.reason.trim().is_empty())
    });
    if let Some((first, rest)) = standing.split_first() {
        return Err(Refusal::Gate {
            gate: *first,
            reason: explain(*first),
            cure: first.text().cure.to_owned(),
            overridable: standing.iter().all(|gate| gate.text().overridable),
            also: rest.to_vec(),
        });
    }
    Ok(overrides.iter().filter(|given| passed.contains(&given.gate)).cloned().collect())
}

/// The gate's reason, with this job's figures where they help.
fn explain(state: &State, command: &Command, gate: Gate, now_ms: i64) -> String {
    let text = gate.text().reason;
    let plugs = || state.plugs_out().iter().map(|plug| plug.name.as_str()).collect::<Vec<_>>().join(", ");
    match gate {
        Gate::PlugOut => format!("Still out: {}.", plugs()),
        Gate::TorqueUnrecorded => format!("{text} ({})", untorqued(state).join(", ")),
        Gate::TorqueOff => torques(state, command).map_or_else(
            || text.to_owned(),
            |(entered, asked)| format!("{entered} was entered and the sheet asks for {asked}. {text}"),
        ),
        Gate::SealUnconfirmed => format!("{text} ({})", unsealed(state).join(", ")),
        Gate::TooCold | Gate::TooHot => match outside(state, gate, now_ms).zip(range_of(state, command, now_ms)) {
            Some((reading, range)) => {
                let (low, high) = (range.low.celsius(), range.high.celsius());
                let fluid = reading.temp_c.celsius();
                if matches!(command, Command::OpenPlug { .. }) {
                    format!("The fluid reads {fluid:.0} °C and the window is {low:.1}–{high:.1} °C. {text}")
                } else {
                    format!("The fluid reads {fluid:.0} °C; this holds from {low:.1} to {high:.1} °C.")
                }
            }
            None => text.to_owned(),
        },
        Gate::NotRested => {
            let left = crate::family::gates::rest_left_ms(state, now_ms) as f64 / 1000.0;
            format!("{text} It is over in {:.0} min {:02.0} s.", (left / 60.0).floor(), left % 60.0)
        }
        Gate::LevelOff => match crate::family::read::standing(state)
            .and_then(|read| crate::family::read::against(&state.sheet.level, read))
        {
            Some(read) => {
                let (low, high) = (read.right.low, read.right.high);
                format!("It reads {:.1} {} and {low:.1} to {high:.1} is right.", read.figure, read.unit)
            }
            None => text.to_owned(),
        },
        Gate::ExchangeApart => {
            let apart = crate::family::renew::apart(state).litres();
            let way = if apart < 0.0 { "less" } else { "more" };
            format!("{text} {:.2} L {way} went in than came out.", apart.abs())
        }
        Gate::EngineNotOff if !matches!(command, Command::OpenPlug { .. }) => "The engine idles.".to_owned(),
        Gate::EngineNotIdling if !matches!(command, Command::OpenPlug { .. }) => "The engine is off.".to_owned(),
        Gate::PlugAlreadyOut | Gate::PlugAlreadyIn => match command {
            Command::OpenPlug { plug } | Command::ClosePlug { plug, .. } => format!("{text} ({plug})"),
            _ => text.to_owned(),
        },
        _ => text.to_owned(),
    }
}

/// The reading that a gate speaks of: of several that count the one that is furthest off.
fn outside(state: &State, gate: Gate, now_ms: i64) -> Option<&crate::state::Reading> {
    let by_heat =
        |a: &&crate::state::Reading, b: &&crate::state::Reading| a.temp_c.celsius().total_cmp(&b.temp_c.celsius());
    let believed = state.believed(now_ms).into_iter();
    if gate == Gate::TooCold { believed.min_by(by_heat) } else { believed.max_by(by_heat) }
}

/// The temperature range that a command needs.
fn range_of(state: &State, command: &Command, now_ms: i64) -> Option<quantity::Span<quantity::Temperature>> {
    let key = crate::missing::step_of(state, command, now_ms)?;
    state.sheet.step(key)?.conditions.temperature
}

/// The torque that a command enters and the one that the sheet asks for, in words.
fn torques(state: &State, command: &Command) -> Option<(String, String)> {
    let (Command::ClosePlug { plug, torque: Some(torque), .. } | Command::TightenPlug { plug, torque }) = command
    else {
        return None;
    };
    let asked = state.plug(plug)?.torque.as_ref()?;
    Some((print::torque(*torque, Units::Metric), asked.printed.clone()))
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
        | Command::Exchange { out: measure, .. }
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
        Command::Exchange { fresh, .. } if !(0.0..=60_000.0).contains(&fresh.volume_ml.ml()) => impossible(
            format!("{} mL passed through at once cannot be.", fresh.volume_ml.ml()),
            "Enter each portion by itself.",
        ),
        Command::WeighCan { mass, .. } if !(0.0..=500.0).contains(&mass.kg()) => {
            impossible(format!("A can does not weigh {} kg.", mass.kg()), "Give the weight with its unit.")
        }
        Command::KeepPhoto { digest, .. } if digest.len() != 64 || !digest.bytes().all(|b| b.is_ascii_hexdigit()) => {
            impossible("A photo is named by the 64 digits of its digest.".to_owned(), "Send the picture itself.")
        }
        Command::KeepPhoto { .. } if state.photos.len() >= MOST_PHOTOS => impossible(
            format!("A job keeps up to {MOST_PHOTOS} photos."),
            "Withdraw one that is not needed, under “Other acts”.",
        ),
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
        Command::ReadDip { mark, one, other, of } => vec![Fact::DipRead { mark, one_mm: one, other_mm: other, of }],
        Command::ReadProbe { mm, of } => vec![Fact::ProbeRead { mm, of }],
        Command::SeeEdge { below, runs, of } => vec![Fact::EdgeSeen { below_mm: below, runs, of }],
        Command::TakeReadout { value, of } => vec![Fact::ReadoutTaken { value, of }],
        Command::WeighCan { when, mass, temp, of } => {
            weighable(state, when, mass, &of)?;
            vec![Fact::CanWeighed { when, mass_kg: mass, temp_c: temp, of }]
        }
        Command::Rest { of } => vec![Fact::FluidRested { of }],
        Command::OpenLine { of } => vec![Fact::LineOpened { of }],
        Command::CloseLine { of } => vec![Fact::LineClosed { of }],
        Command::Exchange { out, fresh } => vec![Fact::FluidExchanged { out, fresh }],
        Command::Note { text } => vec![Fact::NoteWritten { text }],
        Command::TickBench { item, ready } => vec![Fact::BenchTicked { item, ready }],
        Command::StartCamera => vec![Fact::CameraStarted],
        Command::KeepPhoto { of, digest, width, height } => vec![Fact::PhotoKept { of, digest, width, height }],
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

/// A second weight without a first, or a can that grew heavier, says nothing about what was pumped in.
fn weighable(state: &State, when: When, mass: quantity::Mass, of: &Of) -> Result<(), Refusal> {
    if when == When::Before {
        return Ok(());
    }
    let refuse = |what: &str, cure: &str| Err(Refusal::Impossible { what: what.to_owned(), cure: cure.to_owned() });
    let before = state.weighed.iter().rev().find(|w| w.of == *of).filter(|w| w.when == When::Before);
    match before {
        None => refuse("The can was not weighed before filling.", "Weigh it with its pump and hose, then fill."),
        Some(before) if before.mass_kg.kg() < mass.kg() => {
            refuse("The can is heavier than before filling.", "Check both weights: the same can, pump and hose?")
        }
        Some(_) => Ok(()),
    }
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
