//! A browser without a window, driven over the WebDriver protocol.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::os::unix::process::CommandExt;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use serde_json::{Map, Value, json};

/// Size of a page in CSS pixels, and whether it is touched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screen {
    /// Width in CSS pixels.
    pub width: u32,
    /// Height in CSS pixels.
    pub height: u32,
    /// Device pixels per CSS pixel.
    pub scale: f64,
    /// Touched, as a phone or a tablet, rather than pointed at.
    pub touch: bool,
}

impl Screen {
    /// A phone held upright.
    pub const PHONE: Self = Self { width: 390, height: 844, scale: 2.0, touch: true };
    /// A tablet held across.
    pub const TABLET: Self = Self { width: 1180, height: 820, scale: 2.0, touch: true };
    /// A laptop.
    pub const LAPTOP: Self = Self { width: 1366, height: 768, scale: 1.0, touch: false };
}

/// A running chromedriver. It ends, with every browser it started, when this is dropped.
#[derive(Debug)]
pub struct Driver {
    child: Child,
    port: u16,
    profiles: tempfile::TempDir,
    next_profile: AtomicUsize,
}

impl Driver {
    /// Starts `chromedriver` on a free loopback port and waits, at most 20 s, until it answers.
    ///
    /// # Errors
    /// A sentence that says what to install when it is missing, or that it did not answer.
    pub fn start() -> Result<Self, String> {
        let profiles = tempfile::tempdir().map_err(|e| format!("no temporary folder for the browser: {e}"))?;
        let port = crate::free_port().map_err(|e| format!("no free port for chromedriver: {e}"))?;
        let child = Command::new("chromedriver")
            .arg(format!("--port={port}"))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            // Its own group, so that browsers it leaves behind can be ended with it and nothing else is.
            .process_group(0)
            .spawn()
            .map_err(|e| {
                format!("cannot start chromedriver ({e}); on Debian: apt-get install chromium chromium-driver")
            })?;
        let driver = Self { child, port, profiles, next_profile: AtomicUsize::new(0) };
        let end = Instant::now() + Duration::from_secs(20);
        while Instant::now() < end {
            if driver.request("GET", "/status", "").is_some_and(|answer| answer.contains("\"ready\":true")) {
                return Ok(driver);
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        Err(format!("chromedriver did not answer on port {port} within 20 s"))
    }

    /// Where a WebDriver client connects to.
    pub fn url(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Capabilities of a new browser without a window and with an empty profile of its own.
    pub fn capabilities(&self, screen: Screen) -> Map<String, Value> {
        let number = self.next_profile.fetch_add(1, Ordering::Relaxed);
        let profile: PathBuf = self.profiles.path().join(number.to_string());
        let mut options = json!({ "args": [
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            format!("--user-data-dir={}", profile.display()),
            format!("--window-size={},{}", screen.width, screen.height),
            format!("--force-device-scale-factor={}", screen.scale),
        ]});
        if screen.touch {
            options["mobileEmulation"] = json!({ "deviceMetrics": {
                "width": screen.width, "height": screen.height, "pixelRatio": screen.scale, "touch": true, "mobile": true,
            }});
        }
        Map::from_iter([("browserName".to_owned(), json!("chrome")), ("goog:chromeOptions".to_owned(), options)])
    }

    /// One plain request to chromedriver and the body of its answer; `None` when none comes within 30 s. Enough for a
    /// test that needs no WebDriver client.
    pub fn request(&self, method: &str, path: &str, body: &str) -> Option<String> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).ok()?;
        stream.set_read_timeout(Some(Duration::from_secs(30))).ok()?;
        let (port, length) = (self.port, body.len());
        write!(stream, "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Length: {length}\r\n\r\n{body}")
            .ok()?;
        let mut reader = BufReader::new(stream);
        let mut length = 0;
        loop {
            let mut line = String::new();
            reader.read_line(&mut line).ok().filter(|read| *read > 0)?;
            match line.trim().split_once(':') {
                Some((name, value)) if name.eq_ignore_ascii_case("content-length") => {
                    length = value.trim().parse().ok()?
                }
                _ if line.trim().is_empty() => break,
                _ => {}
            }
        }
        // It keeps the connection open, so its end would never come: read what was announced.
        let mut answer = vec![0; length];
        reader.read_exact(&mut answer).ok()?;
        String::from_utf8(answer).ok()
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        // Its own way to end closes the browsers in order; what is left of its group is killed after that.
        self.request("GET", "/shutdown", "");
        let end = Instant::now() + Duration::from_secs(5);
        while Instant::now() < end && matches!(self.child.try_wait(), Ok(None)) {
            std::thread::sleep(Duration::from_millis(20));
        }
        let group = format!("-{}", self.child.id());
        let _ = Command::new("kill").args(["-KILL", "--", &group]).stderr(Stdio::null()).status();
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
