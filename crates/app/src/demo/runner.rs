//! Runs the demo's vehicles beside the demo's clock and sends their readings, as a reader would.

use std::collections::HashMap;
use std::sync::Arc;
use std::time::Duration;

use job::entry::Source;
use quantity::Temperature;

use super::twin::Twin;
use crate::error::AppError;
use crate::record::Loaded;
use crate::workshop::Workshop;

/// How often a reading is sent, in the demo’s own seconds, and about once a second of life when that is more.
const EVERY_MS: i64 = 10_000;
/// However fast the demo runs, a reading never gets old enough to say nothing.
const SELDOM_MS: i64 = 60_000;
/// How often one is kept while time is let pass.
const PASSING_MS: i64 = 30_000;
/// Who reads.
const READER: &str = "simulated reader";

/// Follows every open demo job until the task is dropped.
pub async fn run(workshop: Arc<Workshop>) {
    let mut runner = Runner::default();
    let mut wishes = workshop.stage.hear();
    let every_ms = ((workshop.clock().speed() * 1000.0) as i64).clamp(EVERY_MS, SELDOM_MS);
    let mut tick = tokio::time::interval(Duration::from_millis(1000));
    tick.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    loop {
        tokio::select! {
            _ = tick.tick() => runner.follow_all(&workshop, every_ms).await,
            Some(wish) = wishes.recv() => {
                workshop.clock().pass((wish.seconds * 1000.0) as i64);
                runner.follow_all(&workshop, PASSING_MS).await;
                // Whoever wished it may have gone.
                let _ = wish.done.send(());
            }
        }
    }
}

#[derive(Default)]
struct Runner {
    beside: HashMap<String, Beside>,
}

/// The vehicle of a job, and when its reader last sent something.
struct Beside {
    twin: Twin,
    sent_ms: i64,
    now_ms: i64,
}

impl Runner {
    async fn follow_all(&mut self, workshop: &Workshop, every_ms: i64) {
        let Ok(rows) = workshop.floor().await else { return };
        for row in rows.into_iter().filter(|row| !row.closed && !row.damaged) {
            // A job that cannot be followed now is tried again at the next tick; the log is not touched.
            let _ = self.follow(workshop, &row.job, every_ms).await;
        }
    }

    async fn follow(&mut self, workshop: &Workshop, job: &str, every_ms: i64) -> Result<(), AppError> {
        let loaded = workshop.load(job).await?;
        let state = &loaded.state;
        if !state.opening.demo {
            return Ok(());
        }
        if !self.beside.contains_key(job) {
            // The seed is the job's own name, so a server that starts again meets the same vehicle.
            let seed = job.bytes().fold(7, |seed: u64, byte| seed.wrapping_mul(31).wrapping_add(u64::from(byte)));
            let twin = Twin::new(&state.sheet, state.opened_ms, seed)?;
            let beside = Beside { twin, sent_ms: i64::MIN / 2, now_ms: state.opened_ms };
            self.beside.insert(job.to_owned(), beside);
        }
        let Some(beside) = self.beside.get_mut(job) else { return Ok(()) };
        let readings = beside.follow(&loaded, workshop.clock().now_ms(), every_ms);
        workshop.see(job, beside.twin.sight());
        if !readings.is_empty() {
            workshop.send_readings(job, READER, Source::Simulated, &readings).await?;
        }
        Ok(())
    }
}

impl Beside {
    /// Lets the vehicle run until `now_ms`, and reads it on the way as often as asked.
    fn follow(&mut self, loaded: &Loaded, now_ms: i64, every_ms: i64) -> Vec<(i64, Temperature)> {
        let (state, mut readings) = (&loaded.state, Vec::new());
        let reads = state.idling_since_ms.filter(|_| state.ending.is_none() && has_reader(loaded));
        let entered_ms = state.last_ms;
        // A long time is gone through in steps, a short one at once; what was entered is done at its own time either way.
        let mut at_ms = self.now_ms.max(now_ms - MOST_STEPS * every_ms).max(entered_ms);
        while at_ms + every_ms < now_ms {
            at_ms += every_ms;
            self.twin.follow(&loaded.log, &state.sheet, at_ms);
            if reads.is_some_and(|since| at_ms >= since) && at_ms - self.sent_ms >= every_ms {
                readings.push((at_ms, self.twin.reader()));
                self.sent_ms = at_ms;
            }
        }
        self.twin.follow(&loaded.log, &state.sheet, now_ms);
        if reads.is_some() && now_ms - self.sent_ms >= every_ms {
            readings.push((now_ms, self.twin.reader()));
            self.sent_ms = now_ms;
        }
        self.now_ms = now_ms;
        readings
    }
}

/// Most steps that are gone through at once: an hour in half minutes.
const MOST_STEPS: i64 = 120;

/// A unit whose engine is never started for its level is not read while it idles.
fn has_reader(loaded: &Loaded) -> bool {
    let sheet = &loaded.state.sheet;
    let mut circuits = sheet.circuits().into_iter().filter_map(|id| sheet.of_circuit(id));
    circuits.any(|one| one.level.engine().is_some() || matches!(one.renewal, sheet::Renewal::Exchange(_)))
}
