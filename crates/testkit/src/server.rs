//! A throw-away server process.

use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

/// How long a server may take to say where it listens.
const START: Duration = Duration::from_secs(30);

/// A process that printed an address. It is killed when this is dropped.
#[derive(Debug)]
pub struct Server {
    child: Child,
    url: String,
    lines: Vec<String>,
    later: mpsc::Receiver<String>,
}

impl Server {
    /// Starts a program and waits, at most 30 s, for a line on its standard output that contains `http://`.
    ///
    /// # Errors
    /// A sentence with the program's own output when it cannot be started, ends early or never prints an address.
    pub fn start<A: AsRef<std::ffi::OsStr>>(bin: &Path, args: &[A]) -> Result<Self, String> {
        let mut command = Command::new(bin);
        command.args(args);
        Self::start_command(command)
    }

    /// As [`start`](Self::start), for a command with its own environment or folder.
    ///
    /// # Errors
    /// As [`start`](Self::start).
    pub fn start_command(mut command: Command) -> Result<Self, String> {
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().map_err(|e| format!("cannot start {command:?}: {e}"))?;
        let (send, later) = mpsc::channel();
        // Both pipes are read to their end, or a talkative server would stop at a full one.
        let streams: [Option<Box<dyn Read + Send>>; 2] =
            [child.stdout.take().map(|s| Box::new(s) as _), child.stderr.take().map(|s| Box::new(s) as _)];
        for (stream, mark) in streams.into_iter().zip(["", "stderr: "]) {
            let send = send.clone();
            std::thread::spawn(move || {
                let lines =
                    BufReader::new(stream.into_iter().fold(Box::new(std::io::empty()) as Box<dyn Read>, |_, s| s));
                for line in lines.lines().map_while(Result::ok) {
                    if send.send(format!("{mark}{line}")).is_err() {
                        break;
                    }
                }
            });
        }
        // Only the two readers hold a sender now, so an early end of the program is seen at once.
        drop(send);
        let mut server = Self { child, url: String::new(), lines: Vec::new(), later };
        server.url = server.wait_for_url().ok_or_else(|| {
            let said = server.lines.join("\n");
            format!("{command:?} printed no address with “http://” within {} s; it said:\n{said}", START.as_secs())
        })?;
        Ok(server)
    }

    fn wait_for_url(&mut self) -> Option<String> {
        let end = Instant::now() + START;
        while let Ok(line) = self.later.recv_timeout(end.saturating_duration_since(Instant::now())) {
            let url = (!line.starts_with("stderr: ")).then(|| url_in(&line)).flatten().map(str::to_owned);
            self.lines.push(line);
            if url.is_some() {
                return url;
            }
        }
        None
    }

    /// The address, without a slash at its end.
    pub fn url(&self) -> &str {
        &self.url
    }

    /// Host and port, as [`Cut::to`](crate::Cut::to) wants it.
    pub fn host_port(&self) -> &str {
        self.url.trim_start_matches("http://").split('/').next().unwrap_or_default()
    }

    /// Everything it has said so far; lines on standard error begin with `stderr: `.
    pub fn said(&mut self) -> &[String] {
        self.lines.extend(self.later.try_iter());
        &self.lines
    }

    /// The process id.
    pub fn pid(&self) -> u32 {
        self.child.id()
    }

    /// Memory in use (VmRSS), in KiB; `None` off Linux or once it has ended.
    pub fn memory_kib(&self) -> Option<u64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.pid())).ok()?;
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
        line.split_whitespace().next()?.parse().ok()
    }

    /// Processor time it has used so far, user and system, seconds; `None` where the system does not tell.
    pub fn cpu_seconds(&self) -> Option<f64> {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.pid())).ok()?;
        // The name in brackets may hold anything; user and system time are the 14th and 15th field, in hundredths.
        let fields: Vec<&str> = stat.rsplit_once(')')?.1.split_whitespace().collect();
        let ticks = |at: usize| fields.get(at)?.parse::<f64>().ok();
        Some((ticks(11)? + ticks(12)?) / 100.0)
    }

    /// Kills it at once, as a power cut would: nothing is flushed, no handler runs. Returns when it is gone.
    pub fn kill9(&mut self) {
        // It may have ended by itself; then there is nothing to kill.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// Asks it to end (SIGTERM) and waits at most `patience`; its exit code, or `None` when it did not end or was killed.
    pub fn terminate(&mut self, patience: Duration) -> Option<i32> {
        let _ = Command::new("kill").args(["-TERM", &self.pid().to_string()]).status();
        let end = Instant::now() + patience;
        while Instant::now() < end {
            if let Ok(Some(status)) = self.child.try_wait() {
                return status.code();
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        None
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.kill9();
    }
}

/// The first address in a line, up to a space, a quotation mark or a bracket, without a slash at its end.
fn url_in(line: &str) -> Option<&str> {
    let from = &line[line.find("http://")?..];
    let end = from.find(|c: char| c.is_whitespace() || "\"'<>)\u{1b}".contains(c)).unwrap_or(from.len());
    Some(from[..end].trim_end_matches('/'))
}

#[cfg(test)]
mod tests {
    use super::url_in;

    #[test]
    fn hand_addresses_in_lines() {
        for (line, url) in [
            ("http://127.0.0.1:8080", Some("http://127.0.0.1:8080")),
            ("open http://127.0.0.1:80/ (this machine only)", Some("http://127.0.0.1:80")),
            ("<http://[::1]:9/a>", Some("http://[::1]:9/a")),
            ("https only", None),
        ] {
            assert_eq!(url_in(line), url, "{line}");
        }
    }
}
