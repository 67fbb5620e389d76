//! Procedure families: what each needs, what contradicts it, and the order of work that follows from its conditions.

use crate::{keld_with, rule, shipped, shipped_with};
use sheet::{EngineNeed, Family, Severity, Sheet, StepKey as K};

fn sheet_of(name: &str) -> Sheet {
    let checked = sheet::check(shipped(name));
    checked.sheet.unwrap_or_else(|| panic!("{name}: {:#?}", checked.findings))
}

/// The findings of a text that are errors, as code, line and column.
fn errors(text: &str) -> Vec<(&'static str, usize, usize)> {
    let found = sheet::check(text).findings.into_iter().filter(|f| f.severity == Severity::Error);
    found.map(|f| (f.code, f.line, f.column)).collect()
}

fn line_of(text: &str, start: &str) -> usize {
    text.lines().position(|line| line.starts_with(start)).map_or(0, |n| n + 1)
}

#[test]
fn hand_every_family_is_shipped_and_no_shipped_sheet_has_an_error() {
    let mut renewed = std::collections::BTreeSet::new();
    for (file, text) in sheet::shipped() {
        let checked = sheet::check(text);
        let sheet = checked.sheet.unwrap_or_else(|| panic!("{file}: {:#?}", checked.findings));
        assert_eq!(Some(sheet.id.as_str()), file.strip_suffix(".toml"));
        let graver = checked.findings.iter().filter(|f| f.severity < Severity::Note).map(|f| f.code);
        let allowed: &[&str] = if sheet.id == "torvane-r5" { &["units-disagree"] } else { &[] };
        assert_eq!(graver.collect::<Vec<_>>(), allowed, "{file}");
        renewed.insert(sheet.family);
        renewed.insert(sheet.level.family());
    }
    let all: std::collections::BTreeSet<_> = Family::ALL.iter().map(|(f, _, _)| *f).collect();
    assert_eq!(renewed, all);
}

#[test]
fn law_every_step_stands_after_all_it_waits_for() {
    for (file, text) in sheet::shipped() {
        let Some(sheet) = sheet::check(text).sheet else { panic!("{file}") };
        for (n, step) in sheet.steps.iter().enumerate() {
            for after in &step.after {
                let at = sheet.steps.iter().position(|s| s.key == after.step && s.circuit == after.circuit);
                assert!(at.is_some_and(|at| at < n), "{file}: {:?} before {:?}", step.key, after);
                assert!(!after.why.is_empty());
            }
        }
        assert_eq!(sheet.steps.last().map(|s| s.key), Some(K::Finish), "{file}");
    }
}

/// The engine is off for what must find it off and idles for what needs it, walking the steps in order.
#[test]
fn law_the_engine_is_as_each_step_needs_it() {
    for (file, text) in sheet::shipped() {
        let Some(sheet) = sheet::check(text).sheet else { panic!("{file}") };
        for circuit in sheet.circuits() {
            let mut idling = false;
            for step in sheet.steps.iter().filter(|s| s.circuit == circuit) {
                match step.conditions.engine {
                    EngineNeed::Off | EngineNeed::Stopped => assert!(!idling, "{file}: {:?}", step.key),
                    EngineNeed::Idling | EngineNeed::Pumping => assert!(idling, "{file}: {:?}", step.key),
                    EngineNeed::Any => {}
                }
                match step.key {
                    K::StartEngine | K::StartForExchange => idling = true,
                    K::StopEngine | K::StopAfterExchange => idling = false,
                    _ => {}
                }
            }
        }
    }
}

#[test]
fn hand_an_exchange_is_followed_by_an_overflow() {
    let steps = sheet_of("ostrel-l6").steps;
    let place = |key: K| steps.iter().position(|s| s.key == key).unwrap_or_else(|| panic!("{key:?}"));
    let order =
        [K::ProveLevel, K::OpenLine, K::Exchange, K::CloseLine, K::Pour, K::StartEngine, K::SetLevel, K::CloseFill];
    assert!(order.windows(2).all(|pair| place(pair[0]) < place(pair[1])));
}

#[test]
fn hand_two_circuits_are_opened_one_after_the_other() {
    let sheet = sheet_of("vexel-k7");
    assert_eq!(sheet.circuits(), ["gear-side", "clutch-side"]);
    let place = |key: K, circuit: &str| sheet.steps.iter().position(|s| s.key == key && s.circuit == circuit);
    assert!(place(K::ProveFill, "clutch-side") < place(K::OpenDrain, "gear-side"));
    assert!(place(K::CloseFill, "gear-side") < place(K::OpenDrain, "clutch-side"));
    let clutch = sheet.of_circuit("clutch-side").expect("a circuit");
    assert_eq!((clutch.level.family(), clutch.plugs.len()), (Family::Overflow, 2));
    assert_eq!(clutch.plug_with(sheet::Role::Drain).map(|p| p.id.as_str()), Some("clutch-level"));
    assert!(sheet.of_circuit("none").is_none());
}

#[test]
fn hand_a_rule_of_the_sheet_moves_a_step() {
    let usual = sheet_of("keld-o6");
    let text = keld_with("[limits]", &format!("{}[limits]", rule("level-vehicle", "measure-residue")));
    let moved = sheet::check(&text).sheet.expect("a sheet");
    let place = |sheet: &Sheet, key: K| sheet.steps.iter().position(|s| s.key == key);
    assert!(place(&usual, K::LevelVehicle) < place(&usual, K::OpenDrain));
    assert!(place(&moved, K::LevelVehicle) > place(&moved, K::MeasureResidue));
    assert_eq!(usual.steps.len(), moved.steps.len());
}

#[test]
fn hand_an_impossible_order_is_refused_with_its_circle() {
    let text = keld_with("[limits]", &format!("{}[limits]", rule("open-drain", "start-engine")));
    let checked = sheet::check(&text);
    assert!(checked.sheet.is_none());
    let [found] = checked.findings.as_slice() else { panic!("{:#?}", checked.findings) };
    assert_eq!((found.code, found.line, found.column), ("step-cycle", line_of(&text, "after = [\"start-engine\"]"), 9));
    for word in [
        "open-drain waits for start-engine (the sheet says: the manual says so)",
        "waits for pour",
        "waits for open-drain",
    ] {
        assert!(found.message.contains(word), "{}", found.message);
    }
}

#[test]
fn hand_contradictory_sheets_are_refused_at_their_place() {
    let overflow = "family = \"overflow\"";
    let two = shipped_with("ostrel-t8", "15–30 °C", "60–70 °C");
    let cases = [
        // A family that judges the level itself, and another one beside it.
        (keld_with(overflow, "family = \"overflow\"\nlevel = \"dipstick\""), "contradiction", "level = "),
        // A family that only renews does not judge.
        (shipped_with("ostrel-l6", "level = \"overflow\"", "level = \"extraction\""), "contradiction", "level = "),
        // The engine pumps for the exchange; a level hole wants it still.
        (shipped_with("ostrel-l6", "level = \"overflow\"", "level = \"bottom-of-hole\""), "contradiction", "level = "),
        (shipped_with("ostrel-l6", "level = \"overflow\"\n", ""), "missing", "[unit]"),
        (two.clone(), "contradiction", "temperature = { value = \"60–70 °C\""),
        (
            shipped_with(
                "keld-m6",
                "[hole]\n",
                "[window]\ntemperature = { value = \"15–35 °C\", source = \"x\", status = \"read\" }\n[hole]\n",
            ),
            "not-for-family",
            "[window]",
        ),
        (
            shipped_with(
                "keld-m6",
                "below = { value = \"0–4 mm\", source = \"Workshop manual, 3rd edition, page 43\", status = \"read\" }\n",
                "",
            ),
            "missing",
            "[hole]",
        ),
        (shipped_with("vexel-e9", "low = 46", "low = 60"), "contradiction", "low = 60"),
        (shipped_with("torvane-r5-dry", "\"5.6 L\"", "\"8.9 L\""), "contradiction", "[dry_fill]"),
        (
            shipped_with(
                "vexel-k7",
                "\"1.7 L\", source = \"Workshop manual K7, page 30\"",
                "\"2.6 L\", source = \"x\"",
            ),
            "contradiction",
            "[volume]",
        ),
        (keld_with("roles = [\"drain\"]", "roles = [\"drain\", \"level\"]"), "role-twice", "roles = [\"drain\", "),
        (shipped_with("lunde-v1", "low = \"24 mm\"", "low = \"34 mm\""), "chart", "[[probe.point]]"),
        (shipped_with("lunde-v1", "\"45–85 °C\"", "\"45–95 °C\""), "chart", "[[probe.point]]"),
    ];
    for (text, code, start) in cases {
        let found = errors(&text);
        assert!(
            found.iter().any(|(c, line, _)| *c == code && *line == line_of(&text, start)),
            "{code} at {start}: {found:?}"
        );
        assert!(sheet::check(&text).sheet.is_none());
    }
}

#[test]
fn hand_a_window_the_unit_never_comes_into_is_refused() {
    // Idling brings this fluid to 35 °C at most; the window begins at 40 °C.
    let cold = shipped_with("ostrel-t8", "\"85 °C\"", "\"35 °C\"");
    // The air is never below 50 °C where the procedure holds, so neither is the fluid.
    let hot = keld_with("\"5–35 °C\"", "\"50–60 °C\"");
    for text in [cold, hot] {
        assert_eq!(errors(&text).first().map(|f| (f.0, f.1)), Some(("window-unreachable", line_of(&text, "[window]"))));
    }
}

#[test]
fn hand_findings_in_a_further_circuit_stand_at_their_own_place() {
    let text = shipped_with("vexel-k7", "family = \"overflow\"", "family = \"overflw\"");
    let found = errors(&text);
    assert_eq!(found, [("unknown-word", line_of(&text, "family = \"overflw\""), 10)]);
    let text = shipped_with("vexel-k7", "id = \"clutch-fill\"", "id = \"gear-fill\"");
    assert_eq!(errors(&text).first().map(|f| f.0), Some("duplicate-plug"));
}
