//! Breaks a write before each of its steps and looks at what is left.

use std::{sync::atomic::Ordering::SeqCst, time::Duration};

use crate::{Appended, Store, StoreError};

#[path = "../tests/it/support.rs"]
#[allow(dead_code, reason = "shared with the tests outside, which use more of it")]
mod support;

use support::{answer_to, assert_sound, write};

/// Steps of a write of three entries: before and after taking the lock, three entries, row, answer, before and after the
/// commit.
const STEPS: i64 = 10;

fn arm(store: &Store, step: i64, hang: bool) {
    let plan = &store.fault.plan;
    plan.left.store(step, SeqCst);
    plan.hang.store(hang, SeqCst);
    plan.set.store(true, SeqCst);
}

/// Writes with a break before `step`; `hang` drops the write there, as when the client goes away.
async fn broken_write(store: &Store, step: i64, hang: bool) -> Option<Result<Appended, StoreError>> {
    arm(store, step, hang);
    tokio::select! {
        result = write(store, "j-1", "c-3", 3) => Some(result),
        () = store.fault.plan.hung.notified() => None,
    }
}

#[tokio::test]
async fn fault_every_step_is_all_or_nothing() {
    for step in 0..STEPS {
        for hang in [false, true] {
            let folder = tempfile::tempdir().expect("a folder");
            let path = folder.path().join("log.db");
            let store = Store::open(&path).await.expect("opens");
            for command in ["c-1", "c-2"] {
                write(&store, "j-1", command, 3).await.expect("is written");
            }
            match broken_write(&store, step, hang).await {
                None => assert!(hang),
                Some(result) => assert!(!hang && result.is_err(), "step {step}: {result:?}"),
            }
            // The last two steps are after the commit: only the acknowledgement is lost.
            let expected = if step >= STEPS - 2 { 9 } else { 6 };
            assert_eq!(store.log("j-1").await.expect("reads").len(), expected, "step {step}");
            assert_sound(&store).await;

            // The same after leaving without closing, from another handle.
            let again = Store::open(&path).await.expect("opens again");
            assert_eq!(again.log("j-1").await.expect("reads").len(), expected, "step {step}");
            assert_sound(&again).await;

            // Sending the command again settles it, through the handle that was broken and only once.
            let retried = write(&store, "j-1", "c-3", 3).await.expect("is settled");
            match retried {
                Appended::New { first_seq, last_seq, .. } => assert_eq!((first_seq, last_seq, expected), (7, 9, 6)),
                Appended::Repeated(answer) => {
                    assert_eq!((answer.first_seq, answer.last_seq, expected), (7, 9, 9));
                    assert_eq!(answer.text, Some(answer_to("c-3")));
                }
            }
            assert_eq!(store.log("j-1").await.expect("reads").len(), 9);
            assert_sound(&store).await;
        }
    }
}

#[tokio::test]
async fn fault_steps_are_all_swept() {
    let store = Store::in_memory().await.expect("opens");
    let result = broken_write(&store, STEPS, false).await;
    assert!(matches!(result, Some(Ok(Appended::New { first_seq: 1, last_seq: 3, .. }))), "{result:?}");
    assert_eq!(store.fault.plan.left.load(SeqCst), 0, "the write has {STEPS} steps");
}

#[tokio::test]
async fn fault_writes_dropped_at_any_moment() {
    let mut dice = support::Dice(support::seed(20_260_103));
    let folder = tempfile::tempdir().expect("a folder");
    for store in [Store::in_memory().await, Store::open(&folder.path().join("log.db")).await] {
        let store = store.expect("opens");
        let mut dropped = 0;
        for round in 0..150 {
            let command = format!("c-{round}");
            let wait = Duration::from_micros(dice.roll(2500));
            if tokio::time::timeout(wait, write(&store, "j-1", &command, 2)).await.is_err() {
                dropped += 1;
                write(&store, "j-1", &command, 2).await.expect("is settled");
            }
        }
        println!("{dropped} of 150 writes dropped");
        assert!(dropped > 0);
        let log = store.log("j-1").await.expect("reads");
        let commands: Vec<_> = log.iter().map(|entry| entry.command.clone()).collect();
        let expected: Vec<_> = (0..300).map(|index| format!("c-{}", index / 2)).collect();
        assert_eq!(commands, expected);
        assert_sound(&store).await;
    }
}
