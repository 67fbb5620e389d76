//! Who may know whom.

use super::Violation;
use super::metadata::Metadata;
use super::source::Source;

/// Each crate and the crates of the workspace that it may depend on. `testkit` is allowed to every crate's tests.
const EDGES: &[(&str, &[&str])] = &[
    ("quantity", &[]),
    ("physics", &["quantity"]),
    ("sheet", &["quantity"]),
    ("job", &["quantity", "physics", "sheet"]),
    ("link", &["quantity"]),
    ("draw", &["quantity", "job"]),
    ("store", &["quantity", "job"]),
    ("report", &["quantity", "job", "draw"]),
    ("app", &["quantity", "physics", "sheet", "job", "store", "link", "report", "draw"]),
    ("web", &["quantity", "sheet", "job", "draw", "app"]),
    ("sumpwright", &["quantity", "physics", "sheet", "job", "store", "link", "report", "draw", "app", "web"]),
    ("testkit", &[]),
    ("xtask", &["testkit"]),
];

/// Crates that compute and do nothing else.
const PURE: &[&str] = &["quantity", "physics", "job"];

/// Crates that bring a clock, chance, files, HTTP or SQL; a name that ends in `*` stands for all that begin so.
const IMPURE: &[&str] = &[
    "tokio*",
    "async-std",
    "smol",
    "sqlx*",
    "rusqlite",
    "axum*",
    "hyper*",
    "reqwest",
    "ureq",
    "tower*",
    "rand*",
    "fastrand",
    "getrandom",
    "jiff*",
    "chrono*",
    "time",
    "uuid",
    "tempfile",
    "walkdir",
    "socket2",
    "mio",
    "rustls",
];

/// What of the standard library a pure crate leaves alone: module, item (none: all of it).
const IMPURE_STD: &[(&str, Option<&str>)] = &[
    ("fs", None),
    ("net", None),
    ("env", None),
    ("process", None),
    ("time", Some("SystemTime")),
    ("time", Some("Instant")),
];

const WHY_PURE: &str = "the same input gives the same result on every machine and in every test";

pub fn between_crates(metadata: &Metadata) -> Vec<Violation> {
    let mut found = Vec::new();
    for package in metadata.packages.values().filter(|p| p.member) {
        let Some((_, allowed)) = EDGES.iter().find(|(name, _)| *name == package.name) else {
            found.push(Violation::new(
                &package.name,
                "a crate that the table of edges does not name",
                "every crate has one place in the order of the workspace",
                "add it to EDGES in xtask/src/tidy/edges.rs and to docs/architecture.md",
            ));
            continue;
        };
        let normal = package.normal.iter().map(|id| (id, false));
        for (id, dev) in normal.chain(package.dev.iter().map(|id| (id, true))) {
            let name = metadata.name(id);
            let member = metadata.packages.get(id).is_some_and(|p| p.member);
            if member && !allowed.contains(&name) && !(dev && name == "testkit") {
                found.push(Violation::new(
                    &package.name,
                    format!("depends on `{name}`"),
                    "edges run one way, so that a part can be understood and tested without the ones above it",
                    "hand the value in as an argument, or move the code to the crate that may know both",
                ));
            }
        }
    }
    found
}

pub fn pure_trees(metadata: &Metadata) -> Vec<Violation> {
    let mut found = Vec::new();
    for (id, package) in metadata.packages.iter().filter(|(_, p)| p.member && PURE.contains(&p.name.as_str())) {
        for needed in metadata.tree([id.clone()]) {
            let name = metadata.name(&needed);
            if IMPURE.iter().any(|pattern| matches(pattern, name)) {
                found.push(Violation::new(
                    &package.name,
                    format!("has `{name}` in its dependency tree (cargo tree -p {} -i {name} -e normal)", package.name),
                    WHY_PURE,
                    "take the dependency or the feature that brings it out; hand in what it would have found out",
                ));
            }
        }
    }
    found
}

fn matches(pattern: &str, name: &str) -> bool {
    match pattern.strip_suffix('*') {
        Some(start) => name.starts_with(start),
        None => name == pattern,
    }
}

pub fn pure_source(source: &Source) -> Vec<Violation> {
    if !PURE.iter().any(|name| source.path.starts_with(&format!("crates/{name}/src/"))) {
        return Vec::new();
    }
    let mut found = Vec::new();
    for at in source.places("std::") {
        let used = used_paths(&source.code[at + "std::".len()..]);
        for (module, item) in IMPURE_STD {
            if used.iter().any(|path| impure(path, module, *item)) {
                found.push(Violation::new(
                    source.place(at),
                    format!("std::{module}{}", item.map(|i| format!("::{i}")).unwrap_or_default()),
                    WHY_PURE,
                    "hand the value in as an argument",
                ));
            }
        }
    }
    found
}

/// The path that begins here, or all of a `{…}` group as one text each.
fn used_paths(code: &str) -> Vec<String> {
    let end = |c: char| !(c.is_alphanumeric() || "_:{},* \n".contains(c));
    let text = &code[..code.find(end).unwrap_or(code.len())];
    if !text.starts_with('{') {
        let until = text.find([' ', '\n', ',', '}']).unwrap_or(text.len());
        // A group later in the path belongs to it: time::{Duration, Instant}.
        let until = text.find('{').filter(|open| *open < until).map_or(until, |_| text.find('}').unwrap_or(text.len()));
        return vec![text[..until].to_owned()];
    }
    let (mut depth, mut paths) = (0, vec![String::new()]);
    for c in text.chars() {
        depth += i32::from(c == '{') - i32::from(c == '}');
        match c {
            ',' if depth == 1 => paths.push(String::new()),
            _ if depth == 0 => break,
            _ if c == '{' && depth == 1 => {}
            _ => paths.iter_mut().last().into_iter().for_each(|p| p.push(c)),
        }
    }
    paths
}

fn impure(path: &str, module: &str, item: Option<&str>) -> bool {
    let mut words = path.split(|c: char| !c.is_alphanumeric() && c != '_').filter(|w| !w.is_empty());
    words.next() == Some(module) && item.is_none_or(|item| words.any(|w| w == item))
}

#[cfg(test)]
mod tests {
    use super::super::metadata::made_up;
    use super::*;

    #[test]
    fn hand_a_forbidden_edge_is_caught() {
        let metadata = made_up(&[
            ("quantity", None, true, &["physics"], &["testkit"]),
            ("physics", None, true, &["quantity", "serde"], &[]),
            ("job", None, true, &["testkit"], &[]),
            ("testkit", None, true, &[], &[]),
            ("serde", None, false, &[], &[]),
            ("extra", None, true, &[], &[]),
        ]);
        let found: Vec<_> = between_crates(&metadata).into_iter().map(|v| (v.place, v.what)).collect();
        assert_eq!(found.len(), 3, "{found:?}");
        assert!(found.contains(&("quantity".into(), "depends on `physics`".into())));
        assert!(found.contains(&("job".into(), "depends on `testkit`".into())));
        assert!(found.iter().any(|(place, _)| place == "extra"));
    }

    #[test]
    fn hand_a_clock_deep_in_a_pure_tree_is_caught() {
        let metadata = made_up(&[
            ("physics", None, true, &["a"], &["rand"]),
            ("a", None, false, &["sqlx-core"], &[]),
            ("sqlx-core", None, false, &[], &[]),
            ("rand", None, false, &[], &[]),
            ("store", None, true, &["sqlx-core"], &[]),
        ]);
        let found = pure_trees(&metadata);
        assert!(found.len() == 1 && found[0].what.contains("`sqlx-core`"), "{found:?}");
    }

    #[test]
    fn hand_files_and_clocks_in_pure_code_are_caught() {
        let caught = |code: &str| pure_source(&Source::new("crates/job/src/a.rs", code)).len();
        for code in [
            "use std::fs;",
            "let x = std::env::var(a);",
            "use std::time::Instant;",
            "use std::{\n    collections::BTreeMap,\n    fs::File,\n};",
            "use std::time::{Duration, SystemTime};",
            "use std::{fmt, time::{Duration, Instant}};",
        ] {
            assert_eq!(caught(code), 1, "{code}");
        }
        for code in
            ["use std::fmt;", "// std::fs", "use std::time::Duration;", "use std::{fmt, mem};", "std::f64::consts::PI"]
        {
            assert_eq!(caught(code), 0, "{code}");
        }
        assert!(pure_source(&Source::new("crates/store/src/a.rs", "use std::fs;")).is_empty());
    }
}
