//! Anything that can break a file: each acknowledged entry is there, or the loss is named.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use store::{Store, StoreError};

use crate::support::{Dice, write};

/// What is done to the files.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Harm {
    Flip,
    Cut,
    Zero,
    Remove,
    Swap,
    Empty,
}

const HARMS: [Harm; 6] = [Harm::Flip, Harm::Cut, Harm::Zero, Harm::Remove, Harm::Swap, Harm::Empty];

/// When it is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Moment {
    /// After a clean stop.
    AtRest,
    /// After a stop without an end: what a killed program leaves.
    Killed,
    /// While a program has it open and goes on writing.
    Serving,
}

const MOMENTS: [Moment; 3] = [Moment::AtRest, Moment::Killed, Moment::Serving];

/// How a case ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    AllThere,
    Named(String),
    /// An acknowledged entry is neither there nor missed by anybody.
    Silent(String),
}

/// What was acknowledged: entries of each job.
type Acknowledged = BTreeMap<String, i64>;

async fn fill(
    store: &Store,
    chance: &mut Dice,
    acknowledged: &mut Acknowledged,
    round: usize,
) -> Result<(), StoreError> {
    for n in 0..8 {
        let job = format!("j-{}", chance.roll(4));
        let count = 1 + chance.roll(3) as usize;
        write(store, &job, &format!("c-{round}-{n}"), count).await?;
        *acknowledged.entry(job).or_default() += count as i64;
    }
    Ok(())
}

fn copy_all(from: &Path, to: &Path) {
    for entry in fs::read_dir(from).unwrap().flatten() {
        fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
    }
}

/// Does the harm to one of the files that matter; gives which.
fn harm(folder: &Path, harm: Harm, chance: &mut Dice, older: &Path) -> Option<String> {
    let files: Vec<PathBuf> = ["w.db", "w.db-wal", "w.db-witness"]
        .iter()
        .map(|name| folder.join(name))
        .filter(|path| fs::metadata(path).is_ok_and(|file| file.len() > 0))
        .collect();
    let path = files.get(chance.roll(files.len() as u64) as usize)?;
    let mut bytes = fs::read(path).unwrap();
    let at = chance.roll(bytes.len() as u64) as usize;
    match harm {
        Harm::Flip => {
            bytes[at] ^= 1 << chance.roll(8);
            fs::write(path, &bytes).unwrap();
        }
        Harm::Cut => fs::write(path, &bytes[..at]).unwrap(),
        Harm::Zero => {
            let page = at / 4096 * 4096;
            let end = (page + 4096).min(bytes.len());
            bytes[page..end].fill(0);
            fs::write(path, &bytes).unwrap();
        }
        Harm::Remove => fs::remove_file(path).unwrap(),
        Harm::Empty => fs::write(path, []).unwrap(),
        // What stands for a backup copied over it: content of an earlier moment in the same file.
        Harm::Swap => {
            let earlier = older.join(path.file_name().unwrap());
            if !earlier.exists() {
                return None;
            }
            fs::write(path, fs::read(earlier).unwrap()).unwrap();
        }
    }
    Some(path.file_name().unwrap().to_string_lossy().into_owned())
}

/// Opens what is left and holds it against what was acknowledged.
async fn end_of(path: &Path, acknowledged: &Acknowledged) -> End {
    let store = match Store::open(path).await {
        Ok(store) => store,
        Err(error) => return End::Named(error.code().to_owned()),
    };
    let mut named = None;
    for (job, count) in acknowledged {
        match store.log(job).await {
            Ok(log) if log.len() as i64 >= *count => {}
            Ok(log) => {
                store.close().await;
                return End::Silent(format!("{job}: {} of {count}", log.len()));
            }
            Err(error) => named = Some(error.code().to_owned()),
        }
    }
    store.close().await;
    named.map_or(End::AllThere, End::Named)
}

/// One case from its seed; `None` where there was nothing to harm.
pub async fn case(seed: u64, kind: Harm, moment: Moment) -> Option<(String, End)> {
    let mut chance = Dice(seed);
    let (folder, older) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let path = folder.path().join("w.db");
    let mut acknowledged = Acknowledged::new();
    let store = Store::open(&path).await.unwrap();
    fill(&store, &mut chance, &mut acknowledged, 0).await.unwrap();
    store.close().await;
    copy_all(folder.path(), older.path());
    let store = Store::open(&path).await.unwrap();
    fill(&store, &mut chance, &mut acknowledged, 1).await.unwrap();
    match moment {
        Moment::AtRest => {
            store.close().await;
            let file = harm(folder.path(), kind, &mut chance, older.path())?;
            Some((file, end_of(&path, &acknowledged).await))
        }
        Moment::Killed => {
            // The files as they stand, in a folder that no program has open.
            let left = tempfile::tempdir().unwrap();
            copy_all(folder.path(), left.path());
            store.close().await;
            let file = harm(left.path(), kind, &mut chance, older.path())?;
            Some((file, end_of(&left.path().join("w.db"), &acknowledged).await))
        }
        Moment::Serving => {
            let file = harm(folder.path(), kind, &mut chance, older.path())?;
            // It goes on; from the first refusal on nothing is acknowledged, so nothing can be lost.
            let refused = fill(&store, &mut chance, &mut acknowledged, 2).await.err();
            store.close().await;
            let end = end_of(&path, &acknowledged).await;
            // Said to whoever enters, and to whoever opens it next.
            Some((
                file,
                match (end, refused) {
                    (End::AllThere, Some(error)) => End::Named(error.code().to_owned()),
                    (end, _) => end,
                },
            ))
        }
    }
}

/// Every kind of harm at every moment, a few seeds each; `SUMPWRIGHT_FILE_FAULTS=N` takes N seeds and prints a table.
#[tokio::test]
async fn fault_what_breaks_a_file_loses_nothing_in_silence() {
    let wanted = std::env::var("SUMPWRIGHT_FILE_FAULTS").ok().and_then(|n| n.parse::<u64>().ok());
    let mut table: BTreeMap<(Moment, Harm, String), [usize; 3]> = BTreeMap::new();
    let mut silent = Vec::new();
    for seed in 0..wanted.unwrap_or(4) {
        for moment in MOMENTS {
            for kind in HARMS {
                let own = seed * 1000 + 10 * moment as u64 + kind as u64;
                let Some((file, end)) = case(own, kind, moment).await else { continue };
                let row = table.entry((moment, kind, file.clone())).or_default();
                match end {
                    End::AllThere => row[0] += 1,
                    End::Named(_) => row[1] += 1,
                    End::Silent(what) => {
                        row[2] += 1;
                        silent.push(format!("seed {own}, {moment:?}, {kind:?} of {file}: {what}"));
                    }
                }
            }
        }
    }
    if wanted.is_some() {
        println!("| moment | harm | file | all there | named | silent |\n|---|---|---|---|---|---|");
        for ((moment, kind, file), [there, named, lost]) in &table {
            println!("| {moment:?} | {kind:?} | {file} | {there} | {named} | {lost} |");
        }
        let sum = |i: usize| table.values().map(|row| row[i]).sum::<usize>();
        println!("all there {}, named {}, silent {}", sum(0), sum(1), sum(2));
    }
    assert!(silent.is_empty(), "{}", silent.join("\n"));
}
