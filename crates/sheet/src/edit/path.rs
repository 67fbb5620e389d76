//! Where a value stands: `window.temperature`, `plug[fill].torque.value`. A row of a list of tables is named by its id, or
//! by its place in the list, counted from 0, where it has none.

use crate::check::family::ROOT;
use crate::check::schema::{Form, Key, SOURCED, Table};
use toml_edit::{Item, TableLike};

/// One step of a path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Step {
    pub(super) key: String,
    /// Which row, for a list of tables.
    pub(super) row: Option<String>,
}

/// Reads a path; `None` for what is none.
pub(super) fn steps(path: &str) -> Option<Vec<Step>> {
    let mut steps = Vec::new();
    let mut rest = path.trim();
    while !rest.is_empty() {
        let end = rest.find(['.', '[']).unwrap_or(rest.len());
        let (key, after) = rest.split_at(end);
        if key.is_empty() {
            return None;
        }
        let (row, after) = match after.strip_prefix('[') {
            Some(inside) => {
                let (row, after) = inside.split_once(']')?;
                (Some(row.to_owned()), after)
            }
            None => (None, after),
        };
        steps.push(Step { key: key.to_owned(), row });
        rest = match after.strip_prefix('.') {
            Some("") => return None,
            Some(more) => more,
            None if after.is_empty() => "",
            None => return None,
        };
    }
    (!steps.is_empty()).then_some(steps)
}

/// What the value at a path means, in words: "fill plug: tightening torque"; `None` for a path the format does not have.
pub fn meaning(path: &str) -> Option<String> {
    let key = key_at(path)?;
    let plug = path.strip_prefix("plug[").and_then(|rest| rest.split_once(']'));
    Some(plug.map_or_else(|| key.about.to_owned(), |(plug, _)| format!("{plug} plug: {}", key.about)))
}

/// The key of the schema that a path leads to; parts of a sourced value have keys of their own.
pub(super) fn key_at(path: &str) -> Option<&'static Key> {
    let steps = steps(path)?;
    let mut table: &'static Table = &ROOT;
    let mut found = None;
    for step in &steps {
        let key = table.key(&step.key)?;
        table = match (key.form, &step.row) {
            (Form::Table(inner), None) | (Form::Tables(inner), Some(_)) => inner,
            (Form::Sourced(_), None) => &SOURCED,
            (Form::Table(_) | Form::Tables(_), _) => return None,
            (_, None) => &EMPTY,
            (_, Some(_)) => return None,
        };
        found = Some(key);
    }
    found
}

static EMPTY: Table = Table { name: "", keys: &[] };

/// What a row of a list of tables is called.
pub(super) fn row_name(table: &dyn TableLike, at: usize) -> String {
    table.get("id").and_then(Item::as_str).map_or_else(|| at.to_string(), str::to_owned)
}

/// One value of a document; a sourced value is one.
#[derive(Debug, Clone)]
pub(super) struct Leaf {
    pub(super) path: String,
    pub(super) item: Item,
    /// The value as it would be read aloud.
    pub(super) text: String,
    /// Source and status, where there are any.
    pub(super) source: Option<(String, String)>,
}

/// Every value of a document, in its order.
pub(super) fn leaves(document: &dyn TableLike) -> Vec<Leaf> {
    let mut found = Vec::new();
    below(document, "", &mut found);
    found
}

fn below(table: &dyn TableLike, at: &str, found: &mut Vec<Leaf>) {
    for (key, item) in table.iter() {
        let path = if at.is_empty() { key.to_owned() } else { format!("{at}.{key}") };
        if let Some(tables) = item.as_array_of_tables() {
            for (n, row) in tables.iter().enumerate() {
                below(row, &format!("{path}[{}]", row_name(row, n)), found);
            }
        } else if let Some(rows) = inline_rows(item) {
            for (n, row) in rows.into_iter().enumerate() {
                below(row, &format!("{path}[{}]", row_name(row, n)), found);
            }
        } else if let Some(inner) = item.as_table_like().filter(|inner| inner.get("value").is_none()) {
            below(inner, &path, found);
        } else {
            found.push(leaf(path, item));
        }
    }
}

fn inline_rows(item: &Item) -> Option<Vec<&dyn TableLike>> {
    let array = item.as_array().filter(|array| !array.is_empty())?;
    array.iter().map(|value| value.as_inline_table().map(|table| table as &dyn TableLike)).collect()
}

fn leaf(path: String, item: &Item) -> Leaf {
    let part = |name: &str| item.as_table_like().and_then(|t| t.get(name)).map(spoken);
    let source = part("source").zip(part("status"));
    let text = part("value").unwrap_or_else(|| spoken(item));
    Leaf { path, item: item.clone(), text, source }
}

/// A value without its TOML marks: texts bare, the items of a list parted by upright strokes, which no manual prints.
pub(super) fn spoken(item: &Item) -> String {
    if let Some(text) = item.as_str() {
        return text.to_owned();
    }
    if let Some(array) = item.as_array() {
        let parts = array.iter().map(|value| value.as_str().map_or_else(|| bare(value), str::to_owned));
        return parts.map(|part| part.trim().to_owned()).collect::<Vec<_>>().join(" | ");
    }
    item.as_value().map_or_else(|| item.to_string().trim().to_owned(), bare)
}

/// A value without the blanks and the comment around it.
fn bare(value: &toml_edit::Value) -> String {
    value.clone().decorated("", "").to_string().trim().to_owned()
}
