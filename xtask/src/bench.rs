//! Start-up, first page and memory of the release build, and how fast the numbers come. Each time stands beside a peer measured in the same run, in
//! turns, because seconds alone say more about the machine than about the program.

mod crowd;

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;
use testkit::Server;

use crate::venv::{Venv, example};

/// Runs of each; the median is shown.
const RUNS: usize = 21;

/// Builds the release binary, measures, prints a table.
pub fn compare() -> Result<(), String> {
    crate::run::cargo(&["build", "--release", "--package", "sumpwright"])?;
    let folder = tempfile::tempdir().map_err(|e| format!("no temporary folder: {e}"))?;
    let binary = binary()?;
    println!("{:<44} {:>10} {:>10} {:>8}", "what", "ours", "peer", "ratio");
    predict(&binary, folder.path())?;
    serve(&binary, folder.path())?;
    crowd::measure(&binary, folder.path())?;
    numbers()
}

/// The live pages alone.
pub fn crowd_alone() -> Result<(), String> {
    crate::run::cargo(&["build", "--release", "--package", "sumpwright"])?;
    let folder = tempfile::tempdir().map_err(|e| format!("no temporary folder: {e}"))?;
    crowd::measure(&binary()?, folder.path())
}

/// Rounds of all numbers, ours and the peers' in turns.
const ROUNDS: usize = 3;
/// Our result and a peer's may differ by this share: they are not the same method, but they must answer the same question.
const SAME_ANSWER: f64 = 0.01;

/// Forecast, run-off and thrown ledger beside scipy and numpy on the same input.
fn numbers() -> Result<(), String> {
    let venv = Venv::new()?;
    let mut rounds = Vec::new();
    for _ in 0..ROUNDS {
        let cases = example("bench_physics")?;
        let peers = venv.answer("bench.py", &cases)?;
        rounds.push((serde_json::from_str::<Value>(&cases).map_err(|e| format!("bench_physics: {e}"))?, peers));
    }
    let count = rounds.first().and_then(|(cases, _)| cases.as_array()).map_or(0, Vec::len);
    for i in 0..count {
        let (case, peer) = (&rounds[0].0[i], &rounds[0].1[i]);
        let name = case["name"].as_str().unwrap_or_default();
        same_answer(name, &case["result"], &peer["result"])?;
        let seconds = |of: &Value| of[i]["seconds"].as_f64().unwrap_or(f64::NAN);
        let ours = median(rounds.iter().map(|(cases, _)| seconds(cases)).collect());
        let theirs = median(rounds.iter().map(|(_, peers)| seconds(peers)).collect());
        row(name, ours * 1e3, Some(theirs * 1e3), "ms");
    }
    Ok(())
}

/// The time of a wrong answer says nothing.
fn same_answer(name: &str, ours: &Value, peer: &Value) -> Result<(), String> {
    match (ours.as_f64(), peer.as_f64()) {
        (Some(a), Some(b)) if (a - b).abs() <= SAME_ANSWER * b.abs() => Ok(()),
        _ => Err(format!(
            "{name}: ours gives {ours}, the peer {peer}; more than 1 % apart, so their times cannot be compared"
        )),
    }
}

fn binary() -> Result<PathBuf, String> {
    let metadata = crate::run::printed(
        &mut crate::run::cargo_command(&["metadata", "--format-version=1", "--no-deps"]),
        "cargo metadata",
    )?;
    let value: serde_json::Value = serde_json::from_str(&metadata).map_err(|e| format!("cargo metadata: {e}"))?;
    let target = value["target_directory"].as_str().ok_or("cargo metadata names no target folder")?;
    Ok(Path::new(target).join("release/sumpwright"))
}

/// A forecast from 300 readings on the command line, beside the start of a script interpreter that does nothing: less
/// than any script could take for it.
fn predict(binary: &Path, folder: &Path) -> Result<(), String> {
    let readings = folder.join("readings.csv");
    let line = |s: i32| format!("{s},{:.1}\n", 85.0 - 65.0 * (-f64::from(s) / 1500.0).exp());
    let text = format!("elapsed_s,temperature_c\n{}", (0..300).map(line).collect::<String>());
    std::fs::write(&readings, text).map_err(|e| format!("{}: {e}", readings.display()))?;
    let ours = || {
        let mut command = Command::new(binary);
        command.args(["predict", "--window", "35–45 °C", "--json", "--readings"]).arg(&readings);
        command
    };
    let peer = || {
        let mut command = Command::new("python3");
        command.args(["-c", "pass"]);
        command
    };
    let (mut times, mut peer_times) = (Vec::new(), Vec::new());
    for _ in 0..RUNS {
        times.push(seconds(ours(), "sumpwright predict")?);
        peer_times.push(seconds(peer(), "python3 -c pass")?);
    }
    let (ours, peer) = (median(times), median(peer_times));
    row("predict, 300 readings / python3 does nothing", ours * 1e3, Some(peer * 1e3), "ms");
    Ok(())
}

/// From starting the server to its first page, and what it holds in memory then.
fn serve(binary: &Path, folder: &Path) -> Result<(), String> {
    let mut command = Command::new(binary);
    command.args(["serve", "--demo", "--listen", "127.0.0.1:0"]).current_dir(folder);
    // Nothing of the user's own workshop is touched.
    command.env("HOME", folder).env("XDG_DATA_HOME", folder);
    let start = Instant::now();
    let server = Server::start_command(command)?;
    page(server.host_port())?;
    row("server: start to first page", start.elapsed().as_secs_f64() * 1e3, None, "ms");
    let mut times = Vec::new();
    for _ in 0..RUNS {
        let start = Instant::now();
        page(server.host_port())?;
        times.push(start.elapsed().as_secs_f64());
    }
    row("server: a page", median(times) * 1e3, None, "ms");
    let memory = server.memory_kib().ok_or("the memory of the server cannot be read here")?;
    row("server: memory after that", memory as f64 / 1024.0, None, "MiB");
    Ok(())
}

/// One GET of the start page; an error unless it is answered with a page or a redirect.
fn page(host: &str) -> Result<(), String> {
    let failed = |e: std::io::Error| format!("http://{host}/: {e}");
    let mut stream = TcpStream::connect(host).map_err(failed)?;
    stream.set_read_timeout(Some(Duration::from_secs(10))).map_err(failed)?;
    write!(stream, "GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").map_err(failed)?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).map_err(failed)?;
    let status = String::from_utf8_lossy(answer.get(9..12).unwrap_or_default()).into_owned();
    if status.starts_with(['2', '3']) {
        Ok(())
    } else {
        Err(format!("http://{host}/ answered with status “{status}”"))
    }
}

fn seconds(mut command: Command, name: &str) -> Result<f64, String> {
    let start = Instant::now();
    let output = command.stdout(Stdio::null()).output().map_err(|e| format!("cannot be started ({e}): {name}"))?;
    let time = start.elapsed().as_secs_f64();
    // 1 is "done, with findings".
    match output.status.code() {
        Some(0 | 1) => Ok(time),
        _ => Err(format!("failed ({}): {name}\n{}", output.status, String::from_utf8_lossy(&output.stderr))),
    }
}

/// The middle one; NaN of none.
fn median(mut of: Vec<f64>) -> f64 {
    of.sort_by(f64::total_cmp);
    of.get(of.len() / 2).copied().unwrap_or(f64::NAN)
}

fn row(what: &str, ours: f64, peer: Option<f64>, unit: &str) {
    // Short times need more digits.
    let text = |v: f64| if v < 10.0 { format!("{v:.3} {unit}") } else { format!("{v:.1} {unit}") };
    let peer_text = peer.map_or_else(String::new, text);
    let ratio = peer.map_or_else(String::new, |p| format!("{:.2}", ours / p));
    println!("{what:<44} {:>10} {peer_text:>10} {ratio:>8}", text(ours));
}

#[cfg(test)]
mod tests {
    use super::{median, same_answer};
    use serde_json::json;

    #[test]
    fn hand_answers_that_differ_are_refused() {
        assert!(same_answer("a", &json!(100.9), &json!(100.0)).is_ok());
        for (ours, peer) in [(json!(101.1), json!(100.0)), (json!(null), json!(1.0)), (json!(1.0), json!(null))] {
            assert!(same_answer("a", &ours, &peer).is_err());
        }
    }

    #[test]
    fn hand_median() {
        assert_eq!(median(vec![3.0, 1.0, 2.0]), 2.0);
        assert!(median(Vec::new()).is_nan());
    }
}
