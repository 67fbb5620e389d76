//! The binary: arguments, printing, exit codes. It reads what a person typed, calls the crate that knows, and prints.
//!
//! It must never know a formula, a gate or how a log is stored.

mod args;
mod command;
mod print;

use std::process::ExitCode;

fn main() -> ExitCode {
    match args::parsed() {
        Ok(args::Parsed::Run(cli)) => print::finish(command::run(&cli), cli.json),
        Ok(args::Parsed::Help(text)) => print::text(&text),
        Err(fault) => print::finish(Err(fault), false),
    }
}
