//! Whatever the text: no panic, places inside the text, a sheet exactly when nothing is an error.

use proptest::prelude::*;
use sheet::Severity;

fn lawful(text: &str) {
    let checked = sheet::check(text);
    let errors = checked.findings.iter().any(|f| f.severity == Severity::Error);
    assert_eq!(checked.sheet.is_none(), errors);
    assert!(checked.findings.len() <= sheet::MOST_FINDINGS + 1);
    let mut before = (0, 0);
    for f in &checked.findings {
        assert!(before <= (f.line, f.column), "findings stand in the order of their place");
        before = (f.line, f.column);
        let Some(span) = &f.span else {
            assert_eq!(before, (1, 1));
            continue;
        };
        let ahead = text.get(..span.start).expect("a place between two characters of the text");
        assert!(text.get(span.clone()).is_some());
        assert_eq!(f.line, ahead.matches('\n').count() + 1);
        assert_eq!(f.column, ahead.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1);
        assert!(!f.message.chars().any(char::is_control) && !f.hint.chars().any(char::is_control));
    }
}

fn boundary(text: &str, mut at: usize) -> usize {
    at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

const SHEETS: [&str; 5] = [
    include_str!("../../sheets/keld-o6.toml"),
    include_str!("../../sheets/torvane-r5.toml"),
    include_str!("../../sheets/mistakes.toml"),
    include_str!("../../sheets/vexel-k7.toml"),
    include_str!("../../sheets/lunde-v1.toml"),
];

const PIECES: &[&str] = &[
    "",
    "\"",
    "'",
    "\"\"\"",
    "[",
    "]",
    "[[plug]]\n",
    "{",
    "}",
    "=",
    ".",
    ",",
    "\n",
    "\r\n",
    "\0",
    "#",
    "nan",
    "-inf",
    "1e999",
    "99999999999999999999",
    "true",
    "1979-05-27",
    "°",
    "é\u{301}",
    "\u{202e}",
    "\u{feff}",
    "value",
    "unit.id = 1\n",
    "\\u0000",
    "-",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn law_any_text(text in "\\PC{0,200}|[\\[\\]a-z=\"'{}., \n#-]{0,300}|(?s).{0,100}") {
        lawful(&text);
    }

    #[test]
    fn law_damaged_sheets(
        which in 0..SHEETS.len(),
        cuts in prop::collection::vec((0usize..9000, 0usize..60, 0..PIECES.len()), 1..5),
    ) {
        let mut text = SHEETS[which].to_owned();
        for (at, length, piece) in cuts {
            let from = boundary(&text, at % (text.len() + 1));
            let to = boundary(&text, from + length);
            text.replace_range(from..to, PIECES[piece]);
        }
        lawful(&text);
    }

    #[test]
    fn law_lines_in_any_order(which in 0..SHEETS.len(), order in prop::collection::vec(0usize..200, 0..60)) {
        let lines: Vec<_> = SHEETS[which].lines().collect();
        let text: String = order.iter().map(|n| format!("{}\n", lines[n % lines.len()])).collect();
        lawful(&text);
    }

    #[test]
    fn law_any_value_text(value in "\\PC{0,40}|[-+0-9.,/° ()CFNmLaltoe·]{0,30}") {
        let text = SHEETS[0].replace("35–45 °C (95–113 °F)", &value.replace(['\\', '"'], ""));
        lawful(&text);
    }
}

#[test]
fn fault_huge_texts() {
    let long = |piece: &str| piece.repeat(sheet::LIMIT / piece.len());
    for piece in ["x", "[", "a.", "=\n", "[[plug]]\n", "°"] {
        lawful(&long(piece));
    }
    // Many mistakes on one long line.
    lawful(&format!("unit = {{ {} }}", (0..100_000).map(|n| format!("k{n} = 1, ")).collect::<String>()));
    lawful(&format!("[unit]\nid = \"{}\"", "x".repeat(1_900_000)));
    lawful(&(long("x") + "xxxxxxxxx"));
}

#[test]
fn hand_too_large_is_one_clear_error() {
    let found = sheet::check(&" ".repeat(sheet::LIMIT + 1)).findings;
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].message, "The text has 2000001 bytes; a sheet has at most 2000000.");
}

#[test]
fn hand_line_ends_and_byte_order_mark_of_other_systems() {
    // The same sheet as another editor would save it.
    let text = format!("\u{feff}{}", SHEETS[0].replace('\n', "\r\n"));
    assert_eq!(sheet::check(&text).findings, []);
    let slip = text.replace("[sump]", "[sumpf]");
    let found = sheet::check(&slip).findings;
    let line = SHEETS[0].lines().position(|l| l == "[sump]").map(|n| n + 1);
    let unknown = found.iter().find(|f| f.code == "unknown-key");
    assert_eq!(unknown.map(|f| (Some(f.line), f.column)), Some((line, 2)));
}

/// A quotation that is never closed swallows the lines after it, and they are no part of a message.
#[test]
fn law_a_quotation_that_is_never_closed() {
    for sheet in SHEETS {
        for (at, _) in sheet.match_indices(" = ") {
            lawful(&format!("{}=\"\"\"{}", &sheet[..at], &sheet[at + 3..]));
        }
    }
}
