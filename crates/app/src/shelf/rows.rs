//! From text to rows of words with their lines: TOML tables, or a table with commas.

use std::collections::BTreeMap;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::{ShelfFinding, ShelfKind};

/// One table or one line: its kind, its line, its words by key with the line of each.
pub(super) struct Entry {
    pub kind: String,
    pub line: usize,
    pub cells: BTreeMap<String, (String, usize)>,
}

/// A list as words.
#[derive(Default)]
pub(super) struct Rows {
    pub currency: String,
    pub entries: Vec<Entry>,
}

pub(super) fn rows(kind: ShelfKind, text: &str) -> (Rows, Vec<ShelfFinding>) {
    let mut findings = Vec::new();
    let first = text.lines().map(str::trim).find(|line| !line.is_empty() && !line.starts_with('#')).unwrap_or_default();
    let comma = kind == ShelfKind::Prices && !first.starts_with('[') && !first.contains('=');
    let rows = if comma { from_csv(kind, text, &mut findings) } else { from_toml(kind, text, &mut findings) };
    (rows, findings)
}

fn finding(list: ShelfKind, line: usize, message: String, hint: &str) -> ShelfFinding {
    ShelfFinding { list, line, message, hint: hint.to_owned() }
}

fn line_of(text: &str, at: usize) -> usize {
    1 + text.as_bytes().iter().take(at).filter(|byte| **byte == b'\n').count()
}

fn from_toml(kind: ShelfKind, text: &str, findings: &mut Vec<ShelfFinding>) -> Rows {
    let mut rows = Rows::default();
    let table = match DeTable::parse(text) {
        Ok(table) => table.into_inner(),
        Err(why) => {
            let line = why.span().map_or(1, |span| line_of(text, span.start));
            let message = why.message().replace('\n', "; ");
            findings.push(finding(kind, line, message, "Look at the quotes and brackets of this line."));
            return rows;
        }
    };
    for (name, value) in &table {
        let line = line_of(text, name.span().start);
        match (name.get_ref().as_ref(), value.get_ref()) {
            ("currency", value) => match words(value) {
                Some(currency) => rows.currency = currency,
                None => findings.push(finding(kind, line, "currency is no text".to_owned(), "currency = \"EUR\"")),
            },
            (name, DeValue::Array(tables)) if kind.tables().contains(&name) => {
                for one in tables.iter() {
                    entry(kind, text, name, one, &mut rows, findings);
                }
            }
            (name, _) => {
                let known: Vec<String> = kind.tables().iter().map(|table| format!("[[{table}]]")).collect();
                let hint = format!("This list takes currency and {}.", known.join(", "));
                findings.push(finding(kind, line, format!("“{name}” does not belong here"), &hint));
            }
        }
    }
    rows.entries.sort_by_key(|entry| entry.line);
    rows
}

fn entry(
    list: ShelfKind,
    text: &str,
    name: &str,
    one: &Spanned<DeValue<'_>>,
    rows: &mut Rows,
    findings: &mut Vec<ShelfFinding>,
) {
    let line = line_of(text, one.span().start);
    let DeValue::Table(table) = one.get_ref() else {
        let hint = format!("Write [[{name}]] above its lines.");
        findings.push(finding(list, line, format!("“{name}” is no table"), &hint));
        return;
    };
    let mut cells = BTreeMap::new();
    for (key, value) in table {
        let at = line_of(text, value.span().start);
        match words(value.get_ref()) {
            Some(words) => {
                cells.insert(key.get_ref().to_string(), (words, at));
            }
            None => {
                let message = format!("{} is neither a text, a number nor yes or no", key.get_ref());
                findings.push(finding(list, at, message, "Write it in quotes."));
            }
        }
    }
    rows.entries.push(Entry { kind: name.to_owned(), line, cells });
}

/// A value as words; a list of texts becomes one text with bars between.
fn words(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::String(text) => Some(text.to_string()),
        DeValue::Integer(number) => Some(number.to_string()),
        DeValue::Float(number) => Some(number.to_string()),
        DeValue::Boolean(yes) => Some(if *yes { "yes" } else { "no" }.to_owned()),
        DeValue::Datetime(day) => Some(day.to_string()),
        DeValue::Array(list) => {
            let all: Option<Vec<String>> = list.iter().map(|one| words(one.get_ref())).collect();
            Some(all?.join("|"))
        }
        DeValue::Table(_) => None,
    }
}

fn from_csv(kind: ShelfKind, text: &str, findings: &mut Vec<ShelfFinding>) -> Rows {
    let mut rows = Rows::default();
    let mut head: Option<(char, Vec<String>)> = None;
    for (number, line) in text.lines().enumerate() {
        let (line, number) = (line.trim().trim_start_matches('\u{feff}'), number + 1);
        if let Some(remark) = line.strip_prefix('#') {
            if let Some((_, currency)) = remark.split_once(':').filter(|(name, _)| name.trim() == "currency") {
                rows.currency = currency.trim().to_owned();
            }
            continue;
        }
        if line.is_empty() {
            continue;
        }
        let Some((mark, names)) = &head else {
            let mark = [';', '\t', ','].into_iter().find(|mark| line.contains(*mark)).unwrap_or(',');
            let names: Vec<String> = split(line, mark).iter().map(|name| name.to_lowercase()).collect();
            for needed in ["name", "size", "price"] {
                if !names.iter().any(|name| name == needed) {
                    let hint = "The first line names the columns: name, size, price, fluid.";
                    findings.push(finding(kind, number, format!("there is no column “{needed}”"), hint));
                }
            }
            if !findings.is_empty() {
                return rows;
            }
            head = Some((mark, names));
            continue;
        };
        let cells = split(line, *mark);
        if cells.len() > names.len() {
            let message = format!("{} cells under {} columns", cells.len(), names.len());
            findings.push(finding(kind, number, message, "Put a text with a comma in it in quotes."));
            continue;
        }
        let cells = names.iter().zip(cells).filter(|(_, cell)| !cell.is_empty());
        let cells = cells.map(|(name, cell)| (name.clone(), (cell, number))).collect();
        rows.entries.push(Entry { kind: "can".to_owned(), line: number, cells });
    }
    rows
}

/// The cells of a line; a mark inside quotes belongs to the cell, two quotes are one.
fn split(line: &str, mark: char) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    let mut letters = line.chars().peekable();
    while let Some(letter) = letters.next() {
        match (letter, cells.last_mut()) {
            ('"', Some(cell)) if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                cell.push('"');
            }
            ('"', _) => quoted = !quoted,
            (letter, _) if letter == mark && !quoted => cells.push(String::new()),
            (letter, Some(cell)) => cell.push(letter),
            (_, None) => {}
        }
    }
    cells.iter().map(|cell| cell.trim().to_owned()).collect()
}
