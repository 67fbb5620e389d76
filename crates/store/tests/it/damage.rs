//! Damaged logs: found, named, and without harm to the other jobs.

use std::fs;

use store::{Store, StoreError};

use crate::support::{Dice, assert_sound, project, raw, seed, write};

/// Three jobs of six entries each, in a closed file.
async fn three_jobs(path: &std::path::Path) {
    let store = Store::open(path).await.unwrap();
    for round in 0..3 {
        for job in ["j-1", "j-2", "j-3"] {
            write(&store, job, &format!("c-{round}"), 2).await.unwrap();
        }
    }
    let proof = store::NewProof {
        seq: 6,
        printed_ms: 1_700_000_000_000,
        mime: "application/pdf".to_owned(),
        model_version: "1".to_owned(),
        bytes: vec![7; 500],
    };
    store.keep_proof("j-2", &proof).await.unwrap();
    store.close().await;
}

/// Someone takes the triggers away and does as they please.
async fn tamper(path: &std::path::Path, statement: &'static str) {
    let mut connection = raw(path).await;
    for prepare in [
        "PRAGMA foreign_keys = OFF",
        "DROP TRIGGER entry_not_changed",
        "DROP TRIGGER entry_not_removed",
        "DROP TRIGGER entry_in_order",
        "DROP TRIGGER proof_not_changed",
        statement,
    ] {
        sqlx::raw_sql(prepare).execute(&mut connection).await.unwrap();
    }
    sqlx::Connection::close(connection).await.unwrap();
}

/// What is done to job j-2, and the entry at which it must show.
const TAMPERINGS: &[(&str, i64)] = &[
    ("UPDATE entry SET body = replace(body, '200', '210') WHERE job = 'j-2' AND seq = 4", 4),
    ("UPDATE entry SET body = body || ' ' WHERE job = 'j-2' AND seq = 1", 1),
    ("UPDATE entry SET at_ms = at_ms + 1 WHERE job = 'j-2' AND seq = 2", 2),
    ("UPDATE entry SET recorded_ms = -recorded_ms WHERE job = 'j-2' AND seq = 3", 3),
    ("UPDATE entry SET written_by = 'Someone' WHERE job = 'j-2' AND seq = 6", 6),
    ("UPDATE entry SET kind = 'DrainClosed' WHERE job = 'j-2' AND seq = 5", 5),
    ("UPDATE entry SET command = 'c-9' WHERE job = 'j-2' AND seq = 5", 5),
    ("UPDATE entry SET hash = upper(hash) WHERE job = 'j-2' AND seq = 5", 5),
    ("UPDATE entry SET prev = substr(prev, 2) WHERE job = 'j-2' AND seq = 5", 5),
    ("UPDATE entry SET format = 0 WHERE job = 'j-2' AND seq = 2", 2),
    ("UPDATE entry SET format = 2 WHERE job = 'j-2' AND seq = 2", 2),
    ("UPDATE entry SET body = x'ff' WHERE job = 'j-2' AND seq = 2", 2),
    ("UPDATE entry SET body = CAST(x'ff' AS TEXT) WHERE job = 'j-2' AND seq = 2", 2),
    ("UPDATE entry SET at_ms = 'noon' WHERE job = 'j-2' AND seq = 2", 2),
    ("UPDATE entry SET seq = 'last' WHERE job = 'j-2' AND seq = 6", 6),
    ("UPDATE entry SET seq = 60 WHERE job = 'j-2' AND seq = 6", 6),
    ("DELETE FROM entry WHERE job = 'j-2' AND seq = 1", 1),
    ("DELETE FROM entry WHERE job = 'j-2' AND seq = 3", 3),
    ("DELETE FROM entry WHERE job = 'j-2' AND seq = 6", 6),
    ("DELETE FROM entry WHERE job = 'j-2' AND seq > 2", 3),
    ("DELETE FROM entry WHERE job = 'j-2'", 1),
    ("UPDATE entry SET body = (SELECT body FROM entry WHERE job = 'j-2' AND seq = 1) WHERE job = 'j-2' AND seq = 4", 4),
    // A whole log of another job under this name, chain and all.
    (
        "DELETE FROM entry WHERE job = 'j-2'; INSERT INTO entry SELECT 'j-2', seq, format, at_ms, recorded_ms, \
         written_by, kind, body, command, prev, hash FROM entry WHERE job = 'j-1'",
        1,
    ),
    // The floor and the answers hide what they know of the end, one at a time.
    ("DELETE FROM entry WHERE job = 'j-2' AND seq = 6; DELETE FROM floor", 6),
    ("DELETE FROM entry WHERE job = 'j-2' AND seq = 6; DELETE FROM answer WHERE job = 'j-2'", 6),
];

#[tokio::test]
async fn fault_every_tampering_is_found_and_stays_with_its_job() {
    for (statement, at) in TAMPERINGS {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("log.db");
        three_jobs(&path).await;
        tamper(&path, statement).await;
        let store = Store::open(&path).await.unwrap();
        let row = store.row("j-2").await.unwrap();
        let error = store.log("j-2").await.expect_err(statement);
        match &error {
            StoreError::Damaged { job, seq, .. } => {
                assert_eq!((job.as_str(), seq), ("j-2", at), "{statement}: {error}")
            }
            StoreError::UnknownFormat { job, seq, format: 2, known: 1 } => assert_eq!((job.as_str(), seq), ("j-2", at)),
            other => panic!("{statement}: {other}"),
        }
        assert!(error.to_string().contains("j-2") && !error.hint().is_empty());
        // The others are read, written and shown.
        for job in ["j-1", "j-3"] {
            write(&store, job, "c-more", 1).await.unwrap();
            assert_eq!(store.log(job).await.unwrap().len(), 7);
        }
        let found = store.verify_all().await.unwrap();
        let named: Vec<_> = found.damaged.iter().map(|damage| (damage.job.as_str(), damage.seq)).collect();
        assert_eq!(named, [("j-2", *at)], "{statement}");
        // A rebuild does the others and leaves the damaged one alone.
        let rebuilt = store.rebuild(|job, log| Ok(project(job, log))).await.unwrap();
        assert_eq!((rebuilt.jobs, rebuilt.damaged.len()), (2, 1), "{statement}");
        assert_eq!(store.row("j-2").await.unwrap(), row, "{statement}");
        assert!(store.log("j-2").await.is_err(), "{statement}: a rebuild does not hide it");
        // A backup keeps the others, and the damage stays visible in it.
        let copy = folder.path().join("copy.db");
        store.backup(&copy).await.unwrap();
        let copy = Store::open(&copy).await.unwrap();
        assert_eq!(copy.verify_all().await.unwrap().damaged, found.damaged);
    }
}

#[tokio::test]
async fn fault_nothing_is_written_after_a_damaged_entry() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    three_jobs(&path).await;
    tamper(&path, "UPDATE entry SET body = '{}' WHERE job = 'j-2' AND seq = 6").await;
    let store = Store::open(&path).await.unwrap();
    let new = crate::support::new_entries("c-9", 1);
    let row = crate::support::project_with("j-2", &[], &new);
    let error = store.append("j-2", 6, "c-9", &new, &row, "{}").await.unwrap_err();
    assert!(matches!(error, StoreError::Damaged { seq: 6, .. }), "{error}");
    assert!(matches!(store.since("j-2", 3).await, Err(StoreError::Damaged { seq: 6, .. })));
    assert_eq!(store.since("j-2", 6).await.unwrap(), [], "what was read before is not read again");
}

#[tokio::test]
async fn fault_a_changed_print_is_found() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    three_jobs(&path).await;
    tamper(&path, "UPDATE proof SET bytes = x'00'").await;
    let store = Store::open(&path).await.unwrap();
    assert!(matches!(store.proof("j-2", 1).await, Err(StoreError::Damaged { .. })));
    assert!(matches!(store.proofs("j-2").await, Err(StoreError::Damaged { .. })));
    assert_eq!(store.verify_all().await.unwrap().damaged.len(), 1);
    assert_eq!(store.log("j-2").await.unwrap().len(), 6);
}

#[tokio::test]
async fn law_the_floor_is_rebuilt_from_the_log() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    three_jobs(&path).await;
    for ruin in [
        "DELETE FROM floor",
        "UPDATE floor SET title = 'x', stage = 'y', seq = 1, closed = 1 - closed",
        "DELETE FROM floor WHERE job = 'j-1'; DELETE FROM answer",
        "SELECT 1",
    ] {
        crate::support::run(&path, ruin).await.unwrap();
        let store = Store::open(&path).await.unwrap();
        let rebuilt = store.rebuild(|job, log| Ok(project(job, log))).await.unwrap();
        assert_eq!((rebuilt.jobs, rebuilt.damaged), (3, vec![]), "{ruin}");
        assert_sound(&store).await;
        // A command that was carried out is not carried out again, even where its answer is lost.
        assert!(matches!(write(&store, "j-1", "c-1", 1).await.unwrap(), store::Appended::Repeated(answer)
            if (answer.first_seq, answer.last_seq) == (3, 4)));
        assert_eq!(store.log("j-1").await.unwrap().len(), 6);
        store.close().await;
    }
    // A projection that fails for one job keeps the others.
    let store = Store::open(&path).await.unwrap();
    let before = store.floor().await.unwrap();
    let picky = |job: &str, log: &[store::Entry]| match job {
        "j-1" => Err("no such kind".to_owned()),
        "j-2" => Ok(project("j-3", log)),
        _ => Ok(project(job, log)),
    };
    let rebuilt = store.rebuild(picky).await.unwrap();
    assert_eq!(rebuilt.jobs, 1);
    let named: Vec<_> = rebuilt.damaged.iter().map(|damage| damage.job.as_str()).collect();
    assert_eq!(named, ["j-1", "j-2"]);
    assert_eq!(store.floor().await.unwrap(), before);
}

#[tokio::test]
async fn sim_one_wrong_byte_anywhere_in_the_file() {
    let mut dice = Dice(seed(20_260_102));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    three_jobs(&path).await;
    let good = fs::read(&path).unwrap();
    let store = Store::open(&path).await.unwrap();
    let jobs = ["j-1", "j-2", "j-3"];
    let mut logs = Vec::new();
    for job in jobs {
        logs.push(store.log(job).await.unwrap());
    }
    store.close().await;
    let (mut refused, mut named, mut harmless) = (0, 0, 0);
    for round in 0..400 {
        let path = folder.path().join(format!("{round}.db"));
        let mut bad = good.clone();
        // Most of a small file is empty; what is written is hit.
        let place = loop {
            let place = dice.roll(bad.len() as u64) as usize;
            if bad[place] != 0 {
                break place;
            }
        };
        bad[place] ^= 1 << dice.roll(8);
        fs::write(&path, &bad).unwrap();
        let Ok(store) = Store::open(&path).await else {
            refused += 1;
            continue;
        };
        let mut wrong = 0;
        for (job, log) in jobs.iter().zip(&logs) {
            // Either an error or the very log that was written: never another one.
            match store.log(job).await {
                Ok(read) => assert_eq!(&read, log, "byte {place}"),
                Err(_) => wrong += 1,
            }
        }
        let sound = store.verify_all().await.is_ok_and(|found| found.is_sound());
        assert!(wrong == 0 || !sound, "byte {place}: a log is not readable, yet all is said to be well");
        if wrong > 0 {
            named += 1
        } else {
            harmless += 1
        }
        store.close().await;
        let _ = fs::remove_file(&path);
    }
    println!("of 400: {refused} refused on opening, {named} with a damaged job, {harmless} outside every log");
    assert!(refused > 0 && named > 100);
}
