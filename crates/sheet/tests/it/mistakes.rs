//! The sheet of mistakes: every line says in a comment what must be found on it.

use crate::{keld_with, lines_and_codes, rule, shipped_with};
use std::collections::BTreeSet;

const MISTAKES: &str = include_str!("../../sheets/mistakes.toml");

/// Line and code of each "# -> …" comment; they speak of the next line.
fn expected() -> BTreeSet<(usize, &'static str)> {
    let mut all = BTreeSet::new();
    for (n, line) in MISTAKES.lines().enumerate() {
        for code in line.strip_prefix("# -> ").into_iter().flat_map(|codes| codes.split(", ")) {
            all.insert((n + 2, code));
        }
    }
    all
}

#[test]
fn hand_every_mistake_is_found_on_its_line_and_nothing_else() {
    let found: BTreeSet<_> = lines_and_codes(MISTAKES).into_iter().collect();
    assert_eq!(found, expected());
}

#[test]
fn hand_every_code_has_a_mistake() {
    let mut shown: BTreeSet<&str> = expected().into_iter().map(|(_, code)| code).collect();
    // These do not fit into that sheet: they exclude something else in it, or belong to another family.
    let elsewhere = [
        ("too-large", "#".repeat(sheet::LIMIT + 1)),
        ("too-many", (0..sheet::MOST_FINDINGS + 1).map(|n| format!("x{n} = 1\n")).collect()),
        ("drained-fraction", keld_with("4.0 L", "2.0 L")),
        ("out-of-range", keld_with("severe_factor = 0.5", "severe_factor = 2")),
        ("not-for-family", shipped_with("marrow-d4", "[selector]", "[volume]\n[selector]")),
        ("chart", shipped_with("lunde-v1", "low = \"24 mm\"", "low = \"34 mm\"")),
        ("window-unreachable", shipped_with("ostrel-t8", "\"85 °C\"", "\"35 °C\"")),
        ("duplicate-circuit", shipped_with("vexel-k7", "id = \"clutch-side\"", "id = \"gear-side\"")),
        ("step-not-used", keld_with("[limits]", &format!("{}[limits]", rule("preset", "pour")))),
        ("step-cycle", keld_with("[limits]", &format!("{}[limits]", rule("open-drain", "start-engine")))),
    ];
    for (code, text) in elsewhere {
        assert!(lines_and_codes(&text).iter().any(|(_, c)| *c == code), "{code}");
        assert!(shown.insert(code), "{code} is in the sheet of mistakes already");
    }
    let all: BTreeSet<_> = sheet::CODES.iter().map(|c| c.name).collect();
    assert_eq!(shown, all);
    assert_eq!(all.len(), sheet::CODES.len(), "every code has a name of its own");
}

#[test]
fn law_no_finding_is_graver_than_its_code_and_all_say_what_to_do() {
    for finding in sheet::check(MISTAKES).findings {
        let code = sheet::CODES.iter().find(|c| c.name == finding.code).expect("a listed code");
        let split = finding.code == "units-disagree";
        assert!(split || finding.severity >= code.severity, "{finding:?}");
        assert!(finding.message.ends_with('.') || finding.message.ends_with(')'), "{}", finding.message);
        assert!(!finding.hint.is_empty() && finding.message.len() < 400, "{finding:?}");
    }
}
