//! `serve`: the workshop server.

use std::io::Write;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;

use app::{Clock, ScaledClock, SteadyClock, SystemClock, Workshop, demo};
use serde_json::json;
use tokio::net::TcpListener;

use super::workshop::{DataArgs, open_at, runtime};
use crate::print::{Answer, Fault};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// The invented workshop with simulated vehicles, in a fresh folder unless --data says where
    #[arg(long)]
    demo: bool,
    /// How many times as fast as life the demo runs
    #[arg(long, value_name = "N", default_value_t = 20.0, requires = "demo")]
    speed: f64,
    /// Address and port to listen on; port 0 takes a free one
    #[arg(long, value_name = "ADDR", default_value = "127.0.0.1:7878")]
    listen: String,
    #[command(flatten)]
    data: DataArgs,
}

/// Moments at which a server may start: what browsers, papers and the log can write, with room for years of serving.
const CLOCK_MS: std::ops::Range<i64> = 315_532_800_000..221_845_392_000_000;
/// Speeds the demo's physics keeps up with.
const SPEED: std::ops::RangeInclusive<f64> = 0.1..=600.0;

pub fn run(args: &Args, json: bool) -> Result<Answer, Fault> {
    if !SPEED.contains(&args.speed) {
        let what = format!("--speed {} cannot be kept up with", args.speed);
        return Err(Fault::new(what, format!("give a speed between {} and {}", SPEED.start(), SPEED.end())));
    }
    if !CLOCK_MS.contains(&SystemClock.now_ms()) {
        let what = "this computer’s clock stands before 1980 or after the year 9000".to_owned();
        return Err(Fault::new(what, "set the clock, then start the server"));
    }
    runtime(tokio::runtime::Builder::new_multi_thread())?.block_on(async {
        let listener = listener(&args.listen).await?;
        let (workshop, folder) = if args.demo {
            demo_workshop(args).await?
        } else {
            (args.data.open_by(Arc::new(SteadyClock::new())).await?, None)
        };
        let workshop = Arc::new(workshop);
        if let Ok(own) = std::env::current_exe() {
            workshop.read_photos_by(own);
        }
        // Heard from before the address is told: whoever waits for it may ask for the end at once.
        let stop = stop_signals()?;
        announce(&listener, args.demo, json)?;
        let runner = args.demo.then(|| tokio::spawn(demo_runs(workshop.clone())));
        let quiet = tokio::spawn(settle_now_and_then(workshop.clone()));
        let stopped = web::serve(workshop.clone(), listener, super::limits::visitors(), stop).await.map_err(|why| {
            Fault::new(format!("the server stopped: {why}"), "start it again; what was entered is safe")
        });
        if let Some(runner) = runner {
            runner.abort();
        }
        quiet.abort();
        workshop.close().await;
        if let Some(folder) = folder {
            // The demo's own throw-away folder; what cannot be removed the system clears.
            let _ = std::fs::remove_dir_all(folder);
        }
        stopped.map(|()| Answer::new("", serde_json::Value::Null))
    })
}

async fn listener(address: &str) -> Result<TcpListener, Fault> {
    let hint = "give --listen ADDRESS:PORT, as in 127.0.0.1:7878";
    let parsed: SocketAddr =
        address.parse().map_err(|_| Fault::new(format!("--listen: \"{address}\" is no address with a port"), hint))?;
    TcpListener::bind(parsed).await.map_err(|why| {
        let mut other = parsed;
        other.set_port(parsed.port().checked_add(1).unwrap_or(1024));
        match why.kind() {
            std::io::ErrorKind::AddrInUse => Fault::new(
                format!("{parsed} is in use already, perhaps by another sumpwright"),
                format!("stop that one, or take another port: --listen {other}"),
            ),
            std::io::ErrorKind::PermissionDenied => Fault::new(
                format!("{parsed} may not be listened on: {why}"),
                "ports below 1024 need rights; take a higher one",
            ),
            _ => Fault::new(format!("{parsed} cannot be listened on: {why}"), hint),
        }
    })
}

/// How often what was entered is brought into the database file itself.
const SETTLE: std::time::Duration = std::time::Duration::from_secs(60);

/// Keeps the database file nearly whole by itself, and says on the terminal what is wrong as soon as it is.
async fn settle_now_and_then(workshop: Arc<Workshop>) {
    let mut said = workshop.troubles();
    loop {
        tokio::time::sleep(SETTLE).await;
        // What fails now is tried again; an entry that cannot be kept is refused where it is entered.
        let _ = workshop.settle().await;
        let now = workshop.troubles();
        now.iter().filter(|trouble| !said.contains(trouble)).for_each(|trouble| eprintln!("error: {trouble}"));
        said = now;
    }
}

/// The vehicles run, and the finished job is worked through, while the first page is looked at already.
async fn demo_runs(workshop: Arc<Workshop>) {
    let look_back = async {
        if let Err(why) = demo::look_back(&workshop).await {
            eprintln!("error: the demo's finished job cannot be made: {why}\nhint: {}", why.hint());
        }
    };
    tokio::join!(demo::run(workshop.clone()), look_back);
}

async fn demo_workshop(args: &Args) -> Result<(Workshop, Option<PathBuf>), Fault> {
    let clock = Arc::new(ScaledClock::new(SystemClock.now_ms(), args.speed));
    let (path, folder) = match &args.data.data {
        Some(path) => (path.clone(), None),
        None => {
            let folder = std::env::temp_dir().join(format!("sumpwright-demo-{}", app::new_id()));
            (folder.join("demo.db"), Some(folder))
        }
    };
    let workshop = open_at(&path, clock, demo::WORKSHOP, true).await?;
    demo::catch_up(&workshop).await?;
    demo::stand_ready(&workshop).await?;
    Ok((workshop, folder))
}

/// The one line that says where to look, on stdout and at once: a script waits for it.
fn announce(listener: &TcpListener, demo: bool, json: bool) -> Result<(), Fault> {
    let address =
        listener.local_addr().map_err(|why| Fault::new(format!("the address cannot be found: {why}"), "try again"))?;
    let url = format!("http://{address}");
    let line = if json { json!({ "url": url, "demo": demo }).to_string() } else { url };
    let mut out = std::io::stdout().lock();
    // A reader that went away is no reason to stop serving.
    let _ = writeln!(out, "{line}").and_then(|()| out.flush());
    Ok(())
}

/// Ready at Ctrl-C, or at a polite request to end.
fn stop_signals() -> Result<impl Future<Output = ()> + Send + 'static, Fault> {
    #[cfg(unix)]
    let mut term = tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate())
        .map_err(|why| Fault::new(format!("signals cannot be heard: {why}"), "try again"))?;
    Ok(async move {
        #[cfg(unix)]
        tokio::select! {
            // Unheard signals are no reason to stop: the other way to end it remains.
            Ok(()) = tokio::signal::ctrl_c() => {}
            _ = term.recv() => {}
        }
        #[cfg(not(unix))]
        let _ = tokio::signal::ctrl_c().await;
    })
}
