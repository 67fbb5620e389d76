//! Files of temperature readings: CSV with a header.
//!
//! A line of column names, then one reading a line: `elapsed_s,temperature_c`; or `time` as RFC 3339; or
//! `temperature_f`; and, where it is read, `coolant_c` or `coolant_f`. Comma, semicolon or tab, found from the header; a decimal comma where the separator is not a comma;
//! lines that start with `#` are comments. Other columns are ignored. A line that cannot be used is skipped **with a
//! finding**, never in silence; a file that cannot be used is a [`ReadingsError`].
//!
//! ```
//! let file = link::readings::parse("bay 1.csv", "elapsed_s,temperature_c\n0,24.0\n10,--\n20,25.6\n")?;
//! assert_eq!(file.points.len(), 2);
//! assert_eq!((file.findings[0].line, file.findings[0].code), (3, "not_a_number"));
//! # Ok::<(), link::readings::ReadingsError>(())
//! ```

mod cell;
mod error;
mod header;

use std::io::{BufRead, Read};
use std::ops::RangeInclusive;

use quantity::Temperature;
use serde::Serialize;

use cell::TimeStyle;
pub use error::ReadingsError;
use header::{Header, Scale, TimeColumn, scale_named_in, shortened, split};

/// Bytes that are read at most (50 MB); a warm-up at ten readings a second is well below 1 MB.
pub const MAX_BYTES: u64 = 50_000_000;
/// Readings that are kept at most.
pub const MAX_READINGS: usize = 1_000_000;
/// Bytes of one line at most.
pub const MAX_LINE_BYTES: u64 = 65_536;
/// Findings that are kept at most; how many more there were is the last finding.
pub const MAX_FINDINGS: usize = 200;
/// Temperatures that a fluid in a vehicle can have, in °C. Outside it stands the code of a broken sensor, not a
/// temperature (common practice, no source).
pub const TEMPERATURE_C: RangeInclusive<f64> = -60.0..=300.0;
/// Elapsed times that make sense, in s: a hundred days either way.
pub const ELAPSED_S: RangeInclusive<f64> = -8.64e6..=8.64e6;

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Point {
    /// Seconds on the file's own axis; from the first reading when the file gives dates.
    pub elapsed_s: f64,
    /// The temperature as shown.
    #[serde(rename = "temperature_c")]
    pub temp: Temperature,
    /// The engine's coolant at the same moment, where the file has a column `coolant_c` or `coolant_f` and it can be read.
    #[serde(rename = "coolant_c", skip_serializing_if = "Option::is_none")]
    pub coolant: Option<Temperature>,
    /// Line of the file, counted from 1.
    pub line: usize,
}

/// Something about one line that whoever uses the readings has to know.
///
/// Codes: `missing_cell`, `blank`, `not_a_number`, `not_finite`, `out_of_range`, `bad_time`, `mixed_time`,
/// `duplicate_time`, `out_of_order`, `time_assumed`, `no_readings`, `more_findings`. They are permanent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// Line of the file, counted from 1.
    pub line: usize,
    /// Permanent code.
    pub code: &'static str,
    /// One sentence for people.
    pub message: String,
}

/// The readings of one file, in order of time, no two at the same time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingsFile {
    /// The readings.
    pub points: Vec<Point>,
    /// When `elapsed_s` is 0, in milliseconds since 1970-01-01 UTC, where the file gives dates.
    pub start: Option<i64>,
    /// What was skipped, reordered or assumed, in the order of the file.
    pub findings: Vec<Finding>,
}

/// The readings in a text or in bytes. `name` is what messages call it.
///
/// # Errors
/// As [`parse_reader`].
pub fn parse(name: &str, bytes: impl AsRef<[u8]>) -> Result<ReadingsFile, ReadingsError> {
    parse_reader(name, bytes.as_ref())
}

/// The readings in the file at a path; one above [`MAX_BYTES`] is refused unread.
///
/// # Errors
/// As [`parse_reader`], and [`ReadingsError::Unreadable`] when it cannot be opened.
pub fn parse_file(path: &std::path::Path) -> Result<ReadingsFile, ReadingsError> {
    let name = path.display().to_string();
    let unreadable = |source| ReadingsError::Unreadable { name: name.clone(), source };
    let file = std::fs::File::open(path).map_err(unreadable)?;
    if file.metadata().map_err(unreadable)?.len() > MAX_BYTES {
        return Err(too_large(&name));
    }
    parse_reader(&name, std::io::BufReader::new(file))
}

/// The readings in a stream. Reads line by line and stops at the first byte past [`MAX_BYTES`].
///
/// # Errors
/// When nothing can be made of the whole: empty, no header, a needed column missing or not settled, unit not stated,
/// not UTF-8, beyond one of the limits above, not readable. [`ReadingsError::hint`] says what to do.
pub fn parse_reader(name: &str, reader: impl BufRead) -> Result<ReadingsFile, ReadingsError> {
    let mut lines = Lines { name, reader, number: 0, read: 0, buffer: Vec::new() };
    let mut unit_in_comment = None;
    let (header, header_line) = loop {
        let Some((line, text)) = lines.next()? else { return Err(ReadingsError::Empty { name: name.into() }) };
        if let Some(comment) = text.strip_prefix('#') {
            unit_in_comment = unit_in_comment.or(scale_in_comment(comment));
        } else if !text.is_empty() {
            break (Header::find(name, line, text, unit_in_comment)?, line);
        }
    };
    let mut table = Table::new(&header);
    while let Some((line, text)) = lines.next()? {
        if text.is_empty() || text.starts_with('#') {
            continue;
        }
        if table.rows.len() == MAX_READINGS {
            return Err(ReadingsError::TooMany { name: name.into(), limit: MAX_READINGS });
        }
        table.add(line, text);
    }
    Ok(table.finished(header_line))
}

fn too_large(name: &str) -> ReadingsError {
    ReadingsError::TooLarge { name: name.into(), limit_mb: MAX_BYTES / 1_000_000 }
}

/// "unit: degC" → Celsius. Only a comment that speaks of a unit counts: "bay C" does not.
fn scale_in_comment(comment: &str) -> Option<Scale> {
    comment.to_lowercase().contains("unit").then(|| scale_named_in(comment)).flatten()
}

/// Lines of text with their number, within the limits.
struct Lines<'n, R> {
    name: &'n str,
    reader: R,
    number: usize,
    read: u64,
    buffer: Vec<u8>,
}

impl<R: BufRead> Lines<'_, R> {
    fn next(&mut self) -> Result<Option<(usize, &str)>, ReadingsError> {
        let name = || self.name.to_owned();
        self.buffer.clear();
        self.number += 1;
        let line = self.number;
        let read = (&mut self.reader)
            .take(MAX_LINE_BYTES + 1)
            .read_until(b'\n', &mut self.buffer)
            .map_err(|source| ReadingsError::Unreadable { name: name(), source })? as u64;
        self.read += read;
        if read == 0 {
            return Ok(None);
        }
        if self.read > MAX_BYTES {
            return Err(too_large(self.name));
        }
        if read > MAX_LINE_BYTES {
            return Err(ReadingsError::LineTooLong { name: name(), line, limit: MAX_LINE_BYTES });
        }
        match std::str::from_utf8(&self.buffer) {
            // A NUL is UTF-8 but no text: a file in UTF-16 or a binary one.
            Ok(text) if !text.contains('\0') => {
                let text = if line == 1 { text.trim_start_matches('\u{feff}') } else { text };
                Ok(Some((line, text.trim_end_matches(['\n', '\r']).trim_matches(' '))))
            }
            _ => Err(ReadingsError::NotText { name: name(), line }),
        }
    }
}

/// The lines below the header, as they turn into readings.
struct Table<'h> {
    header: &'h Header,
    style: Option<TimeStyle>,
    /// Seconds as written, temperature, coolant, line.
    rows: Vec<(f64, Temperature, Option<Temperature>, usize)>,
    latest: f64,
    findings: Vec<Finding>,
    findings_left_out: usize,
    last_line: usize,
}

impl<'h> Table<'h> {
    fn new(header: &'h Header) -> Self {
        Self {
            header,
            style: None,
            rows: Vec::new(),
            latest: f64::NEG_INFINITY,
            findings: Vec::new(),
            findings_left_out: 0,
            last_line: 0,
        }
    }

    fn note(&mut self, line: usize, code: &'static str, message: String) {
        if self.findings.len() < MAX_FINDINGS {
            self.findings.push(Finding { line, code, message });
        } else {
            self.findings_left_out += 1;
        }
    }

    fn add(&mut self, line: usize, text: &str) {
        self.last_line = line;
        let cells = |column| split(text, self.header.separator).nth(column);
        let (time_cell, temp_cell) = (cells(self.header.time.0), cells(self.header.temperature.0));
        let (Some(time_cell), Some(temp_cell)) = (time_cell, temp_cell) else {
            return self.note(
                line,
                "missing_cell",
                format!("fewer cells than the header names: “{}”", shortened(text)),
            );
        };
        match self.time(line, time_cell).and_then(|t| Ok((t, self.temperature(temp_cell, self.header.temperature.1)?)))
        {
            Ok((seconds, temp)) => {
                if seconds < self.latest {
                    self.note(
                        line,
                        "out_of_order",
                        format!("the time “{}” goes back; put in order", shortened(time_cell)),
                    );
                }
                self.latest = self.latest.max(seconds);
                // A coolant that cannot be read costs nothing but itself: it is a second opinion.
                let coolant =
                    self.header.coolant.and_then(|(column, scale)| self.temperature(cells(column)?, scale).ok());
                self.rows.push((seconds, temp, coolant, line));
            }
            Err((code, message)) => self.note(line, code, message),
        }
    }

    fn time(&mut self, line: usize, cell: &str) -> Result<f64, (&'static str, String)> {
        let comma = self.header.separator != ',';
        let bad = || ("bad_time", format!("“{}” is not a time; line skipped", shortened(cell)));
        let (seconds, absolute) = match self.header.time.1 {
            TimeColumn::Elapsed { seconds_per_unit } => {
                (cell::number(cell, comma).ok_or_else(bad)? * seconds_per_unit, false)
            }
            TimeColumn::Open => {
                let (style, seconds) = TimeStyle::of(cell, comma).ok_or_else(bad)?;
                match self.style {
                    None => self.settle(line, style),
                    Some(settled) if settled != style => {
                        return Err((
                            "mixed_time",
                            format!("the time “{}” is not written like the first one; line skipped", shortened(cell)),
                        ));
                    }
                    Some(_) => {}
                }
                (seconds, style.is_absolute())
            }
        };
        if !seconds.is_finite() || (!absolute && !ELAPSED_S.contains(&seconds)) {
            return Err(bad());
        }
        Ok(seconds)
    }

    fn settle(&mut self, line: usize, style: TimeStyle) {
        self.style = Some(style);
        let read_as = match style {
            TimeStyle::Instant => return,
            TimeStyle::Clock => "hours, minutes and seconds since the start",
            TimeStyle::Seconds => "seconds since the start",
            TimeStyle::UnixSeconds => "seconds since 1970-01-01 UTC",
            TimeStyle::UnixMilliseconds => "milliseconds since 1970-01-01 UTC",
        };
        self.note(line, "time_assumed", format!("the header does not say how the time is written; read as {read_as}"));
    }

    fn temperature(&self, cell: &str, scale: Scale) -> Result<Temperature, (&'static str, String)> {
        if cell.is_empty() {
            return Err(("blank", "no temperature on this line; line skipped".into()));
        }
        let shown = shortened(cell);
        let value = cell::number(cell, self.header.separator != ',')
            .ok_or_else(|| ("not_a_number", format!("the temperature “{shown}” is not a number; line skipped")))?;
        if !value.is_finite() {
            return Err(("not_finite", format!("the temperature “{shown}” is not finite; line skipped")));
        }
        let temp = match scale {
            Scale::Celsius => Temperature::from_celsius(value),
            Scale::Fahrenheit => Temperature::from_fahrenheit(value),
        };
        if !TEMPERATURE_C.contains(&temp.celsius()) {
            return Err(("out_of_range", format!("no fluid has {shown}: a sensor fault; line skipped")));
        }
        Ok(temp)
    }

    fn finished(mut self, header_line: usize) -> ReadingsFile {
        // Stable: of two readings at one time the one that stands first in the file stays first.
        let mut rows = std::mem::take(&mut self.rows);
        rows.sort_by(|a, b| a.0.total_cmp(&b.0));
        let absolute = self.style.is_some_and(TimeStyle::is_absolute);
        let origin = rows.first().filter(|_| absolute).map(|row| row.0);
        let mut points: Vec<Point> = Vec::with_capacity(rows.len());
        let mut previous = f64::NAN;
        for (seconds, temp, coolant, line) in rows {
            if seconds == previous {
                self.note(line, "duplicate_time", "a second reading at the same time; the first one is kept".into());
                continue;
            }
            previous = seconds;
            // Through whole milliseconds, so that 0.1 s apart in 2026 is 0.1 s here.
            let elapsed_s = origin.map_or(seconds, |start| ((seconds - start) * 1e3).round() / 1e3);
            points.push(Point { elapsed_s, temp, coolant, line });
        }
        if points.is_empty() {
            let line = self.last_line.max(header_line);
            // Past the cap on purpose: it is what the others amount to.
            self.findings.push(Finding { line, code: "no_readings", message: "not one line could be used".into() });
        }
        self.findings.sort_by_key(|f| f.line);
        if self.findings_left_out > 0 {
            let message = format!("{} more findings are not listed", self.findings_left_out);
            self.findings.push(Finding { line: self.last_line, code: "more_findings", message });
        }
        let start = origin.map(|s| (s * 1e3).round() as i64);
        ReadingsFile { points, start, findings: self.findings }
    }
}
