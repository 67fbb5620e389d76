//! The bytes under an entry's hash.
//!
//! Format 1 is, in this order and with nothing between the parts:
//!
//! | part | bytes |
//! |---|---|
//! | format | 8, whole number, most significant byte first |
//! | job | text |
//! | seq | 8, as above |
//! | at_ms | 8, as above, two's complement |
//! | recorded_ms | 8, as above, two's complement |
//! | by, kind, body, command | four texts |
//! | prev | the 32 bytes of the hash before; zeros for the first entry |
//!
//! A text is its length in bytes (8 bytes, most significant first) followed by its UTF-8 bytes. The length in front keeps
//! two different entries from having the same bytes. The hash is SHA-256 (FIPS 180-4) of all that.
//!
//! A format, once written, is read forever: a new layout gets the next number and a new arm below.

use sha2::{Digest, Sha256};

use crate::{Entry, StoreError};

/// The format new entries are written in.
pub const CURRENT: i64 = 1;

/// `prev` of a job's first entry.
pub const BEGINNING: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// The bytes the hash of `entry` is taken over; `entry.hash` itself is not among them.
///
/// # Errors
/// [`StoreError::UnknownFormat`] for a format above [`CURRENT`], [`StoreError::Damaged`] for one that never was, and for a
/// `prev` that is not 64 lower-case hexadecimal digits.
pub fn canonical(entry: &Entry) -> Result<Vec<u8>, StoreError> {
    match entry.format {
        1 => first(entry),
        format if format > CURRENT => {
            Err(StoreError::UnknownFormat { job: entry.job.clone(), seq: entry.seq, format, known: CURRENT })
        }
        format => Err(damaged(entry, format!("there never was a format {format}"))),
    }
}

/// SHA-256 of the canonical bytes, 64 lower-case hexadecimal digits.
///
/// # Errors
/// As [`canonical`].
pub fn hash(entry: &Entry) -> Result<String, StoreError> {
    Ok(digest(&canonical(entry)?))
}

/// SHA-256 of any bytes, 64 lower-case hexadecimal digits.
pub fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Whether `entries`, the whole log of `job` or its part after `before`, hold together.
///
/// `before` is the entry in front of the first one; `None` means the list starts at entry 1.
///
/// # Errors
/// The first thing that does not fit, as [`StoreError::Damaged`] or [`StoreError::UnknownFormat`].
pub fn check(job: &str, before: Option<&Entry>, entries: &[Entry]) -> Result<(), StoreError> {
    let (mut seq, mut prev) = before.map_or((0, BEGINNING), |entry| (entry.seq, entry.hash.as_str()));
    for entry in entries {
        if entry.job != job {
            return Err(damaged(entry, format!("it belongs to job {}", entry.job)));
        }
        if entry.seq != seq + 1 {
            return Err(StoreError::Damaged {
                job: job.to_owned(),
                seq: seq + 1,
                what: format!("it is missing, entry {} comes next", entry.seq),
            });
        }
        if entry.prev != prev {
            return Err(damaged(entry, "it does not follow from the entry before".to_owned()));
        }
        if hash(entry)? != entry.hash {
            return Err(damaged(entry, "its content does not match its hash".to_owned()));
        }
        (seq, prev) = (entry.seq, &entry.hash);
    }
    Ok(())
}

fn damaged(entry: &Entry, what: String) -> StoreError {
    StoreError::Damaged { job: entry.job.clone(), seq: entry.seq, what }
}

fn first(entry: &Entry) -> Result<Vec<u8>, StoreError> {
    let prev = bytes_of(&entry.prev)
        .ok_or_else(|| damaged(entry, "the hash of the entry before is not 64 hexadecimal digits".to_owned()))?;
    let mut bytes = Vec::with_capacity(160 + entry.body.len());
    bytes.extend(entry.format.to_be_bytes());
    text(&mut bytes, &entry.job);
    bytes.extend(entry.seq.to_be_bytes());
    bytes.extend(entry.at_ms.to_be_bytes());
    bytes.extend(entry.recorded_ms.to_be_bytes());
    for part in [&entry.by, &entry.kind, &entry.body, &entry.command] {
        text(&mut bytes, part);
    }
    bytes.extend(prev);
    Ok(bytes)
}

fn text(bytes: &mut Vec<u8>, text: &str) {
    bytes.extend((text.len() as u64).to_be_bytes());
    bytes.extend(text.as_bytes());
}

/// The 32 bytes behind 64 lower-case hexadecimal digits.
fn bytes_of(digits: &str) -> Option<[u8; 32]> {
    let value = |digit: u8| match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    };
    let digits: &[u8; 64] = digits.as_bytes().try_into().ok()?;
    let mut bytes = [0; 32];
    for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
        *byte = value(pair[0])? << 4 | value(pair[1])?;
    }
    Some(bytes)
}
