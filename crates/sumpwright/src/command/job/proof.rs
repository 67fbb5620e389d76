//! `job proof`: the proof sheet as text, PDF or page; what is printed is kept as printed.

use std::path::PathBuf;

use report::{Figure, Proof, Table};
use serde_json::json;

use crate::command::workshop::{DataArgs, wait};
use crate::command::{paper, write_file};
use crate::print::{Answer, Fault, list, rows, table};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Short name of the job
    #[arg(value_name = "JOB")]
    job: String,
    /// Write it as PDF, and keep the print with the job
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
    /// Write it as a page that stands alone, and keep the print with the job
    #[arg(long, value_name = "FILE")]
    page: Option<PathBuf>,
    #[command(flatten)]
    data: DataArgs,
}

pub fn run(args: &Args) -> Result<Answer, Fault> {
    wait(async {
        let workshop = args.data.open().await?;
        let view = workshop.view(&args.job).await?;
        let loaded = workshop.load(&args.job).await?;
        let proof = app::proof(&view, &workshop.name);
        let mut said = text(&proof) + "\n";
        let mut kept = Vec::new();
        let mut prints = Vec::new();
        if let Some(path) = &args.pdf {
            prints.push((path, "application/pdf", report::pdf(&proof).map_err(paper)?));
        }
        if let Some(path) = &args.page {
            prints.push((path, "text/html", report::page(&proof).into_bytes()));
        }
        for (path, mime, bytes) in prints {
            write_file(path, &bytes)?;
            let number = workshop.keep_paper(&loaded, mime, bytes).await?;
            said.push_str(&format!("Written to {}, kept as print {number}\n", path.display()));
            kept.push(json!({ "number": number, "mime": mime, "path": path.display().to_string() }));
        }
        Ok(Answer::new(said, json!({ "job": args.job, "proof": proof, "kept": kept })))
    })
}

fn text(proof: &Proof) -> String {
    let mut text = format!("{}\n{}, {}\n", proof.title, proof.workshop, proof.date);
    if proof.demo {
        text.push_str("DEMO: the vehicle is simulated\n");
    }
    text.push_str(&format!("\n{}\n", proof.verdict));
    if let Some(stopped) = &proof.stopped {
        text.push_str(&format!("{stopped}\n"));
    }
    text.push('\n');
    text.push_str(&rows(&[figure(&proof.as_found), figure(&proof.as_left)]));
    text.push('\n');
    let mut pairs = vec![("Technician".to_owned(), proof.technician.clone())];
    pairs.extend([&proof.vehicle, &proof.unit, &proof.fluid, &proof.next_due].into_iter().flatten().cloned());
    text.push_str(&rows(&pairs));
    for part in [&proof.ledger, &proof.budget, &proof.torques] {
        text.push_str(&tabled(part));
    }
    let passed: Vec<String> =
        proof.overrides.iter().map(|over| format!("{} {}: {}", over.when, over.gate, over.reason)).collect();
    text + &list("Gates passed", &passed)
        + &list("Corrections", &proof.corrections)
        + &list("Not claimed", &proof.not_claimed)
        + &format!("\n{}\n", proof.footer)
}

fn figure(figure: &Figure) -> (String, String) {
    let doubt = if figure.doubt.is_empty() { String::new() } else { format!(" ({})", figure.doubt) };
    (figure.label.clone(), format!("{}: {}{doubt}", figure.value, figure.words))
}

fn tabled(part: &Table) -> String {
    if part.rows.is_empty() {
        return String::new();
    }
    let figures = |column: usize| {
        let mut cells = part.rows.iter().filter_map(|row| row.get(column));
        cells.all(|cell| cell.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '−' | '—')))
    };
    // A leading blank in the head sets a column of figures to the right.
    let set = |(column, head): (usize, &String)| if figures(column) { format!(" {head}") } else { head.clone() };
    let heads: Vec<String> = part.head.iter().enumerate().map(set).collect();
    let head: Vec<&str> = heads.iter().map(String::as_str).collect();
    let body: Vec<Vec<String>> =
        part.rows.iter().chain(Some(&part.total).filter(|total| !total.is_empty())).cloned().collect();
    "\n".to_owned() + &table(&head, &body)
}
