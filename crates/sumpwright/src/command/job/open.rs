//! `job open`: a job from a sheet, named by a short name.

use app::{AppError, OpenJob};
use job::command::Opening;
use quantity::{Distance, Volume};
use serde_json::json;

use super::log::{OverrideArgs, overrides, refusal};
use super::moment;
use crate::args::maybe;
use crate::command::decide::Found as Findings;
use crate::command::sheets::sheet_in;
use crate::command::workshop::{DataArgs, wait};
use crate::print::{Answer, Fault};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Sheet of the unit: a path, or the name of a shipped sheet such as keld-o6
    #[arg(long, value_name = "SHEET")]
    sheet: String,
    /// Which vehicle, in your own words
    #[arg(long, value_name = "TEXT")]
    vehicle: String,
    /// Odometer now
    #[arg(long, value_name = "DISTANCE")]
    odometer: Option<String>,
    /// Distance the old fluid has travelled
    #[arg(long, value_name = "DISTANCE")]
    fluid_age: Option<String>,
    /// What will be poured [default: the sheet's approval]
    #[arg(long, value_name = "TEXT")]
    fluid: Option<String>,
    /// Who does the work
    #[arg(long, value_name = "NAME", default_value = "not named")]
    technician: String,
    /// The vehicle works hard: towing, short trips, heat
    #[arg(long)]
    severe: bool,
    /// First filling, if another than the planned one is wanted
    #[arg(long, value_name = "VOLUME")]
    fill: Option<String>,
    #[command(flatten)]
    findings: Findings,
    #[command(flatten)]
    passed: OverrideArgs,
    /// When, as RFC 3339 [default: now]
    #[arg(long, value_name = "TIME")]
    when: Option<String>,
    /// Name of the job; opening twice with the same one gives the same job [default: a new short name]
    #[arg(long, value_name = "NAME")]
    id: Option<String>,
    #[command(flatten)]
    data: DataArgs,
}

pub fn run(args: &Args) -> Result<Answer, Fault> {
    let (sheet, text, _) = sheet_in(&args.sheet, &args.data)?;
    let odometer_km: Option<Distance> = maybe("--odometer", args.odometer.as_ref())?;
    let fluid_age_km: Option<Distance> = maybe("--fluid-age", args.fluid_age.as_ref())?;
    let fill_ml: Option<Volume> = maybe("--fill", args.fill.as_ref())?;
    let at_ms = args.when.as_deref().map(|when| moment("--when", when)).transpose()?;
    let opening = Opening {
        sheet: text,
        vehicle: args.vehicle.trim().to_owned(),
        odometer_km,
        fluid_age_km,
        fluid: args.fluid.clone().unwrap_or_else(|| sheet.fluid.approvals.join(" or ")),
        technician: args.technician.clone(),
        demo: false,
        severe: args.severe,
        fill_ml,
        found: None,
    };
    let (findings, overrides) = (args.findings.0.clone(), overrides(&args.passed)?);
    wait(async {
        let workshop = args.data.open().await?;
        let id = args.id.clone().unwrap_or_else(|| app::new_job_name(workshop.clock().now_ms()));
        match workshop.open_job(OpenJob { id, opening, at_ms, findings, overrides }).await {
            Ok(job) => Ok(Answer::new(job.clone(), json!({ "job": job }))),
            Err(AppError::Refused(refused)) => {
                let document = json!(app::Answer::refused(&refused));
                Ok(Answer { text: refusal(&document), json: document, objection: true })
            }
            Err(why) => Err(why.into()),
        }
    })
}
