//! The schema, from every version there ever was.

use sqlx::Connection;
use store::{
    Store, StoreError,
    format::digest,
    migrate::{LATEST, STEPS, TABLE},
};

use crate::{
    format::format_1,
    support::{assert_sound, project, raw, run, write},
};

/// A released step is never edited: its text has this SHA-256 (`sha256sum crates/store/sql/*`).
const RELEASED: &[(&str, &str)] = &[
    ("tables", "d48cad7d0bd03f0d5d53cf87f39d2e7f415092badd90bfafc73997abb2be54da"),
    ("keeping", "6175e3958146e7ed68ccf52e9d62f59bc6d43f600ced84652fc685db1899a3e8"),
    ("journal", "35f2770c01b51f67e8a04f2b11736a98bfdf189a52fbf02ee1d3e24888de78cd"),
];

/// Makes a database as the program of schema `version` left it, with the entries of `format_1` in it.
async fn left_by(path: &std::path::Path, version: usize) {
    let mut connection = raw(path).await;
    if version > 0 {
        sqlx::raw_sql(TABLE).execute(&mut connection).await.unwrap();
    }
    for step in &STEPS[..version] {
        sqlx::raw_sql(step.text).execute(&mut connection).await.unwrap();
        sqlx::query("INSERT INTO migration VALUES ($1, $2, $3)")
            .bind(step.version)
            .bind(step.name)
            .bind(digest(step.text.as_bytes()))
            .execute(&mut connection)
            .await
            .unwrap();
    }
    if version > 0 {
        sqlx::raw_sql(include_str!("../data/format_1.sql")).execute(&mut connection).await.unwrap();
    }
    connection.close().await.unwrap();
}

#[test]
fn golden_released_steps() {
    let now: Vec<_> = STEPS.iter().map(|step| (step.name, digest(step.text.as_bytes()))).collect();
    let released: Vec<_> = RELEASED.iter().map(|(name, digest)| (*name, (*digest).to_owned())).collect();
    assert_eq!(now, released);
    assert!(STEPS.iter().map(|step| step.version).eq(1..=LATEST));
}

#[tokio::test]
async fn law_every_version_opens_with_its_entries() {
    for version in 0..=LATEST as usize {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("log.db");
        left_by(&path, version).await;
        let store = Store::open(&path).await.unwrap();
        if version > 0 {
            assert_eq!(store.log("j-7").await.unwrap(), format_1(), "version {version}");
            // That program kept no floor: it is made from the log.
            assert_eq!(store.verify_all().await.unwrap().stale, ["j-7"]);
            store.rebuild(|job, log| Ok(project(job, log))).await.unwrap();
        }
        write(&store, "j-7", "c-9", 2).await.unwrap();
        assert_sound(&store).await;
        store.close().await;
        // Opening again changes nothing.
        let before = std::fs::read(&path).unwrap();
        Store::open(&path).await.unwrap().close().await;
        assert!(std::fs::read(&path).unwrap() == before);
    }
}

#[tokio::test]
async fn fault_newer_or_edited_schema() {
    let folder = tempfile::tempdir().unwrap();
    let cases = [
        ("newer", "INSERT INTO migration VALUES (99, 'later', 'x')"),
        ("foreign", "UPDATE migration SET digest = 'x' WHERE version = 1"),
        ("foreign", "DELETE FROM migration WHERE version = 1"),
        ("foreign", "DELETE FROM migration"),
        ("foreign", "UPDATE migration SET version = -1 WHERE version = 1"),
        ("foreign", "UPDATE migration SET digest = x'ff'"),
    ];
    for (index, (code, change)) in cases.into_iter().enumerate() {
        let path = folder.path().join(format!("{index}.db"));
        Store::open(&path).await.unwrap().close().await;
        run(&path, change).await.unwrap();
        let before = std::fs::read(&path).unwrap();
        let error = Store::open(&path).await.expect_err(change);
        assert_eq!(error.code(), code, "{change}: {error}");
        assert!(std::fs::read(&path).unwrap() == before, "{change}: left as it was");
        if let StoreError::Newer { found, known, .. } = error {
            assert_eq!((found, known), (99, LATEST));
        }
    }
}

#[tokio::test]
async fn fault_a_step_that_fails_leaves_nothing_behind() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    left_by(&path, 1).await;
    // A table in the way of step 2; its name is taken from the text of the step.
    run(&path, "CREATE TRIGGER proof_in_order AFTER INSERT ON document BEGIN SELECT 1; END").await.unwrap();
    let error = Store::open(&path).await.unwrap_err();
    assert_eq!(error.code(), "database", "{error}");
    run(&path, "DROP TRIGGER proof_in_order").await.unwrap();
    let store = Store::open(&path).await.unwrap();
    assert_eq!(store.log("j-7").await.unwrap(), format_1());
}

#[tokio::test(flavor = "multi_thread")]
async fn law_two_programs_may_open_a_new_file_at_once() {
    for _ in 0..10 {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("log.db");
        let tasks: Vec<_> = (0..4)
            .map(|index| {
                let path = path.clone();
                tokio::spawn(async move {
                    let store = Store::open(&path).await?;
                    write(&store, &format!("j-{index}"), "c", 1).await
                })
            })
            .collect();
        for task in tasks {
            task.await.unwrap().unwrap();
        }
        assert_sound(&Store::open(&path).await.unwrap()).await;
    }
}
