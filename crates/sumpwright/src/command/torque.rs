//! `torque`: units, adapter geometry, wrench fit.

use physics::torque::{Joint, Rubs, mixed_joints, set_torque, wrench_fit};
use quantity::print::{self, Units};
use quantity::read::{self, Region};
use quantity::{Angle, Length, Span, Torque, Uncertain};
use serde_json::{Value, json};

use crate::args::{one, unread};
use crate::print::{Answer, Fault, rows};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The torque as printed: "25 N·m", "18 lbf·ft", "22–26 N·m"
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
    /// Thread of the joints, diameter by pitch: "M14x1.5"
    #[arg(long, value_name = "THREAD", requires_all = ["seat", "rubs"])]
    thread: Option<String>,
    /// Mean diameter at which head or washer rubs
    #[arg(long, value_name = "LENGTH")]
    seat: Option<String>,
    /// What rubs, thread/washer: "oiled/copper", with dry, oiled, copper, aluminium, bonded, paste; repeat for joints that differ
    #[arg(long, value_name = "THREAD/WASHER")]
    rubs: Vec<String>,
}

/// Half-width of what a torque wrench gives: 4 %, rectangular (common for adjustable ones, second-hand).
const WRENCH_HALF_WIDTH: f64 = 0.04;

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
    let joints = joints(args)?;
    let middle = Torque::from_nm(f64::midpoint(torque.low.nm(), torque.high.nm()));
    let doubted = Uncertain::new(middle, Torque::from_nm(WRENCH_HALF_WIDTH * middle.nm() / 3f64.sqrt()));
    let mixed = if joints.is_empty() { None } else { Some(mixed_joints(doubted, &joints)?) };
    let span = |span: Span<Torque>, of: fn(Torque) -> f64| json!({ "low": of(span.low), "high": of(span.high) });
    let document = json!({
        "nm": span(torque, Torque::nm),
        "lbf_ft": span(torque, Torque::lbf_ft),
        "lbf_in": span(torque, Torque::lbf_in),
        "kgf_cm": span(torque, Torque::kgf_cm),
        "set_nm": set.map_or(Value::Null, |set| span(set, Torque::nm)),
        "wrench": fit.as_ref().map(|fit| json!({
            "fits": fit.fits, "why": fit.why, "share": { "low": fit.share.low, "high": fit.share.high } })),
        "joints": mixed,
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
    let unfit = fit.as_ref().is_some_and(|fit| !fit.fits);
    lines.extend(fit.map(|fit| ("Wrench", format!("{}: {}", if fit.fits { "fits" } else { "does not fit" }, fit.why))));
    lines.extend(mixed.iter().flat_map(|mixed| &mixed.newtons).zip(&args.rubs).map(|(force, rubs)| {
        ("Force", format!("{:.1} ± {:.1} kN with {rubs}", force.value / 1000.0, 2.0 * force.u / 1000.0))
    }));
    lines.extend(mixed.filter(|mixed| mixed.newtons.len() > 1).map(|mixed| ("Joints", mixed.why)));
    lines.extend(reading.note.map(|note| ("Note", note)));
    Ok(Answer::new(rows(&lines), document).objecting(unfit))
}

/// The joints that get this torque; frictions are typical ranges from memory.
fn joints(args: &Args) -> Result<Vec<Joint>, Fault> {
    let (Some(thread), Some(seat)) = (&args.thread, &args.seat) else { return Ok(Vec::new()) };
    let hint = "write it as in \"M14x1.5\"";
    let unread = || Fault::new(format!("--thread: \"{thread}\" is no metric thread"), hint);
    let bare = thread.trim().trim_start_matches(['M', 'm']);
    let (diameter, pitch) = bare.split_once(['x', 'X', '×']).ok_or_else(unread)?;
    let millimetres = |text: &str| crate::args::number("--thread", text, &["mm"]).map(Length::from_mm);
    let (diameter, pitch) = (millimetres(diameter)?, millimetres(pitch)?);
    let seat: Length = one("--seat", seat)?;
    let rubs = |text: &str| match text.trim() {
        "dry" => Ok(Rubs::Dry.friction()),
        "oiled" => Ok(Rubs::Oiled.friction()),
        "copper" => Ok(Rubs::Copper.friction()),
        "aluminium" => Ok(Rubs::Aluminium.friction()),
        "bonded" => Ok(Rubs::Bonded.friction()),
        "paste" => Ok(Rubs::Paste.friction()),
        _ => {
            let what = format!("--rubs: \"{text}\" is not known");
            Err(Fault::new(
                what,
                "thread/washer, each of dry, oiled, copper, aluminium, bonded, paste: \"oiled/copper\"",
            ))
        }
    };
    let joint = |text: &String| {
        let (in_thread, under_head) = text.split_once('/').unwrap_or((text, text));
        let (in_thread, under_head) = (rubs(in_thread)?, rubs(under_head)?);
        Ok(Joint { thread: diameter, pitch, seat, in_thread, under_head })
    };
    args.rubs.iter().map(joint).collect()
}
