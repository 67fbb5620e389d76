//! The programs that the tests start, and how to get them on Debian.

use std::path::Path;
use std::process::Command;

/// Program and the Debian package that holds it.
const NEEDED: &[(&str, &str)] =
    &[("chromium", "chromium"), ("chromedriver", "chromium-driver"), ("pdftotext", "poppler-utils"), ("curl", "curl")];

/// The accessibility engine that the browser tests run on every page: a published file of the npm registry with its checksum.
const AUDIT: (&str, &str) = (
    "axe-core-4.10.3.tgz",
    "5e6edba515e70d25f6604d9815f064d859c5d1ea7ab661bbc4f87c88779ef0c21cae0abbeb636471ef39e9d62d2582e4b88a1866f19f4ecfcf6d986275e4dc12",
);

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
    std::fs::create_dir_all(&folder).map_err(|e| format!("cannot make {}: {e}", folder.display()))?;
    let (address, checksum) = AUDIT;
    let packed = folder.join("axe.tgz");
    let mut fetch = Command::new("curl");
    fetch.args(["--fail", "--silent", "--show-error", "--location", "--retry", "3", "--output"]);
    crate::run::shown(fetch.arg(&packed).arg(address), &format!("curl {address}"))?;
    let found = crate::run::printed(Command::new("sha512sum").arg(&packed), "sha512sum")?;
    if !found.starts_with(checksum) {
        return Err(format!("{address} is not the file it was: its SHA-512 is {found}"));
    }
    let mut unpack = Command::new("tar");
    unpack.arg("--extract").arg("--file").arg(&packed).arg("--directory").arg(&folder);
    crate::run::shown(unpack.args(["--strip-components=1", "package/axe.min.js"]), "tar --extract")
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
