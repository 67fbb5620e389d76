//! How good is the forecast? Simulated vehicles of many structures, readings cut on the way to the window.
//!
//! `cargo xtask study forecast`, or alone: `cargo run -p physics --release --example study_forecast [trials] [structures]
//! [rise or time]`: where the logs are cut, on the way in temperature or in time. `study_forecast lesson` prints what the forecast is
//! taught (`cargo xtask study lesson` puts it in its place); `study_forecast unseen` judges a lesson on each structure that it was
//! not taught. Tables on standard output, the same on every machine; times on standard error.

mod cases;
mod fresh;
mod judge;
mod jury;
mod kept;
mod many;
mod others;
mod score;
mod teach;
mod train;
mod truth;

use cases::{Case, Cut, Make, case, earlier};
use physics::warmup::{Forecast, Interval, Knowledge, Model, ReadingPoint, forecast_by, learnt, pooled};
use quantity::Temperature;
use score::Score;
use truth::Draws;

/// One idea of how a unit warms up.
pub struct Structure {
    name: &'static str,
    make: Make,
    /// Seed of the vehicles that are judged; those that teach have others.
    seed: u64,
    /// How much each of its vehicles counts in the lesson, and how many there are; none for what is kept for judging.
    teaches: Option<(f64, usize)>,
    what: &'static str,
}

const fn kept(name: &'static str, make: Make, seed: u64, what: &'static str) -> Structure {
    Structure { name, make, seed, teaches: None, what }
}

/// Mild ones count twice: more can be told of them.
const fn mild(name: &'static str, make: Make, seed: u64, what: &'static str) -> Structure {
    Structure { name, make, seed, teaches: Some((4.0, 4_000)), what }
}

const fn wild(name: &'static str, make: Make, seed: u64, what: &'static str) -> Structure {
    Structure { name, make, seed, teaches: Some((2.0, 4_000)), what }
}

/// A, B, C, E and M, N, O were written by somebody who had seen neither the forecast nor any other structure. M, N and O have been run
/// once, when nothing was changed any more.
const STRUCTURES: [Structure; 18] = [
    kept(
        "M",
        jury::m,
        31,
        "mild, kept for judging: sump, channels, steel, case and block; drag by viscosity; no coolant read",
    ),
    kept(
        "N",
        jury::n,
        32,
        "wild, kept for judging: idle by coolant, cold cooler behind a slow wax, fan, heater-fed exchanger, eased pressure",
    ),
    kept(
        "O",
        jury::o,
        33,
        "wild, kept for judging: raised idle, gear on the brake, door, air conditioning, a stop, a sensor in a still corner",
    ),
    mild("A", judge::a, 21, "mild: wet double clutch, electric pump, exhaust that soaks in"),
    mild("B", judge::b, 22, "mild: belt and pulleys behind a converter, plates that always pass coolant"),
    wild("C", judge::c, 23, "wild: a cold radiator whose way opens, fan, stepped idle and pressure"),
    wild("E", judge::e, 24, "wild: spells of revs, drive, standstill, open door; a pan in layers"),
    mild("P", fresh::p, 17, "mild: pump at nearly constant pressure, stream and pool that mix, free convection"),
    mild("V", kept::v, 15, "mild: loop with an exchanger that always flows, drag that falls gently"),
    wild("Q", fresh::q, 18, "wild: the engine stops by itself, heat in steps, water pump in three speeds, wet pan"),
    wild("U", kept::u, 16, "wild: idle, selector, door and a snapping valve at chance times"),
    wild("X", truth::x, 11, "wild: churning, fast idle, cooler with a late bypass"),
    wild("Y", truth::y, 12, "wild: five bodies, heat that wanders, a fan"),
    wild("Z", truth::z, 13, "wild, harsh: stepped idle, compressor, gusts, a water jacket that cuts in"),
    wild("W", truth::w, 14, "wild: housing of three parts, wax element, idle by coolant temperature"),
    mild("F", truth::f, 10, "the grid's own family: first order behind a lag"),
    Structure { name: "G", make: many::g, seed: 19, teaches: Some((2.0, 22_000)), what: "mild, no two alike" },
    Structure { name: "H", make: many::h, seed: 20, teaches: Some((1.0, 18_000)), what: "wild, no two alike" },
];

/// The structures of each table.
const TABLES: [&str; 3] = ["MNO", "ABCEPV", "QUXYZWF"];

/// The ways compared, in the order of the table.
const WAYS: [&str; 9] = [
    "straight line through the last half",
    "least-squares exponential",
    "Kalman filter on temperature and rate",
    "lag-aware grid",
    "**the forecast**",
    "the forecast, air known",
    "the forecast, air and coolant known",
    "the forecast, two earlier jobs of the unit",
    "the forecast, closing",
];

fn plain(minutes: Option<f64>) -> Option<Interval> {
    minutes.map(|m| Interval { p10: 60.0 * m, p50: 60.0 * m, p90: 60.0 * m })
}

/// What every way says of one case.
fn judge(c: &Case, make: Make, day: &mut Draws, scores: &mut [Score; WAYS.len()]) -> f64 {
    let left = c.opens_s - c.now_s;
    let points: Vec<(f64, f64)> = c.readings.iter().map(|r| (r.elapsed_s / 60.0, r.temperature.celsius())).collect();
    let low = c.window.low.celsius();
    let nothing = Knowledge::default();
    let air = Knowledge { ambient: Some(Temperature::from_celsius(c.ambient)), ..Knowledge::default() };
    let run = |model, readings: &[ReadingPoint], known: &Knowledge| -> Forecast {
        forecast_by(model, readings, c.window, known).expect("readings")
    };
    let started = std::time::Instant::now();
    let said = run(Model::Ensemble, &c.readings, &nothing);
    let spent = 1e3 * started.elapsed().as_secs_f64();
    let minute = |q: [f64; 3]| Interval { p10: 60.0 * q[0], p50: 60.0 * q[1], p90: 60.0 * q[2] };
    let jobs: Vec<_> = (0..2).filter_map(|_| learnt(&earlier(make, c, day.seed()), &Knowledge::default())).collect();
    let history = Knowledge { unit_history: pooled(&jobs), ..Knowledge::default() };
    let answers = [
        (plain(others::line(&points, low)), false),
        (plain(others::exponential(&points, low)), false),
        (others::kalman(&points, low, c.step).map(minute), true),
        (run(Model::Grid, &c.readings, &nothing).opens_s, true),
        (said.opens_s, true),
        (run(Model::Ensemble, &c.readings, &air).opens_s, true),
        (run(Model::Ensemble, &c.with_coolant, &air).opens_s, true),
        (run(Model::Ensemble, &c.readings, &history).opens_s, true),
    ];
    for (score, (answer, has_interval)) in scores.iter_mut().zip(answers) {
        score.add(answer, has_interval, c.opens_s, left);
    }
    if let Some(closing) = c.closes_s {
        scores[8].add(said.closes_s, true, closing, closing - c.now_s);
    }
    spent
}

/// The cells of one structure, one for each way.
fn study(s: &Structure, cut: Cut, trials: usize) -> Vec<String> {
    let mut d = Draws(s.seed);
    let mut day = Draws(s.seed + 1000);
    let mut scores: [Score; WAYS.len()] = Default::default();
    let mut spent = Vec::new();
    while spent.len() < trials {
        if let Some(c) = case(s.make, cut, &mut d) {
            spent.push(judge(&c, s.make, &mut day, &mut scores));
        }
    }
    spent.sort_by(f64::total_cmp);
    eprintln!(
        "{}: one forecast takes {:.1} ms (median), {:.1} ms (tenth)",
        s.name,
        spent[trials / 2],
        spent[trials / 10]
    );
    scores.iter_mut().map(Score::cell).collect()
}

fn table(names: &str, cut: Cut, trials: usize) {
    let chosen: Vec<&Structure> =
        names.chars().filter_map(|n| STRUCTURES.iter().find(|s| s.name.contains(n))).collect();
    let columns: Vec<Vec<String>> = chosen.iter().map(|s| study(s, cut, trials)).collect();
    println!("\n| way | {} |", chosen.iter().map(|s| s.name).collect::<Vec<_>>().join(" | "));
    println!("|---|{}", "---|".repeat(chosen.len()));
    for (i, way) in WAYS.iter().enumerate() {
        println!("| {way} | {} |", columns.iter().map(|c| c[i].as_str()).collect::<Vec<_>>().join(" | "));
    }
}

fn main() {
    let arg = |n: usize| std::env::args().nth(n);
    match arg(1).as_deref() {
        Some("lesson") => {
            let samples = teach::samples();
            return print!("{}", teach::source(&train::train(&samples.iter().collect::<Vec<_>>())));
        }
        Some("unseen") => return print!("{}", teach::unseen(&teach::samples(), 400)),
        _ => {}
    }
    let trials: usize = arg(1).and_then(|a| a.parse().ok()).unwrap_or(400).max(1);
    let tables = arg(2).map_or_else(|| TABLES.map(str::to_owned).to_vec(), |names| vec![names]);
    for s in STRUCTURES.iter().filter(|s| tables.iter().any(|t| t.contains(s.name))) {
        println!("- {} (seed {}): {}", s.name, s.seed, s.what);
    }
    let (cut, title) = if arg(3).as_deref() == Some("time") { (Cut::Time, "time") } else { (Cut::Rise, "rise") };
    println!("\nCut at 40 to 80 % of the {title} to the window, {trials} vehicles of each structure:");
    tables.iter().for_each(|names| table(names, cut, trials));
}
