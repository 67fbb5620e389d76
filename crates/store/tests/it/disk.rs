//! Full disks, locked and unwritable files, and files that are no database.

use std::{fs, path::Path, process::Command, time::Duration};

use sqlx::Connection;
use store::{Settings, Store, StoreError};

use crate::support::{assert_sound, raw, run, write};

/// Appends until the store is full; gives the number of acknowledged appends.
async fn fill(store: &Store, full_at: &Path) -> usize {
    for round in 0..5_000 {
        match write(store, "j-1", &format!("c-{round}"), 2).await {
            Ok(_) => {}
            Err(StoreError::Full { path }) => {
                assert_eq!(path, full_at);
                return round;
            }
            Err(error) => panic!("{error}"),
        }
    }
    panic!("never full");
}

#[tokio::test]
async fn fault_full_by_page_count() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    let small = Settings { max_pages: Some(40), ..Settings::default() };
    let store = Store::open_with(&path, small).await.unwrap();
    let acknowledged = fill(&store, &path).await;
    assert!(acknowledged > 10, "{acknowledged}");
    // Nothing half-written; reading works; the next write says the same and does not hang.
    for _ in 0..3 {
        assert!(matches!(write(&store, "j-1", "one more", 2).await, Err(StoreError::Full { .. })));
        assert_eq!(store.log("j-1").await.unwrap().len(), acknowledged * 2);
        assert_sound(&store).await;
    }
    store.close().await;
    // With room again, the command that failed goes through.
    let store = Store::open(&path).await.unwrap();
    write(&store, "j-1", "one more", 2).await.unwrap();
    assert_eq!(store.log("j-1").await.unwrap().len(), acknowledged * 2 + 2);
    assert_sound(&store).await;
    // No room from the very first page.
    let path = folder.path().join("none.db");
    let none = Settings { max_pages: Some(3), ..Settings::default() };
    assert!(matches!(Store::open_with(&path, none).await, Err(StoreError::Full { .. })));
    assert_sound(&Store::open(&path).await.unwrap()).await;
}

/// A real small disk, where the machine lets us have one.
struct SmallDisk(tempfile::TempDir);

impl SmallDisk {
    fn mount(size: &str) -> Option<Self> {
        let folder = tempfile::tempdir().unwrap();
        let status = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={size}"), "tmpfs"])
            .arg(folder.path())
            .output()
            .ok()?
            .status;
        status.success().then_some(Self(folder))
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(self.0.path()).output();
    }
}

#[tokio::test]
async fn fault_full_disk() {
    let Some(disk) = SmallDisk::mount("1m") else {
        println!("no right to mount a small disk here; the limit by page count stands in for it");
        return;
    };
    let path = disk.0.path().join("log.db");
    let filler = disk.0.path().join("filler");
    let store = Store::open(&path).await.unwrap();
    fs::write(&filler, vec![0; 300_000]).unwrap();
    let acknowledged = fill(&store, &path).await;
    assert!(acknowledged > 10, "{acknowledged}");
    assert_eq!(store.log("j-1").await.unwrap().len(), acknowledged * 2);
    let to = disk.0.path().join("backup.db");
    let error = store.backup(&to).await.unwrap_err();
    assert!(matches!(&error, StoreError::Full { path } if *path == to), "{error}");
    assert_eq!(
        fs::read_dir(disk.0.path()).unwrap().count(),
        6,
        "database, two companions, witness, who has it open, filler: no part of a backup"
    );
    // Room is made while the store stays open.
    fs::remove_file(&filler).unwrap();
    write(&store, "j-1", "one more", 2).await.unwrap();
    assert_eq!(store.log("j-1").await.unwrap().len(), acknowledged * 2 + 2);
    assert_sound(&store).await;
}

#[tokio::test]
async fn fault_locked_by_another_program() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("log.db");
    let short = Settings { wait: Duration::from_millis(50), ..Settings::default() };
    let store = Store::open_with(&path, short).await.unwrap();
    write(&store, "j-1", "c-1", 1).await.unwrap();
    let mut other = raw(&path).await;
    sqlx::raw_sql("BEGIN IMMEDIATE").execute(&mut other).await.unwrap();
    let error = write(&store, "j-1", "c-2", 1).await.unwrap_err();
    assert!(matches!(error, StoreError::Locked { .. }), "{error}");
    // Readers do not wait for a writer.
    assert_eq!(store.log("j-1").await.unwrap().len(), 1);
    sqlx::raw_sql("ROLLBACK").execute(&mut other).await.unwrap();
    other.close().await.unwrap();
    write(&store, "j-1", "c-2", 1).await.unwrap();
    assert_sound(&store).await;
}

#[tokio::test]
async fn fault_files_that_are_no_store() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let store = Store::open(&at("good.db")).await.unwrap();
    for round in 0..20 {
        write(&store, "j-1", &format!("c-{round}"), 3).await.unwrap();
    }
    store.close().await;
    let good = fs::read(at("good.db")).unwrap();
    fs::write(at("text.db"), "a list of plugs and seals\n".repeat(400)).unwrap();
    fs::write(at("cut.db"), &good[..good.len() / 2]).unwrap();
    fs::write(at("stub.db"), &good[..50]).unwrap();
    fs::create_dir(at("folder.db")).unwrap();
    run(&at("other.db"), "CREATE TABLE parts (id TEXT)").await.unwrap();
    run(&at("likely.db"), "CREATE TABLE migration (id TEXT)").await.unwrap();
    let cases = [
        ("text.db", "not-a-database"),
        ("cut.db", "corrupt"),
        ("stub.db", "corrupt"),
        ("folder.db", "cannot-open"),
        ("missing/log.db", "cannot-open"),
        ("other.db", "foreign"),
        ("likely.db", "foreign"),
    ];
    for (name, code) in cases {
        let before = fs::read(at(name)).ok();
        let error = Store::open(&at(name)).await.expect_err(name);
        assert_eq!(error.code(), code, "{name}: {error}");
        assert!(error.to_string().contains(name), "{name}: {error}");
        assert!(!error.hint().is_empty());
        assert!(fs::read(at(name)).ok() == before, "{name} is left as it was");
    }
    // An empty file is a new database.
    fs::write(at("empty.db"), "").unwrap();
    assert_sound(&Store::open(&at("empty.db")).await.unwrap()).await;
}

const UNPRIVILEGED: &str = "STORE_TEST_UNPRIVILEGED";

#[tokio::test]
async fn fault_a_folder_that_may_not_be_written() {
    if let Some(folder) = std::env::var_os(UNPRIVILEGED) {
        return refused_in(Path::new(&folder)).await;
    }
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(&folder.path().join("log.db")).await.unwrap();
    write(&store, "j-1", "c-1", 1).await.unwrap();
    store.close().await;
    unprivileged(folder.path());
    let store = Store::open(&folder.path().join("log.db")).await.unwrap();
    assert_eq!(store.log("j-1").await.unwrap().len(), 1);
    assert_sound(&store).await;
}

/// Runs [`refused_in`] as a user who may read but not write: rights do not bind the administrator.
#[cfg(unix)]
fn unprivileged(folder: &Path) {
    use std::os::unix::{fs::PermissionsExt, process::CommandExt};
    let nobody = 65_534;
    // The folder of the test program may be closed to others, so it gets a copy.
    let place = tempfile::tempdir().unwrap();
    let program = place.path().join("it");
    fs::copy(std::env::current_exe().unwrap(), &program).unwrap();
    for path in [place.path(), folder] {
        fs::set_permissions(path, fs::Permissions::from_mode(0o555)).unwrap();
    }
    fs::set_permissions(folder.join("log.db"), fs::Permissions::from_mode(0o444)).unwrap();
    let mut command = Command::new(&program);
    command
        .args(["disk::fault_a_folder_that_may_not_be_written", "--exact", "--nocapture"])
        .env(UNPRIVILEGED, folder)
        .current_dir("/");
    if fs::File::create(folder.join("probe")).is_ok() {
        fs::remove_file(folder.join("probe")).unwrap();
        command.uid(nobody).gid(nobody);
    }
    let output = command.output().unwrap();
    for path in [place.path(), folder] {
        fs::set_permissions(path, fs::Permissions::from_mode(0o755)).unwrap();
    }
    fs::set_permissions(folder.join("log.db"), fs::Permissions::from_mode(0o644)).unwrap();
    assert!(output.status.success(), "{output:?}");
    assert!(String::from_utf8_lossy(&output.stdout).contains("1 passed"), "{output:?}");
}

#[cfg(not(unix))]
fn unprivileged(_folder: &Path) {
    println!("rights of folders are only tried on unix");
}

async fn refused_in(folder: &Path) {
    let error = Store::open(&folder.join("new.db")).await.expect_err("new.db");
    assert!(["cannot-open", "read-only"].contains(&error.code()), "{} {error}", error.code());
    // What is there already may be looked at when the file itself says that it is not to be written; else it is refused.
    match Store::open(&folder.join("log.db")).await {
        Err(error) => assert!(["cannot-open", "read-only"].contains(&error.code()), "{} {error}", error.code()),
        Ok(store) => {
            assert!(store.notices()[0].contains("may only be read"), "{:?}", store.notices());
            assert!(!store.log("j-1").await.expect("is read").is_empty());
            let error = write(&store, "j-1", "c-more", 1).await.expect_err("nothing is written");
            assert_eq!(error.code(), "read-only", "{error}");
        }
    }
}
