//! Worked scenarios of the trade, by plain arithmetic, through the commands.

use crate::{json, near, objected, run};

#[test]
fn hand_residual_flow_of_a_level_that_is_right_is_expansion() {
    // 9000 mL × 0.00075/K × 1.8 K/min = 12.15 mL/min; / 0.05 mL = 243 drops a minute.
    let args = [
        "runoff",
        "--surplus",
        "0 mL",
        "--bore",
        "8 mm",
        "--sump-area",
        "0.08 m²",
        "--temperature",
        "40 °C",
        "--rate",
        "1.8 °C/min",
        "--charge",
        "9 L",
        "--beta",
        "0.00075",
    ];
    let told = json(&args);
    near(&told["expansion_ml_per_min"], 12.15, 0.001);
    near(&told["drops_per_min"], 243.0, 0.1);
    let text = run(&args).out;
    assert!(text.contains("this is expansion") && text.to_lowercase().contains("close"), "{text}");
}

#[test]
fn hand_nose_up_with_the_standpipe_behind_is_underfilled() {
    // sin θ = 150/2700, tan θ = 0.055642; 0.08 m² × 0.1 m × 0.055642 = 445.1 mL.
    let level = |tilt: &[&str], offset: &str| {
        let base = [
            "level",
            "--charge",
            "9 L",
            "--set-at",
            "40 °C",
            "--reference",
            "40 °C",
            "--sump-area",
            "0.08 m²",
            "--offset",
            offset,
        ];
        json(&[&base[..], tilt].concat())
    };
    for tilt in [&["--rise", "150 mm", "--wheelbase", "2.7 m"][..], &["--tilt", "3.185°"]] {
        let behind = level(tilt, "-100 mm");
        near(&behind["error_ml"]["value"], -445.1, 0.2);
        assert_eq!(behind["parts"][0]["direction"], "under");
        let ahead = level(tilt, "100 mm");
        near(&ahead["error_ml"]["value"], 445.1, 0.2);
        assert_eq!(ahead["parts"][0]["direction"], "over");
    }
}

#[test]
fn hand_three_passes_of_four_in_ten_litres() {
    // 0.6³ = 0.216; × 100 000 km = 21 600 km.
    let told = json(&["renew", "--total", "10 L", "--per-pass", "4 L", "--passes", "3", "--age", "100 000 km"]);
    let last = &told["passes"][2];
    near(&last["old_fraction"], 0.216, 1e-12);
    near(&last["blend_age_km"], 21_600.0, 1e-6);
    near(&last["litres"], 12.0, 1e-9);
    // 0.6⁴ = 0.1296 > 0.1 ≥ 0.6⁵: five passes reach 90 %.
    let to = json(&["renew", "--total", "10 L", "--per-pass", "4 L", "--to", "90 %"]);
    assert_eq!(to["passes"].as_array().unwrap().len(), 5);
    // A third each 30 000 km: before 3·D, after 2·D.
    let steady = json(&["renew", "--total", "9 L", "--per-pass", "3 L", "--every", "30 000 km"]);
    near(&steady["steady_state"]["before_km"], 90_000.0, 1e-6);
    near(&steady["steady_state"]["after_km"], 60_000.0, 1e-6);
}

#[test]
fn hand_the_ledger_of_a_warm_drain_closes() {
    // exp(−0.00075 × 55) × 4.30 = 4.1263; exp(−0.00075 × 18) × 0.62 = 0.6117; 5.00 − 0.6117 − 4.1263 − 0.30 = −0.0380 L.
    let args = [
        "ledger",
        "--out",
        "4.30 L@75 °C",
        "--residue",
        "0.30 L@20 °C",
        "--in",
        "5.00 L@20 °C",
        "--runoff",
        "0.62 L@38 °C",
        "--beta",
        "0.00075",
    ];
    let told = json(&args);
    near(&told["net_ml"]["value"], -38.0, 0.3);
    near(&told["portions"][1]["at_reference_ml"]["value"], 4126.3, 0.1);
    assert_eq!(told["closes"], true);
    // By density instead: the same to the doubt of a jug.
    near(&json(&args[..9])["net_ml"]["value"], -38.0, 6.0);
}

#[test]
fn hand_a_wrong_sensor_and_a_wrong_parameter() {
    // 9000 × 0.00075 × 5 = 33.75; × 25 = 168.75.
    let base = ["level", "--charge", "9 L", "--reference", "40 °C", "--beta", "0.00075"];
    let sensor = json(&[&base[..], &["--set-at", "40 °C", "--sensor-u", "5 °C"]].concat());
    let parts = sensor["parts"].as_array().unwrap();
    let reading = parts.iter().find(|part| part["name"] == "temperature reading").unwrap();
    near(&reading["u_ml"], 33.75, 0.01);
    assert_eq!(reading["direction"], serde_json::Value::Null);
    // What was not stated is not known perfectly: 0.08 m² × 100 mm × tan 0.5° = 69.8 mL of tilt and 0.5 mm × 0.08 m² = 40 mL of lip.
    near(&sensor["error_ml"]["u"], (33.75f64.powi(2) + 69.8f64.powi(2) + 40f64.powi(2)).sqrt(), 0.5);
    assert!(sensor["assumptions"].as_array().unwrap().len() >= 3, "{sensor}");
    let parameter = json(&[&base[..], &["--set-at", "65 °C"]].concat());
    near(&parameter["error_ml"]["value"], -168.75, 0.01);
}

#[test]
fn hand_first_order_warm_up_foretells_the_window() {
    // tests/data/warm-up.csv: 85 − 65·exp(−t/25 min) every 30 s for 5 min, to 0.1 °C. 35 °C at 25·ln(65/50) = 6.56 min.
    let told = json(&["predict", "--readings", "tests/data/warm-up.csv", "--window", "35–45 °C"]);
    assert_eq!(told["reaches"], "yes");
    near(&told["opens_s"]["p50"], 394.0, 20.0);
    near(&told["closes_s"]["p50"], 729.0, 90.0);
    let (low, high) = (told["opens_s"]["p10"].as_f64().unwrap(), told["opens_s"]["p90"].as_f64().unwrap());
    assert!(low <= 394.0 && 394.0 <= high, "{low} to {high}");
}

/// The same warm-up with a coolant column: one that has stood at 85 °C, and one that lags far behind and levels off at 30 °C. Every
/// vehicle that is warmed by its coolant is then drawn to another end, so the closing and the end move with the column.
#[test]
fn hand_a_coolant_column_is_read_and_counts() {
    let plain = std::fs::read_to_string("tests/data/warm-up.csv").unwrap();
    let told = |head: &str, coolant: &dyn Fn(f64) -> f64| {
        let mut text = String::new();
        for line in plain.lines().filter(|line| !line.starts_with('#')) {
            let seconds = line.split(',').next().and_then(|first| first.parse::<f64>().ok());
            match seconds {
                Some(seconds) => text.push_str(&format!("{line},{:.1}\n", coolant(seconds))),
                None => text.push_str(&format!("{line}{head}\n")),
            }
        }
        let args = ["predict", "--readings", "-", "--window", "35–45 °C", "--json"];
        let run = crate::run_in(std::path::Path::new("."), &args, text.as_bytes());
        assert_eq!(run.code, 0, "{text}");
        run.json()
    };
    let end = |told: &serde_json::Value| told["ends_at_c"]["p50"].as_f64().unwrap();
    let hot = told(",coolant_c", &|s| 85.0 - 65.0 * (-s / 240.0).exp());
    let cold = told(",coolant_c", &|s| 30.0 - 10.0 * (-s / 900.0).exp());
    assert!(end(&cold) < end(&hot), "{cold} {hot}");
    // The truth crosses 35 °C after 394 s; a hot coolant does not hide it.
    near(&hot["opens_s"]["p50"], 394.0, 20.0);
    // The same column in °F says the same, to the rounding of a tenth.
    let fahrenheit = told(",coolant_f", &|s| 32.0 + 1.8 * (85.0 - 65.0 * (-s / 240.0).exp()));
    assert!((end(&fahrenheit) - end(&hot)).abs() < 0.5);
    near(&fahrenheit["opens_s"]["p50"], hot["opens_s"]["p50"].as_f64().unwrap(), 2.0);
    // Without the column nothing is said of it: another answer.
    assert_ne!(end(&json(&["predict", "--readings", "tests/data/warm-up.csv", "--window", "35–45 °C"])), end(&hot));
}

#[test]
fn hand_a_window_whose_units_disagree_is_used_where_they_agree() {
    // 115 °F = 46.11 °C, 130 °F = 54.44 °C, 56 °C = 132.8 °F.
    for text in ["115 to 130 °F (46 to 56 °C)", "46 to 56 °C (115 to 130 °F)"] {
        let read = json(&["read", text]);
        assert_eq!(read["agree"], false, "{text}");
    }
    let part = &json(&["read", "46 to 56 °C (115 to 130 °F)"])["use"];
    near(&part["low"], 46.11, 0.01);
    near(&part["high"], 54.44, 0.01);
    let told = json(&["predict", "--readings", "tests/data/warm-up.csv", "--window", "115 to 130 °F (46 to 56 °C)"]);
    near(&told["window_c"]["low"], 46.11, 0.01);
    near(&told["window_c"]["high"], 54.44, 0.01);
    assert!(told["findings"].as_array().unwrap().iter().any(|finding| finding["code"] == "units_disagree"));
}

#[test]
fn hand_plug_torques_in_both_units() {
    // 1 lbf·ft = 1.355818 N·m: 15 → 20.34, 29 → 39.32.
    for (text, nm, both) in [("15 lbf·ft", 20.34, "15 lbf·ft (20 N·m)"), ("29 lb-ft", 39.32, "29 lb-ft (39 N·m)")] {
        near(&json(&["torque", text])["nm"]["low"], nm, 0.005);
        assert_eq!(json(&["read", both])["agree"], true);
    }
    // 35 N·m, 300 mm wrench, 50 mm straight adapter: 35 × 300/350 = 30 N·m; square to it: 35 N·m.
    let at = |angle: &str| {
        let args = ["torque", "35 N·m", "--wrench-length", "300 mm", "--adapter", "50 mm", "--angle", angle];
        json(&args)["set_nm"]["low"].clone()
    };
    near(&at("0°"), 30.0, 1e-9);
    near(&at("90°"), 35.0, 1e-9);
    assert_eq!(objected(&["torque", "12 N·m", "--wrench-range", "40–200 N·m"])["wrench"]["fits"], false);
}

#[test]
fn val_viscosity_index_of_the_standard() {
    // ASTM D2270, worked example: 22.83 and 5.05 mm²/s give 156; second-hand from a public copy.
    let told =
        json(&["fluid", "--kv40", "22.83 mm²/s", "--kv100", "5.05 cSt", "--density15", "850 kg/m³", "--at", "60 °C"]);
    near(&told["viscosity_index_printed"], 156.0, 0.0);
    // ASTM D1250 lubricating oils, 850 kg/m³: CTL at 60 °C = 0.96646.
    near(&told["vcf"], 0.96646, 5e-6);
    near(&told["density_kg_m3"], 850.0 * 0.96646, 0.005);
}
