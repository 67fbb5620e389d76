//! `predict`: when the window opens and closes, from readings.

use std::path::Path;

use link::readings::{ReadingsFile, parse_file, parse_reader};
use physics::expansion::{Expansion, expansion_flow};
use physics::warmup::{Forecast, Interval, Knowledge, Reaches, ReadingPoint, forecast};
use quantity::print::{self, Units};
use quantity::read::{self, Region};
use quantity::{Duration, Flow, Span, Temperature, TemperatureRate};
use serde_json::{Value, json};
use sheet::{Sheet, Sourced};

use super::sheets::sheet_of;
use crate::args::{maybe, unread};
use crate::print::{Answer, Fault, list, rows};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Readings as CSV with a header: elapsed_s or time, temperature_c or temperature_f, coolant_c if read; - is stdin
    #[arg(long, value_name = "FILE")]
    readings: String,
    /// The window as printed: "35–45 °C" [the sheet's if absent]
    #[arg(long, value_name = "TEXT", required_unless_present = "sheet", allow_hyphen_values = true)]
    window: Option<String>,
    /// Air around the vehicle
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    ambient: Option<String>,
    /// Sheet of the unit: gives the window and the expansion
    #[arg(long, value_name = "SHEET")]
    sheet: Option<String>,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let sheet = args.sheet.as_deref().map(sheet_of).transpose()?.map(|found| found.0);
    let (window, note) = window(args, sheet.as_ref())?;
    let known = Knowledge { ambient: maybe("--ambient", args.ambient.as_ref())?, ..Knowledge::default() };
    let file = readings(&args.readings)?;
    let points: Vec<ReadingPoint> = file
        .points
        .iter()
        .map(|point| ReadingPoint {
            elapsed_s: point.elapsed_s,
            temperature: point.temp,
            quantum: None,
            coolant: point.coolant,
        })
        .collect();
    if points.is_empty() {
        let first = file.findings.first().map_or_else(String::new, |f| format!(" (line {}: {})", f.line, f.message));
        return Err(Fault::new(
            format!("{}: no line holds a usable reading{first}", args.readings),
            "each line needs a time and a temperature, as in \"60,24.5\" below \"elapsed_s,temperature_c\"",
        ));
    }
    let told = forecast(&points, window, &known)?;
    let swell = sheet.as_ref().and_then(|sheet| expansion(sheet, &told));
    let mut findings: Vec<Value> = file.findings.iter().map(|finding| json!(finding)).collect();
    findings.extend(note.iter().map(|note| json!({ "code": "units_disagree", "message": note })));
    findings.extend(told.findings.iter().map(|finding| json!(finding)));
    let mut document = json!(told);
    document["window_c"] = json!({ "low": window.low, "high": window.high });
    document["readings"] = json!(points.len());
    document["expansion_ml_per_min"] = json!(swell.map(Flow::ml_per_minute));
    document["findings"] = json!(findings);
    let never = document["reaches"] == "no";
    Ok(Answer::new(text(&told, &file, window, note, swell, units), document).objecting(never))
}

/// The file's readings, or stdin's.
pub fn readings(given: &str) -> Result<ReadingsFile, Fault> {
    if given == "-" {
        return Ok(parse_reader("stdin", std::io::stdin().lock())?);
    }
    let path = Path::new(given);
    if path.is_dir() {
        return Err(Fault::new(format!("{given} is a folder, not a file of readings"), "name the CSV file inside it"));
    }
    Ok(parse_file(path)?)
}

fn window(args: &Args, sheet: Option<&Sheet>) -> Result<(Span<Temperature>, Option<String>), Fault> {
    match (&args.window, sheet) {
        (Some(text), _) => {
            let (span, reading) =
                read::full::<Temperature>(text, Region::Us).map_err(|why| unread("--window", &why))?;
            Ok((span, reading.note))
        }
        (None, Some(sheet)) => match sheet.window_span() {
            Some(window) => Ok((window, None)),
            None => Err(Fault::new("the sheet states no temperature range", "give --window \"35–45 °C\"")),
        },
        (None, None) => Err(Fault::new("no window is given", "give --window \"35–45 °C\" or --sheet SHEET")),
    }
}

/// Flow at the lip from expansion alone, with the sheet's charge; `None` when the sheet or the readings do not carry it.
fn expansion(sheet: &Sheet, told: &Forecast) -> Option<Flow> {
    let density = sheet.fluid.density15.as_ref().map(Sourced::mid)?;
    let beta = Expansion::Density15(density).coefficient_at(told.temperature).ok()?;
    expansion_flow(sheet.capacity.total.mid(), beta, told.rate?).ok()
}

fn text(
    told: &Forecast,
    file: &ReadingsFile,
    window: Span<Temperature>,
    note: Option<String>,
    swell: Option<Flow>,
    units: Units,
) -> String {
    let seconds = |s: f64| print::duration(Duration::from_seconds(s));
    let mut now = format!("{} at {}", print::temperature(told.temperature, units), seconds(told.now_s));
    if let Some(rate) = told.rate {
        let way = if rate.kelvin_per_minute() < 0.0 { "falling" } else { "rising" };
        let size = TemperatureRate::from_kelvin_per_minute(rate.kelvin_per_minute().abs());
        now.push_str(&format!(", {way} {}", print::rate(size, units)));
    }
    // An end is told as a wait from now and as a time on the readings' own axis.
    let when = |interval: Interval| {
        let wait = |s: f64| seconds((s - told.now_s).max(0.0));
        format!(
            "in {} ({} to {}), at {} of the readings",
            wait(interval.p50),
            wait(interval.p10),
            wait(interval.p90),
            seconds(interval.p50)
        )
    };
    let reaches = match told.reaches {
        _ if told.temperature > window.high => "above it now: too hot to set the level",
        _ if window.contains(told.temperature) => "inside now",
        Reaches::Yes => "yes",
        Reaches::Unsure => "perhaps: the times below hold if it does",
        Reaches::No => "no, not at this idle",
    };
    let mut lines =
        vec![("Window", print::temperature_span(window, units)), ("Now", now), ("Reaches it", reaches.to_owned())];
    lines.extend(told.opens_s.map(|opens| ("Opens", when(opens))));
    lines.extend(told.closes_s.map(|closes| ("Closes", when(closes))));
    lines.extend(told.dwell_s.map(|dwell| {
        ("Stays open", format!("{} ({} to {})", seconds(dwell.p50), seconds(dwell.p10), seconds(dwell.p90)))
    }));
    lines.extend(told.back_s.map(|back| {
        let back = back.map(|wait| wait + told.now_s);
        ("Back in it", format!("{}, with the engine off", when(back)))
    }));
    lines.extend(told.ends_at.map(|ends| {
        let span = print::temperature_span(Span { low: ends.p10, high: ends.p90 }, units);
        ("Levels off", format!("{} ({span})", print::temperature(ends.p50, units)))
    }));
    lines.extend(
        swell
            .filter(|flow| flow.ml_per_minute() > 0.0)
            .map(|flow| ("Expansion", format!("{} at the lip, from warming alone", print::flow(flow, units)))),
    );
    let mut findings: Vec<String> = file.findings.iter().map(|f| format!("line {}: {}", f.line, f.message)).collect();
    findings.extend(note);
    findings.extend(told.findings.iter().map(|finding| finding.message.clone()));
    rows(&lines) + &list("Mind", &findings) + "\nIn brackets: an 80 % interval.\n"
}
