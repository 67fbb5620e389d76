//! A throw-away Python environment with pinned libraries: the outside programs that our numbers are compared with.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

/// The environment; gone when this is dropped.
pub struct Venv {
    folder: tempfile::TempDir,
}

/// The folder with the scripts and the pinned versions.
fn scripts() -> PathBuf {
    crate::run::root().join("xtask/crosscheck")
}

impl Venv {
    /// Makes it and installs what `xtask/crosscheck/requirements.txt` names; needs the Python package registry.
    pub fn new() -> Result<Self, String> {
        let folder = tempfile::tempdir().map_err(|e| format!("no temporary folder: {e}"))?;
        println!("== a throw-away Python environment in {}", folder.path().display());
        crate::run::shown(Command::new("python3").args(["-m", "venv"]).arg(folder.path()), "python3 -m venv")?;
        let venv = Self { folder };
        let mut pip = venv.python();
        pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement"]);
        crate::run::shown(pip.arg(scripts().join("requirements.txt")), "pip install")?;
        Ok(venv)
    }

    fn python(&self) -> Command {
        Command::new(self.path().join("bin/python"))
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Runs a script of `xtask/crosscheck` with `input` on its standard input; what it prints must be JSON.
    pub fn answer(&self, script: &str, input: &str) -> Result<Value, String> {
        let failed = |e: std::io::Error| format!("{script}: {e}");
        let mut command = self.python();
        command.arg(scripts().join(script)).stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut child = command.spawn().map_err(failed)?;
        // Dropped at the end of the statement, so that the script sees the end of its input. Scripts read all before they write.
        child
            .stdin
            .take()
            .ok_or_else(|| format!("{script} has no input"))?
            .write_all(input.as_bytes())
            .map_err(failed)?;
        let output = child.wait_with_output().map_err(failed)?;
        if !output.status.success() {
            return Err(format!("failed ({}): {script}", output.status));
        }
        serde_json::from_slice(&output.stdout).map_err(|e| format!("{script}: {e}"))
    }
}

/// What an example of `physics` prints, release build.
pub fn example(name: &str) -> Result<String, String> {
    example_with(name, &[])
}

/// The same with words of its own.
pub fn example_with(name: &str, words: &[&str]) -> Result<String, String> {
    example_of("physics", name, words)
}

/// The same of any crate.
pub fn example_of(package: &str, name: &str, words: &[&str]) -> Result<String, String> {
    let arguments = ["run", "--quiet", "--release", "--package", package, "--example", name, "--"];
    crate::run::printed(&mut crate::run::cargo_command(&[&arguments, words].concat()), name)
}
