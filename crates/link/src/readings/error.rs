//! Why a whole file of readings is refused.

use thiserror::Error;

/// A file of readings that cannot be used at all. What is wrong with a single line is a [`Finding`](super::Finding).
#[derive(Debug, Error)]
pub enum ReadingsError {
    /// Nothing but blank lines and comments.
    #[error("{name}: the file is empty")]
    Empty {
        /// Name of the file as given by the caller.
        name: String,
    },
    /// The first line holds numbers instead of column names.
    #[error("{name}: line {line} holds numbers, not column names: “{found}”")]
    NoHeader {
        /// Name of the file as given by the caller.
        name: String,
        /// Line of the file, counted from 1.
        line: usize,
        /// What stands there, shortened.
        found: String,
    },
    /// The header names no column for the time or none for the temperature.
    #[error("{name}: line {line}: no column for the {wanted}; the header names {found}")]
    MissingColumn {
        /// Name of the file as given by the caller.
        name: String,
        /// Line of the file, counted from 1.
        line: usize,
        /// "time" or "temperature".
        wanted: &'static str,
        /// The columns that are there.
        found: String,
    },
    /// Several columns could be the one, and the names do not settle it.
    #[error("{name}: line {line}: more than one column could be the {wanted}: {found}")]
    AmbiguousColumn {
        /// Name of the file as given by the caller.
        name: String,
        /// Line of the file, counted from 1.
        line: usize,
        /// "time" or "temperature".
        wanted: &'static str,
        /// The columns in question.
        found: String,
    },
    /// The temperature column does not say degrees Celsius or Fahrenheit. It is never guessed.
    #[error("{name}: line {line}: the column “{column}” does not say whether it is °C or °F")]
    UnitNotStated {
        /// Name of the file as given by the caller.
        name: String,
        /// Line of the file, counted from 1.
        line: usize,
        /// The column in question.
        column: String,
    },
    /// Not UTF-8 text.
    #[error("{name}: line {line} is not UTF-8 text")]
    NotText {
        /// Name of the file as given by the caller.
        name: String,
        /// Line of the file, counted from 1.
        line: usize,
    },
    /// More bytes than a file of readings is allowed to have.
    #[error("{name}: larger than {limit_mb} MB")]
    TooLarge {
        /// Name of the file as given by the caller.
        name: String,
        /// The limit, in units of 10⁶ bytes.
        limit_mb: u64,
    },
    /// More readings than are kept.
    #[error("{name}: more than {limit} readings")]
    TooMany {
        /// Name of the file as given by the caller.
        name: String,
        /// The limit.
        limit: usize,
    },
    /// A line that no log of readings has.
    #[error("{name}: line {line} is longer than {limit} bytes")]
    LineTooLong {
        /// Name of the file as given by the caller.
        name: String,
        /// Line of the file, counted from 1.
        line: usize,
        /// The limit in bytes.
        limit: u64,
    },
    /// The file could not be opened or read to its end.
    #[error("{name}: cannot be read: {source}")]
    Unreadable {
        /// Name of the file as given by the caller.
        name: String,
        /// What the system said.
        source: std::io::Error,
    },
}

impl ReadingsError {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Empty { .. } => "save the readings again: a line of column names, then one line a reading",
            Self::NoHeader { .. } => "put a first line such as “elapsed_s,temperature_c” above the readings",
            Self::MissingColumn { wanted: "time", .. } => {
                "name a column “elapsed_s” (seconds) or “time” (such as 2026-03-02T09:15:00Z)"
            }
            Self::MissingColumn { .. } => "name a column “temperature_c” or “temperature_f”",
            Self::AmbiguousColumn { wanted: "time", .. } => "name the column to use “elapsed_s” or “time”",
            Self::AmbiguousColumn { .. } => "name the column to use “temperature_c” or “temperature_f”",
            Self::UnitNotStated { .. } => "rename the column “temperature_c” or “temperature_f”",
            Self::NotText { .. } => "save the file again as UTF-8 text (CSV UTF-8)",
            Self::TooLarge { .. } => "cut the file to the warm-up in question; one reading a second is plenty",
            Self::TooMany { .. } => "thin the readings out; one a second is plenty",
            Self::LineTooLong { .. } => "this is not a CSV file of readings; export the readings as CSV",
            Self::Unreadable { .. } => "check the path and the right to read it",
        }
    }
}
