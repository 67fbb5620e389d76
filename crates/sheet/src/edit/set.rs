//! Setting one value in the text of a sheet. Everything else, comments too, stays byte for byte.

use super::path::{Step, key_at, row_name, steps};
use crate::check::schema::Form;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// Why a text could not be changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EditError {
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub hint: String,
}

impl std::fmt::Display for EditError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.what)
    }
}
impl std::error::Error for EditError {}

pub(super) fn wrong(what: impl Into<String>, hint: impl Into<String>) -> EditError {
    EditError { what: what.into(), hint: hint.into() }
}

/// Longest list or text one may set.
const LONGEST: usize = 20_000;

pub(super) fn parsed(text: &str) -> Result<DocumentMut, EditError> {
    if text.len() > crate::LIMIT {
        return Err(wrong("the text is longer than a sheet may be", "a sheet fits in a few kilobytes"));
    }
    text.parse().map_err(|why: toml_edit::TomlError| {
        let first = why.message().lines().next().unwrap_or_default().to_owned();
        let line = why.span().map_or(1, |span| text[..span.start.min(text.len())].matches('\n').count() + 1);
        wrong(format!("line {line} is not TOML: {first}"), "put that line right as text first")
    })
}

/// The text with one value set, as a person writes it: the items of a list parted by line ends or upright strokes (words
/// of a closed list by commas too), yes and no. An empty value takes the key
/// away. A table or a row that is not there yet is made. A value that is there already leaves the text as it is.
///
/// # Errors
/// [`EditError`] for a text that is no TOML, a path that the format does not have, or a value of the wrong form. Whether
/// the value makes sense is for the check to say.
pub fn set(text: &str, path: &str, value: &str) -> Result<String, EditError> {
    let mut document = parsed(text)?;
    let value = value.trim();
    if value.len() > LONGEST {
        return Err(wrong(format!("{path}: the value has {} bytes", value.len()), "write it shorter"));
    }
    let (path, form) = whole_path(path)?;
    let steps = steps(&path).ok_or_else(|| no_path(&path))?;
    if value.is_empty() {
        remove(document.as_table_mut(), &steps);
    } else {
        let item = item_of(&path, form, value)?;
        put(document.as_table_mut(), &steps, item)?;
    }
    Ok(document.to_string())
}

/// The text under another id and name, for a copy.
///
/// # Errors
/// As [`set`].
pub fn renamed(text: &str, id: &str, name: &str) -> Result<String, EditError> {
    let text = set(text, "unit.id", id)?;
    if name.trim().is_empty() { Ok(text) } else { set(&text, "unit.name", name) }
}

/// The id a text gives its unit; `None` when it says none, or is no TOML.
pub fn id_of(text: &str) -> Option<String> {
    let document = parsed(text).ok()?;
    let id = document.get("unit")?.as_table_like()?.get("id")?.as_str()?.trim();
    (!id.is_empty()).then(|| id.to_owned())
}

fn no_path(path: &str) -> EditError {
    wrong(format!("a sheet has no value “{path}”"), "paths look like window.temperature or plug[fill].torque")
}

/// A sourced value without a part means its value.
fn whole_path(path: &str) -> Result<(String, Form), EditError> {
    let path = path.trim();
    match key_at(path).map(|key| key.form) {
        Some(Form::Sourced(_)) => Ok((format!("{path}.value"), Form::Text)),
        Some(Form::Table(_) | Form::Tables(_)) | None => Err(no_path(path)),
        Some(form) => Ok((path.to_owned(), form)),
    }
}

fn item_of(path: &str, form: Form, value: &str) -> Result<Value, EditError> {
    let number = |what: &str| wrong(format!("{path}: “{value}” is no {what}"), "write a plain number");
    Ok(match form {
        Form::Texts => list_of(value, &['|', '\n']),
        Form::Words(_) => list_of(value, &['|', '\n', ',']),
        Form::Flag => match value.to_lowercase().as_str() {
            "true" | "yes" | "on" => true.into(),
            "false" | "no" | "off" => false.into(),
            _ => return Err(wrong(format!("{path}: “{value}” is neither yes nor no"), "write yes or no")),
        },
        Form::Whole => value.parse::<i64>().map_err(|_| number("whole number"))?.into(),
        Form::Factor(..) => {
            let plain = value.replace(',', ".");
            match plain.parse::<i64>() {
                Ok(whole) => whole.into(),
                Err(_) => plain.parse::<f64>().ok().filter(|x| x.is_finite()).ok_or_else(|| number("number"))?.into(),
            }
        }
        _ => value.into(),
    })
}

fn list_of(value: &str, marks: &[char]) -> Value {
    let parts = value.split(marks).map(str::trim).filter(|part| !part.is_empty());
    Value::Array(parts.collect::<Array>())
}

/// Puts a value where the path leads, making what is missing on the way.
pub(super) fn put(table: &mut dyn TableLike, steps: &[Step], value: Value) -> Result<(), EditError> {
    let Some((step, rest)) = steps.split_first() else { return Ok(()) };
    if rest.is_empty() {
        replace(table, &step.key, value);
        return Ok(());
    }
    let crowded = || wrong(format!("“{}” is no table here", step.key), "put it right as text first");
    match &step.row {
        Some(row) => put(row_of(table, &step.key, row).ok_or_else(crowded)?, rest, value),
        None => {
            let inline = matches!(rest, [last] if last.row.is_none() && ["value", "source", "status"].contains(&last.key.as_str()));
            let entry = table.entry(&step.key).or_insert_with(|| match inline {
                true => Item::Value(Value::InlineTable(InlineTable::new())),
                false => Item::Table(Table::new()),
            });
            put(entry.as_table_like_mut().ok_or_else(crowded)?, rest, value)
        }
    }
}

/// The new value in place of the old, with the blanks and the comment that stood around it.
fn replace(table: &mut dyn TableLike, key: &str, value: Value) {
    match table.get_mut(key) {
        Some(Item::Value(old)) => {
            let same =
                super::path::spoken(&Item::Value(old.clone())) == super::path::spoken(&Item::Value(value.clone()));
            if !same || std::mem::discriminant(old) != std::mem::discriminant(&value) {
                let decor = old.decor().clone();
                *old = value;
                *old.decor_mut() = decor;
            }
        }
        _ => {
            table.insert(key, Item::Value(value));
        }
    }
}

/// The row of that name, made at the end of the list if there is none.
fn row_of<'a>(table: &'a mut dyn TableLike, key: &str, row: &str) -> Option<&'a mut dyn TableLike> {
    let list = table.entry(key).or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    if list.is_array() {
        let rows = list.as_array_mut()?;
        let at = rows
            .iter()
            .enumerate()
            .position(|(n, value)| value.as_inline_table().is_some_and(|inner| row_name(inner, n) == row))?;
        return rows.get_mut(at)?.as_inline_table_mut().map(|inner| inner as &mut dyn TableLike);
    }
    let rows = list.as_array_of_tables_mut()?;
    let at = rows.iter().enumerate().position(|(n, inner)| row_name(inner, n) == row);
    let at = at.unwrap_or_else(|| {
        let mut inner = Table::new();
        if row.parse::<usize>().is_err() {
            inner.insert("id", row.into());
        }
        rows.push(inner);
        rows.len() - 1
    });
    rows.get_mut(at).map(|inner| inner as &mut dyn TableLike)
}

fn remove(table: &mut dyn TableLike, steps: &[Step]) {
    let Some((step, rest)) = steps.split_first() else { return };
    if rest.is_empty() {
        table.remove(&step.key);
        return;
    }
    let below = match &step.row {
        None => table.get_mut(&step.key).and_then(Item::as_table_like_mut),
        Some(row) => {
            let there = table.get(&step.key).is_some_and(|list| has_row(list, row));
            if there { row_of(table, &step.key, row) } else { None }
        }
    };
    let Some(below) = below else { return };
    remove(below, rest);
    // A sourced value without its value is nothing; a table that the format asks for stays.
    if step.row.is_none() && below.is_empty() {
        table.remove(&step.key);
    }
}

fn has_row(list: &Item, row: &str) -> bool {
    let tables = list.as_array_of_tables().map(|rows| rows.iter().map(|t| t as &dyn TableLike).collect::<Vec<_>>());
    let inline = list.as_array().map(|rows| {
        rows.iter().filter_map(|value| value.as_inline_table()).map(|t| t as &dyn TableLike).collect::<Vec<_>>()
    });
    tables.or(inline).unwrap_or_default().into_iter().enumerate().any(|(n, inner)| row_name(inner, n) == row)
}
