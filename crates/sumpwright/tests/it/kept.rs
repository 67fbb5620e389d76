//! What was entered is there after a stop, or its loss is named; going back to a backup mixes nothing.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use testkit::Server;

use crate::{program, run_in};

const JOB: &str = "grey-hatch";

/// What it is called, and what does it to the database at a path.
type Harm<'a> = (&'a str, &'a dyn Fn(&Path));

fn beside(data: &Path, end: &str) -> PathBuf {
    let mut name = data.as_os_str().to_owned();
    name.push(end);
    name.into()
}

fn opened(data: &Path) {
    let words = ["job", "open", "--sheet", "keld-o6", "--vehicle", "Grey hatch", "--id", JOB];
    let done = run_in(data, &words, b"");
    assert_eq!(done.code, 0, "{}", done.err);
}

fn note(data: &Path, text: &str) -> crate::Run {
    run_in(data, &["job", "log", JOB, "note", &format!("text={text}")], b"")
}

fn shown(data: &Path) -> crate::Run {
    run_in(data, &["job", "show", JOB], b"")
}

fn serve(data: &Path) -> Server {
    let mut command = program(data);
    command.args(["serve", "--listen", "127.0.0.1:0"]);
    Server::start_command(command).unwrap()
}

/// After a stop the database file alone is the workshop: no entry waits in a file beside it.
#[test]
fn fault_a_copy_of_the_file_alone_is_whole_after_a_stop() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("w.db");
    opened(&data);
    for by in ["shell", "server"] {
        let mut server = (by == "server").then(|| serve(&data));
        assert_eq!(note(&data, by).code, 0);
        if let Some(server) = &mut server {
            assert_eq!(server.terminate(Duration::from_secs(10)), Some(0), "{:?}", server.said());
        }
        assert!(!beside(&data, "-wal").exists(), "{by}: nothing waits");
        let copy = folder.path().join(format!("{by}.db"));
        fs::copy(&data, &copy).unwrap();
        let there = shown(&copy);
        assert!(there.code == 0 && there.out.contains(by), "{by}: {} {}", there.out, there.err);
        assert!(there.err.contains("witness"), "it is said that nobody vouches for its end: {}", there.err);
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        for end in ["", "-witness", "-open"] {
            let mode = fs::metadata(beside(&data, end)).unwrap().permissions().mode() & 0o777;
            assert_eq!(mode, 0o600, "w.db{end}");
        }
    }
}

/// Every way in which the end of the log can go missing, each named with exit 2, and the cure works.
#[test]
fn fault_a_lost_end_is_named_and_a_backup_cures_it() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("w.db");
    opened(&data);
    let backup = folder.path().join("backup.db");
    assert_eq!(run_in(&data, &["backup", backup.to_str().unwrap()], b"").code, 0);
    // Killed: what was entered last is in the write-ahead log only.
    let server = serve(&data);
    for text in ["one", "two", "three"] {
        let answer = crate::serve::post(
            &server,
            &format!("/job/{JOB}/log"),
            &format!("do=note&text={text}&id=note-{text}&by=T"),
        );
        assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    }
    let left = folder.path().join("left");
    fs::create_dir(&left).unwrap();
    for end in ["", "-wal", "-witness"] {
        fs::copy(beside(&data, end), beside(&left.join("w.db"), end)).unwrap();
    }
    drop(server);
    let wal = fs::read(left.join("w.db-wal")).unwrap();
    let mut flipped = wal.clone();
    flipped[32 + 24 + 100] ^= 1;
    let harms: [Harm<'_>; 6] = [
        ("a bit of the write-ahead log", &|data| fs::write(beside(data, "-wal"), &flipped).unwrap()),
        ("its end", &|data| fs::write(beside(data, "-wal"), &wal[..wal.len() / 2]).unwrap()),
        ("all of it", &|data| fs::remove_file(beside(data, "-wal")).unwrap()),
        ("an empty file", &|data| fs::write(data, []).unwrap()),
        ("no file", &|data| fs::remove_file(data).unwrap()),
        ("a backup copied over it", &|data| {
            fs::remove_file(beside(data, "-wal")).unwrap();
            fs::write(data, fs::read(&backup).unwrap()).unwrap();
        }),
    ];
    for (what, harm) in harms {
        let broken = tempfile::tempdir().unwrap();
        let data = broken.path().join("w.db");
        for end in ["", "-wal", "-witness"] {
            fs::copy(beside(&left.join("w.db"), end), beside(&data, end)).unwrap();
        }
        harm(&data);
        let there = shown(&data);
        assert_eq!(there.code, 2, "{what}: {} {}", there.out, there.err);
        assert!(there.err.contains("hint: ") && there.err.contains("restore"), "{what}: {}", there.err);
        let back = run_in(&data, &["restore", backup.to_str().unwrap()], b"");
        assert!(back.code == 0 && back.out.contains("1 jobs, 1 entries"), "{what}: {} {}", back.out, back.err);
        assert_eq!(shown(&data).code, 0, "{what}");
        assert_eq!(note(&data, "goes on").code, 0, "{what}");
        assert!(
            fs::read_dir(broken.path())
                .unwrap()
                .flatten()
                .any(|file| { file.file_name().to_string_lossy().contains(".before-") })
                || what == "no file",
            "{what}: what was there is kept"
        );
    }
    // Untouched, the killed one opens with everything.
    let whole = left.join("w.db");
    assert!(shown(&whole).out.contains("three"));
}

/// A file that is removed or replaced while a server has it open: nothing is acknowledged into nowhere.
#[test]
fn fault_a_server_notices_that_its_file_is_gone() {
    for replaced in [false, true] {
        let folder = tempfile::tempdir().unwrap();
        let data = folder.path().join("w.db");
        opened(&data);
        let backup = folder.path().join("backup.db");
        assert_eq!(run_in(&data, &["backup", backup.to_str().unwrap()], b"").code, 0);
        let server = serve(&data);
        let host = server.host_port();
        assert!(crate::serve::get(&server, "/health").contains("\r\n\r\nok"), "{host}");
        // A restore under it is refused.
        let refused = run_in(&data, &["restore", backup.to_str().unwrap()], b"");
        assert!(refused.code == 2 && refused.err.contains("Stop the server first"), "{}", refused.err);
        fs::remove_file(&data).unwrap();
        if replaced {
            fs::copy(&backup, &data).unwrap();
        }
        let body = "do=note&text=lost&id=a-note&by=T";
        let answer = crate::serve::post(&server, &format!("/job/{JOB}/log"), body);
        assert!(!answer.starts_with("HTTP/1.1 2") && !answer.starts_with("HTTP/1.1 303"), "{answer}");
        let health = crate::serve::get(&server, "/health");
        assert!(health.starts_with("HTTP/1.1 503"), "{health}");
        assert!(crate::serve::get(&server, "/").contains("not the file that was opened"));
    }
}
