//! The programs that the tests start, and how to get them on Debian.

use std::path::Path;
use std::process::Command;

/// Program and the Debian package that holds it.
const NEEDED: &[(&str, &str)] = &[
    ("chromium", "chromium"),
    ("chromedriver", "chromium-driver"),
    ("pdftotext", "poppler-utils"),
    ("pip3", "python3-pip"),
];

/// The accessibility engine that the browser tests run on every page, axe-core 4.12.1, by way of a Python package that
/// carries it, with its checksum.
const AUDIT: &str =
    "axe-playwright-python==0.1.8 --hash=sha256:fdd263c998388f1a8e67cad02677e612d946248bd44d163be5e8650ea31f95f8";

/// Installs what is missing. Needs no network and takes no time when nothing is.
pub fn needed() -> Result<(), String> {
    programs()?;
    audit_engine()
}

/// Puts the engine where the browser tests look for it: `target/tools/axe.min.js`.
fn audit_engine() -> Result<(), String> {
    let folder = crate::run::root().join("target/tools");
    let file = folder.join("axe.min.js");
    if file.is_file() {
        return Ok(());
    }
    let held = tempfile::tempdir().map_err(|e| format!("no temporary folder: {e}"))?;
    let wish = held.path().join("wish.txt");
    std::fs::write(&wish, AUDIT).map_err(|e| format!("cannot write {}: {e}", wish.display()))?;
    let mut fetch = Command::new("python3");
    fetch.args(["-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps", "--require-hashes"]);
    fetch.arg("--dest").arg(held.path()).arg("--requirement").arg(&wish);
    crate::run::shown(&mut fetch, "pip download")?;
    let wheel = std::fs::read_dir(held.path())
        .map_err(|e| format!("cannot read {}: {e}", held.path().display()))?
        .flatten()
        .map(|entry| entry.path())
        .find(|path| path.extension().is_some_and(|end| end == "whl"))
        .ok_or("pip brought no wheel")?;
    let mut unpack = Command::new("python3");
    unpack.args(["-m", "zipfile", "--extract"]).arg(&wheel).arg(held.path());
    crate::run::shown(&mut unpack, "python3 -m zipfile")?;
    std::fs::create_dir_all(&folder).map_err(|e| format!("cannot make {}: {e}", folder.display()))?;
    std::fs::copy(held.path().join("axe_playwright_python/axe.min.js"), &file)
        .map_err(|e| format!("cannot write {}: {e}", file.display()))?;
    Ok(())
}

fn programs() -> Result<(), String> {
    let packages = missing(in_path);
    if packages.is_empty() {
        return Ok(());
    }
    let list = packages.join(" ");
    if !Path::new("/etc/debian_version").exists() {
        return Err(format!("the tests need programs that are missing here; Debian calls the packages: {list}"));
    }
    if !is_root() {
        return Err(format!(
            "the tests need programs that are missing here; install them: sudo apt-get install {list}"
        ));
    }
    apt(&["update", "--quiet"])?;
    apt(&[&["install", "--quiet", "--yes", "--no-install-recommends"], packages.as_slice()].concat())
}

fn missing(present: impl Fn(&str) -> bool) -> Vec<&'static str> {
    NEEDED.iter().filter(|(program, _)| !present(program)).map(|(_, package)| *package).collect()
}

fn in_path(program: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path).any(|folder| folder.join(program).is_file())
}

fn is_root() -> bool {
    crate::run::printed(Command::new("id").arg("-u"), "id -u").is_ok_and(|id| id.trim() == "0")
}

fn apt(arguments: &[&str]) -> Result<(), String> {
    let mut command = Command::new("apt-get");
    command.args(arguments).env("DEBIAN_FRONTEND", "noninteractive");
    crate::run::shown(&mut command, &format!("apt-get {}", arguments.join(" ")))
}

#[cfg(test)]
mod tests {
    use super::missing;

    #[test]
    fn hand_only_what_is_missing_is_installed() {
        assert_eq!(missing(|program| program != "chromedriver"), ["chromium-driver"]);
        assert!(missing(|_| true).is_empty());
    }
}
