//! The sump: flow over the lip, run-off times, draining, and the level of a tilted or hot unit.

use physics::expansion::{Expansion, ctl};
use physics::level::{temperature_error, tilt_error};
use physics::runoff::{
    Drain, Filling, RunOff, STREAM_BREAKS, Standpipe, Watched, drain_time, job_scale, pooled_scale, run_off,
};
use quantity::{Angle, Area, Density, Duration, Flow, KinematicViscosity, Length, Temperature, Uncertain, Volume};

use crate::Outcome;
use crate::chart::{Axis, BLUE, BROWN, Chart, GREEN, INK, RED, Scale, VIOLET, along};

fn mm(x: f64) -> Length {
    Length::from_mm(x)
}

fn sixteen() -> KinematicViscosity {
    KinematicViscosity::from_mm2_per_s(16.0)
}

pub fn flow() -> Outcome {
    let pipe = Standpipe::new(mm(8.0), mm(40.0), mm(0.0), sixteen())?;
    let mut chart = Chart::new(
        "Flow over the lip of a standpipe, bore 8 mm, 16 mm²/s",
        Axis::log("head above the lip, mm", 0.1, 100.0),
        Axis::log("flow, mL/s", 0.01, 100.0),
    );
    let mut curves: [Vec<(f64, f64)>; 5] = Default::default();
    for h in along(Scale::Log, 0.12, 60.0, 120) {
        let head = mm(h);
        let laws = [
            pipe.flow(head, Filling::Open)?,
            pipe.weir(head)?,
            pipe.orifice(head)?,
            pipe.viscous_lip(head)?,
            pipe.full_pipe(head)?,
        ];
        for (curve, q) in curves.iter_mut().zip(laws) {
            let q = q.ml_per_second();
            if (0.01..=100.0).contains(&q) {
                curve.push((h, q));
            }
        }
    }
    for (curve, colour) in curves[1..].iter().zip([GREEN, RED, BROWN, VIOLET]) {
        chart.dashes(colour, curve);
    }
    chart.line(BLUE, &curves[0]);
    // The equations evaluated with numpy; the test is val_flow_against_head.
    #[rustfmt::skip]
    let reference = [
        (0.2, 0.0391), (0.3, 0.1194), (0.5, 0.3974), (1.0, 1.3749), (2.0, 3.8439), (3.0, 6.1977), (5.0, 9.1777),
        (8.0, 11.892), (12.0, 14.618), (20.0, 18.887),
    ];
    chart.rings(INK, &reference);
    chart.words(VIOLET, (0.13, 28.0), "start", "pipe running full (fast end)");
    chart.words(RED, (0.13, 1.1), "start", "orifice");
    chart.words(GREEN, (0.2, 0.22), "end", "weir");
    chart.words(BROWN, (2.2, 55.0), "start", "film");
    chart.words(BLUE, (2.6, 3.6), "start", "all together (slow end)");
    chart.words(INK, (1.0, 0.03), "start", "○ independent evaluation (numpy)");
    Ok(("flow", chart.svg()))
}

pub fn times() -> Outcome {
    let mut chart = Chart::new(
        "Run-off times, ours against an independent solver",
        Axis::log("seconds by LSODA (scipy)", 20.0, 1000.0),
        Axis::log("seconds by the program", 20.0, 1000.0),
    );
    let mut groups: [Vec<(f64, f64)>; 3] = Default::default();
    for line in include_str!("../../tests/it/data/runoff_times.csv").lines().filter(|line| !line.starts_with('#')) {
        let x = line.split(',').map(str::parse).collect::<Result<Vec<f64>, _>>()?;
        let [litres, area, bore, _, _, _, thin, breaks, drops, ..] = x[..] else { return Err("a short row".into()) };
        let run = RunOff::new(Volume::from_litres(litres), mm(bore), Area::from_square_metres(area), sixteen());
        let forecast = run_off(&run)?;
        for (group, (limit, seconds)) in groups.iter_mut().zip([(2.0, thin), (0.5, breaks), (0.1, drops)]) {
            let (slow, _) = forecast.times_below(Flow::from_ml_per_second(limit));
            group.push((seconds, slow.ok_or("a time that never comes")?.seconds()));
        }
    }
    chart.line(INK, &[(20.0, 20.0), (1000.0, 1000.0)]);
    for (group, colour) in groups.iter().zip([GREEN, BLUE, RED]) {
        chart.rings(colour, group);
    }
    chart.words(GREEN, (24.0, 600.0), "start", "○ thin stream, below 2 mL/s");
    chart.words(BLUE, (24.0, 480.0), "start", "○ stream breaks, below 0.5 mL/s");
    chart.words(RED, (24.0, 385.0), "start", "○ drops, below 0.1 mL/s");
    chart.words(INK, (950.0, 40.0), "end", "27 settings: 0.3–1 L, 0.04–0.08 m², 6–10 mm");
    chart.words(INK, (950.0, 32.0), "end", "the reference is printed to whole seconds");
    Ok(("run-off-times", chart.svg()))
}

pub fn drain() -> Outcome {
    let mut chart = Chart::new(
        "Draining 0.06 m² from 80 to 2 mm through the plug hole",
        Axis::linear("bore of the hole, mm", 8.0, 22.0, 2.0),
        Axis::linear("seconds", 0.0, 200.0, 25.0),
    );
    let (mut fast, mut slow) = (Vec::new(), Vec::new());
    for bore in along(Scale::Linear, 9.0, 22.0, 60) {
        let drain = Drain {
            sump_area: Area::from_square_metres(0.06),
            from: mm(80.0),
            to: mm(2.0),
            bore: mm(bore),
            length: mm(10.0),
            viscosity: sixteen(),
        };
        let time = drain_time(&drain)?;
        fast.push((bore, time.low.seconds()));
        slow.push((bore, time.high.seconds()));
    }
    let outline: Vec<_> = fast.iter().copied().chain(slow.iter().rev().copied()).collect();
    chart.area(BLUE, &outline);
    chart.line(BLUE, &fast);
    chart.line(BLUE, &slow);
    chart.rings(INK, &[(10.0, 134.7), (12.0, 93.5), (14.0, 68.7), (18.0, 41.6), (20.0, 33.7)]);
    chart.rings(INK, &[(10.0, 108.0), (12.0, 74.1), (14.0, 54.1), (18.0, 32.5), (20.0, 26.2)]);
    chart.words(BLUE, (11.2, 118.0), "start", "slow end: sharp orifice");
    chart.words(BLUE, (8.2, 50.0), "start", "fast end: hole full");
    chart.words(INK, (13.0, 160.0), "start", "○ evaluated independently; 16 mm²/s");
    Ok(("drain", chart.svg()))
}

/// Fluid above the floor of a box under a tilted surface that passes the lip, summed over a fine grid of columns, mL.
fn columns(area: f64, offset: f64, theta: f64) -> f64 {
    const N: u32 = 400;
    let (length, depth) = (0.4, 0.08);
    let width = area / length;
    let sum: f64 = along(Scale::Linear, 0.5, f64::from(N) - 0.5, N - 1)
        .map(|i| {
            let x = length * (i / f64::from(N) - 0.5);
            depth + (offset - x) * theta.tan()
        })
        .sum();
    (sum * width * length / f64::from(N) - depth * area) * 1e6
}

pub fn tilt() -> Outcome {
    let mut chart = Chart::new(
        "What a tilted vehicle leaves in the unit",
        Axis::linear("lip on the high side by, degrees", -4.0, 4.0, 1.0),
        Axis::linear("too much in the unit, mL", -800.0, 800.0, 200.0),
    );
    for (offset, colour) in [(50.0, GREEN), (100.0, BLUE), (150.0, RED)] {
        let mut line = Vec::new();
        for theta in along(Scale::Linear, -4.0, 4.0, 40) {
            let ml = tilt_error(Area::from_square_metres(0.08), mm(offset), Angle::from_degrees(theta))?.ml();
            line.push((theta, ml));
        }
        chart.line(colour, &line);
        let summed = along(Scale::Linear, -3.5, 3.5, 7);
        let rings: Vec<_> = summed.map(|t| (t, columns(0.08, offset / 1000.0, t.to_radians()))).collect();
        chart.rings(INK, &rings);
    }
    chart.words(RED, (2.2, 560.0), "end", "150 mm from the middle");
    chart.words(BLUE, (1.1, 250.0), "end", "100 mm");
    chart.words(GREEN, (2.6, 110.0), "start", "50 mm");
    chart.words(INK, (-3.8, 700.0), "start", "○ a box of 0.08 m² summed column by column");
    Ok(("tilt", chart.svg()))
}

pub fn closed_off_reference() -> Outcome {
    let mut chart = Chart::new(
        "Closed at another temperature than the reference of 40 °C",
        Axis::linear("temperature at closing, °C", 10.0, 90.0, 10.0),
        Axis::linear("too much in the unit (9 L), mL", -400.0, 250.0, 50.0),
    );
    let deg = Temperature::from_celsius;
    let (charge, rho) = (Volume::from_litres(9.0), Density::from_kg_per_m3(850.0));
    let (mut by_density, mut by_coefficient) = (Vec::new(), Vec::new());
    for t in along(Scale::Linear, 12.0, 88.0, 60) {
        let of = |fluid| temperature_error(charge, deg(t), deg(40.0), fluid);
        by_density.push((t, of(Expansion::Density15(rho))?.ml()));
        by_coefficient.push((t, of(Expansion::Coefficient(0.00075))?.ml()));
    }
    chart.dashes(BROWN, &by_coefficient);
    chart.line(BLUE, &by_density);
    // The sump emptied and filled in the mind: mass of 9 L at the one temperature over that at the other.
    let mut rings = Vec::new();
    for t in [15.0, 20.0, 30.0, 50.0, 60.0, 70.0, 80.0] {
        let mass = 9000.0 * ctl(rho, deg(t))?;
        rings.push((t, mass / ctl(rho, deg(40.0))? - 9000.0));
    }
    chart.rings(INK, &rings);
    chart.rings(RED, &[(65.0, -168.75), (15.0, 168.75), (80.0, -270.0)]);
    chart.words(BLUE, (50.0, -150.0), "end", "by density, 850 kg/m³");
    chart.words(BROWN, (89.0, -100.0), "end", "constant coefficient 0.00075/K");
    chart.words(INK, (36.0, 160.0), "start", "○ 9 L there, weighed and taken to 40 °C");
    chart.words(RED, (36.0, 125.0), "start", "○ by hand: 9000 × 0.00075 × K");
    Ok(("closed-off-reference", chart.svg()))
}

/// A unit whose stream really breaks after 160 s, forecast before each of its jobs.
pub fn learnt() -> Outcome {
    const TRUTH: f64 = 160.0;
    let run = RunOff::new(Volume::from_litres(0.5), mm(8.0), Area::from_square_metres(0.06), sixteen());
    let mut chart = Chart::new(
        "When the stream breaks, forecast after so many earlier jobs",
        Axis::linear("earlier jobs of the unit", 0.0, 8.0, 1.0),
        Axis::linear("seconds from opening", 40.0, 220.0, 20.0),
    );
    let seen = [158.0, 171.0, 149.0, 165.0, 152.0, 160.0, 168.0, 157.0];
    let (mut jobs, mut best, mut low, mut high) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for n in 0..=seen.len() {
        let scale = pooled_scale(&jobs)?;
        let breaks = run_off(&RunOff { scale, ..run })?.stream_breaks.ok_or("a stream that never breaks")?;
        best.push((n as f64, breaks.best.seconds()));
        low.push((n as f64, breaks.low.seconds()));
        high.push((n as f64, breaks.high.seconds()));
        if let Some(after) = seen.get(n) {
            jobs.push(job_scale(&Watched {
                run,
                surplus_u: Volume::from_ml(25.0),
                below: Flow::from_ml_per_second(STREAM_BREAKS),
                after: Uncertain::new(Duration::from_seconds(*after), Duration::from_seconds(5.0)),
            })?);
        }
    }
    let outline: Vec<_> = low.iter().copied().chain(high.iter().rev().copied()).collect();
    chart.area(BLUE, &outline);
    chart.line(BLUE, &best);
    chart.dashes(RED, &[(0.0, TRUTH), (8.0, TRUTH)]);
    let watched: Vec<_> = (1..).zip(seen).map(|(n, s)| (f64::from(n), s)).collect();
    chart.rings(INK, &watched);
    chart.words(RED, (7.9, 195.0), "end", "what the unit really does: 160 s");
    chart.words(BLUE, (1.6, 66.0), "start", "best and bracket; nothing learnt at the left");
    chart.words(INK, (7.9, 206.0), "end", "○ the jobs as they were watched");
    Ok(("learnt", chart.svg()))
}
