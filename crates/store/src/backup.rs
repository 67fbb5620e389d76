//! A copy of the whole database, made while it is in use.

use std::{
    fs::{self, File},
    io,
    path::{Path, PathBuf},
    sync::atomic::{AtomicU64, Ordering},
    time::Duration,
};

use sqlx::sqlite::{SqliteConnectOptions, SqlitePoolOptions};

use crate::{Backup, Store, StoreError, fault::Fault, migrate, witness::private};

impl Store {
    /// Copies the database to `to` as it stands at one moment; writers go on meanwhile.
    ///
    /// The copy is written under another name in the same folder, checked from end to end, forced to disk and only then
    /// given its name, so a file called `to` is always whole. A job that is damaged here is damaged in the copy and does not
    /// stop the others from being kept; [`Store::verify_all`] tells. To go back to a backup, open a copy of it.
    ///
    /// # Errors
    /// [`StoreError::Exists`] if there is something at `to`; [`StoreError::Corrupt`] if the copy does not check;
    /// [`StoreError::CannotOpen`], [`StoreError::Full`], [`StoreError::Disk`] as the disk says. Nothing is left behind.
    pub async fn backup(&self, to: &Path) -> Result<Backup, StoreError> {
        if to.symlink_metadata().is_ok() {
            return Err(StoreError::Exists { path: to.to_owned() });
        }
        sweep(to);
        let part = part_of(to)?;
        // Only its owner reads it; the copy is written into this file.
        private(fs::OpenOptions::new().write(true).create_new(true))
            .open(&part)
            .map_err(|error| StoreError::CannotOpen { path: to.to_owned(), detail: error.to_string() })?;
        let result = self.copy(&part, to).await;
        // Gone already if all went well.
        let _ = fs::remove_file(&part);
        result
    }

    async fn copy(&self, part: &Path, to: &Path) -> Result<Backup, StoreError> {
        sqlx::query("VACUUM INTO $1")
            .bind(self.address(part, to)?)
            .execute(&self.reader)
            .await
            .map_err(|error| StoreError::from_sqlx(to, error))?;
        let (jobs, entries) = check(part, to).await?;
        let (from, named) = (part.to_owned(), to.to_owned());
        let bytes = tokio::task::spawn_blocking(move || settle(&from, &named))
            .await
            .map_err(|error| StoreError::Disk { path: to.to_owned(), detail: error.to_string() })?
            .map_err(|error| match error.kind() {
                io::ErrorKind::AlreadyExists => StoreError::Exists { path: to.to_owned() },
                io::ErrorKind::StorageFull => StoreError::Full { path: to.to_owned() },
                _ => StoreError::Disk { path: to.to_owned(), detail: error.to_string() },
            })?;
        Ok(Backup { bytes, jobs, entries })
    }

    /// What SQLite is to call the copy: a `file:` address (<https://www.sqlite.org/uri.html>) that names the disk, because a
    /// store in memory would otherwise be copied to memory.
    fn address(&self, part: &Path, to: &Path) -> Result<String, StoreError> {
        let fail = |detail: String| StoreError::CannotOpen { path: to.to_owned(), detail };
        let path = std::path::absolute(part).map_err(|error| fail(error.to_string()))?;
        let name = path.to_str().ok_or_else(|| fail("its name is not valid UTF-8".to_owned()))?;
        if self.kept.is_none() {
            return Ok(name.to_owned());
        }
        let letter = |byte: u8| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'.' | b'-' | b'_' => char::from(byte).to_string(),
            _ => format!("%{byte:02x}"),
        };
        let disk = if cfg!(windows) { "win32" } else { "unix" };
        Ok(format!("file:{}?vfs={disk}", name.bytes().map(letter).collect::<String>()))
    }
}

/// Copies begun by this process, so that two at once do not share a name.
static COPIES: AtomicU64 = AtomicU64::new(0);

/// Removes what backups of that name left that were stopped half-way: those of programs that no longer run.
fn sweep(to: &Path) {
    let Some(name) = to.file_name().and_then(|name| name.to_str()) else { return };
    let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let left = entry.file_name();
        let of = left
            .to_str()
            .and_then(|left| left.strip_prefix(&format!(".{name}."))?.strip_suffix(".part")?.split_once('-'));
        let Some((process, _)) = of.filter(|(process, _)| process.parse::<u32>().is_ok()) else { continue };
        if cfg!(target_os = "linux") && !Path::new("/proc").join(process).exists() {
            // What cannot be removed is in nobody's way.
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// A name beside `to` that nobody else uses.
fn part_of(to: &Path) -> Result<PathBuf, StoreError> {
    let name = to
        .file_name()
        .ok_or_else(|| StoreError::CannotOpen { path: to.to_owned(), detail: "it names no file".to_owned() })?;
    let mut part = std::ffi::OsString::from(".");
    part.push(name);
    let count = COPIES.fetch_add(1, Ordering::Relaxed);
    part.push(format!(".{}-{count}.part", std::process::id()));
    let part = to.with_file_name(part);
    match fs::remove_file(&part) {
        // Left over from a run that was stopped half-way.
        Ok(()) => Ok(part),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(part),
        Err(error) => Err(StoreError::Disk { path: to.to_owned(), detail: error.to_string() }),
    }
}

/// Reads the copy back from end to end.
pub(crate) async fn check(part: &Path, to: &Path) -> Result<(usize, usize), StoreError> {
    let options = SqliteConnectOptions::new().filename(part).read_only(true);
    let pool = SqlitePoolOptions::new()
        .max_connections(1)
        .connect_with(options)
        .await
        .map_err(|error| StoreError::from_sqlx(to, error))?;
    let copy = Store {
        path: to.to_owned(),
        writer: pool.clone(),
        reader: pool,
        kept: None,
        wait: Duration::ZERO,
        fault: Fault::default(),
        watch: None,
        found: std::sync::Arc::default(),
    };
    let result = copy.count().await;
    copy.close().await;
    result
}

impl Store {
    async fn count(&self) -> Result<(usize, usize), StoreError> {
        let mut connection = self.reader.acquire().await.map_err(|error| self.fail(error))?;
        let version = migrate::version(&mut connection, &self.path).await?;
        migrate::check_tables(&mut connection, &self.path, version).await?;
        drop(connection);
        let found = self.verify_all().await?;
        match found.file.first() {
            // Of an older version is no fault: it is brought up to date when it is opened.
            None if version > 0 => Ok((found.jobs, found.entries)),
            fault => {
                let detail = fault.cloned().unwrap_or_else(|| "nothing of this program is in it".to_owned());
                Err(StoreError::Corrupt { path: self.path.clone(), detail })
            }
        }
    }
}

/// Forces the copy to disk and gives it its name, unless something has that name by now.
fn settle(part: &Path, to: &Path) -> io::Result<u64> {
    let file = File::open(part)?;
    file.sync_all()?;
    let bytes = file.metadata()?.len();
    match fs::hard_link(part, to) {
        Ok(()) => fs::remove_file(part)?,
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(error),
        // Memory sticks often have a file system without links.
        Err(_) if to.symlink_metadata().is_err() => fs::rename(part, to)?,
        Err(error) => return Err(error),
    }
    // The name is in the folder, and the folder has to reach the disk as well.
    let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if cfg!(unix) {
        File::open(folder)?.sync_all()?;
    }
    Ok(bytes)
}
