//! The binary: arguments, printing, exit codes. It reads what a person typed, calls the crate that knows, and prints.
//!
//! It must never know a formula, a gate or how a log is stored.

mod args;
mod command;
mod print;

use std::process::ExitCode;

fn main() -> ExitCode {
    // Started by the server itself, never by a person: not among the commands.
    if std::env::args_os().nth(1).is_some_and(|word| word == app::PICTURE_CHILD) {
        return command::picture::child();
    }
    match args::parsed() {
        Ok(args::Parsed::Run(cli)) => print::finish(command::run(&cli), cli.json),
        Ok(args::Parsed::Help(text)) => print::text(&text),
        Err(fault) => print::finish(Err(fault), false),
    }
}
