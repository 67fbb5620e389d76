//! `decide` and `due` as a script meets them.

use serde_json::Value;

use crate::{json, near, run, run_in};

const SOUND: [&str; 20] = [
    "--colour",
    "darker",
    "--smell",
    "stale",
    "--paper",
    "even",
    "--metal",
    "film",
    "--symptom",
    "none",
    "--codes",
    "none",
    "--signal",
    "good",
    "--level",
    "near",
    "--history",
    "on-record",
    "--use",
    "normal",
];

fn words(value: &Value, key: &str) -> Vec<String> {
    let list = value.as_array().expect("a list");
    list.iter().map(|row| row[key].as_str().expect("a text").to_owned()).collect()
}

#[test]
fn script_decide_a_sound_unit_is_serviced() {
    let all: Vec<&str> =
        ["decide", "--sheet", "keld-o6", "--distance", "61 000 km", "--time", "4 years", "--price", "12/L"]
            .into_iter()
            .chain(SOUND)
            .collect();
    let judged = json(&all);
    assert_eq!((&judged["verdict"], &judged["service"]), (&"service".into(), &true.into()));
    assert_eq!(judged["due"]["status"], "due");
    assert_eq!(judged["findings"]["colour"], "darker");
    let ways = words(&judged["methods"], "id");
    let once = &judged["methods"][ways.iter().position(|id| id == "drain-once").expect("one drain")];
    // The sheet: 4 of 9 L. 5/9 stay; 61 000·5/9 = 33 888.9 km; 4 L at 12.
    near(&once["old_fraction"], 5.0 / 9.0, 1e-9);
    near(&once["blend_age_km"], 61_000.0 * 5.0 / 9.0, 1e-6);
    near(&once["cost"], 48.0, 1e-9);
    // 4/9 every 60 000 km: 135 000 km before, 75 000 km after.
    near(&judged["policy"]["before_km"], 135_000.0, 1e-6);
    near(&judged["policy"]["after_km"], 75_000.0, 1e-6);
    assert!(judged["customer_text"].as_str().is_some_and(|text| text.contains("order the service")));
}

#[test]
fn script_decide_refuses_with_exit_1() {
    for (finding, verdict) in
        [(["--colour", "milky"], "stop"), (["--metal", "pieces"], "stop"), (["--signal", "bad"], "diagnose-first")]
    {
        let answer = run(&["decide", "--sheet", "keld-o6", finding[0], finding[1], "--json"]);
        assert_eq!(answer.code, 1, "{}", answer.err);
        let judged = answer.json();
        assert_eq!(judged["verdict"], verdict);
        let sourced =
            judged["reasons"].as_array().expect("reasons").iter().all(|r| !r["source"].as_str().unwrap().is_empty());
        assert!(sourced && judged["service"] == false);
    }
}

#[test]
fn script_decide_prints_its_table() {
    let table = json(&["decide", "--table"]);
    let text = run(&["decide", "--table"]).out;
    for rule in words(&table["rules"], "id").iter().chain(&words(&table["questions"], "id")) {
        assert!(text.contains(rule.as_str()), "{rule} is not in the printed table");
    }
}

#[test]
fn script_decide_text_and_paper() {
    let folder = tempfile::tempdir().unwrap();
    let pdf = folder.path().join("advice.pdf");
    let answer = run(&[
        "decide",
        "--sheet",
        "keld-o6",
        "--smell",
        "burnt",
        "--vehicle",
        "Blue estate",
        "--method",
        "drain-once",
        "--text",
        "--pdf",
        pdf.to_str().unwrap(),
    ]);
    assert_eq!(answer.code, 0, "{}", answer.err);
    assert!(answer.out.contains("Blue estate") && answer.out.contains("Drain and fill, once"));
    assert!(answer.out.lines().all(|line| line.chars().count() <= 78));
    assert!(std::fs::read(&pdf).unwrap().starts_with(b"%PDF-"));
}

#[test]
fn fault_decide_words_and_figures_that_cannot_be() {
    run(&["decide"]).is_fault("--sheet");
    run(&["decide", "--sheet", "keld-o6", "--smell", "bitter"]).is_fault("bitter");
    run(&["decide", "--sheet", "keld-o6", "--distance", "minus"]).is_fault("--distance");
    run(&["decide", "--sheet", "keld-o6", "--price", "free"]).is_fault("--price");
    run(&["decide", "--sheet", "keld-o6", "--price=-3"]).is_fault("price");
    run(&["decide", "--sheet", "keld-o6", "--passes", "0"]).is_fault("passes");
    run(&["decide", "--sheet", "keld-o6", "--method", "magic"]).is_fault("magic");
    run(&["decide", "--sheet", "no-such-sheet"]).is_fault("no-such-sheet");
}

#[test]
fn script_due_of_one_unit() {
    let due = json(&["due", "--sheet", "keld-o6", "--distance", "45 000 km", "--time", "2 years"]);
    assert_eq!(due["due"]["status"], "not-yet");
    let due = json(&["due", "--sheet", "keld-o6", "--distance", "45 000 km", "--time", "2 years", "--severe"]);
    assert_eq!(due["due"]["status"], "due");
    let marks = words(&due["due"]["marks"], "measure");
    assert_eq!(marks[0], "distance", "furthest along first: {marks:?}");
}

#[test]
fn script_due_of_a_new_workshop() {
    let folder = tempfile::tempdir().unwrap();
    let answer = run_in(&folder.path().join("shop.db"), &["due", "--json"], b"");
    assert_eq!((answer.code, answer.json()["due"].as_array().map(Vec::len)), (0, Some(0)), "{}", answer.err);
}

/// The two-circuit unit: the gear side holds 2.0 L and takes 1.7 L, the clutch side 6.5 L of which a drain brings 3.2 L.
#[test]
fn script_decide_judges_each_circuit_by_its_own_figures() {
    let both = json(&["decide", "--sheet", "vexel-k7", "--distance", "60 000 km", "--colour", "darker"]);
    let circuits = both["circuits"].as_array().expect("circuits");
    assert_eq!(words(&both["circuits"], "circuit"), ["Gear side", "Clutch side"]);
    let once = |at: usize| {
        let ways = circuits[at]["methods"].as_array().expect("ways");
        ways.iter().find(|way| way["id"] == "drain-once").expect("one drain").clone()
    };
    let sheet = sheet::shipped().iter().find(|(file, _)| *file == "vexel-k7.toml").expect("shipped").1;
    let sheet = sheet::check(sheet).sheet.expect("a sheet");
    for (at, id) in [(0, "gear-side"), (1, "clutch-side")] {
        let own = sheet.of_circuit(id).expect("a circuit");
        // Conservation: a share f drained leaves 1 − f of the old fluid, which is that part of its distance old.
        let left = 1.0 - own.drained_fraction().unwrap_or(0.4);
        near(&once(at)["old_fraction"], left, 1e-9);
        near(&once(at)["blend_age_km"], 60_000.0 * left, 1e-6);
        near(&once(at)["litres"], own.capacity.total.mid().litres() * (1.0 - left), 1e-9);
    }
    assert_ne!(once(0)["old_fraction"], once(1)["old_fraction"]);
    // A signal plays no part where the level is a cold volume: it counts for the clutch side alone, and for the unit.
    let signal = run(&["decide", "--sheet", "vexel-k7", "--signal", "bad", "--json"]);
    assert_eq!(signal.code, 1);
    let judged = signal.json();
    assert_eq!(words(&judged["circuits"], "verdict"), ["service-with-consent", "diagnose-first"]);
    assert_eq!(judged["verdict"], "diagnose-first");
    assert!(judged["circuits"][0]["findings"]["signal"].is_null());
    let text = judged["customer_text"].as_str().expect("a text");
    assert!(text.contains("Gear side: ") && text.contains("Clutch side: "), "{text}");
    assert_eq!(text.matches("Date and signature").count(), 1, "one text, signed once");
    // Metal in one circuit says nothing about the other.
    let one = run(&["decide", "--sheet", "vexel-k7", "--circuit", "gear-side", "--metal", "glitter", "--json"]);
    assert_eq!((one.code, one.json()["circuits"].is_null()), (1, true));
    run(&["decide", "--sheet", "vexel-k7", "--circuit", "third"]).is_fault("gear-side");
    run(&["decide", "--sheet", "vexel-k7", "--circuit", "gear-side", "--signal", "bad"]).is_fault("not asked");
}

#[test]
fn script_decide_does_not_ask_what_says_nothing_about_a_family() {
    for (sheet, question, answer) in
        [("keld-m6", "--signal", "bad"), ("sollin-w6", "--signal", "bad"), ("sollin-w6", "--level", "off-unexplained")]
    {
        run(&["decide", "--sheet", sheet, question, answer]).is_fault("not asked");
        let judged = json(&["decide", "--sheet", sheet]);
        assert!(judged["findings"][question.trim_start_matches("--")].is_null(), "{sheet}");
        assert!(!judged["open"].to_string().contains(question.trim_start_matches("--")), "{sheet}");
    }
    assert_eq!(run(&["decide", "--sheet", "keld-o6", "--signal", "bad"]).code, 1);
}
