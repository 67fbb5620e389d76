//! `job`: a job from the shell, with the same gates as the page.

mod bench;
mod label;
mod log;
mod open;
mod proof;
mod readings;
mod show;

use clap::Subcommand;
use jiff::Timestamp;
use quantity::print::Units;

use crate::print::{Answer, Fault};

/// What can be done with a job.
#[derive(Debug, Subcommand)]
pub enum JobCommand {
    /// Open a job and print its short name
    Open(open::Args),
    /// Enter what was done or seen: job log JOB WORD field=value …
    #[command(after_help = log::words_help())]
    Log(log::Args),
    /// List the jobs, or say where one stands
    Show(show::Args),
    /// Finish a job
    Finish(log::FinishArgs),
    /// The proof sheet as text, PDF or page
    Proof(proof::Args),
    /// The bench list with its ticks, and the torque card, as PDF
    Bench(bench::Args),
    /// The label for the container of used fluid
    Label(label::Args),
}

pub fn run(command: &JobCommand, units: Units) -> Result<Answer, Fault> {
    match command {
        JobCommand::Open(args) => open::run(args),
        JobCommand::Log(args) => log::run(args),
        JobCommand::Show(args) => show::run(args, units),
        JobCommand::Finish(args) => log::finish(args),
        JobCommand::Proof(args) => proof::run(args),
        JobCommand::Bench(args) => bench::run(args),
        JobCommand::Label(args) => label::run(args),
    }
}

/// A moment as RFC 3339, in milliseconds since 1970.
fn moment(name: &str, text: &str) -> Result<i64, Fault> {
    text.trim().parse::<Timestamp>().map(Timestamp::as_millisecond).map_err(|_| {
        Fault::new(
            format!("{name}: \"{text}\" is no date and time"),
            "write it as RFC 3339 with its zone: 2026-03-02T09:15:00+01:00",
        )
    })
}

/// A moment for people, in the computer's own zone.
fn clock(ms: i64, form: &str) -> String {
    Timestamp::from_millisecond(ms)
        .map(|at| at.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime(form).to_string())
        .unwrap_or_else(|_| "no date".to_owned())
}
