//! Finding a sheet: a path, the name of one kept in the workshop, or the name of a shipped one.

use std::io::Read;
use std::path::Path;

use sheet::{Severity, Sheet};

use super::workshop::{DataArgs, wait};
use crate::print::Fault;

/// The text of a sheet and what to call it. `-` is stdin.
pub fn text_of(given: &str) -> Result<(String, String), Fault> {
    text_in(given, &DataArgs { data: None, workshop: None })
}

/// The same, with the workshop named whose own sheets count.
fn text_in(given: &str, data: &DataArgs) -> Result<(String, String), Fault> {
    if given == "-" {
        return Ok(("stdin".to_owned(), limited("stdin", std::io::stdin().lock())?));
    }
    let path = Path::new(given);
    if !path.exists() {
        return match kept(given, data) {
            Some(text) => Ok((given.to_owned(), text)),
            None => shipped(given),
        };
    }
    if path.is_dir() {
        return Err(Fault::new(format!("{given} is a folder, not a unit sheet"), "name the sheet file inside it"));
    }
    let file = std::fs::File::open(path).map_err(|why| {
        Fault::new(format!("{given} cannot be read: {why}"), "check the path and the right to read it")
    })?;
    Ok((given.to_owned(), limited(given, file)?))
}

/// The latest version of a sheet kept in the workshop. A workshop that is not there yet is not made for it, and one that
/// cannot be opened has no say here: what is wrong with it is told where it is needed.
fn kept(name: &str, data: &DataArgs) -> Option<String> {
    data.path().ok().filter(|path| path.is_file())?;
    wait(async { Ok(data.open().await?.sheet_history(name).await?) }).ok()?.pop().map(|version| version.text)
}

fn shipped(given: &str) -> Result<(String, String), Fault> {
    let named = |file: &str| file == given || file.trim_end_matches(".toml") == given;
    let names: Vec<_> = sheet::shipped().iter().map(|(file, _)| file.trim_end_matches(".toml")).collect();
    sheet::shipped()
        .iter()
        .find(|(file, _)| named(file))
        .map(|(file, text)| ((*file).to_owned(), (*text).to_owned()))
        .ok_or_else(|| {
            Fault::new(
                format!("there is no sheet \"{given}\""),
                format!("give the path of a sheet file, or one of the shipped names: {}", names.join(", ")),
            )
        })
}

/// The text, no more of it than a sheet may have: one byte over the limit is enough for the check to say so.
fn limited(name: &str, from: impl Read) -> Result<String, Fault> {
    let mut bytes = Vec::new();
    from.take(sheet::LIMIT as u64 + 1).read_to_end(&mut bytes).map_err(|why| {
        Fault::new(format!("{name} cannot be read: {why}"), "check the path and the right to read it")
    })?;
    String::from_utf8(bytes).map_err(|why| {
        let before = &why.as_bytes()[..why.utf8_error().valid_up_to()];
        let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
        Fault::new(format!("{name}: line {line} is not UTF-8 text"), "save the sheet again as UTF-8 text")
    })
}

/// A sheet that can be planned from, with its text and its remaining findings.
pub fn sheet_of(given: &str) -> Result<(Sheet, String, Vec<sheet::Finding>), Fault> {
    sheet_in(given, &DataArgs { data: None, workshop: None })
}

/// The same, with the workshop named whose own sheets count.
pub fn sheet_in(given: &str, data: &DataArgs) -> Result<(Sheet, String, Vec<sheet::Finding>), Fault> {
    let (name, text) = text_in(given, data)?;
    let checked = sheet::check(&text);
    let errors = checked.findings.iter().filter(|finding| finding.severity == Severity::Error);
    match (checked.sheet, errors.clone().next()) {
        (Some(sheet), None) => Ok((sheet, text, checked.findings)),
        (_, first) => {
            let place = first.map_or_else(String::new, |f| format!(", the first in line {}: {}", f.line, f.message));
            Err(Fault::new(
                format!("{name} has {} error(s){place}", errors.count()),
                format!("`sumpwright check {given}` shows every finding with line and column"),
            ))
        }
    }
}
