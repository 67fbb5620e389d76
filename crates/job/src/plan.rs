//! What will be done, in which order and why, and what must be on the bench first.

use quantity::{Torque, Volume};
use serde::Serialize;
use sheet::{Plug, Role, Sheet};

use crate::command::Opening;
use crate::state::State;

/// What may be chosen before the work.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Choices {
    /// First filling, when the technician wants another than the planned one.
    pub fill: Option<Volume>,
}

/// A step of the overflow family, in the order of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepKey {
    LevelVehicle,
    ProveFill,
    ProveLevel,
    OpenDrain,
    MeasureDrained,
    MeasureResidue,
    CloseDrain,
    OpenFill,
    Pour,
    StartEngine,
    PourAfterStart,
    CycleSelector,
    WarmUp,
    SetLevel,
    MeasureRunOff,
    CloseFill,
    Torques,
    CheckLeaks,
    RoadTest,
    Finish,
}

/// One step as printed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Step {
    pub key: StepKey,
    /// What to do, in the imperative.
    pub verb: String,
    /// Why, or how to know that it is done.
    pub why: String,
    /// Danger, why, what to do.
    pub caution: Option<String>,
    /// Steps that must be behind it.
    pub after: Vec<StepKey>,
}

/// Something to have on the bench, whatever the workshop has already.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BenchItem {
    pub what: String,
    pub how_much: String,
}

/// One plug's line of the torque card.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TorqueRow {
    pub plug: String,
    pub place: String,
    pub drive: String,
    pub torque_nm: Option<(Torque, Torque)>,
    pub printed: Option<String>,
    pub seal: Option<String>,
    pub source: Option<String>,
}

/// The volumes of the plan.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fill {
    /// Poured before the engine is started.
    pub first_ml: Volume,
    /// Poured straight after starting.
    pub after_start_ml: Volume,
    /// Of both, what is meant to run off again.
    pub surplus_ml: Volume,
    /// To have on the bench.
    pub bench_ml: Volume,
}

/// The plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    pub steps: Vec<Step>,
    pub bench: Vec<BenchItem>,
    pub torques: Vec<TorqueRow>,
    pub cautions: Vec<String>,
    pub fill: Fill,
}

/// Plans a service of the overflow family from its sheet.
pub fn plan(sheet: &Sheet, choices: &Choices) -> Plan {
    let fill = fill(sheet, choices);
    Plan {
        steps: STEPS.iter().filter(|row| (row.wanted)(sheet)).map(|row| step(row, sheet, &fill)).collect(),
        bench: bench(sheet),
        torques: sheet.plugs.iter().map(torque_row).collect(),
        cautions: cautions(sheet),
        fill,
    }
}

fn bench(sheet: &Sheet) -> Vec<BenchItem> {
    let items = crate::bench(sheet, &crate::Shelf::default(), None).items.into_iter();
    items.map(|item| BenchItem { what: item.what, how_much: item.how_much }).collect()
}

/// The plan of a job that is under way: its own copy of the sheet and its own choices.
pub fn plan_of(opening: &Opening, sheet: &Sheet) -> Plan {
    plan(sheet, &Choices { fill: opening.fill_ml })
}

/// First filling = what a drain brings + what filter and pan hold + surplus − what goes in after starting.
fn fill(sheet: &Sheet, choices: &Choices) -> Fill {
    let mid = |value: &Option<sheet::Sourced<quantity::Span<Volume>>>| {
        value.as_ref().map_or(Volume::from_ml(0.0), sheet::Sourced::mid)
    };
    let capacity = &sheet.capacity;
    // Without a stated drained volume 40 % of the total, the middle of the usual 30–50 % (common practice, no source).
    let drained = capacity.drained.as_ref().map_or(capacity.total.mid() * 0.4, sheet::Sourced::mid);
    let (residue, after, surplus) = (mid(&capacity.residue), mid(&capacity.after_start), sheet.surplus());
    let first = (drained + residue + surplus - after).max(Volume::from_ml(0.0));
    Fill {
        first_ml: choices.fill.unwrap_or(first),
        after_start_ml: after,
        surplus_ml: surplus,
        bench_ml: crate::need::need(sheet, None).total_ml,
    }
}

struct Row {
    key: StepKey,
    wanted: fn(&Sheet) -> bool,
    verb: fn(&Sheet, &Fill) -> String,
    why: &'static str,
    caution: Option<&'static str>,
    after: &'static [StepKey],
}

fn always(_: &Sheet) -> bool {
    true
}

/// A plug's name inside a sentence: “the level plug”.
pub fn the(name: &str) -> String {
    let mut letters = name.chars();
    let first = letters.next().map_or_else(String::new, |first| first.to_lowercase().collect());
    format!("the {first}{}", letters.as_str())
}

fn name(sheet: &Sheet, role: Role) -> String {
    sheet.plug_with(role).map_or_else(|| format!("the {} plug", role.word()), |plug| the(&plug.name))
}

fn with_drive(sheet: &Sheet, role: Role) -> String {
    let named = name(sheet, role);
    sheet.plug_with(role).map_or_else(|| named.clone(), |plug| format!("{named} ({}, {})", plug.drive, plug.place))
}

fn litres(volume: Volume) -> String {
    format!("{:.2} L", volume.litres())
}

use StepKey as K;

/// The order of work. A step stands after those that make it safe or meaningful.
const STEPS: &[Row] = &[
    Row {
        key: K::LevelVehicle,
        wanted: always,
        verb: |sheet, _| format!("Set the vehicle level, within {:.1}° both ways", sheet.tilt_limit().degrees()),
        why: "Tilt moves the surface at the standpipe; one degree is worth more than any thermometer error.",
        caution: Some(
            "A vehicle that slips off its support kills. Stands on firm ground, wheels chocked, push it before you go under.",
        ),
        after: &[],
    },
    Row {
        key: K::ProveFill,
        wanted: always,
        verb: |sheet, _| format!("Show that it turns: {}", with_drive(sheet, Role::Fill)),
        why: "Loosen a little, snug again. If it does not turn, nothing is drained and the vehicle still drives.",
        caution: Some(
            "Exhaust and unit burn for an hour after a drive. Sleeves and gloves, and keep clear of the pipe.",
        ),
        after: &[],
    },
    Row {
        key: K::ProveLevel,
        wanted: always,
        verb: |sheet, _| format!("Show that it turns: {}", with_drive(sheet, Role::Level)),
        why: "The level is set through it. Loosen a little, snug again.",
        caution: None,
        after: &[],
    },
    Row {
        key: K::OpenDrain,
        wanted: always,
        verb: |sheet, _| format!("Engine off. Open {} and let it drain", with_drive(sheet, Role::Drain)),
        why: "Let it run until it drips slowly; catch everything, it will be measured. Milky fluid, or metal to pick up, is a stop.",
        caution: Some("Hot fluid scalds, and it falls on the face. Goggles, gloves, and stand to the side."),
        after: &[K::ProveFill, K::ProveLevel],
    },
    Row {
        key: K::MeasureDrained,
        wanted: always,
        verb: |_, _| "Measure what came out, with its temperature".to_owned(),
        why: "Look at it first: milky or pink, or metal that can be picked up, ends the service here. Volume and temperature say how much was in the unit as found.",
        caution: Some(
            "Used fluid harms skin and ground water. Gloves; a closed container labelled as used oil; local rules come first.",
        ),
        after: &[K::OpenDrain],
    },
    Row {
        key: K::MeasureResidue,
        wanted: |sheet| sheet.filter.is_some() || sheet.capacity.residue.is_some(),
        verb: |sheet, _| match &sheet.filter {
            Some(filter) => format!("Change the filter: {filter}. Measure or estimate what it and the pan held"),
            None => "Measure or estimate what filter and pan held".to_owned(),
        },
        why: "It neither drains nor shows, and the ledger needs it. Not opened: enter 0.",
        caution: None,
        after: &[K::OpenDrain],
    },
    Row {
        key: K::CloseDrain,
        wanted: always,
        verb: |sheet, _| format!("Put in {}", with_torque(sheet, Role::Drain)),
        why: "Before anything is poured.",
        caution: None,
        after: &[K::MeasureDrained],
    },
    Row {
        key: K::OpenFill,
        wanted: always,
        verb: |sheet, _| format!("Open {}", with_drive(sheet, Role::Fill)),
        why: "It also lets air in while fluid runs off later.",
        caution: None,
        after: &[K::CloseDrain],
    },
    Row {
        key: K::Pour,
        wanted: always,
        verb: |_, fill| format!("Pour {}", litres(fill.first_ml)),
        why: "What came out, plus the surplus that will run off. Enter what really went in.",
        caution: Some(
            "The wrong fluid destroys the unit. Only fluid with the stated approval: the same colour does not mean the same fluid.",
        ),
        after: &[K::CloseDrain],
    },
    Row {
        key: K::StartEngine,
        wanted: always,
        verb: |_, _| "Start the engine and leave it idling".to_owned(),
        why: "From here until the level plug is in, it stays running.",
        caution: Some(
            "Exhaust gas kills without warning. Outdoors or with extraction; an open door is not ventilation.",
        ),
        after: &[K::Pour, K::CloseDrain],
    },
    Row {
        key: K::PourAfterStart,
        wanted: |sheet| sheet.capacity.after_start.is_some(),
        verb: |_, fill| format!("Pour another {} at once", litres(fill.after_start_ml)),
        why: "The pump has just emptied the sump into converter and cooler.",
        caution: None,
        after: &[K::StartEngine],
    },
    Row {
        key: K::CycleSelector,
        wanted: always,
        verb: |sheet, _| {
            sheet.selector.as_ref().map_or_else(String::new, |selector| {
                format!(
                    "Hold each range {:.0} s: {}; then back to {}",
                    selector.hold.seconds(),
                    selector.positions.join(" "),
                    selector.rest_in
                )
            })
        },
        why: "Fills every clutch circuit; otherwise 100–300 mL hide there (common practice).",
        caution: Some("The vehicle can move when a range is engaged. Nobody underneath, foot on the brake."),
        after: &[K::StartEngine],
    },
    Row {
        key: K::WarmUp,
        wanted: always,
        verb: |sheet, _| format!("Wait for {}. Bit, catch pan and new seal in hand", crate::window::words(sheet)),
        why: "Read the fluid temperature every minute or so; three readings give a forecast.",
        caution: None,
        after: &[K::CycleSelector],
    },
    Row {
        key: K::SetLevel,
        wanted: always,
        verb: |sheet, _| {
            format!("Inside the window open {}; close it when the stream breaks to drops", name(sheet, Role::Level))
        },
        why: "A drip that goes on is expansion, not surplus: never wait for dry.",
        caution: Some(
            "Hot fluid overhead, hot exhaust, engine running. Goggles, gloves, sleeves; nothing loose near moving parts.",
        ),
        after: &[K::WarmUp, K::LevelVehicle, K::CycleSelector],
    },
    Row {
        key: K::MeasureRunOff,
        wanted: always,
        verb: |_, _| "Measure what ran off, with its temperature".to_owned(),
        why: "It closes the ledger.",
        caution: None,
        after: &[K::SetLevel],
    },
    Row {
        key: K::CloseFill,
        wanted: always,
        verb: |sheet, _| format!("Put in {}", with_torque(sheet, Role::Fill)),
        why: "Before the vehicle moves.",
        caution: None,
        after: &[K::SetLevel],
    },
    Row {
        key: K::Torques,
        wanted: always,
        verb: |_, _| "Record every torque and every new seal".to_owned(),
        why: "What is not on record was not done.",
        caution: None,
        after: &[K::CloseFill],
    },
    Row {
        key: K::CheckLeaks,
        wanted: always,
        verb: |_, _| "Wipe every plug, look again after a minute of idling".to_owned(),
        why: "A leak found here costs a rag; found later, a unit.",
        caution: None,
        after: &[K::CloseFill],
    },
    Row {
        key: K::RoadTest,
        wanted: always,
        verb: |_, _| "Drive it through all gears, then look for leaks again".to_owned(),
        why: "Shift feel and a dry underside are the customer's proof.",
        caution: None,
        after: &[K::CheckLeaks],
    },
    Row {
        key: K::Finish,
        wanted: always,
        verb: |_, _| "Finish the job and print the proof sheet".to_owned(),
        why: "After this the record is closed.",
        caution: None,
        after: &[K::CloseFill, K::Torques, K::CheckLeaks],
    },
];

fn step(row: &Row, sheet: &Sheet, fill: &Fill) -> Step {
    Step {
        key: row.key,
        verb: (row.verb)(sheet, fill),
        why: row.why.to_owned(),
        caution: row.caution.map(str::to_owned),
        after: row.after.to_vec(),
    }
}

fn with_torque(sheet: &Sheet, role: Role) -> String {
    let torque = sheet.plug_with(role).and_then(|plug| plug.torque.as_ref());
    let seal = sheet.plug_with(role).and_then(|plug| plug.seal.as_ref()).is_some_and(|seal| seal.single_use);
    match torque {
        Some(torque) if seal => format!("{} with a new seal, {}", name(sheet, role), torque.printed),
        Some(torque) => format!("{}, {}", name(sheet, role), torque.printed),
        None => name(sheet, role),
    }
}

impl StepKey {
    /// True when the log shows this step done.
    pub fn done(self, state: &State) -> bool {
        let set = state.level_set();
        let since = state.idling_since_ms;
        match self {
            K::LevelVehicle => state.tilt.is_some(),
            K::ProveFill => state.proven(Role::Fill),
            K::ProveLevel => state.proven(Role::Level),
            K::OpenDrain => state.was_drained(),
            K::MeasureDrained => !state.drained.is_empty(),
            K::MeasureResidue => !state.residue.is_empty(),
            K::CloseDrain => state.was_drained() && !state.out(Role::Drain),
            K::OpenFill => state.out(Role::Fill) || !state.poured.is_empty(),
            K::Pour => !state.poured.is_empty(),
            K::StartEngine => since.is_some() || set,
            K::PourAfterStart => set || state.poured.len() >= 2,
            K::CycleSelector => state.cycled || set,
            K::WarmUp | K::SetLevel => set,
            K::MeasureRunOff => {
                let closed = state.settings.last().and_then(|setting| setting.closed_ms);
                closed.is_some_and(|closed| state.run_off.iter().any(|caught| caught.at_ms >= closed))
            }
            K::CloseFill => state.plug_state(&id(state, Role::Fill)).closed_ms.is_some() && !state.out(Role::Fill),
            K::Torques => crate::act::untorqued(state).is_empty() && crate::act::unsealed(state).is_empty(),
            K::CheckLeaks => state.leaks_dry == Some(true),
            K::RoadTest => state.road_tested,
            K::Finish => state.ending.is_some(),
        }
    }
}

fn id(state: &State, role: Role) -> String {
    state.with_role(role).map(|plug| plug.id.clone()).unwrap_or_default()
}

fn torque_row(plug: &Plug) -> TorqueRow {
    TorqueRow {
        plug: plug.name.clone(),
        place: plug.place.clone(),
        drive: plug.drive.clone(),
        torque_nm: plug.torque.as_ref().map(|torque| (torque.value.low, torque.value.high)),
        printed: plug.torque.as_ref().map(|torque| torque.printed.clone()),
        seal: plug
            .seal
            .as_ref()
            .map(|seal| format!("{}{}", seal.kind, if seal.single_use { ", always new" } else { "" })),
        source: plug.torque.as_ref().map(|torque| torque.source.clone()),
    }
}

/// Cautions of the sheet and its plugs, then the ones that hold for every job.
fn cautions(sheet: &Sheet) -> Vec<String> {
    let mut all = sheet.cautions.clone();
    all.extend(
        sheet.plugs.iter().filter_map(|plug| plug.hazard.as_ref().map(|hazard| format!("{}: {hazard}", plug.name))),
    );
    all.extend(sheet.fluid.warning.clone());
    all.push("High-voltage vehicles need isolation by someone licensed before any work underneath.".to_owned());
    all.push(
        "The maker's figures, local rules and your own judgement come first; this tool computes from what you entered."
            .to_owned(),
    );
    all
}
