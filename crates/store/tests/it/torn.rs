//! Power cuts: the write-ahead log is cut anywhere, and what is left must be the log as it once stood.
//!
//! Outside the project: the layout of the file (32 bytes of header, then frames of 24 bytes and one page) is that of
//! <https://www.sqlite.org/fileformat2.html#the_write_ahead_log>.

use std::{fs, path::Path};

use store::{Entry, Store};

use crate::support::{assert_sound, run, write};

const HEADER: u64 = 32;
const FRAME: u64 = 24 + 4096;

/// A database with a closed first part and an unfinished write-ahead log, and the length of that log after each commit.
struct Acknowledged {
    base: Vec<u8>,
    wal: Vec<u8>,
    /// Length of the write-ahead log and the job's entries, after each acknowledged append.
    points: Vec<(u64, Vec<Entry>)>,
}

async fn acknowledged(folder: &Path) -> Acknowledged {
    let path = folder.join("log.db");
    let wal = folder.join("log.db-wal");
    let store = Store::open(&path).await.unwrap();
    write(&store, "j-1", "c-0", 2).await.unwrap();
    store.close().await;
    assert!(!wal.exists(), "closing writes everything back");
    let store = Store::open(&path).await.unwrap();
    let mut points = vec![(0, store.log("j-1").await.unwrap())];
    for round in 1..=10 {
        write(&store, "j-1", &format!("c-{round}"), 1 + round % 3).await.unwrap();
        points.push((fs::metadata(&wal).unwrap().len(), store.log("j-1").await.unwrap()));
    }
    Acknowledged { base: fs::read(&path).unwrap(), wal: fs::read(&wal).unwrap(), points }
}

/// Where each commit ends: a frame with the header's salt whose second number, the size of the database, is not 0.
fn commit_ends(wal: &[u8]) -> Vec<u64> {
    let salt = &wal[16..24];
    let frames = wal[HEADER as usize..].chunks_exact(FRAME as usize).take_while(|frame| &frame[8..16] == salt);
    let ends = (1..).map(|frame| HEADER + frame * FRAME);
    frames.zip(ends).filter(|(frame, _)| frame[4..8] != [0; 4]).map(|(_, end)| end).collect()
}

/// Opens the database with this write-ahead log and gives what is in it.
async fn recovered(folder: &Path, base: &[u8], wal: &[u8]) -> Vec<Entry> {
    let path = folder.join("cut.db");
    // Without its witness: what is cut away here was never acknowledged to anybody.
    for name in ["cut.db-wal", "cut.db-shm", "cut.db-witness"] {
        let _ = fs::remove_file(folder.join(name));
    }
    fs::write(&path, base).unwrap();
    fs::write(folder.join("cut.db-wal"), wal).unwrap();
    let store = Store::open(&path).await.unwrap();
    assert_sound(&store).await;
    let log = store.log("j-1").await.unwrap();
    // And work goes on from there.
    write(&store, "j-1", "c-next", 1).await.unwrap();
    assert_sound(&store).await;
    store.close().await;
    log
}

/// What was acknowledged while the log was no longer than `length`.
fn expected(points: &[(u64, Vec<Entry>)], length: u64) -> &[Entry] {
    &points.iter().rev().find(|(end, _)| *end <= length).unwrap().1
}

#[tokio::test]
async fn fault_log_cut_at_every_frame_and_inside() {
    let folder = tempfile::tempdir().unwrap();
    let Acknowledged { base, wal, points } = acknowledged(folder.path()).await;
    let length = wal.len() as u64;
    assert_eq!((length - HEADER) % FRAME, 0, "the log is whole frames");
    assert_eq!(commit_ends(&wal), points[1..].iter().map(|(end, _)| *end).collect::<Vec<_>>());
    let mut cuts = vec![0, 1, HEADER - 1];
    for start in (HEADER..=length).step_by(FRAME as usize) {
        cuts.extend([0, 1, 23, 24, 2000, FRAME - 1].map(|offset| start + offset).iter().filter(|cut| **cut <= length));
    }
    for cut in &cuts {
        let log = recovered(folder.path(), &base, &wal[..*cut as usize]).await;
        assert_eq!(log, expected(&points, *cut), "cut at byte {cut}");
    }
    assert!(cuts.len() > 150, "{} cuts", cuts.len());
    println!("{} cuts over {} frames", cuts.len(), (length - HEADER) / FRAME);
}

#[tokio::test]
async fn fault_log_with_a_bad_byte_in_every_frame() {
    let folder = tempfile::tempdir().unwrap();
    let Acknowledged { base, wal, points } = acknowledged(folder.path()).await;
    for start in (HEADER..wal.len() as u64).step_by(FRAME as usize) {
        for offset in [20, 3000] {
            let mut bad = wal.clone();
            bad[(start + offset) as usize] ^= 0x40;
            // Every frame from the bad one on is void, so what ended before it is left.
            let log = recovered(folder.path(), &base, &bad).await;
            assert_eq!(log, expected(&points, start), "bad byte at {}", start + offset);
        }
    }
}

/// After a checkpoint the log starts over in the same file, in front of what is left of its first round.
#[tokio::test]
async fn fault_log_cut_in_its_second_round() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    let store = Store::open(&path).await.unwrap();
    for round in 0..20 {
        write(&store, "j-1", &format!("c-{round}"), 3).await.unwrap();
    }
    run(&path, "PRAGMA wal_checkpoint(RESTART)").await.unwrap();
    let base = fs::read(&path).unwrap();
    let mut points = vec![store.log("j-1").await.unwrap()];
    for round in 20..24 {
        write(&store, "j-1", &format!("c-{round}"), 3).await.unwrap();
        points.push(store.log("j-1").await.unwrap());
    }
    assert!(fs::read(&path).unwrap() == base, "nothing was written back yet");
    let wal = fs::read(folder.path().join("log.db-wal")).unwrap();
    let ends = commit_ends(&wal);
    assert_eq!(ends.len(), 4);
    assert!(ends[3] + FRAME < wal.len() as u64, "the first round was longer");
    for cut in (HEADER..=ends[3]).step_by(FRAME as usize).flat_map(|start| [start, start + 30, start + 4000]) {
        let known = ends.iter().filter(|end| **end <= cut).count();
        assert_eq!(recovered(folder.path(), &base, &wal[..cut as usize]).await, points[known], "cut at {cut}");
        // A frame that did not reach the disk, with the first round still behind it.
        let mut bad = wal.clone();
        let hole = cut as usize..(cut as usize + 64).min(wal.len());
        bad[hole].iter_mut().for_each(|byte| *byte ^= 0xff);
        let frame = (cut - HEADER) / FRAME;
        let known = ends.iter().filter(|end| **end <= HEADER + frame * FRAME).count();
        assert_eq!(recovered(folder.path(), &base, &bad).await, points[known], "hole at {cut}");
    }
}
