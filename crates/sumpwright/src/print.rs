//! Printing: one answer on stdout, one fault on stderr, and the exit codes.

use std::io::Write;
use std::process::ExitCode;

use quantity::print::Units;
use quantity::{Uncertain, Volume};
use serde_json::Value;

/// Widest line of text for people, in characters.
pub const WIDTH: usize = 96;

/// What a command has to say, for people and for scripts.
#[derive(Debug)]
pub struct Answer {
    /// For people.
    pub text: String,
    /// For scripts: the whole answer as one document.
    pub json: Value,
    /// True for findings, a refusal by a gate, or a conflict: exit code 1.
    pub objection: bool,
}

impl Answer {
    /// An answer without an objection.
    pub fn new(text: impl Into<String>, json: Value) -> Self {
        Self { text: text.into(), json, objection: false }
    }

    /// The same, objecting if there is something to object to.
    pub fn objecting(self, objection: bool) -> Self {
        Self { objection, ..self }
    }
}

/// Why a command did nothing, and what to do about it: exit code 2.
#[derive(Debug)]
pub struct Fault {
    /// What, where and why.
    pub message: String,
    /// What to do.
    pub hint: String,
}

impl Fault {
    /// A fault by its two sentences.
    pub fn new(message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { message: message.into(), hint: hint.into() }
    }
}

impl From<app::AppError> for Fault {
    fn from(error: app::AppError) -> Self {
        Self::new(error.to_string(), error.hint())
    }
}

impl From<physics::PhysicsError> for Fault {
    fn from(error: physics::PhysicsError) -> Self {
        Self::new(error.to_string(), "check the figure and its unit")
    }
}

impl From<link::readings::ReadingsError> for Fault {
    fn from(error: link::readings::ReadingsError) -> Self {
        Self::new(error.to_string(), error.hint())
    }
}

impl From<job::words::WordsError> for Fault {
    fn from(error: job::words::WordsError) -> Self {
        Self::new(error.what, error.hint)
    }
}

/// Prints an answer or a fault and gives the exit code.
pub fn finish(result: Result<Answer, Fault>, json: bool) -> ExitCode {
    match result {
        Ok(answer) => {
            // A server has said its one document while it ran.
            let text = match (json, &answer.json) {
                (true, Value::Null) => String::new(),
                (true, document) => format!("{document:#}\n"),
                (false, _) => shown(&ended(answer.text)),
            };
            written(&text, if answer.objection { 1 } else { 0 })
        }
        Err(fault) => fail(&fault),
    }
}

/// Prints a text as it is.
pub fn text(text: &str) -> ExitCode {
    written(text, 0)
}

/// Text for a terminal. What people typed into names and notes must not steer it: a control character is shown as its picture
/// (Unicode, Control Pictures, U+2400), others as a mark.
fn shown(text: &str) -> String {
    let letter = |letter: char| match letter {
        '\n' | '\t' => letter,
        '\u{0}'..='\u{1f}' => char::from_u32(0x2400 + u32::from(letter)).unwrap_or('\u{fffd}'),
        '\u{7f}'..='\u{9f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => '\u{fffd}',
        _ => letter,
    };
    text.chars().map(letter).collect()
}

fn ended(mut text: String) -> String {
    if !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
    text
}

fn written(text: &str, code: u8) -> ExitCode {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => ExitCode::from(code),
        // Whoever read has read enough.
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => fail(&Fault::new(format!("stdout cannot be written: {error}"), "check where the output goes")),
    }
}

fn fail(fault: &Fault) -> ExitCode {
    let hint = if fault.hint.is_empty() { "`sumpwright help` lists what there is" } else { &fault.hint };
    // Nobody may be listening on stderr either; the exit code still tells.
    let _ = writeln!(std::io::stderr(), "{}", shown(&format!("error: {}\nhint: {hint}", fault.message.trim_end())));
    ExitCode::from(2)
}

/// A volume with its expanded uncertainty, which should hold about 95 times in 100: what people take "±" for.
pub fn expanded(volume: Uncertain<Volume>, units: Units) -> String {
    let wide = Uncertain::new(volume.value, volume.u * 2.0);
    format!("{} (k = 2)", quantity::print::volume_uncertain(wide, units))
}

/// Characters a text takes on a line.
pub fn width(text: &str) -> usize {
    text.chars().count()
}

fn padded(text: &str, to: usize, right: bool) -> String {
    let blank = " ".repeat(to.saturating_sub(width(text)));
    if right { blank + text } else { text.to_owned() + &blank }
}

/// Labels and values in two columns; a value too long for its line goes on below itself.
pub fn rows<L: AsRef<str>, V: AsRef<str>>(rows: &[(L, V)]) -> String {
    let left = rows.iter().map(|row| width(row.0.as_ref())).max().unwrap_or(0) + 2;
    let mut text = String::new();
    for (label, value) in rows {
        let mut label = label.as_ref();
        for line in wrapped(value.as_ref(), WIDTH.saturating_sub(left)) {
            text.push_str(format!("{}{line}", padded(label, left, false)).trim_end());
            text.push('\n');
            label = "";
        }
    }
    text
}

/// A table with a head; columns whose head begins with a blank are set to the right.
pub fn table(head: &[&str], body: &[Vec<String>]) -> String {
    let columns = head.len();
    let cell = |row: &Vec<String>, at: usize| row.get(at).cloned().unwrap_or_default();
    let widths: Vec<usize> = (0..columns)
        .map(|at| body.iter().map(|row| width(&cell(row, at))).max().unwrap_or(0).max(width(head[at].trim())))
        .collect();
    let line = |cells: &dyn Fn(usize) -> String| {
        let set = |at: usize| padded(cells(at).trim_end(), widths[at], head[at].starts_with(' '));
        (0..columns).map(set).collect::<Vec<_>>().join("  ").trim_end().to_owned() + "\n"
    };
    let mut text = line(&|at| head[at].trim().to_owned());
    for row in body {
        text.push_str(&line(&|at| cell(row, at)));
    }
    text
}

/// Lines of at most so many characters, broken at blanks; an empty text is one empty line.
pub fn wrapped(text: &str, to: usize) -> Vec<String> {
    let mut lines = Vec::new();
    for paragraph in text.split('\n') {
        let mut line = String::new();
        for word in paragraph.split(' ') {
            if !line.is_empty() && width(&line) + 1 + width(word) > to {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        lines.push(line);
    }
    lines
}

/// A heading with a list of sentences below it; nothing for no sentences.
pub fn list<S: AsRef<str>>(heading: &str, items: &[S]) -> String {
    let mut text = String::new();
    if !items.is_empty() {
        text.push_str(&format!("\n{heading}\n"));
    }
    for item in items {
        let mut mark = "  · ";
        for line in wrapped(item.as_ref(), WIDTH - 4) {
            text.push_str(&format!("{mark}{line}\n"));
            mark = "    ";
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::shown;

    #[test]
    fn fault_what_people_typed_does_not_steer_a_terminal() {
        assert_eq!(shown("Van\u{1b}[2J\u{7}\r\n\tnext\u{9b}31m\u{202e}x"), "Van␛[2J␇␍\n\tnext\u{fffd}31m\u{fffd}x");
        assert_eq!(shown("Grüner Wagen, 35–45 °C"), "Grüner Wagen, 35–45 °C");
    }
}
