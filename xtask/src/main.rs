//! Tooling around the workspace: `cargo xtask test`, `cargo xtask tidy`, `cargo xtask bench`,
//! `cargo xtask crosscheck`, `cargo xtask study plots`, `cargo xtask study forecast`,
//! `cargo xtask study lesson`.
//!
//! This crate must never be a dependency of another: nothing in the product knows it.

mod bench;
mod crosscheck;
mod install;
mod plots;
mod run;
mod study;
mod tidy;
mod venv;

use std::process::ExitCode;

const USAGE: &str = "cargo xtask test    everything that has to hold before a commit
cargo xtask tidy    only the rules of the house
cargo xtask bench   start-up, first page and memory of the release build and the numbers of physics, beside a peer in the same run;
                    `bench crowd` the 200 live pages alone
cargo xtask crosscheck   our numbers beside those of outside programs; needs the Python package registry
cargo xtask study plots   the plots of the model book, written to docs/physics/plots
cargo xtask study forecast   how good the forecast is on simulated vehicles, beside other ways; writes docs/physics/forecast.md
cargo xtask study truth   how often as found and as left hold, by family, on vehicles with errors drawn; writes docs/physics/truth.md
cargo xtask study lesson   teaches the forecast anew on simulated vehicles; writes crates/physics/src/warmup/taught.rs";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let outcome = match words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["test"] => run::everything(),
        ["tidy"] => tidy::check(),
        ["bench"] => bench::compare(),
        ["bench", "crowd"] => bench::crowd_alone(),
        ["crosscheck"] => crosscheck::compare(),
        ["study", "plots"] => plots::draw(),
        ["study", "forecast"] => study::forecast(),
        ["study", "truth"] => study::truth(),
        ["study", "lesson"] => study::lesson(),
        _ => Err(format!("not understood: “{}”\n{USAGE}", words.join(" "))),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            ExitCode::FAILURE
        }
    }
}
