//! What earlier jobs had taught about the run-off of a sheet when a job of it ended: the same answer whenever it is asked.

use physics::runoff::{Scale, pooled_scale};

use crate::record::{self, Loaded};
use crate::workshop::{TEACHERS, Workshop};

/// How a log says that its job has ended.
const ENDS: [&str; 2] = ["job-finished", "job-stopped"];

fn end(stored: &[store::Entry]) -> Option<&store::Entry> {
    stored.iter().rev().find(|entry| ENDS.contains(&entry.kind.as_str()))
}

impl Workshop {
    /// The run-off factor that was true for a job when it ended, from the jobs of its sheet that had ended by then, as their
    /// logs stood then. What is written down later, even under an earlier hour, changes nothing: the order is that of recording.
    pub(crate) async fn learnt_by_the_end(&self, loaded: &Loaded) -> Scale {
        if let Some(known) = self.scales.lock().ok().and_then(|kept| kept.get(&loaded.job).copied()) {
            return known;
        }
        let own = self.store.log(&loaded.job).await.unwrap_or_default();
        let Some(ended) = end(&own).map(|entry| entry.recorded_ms) else { return Scale::MODEL };
        let mut earlier = Vec::new();
        for row in self.store.floor().await.unwrap_or_default() {
            if !row.closed || row.job == loaded.job || row.title != loaded.state.sheet.name {
                continue;
            }
            // A log that cannot be read teaches nothing.
            let Ok(mut stored) = self.store.log(&row.job).await else { continue };
            stored.truncate(stored.iter().take_while(|entry| entry.recorded_ms < ended).count());
            if let Some(recorded_ms) = end(&stored).map(|entry| entry.recorded_ms) {
                earlier.push((recorded_ms, row.job, stored));
            }
        }
        earlier.sort_by(|a, b| (b.0, &b.1).cmp(&(a.0, &a.1)));
        let latest = earlier.iter().take(TEACHERS).filter_map(|(_, job, stored)| record::load(job, stored).ok());
        let flows: Vec<_> = latest.filter_map(|earlier| crate::runoff::taught(&earlier.state)).collect();
        let scale = pooled_scale(&flows).unwrap_or(Scale::MODEL);
        if let Ok(mut kept) = self.scales.lock() {
            kept.insert(loaded.job.clone(), scale);
        }
        scale
    }
}
