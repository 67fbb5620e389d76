//! A sheet as fields to fill in: what the schema has, with what the text says.

use super::path::{key_at, row_name, spoken};
use super::set::{EditError, parsed};
use crate::Family;
use crate::check::family::{FAMILY_KEYS, FAMILY_TABLES, ROOT, needs_of};
use crate::check::schema::{Form, Key, Table};
use serde::Serialize;
use toml_edit::TableLike;

/// How a value is entered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Entry {
    /// One line.
    Text,
    /// Several texts, parted by line ends or upright strokes.
    List,
    /// One of these words.
    Choice(Vec<&'static str>),
}

/// One value to fill in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Field {
    /// Where it stands, as [`super::set`] takes it.
    pub path: String,
    /// What it is.
    pub about: &'static str,
    /// The last part of the path, for people.
    pub name: String,
    /// How it is entered.
    pub entry: Entry,
    /// What the text says now; empty for nothing.
    pub value: String,
    /// A value as it might stand there.
    pub sample: &'static str,
    /// True when a sheet needs it.
    pub required: bool,
    /// True for a value that goes with source and status, which follow.
    pub sourced: bool,
}

/// The fields of one table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Group {
    /// Path of the table; empty for the sheet itself.
    pub path: String,
    /// What it is.
    pub about: &'static str,
    /// Its fields.
    pub fields: Vec<Field>,
}

/// The sheet as groups of fields: every table that stands in the text, and those its family needs or may have.
///
/// # Errors
/// [`EditError`] for a text that is no TOML.
pub fn groups(text: &str) -> Result<Vec<Group>, EditError> {
    let document = parsed(text)?;
    let mut found = Vec::new();
    group(&ROOT, "", "the sheet itself", Some(document.as_table()), &family(document.as_table()), &mut found);
    Ok(found)
}

/// The families that a table of plugs and levels follows: the one that renews and the one that judges.
fn family(table: &dyn TableLike) -> Vec<Family> {
    let unit = table.get("unit").and_then(toml_edit::Item::as_table_like).unwrap_or(table);
    let words = ["family", "level"].into_iter().filter_map(|key| unit.get(key).and_then(toml_edit::Item::as_str));
    words.filter_map(Family::named).collect()
}

fn belongs(families: &[Family], path: &str, key: &Key) -> bool {
    let dotted = format!("{}.{}", path.rsplit('.').next().unwrap_or_default(), key.name);
    let of_some = FAMILY_TABLES.contains(&key.name) || FAMILY_KEYS.iter().any(|(t, k)| format!("{t}.{k}") == dotted);
    let rows = families.iter().filter_map(|family| needs_of(*family));
    !of_some || rows.flat_map(|row| row.needs.iter().chain(row.may)).any(|name| *name == key.name || *name == dotted)
}

fn group(
    schema: &'static Table,
    path: &str,
    about: &'static str,
    table: Option<&dyn TableLike>,
    families: &[Family],
    found: &mut Vec<Group>,
) {
    let join = |name: &str| if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
    let mut fields = Vec::new();
    let mut below = Vec::new();
    for key in schema.keys {
        let item = table.and_then(|table| table.get(key.name));
        if item.is_none() && !belongs(families, path, key) {
            continue;
        }
        match key.form {
            Form::Table(inner) => below.push((inner, join(key.name), key.about, item.and_then(|i| i.as_table_like()))),
            Form::Tables(inner) => {
                let rows = item.and_then(|i| i.as_array_of_tables());
                for (n, row) in rows.into_iter().flat_map(|rows| rows.iter()).enumerate() {
                    let path = format!("{}[{}]", join(key.name), row_name(row, n));
                    below.push((inner, path, key.about, Some(row as &dyn TableLike)));
                }
            }
            _ => fields.extend(fields_of(key, &join(key.name), item)),
        }
    }
    if !fields.is_empty() {
        found.push(Group { path: path.to_owned(), about, fields });
    }
    for (schema, path, about, table) in below {
        let own = table.filter(|_| path.starts_with("circuit[")).map(family);
        group(schema, &path, about, table, own.as_deref().filter(|own| !own.is_empty()).unwrap_or(families), found);
    }
}

fn fields_of(key: &'static Key, path: &str, item: Option<&toml_edit::Item>) -> Vec<Field> {
    let said = |item: Option<&toml_edit::Item>| item.map(spoken).unwrap_or_default();
    let field = |path: String, key: &'static Key, value: String, required: bool, sourced: bool| Field {
        about: key.about,
        name: key.name.to_owned(),
        entry: entry(key.form),
        value,
        sample: key.sample,
        required,
        sourced,
        path,
    };
    let Form::Sourced(_) = key.form else {
        return vec![field(path.to_owned(), key, said(item), key.required, false)];
    };
    let part = |name: &str| said(item.and_then(|item| item.as_table_like()).and_then(|table| table.get(name)));
    // A bare text in the place of a sourced value is shown as the value it lacks a source for.
    let value = item.and_then(toml_edit::Item::as_str).map_or_else(|| part("value"), str::to_owned);
    let mut fields = vec![field(format!("{path}.value"), key, value, key.required, true)];
    for name in ["source", "status"] {
        let path = format!("{path}.{name}");
        if let Some(inner) = key_at(&path) {
            fields.push(field(path, inner, part(name), false, false));
        }
    }
    fields
}

fn entry(form: Form) -> Entry {
    match form {
        Form::Texts | Form::Words(_) => Entry::List,
        Form::Word(list) => Entry::Choice(list.words()),
        Form::Flag => Entry::Choice(vec!["true", "false"]),
        _ => Entry::Text,
    }
}
