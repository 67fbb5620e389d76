//! The demo's vehicles beside a workshop's log, and the wish that time may pass.

use std::collections::HashMap;
use std::sync::Mutex;

use job::Command;
use job::entry::Source;
use quantity::{Angle, Temperature};
use tokio::sync::{mpsc, oneshot};

use super::sight::Sight;
use super::twin::Twin;
use crate::error::AppError;
use crate::record::Loaded;
use crate::send::Answer;
use crate::workshop::Workshop;

/// Most that may be let pass at once.
pub const MOST_S: f64 = 3600.0;
/// A figure this near to what was shown is a slip of the eye, not another vehicle.
const NEAR_K: f64 = 2.0;
/// The same of how it stands.
const NEAR_DEG: f64 = 1.0;
/// How often a vehicle is read, in the demo's own time, and about once a second of life when that is more.
const EVERY_MS: i64 = 10_000;
/// However fast the demo runs, a reading never gets old enough to say nothing.
const SELDOM_MS: i64 = 60_000;
/// How often it is read while time is let pass.
const PASSING_MS: i64 = 30_000;
/// Most readings that are made up for at once: an hour in half minutes.
const MOST_READINGS: i64 = 120;

/// Somebody wants that many seconds to pass, and to be told when they have.
pub(super) struct Wish {
    pub(super) seconds: f64,
    pub(super) done: oneshot::Sender<()>,
}

#[derive(Default)]
pub(crate) struct Stage {
    /// `None` until the vehicles run.
    vehicles: Mutex<Option<HashMap<String, Beside>>>,
    wishes: Mutex<Option<mpsc::Sender<Wish>>>,
}

/// The vehicle of a job, and what its reader has read and not yet sent.
struct Beside {
    twin: Twin,
    read_ms: i64,
    unsent: Vec<(i64, Temperature)>,
}

impl Stage {
    /// From now on vehicles run, and wishes are heard by whoever holds the answer.
    pub(super) fn begin(&self) -> mpsc::Receiver<Wish> {
        let (send, heard) = mpsc::channel(8);
        if let Ok(mut wishes) = self.wishes.lock() {
            *wishes = Some(send);
        }
        if let Ok(mut vehicles) = self.vehicles.lock() {
            vehicles.get_or_insert_default();
        }
        heard
    }

    /// Lets a job's vehicle follow the log until now, then looks at it; `None` where no vehicles run or none fits.
    fn beside<T>(&self, loaded: &Loaded, now_ms: i64, speed: f64, look: impl FnOnce(&mut Beside) -> T) -> Option<T> {
        let state = &loaded.state;
        let mut vehicles = self.vehicles.lock().ok()?;
        // The job that lies in the past is worked through with a vehicle of its own.
        let vehicles = vehicles.as_mut().filter(|_| state.opening.demo && loaded.job != super::FINISHED)?;
        if !vehicles.contains_key(&loaded.job) {
            // The seed is the job's own name, so a server that starts again meets the same vehicle.
            let seed =
                loaded.job.bytes().fold(7, |seed: u64, byte| seed.wrapping_mul(31).wrapping_add(u64::from(byte)));
            let twin = Twin::new(&state.sheet, state.opened_ms, seed).ok()?;
            let beside = Beside { twin, read_ms: state.opened_ms, unsent: Vec::new() };
            vehicles.insert(loaded.job.clone(), beside);
        }
        let beside = vehicles.get_mut(&loaded.job)?;
        beside.follow(loaded, now_ms, ((speed * 1000.0) as i64).clamp(EVERY_MS, SELDOM_MS));
        Some(look(beside))
    }
}

impl Beside {
    /// Lets the vehicle run until `now_ms`, and reads it on the way.
    fn follow(&mut self, loaded: &Loaded, now_ms: i64, every_ms: i64) {
        let state = &loaded.state;
        let idles_ms = state.idling_since_ms.filter(|_| state.ending.is_none() && has_reader(loaded));
        let Some(idles_ms) = idles_ms else {
            return self.twin.follow(&loaded.log, &state.sheet, now_ms);
        };
        // What was entered is done at its own time; from there on it is read again.
        let from_ms = self.read_ms.max(state.last_ms).max(idles_ms);
        let every_ms = if now_ms - from_ms > 2 * every_ms { every_ms.max(PASSING_MS) } else { every_ms };
        let oldest_ms = now_ms - MOST_READINGS * every_ms;
        let mut next_ms = (self.read_ms + every_ms).max(state.last_ms).max(idles_ms).max(oldest_ms);
        while next_ms <= now_ms {
            self.twin.follow(&loaded.log, &state.sheet, next_ms);
            self.unsent.push((next_ms, self.twin.reader()));
            self.read_ms = next_ms;
            next_ms += every_ms;
        }
        self.twin.follow(&loaded.log, &state.sheet, now_ms);
    }
}

/// A unit whose engine is never started for its level is not read while it idles.
fn has_reader(loaded: &Loaded) -> bool {
    let sheet = &loaded.state.sheet;
    let mut circuits = sheet.circuits().into_iter().filter_map(|id| sheet.of_circuit(id));
    circuits.any(|one| one.level.engine().is_some() || matches!(one.renewal, sheet::Renewal::Exchange(_)))
}

/// Why a temperature is none that the reader has shown lately, and what to do; `None` when it is one.
fn not_shown(sight: &Sight, temp: Temperature) -> Option<(String, &'static str)> {
    let (low, high) = sight.lately_c;
    if (low - NEAR_K..=high + NEAR_K).contains(&temp.celsius()) {
        return None;
    }
    let shown = if low == high { format!("{low:.0} °C") } else { format!("{low:.0} to {high:.0} °C") };
    let reason = format!("The simulated vehicle’s reader shows {shown}, not {:.0} °C.", temp.celsius());
    Some((reason, "Enter what it shows, or let time pass until it shows that."))
}

/// The same of how it stands.
fn not_standing(sight: &Sight, pitch: Angle, roll: Angle) -> Option<(String, &'static str)> {
    let near = |typed: Angle, stands: Angle| (typed.degrees() - stands.degrees()).abs() <= NEAR_DEG + 1e-9;
    if near(pitch, sight.stands.nose_up) && near(roll, sight.stands.right_up) {
        return None;
    }
    let typed = format!("nose up {:.1}°, right side up {:.1}°", pitch.degrees(), roll.degrees());
    let reason = format!("The simulated vehicle stands {}; entered was {typed}.", sight.stands());
    Some((reason, "Enter how it stands; down is below 0."))
}

impl Workshop {
    /// What the demo's simulated vehicle of a job shows just now; `None` for a real job, and where no vehicles run.
    pub fn sight(&self, loaded: &Loaded) -> Option<Sight> {
        let clock = self.clock();
        self.stage.beside(loaded, clock.now_ms(), clock.speed(), |beside| beside.twin.sight())
    }

    /// What a job's reader has read since it was last asked.
    pub(super) fn read_by_itself(&self, loaded: &Loaded) -> Vec<(i64, Temperature)> {
        let clock = self.clock();
        let read =
            self.stage.beside(loaded, clock.now_ms(), clock.speed(), |beside| std::mem::take(&mut beside.unsent));
        read.unwrap_or_default()
    }

    /// In the demo the simulated vehicle is where temperatures come from: one that it has not shown lately is refused, so
    /// that what is typed and what its reader sends never say different things; so is a tilt that it does not stand at.
    /// `None` lets the command through.
    pub(crate) fn contradicts_the_vehicle(&self, loaded: &Loaded, command: &Command) -> Option<Answer> {
        let (reason, cure) = match command {
            Command::TakeReading { temp, source: Source::Typed | Source::Reader | Source::Probe } => {
                not_shown(&self.sight(loaded)?, *temp)?
            }
            Command::LevelVehicle { pitch, roll } => not_standing(&self.sight(loaded)?, *pitch, *roll)?,
            _ => return None,
        };
        let (code, also) = ("not-what-it-shows".to_owned(), Vec::new());
        Some(Answer::Refused { code, reason, cure: cure.to_owned(), overridable: false, also })
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
