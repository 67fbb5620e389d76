//! The values that go in and come out.

use serde::{Deserialize, Serialize};

/// One thing that happened, before it has its place in the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewEntry {
    /// When it happened, by the device's clock: milliseconds since 1970-01-01T00:00:00Z.
    pub at_ms: i64,
    /// When the program wrote it down: milliseconds since 1970-01-01T00:00:00Z.
    pub recorded_ms: i64,
    /// Who did or saw it.
    pub by: String,
    /// What kind of entry it is, for example `DrainOpened`.
    pub kind: String,
    /// JSON text, kept byte for byte.
    pub body: String,
}

/// One entry as it stands in the log.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// The job it belongs to.
    pub job: String,
    /// Its place in the job's log: 1, 2, 3 … without a gap.
    pub seq: i64,
    /// How the bytes under `hash` are laid out; see [`crate::format`].
    pub format: i64,
    /// When it happened: milliseconds since 1970-01-01T00:00:00Z.
    pub at_ms: i64,
    /// When it was written down: milliseconds since 1970-01-01T00:00:00Z.
    pub recorded_ms: i64,
    /// Who did or saw it.
    pub by: String,
    /// What kind of entry it is.
    pub kind: String,
    /// JSON text, byte for byte as it was given.
    pub body: String,
    /// The command that wrote it.
    pub command: String,
    /// `hash` of the entry before, 64 hexadecimal digits; all zeros for the first.
    pub prev: String,
    /// SHA-256 of this entry's canonical bytes, 64 hexadecimal digits.
    pub hash: String,
}

/// What the floor shows of one job. Every part but `job` and `seq` is the caller's own reading of the log.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct JobRow {
    /// The job.
    pub job: String,
    /// The last entry this row takes into account. The store sets it; what a caller puts here is not used.
    pub seq: i64,
    /// What to call the job on a list.
    pub title: String,
    /// The vehicle, as the floor names it.
    pub vehicle: String,
    /// How far the job is.
    pub stage: String,
    /// What the job waits for; empty if nothing.
    pub waits_for: String,
    /// Whether the job is finished.
    pub closed: bool,
    /// When it last changed: milliseconds since 1970-01-01T00:00:00Z.
    pub updated_ms: i64,
    /// JSON text for whatever else a list wants to show.
    pub summary: String,
}

/// What a command was answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// First entry the command wrote; 0 if it wrote none (a refusal).
    pub first_seq: i64,
    /// Last entry the command wrote; 0 if it wrote none.
    pub last_seq: i64,
    /// The JSON text given back the first time. `None` if the entries are in the log but the text was lost.
    pub text: Option<String>,
}

/// What became of an append.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Appended {
    /// The entries are in the log, on disk.
    New {
        /// First entry written.
        first_seq: i64,
        /// Last entry written.
        last_seq: i64,
        /// Its hash.
        hash: String,
    },
    /// The command was sent before; nothing was written, this is what it was answered then.
    Repeated(Answer),
}

/// Something printed for the customer, to be kept as printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewProof {
    /// The last entry it takes into account.
    pub seq: i64,
    /// When it was printed: milliseconds since 1970-01-01T00:00:00Z.
    pub printed_ms: i64,
    /// What the bytes are, for example `application/pdf`.
    pub mime: String,
    /// The version of the formulas behind the numbers.
    pub model_version: String,
    /// The print itself.
    pub bytes: Vec<u8>,
}

/// A kept print.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proof {
    /// The job it was printed for.
    pub job: String,
    /// 1, 2, 3 … within the job.
    pub number: i64,
    /// The last entry it takes into account.
    pub seq: i64,
    /// When it was printed: milliseconds since 1970-01-01T00:00:00Z.
    pub printed_ms: i64,
    /// What the bytes are.
    pub mime: String,
    /// The version of the formulas behind the numbers.
    pub model_version: String,
    /// SHA-256 of the bytes, 64 hexadecimal digits.
    pub digest: String,
    /// The print itself; checked against `digest` on reading.
    pub bytes: Vec<u8>,
}

/// One job, or one place in it, that does not hold together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Damage {
    /// The job.
    pub job: String,
    /// The first entry that does not fit; 0 if it is not about one entry.
    pub seq: i64,
    /// What does not fit.
    pub what: String,
}

/// What a rebuild did.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Rebuilt {
    /// Jobs whose row was written anew.
    pub jobs: usize,
    /// Jobs left as they were, with the reason.
    pub damaged: Vec<Damage>,
}

/// What a check of everything found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Verified {
    /// Jobs looked at.
    pub jobs: usize,
    /// Entries looked at.
    pub entries: usize,
    /// Prints looked at.
    pub proofs: usize,
    /// Jobs that do not hold together.
    pub damaged: Vec<Damage>,
    /// Jobs whose row on the floor is missing or behind the log; a rebuild cures it.
    pub stale: Vec<String>,
    /// What SQLite says about the file itself; empty if all is well.
    pub file: Vec<String>,
}

impl Verified {
    /// Nothing is damaged and nothing is stale.
    pub fn is_sound(&self) -> bool {
        self.damaged.is_empty() && self.stale.is_empty() && self.file.is_empty()
    }
}

/// What a backup holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Backup {
    /// Size of the copy in bytes.
    pub bytes: u64,
    /// Jobs in it.
    pub jobs: usize,
    /// Entries in it.
    pub entries: usize,
}
