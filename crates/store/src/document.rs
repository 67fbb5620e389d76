//! What is kept beside the log: prints as printed, and small documents that belong to no job.

use sqlx::{FromRow, Row, SqliteConnection, sqlite::SqliteRow};

use crate::journal::Noted;
use crate::{
    Damage, NewProof, Proof, Store, StoreError, Verified,
    format::digest,
    log::{json, name},
};

/// Most bytes a print may have.
pub const LARGEST_PROOF: usize = 64 << 20;

impl Store {
    /// Keeps a print as printed and gives its number within the job. The same bytes for the same entry are one print:
    /// keeping them again gives the number they have.
    ///
    /// # Errors
    /// [`StoreError::Input`] if the job has no entry `seq` or a part cannot be kept, else what the disk says.
    pub async fn keep_proof(&self, job: &str, proof: &NewProof) -> Result<i64, StoreError> {
        name("the job", job)?;
        name("the kind of print", &proof.mime)?;
        name("the model version", &proof.model_version)?;
        if proof.bytes.is_empty() || proof.bytes.len() > LARGEST_PROOF {
            let why = format!("has {} bytes, 1 to {LARGEST_PROOF} can be kept", proof.bytes.len());
            return Err(StoreError::Input { what: "the print", why });
        }
        let digest = digest(&proof.bytes);
        let mut tx = self.begin().await?;
        let known: bool = sqlx::query_scalar("SELECT EXISTS (SELECT 1 FROM entry WHERE job = $1 AND seq = $2)")
            .bind(job)
            .bind(proof.seq)
            .fetch_one(&mut *tx)
            .await
            .map_err(|error| self.fail(error))?;
        if !known {
            let why = format!("is of entry {}, which job {job} does not have", proof.seq);
            return Err(StoreError::Input { what: "the print", why });
        }
        let same: Option<i64> =
            sqlx::query_scalar("SELECT MIN(number) FROM proof WHERE job = $1 AND seq = $2 AND digest = $3")
                .bind(job)
                .bind(proof.seq)
                .bind(&digest)
                .fetch_one(&mut *tx)
                .await
                .map_err(|error| self.fail(error))?;
        if let Some(number) = same {
            return Ok(number);
        }
        let number: i64 = sqlx::query_scalar(
            "INSERT INTO proof (job, number, seq, printed_ms, mime, model_version, digest, bytes) \
             SELECT $1, COALESCE(MAX(number), 0) + 1, $2, $3, $4, $5, $6, $7 FROM proof WHERE job = $1 RETURNING number",
        )
        .bind(job)
        .bind(proof.seq)
        .bind(proof.printed_ms)
        .bind(&proof.mime)
        .bind(&proof.model_version)
        .bind(&digest)
        .bind(&proof.bytes)
        .fetch_one(&mut *tx)
        .await
        .map_err(|error| self.fail(error))?;
        self.commit(tx, &Noted { job: "", last_seq: 0, new_job: false, content: &digest }).await?;
        Ok(number)
    }

    /// The prints of a job in the order they were made, each checked against its digest.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] if a print is no longer what was printed.
    pub async fn proofs(&self, job: &str) -> Result<Vec<Proof>, StoreError> {
        let proofs: Vec<Proof> = sqlx::query_as(
            "SELECT job, number, seq, printed_ms, mime, model_version, digest, bytes \
             FROM proof WHERE job = $1 ORDER BY number",
        )
        .bind(job)
        .fetch_all(&self.reader)
        .await
        .map_err(|error| self.fail(error))?;
        match proofs.iter().find_map(changed) {
            Some(Damage { job, seq, what }) => Err(StoreError::Damaged { job, seq, what }),
            None => Ok(proofs),
        }
    }

    /// One print of a job, checked against its digest; `None` if there is none of that number.
    ///
    /// # Errors
    /// As [`Store::proofs`].
    pub async fn proof(&self, job: &str, number: i64) -> Result<Option<Proof>, StoreError> {
        let proof: Option<Proof> = sqlx::query_as(
            "SELECT job, number, seq, printed_ms, mime, model_version, digest, bytes \
             FROM proof WHERE job = $1 AND number = $2",
        )
        .bind(job)
        .bind(number)
        .fetch_optional(&self.reader)
        .await
        .map_err(|error| self.fail(error))?;
        match proof.as_ref().and_then(changed) {
            Some(Damage { job, seq, what }) => Err(StoreError::Damaged { job, seq, what }),
            None => Ok(proof),
        }
    }

    pub(crate) async fn check_proofs(
        &self,
        connection: &mut SqliteConnection,
        found: &mut Verified,
    ) -> Result<(), StoreError> {
        let numbers: Vec<(String, i64)> = sqlx::query_as("SELECT job, number FROM proof ORDER BY job, number")
            .fetch_all(&mut *connection)
            .await
            .map_err(|error| self.fail(error))?;
        for (job, number) in numbers {
            let proof: Proof = sqlx::query_as(
                "SELECT job, number, seq, printed_ms, mime, model_version, digest, bytes \
             FROM proof WHERE job = $1 AND number = $2",
            )
            .bind(job)
            .bind(number)
            .fetch_one(&mut *connection)
            .await
            .map_err(|error| self.fail(error))?;
            found.proofs += 1;
            found.damaged.extend(changed(&proof));
        }
        Ok(())
    }

    /// Puts a document of some kind under an id, over the one that was there. `body` is JSON text.
    ///
    /// # Errors
    /// [`StoreError::Input`], or what the disk says.
    pub async fn put_document(&self, kind: &str, id: &str, body: &str) -> Result<(), StoreError> {
        name("the kind of document", kind)?;
        name("the id of the document", id)?;
        json("the document", body)?;
        let mut tx = self.begin().await?;
        sqlx::query(
            "INSERT INTO document (kind, id, body) VALUES ($1, $2, $3) \
             ON CONFLICT (kind, id) DO UPDATE SET body = excluded.body",
        )
        .bind(kind)
        .bind(id)
        .bind(body)
        .execute(&mut *tx)
        .await
        .map_err(|error| self.fail(error))?;
        let content = crate::format::digest(body.as_bytes());
        self.commit(tx, &Noted { job: "", last_seq: 0, new_job: false, content: &content }).await
    }

    /// One document, `None` if there is none.
    ///
    /// # Errors
    /// What the disk says.
    pub async fn document(&self, kind: &str, id: &str) -> Result<Option<String>, StoreError> {
        sqlx::query_scalar("SELECT body FROM document WHERE kind = $1 AND id = $2")
            .bind(kind)
            .bind(id)
            .fetch_optional(&self.reader)
            .await
            .map_err(|error| self.fail(error))
    }

    /// All documents of a kind as (id, body), by id.
    ///
    /// # Errors
    /// What the disk says.
    pub async fn documents(&self, kind: &str) -> Result<Vec<(String, String)>, StoreError> {
        sqlx::query_as("SELECT id, body FROM document WHERE kind = $1 ORDER BY id")
            .bind(kind)
            .fetch_all(&self.reader)
            .await
            .map_err(|error| self.fail(error))
    }
}

/// What is wrong with a print that is no longer what was printed.
fn changed(proof: &Proof) -> Option<Damage> {
    let what = format!("print {} is no longer what was printed", proof.number);
    (digest(&proof.bytes) != proof.digest).then(|| Damage { job: proof.job.clone(), seq: proof.seq, what })
}

impl FromRow<'_, SqliteRow> for Proof {
    fn from_row(row: &SqliteRow) -> Result<Self, sqlx::Error> {
        Ok(Self {
            job: row.try_get("job")?,
            number: row.try_get("number")?,
            seq: row.try_get("seq")?,
            printed_ms: row.try_get("printed_ms")?,
            mime: row.try_get("mime")?,
            model_version: row.try_get("model_version")?,
            digest: row.try_get("digest")?,
            bytes: row.try_get("bytes")?,
        })
    }
}
