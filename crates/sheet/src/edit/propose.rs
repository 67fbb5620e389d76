//! Values proposed from a passage of a manual: what was found, where, and which key it seems to be. Nothing is taken by
//! itself; each proposal is confirmed by a person.

use super::path::{key_at, row_name};
use super::quantities::{Found, quantities};
use super::set::{EditError, parsed, set, wrong};
use crate::Severity;
use crate::check::place::places;
use crate::check::schema::Form;
use quantity::read::{Dimension, Region, read};
use serde::Serialize;

/// Longest passage that is read, in bytes.
pub const LONGEST_PASSAGE: usize = 30_000;
/// How far before and behind a quantity words are looked at, in bytes; a sentence or a line ends sooner.
const BEFORE: usize = 160;
const BEHIND: usize = 60;
/// How much of a sentence is quoted on each side, in bytes.
const SENTENCE: usize = 240;

/// One value found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Proposal {
    /// Number in the passage, from 1.
    pub number: usize,
    /// What is printed, letter for letter.
    pub printed: String,
    /// What it measures, in words.
    pub measures: String,
    /// The key it seems to be; `None` when no word near it says.
    pub path: Option<String>,
    /// Other keys that take such a quantity, likelier ones first.
    pub others: Vec<String>,
    /// Words near it that pointed to the key.
    pub because: Vec<String>,
    /// The sentence or line it stands in.
    pub sentence: String,
    /// Line in the passage, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is to be known about the reading of it; empty for nothing.
    pub note: String,
}

/// What a passage gave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Passage {
    /// Proposals in the order of the passage.
    pub proposals: Vec<Proposal>,
    /// What is wrong with the passage as a whole: permanent code, what, what to do.
    pub findings: Vec<(Severity, &'static str, String, String)>,
}

/// Words of one key, in every language together.
struct Cue {
    path: &'static str,
    dimension: Dimension,
    toward: Vec<&'static str>,
    away: Vec<&'static str>,
}

fn cues() -> Vec<Cue> {
    let rows =
        include_str!("../../data/cues.csv").lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty());
    let mut cues: Vec<Cue> = Vec::new();
    for line in rows {
        let mut cells = line.split(',');
        let Some((path, dimension)) = cells.next().and_then(|path| Some((path, dimension_at(path)?))) else { continue };
        let words = |cell: Option<&'static str>| {
            cell.unwrap_or_default().split('|').map(str::trim).filter(|w| !w.is_empty()).collect::<Vec<_>>()
        };
        let (toward, away) = (words(cells.next()), words(cells.next()));
        match cues.iter_mut().find(|cue| cue.path == path) {
            Some(cue) => {
                cue.toward.extend(toward);
                cue.away.extend(away);
            }
            None => cues.push(Cue { path, dimension, toward, away }),
        }
    }
    cues
}

/// What the value at a path measures.
fn dimension_at(path: &str) -> Option<Dimension> {
    let (Form::Sourced(bounds) | Form::Plain(bounds)) = key_at(path)?.form else { return None };
    read(&format!("1 {}", bounds.unit.sign), Region::Us).ok().map(|reading| reading.dimension)
}

/// Reads a passage. Never fails and never panics, whatever the text.
pub fn propose(passage: &str) -> Passage {
    if passage.len() > LONGEST_PASSAGE {
        let message = format!("The passage has {} bytes; at most {LONGEST_PASSAGE} are read.", passage.len());
        let hint = "Paste the paragraphs about level, capacity and torques only.".to_owned();
        return Passage { proposals: Vec::new(), findings: vec![(Severity::Error, "too-large", message, hint)] };
    }
    let found = quantities(passage);
    let at = places(passage, found.iter().map(|one| one.place.start));
    let cues = cues();
    let proposals: Vec<Proposal> =
        found.iter().zip(at).enumerate().map(|(n, (one, place))| proposal(passage, n + 1, one, place, &cues)).collect();
    let mut findings = Vec::new();
    let hint = "Paste the sentences as the manual prints them, with numbers and units: \"35 to 45 °C\", \"25 N·m\"."
        .to_owned();
    if proposals.is_empty() {
        let message = "Found nothing: no number with a unit stands in this passage.".to_owned();
        findings.push((Severity::Caution, "found-nothing", message, hint));
    } else if proposals.iter().all(|p| p.path.is_none()) {
        let message = "Quantities were found, but no word near them says what they are.".to_owned();
        findings.push((
            Severity::Caution,
            "found-no-key",
            message,
            "Choose the key of each yourself, or paste more of the sentence.".to_owned(),
        ));
    }
    Passage { proposals, findings }
}

fn proposal(passage: &str, number: usize, found: &Found, place: (usize, usize), cues: &[Cue]) -> Proposal {
    let (before, behind) = around(passage, found);
    let mut scored: Vec<(i64, Vec<String>, &Cue)> = cues
        .iter()
        .filter(|cue| cue.dimension == found.reading.dimension)
        .map(|cue| {
            let (score, because) = score(&before, &behind, cue);
            (score, because, cue)
        })
        .collect();
    scored.sort_by_key(|(score, _, _)| -score);
    // Two keys that are as likely are no proposal.
    let alone = scored.get(1).is_none_or(|second| scored[0].0 > second.0);
    let best = scored.first().filter(|(score, _, _)| *score > 0 && alone);
    let path = best.map(|(_, _, cue)| cue.path.to_owned());
    let others = scored.iter().map(|(_, _, cue)| cue.path.to_owned()).filter(|p| Some(p) != path.as_ref());
    Proposal {
        number,
        printed: passage[found.place.clone()].split_whitespace().collect::<Vec<_>>().join(" "),
        measures: found.reading.dimension.to_string(),
        others: others.collect(),
        because: best.map(|(_, because, _)| because.clone()).unwrap_or_default(),
        path,
        sentence: sentence(passage, found),
        line: place.0,
        column: place.1,
        note: found.reading.note.clone().unwrap_or_default(),
    }
}

/// A mark that ends a sentence or a line, going backwards or forwards.
fn ends(text: &str) -> impl Iterator<Item = usize> + '_ {
    let shortened = |at: usize| {
        let word = text[..at].rsplit(|c: char| !c.is_alphanumeric()).next().unwrap_or_default().to_lowercase();
        ["max", "min", "approx", "ca", "abt", "fig", "no", "bzw", "env", "máx", "mín", "aprox"].contains(&word.as_str())
    };
    let full_stop = text.match_indices(". ").map(|(at, _)| at).filter(move |at| !shortened(*at)).map(|at| at + 1);
    let others = text.match_indices(['\n', ';', '!', '?']).map(|(at, mark)| at + mark.len());
    full_stop.chain(others)
}

fn floor(text: &str, mut at: usize) -> usize {
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// The words before and behind the quantity in its own sentence, in small letters.
fn around(passage: &str, found: &Found) -> (String, String) {
    let from = floor(passage, found.place.start.saturating_sub(BEFORE));
    let before = &passage[from..found.place.start];
    let before = &before[ends(before).max().unwrap_or(0)..];
    let to = floor(passage, (found.place.end + BEHIND).min(passage.len()));
    let behind = &passage[found.place.end..to.max(found.place.end)];
    let behind = &behind[..ends(behind).min().unwrap_or(behind.len())];
    (before.to_lowercase(), behind.to_lowercase())
}

/// How strongly the words around point to a key: the nearer the word, the stronger, and a word before counts more than one
/// behind. A word that points away is as strong as one that points to it.
fn score(before: &str, behind: &str, cue: &Cue) -> (i64, Vec<String>) {
    let nearness = |word: &str| {
        let ahead = starts(before, word).max().map(|at| 200 - (before.len() - at) as i64);
        let after = starts(behind, word).min().map(|at| 90 - at as i64);
        ahead.into_iter().chain(after).max().map(|near| near.max(10))
    };
    let toward: Vec<(i64, &str)> = cue.toward.iter().filter_map(|word| Some((nearness(word)?, *word))).collect();
    let away = cue.away.iter().filter_map(|word| nearness(word)).max().unwrap_or(0);
    let Some(best) = toward.iter().map(|(near, _)| *near).max() else { return (0, Vec::new()) };
    let more = 15 * (toward.len() as i64 - 1);
    (best + more - away, toward.iter().map(|(_, word)| (*word).to_owned()).collect())
}

/// Where a word begins in a text, not inside another word.
fn starts<'a>(text: &'a str, word: &'a str) -> impl Iterator<Item = usize> + 'a {
    text.match_indices(word)
        .map(|(at, _)| at)
        .filter(|at| text[..*at].chars().next_back().is_none_or(|c| !c.is_alphanumeric()))
}

fn sentence(passage: &str, found: &Found) -> String {
    let reach = |at: usize| floor(passage, at.min(passage.len()));
    let from = reach(found.place.start.saturating_sub(SENTENCE));
    let from = from + ends(&passage[from..found.place.start]).max().unwrap_or(0);
    let behind = &passage[found.place.end..reach(found.place.end + SENTENCE)];
    let to = found.place.end + ends(behind).min().unwrap_or(behind.len());
    passage[from..to].split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The sheet with confirmed values in it, each as printed, with the source that the person named and the status "read".
///
/// # Errors
/// [`EditError`] for a path that the format does not have, an empty source, or a text that is no TOML.
pub fn take(text: &str, confirmed: &[(String, String)], source: &str) -> Result<String, EditError> {
    if source.trim().is_empty() {
        return Err(wrong("the values have no source", "name book and page: \"Service manual, page 12\""));
    }
    let mut text = text.to_owned();
    for (path, printed) in confirmed {
        let path = &by_role(&text, path)?;
        text = set(&text, path, printed)?;
        if key_at(path).is_some_and(|key| matches!(key.form, Form::Sourced(_))) {
            text = set(&text, &format!("{path}.source"), source)?;
            text = set(&text, &format!("{path}.status"), "read")?;
        }
    }
    Ok(text)
}

/// A plug named by its role is the plug of the sheet that has the role, whatever its id.
fn by_role(text: &str, path: &str) -> Result<String, EditError> {
    let Some((role, rest)) = path.strip_prefix("plug[").and_then(|rest| rest.split_once(']')) else {
        return Ok(path.to_owned());
    };
    let document = parsed(text)?;
    let plugs: Vec<&toml_edit::Table> = document
        .get("plug")
        .and_then(|list| list.as_array_of_tables())
        .into_iter()
        .flat_map(|list| list.iter())
        .collect();
    let names = |plug: &toml_edit::Table, n| row_name(plug, n);
    let has_role = |plug: &&toml_edit::Table| {
        let roles = plug.get("roles").and_then(|roles| roles.as_array());
        roles.is_some_and(|roles| roles.iter().any(|word| word.as_str() == Some(role)))
    };
    if plugs.iter().enumerate().any(|(n, plug)| names(plug, n) == role) {
        return Ok(path.to_owned());
    }
    match plugs.iter().enumerate().find(|(_, plug)| has_role(plug)) {
        Some((n, plug)) => Ok(format!("plug[{}]{rest}", names(plug, n))),
        None => Err(wrong(format!("the sheet has no {role} plug"), "add the plug to the sheet first")),
    }
}
