//! Reading a TOML document by the schema: every key looked up, every mistake noted with its place, none of them
//! stopping the walk.

use super::code::{self, Code};
use super::dimension::{self, Dimension, Printed, sentence};
use super::family::ROOT;
use super::schema::{Bounds, Form, Key, SOURCED, Sign, Table, WordList};
use super::suggest::nearest;
use crate::{Severity, Sourced, Status};
use quantity::Span;
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A finding before its line and column are known.
pub(super) struct Raw {
    pub(super) code: Code,
    pub(super) severity: Severity,
    pub(super) span: Option<Range<usize>>,
    pub(super) message: String,
    pub(super) hint: String,
}

/// A table of the document with its schema, its place and its name for messages.
pub(super) struct Section<'a> {
    table: &'a DeTable<'a>,
    schema: &'static Table,
    span: Option<Range<usize>>,
    title: String,
    path: String,
}

/// A value found under a key of the schema.
struct Found<'a> {
    key: &'static Key,
    value: &'a DeValue<'a>,
    span: Range<usize>,
    path: String,
}

/// The findings so far, and where each value stands.
#[derive(Default)]
pub(super) struct Walk {
    pub(super) findings: Vec<Raw>,
    spans: BTreeMap<String, Range<usize>>,
}

/// A piece of somebody's text, short and on one line.
pub(super) fn quoted(text: &str) -> String {
    let mut short: String = text.chars().take(48).flat_map(char::escape_debug).collect();
    if text.chars().nth(48).is_some() {
        short.push('…');
    }
    format!("\"{short}\"")
}

impl<'a> Section<'a> {
    pub(super) fn root(table: &'a DeTable<'a>) -> Self {
        Self { table, schema: &ROOT, span: None, title: "the sheet".into(), path: String::new() }
    }
    fn below(&self, found: &Found<'a>, table: &'a DeTable<'a>, schema: &'static Table) -> Self {
        let title = match found.key.form {
            Form::Tables(_) => format!("[[{}]]", schema.name),
            Form::Sourced(_) => format!("`{}`", found.key.name),
            _ => format!("[{}]", schema.name),
        };
        Self { table, schema, span: Some(found.span.clone()), title, path: found.path.clone() }
    }
    /// Where the table stands.
    pub(super) fn place(&self) -> Option<Range<usize>> {
        self.span.clone()
    }
    fn name_below(&self, table: &Table) -> String {
        // The tables of a circuit stand below it.
        let parent = self.path.split('.').next().filter(|first| *first == "circuit" && !self.path.contains("plug"));
        parent.map_or_else(|| table.name.to_owned(), |parent| format!("{parent}.{}", table.name))
    }
    /// The table below this one under a name, without looking at it again; `None` when it is not there.
    pub(super) fn below_if_there(&self, name: &str) -> Option<Section<'a>> {
        let (Form::Table(schema), DeValue::Table(table)) =
            (self.schema.key(name)?.form, self.table.get(name)?.get_ref())
        else {
            return None;
        };
        let span = self.table.get(name).map(Spanned::span);
        Some(Section { table, schema, span, title: format!("[{}]", schema.name), path: self.path(name) })
    }
    /// Where a key of the table stands, if it is there.
    pub(super) fn key_span(&self, name: &str) -> Option<Range<usize>> {
        self.table.get_key_value(name).map(|(key, _)| key.span())
    }
    /// True when the table does not have the key at all.
    pub(super) fn lacks(&self, name: &str) -> bool {
        self.table.get(name).is_none()
    }
    /// The path of a key, "plug.0.torque" for instance.
    pub(super) fn path(&self, name: &str) -> String {
        if self.path.is_empty() { name.to_owned() } else { format!("{}.{name}", self.path) }
    }
}

impl Walk {
    /// Notes a finding with the severity its code has.
    pub(super) fn note(&mut self, code: Code, span: Option<Range<usize>>, message: String, hint: impl Into<String>) {
        self.note_as(code.severity, code, span, message, hint);
    }

    /// Notes a finding with a severity of its own.
    pub(super) fn note_as(
        &mut self,
        severity: Severity,
        code: Code,
        span: Option<Range<usize>>,
        message: String,
        hint: impl Into<String>,
    ) {
        self.findings.push(Raw { code, severity, span, message, hint: hint.into() });
    }

    /// Where the value at a path stands.
    pub(super) fn span(&self, path: &str) -> Option<Range<usize>> {
        self.spans.get(path).cloned()
    }

    /// Notes every key of the document that the schema does not have.
    pub(super) fn unknown_keys(&mut self, section: &Section<'_>) {
        for key in section.table.keys().filter(|k| section.schema.key(k.get_ref()).is_none()) {
            let name = key.get_ref();
            let known = || section.schema.keys.iter().map(|k| k.name);
            let elsewhere = || {
                ROOT.keys.iter().filter_map(|k| match k.form {
                    Form::Table(t) | Form::Tables(t) if t.name != "circuit" => t.key(name).map(|_| t.name),
                    _ => None,
                })
            };
            let hint = match (nearest(name, known()), elsewhere().next()) {
                (Some(near), _) => format!("Did you mean `{near}`?"),
                (None, Some(table)) => format!("`{name}` belongs in [{table}]."),
                (None, None) => format!("Remove it, or use one of: {}.", known().collect::<Vec<_>>().join(", ")),
            };
            let message = sentence(&format!("{} has no key {}", section.title, quoted(name)));
            self.note(code::UNKNOWN_KEY, Some(key.span()), message, hint);
        }
    }

    fn found<'a>(&mut self, section: &Section<'a>, name: &str) -> Option<Found<'a>> {
        let key = section.schema.key(name)?;
        let path = section.path(name);
        let Some(value) = section.table.get(name) else {
            if key.required {
                self.missing(section, key, "");
            }
            return None;
        };
        self.spans.insert(path.clone(), value.span());
        Some(Found { key, value: value.get_ref(), span: value.span(), path })
    }

    fn missing(&mut self, section: &Section<'_>, key: &Key, why: &str) {
        let name = key.name;
        let message = format!("`{name}` is missing from {}: {}{why}.", section.title, key.about);
        let hint = match key.form {
            Form::Table(table) => format!("Add a table [{}].", section.name_below(table)),
            Form::Tables(table) => format!("Add one table [[{}]] for each.", section.name_below(table)),
            form => format!("Add a line such as: {name} = {}", form.toml(key.sample)),
        };
        self.note(code::MISSING, section.span.clone(), message, hint);
    }

    /// Notes a key as missing that this sheet needs though not every sheet does.
    pub(super) fn need(&mut self, section: &Section<'_>, name: &str, why: &str) {
        if let Some(key) = section.schema.key(name).filter(|_| section.lacks(name)) {
            self.missing(section, key, &format!("; {why}"));
        }
    }

    fn wrong_type(&mut self, found: &Found<'_>) {
        let is = match found.value {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) | DeValue::Float(_) => "a bare number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date or time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let key = found.key;
        let message = format!("`{}` is {is}; it must be {}.", key.name, key.form.name());
        let hint = match key.form {
            Form::Table(_) => format!("Write it once, as a table [{}].", key.name),
            Form::Tables(_) => format!("Write each as a table in double brackets: [[{}]].", key.name),
            form => format!("Write for instance: {} = {}", key.name, form.toml(key.sample)),
        };
        self.note(code::WRONG_TYPE, Some(found.span.clone()), message, hint);
    }

    fn empty(&mut self, found: &Found<'_>, span: Range<usize>) {
        let message = format!("`{}` is empty: {}.", found.key.name, found.key.about);
        self.note(code::EMPTY, Some(span), message, "Say what the manual says, or remove the key if it is not needed.");
    }

    fn text_of(&mut self, found: &Found<'_>, value: &DeValue<'_>, span: Range<usize>) -> Option<String> {
        let DeValue::String(text) = value else {
            self.wrong_type(&Found { key: found.key, value, span, path: String::new() });
            return None;
        };
        if text.trim().is_empty() {
            self.empty(found, span);
            return None;
        }
        Some(text.trim().to_owned())
    }

    /// A text.
    pub(super) fn text(&mut self, section: &Section<'_>, name: &str) -> Option<String> {
        let found = self.found(section, name)?;
        self.text_of(&found, found.value, found.span.clone())
    }

    /// A list of texts with their places. An optional list may be empty.
    fn list(&mut self, section: &Section<'_>, name: &str) -> Option<Vec<(String, Range<usize>)>> {
        let found = self.found(section, name)?;
        let DeValue::Array(items) = found.value else {
            self.wrong_type(&found);
            return None;
        };
        if items.is_empty() && found.key.required {
            self.empty(&found, found.span.clone());
            return None;
        }
        let texts: Vec<_> =
            items.iter().map(|item| Some((self.text_of(&found, item.get_ref(), item.span())?, item.span()))).collect();
        texts.into_iter().collect()
    }

    /// A list of texts.
    pub(super) fn texts(&mut self, section: &Section<'_>, name: &str) -> Option<Vec<String>> {
        Some(self.list(section, name)?.into_iter().map(|(text, _)| text).collect())
    }

    fn word_of<T>(
        &mut self,
        list: WordList,
        word: &str,
        span: Range<usize>,
        named: fn(&str) -> Option<T>,
    ) -> Option<T> {
        let known = named(word);
        if known.is_none() {
            let words = list.words();
            let hint = nearest(word, words.iter().copied()).map_or_else(
                || format!("Use one of: {}.", words.join(", ")),
                |near| format!("Did you mean \"{near}\"?"),
            );
            self.note(code::UNKNOWN_WORD, Some(span), format!("{} is not a word known here.", quoted(word)), hint);
        }
        known
    }

    /// One word of a closed list.
    pub(super) fn word<T>(&mut self, section: &Section<'_>, name: &str, named: fn(&str) -> Option<T>) -> Option<T> {
        let word = self.text(section, name)?;
        let Form::Word(list) = section.schema.key(name)?.form else { return None };
        let span = self.span(&section.path(name))?;
        self.word_of(list, &word, span, named)
    }

    /// Words of a closed list.
    pub(super) fn words<T>(
        &mut self,
        section: &Section<'_>,
        name: &str,
        named: fn(&str) -> Option<T>,
    ) -> Option<Vec<T>> {
        let list = self.list(section, name)?;
        let Form::Words(known) = section.schema.key(name)?.form else { return None };
        let words: Vec<_> = list.into_iter().map(|(word, span)| self.word_of(known, &word, span, named)).collect();
        words.into_iter().collect()
    }

    /// True or false.
    pub(super) fn flag(&mut self, section: &Section<'_>, name: &str) -> Option<bool> {
        let found = self.found(section, name)?;
        let flag = found.value.as_bool();
        if flag.is_none() {
            self.wrong_type(&found);
        }
        flag
    }

    /// A whole number.
    pub(super) fn whole(&mut self, section: &Section<'_>, name: &str) -> Option<i64> {
        let found = self.found(section, name)?;
        let DeValue::Integer(digits) = found.value else {
            self.wrong_type(&found);
            return None;
        };
        let number = i64::from_str_radix(digits.as_str(), digits.radix()).ok();
        if number.is_none() {
            self.out_of_range(&found, digits.as_str(), "a smaller number");
        }
        number
    }

    /// A bare number above the low bound of its key and at most the high one.
    pub(super) fn factor(&mut self, section: &Section<'_>, name: &str) -> Option<f64> {
        let found = self.found(section, name)?;
        let Form::Factor(low, high) = found.key.form else { return None };
        let number = match found.value {
            DeValue::Integer(digits) => {
                i64::from_str_radix(digits.as_str(), digits.radix()).map_or(f64::INFINITY, |n| n as f64)
            }
            DeValue::Float(digits) => digits.as_str().parse().unwrap_or(f64::NAN),
            _ => {
                self.wrong_type(&found);
                return None;
            }
        };
        if !number.is_finite() {
            let message = format!("`{name}` is not a finite number.");
            self.note(
                code::NOT_FINITE,
                Some(found.span),
                message,
                format!("Write a number, {} for instance.", found.key.sample),
            );
            return None;
        }
        if number <= low || number > high {
            self.out_of_range(&found, &number.to_string(), &format!("a number above {low} and at most {high}"));
            return None;
        }
        Some(number)
    }

    fn out_of_range(&mut self, found: &Found<'_>, number: &str, allowed: &str) {
        let message = format!("`{}` is {}: {}.", found.key.name, quoted(number), found.key.about);
        self.note(code::OUT_OF_RANGE, Some(found.span.clone()), message, format!("Write {allowed}."));
    }

    /// A table below this one.
    pub(super) fn table<'a>(&mut self, section: &Section<'a>, name: &str) -> Option<Section<'a>> {
        let found = self.found(section, name)?;
        let (Form::Table(schema), DeValue::Table(table)) = (found.key.form, found.value) else {
            self.wrong_type(&found);
            return None;
        };
        let below = section.below(&found, table, schema);
        self.unknown_keys(&below);
        Some(below)
    }

    /// The tables of a list of tables.
    pub(super) fn tables<'a>(&mut self, section: &Section<'a>, name: &str) -> Vec<Section<'a>> {
        let Some(found) = self.found(section, name) else { return Vec::new() };
        let (Form::Tables(schema), DeValue::Array(items)) = (found.key.form, found.value) else {
            self.wrong_type(&found);
            return Vec::new();
        };
        if items.is_empty() {
            self.empty(&found, found.span.clone());
        }
        let mut sections = Vec::new();
        for (n, item) in items.iter().enumerate() {
            let one =
                Found { key: found.key, value: item.get_ref(), span: item.span(), path: format!("{}.{n}", found.path) };
            let DeValue::Table(table) = one.value else {
                self.wrong_type(&one);
                continue;
            };
            let below = section.below(&one, table, schema);
            self.unknown_keys(&below);
            sections.push(below);
        }
        sections
    }

    /// A quantity as printed, without a source.
    pub(super) fn plain<T: Dimension>(&mut self, section: &Section<'_>, name: &str) -> Option<Span<T>> {
        let printed = self.text(section, name)?;
        let key = section.schema.key(name)?;
        let Form::Plain(bounds) = key.form else { return None };
        let span = self.span(&section.path(name));
        self.quantity(key, &bounds, &printed, span)
    }

    /// A quantity as printed, with its source and status.
    pub(super) fn sourced<T: Dimension>(&mut self, section: &Section<'_>, name: &str) -> Option<Sourced<Span<T>>> {
        let found = self.found(section, name)?;
        let Form::Sourced(bounds) = found.key.form else { return None };
        let table = match found.value {
            DeValue::Table(table) => table,
            DeValue::String(text) => {
                let hint = format!("Write {name} = {}", found.key.form.toml(text.trim()));
                self.note(code::NO_SOURCE, Some(found.span.clone()), format!("`{name}` has no source."), hint);
                self.quantity::<T>(found.key, &bounds, text, Some(found.span));
                return None;
            }
            _ => {
                self.wrong_type(&found);
                return None;
            }
        };
        let below = section.below(&found, table, &SOURCED);
        self.unknown_keys(&below);
        let printed = self.text(&below, "value");
        let value = printed.as_deref().and_then(|p| {
            let span = self.span(&below.path("value"));
            self.quantity(found.key, &bounds, p, span)
        });
        let status = self.word(&below, "status", Status::named);
        if status == Some(Status::FromMemory) {
            self.note_memory(&found, &bounds, printed.as_deref().unwrap_or_default(), self.span(&below.path("status")));
        }
        let source = self.source(&below, &found);
        Some(Sourced { value: value?, printed: printed?, source: source?, status: status? })
    }

    fn source(&mut self, below: &Section<'_>, found: &Found<'_>) -> Option<String> {
        let blank = match below.table.get("source").map(Spanned::get_ref) {
            None => true,
            Some(DeValue::String(text)) => text.trim().is_empty(),
            Some(_) => false,
        };
        if !blank {
            return self.text(below, "source");
        }
        let message = format!("`{}` has no source: nobody can check it.", found.key.name);
        let hint = "Add source = \"book and page\", or how the value was found.";
        let span = below.table.get("source").map_or(found.span.clone(), Spanned::span);
        self.note(code::NO_SOURCE, Some(span), message, hint);
        None
    }

    fn note_memory(&mut self, found: &Found<'_>, bounds: &Bounds, printed: &str, span: Option<Range<usize>>) {
        let (severity, what) = if bounds.guides {
            (Severity::Caution, "the work is done by it")
        } else {
            (Severity::Note, "it enters the computation")
        };
        let message = format!("`{}` = {} is from memory, and {what}.", found.key.name, quoted(printed));
        let hint = "Look it up before the work and change the status to \"read\".";
        self.note_as(severity, code::FROM_MEMORY, span, message, hint);
    }

    fn quantity<T: Dimension>(
        &mut self,
        key: &Key,
        bounds: &Bounds,
        printed: &str,
        span: Option<Range<usize>>,
    ) -> Option<Span<T>> {
        let Printed { value, agree, remark } = match dimension::printed::<T>(printed, bounds.sign) {
            Ok(read) => read,
            Err(fault) => {
                let message = format!("`{}` = {}: {}", key.name, quoted(printed), fault.message);
                self.note_as(Severity::Error, fault.code, span, message, fault.hint);
                return None;
            }
        };
        let (low, high) = (value.low.number() / bounds.unit.scale, value.high.number() / bounds.unit.scale);
        if !(low.is_finite() && high.is_finite()) {
            let message = format!("`{}` = {} is not a finite number.", key.name, quoted(printed));
            self.note(code::NOT_FINITE, span, message, format!("Write a number, {} for instance.", key.sample));
            return None;
        }
        if !agree {
            let why = sentence(&remark.unwrap_or_default());
            let message = format!("`{}` = {}: the printed units do not agree. {why}", key.name, quoted(printed));
            let hint = "The common part is used; find out which printed value is right and give only that one.";
            self.note(code::UNITS_DISAGREE, span.clone(), message, hint);
        } else if let Some(remark) = remark {
            let message = format!("`{}` = {}: {}", key.name, quoted(printed), sentence(&remark));
            self.note(code::ASSUMED, span.clone(), message, "Write it so that it can mean only one thing.");
        }
        // A limit upwards begins at zero and is judged by its far end.
        let least = if bounds.sign == Sign::UpTo && low == 0.0 { high } else { low };
        let fits = least > 0.0 || least == 0.0 && bounds.sign == Sign::NotNegative;
        if let Some(must) = bounds.sign.must_be().filter(|_| !fits) {
            let message = format!("`{}` = {} must be {must}: {}.", key.name, quoted(printed), key.about);
            self.note(code::NOT_POSITIVE, span, message, format!("Write a value {must}, {} for instance.", key.sample));
            return None;
        }
        if low < bounds.low || high > bounds.high {
            let unit = bounds.unit.sign;
            let message = format!(
                "`{}` = {} lies outside {} to {} {unit}, which is usual (common practice, no source).",
                key.name,
                quoted(printed),
                bounds.low,
                bounds.high
            );
            self.note(code::IMPLAUSIBLE, span, message, "Compare it with the source; if it really says so, leave it.");
        }
        Some(value)
    }
}
