//! The section: a side view of the sump with its fluid, standpipe and plugs.

mod casing;
mod fluid;
mod labels;

use serde::{Deserialize, Serialize};

use crate::picture::{Picture, Size, drawable};

/// What is known of a plug.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlugState {
    In,
    Out,
    /// In, and shown to turn.
    Proven,
}

/// The overflow pipe.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Standpipe {
    /// Distance ahead of the centroid of the fluid surface, mm; behind it is negative.
    pub along_mm: f64,
    /// Height of the lip above the sump floor, mm.
    pub lip_height_mm: f64,
}

/// One plug.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SectionPlug {
    /// Its name and whatever else belongs beside it: "drain, 25 N·m".
    pub label: String,
    /// Distance ahead of the centroid of the fluid surface, mm; behind it is negative.
    pub along_mm: f64,
    /// Height above the sump floor, mm; 0 is in the floor.
    pub up_mm: f64,
    pub state: PlugState,
}

/// Everything the section shows. Levels are mm above the lip at the standpipe; below the lip is
/// negative. Without a standpipe the lip is the lower edge of the highest plug.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SectionInput {
    /// Area of the fluid surface, m².
    pub sump_area_m2: f64,
    /// `None` for a unit filled to the bottom of a hole.
    pub standpipe: Option<Standpipe>,
    pub plugs: Vec<SectionPlug>,
    /// Nose up is positive, degrees.
    pub tilt_deg: f64,
    pub level_now_mm: Option<f64>,
    /// What the level would be at the reference temperature.
    pub level_reference_mm: Option<f64>,
    /// Where the level ends at the reference temperature if the level plug is closed now.
    pub level_if_closed_mm: Option<f64>,
    /// Fluid above the lip, mL.
    pub surplus_ml: Option<f64>,
    /// What leaves the level plug now, mL/min.
    pub runoff_ml_per_min: Option<f64>,
    /// The part of it that is only expansion, mL/min.
    pub expansion_ml_per_min: Option<f64>,
    /// The levels rest on what went in and came out alone: drawn broken and said so.
    #[serde(default)]
    pub by_ledger: bool,
    /// Why there is no level to draw; empty for the usual words.
    #[serde(default)]
    pub unknown: String,
}

/// The section at one of the usual sizes. Draws what it can from any input; what is not a number counts as not known.
pub fn section(input: &SectionInput, size: Size) -> Picture {
    let (width, height) = match size {
        Size::Narrow => (344.0, 250.0),
        Size::Wide => (520.0, 350.0),
        Size::Paper => (262.0, 165.0),
    };
    section_in(input, width, height, size.letter())
}

/// The section in a given room, picture units, with words of the given height. Rooms too small to draw in are widened to the
/// least that works, 26 × 19 letters, and made taller for many plugs.
pub fn section_in(input: &SectionInput, width: f64, height: f64, letter: f64) -> Picture {
    let letter = if letter > 0.0 { letter.clamp(1.0, 200.0) } else { 12.0 };
    let width = drawable(width).max(26.0 * letter);
    let height = drawable(height).max(19.0 * letter);
    let input = &sound(input);
    let place = Place::new(input, width, height, letter);
    let mut picture = Picture::new(width, place.height);
    fluid::fluid(&mut picture, input, &place);
    casing::casing(&mut picture, input, &place);
    labels::levels(&mut picture, input, &place);
    labels::plugs(&mut picture, input, &place);
    labels::run_off(&mut picture, input, &place);
    labels::surplus(&mut picture, input, &place);
    labels::foot(&mut picture, input, &place);
    picture
}

/// Steeper than any floor a vehicle is serviced on, degrees.
const STEEPEST_DEG: f64 = 20.0;
/// Plugs lower than this are in the floor, mm.
const FLOOR_PLUG_MM: f64 = 5.0;
/// A pan is about this much longer than wide: common practice, no source; only the drawn length depends on it.
const LENGTH_TO_WIDTH: f64 = 1.6;
/// Lip height where none is given, mm; only so that there is something to draw.
const SOME_HEIGHT_MM: f64 = 30.0;

fn sound(input: &SectionInput) -> SectionInput {
    let known = |x: Option<f64>| x.filter(|x| x.is_finite());
    let near = |x: f64| if x.is_nan() { 0.0 } else { x.clamp(-2_000.0, 2_000.0) };
    SectionInput {
        sump_area_m2: if input.sump_area_m2 > 0.0 { input.sump_area_m2.clamp(0.001, 2.0) } else { 0.08 },
        standpipe: input.standpipe.map(|s| Standpipe {
            along_mm: near(s.along_mm),
            lip_height_mm: if s.lip_height_mm > 0.0 { s.lip_height_mm.min(500.0) } else { SOME_HEIGHT_MM },
        }),
        plugs: input
            .plugs
            .iter()
            .take(12)
            .map(|p| SectionPlug { along_mm: near(p.along_mm), up_mm: near(p.up_mm).clamp(0.0, 500.0), ..p.clone() })
            .collect(),
        tilt_deg: if input.tilt_deg.is_nan() { 0.0 } else { input.tilt_deg.clamp(-STEEPEST_DEG, STEEPEST_DEG) },
        level_now_mm: known(input.level_now_mm),
        level_reference_mm: known(input.level_reference_mm),
        level_if_closed_mm: known(input.level_if_closed_mm),
        surplus_ml: known(input.surplus_ml),
        runoff_ml_per_min: known(input.runoff_ml_per_min),
        expansion_ml_per_min: known(input.expansion_ml_per_min),
        by_ledger: input.by_ledger,
        unknown: input.unknown.clone(),
    }
}

impl SectionPlug {
    fn in_floor(&self) -> bool {
        self.up_mm < FLOOR_PLUG_MM
    }
    fn at_nose(&self) -> bool {
        self.along_mm >= 0.0
    }
}

/// Where things lie in the picture.
struct Place {
    letter: f64,
    width: f64,
    height: f64,
    /// Inner faces of the casing.
    left: f64,
    right: f64,
    top: f64,
    floor: f64,
    /// Thickness of the casing as drawn.
    wall: f64,
    /// Where the labels of the levels begin.
    column: f64,
    lip_along_mm: f64,
    lip_mm: f64,
    slope: f64,
    /// Picture units per mm, along and up.
    along: f64,
    up: f64,
}

impl Place {
    fn new(input: &SectionInput, width: f64, height: f64, letter: f64) -> Self {
        let in_wall = |nose: bool| input.plugs.iter().filter(|p| !p.in_floor() && p.at_nose() == nose).count() as f64;
        let wall = 1.1 * letter;
        let head = 2.2 * letter;
        let left = 0.8 * letter + wall + if in_wall(true) > 0.0 { head } else { 0.0 };
        let column = width - 7.6 * letter;
        let right = column - 0.9 * letter - wall - if in_wall(false) > 0.0 { head } else { 0.0 };
        let top = 0.6 * letter + 1.5 * letter * in_wall(true).max(in_wall(false)).min(4.0);
        let below =
            wall + 1.2 * letter + labels::below(input, width, letter) + labels::foot_height(width, letter, input);
        let height = height.max(top + 6.0 * letter + below);
        let floor = height - below;

        let highest = input.plugs.iter().filter(|p| !p.in_floor()).max_by(|a, b| a.up_mm.total_cmp(&b.up_mm));
        let (lip_along_mm, lip_mm) = match (&input.standpipe, highest) {
            (Some(s), _) => (s.along_mm, s.lip_height_mm),
            (None, Some(p)) => (p.along_mm, p.up_mm),
            (None, None) => (0.0, SOME_HEIGHT_MM),
        };
        let mut half_mm = (input.sump_area_m2 * LENGTH_TO_WIDTH).sqrt() * 500.0;
        for at in input.plugs.iter().filter(|p| p.in_floor()).map(|p| p.along_mm).chain([lip_along_mm]) {
            half_mm = half_mm.max(at.abs() * 1.2);
        }
        let slope = input.tilt_deg.to_radians().tan();
        let level = [input.level_now_mm, input.level_reference_mm, input.level_if_closed_mm, Some(0.0)]
            .into_iter()
            .flatten()
            .fold(0.0, f64::max)
            .min(3.0 * lip_mm);
        let highest_mm = (lip_mm + level + (half_mm + lip_along_mm.abs()) * slope.abs()).min(5.0 * lip_mm);
        let highest_mm = input.plugs.iter().map(|p| p.up_mm + 6.0).fold(highest_mm, f64::max);
        Place {
            letter,
            width,
            height,
            left,
            right,
            top,
            floor,
            wall,
            column,
            lip_along_mm,
            lip_mm,
            slope,
            along: (right - left) / (2.0 * half_mm),
            up: (floor - top - 2.4 * letter) / highest_mm,
        }
    }

    /// Nose to the left.
    fn x(&self, along_mm: f64) -> f64 {
        (self.left + self.right) / 2.0 - along_mm * self.along
    }

    fn y(&self, up_mm: f64) -> f64 {
        self.floor - up_mm * self.up
    }

    /// Height in the picture, at `x`, of a surface that stands `level_mm` above the lip at the lip. Fluid runs to the low
    /// end: with the nose up it stands higher at the tail.
    fn surface(&self, level_mm: f64, x: f64) -> f64 {
        let along_mm = ((self.left + self.right) / 2.0 - x) / self.along;
        self.y(self.lip_mm + level_mm + self.slope * (self.lip_along_mm - along_mm))
    }

    fn surface_inside(&self, level_mm: f64, x: f64) -> f64 {
        self.surface(level_mm, x).clamp(self.top, self.floor)
    }

    /// How many times larger heights are drawn than lengths.
    fn exaggeration(&self) -> f64 {
        self.up / self.along
    }
}
