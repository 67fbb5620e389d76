//! `job label`: the label for the container of used fluid.

use std::path::PathBuf;

use serde_json::json;

use crate::command::workshop::{DataArgs, wait};
use crate::command::{paper, write_file};
use crate::print::{Answer, Fault, list, rows};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Short name of the job
    #[arg(value_name = "JOB")]
    job: String,
    /// European waste code to tick: "13 02 06"
    #[arg(long, value_name = "CODE")]
    code: Option<String>,
    /// Write it as PDF, A5
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
    #[command(flatten)]
    data: DataArgs,
}

pub fn run(args: &Args) -> Result<Answer, Fault> {
    wait(async {
        let workshop = args.data.open().await?;
        let view = workshop.view(&args.job).await?;
        let label = app::used_label(&view, &workshop.name, args.code.as_deref())
            .ok_or_else(|| Fault::new("nothing has come out of the unit yet", "print the label after draining"))?;
        if args.code.is_some() && label.codes.iter().all(|code| !code.2) {
            let known: Vec<&str> = app::WASTE_CODES.iter().map(|(code, _)| *code).collect();
            return Err(Fault::new("that is no waste code of used lubricating fluid", known.join(", ")));
        }
        if let Some(path) = &args.pdf {
            write_file(path, &report::label_pdf(&label).map_err(paper)?)?;
        }
        let mut pairs = vec![("Amount".to_owned(), format!("{} ({})", label.amount, label.parts))];
        pairs.push(("Date".to_owned(), label.date.clone()));
        pairs.extend(label.source.iter().cloned());
        pairs.extend(
            label
                .codes
                .iter()
                .filter(|code| code.2 || args.code.is_none())
                .map(|code| ("Waste code".to_owned(), format!("{} {}", code.0, code.1))),
        );
        let text = format!("USED OIL\n{}", rows(&pairs)) + &list("Rules", &label.rules);
        Ok(Answer::new(text, json!({ "job": args.job, "label": label })))
    })
}
