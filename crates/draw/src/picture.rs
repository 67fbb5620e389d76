//! The display list: what every picture is made of.

use serde::{Deserialize, Serialize};

/// What a mark stands for. The page gives each role a colour per theme, paper gives it a grey or the accent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// The strongest line or word.
    Ink,
    /// Secondary words, leaders.
    Faint,
    /// Grid lines.
    Grid,
    /// The background; also the halo behind words that cross lines.
    Ground,
    /// The temperature window.
    Window,
    /// "Act now": used for nothing else.
    Act,
    /// The forecast and its doubt.
    Forecast,
    /// Above the window.
    Hot,
    /// Below the window.
    Cold,
    /// Fluid that was in the unit before.
    FluidOld,
    /// Fluid put in on this visit.
    FluidNew,
    /// Fluid above the lip.
    Surplus,
}

/// How an area is filled. No gradients: a flat tone or lines.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Pattern {
    /// A flat tone of the role, light enough for words to be read on top.
    Tone,
    /// The full colour of the role.
    Solid,
    /// Parallel lines: angle in degrees from the horizontal, spacing in picture units.
    Hatch { angle_deg: f64, spacing: f64 },
}

/// Which end of the words the given point is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// One mark. Coordinates in picture units, x to the right, y downward.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Item {
    /// An open line through the points.
    Line { points: Vec<(f64, f64)>, role: Role, width: f64, dashed: bool },
    /// A closed outline, filled.
    Area { points: Vec<(f64, f64)>, role: Role, pattern: Pattern },
    /// One line of words; `y` is the baseline. With `halo` a rim of the ground keeps lines off the words.
    Text { x: f64, y: f64, size: f64, role: Role, anchor: Anchor, bold: bool, halo: bool, text: String },
}

/// A finished picture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Picture {
    /// Width in picture units; on a page one unit is one CSS pixel at natural size.
    pub width: f64,
    /// Height in picture units.
    pub height: f64,
    /// Marks in the order in which they are laid down.
    pub items: Vec<Item>,
}

/// The room a picture is drawn for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Size {
    /// A phone held upright.
    Narrow,
    /// A tablet or a desk.
    Wide,
    /// The proof sheet.
    Paper,
}

/// The letter height, in picture units, that the narrow picture is set in; nothing on a phone is smaller.
pub(crate) const NARROW_LETTER: f64 = 12.0;

impl Size {
    /// Letter height of the words, picture units.
    pub(crate) fn letter(self) -> f64 {
        match self {
            Size::Narrow => NARROW_LETTER,
            Size::Wide => 14.0,
            Size::Paper => 7.0,
        }
    }
}

/// A coordinate that can be drawn: not a number becomes 0, a huge one stops far outside every picture.
pub(crate) fn drawable(x: f64) -> f64 {
    const FAR: f64 = 100_000.0;
    if x.is_nan() { 0.0 } else { x.clamp(-FAR, FAR) }
}

fn drawable_points(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    points.iter().map(|&(x, y)| (drawable(x), drawable(y))).collect()
}

/// How words are set: what they are for, how tall, from which end.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hand {
    pub size: f64,
    pub role: Role,
    pub anchor: Anchor,
    pub bold: bool,
    pub halo: bool,
}

impl Hand {
    pub fn new(size: f64, role: Role) -> Self {
        Hand { size, role, anchor: Anchor::Start, bold: false, halo: false }
    }
    pub fn middle(self) -> Self {
        Hand { anchor: Anchor::Middle, ..self }
    }
    pub fn end(self) -> Self {
        Hand { anchor: Anchor::End, ..self }
    }
    pub fn bold(self) -> Self {
        Hand { bold: true, ..self }
    }
    pub fn halo(self) -> Self {
        Hand { halo: true, ..self }
    }
}

impl Picture {
    pub(crate) fn new(width: f64, height: f64) -> Self {
        Picture { width, height, items: Vec::new() }
    }

    pub(crate) fn line(&mut self, points: &[(f64, f64)], role: Role, width: f64) {
        if points.len() > 1 {
            self.items.push(Item::Line { points: drawable_points(points), role, width, dashed: false });
        }
    }

    pub(crate) fn dashes(&mut self, points: &[(f64, f64)], role: Role, width: f64) {
        if points.len() > 1 {
            self.items.push(Item::Line { points: drawable_points(points), role, width, dashed: true });
        }
    }

    pub(crate) fn area(&mut self, points: &[(f64, f64)], role: Role, pattern: Pattern) {
        if points.len() > 2 {
            self.items.push(Item::Area { points: drawable_points(points), role, pattern });
        }
    }

    pub(crate) fn outline(&mut self, points: &[(f64, f64)], role: Role, width: f64) {
        if let Some(&first) = points.first() {
            let mut closed = points.to_vec();
            closed.push(first);
            self.line(&closed, role, width);
        }
    }

    pub(crate) fn words(&mut self, x: f64, y: f64, hand: Hand, text: &str) {
        if text.is_empty() {
            return;
        }
        self.items.push(Item::Text {
            x: drawable(x),
            y: drawable(y),
            size: hand.size,
            role: hand.role,
            anchor: hand.anchor,
            bold: hand.bold,
            halo: hand.halo,
            text: text.to_owned(),
        });
    }
}

/// The four corners of an upright rectangle.
pub(crate) fn rectangle(left: f64, top: f64, right: f64, bottom: f64) -> [(f64, f64); 4] {
    [(left, top), (right, top), (right, bottom), (left, bottom)]
}
