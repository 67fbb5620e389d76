//! `read`: understand a quantity as printed.

use quantity::print::{self, Units};
use quantity::read::{Dimension, Reading, Region, read};
use quantity::{Duration, Span, TemperatureRate};
use serde_json::json;

use crate::args::unread;
use crate::print::{Answer, Fault, rows};

/// Whose measure an unnamed gallon, quart or pint is.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
pub enum RegionName {
    /// US liquid measure
    Us,
    /// British imperial measure
    Imperial,
}

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The quantity, one argument: "43–53 °C (109–127 °F)"
    #[arg(value_name = "TEXT", allow_hyphen_values = true)]
    text: String,
    /// Whose gallon, quart or pint is meant where the text does not say
    #[arg(long, value_name = "REGION", default_value = "us")]
    region: RegionName,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let region = match args.region {
        RegionName::Us => Region::Us,
        RegionName::Imperial => Region::Imperial,
    };
    let reading = read(&args.text, region).map_err(|why| unread("TEXT", &why))?;
    let usable = usable(args, region, reading.dimension, units);
    // Units that share nothing leave no value to work with.
    let nothing = reading.part.is_none();
    Ok(Answer::new(text(&reading, usable), json!(reading)).objecting(nothing))
}

/// The common part in the units asked for; durations and rates print alike in both.
fn usable(args: &Args, region: Region, dimension: Dimension, units: Units) -> Option<String> {
    use quantity::read::span;
    let text = &args.text;
    Some(match dimension {
        Dimension::Temperature => print::temperature_span(span(text, region).ok()?, units),
        Dimension::Torque => print::torque_span(span(text, region).ok()?, units),
        Dimension::Volume => print::volume_span(span(text, region).ok()?, units),
        Dimension::Distance => print::distance_span(span(text, region).ok()?, units),
        Dimension::Length => print::length_span(span(text, region).ok()?, units),
        Dimension::Area => print::area_span(span(text, region).ok()?, units),
        Dimension::Pressure => print::pressure_span(span(text, region).ok()?, units),
        Dimension::KinematicViscosity => print::viscosity_span(span(text, region).ok()?, units),
        Dimension::Density => print::density_span(span(text, region).ok()?, units),
        Dimension::Mass => print::mass_span(span(text, region).ok()?, units),
        Dimension::Angle => print::angle_span(span(text, region).ok()?, units),
        Dimension::TemperatureRate => {
            let rate: Span<TemperatureRate> = span(text, region).ok()?;
            ends(print::rate(rate.low, units), print::rate(rate.high, units))
        }
        Dimension::Duration => {
            let time: Span<Duration> = span(text, region).ok()?;
            ends(print::duration(time.low), print::duration(time.high))
        }
        _ => return None,
    })
}

fn ends(low: String, high: String) -> String {
    if low == high { low } else { format!("{low} to {high}") }
}

fn text(reading: &Reading, usable: Option<String>) -> String {
    let mut lines = vec![("What", reading.dimension.to_string())];
    lines.extend(reading.readings.iter().map(|value| ("Printed", value.text.clone())));
    if reading.readings.len() > 1 {
        let agree = if reading.agree { "yes, within the rounding of the printed digits" } else { "NO" };
        lines.push(("Agree", agree.to_owned()));
    }
    lines.push(("Use", usable.unwrap_or_else(|| "nothing: the printed values have no common part".to_owned())));
    lines.extend(reading.note.iter().map(|note| ("Note", note.clone())));
    rows(&lines)
}
