//! Every procedure family driven on the page, through the forms that it shows.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use app::{Clock, OpenJob, Workshop};
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use job::command::Opening;
use job::prompt::Act;
use job::state::State;
use sheet::Level;
use tower::ServiceExt;

/// A clock that the test moves on.
struct Hand(AtomicI64);

impl Clock for Hand {
    fn now_ms(&self) -> i64 {
        self.0.load(Ordering::SeqCst)
    }
}

struct Page {
    shop: Arc<Workshop>,
    clock: Arc<Hand>,
    fluid_c: f64,
    opened_ms: i64,
    _folder: tempfile::TempDir,
}

const START_MS: i64 = 1_799_000_000_000;
/// More forms than any job needs.
const LONGEST: usize = 200;

impl Page {
    async fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let clock = Arc::new(Hand(AtomicI64::new(START_MS)));
        let shop = Workshop::open(&folder.path().join("shop.sqlite"), clock.clone(), "Test workshop", false).await;
        Self { shop: Arc::new(shop.expect("a workshop")), clock, fluid_c: 25.0, opened_ms: 0, _folder: folder }
    }

    async fn send(&self, request: Request<Body>) -> (StatusCode, String) {
        let answer = web::router(self.shop.clone()).oneshot(request).await.expect("an answer");
        let status = answer.status();
        let bytes = to_bytes(answer.into_body(), 4_000_000).await.expect("a body");
        (status, String::from_utf8_lossy(&bytes).into_owned())
    }

    fn passes(&mut self, state: &State, word: &str) {
        let seconds = match word {
            "drained" => 600,
            "road-test" => 900,
            "look" => 20,
            "open" | "close" => 8,
            _ => 45,
        };
        self.clock.0.fetch_add(seconds * 1000, Ordering::SeqCst);
        let per_minute = if state.idling_since_ms.is_some() { 2.0 } else { -0.5 };
        self.fluid_c = (self.fluid_c + per_minute * seconds as f64 / 60.0).max(20.0);
    }

    /// What a person would type into a field of the form; the unit stands beside it.
    fn typed(&self, word: &str, field: &str, suggestion: &str, state: &State) -> String {
        let open_ms = self.clock.now_ms() - self.opened_ms;
        match (field, &state.sheet.level) {
            ("temperature", _) => format!("{:.0}", self.fluid_c),
            ("pitch" | "roll", _) => "0.1".into(),
            ("at" | "out_at" | "in_at", _) => "20".into(),
            ("out" | "in", _) => "4".into(),
            ("mass", _) => if state.weighed.is_empty() { "9.0" } else { "6.0" }.into(),
            ("reading", Level::Probe(probe)) => {
                let at = quantity::Temperature::from_celsius(self.fluid_c);
                let limits = job::family::read::chart_limits(probe, at);
                format!("{:.0}", limits.map_or(30.0, |limits| limits.low.mm() + 2.0))
            }
            ("one_side" | "other_side", _) => "5".into(),
            ("below", _) => "2".into(),
            ("value", _) => "50".into(),
            ("new_seal", _) => "yes".into(),
            ("flow", _) if open_ms > 60_000 => "drops".into(),
            ("flow", Level::SideHole(_)) => "nothing".into(),
            ("flow", _) => "stream".into(),
            ("volume", _) if !suggestion.is_empty() => suggestion.to_owned(),
            ("volume", _) => if word == "drained" { "3" } else { "0.3" }.into(),
            ("fluid", _) => state.sheet.fluid.approvals[0].clone(),
            _ => panic!("{word} asks for {field}"),
        }
    }
}

/// The form on the page that enters `act`: all its hidden inputs are there, and a field for whatever is asked.
fn form<'a>(html: &'a str, act: &Act) -> Option<&'a str> {
    let start = format!("data-act=\"{}\"", act.word);
    let forms = html.split("<form ").skip(1).filter_map(|rest| rest.split_once("</form>")).map(|(form, _)| form);
    forms
        .filter(|form| form.contains(&start))
        .find(|form| act.fixed.iter().all(|(name, value)| form.contains(&format!("name=\"{name}\" value=\"{value}\""))))
}

fn attribute(form: &str, name: &str) -> Option<String> {
    let (_, rest) = form.split_once(&format!("name=\"{name}\" value=\""))?;
    rest.split_once('"').map(|(value, _)| value.to_owned())
}

fn encoded(text: &str) -> String {
    text.bytes()
        .map(|b| if b.is_ascii_alphanumeric() { char::from(b).to_string() } else { format!("%{b:02X}") })
        .collect()
}

/// Opens a job of this sheet.
async fn open(page: &Page, text: &str) {
    let opening = Opening {
        sheet: text.to_owned(),
        vehicle: "invented van".to_owned(),
        odometer_km: None,
        fluid_age_km: None,
        fluid: "invented fluid".to_owned(),
        technician: "T".to_owned(),
        demo: false,
        severe: false,
        fill_ml: None,
        found: None,
    };
    page.shop
        .open_job(OpenJob {
            id: "job-of-family".into(),
            opening,
            at_ms: Some(START_MS),
            findings: Vec::new(),
            overrides: Vec::new(),
        })
        .await
        .expect("a job");
}

async fn drive(file: &str, text: &str) {
    let mut page = Page::new().await;
    open(&page, text).await;
    for turn in 0..LONGEST {
        let view = page.shop.view("job-of-family").await.expect("a view");
        let request = |path: &str| Request::get(path).body(Body::empty()).expect("a request");
        let (status, html) = page.send(request("/job/job-of-family")).await;
        assert_eq!(status, StatusCode::OK, "{file}");
        if view.state.ending.is_some() {
            assert!(view.state.level_set(), "{file}");
            for path in ["/job/job-of-family/outcome", "/job/job-of-family/prepare"] {
                assert_eq!(page.send(request(path)).await.0, StatusCode::OK, "{file} {path}");
            }
            return;
        }
        let stale = view.live.reading_age_s.is_none_or(|age| age > 45.0);
        let watch = view.state.setting_level() && stale;
        let act = view.prompt.acts.iter().find(|act| !watch || act.word == "reading").expect("a button");
        let found = form(&html, act).unwrap_or_else(|| panic!("{file}: no form for {act:?}"));
        let seen =
            view.state.seen_by(view.prompt.circuit.as_deref().unwrap_or(&view.state.sheet.circuit.0)).into_owned();
        let mut body = format!(
            "do={}&held=yes&id=families-turn-{turn}&seq={}",
            act.word,
            attribute(found, "seq").unwrap_or_default()
        );
        for (name, value) in &act.fixed {
            body.push_str(&format!("&{name}={}", encoded(value)));
        }
        page.passes(&view.state, act.word);
        for ask in &act.asks {
            // While it runs, closing is one press; torque and seal are asked for afterwards.
            if !found.contains(&format!("name=\"{}\"", ask.field)) {
                assert!(act.word == "close" && view.state.setting_level(), "{file}: {} lacks {}", act.word, ask.field);
                continue;
            }
            let plug = act.fixed.iter().find(|(name, _)| *name == "plug").and_then(|(_, id)| view.state.plug(id));
            let value = match plug.and_then(|plug| plug.torque.as_ref()).filter(|_| ask.field == "torque") {
                Some(torque) => format!("{:.0}", torque.mid().nm()),
                None => page.typed(act.word, ask.field, &ask.suggestion, &seen),
            };
            body.push_str(&format!("&{}={}", ask.field, encoded(&value)));
            if let Some(unit) = attribute(found, &format!("{}_unit", ask.field)) {
                body.push_str(&format!("&{}_unit={}", ask.field, encoded(&unit)));
            }
        }
        if act.word == "open" {
            page.opened_ms = page.clock.now_ms();
        }
        let post =
            Request::post("/job/job-of-family/log").header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        let (status, answer) = page.send(post.body(Body::from(body.clone())).expect("a request")).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{file}: {body}: {}", answer.get(..2000).unwrap_or(&answer));
    }
    panic!("{file}: the forms lead in a circle");
}

#[tokio::test]
async fn sim_every_family_is_driven_through_the_forms_of_its_page() {
    for (file, text) in sheet::shipped().iter().skip(2) {
        drive(file, text).await;
    }
}

#[tokio::test]
async fn law_a_unit_with_several_circuits_names_the_side_of_plug_step_figure_and_entry() {
    for (file, text) in sheet::shipped() {
        let Some(sheet) = sheet::check(text).sheet else { continue };
        let page = Page::new().await;
        open(&page, text).await;
        let log = "/job/job-of-family/log";
        let first = &sheet.plugs[0].id;
        for (n, body) in
            ["do=level-vehicle&pitch=0%C2%B0&roll=0%C2%B0", &format!("do=prove&plug={first}")].iter().enumerate()
        {
            let body = format!("{body}&id=sides-{n}&seq={}", n + 1);
            let post = Request::post(log).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
            let (status, answer) = page.send(post.body(Body::from(body)).expect("a request")).await;
            assert_eq!(status, StatusCode::SEE_OTHER, "{file}: {answer}");
        }
        let (_, html) = page.send(Request::get("/job/job-of-family").body(Body::empty()).expect("a request")).await;
        let names: Vec<&str> = sheet.circuits().into_iter().map(|id| sheet.circuit_name(id)).collect();
        let told = |what: &str| names.iter().filter(|name| html.contains(&what.replace('*', name))).count();
        let (plugs, entries) = (told("aria-label=\"*\"><p>*</p>"), told("<h3 class=\"of\">*</h3>"));
        if sheet.further.is_empty() {
            assert_eq!((plugs, entries), (0, 0), "{file}: one circuit needs no name");
            continue;
        }
        assert_eq!((plugs, entries), (names.len(), 1), "{file}");
        assert!(html.contains("<h3 class=\"of\">Vehicle</h3>"), "{file}: the tilt is the vehicle\u{2019}s");
        assert!(html.contains("id=\"lead\">Clutch side"), "{file}: whose window it is");
        assert!(html.contains("Section, clutch side"), "{file}: whose sump is drawn");
    }
}
