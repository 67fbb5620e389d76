//! What the record of an ended job says that earlier jobs had taught.

use std::sync::Arc;

use app::{OpenJob, ScaledClock, Workshop, demo, proof};

use crate::level::{Bench, run_off_and_ended, until_poured, until_poured_again};
use crate::whole_job::opening;

/// A further job on the same sheet, from opening to its end, with a stream that breaks at `drops_s`.
async fn another(bench: &mut Bench, id: &str, drops_s: i64) -> String {
    let open = OpenJob {
        id: id.into(),
        opening: opening(0),
        at_ms: Some(bench.now_ms + 60_000),
        findings: Vec::new(),
        overrides: Vec::new(),
    };
    bench.job = bench.workshop.open_job(open).await.unwrap();
    bench.now_ms += 60_000;
    until_poured_again(bench).await;
    run_off_and_ended(bench, drops_s - 20, drops_s).await;
    bench.job.clone()
}

/// The row of the proof sheet, which stands among the assumptions of the outcome too.
async fn said(bench: &Bench, job: &str) -> Option<String> {
    let view = bench.workshop.view(job).await.unwrap();
    let row = proof(&view, "Test workshop").unit.into_iter().find(|row| row.0 == "Run-off").map(|row| row.1);
    let line = row.as_ref().map(|row| format!("run-off {row}"));
    assert_eq!(view.learnt, line);
    assert_eq!(view.outcome.assumptions.iter().any(|said| Some(said) == line.as_ref()), line.is_some());
    row
}

#[tokio::test]
async fn hand_the_proof_says_what_was_learnt_by_then_and_stays() {
    let (folder, mut bench) = until_poured().await;
    run_off_and_ended(&mut bench, 120, 140).await;
    let first = bench.job.clone();
    let second = another(&mut bench, "second", 110).await;
    assert_eq!(said(&bench, &first).await, None, "nothing came before");
    let told = said(&bench, &second).await.unwrap();
    assert!(told.contains("learnt from 1 earlier job of this sheet"), "{told}");
    // Written down later, though it says that it happened days before.
    let later = bench.now_ms + 60_000;
    bench.now_ms -= 9 * 86_400_000;
    let third = another(&mut bench, "third", 100).await;
    assert!(said(&bench, &third).await.unwrap().contains("learnt from 2 earlier jobs"));
    // And the first job no longer teaches: what it had measured is withdrawn.
    bench.job = first.clone();
    bench.now_ms = later;
    let log = bench.workshop.view(&first).await.unwrap().log;
    let measured = log.iter().find(|line| line.text.contains("un off") || line.text.contains("un-off")).unwrap();
    bench.does("correct", &[("entry", &measured.seq.to_string()), ("because", "misread"), ("withdraw", "yes")]).await;
    let fourth = another(&mut bench, "fourth", 100).await;
    let fourth_told = said(&bench, &fourth).await.unwrap();
    assert!(fourth_told.contains("learnt from 2 earlier jobs"), "{fourth_told}");
    // Nothing in memory: the log alone gives the same.
    let clock = Arc::new(ScaledClock::new(1_900_000_000_000, 1.0));
    bench.workshop = Workshop::open(&folder.path().join("w.db"), clock, demo::WORKSHOP, true).await.unwrap();
    assert_eq!(said(&bench, &second).await.unwrap(), told);
    assert_eq!(said(&bench, &first).await, None);
    assert_eq!(said(&bench, &fourth).await.unwrap(), fourth_told);
}
