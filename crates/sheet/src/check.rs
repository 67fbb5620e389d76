//! From text to a sheet and everything that is wrong with it.

mod build;
mod circuit;
mod code;
mod dimension;
mod document;
pub(crate) mod family;
mod form;
mod judge;
pub(crate) mod place;
mod rules;
pub(crate) mod schema;
mod suggest;
mod thread;
mod walk;

#[cfg(test)]
mod tests;

pub use code::{CODES, Code};
pub use document::keys_markdown;

use crate::{Checked, Finding, Severity};
use toml::de::DeTable;
use walk::{Raw, Walk};

/// Longest text looked at, in bytes.
pub const LIMIT: usize = 2_000_000;
/// Most findings listed; people fix the first ones first.
pub const MOST_FINDINGS: usize = 500;

/// Checks the text of a sheet: every mistake with its line and column, and the sheet itself if none is an error.
///
/// Never fails and never panics, whatever the text.
///
/// ```
/// let checked = sheet::check("format = 1\n[unit]\nnmae = \"Four\"");
/// let slip = checked.findings.iter().find(|f| f.code == "unknown-key").unwrap();
/// assert_eq!((slip.line, slip.column), (3, 1));
/// assert_eq!(slip.hint, "Did you mean `name`?");
/// assert!(checked.sheet.is_none());
/// ```
pub fn check(text: &str) -> Checked {
    let mut walk = Walk::default();
    let sheet = if text.len() > LIMIT {
        let message = format!("The text has {} bytes; a sheet has at most {LIMIT}.", text.len());
        walk.note(
            code::TOO_LARGE,
            None,
            message,
            "Check that this is a sheet: one kind of unit fits in a few kilobytes.",
        );
        None
    } else {
        let (document, broken) = DeTable::parse_recoverable(text);
        let sheet = build::sheet(&mut walk, document.get_ref());
        set_aside_broken_lines(&mut walk, text, &broken);
        sheet
    };
    let findings = listed(text, walk.findings);
    let sheet = sheet.filter(|_| findings.iter().all(|f| f.severity != Severity::Error));
    Checked { sheet, findings }
}

/// Notes the places that are not TOML, one a line, and drops whatever else was noted on those lines: nothing read
/// from a broken line can be trusted. The position of a missing key is the table's, which is a line of its own.
fn set_aside_broken_lines(walk: &mut Walk, text: &str, broken: &[toml::de::Error]) {
    let line_starts: Vec<usize> = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
    let line = |at: usize| line_starts.partition_point(|start| *start <= at);
    let mut lines = std::collections::BTreeSet::new();
    let mut found = Vec::new();
    for error in broken {
        let at = error.span().unwrap_or(0..0);
        if lines.insert(line(at.start)) && found.len() <= MOST_FINDINGS {
            found.push((at, error.message()));
        }
    }
    walk.findings
        .retain(|f| f.code == code::MISSING || f.span.as_ref().is_none_or(|s| !lines.contains(&line(s.start))));
    for (at, message) in found {
        let message = format!("This is not TOML: {message}.");
        let hint = "Texts stand in quotes, tables in [brackets], each key once in its table.";
        walk.note(code::BROKEN_TOML, Some(at), message, hint);
    }
}

/// Findings in the order of their place, with line and column, and no more than anyone would read.
fn listed(text: &str, mut found: Vec<Raw>) -> Vec<Finding> {
    found.sort_by_key(|f| (f.span.as_ref().map_or(0, |s| s.start), f.severity));
    if found.len() > MOST_FINDINGS {
        let left_out = found.split_off(MOST_FINDINGS);
        let gravest = left_out.iter().map(|f| f.severity).min().unwrap_or(Severity::Error);
        let message = format!("{} more findings are not listed.", left_out.len());
        found.push(Raw {
            code: code::TOO_MANY,
            severity: gravest,
            span: found.last().and_then(|f| f.span.clone()),
            message,
            hint: "Put the first ones right and check again.".into(),
        });
    }
    let starts = found.iter().map(|f| f.span.as_ref().map_or(0, |s| s.start));
    let places = place::places(text, starts);
    found
        .into_iter()
        .zip(places)
        .map(|(raw, (line, column))| Finding {
            severity: raw.severity,
            code: raw.code.name,
            message: on_one_line(&raw.message),
            hint: on_one_line(&raw.hint),
            line,
            column,
            span: raw.span,
        })
        .collect()
}

/// A finding may name a piece of somebody's text, and that may hold anything.
fn on_one_line(text: &str) -> String {
    text.chars().flat_map(|c| if c.is_control() { c.escape_debug().collect() } else { vec![c] }).collect()
}
