//! Sending a command to a job: gates, the log, and an answer that a retry gets again.

use std::collections::BTreeSet;

use job::entry::Source;
use job::state::CLOCKS_APART_MS;
use job::words::Fields;
use job::{Command, Override, Refusal};
use quantity::Temperature;
use serde::Serialize;
use store::{Appended, NewEntry, StoreError};

use crate::error::AppError;
use crate::record::{self, Loaded, LogLine};
use crate::workshop::Workshop;

/// A command on its way to a job.
#[derive(Debug, Clone, PartialEq)]
pub struct Sent {
    /// Client-made, unique within the job; sending it again gets the first answer.
    pub id: String,
    /// The last entry the sender had seen; `None` when the sender does not mind.
    pub seen: Option<u64>,
    /// When it happened; `None` is now.
    pub at_ms: Option<i64>,
    /// Who sends it.
    pub by: String,
    /// What to do.
    pub what: What,
    /// Gates passed on the sender's own responsibility.
    pub overrides: Vec<Override>,
}

/// A command, or the words for one.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// Already read.
    Command(Command),
    /// As words; see [`job::words::WORDS`].
    Words(String, Fields),
}

/// What became of a command.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "answer", rename_all = "kebab-case")]
pub enum Answer {
    /// Written.
    Accepted { first_seq: u64, last_seq: u64, entries: Vec<String> },
    /// A gate stands before it, or it cannot be.
    Refused { code: String, reason: String, cure: String, overridable: bool, also: Vec<String> },
    /// Somebody else entered something meanwhile that this sender had not seen.
    Conflict { seen: u64, last_seq: u64, newer: Vec<LogLine> },
    /// Sent before; this is what it was answered then.
    Repeated { first: serde_json::Value },
}

impl Answer {
    /// True when the log holds what was sent.
    pub fn is_in_the_log(&self) -> bool {
        match self {
            Self::Accepted { .. } => true,
            Self::Repeated { first } => first["answer"] == "accepted",
            _ => false,
        }
    }
    /// A refusal in words.
    pub fn refused(refusal: &Refusal) -> Self {
        let (reason, cure) = refusal.message();
        let (overridable, also) = match refusal {
            Refusal::Gate { overridable, also, .. } => {
                (*overridable, also.iter().map(|gate| gate.code().to_owned()).collect())
            }
            _ => (false, Vec::new()),
        };
        Self::Refused { code: refusal.code().to_owned(), reason, cure, overridable, also }
    }
}

/// The latest time that an entry can bear: what calendars and the log can write, the year 9999.
const LATEST_MS: i64 = 253_402_300_799_000;

/// Two writers that meet take turns; more than a handful of losses in a row means something else is wrong.
const TURNS: usize = 8;

impl Workshop {
    /// Sends a command to a job.
    ///
    /// Readings, notes and ticks hold whatever else happened, so they never conflict. Anything else conflicts when an entry
    /// that is none of them came in after `seen`.
    ///
    /// # Errors
    /// [`AppError`] when the words are not understood or the log cannot be read or written. A refusal or a conflict is
    /// an [`Answer`].
    pub async fn send(&self, job: &str, sent: Sent) -> Result<Answer, AppError> {
        if let Some(earlier) = self.store.answer(job, &sent.id).await? {
            return Ok(repeated(earlier));
        }
        let command = match &sent.what {
            What::Command(command) => command.clone(),
            What::Words(what, fields) => job::words::command(what, fields)?,
        };
        crate::workshop::fits("who enters it", &sent.by)?;
        if sent.by.trim().is_empty() {
            let what = "it is not said who enters it".to_owned();
            return Err(AppError::Input { what, hint: "Give a name or initials.".to_owned() });
        }
        let now_ms = self.clock.now_ms();
        let at_ms = sent.at_ms.unwrap_or(now_ms);
        if at_ms < 0 {
            let what = "the entry is from before 1970".to_owned();
            return Err(AppError::Input { what, hint: "Set the clock of the device that sent it.".to_owned() });
        }
        if !(0..=LATEST_MS).contains(&now_ms) {
            let what = "this computer’s clock stands before 1970 or after the year 9999".to_owned();
            return Err(AppError::Input { what, hint: "Set the clock; then enter it again.".to_owned() });
        }
        if at_ms > now_ms + CLOCKS_APART_MS {
            let what = format!("the entry is {} s ahead of now", (at_ms - now_ms) / 1000);
            let hint = "Give a time that has passed, or set the clock of the device that sent it.".to_owned();
            return Err(AppError::Input { what, hint });
        }
        for _ in 0..TURNS {
            let loaded = self.load(job).await?;
            if let Some(no) = self.contradicts_the_vehicle(&loaded, &command) {
                return self.remember(job, &sent.id, no).await;
            }
            if let Some(conflict) = conflict(&loaded, &command, sent.seen) {
                return Ok(conflict);
            }
            let (facts, overrides) = match job::act(&loaded.state, &command, &sent.overrides, at_ms) {
                Ok(done) => done,
                Err(refusal) => return self.remember(job, &sent.id, Answer::refused(&refusal)).await,
            };
            let facts = facts.into_iter().map(|fact| (at_ms, fact)).collect();
            match self.write(&loaded, &sent.id, &sent.by, now_ms, facts, overrides).await {
                Err(AppError::Store(StoreError::Conflict { .. })) => continue,
                other => return other,
            }
        }
        Err(AppError::Store(StoreError::Locked { path: self.path.clone() }))
    }

    /// Enters many readings at once, each at its own time: all or none. A reading that the log holds already, with its time
    /// and temperature, is known and not entered again, so a file that has grown may simply be sent again.
    ///
    /// # Errors
    /// [`AppError`] when the log cannot be read or written; a refusal is an [`Answer`].
    pub async fn send_readings(
        &self,
        job: &str,
        by: &str,
        source: Source,
        readings: &[(i64, Temperature)],
    ) -> Result<(Answer, usize), AppError> {
        let now_ms = self.clock.now_ms();
        for _ in 0..TURNS {
            let loaded = self.load(job).await?;
            // From the log, not the state: a reading that was withdrawn does not come back.
            let known: BTreeSet<(i64, u64)> = loaded
                .log
                .iter()
                .filter_map(|entry| match entry.body.fact {
                    job::Fact::ReadingTaken { temp_c, .. } => Some((entry.at_ms, temp_c.celsius().to_bits())),
                    _ => None,
                })
                .collect();
            let new: Vec<(i64, Temperature)> = readings
                .iter()
                .filter(|(at, temp)| !known.contains(&(*at, temp.celsius().to_bits())))
                .copied()
                .collect();
            let mut facts = Vec::with_capacity(new.len());
            for (at_ms, temp) in &new {
                match job::act(&loaded.state, &Command::TakeReading { temp: *temp, source }, &[], *at_ms) {
                    Ok((written, _)) => facts.extend(written.into_iter().map(|fact| (*at_ms, fact))),
                    Err(refusal) => return Ok((Answer::refused(&refusal), 0)),
                }
            }
            let last = loaded.state.last_seq;
            if facts.is_empty() {
                return Ok((Answer::Accepted { first_seq: last + 1, last_seq: last, entries: Vec::new() }, 0));
            }
            let id = format!("readings-after-{last}-{}", facts.len());
            match self.write(&loaded, &id, by, now_ms, facts, Vec::new()).await {
                Err(AppError::Store(StoreError::Conflict { .. })) => continue,
                // Another writer's readings came first under this name; look again at what is left to enter.
                Ok(Answer::Repeated { .. }) => continue,
                other => return other.map(|answer| (answer, new.len())),
            }
        }
        Err(AppError::Store(StoreError::Locked { path: self.path.clone() }))
    }

    async fn remember(&self, job: &str, id: &str, answer: Answer) -> Result<Answer, AppError> {
        self.store.remember(job, id, &text(&answer)).await?;
        Ok(answer)
    }

    async fn write(
        &self,
        loaded: &Loaded,
        id: &str,
        by: &str,
        recorded_ms: i64,
        facts: Vec<(i64, job::Fact)>,
        mut overrides: Vec<Override>,
    ) -> Result<Answer, AppError> {
        let last = loaded.state.last_seq;
        let (mut further, mut entries) = (Vec::new(), Vec::new());
        for (at_ms, fact) in facts {
            let (kind, body) = record::encode(fact, std::mem::take(&mut overrides))?;
            // As it will be read again, so that what is kept in memory is what the log says.
            let read = record::body(&body).map_err(|why| AppError::unreadable(&loaded.job, &why))?;
            further.push(job::Entry { seq: last + 1 + further.len() as u64, at_ms, by: by.to_owned(), body: read });
            entries.push(NewEntry { at_ms, recorded_ms, by: by.to_owned(), kind, body });
        }
        let mut after = loaded.followed(&further)?;
        let answer = Answer::Accepted {
            first_seq: last + 1,
            last_seq: last + entries.len() as u64,
            entries: entries.iter().map(|entry| entry.kind.clone()).collect(),
        };
        let row = record::row_of(&after);
        let expected = i64::try_from(last).unwrap_or(i64::MAX);
        match self.store.append(&loaded.job, expected, id, &entries, &row, &text(&answer)).await? {
            Appended::New { hash, .. } => {
                after.hash = hash;
                self.keep(after);
                self.changed(&loaded.job);
                Ok(answer)
            }
            Appended::Repeated(earlier) => Ok(repeated(earlier)),
        }
    }
}

fn repeated(earlier: store::Answer) -> Answer {
    let first = earlier.text.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_else(
        || serde_json::json!({ "answer": "accepted", "first_seq": earlier.first_seq, "last_seq": earlier.last_seq }),
    );
    Answer::Repeated { first }
}

pub(crate) fn text(answer: &Answer) -> String {
    serde_json::to_string(answer).unwrap_or_else(|_| "{}".to_owned())
}

/// True for what holds whatever else happened meanwhile.
fn commutes(kind: &str) -> bool {
    matches!(kind, "reading-taken" | "note-written" | "photo-kept" | "camera-started" | "bench-ticked")
}

fn conflict(loaded: &Loaded, command: &Command, seen: Option<u64>) -> Option<Answer> {
    let seen = seen?;
    if matches!(
        command,
        Command::TakeReading { .. }
            | Command::Note { .. }
            | Command::KeepPhoto { .. }
            | Command::TickBench { .. }
            | Command::StartCamera
    ) {
        return None;
    }
    let newer: Vec<LogLine> =
        loaded.lines().into_iter().filter(|line| line.seq > seen && !commutes(line.kind)).collect();
    (!newer.is_empty()).then_some(Answer::Conflict { seen, last_seq: loaded.state.last_seq, newer })
}
