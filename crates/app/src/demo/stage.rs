//! What the demo keeps beside a workshop's log: what its vehicles show, and the wish that time may pass.

use std::collections::HashMap;
use std::sync::Mutex;

use job::Command;
use job::entry::Source;
use tokio::sync::{mpsc, oneshot};

use super::sight::Sight;
use crate::error::AppError;
use crate::send::Answer;
use crate::workshop::Workshop;

/// Most that may be let pass at once.
pub const MOST_S: f64 = 3600.0;

/// A figure this near to what was shown is a slip of the eye, not another vehicle.
const NEAR_K: f64 = 2.0;

/// Somebody wants that many seconds to pass, and to be told when they have.
pub(super) struct Wish {
    pub(super) seconds: f64,
    pub(super) done: oneshot::Sender<()>,
}

#[derive(Default)]
pub(crate) struct Stage {
    sights: Mutex<HashMap<String, Sight>>,
    wishes: Mutex<Option<mpsc::Sender<Wish>>>,
}

impl Stage {
    /// From now on wishes are heard by whoever holds the answer.
    pub(super) fn hear(&self) -> mpsc::Receiver<Wish> {
        let (send, heard) = mpsc::channel(8);
        if let Ok(mut wishes) = self.wishes.lock() {
            *wishes = Some(send);
        }
        heard
    }
}

impl Workshop {
    /// What the demo's simulated vehicle of a job shows just now; `None` for a real job.
    pub fn sight(&self, job: &str) -> Option<Sight> {
        self.stage.sights.lock().ok()?.get(job).cloned()
    }

    pub(super) fn see(&self, job: &str, sight: Sight) {
        if let Ok(mut sights) = self.stage.sights.lock() {
            sights.insert(job.to_owned(), sight);
        }
    }

    /// In the demo the simulated vehicle is where temperatures come from: one that it has not shown lately is refused, so
    /// that what is typed and what its reader sends never say different things. `None` lets the command through.
    pub(crate) fn contradicts_the_vehicle(&self, job: &str, command: &Command) -> Option<Answer> {
        let Command::TakeReading { temp, source: Source::Typed | Source::Reader | Source::Probe } = command else {
            return None;
        };
        let (low, high) = self.sight(job)?.lately_c;
        if (low - NEAR_K..=high + NEAR_K).contains(&temp.celsius()) {
            return None;
        }
        let shown = if low == high { format!("{low:.0} °C") } else { format!("{low:.0} to {high:.0} °C") };
        Some(Answer::Refused {
            code: "not-what-it-shows".to_owned(),
            reason: format!("The simulated vehicle’s reader shows {shown}, not {:.0} °C.", temp.celsius()),
            cure: "Enter what it shows, or let time pass until it shows that.".to_owned(),
            overridable: false,
            also: Vec::new(),
        })
    }

    /// Lets time pass in the demo: its clock goes on by that many seconds, from 1 to [`MOST_S`], and every vehicle with it,
    /// as if someone had waited. Returns when it has.
    ///
    /// # Errors
    /// [`AppError::Input`] where no simulated vehicles run, or for a time out of range.
    pub async fn let_pass(&self, seconds: f64) -> Result<(), AppError> {
        if !(1.0..=MOST_S).contains(&seconds) {
            let what = format!("{seconds} s cannot be let pass at once");
            return Err(AppError::Input { what, hint: format!("give 1 to {MOST_S:.0} seconds") });
        }
        let wishes = self.stage.wishes.lock().ok().and_then(|wishes| wishes.clone());
        let (done, told) = oneshot::channel();
        let heard = match wishes {
            Some(wishes) => wishes.send(Wish { seconds, done }).await.is_ok() && told.await.is_ok(),
            None => false,
        };
        if heard {
            return Ok(());
        }
        Err(AppError::Input {
            what: "time passes by itself here: no simulated vehicles run".to_owned(),
            hint: "Only the demo, `sumpwright serve --demo`, can let time pass.".to_owned(),
        })
    }
}
