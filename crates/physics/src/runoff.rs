//! Run-off through the standpipe: how long the surplus streams, when it breaks to drops, what expansion adds, what stays.

use crate::{Limits, PhysicsError, expansion};
use quantity::{Area, Duration, Flow, KinematicViscosity, Length, TemperatureRate, Uncertain, Volume};

mod drain;
mod edge;
mod regime;
mod scale;
mod seen;
mod solver;
mod verdict;

pub use drain::{DRAIN_HEAD, Drain, HOLE, HOLE_LENGTH, drain_time};
pub use edge::{EDGE_FLOW, Edge, HOLE_BORE, Hole, INFLOW, LATER};
pub use regime::{BORE, DEAD_HEAD, Filling, HEAD, PIPE_LENGTH, Standpipe, VISCOSITY};
pub use scale::{JOB_SCATTER, PRIOR_DOUBT, SCALE, Scale, Watched, job_scale, pooled_scale};
pub use seen::{tapped_drops, weighed_flow};
pub use verdict::{CLOSE_FACTOR, FlowSeen, Judgement, Look, MEASURED, Verdict, verdict};

use solver::{Equation, Trajectory};

/// Surplus above the lip.
pub static SURPLUS: Limits = Limits::new("surplus", "mL", 0.0, 10_000.0);
/// Area of the fluid's surface in the sump.
pub static SUMP_AREA: Limits = Limits::new("sump area", "m²", 0.002, 1.0);
/// Volume of one drop.
pub static DROP: Limits = Limits::new("drop volume", "mL", 0.005, 0.5);
/// Fluid that drains back from upper surfaces while the plug is out.
pub static DRAIN_BACK: Limits = Limits::new("drain-back", "mL", 0.0, 5000.0);
/// Time constant of the drain-back.
pub static DRAIN_BACK_TIME: Limits = Limits::new("time constant of the drain-back", "s", 1.0, 7200.0);

/// Below this flow the run-off is a thin stream, mL/s.
pub const THIN_STREAM: f64 = 2.0;
/// Below this flow the stream breaks to drops, mL/s.
pub const STREAM_BREAKS: f64 = 0.5;
/// Below this flow the drops can be counted, mL/s.
pub const COUNTABLE_DROPS: f64 = 0.1;
/// The model error of every time, as a share either way.
pub const TIME_ERROR: f64 = 0.30;

/// Why fluid keeps coming although the surplus is gone: the unit warms and its charge swells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warming {
    /// All fluid that communicates with the sump.
    pub charge: Volume,
    /// Coefficient of expansion per K at the present temperature, see [`expansion::Expansion::coefficient_at`].
    pub coefficient: f64,
    /// How fast it warms; negative while it cools.
    pub rate: TemperatureRate,
}

/// Fluid that comes down from upper surfaces: a volume that arrives with a time constant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrainBack {
    /// All that will come down.
    pub volume: Volume,
    /// Time in which 63 % of it has come.
    pub time_constant: Duration,
}

/// What must be known to follow a run-off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunOff {
    /// Fluid above the lip when the plug is opened.
    pub surplus: Volume,
    /// Inner diameter of the standpipe.
    pub bore: Length,
    /// Area of the fluid's surface at the lip.
    pub sump_area: Area,
    /// Kinematic viscosity at the temperature of the run-off.
    pub viscosity: KinematicViscosity,
    /// Length of the standpipe; it matters to the fast end of the bracket only.
    pub standpipe_length: Length,
    /// Head that the rim holds back; oil wets metal, so near 0.
    pub dead_head: Length,
    /// Volume of one drop.
    pub drop: Volume,
    /// Warming or cooling, if known.
    pub warming: Option<Warming>,
    /// Drain-back, if reckoned with.
    pub drain_back: Option<DrainBack>,
    /// What earlier jobs of this unit say about its flow.
    pub scale: Scale,
}

impl RunOff {
    /// A run-off with the usual defaults: standpipe 40 mm long, no dead head, drops of 0.05 mL, neither warming nor
    /// drain-back.
    pub const fn new(surplus: Volume, bore: Length, sump_area: Area, viscosity: KinematicViscosity) -> Self {
        Self {
            surplus,
            bore,
            sump_area,
            viscosity,
            standpipe_length: Length::from_mm(40.0),
            dead_head: Length::from_mm(0.0),
            drop: Volume::from_ml(0.05),
            warming: None,
            drain_back: None,
            scale: Scale::MODEL,
        }
    }
}

/// A time with its doubt: `low` and `high` hold the bracket of the two models and ±30 % beyond it, drawn in as jobs are learnt from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bracket {
    /// The fast model less 30 %.
    pub low: Duration,
    /// Half way between the two models.
    pub best: Duration,
    /// The slow model plus 30 %.
    pub high: Duration,
}

/// One point of the run-off curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Since the plug was opened.
    pub time: Duration,
    /// Above the lip; negative when cooling has taken the level below it.
    pub head: Length,
    /// Over the lip.
    pub flow: Flow,
    /// Run off so far.
    pub run_off: Volume,
}

/// What came in and where it went; `surplus + gained = run_off + left` to rounding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tally {
    /// Above the lip at opening.
    pub surplus: Volume,
    /// By expansion and drain-back.
    pub gained: Volume,
    /// Out of the standpipe.
    pub run_off: Volume,
    /// Above the lip at the end.
    pub left: Volume,
}

/// A run-off as forecast.
#[derive(Debug, Clone, PartialEq)]
pub struct RunOffForecast {
    /// First flow: slow model and fast model.
    pub first_flow: (Flow, Flow),
    /// From here on below [`THIN_STREAM`]; `None` when that does not happen within an hour.
    pub thin_stream: Option<Bracket>,
    /// From here on below [`STREAM_BREAKS`].
    pub stream_breaks: Option<Bracket>,
    /// From here on below `drops_flow`: time to close.
    pub drops: Option<Bracket>,
    /// Countable drops, or 1.5 times what expansion alone keeps up when that is more; never above [`STREAM_BREAKS`].
    pub drops_flow: Flow,
    /// Above the lip when `drops` is reached (at the end of the curve when it is not), standard uncertainty 30 %.
    pub residual: Uncertain<Volume>,
    /// Flow by expansion alone; negative while the unit cools.
    pub expansion: Flow,
    /// Drops per minute that expansion alone gives.
    pub drops_per_minute: f64,
    /// The slow model, from opening to the end of the drip or one hour.
    pub curve: Vec<Point>,
    /// What came in and where it went, slow model.
    pub tally: Tally,
    /// What was taken for granted, in words.
    pub assumptions: Vec<String>,
    slow: Trajectory,
    fast: Trajectory,
    area: f64,
    narrowing: f64,
}

impl RunOffForecast {
    /// The times by slow and fast model from which the flow stays below `flow`; `None` where it does not within an hour.
    pub fn times_below(&self, flow: Flow) -> (Option<Duration>, Option<Duration>) {
        let limit = flow.ml_per_second();
        let time = |way: &Trajectory| way.stays_below(limit).map(Duration::from_seconds);
        (time(&self.slow), time(&self.fast))
    }

    /// The run-off at a time by the slow model; after the end of the curve its last point.
    pub fn at(&self, time: Duration) -> Point {
        point(&self.slow, self.area, time.seconds())
    }

    fn bracket(&self, limit: f64) -> Option<Bracket> {
        let (slow, fast) = self.times_below(Flow::from_ml_per_second(limit));
        let (slow, fast) = (slow?, fast?);
        let best = (slow + fast) * 0.5;
        let (low, high) = (slow.min(fast) * (1.0 - TIME_ERROR), slow.max(fast) * (1.0 + TIME_ERROR));
        Some(Bracket { low: best - (best - low) * self.narrowing, best, high: best + (high - best) * self.narrowing })
    }
}

/// How the surplus runs off, when it breaks to drops, and what keeps dripping because the unit warms.
///
/// A dh/dt = −s Q(h) + β V dT/dt + q_b e^(−t/t_b), h(0) = V_s/A; Q as in [`Standpipe::flow`].
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V_s | `surplus` | mL | 0 to 10 000, at most 250 mm on the sump area |
/// | A | `sump_area` | m² | 0.002 to 1 |
/// | D, L | `bore`, `standpipe_length` | mm | 2 to 40, 1 to 400 |
/// | ν | `viscosity` | mm²/s | 1 to 5000 |
/// | V, β, dT/dt | `warming` | mL, 1/K, K/min | as [`expansion::expansion_flow`] |
/// | q_b t_b, t_b | `drain_back` | mL, s | 0 to 5000, 1 to 7200 |
/// | s | `scale`, 1 until jobs are learnt from | 1 | e^±2.4, see [`pooled_scale`] |
///
/// # Source
/// Mass balance of the sump, derived; the regimes as in [`Standpipe`]. Stream and drop limits (2, 0.5, 0.1 mL/s) are
/// common practice, no source; a jet turning to drips at 0.2–0.7 mL/s fits the second. Solved by the order-five method of
/// Dormand and Prince with step control; surplus + gained = run-off + left holds to rounding.
///
/// # Errors
/// Any argument outside its range; a surplus that would stand higher than 250 mm on that sump area.
///
/// # Example
/// 2 mm to 0.5 mm of head over a pure weir, A = 0.06 m², D = 8 mm: t = (2 × 0.06/0.04526)(0.0005^−½ − 0.002^−½) = 59.3 s;
/// the blend is slower because the film brakes the last millimetre. 0.5 L at 16 mm²/s breaks to drops after about 100 s:
/// ```
/// use quantity::{Area, KinematicViscosity, Length, Volume};
/// let run = physics::runoff::RunOff::new(
///     Volume::from_litres(0.5),
///     Length::from_mm(8.0),
///     Area::from_square_metres(0.06),
///     KinematicViscosity::from_mm2_per_s(16.0),
/// );
/// let forecast = physics::runoff::run_off(&run).unwrap();
/// let breaks = forecast.stream_breaks.unwrap();
/// assert!(breaks.low.seconds() < 90.0 && breaks.high.seconds() > 103.0);
/// ```
pub fn run_off(input: &RunOff) -> Result<RunOffForecast, PhysicsError> {
    let (equation, surplus, drop) = checked(input)?;
    let slow = Trajectory::follow(&equation, surplus, Filling::Open)?;
    let fast = Trajectory::follow(&equation, surplus, Filling::Full)?;
    let (first, last) = (slow.at(0.0), slow.at(f64::INFINITY));
    let expansion = Flow::from_ml_per_second(equation.expansion);
    let drops_flow = COUNTABLE_DROPS.max(CLOSE_FACTOR * equation.expansion).min(STREAM_BREAKS);
    let left = slow.stays_below(drops_flow).map_or(last, |t| slow.at(t)).above.max(0.0);
    let mut forecast = RunOffForecast {
        first_flow: (Flow::from_ml_per_second(first.flow), Flow::from_ml_per_second(fast.at(0.0).flow)),
        thin_stream: None,
        stream_breaks: None,
        drops: None,
        drops_flow: Flow::from_ml_per_second(drops_flow),
        residual: Uncertain::new(Volume::from_ml(left), Volume::from_ml(TIME_ERROR * input.scale.narrowing() * left)),
        expansion,
        drops_per_minute: (expansion.ml_per_minute() / drop).max(0.0),
        curve: curve(&slow, equation.area),
        tally: Tally {
            surplus: input.surplus,
            gained: Volume::from_ml(last.gained),
            run_off: Volume::from_ml(last.run_off),
            left: Volume::from_ml(last.above),
        },
        assumptions: assumptions(input, &equation, drops_flow),
        slow,
        fast,
        area: equation.area,
        narrowing: input.scale.narrowing(),
    };
    forecast.thin_stream = forecast.bracket(THIN_STREAM);
    forecast.stream_breaks = forecast.bracket(STREAM_BREAKS);
    forecast.drops = forecast.bracket(drops_flow);
    Ok(forecast)
}

fn checked(input: &RunOff) -> Result<(Equation, f64, f64), PhysicsError> {
    let surplus = SURPLUS.check(input.surplus.ml())?;
    let area = SUMP_AREA.check(input.sump_area.square_metres())?;
    let drop = DROP.check(input.drop.ml())?;
    let pipe = Standpipe::new(input.bore, input.standpipe_length, input.dead_head, input.viscosity)?;
    let expansion = match input.warming {
        Some(w) => expansion::expansion_flow(w.charge, w.coefficient, w.rate)?.ml_per_second(),
        None => 0.0,
    };
    let drain_back = match input.drain_back {
        Some(d) => {
            let constant = DRAIN_BACK_TIME.check(d.time_constant.seconds())?;
            (DRAIN_BACK.check(d.volume.ml())? / constant, constant)
        }
        None => (0.0, 1.0),
    };
    let scale = input.scale.checked()?.factor();
    let equation = Equation { pipe, area, scale, expansion, drain_back };
    let head_mm = equation.head(surplus) * 1000.0;
    if head_mm > HEAD.high {
        return Err(PhysicsError::Contradiction(format!(
            "{surplus:.0} mL on {area} m² would stand {head_mm:.0} mm above the lip, more than any sump holds; \
             check surplus and sump area"
        )));
    }
    Ok((equation, surplus, drop))
}

/// Points of the curve, close together at the start where the flow changes fast.
fn curve(way: &Trajectory, area: f64) -> Vec<Point> {
    const LAST: u32 = 120;
    let end = way.at(f64::INFINITY).t;
    if end <= 0.0 {
        return vec![point(way, area, 0.0)];
    }
    (0..=LAST)
        .map(|i| {
            let share = f64::from(i) / f64::from(LAST);
            point(way, area, end * share * share)
        })
        .collect()
}

fn point(way: &Trajectory, area: f64, t: f64) -> Point {
    let node = way.at(t);
    Point {
        time: Duration::from_seconds(node.t),
        head: Length::from_metres(node.above * 1e-6 / area),
        flow: Flow::from_ml_per_second(node.flow),
        run_off: Volume::from_ml(node.run_off),
    }
}

fn assumptions(input: &RunOff, equation: &Equation, drops_flow: f64) -> Vec<String> {
    let mut list = vec![
        match input.scale.jobs {
            0 => "no published coefficient holds at so small a head of oil: every time is good to ±30 % until the first real \
                  jobs have calibrated it"
                .to_string(),
            jobs => format!(
                "flow {:.2} times the model's, learnt from {jobs} earlier job{} of this unit",
                input.scale.factor(),
                if jobs == 1 { "" } else { "s" }
            ),
        },
        format!(
            "stream breaks below {STREAM_BREAKS} mL/s, drops count as reached below {drops_flow:.2} mL/s (common practice, no source)"
        ),
        "the vehicle stands level, the lip is clean and the fluid surface keeps its area".to_string(),
        format!("drops of {} mL", input.drop.ml()),
    ];
    list.push(match input.warming {
        Some(w) => format!(
            "{:.1} L keep warming at {:.2} K/min while the plug is out",
            w.charge.litres(),
            w.rate.kelvin_per_minute()
        ),
        None => "the temperature stays where it is".to_string(),
    });
    if input.drain_back.is_none() {
        list.push(
            "nothing drains back from upper surfaces; 150 mL coming down in five minutes would double the drip".into(),
        );
    }
    if CLOSE_FACTOR * equation.expansion > COUNTABLE_DROPS {
        list.push(format!(
            "expansion alone gives {:.1} mL/min; the drip will not stop while the unit warms",
            60.0 * equation.expansion
        ));
    }
    list
}
