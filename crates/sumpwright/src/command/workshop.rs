//! Opening the workshop's log on disk, and the runtime that its verbs need.

use std::cell::RefCell;
use std::future::Future;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use app::{Clock, Closer, SystemClock, Workshop};

use crate::print::Fault;

/// Where the log is.
#[derive(Debug, clap::Args)]
pub struct DataArgs {
    /// The workshop's database [default: env SUMPWRIGHT_DATA, else sumpwright/workshop.db in the user's data folder]
    #[arg(long, value_name = "FILE", display_order = 800)]
    pub data: Option<PathBuf>,
    /// What the workshop calls itself on paper [default: env SUMPWRIGHT_WORKSHOP, else Workshop]
    #[arg(long, value_name = "NAME", display_order = 801)]
    pub workshop: Option<String>,
}

fn variable(name: &str) -> Option<String> {
    std::env::var(name).ok().filter(|value| !value.trim().is_empty())
}

impl DataArgs {
    /// The database that was named, on the command line or in the environment.
    pub fn path(&self) -> Result<PathBuf, Fault> {
        if let Some(path) = self.data.clone().or_else(|| variable("SUMPWRIGHT_DATA").map(PathBuf::from)) {
            return Ok(path);
        }
        let folder = variable("XDG_DATA_HOME")
            .map(PathBuf::from)
            .or_else(|| variable("HOME").map(|home| Path::new(&home).join(".local/share")));
        match folder {
            Some(folder) => Ok(folder.join("sumpwright/workshop.db")),
            None => Err(Fault::new("no folder for the workshop's database is known", "give --data FILE, or set HOME")),
        }
    }

    /// The name for paper.
    pub fn name(&self) -> String {
        self.workshop.clone().or_else(|| variable("SUMPWRIGHT_WORKSHOP")).unwrap_or_else(|| "Workshop".to_owned())
    }

    /// The workshop, its folder made if missing.
    pub async fn open(&self) -> Result<Workshop, Fault> {
        self.open_by(Arc::new(SystemClock)).await
    }

    /// The same by a clock of one's own.
    pub async fn open_by(&self, clock: Arc<dyn Clock>) -> Result<Workshop, Fault> {
        open_at(&self.path()?, clock, &self.name(), false).await
    }
}

/// Opens the workshop's log at a path.
pub async fn open_at(path: &Path, clock: Arc<dyn Clock>, name: &str, demo: bool) -> Result<Workshop, Fault> {
    if path.is_dir() {
        return Err(Fault::new(format!("{} is a folder, not a database", path.display()), "name a file inside it"));
    }
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        let mut maker = std::fs::DirBuilder::new();
        maker.recursive(true);
        // Names and plates of customers are nobody else's.
        #[cfg(unix)]
        std::os::unix::fs::DirBuilderExt::mode(&mut maker, 0o700);
        maker.create(folder).map_err(|why| {
            Fault::new(
                format!("the folder {} cannot be made: {why}", folder.display()),
                "give --data FILE in a folder that may be written",
            )
        })?;
    }
    let workshop = Workshop::open(path, clock, name, demo).await?;
    for notice in workshop.notices() {
        eprintln!("note: {notice}");
    }
    OPENED.with_borrow_mut(|opened| opened.push(workshop.closer()));
    Ok(workshop)
}

thread_local! {
    /// Workshops that the verb under way has opened.
    static OPENED: RefCell<Vec<Closer>> = const { RefCell::new(Vec::new()) };
}

/// Runs a verb on the workshop to its end, and leaves everything in the database file.
pub fn wait<T>(verb: impl Future<Output = Result<T, Fault>>) -> Result<T, Fault> {
    runtime(tokio::runtime::Builder::new_current_thread())?.block_on(async {
        let done = verb.await;
        for opened in OPENED.take() {
            opened.close().await;
        }
        done
    })
}

/// A runtime from its builder.
pub fn runtime(mut builder: tokio::runtime::Builder) -> Result<tokio::runtime::Runtime, Fault> {
    builder
        .enable_all()
        .build()
        .map_err(|why| Fault::new(format!("the system gives no threads: {why}"), "close other programs and try again"))
}
