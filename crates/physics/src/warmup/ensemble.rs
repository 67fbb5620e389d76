//! The ensemble: many simulated vehicles with broad priors, each weighed by how well it explains the readings when a
//! wandering heat input is allowed for, and carried on from the last readings.
//!
//! The vehicles are drawn from a sequence of even coverage in a fixed order, so the same readings give the same forecast.

use super::clean::Clean;
use super::first_order::left_over;
use super::forecast::UnitHistory;
use super::lesson;
use super::outcome::{Prediction, even_picks};
use super::paths::{answer, arrivals, paths, rate, times_ahead};
use super::signs::{Seen, Told};
use super::vehicle::{Fleet, Run, STEP, Setting, VEHICLES, Vehicle, fleet};
use super::wander::{Bins, LANES, Lanes, Wander, bins};

/// Fits carried on.
const PICKS: usize = 256;
/// How far the heat of a vehicle may be scaled to fit: standard deviation of the factor.
const SCALE_SD: f64 = 0.2;
/// Ways in which the heat input may wander: standard deviation as a share of the heating rate, minutes over which it
/// wanders, weight; the strongest first.
const STRENGTHS: [(f64, f64, f64); 5] =
    [(0.45, 6.0, 0.2), (0.2, 6.0, 0.2), (0.2, 25.0, 0.2), (0.065, 25.0, 0.2), (0.02, 25.0, 0.2)];
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
#[derive(Clone, Copy, PartialEq)]
pub(super) struct Fit {
    /// Which of the fleet.
    pub vehicle: usize,
    pub strength: usize,
    /// Factor on its heat beyond 1, and the variance of that.
    pub scale: f64,
    pub scale_var: f64,
}

/// The readings, averaged, under every strength of wandering.
pub(super) struct Evidence {
    pub bins: Bins,
    now: f64,
    pub setting: Setting,
    pub wanders: Vec<Wander>,
    /// Whitened rise of the readings above the first, for each strength.
    pub white: Vec<Vec<f64>>,
    /// Measured coolant: minutes, °C.
    coolant: Vec<(f64, f64)>,
}

/// A vehicle run up to now.
pub(super) struct Past<'a> {
    pub run: Run<'a>,
    /// Its temperature at the first mark.
    pub first: f64,
    /// Log of how well its own coolant agrees with the measured one; 0 when there is none.
    coolant: f64,
}

/// Between the measured points; the first and the last beyond them.
pub(super) fn at(points: &[(f64, f64)], t: f64) -> f64 {
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
        let rise: Vec<[f64; 1]> = bins.celsius.iter().map(|y| [y - bins.celsius[0]]).collect();
        let white = wanders.iter().map(|w| w.whitened(&rise).into_iter().flatten().collect()).collect();
        let before = clean.since_start.then(|| bins.minutes[0].max(0.0));
        let setting = Setting { first: bins.celsius[0], ambient, before };
        Self { bins, now: clean.now(), setting, wanders, white, coolant: clean.coolant.clone() }
    }

    /// How much warmer the coolant was at last than `here`, in units of 30 K; 0 when it was not read.
    pub fn coolant_lead(&self, here: f64) -> f64 {
        self.coolant.last().map_or(0.0, |c| ((c.1 - here) / 30.0).clamp(-2.0, 3.0))
    }

    /// Fits of as many vehicles as there are lanes, by their whitened rises, each with the log of its evidence.
    fn fits(&self, vehicles: &[usize], strength: usize, rises: &[Lanes]) -> [(f64, Fit); LANES] {
        let (mut rr, mut rm, mut mm) = ([0.0; LANES], [0.0; LANES], [0.0; LANES]);
        for (row, y) in rises.iter().zip(&self.white[strength]) {
            for lane in 0..LANES {
                let (r, m) = (row[lane], y - row[lane]);
                rr[lane] += r * r;
                rm[lane] += r * m;
                mm[lane] += m * m;
            }
        }
        let prior = 1.0 / (SCALE_SD * SCALE_SD);
        let common = libm::log(STRENGTHS[strength].2) - 0.5 * self.wanders[strength].log_det;
        std::array::from_fn(|lane| {
            let (vehicle, scale_var) = (vehicles.get(lane).copied().unwrap_or(0), 1.0 / (rr[lane] + prior));
            let misfit = mm[lane] - rm[lane] * rm[lane] * scale_var;
            let log = 0.5 * (libm::log(scale_var * prior) - misfit) + common;
            (log, Fit { vehicle, strength, scale: (rm[lane] * scale_var).max(-0.8), scale_var })
        })
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

    /// How far a vehicle, run on from now, rises by each of the times.
    fn rises(&self, mut run: Run) -> Vec<f64> {
        let (from, mut done) = (run.fluid, 0.0);
        let by = |ahead: f64| {
            while done < ahead {
                run.step(2.0 * STEP);
                done += 2.0 * STEP;
            }
            run.fluid - from
        };
        self.0.iter().map(|row| row.0).map(by).collect()
    }

    /// Log of how well such rises agree, once scaled.
    fn agreement(&self, rises: &[f64], scale: f64) -> f64 {
        let off = |(rise, row): (&f64, &(f64, f64, f64))| ((1.0 + scale) * rise - row.1) / row.2;
        rises.iter().zip(&self.0).map(off).map(|off| -0.5 * off * off).sum()
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
    let answered = Answered::new(clean, horizon, ambient, history);
    let rate = rate(&answered.times, &answered.paths);
    let stretched = lesson::apply(&answered.seen(clean.step), window);
    answer(&answered.times, &stretched, window, rate)
}

/// The ensemble's answer to the log alone.
struct Answered<'a> {
    evidence: Evidence,
    past: Pasts<'a>,
    picks: Vec<Fit>,
    times: Vec<f64>,
    paths: Vec<f64>,
    taught: bool,
}

impl Answered<'static> {
    fn new(clean: &Clean, horizon: f64, ambient: Option<f64>, history: Option<&UnitHistory>) -> Self {
        let evidence = Evidence::new(clean, ambient);
        let last = evidence.bins.celsius.last().copied().unwrap_or(clean.last());
        let expected = history.and_then(|h| Expected::new(h, clean, last));
        let past = Pasts::run(&evidence, fleet());
        let picks = even_picks(&weigh(&evidence, &past, expected.as_ref()), PICKS);
        let times = times_ahead(evidence.now, horizon);
        let paths = paths(&evidence, &past, &picks, &times);
        Self { evidence, past, picks, times, paths, taught: expected.is_some() }
    }

    fn seen<'b>(&'b self, step: f64) -> Seen<'b> {
        let Self { evidence, past, picks, times, paths, taught } = self;
        Seen { evidence, past, picks, times, paths, step, taught: *taught }
    }
}

/// What the lesson is taught with: for each target the log of minutes to it as the ensemble has them, and the signs.
pub(crate) fn told(
    clean: &Clean,
    targets: [f64; 2],
    horizon: f64,
    ambient: Option<f64>,
    history: Option<&UnitHistory>,
) -> [Option<Told>; 2] {
    let answered = Answered::new(clean, horizon, ambient, history);
    targets.map(|target| answered.seen(clean.step).of(target, &arrivals(&answered.times, &answered.paths, target)))
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

/// The whole fleet run up to now.
pub(super) struct Pasts<'a> {
    pub vehicles: Vec<Past<'a>>,
    /// Rise above the first mark: all marks of the first vehicles, as many as there are lanes, then of the next.
    rises: Vec<Lanes>,
    marks: usize,
}

impl<'a> Pasts<'a> {
    fn run(evidence: &Evidence, fleet: &'a Fleet) -> Self {
        let marks = evidence.bins.minutes.len();
        let mut rises = vec![[0.0; LANES]; marks * VEHICLES.div_ceil(LANES)];
        let mut rise = vec![0.0; marks];
        let one = |(i, vehicle): (usize, &'a Vehicle)| {
            let past = evidence.run(fleet, vehicle, &mut rise);
            let block = &mut rises[marks * (i / LANES)..][..marks];
            block.iter_mut().zip(&rise).for_each(|(row, y)| row[i % LANES] = *y);
            past
        };
        let vehicles = fleet.vehicles.iter().enumerate().map(one).collect();
        Self { vehicles, rises, marks }
    }

    fn block(&self, vehicle: usize) -> &[Lanes] {
        &self.rises[self.marks * (vehicle / LANES)..][..self.marks]
    }

    /// Rise of one vehicle above the first mark, at each mark.
    pub fn rise(&self, vehicle: usize) -> impl Iterator<Item = f64> {
        self.block(vehicle).iter().map(move |row| row[vehicle % LANES])
    }

    /// The rises of a few vehicles side by side.
    fn beside(&self, vehicles: &[usize], out: &mut [Lanes]) {
        for (lane, &vehicle) in vehicles.iter().enumerate() {
            out.iter_mut().zip(self.rise(vehicle)).for_each(|(row, y)| row[lane] = y);
        }
    }
}

/// Weighs every vehicle under every strength of wandering.
fn weigh(evidence: &Evidence, past: &Pasts, expected: Option<&Expected>) -> Vec<(f64, Fit)> {
    let all: Vec<usize> = (0..past.vehicles.len()).collect();
    let mut fits: Vec<(f64, Fit)> = Vec::with_capacity(2 * all.len());
    let mut white = vec![[0.0; LANES]; past.marks];
    for some in all.chunks(LANES) {
        evidence.wanders[0].whiten(past.block(some[0]), &mut white);
        fits.extend(evidence.fits(some, 0, &white).iter().take(some.len()));
    }
    fits.iter_mut().zip(&past.vehicles).for_each(|(fit, past)| fit.0 += past.coolant);
    let best = fits.iter().map(|f| f.0).fold(f64::NEG_INFINITY, f64::max);
    let hopeful: Vec<usize> = all.into_iter().filter(|&i| fits[i].0 > best - HOPELESS).collect();
    let mut rises = white.clone();
    for some in hopeful.chunks(LANES) {
        past.beside(some, &mut rises);
        let by_strength: Vec<_> = (1..STRENGTHS.len())
            .map(|strength| {
                evidence.wanders[strength].whiten(&rises, &mut white);
                evidence.fits(some, strength, &white)
            })
            .collect();
        for (lane, &vehicle) in some.iter().enumerate() {
            let coolant = past.vehicles[vehicle].coolant;
            fits.extend(by_strength.iter().map(|fits| (fits[lane].0 + coolant, fits[lane].1)));
        }
    }
    if let Some(expected) = expected {
        let rises: Vec<_> = past.vehicles.iter().map(|past| expected.rises(past.run)).collect();
        fits.iter_mut().for_each(|(log, fit)| *log += expected.agreement(&rises[fit.vehicle], fit.scale));
    }
    let top = fits.iter().map(|f| f.0).fold(f64::NEG_INFINITY, f64::max);
    fits.iter_mut().for_each(|f| f.0 = libm::exp(TRUST * (f.0 - top)));
    fits
}
