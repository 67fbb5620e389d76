//! The rules of the house, each with its reason and how to mend what breaks it.

mod check_values;
mod docs;
mod edges;
mod licence;
mod metadata;
mod source;
mod style;

use std::process::Command;

use source::Source;

/// One rule broken in one place.
#[derive(Debug, PartialEq)]
pub struct Violation {
    /// `file:line`, or the name of a crate.
    place: String,
    what: String,
    why: &'static str,
    mend: &'static str,
    /// Shown, but fails nothing.
    only_warning: bool,
}

impl Violation {
    fn new(place: impl Into<String>, what: impl Into<String>, why: &'static str, mend: &'static str) -> Self {
        Self { place: place.into(), what: what.into(), why, mend, only_warning: false }
    }
}

/// Checks every rule over the files that git knows or would know.
pub fn check() -> Result<(), String> {
    let sources = sources()?;
    let metadata = metadata::Metadata::load()?;
    let mut found = Vec::new();
    for source in &sources {
        found.extend(style::words(source));
        found.extend(check_values::kept_to_tests(source));
        if source.path.ends_with(".rs") {
            found.extend(style::lengths(source));
            found.extend(style::unfinished(source));
            found.extend(style::test_names(source));
            found.extend(edges::pure_source(source));
            found.extend(docs::formulas(source));
        }
    }
    found.extend(docs::first_lines(&sources));
    found.extend(docs::formula_index(&sources));
    found.extend(docs::crate_list(&sources, &metadata.members()));
    found.extend(edges::between_crates(&metadata));
    found.extend(edges::pure_trees(&metadata));
    found.extend(licence::allowed(&metadata));
    report(&found)
}

fn report(found: &[Violation]) -> Result<(), String> {
    for v in found {
        let kind = if v.only_warning { "warning" } else { "broken" };
        println!("{}: {kind}: {}\n    why: {}\n    mend: {}", v.place, v.what, v.why, v.mend);
    }
    match found.iter().filter(|v| !v.only_warning).count() {
        0 => Ok(()),
        count => Err(format!("tidy: {count} broken")),
    }
}

fn sources() -> Result<Vec<Source>, String> {
    let root = crate::run::root();
    let mut git = Command::new("git");
    git.args(["ls-files", "-z", "--cached", "--others", "--exclude-standard"]).current_dir(&root);
    let listed = crate::run::printed(&mut git, "git ls-files")?;
    let mut sources = Vec::new();
    for path in listed.split('\0').filter(|path| !path.is_empty() && !path.ends_with(".lock")) {
        // A file that is gone or that is no text has nothing to check.
        if let Ok(text) = std::fs::read_to_string(root.join(path)) {
            sources.push(Source::new(path, &text));
        }
    }
    Ok(sources)
}

#[cfg(test)]
mod tests {
    use super::{Violation, report};

    #[test]
    fn hand_a_warning_fails_nothing() {
        let mut violation = Violation::new("a:1", "what", "why", "mend");
        assert!(report(std::slice::from_ref(&violation)).is_err());
        violation.only_warning = true;
        assert!(report(&[violation]).is_ok());
    }
}
