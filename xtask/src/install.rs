//! The programs that the tests start, and how to get them on Debian.

use std::path::Path;
use std::process::Command;

/// Program and the Debian package that holds it.
const NEEDED: &[(&str, &str)] =
    &[("chromium", "chromium"), ("chromedriver", "chromium-driver"), ("pdftotext", "poppler-utils")];

/// Installs what is missing. Needs no network and takes no time when nothing is.
pub fn needed() -> Result<(), String> {
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
