//! Tests of the sheet format from outside.

mod broken;
mod document;
mod edit;
mod families;
mod mistakes;
mod shipped;
mod slips;

/// The codes found on each line, in order.
fn lines_and_codes(text: &str) -> Vec<(usize, &'static str)> {
    sheet::check(text).findings.iter().map(|f| (f.line, f.code)).collect()
}

/// The text of a shipped sheet by its name without the ending.
fn shipped(name: &str) -> &'static str {
    let found = sheet::shipped().iter().find(|(file, _)| file.strip_suffix(".toml") == Some(name));
    found.map(|(_, text)| *text).unwrap_or_else(|| panic!("{name} is not shipped"))
}

/// The text of a shipped sheet with one piece replaced.
fn shipped_with(name: &str, from: &str, to: &str) -> String {
    let text = shipped(name);
    assert_eq!(text.matches(from).count(), 1, "{from:?} must stand in the sheet once");
    text.replace(from, to)
}

/// The text of the first shipped sheet, which has no findings, with one piece replaced.
fn keld_with(from: &str, to: &str) -> String {
    shipped_with("keld-o6", from, to)
}

/// An order of two steps as a sheet asks for it.
fn rule(step: &str, after: &str) -> String {
    format!("[[step]]\nstep = \"{step}\"\nafter = [\"{after}\"]\nwhy = \"the manual says so\"\n\n")
}
