//! That the open database is still the file at its path, and who has it open.

use std::fs::{self, File, Metadata, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use crate::witness::private;

/// Device and number of a file; all zero where the system has none.
pub(crate) type Identity = (u64, u64);

pub(crate) fn identity(of: &Metadata) -> Identity {
    #[cfg(unix)]
    return (std::os::unix::fs::MetadataExt::dev(of), std::os::unix::fs::MetadataExt::ino(of));
    #[cfg(not(unix))]
    {
        let _ = of;
        (0, 0)
    }
}

/// Held while a program has the database open.
#[derive(Debug)]
pub(crate) struct Seat {
    /// Shared by all who have it open; whoever wants the file for himself finds it taken.
    _lock: File,
    database: (PathBuf, Identity),
    /// The write-ahead log, as first seen.
    wal: (PathBuf, Mutex<Option<Identity>>),
}

/// The file by which programs know of each other.
fn lock_of(database: &Path) -> PathBuf {
    named(database, "-open")
}

fn named(database: &Path, end: &str) -> PathBuf {
    let mut name = database.as_os_str().to_owned();
    name.push(end);
    name.into()
}

fn open_lock(database: &Path) -> io::Result<File> {
    private(OpenOptions::new().read(true).write(true).create(true).truncate(false)).open(lock_of(database))
}

/// Nobody else may have the database open while this is held; `None` when somebody has.
pub(crate) fn alone(database: &Path) -> io::Result<Option<File>> {
    let file = open_lock(database)?;
    match file.try_lock() {
        Ok(()) => Ok(Some(file)),
        Err(fs::TryLockError::WouldBlock) => Ok(None),
        Err(fs::TryLockError::Error(error)) => Err(error),
    }
}

impl Seat {
    /// Takes a seat beside all others; waits for one who is alone.
    pub fn take(database: &Path) -> io::Result<Self> {
        let lock = open_lock(database)?;
        lock.lock_shared()?;
        let id = identity(&fs::metadata(database)?);
        let wal = (named(database, "-wal"), Mutex::new(None));
        Ok(Self { _lock: lock, database: (database.to_owned(), id), wal })
    }

    /// Why the open file is no longer the one at its path; `None` while it is.
    pub fn gone(&self) -> Option<&'static str> {
        let at = |path: &Path| fs::metadata(path).ok().as_ref().map(identity);
        match at(&self.database.0) {
            None => return Some("it was removed"),
            Some(id) if id != self.database.1 => return Some("another file was put in its place"),
            Some(_) => {}
        }
        let mut known = self.wal.1.lock().ok()?;
        match (*known, at(&self.wal.0)) {
            (Some(known), Some(now)) if known != now => Some("another file was put in the place of its -wal file"),
            (Some(_), None) => Some("its -wal file was removed"),
            (None, now) => {
                *known = now;
                None
            }
            _ => None,
        }
    }
}
