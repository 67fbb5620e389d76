//! From a TOML document to a sheet.

use super::circuit::{self, Parts};
use super::code;
use super::walk::{Section, Walk, quoted};
use crate::{Circuit, Interval, Limits, Sheet, StepKey, StepRule, order};
use std::collections::BTreeSet;
use toml::de::DeTable;

/// The id of the first circuit when the sheet names none.
const MAIN: &str = "main";

/// The sheet, if enough of it could be read; every mistake is noted in `walk` either way.
pub(super) fn sheet(walk: &mut Walk, document: &DeTable<'_>) -> Option<Sheet> {
    let root = Section::root(document);
    walk.unknown_keys(&root);
    let format = format(walk, &root);
    let cautions = walk.texts(&root, "cautions").unwrap_or_default();
    let unit_section = walk.table(&root, "unit");
    let unit = unit_section.as_ref().map(|s| unit(walk, s));
    let (id, name) = unit.as_ref().map(|u| u.circuit.clone()).unwrap_or((None, None));
    let id = id.unwrap_or_else(|| MAIN.to_owned());
    let name = name.unwrap_or_else(|| id.clone());
    let limits = walk.table(&root, "limits").and_then(|s| limits(walk, &s));
    let mut ids = BTreeSet::new();
    let first = circuit::parts(walk, &root, unit_section.as_ref(), &id, limits.as_ref(), &mut ids);
    let further = further(walk, &root, &id, limits.as_ref(), &mut ids);
    let interval = walk.table(&root, "interval").and_then(|s| interval(walk, &s));
    let rules = rules(walk, &root, &id);
    let (unit, first, (mut more_plugs, further)) = (unit?, first?, further?);
    let mut plugs = first.plugs;
    plugs.append(&mut more_plugs);
    let mut sheet = Sheet {
        format: format?,
        id: unit.id?,
        name: unit.name?,
        maker: unit.maker?,
        kind: unit.kind?,
        family: first.family,
        renewal: first.renewal,
        level: first.level,
        circuit: (id, name),
        further,
        edition: unit.edition,
        filter: unit.filter,
        plugs,
        selector: first.selector,
        capacity: first.capacity,
        fluid: first.fluid,
        interval,
        limits: limits?,
        cautions,
        rules: rules?,
        steps: Vec::new(),
    };
    sheet.steps = steps(walk, &sheet)?;
    Some(sheet)
}

fn format(walk: &mut Walk, root: &Section<'_>) -> Option<u32> {
    let number = walk.whole(root, "format")?;
    if number == i64::from(crate::FORMAT) {
        return Some(crate::FORMAT);
    }
    let message = format!("Sheet format {number} is not known; this version reads format {}.", crate::FORMAT);
    let hint = format!("Write format = {} if the keys are those of this version.", crate::FORMAT);
    walk.note(code::FORMAT_UNKNOWN, walk.span("format"), message, hint);
    None
}

struct UnitFacts {
    id: Option<String>,
    name: Option<String>,
    maker: Option<String>,
    kind: Option<String>,
    circuit: (Option<String>, Option<String>),
    edition: Option<String>,
    filter: Option<String>,
}

fn unit(walk: &mut Walk, s: &Section<'_>) -> UnitFacts {
    UnitFacts {
        id: walk.text(s, "id"),
        name: walk.text(s, "name"),
        maker: walk.text(s, "maker"),
        kind: walk.text(s, "kind"),
        circuit: (walk.text(s, "circuit"), walk.text(s, "circuit_name")),
        edition: walk.text(s, "edition"),
        filter: walk.text(s, "filter"),
    }
}

type Further = (Vec<crate::Plug>, Vec<Circuit>);

/// The further circuits with all their plugs; `None` when one of them could not be read.
fn further(
    walk: &mut Walk,
    root: &Section<'_>,
    first: &str,
    limits: Option<&Limits>,
    plug_ids: &mut BTreeSet<String>,
) -> Option<Further> {
    let (mut plugs, mut circuits) = (Vec::new(), Vec::new());
    let mut ids = BTreeSet::from([first.to_owned()]);
    let mut whole = true;
    for s in walk.tables(root, "circuit") {
        let id = walk.text(&s, "id");
        let name = walk.text(&s, "name");
        let filter = walk.text(&s, "filter");
        if let Some(id) = id.as_ref().filter(|id| !ids.insert((*id).clone())) {
            let message = format!("Two circuits have the id {}.", quoted(id));
            walk.note(
                code::DUPLICATE_CIRCUIT,
                walk.span(&s.path("id")),
                message,
                "Give each circuit an id of its own.",
            );
        }
        let parts = circuit::parts(walk, &s, Some(&s), id.as_deref().unwrap_or("?"), limits, plug_ids);
        match (id, name, parts) {
            (Some(id), Some(name), Some(parts)) => {
                let Parts { family, renewal, level, plugs: mut own, selector, capacity, fluid } = parts;
                plugs.append(&mut own);
                circuits.push(Circuit { id, name, family, renewal, level, selector, capacity, fluid, filter });
            }
            _ => whole = false,
        }
    }
    whole.then_some((plugs, circuits))
}

fn interval(walk: &mut Walk, s: &Section<'_>) -> Option<Interval> {
    let distance = walk.sourced(s, "distance");
    let time = walk.sourced(s, "time");
    let severe_factor = walk.factor(s, "severe_factor");
    let stated = [s.path("distance"), s.path("time")].iter().any(|path| walk.span(path).is_some());
    if !stated {
        let message = "[interval] states neither a distance nor a time.".to_owned();
        walk.note(code::INTERVAL_EMPTY, s.place(), message, "Add `distance` or `time`, or remove [interval].");
    }
    Some(Interval { distance, time, severe_factor: severe_factor? })
}

fn limits(walk: &mut Walk, s: &Section<'_>) -> Option<Limits> {
    let tilt = walk.sourced(s, "tilt");
    let ambient = walk.sourced(s, "ambient");
    let idle_reaches = walk.sourced(s, "idle_reaches");
    Some(Limits { tilt: tilt?, ambient, idle_reaches })
}

fn rules(walk: &mut Walk, root: &Section<'_>, first: &str) -> Option<Vec<StepRule>> {
    let mut rules = Vec::new();
    for s in walk.tables(root, "step") {
        let step = walk.word(&s, "step", StepKey::named);
        let after = walk.words(&s, "after", StepKey::named);
        let why = walk.text(&s, "why");
        let circuit = walk.text(&s, "circuit").unwrap_or_else(|| first.to_owned());
        rules.push(Some(StepRule { circuit, step: step?, after: after?, why: why? }));
    }
    rules.into_iter().collect()
}

/// The steps in order; a rule that speaks of what is not there, or a circle, is noted at its place.
fn steps(walk: &mut Walk, sheet: &Sheet) -> Option<Vec<crate::Planned>> {
    let circuits = sheet.circuits();
    for (n, rule) in sheet.rules.iter().enumerate() {
        if !circuits.contains(&rule.circuit.as_str()) {
            let message = format!("This sheet has no circuit {}.", quoted(&rule.circuit));
            let hint = format!("Use one of: {}.", circuits.join(", "));
            walk.note(code::STEP_NOT_USED, walk.span(&format!("step.{n}.circuit")), message, hint);
        }
    }
    match order::ordered(sheet) {
        Ok(steps) => {
            for (n, rule) in sheet.rules.iter().enumerate() {
                let known =
                    |key: StepKey| steps.iter().any(|s| s.key == key && (key.is_shared() || s.circuit == rule.circuit));
                for key in std::iter::once(rule.step).chain(rule.after.iter().copied()).filter(|key| !known(*key)) {
                    let message = format!("This unit has no step \"{}\" ({}).", key.word(), key.meaning());
                    let hint = "Remove the rule, or name a step that the family of this unit has.";
                    walk.note(code::STEP_NOT_USED, walk.span(&format!("step.{n}.after")), message, hint);
                }
            }
            Some(steps)
        }
        Err(cycle) => {
            let in_it = |rule: &StepRule| cycle.steps.iter().any(|(step, _)| *step == rule.step);
            let n = sheet.rules.iter().position(in_it);
            let place = n.and_then(|n| walk.span(&format!("step.{n}.after"))).or_else(|| walk.span("unit.family"));
            let message = format!("There is no order of work: {cycle}.");
            let hint = "Take out one of the orders; the conditions of the family cannot be taken out.";
            walk.note(code::STEP_CYCLE, place, message, hint);
            None
        }
    }
}
