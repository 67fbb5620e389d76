//! Copies made while work goes on.

use std::{
    fs,
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
};

use store::{Store, StoreError};

use crate::support::{assert_sound, write};

#[tokio::test(flavor = "multi_thread")]
async fn law_a_backup_is_one_moment_of_a_store_in_use() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(&folder.path().join("log.db")).await.unwrap();
    write(&store, "j-0", "first", 1).await.unwrap();
    let stop = Arc::new(AtomicBool::new(false));
    let writer = tokio::spawn({
        let (store, stop) = (store.clone(), stop.clone());
        async move {
            let mut written = 0;
            while !stop.load(Ordering::SeqCst) {
                write(&store, &format!("j-{}", written % 4), &format!("c-{written}"), 3).await.unwrap();
                written += 1;
            }
            written
        }
    });
    let mut sizes = Vec::new();
    for round in 0..8 {
        let acknowledged = store.verify_all().await.unwrap().entries;
        let to = folder.path().join(format!("copy-{round}.db"));
        let backup = store.backup(&to).await.unwrap();
        assert!(backup.entries >= acknowledged, "{} of {acknowledged} entries", backup.entries);
        assert_eq!(backup.bytes, fs::metadata(&to).unwrap().len());
        let copy = Store::open(&to).await.unwrap();
        assert_sound(&copy).await;
        let found = copy.verify_all().await.unwrap();
        assert_eq!((found.jobs, found.entries), (backup.jobs, backup.entries));
        // Each append is in it whole or not at all.
        for job in copy.jobs().await.unwrap().iter().filter(|job| *job != "j-0") {
            assert_eq!(copy.log(job).await.unwrap().len() % 3, 0);
        }
        sizes.push(backup.entries);
    }
    stop.store(true, Ordering::SeqCst);
    let written = writer.await.unwrap();
    println!("{written} appends meanwhile, copies of {sizes:?} entries");
    assert!(sizes[0] < sizes[7], "work went on: {sizes:?}");
    assert_eq!(store.verify_all().await.unwrap().entries, 1 + written * 3);
}

#[tokio::test]
async fn law_a_backup_overwrites_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    let store = Store::open(&path).await.unwrap();
    write(&store, "j-1", "c-1", 2).await.unwrap();
    let taken = folder.path().join("taken.db");
    fs::write(&taken, "something else").unwrap();
    for to in [&taken, &path, &folder.path().to_owned()] {
        let error = store.backup(to).await.unwrap_err();
        assert!(matches!(&error, StoreError::Exists { path } if path == to), "{error}");
    }
    assert_eq!(fs::read_to_string(&taken).unwrap(), "something else");
    for to in ["missing/copy.db", "..", "/"] {
        let error = store.backup(&folder.path().join(to)).await.unwrap_err();
        assert!(matches!(error.code(), "cannot-open" | "exists"), "{to}: {error}");
    }
    // Two at once to the same name: one is kept, whole.
    let to = folder.path().join("twice.db");
    let (one, other) = tokio::join!(store.backup(&to), store.backup(&to));
    assert_eq!(usize::from(one.is_ok()) + usize::from(other.is_ok()), 1, "{one:?} {other:?}");
    assert_sound(&Store::open(&to).await.unwrap()).await;
    let left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|file| file.unwrap().file_name()).collect();
    assert!(left.iter().all(|name| !name.to_string_lossy().ends_with(".part")), "{left:?}");
}

#[tokio::test]
async fn law_a_store_in_memory_can_be_kept() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::in_memory().await.unwrap();
    write(&store, "j-1", "c-1", 2).await.unwrap();
    let to = folder.path().join("kept with ' and ? in its name.db");
    assert_eq!(store.backup(&to).await.unwrap().entries, 2);
    let kept = Store::open(&to).await.unwrap();
    assert_eq!(kept.log("j-1").await.unwrap(), store.log("j-1").await.unwrap());
    // Two stores in memory are two stores.
    assert_eq!(Store::in_memory().await.unwrap().jobs().await.unwrap(), Vec::<String>::new());
}
