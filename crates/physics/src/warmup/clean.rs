//! From what the display showed to the stretch of readings a model may be fitted to.

use super::forecast::{Finding, Knowledge, ReadingPoint};
use super::quantum::display_step;

/// Readings outside this are no fluid temperature, °C.
const PLAUSIBLE: std::ops::RangeInclusive<f64> = -60.0..=250.0;
/// Values a control unit sends when its sensor has failed, °C: both ends of an 8-bit count with offset −40.
const SUBSTITUTES: [f64; 2] = [-40.0, 215.0];
/// A step larger than `JUMP_K` + `JUMP_RATE`·minutes is not warming: no idle heats fluid that fast.
const JUMP_K: f64 = 5.0;
const JUMP_RATE: f64 = 12.0;

/// Coolant outside this is none, °C, and at most about this many readings of it are kept.
const COOLANT: std::ops::RangeInclusive<f64> = -50.0..=140.0;
const MOST_COOLANT: usize = 60;

/// An engine start further away from the first reading than this is no part of the same warm-up, s.
const LONGEST_RUN_S: f64 = 12.0 * 3600.0;

/// The readings a model may be fitted to: rising, in order, minutes on their own axis.
#[derive(Debug, Clone)]
pub(crate) struct Clean {
    /// Minutes since `origin_s`.
    pub minutes: Vec<f64>,
    /// °C, as many as `minutes`.
    pub celsius: Vec<f64>,
    /// Step of the display, K; 0 when none was seen.
    pub step: f64,
    /// The model's time zero on the readings' axis: engine start when known, else the first reading used.
    pub origin_s: f64,
    /// True when `origin_s` is the engine start and every reading since is used.
    pub since_start: bool,
    /// What the coolant showed: minutes, °C, in order of time; empty when it was not read.
    pub coolant: Vec<(f64, f64)>,
    /// Falling at the end.
    pub cooling: bool,
    /// Frozen: no change although the readings before were changing, or far too long.
    pub frozen: bool,
}

impl Clean {
    /// Last time, minutes since the origin; 0 without readings.
    pub fn now(&self) -> f64 {
        self.minutes.last().copied().unwrap_or(0.0)
    }
    /// Last temperature.
    pub fn last(&self) -> f64 {
        self.celsius.last().copied().unwrap_or(0.0)
    }
    /// Lowest to highest.
    pub fn rise(&self) -> f64 {
        let (low, high) =
            self.celsius.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), &y| (l.min(y), h.max(y)));
        if low.is_finite() { high - low } else { 0.0 }
    }
    /// The smallest change worth believing: two steps of the display, or 0.3 K.
    pub fn believable(&self) -> f64 {
        (2.0 * self.step).max(0.3)
    }
}

/// Cleans the readings; `None` when not one is usable.
pub(crate) fn clean(readings: &[ReadingPoint], known: &Knowledge, findings: &mut Vec<Finding>) -> Option<Clean> {
    let mut points = usable(readings, findings);
    in_order(&mut points, findings);
    without_substitutes(&mut points, findings);
    let given = readings.iter().filter_map(|r| r.quantum).map(|q| q.kelvin()).find(|q| *q > 0.0 && *q <= 5.0);
    let values: Vec<f64> = points.iter().map(|p| p.1).collect();
    let step = given.unwrap_or_else(|| display_step(&values));
    after_jumps(&mut points, step, findings);
    let first = points.first().map_or(0.0, |p| p.0);
    let started = known.engine_started_s.filter(|s| (first - s).abs() <= LONGEST_RUN_S);
    if let Some(start) = started {
        // Before the engine ran the fluid was at rest: one reading of it is worth keeping, as the start.
        let before = points.iter().filter(|p| p.0 < start).count();
        if before > 0 && before < points.len() {
            points.drain(..before);
        }
    }
    long_gap(&points, findings);
    let first_kept = points.first().map(|p| p.0);
    let cooling = since_the_turn(&mut points, step, findings);
    let first = points.first()?;
    let origin_s = started.filter(|s| *s <= first.0).unwrap_or(first.0);
    let frozen = looks_frozen(&points, step);
    Some(Clean {
        minutes: points.iter().map(|p| whole_microseconds(p.0 - origin_s) / 60.0).collect(),
        celsius: points.iter().map(|p| p.1).collect(),
        step,
        origin_s,
        since_start: started.is_some_and(|s| s <= first.0) && first_kept == Some(first.0),
        coolant: coolant(readings, origin_s),
        cooling,
        frozen,
    })
}

/// So that a log moved along its axis gives the same answer to the last digit.
fn whole_microseconds(seconds: f64) -> f64 {
    libm::round(seconds * 1e6) / 1e6
}

/// Coolant readings that can be one, on the model's axis.
fn coolant(readings: &[ReadingPoint], origin_s: f64) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = readings
        .iter()
        .filter_map(|r| Some((r.elapsed_s, r.coolant?.celsius())))
        .filter(|(t, y)| t.is_finite() && t.abs() <= 1e9 && COOLANT.contains(y) && !SUBSTITUTES.contains(y))
        .map(|(t, y)| (whole_microseconds(t - origin_s) / 60.0, y))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points.dedup_by(|later, kept| later.0 == kept.0);
    // A few dozen are enough: coolant moves slowly.
    let every = points.len().div_ceil(MOST_COOLANT).max(1);
    let last = points.len().saturating_sub(1);
    let mut index = 0;
    points.retain(|_| {
        index += 1;
        (index - 1) % every == 0 || index - 1 == last
    });
    points
}

type Point = (f64, f64);

fn finding(code: &'static str, message: impl Into<String>) -> Finding {
    Finding { code, message: message.into() }
}

fn usable(readings: &[ReadingPoint], findings: &mut Vec<Finding>) -> Vec<Point> {
    let points: Vec<Point> = readings
        .iter()
        .map(|r| (r.elapsed_s, r.temperature.celsius()))
        .filter(|(t, y)| t.is_finite() && t.abs() <= 1e9 && PLAUSIBLE.contains(y))
        .collect();
    let lost = readings.len() - points.len();
    if lost > 0 {
        findings.push(finding(
            "not_finite",
            format!(
                "{lost} of {} readings are no number or no fluid temperature and were left out; check the reader's \
                 connection",
                readings.len()
            ),
        ));
    }
    points
}

fn in_order(points: &mut Vec<Point>, findings: &mut Vec<Finding>) {
    let sorted = points.windows(2).all(|w| w[0].0 < w[1].0);
    if sorted {
        return;
    }
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let before = points.len();
    // Of several readings at one instant the one written last counts: the sort is stable.
    points.reverse();
    points.dedup_by(|later, kept| later.0 == kept.0);
    points.reverse();
    findings.push(finding(
        "out_of_order",
        format!(
            "the readings were not in the order of time and were sorted; {} at an instant already read were dropped; \
             check the clock of the reader",
            before - points.len()
        ),
    ));
}

fn without_substitutes(points: &mut Vec<Point>, findings: &mut Vec<Finding>) {
    for value in SUBSTITUTES {
        let count = points.iter().filter(|p| p.1 == value).count();
        let passing = points.iter().any(|p| p.1 != value && (p.1 - value).abs() < 3.0);
        if count == 0 || passing {
            continue;
        }
        points.retain(|p| p.1 != value);
        findings.push(finding(
            "substitute_value",
            format!(
                "{count} readings show {value} °C, which a control unit sends when it has no sensor signal; they were \
                 left out; check the temperature signal before trusting any level set by it"
            ),
        ));
    }
}

/// Drops single outliers and, after a step that stays, everything before it.
fn after_jumps(points: &mut Vec<Point>, step: f64, findings: &mut Vec<Finding>) {
    let far = |a: Point, b: Point| (b.1 - a.1).abs() > JUMP_K + 2.0 * step + JUMP_RATE * (b.0 - a.0) / 60.0;
    let mut kept: Vec<Point> = Vec::with_capacity(points.len());
    let (mut spikes, mut steps) = (0usize, Vec::new());
    for (i, &p) in points.iter().enumerate() {
        let Some(&before) = kept.last() else {
            kept.push(p);
            continue;
        };
        if !far(before, p) {
            kept.push(p);
            continue;
        }
        // It stays when the next reading agrees with this one rather than with the one before.
        match points.get(i + 1) {
            Some(&next) if far(p, next) || (!far(before, next) && kept.len() > 1) => spikes += 1,
            None => spikes += 1,
            Some(_) => {
                steps.push((p.0, before.1, p.1));
                kept.clear();
                kept.push(p);
            }
        }
    }
    if spikes > 0 {
        let left_out = match spikes {
            1 => "one reading stands far off its neighbours and was left out".to_owned(),
            _ => format!("{spikes} readings stand far off their neighbours and were left out"),
        };
        findings.push(finding("jump", left_out));
    }
    if let Some((t, from, to)) = steps.last() {
        findings.push(finding(
            "jump",
            format!(
                "at {t:.0} s the temperature jumps from {from:.1} to {to:.1} °C, faster than fluid warms (fluid added, \
                 or another sensor?); only the readings after it are used"
            ),
        ));
    }
    *points = kept;
}

fn long_gap(points: &[Point], findings: &mut Vec<Finding>) {
    let mut gaps: Vec<f64> = points.windows(2).map(|w| w[1].0 - w[0].0).collect();
    if gaps.len() < 3 {
        return;
    }
    let longest = gaps.iter().copied().fold(0.0, f64::max);
    gaps.sort_by(f64::total_cmp);
    let usual = gaps[gaps.len() / 2];
    let (short, long) = (gaps[gaps.len() / 10], gaps[gaps.len() - 1 - gaps.len() / 10]);
    if gaps.len() >= 5 && long > 3.0 * short.max(1e-3) {
        let message = format!(
            "the readings come at irregular times, {short:.0} to {long:.0} s apart; each counts at its own time"
        );
        findings.push(finding("irregular_times", message));
    }
    if longest > 120.0 && longest > 6.0 * usual {
        findings.push(finding(
            "gap",
            format!(
                "no reading for {longest:.0} s although one came every {usual:.0} s; if the engine stood still \
                 meanwhile the forecast is too early"
            ),
        ));
    }
}

/// Keeps the last rising stretch; true when the readings fall at the end.
fn since_the_turn(points: &mut Vec<Point>, step: f64, findings: &mut Vec<Finding>) -> bool {
    let turn = (2.5 * step).max(1.0);
    // Turning points: a turn counts once the readings have gone back by `turn` from the extreme.
    let (mut high, mut low, mut rising) = (0usize, 0usize, None);
    let mut knees: Vec<(usize, bool)> = Vec::new();
    for i in 0..points.len() {
        let y = points[i].1;
        if y > points[high].1 {
            high = i;
        }
        if y < points[low].1 {
            low = i;
        }
        if rising != Some(true) && y >= points[low].1 + turn {
            knees.push((low, true));
            (rising, high) = (Some(true), i);
        } else if rising != Some(false) && y <= points[high].1 - turn {
            knees.push((high, false));
            (rising, low) = (Some(false), i);
        }
    }
    let rose_before = knees.iter().any(|k| k.1);
    match knees.last() {
        Some(&(at, false)) => {
            let (from, to) = (points[at].1, points[points.len() - 1].1);
            let (code, why) = if rose_before {
                ("engine_stopped", "after warming: has the engine stopped? If the level plug is out, close it first")
            } else {
                ("cooling", "and were not rising before: the engine does not run, or the cooler is open")
            };
            findings.push(finding(code, format!("the readings fall from {from:.1} to {to:.1} °C, {why}")));
            points.drain(..at);
            true
        }
        Some(&(at, true)) if knees.iter().any(|k| !k.1) => {
            findings.push(finding(
                "engine_stopped",
                format!(
                    "the readings fell until {:.0} s and rise again since: only those after the turn are used",
                    points[at].0
                ),
            ));
            points.drain(..at);
            false
        }
        _ => false,
    }
}

/// No change for so long that the rise before it would have shown.
fn looks_frozen(points: &[Point], step: f64) -> bool {
    let Some(&(now, last)) = points.last() else { return false };
    let same = points.iter().rev().take_while(|p| p.1 == last).count();
    let since = points[points.len() - same];
    let (Some(before), Some(first)) = (points.len().checked_sub(same + 1), points.first()) else { return false };
    let span = since.0 - first.0;
    if same < 4 || before < 2 || span <= 0.0 {
        return false;
    }
    // The later half of the rise before the stop; a warm-up slows gently, never from full pace to nothing.
    let mid = points[before / 2];
    let pace = (since.1 - mid.1) / (since.0 - mid.0);
    pace * (now - since.0) > (6.0 * step).max(3.0)
}
