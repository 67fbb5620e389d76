//! What the device itself does: it keeps photos and pages while the line is dead, and a ruler tells it how long a
//! millimetre is.

use super::hand::Hand;
use super::{Bay, SMALL};

/// A picture that is at hand.
const PICTURE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../web/static/icon-192.png");

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_photo_taken_without_a_connection_arrives_once_with_its_own_time() {
    let bay = Bay::open(SMALL, None).await;
    let hand = &bay.hand;
    let job = hand.open_job("Grey van, photo").await;
    hand.go(&format!("/job/{job}/photo")).await;
    for (line_is_dead, kept) in [(false, 1), (true, 2)] {
        if line_is_dead {
            bay.line.cut();
        }
        hand.choose_file("form.shoot input[type=file]", PICTURE).await;
        hand.click("form.shoot button.do").await;
        if line_is_dead {
            hand.wait_for_text("a photo is kept here", "#wire").await;
            // Leaving the page, even closing it, loses nothing.
            hand.reload().await;
            hand.wait_for_text("a photo is kept here", "#wire").await;
            tokio::time::sleep(std::time::Duration::from_secs(3)).await;
            bay.line.restore();
        }
        hand.wait_for_count(kept, "main section img").await;
    }
    hand.wait_until_hidden("#wire").await;
    let store = store::Store::open(&bay.data).await.expect("the log opens beside the server");
    let log = store.log(&job).await.expect("the chain holds");
    let photos: Vec<_> = log.iter().filter(|entry| entry.kind == "photo-kept").collect();
    assert_eq!(photos.len(), 2, "{log:#?}");
    let waited = photos[1].recorded_ms - photos[1].at_ms;
    assert!(waited >= 3000, "it is dated when it was taken, {waited} ms before it arrived");
    assert!(photos[0].recorded_ms - photos[0].at_ms < 3000);
    bay.hand.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_reload_without_a_connection_shows_the_newest_state_that_was_seen() {
    let bay = Bay::open(SMALL, None).await;
    let hand = &bay.hand;
    let job = hand.open_job("Grey van, no line").await;
    hand.go(&format!("/job/{job}")).await;
    hand.worker_ready().await;
    // Loaded once more, now through the worker that keeps what it sees.
    hand.reload().await;
    hand.expect("level-vehicle", "").await;
    hand.fill(&[("pitch", "0.2"), ("roll", "-0.1")]).await;
    hand.press().await;
    hand.expect("prove", "fill").await;
    hand.wait_for_text("nose up 0.2", ".log").await;
    bay.line.cut();
    hand.reload().await;
    hand.expect("prove", "fill").await;
    assert!(hand.text(".log").await.contains("nose up 0.2"), "the newest state, not the one first loaded");
    hand.wait_for_text("no connection", "#wire").await;
    hand.wait_for_text("old", "#wire").await;
    hand.note("written after the reload").await;
    hand.wait_for_text("kept here", "#wire").await;
    // A page that was never seen says so and loses nothing.
    hand.go("/sheets/compare?a=keld-o6&b=keld-m6").await;
    assert!(hand.text("h1").await.contains("No connection"), "{}", hand.text("body").await);
    bay.line.restore();
    hand.go(&format!("/job/{job}")).await;
    hand.wait_for_text("written after the reload", ".log").await;
    hand.reload().await;
    assert_eq!(hand.count("written after the reload", ".log").await, 1);
    bay.hand.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_ruler_sets_how_long_a_millimetre_is() {
    let bay = Bay::open(SMALL, None).await;
    let hand = &bay.hand;
    let job = hand.open_job("Grey van, ruler").await;
    let height = "return document.querySelector('.dock button.do').getBoundingClientRect().height";
    let mut heights = Vec::new();
    for mm in [4.0, 6.5] {
        hand.go("/settings").await;
        let drag = format!(
            "const r = document.querySelector('#ruler'); r.value = {mm}; r.dispatchEvent(new Event('input', {{ bubbles: true }}))"
        );
        hand.script(&drag).await;
        hand.click("form:has(#mm) button.do").await;
        hand.wait_for_count(1, &format!("link[href*='mm={mm:.2}']")).await;
        hand.go(&format!("/job/{job}")).await;
        let set = "return parseFloat(getComputedStyle(document.documentElement).getPropertyValue('--mm'))";
        assert_eq!(hand.script(set).await.as_f64(), Some(mm));
        heights.push(hand.script(height).await.as_f64().expect("a height"));
    }
    for (mm, height) in [4.0, 6.5].iter().zip(&heights) {
        assert!(*height >= 25.0 * mm - 0.5, "25 mm of {mm} px each: {height} px");
    }
    assert!(heights[1] > heights[0]);
    bay.hand.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_server_that_is_killed_and_started_again_loses_nothing() {
    let mut bay = Bay::open(SMALL, None).await;
    let job = bay.hand.open_job("Grey van, power cut").await;
    bay.hand.go(&format!("/job/{job}")).await;
    bay.hand.note("before the power cut").await;
    bay.hand.wait_for_text("before the power cut", ".log").await;
    bay.restart(async |hand: &Hand| {
        hand.note("while the server was down").await;
        hand.wait_for_text("kept here", "#wire").await;
    })
    .await;
    bay.hand.wait_for_text("while the server was down", ".log").await;
    // The page lives again by itself: what another device enters stands on it.
    let answer = bay.hand.post(&job, serde_json::json!({ "do": "reading", "temperature_c": 23 })).await;
    assert_eq!(answer["status"], 200, "{answer}");
    bay.hand.wait_for_text("23", "#whole").await;
    let kinds: Vec<_> = bay.log(&job).await.into_iter().map(|entry| entry.kind).collect();
    assert_eq!(kinds, ["job-opened", "note-written", "note-written", "reading-taken"]);
    bay.hand.close().await;
}
