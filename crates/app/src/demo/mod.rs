//! The demo workshop: invented vehicles that warm up, drain and run off by their own physics, at a chosen multiple of
//! life. Every entry it makes is marked as simulated and every job it opens as a demo.

mod drawn;
mod fit;
mod runner;
mod sight;
mod stage;
mod technician;
mod twin;

pub use link::simulate::Shown;
pub use runner::run;
pub use sight::{Beside, Sight};
pub use stage::MOST_S;
pub(crate) use stage::Stage;
pub use technician::{work_through, work_through_with};
pub use twin::Twin;

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
    stand_ready(workshop).await?;
    look_back(workshop).await
}

/// A demo runs ahead of life; one that is opened again goes on from its last entry, not before it.
///
/// # Errors
/// What is wrong with the log on disk.
pub async fn catch_up(workshop: &Workshop) -> Result<(), AppError> {
    let last_ms = workshop.floor().await?.iter().map(|row| row.updated_ms).max().unwrap_or(0);
    workshop.clock().pass(last_ms - workshop.clock().now_ms());
    Ok(())
}

/// The job that is ready to run and the lists: all that the first page needs.
///
/// # Errors
/// As [`furnish`].
pub async fn stand_ready(workshop: &Workshop) -> Result<(), AppError> {
    if !there(workshop, READY).await? {
        let opening = opening(first_sheet(workshop)?, "White van, demo vehicle 2", 151_200.0, Some(60_000.0));
        open(workshop, READY, opening, workshop.clock().now_ms()).await?;
    }
    for kind in crate::ShelfKind::ALL {
        if workshop.shelf_text(kind).await?.is_none() {
            workshop.keep_shelf(kind, kind.example(), None).await?;
        }
    }
    Ok(())
}

/// The finished job: a whole service is worked through for it, which takes a good part of a second.
///
/// # Errors
/// As [`furnish`].
pub async fn look_back(workshop: &Workshop) -> Result<(), AppError> {
    if there(workshop, FINISHED).await? {
        return Ok(());
    }
    let at_ms = workshop.clock().now_ms() - 50 * HOUR_MS;
    let opening = opening(first_sheet(workshop)?, "Blue estate, demo vehicle 1", 88_300.0, Some(88_300.0));
    open(workshop, FINISHED, opening, at_ms).await?;
    work_through(workshop, FINISHED, at_ms, 7).await.map(|_| ())
}

async fn there(workshop: &Workshop, job: &str) -> Result<bool, AppError> {
    Ok(workshop.floor().await?.iter().any(|row| row.job == job))
}

fn first_sheet(workshop: &Workshop) -> Result<String, AppError> {
    let sheet = workshop.sheets().into_iter().next();
    sheet.map(|sheet| sheet.text).ok_or_else(|| AppError::NoSuchSheet("shipped".to_owned()))
}

async fn open(workshop: &Workshop, id: &str, opening: Opening, at_ms: i64) -> Result<(), AppError> {
    let open = OpenJob { id: id.to_owned(), opening, at_ms: Some(at_ms), findings: Vec::new(), overrides: Vec::new() };
    workshop.open_job(open).await.map(|_| ())
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
