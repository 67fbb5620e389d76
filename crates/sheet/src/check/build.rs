//! From a TOML document to a sheet.

use super::code;
use super::rules::{self, PlugFacts};
use super::walk::{Section, Walk, quoted};
use crate::{Capacity, Family, Fluid, Interval, Limits, Plug, Role, Seal, Selector, Sheet, Spot, Standpipe};
use quantity::Span;
use toml::de::DeTable;

/// The sheet, if enough of it could be read; every mistake is noted in `walk` either way.
pub(super) fn sheet(walk: &mut Walk, document: &DeTable<'_>) -> Option<Sheet> {
    let root = Section::root(document);
    walk.unknown_keys(&root);
    let format = format(walk, &root);
    let cautions = walk.texts(&root, "cautions").unwrap_or_default();
    let unit = unit(walk, &root);
    let plugs = plugs(walk, &root);
    let window = walk.table(&root, "window").and_then(|s| walk.sourced(&s, "temperature"));
    rules::window(walk, window.as_ref());
    let sump_area = walk.table(&root, "sump").and_then(|s| walk.sourced(&s, "area"));
    let standpipe = walk.table(&root, "standpipe").and_then(|s| standpipe(walk, &s));
    let selector = walk.table(&root, "selector").and_then(|s| selector(walk, &s));
    let capacity = walk.table(&root, "capacity").and_then(|s| capacity(walk, &s));
    let fluid = walk.table(&root, "fluid").and_then(|s| fluid(walk, &s));
    let interval = walk.table(&root, "interval").and_then(|s| interval(walk, &s));
    let limits = walk.table(&root, "limits").and_then(|s| limits(walk, &s));
    let unit = unit?;
    Some(Sheet {
        format: format?,
        id: unit.id,
        name: unit.name,
        maker: unit.maker,
        kind: unit.kind,
        family: unit.family,
        edition: unit.edition,
        filter: unit.filter,
        plugs: plugs?,
        window: window?,
        sump_area: sump_area?,
        selector: selector?,
        capacity: capacity?,
        standpipe: standpipe?,
        fluid: fluid?,
        interval,
        limits: limits?,
        cautions,
    })
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
    id: String,
    name: String,
    maker: String,
    kind: String,
    family: Family,
    edition: Option<String>,
    filter: Option<String>,
}

fn unit(walk: &mut Walk, root: &Section<'_>) -> Option<UnitFacts> {
    let s = walk.table(root, "unit")?;
    let id = walk.text(&s, "id");
    let name = walk.text(&s, "name");
    let maker = walk.text(&s, "maker");
    let kind = walk.text(&s, "kind");
    let family = walk.word(&s, "family", Family::named);
    let edition = walk.text(&s, "edition");
    let filter = walk.text(&s, "filter");
    if let Some(other) = family.filter(|f| *f != Family::Overflow) {
        let message = format!("{} ({}) is not yet carried by this version.", quoted(other.word()), other.meaning());
        let hint = "This version sets levels by overflow in a window; follow the manual for this unit.";
        walk.note(code::FAMILY_NOT_CARRIED, walk.span(&s.path("family")), message, hint);
    }
    Some(UnitFacts { id: id?, name: name?, maker: maker?, kind: kind?, family: family?, edition, filter })
}

fn plugs(walk: &mut Walk, root: &Section<'_>) -> Option<Vec<Plug>> {
    let sections = walk.tables(root, "plug");
    let mut facts = Vec::new();
    let mut plugs = Vec::new();
    for s in &sections {
        let (plug, id, roles) = plug(walk, s);
        facts.push(PlugFacts { id, roles, id_span: walk.span(&s.path("id")), roles_span: walk.span(&s.path("roles")) });
        plugs.push(plug);
    }
    if !facts.is_empty() {
        rules::plug_ids(walk, &facts);
        rules::plug_roles(walk, &facts);
    }
    plugs.into_iter().collect::<Option<Vec<_>>>().filter(|p| !p.is_empty())
}

fn plug(walk: &mut Walk, s: &Section<'_>) -> (Option<Plug>, Option<String>, Option<Vec<Role>>) {
    let id = walk.text(s, "id");
    let name = walk.text(s, "name");
    let roles = walk.words(s, "roles", Role::named);
    let place = walk.text(s, "place");
    let drive = walk.text(s, "drive");
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
    rules::plug_torque(walk, s, id.as_deref(), thread.as_deref(), torque.as_ref());
    let plug = || {
        Some(Plug {
            id: id.clone()?,
            name: name?,
            roles: roles.clone()?,
            place: place?,
            drive: drive?,
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

fn standpipe(walk: &mut Walk, s: &Section<'_>) -> Option<Standpipe> {
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

fn capacity(walk: &mut Walk, s: &Section<'_>) -> Option<Capacity> {
    let total = walk.sourced(s, "total");
    let drained = walk.sourced(s, "drained");
    let after_start = walk.sourced(s, "after_start");
    let surplus = walk.sourced(s, "surplus");
    let residue = walk.sourced(s, "residue");
    rules::drained(walk, walk.span(&s.path("drained")), total.as_ref(), drained.as_ref());
    Some(Capacity { total: total?, drained, after_start, surplus: surplus?, residue })
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
    Some(Limits { tilt: tilt?, ambient })
}
