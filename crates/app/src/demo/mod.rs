//! The demo workshop: invented vehicles that warm up, drain and run off by their own physics, at a chosen multiple of
//! life. Every entry it makes is marked as simulated and every job it opens as a demo.

mod runner;
mod technician;
mod twin;

pub use runner::run;
pub use technician::work_through;
pub use twin::{Sight, Twin};

use job::command::Opening;
use quantity::Distance;

use crate::error::AppError;
use crate::workshop::{OpenJob, Workshop};

/// What the demo workshop calls itself: invented.
pub const WORKSHOP: &str = "Demo workshop (invented)";

/// The job that stands ready.
pub const READY: &str = "demo-ready";
/// The job that is finished already.
pub const FINISHED: &str = "demo-finished";

const HOUR_MS: i64 = 3_600_000;

/// Fills an empty demo workshop: one job ready to run, one finished two days before, invented lists of
/// prices, stock and tools. Does nothing to what is there.
///
/// # Errors
/// What is wrong with the log on disk or the shipped sheets.
pub async fn furnish(workshop: &Workshop) -> Result<(), AppError> {
    let now_ms = workshop.clock().now_ms();
    let there: Vec<String> = workshop.floor().await?.into_iter().map(|row| row.job).collect();
    let sheets = workshop.sheets();
    let sheet = |index: usize| {
        let found = sheets.get(index).or_else(|| sheets.first());
        found.map(|sheet| sheet.text.clone()).ok_or_else(|| AppError::NoSuchSheet("shipped".to_owned()))
    };
    if !there.iter().any(|job| job == FINISHED) {
        let at_ms = now_ms - 50 * HOUR_MS;
        let opening = opening(sheet(0)?, "Blue estate, demo vehicle 1", 96_400.0, Some(96_400.0));
        workshop
            .open_job(OpenJob {
                id: FINISHED.to_owned(),
                opening,
                at_ms: Some(at_ms),
                findings: Vec::new(),
                overrides: Vec::new(),
            })
            .await?;
        work_through(workshop, FINISHED, at_ms, 7).await?;
    }
    if !there.iter().any(|job| job == READY) {
        let opening = opening(sheet(0)?, "White van, demo vehicle 2", 151_200.0, Some(60_000.0));
        workshop
            .open_job(OpenJob {
                id: READY.to_owned(),
                opening,
                at_ms: Some(now_ms),
                findings: Vec::new(),
                overrides: Vec::new(),
            })
            .await?;
    }
    for kind in crate::ShelfKind::ALL {
        if workshop.shelf_text(kind).await?.is_none() {
            workshop.keep_shelf(kind, kind.example()).await?;
        }
    }
    Ok(())
}

fn opening(sheet: String, vehicle: &str, odometer_km: f64, fluid_age_km: Option<f64>) -> Opening {
    Opening {
        sheet,
        vehicle: vehicle.to_owned(),
        odometer_km: Some(Distance::from_km(odometer_km)),
        fluid_age_km: fluid_age_km.map(Distance::from_km),
        fluid: "Demo fluid, new can".to_owned(),
        technician: "Demo technician".to_owned(),
        demo: true,
        severe: false,
        fill_ml: None,
        found: None,
    }
}
