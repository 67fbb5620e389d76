//! One slip at a time in a sheet that is right: code, severity, line, column, suggestion.

use crate::keld_with;
use sheet::Severity::{self, Caution, Error, Note};

fn only(from: &str, to: &str) -> sheet::Finding {
    let checked = sheet::check(&keld_with(from, to));
    assert_eq!(checked.findings.len(), 1, "{to}: {:#?}", checked.findings);
    assert_eq!(checked.sheet.is_none(), checked.has_errors());
    checked.findings.into_iter().next().expect("one finding")
}

#[test]
fn hand_one_slip_one_finding() {
    let table: &[(&str, &str, &str, Severity)] = &[
        ("format = 1", "format = 2", "format-unknown", Error),
        ("family = \"overflow\"", "family = \"overflw\"", "unknown-word", Error),
        ("edition = ", "editoin = ", "unknown-key", Error),
        ("\"35–45 °C (95–113 °F)\"", "\"40 °C\"", "window-no-width", Error),
        ("\"35–45 °C (95–113 °F)\"", "\"95–110 °C\"", "implausible", Caution),
        ("\"35–45 °C (95–113 °F)\"", "\"35–45 °C (95–120 °F)\"", "units-disagree", Caution),
        ("\"35–45 °C (95–113 °F)\"", "\"35–45 °C (195–220 °F)\"", "units-disagree", Error),
        ("\"35–45 °C (95–113 °F)\"", "\"nan °C\"", "not-finite", Error),
        ("\"35–45 °C (95–113 °F)\"", "\"35–45 L\"", "unreadable", Error),
        ("\"25 N·m\"", "\"-25 N·m\"", "not-positive", Error),
        ("\"25 N·m\"", "\"70 N·m\"", "torque-for-thread", Caution),
        ("\"25 N·m\"", "\"25\"", "unreadable", Error),
        ("thread = \"M16x1.5\"\n", "thread = \"M99x1.5\"\n", "thread-unlisted", Note),
        ("page 18\", status = \"read\"", "page 18\", status = \"from-memory\"", "from-memory", Caution),
        ("page 7\", status = \"read\"", "page 7\", status = \"from-memory\"", "from-memory", Note),
        ("source = \"Workshop manual, 3rd edition, page 18\"", "source = \"\"", "no-source", Error),
        ("source = \"Workshop manual, 3rd edition, page 18\", ", "", "no-source", Error),
        ("id = \"drain\"", "id = \"level\"", "duplicate-plug", Error),
        ("roles = [\"drain\"]", "roles = [\"drain\", \"fill\"]", "role-twice", Caution),
        ("roles = [\"fill\"]", "roles = [\"fill\", \"drain\"]", "role-twice", Note),
        ("roles = [\"drain\"]", "roles = [\"drain\", \"level\"]", "role-twice", Error),
        ("rest_in = \"P\"", "rest_in = \"Park\"", "rest-not-held", Caution),
        ("\"4.0 L\"", "\"9.5 L\"", "drained-over-total", Error),
        ("kv100 = { value = \"6.0", "kv100 = { value = \"60.0", "viscosity-order", Error),
        ("severe_factor = 0.5", "severe_factor = inf", "not-finite", Error),
        ("severe_factor = 0.5", "severe_factor = 0", "out-of-range", Error),
        ("{ value = \"1°\"", "{ value = \"5°\"", "implausible", Caution),
        ("{ value = \"1°\"", "{ value = \"-1°\"", "not-positive", Error),
        ("{ value = \"9.0 L\"", "{ value = \"2.4 gal\"", "assumed", Note),
        ("hold = \"3 s\"", "hold = \"1 s\"", "implausible", Caution),
        ("cautions = [", "cautions = [7, ", "wrong-type", Error),
    ];
    for &(from, to, code, severity) in table {
        let checked = sheet::check(&keld_with(from, to));
        // A few slips are implausible as well; nothing else may be noted.
        let others: Vec<_> = checked.findings.iter().filter(|f| f.code != code && f.code != "implausible").collect();
        assert!(others.is_empty(), "{to}: {others:#?}");
        let found = checked.findings.iter().find(|f| f.code == code);
        assert_eq!(found.map(|f| f.severity), Some(severity), "{to}: {:#?}", checked.findings);
        assert_eq!(checked.sheet.is_none(), checked.has_errors(), "{to}");
    }
}

#[test]
fn hand_columns_count_characters() {
    // "value" stands at column 10 + 2 of its line: `bore = { value = "8 mm"…` puts the text at column 18.
    let place = |f: &sheet::Finding| (f.line, f.column);
    let bad = only("bore = { value = \"8 mm\"", "bore = { value = \"8 cm\"");
    assert_eq!((bad.code, place(&bad).1), ("implausible", 18));
    // A degree sign before the place counts as one character, not as its two bytes.
    let line =
        "temperature = { value = \"35–45 °C (95–113 °F)\", source = \"Workshop manual, 3rd edition, page 18\", statsu";
    let slip = only("page 18\", status", "page 18\", statsu = \"read\", status");
    assert_eq!((slip.code, slip.column), ("unknown-key", line.chars().count() - "statsu".len() + 1));
}

#[test]
fn hand_suggestions() {
    for (from, to, hint) in [
        ("edition = ", "editoin = ", "Did you mean `edition`?"),
        (
            "single_use = true }\nhazard = \"hot fluid runs",
            "single-use = true, single_use = true }\nhazard = \"hot fluid runs",
            "Did you mean `single_use`?",
        ),
        ("hold = \"3 s\"", "bore = 1\nhold = \"3 s\"", "`bore` belongs in [standpipe]."),
        ("family = \"overflow\"", "family = \"overflaw\"", "Did you mean \"overflow\"?"),
        ("roles = [\"drain\"]", "roles = [\"drain\", \"levle\"]", "Did you mean \"level\"?"),
    ] {
        assert_eq!(only(from, to).hint, hint);
    }
}

#[test]
fn hand_missing_stands_at_its_table() {
    let missing = only("edition = \"Workshop manual, 3rd edition\"\n", "x = 1\n");
    assert_eq!(missing.code, "unknown-key");
    let text = keld_with("rest_in = \"P\"\n", "");
    let line = text.lines().position(|l| l == "[selector]").expect("the table") + 1;
    let found = sheet::check(&text).findings;
    assert_eq!(found.iter().map(|f| (f.code, f.line, f.column)).collect::<Vec<_>>(), [("missing", line, 1)]);
    assert!(found[0].hint.contains("rest_in = \"P\""), "{}", found[0].hint);
}

#[test]
fn golden_finding_as_json() {
    let finding = only("edition = ", "editoin = ");
    let json = serde_json::to_value(&finding).expect("serialises");
    let keys: Vec<_> = json.as_object().expect("an object").keys().cloned().collect();
    assert_eq!(keys, ["severity", "code", "message", "hint", "line", "column"]);
    assert_eq!((json["severity"].as_str(), json["code"].as_str()), (Some("error"), Some("unknown-key")));
}

#[test]
fn hand_a_reach_is_checked_as_any_quantity() {
    let stated = "reach = { value = \"60 mm\", source = \"Workshop manual, 3rd edition, page 21\", status = \"read\" }";
    let value = |text: &str| stated.replace("60 mm", text);
    let rows: &[(String, &[&str])] = &[
        (stated.to_owned(), &[]),
        (value("60–65 mm"), &[]),
        (value("60 mm (2 3/8 in)"), &[]),
        (String::new(), &[]),
        (value("60 mm (3 in)"), &["units-disagree"]),
        (value("600 mm"), &["implausible"]),
        (value("2 mm"), &["implausible"]),
        (value("0 mm"), &["not-positive"]),
        (value("-60 mm"), &["not-positive"]),
        (value("60"), &["unreadable"]),
        (value("60 N·m"), &["unreadable"]),
        ("reach = \"60 mm\"".to_owned(), &["no-source"]),
        (stated.replace("\"read\"", "\"from-memory\""), &["from-memory"]),
        (stated.replace("\"read\"", "\"heard\""), &["unknown-word"]),
    ];
    for (line, codes) in rows {
        let found: Vec<_> =
            crate::lines_and_codes(&crate::keld_with(stated, line)).into_iter().map(|(_, code)| code).collect();
        assert_eq!(found, *codes, "{line}");
    }
    let by_hand = crate::shipped_with("brask-h4", "drive = \"by hand\"", &format!("drive = \"by hand\"\n{stated}"));
    assert!(crate::lines_and_codes(&by_hand).iter().any(|(_, code)| *code == "contradiction"));
}
