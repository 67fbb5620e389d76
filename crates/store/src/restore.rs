//! Going back to a backup: the file that was there is kept aside, and nothing is mixed.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use crate::backup::check;
use crate::open::beside;
use crate::witness::{Witness, private, sync_folder};
use crate::{Store, StoreError, seat};

/// What going back did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// Jobs and entries in the database now.
    pub jobs: usize,
    /// Entries in it.
    pub entries: usize,
    /// Jobs and entries in the file that was there, as far as it could still be read.
    pub before: Option<(usize, usize)>,
    /// Where that file was put; `None` when there was none.
    pub kept: Option<PathBuf>,
}

/// Puts a copy of a backup in the place of a database. What was there, with the files beside it, is kept under its name and
/// `.before-` and the stamp. The backup itself is not touched.
///
/// # Errors
/// [`StoreError::InUse`] while another program has the database open; [`StoreError::Corrupt`] and others when the backup does not
/// check; [`StoreError::Exists`] when something stands under the stamp already. The database is as it was then.
pub async fn restore(backup: &Path, to: &Path, stamp: &str) -> Result<Restored, StoreError> {
    let disk = |error: io::Error| StoreError::Disk { path: to.to_owned(), detail: error.to_string() };
    if backup == to || fs::canonicalize(backup).ok().is_some_and(|from| fs::canonicalize(to).is_ok_and(|to| to == from))
    {
        return Err(StoreError::Input { what: "the backup", why: "is the database itself".to_owned() });
    }
    if fs::metadata(beside(backup, "-wal")).is_ok_and(|wal| wal.len() > 0) {
        let why =
            "has a -wal file beside it: it is a database in use or one that was not closed, not a backup".to_owned();
        return Err(StoreError::Input { what: "the backup", why });
    }
    if !backup.is_file() {
        return Err(StoreError::CannotOpen { path: backup.to_owned(), detail: "there is no such file".to_owned() });
    }
    let (jobs, entries) = check(backup, backup).await?;
    let alone = seat::alone(to).map_err(disk)?.ok_or_else(|| StoreError::InUse { path: to.to_owned() })?;
    let before = if to.is_file() { check(to, to).await.ok() } else { None };
    let part = beside(to, &format!(".{}.part", std::process::id()));
    let copied = copy(backup, &part).and_then(|()| aside(to, stamp));
    let kept = match copied {
        Ok(kept) => kept,
        Err(error) => {
            let _ = fs::remove_file(&part);
            return Err(match error.kind() {
                io::ErrorKind::AlreadyExists => StoreError::Exists { path: beside(to, &format!(".before-{stamp}")) },
                io::ErrorKind::StorageFull => StoreError::Full { path: to.to_owned() },
                _ => disk(error),
            });
        }
    };
    fs::rename(&part, to).and_then(|()| sync_folder(to)).map_err(disk)?;
    drop(alone);
    // Opened once: the witness is made from what is in it, and an older schema is brought up to date.
    let store = Store::open(to).await?;
    store.close().await;
    Ok(Restored { jobs, entries, before, kept })
}

fn copy(from: &Path, to: &Path) -> io::Result<()> {
    let mut source = File::open(from)?;
    let mut target = private(fs::OpenOptions::new().write(true).create(true).truncate(true)).open(to)?;
    io::copy(&mut source, &mut target)?;
    target.sync_all()
}

/// Puts the database and what is beside it under another name.
fn aside(to: &Path, stamp: &str) -> io::Result<Option<PathBuf>> {
    let mut kept = None;
    let target = |end: &str| beside(to, &format!(".before-{stamp}{end}"));
    if target("").exists() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    // What belongs to the old file first: were this cut short, the new one must not meet it.
    for end in ["-wal", "-witness", ""] {
        let from = beside(to, end);
        if from.exists() {
            fs::rename(&from, target(end))?;
            kept = Some(target(""));
        }
    }
    let _ = fs::remove_file(beside(to, "-shm"));
    debug_assert!(!Witness::beside(to).path().exists());
    Ok(kept)
}
