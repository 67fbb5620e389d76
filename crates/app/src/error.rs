//! What can go wrong between a verb and the log, with a permanent code and what to do.

use job::words::WordsError;
use store::StoreError;

/// Why a verb failed. Refusals by a gate are no failure; see [`crate::Answer`].
#[derive(Debug, thiserror::Error)]
pub enum AppError {
    /// The log on disk.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// There is no job of this name.
    #[error("there is no job “{0}”")]
    NoSuchJob(String),
    /// There is no sheet of this name.
    #[error("there is no sheet “{0}”")]
    NoSuchSheet(String),
    /// A sheet has errors and cannot be planned from.
    #[error("the sheet has {count} error(s); the first is in line {line}: {first}")]
    SheetErrors { count: usize, line: usize, first: String },
    /// The words of a command are not understood.
    #[error(transparent)]
    Words(#[from] WordsError),
    /// The log of a job cannot be understood.
    #[error("job {job}: {why}")]
    Unreadable { job: String, why: String },
    /// A value in a request cannot be.
    #[error("{what}")]
    Input { what: String, hint: String },
    /// A job is not opened on what was found.
    #[error("{}", .0.message().0)]
    Refused(Box<job::Refusal>),
    /// A paper could not be made.
    #[error("the paper could not be made: {0}")]
    Paper(String),
}

impl AppError {
    /// Permanent code.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Store(error) => error.code(),
            Self::NoSuchJob(_) => "no-such-job",
            Self::NoSuchSheet(_) => "no-such-sheet",
            Self::SheetErrors { .. } => "sheet-errors",
            Self::Words(_) => "words",
            Self::Unreadable { .. } => "unreadable",
            Self::Input { .. } => "input",
            Self::Refused(refusal) => refusal.code(),
            Self::Paper(_) => "paper",
        }
    }
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::Store(error) => error.hint().to_owned(),
            Self::NoSuchJob(_) => "`sumpwright job show` lists the jobs there are.".to_owned(),
            Self::NoSuchSheet(_) => "Give the path of a sheet file, or the name of a shipped one.".to_owned(),
            Self::SheetErrors { .. } => "`sumpwright check SHEET` shows every finding with line and column.".to_owned(),
            Self::Words(error) => error.hint.clone(),
            Self::Unreadable { .. } => "Take this job from a backup; other jobs are not touched.".to_owned(),
            Self::Input { hint, .. } => hint.clone(),
            Self::Refused(refusal) => refusal.message().1,
            Self::Paper(_) => "The job itself is safe; try again, or print the page instead.".to_owned(),
        }
    }
    /// True when the caller gave something that cannot be, rather than the workshop failing.
    pub fn is_input(&self) -> bool {
        match self {
            Self::Store(error) => matches!(error, StoreError::Input { .. }),
            Self::Unreadable { .. } | Self::Paper(_) => false,
            _ => true,
        }
    }
    pub(crate) fn unreadable(job: &str, why: &impl std::fmt::Display) -> Self {
        Self::Unreadable { job: job.to_owned(), why: why.to_string() }
    }
}
