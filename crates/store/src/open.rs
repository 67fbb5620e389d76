//! Opening and closing.

use std::{
    fs,
    path::{Path, PathBuf},
    sync::{
        Arc, Mutex,
        atomic::{AtomicU64, Ordering},
    },
    time::{Duration, Instant},
};

use sqlx::{
    Connection, Sqlite, SqliteConnection, SqlitePool, Transaction,
    sqlite::{SqliteConnectOptions, SqlitePoolOptions, SqliteSynchronous},
};

use crate::{
    StoreError,
    fault::Fault,
    journal::{Found, Watch},
    migrate,
};

/// The log of every job, with what is made from it. Clones share the same database.
#[derive(Debug, Clone)]
pub struct Store {
    pub(crate) path: PathBuf,
    pub(crate) writer: SqlitePool,
    pub(crate) reader: SqlitePool,
    /// Keeps a database in memory alive; `None` for one in a file.
    pub(crate) kept: Option<Arc<Mutex<SqliteConnection>>>,
    pub(crate) wait: Duration,
    pub(crate) fault: Fault,
    /// What stands beside the file and watches it; `None` in memory and for a file that is only looked at.
    pub(crate) watch: Option<Arc<Watch>>,
    /// What was found and put right at opening, each with what it means.
    pub(crate) found: Arc<Found>,
}

/// How to open a store.
#[derive(Debug, Clone, Copy)]
pub struct Settings {
    /// How long a write waits for another program to let go of the file.
    pub wait: Duration,
    /// Upper limit of the file in pages of 4096 bytes; `None` for as much as the disk holds.
    pub max_pages: Option<u32>,
    /// How many readers at once, at least 1.
    pub readers: u32,
}

impl Default for Settings {
    fn default() -> Self {
        Self { wait: Duration::from_secs(5), max_pages: None, readers: 4 }
    }
}

impl Store {
    /// Opens the database at `path`, makes it if there is none, and brings its schema up to date.
    ///
    /// # Errors
    /// [`StoreError::CannotOpen`], [`StoreError::NotADatabase`], [`StoreError::Foreign`], [`StoreError::Newer`],
    /// [`StoreError::Corrupt`], [`StoreError::ReadOnly`], [`StoreError::Full`], [`StoreError::Locked`]. None of them
    /// changes the file.
    pub async fn open(path: &Path) -> Result<Self, StoreError> {
        Self::open_with(path, Settings::default()).await
    }

    /// As [`Store::open`], with settings.
    ///
    /// # Errors
    /// As [`Store::open`].
    pub async fn open_with(path: &Path, settings: Settings) -> Result<Self, StoreError> {
        if path.as_os_str().is_empty() {
            return Err(StoreError::CannotOpen { path: path.to_owned(), detail: "the path is empty".to_owned() });
        }
        let options = SqliteConnectOptions::new().filename(path).busy_timeout(settings.wait).foreign_keys(true);
        if fs::metadata(path).is_ok_and(|file| file.permissions().readonly()) {
            return Self::look(path, options, settings).await;
        }
        let (watch, seen) = Watch::begin(path)?;
        let mut writing = options
            .clone()
            .create_if_missing(true)
            // The write-ahead log is forced to disk at each commit: what was acknowledged survives a power cut.
            .synchronous(SqliteSynchronous::Full);
        if let Some(pages) = settings.max_pages {
            writing = writing.pragma("max_page_count", pages.to_string());
        }
        let fail = |error| StoreError::from_sqlx(path, error);
        let pool = || SqlitePoolOptions::new().acquire_timeout(settings.wait.max(Duration::from_secs(10)));
        let writer = pool()
            .max_connections(1)
            .idle_timeout(None)
            .max_lifetime(None)
            .connect_with(writing)
            .await
            .map_err(fail)?;
        if let Err(error) = patiently(settings.wait, || prepare(&writer, path)).await {
            writer.close().await;
            return Err(error);
        }
        let reader = pool().max_connections(settings.readers.max(1)).connect_lazy_with(options.read_only(true));
        let mut store = Self {
            path: path.to_owned(),
            writer,
            reader,
            kept: None,
            wait: settings.wait,
            fault: Fault::default(),
            watch: Some(Arc::new(watch)),
            found: Arc::default(),
        };
        match store.agree(&seen).await {
            Ok(found) => {
                store.found = Arc::new(found);
                Ok(store)
            }
            Err(error) => {
                store.close().await;
                Err(error)
            }
        }
    }

    /// A file that must not be written, a backup on a shelf for instance, is only looked at: nothing is made beside it.
    async fn look(path: &Path, options: SqliteConnectOptions, settings: Settings) -> Result<Self, StoreError> {
        let alone = !beside(path, "-wal").exists();
        let pool = SqlitePoolOptions::new()
            .max_connections(settings.readers.max(1))
            .connect_with(options.read_only(true).immutable(alone))
            .await
            .map_err(|error| StoreError::from_sqlx(path, error))?;
        let fail = |error| StoreError::from_sqlx(path, error);
        let mut connection = pool.acquire().await.map_err(fail)?;
        let version = migrate::version(&mut connection, path).await?;
        migrate::check_tables(&mut connection, path, version).await?;
        drop(connection);
        if version != migrate::LATEST {
            let detail =
                "it may only be read, and an older version of this program wrote it; copy it, and open the copy";
            return Err(StoreError::CannotOpen { path: path.to_owned(), detail: detail.to_owned() });
        }
        let notice = format!("{} may only be read: nothing can be entered.", path.display());
        Ok(Self {
            path: path.to_owned(),
            writer: pool.clone(),
            reader: pool,
            kept: None,
            wait: settings.wait,
            fault: Fault::default(),
            watch: None,
            found: Arc::new(Found { notices: vec![notice], unlisted: false }),
        })
    }

    /// What was found at opening and put right, or has to be known.
    pub fn notices(&self) -> &[String] {
        &self.found.notices
    }

    /// True when the list of jobs lacks some whose logs are there: then it has to be made anew.
    pub fn unlisted(&self) -> bool {
        self.found.unlisted
    }

    /// Why nothing that is written now could be found again; `None` while all is well.
    pub fn gone(&self) -> Option<StoreError> {
        let why = self.watch.as_ref()?.seat.gone()?;
        Some(StoreError::Gone { path: self.path.clone(), why: why.to_owned() })
    }

    /// Brings everything that was written into the database file itself, so that a copy of it alone is whole. For quiet moments:
    /// it waits for no reader.
    ///
    /// # Errors
    /// What the disk says.
    pub async fn settle(&self) -> Result<(), StoreError> {
        if self.watch.is_none() {
            return Ok(());
        }
        sqlx::query("PRAGMA wal_checkpoint(PASSIVE)").execute(&self.writer).await.map_err(|error| self.fail(error))?;
        Ok(())
    }

    /// A store that lives as long as this value: for trying things out.
    ///
    /// # Errors
    /// What SQLite reports.
    pub async fn in_memory() -> Result<Self, StoreError> {
        static COUNT: AtomicU64 = AtomicU64::new(0);
        let path = PathBuf::from(format!("/in-memory-{}", COUNT.fetch_add(1, Ordering::Relaxed)));
        // SQLite's own memory files are shared by name within a process. A call that is dropped while it waits may cost the
        // pool its connection, so one that is never used keeps the file alive.
        let options = SqliteConnectOptions::new()
            .filename(&path)
            .vfs("memdb")
            .create_if_missing(true)
            .busy_timeout(Settings::default().wait)
            .foreign_keys(true);
        let fail = |error| StoreError::from_sqlx(&path, error);
        let kept = SqliteConnection::connect_with(&options).await.map_err(fail)?;
        let writer = SqlitePoolOptions::new().max_connections(1).connect_with(options).await.map_err(fail)?;
        migrate::run(&writer, &path).await?;
        Ok(Self {
            path,
            reader: writer.clone(),
            writer,
            kept: Some(Arc::new(Mutex::new(kept))),
            wait: Settings::default().wait,
            fault: Fault::default(),
            watch: None,
            found: Arc::default(),
        })
    }

    /// Where the database is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Finishes what is under way, brings everything into the database file and lets go of it. Later calls on any clone give [`StoreError::Closed`].
    pub async fn close(&self) {
        self.reader.close().await;
        if self.watch.is_some() {
            // Other programs may still read; then what is left is brought in by the last of them.
            let _ = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").execute(&self.writer).await;
        }
        self.writer.close().await;
    }

    pub(crate) fn fail(&self, error: sqlx::Error) -> StoreError {
        StoreError::from_sqlx(&self.path, error)
    }

    /// Starts a write. It takes the write lock at once: a read that turns into a write fails without waiting.
    pub(crate) async fn begin(&self) -> Result<Transaction<'static, Sqlite>, StoreError> {
        if let Some(gone) = self.gone() {
            return Err(gone);
        }
        patiently(self.wait, || self.begin_now()).await
    }

    async fn begin_now(&self) -> Result<Transaction<'static, Sqlite>, StoreError> {
        match self.writer.begin_with("BEGIN IMMEDIATE").await {
            // SQLite rolls back by itself on a full or failing disk, and sqlx then still counts a transaction as open.
            // Such a connection is of no more use.
            Err(sqlx::Error::InvalidSavePointStatement) => {
                let stuck = self.writer.acquire().await.map_err(|error| self.fail(error))?;
                stuck.close().await.map_err(|error| self.fail(error))?;
                self.writer.begin_with("BEGIN IMMEDIATE").await
            }
            other => other,
        }
        .map_err(|error| self.fail(error))
    }
}

/// Goes on while another program holds the file, for as long as a write may wait. SQLite's own waiting does not cover all:
/// turning the write-ahead log on, and a file whose last other user is just closing it, are refused at once.
async fn patiently<T, F: Future<Output = Result<T, StoreError>>>(
    wait: Duration,
    attempt: impl Fn() -> F,
) -> Result<T, StoreError> {
    let start = Instant::now();
    loop {
        match attempt().await {
            Err(StoreError::Locked { .. }) if start.elapsed() < wait => tokio::time::sleep(BREATH).await,
            other => return other,
        }
    }
}

/// A file that SQLite keeps beside a database.
pub(crate) fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    name.into()
}

/// Between two attempts.
const BREATH: Duration = Duration::from_millis(20);

/// Makes a file ours, once it is known not to be another program's.
async fn prepare(writer: &SqlitePool, path: &Path) -> Result<(), StoreError> {
    let fail = |error| StoreError::from_sqlx(path, error);
    let mut connection = writer.acquire().await.map_err(fail)?;
    let version = migrate::version(&mut connection, path).await?;
    migrate::check_tables(&mut connection, path, version).await?;
    // Kept in the file from here on. It lets readers go on while one writes.
    let mode: String =
        sqlx::query_scalar("PRAGMA journal_mode = WAL").fetch_one(&mut *connection).await.map_err(fail)?;
    if mode != "wal" {
        let detail = "this kind of disk keeps no write-ahead log; network folders do not".to_owned();
        return Err(StoreError::CannotOpen { path: path.to_owned(), detail });
    }
    drop(connection);
    migrate::run(writer, path).await
}
