//! How good is the forecast? Simulated vehicles of several structures, readings cut at 40–80 % of the way to the window.
//! F is the family of the grid; X, Y and Z (harsh) were looked at while the forecast was made; W was not.
//!
//! `cargo run -p physics --release --example study_forecast [trials per structure]`

mod others;
mod truth;

use physics::warmup::{Forecast, Interval, Knowledge, Model, ReadingPoint, forecast_by};
use quantity::{Span, Temperature};
use truth::{Draws, STEP_S, Truth};

/// One vehicle, cut off on its way to the window.
struct Case {
    readings: Vec<ReadingPoint>,
    window: Span<Temperature>,
    ambient: f64,
    step: f64,
    now_s: f64,
    opens_s: f64,
    closes_s: Option<f64>,
}

fn first_at(t: &Truth, target: f64) -> Option<f64> {
    t.fluid.iter().position(|y| *y >= target).map(|i| i as f64 * STEP_S)
}

fn case(truth: &Truth, d: &mut Draws) -> Option<Case> {
    const WINDOWS: [(f64, f64); 6] =
        [(30.0, 50.0), (35.0, 45.0), (38.0, 50.0), (40.0, 50.0), (46.0, 54.0), (50.0, 60.0)];
    let (low, high) = WINDOWS[d.uniform(0.0, 6.0) as usize % 6];
    let opens_s = first_at(truth, low)?;
    // Nobody waits longer than that for a window.
    if truth.fluid[0] > low - 8.0 || !(120.0..=5400.0).contains(&opens_s) {
        return None;
    }
    let begin = if d.chance(0.3) { d.uniform(0.0, 0.25) * opens_s } else { 0.0 };
    let now = opens_s * d.uniform(0.4, 0.8);
    let every = [5.0, 10.0, 20.0, 30.0, 60.0][d.uniform(0.0, 5.0) as usize % 5];
    let step = [0.1, 1.0, 5.0 / 9.0][d.uniform(0.0, 3.0) as usize % 3];
    let noise = d.uniform(0.02, 0.15);
    let mut readings = Vec::new();
    let mut t = begin;
    while t <= now {
        let y = truth.fluid[(t / STEP_S) as usize] + noise * d.normal();
        let shown = if step == 5.0 / 9.0 { ((y * 1.8 + 32.0).round() - 32.0) / 1.8 } else { (y / step).round() * step };
        readings.push(ReadingPoint::new(t - begin, shown));
        t += every;
    }
    let last = readings.last()?;
    if readings.len() < 4 || last.temperature.celsius() >= low {
        return None;
    }
    let now_s = last.elapsed_s;
    let window = Span { low: Temperature::from_celsius(low), high: Temperature::from_celsius(high) };
    Some(Case {
        now_s,
        window,
        ambient: truth.ambient,
        step,
        opens_s: opens_s - begin,
        closes_s: first_at(truth, high).map(|t| t - begin),
        readings,
    })
}

/// What one way of forecasting said of every case: relative error of the median, whether the interval held.
#[derive(Default)]
struct Score {
    errors: Vec<f64>,
    signed: Vec<f64>,
    held: usize,
    intervals: usize,
    widths: Vec<f64>,
}

impl Score {
    fn add(&mut self, said: Option<Interval>, has_interval: bool, truth: f64, scale: f64) {
        let Some(i) = said else {
            self.errors.push(f64::INFINITY);
            return;
        };
        self.errors.push((i.p50 - truth).abs() / scale);
        self.signed.push((i.p50 - truth) / scale);
        if has_interval {
            self.intervals += 1;
            self.held += usize::from(i.p10 <= truth && truth <= i.p90);
            self.widths.push((i.p90 - i.p10) / scale);
        }
    }

    fn print(&mut self, name: &str) {
        let middle = |v: &mut Vec<f64>, share: f64| {
            v.sort_by(f64::total_cmp);
            v.get((share * v.len() as f64) as usize).copied().unwrap_or(f64::NAN)
        };
        let (m, p90) = (100.0 * middle(&mut self.errors, 0.5), 100.0 * middle(&mut self.errors, 0.9));
        let bias = 100.0 * middle(&mut self.signed, 0.5);
        let holds = if self.intervals == 0 {
            "–".to_string()
        } else {
            format!("{:.0} %", 100.0 * self.held as f64 / self.intervals as f64)
        };
        let width = if self.widths.is_empty() {
            "–".to_string()
        } else {
            format!("{:.0} %", 100.0 * middle(&mut self.widths, 0.5))
        };
        println!("| {name} | {m:.1} % / {p90:.0} % | {bias:+.1} % | {holds} | {width} |");
    }
}

fn plain(minutes: Option<f64>) -> Option<Interval> {
    minutes.map(|m| Interval { p10: 60.0 * m, p50: 60.0 * m, p90: 60.0 * m })
}

fn study(name: &str, make: fn(&mut Draws) -> Truth, seed: u64, trials: usize) {
    let mut d = Draws(seed);
    let mut scores: [Score; 6] = Default::default();
    let (mut dwell, mut closes) = (Score::default(), Score::default());
    let (mut done, mut spent) = (0, Vec::new());
    while done < trials {
        let truth = make(&mut d);
        let Some(c) = case(&truth, &mut d) else { continue };
        done += 1;
        let left = c.opens_s - c.now_s;
        let points: Vec<(f64, f64)> =
            c.readings.iter().map(|r| (r.elapsed_s / 60.0, r.temperature.celsius())).collect();
        let low = c.window.low.celsius();
        let nothing = Knowledge::default();
        let air = Knowledge { ambient: Some(Temperature::from_celsius(c.ambient)), ..nothing };
        let run = |model, known: &Knowledge| -> Forecast {
            forecast_by(model, &c.readings, c.window, known).expect("readings")
        };
        let started = std::time::Instant::now();
        let said = run(Model::Ensemble, &nothing);
        spent.push(1e3 * started.elapsed().as_secs_f64());
        scores[0].add(plain(others::line(&points, low)), false, c.opens_s, left);
        scores[1].add(plain(others::exponential(&points, low)), false, c.opens_s, left);
        let kalman = others::kalman(&points, low, c.step).map(|q| Interval {
            p10: 60.0 * q[0],
            p50: 60.0 * q[1],
            p90: 60.0 * q[2],
        });
        scores[2].add(kalman, true, c.opens_s, left);
        scores[3].add(run(Model::Grid, &nothing).opens_s, true, c.opens_s, left);
        scores[4].add(said.opens_s, true, c.opens_s, left);
        scores[5].add(run(Model::Ensemble, &air).opens_s, true, c.opens_s, left);
        if let Some(closing) = c.closes_s {
            dwell.add(said.dwell_s, true, closing - c.opens_s, closing - c.opens_s);
            closes.add(said.closes_s, true, closing, closing - c.now_s);
        }
    }
    println!(
        "\n{name}, {trials} vehicles, seed {seed}: error of the median relative to the time left, median / 90th percentile\n"
    );
    println!("| way | error | bias | 80 % interval holds | its width |\n|---|---|---|---|---|");
    let names = [
        "straight line through the last half",
        "least-squares exponential",
        "Kalman filter on temperature and rate",
        "lag-aware grid",
        "ensemble with discrepancy",
        "the same, ambient known",
    ];
    for (score, name) in scores.iter_mut().zip(names) {
        score.print(name);
    }
    closes.print("ensemble: closing");
    dwell.print("ensemble: dwell, relative to itself");
    spent.sort_by(f64::total_cmp);
    println!("\none ensemble forecast: median {:.2} ms, tenth {:.2} ms", spent[trials / 2], spent[trials / 10]);
}

fn main() {
    let trials = std::env::args().nth(1).and_then(|a| a.parse().ok()).unwrap_or(600);
    let which = std::env::args().nth(2).unwrap_or_else(|| "FXYZW".into());
    type Make = fn(&mut Draws) -> Truth;
    for (name, make, seed) in [
        ("F", truth::f as Make, 10),
        ("X", truth::x, 11),
        ("Y", truth::y, 12),
        ("Z", truth::z, 13),
        ("W", truth::w, 14),
    ] {
        if which.contains(name) {
            study(name, make, seed, trials);
        }
    }
}
