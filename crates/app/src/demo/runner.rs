//! Runs the demo's vehicles beside the demo's clock and sends their readings, as a reader would.

use std::collections::HashMap;
use std::sync::Arc;
use std::time::Duration;

use job::words::Fields;

use super::twin::Twin;
use crate::error::AppError;
use crate::send::{Sent, What};
use crate::workshop::{Workshop, new_id};

/// How often a reading is sent, in the demo's own seconds, and never more often than once a second of life.
const EVERY_S: f64 = 10.0;

/// Follows every open demo job until the task is dropped.
pub async fn run(workshop: Arc<Workshop>) {
    let mut twins: HashMap<String, Twin> = HashMap::new();
    let mut sent_ms: HashMap<String, i64> = HashMap::new();
    let mut tick = tokio::time::interval(Duration::from_millis(1000));
    loop {
        tick.tick().await;
        let Ok(rows) = workshop.floor().await else { continue };
        for row in rows.into_iter().filter(|row| !row.closed && !row.damaged) {
            // A job that cannot be followed now is tried again at the next tick; the log is not touched.
            let _ = follow(&workshop, &row.job, &mut twins, &mut sent_ms).await;
        }
    }
}

async fn follow(
    workshop: &Workshop,
    job: &str,
    twins: &mut HashMap<String, Twin>,
    sent_ms: &mut HashMap<String, i64>,
) -> Result<(), AppError> {
    let loaded = workshop.load(job).await?;
    if !loaded.state.opening.demo {
        return Ok(());
    }
    if !twins.contains_key(job) {
        // The seed is the job's own name, so a server that starts again meets the same vehicle.
        let seed = job.bytes().fold(7, |seed: u64, byte| seed.wrapping_mul(31).wrapping_add(u64::from(byte)));
        twins.insert(job.to_owned(), Twin::new(&loaded.state.sheet, loaded.state.opened_ms, seed)?);
    }
    let Some(twin) = twins.get_mut(job) else { return Ok(()) };
    let now_ms = workshop.clock().now_ms();
    twin.follow(&loaded.log, &loaded.state.sheet, now_ms);
    workshop.see(job, twin.sight());
    let last = sent_ms.get(job).copied().unwrap_or(i64::MIN / 2);
    let idling = loaded.state.idling_since_ms.is_some();
    if !idling || loaded.state.ending.is_some() || ((now_ms - last) as f64) < EVERY_S * 1000.0 {
        return Ok(());
    }
    sent_ms.insert(job.to_owned(), now_ms);
    let fields: Fields =
        [("temperature", format!("{:.0} °C", twin.sight().display_c)), ("source", "simulated".to_owned())]
            .map(|(field, value)| (field.to_owned(), value))
            .into_iter()
            .collect();
    let what = What::Words("reading".to_owned(), fields);
    let by = "simulated reader".to_owned();
    workshop.send(job, Sent { id: new_id(), seen: None, at_ms: Some(now_ms), by, what, overrides: Vec::new() }).await?;
    Ok(())
}
