//! From simulated vehicles to logs cut off on the way to a window.

use physics::warmup::ReadingPoint;
use quantity::{Span, Temperature};

use super::truth::{Draws, STEP_S, Truth};

/// A structure: what makes the unit, what makes the day.
pub type Make = fn(&mut Draws, &mut Draws) -> Truth;

/// Where a log is cut: at 40 to 80 % of the rise to the window, or of the time to it.
#[derive(Clone, Copy, PartialEq)]
pub enum Cut {
    Rise,
    Time,
}

/// One vehicle, cut off on its way to the window.
pub struct Case {
    pub readings: Vec<ReadingPoint>,
    /// The same readings with the coolant.
    pub with_coolant: Vec<ReadingPoint>,
    pub window: Span<Temperature>,
    pub ambient: f64,
    pub step: f64,
    pub now_s: f64,
    pub opens_s: f64,
    pub closes_s: Option<f64>,
    /// Seeds of the unit, to run it on other days.
    pub unit: u64,
}

fn first_at(t: &Truth, target: f64) -> Option<f64> {
    t.fluid.iter().position(|y| *y >= target).map(|i| i as f64 * STEP_S)
}

fn shown(y: f64, step: f64) -> f64 {
    if step == 5.0 / 9.0 { ((y * 1.8 + 32.0).round() - 32.0) / 1.8 } else { (y / step).round() * step }
}

/// A case from the next numbers of `d`; `None` when this vehicle says nothing about the question.
pub fn case(make: Make, cut: Cut, d: &mut Draws) -> Option<Case> {
    const WINDOWS: [(f64, f64); 6] =
        [(30.0, 50.0), (35.0, 45.0), (38.0, 50.0), (40.0, 50.0), (46.0, 54.0), (50.0, 60.0)];
    let (unit, day) = (d.seed(), d.seed());
    let truth = make(&mut Draws(unit), &mut Draws(day));
    let (low, high) = WINDOWS[d.uniform(0.0, 6.0) as usize % 6];
    let opens_s = first_at(&truth, low)?;
    // Nobody waits longer than that for a window.
    if truth.fluid[0] > low - 8.0 || !(120.0..=5400.0).contains(&opens_s) {
        return None;
    }
    let part = d.uniform(0.4, 0.8);
    let now = match cut {
        Cut::Time => opens_s * part,
        Cut::Rise => first_at(&truth, truth.fluid[0] + part * (low - truth.fluid[0]))?,
    };
    let begin = if d.chance(0.3) { d.uniform(0.0, 0.25) * now } else { 0.0 };
    let every = [5.0, 10.0, 20.0, 30.0, 60.0][d.uniform(0.0, 5.0) as usize % 5];
    let step = [0.1, 1.0, 5.0 / 9.0][d.uniform(0.0, 3.0) as usize % 3];
    let noise = d.uniform(0.02, 0.15);
    let (mut readings, mut with_coolant) = (Vec::new(), Vec::new());
    let mut t = begin;
    while t <= now {
        let i = (t / STEP_S) as usize;
        let reading = ReadingPoint::new(t - begin, shown(truth.fluid[i] + noise * d.normal(), step));
        readings.push(reading);
        let coolant = truth.coolant.get(i).map(|y| Temperature::from_celsius(y.round()));
        with_coolant.push(ReadingPoint { coolant, ..reading });
        t += every;
    }
    let last = readings.last()?;
    if readings.len() < 4 || last.temperature.celsius() >= low {
        return None;
    }
    Some(Case {
        now_s: last.elapsed_s,
        window: Span { low: Temperature::from_celsius(low), high: Temperature::from_celsius(high) },
        ambient: truth.ambient,
        step,
        opens_s: opens_s - begin,
        closes_s: first_at(&truth, high).map(|t| t - begin),
        readings,
        with_coolant,
        unit,
    })
}

/// A finished warm-up of the same unit on another day: one reading every 20 s until 5 K above the window, at most 90 min.
pub fn earlier(make: Make, case: &Case, day: u64) -> Vec<ReadingPoint> {
    let truth = make(&mut Draws(case.unit), &mut Draws(day));
    let end = case.window.high.celsius() + 5.0;
    truth
        .fluid
        .iter()
        .enumerate()
        .step_by(10)
        .take(270)
        .take_while(|(_, y)| **y < end)
        .map(|(i, y)| ReadingPoint::new(i as f64 * STEP_S, shown(*y, case.step)))
        .collect()
}
