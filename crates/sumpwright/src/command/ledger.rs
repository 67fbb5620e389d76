//! `ledger`: mass balance at the reference temperature.

use job::Command as JobCommand;
use job::words::{self, Fields};
use physics::balance::{
    Amount, Balance, Explanation, Known, Ledger, Portion, USUAL_TOLERANCE, Way, balance, explanations,
};
use quantity::print::{self, Units};
use quantity::{Temperature, Uncertain, Volume};
use serde_json::{Value, json};

use crate::args::{FluidArgs, maybe, one};
use crate::print::{Answer, Fault, expanded, list, rows, table};

/// Doubt of a thermometer in a jug or pan: common practice, no source.
const THERMOMETER_K: f64 = 1.5;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Poured in: "5.00 L@20 °C", "4.9 ± 0.05 L@20 °C"; repeat for each portion
    #[arg(long = "in", value_name = "V@T")]
    poured: Vec<String>,
    /// Drained out
    #[arg(long = "out", value_name = "V@T")]
    drained: Vec<String>,
    /// Run off at the level plug
    #[arg(long = "runoff", value_name = "V@T")]
    run_off: Vec<String>,
    /// Came with filter and pan
    #[arg(long, value_name = "V@T")]
    residue: Vec<String>,
    /// All volumes are stated at this temperature
    #[arg(long, value_name = "TEMPERATURE", default_value = "20 °C", allow_hyphen_values = true)]
    reference: String,
    /// The balance closes when it is off by no more than this
    #[arg(long, value_name = "VOLUME")]
    tolerance: Option<String>,
    /// Standard uncertainty of the level as left; it counts when run-off was measured, which sets the level
    #[arg(long, value_name = "VOLUME", default_value = "40 mL")]
    level_u: String,
    /// What was poured from, to tell a miscounted container when the ledger does not close
    #[arg(long, value_name = "VOLUME")]
    container: Option<String>,
    #[command(flatten)]
    fluid: FluidArgs,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let lists = [
        (Way::Poured, "--in", &args.poured),
        (Way::Drained, "--out", &args.drained),
        (Way::RunOff, "--runoff", &args.run_off),
        (Way::Residue, "--residue", &args.residue),
    ];
    let mut portions = Vec::new();
    for (way, name, texts) in lists {
        for text in texts {
            portions.push(portion(way, name, text)?);
        }
    }
    if portions.is_empty() {
        return Err(Fault::new(
            "the ledger is empty",
            "give at least one of --in, --out, --runoff, --residue as \"5.00 L@20 °C\"",
        ));
    }
    let (expansion, fluid) = args.fluid.uncertain_expansion()?;
    let level_u: Volume = one("--level-u", &args.level_u)?;
    let mut assumptions =
        vec![fluid, format!("temperatures are good to {THERMOMETER_K} K (common practice, no source)")];
    let level = (!args.run_off.is_empty()).then(|| Uncertain::new(Volume::default(), level_u));
    assumptions.push(match level {
        Some(_) => {
            format!("the level as left is right, with a standard uncertainty of {}", print::volume(level_u, units))
        }
        None => "no run-off was measured: the level was not set, so nothing can be said about as found".to_owned(),
    });
    let ledger = Ledger {
        portions,
        expansion,
        reference: one("--reference", &args.reference)?,
        level,
        tolerance: maybe("--tolerance", args.tolerance.as_ref())?.unwrap_or(USUAL_TOLERANCE),
    };
    let found = balance(&ledger)?;
    let list = explanations(
        &ledger,
        &found,
        &Known { engine_stopped: None, container: maybe("--container", args.container.as_ref())? },
    )?;
    let text = text(&found, &ledger, &assumptions, units) + &explained(&list, units);
    let open = !found.closes;
    Ok(Answer::new(text, document(&found, &assumptions, &list)).objecting(open))
}

/// A volume with its temperature, read as a job reads one that is poured.
fn portion(way: Way, name: &str, text: &str) -> Result<Portion, Fault> {
    let Some((volume, at)) = text.split_once('@') else {
        return Err(Fault::new(
            format!("{name}: \"{text}\" has no temperature"),
            "write volume@temperature, as in \"5.00 L@20 °C\"",
        ));
    };
    let fields: Fields = [("volume", volume), ("at", at)].map(|(key, value)| (key.to_owned(), value.to_owned())).into();
    let command =
        words::command("pour", &fields).map_err(|why| Fault::new(format!("{name}: {}", why.what), why.hint))?;
    let JobCommand::Pour(measure) = command else {
        return Err(Fault::new(
            format!("{name}: \"{text}\" is no volume"),
            "write volume@temperature, as in \"5.00 L@20 °C\"",
        ));
    };
    Ok(Portion {
        way,
        amount: Amount::Measured(Uncertain::new(measure.volume_ml, measure.u_ml)),
        temperature: Uncertain::new(measure.temp_c, Temperature::from_celsius(THERMOMETER_K)),
        thermometer: None,
        readings: None,
    })
}

/// More than this many explanations are not read.
const MOST_EXPLANATIONS: usize = 4;

/// What may have gone wrong, when the ledger does not close.
fn explained(list: &[Explanation], units: Units) -> String {
    if list.is_empty() {
        return String::new();
    }
    let body: Vec<Vec<String>> = list
        .iter()
        .take(MOST_EXPLANATIONS)
        .map(|e| vec![format!("{:.0} %", 100.0 * e.share), print::volume(e.explains, units), e.text.clone()])
        .collect();
    "\n".to_owned() + &table(&["Likely", " explains", "what"], &body)
}

fn document(found: &Balance, assumptions: &[String], list: &[Explanation]) -> Value {
    let mut document = json!(found);
    document["verdict_words"] = json!(found.verdict.words());
    document["explanations"] = json!(list);
    document["assumptions"] = json!(assumptions);
    document
}

fn text(found: &Balance, ledger: &Ledger, assumptions: &[String], units: Units) -> String {
    let at = print::temperature(found.reference, units);
    let body: Vec<Vec<String>> = ledger
        .portions
        .iter()
        .zip(&found.portions)
        .map(|(portion, converted)| {
            let measured = match portion.amount {
                Amount::Measured(volume) => print::volume(volume.value, units),
                Amount::Weighed(mass) => print::mass(mass.value, units),
            };
            vec![
                converted.way.name().to_owned(),
                format!("{measured} at {}", print::temperature(portion.temperature.value, units)),
                print::volume_uncertain(converted.at_reference, units),
            ]
        })
        .collect();
    let closes = if found.closes { "closes" } else { "does NOT close" };
    let mut lines = vec![(
        "Unit gained",
        format!("{}; the ledger {closes} within {}", expanded(found.net, units), print::volume(found.tolerance, units)),
    )];
    lines.push((
        "As found",
        match found.as_found {
            Some(error) => format!("{}: {}", expanded(error, units), found.verdict.words()),
            None => found.verdict.words().trim_start_matches("as found ").to_owned(),
        },
    ));
    let budget: Vec<Vec<String>> = found
        .budget
        .iter()
        .filter(|row| row.contribution.ml() >= 0.5)
        .map(|row| {
            vec![row.input.clone(), print::volume(row.contribution, units), format!("{:.0} %", row.share_percent)]
        })
        .collect();
    table(&["", "measured", &format!(" at {at}")], &body)
        + "\n"
        + &rows(&lines)
        + "\n"
        + &table(&["Doubt from", " u", " share"], &budget)
        + &list("It assumes", assumptions)
}
