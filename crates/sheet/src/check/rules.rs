//! What two values say together.

use super::code;
use super::thread;
use super::walk::{Section, Walk, quoted};
use crate::{Role, Severity, Sourced};
use quantity::{KinematicViscosity, Span, Temperature, Torque, Volume};
use std::collections::BTreeSet;
use std::ops::Range;

type Place = Option<Range<usize>>;

/// What the rules about plugs need, whether or not the rest of the plug could be read.
pub(super) struct PlugFacts {
    pub(super) id: Option<String>,
    pub(super) roles: Option<Vec<Role>>,
    pub(super) id_span: Place,
    pub(super) roles_span: Place,
}

/// Ids are unique in the whole sheet: `seen` goes from circuit to circuit.
pub(super) fn plug_ids(walk: &mut Walk, plugs: &[PlugFacts], seen: &mut BTreeSet<String>) {
    for (n, plug) in plugs.iter().enumerate() {
        let Some(id) = &plug.id else { continue };
        if !seen.insert(id.clone()) {
            let message = format!("Plug {} has the id {}, which another plug has already.", n + 1, quoted(id));
            walk.note(code::DUPLICATE_PLUG, plug.id_span.clone(), message, "Give each plug an id of its own.");
        }
    }
}

/// How bad it is when a role is on two plugs, and why.
const fn twice(role: Role) -> (Severity, &'static str) {
    match role {
        Role::Level => (Severity::Error, "a unit has one level; say which plug sets it"),
        Role::Fill => (Severity::Caution, "the plan uses the first; check that this is the one meant"),
        Role::Drain => (Severity::Note, "the plan names the first; both may have to come out"),
    }
}

pub(super) fn plug_roles(walk: &mut Walk, plugs: &[PlugFacts], needed: &[Role]) {
    let readable = plugs.iter().all(|p| p.roles.is_some());
    for role in Role::ALL {
        let with: Vec<_> = plugs
            .iter()
            .flat_map(|p| p.roles.iter().flatten().filter(|r| **r == role).map(|_| p.roles_span.clone()))
            .collect();
        if with.is_empty() && readable && needed.contains(&role) {
            let message = format!("No plug has the role \"{}\".", role.word());
            let hint =
                format!("Add \"{}\" to the roles of the plug that has it; one plug may have two roles.", role.word());
            walk.note(code::ROLE_MISSING, plugs.first().and_then(|p| p.roles_span.clone()), message, hint);
        }
        let (severity, why) = twice(role);
        for place in with.into_iter().skip(1) {
            let message = format!("The role \"{}\" is given more than once: {why}.", role.word());
            walk.note_as(
                severity,
                code::ROLE_TWICE,
                place,
                message,
                "Remove the role from one of them unless the manual says so.",
            );
        }
    }
}

pub(super) fn plug_torque(
    walk: &mut Walk,
    section: &Section<'_>,
    id: Option<&str>,
    thread: Option<&str>,
    torque: Option<&Sourced<Span<Torque>>>,
    by_hand: bool,
) {
    let id = quoted(id.unwrap_or("?"));
    if section.lacks("torque") && !by_hand {
        let message = format!("Plug {id} has no torque, so none can be checked.");
        walk.note(code::TORQUE_MISSING, section.place(), message, "Add `torque` with its source when you find it.");
    }
    let Some(thread) = thread else { return };
    let Some(band) = thread::band(thread) else {
        let message = format!("No torque band is known for the thread {}.", quoted(thread));
        let hint = "Check the spelling (for instance M18x1.5); otherwise compare the torque yourself.";
        walk.note(code::THREAD_UNLISTED, walk.span(&section.path("thread")), message, hint);
        return;
    };
    let Some(torque) = torque else { return };
    let (low, high) = (torque.value.low.nm(), torque.value.high.nm());
    if low < band.low_nm || high > band.high_nm {
        let message = format!(
            "Plug {id}: {} lies outside {} to {} N·m, which a plug with thread {} usually stands ({}).",
            quoted(&torque.printed),
            band.low_nm,
            band.high_nm,
            band.thread,
            band.source
        );
        let hint = "Compare torque and thread with the source; a wrong one strips the thread or leaks.";
        walk.note(code::TORQUE_FOR_THREAD, walk.span(&section.path("torque")), message, hint);
    }
}

pub(super) fn window(walk: &mut Walk, path: &str, window: Option<&Sourced<Span<Temperature>>>) {
    let Some(window) = window.filter(|w| w.value.low >= w.value.high) else { return };
    let message =
        format!("The window {} has no width: the level could never be set inside it.", quoted(&window.printed));
    walk.note(code::WINDOW_NO_WIDTH, walk.span(path), message, "Write both ends, for instance \"35–45 °C\".");
}

pub(super) fn rest(walk: &mut Walk, place: Place, positions: &[String], rest_in: &str) {
    if positions.iter().any(|p| p == rest_in) {
        return;
    }
    let message = format!("The selector rests in {}, which is not among the positions held.", quoted(rest_in));
    walk.note(code::REST_NOT_HELD, place, message, "Check the spelling, or add it to `positions`.");
}

/// What a drain usually brings of the dry fill; common practice, no source.
const USUAL_FRACTION: Span<f64> = Span { low: 0.30, high: 0.50 };

pub(super) fn drained(
    walk: &mut Walk,
    place: Place,
    total: Option<&Sourced<Span<Volume>>>,
    drained: Option<&Sourced<Span<Volume>>>,
    empties: bool,
) {
    let (Some(total), Some(drained)) = (total, drained) else { return };
    let fraction = drained.mid() / total.mid();
    if drained.value.low > total.value.high || drained.value.low >= total.value.high && !empties {
        let message = format!(
            "`drained` = {} is not less than the dry fill {}.",
            quoted(&drained.printed),
            quoted(&total.printed)
        );
        walk.note(
            code::DRAINED_OVER_TOTAL,
            place,
            message,
            "Compare both with the source: a drain leaves fluid in the unit.",
        );
    } else if !empties && !USUAL_FRACTION.contains(fraction) {
        let message = format!(
            "A drain brings {:.0} % of the dry fill; 30 to 50 % is usual (common practice, no source).",
            fraction * 100.0
        );
        walk.note(
            code::DRAINED_FRACTION,
            place,
            message,
            "Compare both with the source; if it really says so, leave it.",
        );
    }
}

pub(super) fn viscosity(
    walk: &mut Walk,
    place: Place,
    at40: Option<&Sourced<Span<KinematicViscosity>>>,
    at100: Option<&Sourced<Span<KinematicViscosity>>>,
) {
    let (Some(at40), Some(at100)) = (at40, at100) else { return };
    if at100.value.high < at40.value.low {
        return;
    }
    let message = format!("`kv100` = {} is not below `kv40` = {}.", quoted(&at100.printed), quoted(&at40.printed));
    walk.note(
        code::VISCOSITY_ORDER,
        place,
        message,
        "Every oil is thinner when hot: check that the two are not swapped.",
    );
}
