//! A photo read in a process of its own, so that no file can take the server along: the file on stdin, the picture on stdout.

use std::io::{Read, Write};
use std::process::ExitCode;

use super::limits;

/// Memory for the largest picture that is read, with room for what is made of it.
const MEMORY: u64 = 640 << 20;
const SECONDS: u64 = 20;

/// Reads, confined; the answer goes to whoever started this process.
pub fn child() -> ExitCode {
    limits::confine(MEMORY, SECONDS);
    let mut file = Vec::new();
    let most = app::LARGEST_UPLOAD as u64 + 1;
    if std::io::stdin().lock().take(most).read_to_end(&mut file).is_err() {
        return ExitCode::from(2);
    }
    let answer = app::reply(&app::picture(&file));
    match std::io::stdout().lock().write_all(&answer) {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::from(2),
    }
}
