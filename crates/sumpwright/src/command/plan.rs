//! `plan`: steps, bench list, torque card and cautions of a service.

use std::path::PathBuf;

use job::{Bench, Choices, Plan};
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
    /// Also write the bench list as PDF, A4
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
    /// Also write the torque card as PDF, A5
    #[arg(long, value_name = "FILE")]
    card: Option<PathBuf>,
    #[command(flatten)]
    lists: super::stock::ListArgs,
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
    let (shelf, today) = args.lists.shelf()?;
    let bench = job::bench(&sheet, &shelf, today);
    let mut said = text(&sheet, &plan, &bench, &findings, units);
    let card = app::torque_card(&sheet, &plan, &shelf, today, false);
    if let Some(path) = &args.card {
        super::write_file(path, &report::card_pdf(&card).map_err(super::paper)?)?;
        said.push_str(&format!("\nTorque card written to {}\n", path.display()));
    }
    if let Some(path) = &args.pdf {
        let list = app::bench_list(&sheet, &plan, &bench, card, &Default::default(), "");
        super::write_file(path, &report::bench_pdf(&list).map_err(super::paper)?)?;
        said.push_str(&format!("\nBench list written to {}\n", path.display()));
    }
    Ok(Answer::new(said, document(&sheet, &plan, &bench, &findings)))
}

fn document(sheet: &Sheet, plan: &Plan, bench: &Bench, findings: &[sheet::Finding]) -> Value {
    let mut document = json!({
        "sheet": { "id": sheet.id, "name": sheet.name, "maker": sheet.maker, "kind": sheet.kind },
        "method": METHOD,
        "passes": 1,
        "family": sheet.family.word(),
        "window_c": sheet.window().map(|w| json!({ "low": w.value.low, "high": w.value.high, "printed": w.printed })),
        "findings": findings,
        "need": bench.need,
        "containers": bench.containers.as_ref().ok(),
        "no_containers": bench.containers.as_ref().err(),
        "further_circuits": bench.further.iter().map(further_document).collect::<Vec<_>>(),
        "bench_items": bench.items,
        "stubborn_plug": { "ladder": job::stop::LADDER, "always": job::stop::LADDER_ALWAYS },
        "drain_stops": job::stop::DRAIN_STOPS,
    });
    if let (Value::Object(into), Value::Object(plan)) = (&mut document, json!(plan)) {
        into.extend(plan);
    }
    document
}

/// The fluid of a further circuit, in the words of the first.
pub(super) fn further_document(one: &job::bench::FluidOf) -> Value {
    json!({
        "id": one.id, "circuit": one.circuit, "need": one.need,
        "containers": one.containers.as_ref().ok(), "no_containers": one.containers.as_ref().err(),
    })
}

fn text(sheet: &Sheet, plan: &Plan, bench: &Bench, findings: &[sheet::Finding], units: Units) -> String {
    let mut text = format!("{}, {}\n", sheet.name, sheet.kind);
    if let Some(window) = sheet.window() {
        let span = print::temperature_span(window.value, units);
        let both = job::window::words(sheet);
        let printed = if both == window.printed { both } else { format!("printed {}: {both}", window.printed) };
        text.push_str(&format!("Window {span} ({printed}, {})\n", window.source));
    }
    let doubts: Vec<String> = findings.iter().map(|f| format!("line {}: {}", f.line, f.message)).collect();
    text.push_str(&list("Doubts about the sheet", &doubts));
    text.push_str(&list("Cautions", &plan.cautions));
    text.push_str(&on_the_bench(sheet, bench, units));
    text.push_str("\nTorque card\n");
    let card: Vec<Vec<String>> = plan
        .torques
        .iter()
        .map(|row| {
            let torque = row.torque_nm.map(|(low, high)| print::torque_span(Span { low, high }, units));
            let or_dash = |value: Option<String>| value.unwrap_or_else(|| "—".to_owned());
            vec![row.plug.clone(), or_dash(torque), row.bit(), or_dash(row.seal.clone()), or_dash(row.printed.clone())]
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
    text.push_str("\nIf a plug does not turn\n");
    for rung in job::stop::LADDER {
        text.push_str(&paragraph("  ·  ", &format!("{}: {}", rung.try_this, rung.how)));
        text.push_str(&paragraph("     ", &format!("Stop here when: {}", rung.stop_when)));
    }
    text + &paragraph("     ", job::stop::LADDER_ALWAYS)
}

/// Fluid line by line, containers, then everything else with its note.
fn on_the_bench(sheet: &Sheet, bench: &Bench, units: Units) -> String {
    let mut text = String::new();
    let volume = |volume| print::volume(volume, units);
    for (circuit, need, containers) in bench.fluids(sheet) {
        let side = if circuit.is_empty() { String::new() } else { format!(": {circuit}") };
        text.push_str(&format!("\nFluid to have ready{side}\n"));
        let mut lines: Vec<(String, String)> = Vec::new();
        for line in &need.lines {
            let amount = if line.counts { volume(line.volume_ml) } else { format!("({})", volume(line.volume_ml)) };
            lines.push((format!("  {}", line.what), format!("{amount}; {}", line.why)));
        }
        lines.push(("  Together".to_owned(), volume(need.total_ml)));
        text.push_str(&crate::print::rows(&lines));
        match containers {
            Ok(found) => text.push_str(&format!("\nContainers{side}\n{}", super::stock::containers_text(found))),
            Err(why) => text.push_str(&paragraph("  ", why)),
        }
    }
    text.push_str("\nOn the bench\n");
    for item in &bench.items {
        let amount = if item.how_much.is_empty() { String::new() } else { format!(" — {}", item.how_much) };
        text.push_str(&paragraph("  □  ", &format!("{}{amount}", item.what)));
        if !item.note.is_empty() {
            text.push_str(&paragraph("     ", &item.note));
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
