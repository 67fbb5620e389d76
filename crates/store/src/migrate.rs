//! The schema, one numbered text after the other, each in a transaction of its own.

use std::path::Path;

use sqlx::{Connection, Row, SqliteConnection, SqlitePool};

use crate::{StoreError, format::digest};

/// One step of the schema. A text that has been released is never edited; a change is a new step.
pub struct Step {
    /// 1, 2, 3 …
    pub version: i64,
    /// What it is about.
    pub name: &'static str,
    /// The statements.
    pub text: &'static str,
}

/// All steps, in order.
pub const STEPS: &[Step] = &[
    Step { version: 1, name: "tables", text: include_str!("../sql/0001_tables.sql") },
    Step { version: 2, name: "keeping", text: include_str!("../sql/0002_keeping.sqlite.sql") },
    Step { version: 3, name: "journal", text: include_str!("../sql/0003_journal.sql") },
];

/// The version this program works with.
pub const LATEST: i64 = STEPS.len() as i64;

/// The table that says which steps are done.
pub const TABLE: &str =
    "CREATE TABLE migration (version BIGINT NOT NULL PRIMARY KEY, name TEXT NOT NULL, digest TEXT NOT NULL)";

/// Brings the database to [`LATEST`].
///
/// # Errors
/// [`StoreError::Newer`] and [`StoreError::Foreign`] before anything is touched; else what SQLite reports, with the steps
/// done so far in place and the failed one undone.
pub(crate) async fn run(pool: &SqlitePool, path: &Path) -> Result<(), StoreError> {
    let fail = |error| StoreError::from_sqlx(path, error);
    loop {
        // The version is read inside the write transaction, so that two programs opening a new file do not both make it.
        let mut tx = pool.begin_with("BEGIN IMMEDIATE").await.map_err(fail)?;
        let version = version(&mut tx, path).await?;
        let Some(step) = STEPS.iter().find(|step| step.version == version + 1) else {
            return tx.rollback().await.map_err(fail);
        };
        if version == 0 {
            sqlx::raw_sql(TABLE).execute(&mut *tx).await.map_err(fail)?;
        }
        sqlx::raw_sql(step.text).execute(&mut *tx).await.map_err(fail)?;
        sqlx::query("INSERT INTO migration (version, name, digest) VALUES ($1, $2, $3)")
            .bind(step.version)
            .bind(step.name)
            .bind(digest(step.text.as_bytes()))
            .execute(&mut *tx)
            .await
            .map_err(fail)?;
        tx.commit().await.map_err(fail)?;
    }
}

/// The version of the schema in the file; 0 for an empty one.
pub(crate) async fn version(connection: &mut SqliteConnection, path: &Path) -> Result<i64, StoreError> {
    let fail = |error| StoreError::from_sqlx(path, error);
    let foreign = |why: String| StoreError::Foreign { path: path.to_owned(), why };
    let tables = tables(connection).await.map_err(fail)?;
    if tables.is_empty() {
        return Ok(0);
    }
    match tables.iter().find(|(name, _)| name == "migration") {
        Some((_, text)) if text == TABLE => {}
        Some(_) => return Err(foreign("its table of versions has another shape".to_owned())),
        None => return Err(foreign(format!("it has a table {}, but none that says its version", tables[0].0))),
    }
    let rows = sqlx::query("SELECT version, name, digest FROM migration ORDER BY version")
        .fetch_all(&mut *connection)
        .await
        .map_err(|error| foreign(error.to_string()))?;
    let mut found = 0;
    for row in &rows {
        let version: i64 = row.try_get("version").map_err(|error| foreign(error.to_string()))?;
        let noted: String = row.try_get("digest").map_err(|error| foreign(error.to_string()))?;
        match STEPS.iter().find(|step| step.version == version) {
            None if version > LATEST => {}
            Some(step) if version == found + 1 && digest(step.text.as_bytes()) == noted => {}
            _ => return Err(foreign(format!("its schema step {version} is not the one this program knows"))),
        }
        found = version;
    }
    match found {
        found if found > LATEST => Err(StoreError::Newer { path: path.to_owned(), found, known: LATEST }),
        0 => Err(foreign("its table of versions is empty".to_owned())),
        found => Ok(found),
    }
}

/// Whether the tables are as the steps up to `version` made them. The driver gives up its whole connection on a column whose
/// name or type is not text, so nothing is read from a table before this has been asked.
pub(crate) async fn check_tables(
    connection: &mut SqliteConnection,
    path: &Path,
    version: i64,
) -> Result<(), StoreError> {
    let fail = |error| StoreError::from_sqlx(path, error);
    if version == 0 {
        return Ok(());
    }
    let found = tables(connection).await.map_err(fail)?;
    let mut model = SqliteConnection::connect("sqlite::memory:").await.map_err(fail)?;
    sqlx::raw_sql(TABLE).execute(&mut model).await.map_err(fail)?;
    for step in STEPS.iter().filter(|step| step.version <= version) {
        sqlx::raw_sql(step.text).execute(&mut model).await.map_err(fail)?;
    }
    let expected = tables(&mut model).await.map_err(fail)?;
    model.close().await.map_err(fail)?;
    match expected.iter().find(|table| !found.contains(table)) {
        None => Ok(()),
        Some((name, _)) => {
            let detail = format!("its table {name} is not as this program made it");
            Err(StoreError::Corrupt { path: path.to_owned(), detail })
        }
    }
}

/// Name and text of each table.
async fn tables(connection: &mut SqliteConnection) -> Result<Vec<(String, String)>, sqlx::Error> {
    sqlx::query_as(
        "SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name",
    )
    .fetch_all(connection)
    .await
}
