//! Two tablets, repeats, refusals.

use app::{Answer, OpenJob, Sent, What, Workshop};
use job::words::Fields;

use crate::whole_job::{opening, workshop};

fn sent(id: &str, seen: Option<u64>, word: &str, fields: &[(&str, &str)]) -> Sent {
    let fields: Fields = fields.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
    Sent {
        id: id.into(),
        seen,
        at_ms: None,
        by: "T".into(),
        what: What::Words(word.into(), fields),
        overrides: Vec::new(),
    }
}

async fn opened(workshop: &Workshop, id: &str) -> String {
    let open = OpenJob { id: id.into(), opening: opening(0), at_ms: None, findings: Vec::new(), overrides: Vec::new() };
    workshop.open_job(open).await.unwrap()
}

#[tokio::test]
async fn script_the_second_of_two_conflicting_entries_is_shown_the_newer_state() {
    let (_folder, workshop) = workshop().await;
    let job = opened(&workshop, "two-tablets").await;
    let first = workshop.send(&job, sent("tablet-a-1", Some(1), "open", &[("plug", "fill")])).await.unwrap();
    assert!(first.is_in_the_log());
    // The other tablet still sees entry 1 and opens the same plug.
    let second = workshop.send(&job, sent("tablet-b-1", Some(1), "open", &[("plug", "fill")])).await.unwrap();
    let Answer::Conflict { seen: 1, last_seq: 2, newer } = second else { panic!("{second:?}") };
    assert_eq!(newer[0].text, "Fill plug out");
    // Readings and notes hold whatever else happened.
    let reading =
        workshop.send(&job, sent("tablet-b-2", Some(1), "reading", &[("temperature", "21 °C")])).await.unwrap();
    assert!(reading.is_in_the_log());
    // What tablet A saw is still true but for a reading: no conflict.
    let third = workshop.send(&job, sent("tablet-a-2", Some(2), "prove", &[("plug", "level")])).await.unwrap();
    assert!(third.is_in_the_log());
}

#[tokio::test]
async fn script_a_repeated_send_is_answered_not_repeated() {
    let (_folder, workshop) = workshop().await;
    let job = opened(&workshop, "repeats").await;
    let first = workshop.send(&job, sent("once", None, "note", &[("text", "x")])).await.unwrap();
    let again = workshop.send(&job, sent("once", None, "note", &[("text", "x")])).await.unwrap();
    let Answer::Repeated { first: earlier } = again else { panic!("{again:?}") };
    assert_eq!(earlier, serde_json::to_value(&first).unwrap());
    assert_eq!(workshop.view(&job).await.unwrap().log.len(), 2);
    // Opening again with the same id finds the same job.
    let same = opened(&workshop, "repeats").await;
    assert_eq!(same, job);
}

#[tokio::test]
async fn script_eight_tablets_at_once_lose_nothing() {
    let (_folder, workshop) = workshop().await;
    let job = opened(&workshop, "crowd").await;
    let workshop = std::sync::Arc::new(workshop);
    let mut tasks = Vec::new();
    for tablet in 0..8 {
        let (workshop, job) = (workshop.clone(), job.clone());
        tasks.push(tokio::spawn(async move {
            workshop.send(&job, sent(&format!("tablet-{tablet}"), None, "note", &[("text", "x")])).await.unwrap()
        }));
    }
    for task in tasks {
        assert!(task.await.unwrap().is_in_the_log());
    }
    assert_eq!(workshop.view(&job).await.unwrap().log.len(), 9);
}

#[tokio::test]
async fn script_a_refusal_says_why_and_is_the_same_when_sent_again() {
    let (_folder, workshop) = workshop().await;
    let job = opened(&workshop, "refusals").await;
    let refused = workshop.send(&job, sent("too-early", None, "open", &[("plug", "drain")])).await.unwrap();
    let Answer::Refused { code, also, overridable, .. } = &refused else { panic!("{refused:?}") };
    assert_eq!((code.as_str(), *overridable), ("fill-plug-not-proven", false));
    assert_eq!(also, &["level-plug-not-proven"]);
    let again = workshop.send(&job, sent("too-early", None, "open", &[("plug", "drain")])).await.unwrap();
    assert!(matches!(again, Answer::Repeated { .. }));
}

#[tokio::test]
async fn script_an_entry_from_the_future_is_bad_input() {
    let (_folder, workshop) = workshop().await;
    let job = opened(&workshop, "future").await;
    let mut late = sent("f", None, "note", &[("text", "x")]);
    late.at_ms = Some(workshop.clock().now_ms() + 3_600_000);
    assert_eq!(workshop.send(&job, late).await.unwrap_err().code(), "input");
}

/// What a running workshop keeps of a job in memory is what another reads from the log.
#[tokio::test]
async fn law_memory_and_log_say_the_same_after_every_entry() {
    let (folder, workshop) = workshop().await;
    let job = opened(&workshop, "memory").await;
    let words: [(&str, &[(&str, &str)]); 8] = [
        ("prove", &[("plug", "fill")]),
        ("prove", &[("plug", "level")]),
        ("reading", &[("temperature", "21.3 °C")]),
        ("note", &[("text", "x")]),
        // A correction reaches back.
        ("correct", &[("entry", "4"), ("because", "wrong vehicle"), ("withdraw", "yes")]),
        ("start-engine", &[]),
        ("reading", &[("temperature", "24.6 °C")]),
        ("correct", &[("entry", "8"), ("because", "misread"), ("as", "reading"), ("temperature", "23.1 °C")]),
    ];
    for (n, (word, fields)) in words.iter().enumerate() {
        let answer = workshop.send(&job, sent(&format!("m-{n}"), None, word, fields)).await.unwrap();
        assert!(answer.is_in_the_log(), "{word}: {answer:?}");
        let clock = std::sync::Arc::new(app::ScaledClock::new(1_800_000_000_000, 1.0));
        let path = folder.path().join("w.db");
        let other = Workshop::open(&path, clock, app::demo::WORKSHOP, true).await.unwrap();
        let (kept, read) = (workshop.load(&job).await.unwrap(), other.load(&job).await.unwrap());
        assert_eq!((&kept.state, &kept.log, &kept.hash), (&read.state, &read.log, &read.hash), "after {word}");
        assert_eq!((&kept.history, &kept.scale), (&read.history, &read.scale), "after {word}");
    }
}

/// A wall clock that is set back by an hour or ahead by a year while a server runs is not followed; small corrections are.
#[test]
fn fault_a_clock_that_is_set_is_not_followed() {
    use app::{Clock, SteadyClock};
    use std::sync::Arc;
    use std::sync::atomic::{AtomicI64, Ordering};
    let (wall, run) = (Arc::new(AtomicI64::new(1_800_000_000_000)), Arc::new(AtomicI64::new(0)));
    let reads = |value: &Arc<AtomicI64>| {
        let value = value.clone();
        Box::new(move || value.load(Ordering::SeqCst)) as Box<dyn Fn() -> i64 + Send + Sync>
    };
    let clock = SteadyClock::of(reads(&wall), reads(&run));
    let pass = |wall_by: i64, run_by: i64| {
        wall.fetch_add(wall_by, Ordering::SeqCst);
        run.fetch_add(run_by, Ordering::SeqCst);
        (clock.now_ms() - 1_800_000_000_000, clock.moved_ms())
    };
    assert_eq!(pass(1_000, 1_000), (1_000, 0));
    assert_eq!(pass(1_500, 1_000), (2_500, 0), "half a second of correction");
    assert_eq!(pass(-3_600_000, 0), (2_500, -3_600_000), "an hour back");
    assert_eq!(pass(1_000, 1_000), (3_500, -3_600_000));
    assert_eq!(pass(3_600_000, 0), (3_500, 0), "set right again");
    assert_eq!(pass(365 * 86_400_000, 0), (3_500, 365 * 86_400_000), "a year ahead");
    assert_eq!(pass(i64::MIN / 2, 1_000).0, 4_500);
}
