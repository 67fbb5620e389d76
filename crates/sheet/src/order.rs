//! The order of work: every step of a sheet in an order that satisfies its entry conditions, with the reasons.

use crate::step::{ROWS, Row, View};
use crate::{After, EngineNeed, Planned, Sheet, StepKey};
use StepKey as K;
use std::collections::BTreeSet;

/// Steps that wait for each other in a circle: there is no order of work.
#[derive(Debug, Clone, PartialEq)]
pub struct Cycle {
    /// Each step waits for the next one, the last for the first.
    pub steps: Vec<(StepKey, String)>,
    /// Why each waits.
    pub why: Vec<String>,
}

impl std::fmt::Display for Cycle {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let next = self.steps.iter().skip(1).chain(self.steps.first());
        for (n, ((step, _), why)) in next.zip(&self.why).enumerate() {
            let from = self.steps.first().filter(|_| n == 0).map_or(", which", |(first, _)| first.word());
            write!(f, "{from} waits for {} ({why})", step.word())?;
        }
        Ok(())
    }
}

struct Node<'a> {
    row: &'a Row,
    circuit: usize,
    engine: EngineNeed,
    planned: Planned,
}

/// Every step of a sheet in an order that satisfies all conditions.
///
/// Among steps that may come next, the one that stands first in the circuit and the step table comes first, so the same
/// sheet always gives the same order.
///
/// # Errors
/// [`Cycle`] when steps wait for each other.
pub fn ordered(sheet: &Sheet) -> Result<Vec<Planned>, Cycle> {
    let views = View::all(sheet);
    let mut nodes = nodes(&views);
    for at in 0..nodes.len() {
        let mut after = fixed(&nodes, at, &views);
        after.extend(conditional(&nodes, at));
        after.extend(one_circuit_at_a_time(&nodes, at));
        after.extend(of_the_sheet(sheet, &nodes, at));
        let mut seen = BTreeSet::new();
        after.retain(|a| seen.insert((a.circuit.clone(), a.step)));
        nodes[at].planned.after = after;
    }
    sorted(nodes)
}

fn nodes<'a>(views: &[View<'_>]) -> Vec<Node<'a>> {
    let mut nodes = Vec::new();
    for (circuit, view) in views.iter().enumerate() {
        for row in ROWS.iter().filter(|row| (row.wanted)(view) && (circuit == 0 || !row.key.is_shared())) {
            let conditions = row.conditions(view);
            let planned = Planned { key: row.key, circuit: view.id.to_owned(), conditions, after: Vec::new() };
            nodes.push(Node { row, circuit, engine: planned.conditions.engine, planned });
        }
    }
    nodes
}

fn after(node: &Node<'_>, why: impl Into<String>) -> After {
    After { step: node.planned.key, circuit: node.planned.circuit.clone(), why: why.into() }
}

/// What the table asks for. A shared step looks at every circuit.
fn fixed(nodes: &[Node<'_>], at: usize, views: &[View<'_>]) -> Vec<After> {
    let me = &nodes[at];
    let every = me.planned.key.is_shared() && views.len() > 1;
    let mut found = Vec::new();
    for (step, why) in me.row.after {
        let earlier = nodes
            .iter()
            .filter(|n| n.planned.key == *step && (every || n.circuit == me.circuit || n.planned.key.is_shared()));
        found.extend(earlier.map(|n| after(n, *why)));
    }
    found
}

/// What follows from the entry conditions: whatever brings a condition about stands before what needs it.
fn conditional(nodes: &[Node<'_>], at: usize) -> Vec<After> {
    let me = &nodes[at];
    let conditions = &me.planned.conditions;
    let mut found = Vec::new();
    let mut need = |key: StepKey, why: &str| {
        let bringer = nodes.iter().find(|n| n.planned.key == key && (n.circuit == me.circuit || key.is_shared()));
        if let Some(bringer) = bringer.filter(|n| n.planned.key != me.planned.key) {
            found.push(after(bringer, why));
        }
    };
    match conditions.engine {
        EngineNeed::Idling => need(K::StartEngine, "the engine must idle"),
        EngineNeed::Stopped => need(K::StopEngine, "the engine must be off again"),
        EngineNeed::Pumping => need(K::StartForExchange, "the engine must idle"),
        EngineNeed::Any | EngineNeed::Off => {}
    }
    if conditions.selector_cycled {
        need(K::CycleSelector, "every range must have been held");
    }
    if conditions.temperature.is_some() && me.row.warm {
        need(K::WarmUp, "the fluid must be inside its range");
    }
    if conditions.tilt.is_some() {
        need(K::LevelVehicle, "the tilt must be known and small");
    }
    if conditions.rest.is_some() {
        need(K::Rest, "the fluid must have rested");
    }
    if me.planned.key == K::StartEngine {
        let off = nodes.iter().filter(|n| n.circuit == me.circuit && n.engine == EngineNeed::Off);
        found.extend(off.map(|n| after(n, "it needs the engine off")));
    }
    if me.planned.key == K::StopEngine {
        let idling = nodes
            .iter()
            .filter(|n| n.circuit == me.circuit && n.engine == EngineNeed::Idling && n.planned.key != K::StopEngine);
        found.extend(idling.map(|n| after(n, "it needs the engine idling")));
    }
    found
}

/// Of several circuits each is shown to open before any is, and each is closed before the next one is opened: then no
/// fluid can be poured into the wrong one.
fn one_circuit_at_a_time(nodes: &[Node<'_>], at: usize) -> Vec<After> {
    const OPENS: [StepKey; 5] = [K::OpenLine, K::OpenDrain, K::OpenFill, K::OpenLevel, K::Extract];
    const CLOSES: [StepKey; 5] = [K::CloseFill, K::CloseLevel, K::ClosePort, K::SetLevel, K::ReadLevel];
    let me = &nodes[at];
    let mut found = Vec::new();
    if OPENS.contains(&me.planned.key) {
        let proofs =
            nodes.iter().filter(|n| n.circuit != me.circuit && matches!(n.planned.key, K::ProveFill | K::ProveLevel));
        found.extend(proofs.map(|n| after(n, "what will be needed later must turn before anything is drained")));
        let closing = nodes.iter().filter(|n| n.circuit + 1 == me.circuit && CLOSES.contains(&n.planned.key));
        found.extend(
            closing.map(|n| after(n, "one circuit is closed before the next is opened, so that fluids never mix")),
        );
    }
    found
}

fn of_the_sheet(sheet: &Sheet, nodes: &[Node<'_>], at: usize) -> Vec<After> {
    let me = &nodes[at];
    let rules = sheet
        .rules
        .iter()
        .filter(|r| r.step == me.planned.key && (me.planned.key.is_shared() || r.circuit == me.planned.circuit));
    rules
        .flat_map(|rule| {
            let earlier = nodes.iter().filter(|n| {
                rule.after.contains(&n.planned.key) && (n.planned.key.is_shared() || n.planned.circuit == rule.circuit)
            });
            earlier.map(|n| after(n, format!("the sheet says: {}", rule.why))).collect::<Vec<_>>()
        })
        .collect()
}

fn sorted(nodes: Vec<Node<'_>>) -> Result<Vec<Planned>, Cycle> {
    let late = |key: StepKey| key.is_shared() && key != K::LevelVehicle;
    let mut left: Vec<Planned> = Vec::with_capacity(nodes.len());
    // Nodes were made circuit by circuit in the order of the table; shared steps of the end go behind all circuits.
    left.extend(nodes.iter().filter(|n| !late(n.planned.key)).map(|n| n.planned.clone()));
    left.extend(nodes.iter().filter(|n| late(n.planned.key)).map(|n| n.planned.clone()));
    let mut done: Vec<Planned> = Vec::with_capacity(left.len());
    while !left.is_empty() {
        let waits = |step: &Planned| {
            step.after.iter().any(|a| left.iter().any(|other| other.key == a.step && other.circuit == a.circuit))
        };
        let Some(next) = left.iter().position(|step| !waits(step)) else { return Err(cycle(&left)) };
        done.push(left.remove(next));
    }
    Ok(done)
}

/// A circle among steps each of which waits for another one of them.
fn cycle(left: &[Planned]) -> Cycle {
    let waits_for = |at: usize| {
        left[at].after.iter().find_map(|a| {
            left.iter().position(|other| other.key == a.step && other.circuit == a.circuit).map(|n| (n, a.why.clone()))
        })
    };
    let mut path: Vec<(usize, String)> = Vec::new();
    let mut at = 0;
    while !path.iter().any(|(seen, _)| *seen == at) {
        let Some((next, why)) = waits_for(at) else { break };
        path.push((at, why));
        at = next;
    }
    let begins = path.iter().position(|(seen, _)| *seen == at).unwrap_or(0);
    let circle = &path[begins..];
    Cycle {
        steps: circle.iter().map(|(n, _)| (left[*n].key, left[*n].circuit.clone())).collect(),
        why: circle.iter().map(|(_, why)| why.clone()).collect(),
    }
}
