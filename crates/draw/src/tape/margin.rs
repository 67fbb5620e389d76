//! The margin right of the tape: log entries in words, now, and the predicted opening and closing with their times.

use super::{Face, Moment, TapeInput, scale, scale::Scale};
use crate::label::spread;
use crate::picture::{Hand, Pattern, Picture, Role};
use crate::text::{fit, text_width, wrap};

/// More entries than this are never legible; the newest stay.
const MOST_NOTCHES: usize = 120;

struct Note {
    t_s: f64,
    lines: Vec<String>,
    role: Role,
    bold: bool,
    /// Log entries may be shortened or left out, the rest may not.
    entry: bool,
}

pub(super) fn margin(picture: &mut Picture, input: &TapeInput, face: &Face, scale: &Scale) {
    let letter = face.letter;
    for (moment, _) in moments(input) {
        moment_line(picture, input, moment, face, scale);
    }
    now_line(picture, input, face, scale);
    let (notes, centres) = placed(input, face, scale);
    for (note, centre) in notes.iter().zip(centres) {
        let y = scale.y(note.t_s);
        let text_left = face.right + 1.5 * letter;
        if note.entry {
            picture.line(&[(face.right - 0.7 * letter, y), (face.right, y)], note.role, letter * 0.2);
        }
        let leader = [(face.right, y), (face.right + 0.6 * letter, centre), (text_left - 0.3 * letter, centre)];
        picture.line(&leader, note.role, letter * 0.07);
        let first = centre - (note.lines.len() as f64 - 1.0) / 2.0 * LINE * letter + 0.35 * letter;
        for (i, line) in note.lines.iter().enumerate() {
            let bold = note.bold && i == 0;
            let mut hand = Hand::new(letter, note.role);
            hand.bold = bold;
            picture.words(text_left, first + i as f64 * LINE * letter, hand, line);
        }
    }
}

/// Entries may fill this part of the margin; more would push words too far from their notches.
const CROWD: f64 = 0.75;

/// Line spacing of words, in letters.
const LINE: f64 = 1.18;

fn extent(note: &Note, letter: f64) -> f64 {
    (note.lines.len() as f64 * LINE + 0.25) * letter
}

/// The notes that fit and where: first with three lines an entry, then fewer, then without the oldest entries.
fn placed(input: &TapeInput, face: &Face, scale: &Scale) -> (Vec<Note>, Vec<f64>) {
    let (low, high) = (face.top - 0.6 * face.letter, face.bottom + 0.3 * face.letter);
    let mut shown: Vec<&(f64, String)> = input.notches.iter().filter(|n| scale.shows(n.0)).collect();
    shown.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut hidden = shown.len().saturating_sub(MOST_NOTCHES);
    let mut lines = 3;
    loop {
        let mut notes = fixed(input, face, scale);
        notes.extend(shown[hidden..].iter().map(|n| entry(n.0, &n.1, face, lines)));
        if hidden > 0 {
            let words = format!("… {hidden} earlier");
            notes.push(entry(shown[hidden - 1].0, &words, face, 1));
        }
        notes.retain(|n| !n.lines.is_empty());
        notes.sort_by(|a, b| a.t_s.total_cmp(&b.t_s));
        let wanted: Vec<f64> = notes.iter().map(|n| scale.y(n.t_s)).collect();
        let extents: Vec<f64> = notes.iter().map(|n| extent(n, face.letter)).collect();
        match spread(&wanted, &extents, low, high) {
            Some(centres) if hidden == shown.len() || extents.iter().sum::<f64>() <= CROWD * (high - low) => {
                return (notes, centres);
            }
            _ if lines > 1 => lines -= 1,
            _ if hidden < shown.len() => hidden += 1,
            _ => return (Vec::new(), Vec::new()),
        }
    }
}

fn room(face: &Face) -> f64 {
    // The margin is what the face leaves free: 9.8 letters, less the leader and a rim.
    8.1 * face.letter
}

fn entry(t_s: f64, words: &str, face: &Face, lines: usize) -> Note {
    let lines = wrap(words, face.letter, false, room(face), lines);
    Note { t_s, lines, role: Role::Ink, bold: false, entry: true }
}

/// What is always in the margin: now, opening, closing.
fn fixed(input: &TapeInput, face: &Face, scale: &Scale) -> Vec<Note> {
    let mut notes = Vec::new();
    if let Some(now) = input.now_s.filter(|&t| scale.shows(t)) {
        notes.push(Note { t_s: now, lines: vec!["now".to_owned()], role: Role::Ink, bold: true, entry: false });
    }
    for (moment, words) in moments(input) {
        if !scale.shows(moment.p50) {
            continue;
        }
        let past = is_past(input, moment);
        let verb = if past { words.1 } else { words.0 };
        let doubt = if past { String::new() } else { doubt(moment) };
        let mut lines = vec![fit(&time(input, moment.p50), face.letter, true, room(face))];
        lines.extend(beside(verb, &doubt, face));
        let role = if past { Role::Window } else { Role::Forecast };
        notes.push(Note { t_s: moment.p50, lines, role, bold: true, entry: false });
    }
    notes
}

/// "opens ± 20 s": the doubt goes to a line of its own before a figure of it is cut.
fn beside(verb: &str, doubt: &str, face: &Face) -> Vec<String> {
    let whole = format!("{verb} {doubt}");
    if text_width(whole.trim_end(), face.letter, false) <= room(face) {
        return vec![whole.trim_end().to_owned()];
    }
    [verb, doubt].map(|words| fit(words, face.letter, false, room(face))).to_vec()
}

fn moments(input: &TapeInput) -> impl Iterator<Item = (Moment, (&'static str, &'static str))> {
    let opens = input.opens_s.map(|m| (m, ("opens", "opened")));
    let closes = input.closes_s.map(|m| (m, ("closes", "closed")));
    opens.into_iter().chain(closes)
}

fn is_past(input: &TapeInput, moment: Moment) -> bool {
    input.now_s.is_none_or(|now| moment.p50 <= now)
}

fn time(input: &TapeInput, t_s: f64) -> String {
    if let Some(start) = input.start_clock_s {
        return scale::clock(start + t_s, true);
    }
    let whole = t_s.max(0.0).round().min(1e9) as u64;
    if whole < 6000 { format!("{}:{:02} min", whole / 60, whole % 60) } else { format!("{} min", whole / 60) }
}

/// Half the width of the interval that holds in 8 cases of 10.
fn doubt(moment: Moment) -> String {
    let half = (moment.p90 - moment.p10).abs() / 2.0;
    if half < 0.5 {
        String::new()
    } else if half < 90.0 {
        format!("± {} s", if half < 20.0 { half.round() } else { (half / 5.0).round() * 5.0 })
    } else {
        format!("± {} min", scale::tidy(if half < 600.0 { half / 60.0 } else { (half / 60.0).round() }))
    }
}

/// A line across at the median and a bracket from the early to the late bound.
fn moment_line(picture: &mut Picture, input: &TapeInput, moment: Moment, face: &Face, scale: &Scale) {
    if !scale.shows(moment.p50) {
        return;
    }
    let letter = face.letter;
    let y = scale.y(moment.p50);
    let past = is_past(input, moment);
    let role = if past { Role::Window } else { Role::Forecast };
    picture.line(&[(face.left, y), (face.right, y)], role, letter * if past { 0.1 } else { 0.13 });
    if past {
        return;
    }
    let (x, early, late) = (face.right - 0.5 * letter, scale.y(moment.p10), scale.y(moment.p90));
    picture.line(&[(x, early), (x, late)], role, letter * 0.2);
    for end in [early, late] {
        picture.line(&[(x - 0.35 * letter, end), (x + 0.35 * letter, end)], role, letter * 0.13);
    }
}

/// A line across at now, with the pen at the left edge.
fn now_line(picture: &mut Picture, input: &TapeInput, face: &Face, scale: &Scale) {
    let Some(now) = input.now_s.filter(|&t| scale.shows(t)) else { return };
    let (letter, y) = (face.letter, scale.y(now));
    picture.line(&[(face.left, y), (face.right, y)], Role::Ink, letter * 0.12);
    let pen =
        [(face.left, y), (face.left - 0.7 * letter, y - 0.4 * letter), (face.left - 0.7 * letter, y + 0.4 * letter)];
    picture.area(&pen, Role::Ink, Pattern::Solid);
}
