//! Integration of the run-off with an adaptive explicit method of order five.

use super::regime::{Filling, Standpipe};
use crate::PhysicsError;

/// What lies above the lip, has run off and was gained, mL; what was gained is always the sum of the other two's changes.
type State = [f64; 3];

/// Inputs of the differential equation in seconds, mL and m.
pub(super) struct Equation {
    pub pipe: Standpipe,
    /// Fluid surface, m².
    pub area: f64,
    /// Real flow over model flow.
    pub scale: f64,
    /// Steady inflow from expansion, mL/s; negative while cooling.
    pub expansion: f64,
    /// Drain-back: flow at the start, mL/s, and its time constant, s.
    pub drain_back: (f64, f64),
}

impl Equation {
    pub fn head(&self, above_ml: f64) -> f64 {
        above_ml * 1e-6 / self.area
    }

    pub fn flow(&self, above_ml: f64, filling: Filling) -> f64 {
        self.scale * self.pipe.blend(self.head(above_ml), filling) * 1e6
    }

    pub fn inflow(&self, t: f64) -> f64 {
        let (start, constant) = self.drain_back;
        self.expansion + start * libm::exp(-t / constant)
    }

    fn rate(&self, t: f64, y: &State, filling: Filling) -> State {
        let (out, gain) = (self.flow(y[0], filling), self.inflow(t));
        [gain - out, out, gain]
    }
}

/// One accepted step of a run-off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Node {
    /// Seconds since opening.
    pub t: f64,
    /// Above the lip, mL; negative when cooling has taken the level below it.
    pub above: f64,
    /// Run off so far, mL.
    pub run_off: f64,
    /// Gained so far by expansion and drain-back, mL.
    pub gained: f64,
    /// Flow over the lip, mL/s.
    pub flow: f64,
    /// Rate of change of `above`, mL/s.
    slope: f64,
    /// Rate of change of `gained`, mL/s.
    gain: f64,
}

/// Absolute and relative tolerance of a step, mL.
const TOLERANCE: (f64, f64) = (1e-7, 1e-8);
/// More steps than any accepted input needs.
const MOST_STEPS: usize = 200_000;
/// A run-off is followed for at most this long, s.
const HORIZON: f64 = 3600.0;
/// One drop of 0.03 mL a second; a slower drip is the end.
const END_FLOW: f64 = 0.03;

// The coefficients of Dormand and Prince, J. Comp. Appl. Math. 6 (1980) 19–26.
const C: [f64; 7] = [0.0, 1.0 / 5.0, 3.0 / 10.0, 4.0 / 5.0, 8.0 / 9.0, 1.0, 1.0];
#[rustfmt::skip]
const A: [[f64; 6]; 7] = [
    [0.0; 6],
    [1.0 / 5.0, 0.0, 0.0, 0.0, 0.0, 0.0],
    [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0, 0.0],
    [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0, 0.0],
    [19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0, 0.0, 0.0],
    [9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0, 0.0],
    [35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0],
];
/// Fifth-order weights less the embedded fourth-order ones.
#[rustfmt::skip]
const E: [f64; 7] = [
    71.0 / 57600.0, 0.0, -71.0 / 16695.0, 71.0 / 1920.0, -17253.0 / 339200.0, 22.0 / 525.0, -1.0 / 40.0,
];

/// One step: the new state and the error estimate of what lies above the lip.
fn step(equation: &Equation, filling: Filling, t: f64, y: &State, dt: f64) -> (State, f64) {
    let mut k = [[0.0; 3]; 7];
    let mut end = *y;
    for stage in 0..7 {
        let mut at = *y;
        for (part, value) in at.iter_mut().enumerate() {
            *value += dt * (0..stage).map(|j| A[stage][j] * k[j][part]).sum::<f64>();
        }
        k[stage] = equation.rate(t + C[stage] * dt, &at, filling);
        // The last stage of this method is taken at the end of the step.
        end = at;
    }
    let error = dt * (0..7).map(|j| E[j] * k[j][0]).sum::<f64>();
    (end, error)
}

/// A run-off followed from opening to the end of the drip.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Trajectory {
    pub nodes: Vec<Node>,
}

impl Trajectory {
    /// Follows a run-off with `surplus` mL above the lip; in the full filling the pipe runs full until the lip is bare.
    ///
    /// # Errors
    /// What the step control reports: an equation that is not finite or needs too many steps.
    pub fn follow(equation: &Equation, surplus: f64, filling: Filling) -> Result<Self, PhysicsError> {
        let bare = equation.pipe.drowned_head() * equation.area * 1e6;
        let mut now = if surplus > bare { filling } else { Filling::Open };
        let node = |t: f64, y: &State, now| {
            let rate = equation.rate(t, y, now);
            Node { t, above: y[0], run_off: y[1], gained: y[2], flow: rate[1], slope: rate[0], gain: rate[2] }
        };
        let (mut t, mut y, mut dt) = (0.0, [surplus, 0.0, 0.0], 0.01);
        let mut nodes = vec![node(t, &y, now)];
        for _ in 0..MOST_STEPS {
            if t >= HORIZON || nodes.last().is_some_and(|last| at_rest(equation, last)) {
                return Ok(Self { nodes });
            }
            let (mut next, error) = step(equation, now, t, &y, dt);
            let allowed = TOLERANCE.0 + TOLERANCE.1 * y[0].abs().max(next[0].abs());
            let ratio = error.abs() / allowed;
            // NaN cannot come from checked inputs; were it to, the step shrinks and the count below ends it.
            if ratio <= 1.0 {
                if now == Filling::Full && next[0] < bare {
                    // Stop exactly where the lip comes out, then go on with the other law.
                    dt = time_of(equation, now, t, &y, dt, bare);
                    next = step(equation, now, t, &y, dt).0;
                    now = Filling::Open;
                }
                t += dt;
                y = next;
                nodes.push(node(t, &y, now));
            }
            let growth = if ratio > 0.0 { 0.9 * libm::pow(ratio, -0.2) } else { 4.0 };
            dt = (dt * growth.clamp(0.2, 4.0)).min(5.0).min((HORIZON - t).max(1e-9));
        }
        Err(PhysicsError::Contradiction(
            "the run-off could not be followed with these inputs; check surplus, bore and sump area".into(),
        ))
    }

    /// The state at a time; before the start the first, after the end the last.
    pub fn at(&self, t: f64) -> Node {
        let after = self.nodes.partition_point(|node| node.t < t);
        match (after.checked_sub(1).and_then(|i| self.nodes.get(i)), self.nodes.get(after)) {
            (Some(a), Some(b)) => between(a, b, t),
            (None, Some(only)) | (Some(only), None) => *only,
            (None, None) => Node { t, above: 0.0, run_off: 0.0, gained: 0.0, flow: 0.0, slope: 0.0, gain: 0.0 },
        }
    }

    /// The time from which the flow stays below `limit` mL/s; `None` when it does not within the horizon.
    pub fn stays_below(&self, limit: f64) -> Option<f64> {
        let Some(last_above) = self.nodes.iter().rposition(|node| node.flow >= limit) else { return Some(0.0) };
        let (a, b) = (self.nodes[last_above], *self.nodes.get(last_above + 1)?);
        let (mut low, mut high) = (a.t, b.t);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if between(&a, &b, middle).flow >= limit { low = middle } else { high = middle }
        }
        Some(high)
    }
}

/// True when nothing comes in and the drip is slower than one drop a second, or when it equals a steady inflow within half a percent.
fn at_rest(equation: &Equation, node: &Node) -> bool {
    let inflow = equation.inflow(node.t);
    let settled = equation.inflow(node.t) - equation.expansion < 0.005 * END_FLOW;
    let slow = node.flow < END_FLOW && inflow <= 0.0;
    let steady = (node.flow - inflow).abs() < 0.005 * inflow.abs();
    settled && (slow || steady)
}

/// The length of the step that ends with `target` mL above the lip.
fn time_of(equation: &Equation, filling: Filling, t: f64, y: &State, dt: f64, target: f64) -> f64 {
    let (mut low, mut high) = (0.0, dt);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if step(equation, filling, t, y, middle).0[0] > target { low = middle } else { high = middle }
    }
    high
}

/// Cubics through both ends and their slopes for the volumes; the flow goes with its own straight share of the logarithm.
fn between(a: &Node, b: &Node, t: f64) -> Node {
    let dt = b.t - a.t;
    if dt <= 0.0 {
        return *b;
    }
    let x = (t - a.t) / dt;
    let rest = 1.0 - x;
    let cubic = |start: f64, end: f64, start_slope: f64, end_slope: f64| {
        start * rest * rest * (1.0 + 2.0 * x)
            + end * x * x * (3.0 - 2.0 * x)
            + dt * x * rest * (start_slope * rest - end_slope * x)
    };
    let above = cubic(a.above, b.above, a.slope, b.slope);
    let gained = cubic(a.gained, b.gained, a.gain, b.gain);
    let flow = if a.flow > 0.0 && b.flow > 0.0 {
        a.flow * libm::exp(x * libm::log(b.flow / a.flow))
    } else {
        a.flow + x * (b.flow - a.flow)
    };
    // What has run off cannot come back, whatever the cubics do between two nodes.
    let run_off = (a.run_off + a.above - a.gained + gained - above).clamp(a.run_off, b.run_off.max(a.run_off));
    Node { t, above, run_off, gained, flow, slope: 0.0, gain: 0.0 }
}
