//! `level`: what a level is off by, part by part.

use physics::level::{
    ClosedLate, Direction, Elsewhere, LevelError, SensorPlace, Setting, Tilt, level_error, tilt_from_rise,
};
use quantity::print::{self, Units};
use quantity::read::{Region, span};
use quantity::{Angle, Area, Length, Temperature, TemperatureDifference, Uncertain, Volume};
use serde_json::{Value, json};

use crate::args::{FluidArgs, maybe, one, signed};
use crate::print::{Answer, Fault, expanded, list, rows, table};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// All fluid that communicates with the sump
    #[arg(long, value_name = "VOLUME")]
    charge: String,
    /// Fluid temperature when the plug was closed
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    set_at: String,
    /// Temperature for which the level is stated
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    reference: String,
    /// Tilt along the vehicle, nose up positive
    #[arg(long, value_name = "ANGLE", requires_all = ["offset", "sump_area"], allow_hyphen_values = true)]
    tilt: Option<String>,
    /// The same as a rise of the nose over --wheelbase: "150 mm"
    #[arg(long, value_name = "LENGTH", requires_all = ["wheelbase", "offset", "sump_area"], conflicts_with = "tilt", allow_hyphen_values = true)]
    rise: Option<String>,
    /// Standpipe from the middle of the fluid's surface, ahead positive, behind negative
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    offset: Option<String>,
    /// Tilt across the vehicle, right side up positive
    #[arg(long, value_name = "ANGLE", requires_all = ["offset_across", "sump_area"], allow_hyphen_values = true)]
    tilt_across: Option<String>,
    /// Standpipe from the middle of the fluid's surface, right positive, left negative
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    offset_across: Option<String>,
    /// Standard uncertainty of a tilt
    #[arg(long, value_name = "ANGLE", default_value = "0.2°")]
    tilt_u: String,
    /// Free surface of the fluid in the sump
    #[arg(long, value_name = "AREA")]
    sump_area: Option<String>,
    /// Standard uncertainty of the temperature reading: "2 K"
    #[arg(long, value_name = "DIFFERENCE")]
    sensor_u: Option<String>,
    /// Where the temperature was read
    #[arg(long, value_name = "PLACE", value_parser = ["sump", "converter-outlet", "infrared-on-paint", "infrared-on-bare-aluminium"], default_value = "sump")]
    sensor_place: String,
    /// What the sensor reads too much, from a comparison on the cold unit: "2 ± 0.5 K"; replaces what is usual for its place
    #[arg(long, value_name = "DIFFERENCE", allow_hyphen_values = true)]
    sensor_offset: Option<String>,
    /// Fluid elsewhere, and how much warmer than the sump it is: "3 L@15 K"; at most two
    #[arg(long, value_name = "V@DIFFERENCE")]
    elsewhere: Vec<String>,
    /// Fluid left above the lip when the plug was closed: "20 ± 10 mL"
    #[arg(long, value_name = "VOLUME")]
    left: Option<String>,
    /// Time from the noted temperature to the closed plug
    #[arg(long, value_name = "TIME", requires = "rate")]
    late: Option<String>,
    /// How fast it warmed meanwhile: "1.8 °C/min"
    #[arg(long, value_name = "RATE", requires = "late", allow_hyphen_values = true)]
    rate: Option<String>,
    /// The ranges were not held before setting
    #[arg(long)]
    selector_not_cycled: bool,
    /// The engine stood still while the plug was out
    #[arg(long)]
    engine_stopped: bool,
    /// Distance between the axles, for advice in mm at the stands
    #[arg(long, value_name = "LENGTH")]
    wheelbase: Option<String>,
    /// Distance between left and right stands, for advice
    #[arg(long, value_name = "LENGTH")]
    track: Option<String>,
    #[command(flatten)]
    fluid: FluidArgs,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let (fluid, words) = args.fluid.expansion()?;
    let mut setting = Setting::new(
        one("--charge", &args.charge)?,
        one("--set-at", &args.set_at)?,
        one("--reference", &args.reference)?,
        fluid,
    );
    setting.sump_area = maybe("--sump-area", args.sump_area.as_ref())?;
    setting.sensor_u = maybe("--sensor-u", args.sensor_u.as_ref())?;
    setting.sensor_place = match args.sensor_place.as_str() {
        "converter-outlet" => SensorPlace::ConverterOutlet,
        "infrared-on-paint" => SensorPlace::InfraredOnPaint,
        "infrared-on-bare-aluminium" => SensorPlace::InfraredOnBareAluminium,
        _ => SensorPlace::Sump,
    };
    setting.sensor_offset = args.sensor_offset.as_deref().map(|text| kelvin("--sensor-offset", text)).transpose()?;
    elsewhere(&args.elsewhere, &mut setting)?;
    setting.wheelbase = maybe("--wheelbase", args.wheelbase.as_ref())?;
    setting.track = maybe("--track", args.track.as_ref())?;
    setting.selector_cycled = !args.selector_not_cycled;
    setting.engine_ran = !args.engine_stopped;
    setting.tilt = tilt(args, setting.wheelbase)?;
    setting.left_at_closing = args.left.as_deref().map(left).transpose()?;
    if let (Some(late), Some(rate)) = (&args.late, &args.rate) {
        setting.closed_late = Some(ClosedLate { after: one("--late", late)?, rate: one("--rate", rate)? });
    }
    let area_stated = setting.sump_area.is_some();
    let assumed: Vec<String> = std::iter::once(words).chain(typical(&mut setting, args)?).collect();
    let mut level = level_error(&setting)?;
    // A height on a surface that nobody stated says nothing.
    level.height = level.height.filter(|_| area_stated);
    Ok(Answer::new(text(&level, setting.reference, &assumed, units), document(&level, &assumed)))
}

/// Doubt of a reading of the fluid whose doubt is not stated, of a vehicle whose tilt nobody measured, the surface of a sump and the
/// distance of a standpipe from its middle where they are not stated: typical, common practice, no source.
const TYPICAL_SENSOR_K: f64 = 2.0;
const TYPICAL_TILT: Angle = Angle::from_degrees(0.5);
const TYPICAL_AREA: Area = Area::from_square_metres(0.08);
const TYPICAL_OFFSET: Length = Length::from_mm(100.0);

/// What was not stated is not known perfectly: it enters with its typical doubt, and is said.
fn typical(setting: &mut Setting, args: &Args) -> Result<Vec<String>, Fault> {
    let mut said = Vec::new();
    if setting.sensor_u.is_none() {
        setting.sensor_u = Some(TemperatureDifference::from_kelvin(TYPICAL_SENSOR_K));
        said.push(format!("temperature reading good to {TYPICAL_SENSOR_K} K: typical, not stated (--sensor-u)"));
    }
    if setting.sump_area.is_none() {
        setting.sump_area = Some(TYPICAL_AREA);
        said.push("fluid surface 0.08 m²: typical, not stated (--sump-area)".to_owned());
    }
    if setting.tilt.is_none() {
        let ahead: Option<Length> = signed("--offset", args.offset.as_ref())?;
        let right: Option<Length> = signed("--offset-across", args.offset_across.as_ref())?;
        setting.tilt = Some(Tilt {
            nose_up: Angle::default(),
            right_up: Angle::default(),
            lip_ahead: ahead.unwrap_or(TYPICAL_OFFSET),
            lip_right: right.unwrap_or_default(),
            u: TYPICAL_TILT,
        });
        said.push("level within 0.5°, standpipe 100 mm from the middle unless stated: nobody measured the tilt (--tilt, --offset)".to_owned());
    }
    said.push("the lip repeats to 0.5 mm; k = 2 on every ±".to_owned());
    Ok(said)
}

fn tilt(args: &Args, wheelbase: Option<Length>) -> Result<Option<Tilt>, Fault> {
    let rise = signed("--rise", args.rise.as_ref())?;
    let along: Option<Angle> = match rise.zip(wheelbase) {
        Some((rise, base)) => Some(tilt_from_rise(rise, base)?),
        None => maybe("--tilt", args.tilt.as_ref())?,
    };
    let across: Option<Angle> = maybe("--tilt-across", args.tilt_across.as_ref())?;
    if along.is_none() && across.is_none() {
        return Ok(None);
    }
    Ok(Some(Tilt {
        nose_up: along.unwrap_or_default(),
        right_up: across.unwrap_or_default(),
        lip_ahead: signed("--offset", args.offset.as_ref())?.unwrap_or_default(),
        lip_right: signed("--offset-across", args.offset_across.as_ref())?.unwrap_or_default(),
        u: one("--tilt-u", &args.tilt_u)?,
    }))
}

/// A volume with its half-width, rectangular: "20 ± 10 mL".
fn left(text: &str) -> Result<Uncertain<Volume>, Fault> {
    let span = quantity::read::volume(text).map_err(|why| crate::args::unread("--left", &why))?;
    Ok(Uncertain::new((span.low + span.high) * 0.5, (span.high - span.low) / (2.0 * 3f64.sqrt())))
}

/// A difference of temperatures; "a ± b" is a rectangular half-width, as in a manual.
fn kelvin(name: &str, text: &str) -> Result<Uncertain<TemperatureDifference>, Fault> {
    let span = span::<TemperatureDifference>(text, Region::Us).map_err(|why| crate::args::unread(name, &why))?;
    let (low, high) = (span.low.kelvin(), span.high.kelvin());
    Ok(Uncertain::new((low + high) / 2.0, (high - low) / 12f64.sqrt()).map(TemperatureDifference::from_kelvin))
}

fn elsewhere(texts: &[String], setting: &mut Setting) -> Result<(), Fault> {
    let places = setting.elsewhere.len();
    if texts.len() > places {
        let hint = "put together what is at about the same temperature";
        return Err(Fault::new(format!("--elsewhere was given {} times, {places} are taken", texts.len()), hint));
    }
    for (place, text) in setting.elsewhere.iter_mut().zip(texts) {
        let Some((volume, warmer)) = text.split_once('@') else {
            let what = format!("--elsewhere: \"{text}\" has no difference");
            return Err(Fault::new(what, "write volume@difference from the sump, as in \"3 L@15 K\""));
        };
        let volume = one("--elsewhere", volume)?;
        *place = Some(Elsewhere { volume, warmer: kelvin("--elsewhere", warmer)? });
    }
    Ok(())
}

fn document(level: &LevelError, assumed: &[String]) -> Value {
    let parts: Vec<Value> = level
        .parts
        .iter()
        .map(|part| {
            let direction = match part.direction {
                Direction::Over => json!("over"),
                Direction::Under => json!("under"),
                // A doubt without a known sign.
                Direction::Either => Value::Null,
            };
            json!({ "name": part.name, "ml": part.error.ml(), "u_ml": part.u.ml(), "direction": direction })
        })
        .collect();
    json!({
        "error_ml": { "value": level.error.value.ml(), "u": level.error.u.ml() },
        "height_mm": level.height.map(|height| json!({ "value": height.value.mm(), "u": height.u.mm() })),
        "parts": parts,
        "advice": level.advice.iter().map(|advice| &advice.text).collect::<Vec<_>>(),
        "assumptions": assumed,
    })
}

fn text(level: &LevelError, reference: Temperature, assumed: &[String], units: Units) -> String {
    let e = level.error;
    let doubt = 2.0 * e.u.ml();
    let words = match e.value.ml() {
        x if x > doubt => "overfilled",
        x if x < -doubt => "underfilled",
        _ => "no error that can be told from the doubt",
    };
    let mut lines =
        vec![("Level error", format!("{} at {}: {words}", expanded(e, units), print::temperature(reference, units)))];
    lines.extend(level.height.map(|height| {
        (
            "Height",
            format!("{} over the lip", print::length_uncertain(Uncertain::new(height.value, height.u * 2.0), units)),
        )
    }));
    let ml = |volume: Volume| print::volume(volume, units);
    let parts: Vec<Vec<String>> = level
        .parts
        .iter()
        .filter(|part| part.error.ml().abs() >= 0.5 || part.u.ml() >= 0.5)
        .map(|part| {
            let direction = match part.direction {
                Direction::Over => "too much",
                Direction::Under => "too little",
                Direction::Either => "either way",
            };
            vec![part.name.to_owned(), ml(part.error), ml(part.u * 2.0), direction.to_owned()]
        })
        .collect();
    let advice: Vec<&str> = level.advice.iter().map(|advice| advice.text.as_str()).collect();
    rows(&lines)
        + "\n"
        + &table(&["Part", " error", " ± (k = 2)", "Direction"], &parts)
        + &list("Better", &advice)
        + &list("It assumes", assumed)
}
