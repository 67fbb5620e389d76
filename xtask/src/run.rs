//! The stages of `cargo xtask test`, one after the other, each with its time.

use std::path::PathBuf;
use std::process::Command;
use std::time::Instant;

/// Stages that are one cargo command each, in the order of what is quickest to fail.
const CARGO_STAGES: &[&[&str]] = &[
    &["clippy", "--quiet", "--workspace", "--all-targets", "--", "-D", "warnings"],
    // The tests of the binary start it; build it in the profile that they use.
    &["build", "--quiet", "--package", "sumpwright"],
    &["test", "--quiet", "--workspace"],
];

/// Runs every stage; stops at the first one that fails and names the command.
pub fn everything() -> Result<(), String> {
    let mut times = Vec::new();
    let outcome = stages(&mut times);
    println!("\n{:>8}  stage", "seconds");
    for (name, seconds) in &times {
        println!("{seconds:8.1}  {name}");
    }
    outcome
}

fn stages(times: &mut Vec<(String, f64)>) -> Result<(), String> {
    timed(times, "install what the tests need", crate::install::needed)?;
    timed(times, "cargo fmt --check", || cargo(&["fmt", "--all", "--check"]))?;
    timed(times, "cargo xtask tidy", crate::tidy::check)?;
    for arguments in CARGO_STAGES {
        timed(times, &format!("cargo {}", arguments.join(" ")), || cargo(arguments))?;
    }
    Ok(())
}

fn timed(times: &mut Vec<(String, f64)>, name: &str, stage: impl FnOnce() -> Result<(), String>) -> Result<(), String> {
    println!("== {name}");
    let start = Instant::now();
    let outcome = stage();
    times.push((name.to_owned(), start.elapsed().as_secs_f64()));
    outcome
}

/// The folder that holds the workspace.
pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The cargo that started this, or the one in the path.
pub fn cargo_command(arguments: &[&str]) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(arguments).current_dir(root());
    command
}

/// Runs cargo with its output shown.
pub fn cargo(arguments: &[&str]) -> Result<(), String> {
    shown(&mut cargo_command(arguments), &format!("cargo {}", arguments.join(" ")))
}

/// Runs a command with its output shown; the error names the command.
pub fn shown(command: &mut Command, name: &str) -> Result<(), String> {
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("failed ({status}): {name}")),
        Err(e) => Err(format!("cannot be started ({e}): {name}")),
    }
}

/// Runs a command and hands back what it printed.
pub fn printed(command: &mut Command, name: &str) -> Result<String, String> {
    let output = command.output().map_err(|e| format!("cannot be started ({e}): {name}"))?;
    if !output.status.success() {
        return Err(format!("failed ({}): {name}\n{}", output.status, String::from_utf8_lossy(&output.stderr)));
    }
    String::from_utf8(output.stdout).map_err(|_| format!("printed no UTF-8 text: {name}"))
}
