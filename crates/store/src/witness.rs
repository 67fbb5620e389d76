//! A small file beside the database that says how far the log had come when a write was acknowledged. A file system that
//! loses the end of the database, a file cut, swapped or emptied, shows against it.
//!
//! It is written after the commit and before the answer, so it never tells of what is not on disk, and whoever got an answer
//! is told of. One line a write: number, chain, entry, job, and a check of the line itself.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use crate::format::digest;

/// Grown past this it is written anew with its latest lines.
const LARGE: u64 = 64 * 1024;
/// Lines kept then: what is named when the end of the log is lost.
const KEPT: usize = 200;
/// Letters of a line's check.
const CHECK: usize = 16;
/// Lost files that are named; more are counted.
const NAMED: usize = 6;

/// How far the log had come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Mark {
    pub n: i64,
    pub chain: String,
    pub last_seq: i64,
    pub job: String,
}

/// What the file says.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Seen {
    /// The lines that read, oldest first.
    pub marks: Vec<Mark>,
    /// A line other than a torn last one does not read.
    pub damaged: bool,
    /// There is no file.
    pub missing: bool,
}

/// The file beside a database.
#[derive(Debug, Clone)]
pub(crate) struct Witness {
    path: PathBuf,
}

impl Mark {
    fn line(&self) -> String {
        let body = format!("{} {} {} {}", self.n, self.chain, self.last_seq, self.job);
        format!("{} {body}\n", &digest(body.as_bytes())[..CHECK])
    }

    fn read(line: &str) -> Option<Self> {
        let (check, body) = line.split_once(' ')?;
        let mut parts = body.splitn(4, ' ');
        let mark = Self {
            n: parts.next()?.parse().ok()?,
            chain: parts.next()?.to_owned(),
            last_seq: parts.next()?.parse().ok()?,
            job: parts.next()?.to_owned(),
        };
        (digest(body.as_bytes()).get(..CHECK) == Some(check)).then_some(mark)
    }
}

impl Witness {
    /// That of a database.
    pub fn beside(database: &Path) -> Self {
        let mut name = database.as_os_str().to_owned();
        name.push("-witness");
        Self { path: name.into() }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Everything in it. A last line that was cut while it was written counts for nothing: nobody had been answered yet.
    pub fn read(&self) -> io::Result<Seen> {
        let text = match fs::read(&self.path) {
            Ok(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                return Ok(Seen { missing: true, ..Seen::default() });
            }
            Err(error) => return Err(error),
        };
        let mut seen = Seen::default();
        for line in text.split_inclusive('\n') {
            match line.strip_suffix('\n').and_then(Mark::read) {
                Some(mark) => seen.marks.push(mark),
                None if line.ends_with('\n') => seen.damaged = true,
                None => {}
            }
        }
        Ok(seen)
    }

    /// Adds a line and forces it to disk.
    pub fn note(&self, mark: &Mark) -> io::Result<()> {
        let mut file = self.locked()?;
        let length = file.seek(SeekFrom::End(0))?;
        // A line that was cut before must not take this one along.
        if length > 0 {
            let mut last = [0];
            file.seek(SeekFrom::End(-1))?;
            file.read_exact(&mut last)?;
            if last != *b"\n" {
                file.write_all(b"\n")?;
            }
        }
        file.write_all(mark.line().as_bytes())?;
        file.sync_data()?;
        if length > LARGE {
            let seen = self.read()?;
            let from = seen.marks.len().saturating_sub(KEPT);
            self.replace(&seen.marks[from..])?;
        }
        Ok(())
    }

    /// Writes the file anew, with these lines and no other.
    pub fn replace(&self, marks: &[Mark]) -> io::Result<()> {
        let mut name = self.path.as_os_str().to_owned();
        name.push(format!(".{}.part", std::process::id()));
        let part = PathBuf::from(name);
        let mut file = private(OpenOptions::new().write(true).create(true).truncate(true)).open(&part)?;
        for mark in marks {
            file.write_all(mark.line().as_bytes())?;
        }
        file.sync_all()?;
        fs::rename(&part, &self.path)?;
        sync_folder(&self.path)
    }

    /// The file, locked against other programs, made if there is none. It may have been written anew by another program
    /// meanwhile; then the new one is taken.
    fn locked(&self) -> io::Result<File> {
        loop {
            let new = !self.path.exists();
            let file = private(OpenOptions::new().read(true).append(true).create(true)).open(&self.path)?;
            file.lock()?;
            if new {
                sync_folder(&self.path)?;
            }
            let now = fs::metadata(&self.path).ok().as_ref().map(crate::seat::identity);
            if Some(crate::seat::identity(&file.metadata()?)) == now {
                return Ok(file);
            }
        }
    }
}

/// Which jobs had come further than the log goes: each with its last entry.
pub(crate) fn named(marks: &[Mark], after: i64) -> String {
    let mut jobs: std::collections::BTreeMap<&str, i64> = std::collections::BTreeMap::new();
    for mark in marks.iter().filter(|mark| mark.n > after && !mark.job.is_empty()) {
        let last = jobs.entry(&mark.job).or_default();
        *last = (*last).max(mark.last_seq);
    }
    let more = jobs.len().saturating_sub(NAMED);
    let mut words: Vec<String> =
        jobs.iter().take(NAMED).map(|(job, seq)| format!("{job} up to its entry {seq}")).collect();
    if more > 0 {
        words.push(format!("{more} more jobs"));
    }
    if words.is_empty() { "lists or prints".to_owned() } else { words.join(", ") }
}

/// A file that only its owner reads and writes.
pub(crate) fn private(options: &mut OpenOptions) -> &mut OpenOptions {
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(options, 0o600);
    options
}

/// A name is in its folder, and the folder has to reach the disk as well.
pub(crate) fn sync_folder(of: &Path) -> io::Result<()> {
    let folder = of.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(n: i64) -> Mark {
        Mark { n, chain: digest(&n.to_be_bytes()), last_seq: 10 + n, job: format!("job {n}") }
    }

    #[test]
    fn fault_lines_that_do_not_read_are_told_apart() {
        let folder = tempfile::tempdir().unwrap();
        let witness = Witness::beside(&folder.path().join("w.db"));
        assert_eq!(witness.read().unwrap(), Seen { missing: true, ..Seen::default() });
        for n in 1..=3 {
            witness.note(&mark(n)).unwrap();
        }
        let whole = fs::read(witness.path()).unwrap();
        assert_eq!(witness.read().unwrap().marks, [mark(1), mark(2), mark(3)]);
        for cut in 0..whole.len() {
            fs::write(witness.path(), &whole[..cut]).unwrap();
            let seen = witness.read().unwrap();
            assert!(!seen.damaged && seen.marks.len() <= 3, "cut at {cut}");
            // Whatever was cut, the next line is whole.
            witness.note(&mark(9)).unwrap();
            assert_eq!(witness.read().unwrap().marks.last(), Some(&mark(9)));
        }
        for at in 0..whole.len() {
            for bit in 0..8 {
                let mut flipped = whole.clone();
                flipped[at] ^= 1 << bit;
                fs::write(witness.path(), &flipped).unwrap();
                let seen = witness.read().unwrap();
                assert!(seen.damaged || seen.marks.len() < 3, "bit {bit} of byte {at}");
                assert!(seen.marks.iter().all(|one| [mark(1), mark(2), mark(3)].contains(one)));
            }
        }
    }

    #[test]
    fn hand_it_stays_small_and_keeps_the_latest() {
        let folder = tempfile::tempdir().unwrap();
        let witness = Witness::beside(&folder.path().join("w.db"));
        for n in 1..=1500 {
            witness.note(&mark(n)).unwrap();
        }
        assert!(fs::metadata(witness.path()).unwrap().len() < 2 * LARGE);
        assert_eq!(witness.read().unwrap().marks.last(), Some(&mark(1500)));
    }

    #[test]
    fn hand_what_is_lost_is_named() {
        let marks: Vec<Mark> = (1..=9).map(mark).collect();
        assert_eq!(named(&marks, 7), "job 8 up to its entry 18, job 9 up to its entry 19");
        assert!(named(&marks, 0).ends_with(", 3 more jobs"));
        assert_eq!(named(&[Mark { job: String::new(), ..mark(1) }], 0), "lists or prints");
    }
}
