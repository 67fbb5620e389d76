//! `due`: which fluid is due, of one unit by its figures, or of every vehicle in the workshop's log.

use job::decide::{Policy, due};
use quantity::print::{self, Units};
use quantity::{Distance, Duration};
use serde_json::{Value, json};

use super::decide::{RunArgs, due_title};
use super::sheets::sheet_of;
use super::workshop::{DataArgs, wait};
use crate::print::{Answer, Fault, list, table};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Judge one unit by this sheet and the figures below, without the log
    #[arg(long, value_name = "SHEET")]
    sheet: Option<String>,
    #[command(flatten)]
    run: RunArgs,
    #[command(flatten)]
    data: DataArgs,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    match &args.sheet {
        Some(sheet) => one(sheet, args, units),
        None => all(args, units),
    }
}

fn one(sheet: &str, args: &Args, units: Units) -> Result<Answer, Fault> {
    let (sheet, _, _) = sheet_of(sheet)?;
    let due = due(&args.run.read()?, &Policy::of(&sheet))?;
    let mut lines = job::decide::due_lines(&due, units);
    if sheet.interval.is_none() {
        lines.push("The sheet states no interval.".to_owned());
    }
    let text = list(&due_title(&due), &lines).trim_start().to_owned();
    let document = json!({ "sheet": sheet.id, "due": due });
    let overdue = document["due"]["status"] == "overdue";
    Ok(Answer::new(text, document).objecting(overdue))
}

/// Every finished job of the workshop, the one due first on top.
fn all(args: &Args, units: Units) -> Result<Answer, Fault> {
    let jobs = wait(async { Ok(args.data.open().await?.services_due().await?) })?;
    let body: Vec<Vec<String>> = jobs
        .iter()
        .map(|job| {
            let km =
                |km: Option<f64>| km.map_or_else(|| "—".to_owned(), |km| print::distance(Distance::from_km(km), units));
            vec![
                job.vehicle.clone(),
                job.unit.clone(),
                job.by_day.clone().unwrap_or_else(|| "—".to_owned()),
                km(job.at_odometer_km),
                job.left_days.map_or_else(|| "—".to_owned(), left),
                job.job.clone(),
            ]
        })
        .collect();
    let text = match body.is_empty() {
        true => "Nothing finished yet: what is done here will be listed with its next date.\n".to_owned(),
        false => table(&["Vehicle", "Unit", "By", " At odometer", " Left", "Job"], &body),
    };
    let rows: Vec<Value> = jobs.iter().map(|job| json!(job)).collect();
    Ok(Answer::new(text, json!({ "due": rows })))
}

fn left(days: i64) -> String {
    if days < 0 { "overdue".to_owned() } else { print::duration(Duration::from_days(days as f64)) }
}
