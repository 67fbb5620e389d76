//! The line of column names: which separator, which columns, which units.

use super::ReadingsError;

/// How the time column is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum TimeColumn {
    /// A number; this many seconds each.
    Elapsed { seconds_per_unit: f64 },
    /// The name leaves it open: RFC 3339, hours:minutes:seconds, seconds, or a count since 1970.
    Open,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Scale {
    Celsius,
    Fahrenheit,
}

/// What the header settles for every line below it.
#[derive(Debug)]
pub(super) struct Header {
    pub separator: char,
    pub time: (usize, TimeColumn),
    pub temperature: (usize, Scale),
    /// `coolant_c` or `coolant_f`, where there is one.
    pub coolant: Option<(usize, Scale)>,
}

/// Names of a column of elapsed time, and seconds per unit.
const ELAPSED: &[(&str, f64)] = &[
    ("elapsed_s", 1.0),
    ("elapsed", 1.0),
    ("elapsed_ms", 1e-3),
    ("elapsed_min", 60.0),
    ("time_s", 1.0),
    ("time_ms", 1e-3),
    ("time_min", 60.0),
    ("t_s", 1.0),
    ("seconds", 1.0),
    ("zeit_s", 1.0),
];
/// Names that do not say how the time is written.
const OPEN_TIME: &[&str] = &["time", "timestamp", "datetime", "ts", "t", "zeit"];

impl Header {
    pub(super) fn find(
        name: &str,
        line: usize,
        text: &str,
        unit_in_comment: Option<Scale>,
    ) -> Result<Self, ReadingsError> {
        let separator = separator(text);
        let cells: Vec<String> = split(text, separator).map(str::to_owned).collect();
        if cells.iter().all(|cell| super::cell::number(cell, true).is_some() || cell.is_empty()) {
            return Err(ReadingsError::NoHeader { name: name.into(), line, found: shortened(text) });
        }
        let time = time_column(name, line, &cells)?;
        let temperature = temperature_column(name, line, &cells, unit_in_comment)?;
        let coolant = [("coolant_c", Scale::Celsius), ("coolant_f", Scale::Fahrenheit)]
            .iter()
            .find_map(|(known, scale)| Some((cells.iter().position(|c| plain_name(c) == *known)?, *scale)));
        Ok(Self { separator, time, temperature, coolant })
    }
}

/// The one of `; tab ,` that stands most often in the header; comma when none does.
fn separator(text: &str) -> char {
    let mut best = (0, ',');
    for mark in [';', '\t', ','] {
        let count = text.matches(mark).count();
        if count > best.0 {
            best = (count, mark);
        }
    }
    best.1
}

/// The cells of a line, trimmed and unquoted. A separator inside quotation marks does not separate.
pub(super) fn split(text: &str, separator: char) -> impl Iterator<Item = &str> {
    let mut quoted = false;
    text.split(move |c| {
        quoted ^= c == '"';
        c == separator && !quoted
    })
    .map(|cell| cell.trim().trim_matches('"').trim())
}

fn time_column(name: &str, line: usize, cells: &[String]) -> Result<(usize, TimeColumn), ReadingsError> {
    let plain: Vec<String> = cells.iter().map(|c| plain_name(c)).collect();
    for (known, seconds_per_unit) in ELAPSED {
        if let Some(i) = plain.iter().position(|c| c == known) {
            return Ok((i, TimeColumn::Elapsed { seconds_per_unit: *seconds_per_unit }));
        }
    }
    let open = |i: usize| OPEN_TIME.contains(&plain[i].as_str()) && !is_capital_t(&cells[i]);
    let found: Vec<usize> = (0..cells.len()).filter(|i| open(*i)).collect();
    match found.as_slice() {
        [] => Err(ReadingsError::MissingColumn { name: name.into(), line, wanted: "time", found: listed(cells) }),
        [one] => Ok((*one, TimeColumn::Open)),
        several => match several.iter().find(|i| plain[**i] == "time") {
            Some(i) => Ok((*i, TimeColumn::Open)),
            None => Err(ReadingsError::AmbiguousColumn {
                name: name.into(),
                line,
                wanted: "time",
                found: listed(several.iter().map(|i| &cells[*i])),
            }),
        },
    }
}

fn temperature_column(
    name: &str,
    line: usize,
    cells: &[String],
    unit_in_comment: Option<Scale>,
) -> Result<(usize, Scale), ReadingsError> {
    for (known, scale) in [("temperature_c", Scale::Celsius), ("temperature_f", Scale::Fahrenheit)] {
        if let Some(i) = cells.iter().position(|c| plain_name(c) == known) {
            return Ok((i, scale));
        }
    }
    let found: Vec<usize> =
        (0..cells.len()).filter(|i| is_capital_t(&cells[*i]) || plain_name(&cells[*i]).contains("temp")).collect();
    match found.as_slice() {
        [] => {
            Err(ReadingsError::MissingColumn { name: name.into(), line, wanted: "temperature", found: listed(cells) })
        }
        [one] => match scale_named_in(&cells[*one]).or(unit_in_comment) {
            Some(scale) => Ok((*one, scale)),
            None => Err(ReadingsError::UnitNotStated { name: name.into(), line, column: cells[*one].clone() }),
        },
        several => Err(ReadingsError::AmbiguousColumn {
            name: name.into(),
            line,
            wanted: "temperature",
            found: listed(several.iter().map(|i| &cells[*i])),
        }),
    }
}

/// "T" or "T [°C]": a temperature to whoever writes "t" for the time.
fn is_capital_t(cell: &str) -> bool {
    cell.starts_with('T') && (cell == "T" || plain_name(cell).starts_with("t_") && scale_named_in(cell).is_some())
}

/// Lower case, with everything but letters and digits as one underscore: "Temperature [degF]" → "temperature_degf".
fn plain_name(cell: &str) -> String {
    let mut plain = String::new();
    for c in cell.chars().flat_map(char::to_lowercase) {
        if c.is_alphanumeric() {
            plain.push(c);
        } else if !plain.is_empty() && !plain.ends_with('_') {
            plain.push('_');
        }
    }
    plain.trim_end_matches('_').to_owned()
}

/// The unit that a column name or a comment states, if it states exactly one.
pub(super) fn scale_named_in(text: &str) -> Option<Scale> {
    let mut found = None;
    for word in plain_name(text).split('_') {
        let scale = match word {
            "c" | "degc" | "celsius" | "cel" => Scale::Celsius,
            "f" | "degf" | "fahrenheit" => Scale::Fahrenheit,
            _ => continue,
        };
        if found.is_some_and(|f| f != scale) {
            return None;
        }
        found = Some(scale);
    }
    found
}

fn listed<S: AsRef<str>>(cells: impl IntoIterator<Item = S>) -> String {
    shortened(&cells.into_iter().map(|c| format!("“{}”", c.as_ref())).collect::<Vec<_>>().join(", "))
}

/// At most 120 characters, so that a message stays readable whatever the file holds.
pub(super) fn shortened(text: &str) -> String {
    match text.char_indices().nth(120) {
        Some((cut, _)) => format!("{}…", &text[..cut]),
        None => text.to_owned(),
    }
}
