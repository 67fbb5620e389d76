//! Quantities in running text, each with its place.

use quantity::read::{Reading, Region, read};
use std::ops::Range;

/// Longest stretch of text that is taken for one quantity, in characters.
const LONGEST: usize = 48;

/// A quantity found.
#[derive(Debug, Clone)]
pub(super) struct Found {
    /// Where, in bytes.
    pub(super) place: Range<usize>,
    pub(super) reading: Reading,
}

/// Every quantity in the text, from left to right; of overlapping ones the longest that begins first.
pub(super) fn quantities(text: &str) -> Vec<Found> {
    let mut found: Vec<Found> = Vec::new();
    let mut at = 0;
    while let Some(start) = next_number(text, at) {
        match longest(text, start) {
            Some(one) => {
                at = one.place.end;
                found.push(one);
            }
            None => at = after_number(text, start),
        }
    }
    found
}

/// Where the next number begins: a digit that is no part of a word, with its sign.
fn next_number(text: &str, from: usize) -> Option<usize> {
    let mut before = text[..from].chars().next_back();
    for (at, letter) in text[from..].char_indices().map(|(at, letter)| (from + at, letter)) {
        let starts = letter.is_ascii_digit() || "½¼¾⅓⅔⅛".contains(letter);
        let apart = before.is_none_or(|b| !b.is_alphanumeric() && !matches!(b, '.' | ',' | '_'));
        if starts && apart {
            let sign = before.filter(|b| matches!(b, '-' | '−' | '±' | '≤' | '≥'));
            // A dash between two words or numbers is no sign.
            let signed = sign.filter(|s| text[..at - s.len_utf8()].chars().next_back().is_none_or(char::is_whitespace));
            return Some(at - signed.map_or(0, char::len_utf8));
        }
        before = Some(letter);
    }
    None
}

fn after_number(text: &str, start: usize) -> usize {
    let rest = text[start..].char_indices().skip(1);
    rest.map(|(at, letter)| (start + at, letter))
        .find(|(_, letter)| !letter.is_ascii_digit() && !matches!(letter, '.' | ','))
        .map_or(text.len(), |(at, _)| at)
}

fn longest(text: &str, start: usize) -> Option<Found> {
    let line = &text[start..];
    // A quantity does not reach over an empty line; a single line end is a blank.
    let line = &line[..line.find("\n\n").unwrap_or(line.len())];
    let mut ends: Vec<usize> = Vec::new();
    let mut letters = line.char_indices().take(LONGEST + 1).peekable();
    while let Some((at, letter)) = letters.next() {
        let end = at + letter.len_utf8();
        let next = letters.peek().map(|(_, next)| *next);
        let breaks = next.is_none_or(|next| !next.is_alphanumeric() || !letter.is_alphanumeric());
        if breaks && !letter.is_whitespace() {
            ends.push(end);
        }
    }
    let reading_of = |end: usize| {
        let piece = line[..end].replace('\n', " ");
        read(&piece, Region::Us).ok().filter(|reading| reading.part.is_some())
    };
    let (most, reading) = ends.iter().rev().find_map(|end| Some((*end, reading_of(*end)?)))?;
    // The reader passes over words such as "or" behind a quantity; they are no part of it.
    let values = |reading: &Reading| reading.readings.iter().map(|p| (p.low, p.high, p.unit)).collect::<Vec<_>>();
    let all = values(&reading);
    let least = ends.into_iter().find(|end| *end == most || reading_of(*end).is_some_and(|r| values(&r) == all));
    let end = least.unwrap_or(most);
    let open = line[..end].matches('(').count() > line[..end].matches(')').count();
    let end = if open && line[end..].starts_with(')') { end + 1 } else { end };
    Some(Found { place: start..start + end, reading: reading_of(end)? })
}
