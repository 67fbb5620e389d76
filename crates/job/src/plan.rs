//! What will be done, in which order and why, and what must be on the bench first.

use quantity::{Torque, Volume};
use serde::Serialize;
use sheet::{Conditions, Level, Plug, Renewal, Sheet};

use crate::command::Opening;

pub use sheet::StepKey;

/// What may be chosen before the work.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Choices {
    /// First filling, when the technician wants another than the planned one.
    pub fill: Option<Volume>,
}

/// One step as printed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Step {
    pub key: StepKey,
    /// Which circuit; of a shared step the first one.
    pub circuit: String,
    /// What to do, in the imperative.
    pub verb: String,
    /// Why, or how to know that it is done.
    pub why: String,
    /// Danger, why, what to do.
    pub caution: Option<String>,
    /// Steps that must be behind it.
    pub after: Vec<StepKey>,
    /// Why each of them must be.
    pub because: Vec<String>,
    /// What must hold before it begins.
    pub conditions: Conditions,
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
    /// How far the bit must reach, as printed.
    pub reach: Option<String>,
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
    /// Of the first circuit.
    pub fill: Fill,
    /// Of every circuit, by its id.
    pub fills: Vec<(String, Fill)>,
}

impl Plan {
    /// The volumes of a circuit.
    pub fn fill_of(&self, circuit: &str) -> Fill {
        self.fills.iter().find(|(id, _)| id == circuit).map_or(self.fill, |(_, fill)| *fill)
    }
}

/// Plans a service from its sheet: the sheet's steps in their order, in words.
pub fn plan(sheet: &Sheet, choices: &Choices) -> Plan {
    let circuits: Vec<Sheet> = sheet.circuits().into_iter().filter_map(|id| sheet.of_circuit(id)).collect();
    // A filling that was chosen is that of the first circuit.
    let chosen = |n: usize| if n == 0 { choices.clone() } else { Choices::default() };
    let fills: Vec<(String, Fill)> =
        circuits.iter().enumerate().map(|(n, one)| (one.circuit.0.clone(), fill(one, &chosen(n)))).collect();
    let fill = fills.first().map_or_else(|| fill(sheet, choices), |(_, fill)| *fill);
    let worded = |planned: &sheet::Planned| {
        let n = circuits.iter().position(|one| one.circuit.0 == planned.circuit).unwrap_or(0);
        let (one, (_, fill)) = circuits.get(n).zip(fills.get(n))?;
        Some(crate::step::step(planned, one, fill, circuits.len() > 1))
    };
    Plan {
        steps: sheet.steps.iter().filter_map(worded).collect(),
        bench: bench(sheet),
        torques: sheet.plugs.iter().map(torque_row).collect(),
        cautions: cautions(sheet),
        fill,
        fills,
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

/// First filling = what a drain brings + what filter and pan hold + surplus − what goes in after starting; other ways to
/// renew or to judge state it themselves.
fn fill(sheet: &Sheet, choices: &Choices) -> Fill {
    let mid = |value: &Option<sheet::Sourced<quantity::Span<Volume>>>| {
        value.as_ref().map_or(Volume::from_ml(0.0), sheet::Sourced::mid)
    };
    let capacity = &sheet.capacity;
    // Without a stated drained volume 40 % of the total, the middle of the usual 30–50 % (common practice, no source).
    let drained = capacity.drained.as_ref().map_or(capacity.total.mid() * 0.4, sheet::Sourced::mid);
    let (residue, after, surplus) = (mid(&capacity.residue), mid(&capacity.after_start), sheet.surplus());
    let none = Volume::from_ml(0.0);
    let (first, after) = match (&sheet.renewal, &sheet.level) {
        (Renewal::DryFill(dry), _) => (dry.before_start.mid(), dry.after_start.mid()),
        (Renewal::Exchange(_), _) => ((surplus - after).max(none), after),
        (_, Level::VolumeOnly(by)) => (by.refill.mid(), none),
        (_, Level::SameBack) => (drained, none),
        _ => ((drained + residue + surplus - after).max(none), after),
    };
    Fill {
        first_ml: choices.fill.unwrap_or(first),
        after_start_ml: after,
        surplus_ml: surplus,
        bench_ml: crate::need::need(sheet, None).total_ml,
    }
}

/// A plug's name inside a sentence: “the level plug”.
pub fn the(name: &str) -> String {
    format!("the {}", lowered(name))
}

/// The same with a small first letter.
pub fn lowered(name: &str) -> String {
    let mut letters = name.chars();
    let first = letters.next().map_or_else(String::new, |first| first.to_lowercase().collect());
    format!("{first}{}", letters.as_str())
}

impl TorqueRow {
    /// The bit with its reach: "hexagon 8 mm, reaching 60 mm".
    pub fn bit(&self) -> String {
        match &self.reach {
            Some(reach) => format!("{}, reaching {reach}", self.drive),
            None => self.drive.clone(),
        }
    }
}

fn torque_row(plug: &Plug) -> TorqueRow {
    TorqueRow {
        plug: plug.name.clone(),
        place: plug.place.clone(),
        drive: plug.drive.clone(),
        reach: plug.reach.as_ref().map(|reach| reach.printed.clone()),
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
