//! A job done by doing what the page says, step by step, in the ways that a person may have to: a thumb, keys alone, no
//! script, a line that fails at every step, a wrong clock, a second device.

use std::time::{Duration, Instant};

use serde_json::json;
use testkit::{Cut, Screen};

use super::hand::Hand;
use super::{Bay, SMALL};

/// How the page is worked.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Way {
    Thumb,
    Keys,
    NoScript,
}

/// What is typed into a field that the page leaves empty, by the word of the entry and the field's name.
const TYPED: &[(&str, &str, &str)] = &[
    ("level-vehicle", "pitch", "0.2"),
    ("level-vehicle", "roll", "-0.1"),
    ("drained", "volume", "4.1"),
    ("drained", "at", "40"),
    ("residue", "volume", "0"),
    ("pour", "volume", "4"),
    ("run-off", "volume", "0.5"),
    ("drained", "volume", "4.1"),
    ("weigh", "mass", "9"),
    ("dip", "one_side", "5"),
    ("dip", "other_side", "5"),
    ("probe", "reading", "30"),
    ("edge", "below", "2"),
    ("readout", "value", "50"),
    ("exchange", "out", "4"),
    ("exchange", "fresh", "4"),
    ("", "out_at", "40"),
    ("", "fresh_at", "20"),
    ("", "at", "20"),
    ("", "torque", "20"),
    ("", "volume", "0.3"),
];

/// More steps than any job has; a page that asks for the same thing for ever is found by it.
const MOST_STEPS: usize = 60;

/// What the page asks for: the word, the plug, the fields still empty, and how far the log was.
#[derive(Debug, Clone, PartialEq, Default)]
struct Asked {
    word: String,
    plug: String,
    empty: Vec<String>,
    seq: i64,
    looks: bool,
    /// It is the live page; the one that asks once more is not.
    under: bool,
}

async fn asked(hand: &Hand) -> Asked {
    let script = "const act = document.querySelector('.dock form.act'), looks = document.querySelector('.dock form.looks'), of = act ?? looks;
        if (!of) return { under: !!document.querySelector('.strip') };
        return { under: true, word: act?.dataset.act ?? '', plug: act?.querySelector('input[name=plug]')?.value ?? '', looks: !!looks,
            seq: Number(of.querySelector('input[name=seq]').value),
            empty: [...(act?.querySelectorAll('input:not([type=hidden])') ?? [])].filter(f => f.type === 'checkbox' ? f.required && !f.checked : !f.value).map(f => f.name) }";
    let found = hand.script(script).await;
    Asked {
        word: found["word"].as_str().unwrap_or_default().to_owned(),
        plug: found["plug"].as_str().unwrap_or_default().to_owned(),
        empty: serde_json::from_value(found["empty"].clone()).unwrap_or_default(),
        seq: found["seq"].as_i64().unwrap_or(-1),
        looks: found["looks"] == true,
        under: found["under"] == true,
    }
}

fn typed(word: &str, field: &str) -> &'static str {
    let fits = |row: &&(&str, &str, &str)| (row.0 == word || row.0.is_empty()) && row.1 == field;
    TYPED.iter().find(fits).map_or("", |row| row.2)
}

/// The temperature that the page asks for, the middle of a range, or 40.
async fn warm(hand: &Hand) -> String {
    let said = hand.text(".say").await;
    let figure = said.split(" °C").next().and_then(|before| before.split_whitespace().last()).unwrap_or_default();
    let (low, high) = figure.split_once('–').unwrap_or((figure, figure));
    let middle = low.parse::<f64>().ok().zip(high.parse::<f64>().ok()).map(|(low, high)| (low + high) / 2.0);
    middle.map_or_else(|| "40".to_owned(), |middle| format!("{middle:.0}"))
}

/// Follows the page from where it stands to the end of the job; before each press `prepare` may do something.
async fn follow(hand: &Hand, way: Way, line: Option<&Cut>) -> usize {
    let mut looked = false;
    for step in 1..=MOST_STEPS {
        let ask = asked(hand).await;
        let said = hand.text(".say").await;
        if said.contains("Let it rest") || said.contains("Wait a quarter of a minute") {
            tokio::time::sleep(Duration::from_secs(1)).await;
            hand.go(&hand.path().await).await;
            continue;
        }
        if ask.looks && !looked {
            for flow in ["stream", "drops"] {
                let before = asked(hand).await.seq;
                enter(hand, way, line, &format!(".dock .looks button[value={flow}]"), before).await;
            }
            looked = true;
            continue;
        }
        looked &= ask.looks;
        assert!(!ask.word.is_empty(), "step {step}: the page asks for nothing: {}", hand.text("main").await);
        for field in &ask.empty {
            let warm = warm(hand).await;
            let value = if field == "temperature" { warm.as_str() } else { typed(&ask.word, field) };
            let selector = format!(".dock form.act [name={field}]:not([type=hidden])");
            match way {
                Way::Keys => hand.type_by_keys(&selector, value).await,
                _ if field == "nobody_underneath" => hand.click(&selector).await,
                _ => hand.type_into(&selector, value).await,
            }
        }
        enter(hand, way, line, ".dock form.act button.do", ask.seq).await;
        if ask.word == "finish" {
            return step;
        }
    }
    panic!("the page still asks for something after {MOST_STEPS} steps: {:?}", asked(hand).await)
}

/// Presses a button in one of the ways and waits until the log has gone on.
async fn enter(hand: &Hand, way: Way, line: Option<&Cut>, button: &str, before: i64) {
    if let Some(line) = line {
        line.cut();
    }
    match way {
        Way::Thumb => hand.push(button).await,
        Way::Keys => hand.push_by_keys(button).await,
        Way::NoScript => hand.click(button).await,
    }
    if let Some(line) = line {
        hand.wait_for_text("kept here", "#wire").await;
        line.restore();
    }
    let start = Instant::now();
    loop {
        let now = asked(hand).await;
        if now.under && now.seq != before {
            return;
        }
        if way == Way::NoScript && hand.count("cannot be taken back", "form.confirm").await > 0 {
            hand.click("form.confirm input[name=held]").await;
            hand.click("form.confirm button.do").await;
        }
        let page = hand.text(".say, .news, .wrong, #wire").await;
        assert!(start.elapsed() < Duration::from_secs(60), "{button} enters nothing: {page}");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

/// Opens a job on the unit of a sheet and goes to its live page.
async fn open(hand: &Hand, sheet: &str) -> String {
    let job = hand.open_job_on("Grey van", sheet).await;
    hand.go(&format!("/job/{job}")).await;
    job
}

async fn finished(hand: &Hand, job: &str) {
    hand.go(&format!("/job/{job}/outcome")).await;
    let outcome = hand.text("main").await;
    assert!(outcome.contains("As left"), "{outcome}");
    hand.go("/").await;
    assert!(hand.text(".finished").await.contains("Grey van"), "{}", hand.text("main").await);
}

/// Shipped sheets whose level runs, is weighed or measured: overflow in one stage and in two, after a drain, a dry fill and an
/// exchange; a trickle; pressure; the same amount back.
const FLOWING: &[&str] =
    &["keld-o6", "torvane-r5", "torvane-r5-dry", "ostrel-l6", "ostrel-t8", "brask-h4", "brask-p7", "sollin-w6"];
/// One whose fluid rests five minutes before the level is looked at.
const RESTING: &[&str] = &["keld-m6"];

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_job_of_many_families_by_thumb() {
    // Where fluid must rest, the demo's clock runs the minutes. The families that read a stick, a probe or a figure warm while
    // they rest for longer than a test may take; the pages' own forms are driven to their end in the tests of `web`.
    for (sheets, demo) in [(FLOWING, None), (RESTING, Some("30"))] {
        let bay = Bay::open(SMALL, demo).await;
        for sheet in sheets {
            let job = open(&bay.hand, sheet).await;
            let steps = match tokio::time::timeout(Duration::from_secs(50), follow(&bay.hand, Way::Thumb, None)).await {
                Ok(s) => s,
                Err(_) => {
                    eprintln!("STUCK {sheet}: {}", bay.hand.text(".news").await);
                    continue;
                }
            };
            println!("{sheet}: {steps} steps");
            if steps > 0 {
                finished(&bay.hand, &job).await;
            }
        }
        bay.hand.close().await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_job_by_keys_alone() {
    let bay = Bay::open(Screen::LAPTOP, None).await;
    let job = open(&bay.hand, "keld-o6").await;
    follow(&bay.hand, Way::Keys, None).await;
    finished(&bay.hand, &job).await;
    bay.hand.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_job_without_script() {
    let bay = Bay::open(SMALL, None).await;
    // WebDriver itself cannot work a browser whose script is off, so none of ours ever reaches the page.
    bay.ask_browser("Network.enable", json!({})).await;
    bay.ask_browser("Network.setBlockedURLs", json!({ "urls": ["*.js*"] })).await;
    let job = open(&bay.hand, "keld-o6").await;
    assert_eq!(bay.hand.script("return typeof sendKept").await, "undefined", "no script of ours runs");
    follow(&bay.hand, Way::NoScript, None).await;
    finished(&bay.hand, &job).await;
    bay.hand.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_job_whose_line_fails_at_every_step_and_whose_clock_is_wrong() {
    let bay = Bay::open(SMALL, None).await;
    // Three days fast: what the device says of its own time must not matter.
    let fast = "{ const real = Date, ahead = 3 * 86400e3; globalThis.Date = class extends real {
        constructor(...given) { given.length ? super(...given) : super(real.now() + ahead); } static now() { return real.now() + ahead; } } }";
    bay.ask_browser("Page.addScriptToEvaluateOnNewDocument", json!({ "source": fast })).await;
    let began = now_ms();
    let job = open(&bay.hand, "keld-o6").await;
    let ahead = bay.hand.script("return Date.now()").await.as_i64().expect("a time") - now_ms();
    assert!(ahead > 2 * 86_400_000, "the device's clock is wrong: {ahead}");
    let steps = follow(&bay.hand, Way::Thumb, Some(&bay.line)).await;
    finished(&bay.hand, &job).await;
    let store = store::Store::open(&bay.data).await.expect("the log opens beside the server");
    let log = store.log(&job).await.expect("the chain holds");
    // Each step once: its entry, one for the second look, one for the opening.
    assert_eq!(log.len(), steps + 2, "{:?}", log.iter().map(|entry| &entry.kind).collect::<Vec<_>>());
    for pair in log.windows(2) {
        assert!(pair[0].at_ms <= pair[1].at_ms + 50, "{} is dated before {}", pair[1].kind, pair[0].kind);
    }
    assert!(log.iter().all(|entry| (began - 100..=now_ms()).contains(&entry.at_ms)), "entries have the server's time");
    bay.hand.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_two_devices_see_each_other() {
    let bay = Bay::open(SMALL, None).await;
    let other = bay.another(Screen::TABLET).await;
    let job = open(&bay.hand, "keld-o6").await;
    other.go(&format!("/job/{job}")).await;
    for (mine, theirs) in [(&bay.hand, &other), (&other, &bay.hand), (&bay.hand, &other)] {
        let (text, before) = (format!("seen by both {}", asked(mine).await.seq), Instant::now());
        mine.note(&text).await;
        theirs.wait_for_text(&text, ".log").await;
        println!("seen on the other device {} ms after the press began", before.elapsed().as_millis());
    }
    // Both press the same step at once: it is entered once, and the slower one is told.
    let ask = asked(&bay.hand).await;
    assert_eq!(ask.word, "level-vehicle");
    bay.line.cut();
    for (name, value) in [("pitch", "0.4"), ("roll", "0.4")] {
        bay.hand.type_into(&format!(".dock form.act [name={name}]:not([type=hidden])"), value).await;
    }
    bay.hand.push(".dock form.act button.do").await;
    bay.hand.wait_for_text("kept here", "#wire").await;
    let answer = other.post(&job, json!({ "do": "level-vehicle", "pitch": "0.1°", "roll": "0.1°" })).await;
    assert_eq!(answer["status"], 200, "{answer}");
    bay.line.restore();
    bay.hand.wait_for_text("nose up 0.1", "body").await;
    bay.hand.wait_for_text("someone else entered something meanwhile", "#wire").await;
    other.close().await;
    bay.hand.close().await;
}

fn now_ms() -> i64 {
    jiff::Timestamp::now().as_millisecond()
}
