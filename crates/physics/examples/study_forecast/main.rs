//! How good is the forecast? Simulated vehicles of several structures, readings cut on the way to the window. F is the family
//! of the grid; X, Y, Z (harsh) and W were looked at while the forecast was made, V (mild) and U (wild) only since, P (mild) and Q
//! (wild) never.
//!
//! `cargo xtask study forecast`, or alone: `cargo run -p physics --release --example study_forecast [trials] [structures]
//! [rise or time]`: where the logs are cut, on the way in temperature or in time.
//! Tables on standard output, the same on every machine; times on standard error.

mod cases;
mod fresh;
mod kept;
mod others;
mod score;
mod truth;

use cases::{Case, Cut, Make, case, earlier};
use physics::warmup::{Forecast, Interval, Knowledge, Model, ReadingPoint, forecast_by, learnt, pooled};
use quantity::Temperature;
use score::Score;
use truth::Draws;

/// Name, structure, seed, what it is.
const STRUCTURES: [(&str, Make, u64, &str); 9] = [
    (
        "P",
        fresh::p,
        17,
        "mild, kept for judging: pump at nearly constant pressure, stream and pool that mix, free convection",
    ),
    (
        "Q",
        fresh::q,
        18,
        "wild, kept for judging: the engine stops by itself, heat in steps, water pump in three speeds, wet pan",
    ),
    ("V", kept::v, 15, "mild, looked at: loop with an exchanger that always flows, drag that falls gently"),
    ("U", kept::u, 16, "wild, looked at: idle, selector, door and a snapping valve at chance times"),
    ("X", truth::x, 11, "looked at: churning, fast idle, cooler with a late bypass"),
    ("Y", truth::y, 12, "looked at: five bodies, heat that wanders, a fan"),
    ("Z", truth::z, 13, "looked at, harsh: stepped idle, compressor, gusts, a water jacket that cuts in"),
    ("W", truth::w, 14, "looked at: housing of three parts, wax element, idle by coolant temperature"),
    ("F", truth::f, 10, "the grid's own family: first order behind a lag"),
];

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
fn study(name: &str, make: Make, seed: u64, cut: Cut, trials: usize) -> Vec<String> {
    let mut d = Draws(seed);
    let mut day = Draws(seed + 1000);
    let mut scores: [Score; WAYS.len()] = Default::default();
    let mut spent = Vec::new();
    while spent.len() < trials {
        if let Some(c) = case(make, cut, &mut d) {
            spent.push(judge(&c, make, &mut day, &mut scores));
        }
    }
    spent.sort_by(f64::total_cmp);
    eprintln!("{name}: one forecast takes {:.1} ms (median), {:.1} ms (tenth)", spent[trials / 2], spent[trials / 10]);
    scores.iter_mut().map(Score::cell).collect()
}

fn main() {
    let trials: usize = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(400).max(1);
    let which = std::env::args().nth(2).unwrap_or_else(|| "PQVUXYZWF".into());
    let chosen: Vec<_> = STRUCTURES.iter().filter(|s| which.contains(s.0)).collect();
    for (name, _, seed, what) in &chosen {
        println!("- {name} (seed {seed}): {what}");
    }
    let asked = std::env::args().nth(3).unwrap_or_else(|| "rise".into());
    for (cut, title) in [(Cut::Rise, "rise"), (Cut::Time, "time")].into_iter().filter(|c| c.1 == asked) {
        let columns: Vec<Vec<String>> =
            chosen.iter().map(|(name, make, seed, _)| study(name, *make, *seed, cut, trials)).collect();
        println!("\nCut at 40 to 80 % of the {title} to the window, {trials} vehicles of each structure:\n");
        println!("| way | {} |", chosen.iter().map(|s| s.0).collect::<Vec<_>>().join(" | "));
        println!("|---|{}", "---|".repeat(chosen.len()));
        for (i, way) in WAYS.iter().enumerate() {
            println!("| {way} | {} |", columns.iter().map(|c| c[i].as_str()).collect::<Vec<_>>().join(" | "));
        }
    }
}
