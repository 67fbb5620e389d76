//! `thermometer`: which of several instruments tells the truth on a vehicle that stood for a night.

use physics::thermometer::{Comparison, Instrument, Trust, compare, worth};
use quantity::print::{self, Units};
use quantity::{Duration, Temperature, TemperatureDifference, Volume};
use serde_json::{Value, json};

use crate::args::{maybe, unread};
use crate::print::{Answer, Fault, list, rows, table};

/// Expansion of a typical fluid per kelvin, for what an offset is worth: 0.6278 / 845 (ASTM D1250 lubricating-oil constant).
const PER_KELVIN: f64 = 0.000_743;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// An instrument and what it reads: probe="18.2 °C"; the same name again adds a reading, "18.2 ± 0.3 °C" its doubt
    #[arg(value_name = "NAME=TEMPERATURE", required = true)]
    readings: Vec<String>,
    /// The instrument that the others are judged by, one with a certificate
    #[arg(long, value_name = "NAME")]
    reference: Option<String>,
    /// How long the vehicle stood with the engine off
    #[arg(long, value_name = "TIME")]
    stood: Option<String>,
    /// The whole fill, to say what an offset is worth
    #[arg(long, value_name = "VOLUME")]
    charge: Option<String>,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let instruments = instruments(&args.readings, args.reference.as_deref())?;
    let stood: Option<Duration> = maybe("--stood", args.stood.as_ref())?;
    let charge: Option<Volume> = maybe("--charge", args.charge.as_ref())?;
    let found = compare(&instruments, stood)?;
    let worths: Vec<Option<Volume>> = found
        .graded
        .iter()
        .map(|one| charge.and_then(|charge| worth(charge, PER_KELVIN, one.offset.value).ok()))
        .collect();
    let wrong = found.graded.iter().any(|one| matches!(one.trust, Trust::Refused | Trust::Substitute | Trust::Unclear));
    let answer = Answer::new(text(&found, &worths, units), document(&found, &worths));
    Ok(Answer { objection: wrong, ..answer })
}

/// Instruments by name, in the order they are first named.
fn instruments(given: &[String], reference: Option<&str>) -> Result<Vec<Instrument>, Fault> {
    let mut all: Vec<Instrument> = Vec::new();
    for text in given {
        let Some((name, reading)) = text.split_once('=').map(|(name, reading)| (name.trim(), reading)) else {
            return Err(Fault::new(format!("\"{text}\" is no reading"), "write name=temperature: probe=\"18.2 °C\""));
        };
        let span = quantity::read::temperature(reading).map_err(|why| unread(name, &why))?;
        let half = (span.high - span.low).kelvin() / 2.0;
        let middle = span.low + TemperatureDifference::from_kelvin(half);
        // A half-width is rectangular, JCGM 100:2008, 4.3.7.
        let u = (half > 0.0).then(|| TemperatureDifference::from_kelvin(half / 3f64.sqrt()));
        match all.iter_mut().find(|one| one.name == name) {
            Some(one) => {
                one.readings.push(middle);
                one.u = u.or(one.u);
            }
            None => all.push(Instrument {
                name: name.to_owned(),
                readings: vec![middle],
                u,
                reference: reference == Some(name),
            }),
        }
    }
    if let Some(reference) = reference.filter(|name| all.iter().all(|one| one.name != *name)) {
        return Err(Fault::new(format!("no instrument is called \"{reference}\""), "name one of those that read"));
    }
    Ok(all)
}

fn document(found: &Comparison, worths: &[Option<Volume>]) -> Value {
    let graded: Vec<Value> = found
        .graded
        .iter()
        .zip(worths)
        .map(|(one, worth)| {
            json!({
                "name": one.name, "mean_c": one.mean, "trust": one.trust.word(), "why": one.why,
                "offset_k": { "value": one.offset.value.kelvin(), "u": one.offset.u.kelvin() },
                "worth_ml": worth.map(Volume::ml),
            })
        })
        .collect();
    json!({
        "truth_c": { "value": found.truth, "u": found.truth_u.kelvin() },
        "instruments": graded,
        "remarks": found.remarks,
    })
}

fn text(found: &Comparison, worths: &[Option<Volume>], units: Units) -> String {
    let temperature = |t: Temperature| print::temperature(t, units);
    let body: Vec<Vec<String>> = found
        .graded
        .iter()
        .zip(worths)
        .map(|(one, worth)| {
            vec![
                one.name.clone(),
                temperature(one.mean),
                print::difference(one.offset.value, units),
                worth.map_or_else(String::new, |ml| print::volume(ml, units)),
                one.trust.words().to_owned(),
            ]
        })
        .collect();
    let truth = format!("{} (k = 2)", print::temperature_uncertain(found.truth, found.truth_u * 2.0, units));
    let why: Vec<String> = found.graded.iter().map(|one| format!("{}: {}", one.name, one.why)).collect();
    rows(&[("Most likely", truth)])
        + "\n"
        + &table(&["Instrument", " Reads", " Off by", " Worth", "Trust"], &body)
        + &list("Why", &why)
        + &list("Mind", &found.remarks)
}
