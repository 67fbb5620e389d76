//! A sheet to begin with: every table and key that a family needs, empty, each with what belongs there.

use crate::Family;
use crate::check::family::{FAMILY_KEYS, FAMILY_TABLES, ROOT, needs_of};
use crate::check::schema::{Form, Key, Table};

/// What is known of a unit before the manual is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Start<'a> {
    id: &'a str,
    name: &'a str,
    maker: &'a str,
    kind: &'a str,
    family: Family,
}

/// The text of an empty sheet. Its values are empty, so that the check names each one that is still to be filled in;
/// keys that may be left out stand as comments with a sample.
pub fn skeleton(id: &str, name: &str, maker: &str, kind: &str, family: Family) -> String {
    let start = Start { id, name, maker, kind, family };
    let mut text = String::from(
        "# Unit sheet. Fill in what the manual says, as it prints it, each value with book and page.\n\
         # Lines that begin with # are not read; take the mark away to use them.\n",
    );
    keys(&mut text, &ROOT, "", &start);
    below(&mut text, &ROOT, &start);
    text
}

fn belongs(start: &Start<'_>, table: &str, key: &Key) -> Option<bool> {
    let dotted = format!("{table}.{}", key.name);
    let special = FAMILY_TABLES.contains(&key.name) || FAMILY_KEYS.iter().any(|(t, k)| *t == table && *k == key.name);
    let row = needs_of(start.family)?;
    let named = |names: &[&str]| names.iter().any(|name| *name == key.name || *name == dotted);
    match (special, named(row.needs), named(row.may)) {
        (false, _, _) => Some(key.required),
        (true, true, _) => Some(true),
        (true, false, true) => Some(false),
        (true, false, false) => None,
    }
}

fn keys(text: &mut String, table: &Table, path: &str, start: &Start<'_>) {
    for key in table.keys.iter().filter(|key| !matches!(key.form, Form::Table(_) | Form::Tables(_))) {
        let Some(required) = belongs(start, path, key) else { continue };
        let value = match (path, key.name) {
            ("", "format") => crate::FORMAT.to_string(),
            ("unit", "id") => quoted(start.id),
            ("unit", "name") => quoted(start.name),
            ("unit", "maker") => quoted(start.maker),
            ("unit", "kind") => quoted(start.kind),
            ("unit", "family") => quoted(start.family.word()),
            _ if required => empty(key),
            _ => key.form.toml(key.sample),
        };
        let mark = if required { "" } else { "# " };
        text.push_str(&format!("{mark}{} = {value}  # {}\n", key.name, key.about));
    }
}

fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}

/// An empty value of the right form, or the sample where nothing can be empty.
fn empty(key: &Key) -> String {
    match key.form {
        Form::Text | Form::Word(_) | Form::Plain(_) => "\"\"".to_owned(),
        Form::Texts | Form::Words(_) => "[]".to_owned(),
        Form::Sourced(_) => "{ value = \"\", source = \"\", status = \"read\" }".to_owned(),
        form => form.toml(key.sample),
    }
}

fn below(text: &mut String, table: &Table, start: &Start<'_>) {
    for key in table.keys {
        if belongs(start, table.name, key) != Some(true) {
            continue;
        }
        match key.form {
            Form::Table(inner) => {
                text.push_str(&format!("\n[{}]  # {}\n", inner.name, key.about));
                keys(text, inner, inner.name, start);
                below(text, inner, start);
            }
            Form::Tables(inner) if inner.name == "plug" => plugs(text, inner, start),
            Form::Tables(inner) => {
                text.push_str(&format!("\n[[{}]]  # {}\n", inner.name, key.about));
                keys(text, inner, inner.name, start);
            }
            _ => {}
        }
    }
}

/// One plug for each role the family asks for, and one to drain by.
fn plugs(text: &mut String, table: &Table, start: &Start<'_>) {
    let mut roles: Vec<&str> =
        needs_of(start.family).map_or(&[][..], |row| row.roles).iter().map(|r| r.word()).collect();
    if !roles.contains(&"drain") {
        roles.push("drain");
    }
    for role in roles {
        text.push_str("\n[[plug]]\n");
        for key in table.keys.iter().filter(|key| !matches!(key.form, Form::Table(_))) {
            let value = match key.name {
                "id" => quoted(role),
                "roles" => format!("[{}]", quoted(role)),
                _ if key.required => empty(key),
                _ => key.form.toml(key.sample),
            };
            let mark = if key.required { "" } else { "# " };
            text.push_str(&format!("{mark}{} = {value}  # {}\n", key.name, key.about));
        }
    }
}
