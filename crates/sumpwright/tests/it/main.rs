//! The binary as a person or a script meets it: what it prints, where, and with which exit code.

mod attack;
mod browser;
mod contract;
mod decide;
mod families;
mod faults;
mod jobs;
mod kept;
mod prepare;
mod scenario;
mod serve;
mod sheets;
mod shell;
#[path = "../../../job/tests/it/tables.rs"]
mod tables;
mod whole_job;

use std::ffi::OsStr;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;

/// What came of one run.
pub struct Run {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Run {
    /// The one JSON document on stdout.
    #[track_caller]
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|why| panic!("{why}: {:?} {:?}", self.out, self.err))
    }

    /// Holds a failure to its promise: exit 2, nothing on stdout, a message and a hint on stderr.
    #[track_caller]
    pub fn is_fault(&self, says: &str) {
        assert_eq!((self.code, self.out.as_str()), (2, ""), "{}", self.err);
        let (message, hint) = self.err.split_once("\nhint: ").unwrap_or_else(|| panic!("no hint: {}", self.err));
        assert!(message.starts_with("error: ") && message.len() > 12, "{}", self.err);
        assert!(hint.trim().len() > 5, "{}", self.err);
        assert!(self.err.contains(says), "{:?} is not in {:?}", says, self.err);
    }
}

/// The program with its own environment: no database but the named one, one time zone.
pub fn program(data: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sumpwright"));
    command.env("SUMPWRIGHT_DATA", data).env_remove("SUMPWRIGHT_WORKSHOP").env("TZ", "UTC");
    command
}

pub fn run_in<S: AsRef<OsStr>>(data: &Path, args: &[S], stdin: &[u8]) -> Run {
    let mut child =
        program(data).args(args).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // A program that does not read its stdin may be gone before all is written.
    let _ = child.stdin.take().unwrap().write_all(stdin);
    let output = child.wait_with_output().unwrap();
    Run {
        code: output.status.code().unwrap_or(-1),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A run that needs no database; it would fail if it opened one.
pub fn run(args: &[&str]) -> Run {
    run_in(Path::new("/proc/no-database-here.db"), args, b"")
}

/// The JSON of a run that must succeed.
#[track_caller]
pub fn json(args: &[&str]) -> Value {
    let all: Vec<&str> = args.iter().copied().chain(["--json"]).collect();
    let run = run(&all);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(run.err, "");
    run.json()
}

/// The answer of a command that has something to object to: exit 1, and the same one document.
#[track_caller]
pub fn objected(args: &[&str]) -> Value {
    let all: Vec<&str> = args.iter().copied().chain(["--json"]).collect();
    let run = run(&all);
    assert_eq!((run.code, run.err.as_str()), (1, ""));
    run.json()
}

#[track_caller]
pub fn near(value: &Value, expected: f64, tolerance: f64) {
    let number = value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    assert!((number - expected).abs() <= tolerance, "{number} is not within {tolerance} of {expected}");
}
