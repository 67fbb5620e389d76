//! `job show`: the jobs, or where one stands.

use app::{FloorRow, JobView, Live};
use job::prompt::Act;
use quantity::print::{self, Units};
use quantity::{Duration, Temperature, TemperatureRate};
use serde_json::{Value, json};

use super::{clock, log};
use crate::command::workshop::{DataArgs, wait};
use crate::print::{Answer, Fault, expanded, rows, table};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Short name of a job [default: list them all]
    #[arg(value_name = "JOB")]
    job: Option<String>,
    /// Every entry of the log, readings as well
    #[arg(long, requires = "job")]
    all: bool,
    #[command(flatten)]
    data: DataArgs,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    wait(async {
        let workshop = args.data.open().await?;
        Ok(match &args.job {
            None => {
                let floor = workshop.floor().await?;
                Answer::new(floor_text(&floor), json!({ "jobs": floor }))
            }
            Some(job) => {
                let view = workshop.view(job).await?;
                Answer::new(text(&view, args.all, units), document(&view))
            }
        })
    })
}

fn floor_text(floor: &[FloorRow]) -> String {
    if floor.is_empty() {
        return "No jobs yet. `sumpwright job open --sheet keld-o6 --vehicle \"…\"` opens one.\n".to_owned();
    }
    let body: Vec<Vec<String>> = floor
        .iter()
        .map(|row| {
            let stage = if row.damaged { "DAMAGED" } else { &row.stage };
            let out =
                if row.plugs_out.is_empty() { String::new() } else { format!("{} OUT", row.plugs_out.join(", ")) };
            let wait = [out, row.waits_for.clone()].into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>();
            vec![row.job.clone(), row.title.clone(), row.vehicle.clone(), stage.to_owned(), wait.join("; ")]
        })
        .collect();
    table(&["Job", "Unit", "Vehicle", "Stage", "Waits for"], &body)
}

fn document(view: &JobView) -> Value {
    let mut document = json!(view);
    document["plugs"] = json!(
        view.state
            .sheet
            .plugs
            .iter()
            .map(|plug| {
                let mut row = json!(view.state.plug_state(&plug.id));
                row["plug"] = json!(plug.id);
                row["name"] = json!(plug.name);
                row
            })
            .collect::<Vec<_>>()
    );
    document
}

fn seconds(s: f64) -> String {
    print::duration(Duration::from_seconds(s.max(0.0)))
}

/// The forecast's countdown, in rows; nothing before the engine idles, nor once the level is set.
pub fn countdown(view: &JobView) -> Vec<(&'static str, String)> {
    let live = &view.live;
    if live.idling_s.is_none() || live.ended || view.state.level_set() {
        return Vec::new();
    }
    let within = |[low, middle, high]: [f64; 3]| match high > 0.0 {
        true => format!("in {} ({} to {})", seconds(middle), seconds(low), seconds(high)),
        false => "already, by the forecast".to_owned(),
    };
    let mut lines = Vec::new();
    lines.extend(live.opens_in_s.map(|opens| ("Opens", within(opens))));
    lines.extend(live.closes_in_s.map(|closes| ("Closes", within(closes))));
    lines.extend(live.remark.clone().map(|remark| ("Forecast", remark)));
    lines
}

fn text(view: &JobView, all: bool, units: Units) -> String {
    let state = &view.state;
    let demo = if view.demo { "  DEMO, the vehicle is simulated" } else { "" };
    let mut text = format!("{}  {}, {}{demo}\n\n", view.job, state.sheet.name, state.opening.vehicle);
    let mut lines = vec![("Next", view.prompt.verb.clone()), ("", view.prompt.why.clone())];
    lines.extend(view.prompt.caution.clone().map(|caution| ("Caution", caution)));
    lines.extend(view.live.plugs_out.iter().map(|(name, since)| ("OUT", format!("{name}, for {}", seconds(*since)))));
    lines.push((
        "Window",
        state.sheet.window_span().map_or_else(String::new, |window| print::temperature_span(window, units)),
    ));
    lines.extend(fluid(&view.live, units).map(|fluid| ("Fluid", fluid)));
    lines.extend(countdown(view));
    lines.extend(figures(view, units));
    text.push_str(&rows(&lines));
    if let Some(act) = view.prompt.acts.first() {
        // On one line however long, so that it can be copied.
        text.push_str(&format!("\nTo enter it\n  {}\n", as_typed(&view.job, act)));
    }
    text.push_str("\nLog\n");
    let shown = view.log.iter().filter(|line| all || line.kind != "reading-taken");
    text.extend(shown.map(|line| log::line(line) + "\n"));
    let readings = state.readings.len();
    if readings > 0 && !all {
        text.push_str(&format!("      and {readings} readings (--all shows them)\n"));
    }
    text
}

fn fluid(live: &Live, units: Units) -> Option<String> {
    let temperature = print::temperature(Temperature::from_celsius(live.temperature_c?), units);
    let rate = live.rate_c_per_min.map_or_else(String::new, |rate| {
        let way = if rate < 0.0 { "falling" } else { "rising" };
        format!(", {way} {}", print::rate(TemperatureRate::from_kelvin_per_minute(rate.abs()), units))
    });
    let age = live.reading_age_s.map_or_else(String::new, |age| format!(", read {} ago", seconds(age)));
    Some(format!("{temperature}{rate}{age}"))
}

fn figures(view: &JobView, units: Units) -> Vec<(&'static str, String)> {
    let outcome = &view.outcome;
    let mut lines = Vec::new();
    lines.extend(
        outcome.as_found_ml.map(|e| ("As found", format!("{}: {}", expanded(e, units), outcome.as_found_words))),
    );
    let left = |outcome: &job::outcome::Outcome| match outcome.as_left_ml {
        Some(e) => format!("{}: {}", expanded(e, units), outcome.as_left_words),
        None => outcome.as_left_words.clone(),
    };
    let judged = |state: &job::State| state.level_verdict().is_some();
    let each = std::iter::once(outcome).chain(outcome.further.iter().map(|(_, further)| further));
    for (one, outcome) in view.state.circuits().iter().zip(each).filter(|(one, _)| judged(one)) {
        let side = view.state.sheet.circuit_name(&one.sheet.circuit.0);
        let words = left(outcome);
        lines.push(("As left", if side.is_empty() { words } else { format!("{side}: {words}") }));
    }
    lines.extend(outcome.ledger.as_ref().filter(|_| !view.state.poured.is_empty()).map(|ledger| {
        let said = if ledger.closes { "closes" } else { "does not close" };
        ("Ledger", format!("the unit gained {}; it {said}", expanded(ledger.net, units)))
    }));
    lines.extend(view.state.ended_ms.map(|at| ("Ended", clock(at, "%Y-%m-%d %H:%M"))));
    lines
}

/// What a button of the page would send, as a command to type.
fn as_typed(job: &str, act: &Act) -> String {
    let quoted = |name: &str, value: &str| {
        let plain =
            !value.is_empty() && value.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '_'));
        if plain { format!(" {name}={value}") } else { format!(" {name}=\"{value}\"") }
    };
    let mut typed = format!("sumpwright job log {job} {}", act.word);
    for (name, value) in &act.fixed {
        typed.push_str(&quoted(name, value));
    }
    for ask in &act.asks {
        let value = match (ask.options.is_empty(), ask.suggestion.as_str()) {
            (false, _) => ask.options.iter().map(|(word, _)| *word).collect::<Vec<_>>().join("|"),
            (true, "") => format!("… {}", ask.unit),
            (true, suggestion) if ask.unit.is_empty() || suggestion.ends_with(ask.unit) => suggestion.to_owned(),
            (true, suggestion) => format!("{suggestion} {}", ask.unit),
        };
        typed.push_str(&quoted(ask.field, value.trim()));
    }
    typed
}
