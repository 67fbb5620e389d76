//! Everything that can go wrong, with what to do about it.

use std::path::{Path, PathBuf};

/// Why the store did not do what was asked. Nothing that was acknowledged before is lost by any of these.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// Somebody else wrote to the job first.
    #[error("job {job}: written against entry {expected}, but the log is at entry {actual}")]
    Conflict {
        /// The job.
        job: String,
        /// The last entry the caller had seen.
        expected: i64,
        /// The last entry there is.
        actual: i64,
    },
    /// The log of a job does not hold together.
    #[error("job {job} is damaged at entry {seq}: {what}")]
    Damaged {
        /// The job.
        job: String,
        /// The first entry that does not fit.
        seq: i64,
        /// What does not fit.
        what: String,
    },
    /// An entry was written by a newer program.
    #[error("job {job}, entry {seq}: stored in format {format}, this program reads up to format {known}")]
    UnknownFormat {
        /// The job.
        job: String,
        /// The entry.
        seq: i64,
        /// Its format.
        format: i64,
        /// The newest format known here.
        known: i64,
    },
    /// An argument cannot be stored.
    #[error("{what} {why}")]
    Input {
        /// Which argument.
        what: &'static str,
        /// What is wrong with it.
        why: String,
    },
    /// The file is no SQLite database.
    #[error("{path} is not a database")]
    NotADatabase {
        /// The file.
        path: PathBuf,
    },
    /// The file is a database of some other program.
    #[error("{path} is a database, but not one of this program: {why}")]
    Foreign {
        /// The file.
        path: PathBuf,
        /// How that shows.
        why: String,
    },
    /// The database was last written by a newer program.
    #[error("{path} has schema version {found}, this program knows up to version {known}")]
    Newer {
        /// The file.
        path: PathBuf,
        /// The version in the file.
        found: i64,
        /// The newest version known here.
        known: i64,
    },
    /// The file's pages do not hold together, for example because it was cut short.
    #[error("the database file {path} is damaged: {detail}")]
    Corrupt {
        /// The file.
        path: PathBuf,
        /// What SQLite says.
        detail: String,
    },
    /// The file ends before what was acknowledged.
    #[error("{path} has lost what was acknowledged: {what}")]
    Lost {
        /// The file.
        path: PathBuf,
        /// How that shows, and which jobs.
        what: String,
    },
    /// The file that was opened is no longer the one at its path.
    #[error("the database {path} is not the file that was opened: {why}; nothing is acknowledged")]
    Gone {
        /// The file.
        path: PathBuf,
        /// What happened to it.
        why: String,
    },
    /// Another program has the file open.
    #[error("{path} is open in another program")]
    InUse {
        /// The file.
        path: PathBuf,
    },
    /// The file cannot be opened or made.
    #[error("cannot open the database {path}: {detail}")]
    CannotOpen {
        /// The file.
        path: PathBuf,
        /// What SQLite or the system says.
        detail: String,
    },
    /// The file or its folder may not be written.
    #[error("the database {path} cannot be written: {detail}")]
    ReadOnly {
        /// The file.
        path: PathBuf,
        /// What SQLite says.
        detail: String,
    },
    /// No room left.
    #[error("no room left for the database {path}; nothing was written")]
    Full {
        /// The file.
        path: PathBuf,
    },
    /// Somebody else has been writing for longer than we wait.
    #[error("the database {path} is busy; nothing was written")]
    Locked {
        /// The file.
        path: PathBuf,
    },
    /// The disk reports an error.
    #[error("the disk under {path} reports an error: {detail}")]
    Disk {
        /// The file.
        path: PathBuf,
        /// What SQLite or the system says.
        detail: String,
    },
    /// A backup would overwrite something.
    #[error("{path} is there already; a backup overwrites nothing")]
    Exists {
        /// The file in the way.
        path: PathBuf,
    },
    /// The store was closed.
    #[error("the store is closed")]
    Closed,
    /// Anything else the database says.
    #[error("the database {path} refused: {detail}")]
    Database {
        /// The file.
        path: PathBuf,
        /// What it says.
        detail: String,
    },
}

impl StoreError {
    /// A permanent name for the kind of error.
    pub fn code(&self) -> &'static str {
        self.table().0
    }

    /// What to do about it, in one sentence.
    pub fn hint(&self) -> &'static str {
        self.table().1
    }

    fn table(&self) -> (&'static str, &'static str) {
        match self {
            Self::Conflict { .. } => ("conflict", "Read the job again and repeat what still applies."),
            Self::Damaged { .. } => {
                ("damaged", "Other jobs are not touched. Take this job from a backup made before the damage.")
            }
            Self::UnknownFormat { .. } => ("unknown-format", "Use the program version that wrote it, or a newer one."),
            Self::Input { .. } => ("input", "Correct what was sent and send it again."),
            Self::NotADatabase { .. } => ("not-a-database", "Check the path, or take the database from a backup."),
            Self::Foreign { .. } => ("foreign", "Check the path; this program leaves other programs' files alone."),
            Self::Newer { .. } => ("newer", "Use the program version that last wrote it, or a newer one."),
            Self::Corrupt { .. } => {
                ("corrupt", "Keep the file and its -wal file as they are, and go on with a copy of the last backup.")
            }
            Self::Lost { .. } => {
                ("lost", "Keep this file and those beside it; then take the last backup: sumpwright restore BACKUP.")
            }
            Self::Gone { .. } => (
                "gone",
                "Stop the server, put the file back or take the last backup (sumpwright restore BACKUP), start again.",
            ),
            Self::InUse { .. } => ("in-use", "Stop the server first, and every other sumpwright on this file."),
            Self::CannotOpen { .. } => ("cannot-open", "Check that the folder exists and may be read and written."),
            Self::ReadOnly { .. } => {
                ("read-only", "Give this user the right to write the file and its folder, or choose another folder.")
            }
            Self::Full { .. } => ("full", "Free some room on the disk, then send the command again."),
            Self::Locked { .. } => {
                ("locked", "Try again in a moment; if it stays, close the other program that uses the file.")
            }
            Self::Disk { .. } => ("disk", "Check the disk, make a backup to another one, then send the command again."),
            Self::Exists { .. } => ("exists", "Choose another name for the backup."),
            Self::Closed => ("closed", "Start the program again."),
            Self::Database { .. } => ("database", "Send the command again; if it stays, check the database."),
        }
    }

    /// Turns what sqlx reports into one of ours. `path` is the file it is about.
    pub(crate) fn from_sqlx(path: &Path, error: sqlx::Error) -> Self {
        let path = path.to_owned();
        match error {
            sqlx::Error::PoolClosed => Self::Closed,
            sqlx::Error::PoolTimedOut => Self::Locked { path },
            sqlx::Error::Io(error) => Self::Disk { path, detail: error.to_string() },
            sqlx::Error::Database(error) => {
                let code = error.code().and_then(|text| text.parse::<i32>().ok()).unwrap_or(0);
                Self::from_result_code(path, code, error.message().to_owned())
            }
            // SQLite keeps whatever it is given in a column; what was written by this program can be read by it.
            error @ sqlx::Error::ColumnDecode { .. } => Self::Corrupt { path, detail: error.to_string() },
            other => Self::Database { path, detail: other.to_string() },
        }
    }

    /// SQLite result codes, <https://www.sqlite.org/rescode.html>: the low byte is the primary code.
    fn from_result_code(path: PathBuf, code: i32, detail: String) -> Self {
        match code & 0xff {
            5 | 6 => Self::Locked { path },
            8 => Self::ReadOnly { path, detail },
            10 => Self::Disk { path, detail },
            11 => Self::Corrupt { path, detail },
            13 => Self::Full { path },
            14 => Self::CannotOpen { path, detail },
            26 => Self::NotADatabase { path },
            _ => Self::Database { path, detail },
        }
    }
}
