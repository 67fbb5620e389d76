//! Tests of the sheet format from outside.

mod broken;
mod document;
mod mistakes;
mod shipped;
mod slips;

/// The codes found on each line, in order.
fn lines_and_codes(text: &str) -> Vec<(usize, &'static str)> {
    sheet::check(text).findings.iter().map(|f| (f.line, f.code)).collect()
}

/// The text of the first shipped sheet, which has no findings, with one piece replaced.
fn keld_with(from: &str, to: &str) -> String {
    let (_, text) = sheet::shipped()[0];
    assert_eq!(text.matches(from).count(), 1, "{from:?} must stand in the sheet once");
    text.replace(from, to)
}
