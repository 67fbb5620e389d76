//! The schema and the reader know the same keys, family by family.

use super::family::{FAMILY_KEYS, FAMILY_TABLES, Needs, ROOT, needs_of};
use super::schema::{Form, SOURCED, Table};
use crate::{Family, Severity, check};

/// A family with the one that judges its level, when it only renews.
fn combinations() -> Vec<(Family, Option<Family>)> {
    let mut all: Vec<_> =
        Family::ALL.iter().map(|(f, _, _)| (*f, f.only_renews().then_some(Family::Overflow))).collect();
    all.push((Family::Exchange, Some(Family::Dipstick)));
    all
}

struct Sample {
    family: Family,
    level: Option<Family>,
}

impl Sample {
    fn rows(&self) -> Vec<&'static Needs> {
        [needs_of(self.family), self.level.and_then(needs_of)].into_iter().flatten().collect()
    }
    /// Whether a path belongs to the families of this sample, and whether they need it beyond the schema.
    fn uses(&self, path: &str) -> (bool, bool) {
        let parts: Vec<&str> = path.trim_start_matches('/').split('/').collect();
        let (mut used, mut needed) = (true, false);
        let mut look = |name: &str, whole: bool| {
            let rows = self.rows();
            let needs = rows.iter().any(|row| row.needs.contains(&name));
            used &= needs || rows.iter().any(|row| row.may.contains(&name));
            needed |= needs && whole;
        };
        if FAMILY_TABLES.contains(&parts[0]) {
            look(parts[0], parts.len() == 1);
        }
        if let [table, key, rest @ ..] = parts.as_slice()
            && FAMILY_KEYS.contains(&(*table, *key))
        {
            look(&format!("{table}.{key}"), rest.is_empty());
        }
        match path {
            "/unit/level" => (self.level.is_some(), true),
            // A second circuit is a sheet of its own and is tested where two circuits are.
            _ if parts[0] == "circuit" => (false, false),
            // The rule of the sample speaks of a circuit by the name it has here.
            "/step/circuit" => (false, false),
            _ => (used, needed),
        }
    }
}

/// Every path of the schema that this sample uses, with whether it is needed.
fn paths(sample: &Sample, table: &Table, above: &str, found: &mut Vec<(String, bool)>) {
    for key in table.keys {
        let path = format!("{above}/{}", key.name);
        let (used, needed) = sample.uses(&path);
        if !used {
            continue;
        }
        found.push((path.clone(), key.required || needed));
        match key.form {
            Form::Table(inner) | Form::Tables(inner) => paths(sample, inner, &path, found),
            Form::Sourced(_) => paths(sample, &SOURCED, &path, found),
            _ => {}
        }
    }
}

/// The keys of a table with their samples, except that `wanted` has the value `put`, or is left out.
fn keys(s: &Sample, table: &Table, above: &str, wanted: &str, put: Option<&str>, value: &str) -> Vec<String> {
    let mut lines = Vec::new();
    for key in table.keys {
        let path = format!("{above}/{}", key.name);
        let inner = |t: &Table, v: &str| format!("{{ {} }}", keys(s, t, &path, wanted, put, v).join(", "));
        let given = match path.as_str() {
            "/unit/family" => s.family.word(),
            "/unit/level" => s.level.map_or("", Family::word),
            // A range inside the chart of two points below, and away from the window of the sample preset.
            "/probe/temperature" => "50–60 °C",
            _ => key.sample,
        };
        let sample = if key.name == "value" { value } else { given };
        let text = match key.form {
            _ if !s.uses(&path).0 => continue,
            _ if path == wanted => match put {
                Some(put) => put.to_owned(),
                None => continue,
            },
            Form::Table(t) => inner(t, ""),
            Form::Tables(t) if t.name == "probe.point" => {
                format!("[{}, {}]", inner(t, ""), inner(t, "").replace("40 °C", "90 °C"))
            }
            Form::Tables(t) => format!("[{}]", inner(t, "")),
            Form::Sourced(_) => inner(&SOURCED, given),
            form => form.toml(sample),
        };
        lines.push(format!("{} = {text}", key.name));
    }
    lines
}

fn sample(s: &Sample, wanted: &str, put: Option<&str>) -> String {
    keys(s, &ROOT, "", wanted, put, "").join("\n")
}

#[test]
fn law_the_samples_make_a_sheet_without_findings_for_every_family() {
    for (family, level) in combinations() {
        let checked = check(&sample(&Sample { family, level }, "", None));
        assert_eq!(checked.findings, [], "{family:?}");
        let sheet = checked.sheet.expect("a sheet");
        assert_eq!(sheet.level.family(), level.unwrap_or(family));
    }
}

#[test]
fn law_every_key_is_read_and_its_type_checked() {
    let mut seen = std::collections::BTreeSet::new();
    for (family, level) in combinations() {
        let one = Sample { family, level };
        let mut all = Vec::new();
        paths(&one, &ROOT, "", &mut all);
        for (path, _) in all {
            // A date is the wrong type for every key.
            let text = sample(&one, &path, Some("1979-05-27"));
            let checked = check(&text);
            let wrong = checked.findings.iter().find(|f| f.code == "wrong-type");
            let place = wrong.and_then(|f| f.span.clone()).and_then(|span| text.get(span));
            assert_eq!(place, Some("1979-05-27"), "{family:?} {path}: {:#?}", checked.findings);
            seen.insert(path);
        }
    }
    assert!(seen.len() > 200, "{}", seen.len());
}

#[test]
fn law_a_needed_key_is_missed_and_another_is_not() {
    for (family, level) in combinations() {
        let one = Sample { family, level };
        let mut all = Vec::new();
        paths(&one, &ROOT, "", &mut all);
        for (path, required) in all {
            let checked = check(&sample(&one, &path, None));
            let name = path.rsplit('/').next().unwrap_or_default();
            let missed = checked.findings.iter().any(|f| {
                f.severity == Severity::Error
                    && (f.code == "no-source" || f.code == "missing" && f.message.starts_with(&format!("`{name}`")))
            });
            assert_eq!(missed, required, "{family:?} {path}: {:#?}", checked.findings);
            assert_eq!(checked.sheet.is_some(), !required, "{family:?} {path}: {:#?}", checked.findings);
        }
    }
}
