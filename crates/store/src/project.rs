//! The floor: one row a job, made from its log.

use sqlx::{FromRow, Row, Sqlite, Transaction, sqlite::SqliteRow};

use crate::{
    Damage, Entry, JobRow, Rebuilt, Store, StoreError,
    log::{LONGEST_TEXT, json},
    read,
};

impl Store {
    /// Every job, open ones first, then the latest change first.
    ///
    /// # Errors
    /// What the disk says.
    pub async fn floor(&self) -> Result<Vec<JobRow>, StoreError> {
        sqlx::query_as(
            "SELECT job, seq, title, vehicle, stage, waits_for, closed, updated_ms, summary \
             FROM floor ORDER BY closed, updated_ms DESC, job",
        )
        .fetch_all(&self.reader)
        .await
        .map_err(|error| self.fail(error))
    }

    /// The row of one job, `None` if there is none.
    ///
    /// # Errors
    /// What the disk says.
    pub async fn row(&self, job: &str) -> Result<Option<JobRow>, StoreError> {
        sqlx::query_as(
            "SELECT job, seq, title, vehicle, stage, waits_for, closed, updated_ms, summary \
             FROM floor WHERE job = $1",
        )
        .bind(job)
        .fetch_optional(&self.reader)
        .await
        .map_err(|error| self.fail(error))
    }

    /// Makes the floor anew from the log, in one transaction; writers wait meanwhile.
    ///
    /// `project` gives the row of a job from its whole log, or says why it cannot. A job whose log is damaged, or that
    /// `project` refuses, keeps the row it had and is named in the result. Commands whose answer was lost are noted again
    /// from the log, so that they are still not carried out twice.
    ///
    /// # Errors
    /// What the disk says; then nothing is changed.
    pub async fn rebuild<F>(&self, project: F) -> Result<Rebuilt, StoreError>
    where
        F: Fn(&str, &[Entry]) -> Result<JobRow, String> + Send + Sync,
    {
        let mut tx = self.begin().await?;
        let mut rebuilt = Rebuilt::default();
        for job in read::jobs(&mut tx).await.map_err(|error| self.fail(error))? {
            let log = match self.checked(&mut tx, &job).await {
                Ok(log) => log,
                Err(error) => {
                    rebuilt.damaged.push(read::damage(error)?);
                    continue;
                }
            };
            let last = log.last().map_or(0, |entry| entry.seq);
            let row = project(&job, &log).and_then(|row| match check_row(&job, &row) {
                Ok(()) => Ok(row),
                Err((what, why)) => Err(format!("{what} {why}")),
            });
            match row {
                Ok(row) => {
                    put_row(&mut tx, &job, last, &row).await.map_err(|error| self.fail(error))?;
                    rebuilt.jobs += 1;
                }
                Err(what) => rebuilt.damaged.push(Damage { job, seq: 0, what }),
            }
        }
        sqlx::query(
            "INSERT INTO answer (job, command, first_seq, last_seq, answer) \
             SELECT job, command, MIN(seq), MAX(seq), NULL FROM entry WHERE NOT EXISTS \
             (SELECT 1 FROM answer WHERE answer.job = entry.job AND answer.command = entry.command) \
             GROUP BY job, command",
        )
        .execute(&mut *tx)
        .await
        .map_err(|error| self.fail(error))?;
        tx.commit().await.map_err(|error| self.fail(error))?;
        Ok(rebuilt)
    }
}

/// Whether `row` can be kept as the row of `job`; else what is wrong and why.
pub(crate) fn check_row(job: &str, row: &JobRow) -> Result<(), (&'static str, String)> {
    if row.job != job {
        return Err(("the row", format!("is of job {}, not of job {job}", row.job)));
    }
    let texts = [
        ("the title", &row.title),
        ("the vehicle", &row.vehicle),
        ("the stage", &row.stage),
        ("what the job waits for", &row.waits_for),
    ];
    for (what, text) in texts {
        if text.len() > LONGEST_TEXT || text.contains('\0') {
            return Err((what, format!("holds a zero character or more than {LONGEST_TEXT} bytes")));
        }
    }
    match json("the summary", &row.summary) {
        Err(StoreError::Input { what, why }) => Err((what, why)),
        _ => Ok(()),
    }
}

/// Writes the row of a job, over the one it had.
pub(crate) async fn put_row(
    tx: &mut Transaction<'static, Sqlite>,
    job: &str,
    seq: i64,
    row: &JobRow,
) -> Result<(), sqlx::Error> {
    sqlx::query(
        "INSERT INTO floor (job, seq, title, vehicle, stage, waits_for, closed, updated_ms, summary) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) ON CONFLICT (job) DO UPDATE SET seq = excluded.seq, \
         title = excluded.title, vehicle = excluded.vehicle, stage = excluded.stage, waits_for = excluded.waits_for, \
         closed = excluded.closed, updated_ms = excluded.updated_ms, summary = excluded.summary",
    )
    .bind(job)
    .bind(seq)
    .bind(&row.title)
    .bind(&row.vehicle)
    .bind(&row.stage)
    .bind(&row.waits_for)
    .bind(row.closed)
    .bind(row.updated_ms)
    .bind(&row.summary)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

impl FromRow<'_, SqliteRow> for JobRow {
    fn from_row(row: &SqliteRow) -> Result<Self, sqlx::Error> {
        Ok(Self {
            job: row.try_get("job")?,
            seq: row.try_get("seq")?,
            title: row.try_get("title")?,
            vehicle: row.try_get("vehicle")?,
            stage: row.try_get("stage")?,
            waits_for: row.try_get("waits_for")?,
            closed: row.try_get("closed")?,
            updated_ms: row.try_get("updated_ms")?,
            summary: row.try_get("summary")?,
        })
    }
}
