//! From simulated vehicles to logs cut off on the way to a window.

use physics::warmup::ReadingPoint;
use quantity::{Span, Temperature};

use super::truth::{Draws, STEP_S, Truth};

/// A structure: what makes the unit, what makes the day.
pub type Make = fn(&mut Draws, &mut Draws) -> Truth;

/// Where a log is cut: at 40 to 80 % of the rise to the window, or of the time to it; or, for teaching, anywhere from
/// 10 % of the rise to inside the window, and the window may be any.
#[derive(Clone, Copy, PartialEq)]
pub enum Cut {
    Rise,
    Time,
    Any,
}

impl Cut {
    fn window(self, d: &mut Draws) -> (f64, f64) {
        const WINDOWS: [(f64, f64); 6] =
            [(30.0, 50.0), (35.0, 45.0), (38.0, 50.0), (40.0, 50.0), (46.0, 54.0), (50.0, 60.0)];
        let usual = WINDOWS[d.uniform(0.0, 6.0) as usize % 6];
        if self == Self::Any && d.chance(0.5) {
            let low = d.uniform(26.0, 75.0).round();
            return (low, low + d.uniform(5.0, 20.0).round());
        }
        usual
    }

    /// The time of the last reading, at the latest.
    fn now(self, truth: &Truth, (low, high): (f64, f64), opens_s: f64, d: &mut Draws) -> Option<f64> {
        let part = d.uniform(0.4, 0.8);
        let start = truth.fluid[0];
        let risen = |part: f64| first_at(truth, start + part * (low - start));
        match self {
            Self::Time => Some(opens_s * part),
            Self::Rise => risen(part),
            Self::Any => match d.uniform(0.0, 1.0) {
                u if u < 0.6 => risen(part),
                u if u < 0.8 => risen(d.uniform(0.1, 0.4)),
                u if u < 0.93 => risen(d.uniform(0.8, 0.97)),
                _ => first_at(truth, low + d.uniform(0.05, 0.8) * (high - low)),
            },
        }
    }
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
    /// When the engine was started, on the axis of the readings.
    pub started_s: f64,
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
    let (unit, day) = (d.seed(), d.seed());
    let truth = make(&mut Draws(unit), &mut Draws(day));
    let (low, high) = cut.window(d);
    let opens_s = first_at(&truth, low)?;
    // Nobody waits longer than that for a window.
    if truth.fluid[0] > low - 8.0 || !(120.0..=5400.0).contains(&opens_s) {
        return None;
    }
    let now = cut.now(&truth, (low, high), opens_s, d)?;
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
    let (least, below) = if cut == Cut::Any { (3, high) } else { (4, low) };
    if readings.len() < least || last.temperature.celsius() >= below {
        return None;
    }
    Some(Case {
        now_s: last.elapsed_s,
        started_s: -begin,
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
