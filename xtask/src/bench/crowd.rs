//! Many live pages on one server: how soon a reading that is entered stands on the page, and what the server holds in memory.

use std::collections::HashMap;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::Command;
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use testkit::Server;

/// Live pages, each of a job of its own with one reading a second.
const PAGES: usize = 200;
/// Seconds that readings come: as many as a warm-up read every minute has.
const SECONDS: usize = 20;
/// Hands that enter the readings.
const SENDERS: usize = 8;

/// When a page saw an entry: by job and number.
type Seen = Arc<Mutex<HashMap<(usize, u64), Instant>>>;

/// Runs the crowd and prints its figures.
pub fn measure(binary: &Path, folder: &Path) -> Result<(), String> {
    let mut command = Command::new(binary);
    command.args(["serve", "--listen", "127.0.0.1:0", "--data"]).arg(folder.join("crowd.db"));
    let server = Server::start_command(command)?;
    let host = server.host_port().to_owned();
    let mut line = Line::to(&host)?;
    let jobs = (0..PAGES).map(|n| opened(&mut line, n)).collect::<Result<Vec<_>, _>>()?;
    let seen: Seen = Seen::default();
    for (n, job) in jobs.iter().enumerate() {
        watch(&host, job, n, Arc::clone(&seen))?;
    }
    let used = server.cpu_seconds();
    let start = Instant::now() + Duration::from_millis(500);
    let jobs = Arc::new(jobs);
    let senders: Vec<_> = (0..SENDERS)
        .map(|hand| {
            let (jobs, host) = (Arc::clone(&jobs), host.clone());
            thread::spawn(move || send(&host, &jobs, hand, start))
        })
        .collect();
    let mut sent = Vec::new();
    for sender in senders {
        sent.extend(sender.join().map_err(|_| "a sender broke off".to_owned())??);
    }
    // The last ones are still on their way.
    thread::sleep(Duration::from_secs(3));
    let seen = seen.lock().map_err(|_| "a page broke off".to_owned())?;
    let mut waits: Vec<f64> = sent
        .iter()
        .filter_map(|(job, seq, at)| seen.get(&(*job, *seq)).map(|when| when.duration_since(*at).as_secs_f64()))
        .collect();
    waits.sort_by(f64::total_cmp);
    let share = |part: f64| waits.get(((waits.len() as f64 - 1.0) * part) as usize).copied().unwrap_or(f64::NAN) * 1e3;
    super::row(&format!("{PAGES} live pages: reading to page, median"), share(0.5), None, "ms");
    super::row(&format!("{PAGES} live pages: reading to page, 99 %"), share(0.99), None, "ms");
    let shown = 100.0 * waits.len() as f64 / sent.len().max(1) as f64;
    super::row("readings that stood on the page by themselves", shown, None, "%");
    if let Some((before, after)) = used.zip(server.cpu_seconds()) {
        super::row(
            "processor time for a reading, pages renewed",
            (after - before) / sent.len().max(1) as f64 * 1e3,
            None,
            "ms",
        );
    }
    let memory = server.memory_kib().ok_or("the memory of the server cannot be read here")?;
    super::row(&format!("{PAGES} live pages: memory"), memory as f64 / 1024.0, None, "MiB");
    Ok(())
}

/// Opens a job with its engine idling.
fn opened(line: &mut Line, n: usize) -> Result<String, String> {
    let form = format!("sheet=keld-o6&vehicle=Van+{n}&technician=T");
    let (head, _) = line.post("/job", "application/x-www-form-urlencoded", &form)?;
    let place = head.lines().find_map(|l| l.strip_prefix("location: /job/")).ok_or(format!("no job: {head}"))?;
    let job = place.split('/').next().unwrap_or_default().to_owned();
    line.enter(&job, &json!({ "do": "start-engine" }))?;
    Ok(job)
}

/// Listens to the stream of a live page and notes when each entry shows.
fn watch(host: &str, job: &str, n: usize, seen: Seen) -> Result<(), String> {
    let failed = |e: std::io::Error| format!("http://{host}/job/{job}/live: {e}");
    let mut stream = TcpStream::connect(host).map_err(failed)?;
    write!(stream, "GET /job/{job}/live HTTP/1.1\r\nHost: {host}\r\n\r\n").map_err(failed)?;
    thread::spawn(move || {
        for line in BufReader::new(stream).lines().map_while(Result::ok) {
            let Some(data) = line.strip_prefix("data: ") else { continue };
            let now = Instant::now();
            let Some(seq) = serde_json::from_str::<Value>(data).ok().and_then(|live| live["seq"].as_u64()) else {
                continue;
            };
            if let Ok(mut seen) = seen.lock() {
                seen.entry((n, seq)).or_insert(now);
            }
        }
    });
    Ok(())
}

/// Enters this hand's share of the readings, evenly over each second; gives job, entry and when it set out.
fn send(host: &str, jobs: &[String], hand: usize, start: Instant) -> Result<Vec<(usize, u64, Instant)>, String> {
    let mut line = Line::to(host)?;
    let mut sent = Vec::new();
    for second in 0..SECONDS {
        for n in (hand..jobs.len()).step_by(SENDERS) {
            let due =
                start + Duration::from_secs(second as u64) + Duration::from_secs_f64(n as f64 / jobs.len() as f64);
            thread::sleep(due.saturating_duration_since(Instant::now()));
            let at = Instant::now();
            let reading = json!({ "do": "reading", "temperature_c": 20.0 + second as f64 * 0.5 });
            sent.push((n, line.enter(&jobs[n], &reading)?, at));
        }
    }
    Ok(sent)
}

/// One connection that is kept open.
struct Line {
    host: String,
    stream: BufReader<TcpStream>,
}

impl Line {
    fn to(host: &str) -> Result<Self, String> {
        let stream = TcpStream::connect(host).map_err(|e| format!("http://{host}/: {e}"))?;
        stream.set_read_timeout(Some(Duration::from_secs(30))).map_err(|e| format!("http://{host}/: {e}"))?;
        Ok(Self { host: host.to_owned(), stream: BufReader::new(stream) })
    }

    fn enter(&mut self, job: &str, entry: &Value) -> Result<u64, String> {
        let (head, body) = self.post(&format!("/job/{job}/log"), "application/json", &entry.to_string())?;
        let answer: Value = serde_json::from_str(&body).map_err(|e| format!("{e}: {head}{body}"))?;
        answer["accepted"]["seq"].as_u64().ok_or(format!("not accepted: {body}"))
    }

    /// Head and body of the answer.
    fn post(&mut self, path: &str, kind: &str, body: &str) -> Result<(String, String), String> {
        let failed = |e: std::io::Error| format!("{path}: {e}");
        let request = format!(
            "POST {path} HTTP/1.1\r\nHost: {}\r\nAccept: application/json\r\nContent-Type: {kind}\r\nContent-Length: {}\r\n\r\n{body}",
            self.host,
            body.len()
        );
        self.stream.get_mut().write_all(request.as_bytes()).map_err(failed)?;
        let (mut head, mut length) = (String::new(), 0);
        loop {
            let mut line = String::new();
            self.stream.read_line(&mut line).map_err(failed)?;
            if line.trim().is_empty() {
                break;
            }
            if let Some(given) = line.to_ascii_lowercase().strip_prefix("content-length:") {
                length = given.trim().parse().map_err(|e| format!("{path}: {e}"))?;
            }
            head.push_str(&line);
        }
        let mut answer = vec![0; length];
        self.stream.read_exact(&mut answer).map_err(failed)?;
        Ok((head, String::from_utf8_lossy(&answer).into_owned()))
    }
}
