//! One circuit of a sheet: its plugs, its fluid, how that is renewed and how the level is judged. The tables of the first
//! circuit stand at the top of the sheet, those of a further one below its own.

use super::code;
use super::family::{FAMILY_KEYS, FAMILY_TABLES, Needs, needs_of};
use super::judge;
use super::rules::{self, PlugFacts};
use super::walk::{Section, Walk, quoted};
use crate::{Capacity, Family, Fluid, Level, Limits, Plug, Renewal, Role, Seal, Selector, Sourced, Spot, Standpipe};
use quantity::{Span, Volume};
use std::collections::BTreeSet;

/// What makes a circuit.
pub(super) struct Parts {
    pub(super) family: Family,
    pub(super) renewal: Renewal,
    pub(super) level: Level,
    pub(super) plugs: Vec<Plug>,
    pub(super) selector: Option<Selector>,
    pub(super) capacity: Capacity,
    pub(super) fluid: Fluid,
}

/// The family a circuit is called by and the one that judges its level.
#[derive(Clone, Copy)]
pub(super) struct Named {
    pub(super) family: Family,
    pub(super) level: Family,
}

/// Reads a circuit whose tables stand in `s` and whose family stands in `named`.
pub(super) fn parts(
    walk: &mut Walk,
    s: &Section<'_>,
    unit: Option<&Section<'_>>,
    id: &str,
    limits: Option<&Limits>,
    plug_ids: &mut BTreeSet<String>,
) -> Option<Parts> {
    let named = unit.and_then(|unit| families(walk, unit));
    let rows: Vec<&Needs> = named.iter().flat_map(|n| [needs_of(n.family), needs_of(n.level)]).flatten().collect();
    let mut roles: Vec<Role> = rows.iter().flat_map(|row| row.roles).copied().collect();
    if named.is_some_and(|n| !n.family.only_renews()) {
        roles.push(Role::Drain);
    }
    let plugs = plugs(walk, s, id, &roles, plug_ids);
    let selector = walk.table(s, "selector").and_then(|s| selector(walk, &s));
    let capacity_section = walk.table(s, "capacity");
    let (capacity, surplus) =
        capacity_section.as_ref().map(|s| capacity(walk, s, named.map(|n| n.level))).unwrap_or((None, None));
    let fluid = walk.table(s, "fluid").and_then(|s| fluid(walk, &s));
    let mut read = judge::read(walk, s, surplus);
    let named = named?;
    belongs(walk, s, &rows, named);
    let level = read.level(walk, named.level);
    let renewal = read.renewal(named.family);
    let (level, renewal, capacity) = (level?, renewal?, capacity?);
    judge::together(walk, s, unit, &level, &renewal, &capacity, limits);
    Some(Parts { family: named.family, renewal, level, plugs: plugs?, selector, capacity, fluid: fluid? })
}

/// Which family renews and which judges. A family that only renews needs the other beside it; any other is both.
fn families(walk: &mut Walk, unit: &Section<'_>) -> Option<Named> {
    let family = walk.word(unit, "family", Family::named);
    let level = walk.word(unit, "level", Family::named);
    let family = family?;
    let place = walk.span(&unit.path("level"));
    if !family.only_renews() {
        if level.is_some() {
            let message = format!("The family {} says already how the level is judged.", quoted(family.word()));
            let hint = "Remove `level`, or name a family that only renews fluid: extraction, exchange or dry-fill.";
            walk.note(code::CONTRADICTION, place, message, hint);
        }
        return Some(Named { family, level: family });
    }
    if unit.lacks("level") {
        walk.need(unit, "level", "this family says only how the fluid is renewed");
        return None;
    }
    let level = level?;
    if level.only_renews() || level == Family::MeasureOut {
        let message = format!("{} does not judge a level: {}.", quoted(level.word()), level.meaning());
        walk.note(code::CONTRADICTION, place, message, "Name a family that judges the level, overflow for instance.");
        return None;
    }
    let unstarted = matches!(level, Family::BottomOfHole | Family::VolumeOnly);
    let pressed = level == Family::FilledUnderPressure;
    if family != Family::Extraction && unstarted || family == Family::DryFill && pressed {
        let message = format!("{} cannot follow {}.", quoted(level.word()), quoted(family.word()));
        let hint =
            "The engine runs for the one and stands still for the other, or there is no hole for the second filling.";
        walk.note(code::CONTRADICTION, place, message, hint);
        return None;
    }
    Some(Named { family, level })
}

/// Everything the families need is there, and nothing that they do not use.
fn belongs(walk: &mut Walk, s: &Section<'_>, rows: &[&Needs], named: Named) {
    let words = if named.family == named.level {
        named.family.word().to_owned()
    } else {
        format!("{} with {}", named.family.word(), named.level.word())
    };
    let needed = |path: &str| rows.iter().any(|row| row.needs.contains(&path));
    let allowed = |path: &str| needed(path) || rows.iter().any(|row| row.may.contains(&path));
    for name in FAMILY_TABLES {
        if needed(name) {
            walk.need(s, name, &format!("the family {words} needs it"));
        } else if let Some(place) = s.key_span(name).filter(|_| !allowed(name)) {
            not_its_own(walk, place, &format!("[{name}]"), &words);
        }
    }
    for (table, key) in FAMILY_KEYS {
        let path = format!("{table}.{key}");
        // A table that is not its own was noted as a whole.
        if FAMILY_TABLES.contains(table) && !allowed(table) {
            continue;
        }
        let Some(below) = s.below_if_there(table) else { continue };
        if needed(&path) {
            walk.need(&below, key, &format!("the family {words} needs it"));
        } else if let Some(place) = below.key_span(key).filter(|_| !allowed(&path)) {
            not_its_own(walk, place, &format!("`{key}` of [{table}]"), &words);
        }
    }
}

fn not_its_own(walk: &mut Walk, place: std::ops::Range<usize>, what: &str, words: &str) {
    let message = format!("{what} is not used by the family {words}.");
    walk.note(code::NOT_FOR_FAMILY, Some(place), message, "Remove it, or compare the family with the manual.");
}

fn plugs(
    walk: &mut Walk,
    section: &Section<'_>,
    circuit: &str,
    needed: &[Role],
    seen: &mut BTreeSet<String>,
) -> Option<Vec<Plug>> {
    let sections = walk.tables(section, "plug");
    let mut facts = Vec::new();
    let mut plugs = Vec::new();
    for s in &sections {
        let (plug, id, roles) = plug(walk, s, circuit);
        facts.push(PlugFacts { id, roles, id_span: walk.span(&s.path("id")), roles_span: walk.span(&s.path("roles")) });
        plugs.push(plug);
    }
    if !facts.is_empty() {
        rules::plug_ids(walk, &facts, seen);
        rules::plug_roles(walk, &facts, needed);
    }
    plugs.into_iter().collect::<Option<Vec<_>>>().filter(|p| !p.is_empty())
}

fn plug(walk: &mut Walk, s: &Section<'_>, circuit: &str) -> (Option<Plug>, Option<String>, Option<Vec<Role>>) {
    let id = walk.text(s, "id");
    let name = walk.text(s, "name");
    let roles = walk.words(s, "roles", Role::named);
    let place = walk.text(s, "place");
    let drive = walk.text(s, "drive");
    let reach = walk.sourced(s, "reach");
    let thread = walk.text(s, "thread");
    let torque = walk.sourced(s, "torque");
    let seal = walk.table(s, "seal").and_then(|seal| {
        let kind = walk.text(&seal, "kind");
        let single_use = walk.flag(&seal, "single_use");
        Some(Seal { kind: kind?, single_use: single_use? })
    });
    let hazard = walk.text(s, "hazard");
    let at = walk.table(s, "at").and_then(|at| {
        let along = walk.plain(&at, "along");
        let up = walk.plain(&at, "up");
        Some(Spot { along: middle(along?), up: middle(up?) })
    });
    let by_hand = drive.as_deref() == Some(crate::BY_HAND);
    rules::plug_torque(walk, s, id.as_deref(), thread.as_deref(), torque.as_ref(), by_hand);
    if by_hand && reach.is_some() {
        let message = "A cap that is turned by hand asks for no bit, so for no reach.".to_owned();
        walk.note(code::CONTRADICTION, walk.span(&s.path("reach")), message, "Remove `reach`, or name the drive.");
    }
    let plug = || {
        Some(Plug {
            id: id.clone()?,
            circuit: circuit.to_owned(),
            name: name?,
            roles: roles.clone()?,
            place: place?,
            drive: drive?,
            reach,
            thread,
            torque,
            seal,
            hazard,
            at,
        })
    };
    (plug(), id, roles)
}

fn middle<T: Copy + std::ops::Add<Output = T> + std::ops::Mul<f64, Output = T>>(span: Span<T>) -> T {
    span.low * 0.5 + span.high * 0.5
}

pub(super) fn standpipe(walk: &mut Walk, s: &Section<'_>) -> Option<Standpipe> {
    let bore = walk.sourced(s, "bore");
    let length = walk.sourced(s, "length");
    let offset_along = walk.sourced(s, "offset_along");
    let offset_across = walk.sourced(s, "offset_across");
    Some(Standpipe { bore: bore?, length, offset_along: offset_along?, offset_across: offset_across? })
}

fn selector(walk: &mut Walk, s: &Section<'_>) -> Option<Selector> {
    let positions = walk.texts(s, "positions");
    let hold = walk.plain(s, "hold");
    let rest_in = walk.text(s, "rest_in");
    let idle_after = walk.plain(s, "idle_after");
    let (positions, rest_in) = (positions?, rest_in?);
    rules::rest(walk, walk.span(&s.path("rest_in")), &positions, &rest_in);
    // Both are the least the manual asks for; of a printed range the longer end satisfies either reading.
    Some(Selector { positions, hold: hold?.high, rest_in, idle_after: idle_after?.high })
}

fn capacity(
    walk: &mut Walk,
    s: &Section<'_>,
    renewal: Option<Family>,
) -> (Option<Capacity>, Option<Sourced<Span<Volume>>>) {
    let total = walk.sourced(s, "total");
    let drained = walk.sourced(s, "drained");
    let after_start = walk.sourced(s, "after_start");
    let surplus = walk.sourced(s, "surplus");
    let residue = walk.sourced(s, "residue");
    let empties = matches!(renewal, Some(Family::MeasureOut | Family::BottomOfHole | Family::VolumeOnly));
    rules::drained(walk, walk.span(&s.path("drained")), total.as_ref(), drained.as_ref(), empties);
    (total.map(|total| Capacity { total, drained, after_start, residue }), surplus)
}

fn fluid(walk: &mut Walk, s: &Section<'_>) -> Option<Fluid> {
    let approvals = walk.texts(s, "approvals");
    let class = walk.text(s, "class");
    let density15 = walk.sourced(s, "density15");
    let kv40 = walk.sourced(s, "kv40");
    let kv100 = walk.sourced(s, "kv100");
    let warning = walk.text(s, "warning");
    rules::viscosity(walk, walk.span(&s.path("kv100")), kv40.as_ref(), kv100.as_ref());
    Some(Fluid { approvals: approvals?, class, density15, kv40, kv100, warning })
}
