//! Runs the demo's vehicles beside the demo's clock and sends their readings, as a reader would.

use std::sync::Arc;
use std::time::Duration;

use job::entry::Source;

use crate::error::AppError;
use crate::workshop::Workshop;

/// Who reads.
const READER: &str = "simulated reader";

/// Follows every open demo job until the task is dropped.
pub async fn run(workshop: Arc<Workshop>) {
    let mut wishes = workshop.stage.begin();
    let mut tick = tokio::time::interval(Duration::from_millis(1000));
    tick.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    loop {
        tokio::select! {
            _ = tick.tick() => follow_all(&workshop).await,
            Some(wish) = wishes.recv() => {
                workshop.clock().pass((wish.seconds * 1000.0) as i64);
                follow_all(&workshop).await;
                // Whoever wished it may have gone.
                let _ = wish.done.send(());
            }
        }
    }
}

async fn follow_all(workshop: &Workshop) {
    let Ok(rows) = workshop.floor().await else { return };
    for row in rows.into_iter().filter(|row| !row.closed && !row.damaged) {
        // A job that cannot be followed now is tried again at the next tick; the log is not touched.
        let _ = follow(workshop, &row.job).await;
    }
}

async fn follow(workshop: &Workshop, job: &str) -> Result<(), AppError> {
    let loaded = workshop.load(job).await?;
    let readings = workshop.read_by_itself(&loaded);
    if !readings.is_empty() {
        workshop.send_readings(job, READER, Source::Simulated, &readings).await?;
    }
    Ok(())
}
