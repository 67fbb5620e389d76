//! Seconds of six computations, with their inputs, as JSON; `cargo xtask bench` sets them beside other programs.
//!
//! `cargo run -q --release -p physics --example bench_physics`

use std::error::Error;
use std::hint::black_box;
use std::time::Instant;

use physics::balance::{Amount, Expansion, Ledger, Portion, USUAL_TOLERANCE, Way};
use physics::containers::{Buyable, Shelved, cheapest};
use physics::fit::rise;
use physics::montecarlo::spread;
use physics::renewal::{Prices, plans};
use physics::runoff::{RunOff, STREAM_BREAKS, run_off};
use physics::warmup::{Knowledge, ReadingPoint, forecast};
use quantity::{Area, Density, Flow, KinematicViscosity, Length, Span, Temperature, Uncertain, Volume};
use serde_json::{Value, json};

/// Median of the seconds that each of `runs` took, and what the last one gave.
fn timed<T, E>(runs: usize, work: impl Fn() -> Result<T, E>) -> Result<(f64, T), E> {
    let mut result = work()?;
    let mut seconds = Vec::with_capacity(runs);
    for _ in 0..runs {
        let start = Instant::now();
        result = black_box(work()?);
        seconds.push(start.elapsed().as_secs_f64());
    }
    seconds.sort_by(f64::total_cmp);
    Ok((seconds[runs / 2], result))
}

/// 200 readings of 0.1 °C up to half way to the window, as a whole forecast and as one fitted exponential.
fn warm_up() -> Result<[Value; 2], Box<dyn Error>> {
    let seconds: Vec<f64> = (0..200).map(|i| 3.0 * f64::from(i)).collect();
    let shown: Vec<f64> = seconds.iter().map(|s| (10.0 * (85.0 - 65.0 * (-s / 1500.0).exp())).round() / 10.0).collect();
    let readings: Vec<_> = seconds.iter().zip(&shown).map(|(s, t)| ReadingPoint::new(*s, *t)).collect();
    let window = Span { low: Temperature::from_celsius(45.0), high: Temperature::from_celsius(55.0) };
    let (whole, found) = timed(15, || forecast(&readings, window, &Knowledge::default()))?;
    let opens = found.opens_s.ok_or("the forecast gives no opening")?.p50;
    let input = json!({ "seconds": seconds, "shown": shown, "low": 45.0 });
    let (fitted, rise) = timed(101, || rise(&seconds, &shown, None))?;
    Ok([
        json!({ "kind": "forecast", "name": "forecast with doubt, 200 readings / curve_fit", "seconds": whole,
            "input": input, "result": opens }),
        json!({ "kind": "rise", "name": "fit of a rise, 200 readings / curve_fit", "seconds": fitted,
            "input": input, "result": rise.time_constant.value }),
    ])
}

fn surplus() -> Result<Value, Box<dyn Error>> {
    let input = RunOff::new(
        Volume::from_litres(0.5),
        Length::from_mm(8.0),
        Area::from_square_metres(0.06),
        KinematicViscosity::from_mm2_per_s(16.0),
    );
    let (seconds, found) = timed(101, || run_off(&input))?;
    let (slow, _) = found.times_below(Flow::from_ml_per_second(STREAM_BREAKS));
    let given = json!({ "litres": 0.5, "area": 0.06, "bore": 8.0, "nu": 16.0, "rate": 0.0, "back": 0.0 });
    let result = slow.ok_or("the stream never breaks")?.seconds();
    Ok(json!({ "kind": "run_off", "name": "run-off, two models / solve_ivp, one", "seconds": seconds,
        "input": given, "result": result }))
}

/// Way, litres with doubt, °C with doubt.
const ROWS: [(Way, f64, f64, f64, f64); 4] = [
    (Way::Drained, 4.20, 0.04, 62.0, 1.155),
    (Way::Residue, 0.050, 0.030, 40.0, 0.0),
    (Way::Poured, 5.000, 0.02, 21.0, 1.5),
    (Way::RunOff, 0.450, 0.02, 42.0, 1.0),
];

fn thrown() -> Result<Value, Box<dyn Error>> {
    const TRIALS: u32 = 1_000_000;
    let c = Temperature::from_celsius;
    let portion = |(way, v, u, t, u_t): (Way, f64, f64, f64, f64)| Portion {
        way,
        amount: Amount::Measured(Uncertain::new(Volume::from_litres(v), Volume::from_litres(u))),
        temperature: Uncertain::new(c(t), c(u_t)),
        thermometer: None,
        readings: None,
    };
    let density = Uncertain::new(Density::from_kg_per_m3(850.0), Density::from_kg_per_m3(4.62));
    let ledger = Ledger {
        portions: ROWS.map(portion).to_vec(),
        expansion: Expansion::Density15(density),
        reference: c(40.0),
        level: Some(Uncertain::new(Volume::default(), Volume::from_ml(30.0))),
        tolerance: USUAL_TOLERANCE,
    };
    let (seconds, found) = timed(5, || spread(&ledger, TRIALS, 1))?;
    let rows: Vec<_> = ROWS.iter().map(|r| json!([r.0.sign(), r.1, r.2, r.3, r.4])).collect();
    let given = json!({ "portions": rows, "density15": [850.0, 4.62], "reference": 40.0, "level": [0.0, 0.030],
        "trials": TRIALS });
    Ok(json!({ "kind": "thrown", "name": "ledger, a million trials / numpy", "seconds": seconds,
        "input": given, "result": found.result.u.ml() }))
}

/// The cheapest containers for 37.35 L from four sizes with eight containers on the shelf.
fn search() -> Result<Value, Box<dyn Error>> {
    const CANS: [(f64, f64); 4] = [(1.0, 14.9), (4.0, 55.0), (5.0, 66.5), (20.0, 239.0)];
    const SHELF: [f64; 8] = [0.35, 0.6, 0.8, 0.25, 1.0, 0.45, 0.7, 0.15];
    const NEED: f64 = 37.35;
    let list = CANS.map(|(size, price)| Buyable { size: Volume::from_litres(size), price });
    let shelf = SHELF.map(|holds| Shelved { holds: Volume::from_litres(holds), opened: false });
    let (seconds, found) = timed(21, || cheapest(Volume::from_litres(NEED), &shelf, &list))?;
    let given = json!({ "need": NEED, "cans": CANS, "shelf": SHELF });
    Ok(
        json!({ "kind": "containers", "name": "cheapest containers, 4 sizes and 8 on the shelf / milp", "seconds": seconds,
        "input": given, "result": found.cost }),
    )
}

/// The cheapest plan that renews 90 % of 9 L, every number of drains with every exchange, in whole containers.
fn plan() -> Result<Value, Box<dyn Error>> {
    let prices = Prices {
        per_drain: 45.0,
        exchange_setup: 120.0,
        per_litre: 0.0,
        containers: vec![
            Buyable { size: Volume::from_litres(1.0), price: 14.0 },
            Buyable { size: Volume::from_litres(5.0), price: 55.0 },
        ],
        shelf: Vec::new(),
    };
    let (seconds, found) = timed(21, || plans(Volume::from_litres(9.0), 0.4, 0.9, &prices))?;
    let given = json!({ "total": 9.0, "fraction": 0.4, "share": 0.9, "drain": 45.0, "setup": 120.0, "cans": [[1.0, 14.0], [5.0, 55.0]] });
    Ok(json!({ "kind": "plan", "name": "cheapest renewal plan, 6 plans / milp for each", "seconds": seconds,
        "input": given, "result": found.first().ok_or("no plan")?.cost }))
}

fn main() -> Result<(), Box<dyn Error>> {
    let [forecast, rise] = warm_up()?;
    println!("{}", json!([forecast, rise, surplus()?, thrown()?, search()?, plan()?]));
    Ok(())
}
