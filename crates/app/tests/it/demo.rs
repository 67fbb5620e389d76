//! The demo's own time, and its vehicles beside the log.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::{Duration, Instant};

use app::{Answer, OpenJob, ScaledClock, Sent, What, Workshop, demo};
use job::words::Fields;
use quantity::Angle;

use crate::whole_job::{opening, workshop};

async fn send(workshop: &Workshop, word: &str, fields: &[(&str, &str)]) -> Answer {
    let fields: Fields = fields.iter().map(|(field, value)| ((*field).to_owned(), (*value).to_owned())).collect();
    let what = What::Words(word.to_owned(), fields);
    let sent = Sent { id: app::new_id(), seen: None, at_ms: None, by: "T".into(), what, overrides: Vec::new() };
    workshop.send("job-beside", sent).await.unwrap()
}

async fn open(workshop: &Workshop) {
    let id = "job-beside".to_owned();
    let open = OpenJob { id, opening: opening(0), at_ms: None, findings: Vec::new(), overrides: Vec::new() };
    workshop.open_job(open).await.unwrap();
}

#[tokio::test]
async fn sim_time_is_let_pass_and_the_vehicle_goes_with_it() {
    let (_folder, workshop) = workshop().await;
    let workshop = Arc::new(workshop);
    open(&workshop).await;
    let refused = workshop.let_pass(60.0).await.unwrap_err();
    assert!(refused.is_input(), "no vehicles run yet: {refused}");
    let runner = tokio::spawn(demo::run(workshop.clone()));
    let patience = Instant::now();
    while workshop.view("job-beside").await.unwrap().sight.is_none() {
        assert!(patience.elapsed() < Duration::from_secs(30), "the vehicle is never seen");
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    for out_of_range in [f64::NAN, -1.0, 0.0, demo::MOST_S + 1.0] {
        assert!(workshop.let_pass(out_of_range).await.unwrap_err().is_input(), "{out_of_range}");
    }
    assert!(send(&workshop, "start-engine", &[]).await.is_in_the_log());
    let before_ms = workshop.clock().now_ms();
    workshop.let_pass(600.0).await.unwrap();
    let passed_ms = workshop.clock().now_ms() - before_ms;
    assert!((600_000..630_000).contains(&passed_ms), "{passed_ms} ms");

    // Read on the way, each at its own time, none older than half a minute and a little.
    let view = workshop.view("job-beside").await.unwrap();
    let times: Vec<i64> = view.state.readings.iter().map(|reading| reading.at_ms).collect();
    assert!(times.len() >= 18, "{} readings", times.len());
    assert!(times.windows(2).all(|pair| (1..=31_000).contains(&(pair[1] - pair[0]))), "{times:?}");
    let temps: Vec<f64> = view.state.readings.iter().map(|reading| reading.temp_c.celsius()).collect();
    let (first, last) = (temps[0], temps[temps.len() - 1]);
    assert!(first < 25.0 && last > 33.0, "it warmed: {temps:?}");

    // What is typed and what the vehicle shows never say different things.
    let sight = view.sight.unwrap();
    let shown = sight.circuits[0].display_c;
    let typed = |celsius: f64| [("temperature", format!("{celsius:.0} °C")), ("source", "typed".to_owned())];
    for (celsius, taken) in [(shown, true), (shown + 1.0, true), (shown + 30.0, false), (-20.0, false)] {
        let typed = typed(celsius);
        let fields: Vec<(&str, &str)> = typed.iter().map(|(field, value)| (*field, value.as_str())).collect();
        let answer = send(&workshop, "reading", &fields).await;
        assert_eq!(answer.is_in_the_log(), taken, "{celsius} °C while it shows {shown}: {answer:?}");
        if let Answer::Refused { code, reason, cure, .. } = answer {
            assert_eq!(code, "not-what-it-shows");
            assert!(reason.contains("°C") && !cure.is_empty(), "{reason} {cure}");
        }
    }
    // The same of how it stands: a degree off is another vehicle.
    let (nose, side) = (sight.stands.nose_up.degrees(), sight.stands.right_up.degrees());
    for (pitch, roll, taken) in [
        (nose, side, true),
        (nose - 0.9, side + 0.9, true),
        (nose + 1.2, side, false),
        (nose, side - 1.2, false),
        (nose - 9.0, side, false),
    ] {
        let (pitch, roll) = (format!("{pitch:.1}°"), format!("{roll:.1}°"));
        let answer = send(&workshop, "level-vehicle", &[("pitch", &pitch), ("roll", &roll)]).await;
        assert_eq!(answer.is_in_the_log(), taken, "{pitch} {roll} while it stands {}: {answer:?}", sight.stands());
        if let Answer::Refused { code, reason, cure, .. } = answer {
            assert_eq!(code, "not-what-it-shows");
            assert!(reason.contains(&sight.stands()) && !cure.is_empty(), "{reason} {cure}");
        }
    }
    runner.abort();
}

/// Every vehicle stands within what a careful set-up leaves, to a tenth, and each way now and then; one whose sheet does not
/// say where the fluid's edge is stands level.
#[test]
fn sim_how_a_vehicle_stands_hangs_on_its_seed() {
    for (file, text) in sheet::shipped() {
        let Some(sheet) = sheet::check(text).sheet else { continue };
        let stands = |seed| {
            let stands = demo::Twin::new(&sheet, 0, seed).unwrap().sight().stands;
            (stands.nose_up.degrees(), stands.right_up.degrees())
        };
        let edge =
            sheet.circuits().into_iter().filter_map(|id| sheet.of_circuit(id)).any(|one| one.level.lip().is_some());
        let all: Vec<(f64, f64)> = (0..200).map(stands).collect();
        assert_eq!(stands(7), stands(7));
        if !edge {
            assert!(all.iter().all(|stands| *stands == (0.0, 0.0)), "{file} stands level");
            continue;
        }
        let drawn = |of: fn(&(f64, f64)) -> f64| {
            all.iter().map(|stands| (of(stands) * 10.0).round() as i32).collect::<BTreeSet<_>>()
        };
        assert_eq!(drawn(|stands| stands.0), (-4..=4).collect(), "{file}");
        assert_eq!(drawn(|stands| stands.1), (-3..=3).collect(), "{file}");
        assert!(
            all.iter().all(|(nose, side)| [nose, side].iter().all(|d| (*d * 10.0 - (*d * 10.0).round()).abs() < 1e-9)),
            "{file}"
        );
    }
}

#[test]
fn hand_how_it_stands_in_words() {
    let sheet = sheet::check(sheet::shipped()[0].1).sheet.unwrap();
    let mut sight = demo::Twin::new(&sheet, 0, 1).unwrap().sight();
    for (nose, side, words) in [
        (0.0, 0.0, "level, 0.0° both ways"),
        (0.2, -0.1, "nose up 0.2°, right side down 0.1°"),
        (-0.4, 0.3, "nose down 0.4°, right side up 0.3°"),
        (0.0, 0.3, "0.0° along, right side up 0.3°"),
        (-0.1, 0.0, "nose down 0.1°, 0.0° across"),
    ] {
        (sight.stands.nose_up, sight.stands.right_up) = (Angle::from_degrees(nose), Angle::from_degrees(side));
        assert_eq!(sight.stands(), words);
    }
}

#[tokio::test]
async fn script_a_demo_opened_again_goes_on_from_its_last_entry() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("w.db");
    let at = |ms| Arc::new(ScaledClock::new(ms, 1.0));
    let first = Workshop::open(&path, at(1_800_000_000_000), demo::WORKSHOP, true).await.unwrap();
    first.clock().pass(3_600_000);
    open(&first).await;
    drop(first);
    let again = Workshop::open(&path, at(1_800_000_010_000), demo::WORKSHOP, true).await.unwrap();
    demo::catch_up(&again).await.unwrap();
    assert!(again.clock().now_ms() >= 1_800_003_600_000, "{}", again.clock().now_ms());
}

/// Vexel K7: the gear side is filled cold, 15–30 °C; the clutch side is set in a window of 35–45 °C. What is watched is
/// the side that warms, whichever comes first on the sheet.
#[tokio::test]
async fn hand_the_window_is_that_of_the_side_that_warms() {
    let (_folder, workshop) = workshop().await;
    let (_, text) = sheet::shipped().iter().find(|(file, _)| *file == "vexel-k7.toml").unwrap();
    let opening = job::command::Opening { sheet: (*text).to_owned(), demo: false, ..opening(0) };
    let id = "job-beside".to_owned();
    let open = OpenJob { id, opening, at_ms: None, findings: Vec::new(), overrides: Vec::new() };
    workshop.open_job(open).await.unwrap();
    assert!(send(&workshop, "start-engine", &[]).await.is_in_the_log());
    for (shown, zone) in [("25 °C", app::Zone::Cold), ("40 °C", app::Zone::Open), ("50 °C", app::Zone::Hot)] {
        assert!(send(&workshop, "reading", &[("temperature", shown)]).await.is_in_the_log());
        let view = workshop.view("job-beside").await.unwrap();
        assert_eq!(view.live.zone, zone, "{shown}");
        assert_eq!(view.watched(), "Clutch side");
    }
    // Each entry of a side says so; what concerns the vehicle says nothing.
    assert!(send(&workshop, "prove", &[("plug", "gear-fill")]).await.is_in_the_log());
    let log = workshop.view("job-beside").await.unwrap().log;
    let sides: Vec<Option<&str>> = log.iter().map(|line| line.circuit.as_deref()).collect();
    assert_eq!(sides.first().copied().flatten(), None);
    assert_eq!(sides.last().copied().flatten(), Some("Gear side"));
}
