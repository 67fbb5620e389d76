//! The shelf as it is now: the list as it was kept, less what jobs used that ended since.
//!
//! Nothing is written when a job ends. What it used follows from its log each time anew, so a retry, a crash or two
//! tablets cannot book it twice, and a correction of a poured volume corrects the shelf by itself.

use std::fmt::Write as _;

use job::Shelf;
use job::shelf::Stocked;
use job::stock::{Booked, Used, draw, used};
use quantity::Volume;
use quantity::print::{self, Units};
use serde::Serialize;
use store::JobRow;

use super::{ShelfKind, read_shelf};
use crate::error::AppError;
use crate::paper::day;
use crate::workshop::Workshop;

/// What one job took off the shelf.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JobUse {
    pub job: String,
    pub vehicle: String,
    pub ended_ms: i64,
    /// Fluid by fluid.
    pub booked: Vec<Booked>,
}

/// What stands on the shelf.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StockNow {
    /// The moment that the kept list describes.
    pub as_of_ms: i64,
    pub stock: Vec<Stocked>,
    /// Jobs that ended since then and poured something, in the order they ended.
    pub jobs: Vec<JobUse>,
    /// The list to go on from: as it was kept, or written anew when something was used.
    pub text: String,
}

impl Workshop {
    /// The stock as it is now, or without jobs that ended at `before_ms` or later; `None` while no list is kept.
    ///
    /// A job counts by the time it ended, also when a device without a connection sent that later.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn stock(&self, before_ms: Option<i64>) -> Result<Option<StockNow>, AppError> {
        let Some(kept) = self.kept(ShelfKind::Stock).await? else { return Ok(None) };
        let mut ended = Vec::new();
        for row in self.store.floor().await? {
            let Some((ended_ms, used)) = self.used(&row).await else { continue };
            if ended_ms > kept.as_of_ms && before_ms.is_none_or(|before| ended_ms < before) && !used.is_empty() {
                ended.push((ended_ms, row, used));
            }
        }
        ended.sort_by(|a, b| (a.0, &a.1.job).cmp(&(b.0, &b.1.job)));
        let read = read_shelf(ShelfKind::Stock, &kept.text).shelf;
        let mut shelf = Shelf { stock: read.stock, ..self.bought_from().await? };
        let jobs: Vec<JobUse> = ended
            .into_iter()
            .map(|(ended_ms, row, used)| {
                let booked = used.iter().map(|used| draw(&mut shelf, used)).collect();
                JobUse { job: row.job, vehicle: row.vehicle, ended_ms, booked }
            })
            .collect();
        let taken = jobs.iter().flat_map(|one| &one.booked).any(|booked| !booked.from.is_empty());
        let text = if taken { written(&shelf.stock, kept.as_of_ms, &jobs) } else { kept.text };
        Ok(Some(StockNow { as_of_ms: kept.as_of_ms, stock: shelf.stock, jobs, text }))
    }

    /// When a job ended and what it used; `None` while it is open. From its row, which was written with the last entry;
    /// a row of an earlier version says neither, then from the log. A damaged log, which the floor shows, has used nothing.
    async fn used(&self, row: &JobRow) -> Option<(i64, Vec<Used>)> {
        if !row.closed {
            return None;
        }
        let mut summary: serde_json::Value = serde_json::from_str(&row.summary).unwrap_or_default();
        let known = serde_json::from_value::<Vec<Used>>(summary["used"].take()).ok();
        if let Some((ended_ms, known)) = summary["ended_ms"].as_i64().zip(known) {
            return Some((ended_ms, known));
        }
        let state = &self.load(&row.job).await.ok()?.state;
        state.ended_ms.map(|ended_ms| (ended_ms, used(state)))
    }
}

impl JobUse {
    /// One sentence for each fluid.
    pub fn says(&self) -> Vec<String> {
        let volume = |volume: Volume| print::volume(volume, Units::Metric);
        let one = |booked: &Booked| {
            let mut says = format!("{} of {} poured", volume(booked.poured_ml), booked.fluids.join(" or "));
            for drawn in &booked.from {
                let left = match drawn.left_ml.ml() > 0.0 {
                    true => format!("{} left in it", volume(drawn.left_ml)),
                    false => "empty now".to_owned(),
                };
                let _ = write!(says, "; {} from {}, {left}", volume(drawn.taken_ml), drawn.name);
            }
            if booked.bought_ml.ml() > 0.0 {
                let _ = write!(says, "; {} was to be bought: write down what is left of it", volume(booked.bought_ml));
            }
            if booked.missing_ml.ml() > 0.0 {
                let missing = volume(booked.missing_ml);
                let _ = write!(says, "; the shelf did not hold the other {missing}: nothing is booked for it");
            }
            says + "."
        };
        self.booked.iter().map(one).collect()
    }
}

/// Jobs that a list written anew names, the latest first.
const LATEST: usize = 12;

/// A list of stock that says what is there now, alike containers together.
fn written(stock: &[Stocked], as_of_ms: i64, jobs: &[JobUse]) -> String {
    let mut text = format!("# On the shelf now: the list of {}, less what jobs used since.\n", day(as_of_ms));
    for one in jobs.iter().rev().take(LATEST) {
        let (job, vehicle) = (&one.job, one.vehicle.replace(char::is_control, " "));
        for says in one.says() {
            let _ =
                writeln!(text, "# {} · {job} · {vehicle}: {}", day(one.ended_ms), says.replace(char::is_control, " "));
        }
    }
    let mut groups: Vec<(&Stocked, usize)> = Vec::new();
    for can in stock {
        match groups.iter_mut().find(|(known, _)| *known == can) {
            Some((_, count)) => *count += 1,
            None => groups.push((can, 1)),
        }
    }
    let quoted = |text: &str| toml::Value::String(text.to_owned()).to_string();
    for (can, count) in groups {
        let _ = write!(text, "\n[[stock]]\nname = {}\nholds = \"{}\"\n", quoted(&can.name), holds(can.holds_ml));
        text.push_str(if can.opened { "opened = true\n" } else { "" });
        if count > 1 {
            let _ = writeln!(text, "count = {count}");
        }
        if let Some(fluid) = &can.fluid {
            let _ = writeln!(text, "fluid = {}", quoted(fluid));
        }
    }
    text
}

const US_QUART_ML: f64 = 946.352946;

/// To the millilitre, in litres; a container sold by the US quart keeps that.
fn holds(volume: Volume) -> String {
    let quarts = volume.ml() / US_QUART_ML;
    let whole = |x: f64| (x - x.round()).abs() < 1e-6;
    match whole(quarts) && quarts >= 0.5 && !whole(volume.ml()) {
        true => format!("{} US qt", quarts.round()),
        false => format!("{} L", volume.ml().round().max(1.0) / 1000.0),
    }
}
