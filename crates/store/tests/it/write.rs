//! Two writers, the same command twice, and what cannot be written.

use store::{Answer, Appended, JobRow, NewEntry, Store, StoreError};

use crate::support::{answer_to, assert_sound, new_entries, project_with, run, write};

#[tokio::test]
async fn law_what_is_written_is_read() {
    let store = Store::in_memory().await.unwrap();
    assert_eq!(store.log("j-1").await.unwrap(), []);
    assert_eq!(store.row("j-1").await.unwrap(), None);
    let written = [write(&store, "j-1", "c-1", 2).await.unwrap(), write(&store, "j-1", "c-2", 1).await.unwrap()];
    let log = store.log("j-1").await.unwrap();
    let hash = |seq: usize| log[seq - 1].hash.clone();
    let first = Appended::New { first_seq: 1, last_seq: 2, hash: hash(2) };
    assert_eq!(written, [first, Appended::New { first_seq: 3, last_seq: 3, hash: hash(3) }]);
    for (entry, new) in log.iter().zip(new_entries("c-1", 2)) {
        assert_eq!(
            (entry.at_ms, entry.recorded_ms, &entry.by, &entry.kind, &entry.body, entry.command.as_str()),
            (new.at_ms, new.recorded_ms, &new.by, &new.kind, &new.body, "c-1")
        );
    }
    assert_eq!(log[0].prev, "0".repeat(64));
    assert_eq!([&log[1].prev, &log[2].prev], [&log[0].hash, &log[1].hash]);
    for after in [i64::MIN, -1, 0, 1, 2, 3, 4, i64::MAX] {
        let from = after.clamp(0, 3) as usize;
        assert_eq!(store.since("j-1", after).await.unwrap(), log[from..], "since {after}");
    }
    assert_sound(&store).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn law_one_of_two_writers_wins() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    // Two handles, as two programs would have; then two tasks on one handle.
    let one = Store::open(&path).await.unwrap();
    let other = Store::open(&path).await.unwrap();
    for round in 0..40 {
        let second = if round % 2 == 0 { other.clone() } else { one.clone() };
        let log = one.log("j-1").await.unwrap();
        let tasks = [(one.clone(), "left"), (second, "right")].map(|(store, side)| {
            let log = log.clone();
            tokio::spawn(async move {
                let command = format!("c-{round}-{side}");
                let new = new_entries(&command, 1);
                let row = project_with("j-1", &log, &new);
                store.append("j-1", log.len() as i64, &command, &new, &row, "{}").await
            })
        });
        let [left, right] = tasks;
        let results = [left.await.unwrap(), right.await.unwrap()];
        let won = results.iter().filter(|result| matches!(result, Ok(Appended::New { .. }))).count();
        let told = results.iter().filter(|result| {
            matches!(result, Err(StoreError::Conflict { job, expected, actual })
                if job == "j-1" && *expected == round && *actual == round + 1)
        });
        assert_eq!((won, told.count()), (1, 1), "round {round}: {results:?}");
    }
    assert_sound(&one).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn law_many_writers_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(&folder.path().join("log.db")).await.unwrap();
    let tasks: Vec<_> = (0..8)
        .map(|writer| {
            let store = store.clone();
            tokio::spawn(async move {
                for round in 0..5 {
                    let command = format!("c-{writer}-{round}");
                    // Half of them share one job and try again when they lose.
                    let job = if writer % 2 == 0 { "shared".to_owned() } else { format!("own-{writer}") };
                    while let Err(error) = write(&store, &job, &command, 2).await {
                        assert!(matches!(error, StoreError::Conflict { .. }), "{error}");
                    }
                }
            })
        })
        .collect();
    for task in tasks {
        task.await.unwrap();
    }
    assert_eq!(store.log("shared").await.unwrap().len(), 4 * 5 * 2);
    assert_eq!(store.floor().await.unwrap().len(), 5);
    assert_sound(&store).await;
}

#[tokio::test]
async fn law_a_command_is_carried_out_once() {
    let store = Store::in_memory().await.unwrap();
    write(&store, "j-1", "c-1", 2).await.unwrap();
    write(&store, "j-1", "c-2", 1).await.unwrap();
    let first = Answer { first_seq: 1, last_seq: 2, text: Some(answer_to("c-1")) };
    // Whatever the second sending brings and expects, the first answer stands.
    for expected_seq in [0, 2, 3, 99, -1] {
        let new = new_entries("other", 3);
        let row = project_with("j-1", &[], &new);
        let again = store.append("j-1", expected_seq, "c-1", &new, &row, "{}").await.unwrap();
        assert_eq!(again, Appended::Repeated(first.clone()));
    }
    assert_eq!(store.answer("j-1", "c-1").await.unwrap(), Some(first));
    assert_eq!(store.answer("j-1", "c-3").await.unwrap(), None);
    assert_eq!(store.log("j-1").await.unwrap().len(), 3);
    // Ids are the client's own, so the same one in another job is another command.
    let other = write(&store, "j-2", "c-1", 1).await.unwrap();
    assert!(matches!(other, Appended::New { first_seq: 1, last_seq: 1, .. }), "{other:?}");
    assert_sound(&store).await;
}

#[tokio::test]
async fn law_a_refusal_is_remembered() {
    let store = Store::in_memory().await.unwrap();
    let refusal = Answer { first_seq: 0, last_seq: 0, text: Some("{\"refused\":1}".to_owned()) };
    assert_eq!(store.remember("j-1", "c-1", "{\"refused\":1}").await.unwrap(), refusal);
    assert_eq!(store.remember("j-1", "c-1", "{\"refused\":2}").await.unwrap(), refusal);
    assert_eq!(write(&store, "j-1", "c-1", 1).await.unwrap(), Appended::Repeated(refusal));
    assert_eq!(store.log("j-1").await.unwrap(), []);
    assert_eq!(store.jobs().await.unwrap(), Vec::<String>::new());
    assert_sound(&store).await;
}

#[tokio::test]
async fn law_the_database_itself_refuses_changes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    let store = Store::open(&path).await.unwrap();
    write(&store, "j-1", "c-1", 3).await.unwrap();
    let before = store.log("j-1").await.unwrap();
    let attempts = [
        ("UPDATE entry SET body = '{}'", "never changed"),
        ("DELETE FROM entry", "never removed"),
        ("INSERT OR REPLACE INTO entry SELECT * FROM entry WHERE seq = 2", "follows the last one"),
        ("REPLACE INTO entry SELECT job, 2, 1, 0, 0, 'x', 'x', '{}', 'x', prev, hash FROM entry WHERE seq = 1", "last"),
        ("INSERT INTO entry SELECT job, 9, 1, 0, 0, 'x', 'x', '{}', 'x', prev, hash FROM entry WHERE seq = 1", "last"),
        ("INSERT INTO entry SELECT job, 4, 1, 0, 0, 'x', 'x', NULL, 'x', prev, hash FROM entry WHERE seq = 1", "NULL"),
    ];
    for (statement, expected) in attempts {
        let error = run(&path, statement).await.expect_err(statement);
        assert!(error.to_string().contains(expected), "{statement}: {error}");
    }
    assert_eq!(store.log("j-1").await.unwrap(), before);
    assert_sound(&store).await;
}

#[tokio::test]
async fn law_what_cannot_be_kept_is_refused() {
    let store = Store::in_memory().await.unwrap();
    let good = new_entries("c", 1);
    let row = project_with("j", &[], &good);
    let long = "x".repeat(store::LONGEST_NAME + 1);
    let entry = |change: fn(&mut NewEntry)| {
        let mut new = good.clone();
        change(&mut new[0]);
        new
    };
    let shown = |change: fn(&mut JobRow)| {
        let mut row = row.clone();
        change(&mut row);
        row
    };
    let deep = "[".repeat(100_000);
    let huge = format!("\"{}\"", "x".repeat(store::LONGEST_TEXT));
    let cases = [
        ("the job", "", "c", good.clone(), row.clone(), "{}"),
        ("the job", &long, "c", good.clone(), row.clone(), "{}"),
        ("the job", "a\0b", "c", good.clone(), row.clone(), "{}"),
        ("the job", "a\nb", "c", good.clone(), row.clone(), "{}"),
        ("the command", "j", "", good.clone(), row.clone(), "{}"),
        ("the command", "j", "c", Vec::new(), row.clone(), "{}"),
        ("the writer of an entry", "j", "c", entry(|new| new.by.clear()), row.clone(), "{}"),
        ("the kind of an entry", "j", "c", entry(|new| new.kind.push('\u{7f}')), row.clone(), "{}"),
        ("the body of an entry", "j", "c", entry(|new| new.body = "{".to_owned()), row.clone(), "{}"),
        ("the body of an entry", "j", "c", entry(|new| new.body = "NaN".to_owned()), row.clone(), "{}"),
        ("the body of an entry", "j", "c", entry(|new| new.body.clear()), row.clone(), "{}"),
        ("the row", "j", "c", good.clone(), shown(|row| row.job = "k".to_owned()), "{}"),
        ("the title", "j", "c", good.clone(), shown(|row| row.title.push('\0')), "{}"),
        ("the summary", "j", "c", good.clone(), shown(|row| row.summary.clear()), "{}"),
        ("the answer", "j", "c", good.clone(), row.clone(), ""),
        ("the answer", "j", "c", good.clone(), row.clone(), &deep),
        ("the answer", "j", "c", good.clone(), row.clone(), &huge),
    ];
    for (expected, job, command, new, row, answer) in cases {
        match store.append(job, 0, command, &new, &row, answer).await {
            Err(error @ StoreError::Input { what, .. }) => {
                assert_eq!(what, expected, "{error}");
                assert_eq!(error.code(), "input");
            }
            other => panic!("{expected}: {other:?}"),
        }
    }
    assert_eq!(store.jobs().await.unwrap(), Vec::<String>::new());
    // Letters of any script and the ends of the number range are kept as they are.
    let new = NewEntry {
        at_ms: i64::MIN,
        recorded_ms: i64::MAX,
        by: "Çelik — Бокс 2 🔧".to_owned(),
        kind: "Note".to_owned(),
        body: " {\"a\" : 1e400, \"b\":\"\\u0000\"}\n".to_owned(),
    };
    store.append("j", 0, "c", std::slice::from_ref(&new), &row, " null ").await.unwrap();
    let entry = store.log("j").await.unwrap().remove(0);
    assert_eq!((entry.at_ms, entry.recorded_ms, entry.by, entry.body), (i64::MIN, i64::MAX, new.by, new.body));
}

#[tokio::test]
async fn law_a_closed_store_says_so() {
    let store = Store::in_memory().await.unwrap();
    store.close().await;
    assert!(matches!(write(&store, "j", "c", 1).await, Err(StoreError::Closed)));
    assert!(matches!(store.floor().await, Err(StoreError::Closed)));
}

/// A page handler may run on any thread, so every call must be able to move between threads.
#[tokio::test(flavor = "multi_thread")]
async fn law_calls_move_between_threads() {
    let folder = tempfile::tempdir().unwrap();
    let to = folder.path().join("copy.db");
    let task = tokio::spawn(async move {
        let store = Store::in_memory().await?;
        write(&store, "j-1", "c-1", 2).await?;
        store.remember("j-1", "c-2", "{}").await?;
        store.put_document("a", "b", "1").await?;
        let rebuilt = store.rebuild(|job, log| Ok(crate::support::project(job, log))).await?;
        let copy = store.backup(&to).await?;
        let found = store.verify_all().await?;
        Ok::<_, StoreError>((rebuilt.jobs, copy.entries, found.is_sound(), store.since("j-1", 1).await?.len()))
    });
    assert_eq!(task.await.unwrap().unwrap(), (1, 2, true, 1));
}
