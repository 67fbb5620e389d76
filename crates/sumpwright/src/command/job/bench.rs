//! `job bench`: what must lie on the bench for a job, with what is ticked already.

use std::path::PathBuf;

use serde_json::json;

use crate::command::workshop::{DataArgs, wait};
use crate::command::{paper, write_file};
use crate::print::{Answer, Fault, table};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Short name of the job
    #[arg(value_name = "JOB")]
    job: String,
    /// Write the bench list as PDF, A4
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
    /// Write the torque card as PDF, A5
    #[arg(long, value_name = "FILE")]
    card: Option<PathBuf>,
    #[command(flatten)]
    data: DataArgs,
}

pub fn run(args: &Args) -> Result<Answer, Fault> {
    wait(async {
        let workshop = args.data.open().await?;
        let papers = workshop.bench_papers(&args.job).await?;
        if let Some(path) = &args.pdf {
            write_file(path, &report::bench_pdf(&papers.list).map_err(paper)?)?;
        }
        if let Some(path) = &args.card {
            write_file(path, &report::card_pdf(&papers.card).map_err(paper)?)?;
        }
        let items: Vec<_> = papers
            .bench
            .items
            .iter()
            .map(|item| {
                let ready = papers.ready.contains(&item.key);
                json!({ "key": item.key, "what": item.what, "how_much": item.how_much, "note": item.note, "ready": ready })
            })
            .collect();
        let body: Vec<Vec<String>> = papers
            .bench
            .items
            .iter()
            .map(|item| {
                let mark = if papers.ready.contains(&item.key) { "■" } else { "□" };
                vec![mark.to_owned(), item.key.clone(), item.what.clone(), item.how_much.clone()]
            })
            .collect();
        let text = table(&["", "Key", "Thing", "Amount"], &body);
        let document = json!({
            "job": args.job, "items": items, "need": papers.bench.need,
            "containers": papers.bench.containers.as_ref().ok(),
            "no_containers": papers.bench.containers.as_ref().err(),
            "further_circuits":
                papers.bench.further.iter().map(super::super::plan::further_document).collect::<Vec<_>>(),
        });
        Ok(Answer::new(text, document))
    })
}
