//! Writing to the log.

use sqlx::{Sqlite, Transaction};

use crate::journal::Noted;
use crate::{Answer, Appended, Entry, JobRow, NewEntry, Store, StoreError, format, project};

/// Most bytes an id, a name or a kind may have.
pub const LONGEST_NAME: usize = 200;

/// Most bytes a body, an answer or another text may have.
pub const LONGEST_TEXT: usize = 4 << 20;

/// One command as it is written.
struct Write<'a> {
    job: &'a str,
    expected: i64,
    command: &'a str,
    entries: &'a [NewEntry],
    row: &'a JobRow,
    answer: &'a str,
}

impl Store {
    /// Writes the entries of one command, the job's row on the floor and the answer, all or nothing.
    ///
    /// `expected_seq` is the last entry the caller has seen, 0 for a new job. `command` is the id the client made; if it
    /// was sent before, nothing is written and the first answer comes back, whatever `expected_seq` says. On
    /// [`Appended::New`] everything is on disk. If the call is dropped or fails half-way nothing is written, or all of it is
    /// and only the acknowledgement is lost: sending the same command again settles which.
    ///
    /// # Errors
    /// In this order: [`StoreError::Input`], [`StoreError::Conflict`], [`StoreError::Damaged`], then what the disk says.
    pub async fn append(
        &self,
        job: &str,
        expected_seq: i64,
        command: &str,
        entries: &[NewEntry],
        row: &JobRow,
        answer: &str,
    ) -> Result<Appended, StoreError> {
        let write = Write { job, expected: expected_seq, command, entries, row, answer };
        write.check()?;
        self.fault.step().await?;
        let mut tx = self.begin().await?;
        match self.write(&mut tx, &write).await {
            Ok(Appended::Repeated(answer)) => {
                tx.rollback().await.map_err(|error| self.fail(error))?;
                self.noted_again().await?;
                Ok(Appended::Repeated(answer))
            }
            Ok(Appended::New { first_seq, last_seq, hash }) => {
                let noted = Noted { job, last_seq, new_job: expected_seq == 0, content: &hash };
                self.commit(tx, &noted).await?;
                self.fault.step().await?;
                Ok(Appended::New { first_seq, last_seq, hash })
            }
            Err(error) => {
                // The first error is the one that tells; a failed rollback is dealt with by the next write.
                let _ = tx.rollback().await;
                Err(error)
            }
        }
    }

    /// Keeps the answer to a command that wrote no entry, such as a refusal, and gives back the answer that stands: this
    /// one, or an earlier one to the same command.
    ///
    /// # Errors
    /// [`StoreError::Input`], or what the disk says.
    pub async fn remember(&self, job: &str, command: &str, answer: &str) -> Result<Answer, StoreError> {
        name("the job", job)?;
        name("the command", command)?;
        json("the answer", answer)?;
        let mut tx = self.begin().await?;
        if let Some(earlier) = self.find_answer(&mut tx, job, command).await? {
            return Ok(earlier);
        }
        self.put_answer(&mut tx, job, command, (0, 0), answer).await?;
        tx.commit().await.map_err(|error| self.fail(error))?;
        if let Some(gone) = self.gone() {
            return Err(gone);
        }
        Ok(Answer { first_seq: 0, last_seq: 0, text: Some(answer.to_owned()) })
    }

    /// What a command was answered, `None` if it was never sent.
    ///
    /// # Errors
    /// What the disk says.
    pub async fn answer(&self, job: &str, command: &str) -> Result<Option<Answer>, StoreError> {
        let mut connection = self.reader.acquire().await.map_err(|error| self.fail(error))?;
        self.find_answer(&mut connection, job, command).await
    }

    async fn write(&self, tx: &mut Transaction<'static, Sqlite>, write: &Write<'_>) -> Result<Appended, StoreError> {
        self.fault.step().await?;
        if let Some(answer) = self.find_answer(tx, write.job, write.command).await? {
            return Ok(Appended::Repeated(answer));
        }
        let last = self.last(tx, write.job).await?;
        let actual = last.as_ref().map_or(0, |entry| entry.seq);
        if actual != write.expected {
            return Err(StoreError::Conflict { job: write.job.to_owned(), expected: write.expected, actual });
        }
        // Nothing is built on a damaged entry.
        if let Some(last) = &last
            && format::hash(last)? != last.hash
        {
            let what = "its content does not match its hash".to_owned();
            return Err(StoreError::Damaged { job: write.job.to_owned(), seq: last.seq, what });
        }
        let mut prev = last.map_or_else(|| format::BEGINNING.to_owned(), |entry| entry.hash);
        let mut seq = actual;
        for new in write.entries {
            seq += 1;
            let entry = write.entry(new, seq, prev)?;
            self.fault.step().await?;
            insert(tx, &entry).await.map_err(|error| self.fail(error))?;
            prev = entry.hash;
        }
        self.fault.step().await?;
        project::put_row(tx, write.job, seq, write.row).await.map_err(|error| self.fail(error))?;
        self.fault.step().await?;
        self.put_answer(tx, write.job, write.command, (actual + 1, seq), write.answer).await?;
        self.fault.step().await?;
        Ok(Appended::New { first_seq: actual + 1, last_seq: seq, hash: prev })
    }

    async fn find_answer(
        &self,
        connection: &mut sqlx::SqliteConnection,
        job: &str,
        command: &str,
    ) -> Result<Option<Answer>, StoreError> {
        let found: Option<(i64, i64, Option<String>)> =
            sqlx::query_as("SELECT first_seq, last_seq, answer FROM answer WHERE job = $1 AND command = $2")
                .bind(job)
                .bind(command)
                .fetch_optional(connection)
                .await
                .map_err(|error| self.fail(error))?;
        Ok(found.map(|(first_seq, last_seq, text)| Answer { first_seq, last_seq, text }))
    }

    async fn put_answer(
        &self,
        tx: &mut Transaction<'static, Sqlite>,
        job: &str,
        command: &str,
        (first_seq, last_seq): (i64, i64),
        answer: &str,
    ) -> Result<(), StoreError> {
        sqlx::query("INSERT INTO answer (job, command, first_seq, last_seq, answer) VALUES ($1, $2, $3, $4, $5)")
            .bind(job)
            .bind(command)
            .bind(first_seq)
            .bind(last_seq)
            .bind(answer)
            .execute(&mut **tx)
            .await
            .map_err(|error| self.fail(error))?;
        Ok(())
    }
}

async fn insert(tx: &mut Transaction<'static, Sqlite>, entry: &Entry) -> Result<(), sqlx::Error> {
    sqlx::query(
        "INSERT INTO entry (job, seq, format, at_ms, recorded_ms, written_by, kind, body, command, prev, hash) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
    )
    .bind(&entry.job)
    .bind(entry.seq)
    .bind(entry.format)
    .bind(entry.at_ms)
    .bind(entry.recorded_ms)
    .bind(&entry.by)
    .bind(&entry.kind)
    .bind(&entry.body)
    .bind(&entry.command)
    .bind(&entry.prev)
    .bind(&entry.hash)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

impl Write<'_> {
    fn check(&self) -> Result<(), StoreError> {
        name("the job", self.job)?;
        name("the command", self.command)?;
        if self.entries.is_empty() {
            return Err(StoreError::Input { what: "the command", why: "brings no entry".to_owned() });
        }
        for entry in self.entries {
            name("the writer of an entry", &entry.by)?;
            name("the kind of an entry", &entry.kind)?;
            json("the body of an entry", &entry.body)?;
        }
        project::check_row(self.job, self.row).map_err(|(what, why)| StoreError::Input { what, why })?;
        json("the answer", self.answer)
    }

    fn entry(&self, new: &NewEntry, seq: i64, prev: String) -> Result<Entry, StoreError> {
        let mut entry = Entry {
            job: self.job.to_owned(),
            seq,
            format: format::CURRENT,
            at_ms: new.at_ms,
            recorded_ms: new.recorded_ms,
            by: new.by.clone(),
            kind: new.kind.clone(),
            body: new.body.clone(),
            command: self.command.to_owned(),
            prev,
            hash: String::new(),
        };
        entry.hash = format::hash(&entry)?;
        Ok(entry)
    }
}

/// An id, a name or a kind: something short to be read on one line.
pub(crate) fn name(what: &'static str, text: &str) -> Result<(), StoreError> {
    let why = if text.is_empty() {
        "is empty".to_owned()
    } else if text.len() > LONGEST_NAME {
        format!("has {} bytes, at most {LONGEST_NAME} are kept", text.len())
    } else if let Some(bad) = text.chars().find(|letter| letter.is_control()) {
        format!("holds the control character U+{:04X}", u32::from(bad))
    } else {
        return Ok(());
    };
    Err(StoreError::Input { what, why })
}

/// JSON text that is kept as it is.
pub(crate) fn json(what: &'static str, text: &str) -> Result<(), StoreError> {
    let why = if text.len() > LONGEST_TEXT {
        format!("has {} bytes, at most {LONGEST_TEXT} are kept", text.len())
    } else if let Err(error) = serde_json::from_str::<serde::de::IgnoredAny>(text) {
        format!("is not JSON: {error}")
    } else {
        return Ok(());
    };
    Err(StoreError::Input { what, why })
}
