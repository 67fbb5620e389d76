//! Signs: what the lesson is told of a log, of the ensemble's answer to it and of the temperature asked for. Plain numbers, none
//! of which depends on where the axis of time begins.

use super::ensemble::{Evidence, Fit, Pasts, at};
use super::forecast::Interval;
use super::marks::slope;
use super::outcome::plain_interval;
use super::wander::Bins;

/// How many numbers.
pub const SIGNS: usize = 40;
/// Parts of the log whose pace is told.
const PARTS: usize = 4;

/// What they are read from.
pub(super) struct Seen<'a> {
    pub evidence: &'a Evidence,
    pub past: &'a Pasts<'a>,
    pub picks: &'a [Fit],
    pub times: &'a [f64],
    pub paths: &'a [f64],
    /// Step of the display, K.
    pub step: f64,
    pub taught: bool,
}

/// When the paths reach a temperature, given that they do: logs of minutes from now.
pub type Logs = [f64; 3];
/// All signs of one target.
pub type Signs = [f64; SIGNS];
/// The ensemble's answer for one target and its signs.
pub type Told = (Logs, Signs);

/// A pace below this is taken as this, K/min.
const LEAST_PACE: f64 = 0.01;
/// Shortest time ahead that is told apart, minutes.
pub(super) const SOON: f64 = 0.02;

fn log(minutes: f64) -> f64 {
    libm::log(minutes.max(SOON))
}

impl Seen<'_> {
    /// The answer of the paths for a target, and its signs; `None` when hardly a path reaches it or it is reached now.
    pub fn of(&self, target: f64, arrivals: &[Option<f64>]) -> Option<Told> {
        let now = self.times[0];
        let met: Vec<f64> = arrivals.iter().flatten().map(|t| t - now).collect();
        let never = 1.0 - met.len() as f64 / arrivals.len().max(1) as f64;
        let when = plain_interval(met.into_iter()).filter(|i| i.p50 > SOON && never < 0.95)?;
        let logs = [log(when.p10), log(when.p50), log(when.p90)];
        Some((logs, self.signs(target, logs, never)))
    }

    fn signs(&self, target: f64, [log_p10, log_p50, log_p90]: Logs, never: f64) -> Signs {
        let log_read = Log::new(&self.evidence.bins);
        let (now, width) = (self.times[0], self.times.len());
        let count = (self.paths.len() / width).max(1) as f64;
        let mean = |i: usize| self.paths.chunks_exact(width).map(|p| p[i.min(width - 1)]).sum::<f64>() / count;
        let (here, soon) = (mean(0), mean(2));
        let rate = ((soon - here) / (self.times[2.min(width - 1)] - now).max(1e-6)).max(LEAST_PACE);
        let gap = (target - here).max(0.1);
        let Log { points, first, span, rise, all, half, quarter, middle } = &log_read;
        let ends = plain_interval(self.paths.chunks_exact(width).map(|p| p[width - 1]));
        let end = |f: fn(&Interval) -> f64| ends.as_ref().map_or(0.0, |e| (f(e) - target) / 30.0);
        let picked = self.picks.len().max(1) as f64;
        let share = |is: &dyn Fn(&Fit) -> bool| self.picks.iter().filter(|f| is(f)).count() as f64 / picked;
        let average = |of: &dyn Fn(&Fit) -> f64| self.picks.iter().map(of).sum::<f64>() / picked;
        let run = |f: &Fit| &self.past.vehicles[f.vehicle].run;
        let setting = &self.evidence.setting;
        let told = [
            // The answer of the ensemble, and what plainer ways would say beside it.
            log_p10 - log_p50,
            log_p90 - log_p50,
            never,
            log(gap / rate) - log_p50,
            log(middle.0 - now + (target - middle.1) / half) - log_p50,
            log(gap / quarter) - log_p50,
            // How the pace of the log went.
            log_read.part(0),
            log_read.part(1),
            log_read.part(2),
            log_read.part(3),
            libm::log(half / all),
            libm::log(rate / all),
            libm::log(rate / half),
            // Sizes.
            log(*span),
            libm::log(gap),
            libm::log(gap / rise),
            libm::log(*all),
            target / 50.0,
            here / 50.0,
            first.1 / 50.0,
            self.step,
            self.step / gap,
            self.step / rise,
            libm::log(points.len() as f64),
            // What explains the log, and what it leads to.
            end(|e| e.p10),
            end(|e| e.p50),
            end(|e| e.p90),
            share(&|f| f.strength == 0),
            share(&|f| f.strength == 1),
            share(&|f| f.strength == 2),
            share(&|f| f.strength == 3),
            share(&|f| run(f).is_plain()),
            share(&|f| run(f).waits()),
            average(&|f| run(f).before),
            average(&|f| f.scale),
            average(&|f| run(f).pending()),
            // What else is known.
            f64::from(u8::from(setting.ambient.is_some())),
            setting.ambient.map_or(0.0, |a| ((first.1 - a) / 10.0).clamp(-3.0, 3.0)),
            self.evidence.coolant_lead(here),
            f64::from(u8::from(self.taught)),
        ];
        told.map(|x| if x.is_finite() { x } else { 0.0 })
    }
}

/// The marks of a log and their paces, K/min; none of them 0 or below, so that logs of them can be taken.
struct Log {
    points: Vec<(f64, f64)>,
    first: (f64, f64),
    span: f64,
    rise: f64,
    all: f64,
    half: f64,
    quarter: f64,
    /// Middle of the later half: minutes, °C.
    middle: (f64, f64),
}

impl Log {
    fn new(bins: &Bins) -> Self {
        let points: Vec<(f64, f64)> = bins.minutes.iter().copied().zip(bins.celsius.iter().copied()).collect();
        let (first, last) = (points[0], points[points.len() - 1]);
        let half = &points[points.len() / 2..];
        let quarter = &points[(3 * points.len() / 4).min(points.len().saturating_sub(2))..];
        let n = half.len().max(1) as f64;
        let pace = |points: &[(f64, f64)]| slope(points).unwrap_or(0.0).max(LEAST_PACE);
        Self {
            first,
            span: (last.0 - first.0).max(0.1),
            rise: (last.1 - first.1).max(0.3),
            all: pace(&points),
            half: pace(half),
            quarter: pace(quarter),
            middle: half.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n)),
            points,
        }
    }

    /// Pace in one of the parts beside that of the whole.
    fn part(&self, i: usize) -> f64 {
        let after = |parts: usize| at(&self.points, self.first.0 + parts as f64 / PARTS as f64 * self.span);
        ((after(i + 1) - after(i)) * PARTS as f64 / self.span / self.all).clamp(-2.0, 4.0)
    }
}
