//! What may be typed: the command line, and readers that turn its texts into quantities.

use clap::{CommandFactory, FromArgMatches, Parser};
use physics::expansion::Expansion;
use quantity::print::Units;
use quantity::read::{self, Kind, Region};
use quantity::{Density, KinematicViscosity, Length, Uncertain};

use crate::command::Command;
use crate::print::Fault;

/// Services sealed units whose level is set by run-off inside a temperature window: plans, forecasts, computes, records
/// and proves. Quantities are typed as a manual prints them: "43–53 °C (109–127 °F)", "1 US gal", "22 N·m".
#[derive(Debug, Parser)]
#[command(name = "sumpwright", version, max_term_width = 100)]
#[command(after_help = "Exit codes: 0 done; 1 findings, or refused by a gate; 2 bad input or failure.")]
pub struct Cli {
    /// Print one JSON document and nothing else
    #[arg(long, global = true, display_order = 900)]
    pub json: bool,
    /// Units of the text: metric or us (JSON always says its units in its keys)
    #[arg(long, global = true, value_name = "UNITS", default_value = "metric", display_order = 901)]
    pub units: Units,
    #[command(subcommand)]
    pub command: Command,
}

/// What came of the command line.
pub enum Parsed {
    /// A command to run.
    Run(Box<Cli>),
    /// Help or version, asked for.
    Help(String),
}

/// The command line of this process.
///
/// # Errors
/// What is wrong with it, in the words of the argument parser, with what to do.
pub fn parsed() -> Result<Parsed, Fault> {
    let read = Cli::command().try_get_matches().and_then(|found| Cli::from_arg_matches(&found));
    match read {
        Ok(cli) => Ok(Parsed::Run(Box::new(cli))),
        Err(error) if !error.use_stderr() => Ok(Parsed::Help(error.to_string())),
        Err(error) => Err(fault_of(&error)),
    }
}

/// The parser's own message without its usage block; its tips become the hint.
fn fault_of(error: &clap::Error) -> Fault {
    let text = error.to_string();
    let usage = text.lines().find_map(|line| line.strip_prefix("Usage: ")).map(str::trim);
    if error.kind() == clap::error::ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
        let whole = usage.unwrap_or("sumpwright").split(" [").next().unwrap_or_default();
        return Fault::new("no command was given", format!("`{whole} --help` lists the commands"));
    }
    let told = text.split("\nUsage:").next().unwrap_or_default();
    let told = told.split("\n\nFor more information").next().unwrap_or_default();
    let (tips, message): (Vec<&str>, Vec<&str>) =
        told.lines().map(str::trim).filter(|line| !line.is_empty()).partition(|line| line.starts_with("tip: "));
    let message = message.join(" ").trim_start_matches("error: ").to_owned();
    let hint = tips.iter().map(|tip| tip.trim_start_matches("tip: ")).collect::<Vec<_>>().join("; ");
    Fault::new(
        message,
        match (hint.is_empty(), usage) {
            (false, _) => hint,
            (true, Some(usage)) => format!("usage: {usage}"),
            (true, None) => "`sumpwright --help` lists the commands".to_owned(),
        },
    )
}

/// One quantity of kind `K`; `name` is the argument it was given for.
pub fn one<K: Kind>(name: &str, text: &str) -> Result<K, Fault> {
    read::one(text, Region::Us).map_err(|why| unread(name, &why))
}

/// The same when it may be absent.
pub fn maybe<K: Kind>(name: &str, text: Option<&String>) -> Result<Option<K>, Fault> {
    text.map(|text| one(name, text)).transpose()
}

/// A length on one side or the other: a leading minus is a direction here, not a range.
pub fn signed(name: &str, text: Option<&String>) -> Result<Option<Length>, Fault> {
    let Some(text) = text else { return Ok(None) };
    let text = text.trim();
    match text.strip_prefix(['-', '−', '–']) {
        Some(rest) => one::<Length>(name, rest).map(|length| Some(-length)),
        None => one(name, text.strip_prefix('+').unwrap_or(text)).map(Some),
    }
}

/// What the reader of quantities says, with the argument it was given for.
pub fn unread(name: &str, why: &read::ReadError) -> Fault {
    Fault::new(format!("{name}: {why}"), why.hint())
}

/// A plain number; a trailing unit of the given spellings is allowed.
pub fn number(name: &str, text: &str, units: &[&str]) -> Result<f64, Fault> {
    let mut bare = text.trim();
    for unit in units {
        bare = bare.strip_suffix(unit).unwrap_or(bare).trim_end();
    }
    match bare.replace(',', ".").parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(Fault::new(format!("{name}: \"{text}\" is no finite number"), "write a plain number such as 12.5")),
    }
}

/// A viscosity; a bare number is mm²/s, as every data sheet prints it.
pub fn viscosity(name: &str, text: &str) -> Result<KinematicViscosity, Fault> {
    match text.trim().replace(',', ".").parse::<f64>() {
        Ok(bare) => Ok(KinematicViscosity::from_mm2_per_s(bare)),
        Err(_) => one(name, text),
    }
}

/// A density; a bare number is kg/m³.
pub fn density(name: &str, text: &str) -> Result<Density, Fault> {
    match text.trim().replace(',', ".").parse::<f64>() {
        Ok(bare) => Ok(Density::from_kg_per_m3(bare)),
        Err(_) => one(name, text),
    }
}

/// Class of fluid whose typical figures stand in where none are given.
const TYPICAL: &str = "low-viscosity ATF";
/// Doubt of a density at 15 °C between fluids of one class: ±8 kg/m³, rectangular (typical, from memory).
const DENSITY_DOUBT: Density = Density::from_kg_per_m3(4.62);
/// Doubt of a coefficient of expansion as a share: ±3 %, rectangular (judgement).
const COEFFICIENT_DOUBT: f64 = 0.0173;

/// How the fluid swells.
#[derive(Debug, clap::Args)]
pub struct FluidArgs {
    /// Density of the fluid at 15 °C, from its data sheet [typical fluid if absent]
    #[arg(long, value_name = "DENSITY")]
    pub density15: Option<String>,
    /// Constant coefficient of expansion per kelvin, instead of a density
    #[arg(long, value_name = "PER_K", conflicts_with = "density15")]
    pub beta: Option<String>,
}

/// The figures of a typical fluid, for when the data sheet is not at hand.
pub fn typical_fluid() -> Result<physics::expansion::TypicalFluid, Fault> {
    physics::expansion::typical_fluids()
        .find(|fluid| fluid.class == TYPICAL)
        .ok_or_else(|| Fault::new("the table of typical fluids is damaged", "give --density15, --kv40 and --kv100"))
}

impl FluidArgs {
    /// How the fluid swells, and in words where that comes from.
    pub fn expansion(&self) -> Result<(Expansion, String), Fault> {
        Ok(match (&self.beta, &self.density15) {
            (Some(beta), _) => {
                let beta = number("--beta", beta, &["/K", "1"])?;
                (Expansion::Coefficient(beta), format!("the fluid swells by {beta} per K, as given"))
            }
            (None, Some(text)) => {
                let density = density("--density15", text)?;
                let words = format!("the fluid has {} kg/m³ at 15 °C, as given", density.kg_per_m3());
                (Expansion::Density15(density), words)
            }
            (None, None) => {
                let fluid = typical_fluid()?;
                let density = fluid.density15.kg_per_m3();
                let words = format!(
                    "the fluid has {density} kg/m³ at 15 °C: typical of a {} ({})",
                    TYPICAL,
                    fluid.status.replace('-', " ")
                );
                (Expansion::Density15(fluid.density15), words)
            }
        })
    }

    /// The same with its doubt, for the ledger.
    pub fn uncertain_expansion(&self) -> Result<(physics::balance::Expansion, String), Fault> {
        use physics::balance::Expansion as Doubted;
        let (expansion, words) = self.expansion()?;
        let doubted = match expansion {
            Expansion::Density15(density) => Doubted::Density15(Uncertain::new(density, DENSITY_DOUBT)),
            Expansion::Coefficient(beta) => {
                Doubted::Coefficient { per_kelvin: Uncertain::new(beta, COEFFICIENT_DOUBT * beta), density: None }
            }
        };
        Ok((doubted, words))
    }
}
