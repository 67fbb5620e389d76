//! The log of every job on disk: append-only, each entry carrying the hash of the one before, with projections that are
//! written in the same transaction and can be rebuilt from the log at any time.
//!
//! It never knows what an entry means: bodies are JSON text, kept byte for byte, and what the floor shows of a job is handed
//! in by the caller. It has no clock: every time is an argument.
//!
//! One connection writes, several read. What [`Store::append`] acknowledged is on disk.

// The tests inside and outside this crate share their helpers, which say `store::`.
#[cfg(test)]
extern crate self as store;

mod backup;
mod document;
mod entry;
mod error;
mod fault;
#[cfg(test)]
mod fault_sweep;
pub mod format;
mod journal;
mod log;
pub mod migrate;
mod open;
mod project;
mod read;
mod restore;
mod seat;
mod witness;

pub use document::LARGEST_PROOF;
pub use entry::{Answer, Appended, Backup, Damage, Entry, JobRow, NewEntry, NewProof, Proof, Rebuilt, Verified};
pub use error::StoreError;
pub use log::{LONGEST_NAME, LONGEST_TEXT};
pub use open::{Settings, Store};
pub use restore::{Restored, restore};
