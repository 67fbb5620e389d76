//! Requests against a workshop in a temporary folder, without a network.

use std::sync::Arc;

use app::{OpenJob, SystemClock, Workshop};
use axum::body::{Body, to_bytes};
use axum::http::{Request, Response, StatusCode, header};
use job::command::Opening;
use serde_json::Value;
use tower::ServiceExt;

pub struct Shop {
    pub shop: Arc<Workshop>,
    /// Lives as long as the workshop's file.
    _folder: tempfile::TempDir,
}

const JOB: &str = "test-job";

impl Shop {
    pub async fn new(demo: bool) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let file = folder.path().join("shop.sqlite");
        let shop = Workshop::open(&file, Arc::new(SystemClock), "Test workshop", demo).await.expect("a workshop");
        let opening = Opening {
            sheet: shop.sheets()[0].text.clone(),
            vehicle: "Blue <estate>".to_owned(),
            odometer_km: None,
            fluid_age_km: None,
            fluid: String::new(),
            technician: "Tester".to_owned(),
            demo: false,
            severe: false,
            fill_ml: None,
            found: None,
        };
        shop.open_job(OpenJob {
            id: JOB.to_owned(),
            opening,
            at_ms: None,
            findings: Vec::new(),
            overrides: Vec::new(),
        })
        .await
        .expect("a job");
        Self { shop: Arc::new(shop), _folder: folder }
    }

    pub async fn send(&self, request: Request<Body>) -> Response<Body> {
        web::router(self.shop.clone()).oneshot(request).await.expect("an answer")
    }

    pub async fn get(&self, path: &str) -> (StatusCode, String) {
        let answer = self.send(Request::get(path).body(Body::empty()).expect("a request")).await;
        (answer.status(), text(answer).await)
    }

    pub async fn form(&self, path: &str, body: &str) -> Response<Body> {
        let request = Request::post(path).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.send(request.body(Body::from(body.to_owned())).expect("a request")).await
    }

    async fn json(&self, body: &str) -> (StatusCode, Value) {
        let request = Request::post(format!("/job/{JOB}/log"))
            .header(header::CONTENT_TYPE, "application/json")
            .header(header::ACCEPT, "application/json");
        let answer = self.send(request.body(Body::from(body.to_owned())).expect("a request")).await;
        let status = answer.status();
        (status, serde_json::from_str(&text(answer).await).expect("JSON"))
    }

    async fn entries(&self) -> u64 {
        self.shop.view(JOB).await.expect("the job").state.last_seq
    }
}

pub async fn text(answer: Response<Body>) -> String {
    let bytes = to_bytes(answer.into_body(), 10_000_000).await.expect("a body");
    String::from_utf8(bytes.to_vec()).expect("text")
}

fn log() -> String {
    format!("/job/{JOB}/log")
}

#[tokio::test]
async fn law_every_page_answers_and_is_guarded() {
    let shop = Shop::new(false).await;
    for path in [
        "/",
        "/decide",
        "/health",
        "/settings",
        "/offline",
        "/static/sw.js",
        "/manifest.webmanifest",
        "/nowhere",
        "/job/none",
    ]
    .map(str::to_owned)
    .into_iter()
    .chain(["", "/prepare", "/outcome", "/proof", "/fragment"].map(|end| format!("/job/{JOB}{end}")))
    {
        let answer = shop.send(Request::get(&path).body(Body::empty()).expect("a request")).await;
        let lost = path == "/nowhere" || path == "/job/none";
        assert_eq!(answer.status(), if lost { StatusCode::NOT_FOUND } else { StatusCode::OK }, "{path}");
        let policy = answer.headers()["content-security-policy"].to_str().expect("text").to_owned();
        assert!(policy.contains("default-src 'none'") && !policy.contains("unsafe"), "{path}: {policy}");
        assert_eq!(answer.headers()["x-content-type-options"], "nosniff", "{path}");
        let body = text(answer).await;
        assert!(!body.contains("<estate>") && !body.contains(" style="), "{path}");
    }
}

#[tokio::test]
async fn law_assets_with_a_hash_are_kept_and_others_asked_for_again() {
    let shop = Shop::new(false).await;
    for (path, keep) in
        [(web::assets::style_address(), "immutable"), ("/static/app.css?0", "no-cache"), ("/", "no-store")]
    {
        let answer = shop.send(Request::get(path).body(Body::empty()).expect("a request")).await;
        assert!(answer.headers()["cache-control"].to_str().expect("text").contains(keep), "{path}");
    }
    let worker = shop.send(Request::get("/static/sw.js").body(Body::empty()).expect("a request")).await;
    assert_eq!(worker.headers()["service-worker-allowed"], "/");
}

#[tokio::test]
async fn law_a_form_is_taken_once_however_often_it_is_sent() {
    let shop = Shop::new(false).await;
    let body = "do=prove&plug=fill&turned=yes&id=tap-1&seq=1";
    for _ in 0..3 {
        let answer = shop.form(&log(), body).await;
        assert_eq!(answer.status(), StatusCode::SEE_OTHER);
        assert_eq!(answer.headers()[header::LOCATION], format!("/job/{JOB}"));
    }
    assert_eq!(shop.entries().await, 2);
}

#[tokio::test]
async fn law_a_plain_number_takes_the_unit_beside_its_field() {
    let shop = Shop::new(false).await;
    let answer = shop.form(&log(), "do=reading&temperature=38%2C5&temperature_unit=%C2%B0C&id=r1&seq=1").await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    // 101.3 °F = 38.5 °C, by (101.3 − 32) / 1.8.
    let answer = shop.form(&log(), "do=reading&temperature=101.3+%C2%B0F&temperature_unit=%C2%B0C&id=r2&seq=1").await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    for reading in &shop.shop.view(JOB).await.expect("the job").state.readings {
        assert!((reading.temp_c.celsius() - 38.5).abs() < 0.01, "{reading:?}");
    }
}

#[tokio::test]
async fn law_a_refusal_keeps_what_was_entered_and_offers_its_override() {
    let shop = Shop::new(false).await;
    // Nothing is drained before the fill plug is proven, and no reason passes that gate.
    let answer = shop.form(&log(), "do=open&plug=drain&id=o1&seq=1").await;
    assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(answer).await;
    assert!(page.contains("NOT YET") && page.contains("fill-plug-not-proven") && !page.contains("Do it anyway"));
    for (n, body) in ["do=prove&plug=fill&turned=yes", "do=prove&plug=level&turned=yes"].iter().enumerate() {
        let sent = shop.form(&log(), &format!("{body}&id=p{n}&seq={}", n + 1)).await;
        assert_eq!(sent.status(), StatusCode::SEE_OTHER);
    }
    // The level plug with the engine off may be opened against a typed reason.
    let answer = shop.form(&log(), "do=open&plug=level&id=o2&seq=3").await;
    let page = text(answer).await;
    assert!(page.contains("engine-not-idling") && page.contains("Do it anyway"), "{page}");
    let gates = page.split("name=\"override\" value=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("gates");
    let again = format!("do=open&plug=level&id=o3&seq=3&override={gates}&reason=taken+over+half+done");
    assert_eq!(shop.form(&log(), &again).await.status(), StatusCode::SEE_OTHER);
    let overridden = shop.shop.view(JOB).await.expect("the job").state.overrides;
    assert!(overridden.iter().any(|over| over.reason == "taken over half done"));
    let (_, page) = shop.get(&format!("/job/{JOB}")).await;
    assert!(page.contains("LEVEL PLUG OUT") && page.contains("gate overridden"));
}

#[tokio::test]
async fn law_what_is_not_understood_stands_in_the_form_again() {
    let shop = Shop::new(false).await;
    let body = "do=level-vehicle&pitch=steep&pitch_unit=%C2%B0&roll=0.5&roll_unit=%C2%B0&id=t1&seq=1";
    let answer = shop.form(&log(), body).await;
    assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(answer).await;
    assert!(page.contains("value=\"steep\"") && page.contains("aria-invalid=\"true\""));
}

#[tokio::test]
async fn law_someone_else_s_entry_is_a_conflict_but_a_reading_never_is() {
    let shop = Shop::new(false).await;
    assert_eq!(shop.form(&log(), "do=prove&plug=fill&id=a&seq=1").await.status(), StatusCode::SEE_OTHER);
    let late = shop.form(&log(), "do=prove&plug=level&id=b&seq=1").await;
    assert_eq!(late.status(), StatusCode::CONFLICT);
    assert!(text(late).await.contains("SOMEONE ELSE ENTERED"));
    let reading = shop.form(&log(), "do=reading&temperature=30&temperature_unit=%C2%B0C&id=c&seq=1").await;
    assert_eq!(reading.status(), StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn law_a_held_act_without_script_is_asked_for_once_more() {
    let shop = Shop::new(false).await;
    let page = text(shop.form(&log(), "do=stop&because=too+late+today&hold=yes&id=s1&seq=1").await).await;
    assert!(page.contains("name=\"held\"") && page.contains("value=\"too late today\""));
    assert_eq!(shop.entries().await, 1);
    let sure = shop.form(&log(), "do=stop&because=too+late+today&hold=yes&held=yes&id=s1&seq=1").await;
    assert_eq!(sure.status(), StatusCode::SEE_OTHER);
    assert_eq!(shop.entries().await, 2);
}

#[tokio::test]
async fn law_scanner_apps_send_json() {
    let shop = Shop::new(false).await;
    let (status, answer) = shop.json(r#"{"do":"reading","temperature_c":38.0,"source":"reader"}"#).await;
    assert_eq!((status, &answer["accepted"]["seq"]), (StatusCode::OK, &Value::from(2)));
    let (status, answer) = shop.json(r#"{"do":"open","plug":"drain","id":"x1"}"#).await;
    assert_eq!(
        (status, &answer["refused"]["code"]),
        (StatusCode::UNPROCESSABLE_ENTITY, &Value::from("fill-plug-not-proven"))
    );
    let (status, answer) = shop.json(r#"{"do":"dance"}"#).await;
    assert_eq!((status, &answer["error"]["code"]), (StatusCode::UNPROCESSABLE_ENTITY, &Value::from("words")));
    for nonsense in ["[1]", "{", r#"{"do":{"a":1}}"#, ""] {
        assert_eq!(shop.json(nonsense).await.0, StatusCode::BAD_REQUEST, "{nonsense}");
    }
    for nonsense in [r#"{"do":"reading","temperature_c":1e999}"#, r#"{"do":"reading","temperature_c":-400}"#] {
        assert!(shop.json(nonsense).await.0.is_client_error(), "{nonsense}");
    }
    assert_eq!(shop.entries().await, 2);
}

#[tokio::test]
async fn law_other_sites_and_large_bodies_are_turned_away() {
    let shop = Shop::new(false).await;
    let body = "do=prove&plug=fill&id=a&seq=1";
    for (name, value) in [("sec-fetch-site", "cross-site"), ("origin", "http://elsewhere.example")] {
        let request = Request::post(log()).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        let request = request.header(header::HOST, "shop.local").header(name, value).body(Body::from(body));
        assert_eq!(shop.send(request.expect("a request")).await.status(), StatusCode::FORBIDDEN, "{name}");
    }
    let large = format!("do=note&text={}&id=n&seq=1", "x".repeat(2 * 1024 * 1024));
    assert!(shop.form(&log(), &large).await.status().is_client_error());
    assert_eq!(shop.entries().await, 1);
}

#[tokio::test]
async fn law_the_theme_is_kept_and_leads_back_here_only() {
    let shop = Shop::new(false).await;
    for (back, to) in [("/job/x", "/job/x"), ("//elsewhere.example", "/"), ("https://elsewhere.example", "/")] {
        let answer = shop.form("/theme", &format!("theme=dark&back={back}")).await;
        assert_eq!(answer.headers()[header::LOCATION], to, "{back}");
        assert!(answer.headers()[header::SET_COOKIE].to_str().expect("text").starts_with("theme=dark;"));
    }
    let request = Request::get("/").header(header::COOKIE, "a=b; theme=dark").body(Body::empty());
    assert!(text(shop.send(request.expect("a request")).await).await.contains("data-theme=\"dark\""));
}

#[tokio::test]
async fn law_a_job_is_opened_from_the_floor() {
    let shop = Shop::new(false).await;
    let sheet = &shop.shop.sheets()[0].name;
    let body = format!(
        "do=open-job&id=floor-1&seq=0&sheet={sheet}&vehicle=Van&odometer=120+000&odometer_unit=km&technician=T"
    );
    let answer = shop.form("/job", &body).await;
    assert_eq!(answer.headers()[header::LOCATION], "/job/floor-1/prepare");
    let bad = shop.form("/job", "do=open-job&id=floor-2&sheet=none&vehicle=Van&technician=T").await;
    assert_eq!(bad.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(bad).await.contains("value=\"Van\""));
}

#[tokio::test]
async fn law_the_stream_begins_with_the_figures() {
    let shop = Shop::new(false).await;
    let request = Request::get(format!("/job/{JOB}/live")).body(Body::empty()).expect("a request");
    let answer = shop.send(request).await;
    assert_eq!(answer.headers()["x-accel-buffering"], "no");
    assert!(answer.headers().get(header::CONTENT_ENCODING).is_none());
    let mut body = answer.into_body().into_data_stream();
    let first = futures_util::StreamExt::next(&mut body).await.expect("an event").expect("bytes");
    let event = std::str::from_utf8(&first).expect("text");
    let figures: Value = serde_json::from_str(event.trim().strip_prefix("data: ").expect("data")).expect("JSON");
    assert_eq!(figures["seq"], 1);
    assert!(first.len() < 2048);
}

#[tokio::test]
async fn law_a_demo_workshop_says_so_on_every_page() {
    let shop = Shop::new(true).await;
    for path in ["/".to_owned(), format!("/job/{JOB}"), format!("/job/{JOB}/prepare"), format!("/job/{JOB}/outcome")] {
        let (_, page) = shop.get(&path).await;
        assert!(page.contains("class=\"band top\"") && page.contains("<title>DEMO"), "{path}");
    }
}

/// Who levels a simulated vehicle reads off the page how it stands.
#[tokio::test]
async fn sim_the_page_says_how_the_demo_s_vehicle_stands() {
    let shop = Shop::new(true).await;
    app::demo::stand_ready(&shop.shop).await.expect("a demo job");
    let runner = tokio::spawn(app::demo::run(shop.shop.clone()));
    let patience = std::time::Instant::now();
    let sight = loop {
        let view = shop.shop.view(app::demo::READY).await.expect("the job");
        if let Some(sight) = view.sight {
            break sight;
        }
        assert!(patience.elapsed().as_secs() < 30, "the vehicle is never seen");
        tokio::task::yield_now().await;
    };
    assert!(sight.stands.nose_up.degrees() != 0.0, "this job's vehicle is off level: {:?}", sight.stands);
    let (_, page) = shop.get(&format!("/job/{}", app::demo::READY)).await;
    let says = format!("Simulated: the vehicle stands {}.", sight.stands());
    assert!(page.contains(&says), "{says}");
    println!("{says}");
    runner.abort();
}

async fn chosen(shop: &Shop, path: &str, cookie: &str) -> String {
    let request = Request::get(path).header(header::COOKIE, cookie).body(Body::empty()).expect("a request");
    text(shop.send(request).await).await
}

#[tokio::test]
async fn hand_a_page_speaks_the_units_of_its_reader() {
    let shop = Shop::new(false).await;
    for body in [
        "do=prove&plug=fill&id=a&seq=1",
        "do=prove&plug=level&id=b&seq=2",
        "do=reading&temperature=38.5+%C2%B0C&id=c&seq=3",
    ] {
        assert_eq!(shop.form(&log(), body).await.status(), StatusCode::SEE_OTHER);
    }
    shop.form(&log(), "do=note&text=poured+1+L+at+20+%C2%B0C&id=n&seq=4").await;
    let page = chosen(&shop, &format!("/job/{JOB}"), "units=f.qt.lbfft.mi").await;
    // 38.5 °C = 101.3 °F; the window 35–45 °C is printed as 95–113 °F; a note keeps its own words.
    for there in [
        "id=\"whole\">101<",
        "id=\"tenths\">.3<",
        "id=\"degree\">°F<",
        "95–113 °F",
        "Note: poured 1 L at 20 °C",
        "name=\"temperature_unit\" value=\"°F\"",
    ] {
        assert!(page.contains(there), "{there}\n{page}");
    }
    let usual = chosen(&shop, &format!("/job/{JOB}"), "units=c.l.nm.km").await;
    assert!(usual.contains("id=\"whole\">38<") && usual.contains("value=\"°C\""));
    // What is entered beside °F is read as °F: 100.4 °F = 38 °C.
    let answer = shop.form(&log(), "do=reading&temperature=100.4&temperature_unit=%C2%B0F&id=f&seq=5").await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    let last = *shop.shop.view(JOB).await.expect("the job").state.last_reading().expect("a reading");
    assert!((last.temp_c.celsius() - 38.0).abs() < 1e-9);
}

#[tokio::test]
async fn hand_the_stream_speaks_the_units_of_its_reader() {
    let shop = Shop::new(false).await;
    shop.form(&log(), "do=reading&temperature=40+%C2%B0C&id=c&seq=1").await;
    let request = Request::get(format!("/job/{JOB}/live")).header(header::COOKIE, "units=f").body(Body::empty());
    let mut body = shop.send(request.expect("a request")).await.into_body().into_data_stream();
    let first = futures_util::StreamExt::next(&mut body).await.expect("an event").expect("bytes");
    let event = std::str::from_utf8(&first).expect("text");
    // 40 °C = 104 °F.
    assert!(event.contains("\"whole\":\"104\"") && event.contains("\"unit\":\"°F\""), "{event}");
}

#[tokio::test]
async fn law_settings_are_kept_without_script_and_shown_again() {
    let shop = Shop::new(false).await;
    let body = "theme=dark&temperature=f&volume=l&torque=lbfft&distance=km&mm=4.1";
    let answer = shop.form("/settings", body).await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    let cookies: Vec<String> = answer
        .headers()
        .get_all(header::SET_COOKIE)
        .iter()
        .filter_map(|cookie| cookie.to_str().ok()?.split(';').next().map(str::to_owned))
        .collect();
    assert_eq!(cookies, ["theme=dark", "units=f.l.lbfft.km", "mm=4.10"]);
    let page = chosen(&shop, "/settings", &cookies.join("; ")).await;
    for there in [
        "data-theme=\"dark\"",
        "value=\"f\" checked",
        "value=\"lbfft\" checked",
        "value=\"l\" checked",
        "/static/size.css?mm=4.10",
    ] {
        assert!(page.contains(there), "{there}\n{page}");
    }
    let (_, rule) = shop.get("/static/size.css?mm=4.10").await;
    assert_eq!(rule, ":root{--mm:4.10px}\n");
    for nonsense in ["1e9", "4.1}body{", "", "-4"] {
        assert_eq!(shop.get(&format!("/static/size.css?mm={nonsense}")).await.1, "", "{nonsense}");
    }
}

#[tokio::test]
async fn law_the_page_can_be_installed() {
    let shop = Shop::new(false).await;
    let (_, manifest) = shop.get("/manifest.webmanifest").await;
    let manifest: Value = serde_json::from_str(&manifest).expect("JSON");
    for icon in manifest["icons"].as_array().expect("icons") {
        let answer = shop
            .send(Request::get(icon["src"].as_str().expect("a path")).body(Body::empty()).expect("a request"))
            .await;
        assert_eq!(
            (answer.status(), &answer.headers()[header::CONTENT_TYPE]),
            (StatusCode::OK, &header::HeaderValue::from_str(icon["type"].as_str().expect("a type")).expect("a type"))
        );
        let bytes = to_bytes(answer.into_body(), 100_000).await.expect("bytes");
        // PNG (ISO/IEC 15948), the image header: width and height as big-endian words at 16 and 20.
        if let Some((width, _)) = icon["sizes"].as_str().and_then(|sizes| sizes.split_once('x')) {
            let side: u32 = width.parse().expect("a number");
            assert_eq!(
                (&bytes[1..4], &bytes[16..20], &bytes[20..24]),
                (&b"PNG"[..], &side.to_be_bytes()[..], &side.to_be_bytes()[..])
            );
        }
    }
    assert_eq!((manifest["start_url"].as_str(), manifest["display"].as_str()), (Some("/"), Some("standalone")));
    let (_, page) = shop.get(&format!("/job/{JOB}")).await;
    assert!(page.contains("<!--part-->") && page.contains("<!--/part-->"), "the worker puts newer parts between these");
}

#[tokio::test]
async fn law_a_finished_row_shows_as_left() {
    let shop = Shop::new(true).await;
    app::demo::furnish(&shop.shop).await.expect("a furnished workshop");
    let (_, page) = shop.get("/").await;
    assert!(page.contains("finished, as left ") && page.contains("\u{202f}mL</span>"), "{page}");
}

#[tokio::test]
async fn hand_chapters_count_from_the_start_of_the_camera() {
    let shop = Shop::new(true).await;
    let start = shop.shop.view(JOB).await.expect("the job").now_ms - 600_000;
    let send = |what: &str, seconds: i64| format!("{{{what},\"at_ms\":{}}}", start + seconds * 1000);
    let log = [
        send("\"do\":\"prove\",\"plug\":\"fill\"", 0),
        send("\"do\":\"camera\"", 30),
        send("\"do\":\"prove\",\"plug\":\"level\"", 42),
        send("\"do\":\"open\",\"plug\":\"drain\"", 95),
        send("\"do\":\"reading\",\"temperature_c\":30", 96),
        // Seven seconds later: the same chapter.
        send("\"do\":\"drained\",\"volume\":\"4.05 L\",\"at\":\"30 °C\"", 102),
        send("\"do\":\"camera\"", 200),
        send("\"do\":\"close\",\"plug\":\"drain\",\"torque\":\"25 N·m\",\"new_seal\":\"yes\"", 261),
    ];
    for entry in &log {
        assert_eq!(shop.json(entry).await.0, StatusCode::OK, "{entry}");
    }
    let (_, text) = shop.get(&format!("/job/{JOB}/film/sheet.txt")).await;
    // The first camera starts at 30 s: 42 − 30 = 12, 95 − 30 = 65; the second at 200 s: 261 − 200 = 61.
    for line in [
        "DEMO — simulated vehicle: not a record of work done",
        "Clip 1\n0:00 Blue <estate>, Keld O6\n0:12 Level plug turns\n1:05 Drain plug out; Drained 4.05 L\n",
        "Clip 2\n0:00 Blue <estate>, Keld O6\n1:01 Drain plug in, 25.0 N·m, new seal\n",
        "\nRead first\n- ",
        "\nTorques\n- ",
        "\nSteps\n1. ",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
    assert!(!text.contains("Fill plug turns") && !text.contains("30.0 °C"));
    let (_, page) = shop.get(&format!("/job/{JOB}/film/sheet")).await;
    assert!(page.contains("<time>1:05</time>") && page.contains("data-act=\"camera\""));
    let answer =
        shop.send(Request::get(format!("/job/{JOB}/film/sheet.pdf")).body(Body::empty()).expect("a request")).await;
    assert_eq!(answer.headers()[header::CONTENT_TYPE], "application/pdf");
    assert!(to_bytes(answer.into_body(), 1_000_000).await.expect("bytes").starts_with(b"%PDF"));
}

#[tokio::test]
async fn law_the_overlay_shows_the_figures_on_any_ground_and_says_demo() {
    let shop = Shop::new(true).await;
    for (query, class) in
        [("", "film black"), ("?ground=green", "film green"), ("?ground=%22%3E%3Cscript", "film black")]
    {
        let (status, page) = shop.get(&format!("/job/{JOB}/film{query}")).await;
        assert_eq!(status, StatusCode::OK);
        assert!(page.contains(&format!("<body class=\"{class}\">")), "{query}\n{page}");
        assert!(page.contains("<b>DEMO") && page.contains("Step 1 of ") && page.contains("id=\"whole\""));
    }
    let (status, _) = shop.get("/job/none/film/sheet.pdf").await;
    assert_eq!(status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn law_a_plug_that_is_out_stands_on_every_page_of_the_job() {
    let shop = Shop::new(false).await;
    assert_eq!(shop.form(&log(), "do=open&plug=fill&id=o1&seq=1").await.status(), StatusCode::SEE_OTHER);
    for end in ["", "/prepare", "/outcome", "/proof", "/film", "/film/sheet", "/film?ground=clear"] {
        let (_, page) = shop.get(&format!("/job/{JOB}{end}")).await;
        assert!(page.contains("<b>FILL PLUG OUT</b>"), "{end}");
    }
    // Also where an act is asked for once more.
    let page = text(shop.form(&log(), "do=stop&because=late&hold=yes&id=s1&seq=2").await).await;
    assert!(page.contains("<b>FILL PLUG OUT</b>"));
    let (_, floor) = shop.get("/").await;
    assert!(floor.contains("<b>FILL PLUG OUT</b>"));
    assert_eq!(shop.form(&log(), "do=close&plug=fill&id=c1&seq=2").await.status(), StatusCode::SEE_OTHER);
    assert!(!shop.get(&format!("/job/{JOB}/prepare")).await.1.contains("PLUG OUT</b>"));
}

#[tokio::test]
async fn hand_who_comes_back_is_told_where_things_stand() {
    let shop = Shop::new(false).await;
    let now = shop.shop.view(JOB).await.expect("the job").now_ms;
    for (entry, minutes) in [
        ("\"do\":\"open\",\"plug\":\"fill\"", 9),
        ("\"do\":\"start-engine\"", 6),
        ("\"do\":\"reading\",\"temperature_c\":44.1", 1),
    ] {
        assert_eq!(shop.json(&format!("{{{entry},\"at_ms\":{}}}", now - minutes * 60_000)).await.0, StatusCode::OK);
    }
    // Six minutes since somebody did something; a reading that came by itself is nobody's doing.
    let (_, page) = shop.get(&format!("/job/{JOB}")).await;
    for words in ["YOU STOPPED 6 MIN AGO", "FILL PLUG OUT. Engine running. 44.1 °C.", "Do this now: "] {
        assert!(page.contains(words), "{words}\n{page}");
    }
    let plain = shop.get(&format!("/job/{JOB}/fragment")).await.1;
    let request = Request::get(format!("/job/{JOB}/fragment")).header("x-back", "1").body(Body::empty());
    let back = text(shop.send(request.expect("a request")).await).await;
    assert!(!plain.contains("YOU STOPPED") && back.contains("YOU STOPPED 6 MIN AGO"));
}
