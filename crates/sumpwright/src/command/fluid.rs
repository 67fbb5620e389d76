//! `fluid`: viscosity, viscosity index, density, expansion.

use physics::expansion::{alpha15, ctl, density_at};
use physics::pump::{Pace, Pumping, pump_time};
use physics::runoff::{Drain, drain_time};
use physics::viscosity::{ViscosityLine, printed_index, viscosity_index};
use quantity::print::{self, Units};
use quantity::{Density, Flow, KinematicViscosity, Length, Temperature};
use serde_json::json;

use crate::args::{density, maybe, one, typical_fluid, viscosity};
use crate::print::{Answer, Fault, rows};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Kinematic viscosity at 40 °C, mm²/s
    #[arg(long, value_name = "VISCOSITY")]
    kv40: String,
    /// Kinematic viscosity at 100 °C, mm²/s
    #[arg(long, value_name = "VISCOSITY")]
    kv100: String,
    /// Density at 15 °C, kg/m³
    #[arg(long, value_name = "DENSITY")]
    density15: Option<String>,
    /// A temperature to state everything at
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    at: Option<String>,
    /// How long pumping this much takes, at the temperature given by --at
    #[arg(long, value_name = "VOLUME", requires_all = ["at", "hose"])]
    pump: Option<String>,
    /// Bore of the pump's hose
    #[arg(long, value_name = "LENGTH")]
    hose: Option<String>,
    /// Length of the pump's hose
    #[arg(long, value_name = "LENGTH", default_value = "2 m")]
    hose_length: String,
    /// From the fluid in the can up to the opening
    #[arg(long, value_name = "LENGTH", default_value = "0.8 m")]
    lift: String,
    /// What the pump can build up (a hand pump: common practice, no source)
    #[arg(long, value_name = "PRESSURE", default_value = "60 kPa")]
    pump_pressure: String,
    /// What the pump delivers in a minute when nothing holds it back
    #[arg(long, value_name = "VOLUME", default_value = "3 L")]
    pump_per_minute: String,
    /// How long draining takes through a hole of this bore, at the temperature given by --at
    #[arg(long, value_name = "LENGTH", requires_all = ["at", "sump_area", "head"])]
    drain: Option<String>,
    /// Free surface of the fluid in the sump
    #[arg(long, value_name = "AREA")]
    sump_area: Option<String>,
    /// Height of the fluid above the drain hole
    #[arg(long, value_name = "LENGTH")]
    head: Option<String>,
}

/// The main drain is over at this head; the film comes after.
const DRAINED: Length = Length::from_mm(2.0);
/// Length of a drain hole where none is given: common practice, no source.
const HOLE_LENGTH: Length = Length::from_mm(10.0);

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let (kv40, kv100) = (viscosity("--kv40", &args.kv40)?, viscosity("--kv100", &args.kv100)?);
    let density15 = args.density15.as_ref().map(|text| density("--density15", text)).transpose()?;
    let at: Option<Temperature> = maybe("--at", args.at.as_ref())?;
    let index = viscosity_index(kv40, kv100)?;
    let line = ViscosityLine::from_40_and_100(kv40, kv100)?;
    let thick = at.map(|at| line.at(at)).transpose()?;
    let extrapolated = at.map(|at| line.is_extrapolated(at));
    let alpha = density15.map(alpha15).transpose()?;
    let (rho, vcf) = match (density15, at) {
        (Some(density15), Some(at)) => (Some(density_at(density15, at)?), Some(ctl(density15, at)?)),
        _ => (None, None),
    };
    let moved = thick.map(|thick| moved(args, thick, rho)).transpose()?.unwrap_or_default();
    let mut document = json!({
        "viscosity_index": index,
        "viscosity_index_printed": printed_index(index),
        "at_c": at,
        "kv_mm2_s": thick,
        "kv_extrapolated": extrapolated,
        "density_kg_m3": rho,
        "alpha15_per_k": alpha,
        "vcf": vcf,
    });
    let mut lines = vec![("Viscosity index", print::number(printed_index(index), 0))];
    if let (Some(at), Some(thick)) = (at, thick) {
        let at = print::temperature(at, units);
        let doubt = if extrapolated == Some(true) { " (extrapolated beyond 40–100 °C)" } else { "" };
        lines.push(("Viscosity", format!("{} at {at}{doubt}", print::viscosity(thick, units))));
        lines.extend(rho.map(|rho| ("Density", format!("{} at {at}", print::density(rho, units)))));
        lines.extend(vcf.map(|vcf| ("Volume at 15 °C", format!("{vcf:.5} of the volume at {at}"))));
    }
    document["pump"] = moved.pump;
    document["drain_s"] = moved.drain;
    lines.extend(moved.lines);
    lines.extend(alpha.map(|alpha| ("Expansion", format!("{:.2} mL per litre and kelvin at 15 °C", alpha * 1000.0))));
    Ok(Answer::new(rows(&lines), document))
}

/// What pumping and draining come to.
#[derive(Default)]
struct Moved {
    pump: serde_json::Value,
    drain: serde_json::Value,
    lines: Vec<(&'static str, String)>,
}

fn moved(args: &Args, viscosity: KinematicViscosity, density: Option<Density>) -> Result<Moved, Fault> {
    let mut moved = Moved::default();
    if let (Some(volume), Some(hose)) = (&args.pump, &args.hose) {
        let per_minute: quantity::Volume = one("--pump-per-minute", &args.pump_per_minute)?;
        let pumped = pump_time(&Pumping {
            volume: one("--pump", volume)?,
            bore: one("--hose", hose)?,
            length: one("--hose-length", &args.hose_length)?,
            lift: one("--lift", &args.lift)?,
            pressure: one("--pump-pressure", &args.pump_pressure)?,
            free_flow: Flow::from_ml_per_minute(per_minute.ml()),
            density: density.map_or_else(|| typical_fluid().map(|fluid| fluid.density15), Ok)?,
            viscosity,
        })?;
        let pace = match pumped.pace {
            Pace::Pump => "the pump sets the pace",
            Pace::Hose => "the hose sets the pace: warmer fluid or a wider hose helps",
        };
        moved.lines.push(("Pumping", format!("{}; {pace}", print::duration(pumped.time))));
        moved.pump = json!(pumped);
    }
    if let (Some(bore), Some(area), Some(head)) = (&args.drain, &args.sump_area, &args.head) {
        let time = drain_time(&Drain {
            sump_area: one("--sump-area", area)?,
            from: one("--head", head)?,
            to: DRAINED,
            bore: one("--drain", bore)?,
            length: HOLE_LENGTH,
            viscosity,
        })?;
        let (low, high) = (print::duration(time.low), print::duration(time.high));
        moved.lines.push(("Draining", format!("{low} to {high} with the fill plug out, then it drips")));
        moved.drain = json!({ "low": time.low.seconds(), "high": time.high.seconds() });
    }
    Ok(moved)
}
