//! What has to be said beside the code.

use std::collections::BTreeSet;

use super::Violation;
use super::source::Source;

/// The document whose table lists the crates.
const ARCHITECTURE: &str = "docs/architecture.md";
/// The document that lists every formula.
const INDEX: &str = "docs/physics.md";
/// How names of tests begin in it.
const CHECKS: &[&str] = &["val_", "hand_", "law_", "trade_", "sim_", "script_"];

/// Formulas say where they come from and how they fail.
pub fn formulas(source: &Source) -> Vec<Violation> {
    let mut found = Vec::new();
    if !source.path.starts_with("crates/physics/src/") {
        return found;
    }
    let functions = source.functions();
    // A free function that anyone may call is a formula; the heading may stand at any one of them or at the module.
    let formula = functions.iter().find(|f| source.text[..f.at].ends_with("\npub "));
    if let Some(first) = formula
        && !source.text.contains("# Source")
    {
        found.push(Violation::new(
            format!("{}:{}", source.path, first.line),
            "no `# Source` in this file",
            "a figure that a vehicle is serviced by can be traced",
            "name the standard with edition and clause, the handbook with page, or the derivation",
        ));
    }
    for function in functions {
        let public = source.text[..function.at].trim_end().ends_with("pub");
        let fallible = function.signature.contains("-> Result");
        if public && fallible && !source.doc_above(function.line).contains("# Errors") {
            found.push(Violation::new(
                format!("{}:{}", source.path, function.line),
                format!("`{}` can fail and its doc has no `# Errors`", function.name),
                "who calls it has to know when it refuses",
                "add a section `# Errors`",
            ));
        }
    }
    found
}

/// The index of the model book names every formula, and every test it names is there.
pub fn formula_index(sources: &[Source]) -> Vec<Violation> {
    let Some(index) = sources.iter().find(|s| s.path == INDEX) else { return Vec::new() };
    let mut found = Vec::new();
    for source in sources.iter().filter(|s| s.path.starts_with("crates/physics/src/")) {
        for function in source.functions() {
            let public = source.text[..function.at].trim_end().ends_with("pub");
            let formula = public && source.doc_above(function.line).contains("# Source");
            if formula && !index.text.contains(&format!("::{}`", function.name)) {
                found.push(Violation::new(
                    format!("{}:{}", source.path, function.line),
                    format!("`{}` has no row in {INDEX}", function.name),
                    "who doubts a figure begins at the index",
                    "add a row: formula, what it gives, page, source, test, plot",
                ));
            }
        }
    }
    let tests: BTreeSet<&str> = sources
        .iter()
        .filter(|s| s.path.ends_with(".rs"))
        .flat_map(|s| s.text.split("fn ").skip(1))
        .map(first_word)
        .collect();
    // Every second part of a text split at back-ticks stands between two of them.
    for name in index.text.split('`').skip(1).step_by(2) {
        let check = CHECKS.iter().any(|prefix| name.starts_with(prefix) && name.len() > prefix.len());
        if check && !tests.contains(name) {
            found.push(Violation::new(
                INDEX,
                format!("names the test `{name}`, which is not there"),
                "a check that is named has to exist",
                "name the test that checks it now",
            ));
        }
    }
    found
}

fn first_word(text: &str) -> &str {
    text.split(|c: char| !(c.is_alphanumeric() || c == '_')).next().unwrap_or_default()
}

/// Every crate says in its first line what it is.
pub fn first_lines(sources: &[Source]) -> Vec<Violation> {
    let root = |path: &str| {
        let parts: Vec<&str> = path.split('/').collect();
        matches!(parts.as_slice(), ["crates", _, "src", "lib.rs" | "main.rs"] | ["xtask", "src", "main.rs"])
    };
    let silent = |source: &&Source| root(&source.path) && !source.text.starts_with("//! ");
    let violation = |source: &Source| {
        Violation::new(
            format!("{}:1", source.path),
            "the crate does not say what it is",
            "a reader finds the right room from the first line",
            "begin the file with a line `//! …`: what it is, and what it must never know",
        )
    };
    sources.iter().filter(silent).map(violation).collect()
}

/// The table of crates in the document names exactly the crates of the workspace.
pub fn crate_list(sources: &[Source], members: &BTreeSet<String>) -> Vec<Violation> {
    let Some(document) = sources.iter().find(|s| s.path == ARCHITECTURE) else { return Vec::new() };
    let mut in_table = false;
    let mut listed = BTreeSet::new();
    for line in document.text.lines() {
        let mut cells = line.split('|').skip(1);
        let Some(first) = cells.next() else {
            in_table = false;
            continue;
        };
        if in_table {
            // Every second part of a text split at back-ticks stands between two of them.
            listed.extend(first.split('`').skip(1).step_by(2).map(str::to_owned));
        }
        in_table |= first.trim().eq_ignore_ascii_case("crate");
    }
    let violation = |name: &String, what: &str| {
        Violation::new(
            ARCHITECTURE,
            format!("`{name}` {what}"),
            "the document is the map of the workspace",
            "make the table of crates and the workspace agree",
        )
    };
    let missing = members.difference(&listed).map(|name| violation(name, "is a crate, but not in the table"));
    missing.chain(listed.difference(members).map(|name| violation(name, "is in the table, but no crate"))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn formula(text: &str) -> Vec<Violation> {
        formulas(&Source::new("crates/physics/src/a.rs", text))
    }

    #[test]
    fn hand_formulas_without_headings_are_caught() {
        let bare = "/// Gives it.\npub fn a() -> Result<f64, E> {\n    x\n}\n";
        assert_eq!(formula(bare).len(), 2);
        let told = "/// Gives it.\n///\n/// # Source\n/// S.\n///\n/// # Errors\n/// E.\n#[inline]\npub fn a() -> Result<f64, E> {\n    x\n}\n";
        assert!(formula(told).is_empty(), "{:?}", formula(told));
        assert!(formula("fn a() -> Result<f64, E> { x }\n").is_empty());
        assert!(formulas(&Source::new("crates/job/src/a.rs", bare)).is_empty());
    }

    #[test]
    fn hand_a_formula_without_a_row_is_caught() {
        let formula =
            "/// Gives it.\n///\n/// # Source\n/// S.\npub fn ebb() -> f64 {\n    1.0\n}\n\nfn hand_ebb() {}\n";
        let of = |index: &str| {
            formula_index(&[Source::new("crates/physics/src/a.rs", formula), Source::new(INDEX, index)])
                .into_iter()
                .map(|v| v.what)
                .collect::<Vec<_>>()
        };
        assert!(of("| `a::ebb` | `hand_ebb` | words `val_` begin names |").is_empty());
        assert_eq!(of("| `a::flood` |"), ["`ebb` has no row in docs/physics.md"]);
        assert_eq!(of("| `a::ebb` | `hand_gone` |"), ["names the test `hand_gone`, which is not there"]);
    }

    #[test]
    fn hand_silent_crates_are_caught() {
        let sources =
            ["crates/a/src/lib.rs", "crates/a/src/b.rs", "xtask/src/main.rs"].map(|p| Source::new(p, "fn a() {}"));
        assert_eq!(first_lines(&sources).len(), 2);
        assert!(first_lines(&[Source::new("crates/a/src/lib.rs", "//! What it is.\n")]).is_empty());
    }

    #[test]
    fn hand_a_wrong_crate_list_is_caught() {
        let text = "# A\n| word | means |\n|---|---|\n| `x` | y |\n\n| crate | one line |\n|---|---|\n| `a` | |\n| `b`, `old` | `c` |\n\nend\n";
        let members: BTreeSet<String> = ["a", "b", "c"].map(String::from).into();
        let found = crate_list(&[Source::new(ARCHITECTURE, text)], &members);
        let what: Vec<&str> = found.iter().map(|v| v.what.as_str()).collect();
        assert_eq!(what, ["`c` is a crate, but not in the table", "`old` is in the table, but no crate"]);
        assert!(crate_list(&[], &members).is_empty());
    }
}
