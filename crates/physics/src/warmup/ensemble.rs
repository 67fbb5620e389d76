//! The ensemble: many simulated vehicles with broad priors, each weighed by how well it explains the readings when a
//! wandering heat input is allowed for, and carried on from the last readings.
//!
//! The vehicles are drawn from a sequence of even coverage in a fixed order, so the same readings give the same forecast.

use super::clean::Clean;
use super::first_order::left_over;
use super::forecast::UnitHistory;
use super::outcome::{Arrival, Prediction, even_picks, fan_times, plain_interval};
use super::vehicle::{Fleet, Run, STEP, Setting, VEHICLES, Vehicle, fleet, share};
use super::wander::{Bins, Wander, bins};

/// Fits carried on, and paths drawn about each.
const PICKS: usize = 256;
const PATHS: usize = 4;
/// How far the heat of a vehicle may be scaled to fit: standard deviation of the factor.
const SCALE_SD: f64 = 0.2;
/// Ways in which the heat input may wander: standard deviation as a share of the heating rate, minutes over which it
/// wanders, weight; the strongest first.
const STRENGTHS: [(f64, f64, f64); 5] =
    [(0.45, 6.0, 0.2), (0.2, 6.0, 0.2), (0.2, 25.0, 0.2), (0.065, 25.0, 0.2), (0.02, 25.0, 0.2)];
/// Share by which every path is drawn towards its own tangent, and the minutes in which that fades: a bend that has not been
/// seen yet is half believed. Two kinds of forecast averaged err less than either.
const TANGENT: f64 = 0.4;
/// The same when an earlier job has shown the bend.
const TANGENT_KNOWN: f64 = 0.1;
const TANGENT_MIN: f64 = 20.0;
/// A vehicle whose evidence under the strongest wandering lags the best by more than this (natural log) is given up.
const HOPELESS: f64 = 12.0;

/// How far a vehicle's coolant may drift from the measured one over the log: K, and share of what it moved.
const COOLANT_SD: f64 = 8.0;
const COOLANT_SHARE: f64 = 0.4;

/// Power to which evidence is taken: less than 1, as no real unit is one of the fleet.
const TRUST: f64 = 0.75;
/// Steps up to now; a longer log is stepped more coarsely.
const MOST_STEPS: f64 = 400.0;

/// One vehicle fitted under one strength of wandering.
#[derive(Clone, Copy)]
struct Fit {
    /// Which of the fleet, or which it began as.
    vehicle: usize,
    strength: usize,
    /// Factor on its heat beyond 1, and the variance of that.
    scale: f64,
    scale_var: f64,
}

/// The readings, averaged, under every strength of wandering.
struct Evidence {
    bins: Bins,
    now: f64,
    setting: Setting,
    wanders: Vec<Wander>,
    /// Whitened rise of the readings above the first, for each strength.
    white: Vec<Vec<f64>>,
    /// Measured coolant: minutes, °C.
    coolant: Vec<(f64, f64)>,
}

/// A vehicle run up to now.
struct Past<'a> {
    run: Run<'a>,
    /// Its temperature at the first mark.
    first: f64,
    /// Log of how well its own coolant agrees with the measured one; 0 when there is none.
    coolant: f64,
}

/// Between the measured points; the first and the last beyond them.
fn at(points: &[(f64, f64)], t: f64) -> f64 {
    let i = points.partition_point(|p| p.0 <= t);
    match (i.checked_sub(1).and_then(|j| points.get(j)), points.get(i)) {
        (Some(a), Some(b)) => a.1 + (b.1 - a.1) * (t - a.0) / (b.0 - a.0),
        (Some(end), None) | (None, Some(end)) => end.1,
        (None, None) => 0.0,
    }
}

impl Evidence {
    fn new(clean: &Clean, ambient: Option<f64>) -> Self {
        let bins = bins(clean);
        let pace = pace(&bins);
        let wanders: Vec<Wander> = STRENGTHS.iter().map(|s| Wander::new(&bins, s.0 * pace, s.1)).collect();
        let rise: Vec<f64> = bins.celsius.iter().map(|y| y - bins.celsius[0]).collect();
        let white = wanders
            .iter()
            .map(|w| {
                let mut out = vec![0.0; rise.len()];
                w.whiten(&rise, &mut out);
                out
            })
            .collect();
        let before = clean.since_start.then(|| bins.minutes[0].max(0.0));
        let setting = Setting { first: bins.celsius[0], ambient, before };
        Self { bins, now: clean.now(), setting, wanders, white, coolant: clean.coolant.clone() }
    }

    /// Fit of a vehicle whose whitened rise is `rise`, and the log of its evidence.
    fn fit(&self, vehicle: usize, strength: usize, rise: &[f64]) -> (f64, Fit) {
        let (mut rr, mut rm, mut mm) = (0.0, 0.0, 0.0);
        for (r, y) in rise.iter().zip(&self.white[strength]) {
            let m = y - r;
            rr += r * r;
            rm += r * m;
            mm += m * m;
        }
        let prior = 1.0 / (SCALE_SD * SCALE_SD);
        let scale_var = 1.0 / (rr + prior);
        let log = -0.5 * (mm - rm * rm * scale_var) + 0.5 * libm::log(scale_var * prior)
            - 0.5 * self.wanders[strength].log_det
            + libm::log(STRENGTHS[strength].2);
        (log, Fit { vehicle, strength, scale: (rm * scale_var).max(-0.8), scale_var })
    }

    /// Runs a vehicle from engine start to now; its rise above the first mark at each mark. A measured coolant takes the
    /// place of its own.
    fn run<'a>(&self, fleet: &'a Fleet, vehicle: &'a Vehicle, rise: &mut [f64]) -> Past<'a> {
        let minutes = &self.bins.minutes;
        let mut run = Run::start(fleet, vehicle, &self.setting);
        let length = run.before + self.now - minutes[0];
        let steps = libm::ceil(length / STEP).clamp(1.0, MOST_STEPS);
        let dt = (length / steps).max(1e-6);
        let (mut t, mut last, mut next) = (minutes[0] - run.before, run.fluid, 0);
        let measured = self.coolant.first().filter(|_| run.has_coolant()).map(|p| p.0);
        let (mut off, mut moved) = (0.0, 0.0);
        for _ in 0..steps as usize {
            run.step(dt);
            if measured.is_some_and(|from| t + dt >= from) {
                let truth = at(&self.coolant, t + dt);
                if measured.is_some_and(|from| t >= from) {
                    off += run.coolant - truth;
                    moved += (truth - at(&self.coolant, t)).abs();
                }
                run.coolant = truth;
            }
            while next < rise.len() && minutes[next] <= t + dt {
                rise[next] = last + (run.fluid - last) * ((minutes[next] - t) / dt).clamp(0.0, 1.0);
                next += 1;
            }
            (t, last) = (t + dt, run.fluid);
        }
        rise[next..].fill(run.fluid);
        let first = rise[0];
        rise.iter_mut().for_each(|y| *y -= first);
        let off = off / (COOLANT_SD + COOLANT_SHARE * moved);
        Past { run, first, coolant: -0.5 * off * off }
    }
}

/// What earlier jobs say of the rise in the minutes to come: minutes from now, rise, its standard deviation.
struct Expected(Vec<(f64, f64, f64)>);

impl Expected {
    /// The earlier curve, hung on the last readings. Its own uncertainty by differences, and 8 % because no two jobs
    /// are alike.
    fn new(history: &UnitHistory, clean: &Clean, last: f64) -> Option<Self> {
        const AHEAD: [f64; 2] = [10.0, 25.0];
        const UNLIKE: f64 = 0.08;
        let (tau, u_tau) = (history.time_constant.value.minutes(), history.time_constant.u.minutes());
        let (end, u_end) = (history.end.value.celsius(), history.end.u.celsius());
        let (lag, u_lag) = (history.lag.value.minutes(), history.lag.u.minutes());
        let sane = (1.0..500.0).contains(&tau) && (-50.0..250.0).contains(&end) && (0.0..60.0).contains(&lag);
        if !sane || ![u_tau, u_end, u_lag].iter().all(|u| (0.0..500.0).contains(u)) {
            return None;
        }
        let now = clean.now().max(0.0);
        let rise = |ahead: f64, tau: f64, end: f64, lag: f64| {
            let left = left_over(now + ahead, tau, lag) / left_over(now, tau, lag).max(1e-9);
            (end - last) * (1.0 - left)
        };
        let rows = AHEAD.map(|ahead| {
            let mean = rise(ahead, tau, end, lag);
            let by = [
                rise(ahead, tau + u_tau, end, lag),
                rise(ahead, tau, end + u_end, lag),
                rise(ahead, tau, end, lag + u_lag),
            ];
            let var: f64 = by.iter().map(|r| (r - mean) * (r - mean)).sum();
            (ahead, mean, (var + (UNLIKE * mean) * (UNLIKE * mean) + 0.25).sqrt())
        });
        rows.iter().all(|r| r.1.is_finite() && r.2.is_finite()).then(|| Self(rows.to_vec()))
    }

    /// Log of how well a vehicle, run on from now, agrees.
    fn agreement(&self, mut run: Run, scale: f64) -> f64 {
        let (from, mut done, mut log) = (run.fluid, 0.0, 0.0);
        for &(ahead, mean, sd) in &self.0 {
            while done < ahead {
                run.step(2.0 * STEP);
                done += 2.0 * STEP;
            }
            let off = ((1.0 + scale) * (run.fluid - from) - mean) / sd;
            log -= 0.5 * off * off;
        }
        log
    }
}

/// Forecast by the ensemble. `low`, `high` in °C, `horizon` in minutes since the origin.
pub(crate) fn predict(
    clean: &Clean,
    window: (f64, f64),
    horizon: f64,
    ambient: Option<f64>,
    history: Option<&UnitHistory>,
) -> Prediction {
    let evidence = Evidence::new(clean, ambient);
    let last = evidence.bins.celsius.last().copied().unwrap_or(clean.last());
    let expected = history.and_then(|h| Expected::new(h, clean, last));
    let fits = weigh(&evidence, fleet(), expected.as_ref());
    let picks = even_picks(&fits, PICKS);
    let times = times_ahead(evidence.now, horizon);
    let mut paths = paths(&evidence, fleet(), &picks, &times);
    straighten(&times, &mut paths, if expected.is_some() { TANGENT_KNOWN } else { TANGENT });
    answer(&times, &paths, window)
}

/// The fastest rise that a third of the readings shows, K/min, never less than a slow warm-up: near to what the heat would
/// do without losses, and it is the heat that wanders, not the little that is left of it near the end.
fn pace(bins: &Bins) -> f64 {
    let n = bins.minutes.len();
    let stride = (n / 3).max(1);
    (stride..n)
        .map(|i| (bins.celsius[i] - bins.celsius[i - stride]) / (bins.minutes[i] - bins.minutes[i - stride]).max(0.2))
        .fold(0.5, f64::max)
        .min(6.0)
}

/// Weighs every vehicle under every strength of wandering.
fn weigh(evidence: &Evidence, fleet: &Fleet, expected: Option<&Expected>) -> Vec<(f64, Fit)> {
    let n = evidence.bins.minutes.len();
    let mut rises = vec![0.0; n * VEHICLES];
    let mut white = vec![0.0; n];
    let mut fits: Vec<(f64, Fit)> = Vec::with_capacity(VEHICLES);
    let mut of_coolant = vec![0.0; VEHICLES];
    for (vehicle, rise) in rises.chunks_mut(n).enumerate() {
        of_coolant[vehicle] = evidence.run(fleet, &fleet.vehicles[vehicle], rise).coolant;
        evidence.wanders[0].whiten(rise, &mut white);
        let (log, fit) = evidence.fit(vehicle, 0, &white);
        fits.push((log + of_coolant[vehicle], fit));
    }
    let best = fits.iter().map(|f| f.0).fold(f64::NEG_INFINITY, f64::max);
    for vehicle in (0..VEHICLES).filter(|&i| fits[i].0 > best - HOPELESS).collect::<Vec<_>>() {
        let rise = &rises[n * vehicle..n * (vehicle + 1)];
        for strength in 1..STRENGTHS.len() {
            evidence.wanders[strength].whiten(rise, &mut white);
            let (log, fit) = evidence.fit(vehicle, strength, &white);
            fits.push((log + of_coolant[vehicle], fit));
        }
    }
    if let Some(expected) = expected {
        for (log, fit) in &mut fits {
            let Past { run, .. } = evidence.run(fleet, &fleet.vehicles[fit.vehicle], &mut white);
            *log += expected.agreement(run, fit.scale);
        }
    }
    let top = fits.iter().map(|f| f.0).fold(f64::NEG_INFINITY, f64::max);
    fits.iter_mut().for_each(|f| f.0 = libm::exp(TRUST * (f.0 - top)));
    fits
}

/// Times at which paths are known: every half minute at first, then wider.
fn times_ahead(now: f64, horizon: f64) -> Vec<f64> {
    let mut times = vec![now];
    let mut t = now;
    while t < horizon {
        t += match t - now {
            near if near < 15.0 => STEP,
            far if far < 60.0 => 2.0 * STEP,
            _ => 8.0 * STEP,
        };
        times.push(t);
    }
    times
}

/// Paths from now on: each fit with its scale and its wandering, at evenly spread depths of their uncertainty.
fn paths(evidence: &Evidence, fleet: &Fleet, picks: &[Fit], times: &[f64]) -> Vec<Vec<f64>> {
    let n = evidence.bins.minutes.len();
    let ahead: Vec<Vec<(Vec<f64>, f64)>> =
        evidence.wanders.iter().map(|w| times.iter().map(|&t| w.ahead(t)).collect()).collect();
    let mut out = Vec::with_capacity(picks.len() * PATHS);
    let (mut rise, mut white) = (vec![0.0; n], vec![0.0; n]);
    let mut spread = Vec::with_capacity(times.len());
    for (p, fit) in picks.iter().enumerate() {
        let Past { mut run, first, .. } = evidence.run(fleet, &fleet.vehicles[fit.vehicle], &mut rise);
        evidence.wanders[fit.strength].whiten(&rise, &mut white);
        spread.clear();
        for (i, &t) in times.iter().enumerate() {
            if i > 0 {
                run.step(t - times[i - 1]);
            }
            let (cross, variance) = &ahead[fit.strength][i];
            let (mut of_readings, mut of_rise) = (0.0, 0.0);
            for ((c, y), r) in cross.iter().zip(&evidence.white[fit.strength]).zip(&white) {
                of_readings += c * y;
                of_rise += c * r;
            }
            let rise_beyond = run.fluid - first - of_rise;
            let mean = evidence.setting.first + of_readings + (1.0 + fit.scale) * rise_beyond;
            spread.push((mean, (variance + rise_beyond * rise_beyond * fit.scale_var).sqrt()));
        }
        for k in 0..PATHS {
            let z = normal_quantile((k as f64 + share(p, 0)) / PATHS as f64);
            out.push(spread.iter().map(|(mean, sd)| mean + z * sd).collect());
        }
    }
    out
}

/// Draws every path towards its tangent at the start.
fn straighten(times: &[f64], paths: &mut [Vec<f64>], tangent: f64) {
    // Over the first minute: one step of the paths is short.
    let near = 2.min(times.len() - 1);
    let pulls: Vec<f64> = times.iter().map(|t| tangent * libm::exp(-(t - times[0]) / TANGENT_MIN)).collect();
    for path in paths {
        let (from, rate) = (path[0], (path[near] - path[0]) / (times[near] - times[0]).max(1e-6));
        for ((y, t), pull) in path.iter_mut().zip(times).zip(&pulls) {
            *y += pull * (from + rate * (t - times[0]) - *y);
        }
    }
}

/// When a path first reaches `target`, minutes; `None` when it does not.
fn first_at(times: &[f64], path: &[f64], target: f64) -> Option<f64> {
    let i = path.iter().position(|y| *y >= target)?;
    if i == 0 {
        return Some(times[0]);
    }
    let share = (target - path[i - 1]) / (path[i] - path[i - 1]);
    Some(times[i - 1] + (times[i] - times[i - 1]) * share)
}

fn answer(times: &[f64], paths: &[Vec<f64>], (low, high): (f64, f64)) -> Prediction {
    let (now, horizon) = (times[0], times[times.len() - 1]);
    let arrive = |target: f64| -> Vec<Option<f64>> { paths.iter().map(|p| first_at(times, p, target)).collect() };
    let (open, close) = (arrive(low), arrive(high));
    let summary = |all: &[Option<f64>]| {
        let mut met: Vec<f64> = all.iter().flatten().copied().collect();
        let never = 1.0 - met.len() as f64 / all.len().max(1) as f64;
        Arrival { when: plain_interval(&mut met), never }
    };
    let (opens, closes) = (summary(&open), summary(&close));
    let mut dwell: Vec<f64> = open.iter().zip(&close).filter_map(|(o, c)| Some((*c)? - (*o)?)).collect();
    let mut at_time = Vec::with_capacity(paths.len());
    let mut at = |t: f64| {
        let i = times.partition_point(|x| *x <= t).clamp(1, times.len() - 1);
        let share = ((t - times[i - 1]) / (times[i] - times[i - 1])).clamp(0.0, 1.0);
        at_time.clear();
        at_time.extend(paths.iter().map(|p| p[i - 1] + (p[i] - p[i - 1]) * share));
        plain_interval(&mut at_time)
    };
    let fan = fan_times(now, horizon, &opens, &closes).into_iter().filter_map(|t| Some((t, at(t)?))).collect();
    let rates = paths.iter().map(|p| (p[1] - p[0]) / (times[1] - times[0]));
    Prediction {
        opens,
        closes,
        dwell: plain_interval(&mut dwell),
        ends_at: at(horizon),
        rate: rates.sum::<f64>() / paths.len().max(1) as f64,
        fan,
        model: "weighted ensemble",
    }
}

/// z with P(Z ≤ z) = `p`, by bisection of the error function, between −4 and 4.
fn normal_quantile(p: f64) -> f64 {
    let (mut low, mut high) = (-4.0, 4.0);
    for _ in 0..24 {
        let z = 0.5 * (low + high);
        if 0.5 * libm::erfc(-z / std::f64::consts::SQRT_2) < p {
            low = z;
        } else {
            high = z;
        }
    }
    0.5 * (low + high)
}
