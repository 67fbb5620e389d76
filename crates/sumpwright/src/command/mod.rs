//! The commands, one module each.

mod backup;
mod check;
mod decide;
mod due;
mod fluid;
mod job;
mod ledger;
mod level;
mod limits;
pub mod picture;
mod plan;
mod predict;
mod read;
mod renew;
mod restore;
mod runoff;
mod serve;
mod sheet;
mod sheets;
mod shell;
mod shim;
mod soak;
mod stock;
mod thermometer;
mod torque;
mod workshop;

use std::path::Path;

use clap::Subcommand;

use crate::args::Cli;
use crate::print::{Answer, Fault};

/// What can be done.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Understand a quantity as a manual prints it
    Read(read::Args),
    /// Check unit sheets: every mistake with its line and column
    Check(check::Args),
    /// Judge what was found: service or not, due or not, the ways to renew, a text to sign
    Decide(decide::Args),
    /// Make, copy, compare, merge and keep unit sheets
    #[command(subcommand)]
    Sheet(sheet::SheetCommand),
    /// Say which fluid is due
    Due(due::Args),
    /// Plan a service: steps, bench list, torque card, cautions
    Plan(plan::Args),
    /// Say when the window opens and closes, from readings
    Predict(predict::Args),
    /// Follow the run-off through the standpipe
    Runoff(runoff::Args),
    /// Add up the error of a level as it was set
    Level(level::Args),
    /// Balance the litres of a job at one temperature
    Ledger(ledger::Args),
    /// Say what passes leave of the old fluid, how old the blend is and what it costs
    Renew(renew::Args),
    /// Convert a torque, allow for an adapter, judge a wrench
    Torque(torque::Args),
    /// Viscosity, viscosity index, density and expansion of a fluid
    Fluid(fluid::Args),
    /// Say how long a hot arrival has to stand before its window
    Soak(soak::Args),
    /// Say what to put under which stand
    Shim(shim::Args),
    /// Compare thermometers on a vehicle that stood for a night
    Thermometer(thermometer::Args),
    /// Price list, stock and tools of the workshop; the cheapest containers
    #[command(subcommand)]
    Stock(stock::StockCommand),
    /// A job from the shell, with the same gates as the page
    #[command(subcommand)]
    Job(job::JobCommand),
    /// The workshop server: pages for phone, tablet and desk
    Serve(serve::Args),
    /// Copy the workshop's database while work goes on
    Backup(backup::Args),
    /// Go back to a backup; what is there is kept aside
    Restore(restore::Args),
    /// Completions for a shell
    Completions(shell::CompletionsArgs),
    /// Manual page, for man
    Man(shell::ManArgs),
}

/// Runs a command.
///
/// # Errors
/// What is wrong and what to do; nothing was done then.
pub fn run(cli: &Cli) -> Result<Answer, Fault> {
    let units = cli.units;
    match &cli.command {
        Command::Read(args) => read::run(args, units),
        Command::Check(args) => check::run(args),
        Command::Decide(args) => decide::run(args, units),
        Command::Sheet(command) => sheet::run(command),
        Command::Due(args) => due::run(args, units),
        Command::Plan(args) => plan::run(args, units),
        Command::Predict(args) => predict::run(args, units),
        Command::Runoff(args) => runoff::run(args, units),
        Command::Level(args) => level::run(args, units),
        Command::Ledger(args) => ledger::run(args, units),
        Command::Renew(args) => renew::run(args, units),
        Command::Torque(args) => torque::run(args, units),
        Command::Fluid(args) => fluid::run(args, units),
        Command::Soak(args) => soak::run(args, units),
        Command::Shim(args) => shim::run(args, units),
        Command::Thermometer(args) => thermometer::run(args, units),
        Command::Stock(command) => stock::run(command),
        Command::Job(command) => job::run(command, units),
        Command::Serve(args) => serve::run(args, cli.json),
        Command::Backup(args) => backup::run(args),
        Command::Restore(args) => restore::run(args),
        Command::Completions(args) => shell::completions(args),
        Command::Man(args) => shell::man(args),
    }
}

/// A paper that could not be set.
fn paper(why: report::ReportError) -> Fault {
    Fault::new(why.to_string(), "the job itself is safe; try again")
}

/// Writes a file that was asked for, over one of the same name.
fn write_file(path: &Path, bytes: &[u8]) -> Result<(), Fault> {
    std::fs::write(path, bytes).map_err(|why| {
        Fault::new(
            format!("{} cannot be written: {why}", path.display()),
            "name a file in a folder that exists and may be written",
        )
    })
}
