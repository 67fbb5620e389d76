//! The metal: casing cut open and hatched, the standpipe, the plugs.

use super::{Place, PlugState, SectionInput, SectionPlug};
use crate::picture::{Pattern, Picture, Role, rectangle};

pub(super) fn casing(picture: &mut Picture, input: &SectionInput, place: &Place) {
    let letter = place.letter;
    let (out_left, out_right, out_floor) =
        (place.left - place.wall, place.right + place.wall, place.floor + place.wall);
    // The tops of the walls lean: the casing goes on above the picture.
    let (high, low) = (place.top - 0.25 * letter, place.top + 0.25 * letter);
    let metal = [
        (out_left, low),
        (place.left, high),
        (place.left, place.floor),
        (place.right, place.floor),
        (place.right, low),
        (out_right, high),
        (out_right, out_floor),
        (out_left, out_floor),
    ];
    picture.area(&metal, Role::Ground, Pattern::Solid);
    picture.area(&metal, Role::Ink, Pattern::Hatch { angle_deg: 45.0, spacing: 0.5 * letter });
    picture.outline(&metal, Role::Ink, 0.13 * letter);
    for plug in input.plugs.iter().filter(|p| p.in_floor()) {
        floor_plug(picture, plug, place);
    }
    for plug in input.plugs.iter().filter(|p| !p.in_floor()) {
        wall_plug(picture, plug, place);
    }
    if input.standpipe.is_some() {
        standpipe(picture, place);
    }
}

/// Two cut walls from the lip to the floor, open at the top.
fn standpipe(picture: &mut Picture, place: &Place) {
    let letter = place.letter;
    let (x, lip) = (place.x(place.lip_along_mm), place.y(place.lip_mm));
    let (bore, thick) = (0.45 * letter, 0.38 * letter);
    picture.area(&rectangle(x - bore, lip, x + bore, place.floor), Role::Ground, Pattern::Solid);
    for (from, to) in [(x - bore - thick, x - bore), (x + bore, x + bore + thick)] {
        let side = rectangle(from, lip, to, place.floor);
        picture.area(&side, Role::Ground, Pattern::Solid);
        picture.area(&side, Role::Ink, Pattern::Hatch { angle_deg: 135.0, spacing: 0.3 * letter });
        picture.outline(&side, Role::Ink, 0.13 * letter);
    }
}

fn floor_plug(picture: &mut Picture, plug: &SectionPlug, place: &Place) {
    let letter = place.letter;
    let (x, outside) = (place.x(plug.along_mm), place.floor + place.wall);
    hole(picture, rectangle(x - 0.7 * letter, place.floor, x + 0.7 * letter, outside), false, letter);
    if plug.state != PlugState::Out {
        let body = rectangle(x - 0.7 * letter, place.floor, x + 0.7 * letter, outside);
        let head = rectangle(x - 1.2 * letter, outside, x + 1.2 * letter, outside + 0.75 * letter);
        metal_plug(picture, &body, &head, plug.state, letter);
    }
}

fn wall_plug(picture: &mut Picture, plug: &SectionPlug, place: &Place) {
    let letter = place.letter;
    let y = place.y(plug.up_mm).clamp(place.top + letter, place.floor - letter);
    let (inner, outward) = if plug.at_nose() { (place.left, -1.0) } else { (place.right, 1.0) };
    let outer = inner + outward * place.wall;
    let across = |from: f64, to: f64, half: f64| rectangle(from.min(to), y - half, from.max(to), y + half);
    hole(picture, across(inner, outer, 0.7 * letter), true, letter);
    if plug.state != PlugState::Out {
        let body = across(inner, outer, 0.7 * letter);
        let head = across(outer, outer + outward * 0.75 * letter, 1.2 * letter);
        metal_plug(picture, &body, &head, plug.state, letter);
    }
}

/// An open threaded hole: nothing there, its two sides drawn.
fn hole(picture: &mut Picture, gap: [(f64, f64); 4], level: bool, letter: f64) {
    let [a, b, c, d] = gap;
    picture.area(&gap, Role::Ground, Pattern::Solid);
    let sides = if level { [[a, b], [d, c]] } else { [[a, d], [b, c]] };
    for side in sides {
        picture.line(&side, Role::Ink, 0.13 * letter);
    }
}

/// A plug in its hole. One that has been shown to turn has a solid head, one that has not an open head.
fn metal_plug(picture: &mut Picture, body: &[(f64, f64)], head: &[(f64, f64)], state: PlugState, letter: f64) {
    picture.area(body, Role::Ground, Pattern::Solid);
    picture.area(body, Role::Ink, Pattern::Hatch { angle_deg: 135.0, spacing: 0.3 * letter });
    picture.outline(body, Role::Ink, 0.13 * letter);
    let fill = if state == PlugState::Proven { Role::Ink } else { Role::Ground };
    picture.area(head, fill, Pattern::Solid);
    picture.outline(head, Role::Ink, 0.13 * letter);
}
