//! Two sheets side by side, and one made of both.

use super::path::{Leaf, leaves, steps};
use super::set::{EditError, parsed, put, wrong};
use quantity::read::{Region, read};
use serde::Serialize;
use toml_edit::{Item, Value};

/// One value in which two sheets differ.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// Where it stands.
    pub path: String,
    /// In the first sheet; `None` where it has none.
    pub a: Option<String>,
    /// In the second sheet.
    pub b: Option<String>,
    /// Source and status in the first.
    pub a_source: Option<String>,
    /// Source and status in the second.
    pub b_source: Option<String>,
    /// True when both print the same quantity in other words or units, or only the source differs.
    pub agree: bool,
}

/// Two sheets made into one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Merged {
    /// The text of the first sheet with what was taken from the second.
    pub text: String,
    /// What was taken.
    pub taken: Vec<String>,
    /// Values both state differently and nobody chose: the first sheet's stand.
    pub conflicts: Vec<Difference>,
}

/// Where two sheets differ, in the order of the first.
///
/// # Errors
/// [`EditError`] for a text that is no TOML; the message says which.
pub fn compare(a: &str, b: &str) -> Result<Vec<Difference>, EditError> {
    let (a, b) = (document(a, "first")?, document(b, "second")?);
    let (a, b) = (leaves(a.as_table()), leaves(b.as_table()));
    let find = |all: &'_ [Leaf], path: &str| all.iter().position(|leaf| leaf.path == path);
    let mut found = Vec::new();
    for one in &a {
        match find(&b, &one.path).map(|at| &b[at]) {
            Some(other) if one.text == other.text && one.source == other.source => {}
            other => found.push(difference(Some(one), other)),
        }
    }
    found.extend(b.iter().filter(|leaf| find(&a, &leaf.path).is_none()).map(|leaf| difference(None, Some(leaf))));
    Ok(found)
}

fn document(text: &str, which: &str) -> Result<toml_edit::DocumentMut, EditError> {
    parsed(text).map_err(|why| wrong(format!("the {which} sheet: {}", why.what), why.hint))
}

fn difference(a: Option<&Leaf>, b: Option<&Leaf>) -> Difference {
    let source = |leaf: Option<&Leaf>| {
        leaf.and_then(|leaf| leaf.source.as_ref()).map(|(source, status)| format!("{source} ({status})"))
    };
    let agree = a.zip(b).is_some_and(|(a, b)| a.text == b.text || same_quantity(&a.text, &b.text));
    Difference {
        path: a.or(b).map(|leaf| leaf.path.clone()).unwrap_or_default(),
        a: a.map(|leaf| leaf.text.clone()),
        b: b.map(|leaf| leaf.text.clone()),
        a_source: source(a),
        b_source: source(b),
        agree,
    }
}

/// True when two prints say the same within the rounding of their digits.
fn same_quantity(a: &str, b: &str) -> bool {
    let first = |text: &str| read(text, Region::Us).ok().and_then(|r| r.readings.into_iter().next()).map(|p| p.text);
    let (Some(a), Some(b)) = (first(a), first(b)) else { return false };
    read(&format!("{a} ({b})"), Region::Us).is_ok_and(|both| both.agree)
}

/// Values that name a sheet; they are taken only when asked for by name.
const NAMES: [&str; 3] = ["format", "unit.id", "unit.name"];

/// The first sheet with what it lacks taken from the second, and with the second's value where `take` names the path or
/// `prefer_second` says so. Comments and order of the first sheet stay.
///
/// # Errors
/// [`EditError`] for a text that is no TOML, or a path in `take` in which the sheets do not differ.
pub fn merge(a: &str, b: &str, take: &[String], prefer_second: bool) -> Result<Merged, EditError> {
    merged(a, b, take, |difference| difference.a.is_none() || prefer_second)
}

/// The first sheet with the values that `take` names, and no others, from the second.
///
/// # Errors
/// As [`merge`].
pub fn take_over(a: &str, b: &str, take: &[String]) -> Result<Merged, EditError> {
    merged(a, b, take, |_| false)
}

fn merged(a: &str, b: &str, take: &[String], unasked: impl Fn(&Difference) -> bool) -> Result<Merged, EditError> {
    let differences = compare(a, b)?;
    if let Some(strange) = take.iter().find(|path| !differences.iter().any(|d| d.path == **path && d.b.is_some())) {
        return Err(wrong(format!("the sheets do not differ in “{strange}”"), "`sheet compare` lists where they do"));
    }
    let mut document = document(a, "first")?;
    let others = leaves(parsed(b)?.as_table());
    let (mut taken, mut conflicts) = (Vec::new(), Vec::new());
    for difference in differences.into_iter().filter(|d| d.b.is_some()) {
        let named = NAMES.contains(&difference.path.as_str());
        let wanted = take.contains(&difference.path) || (!named && unasked(&difference));
        let leaf = others.iter().find(|leaf| leaf.path == difference.path);
        match (wanted, leaf, steps(&difference.path)) {
            (true, Some(leaf), Some(steps)) => {
                put(document.as_table_mut(), &steps, value_of(&leaf.item))?;
                taken.push(difference.path);
            }
            _ if !named && !difference.agree => conflicts.push(difference),
            _ => {}
        }
    }
    Ok(Merged { text: document.to_string(), taken, conflicts })
}

/// A value that can stand behind a key, whatever form the other sheet gave it.
fn value_of(item: &Item) -> Value {
    match item.clone().into_value() {
        Ok(mut value) => {
            value.decor_mut().clear();
            value
        }
        Err(item) => item.to_string().into(),
    }
}
