//! The number of every write and what stood before it, in the database and, once it is on disk, in the witness beside it.

use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::{fs, io};

use sqlx::{Sqlite, SqliteConnection, Transaction};

use crate::open::beside;
use crate::seat::{self, Seat};
use crate::witness::{Mark, Seen, Witness, named, private};
use crate::{Store, StoreError, format};

/// What stands beside an open database and watches it.
#[derive(Debug)]
pub(crate) struct Watch {
    pub witness: Witness,
    pub seat: Seat,
    /// The last program did not close the file.
    unclean: bool,
    /// A write may be on disk that the witness does not know yet.
    behind: AtomicBool,
}

/// What opening found and put right, or has to be known.
#[derive(Debug, Default)]
pub(crate) struct Found {
    pub notices: Vec<String>,
    /// The list of jobs lacks some whose logs are there.
    pub unlisted: bool,
}

/// What one write did, for the journal.
pub(crate) struct Noted<'a> {
    /// Empty for what belongs to no job.
    pub job: &'a str,
    /// Its last entry, 0 where none was written.
    pub last_seq: i64,
    pub new_job: bool,
    /// What stands for the content: a hash, or the text itself.
    pub content: &'a str,
}

impl Watch {
    /// Looks at what is there before SQLite touches it, and takes a seat. A file that is gone or empty although a log was kept
    /// in it is not made anew.
    pub fn begin(path: &Path) -> Result<(Self, Seen), StoreError> {
        let fail = |error: io::Error| from_io(path, &error);
        let witness = Witness::beside(path);
        let seen = witness.read().map_err(fail)?;
        let length = |path: &Path| fs::metadata(path).map_or(0, |file| file.len());
        let wal = length(&beside(path, "-wal"));
        if length(path) == 0 && (wal > 0 || !seen.marks.is_empty()) {
            let state = if path.exists() { "the file is empty" } else { "the file is not there" };
            let knows = match seen.marks.last() {
                Some(last) => format!("the witness beside it tells of {} writes ({})", last.n, named(&seen.marks, 0)),
                None => "a -wal file of it is".to_owned(),
            };
            return Err(StoreError::Lost { path: path.to_owned(), what: format!("{state}, and {knows}") });
        }
        if !path.exists() {
            match private(fs::OpenOptions::new().write(true).create_new(true)).open(path) {
                Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
                    return Err(StoreError::CannotOpen { path: path.to_owned(), detail: error.to_string() });
                }
                _ => {}
            }
        }
        let unclean = wal > 0 && seat::alone(path).map_err(fail)?.is_some();
        let seat = Seat::take(path).map_err(fail)?;
        Ok((Self { witness, seat, unclean, behind: AtomicBool::new(false) }, seen))
    }
}

/// The last row of the journal.
async fn head(connection: &mut SqliteConnection) -> Result<Option<(Mark, i64)>, sqlx::Error> {
    let row: Option<(i64, String, i64, String, i64)> =
        sqlx::query_as("SELECT n, chain, last_seq, job, jobs FROM journal ORDER BY n DESC LIMIT 1")
            .fetch_optional(connection)
            .await?;
    Ok(row.map(|(n, chain, last_seq, job, jobs)| (Mark { n, chain, last_seq, job }, jobs)))
}

impl Store {
    /// Commits a write with its row of the journal, and has the witness tell of it before anybody is answered.
    pub(crate) async fn commit(
        &self,
        mut tx: Transaction<'static, Sqlite>,
        noted: &Noted<'_>,
    ) -> Result<(), StoreError> {
        let fail = |error| self.fail(error);
        let before = head(&mut tx).await.map_err(fail)?;
        let (n, prev, jobs) =
            before.map_or((0, format::BEGINNING.to_owned(), 0), |(mark, jobs)| (mark.n, mark.chain, jobs));
        let (n, jobs) = (n + 1, jobs + i64::from(noted.new_job));
        let row = format!("{n}\n{prev}\n{}\n{}\n{jobs}\n{}", noted.job, noted.last_seq, noted.content);
        let mark =
            Mark { n, chain: format::digest(row.as_bytes()), last_seq: noted.last_seq, job: noted.job.to_owned() };
        sqlx::query("INSERT INTO journal (n, job, last_seq, jobs, chain) VALUES ($1, $2, $3, $4, $5)")
            .bind(mark.n)
            .bind(&mark.job)
            .bind(mark.last_seq)
            .bind(jobs)
            .bind(&mark.chain)
            .execute(&mut *tx)
            .await
            .map_err(fail)?;
        if let Some(watch) = &self.watch {
            watch.behind.store(true, Ordering::SeqCst);
        }
        tx.commit().await.map_err(fail)?;
        self.fault.step().await?;
        self.note(mark).await
    }

    /// A write that is on disk but whose witness failed is witnessed when it is asked about again.
    pub(crate) async fn noted_again(&self) -> Result<(), StoreError> {
        if !self.watch.as_ref().is_some_and(|watch| watch.behind.load(Ordering::SeqCst)) {
            return Ok(());
        }
        let mut connection = self.reader.acquire().await.map_err(|error| self.fail(error))?;
        let head = head(&mut connection).await.map_err(|error| self.fail(error))?;
        drop(connection);
        match head {
            Some((mark, _)) => self.note(mark).await,
            None => Ok(()),
        }
    }

    async fn note(&self, mark: Mark) -> Result<(), StoreError> {
        let Some(watch) = self.watch.clone() else { return Ok(()) };
        let witness = watch.witness.clone();
        let written = tokio::task::spawn_blocking(move || witness.note(&mark)).await;
        match written {
            Ok(Ok(())) => watch.behind.store(false, Ordering::SeqCst),
            Ok(Err(error)) => return Err(from_io(watch.witness.path(), &error)),
            Err(error) => {
                return Err(StoreError::Disk { path: watch.witness.path().to_owned(), detail: error.to_string() });
            }
        }
        match self.gone() {
            Some(gone) => Err(gone),
            None => Ok(()),
        }
    }

    /// Holds the database against its witness.
    pub(crate) async fn agree(&self, seen: &Seen) -> Result<Found, StoreError> {
        let Some(watch) = &self.watch else { return Ok(Found::default()) };
        let fail = |error| self.fail(error);
        let mut connection = self.writer.acquire().await.map_err(fail)?;
        if watch.unclean {
            self.whole(&mut connection).await?;
        }
        let head = head(&mut connection).await.map_err(fail)?;
        let lost = |what: String| StoreError::Lost { path: self.path.clone(), what };
        let rows: i64 =
            sqlx::query_scalar("SELECT COUNT(*) FROM floor").fetch_one(&mut *connection).await.map_err(fail)?;
        let mut found = Found::default();
        if let Some((_, jobs)) = head.as_ref().filter(|(_, jobs)| rows < *jobs) {
            // The list is made from the logs: what it lacks is lost only if the logs lack it.
            let logs: i64 = sqlx::query_scalar("SELECT COUNT(*) FROM (SELECT DISTINCT job FROM entry) AS logs")
                .fetch_one(&mut *connection)
                .await
                .map_err(fail)?;
            if logs < *jobs {
                return Err(lost(format!("{jobs} jobs were opened and the logs of {logs} are there")));
            }
            found.unlisted = true;
            found.notices.push(format!("Of {jobs} jobs {rows} are listed; the list is made anew from the logs."));
        }
        let Some(last) = seen.marks.last() else {
            let Some((mark, _)) = head else { return Ok(found) };
            let why = if seen.missing { "was missing" } else { "could not be read" };
            self.note(mark).await?;
            let notice = format!(
                "The witness {} {why}; it is made anew from the log as it stands. Whether the end of the log is whole was not checked.",
                watch.witness.path().display()
            );
            found.notices.push(notice);
            return Ok(found);
        };
        let known: Option<String> = sqlx::query_scalar("SELECT chain FROM journal WHERE n = $1")
            .bind(last.n)
            .fetch_optional(&mut *connection)
            .await
            .map_err(fail)?;
        let n = head.as_ref().map_or(0, |(mark, _)| mark.n);
        match known {
            Some(chain) if chain == last.chain => {}
            Some(_) => {
                return Err(lost(
                    "it is not the file that its witness tells of, but another one or an older one gone on with"
                        .to_owned(),
                ));
            }
            None => {
                let count = last.n - n;
                return Err(lost(format!("its last {count} writes are missing: {}", named(&seen.marks, n))));
            }
        }
        drop(connection);
        if let Some((mark, _)) = head.filter(|(mark, _)| mark.n > last.n) {
            self.note(mark).await?;
        }
        found.notices.extend(seen.damaged.then(|| {
            let path = watch.witness.path().display();
            format!("The witness {path} held lines that do not read; its last one agrees with the log.")
        }));
        Ok(found)
    }

    /// After a stop without an end: whether file and write-ahead log belong together.
    async fn whole(&self, connection: &mut SqliteConnection) -> Result<(), StoreError> {
        let said: Vec<String> = sqlx::query_scalar("PRAGMA quick_check(3)")
            .fetch_all(&mut *connection)
            .await
            .map_err(|error| self.fail(error))?;
        let mut faults: Vec<String> = said.into_iter().filter(|line| line != "ok").collect();
        let (rows, last): (i64, Option<i64>) = sqlx::query_as("SELECT COUNT(*), MAX(n) FROM journal")
            .fetch_one(&mut *connection)
            .await
            .map_err(|error| self.fail(error))?;
        if rows != last.unwrap_or(0) {
            faults.push(format!("of {} numbered writes {rows} are there", last.unwrap_or(0)));
        }
        match faults.first() {
            None => Ok(()),
            Some(first) => {
                let detail = format!("{first}; perhaps a backup was copied over it beside a -wal file that was left");
                Err(StoreError::Corrupt { path: self.path.clone(), detail })
            }
        }
    }
}

fn from_io(path: &Path, error: &io::Error) -> StoreError {
    let path = path.to_owned();
    match error.kind() {
        io::ErrorKind::StorageFull => StoreError::Full { path },
        io::ErrorKind::NotFound => StoreError::CannotOpen { path, detail: error.to_string() },
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            StoreError::ReadOnly { path, detail: error.to_string() }
        }
        _ => StoreError::Disk { path, detail: error.to_string() },
    }
}
