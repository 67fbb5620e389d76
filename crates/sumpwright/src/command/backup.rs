//! `backup`: a copy of the workshop's database, made while work goes on.

use std::path::PathBuf;

use serde_json::json;

use super::workshop::{DataArgs, wait};
use crate::print::{Answer, Fault};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Where the copy goes; nothing is overwritten
    #[arg(value_name = "FILE")]
    to: PathBuf,
    #[command(flatten)]
    data: DataArgs,
}

pub fn run(args: &Args) -> Result<Answer, Fault> {
    let from = args.data.path()?;
    if !from.exists() {
        let what = format!("there is no workshop database at {}", from.display());
        return Err(Fault::new(what, "name it with --data FILE"));
    }
    wait(async {
        let workshop = args.data.open().await?;
        let made = workshop.backup(&args.to).await?;
        let text = format!("{}: {} jobs, {} entries, {} bytes", args.to.display(), made.jobs, made.entries, made.bytes);
        let path = args.to.display().to_string();
        Ok(Answer::new(text, json!({ "path": path, "jobs": made.jobs, "entries": made.entries, "bytes": made.bytes })))
    })
}
