//! `plan`: steps, bench list, torque card and cautions of a service.

use std::path::PathBuf;

use job::{Choices, Plan};
use quantity::Span;
use quantity::print::{self, Units};
use serde_json::{Value, json};
use sheet::Sheet;

use super::sheets::sheet_of;
use crate::args::maybe;
use crate::print::{Answer, Fault, WIDTH, list, table, wrapped};

/// The one method that is carried out.
const METHOD: &str = "drain-and-fill";

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Sheet of the unit: a path, or the name of a shipped sheet such as keld-o6
    #[arg(long, value_name = "SHEET")]
    sheet: String,
    /// First filling, if another than the planned one is wanted
    #[arg(long, value_name = "VOLUME")]
    fill: Option<String>,
    /// How the fluid is renewed; drain-and-fill is the one method carried out so far
    #[arg(long, value_name = "METHOD", default_value = METHOD)]
    method: String,
    /// How many passes; one is planned at a time so far
    #[arg(long, value_name = "N", default_value_t = 1)]
    passes: u32,
    /// Also write the bench list as PDF
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    if args.method != METHOD {
        let what = format!("--method {}: this version plans {METHOD} only", args.method);
        return Err(Fault::new(what, format!("leave --method out, or give --method {METHOD}")));
    }
    if args.passes != 1 {
        let what = format!("--passes {}: this version plans one pass at a time", args.passes);
        return Err(Fault::new(what, "plan one pass now; `sumpwright renew` says what several would leave and cost"));
    }
    let choices = Choices { fill: maybe("--fill", args.fill.as_ref())? };
    let (sheet, _, findings) = sheet_of(&args.sheet)?;
    let plan = job::plan(&sheet, &choices);
    let mut said = text(&sheet, &plan, &findings, units);
    if let Some(path) = &args.pdf {
        let pdf = report::bench_pdf(&app::bench_list(&sheet, &plan)).map_err(super::paper)?;
        super::write_file(path, &pdf)?;
        said.push_str(&format!("\nBench list written to {}\n", path.display()));
    }
    Ok(Answer::new(said, document(&sheet, &plan, &findings)))
}

fn document(sheet: &Sheet, plan: &Plan, findings: &[sheet::Finding]) -> Value {
    let mut document = json!({
        "sheet": { "id": sheet.id, "name": sheet.name, "maker": sheet.maker, "kind": sheet.kind },
        "method": METHOD,
        "passes": 1,
        "family": sheet.family.word(),
        "window_c": sheet.window().map(|w| json!({ "low": w.value.low, "high": w.value.high, "printed": w.printed })),
        "findings": findings,
    });
    if let (Value::Object(into), Value::Object(plan)) = (&mut document, json!(plan)) {
        into.extend(plan);
    }
    document
}

fn text(sheet: &Sheet, plan: &Plan, findings: &[sheet::Finding], units: Units) -> String {
    let mut text = format!("{}, {}\n", sheet.name, sheet.kind);
    if let Some(window) = sheet.window() {
        let span = print::temperature_span(window.value, units);
        text.push_str(&format!("Window {span} ({}, {})\n", window.printed, window.source));
    }
    let doubts: Vec<String> = findings.iter().map(|f| format!("line {}: {}", f.line, f.message)).collect();
    text.push_str(&list("Doubts about the sheet", &doubts));
    text.push_str(&list("Cautions", &plan.cautions));
    text.push_str("\nOn the bench\n");
    let bench: Vec<_> = plan.bench.iter().map(|item| (format!("  {}", item.what), item.how_much.clone())).collect();
    text.push_str(&crate::print::rows(&bench));
    text.push_str("\nTorque card\n");
    let card: Vec<Vec<String>> = plan
        .torques
        .iter()
        .map(|row| {
            let torque = row.torque_nm.map(|(low, high)| print::torque_span(Span { low, high }, units));
            let or_dash = |value: Option<String>| value.unwrap_or_else(|| "—".to_owned());
            vec![
                row.plug.clone(),
                or_dash(torque),
                row.drive.clone(),
                or_dash(row.seal.clone()),
                or_dash(row.printed.clone()),
            ]
        })
        .collect();
    text.push_str(&table(&["Plug", " Torque", "Drive", "Seal", "As printed"], &card));
    text.push_str("\nSteps\n");
    for (number, step) in plan.steps.iter().enumerate() {
        text.push_str(&paragraph(&format!("{:>3}. ", number + 1), &step.verb));
        text.push_str(&paragraph("     ", &step.why));
        if let Some(caution) = &step.caution {
            text.push_str(&paragraph("   ! ", caution));
        }
    }
    text
}

fn paragraph(mark: &str, text: &str) -> String {
    let mut mark = mark;
    let mut lines = String::new();
    for line in wrapped(text, WIDTH - 5) {
        lines.push_str(&format!("{mark}{line}\n"));
        mark = "     ";
    }
    lines
}
