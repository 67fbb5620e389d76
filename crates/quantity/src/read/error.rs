//! What can be wrong with a printed quantity, and what to do about it.

use super::Dimension;

/// Why a text is not a quantity. The message says what and where; [`ReadError::hint`] says what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ReadError {
    /// Nothing but white space.
    #[error("there is no text to read a quantity from")]
    Empty,
    /// Longer than any printed quantity.
    #[error("the text has {length} characters; a printed quantity has at most {limit}")]
    TooLong {
        /// Characters given.
        length: usize,
        /// Characters allowed.
        limit: usize,
    },
    /// Words, but no number.
    #[error("there is no number in \"{text}\"")]
    NoNumber {
        /// The text.
        text: String,
    },
    /// Digits that make no number.
    #[error("\"{printed}\" is not a number: {why}")]
    Malformed {
        /// The digits as printed.
        printed: String,
        /// What is wrong with them.
        why: &'static str,
    },
    /// NaN, infinite, or too large to convert.
    #[error("\"{printed}\" is not a finite number")]
    NotFinite {
        /// As printed.
        printed: String,
    },
    /// A number without a unit.
    #[error("\"{printed}\" has no unit")]
    NoUnit {
        /// As printed.
        printed: String,
    },
    /// A word that is no unit.
    #[error("\"{word}\" is not a unit known here")]
    UnknownUnit {
        /// As printed.
        word: String,
    },
    /// A sign or word where it says nothing.
    #[error("\"{printed}\" does not belong where it stands in \"{text}\"")]
    Misplaced {
        /// The sign or word.
        printed: String,
        /// The whole text.
        text: String,
    },
    /// Two units of different kinds.
    #[error("\"{first}\" is {first_dimension} but \"{second}\" is {second_dimension}")]
    MixedDimensions {
        /// As printed.
        first: String,
        /// What it measures.
        first_dimension: Dimension,
        /// As printed.
        second: String,
        /// What it measures.
        second_dimension: Dimension,
    },
    /// Another kind of quantity than the one needed.
    #[error("\"{text}\" is {found}, but {wanted} is needed here")]
    WrongDimension {
        /// The text.
        text: String,
        /// What it is.
        found: Dimension,
        /// What it should be.
        wanted: Dimension,
    },
    /// Colder than possible.
    #[error("\"{printed}\" lies below absolute zero (−273.15 °C, −459.67 °F)")]
    BelowAbsoluteZero {
        /// As printed.
        printed: String,
    },
    /// Less than nothing of something that has no less.
    #[error("\"{printed}\" reaches below zero; {dimension} cannot be negative")]
    Negative {
        /// As printed.
        printed: String,
        /// What it measures.
        dimension: Dimension,
    },
    /// High before low.
    #[error("\"{printed}\" runs from high to low")]
    Reversed {
        /// As printed.
        printed: String,
    },
    /// Printed units that exclude each other.
    #[error("the units in \"{text}\" contradict each other. {note}")]
    NoCommonPart {
        /// The text.
        text: String,
        /// By how much, and where.
        note: String,
    },
    /// A range where one value is needed.
    #[error("\"{text}\" is a range, but one value is needed here")]
    NotOne {
        /// The text.
        text: String,
    },
}

impl ReadError {
    /// What to do about it, in one sentence.
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::Empty | Self::NoNumber { .. } => {
                "write a number and its unit as the manual prints them, for instance \"43–53 °C (109–127 °F)\""
            }
            Self::TooLong { .. } => "give only the number, its unit and, if printed, the same in a second unit",
            Self::Malformed { .. } => "write 1000 or 1,000 for a thousand and 1.5 or 1,5 for one and a half",
            Self::NotFinite { .. } => "give an ordinary number",
            Self::NoUnit { .. } => {
                "add the unit, for instance °C, N·m, L, US qt, km, mm, kPa, mm²/s, kg/m³, g, ° or min"
            }
            Self::UnknownUnit { .. } => {
                "use a unit as manuals spell it, for instance °C, lb-ft, N·m, in-lb, US gal, imp qt, psi or cSt, and leave out other words"
            }
            Self::Misplaced { .. } => {
                "write a range as \"43–53 °C\", a tolerance as \"22 ± 2 N·m\", a second unit in brackets"
            }
            Self::MixedDimensions { .. } => "give one quantity at a time",
            Self::WrongDimension { .. } => "check that the value belongs here and that its unit is spelled as meant",
            Self::BelowAbsoluteZero { .. } => "check the sign and the unit of the temperature",
            Self::Negative { .. } => "check the sign; if the dash means a range, put a number before it",
            Self::Reversed { .. } => {
                "print the low end first; two negative ends keep their signs, as in \"−20 to −10 °C\""
            }
            Self::NoCommonPart { .. } => "find out which printed value is right and give only that one",
            Self::NotOne { .. } => "give the single value meant, without a range or tolerance",
        }
    }
}
