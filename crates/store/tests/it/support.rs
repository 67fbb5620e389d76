//! What the tests share: entries to write, a projection to check against, and the check itself.

use std::path::Path;

use sqlx::{Connection, SqliteConnection, sqlite::SqliteConnectOptions};
use store::{Appended, Entry, JobRow, NewEntry, Store, StoreError};

/// A plain generator (SplitMix64, published as a public-domain reference by S. Vigna), so that a printed seed repeats a run.
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % sides.max(1)
    }
}

/// The seed of a run, printed: the one given, or that of the environment.
pub fn seed(usual: u64) -> u64 {
    let seed = std::env::var("STORE_TEST_SEED").ok().and_then(|text| text.parse().ok()).unwrap_or(usual);
    println!("seed {seed}; STORE_TEST_SEED sets another one");
    seed
}

/// `count` entries that differ from each other.
pub fn new_entries(command: &str, count: usize) -> Vec<NewEntry> {
    (0..count as i64)
        .map(|index| NewEntry {
            at_ms: 1_700_000_000_000 + index,
            recorded_ms: 1_700_000_000_500 + index,
            by: "Kim, bay 2".to_owned(),
            kind: ["PlugProven", "DrainOpened", "VolumePoured"][index as usize % 3].to_owned(),
            body: format!("{{\"command\":\"{command}\",\"volume_ml\":{}}}", 100 * (index + 1)),
        })
        .collect()
}

/// The projection of these tests: what it shows depends on every entry and on their order.
fn fold<'a>(job: &str, parts: impl Iterator<Item = (&'a str, &'a str, i64)>) -> JobRow {
    let mut row = JobRow { job: job.to_owned(), title: "service".to_owned(), ..JobRow::default() };
    let mut sum = 0u64;
    for (kind, body, at_ms) in parts {
        row.seq += 1;
        row.stage = kind.to_owned();
        row.vehicle = format!("vehicle of {job}");
        row.waits_for = format!("entry {}", row.seq + 1);
        row.closed = row.seq % 7 == 0;
        row.updated_ms = at_ms;
        for byte in body.bytes() {
            sum = sum.wrapping_mul(31).wrapping_add(u64::from(byte));
        }
    }
    row.summary = format!("{{\"sum\":\"{sum}\"}}");
    row
}

/// The row of a job, from its log.
pub fn project(job: &str, log: &[Entry]) -> JobRow {
    fold(job, log.iter().map(|entry| (&*entry.kind, &*entry.body, entry.at_ms)))
}

/// The row of a job, from its log and what is about to be added.
pub fn project_with(job: &str, log: &[Entry], new: &[NewEntry]) -> JobRow {
    let old = log.iter().map(|entry| (&*entry.kind, &*entry.body, entry.at_ms));
    fold(job, old.chain(new.iter().map(|entry| (&*entry.kind, &*entry.body, entry.at_ms))))
}

/// Reads the job and writes `count` entries after what it read.
pub async fn write(store: &Store, job: &str, command: &str, count: usize) -> Result<Appended, StoreError> {
    let log = store.log(job).await?;
    let new = new_entries(command, count);
    let row = project_with(job, &log, &new);
    store.append(job, log.len() as i64, command, &new, &row, &answer_to(command)).await
}

/// The answer `write` gives to a command.
pub fn answer_to(command: &str) -> String {
    format!("{{\"done\":\"{command}\"}}")
}

/// The chain of every job holds, and every row is what its log says.
pub async fn assert_sound(store: &Store) {
    let found = store.verify_all().await.expect("the check runs");
    assert!(found.is_sound(), "{found:?}");
    let jobs = store.jobs().await.expect("the jobs are listed");
    assert_eq!(jobs.len(), store.floor().await.expect("the floor is read").len());
    for job in jobs {
        let log = store.log(&job).await.expect("the log is read");
        assert_eq!(store.row(&job).await.expect("the row is read"), Some(project(&job, &log)));
    }
}

/// A connection that knows nothing of the store.
pub async fn raw(path: &Path) -> SqliteConnection {
    let options = SqliteConnectOptions::new().filename(path).create_if_missing(true);
    SqliteConnection::connect_with(&options).await.expect("a plain connection opens")
}

/// Runs statements on a connection of its own.
pub async fn run(path: &Path, statements: &'static str) -> Result<(), sqlx::Error> {
    let mut connection = raw(path).await;
    let result = sqlx::raw_sql(statements).execute(&mut connection).await;
    connection.close().await?;
    result.map(|_| ())
}
