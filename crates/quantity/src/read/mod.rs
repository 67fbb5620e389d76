//! Reads a quantity as a manual prints it, and says whether its printed units agree.
//!
//! ```
//! use quantity::read::{Region, read};
//! let window = read("43–53 °C (110–125 °F)", Region::Us).unwrap();
//! assert!(!window.agree); // 53 °C is 127.4 °F
//! let part = window.part.unwrap();
//! assert_eq!(part.unit, "Cel");
//! assert!((part.low - 43.33).abs() < 0.01 && (part.high - 51.67).abs() < 0.01);
//! ```
//!
//! Agreement allows for the rounding that the printed digits imply: half a unit of the last printed digit on each
//! side (the trailing zeros of whole numbers of 1000 and more count as rounding, a fraction counts its own
//! denominator), never more than 5 % of the value. How decimal and thousands marks are told apart is said in the
//! private module `number`: with one mark, a comma followed by exactly three digits groups thousands unless the number
//! begins with 0, any other comma is decimal, a point is always decimal; doubtful cases are noted.

mod agree;
mod assemble;
mod atom;
mod error;
mod number;
mod token;
mod typed;
mod unit;

pub use error::ReadError;
pub use typed::*;

use serde::{Deserialize, Serialize};

/// Whose gallon, quart, pint and fluid ounce is meant when the text does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Region {
    /// US liquid measure.
    #[default]
    Us,
    /// British imperial measure.
    Imperial,
}

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Dimension {
    /// A point on a temperature scale.
    Temperature,
    /// A difference between two temperatures; read only where a caller asks for one.
    TemperatureDifference,
    /// How fast a temperature changes.
    TemperatureRate,
    /// A tightening torque.
    Torque,
    /// A volume of fluid.
    Volume,
    /// A distance travelled.
    Distance,
    /// A length in the workshop.
    Length,
    /// An area.
    Area,
    /// A pressure.
    Pressure,
    /// A kinematic viscosity.
    KinematicViscosity,
    /// A density.
    Density,
    /// A mass.
    Mass,
    /// An angle.
    Angle,
    /// A span of time.
    Duration,
}

impl Dimension {
    /// True where less than nothing has a meaning.
    pub const fn can_be_negative(self) -> bool {
        matches!(self, Self::Temperature | Self::TemperatureDifference | Self::TemperatureRate | Self::Angle)
    }
}

impl std::fmt::Display for Dimension {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Temperature => "a temperature",
            Self::TemperatureDifference => "a temperature difference",
            Self::TemperatureRate => "a rate of temperature change",
            Self::Torque => "a torque",
            Self::Volume => "a volume",
            Self::Distance => "a distance",
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Pressure => "a pressure",
            Self::KinematicViscosity => "a kinematic viscosity",
            Self::Density => "a density",
            Self::Mass => "a mass",
            Self::Angle => "an angle",
            Self::Duration => "a duration",
        })
    }
}

/// One value as printed in one unit; a single value has low = high.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Printed {
    /// The part of the text that says it.
    pub text: String,
    /// Low end, in `unit`.
    pub low: f64,
    /// High end, in `unit`.
    pub high: f64,
    /// UCUM code.
    pub unit: &'static str,
}

/// The part on which all printed units agree.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Part {
    /// Low end, in `unit`.
    pub low: f64,
    /// High end, in `unit`.
    pub high: f64,
    /// UCUM code of the unit printed first.
    pub unit: &'static str,
}

impl Part {
    /// Both ends in the canonical unit of `dimension`, the one the kinds of this crate hold.
    fn canonical(&self, dimension: Dimension) -> Option<(f64, f64)> {
        let unit = unit::coded(dimension, self.unit)?;
        Some((unit.canonical(self.low), unit.canonical(self.high)))
    }
}

/// A quantity as read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reading {
    /// What it measures.
    pub dimension: Dimension,
    /// Every printed value, in printed order.
    pub readings: Vec<Printed>,
    /// True when all printed values agree at both ends within their rounding.
    pub agree: bool,
    /// The part that lies in every printed value, in the unit printed first, never widened. `None` (`null`) when the
    /// printed values exclude each other: there is then nothing to work with, and the first value is no better than
    /// the others.
    #[serde(rename = "use")]
    pub part: Option<Part>,
    /// What a reader should know: which end disagrees by how much, what was assumed. `None` when nothing.
    pub note: Option<String>,
}

/// The longest text that is read, in characters.
pub const LONGEST_TEXT: usize = 400;

/// Reads a quantity as printed: one value or range, in one unit or several.
///
/// # Errors
/// [`ReadError`] for what is no quantity or cannot be: no number, no unit, mixed dimensions, not finite, below absolute
/// zero, a reversed range, a negative torque. Never panics.
pub fn read(text: &str, region: Region) -> Result<Reading, ReadError> {
    read_as(text, region, None)
}

fn read_as(text: &str, region: Region, wanted: Option<Dimension>) -> Result<Reading, ReadError> {
    let chars: Vec<char> = text.trim().chars().collect();
    if chars.is_empty() {
        return Err(ReadError::Empty);
    }
    if chars.len() > LONGEST_TEXT {
        return Err(ReadError::TooLong { length: chars.len(), limit: LONGEST_TEXT });
    }
    let tokens = token::tokens(&chars)?;
    let atoms = atom::atoms(&chars, &tokens)?;
    let found = assemble::assemble(&chars, &atoms, region, wanted)?;
    let part = agree::common_part(&found.values);
    let agree = agree::all_agree(&found.values);

    let mut notes: Vec<String> = agree::disagreement(&found.values, part.as_ref()).into_iter().collect();
    if let Some(assumed) = found.assumed {
        notes.push(region_note(assumed, agree, || {
            let other = assemble::assemble(&chars, &atoms, assumed.other(), wanted);
            other.is_ok_and(|o| agree::all_agree(&o.values))
        }));
    }
    notes.extend(atoms.iter().filter_map(|a| doubtful_mark(&chars, a, found.dimension)));
    if tokens.iter().any(|t| matches!(t.kind, token::Kind::About)) {
        notes.push("The text says \"about\"; the number is taken as exact to its printed digits.".to_owned());
    }
    let readings =
        found.values.into_iter().map(|v| Printed { text: v.text, low: v.low, high: v.high, unit: v.unit.code });
    Ok(Reading {
        dimension: found.dimension,
        readings: readings.collect(),
        agree,
        part,
        note: (!notes.is_empty()).then(|| notes.join(" ")),
    })
}

impl Region {
    const fn other(self) -> Self {
        match self {
            Self::Us => Self::Imperial,
            Self::Imperial => Self::Us,
        }
    }
    const fn name(self) -> &'static str {
        match self {
            Self::Us => "US",
            Self::Imperial => "imperial",
        }
    }
}

fn region_note(assumed: Region, agree: bool, other_agrees: impl FnOnce() -> bool) -> String {
    let other = assumed.other().name();
    let mut note = format!("Taken as {} measure; say so in the text if it is {other}.", assumed.name());
    if !agree && other_agrees() {
        note.push_str(&format!(" As {other} measure the printed units would agree."));
    }
    note
}

/// A mark before exactly three digits, where it may well have meant the other thing: thousands are usual for
/// distances and rare for anything else.
fn doubtful_mark(chars: &[char], atom: &atom::Atom, dimension: Dimension) -> Option<String> {
    let mark = atom.doubtful?;
    let thousands_usual = dimension == Dimension::Distance;
    let (printed, taken): (String, _) = (chars[atom.start..atom.end].iter().collect(), atom.value);
    ((mark == ',') != thousands_usual).then(|| {
        let meaning = if mark == ',' { "a comma that groups thousands" } else { "a decimal point" };
        format!("\"{printed}\" is read as {taken}, with {meaning}.")
    })
}
