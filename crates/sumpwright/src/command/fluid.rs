//! `fluid`: viscosity, viscosity index, density, expansion.

use physics::expansion::{alpha15, ctl, density_at};
use physics::viscosity::{ViscosityLine, printed_index, viscosity_index};
use quantity::Temperature;
use quantity::print::{self, Units};
use serde_json::json;

use crate::args::{density, maybe, viscosity};
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
}

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
    let document = json!({
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
    lines.extend(alpha.map(|alpha| ("Expansion", format!("{:.2} mL per litre and kelvin at 15 °C", alpha * 1000.0))));
    Ok(Answer::new(rows(&lines), document))
}
