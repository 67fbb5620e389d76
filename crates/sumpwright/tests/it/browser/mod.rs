//! A whole job in headless Chromium at phone size, over a line that can be cut.

mod audit;
mod device;
mod follow;
mod hand;
mod layout;
mod page;
mod thumb;

use std::path::Path;
use std::time::Duration;

use fantoccini::ClientBuilder;
use testkit::{Cut, Driver, Screen, Server};

use hand::Hand;

/// Twenty times faster than life: the warm-up takes half a minute, the window stays open for a good quarter of one.
const SPEED: &str = "20";

/// How run-off looks, in words; the longer before the one it contains.
const FLOWS: [&str; 4] = ["thin stream", "stream", "drops", "nothing"];

fn serve(data: &Path, demo: Option<&str>) -> Server {
    let port = testkit::free_port().expect("a free port");
    serve_at(&format!("127.0.0.1:{port}"), data, demo)
}

fn serve_at(listen: &str, data: &Path, demo: Option<&str>) -> Server {
    let data = data.to_str().expect("a path in UTF-8");
    let mut args = vec!["serve", "--listen", listen, "--data", data];
    args.extend(demo.into_iter().flat_map(|speed| ["--demo", "--speed", speed]));
    Server::start(Path::new(env!("CARGO_BIN_EXE_sumpwright")), &args).expect("the server starts")
}

/// A server, a line to it that can be cut, and a browser of that size.
struct Bay {
    data: std::path::PathBuf,
    line: Cut,
    hand: Hand,
    driver: Driver,
    server: Server,
    _folder: tempfile::TempDir,
}

impl Bay {
    async fn open(screen: Screen, demo: Option<&str>) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let data = folder.path().join("demo.db");
        let server = serve(&data, demo);
        let line = Cut::to(server.host_port()).expect("a line to the server");
        let driver = Driver::start().expect("chromedriver starts; `cargo xtask test` installs it");
        let hand = browser(&driver, screen, line.url()).await;
        Self { data, line, hand, driver, server, _folder: folder }
    }

    /// The server as after a power cut: killed, then started again at its old address.
    async fn restart(&mut self, while_down: impl AsyncFnOnce(&Hand)) {
        let at = self.server.host_port().to_owned();
        self.server.kill9();
        while_down(&self.hand).await;
        self.server = serve_at(&at, &self.data, None);
    }

    /// A second device, on a line of its own that is never cut.
    async fn another(&self, screen: Screen) -> Hand {
        browser(&self.driver, screen, self.server.url().to_owned()).await
    }

    /// What the log on disk holds of a job, its chain checked.
    async fn log(&self, job: &str) -> Vec<store::Entry> {
        let store = store::Store::open(&self.data).await.expect("the log opens beside the server");
        store.log(job).await.expect("the chain holds")
    }

    /// Whether a job of the demo ended with its level right.
    async fn level_set(&self, job: &str) -> bool {
        let clock = std::sync::Arc::new(app::SystemClock);
        let beside = app::Workshop::open(&self.data, clock, app::demo::WORKSHOP, true).await.expect("the demo's log");
        beside.load(job).await.expect("the job").state.level_set()
    }

    /// A command of the browser's own protocol, for what WebDriver has no word: its answer.
    async fn ask_browser(&self, command: &str, with: serde_json::Value) -> serde_json::Value {
        let body = serde_json::json!({ "cmd": command, "params": with }).to_string();
        let path = format!("/session/{}/goog/cdp/execute", self.hand.session().await);
        let answer = self.driver.request("POST", &path, &body).expect("chromedriver answers");
        let mut answer: serde_json::Value = serde_json::from_str(&answer).expect("an answer in JSON");
        assert!(answer["value"]["error"].is_null(), "{command}: {answer}");
        answer["value"].take()
    }

    /// Makes the page as large as that, without loading it again.
    async fn resize(&self, width: u32, height: u32) {
        let with =
            serde_json::json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 1000 });
        self.ask_browser("Emulation.setDeviceMetricsOverride", with).await;
    }
}

async fn browser(driver: &Driver, screen: Screen, address: String) -> Hand {
    let client = ClientBuilder::new(hyper_util::client::legacy::connect::HttpConnector::new())
        .capabilities(driver.capabilities(screen))
        .connect(&driver.url())
        .await
        .expect("a browser");
    Hand::new(client, address)
}

/// The smallest phone that the pages are made for.
const SMALL: Screen = Screen { width: 360, height: 740, ..Screen::PHONE };

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_whole_job_on_a_phone() {
    let bay = Bay::open(SMALL, Some(SPEED)).await;
    let ended = tokio::time::timeout(Duration::from_secs(420), whole_job(&bay.hand, &bay.line)).await;
    if ended.is_err() {
        panic!("the job took too long; the page shows: {}", bay.hand.text("body").await);
    }
    let job = ended.expect("in time");
    kept_once(&bay.log(&job).await);
    bay.hand.close().await;
}

/// From the floor to the proof sheet; gives the job's name.
async fn whole_job(hand: &Hand, line: &Cut) -> String {
    let job = hand.open_job("Grey van, browser test").await;
    assert!(hand.text(".band.top").await.contains("DEMO"), "a demo says so at the top of every page");
    assert!(hand.text("main").await.contains("25 N·m"), "the torque card names the drain plug's torque");
    hand.click(".dock a.do").await;

    prove_and_drain(hand).await;
    refill(hand).await;
    warm_up_over_a_cut_line(hand, line).await;
    set_the_level(hand).await;
    close_up(hand).await;

    hand.go(&format!("/job/{job}/outcome")).await;
    let outcome = hand.text("main").await;
    assert!(outcome.contains("As found") && outcome.contains("As left"), "{outcome}");
    assert!(hand.text(".band.top").await.contains("DEMO"));
    hand.go(&format!("/job/{job}/proof")).await;
    assert!(hand.text("body").await.to_uppercase().contains("DEMO"), "the proof sheet of a demo says so");
    assert_eq!(hand.first_bytes(&format!("/job/{job}/proof.pdf")).await, "%PDF");
    job
}

async fn prove_and_drain(hand: &Hand) {
    hand.expect("level-vehicle", "").await;
    hand.fill(&[("pitch", "0.2"), ("roll", "-0.1")]).await;
    hand.press().await;
    hand.expect("prove", "fill").await;
    hand.press().await;
    hand.expect("prove", "level").await;
    hand.press().await;
    // With the engine running nothing is drained: the page asks for it to be stopped first.
    hand.expect("open", "drain").await;
    hand.other("start-engine").await;
    hand.expect("stop-engine", "").await;
    hand.press().await;
    hand.wait_for_text("OFF", ".cell.engine").await;
    hand.expect("open", "drain").await;
    hand.press().await;
    hand.expect("drained", "").await;
    assert!(hand.text(".owed").await.to_uppercase().contains("DRAIN PLUG OUT"), "{}", hand.text(".owed").await);
    // A plug that is out is named on every page of the job.
    hand.reload().await;
    assert!(hand.text(".owed").await.to_uppercase().contains("DRAIN PLUG OUT"), "after a reload");
}

async fn refill(hand: &Hand) {
    let litres = hand.until_steady("Simulated:", 3.0).await;
    hand.fill(&[("volume", &litres), ("at", "20")]).await;
    hand.press().await;
    hand.expect("residue", "").await;
    hand.fill(&[("volume", "0")]).await;
    hand.press().await;
    hand.expect("close", "drain").await;
    hand.other("start-engine").await;
    hand.wait_for_text("drain-plug-out", ".news").await;
    hand.fill(&[("torque", "25")]).await;
    hand.press().await;
    hand.expect("open", "fill").await;
    hand.press().await;
    hand.expect("pour", "").await;
    hand.press().await;
    hand.expect("start-engine", "").await;
    hand.press().await;
    hand.expect("pour", "").await;
    hand.press().await;
    hand.expect("cycle-selector", "").await;
    hand.press().await;
    hand.expect("reading", "").await;
}

/// The line goes dead while the unit warms up; what is entered meanwhile is kept on the phone and arrives once.
async fn warm_up_over_a_cut_line(hand: &Hand, line: &Cut) {
    line.cut();
    hand.note("entered while the line was dead").await;
    hand.wait_for_text("kept here", "#wire").await;
    line.restore();
    hand.wait_for_text("entered while the line was dead", ".log").await;
    hand.reload().await;
    assert_eq!(hand.count("entered while the line was dead", ".log").await, 1);
    hand.expect("open", "level").await;
}

async fn set_the_level(hand: &Hand) {
    hand.press().await;
    hand.wait_for_text("LEVEL PLUG", ".owed").await;
    hand.reload().await;
    assert!(
        hand.text(".owed").await.to_uppercase().contains("LEVEL PLUG"),
        "a reload does not hide a plug that is out"
    );
    // What the demo vehicle does is said on the page; one looks until the stream breaks to drops.
    hand.wait_for_text("stream", ".sight").await;
    loop {
        let seen = hand.text(".sight").await;
        let flow = FLOWS.into_iter().find(|flow| seen.contains(flow)).unwrap_or_else(|| panic!("no look: {seen}"));
        hand.look(&flow.replace(' ', "-")).await;
        if flow == "drops" {
            break;
        }
        tokio::time::sleep(Duration::from_millis(400)).await;
    }
    hand.expect("close", "level").await;
    hand.press().await;
}

async fn close_up(hand: &Hand) {
    hand.expect("run-off", "").await;
    let litres = hand.until_steady("Simulated:", 0.05).await;
    hand.fill(&[("volume", &litres), ("at", "40")]).await;
    hand.press().await;
    hand.expect("close", "fill").await;
    hand.fill(&[("torque", "35")]).await;
    hand.press().await;
    // Torques and seals that were not entered while fluid ran are asked for now.
    hand.expect("seal", "fill").await;
    hand.press().await;
    hand.expect("tighten", "level").await;
    hand.fill(&[("torque", "12")]).await;
    hand.press().await;
    hand.expect("seal", "level").await;
    hand.press().await;
    hand.expect("seal", "drain").await;
    hand.press().await;
    hand.expect("leak-check", "").await;
    hand.press().await;
    hand.expect("road-test", "").await;
    hand.press().await;
    hand.expect("finish", "").await;
    hand.press().await;
    hand.wait_for_text("To the outcome", ".news").await;
}

/// What was acknowledged is in the log, once, with an unbroken chain.
fn kept_once(log: &[store::Entry]) {
    let count = |kind: &str| log.iter().filter(|entry| entry.kind == kind).count();
    for kind in ["fluid-drained", "run-off-measured", "note-written", "job-finished", "selector-cycled"] {
        assert_eq!(count(kind), 1, "{kind}");
    }
    assert_eq!(count("fluid-poured"), 2);
    assert_eq!(count("plug-opened"), 3);
    assert_eq!(count("plug-closed"), 3);
}
