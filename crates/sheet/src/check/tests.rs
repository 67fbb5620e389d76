//! The schema and the reader know the same keys.

use super::schema::{Form, ROOT, SOURCED, Table};
use crate::{Severity, check};

/// Every path of the schema, with whether the key is needed.
fn paths(table: &Table, above: &str, found: &mut Vec<(String, bool)>) {
    for key in table.keys {
        let path = format!("{above}/{}", key.name);
        found.push((path.clone(), key.required));
        match key.form {
            Form::Table(inner) | Form::Tables(inner) => paths(inner, &path, found),
            Form::Sourced(_) => paths(&SOURCED, &path, found),
            _ => {}
        }
    }
}

/// The keys of a table with their samples, except that `wanted` has the value `put`, or is left out.
fn keys(table: &Table, above: &str, wanted: &str, put: Option<&str>, value: &str) -> Vec<String> {
    let mut lines = Vec::new();
    for key in table.keys {
        let path = format!("{above}/{}", key.name);
        let inner = |t: &Table, v: &str| format!("{{ {} }}", keys(t, &path, wanted, put, v).join(", "));
        let sample = if key.name == "value" { value } else { key.sample };
        let text = match key.form {
            _ if path == wanted => match put {
                Some(put) => put.to_owned(),
                None => continue,
            },
            Form::Table(t) => inner(t, ""),
            Form::Tables(t) => format!("[{}]", inner(t, "")),
            Form::Sourced(_) => inner(&SOURCED, key.sample),
            form => form.toml(sample),
        };
        lines.push(format!("{} = {text}", key.name));
    }
    lines
}

fn sample(wanted: &str, put: Option<&str>) -> String {
    keys(&ROOT, "", wanted, put, "").join("\n")
}

#[test]
fn law_the_samples_make_a_sheet_without_findings() {
    let checked = check(&sample("", None));
    assert_eq!(checked.findings, []);
    assert!(checked.sheet.is_some());
}

#[test]
fn law_every_key_is_read_and_its_type_checked() {
    let mut all = Vec::new();
    paths(&ROOT, "", &mut all);
    assert!(all.len() > 100, "{}", all.len());
    for (path, _) in all {
        // A date is the wrong type for every key.
        let text = sample(&path, Some("1979-05-27"));
        let checked = check(&text);
        let wrong = checked.findings.iter().find(|f| f.code == "wrong-type");
        let place = wrong.and_then(|f| f.span.clone()).and_then(|span| text.get(span));
        assert_eq!(place, Some("1979-05-27"), "{path}: {:#?}", checked.findings);
    }
}

#[test]
fn law_a_needed_key_is_missed_and_another_is_not() {
    let mut all = Vec::new();
    paths(&ROOT, "", &mut all);
    for (path, required) in all {
        let checked = check(&sample(&path, None));
        let name = path.rsplit('/').next().unwrap_or_default();
        let missed = checked.findings.iter().any(|f| {
            f.severity == Severity::Error
                && (f.code == "no-source" || f.code == "missing" && f.message.starts_with(&format!("`{name}`")))
        });
        assert_eq!(missed, required, "{path}: {:#?}", checked.findings);
        assert_eq!(checked.sheet.is_some(), !required, "{path}");
    }
}
