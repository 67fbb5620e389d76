//! The text for the customer, as plain text and on paper.

use job::decide::Paragraph;

/// Widest line of the plain text, in characters.
const WIDTH: usize = 78;

/// The text as it is sent in a message or printed by a shell.
pub fn advice_text(paper: &[Paragraph]) -> String {
    let mut text = String::new();
    for (n, paragraph) in paper.iter().enumerate() {
        let heading = if n == 0 { paragraph.heading.to_uppercase() } else { paragraph.heading.clone() };
        text.push_str(&format!("{}{heading}\n", if n == 0 { "" } else { "\n" }));
        for line in &paragraph.lines {
            let mut mark = "- ";
            for line in wrapped(line) {
                text.push_str(&format!("{mark}{line}\n"));
                mark = "  ";
            }
        }
    }
    text
}

fn wrapped(text: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let room = lines.last().map_or(0, |line| line.chars().count()) + 1 + word.chars().count();
        match lines.last_mut() {
            Some(line) if line.is_empty() || room <= WIDTH - 2 => {
                line.push_str(if line.is_empty() { "" } else { " " });
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// The same on one sheet of paper.
///
/// # Errors
/// As the proof sheet.
pub fn advice_pdf(paper: &[Paragraph]) -> Result<Vec<u8>, report::ReportError> {
    let parts: Vec<(String, Vec<String>)> =
        paper.iter().map(|paragraph| (paragraph.heading.clone(), paragraph.lines.clone())).collect();
    report::advice_pdf(&parts)
}
