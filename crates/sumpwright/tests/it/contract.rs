//! The fields that scripts outside rely on: each is there, of its type, in a run of each command.

use serde_json::Value;

use crate::{json, objected, run};

/// Walks a path such as `use.low` or `passes.0.n`.
#[track_caller]
fn at<'a>(document: &'a Value, path: &str) -> &'a Value {
    path.split('.').fold(document, |value, key| {
        let found = match key.parse::<usize>() {
            Ok(index) => value.get(index),
            Err(_) => value.get(key),
        };
        found.unwrap_or_else(|| panic!("{path} is not in {document:#}"))
    })
}

/// `path:type` with the types number, text, flag, list, table, null; several joined by `|`.
#[track_caller]
fn holds(document: &Value, fields: &[&str]) {
    for field in fields {
        let (path, types) = field.split_once(':').unwrap();
        let value = at(document, path);
        let found = match value {
            Value::Number(_) => "number",
            Value::String(_) => "text",
            Value::Bool(_) => "flag",
            Value::Array(_) => "list",
            Value::Object(_) => "table",
            Value::Null => "null",
        };
        assert!(types.split('|').any(|wanted| wanted == found), "{path} is {found}, not {types}: {value}");
    }
}

#[test]
fn script_read() {
    let fields = [
        "dimension:text",
        "readings:list",
        "readings.0.text:text",
        "readings.0.low:number",
        "readings.0.high:number",
        "readings.0.unit:text",
        "agree:flag",
        "use.low:number",
        "use.high:number",
        "use.unit:text",
        "note:text|null",
    ];
    holds(&json(&["read", "46–56 °C (115–133 °F)"]), &fields);
    for (text, dimension) in [
        ("-10 °C", "temperature"),
        ("20 N·m", "torque"),
        ("1 US gal", "volume"),
        ("60 000 km", "distance"),
        ("8 mm", "length"),
        ("29 psi", "pressure"),
        ("29 cSt", "kinematic_viscosity"),
        ("0.845 kg/L", "density"),
        ("3.5 kg", "mass"),
        ("1.5°", "angle"),
        ("5 min", "duration"),
    ] {
        let read = json(&["read", text]);
        holds(&read, &fields);
        assert_eq!(read["dimension"], dimension, "{text}");
    }
}

#[test]
fn script_plan_and_check() {
    let fields = ["steps:list", "steps.0.verb:text", "steps.0.why:text", "bench:list", "torques:list", "cautions:list"];
    holds(&json(&["plan", "--sheet", "keld-o6"]), &fields);
    let checked = json(&["check", "keld-o6", "torvane-r5"]);
    holds(&checked, &["sheets:list", "sheets.0.path:text", "sheets.0.findings:list", "sheets.1.findings:list"]);
    let run = run(&["check", "../sheet/sheets/mistakes.toml", "--json"]);
    assert_eq!(run.code, 1);
    let finding = &run.json()["sheets"][0]["findings"][0];
    holds(finding, &["severity:text", "code:text", "message:text", "line:number", "column:number"]);
}

#[test]
fn script_predict() {
    let told = json(&["predict", "--readings", "tests/data/warm-up.csv", "--window", "35–45 °C", "--ambient", "20 °C"]);
    holds(
        &told,
        &[
            "now_s:number",
            "temperature_c:number",
            "rate_c_per_min:number",
            "reaches:text",
            "opens_s.p10:number",
            "opens_s.p50:number",
            "opens_s.p90:number",
            "closes_s.p50:number",
            "dwell_s.p50:number",
            "ends_at_c.p50:number",
            "model:text",
            "findings:list",
        ],
    );
    assert!(["yes", "unsure", "no"].contains(&told["reaches"].as_str().unwrap()));
    // Past the window nothing opens or closes any more: null, and a finding says why.
    let few = crate::run_in(
        std::path::Path::new("/proc/none"),
        &["predict", "--readings", "-", "--window", "35–45 °C", "--json"],
        b"elapsed_s,temperature_c\n0,58\n30,59\n60,60\n90,61\n",
    );
    assert_eq!(few.code, 0);
    holds(
        &few.json(),
        &["opens_s:null", "closes_s:null", "dwell_s:null", "findings.0.code:text", "findings.0.message:text"],
    );
}

#[test]
fn script_runoff_and_level() {
    let runoff = json(&[
        "runoff",
        "--surplus",
        "500 mL",
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
        "--kv40",
        "29.5",
        "--kv100",
        "6.0",
    ]);
    holds(
        &runoff,
        &[
            "stream_breaks_s:number",
            "drops_s:number",
            "residual_ml:number",
            "expansion_ml_per_min:number",
            "drops_per_min:number",
            "curve.0.t_s:number",
            "curve.0.head_mm:number",
            "curve.0.flow_ml_per_min:number",
            "assumptions.0:text",
            "scale.factor:number",
        ],
    );
    let level = json(&[
        "level",
        "--charge",
        "9 L",
        "--set-at",
        "50 °C",
        "--reference",
        "40 °C",
        "--tilt",
        "1°",
        "--offset",
        "100 mm",
        "--sump-area",
        "0.08 m²",
        "--sensor-u",
        "2 K",
    ]);
    holds(
        &level,
        &[
            "error_ml.value:number",
            "error_ml.u:number",
            "height_mm.value:number",
            "parts.0.name:text",
            "parts.0.ml:number",
            "parts.0.u_ml:number",
            "parts.0.direction:text",
            "advice.0:text",
        ],
    );
    let sizes: Vec<f64> = level["parts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|part| part["ml"].as_f64().unwrap().hypot(part["u_ml"].as_f64().unwrap()))
        .collect();
    assert!(sizes.is_sorted_by(|a, b| a >= b), "{sizes:?}");
}

#[test]
fn script_renew_with_prices_temperatures_and_a_wrong_fluid() {
    let planned = json(&[
        "renew",
        "--total",
        "9 L",
        "--per-pass",
        "3.6 L",
        "--to",
        "90 %",
        "--age",
        "90 000 km",
        "--can",
        "1 L=14",
        "--can",
        "5 L=55",
        "--stock",
        "1 L",
        "--per-drain",
        "45",
        "--exchange-setup",
        "120",
        "--temperature",
        "80 °C=50",
        "--temperature",
        "100 °C=50",
        "--energy",
        "90.9 kJ/mol",
        "--foreign",
        "2 L",
        "--below",
        "1 %",
    ]);
    let fields =
        ["plans.0.cost:number", "plans.0.purchase.taken.0:number", "ageing.index:number", "rescue.passes:number"];
    holds(&planned, &fields);
    let harmful =
        ["renew", "--total", "9 L", "--per-pass", "3.6 L", "--foreign", "2 L", "--below", "1 %", "--mixing", "harmful"];
    holds(&json(&harmful), &["rescue.passes:null", "rescue.advice.0:text"]);
}

#[test]
fn script_ledger_and_renew() {
    let args =
        ["ledger", "--in", "5.00 L@20 °C", "--out", "4.30 L@75 °C", "--runoff", "0.62 L@38 °C", "--reference", "20 °C"];
    holds(
        // What filter and pan held back is not entered: it does not close.
        &objected(&args),
        &[
            "net_ml.value:number",
            "net_ml.u:number",
            "as_found_ml.value:number",
            "as_found_ml.u:number",
            "closes:flag",
            "budget.0.input:text",
            "degrees_of_freedom:null|number",
            "coverage:number",
            "explanations:list",
        ],
    );
    // 0.4 L more went in than came out: something is said about it.
    let open = objected(&["ledger", "--in", "5 L@20 °C", "--out", "4.6 L@20 °C", "--container", "1 L"]);
    holds(&open, &["explanations.0.mishap:text", "explanations.0.explains_ml:number", "explanations.0.share:number"]);
    // Without run-off the level was not set, and nothing can be said about as found.
    holds(&json(&["ledger", "--in", "5 L@20 °C", "--out", "5 L@20 °C"]), &["as_found_ml:null"]);
    let renewed = json(&[
        "renew",
        "--total",
        "10 L",
        "--per-pass",
        "4 L",
        "--passes",
        "3",
        "--age",
        "100 000 km",
        "--every",
        "60 000 km",
        "--price",
        "12.50 EUR/L",
        "--flow-through",
        "12 L",
    ]);
    holds(
        &renewed,
        &[
            "passes.2.n:number",
            "passes.2.old_fraction:number",
            "passes.2.new_fraction:number",
            "passes.2.blend_age_km:number",
            "passes.2.litres:number",
            "passes.2.cost:number",
            "steady_state.before_km:number",
            "steady_state.after_km:number",
            "flow_through.old_fraction:number",
        ],
    );
    let bare = json(&["renew", "--total", "10 L", "--per-pass", "4 L"]);
    holds(&bare, &["passes.0.blend_age_km:null", "passes.0.cost:null", "steady_state:null", "flow_through:null"]);
}

#[test]
fn script_torque_and_fluid() {
    let joints = json(&[
        "torque",
        "10 N·m",
        "--thread",
        "M6x1",
        "--seat",
        "9 mm",
        "--rubs",
        "dry/dry",
        "--rubs",
        "oiled/copper",
    ]);
    holds(&joints, &["joints.newtons.1.value:number", "joints.ratio:number", "joints.alike:flag"]);
    let moved = [
        "fluid",
        "--kv40",
        "34",
        "--kv100",
        "7.4",
        "--at",
        "20 °C",
        "--pump",
        "4 L",
        "--hose",
        "8 mm",
        "--drain",
        "14 mm",
        "--sump-area",
        "0.06 m²",
        "--head",
        "80 mm",
    ];
    holds(&json(&moved), &["pump.time_s:number", "pump.pace:text", "drain_s.low:number"]);
    let placed = [
        "level",
        "--charge",
        "9 L",
        "--set-at",
        "40 °C",
        "--reference",
        "40 °C",
        "--sensor-place",
        "converter-outlet",
        "--elsewhere",
        "3 L@15 K",
    ];
    holds(&json(&placed), &["parts.0.name:text", "parts.1.ml:number"]);
    let plain = json(&["torque", "20–24 N·m"]);
    holds(
        &plain,
        &[
            "nm.low:number",
            "nm.high:number",
            "lbf_ft.low:number",
            "lbf_in.low:number",
            "kgf_cm.high:number",
            "set_nm:null",
            "wrench:null",
        ],
    );
    let full =
        json(&["torque", "35 N·m", "--wrench-length", "300 mm", "--adapter", "50 mm", "--wrench-range", "10–50 N·m"]);
    holds(&full, &["set_nm.low:number", "wrench.fits:flag", "wrench.why:text"]);
    let fluid = json(&["fluid", "--kv40", "29.5", "--kv100", "6.0", "--density15", "845", "--at", "60 °C"]);
    holds(
        &fluid,
        &["viscosity_index:number", "kv_mm2_s:number", "density_kg_m3:number", "alpha15_per_k:number", "vcf:number"],
    );
}

#[test]
fn script_every_json_document_is_alone_on_stdout_and_units_do_not_touch_it() {
    for args in [
        &["read", "46–56 °C"][..],
        &["torque", "20 N·m"],
        &["plan", "--sheet", "keld-o6"],
        &["runoff", "--surplus", "1 L", "--bore", "8 mm", "--sump-area", "0.08 m²", "--temperature", "40 °C"],
    ] {
        let us: Vec<&str> = args.iter().copied().chain(["--units", "us"]).collect();
        assert_eq!(json(args), json(&us));
    }
    let doubted = run(&["plan", "--sheet", "torvane-r5"]).out;
    assert!(doubted.contains("printed units do not agree"), "{doubted}");
    assert!(run(&["plan", "--sheet", "keld-o6", "--units", "us"]).out.contains("95–113\u{202f}°F"));
}
