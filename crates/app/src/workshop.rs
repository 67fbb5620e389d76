//! The workshop: the log on disk, the clock, the sheets, and word of what changed.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use job::command::Opening;
use physics::runoff::{Scale, pooled_scale};
use physics::warmup::{UnitHistory, pooled};
use serde::Serialize;
use store::{Appended, NewEntry, Store};
use tokio::sync::broadcast;

use crate::clock::Clock;
use crate::error::AppError;
use crate::record::{self, Loaded};
use crate::send::{Answer, text};
use crate::view::FloorRow;

/// What is needed to open a job.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenJob {
    /// Client-made; opening twice with the same one gives the same job.
    pub id: String,
    /// Everything the job keeps.
    pub opening: Opening,
    /// When; `None` is now.
    pub at_ms: Option<i64>,
    /// What was found before, as question and answer; the opening keeps it with its verdict.
    pub findings: Vec<(String, String)>,
    /// Gates passed on the opener's own responsibility.
    pub overrides: Vec<job::Override>,
}

/// A sheet one can plan from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetEntry {
    /// Its file name without the ending.
    pub name: String,
    /// What it is called.
    pub title: String,
    /// Its text.
    #[serde(skip)]
    pub text: String,
}

/// An open workshop.
pub struct Workshop {
    pub(crate) store: Store,
    pub(crate) clock: Arc<dyn Clock>,
    pub(crate) path: PathBuf,
    cache: Mutex<HashMap<String, Arc<Loaded>>>,
    changes: broadcast::Sender<String>,
    /// What the demo keeps beside the log.
    pub(crate) stage: crate::demo::Stage,
    /// The workshop's own sheets as last read.
    pub(crate) own: Mutex<Vec<SheetEntry>>,
    /// What earlier jobs taught, found once for each job.
    histories: Mutex<HashMap<String, (Option<UnitHistory>, Scale)>>,
    /// What they had taught about the run-off of a job when it ended, found once for each.
    pub(crate) scales: Mutex<HashMap<String, Scale>>,
    /// What reads photos; this process itself where it is not set.
    pub(crate) photo_program: std::sync::OnceLock<PathBuf>,
    /// True for the demo workshop: every page and paper says so.
    pub demo: bool,
    /// What the workshop calls itself on paper.
    pub name: String,
}

/// Closes a workshop that somebody else holds.
pub struct Closer(Store);

impl Closer {
    /// As [`Workshop::close`].
    pub async fn close(self) {
        self.0.close().await;
    }
}

/// Earlier jobs that a forecast learns from, the latest.
pub(crate) const TEACHERS: usize = 5;

/// Jobs kept folded in memory; the least recent go first when there are more.
const CACHED: usize = 256;

impl Workshop {
    /// Opens the workshop's log at `path`, making it if it is not there.
    ///
    /// # Errors
    /// [`AppError::Store`] with what is wrong with the file and what to do.
    pub async fn open(path: &Path, clock: Arc<dyn Clock>, name: &str, demo: bool) -> Result<Self, AppError> {
        let store = Store::open(path).await?;
        keep_apart(&store, path, demo).await?;
        let (changes, _) = broadcast::channel(256);
        let cache = Mutex::new(HashMap::new());
        let stage = crate::demo::Stage::default();
        let (path, name) = (path.to_owned(), name.to_owned());
        let own = Mutex::new(Vec::new());
        let (histories, scales) = (Mutex::new(HashMap::new()), Mutex::new(HashMap::new()));
        let photo_program = std::sync::OnceLock::new();
        let workshop =
            Self { store, clock, path, cache, changes, stage, histories, scales, own, photo_program, demo, name };
        if workshop.store.unlisted() {
            workshop.rebuild().await?;
        }
        workshop.read_own_sheets().await?;
        Ok(workshop)
    }

    /// The workshop's clock.
    pub fn clock(&self) -> &dyn Clock {
        self.clock.as_ref()
    }

    /// What is wrong with the workshop as a whole, each with what to do; empty while all is well.
    pub fn troubles(&self) -> Vec<String> {
        let moved = self.clock.moved_ms();
        let way = if moved < 0 { "back" } else { "ahead" };
        let clock = (moved != 0).then(|| {
            format!(
                "This computer’s clock was set {} {way}. Entries go on by the time from before; start the server again to follow it.",
                crate::view::span_words(moved.saturating_abs())
            )
        });
        let gone = self.store.gone().map(|gone| format!("{gone}. {}", gone.hint()));
        gone.into_iter().chain(clock).chain(self.store.notices().iter().cloned()).collect()
    }

    /// True when nothing that is entered now could be found again.
    pub fn is_gone(&self) -> bool {
        self.store.gone().is_some()
    }

    /// What was found when the log was opened and put right, or has to be known.
    pub fn notices(&self) -> &[String] {
        self.store.notices()
    }

    /// Brings what was entered into the database file itself, in a quiet moment: a copy of that file is whole then.
    ///
    /// # Errors
    /// What the disk says.
    pub async fn settle(&self) -> Result<(), AppError> {
        Ok(self.store.settle().await?)
    }

    /// What closes this workshop later, whoever holds it then.
    pub fn closer(&self) -> Closer {
        Closer(self.store.clone())
    }

    /// Finishes what is under way and leaves everything in the database file. The workshop answers nothing afterwards.
    pub async fn close(&self) {
        self.store.close().await;
    }

    /// Word of each job that changed, from now on.
    pub fn changes(&self) -> broadcast::Receiver<String> {
        self.changes.subscribe()
    }

    /// Jobs in memory whose engine idles, but for this one.
    pub(crate) fn warming(&self, but: &str) -> Vec<Arc<Loaded>> {
        let Ok(cache) = self.cache.lock() else { return Vec::new() };
        let idles = |loaded: &&Arc<Loaded>| {
            let state = &loaded.state;
            loaded.job != but && state.idling_since_ms.is_some() && state.ending.is_none() && !state.level_set()
        };
        cache.values().filter(idles).cloned().collect()
    }

    pub(crate) fn changed(&self, job: &str) {
        // Nobody listening is no failure.
        let _ = self.changes.send(job.to_owned());
    }

    /// A job from its log, folded once for each state of the log.
    ///
    /// # Errors
    /// [`AppError::NoSuchJob`], or what is wrong with the log.
    pub async fn load(&self, job: &str) -> Result<Arc<Loaded>, AppError> {
        // Another process may write the same log, so the row on disk decides whether the folded one is still true.
        let row = self.store.row(job).await?.ok_or_else(|| AppError::NoSuchJob(job.to_owned()))?;
        let kept = self.cache.lock().ok().and_then(|cache| cache.get(job).cloned());
        if let Some(kept) = kept.filter(|kept| i64::try_from(kept.state.last_seq) == Ok(row.seq)) {
            return Ok(kept);
        }
        let stored = self.store.log(job).await?;
        let mut loaded = record::load(job, &stored)?;
        (loaded.history, loaded.scale) = self.learnt(&loaded).await;
        Ok(self.keep(loaded))
    }

    /// Keeps a job in memory as it stands on disk.
    pub(crate) fn keep(&self, loaded: Loaded) -> Arc<Loaded> {
        let loaded = Arc::new(loaded);
        if let Ok(mut cache) = self.cache.lock() {
            if cache.len() >= CACHED && !cache.contains_key(&loaded.job) {
                cache.clear();
            }
            cache.insert(loaded.job.clone(), loaded.clone());
        }
        loaded
    }

    /// What the last finished jobs from the same sheet taught about its warm-up and its run-off. A log that cannot be
    /// read teaches nothing: it is no reason to refuse this job its forecast.
    async fn learnt(&self, loaded: &Loaded) -> (Option<UnitHistory>, Scale) {
        if loaded.state.ending.is_some() {
            return (None, Scale::MODEL);
        }
        if let Some(known) = self.histories.lock().ok().and_then(|kept| kept.get(&loaded.job).copied()) {
            return known;
        }
        let mut rows = self.store.floor().await.unwrap_or_default();
        rows.retain(|row| row.closed && row.job != loaded.job && row.title == loaded.state.sheet.name);
        rows.sort_by_key(|row| std::cmp::Reverse(row.updated_ms));
        let (mut taught, mut flows) = (Vec::new(), Vec::new());
        for row in rows.iter().take(TEACHERS) {
            let Ok(stored) = self.store.log(&row.job).await else { continue };
            let Ok(earlier) = record::load(&row.job, &stored) else { continue };
            taught.extend(crate::forecast::taught(&earlier.log, &earlier.state));
            flows.extend(crate::runoff::taught(&earlier.state));
        }
        let learnt = (pooled(&taught), pooled_scale(&flows).unwrap_or(Scale::MODEL));
        if let Ok(mut kept) = self.histories.lock() {
            kept.insert(loaded.job.clone(), learnt);
        }
        learnt
    }

    /// Opens a job from a sheet. The sheet is copied into the job whole. What was found when an earlier job on the same
    /// vehicle was opened counts too, until the same unit is looked at again.
    ///
    /// # Errors
    /// [`AppError::SheetErrors`] when the sheet cannot be planned from; [`AppError::Refused`] when what was found says that
    /// this is no fluid service and no reason was typed to open the job all the same.
    pub async fn open_job(&self, open: OpenJob) -> Result<String, AppError> {
        let job = job_name(&open.id)?;
        // Sent again, whatever it says now and whatever stands in the way by now: the first answer holds.
        if self.store.answer(&job, &open.id).await?.is_some_and(|answer| answer.last_seq > 0) {
            return Ok(job);
        }
        let checked = sheet::check(&open.opening.sheet);
        let Some(sheet) = checked.sheet else {
            let errors: Vec<_> = checked.findings.iter().filter(|f| f.severity == sheet::Severity::Error).collect();
            let first = errors.first();
            return Err(AppError::SheetErrors {
                count: errors.len(),
                line: first.map_or(0, |finding| finding.line),
                first: first.map_or_else(String::new, |finding| finding.message.clone()),
            });
        };
        for (name, text) in [
            ("the vehicle", &open.opening.vehicle),
            ("the fluid", &open.opening.fluid),
            ("the technician", &open.opening.technician),
        ] {
            fits(name, text)?;
        }
        if open.opening.technician.trim().is_empty() {
            let what = "a job needs a technician".to_owned();
            return Err(AppError::Input { what, hint: "Say who does the work: a name or initials.".to_owned() });
        }
        if open.opening.vehicle.trim().is_empty() {
            let what = "a job needs a vehicle".to_owned();
            return Err(AppError::Input {
                what,
                hint: "Say which, in your own words: plate, colour, owner's name.".to_owned(),
            });
        }
        let now_ms = self.clock.now_ms();
        let at_ms = open.at_ms.unwrap_or(now_ms);
        let by = open.opening.technician.clone();
        let mut opening = open.opening;
        opening.demo = opening.demo || self.demo;
        opening.found = crate::decide::found(&sheet, &opening, open.findings)?;
        let earlier = self.found_before(&opening.vehicle).await?;
        let passed = job::act::open(&opening, &sheet.id, &earlier, &open.overrides)
            .map_err(|refusal| AppError::Refused(Box::new(refusal)))?;
        let fact = job::Fact::JobOpened(Box::new(opening));
        let entry = job::Entry {
            seq: 1,
            at_ms,
            by: by.clone(),
            body: job::entry::Body { fact: fact.clone(), overrides: passed.clone() },
        };
        let state = job::fold(std::slice::from_ref(&entry)).map_err(|why| AppError::unreadable(&job, &why))?;
        let plan = job::plan::plan_of(&state.opening, &state.sheet);
        let loaded = Loaded::new(job.clone(), vec![entry], String::new(), state, plan);
        let (kind, body) = record::encode(fact, passed)?;
        let entries = [NewEntry { at_ms, recorded_ms: now_ms, by, kind, body }];
        let answer = Answer::Accepted { first_seq: 1, last_seq: 1, entries: vec!["job-opened".to_owned()] };
        match self.store.append(&job, 0, &open.id, &entries, &record::row_of(&loaded), &text(&answer)).await? {
            Appended::New { .. } => self.changed(&job),
            Appended::Repeated(_) => {}
        }
        Ok(job)
    }

    /// Every job, open ones first, the latest first.
    ///
    /// # Errors
    /// What is wrong with the log on disk.
    pub async fn floor(&self) -> Result<Vec<FloorRow>, AppError> {
        let mut rows = Vec::new();
        for row in self.store.floor().await? {
            let live = if row.closed { None } else { self.load(&row.job).await.ok() };
            rows.push(FloorRow::new(row, live.as_deref(), self.clock.now_ms()));
        }
        Ok(rows)
    }

    /// The sheets one can plan from: the shipped ones, each replaced by the workshop's own of the same name, then the others
    /// of its own. Those with errors are left out.
    pub fn sheets(&self) -> Vec<SheetEntry> {
        let own = self.own.lock().map(|own| own.clone()).unwrap_or_default();
        let shipped = sheet::shipped().iter().filter_map(|(file, text)| {
            let name = file.trim_end_matches(".toml");
            own.iter().find(|entry| entry.name == name).cloned().or_else(|| entry(name, text))
        });
        let mut sheets: Vec<SheetEntry> = shipped.collect();
        let further =
            own.into_iter().filter(|own| !sheets.iter().any(|entry| entry.name == own.name)).collect::<Vec<_>>();
        sheets.extend(further);
        sheets
    }

    /// A copy of the log on disk, made while work goes on.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn backup(&self, to: &Path) -> Result<store::Backup, AppError> {
        Ok(self.store.backup(to).await?)
    }

    /// Drops everything that follows from the log and makes it anew.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn rebuild(&self) -> Result<store::Rebuilt, AppError> {
        Ok(self.store.rebuild(record::row_of_log).await?)
    }

    /// Keeps a paper as printed, with the version of the formulas behind it.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn keep_paper(&self, job: &Loaded, mime: &str, bytes: Vec<u8>) -> Result<i64, AppError> {
        let seq = i64::try_from(job.state.last_seq).unwrap_or(i64::MAX);
        let model_version = crate::MODEL_VERSION.to_owned();
        let proof =
            store::NewProof { seq, printed_ms: self.clock.now_ms(), mime: mime.to_owned(), model_version, bytes };
        Ok(self.store.keep_proof(&job.job, &proof).await?)
    }
}

/// A text as a sheet to plan from; `None` while it has errors.
pub(crate) fn entry(name: &str, text: &str) -> Option<SheetEntry> {
    let sheet = sheet::check(text).sheet?;
    Some(SheetEntry { name: name.to_owned(), title: sheet.name, text: text.to_owned() })
}

/// A demo's log is never opened as a real one, nor the other way round.
async fn keep_apart(store: &Store, path: &Path, demo: bool) -> Result<(), AppError> {
    let kind = if demo { "\"demo\"" } else { "\"real\"" };
    match store.document("workshop", "kind").await? {
        Some(kept) if kept != kind => {
            let (is, not) =
                if demo { ("a real workshop's", "as a demo") } else { ("the demo's", "as a real workshop") };
            let what = format!("{} is {is} log and is not opened {not}", path.display());
            Err(AppError::Input { what, hint: "Name another file with --data.".to_owned() })
        }
        Some(_) => Ok(()),
        None => Ok(store.put_document("workshop", "kind", kind).await?),
    }
}

/// A job is named by the id of the command that opened it, so a repeated opening finds the same job.
/// Puts a copy of a backup in the place of a workshop's log; what was there is kept aside under the stamp.
///
/// # Errors
/// [`AppError::Store`]; the log is as it was then.
pub async fn restore(backup: &Path, to: &Path, stamp: &str) -> Result<store::Restored, AppError> {
    Ok(store::restore(backup, to, stamp).await?)
}

/// Most letters of a name: of a vehicle, a fluid, a person.
pub const LONGEST_NAME: usize = 120;

/// A name that can be kept, printed and shown on one line.
pub(crate) fn fits(what: &str, text: &str) -> Result<(), AppError> {
    let letters = text.chars().count();
    let why = if letters > LONGEST_NAME || text.len() > store::LONGEST_NAME {
        format!("{what} has {letters} letters; up to {LONGEST_NAME} are kept")
    } else if let Some(bad) = text.chars().find(|letter| letter.is_control()) {
        format!("{what} holds the control character U+{:04X}", u32::from(bad))
    } else {
        return Ok(());
    };
    Err(AppError::Input { what: why, hint: "Type it again, on one line and shorter.".to_owned() })
}

fn job_name(id: &str) -> Result<String, AppError> {
    let name: String = id.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').take(64).collect();
    if name.len() < 4 || name.len() != id.len() {
        let what = format!("“{id}” cannot name a job");
        return Err(AppError::Input { what, hint: "4 to 64 letters, digits and hyphens.".to_owned() });
    }
    Ok(name)
}

/// A new client-made id, sortable by time.
pub fn new_id() -> String {
    id().to_string()
}

/// By the computer's clock, or as of 1970 where that stands before it: an id must be new, not right about the time.
fn id() -> uuid::Uuid {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    uuid::Uuid::new_v7(uuid::Timestamp::from_unix(uuid::NoContext, since.as_secs(), since.subsec_nanos()))
}

/// A name for a new job that a person can type: the day, and four letters.
pub fn new_job_name(now_ms: i64) -> String {
    const LETTERS: &[u8] = b"abcdefghjkmnpqrstuvwxyz23456789";
    let day = jiff::Timestamp::from_millisecond(now_ms)
        .map_or_else(|_| "job".to_owned(), |at| at.strftime("%y%m%d").to_string());
    let random = id();
    let tail = random.as_bytes().iter().rev().take(4).map(|byte| LETTERS[usize::from(*byte) % LETTERS.len()] as char);
    format!("{day}-{}", tail.collect::<String>())
}
