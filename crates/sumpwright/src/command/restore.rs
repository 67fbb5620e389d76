//! `restore`: going back to a backup.

use std::path::PathBuf;

use app::{Clock, SystemClock};
use serde_json::json;

use super::workshop::{DataArgs, wait};
use crate::print::{Answer, Fault};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The backup to go back to; it is not touched
    #[arg(value_name = "BACKUP")]
    from: PathBuf,
    #[command(flatten)]
    data: DataArgs,
}

pub fn run(args: &Args) -> Result<Answer, Fault> {
    let to = args.data.path()?;
    let now = jiff::Timestamp::from_millisecond(SystemClock.now_ms()).unwrap_or_default();
    let stamp = now.strftime("%Y%m%d-%H%M%S").to_string();
    let done = wait(async { Ok(app::restore(&args.from, &to, &stamp).await?) })?;
    let mut text =
        format!("{}: {} jobs, {} entries, from {}", to.display(), done.jobs, done.entries, args.from.display());
    match (&done.kept, done.before) {
        (Some(kept), Some((jobs, entries))) => {
            text += &format!("\nwhat was there, {jobs} jobs and {entries} entries, is kept as {}", kept.display());
        }
        (Some(kept), None) => {
            text += &format!("\nwhat was there could not be read; it is kept as {}", kept.display());
        }
        (None, _) => {}
    }
    let before = done.before.map(|(jobs, entries)| json!({ "jobs": jobs, "entries": entries }));
    Ok(Answer::new(
        text,
        json!({
            "path": to.display().to_string(),
            "jobs": done.jobs,
            "entries": done.entries,
            "before": before,
            "kept": done.kept.map(|kept| kept.display().to_string()),
        }),
    ))
}
