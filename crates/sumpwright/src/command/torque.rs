//! `torque`: units, adapter geometry, wrench fit.

use physics::torque::{set_torque, wrench_fit};
use quantity::print::{self, Units};
use quantity::read::{self, Region};
use quantity::{Angle, Length, Span, Torque};
use serde_json::{Value, json};

use crate::args::{one, unread};
use crate::print::{Answer, Fault, rows};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The torque as printed: "25 N·m", "15 lbf·ft", "20–24 N·m"
    #[arg(value_name = "TEXT", allow_hyphen_values = true)]
    text: String,
    /// From the middle of the wrench's grip to its square
    #[arg(long, value_name = "LENGTH", requires = "adapter")]
    wrench_length: Option<String>,
    /// From the wrench's square to the fastener
    #[arg(long, value_name = "LENGTH", requires = "wrench_length")]
    adapter: Option<String>,
    /// Between the wrench's axis and the adapter: 0° lengthens, 90° changes nothing
    #[arg(long, value_name = "ANGLE", requires = "adapter", allow_hyphen_values = true, default_value = "0°")]
    angle: String,
    /// Scale of the wrench at hand: "40–200 N·m"
    #[arg(long, value_name = "TEXT")]
    wrench_range: Option<String>,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let (torque, reading) = read::full::<Torque>(&args.text, Region::Us).map_err(|why| unread("TEXT", &why))?;
    for end in [torque.low, torque.high] {
        physics::torque::TORQUE.check(end.nm())?;
    }
    let set = match (&args.wrench_length, &args.adapter) {
        (Some(wrench), Some(adapter)) => {
            let wrench: Length = one("--wrench-length", wrench)?;
            let adapter: Length = one("--adapter", adapter)?;
            let angle: Angle = one("--angle", &args.angle)?;
            let at = |torque| set_torque(torque, wrench, adapter, angle);
            Some(Span { low: at(torque.low)?, high: at(torque.high)? })
        }
        _ => None,
    };
    let fit = match &args.wrench_range {
        Some(text) => {
            let scale = read::span::<Torque>(text, Region::Us).map_err(|why| unread("--wrench-range", &why))?;
            Some(wrench_fit(set.unwrap_or(torque), scale)?)
        }
        None => None,
    };
    let span = |span: Span<Torque>, of: fn(Torque) -> f64| json!({ "low": of(span.low), "high": of(span.high) });
    let document = json!({
        "nm": span(torque, Torque::nm),
        "lbf_ft": span(torque, Torque::lbf_ft),
        "lbf_in": span(torque, Torque::lbf_in),
        "kgf_cm": span(torque, Torque::kgf_cm),
        "set_nm": set.map_or(Value::Null, |set| span(set, Torque::nm)),
        "wrench": fit.as_ref().map(|fit| json!({
            "fits": fit.fits, "why": fit.why, "share": { "low": fit.share.low, "high": fit.share.high } })),
        "agree": reading.agree,
        "note": reading.note,
    });
    let in_unit = |of: fn(Torque) -> f64, sign: &str| print::amount_span(of(torque.low), of(torque.high), sign);
    let mut lines = vec![
        ("Torque", print::torque_span(torque, units)),
        ("", in_unit(Torque::nm, "N·m")),
        ("", in_unit(Torque::lbf_ft, "lbf·ft")),
        ("", in_unit(Torque::lbf_in, "lbf·in")),
        ("", in_unit(Torque::kgf_cm, "kgf·cm")),
    ];
    // The first line says it in the units asked for; the same unit is not repeated below.
    lines.remove(if units == Units::Us { 2 } else { 1 });
    lines
        .extend(set.map(|set| ("Set", format!("{} on the wrench, with this adapter", print::torque_span(set, units)))));
    lines.extend(fit.map(|fit| ("Wrench", format!("{}: {}", if fit.fits { "fits" } else { "does not fit" }, fit.why))));
    lines.extend(reading.note.map(|note| ("Note", note)));
    Ok(Answer::new(rows(&lines), document))
}
