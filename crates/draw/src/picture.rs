//! The display list: what every picture is made of.

use serde::{Deserialize, Serialize};

/// What a mark stands for. The page gives each role a colour per theme, paper gives it a grey or the accent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// The strongest line or word.
    Ink,
    /// Grid lines, secondary words.
    Faint,
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
