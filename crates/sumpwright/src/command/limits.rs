//! What this process may take of the machine: descriptors for a server, memory and time for a child that reads foreign files.

/// Descriptors kept for the log, papers and children.
const KEPT_BACK: u64 = 96;
/// More visitors than any workshop has.
const MOST: u64 = 2048;

/// As many descriptors as the system allows, and how many visitors may be connected with them.
pub fn visitors() -> usize {
    let allowed = descriptors().unwrap_or(256);
    usize::try_from(allowed.saturating_sub(KEPT_BACK).clamp(16, MOST)).unwrap_or(256)
}

#[cfg(target_os = "linux")]
fn descriptors() -> Option<u64> {
    use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
    let now = getrlimit(Resource::Nofile);
    let wanted = now.maximum.unwrap_or(65_536).min(65_536);
    if now.current.is_some_and(|current| current < wanted) {
        // What is refused stays as it is.
        let _ = setrlimit(Resource::Nofile, Rlimit { current: Some(wanted), maximum: now.maximum });
    }
    getrlimit(Resource::Nofile).current
}

#[cfg(not(target_os = "linux"))]
fn descriptors() -> Option<u64> {
    None
}

/// From here on this process gets no more memory and no more time than that, and writes no dump of itself. What it needs
/// beyond ends it, and nothing else.
pub fn confine(bytes: u64, seconds: u64) {
    #[cfg(target_os = "linux")]
    {
        use rustix::process::{Resource, Rlimit, setrlimit};
        let limit = |most: u64| Rlimit { current: Some(most), maximum: Some(most) };
        for (resource, most) in [(Resource::As, bytes), (Resource::Cpu, seconds), (Resource::Core, 0)] {
            // A limit that cannot be set leaves the checks of the reader itself.
            let _ = setrlimit(resource, limit(most));
        }
    }
    #[cfg(not(target_os = "linux"))]
    let _ = (bytes, seconds);
}
