//! `check`: every mistake in unit sheets, with line and column.

use miette::{GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteDiagnostic, NamedSource, Report};
use serde_json::{Value, json};
use sheet::{Finding, Severity};

use super::sheets::text_of;
use crate::print::{Answer, Fault, WIDTH};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Sheet files, or names of shipped sheets; - is stdin
    #[arg(value_name = "SHEET", required = true)]
    sheets: Vec<String>,
}

pub fn run(args: &Args) -> Result<Answer, Fault> {
    // Every file is read before anything is said: a missing one is a fault of the whole command.
    let texts = args.sheets.iter().map(|given| text_of(given)).collect::<Result<Vec<_>, _>>()?;
    let (mut text, mut sheets, mut objection) = (String::new(), Vec::<Value>::new(), false);
    for (path, content) in texts {
        let checked = sheet::check(&content);
        objection |= checked.has_errors();
        text.push_str(&shown(&path, &content, &checked.findings));
        sheets.push(json!({ "path": path, "findings": checked.findings }));
    }
    Ok(Answer { text, json: json!({ "sheets": sheets }), objection })
}

fn shown(path: &str, content: &str, findings: &[Finding]) -> String {
    let mut text = String::new();
    for finding in findings {
        text.push_str(&snippet(path, content, finding));
    }
    let count = |severity| findings.iter().filter(|finding| finding.severity == severity).count();
    let counts = [(Severity::Error, "error"), (Severity::Caution, "caution"), (Severity::Note, "note")];
    let said: Vec<String> = counts
        .iter()
        .map(|(severity, word)| (count(*severity), word))
        .filter(|(number, _)| *number > 0)
        .map(|(number, word)| format!("{number} {word}{}", if number == 1 { "" } else { "s" }))
        .collect();
    let said = if said.is_empty() { "nothing to object".to_owned() } else { said.join(", ") };
    text + &format!("{path}: {said}\n")
}

/// One finding with the lines of the sheet around it; never coloured, so it reads alike in a file and on a terminal.
fn snippet(path: &str, content: &str, finding: &Finding) -> String {
    let severity = match finding.severity {
        Severity::Error => miette::Severity::Error,
        Severity::Caution => miette::Severity::Warning,
        Severity::Note => miette::Severity::Advice,
    };
    let mut diagnostic = MietteDiagnostic::new(&finding.message)
        .with_code(finding.code)
        .with_severity(severity)
        .with_help(&finding.hint);
    if let Some(span) = &finding.span {
        diagnostic = diagnostic.with_label(LabeledSpan::underline(span.clone()));
    }
    let report = Report::new(diagnostic).with_source_code(NamedSource::new(path, content.to_owned()));
    let handler =
        GraphicalReportHandler::new_themed(GraphicalTheme::unicode_nocolor()).with_links(false).with_width(WIDTH);
    let mut text = String::new();
    match handler.render_report(&mut text, report.as_ref()) {
        Ok(()) => text + "\n",
        Err(_) => format!("{path}:{}:{}: {}\n  {}\n", finding.line, finding.column, finding.message, finding.hint),
    }
}
