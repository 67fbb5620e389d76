//! The guards and the proxy against real processes and real sockets.

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use testkit::{Chance, Cut, Driver, Screen, Server};

/// A server that sends back what it gets.
fn echo() -> String {
    let listener = TcpListener::bind(("127.0.0.1", 0)).unwrap();
    let address = listener.local_addr().unwrap().to_string();
    std::thread::spawn(move || {
        for mut client in listener.incoming().flatten() {
            std::thread::spawn(move || {
                let mut copy = client.try_clone().unwrap();
                std::io::copy(&mut client, &mut copy)
            });
        }
    });
    address
}

fn client(cut: &Cut) -> TcpStream {
    let stream = TcpStream::connect(cut.address()).unwrap();
    stream.set_read_timeout(Some(Duration::from_millis(300))).unwrap();
    stream
}

fn said_back(stream: &mut TcpStream, text: &str) -> std::io::Result<bool> {
    stream.write_all(text.as_bytes())?;
    let mut answer = vec![0; text.len()];
    stream.read_exact(&mut answer)?;
    Ok(answer == text.as_bytes())
}

#[test]
fn fault_a_connection_is_cut_and_restored() {
    let cut = Cut::to(&echo()).unwrap();
    let mut stream = client(&cut);
    assert!(said_back(&mut stream, "before").unwrap());
    cut.cut();
    assert!(said_back(&mut stream, "during").is_err());
    assert!(said_back(&mut client(&cut), "new").is_err());
    cut.restore();
    assert!(said_back(&mut client(&cut), "after").unwrap());
}

#[test]
fn fault_a_connection_stalls_and_goes_on() {
    let cut = Cut::to(&echo()).unwrap();
    let mut stream = client(&cut);
    assert!(said_back(&mut stream, "before").unwrap());
    cut.stall();
    let late = said_back(&mut stream, "during").unwrap_err();
    assert!(matches!(late.kind(), std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut), "{late}");
    cut.restore();
    let mut answer = [0; 6];
    stream.set_read_timeout(Some(Duration::from_secs(5))).unwrap();
    stream.read_exact(&mut answer).unwrap();
    assert_eq!(&answer, b"during");
}

#[test]
fn fault_a_server_is_killed_with_its_guard() {
    let script = "echo starting; echo 'listening on http://127.0.0.1:1/ now'; exec sleep 1000";
    let mut server = Server::start(Path::new("bash"), &["-c", script]).unwrap();
    assert_eq!((server.url(), server.host_port()), ("http://127.0.0.1:1", "127.0.0.1:1"));
    assert_eq!(server.said()[0], "starting");
    assert!(server.memory_kib().unwrap() > 0);
    let alive = |pid: u32| Path::new(&format!("/proc/{pid}")).exists();
    let pid = server.pid();
    assert!(alive(pid));
    drop(server);
    assert!(!alive(pid));
}

#[test]
fn fault_a_server_that_says_no_address() {
    let error = Server::start(Path::new("bash"), &["-c", "echo no; echo why >&2; exit 3"]).unwrap_err();
    assert!(error.contains("printed no address") && error.contains("stderr: why"), "{error}");
    assert!(Server::start(Path::new("/not/there"), &[""]).unwrap_err().contains("cannot start"));
}

#[test]
fn hand_a_server_ends_when_asked() {
    let script = "trap 'exit 7' TERM; echo http://127.0.0.1:1; while :; do sleep 0.01; done";
    let mut server = Server::start(Path::new("bash"), &["-c", script]).unwrap();
    assert_eq!(server.terminate(Duration::from_secs(5)), Some(7));
}

/// A browser comes up with the page size and touch that were asked for, and is gone with its driver.
#[test]
fn fault_a_browser_ends_with_its_driver() {
    let driver = Driver::start().unwrap();
    let capabilities = driver.capabilities(Screen::PHONE);
    let profile = capabilities["goog:chromeOptions"]["args"]
        .as_array()
        .and_then(|args| args.iter().find_map(|a| a.as_str()?.strip_prefix("--user-data-dir=")))
        .unwrap()
        .to_owned();
    let body = serde_json::json!({ "capabilities": { "alwaysMatch": capabilities } }).to_string();
    let answer = driver.request("POST", "/session", &body).unwrap();
    let json: serde_json::Value = serde_json::from_str(&answer).unwrap();
    let session = json["value"]["sessionId"].as_str().unwrap_or_else(|| panic!("no session: {json}"));
    let script =
        r#"{"script":"return [screen.width, devicePixelRatio, navigator.maxTouchPoints > 0].join()","args":[]}"#;
    let answer = driver.request("POST", &format!("/session/{session}/execute/sync"), script).unwrap();
    assert!(answer.contains("390,2,true"), "{answer}");
    let running = || {
        let listed = Command::new("ps").args(["-eo", "args"]).output().unwrap();
        String::from_utf8_lossy(&listed.stdout).lines().filter(|line| line.contains(&profile)).count()
    };
    assert!(running() > 0);
    drop(driver);
    assert_eq!(running(), 0);
}

#[test]
fn law_chance_repeats_and_stays_in_range() {
    let (mut one, mut two) = (Chance::new(5), Chance::new(5));
    for _ in 0..1000 {
        assert_eq!(one.word(), two.word());
        let x = one.between(-2.0, 3.0);
        assert!((-2.0..3.0).contains(&x) && one.below(7) < 7 && one.pick::<u8>(&[]).is_none());
        two = one.clone();
    }
}
