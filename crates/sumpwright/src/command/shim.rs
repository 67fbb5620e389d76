//! `shim`: what to put under which stand.

use physics::shim::{ShimPlan, Stance, shim_plan};
use quantity::print::Units;
use quantity::{Angle, Length};
use serde_json::{Value, json};

use super::sheets::sheet_of;
use crate::args::{maybe, one};
use crate::print::{Answer, Fault, list, table};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Tilt along the vehicle, nose up positive
    #[arg(long, value_name = "ANGLE", default_value = "0°", allow_hyphen_values = true)]
    pitch: String,
    /// Tilt across the vehicle, right side up positive
    #[arg(long, value_name = "ANGLE", default_value = "0°", allow_hyphen_values = true)]
    roll: String,
    /// Between front and rear stands, or the axles
    #[arg(long, value_name = "LENGTH")]
    wheelbase: String,
    /// Between left and right stands
    #[arg(long, value_name = "LENGTH", default_value = "1.5 m")]
    track: String,
    /// Tilt that is allowed on either axis [default: the sheet's, else 1°]
    #[arg(long, value_name = "ANGLE")]
    allowed: Option<String>,
    /// Sheet of the unit, for the tilt it allows
    #[arg(long, value_name = "SHEET")]
    sheet: Option<String>,
    /// Standard uncertainty of either angle
    #[arg(long, value_name = "ANGLE", default_value = "0.1°")]
    tilt_u: String,
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let sheet = args.sheet.as_deref().map(sheet_of).transpose()?.map(|found| found.0);
    let allowed: Option<Angle> = maybe("--allowed", args.allowed.as_ref())?;
    let stance = Stance {
        nose_up: one("--pitch", &args.pitch)?,
        right_up: one("--roll", &args.roll)?,
        wheelbase: one("--wheelbase", &args.wheelbase)?,
        track: one("--track", &args.track)?,
        allowed: allowed.or(sheet.map(|sheet| sheet.tilt_limit())).unwrap_or(Angle::from_degrees(1.0)),
        u: one("--tilt-u", &args.tilt_u)?,
    };
    let plan = shim_plan(&stance)?;
    let says = app::shim_words(&stance, &plan);
    Ok(Answer::new(text(&plan, &says, units), document(&stance, &plan, &says)).objecting(!plan.inside))
}

fn document(stance: &Stance, plan: &ShimPlan, says: &[String]) -> Value {
    let shims: Vec<Value> = plan
        .shims
        .iter()
        .map(|shim| json!({ "stand": shim.stand.words(), "mm": shim.level.mm(), "least_mm": shim.least.mm() }))
        .collect();
    json!({
        "shims": shims,
        "u_mm": plan.u.mm(),
        "inside": plan.inside,
        "allowed_deg": stance.allowed.degrees(),
        "advice": says,
    })
}

fn text(plan: &ShimPlan, says: &[String], units: Units) -> String {
    let length = |length: Length| match units {
        Units::Metric => format!("{:.0} mm", length.mm()),
        Units::Us => format!("{:.2} in", length.inches()),
    };
    let body: Vec<Vec<String>> = plan
        .shims
        .iter()
        .map(|shim| vec![shim.stand.words().to_owned(), length(shim.level), length(shim.least)])
        .collect();
    table(&["Stand", " Level", " At least"], &body) + &list("So", says)
}
