//! The words around the section, kept apart from each other.

use super::{Place, PlugState, SectionInput, SectionPlug};
use crate::label::spread;
use crate::picture::{Hand, Pattern, Picture, Role};
use crate::text::{fit, text_width, wrap};

/// Line spacing of words, in letters.
const LINE: f64 = 1.2;

impl PlugState {
    fn word(self) -> &'static str {
        match self {
            PlugState::In => "IN",
            PlugState::Out => "OUT",
            PlugState::Proven => "PROVEN",
        }
    }
    fn role(self) -> Role {
        if self == PlugState::Out { Role::Act } else { Role::Ink }
    }
}

fn number(x: f64) -> String {
    let rounded = x.abs().round().min(1e6);
    format!("{rounded:.0}")
}

fn signed_mm(x: f64) -> String {
    let tenths = (x.abs() * 10.0).round().min(1e5) / 10.0;
    let sign = match tenths {
        0.0 => "±",
        _ if x > 0.0 => "+",
        _ => "−",
    };
    format!("{sign}{tenths:.1} mm")
}

/// The levels in the right-hand column, each with a leader to its surface at the wall.
pub(super) fn levels(picture: &mut Picture, input: &SectionInput, place: &Place) {
    let letter = place.letter;
    let lip = input.standpipe.map_or("lower edge", |_| "lip");
    let named = [
        ("now", input.level_now_mm, Role::Surplus),
        ("at reference", input.level_reference_mm, Role::FluidNew),
        ("if closed now", input.level_if_closed_mm, Role::Forecast),
        (lip, Some(0.0), Role::Ink),
    ];
    let mut notes: Vec<(f64, Vec<String>, Role)> = Vec::new();
    for (words, level, role) in named {
        let Some(level) = level else { continue };
        let lines = if words == lip { vec![words.to_owned()] } else { vec![words.to_owned(), signed_mm(level)] };
        notes.push((place.surface_inside(level, place.right), lines, role));
    }
    notes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let wanted: Vec<f64> = notes.iter().map(|n| n.0).collect();
    let extents: Vec<f64> = notes.iter().map(|n| (n.1.len() as f64 * LINE + 0.3) * letter).collect();
    let low = place.top - 0.4 * letter;
    let high = place.floor + place.wall + 0.8 * letter;
    // Four labels of two lines fit into the least room there is; were that ever untrue the column stays empty.
    let Some(centres) = spread(&wanted, &extents, low, high) else { return };
    let wall = place.right + place.wall;
    let room = place.width - place.column - 0.2 * letter;
    for ((y, lines, role), centre) in notes.iter().zip(centres) {
        let elbow = [(place.right, *y), (wall, *y), (place.column - 0.25 * letter, centre)];
        picture.line(&elbow, *role, 0.08 * letter);
        let first = centre - (lines.len() as f64 - 1.0) / 2.0 * LINE * letter + 0.35 * letter;
        for (i, line) in lines.iter().enumerate() {
            let mut hand = Hand::new(letter, Role::Ink);
            hand.bold = i == 1;
            picture.words(place.column, first + i as f64 * LINE * letter, hand, &fit(line, letter, hand.bold, room));
        }
    }
}

fn floor_plugs(input: &SectionInput) -> Vec<&SectionPlug> {
    let mut plugs: Vec<&SectionPlug> = input.plugs.iter().filter(|p| p.in_floor()).collect();
    // From left to right: the nose is at the left.
    plugs.sort_by(|a, b| b.along_mm.total_cmp(&a.along_mm));
    plugs
}

fn plug_width(plug: &SectionPlug, letter: f64, most: f64) -> f64 {
    let name = text_width(&fit(&plug.label, letter, false, most), letter, false);
    name.max(text_width(plug.state.word(), letter, true)) + 0.8 * letter
}

/// More rows of names would push the picture apart; then names are shortened.
const MOST_ROWS: usize = 3;

/// Rows needed under the floor for the plugs' names: as few as let those of each row stand side by side.
fn rows(plugs: &[&SectionPlug], width: f64, letter: f64) -> usize {
    let fits = |rows: usize| {
        (0..rows).all(|row| {
            let here = plugs.iter().skip(row).step_by(rows);
            here.map(|p| plug_width(p, letter, width)).sum::<f64>() <= width - 0.6 * letter
        })
    };
    let most = plugs.len().min(MOST_ROWS);
    (1..=most).find(|rows| fits(*rows)).unwrap_or(most)
}

fn flows(input: &SectionInput) -> bool {
    input.runoff_ml_per_min.is_some_and(|q| q > 0.0)
}

const FLOW_HEIGHT: f64 = 2.9;

/// Height needed below the heads of the plugs, picture units.
pub(super) fn below(input: &SectionInput, width: f64, letter: f64) -> f64 {
    let flow = if flows(input) { FLOW_HEIGHT * letter } else { 0.0 };
    flow + rows(&floor_plugs(input), width, letter) as f64 * (2.0 * LINE + 0.3) * letter
}

/// Names and states of the plugs, each with a leader.
pub(super) fn plugs(picture: &mut Picture, input: &SectionInput, place: &Place) {
    let letter = place.letter;
    let plugs = floor_plugs(input);
    let rows = rows(&plugs, place.width, letter);
    let heads = place.floor + place.wall + 0.75 * letter;
    let top = place.floor + place.wall + 1.2 * letter + if flows(input) { FLOW_HEIGHT * letter } else { 0.0 };
    for row in 0..rows {
        let here: Vec<&&SectionPlug> = plugs.iter().skip(row).step_by(rows).collect();
        let most = (place.width - 0.6 * letter) / here.len() as f64 - 0.8 * letter;
        let wanted: Vec<f64> = here.iter().map(|p| place.x(p.along_mm)).collect();
        let fair = here.iter().map(|p| plug_width(p, letter, place.width)).sum::<f64>() > place.width - 0.6 * letter;
        let most = if fair { most } else { place.width };
        let extents: Vec<f64> = here.iter().map(|p| plug_width(p, letter, most)).collect();
        let Some(centres) = spread(&wanted, &extents, 0.3 * letter, place.width - 0.3 * letter) else { continue };
        let y = top + row as f64 * (2.0 * LINE + 0.3) * letter;
        for (plug, centre) in here.iter().zip(centres) {
            let x = place.x(plug.along_mm);
            let from = if plug.state == PlugState::Out { heads - 0.75 * letter } else { heads };
            let under_flow = flows(input) && input.standpipe.is_some_and(|s| (place.x(s.along_mm) - x).abs() < letter);
            if !under_flow {
                picture.line(&[(x, from), (x, y - 0.5 * letter), (centre, y)], Role::Faint, 0.07 * letter);
            }
            let hand = Hand::new(letter, plug.state.role()).middle();
            picture.words(centre, y + 0.95 * letter, hand.halo(), &fit(&plug.label, letter, false, most));
            picture.words(centre, y + (0.95 + LINE) * letter, hand.bold().halo(), plug.state.word());
        }
    }
    for nose in [true, false] {
        wall_plugs(picture, input, place, nose);
    }
}

/// Plugs in a wall have their words above the casing, the highest plug's lowest.
fn wall_plugs(picture: &mut Picture, input: &SectionInput, place: &Place, nose: bool) {
    let letter = place.letter;
    let mut here: Vec<&SectionPlug> = input.plugs.iter().filter(|p| !p.in_floor() && p.at_nose() == nose).collect();
    here.sort_by(|a, b| b.up_mm.total_cmp(&a.up_mm));
    let both = input.plugs.iter().any(|p| !p.in_floor() && p.at_nose() != nose);
    let room = if both { place.width / 2.0 } else { place.width } - 1.2 * letter;
    for (i, plug) in here.iter().take(4).enumerate() {
        let baseline = place.top - (0.75 + 1.5 * i as f64) * letter;
        let offset = (1.0 + 0.35 * i as f64) * letter;
        let outer = if nose { place.left - place.wall - offset } else { place.right + place.wall + offset };
        let y = place.y(plug.up_mm).clamp(place.top + letter, place.floor - letter);
        let beside = outer + if nose { 0.3 * letter } else { -0.3 * letter };
        picture.line(&[(beside, y), (outer, y), (outer, baseline + 0.3 * letter)], Role::Faint, 0.07 * letter);
        let state = plug.state.word();
        let gap = 0.5 * letter;
        let name = fit(&plug.label, letter, false, room - text_width(state, letter, true) - gap);
        let name_width = text_width(&name, letter, false);
        let total = name_width + gap + text_width(state, letter, true);
        let left = if nose { 0.4 * letter } else { place.width - 0.4 * letter - total };
        let hand = Hand::new(letter, plug.state.role());
        picture.words(left, baseline, hand, &name);
        picture.words(left + name_width + gap, baseline, hand.bold(), state);
    }
}

/// The arrow below the level plug; the part that is only expansion is hatched.
pub(super) fn run_off(picture: &mut Picture, input: &SectionInput, place: &Place) {
    let Some(flow) = input.runoff_ml_per_min.filter(|&q| q > 0.0) else { return };
    let letter = place.letter;
    let x = place.x(place.lip_along_mm).clamp(1.2 * letter, place.width - 1.2 * letter);
    let top = place.floor + place.wall + 0.2 * letter;
    let neck = top + 2.3 * letter;
    let half = 0.5 * letter;
    let tip = neck + 1.0 * letter;
    let part = input.expansion_ml_per_min.map(|e| (e / flow).clamp(0.0, 1.0));
    let split = x - half + 2.0 * half * part.unwrap_or(0.0);
    let shaft = |from: f64, to: f64| [(from, top), (to, top), (to, neck), (from, neck)];
    picture.area(&shaft(split, x + half), Role::Act, Pattern::Solid);
    picture.area(&shaft(x - half, split), Role::Act, Pattern::Hatch { angle_deg: 45.0, spacing: 0.3 * letter });
    picture.outline(&shaft(x - half, x + half), Role::Act, 0.1 * letter);
    picture.area(&[(x - 1.0 * letter, neck), (x + 1.0 * letter, neck), (x, tip)], Role::Act, Pattern::Solid);

    run_off_words(picture, input, place, x, top + 1.75 * letter);
}

/// What runs off, beside the arrow: on a side where the leader of no plug is crossed if there is one.
fn run_off_words(picture: &mut Picture, input: &SectionInput, place: &Place, x: f64, baseline: f64) {
    let letter = place.letter;
    let flow = input.runoff_ml_per_min.unwrap_or(0.0);
    let expansion = input.expansion_ml_per_min.map(|e| e.max(0.0));
    let spoken =
        |e: f64| if e >= flow { "all of it expansion".to_owned() } else { format!("{} of it expansion", number(e)) };
    let terse = |e: f64| format!("{} expansion", number(e.min(flow)));
    let wordings = [
        (format!("{} mL/min runs off", number(flow)), expansion.map(spoken).unwrap_or_default()),
        (format!("{} mL/min", number(flow)), expansion.map(terse).unwrap_or_default()),
    ];
    let gap = 1.4 * letter;
    let wide = |w: &(String, String)| text_width(&w.0, letter, true).max(text_width(&w.1, letter, false));
    let fits = |w: &(String, String), right: bool| {
        if right { x + gap + wide(w) < place.width } else { x - gap - wide(w) > 0.0 }
    };
    let crosses = |w: &(String, String), right: bool| {
        let (from, to) = if right { (x + gap, x + gap + wide(w)) } else { (x - gap - wide(w), x - gap) };
        floor_plugs(input).iter().any(|p| (from..=to).contains(&place.x(p.along_mm)))
    };
    let choices = [(&wordings[0], true), (&wordings[0], false), (&wordings[1], true), (&wordings[1], false)];
    let clear = choices.iter().find(|(w, right)| fits(w, *right) && !crosses(w, *right));
    let fitting = choices.iter().find(|(w, right)| fits(w, *right));
    let Some((words, right)) = clear.or(fitting) else { return };
    let hand = Hand::new(letter, Role::Ink).halo();
    let (at, hand) = if *right { (x + gap, hand) } else { (x - gap, hand.end()) };
    picture.words(at, baseline, hand.bold(), &words.0);
    picture.words(at, baseline + LINE * letter, hand, &words.1);
}

/// The surplus in words in the air above it.
pub(super) fn surplus(picture: &mut Picture, input: &SectionInput, place: &Place) {
    let now = input.level_now_mm.or(input.level_reference_mm);
    let (Some(ml), Some(now)) = (input.surplus_ml, now) else { return };
    let letter = place.letter;
    let words = match ml.abs().round() {
        0.0 => "at the lip".to_owned(),
        _ if ml > 0.0 => format!("surplus {} mL", number(ml)),
        _ => format!("missing {} mL", number(ml)),
    };
    let words = fit(&words, letter, true, place.right - place.left - 2.0 * letter);
    let (y, low) = (place.top + 1.35 * letter, place.surface_inside(now, place.left + 2.0 * letter));
    let x = place.left + 0.9 * letter;
    if low > y + letter {
        picture.line(&[(x + letter, y + 0.4 * letter), (x + letter, low)], Role::Surplus, 0.08 * letter);
    }
    picture.words(x, y, Hand::new(letter, Role::Ink).bold().halo(), &words);
    if input.by_ledger {
        let hand = Hand::new(letter, Role::Faint).halo();
        let basis = wrap("by ledger, if right before", letter, false, place.right - x - 0.3 * letter, 3);
        for (i, line) in basis.iter().enumerate() {
            picture.words(x, y + (i + 1) as f64 * LINE * letter, hand, line);
        }
    }
}

fn foot_words(input: &SectionInput, exaggeration: f64) -> String {
    let tenths = (input.tilt_deg * 10.0).round() / 10.0;
    let tilt = if tenths > 0.0 {
        format!("◀ nose, {tenths:.1}° up.")
    } else if tenths < 0.0 {
        format!("◀ nose, {:.1}° down.", -tenths)
    } else {
        "◀ nose, level.".to_owned()
    };
    format!("{tilt} Heights drawn {exaggeration:.1} × as large as lengths.")
}

/// A larger scale is printed as this one: such a sump is a slip of the pen.
const WIDEST_SCALE: f64 = 9_999.9;

/// Height of the line of words at the foot, picture units.
pub(super) fn foot_height(width: f64, letter: f64, input: &SectionInput) -> f64 {
    // The scale is not known yet; no scale takes more room than this.
    let lines = wrap(&foot_words(input, WIDEST_SCALE), letter * 0.92, false, width - 0.8 * letter, 2).len();
    (lines as f64 * LINE + 0.3) * letter
}

pub(super) fn foot(picture: &mut Picture, input: &SectionInput, place: &Place) {
    let letter = place.letter;
    let lines = wrap(
        &foot_words(input, place.exaggeration().min(WIDEST_SCALE)),
        letter * 0.92,
        false,
        place.width - 0.8 * letter,
        2,
    );
    for (i, line) in lines.iter().enumerate() {
        let y = place.height - 0.5 * letter - (lines.len() - 1 - i) as f64 * LINE * letter;
        picture.words(0.4 * letter, y, Hand::new(letter * 0.92, Role::Faint), line);
    }
}
