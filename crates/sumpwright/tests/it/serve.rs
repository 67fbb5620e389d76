//! The server as a process: where it listens, how it refuses, how it stops.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::Duration;

use testkit::Server;

use crate::{program, run_in};

fn start(data: &Path, args: &[&str]) -> Server {
    let mut command = program(data);
    command.args(["serve", "--listen", "127.0.0.1:0"]).args(args);
    Server::start_command(command).unwrap()
}

/// The answer to a plain GET, head and body.
pub fn get(server: &Server, path: &str) -> String {
    ask(server, &format!("GET {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", server.host_port()))
}

/// The answer to a form that is posted by a page of this server.
pub fn post(server: &Server, path: &str, body: &str) -> String {
    let (host, length) = (server.host_port(), body.len());
    ask(
        server,
        &format!(
            "POST {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nConnection: close\r\n\
             Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {length}\r\n\r\n{body}"
        ),
    )
}

fn ask(server: &Server, request: &str) -> String {
    let mut stream = TcpStream::connect(server.host_port()).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    stream.write_all(request.as_bytes()).unwrap();
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).unwrap();
    String::from_utf8_lossy(&answer).into_owned()
}

#[test]
fn script_serve_and_shell_share_one_workshop_and_it_stops_when_asked() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("w.db");
    let mut server = start(&data, &[]);
    let opened =
        run_in(&data, &["job", "open", "--sheet", "keld-o6", "--vehicle", "Grey hatch", "--id", "grey-hatch"], b"");
    assert_eq!(opened.code, 0, "{}", opened.err);
    let page = get(&server, "/");
    assert!(page.starts_with("HTTP/1.1 200") && page.contains("Grey hatch"), "{page}");
    assert!(get(&server, "/job/grey-hatch").starts_with("HTTP/1.1 200"));
    assert_eq!(server.terminate(Duration::from_secs(10)), Some(0), "{:?}", server.said());
    let shown = run_in(&data, &["job", "show", "grey-hatch"], b"");
    assert!(shown.out.contains("Grey hatch"), "{}", shown.err);
}

#[test]
fn script_the_demo_is_furnished_and_leaves_nothing_behind() {
    let folder = tempfile::tempdir().unwrap();
    let temporary = folder.path().join("tmp");
    std::fs::create_dir(&temporary).unwrap();
    let mut command = program(Path::new("/proc/none"));
    command.args(["serve", "--demo", "--speed", "60", "--listen", "127.0.0.1:0"]).env("TMPDIR", &temporary);
    let mut server = Server::start_command(command).unwrap();
    let page = get(&server, "/");
    assert!(page.starts_with("HTTP/1.1 200") && page.to_lowercase().contains("demo"), "{page}");
    assert_eq!(std::fs::read_dir(&temporary).unwrap().count(), 1);
    assert_eq!(server.terminate(Duration::from_secs(10)), Some(0), "{:?}", server.said());
    assert_eq!(std::fs::read_dir(&temporary).unwrap().count(), 0);
}

#[test]
fn fault_a_port_that_is_taken_or_no_port_at_all() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port();
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("w.db");
    let run = run_in(&data, &["serve", "--listen", &format!("127.0.0.1:{port}")], b"");
    run.is_fault("in use");
    assert!(run.err.contains(&format!("--listen 127.0.0.1:{}", port.checked_add(1).unwrap_or(1024))), "{}", run.err);
    assert!(!data.exists(), "a server that cannot listen touches no database");
    for (args, says) in [
        (&["serve", "--listen", "here"][..], "here"),
        (&["serve", "--speed", "5"], "--demo"),
        (&["serve", "--demo", "--speed", "nan"], "speed"),
        (&["serve", "--demo", "--speed", "1e9"], "speed"),
        (&["serve", "--listen", "127.0.0.1:0", "--data", "/proc/none.db"], "/proc/none.db"),
    ] {
        run_in(&data, args, b"").is_fault(says);
    }
}

#[test]
fn fault_a_demo_and_a_real_workshop_never_share_a_database() {
    let folder = tempfile::tempdir().unwrap();
    let (real, demo) = (folder.path().join("real.db"), folder.path().join("demo.db"));
    assert_eq!(run_in(&real, &["job", "open", "--sheet", "keld-o6", "--vehicle", "Grey hatch"], b"").code, 0);
    let path = |path: &Path| path.to_str().unwrap().to_owned();
    run_in(&real, &["serve", "--demo", "--listen", "127.0.0.1:0", "--data", &path(&real)], b"").is_fault("demo");
    assert!(run_in(&real, &["job", "show"], b"").out.contains("Grey hatch"));
    let mut server = start(&real, &["--demo", "--data", &path(&demo)]);
    run_in(&demo, &["job", "show"], b"").is_fault("demo");
    assert_eq!(server.terminate(Duration::from_secs(10)), Some(0), "{:?}", server.said());
    // The demo is where it was asked to be, and stays.
    assert!(demo.exists());
    run_in(&real, &["serve", "--listen", "127.0.0.1:0", "--data", &path(&demo)], b"").is_fault("demo");
}
