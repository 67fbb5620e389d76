//! A real process is killed at any moment; what it had acknowledged must be there.

use std::{
    collections::BTreeMap,
    io::{Read, Write},
    path::Path,
    process::{Command, Stdio},
    time::{Duration, Instant},
};

use store::{Appended, Store};

use crate::support::{Dice, assert_sound, seed, write};

const CHILD: &str = "STORE_TEST_KILLED_CHILD";
/// Kills in one run; `SUMPWRIGHT_KILLS` sets another number.
const KILLS: u64 = 60;

fn kills() -> u64 {
    std::env::var("SUMPWRIGHT_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(KILLS)
}

/// Appends until it is killed, and says so after each acknowledgement.
async fn child(path: &Path) {
    let store = Store::open(path).await.unwrap();
    let mut out = std::io::stdout();
    for round in 0.. {
        let job = format!("j-{}", round % 3);
        let seen = store.log(&job).await.unwrap().len();
        let command = format!("c-{seen}");
        let Appended::New { last_seq, .. } = write(&store, &job, &command, 1 + round % 4).await.unwrap() else {
            panic!("{command} of {job} was never acknowledged and is not in the log");
        };
        // One write call a line, so that a line is never cut by the kill.
        out.write_all(format!("\nacknowledged {job} {last_seq}\n").as_bytes()).unwrap();
        out.flush().unwrap();
    }
}

/// Runs a child on the database, kills it after a while and gives the last acknowledged entry of each job.
fn killed(path: &Path, after: Duration) -> BTreeMap<String, i64> {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["kill::fault_killed_at_any_moment", "--exact", "--nocapture"])
        .env(CHILD, path)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    std::thread::sleep(after);
    child.kill().unwrap();
    let mut said = String::new();
    child.stdout.take().unwrap().read_to_string(&mut said).unwrap();
    let status = child.wait().unwrap();
    assert_eq!(status.code(), None, "the child ended by itself: {said}");
    let mut acknowledged = BTreeMap::new();
    for line in said.lines() {
        if let ["acknowledged", job, seq] = line.split(' ').collect::<Vec<_>>()[..] {
            acknowledged.insert(job.to_owned(), seq.parse().unwrap());
        }
    }
    acknowledged
}

#[tokio::test]
async fn fault_killed_at_any_moment() {
    if let Some(path) = std::env::var_os(CHILD) {
        return child(Path::new(&path)).await;
    }
    let mut dice = Dice(seed(20_260_101));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    let mut acknowledged = BTreeMap::<String, i64>::new();
    let (started, mut productive) = (Instant::now(), 0);
    for kill in 0..kills() {
        let now = killed(&path, Duration::from_millis(5 + dice.roll(240)));
        productive += u64::from(!now.is_empty());
        acknowledged.extend(now);
        let store = Store::open(&path).await.unwrap();
        for (job, seq) in &acknowledged {
            let found = store.log(job).await.unwrap().len() as i64;
            assert!(found >= *seq, "kill {kill}: {job} acknowledged up to {seq}, found {found}");
        }
        assert_sound(&store).await;
        // Every other time the store is left behind without closing, as after a crash.
        if kill % 2 == 0 {
            store.close().await;
        }
    }
    let entries: i64 = acknowledged.values().sum();
    println!("{} kills, {productive} of them during appends, {entries} entries, {:?}", kills(), started.elapsed());
    assert!(productive >= kills() / 2, "only {productive} kills fell into the appends");
}
