//! A job done by doing what the page says, step by step, in the ways that a person may have to: a thumb, keys alone, no
//! script, a line that fails at every step, a wrong clock, a second device.

use std::collections::BTreeSet;
use std::time::{Duration, Instant};

use serde_json::json;
use testkit::{Cut, Screen};

use super::hand::Hand;
use super::page::{Asked, Next, asked};
use super::{Bay, SMALL, audit, layout};

/// How the page is worked.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Way {
    Thumb,
    Keys,
    NoScript,
    /// By thumb, the line cut before every press and restored after it.
    CutLine,
}

/// More turns than any job has; a page that asks for the same thing for ever is found by it.
const MOST_TURNS: usize = 250;

/// One job under work.
struct Work<'a> {
    bay: &'a Bay,
    hand: &'a Hand,
    way: Way,
    line: &'a Cut,
    job: &'a str,
    sheet: &'a str,
}

impl Work<'_> {
    /// Follows the page to the end of the job; gives what was entered.
    async fn follow(&self) -> Vec<String> {
        let (mut entered, mut waited) = (Vec::new(), false);
        let mut seen = BTreeSet::new();
        for _ in 0..MOST_TURNS {
            let ask = asked(self.hand).await;
            if self.way == Way::Thumb && seen.insert(ask.verb.clone()) {
                self.examine(&ask, seen.len()).await;
            }
            match ask.next(waited) {
                Next::Wait(minutes) => {
                    self.hand.let_pass(self.job, minutes).await;
                    self.hand.go(&format!("/job/{}", self.job)).await;
                    waited = true;
                    continue;
                }
                Next::Look(flow) => self.enter(&ask, &format!(".dock .looks button[value={flow}]")).await,
                Next::Press => {
                    assert!(!ask.word.is_empty(), "the page asks for nothing: {}", self.hand.text("main").await);
                    self.fill(&ask).await;
                    self.enter(&ask, ".dock form.act button.do").await;
                }
            }
            entered.push(format!("{} {}", ask.entered, ask.what()));
            waited = false;
            if ask.word == "finish" {
                return entered;
            }
        }
        panic!("the page still asks for something after {MOST_TURNS} turns: {}", asked(self.hand).await.what())
    }

    /// Every state of every family as it lies on a phone, and before the accessibility engine.
    async fn examine(&self, ask: &Asked, number: usize) {
        let mut wrong = layout::wrong(self.hand).await;
        wrong.extend(self.hand.violations(&audit::engine()).await);
        assert!(wrong.is_empty(), "{}: {}: {wrong:#?}", self.sheet, ask.what());
        if let Some(album) = layout::album() {
            layout::photograph(self.bay, &album.join(format!("family-{}-{number:02}.png", self.sheet))).await;
        }
    }

    async fn fill(&self, ask: &Asked) {
        for field in &ask.empty {
            let selector = format!(".dock form.act [name={}]:not([type=hidden])", field.name);
            match self.way {
                _ if field.tick && self.way != Way::Keys => self.hand.click(&selector).await,
                Way::Keys if field.tick => self.hand.type_by_keys(&selector, "").await,
                Way::Keys => self.hand.type_by_keys(&selector, &ask.typed(field)).await,
                _ => self.hand.type_into(&selector, &ask.typed(field)).await,
            }
        }
    }

    /// Presses a button in one of the ways and waits until the log has it.
    async fn enter(&self, ask: &Asked, button: &str) {
        let hand = self.hand;
        if self.way == Way::CutLine {
            self.line.cut();
        }
        match self.way {
            Way::Thumb | Way::CutLine => hand.push(button).await,
            Way::Keys => hand.push_by_keys(button).await,
            Way::NoScript => hand.click(button).await,
        }
        if self.way == Way::CutLine {
            hand.wait_for_text("kept here", "#wire").await;
            self.line.restore();
        }
        let start = Instant::now();
        loop {
            let now = asked(hand).await;
            if now.under && now.entered > ask.entered {
                return;
            }
            if self.way == Way::NoScript && hand.count("cannot be taken back", "form.confirm").await > 0 {
                hand.click("form.confirm input[name=held]").await;
                hand.click("form.confirm button.do").await;
            }
            if start.elapsed() > Duration::from_secs(60) {
                let page = hand.text(".say, .news, .wrong, #wire").await;
                panic!(
                    "{button} enters nothing, {} entries before and {} now: {}: {page}: {}",
                    ask.entered,
                    now.entered,
                    ask.what(),
                    hand.text(".log").await
                );
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
    }
}

/// A vehicle's name that says what is done to it.
fn vehicle(sheet: &str, way: Way) -> String {
    format!("{sheet} by {way:?}")
}

/// The job's own pages once it is finished, and the floor.
async fn finished(hand: &Hand, job: &str, vehicle: &str) {
    hand.go(&format!("/job/{job}/outcome")).await;
    let outcome = hand.text("main").await;
    assert!(outcome.contains("As left"), "{vehicle}: {outcome}");
    hand.go(&format!("/job/{job}/proof")).await;
    assert!(hand.text("body").await.to_uppercase().contains("DEMO"), "{vehicle}: the proof sheet of a demo says so");
    assert_eq!(hand.first_bytes(&format!("/job/{job}/proof.pdf")).await, "%PDF", "{vehicle}");
    hand.go("/").await;
    assert!(hand.text(".finished").await.contains(vehicle), "{}", hand.text("main").await);
}

/// Every sheet that one can plan from, by the name that the opening form gives it.
fn sheets() -> Vec<&'static str> {
    let valid = sheet::shipped().iter().filter(|(_, text)| sheet::check(text).sheet.is_some());
    valid.map(|(file, _)| file.trim_end_matches(".toml")).collect()
}

/// Works through jobs of these sheets in one browser, each from its opening to its proof sheet, then looks into the log: every
/// level came out right, and what was entered is there once. Gives the jobs.
async fn work_through(bay: &Bay, sheets: &[&str], way: Way) -> Vec<String> {
    let (hand, mut jobs) = (&bay.hand, Vec::new());
    for sheet in sheets {
        let start = Instant::now();
        let vehicle = vehicle(sheet, way);
        let job = hand.open_job_on(&vehicle, sheet).await;
        hand.go(&format!("/job/{job}")).await;
        let work = Work { bay, hand, way, line: &bay.line, job: &job, sheet };
        let entered = work.follow().await;
        finished(hand, &job, &vehicle).await;
        println!("{vehicle}: {} entries, {:.1} s", entered.len(), start.elapsed().as_secs_f64());
        jobs.push(job.clone());
        let log = bay.log(&job).await;
        let by_hand: Vec<_> =
            log.iter().filter(|entry| entry.by != "simulated reader").map(|entry| &entry.kind).collect();
        // Each entry once, and one for the opening.
        assert_eq!(by_hand.len(), entered.len() + 1, "{vehicle}: {by_hand:?}, {entered:#?}");
        assert!(bay.level_set(&job).await, "{vehicle}: the level is not right");
    }
    jobs
}

/// The smallest phone, drawn without more pixels than it has points: nothing is measured here.
const PLAIN: Screen = Screen { scale: 1.0, ..SMALL };

/// Two browsers take turns at the sheets: most of a job's time is waiting for a page.
async fn in_two_lanes(screens: [Screen; 2], way: Way) {
    let sheets = sheets();
    let lane = |n: usize| {
        let (mine, screen): (Vec<&str>, _) = (sheets.iter().skip(n).step_by(2).copied().collect(), screens[n]);
        async move {
            let bay = Bay::open(screen, Some("1")).await;
            if way == Way::NoScript {
                // WebDriver itself cannot work a browser whose script is off, so none of ours ever reaches the page.
                bay.ask_browser("Network.enable", json!({})).await;
                bay.ask_browser("Network.setBlockedURLs", json!({ "urls": ["*.js*"] })).await;
                bay.hand.go("/").await;
                let scripted = "return document.documentElement.classList.contains('js')";
                assert_eq!(bay.hand.script(scripted).await, false, "no script of ours runs");
            }
            work_through(&bay, &mine, way).await;
            bay.hand.close().await;
        }
    };
    tokio::join!(lane(0), lane(1));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_every_family_by_thumb() {
    in_two_lanes([PLAIN, PLAIN], Way::Thumb).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_every_family_by_keys_alone() {
    in_two_lanes([Screen::LAPTOP, PLAIN], Way::Keys).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_every_family_without_script() {
    in_two_lanes([PLAIN, PLAIN], Way::NoScript).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_every_family_over_a_line_that_fails_at_every_step() {
    in_two_lanes([PLAIN, PLAIN], Way::CutLine).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_job_on_a_device_whose_clock_is_wrong() {
    let bay = Bay::open(SMALL, Some("1")).await;
    // Three days fast: what the device says of its own time must not matter.
    let fast = "{ const real = Date, ahead = 3 * 86400e3; globalThis.Date = class extends real {
        constructor(...given) { given.length ? super(...given) : super(real.now() + ahead); } static now() { return real.now() + ahead; } } }";
    bay.ask_browser("Page.addScriptToEvaluateOnNewDocument", json!({ "source": fast })).await;
    let began = now_ms();
    bay.hand.go("/").await;
    let ahead = bay.hand.script("return Date.now()").await.as_i64().expect("a time") - now_ms();
    assert!(ahead > 2 * 86_400_000, "the device's clock is wrong: {ahead}");
    // The one unit without a warm-up, so that the demo's clock goes on by less than an hour.
    let jobs = work_through(&bay, &["sollin-w6"], Way::CutLine).await;
    let log = bay.log(&jobs[0]).await;
    for pair in log.windows(2) {
        assert!(pair[0].at_ms <= pair[1].at_ms + 50, "{} is dated before {}", pair[1].kind, pair[0].kind);
    }
    let latest = now_ms() + 3_600_000;
    assert!(log.iter().all(|entry| (began - 100..=latest).contains(&entry.at_ms)), "entries have the server's time");
    bay.hand.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_two_devices_see_each_other() {
    let bay = Bay::open(SMALL, None).await;
    let other = bay.another(Screen::TABLET).await;
    let job = bay.hand.open_job_on("Grey van", "keld-o6").await;
    bay.hand.go(&format!("/job/{job}")).await;
    other.go(&format!("/job/{job}")).await;
    for (n, (mine, theirs)) in [(&bay.hand, &other), (&other, &bay.hand), (&bay.hand, &other)].into_iter().enumerate() {
        let (text, before) = (format!("seen by both {n}"), Instant::now());
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
