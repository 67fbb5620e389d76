//! What is reckoned and printed before the work: standing, shims, thermometers, containers, bench list, ticks, label.

use crate::jobs::Bench;
use crate::{json, near, objected, run, run_in};

/// 150·ln(32/24) = 43.2 min to 44 °C, 150·ln(32/20) = 70.5 min to 40 °C.
#[test]
fn script_a_missed_window_comes_back() {
    let soak = json(&["soak", "--fluid", "52 °C", "--ambient", "20 °C", "--window", "40–44 °C"]);
    assert_eq!(soak["meets"], "after-standing");
    near(&soak["to_high_edge"]["for_s"], 43.15 * 60.0, 1.0);
    near(&soak["to_low_edge"]["for_s"], 70.50 * 60.0, 1.0);
}

/// 4 L at 20 °C into 9 L at 85 °C with 36 kJ/K: near 76 °C, above the window of 35–45 °C.
#[test]
fn script_a_hot_arrival_is_not_cooled_by_cold_fluid() {
    let given = ["soak", "--fluid", "85 °C", "--ambient", "20 °C", "--sheet", "keld-o6"];
    let soak = json(&given);
    assert_eq!(soak["meets"], "after-standing");
    near(&soak["mixes_at_c"], 76.5, 0.6);
    assert!(soak["before_drain"]["for_s"].as_f64().is_some_and(|s| s > 7200.0));
    let by_hand = ["--total", "9 L", "--renewed", "4 L", "--metal", "36", "--density15", "850"];
    let window = ["soak", "--fluid", "85 °C", "--ambient", "20 °C", "--window", "35–45 °C"];
    near(&json(&[&window[..], &by_hand[..]].concat())["mixes_at_c"], 76.5, 0.1);
    run(&["soak", "--fluid", "85 °C", "--ambient", "20 °C"]).is_fault("--window");
    run(&["soak", "--fluid", "900 °C", "--ambient", "20 °C", "--window", "35–45 °C"]).is_fault("temperature");
}

/// Nose up 3.18° over 2.7 m is 150 mm under both rear stands.
#[test]
fn script_shims_for_a_nose_up_vehicle() {
    let shim = objected(&["shim", "--pitch", "3.18°", "--wheelbase", "2.7 m"]);
    let rows = shim["shims"].as_array().unwrap();
    for row in rows {
        let rear = row["stand"].as_str().unwrap().starts_with("rear");
        near(&row["mm"], if rear { 149.8 } else { 0.0 }, 0.05);
    }
    assert_eq!((rows.len(), &shim["inside"]), (4, &false.into()));
    let down = json(&["shim", "--pitch", "-1°", "--roll", "-0.5°", "--wheelbase", "2.7 m", "--track", "1.4 m"]);
    near(&down["shims"][1]["mm"], 2700.0 * 1_f64.to_radians().sin() + 1400.0 * 0.5_f64.to_radians().sin(), 0.01);
    run(&["shim", "--pitch", "45°", "--wheelbase", "2.7 m"]).is_fault("tilt");
}

#[test]
fn script_a_thermometer_test_finds_the_substitute() {
    let given = ["thermometer", "probe=18.2 ± 0.3 °C", "air=18.4 °C", "unit=-40 °C", "--stood", "12 h", "--json"];
    let run = run(&given);
    assert_eq!(run.code, 1, "{}", run.err);
    let found = run.json();
    assert_eq!(found["instruments"][2]["trust"], "substitute");
    // Weights 1/0.1732² and 1/1.155²: (18.2 × 33.33 + 18.4 × 0.7496)/34.08.
    near(&found["truth_c"]["value"], 18.2044, 1e-3);
    let fine =
        json(&["thermometer", "probe=18.2 °C", "air=18.4 °C", "reader=18.0 °C", "--stood", "12 h", "--charge", "9 L"]);
    assert_eq!(fine["remarks"], serde_json::json!([]));
    crate::run(&["thermometer", "probe=18 °C"]).is_fault("instruments");
    crate::run(&["thermometer", "probe", "air=18 °C"]).is_fault("no reading");
}

#[test]
fn script_containers_from_lists_in_files() {
    let bench = Bench::new(&[]);
    let prices = bench.path("prices.csv");
    std::fs::write(&prices, "# currency: crowns\nname,size,price\nsmall,1 L,14\nlarge,5 L,58\n").unwrap();
    let stock = bench.path("stock.toml");
    std::fs::write(&stock, "[[stock]]\nname = \"begun\"\nholds = \"1.2 L\"\nopened = true\n").unwrap();
    // 5.9 − 1.2 = 4.7 L: one large at 58 against five small at 70.
    let found = json(&["stock", "cans", "5.9 L", "--prices", &prices, "--stock", &stock]);
    near(&found["cost"], 58.0, 1e-9);
    near(&found["left_over_ml"], 300.0, 1e-6);
    assert_eq!((&found["currency"], &found["takes"][0]["name"]), (&"crowns".into(), &"begun".into()));
    for (price, says) in [("-14", "negative"), ("0", "nothing"), ("NaN", "no price")] {
        std::fs::write(&prices, format!("name,size,price\nlarge,5 L,58\nsmall,1 L,{price}\n")).unwrap();
        let bad = run(&["stock", "cans", "5.9 L", "--prices", &prices]);
        bad.is_fault("line 3");
        bad.is_fault(says);
        let checked = run(&["stock", "check", "prices", &prices, "--json"]);
        assert_eq!((checked.code, checked.json()["findings"][0]["line"].as_u64()), (1, Some(3)));
    }
    std::fs::write(&prices, "").unwrap();
    run(&["stock", "cans", "5.9 L", "--prices", &prices]).is_fault("empty");
    run(&["stock", "cans", "5.9 L"]).is_fault("price list");
    run(&["stock", "check", "hammers", &prices]).is_fault("no list");
}

#[test]
fn script_kept_lists_serve_the_plan_and_ticks_print() {
    let bench = Bench::new(&[]);
    let data = bench.path("w.db");
    let kept = |args: &[&str]| run_in(std::path::Path::new(&data), args, b"");
    kept(&["stock", "shelf"]).is_fault("no list of stock");
    for list in ["prices", "stock", "tools"] {
        let file = bench.path(&format!("{list}.toml"));
        std::fs::write(&file, run(&["stock", "example", list]).out).unwrap();
        assert_eq!(kept(&["stock", "keep", list, &file]).code, 0);
        assert_eq!(kept(&["stock", "show", list]).out.trim(), std::fs::read_to_string(&file).unwrap().trim());
    }
    let shelf = kept(&["stock", "shelf", "--json"]).json();
    assert_eq!((shelf["stock"].as_array().map(Vec::len), shelf["jobs"].as_array().map(Vec::len)), (Some(4), Some(0)));
    near(&shelf["stock"][0]["holds_ml"], 1200.0, 1e-9);
    let pdf = bench.path("bench.pdf");
    let plan =
        kept(&["plan", "--sheet", "keld-o6", "--kept", "--pdf", &pdf, "--card", &bench.path("card.pdf"), "--json"])
            .json();
    // 4.4 + 0.3 + 0.5 + 0.25 + 0.5 L; 1.2 L are open, so one can of 5 L at 61.
    near(&plan["need"]["total_ml"], 5950.0, 1e-6);
    near(&plan["containers"]["cost"], 61.0, 1e-9);
    assert!(plan["bench"][0]["how_much"].as_str().is_some_and(|text| text.ends_with(" L")));
    assert!(std::fs::read(&pdf).unwrap().starts_with(b"%PDF"));
    assert_eq!(bench.log(60.0, &["tick", "item=fluid"]).code, 0);
    assert_eq!(bench.log(61.0, &["tick", "item=flud"]).code, 1);
    let listed = bench.run(&["job", "bench", &bench.job.clone(), "--json"]).json();
    assert_eq!(listed["items"][0]["ready"], true);
    assert_eq!(listed["items"][1]["ready"], false);
}

#[test]
fn script_the_label_follows_the_drain() {
    let bench = Bench::new(&[]);
    let job = bench.job.clone();
    bench.run(&["job", "label", &job]).is_fault("come out");
    for (at, words) in [
        (10.0, &["prove", "plug=fill"][..]),
        (20.0, &["prove", "plug=level"]),
        (30.0, &["open", "plug=drain"]),
        (900.0, &["drained", "volume=4.3 L", "at=35 °C"]),
    ] {
        assert_eq!(bench.log(at, words).code, 0);
    }
    let pdf = bench.path("label.pdf");
    let label = bench.run(&["job", "label", &job, "--code", "13 02 06", "--pdf", &pdf, "--json"]).json();
    assert_eq!((&label["label"]["amount"], &label["label"]["codes"][1][2]), (&"4.3 L".into(), &true.into()));
    assert!(std::fs::read(&pdf).unwrap().starts_with(b"%PDF"));
    bench.run(&["job", "label", &job, "--code", "99"]).is_fault("waste code");
}
