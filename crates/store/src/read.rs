//! Reading the log, and checking it while reading.

use sqlx::{Row, SqliteConnection, sqlite::SqliteRow};

use crate::{Damage, Entry, Store, StoreError, Verified, format};

impl Store {
    /// The whole log of a job, checked; empty for a job that does not exist.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] or [`StoreError::UnknownFormat`] if the log does not hold together or its end is missing;
    /// other jobs stay readable.
    pub async fn log(&self, job: &str) -> Result<Vec<Entry>, StoreError> {
        let mut connection = self.reader.acquire().await.map_err(|error| self.fail(error))?;
        self.checked(&mut connection, job).await
    }

    /// The entries of a job after `seq`, checked against the entry before them; `seq` 0 or less gives the whole log.
    ///
    /// # Errors
    /// As [`Store::log`].
    pub async fn since(&self, job: &str, seq: i64) -> Result<Vec<Entry>, StoreError> {
        if seq <= 0 {
            return self.log(job).await;
        }
        let mut connection = self.reader.acquire().await.map_err(|error| self.fail(error))?;
        let mut entries = self.entries(&mut connection, job, seq).await?;
        if entries.is_empty() {
            return Ok(entries);
        }
        let before = entries.remove(0);
        if before.seq != seq {
            let what = format!("it is missing, entry {} comes next", before.seq);
            return Err(StoreError::Damaged { job: job.to_owned(), seq, what });
        }
        format::check(job, Some(&before), &entries)?;
        Ok(entries)
    }

    /// The jobs that have a log, by id.
    ///
    /// # Errors
    /// What the disk says.
    pub async fn jobs(&self) -> Result<Vec<String>, StoreError> {
        let mut connection = self.reader.acquire().await.map_err(|error| self.fail(error))?;
        jobs(&mut connection).await.map_err(|error| self.fail(error))
    }

    /// Checks the file, every log, every row of the floor and every print.
    ///
    /// # Errors
    /// Only what stops the check; what it finds is in the result.
    pub async fn verify_all(&self) -> Result<Verified, StoreError> {
        let mut connection = self.reader.acquire().await.map_err(|error| self.fail(error))?;
        let mut found = Verified { file: self.file_faults(&mut connection).await?, ..Verified::default() };
        for job in jobs(&mut connection).await.map_err(|error| self.fail(error))? {
            found.jobs += 1;
            match self.checked(&mut connection, &job).await {
                Ok(log) => {
                    found.entries += log.len();
                    let last = log.last().map_or(0, |entry| entry.seq);
                    // Written in one transaction with the entry, so the row is never behind; read later, it may be ahead.
                    let row: Option<i64> = sqlx::query_scalar("SELECT seq FROM floor WHERE job = $1")
                        .bind(&job)
                        .fetch_optional(&mut *connection)
                        .await
                        .map_err(|error| self.fail(error))?;
                    if row.is_none_or(|seq| seq < last) {
                        found.stale.push(job);
                    }
                }
                Err(error) => found.damaged.push(damage(error)?),
            }
        }
        self.check_proofs(&mut connection, &mut found).await?;
        Ok(found)
    }

    async fn file_faults(&self, connection: &mut SqliteConnection) -> Result<Vec<String>, StoreError> {
        let said: Result<Vec<String>, _> = sqlx::query_scalar("PRAGMA quick_check").fetch_all(connection).await;
        match said.map_err(|error| self.fail(error)) {
            Ok(lines) => Ok(lines.into_iter().filter(|line| line != "ok").collect()),
            Err(error @ StoreError::Corrupt { .. }) => Ok(vec![error.to_string()]),
            Err(error) => Err(error),
        }
    }

    /// The whole log of a job, checked.
    pub(crate) async fn checked(&self, connection: &mut SqliteConnection, job: &str) -> Result<Vec<Entry>, StoreError> {
        // Read before the log: an entry that arrives in between then only makes the log longer than its witness.
        let witness: Option<i64> = sqlx::query_scalar(
            "SELECT MAX(seq) FROM (SELECT seq FROM floor WHERE job = $1 \
             UNION ALL SELECT last_seq AS seq FROM answer WHERE job = $1) AS seen",
        )
        .bind(job)
        .fetch_one(&mut *connection)
        .await
        .map_err(|error| self.fail(error))?;
        let entries = self.entries(connection, job, 1).await?;
        format::check(job, None, &entries)?;
        let last = entries.last().map_or(0, |entry| entry.seq);
        match witness {
            Some(witness) if witness > last => Err(StoreError::Damaged {
                job: job.to_owned(),
                seq: last + 1,
                what: format!("the log ends before it, yet there was an entry {witness}"),
            }),
            _ => Ok(entries),
        }
    }
}

/// What is wrong with one job, or the error again if it is about more than that.
pub(crate) fn damage(error: StoreError) -> Result<Damage, StoreError> {
    match error {
        StoreError::Damaged { job, seq, what } => Ok(Damage { job, seq, what }),
        StoreError::UnknownFormat { ref job, seq, .. } => Ok(Damage { job: job.clone(), seq, what: error.to_string() }),
        other => Err(other),
    }
}

pub(crate) async fn jobs(connection: &mut SqliteConnection) -> Result<Vec<String>, sqlx::Error> {
    // A job whose log was emptied still has its row and its answers; it must not vanish in silence.
    sqlx::query_scalar(
        "SELECT job FROM entry UNION SELECT job FROM floor \
         UNION SELECT job FROM answer WHERE last_seq > 0 ORDER BY job",
    )
    .fetch_all(connection)
    .await
}

impl Store {
    /// The entries of a job from `seq` on, as they stand.
    async fn entries(&self, connection: &mut SqliteConnection, job: &str, seq: i64) -> Result<Vec<Entry>, StoreError> {
        let rows = sqlx::query(
            "SELECT job, seq, format, at_ms, recorded_ms, written_by, kind, body, command, prev, hash \
             FROM entry WHERE job = $1 AND seq >= $2 ORDER BY seq",
        )
        .bind(job)
        .bind(seq)
        .fetch_all(connection)
        .await
        .map_err(|error| self.fail(error))?;
        rows.iter().zip(seq..).map(|(row, seq)| entry(row).map_err(|error| unreadable(job, seq, &error))).collect()
    }

    /// The last entry of a job.
    pub(crate) async fn last(&self, connection: &mut SqliteConnection, job: &str) -> Result<Option<Entry>, StoreError> {
        let row = sqlx::query(
            "SELECT job, seq, format, at_ms, recorded_ms, written_by, kind, body, command, prev, hash \
             FROM entry WHERE job = $1 ORDER BY seq DESC LIMIT 1",
        )
        .bind(job)
        .fetch_optional(connection)
        .await
        .map_err(|error| self.fail(error))?;
        row.map(|row| entry(&row).map_err(|error| unreadable(job, row.try_get("seq").unwrap_or(0), &error))).transpose()
    }
}

/// SQLite keeps whatever it is given in a column, so a column may hold something else than its type says.
fn unreadable(job: &str, seq: i64, error: &sqlx::Error) -> StoreError {
    StoreError::Damaged { job: job.to_owned(), seq, what: format!("it cannot be read: {error}") }
}

fn entry(row: &SqliteRow) -> Result<Entry, sqlx::Error> {
    Ok(Entry {
        job: row.try_get("job")?,
        seq: row.try_get("seq")?,
        format: row.try_get("format")?,
        at_ms: row.try_get("at_ms")?,
        recorded_ms: row.try_get("recorded_ms")?,
        by: row.try_get("written_by")?,
        kind: row.try_get("kind")?,
        body: row.try_get("body")?,
        command: row.try_get("command")?,
        prev: row.try_get("prev")?,
        hash: row.try_get("hash")?,
    })
}
