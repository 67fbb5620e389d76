//! The shelf after jobs: taken off once, whatever is sent again, corrected or kept anew.

use app::demo::work_through;
use app::{Answer, OpenJob, Sent, ShelfKind, StockNow, What, Workshop};

use crate::whole_job::{opening, workshop};

/// When the jobs of these tests begin; the workshop's clock stands 11 days later.
const BEGIN_MS: i64 = 1_799_000_000_000;
const HOUR_MS: i64 = 3_600_000;

const LIST: &str = "# ours\n[[stock]]\nname = \"begun\"\nholds = \"1.2 L\"\nopened = true\nfluid = \"Keld K-6\"\n\n\
    [[stock]]\nname = \"can\"\nholds = \"5 L\"\nfluid = \"keld k6\"\ncount = 2\n\n\
    [[stock]]\nname = \"other\"\nholds = \"1 US qt\"\nfluid = \"Torvane TF-3\"\n";

async fn open(shop: &Workshop, id: &str) {
    let open = OpenJob {
        id: id.into(),
        opening: opening(0),
        at_ms: Some(BEGIN_MS),
        findings: Vec::new(),
        overrides: Vec::new(),
    };
    shop.open_job(open).await.unwrap();
}

/// Sends words as `minute word field=value`, one a line.
async fn log(shop: &Workshop, job: &str, table: &str) {
    for line in table.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let mut cells = line.split(" | ");
        let minute: i64 = cells.next().unwrap().parse().unwrap();
        let word = cells.next().unwrap();
        let fields = cells.map(|cell| cell.split_once('=').unwrap()).map(|(k, v)| (k.to_owned(), v.to_owned()));
        let what = What::Words(word.into(), fields.collect());
        let (id, at_ms) = (format!("{job}-{line}").replace(' ', "-"), Some(BEGIN_MS + minute * 60_000));
        let sent = Sent { id, seen: None, at_ms, by: "T".into(), what, overrides: Vec::new() };
        let answer = shop.send(job, sent).await.unwrap();
        assert!(matches!(answer, Answer::Accepted { .. } | Answer::Repeated { .. }), "{line}: {answer:?}");
    }
}

const POURED: &str = "
    1 | prove | plug=fill
    2 | prove | plug=level
    3 | open | plug=drain
    4 | drained | volume=3.9 L | at=35 °C
    5 | close | plug=drain | torque=25 N·m | new_seal=yes
    6 | open | plug=fill
    7 | pour | volume=4.0 L | at=20 °C";
const STOPPED: &str = "
    8 | close | plug=fill | torque=35 N·m | new_seal=yes
    9 | stop | because=the customer called";

async fn shelf(shop: &Workshop) -> (Vec<(String, i64, bool)>, StockNow) {
    let now = shop.stock(None).await.unwrap().unwrap();
    let cans = now.stock.iter().map(|can| (can.name.clone(), can.holds_ml.ml().round() as i64, can.opened));
    (cans.collect(), now)
}

fn cans(list: &[(&str, i64, bool)]) -> Vec<(String, i64, bool)> {
    list.iter().map(|(name, ml, opened)| ((*name).to_owned(), *ml, *opened)).collect()
}

/// 4.0 L poured: 1.2 L were open, 2.8 L of 5 L come from the closed can that the need of 5.9 L asks for.
#[tokio::test]
async fn script_an_ended_job_takes_off_what_it_poured_and_only_once() {
    let (folder, shop) = workshop().await;
    let untouched = cans(&[("begun", 1200, true), ("can", 5000, false), ("can", 5000, false), ("other", 946, false)]);
    let drawn = cans(&[("can", 2200, true), ("can", 5000, false), ("other", 946, false)]);
    assert!(shop.keep_shelf(ShelfKind::Stock, LIST, Some(BEGIN_MS)).await.unwrap().findings.is_empty());
    open(&shop, "first").await;
    log(&shop, "first", POURED).await;
    assert_eq!(shelf(&shop).await.0, untouched, "an open job has used nothing yet");
    assert_eq!(shop.shelf_text(ShelfKind::Stock).await.unwrap().unwrap(), LIST, "kept as written, comments and all");
    log(&shop, "first", STOPPED).await;
    assert_eq!(shelf(&shop).await.0, drawn);
    // Every command once more, as a phone that lost the answers sends it.
    log(&shop, "first", &[POURED, STOPPED].concat()).await;
    assert_eq!(shelf(&shop).await.0, drawn);
    // Another process on the same file, as after a crash, and rows made anew.
    let clock = std::sync::Arc::new(app::ScaledClock::new(1_800_000_000_000, 1.0));
    let again = Workshop::open(&folder.path().join("w.db"), clock, "again", true).await.unwrap();
    again.rebuild().await.unwrap();
    assert_eq!(shelf(&again).await.0, drawn);
    // A poured volume corrected afterwards is the one that counts; withdrawn it was never poured.
    log(&shop, "first", "20 | correct | entry=8 | because=read again | as=pour | volume=4.3 L | at=20 °C").await;
    assert_eq!(shelf(&shop).await.0[0], ("can".to_owned(), 1900, true));
    log(&shop, "first", "21 | correct | entry=8 | because=never poured | withdraw=yes").await;
    assert_eq!(shelf(&shop).await.0, untouched);
}

#[tokio::test]
async fn script_what_the_shelf_did_not_hold_is_told_and_not_booked() {
    let (_folder, shop) = workshop().await;
    let small = "[[stock]]\nname = \"begun\"\nholds = \"1.2 L\"\nopened = true\nfluid = \"Keld K-6\"\n";
    shop.keep_shelf(ShelfKind::Stock, small, Some(BEGIN_MS)).await.unwrap();
    for (job, missing) in [("first", 2800.0), ("second", 4000.0)] {
        open(&shop, job).await;
        log(&shop, job, &[POURED, STOPPED].concat()).await;
        let (left, now) = shelf(&shop).await;
        assert_eq!(left, [], "{job}");
        let booked = &now.jobs.last().unwrap().booked[0];
        assert!((booked.missing_ml.ml() - missing).abs() < 1e-9, "{job}: {booked:?}");
        assert!(now.jobs.last().unwrap().says()[0].contains("did not hold"), "{job}");
    }
}

/// The list as it is now can be kept and says the same; a list describes a moment, and jobs that ended before are in it.
#[tokio::test]
async fn script_a_list_kept_anew_starts_from_what_is_written() {
    let (_folder, shop) = workshop().await;
    shop.keep_shelf(ShelfKind::Stock, LIST, Some(BEGIN_MS)).await.unwrap();
    open(&shop, "first").await;
    log(&shop, "first", &[POURED, STOPPED].concat()).await;
    let (drawn, now) = shelf(&shop).await;
    assert!(now.text.contains("first") && now.text.contains("1 US qt"), "{}", now.text);
    for (as_of_ms, jobs) in [(None, 0), (Some(BEGIN_MS + HOUR_MS), 0), (Some(BEGIN_MS), 1), (Some(i64::MAX), 0)] {
        assert!(shop.keep_shelf(ShelfKind::Stock, &now.text, as_of_ms).await.unwrap().findings.is_empty());
        let (left, again) = shelf(&shop).await;
        assert_eq!(again.jobs.len(), jobs, "{as_of_ms:?}");
        assert_eq!(left == drawn, jobs == 0, "{as_of_ms:?}: {left:?}");
    }
}

/// A whole service: what its log says was poured is what left the shelf, and its own bench list stays as it was.
#[tokio::test]
async fn sim_a_finished_service_is_booked_as_its_log_says() {
    let (_folder, shop) = workshop().await;
    shop.keep_shelf(ShelfKind::Stock, LIST, Some(BEGIN_MS)).await.unwrap();
    open(&shop, "whole").await;
    let before = shop.bench_papers("whole").await.unwrap().bench.containers;
    work_through(&shop, "whole", BEGIN_MS, 3).await.unwrap();
    let view = shop.view("whole").await.unwrap();
    assert_eq!(view.state.ending, Some(job::state::Ending::Finished));
    let poured = job::State::total(&view.state.poured).ml();
    let (left, now) = shelf(&shop).await;
    let on_shelf: i64 = left.iter().map(|can| can.1).sum();
    assert!((12_146.35 - poured - on_shelf as f64).abs() < 3.0, "{poured} mL poured, {left:?}");
    assert_eq!(now.jobs.len(), 1);
    assert_eq!(shop.bench_papers("whole").await.unwrap().bench.containers, before);
}
