//! What the forecast is taught: simulated vehicles cut anywhere on their way, what the ensemble says of them, and what came true.
//! Printed as the file `crates/physics/src/warmup/taught.rs`; and the same with each structure left out in turn, judged on it.

use physics::warmup::teaching::{Logs, Net, Signs, Told, told};
use physics::warmup::{Knowledge, ReadingPoint, learnt, pooled};
use quantity::Temperature;

use super::cases::{Case, Cut, Make, case, earlier};
use super::train::train;
use super::truth::Draws;
use super::{STRUCTURES, Structure};

/// One vehicle asked for one temperature.
pub struct Sample {
    pub structure: &'static str,
    /// How much it counts.
    pub weight: f64,
    pub logs: Logs,
    pub signs: Signs,
    /// Log of the minutes it took.
    pub truth: f64,
}

/// Seed of the vehicles that teach; no table of the study uses it.
const SEED: u64 = 70_000;

/// What is known beside the readings differs from log to log.
fn known(c: &Case, make: Make, day: &mut Draws) -> (Knowledge, Vec<ReadingPoint>) {
    let ambient = day.chance(0.3).then(|| Temperature::from_celsius(c.ambient));
    let readings = if day.chance(0.25) { c.with_coolant.clone() } else { c.readings.clone() };
    let engine_started_s = day.chance(0.4).then_some(c.started_s);
    let unit_history = day.chance(0.25).then(|| {
        let jobs = 1 + usize::from(day.chance(0.6));
        let jobs: Vec<_> =
            (0..jobs).filter_map(|_| learnt(&earlier(make, c, day.seed()), &Knowledge::default())).collect();
        pooled(&jobs)
    });
    (Knowledge { ambient, engine_started_s, unit_history: unit_history.flatten() }, readings)
}

/// What was said of one case and what came true, for both ends of the window.
fn samples_of(
    c: &Case,
    structure: &'static str,
    weight: f64,
    known: &Knowledge,
    readings: &[ReadingPoint],
) -> Vec<Sample> {
    let told = told(readings, c.window, known).expect("readings");
    let came = [Some(c.opens_s), c.closes_s];
    let one = |(told, came): (Option<Told>, Option<f64>)| {
        let (logs, signs) = told?;
        let truth = ((came? - c.now_s) / 60.0).max(0.02).ln();
        Some(Sample { structure, weight, logs, signs, truth })
    };
    told.into_iter().zip(came).filter_map(one).collect()
}

/// The vehicles of one structure that teach; none when it is kept for judging.
fn some(s: &Structure) -> Vec<Sample> {
    let Some((weight, vehicles)) = s.teaches else { return Vec::new() };
    let mut d = Draws(SEED + s.seed);
    let mut day = Draws(SEED + s.seed + 1000);
    let mut out = Vec::new();
    let mut made = 0;
    while made < vehicles {
        let Some(c) = case(s.make, Cut::Any, &mut d) else { continue };
        let (known, readings) = known(&c, s.make, &mut day);
        out.extend(samples_of(&c, s.name, weight, &known, &readings));
        made += 1;
    }
    out
}

/// The vehicles that teach, always in the same order; made side by side.
pub fn samples() -> Vec<Sample> {
    let next = std::sync::atomic::AtomicUsize::new(0);
    let done = std::sync::Mutex::new(Vec::new());
    let work = || {
        while let Some((i, s)) =
            STRUCTURES.iter().enumerate().rev().nth(next.fetch_add(1, std::sync::atomic::Ordering::SeqCst))
        {
            let made = some(s);
            eprintln!("{}: {} samples", s.name, made.len());
            done.lock().expect("no panic").push((i, made));
        }
    };
    std::thread::scope(|scope| {
        (0..std::thread::available_parallelism().map_or(1, usize::from)).for_each(|_| drop(scope.spawn(work)));
    });
    let mut done = done.into_inner().expect("no panic");
    done.sort_by_key(|d| d.0);
    done.into_iter().flat_map(|d| d.1).collect()
}

fn rows<const N: usize>(out: &mut String, name: &str, rows: &[[f32; N]]) {
    use std::fmt::Write;
    let _ = writeln!(out, "    {name}: [");
    for row in rows {
        let row: Vec<String> = row.iter().map(|x| format!("{x:?}")).collect();
        let _ = writeln!(out, "        [{}],", row.join(", "));
    }
    let _ = writeln!(out, "    ],");
}

/// The source file of what was learnt.
pub fn source(net: &Net) -> String {
    let mut out = String::from(
        "//! What the lesson was taught, written by `cargo xtask study lesson`; nothing here is chosen by hand.\n\n\
         use super::lesson::Net;\n\n\
         #[rustfmt::skip]\n\
         #[allow(clippy::approx_constant, reason = \"learnt: a number near a known one is chance\")]\n\
         pub(super) static TAUGHT: Net = Net {\n",
    );
    rows(&mut out, "signs", &net.signs);
    rows(&mut out, "first", &net.first);
    rows(&mut out, "second", &net.second);
    rows(&mut out, "third", &net.third);
    out + "};\n"
}

/// Median and 90th percentile of the error and how often the interval held, for each structure judged by a lesson that never
/// saw it, on the vehicles of the table above.
pub fn unseen(samples: &[Sample], trials: usize) -> String {
    use std::fmt::Write;
    let mut out = String::from("| structure | the ensemble alone | with the lesson of all others |\n|---|---|---|\n");
    for structure in STRUCTURES.iter().filter(|s| s.teaches.is_some() && !["G", "H"].contains(&s.name)) {
        let others: Vec<&Sample> = samples.iter().filter(|s| s.structure != structure.name).collect();
        let net = train(&others);
        let mut d = Draws(structure.seed);
        let mut judged = Vec::new();
        while judged.len() < trials {
            let Some(c) = case(structure.make, Cut::Rise, &mut d) else { continue };
            judged.extend(samples_of(&c, structure.name, 1.0, &Knowledge::default(), &c.readings).into_iter().take(1));
        }
        let cell = |says: &dyn Fn(&Sample) -> Logs| {
            let mut errors: Vec<f64> = judged.iter().map(|s| ((says(s)[1] - s.truth).exp() - 1.0).abs()).collect();
            errors.sort_by(f64::total_cmp);
            let held = judged.iter().filter(|s| says(s)[0] <= s.truth && s.truth <= says(s)[2]).count();
            let at = |share: f64| 100.0 * errors[(share * errors.len() as f64) as usize];
            format!("{:.1} / {:.0}; {:.0}", at(0.5), at(0.9), 100.0 * held as f64 / judged.len() as f64)
        };
        let (alone, with) = (cell(&|s| s.logs), cell(&|s| net.corrected(s.logs, &s.signs)));
        let _ = writeln!(out, "| {} | {alone} | {with} |", structure.name);
    }
    out
}
