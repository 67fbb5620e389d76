//! Where fluid stands above the edge it runs over: from the flow that is seen, and some time after it was seen.

use super::SUMP_AREA;
use super::regime::{Filling, G, HEAD, Standpipe, VISCOSITY};
use crate::{Limits, PhysicsError};
use quantity::{Area, Duration, Flow, KinematicViscosity, Length};

/// Diameter of a level hole.
pub static HOLE_BORE: Limits = Limits::new("bore of the level hole", "mm", 4.0, 60.0);
/// Flow over an edge that a head is asked for.
pub static EDGE_FLOW: Limits = Limits::new("flow over the edge", "mL/s", 0.0, 20.0);
/// Flow that comes in while fluid runs over an edge; negative while the unit cools.
pub static INFLOW: Limits = Limits::new("flow that comes in", "mL/s", -20.0, 20.0);
/// Time after a flow was seen.
pub static LATER: Limits = Limits::new("time after the flow was seen", "s", 0.0, 3600.0);

/// Discharge coefficient of a sharp edge.
const COEFFICIENT: f64 = 0.61;
/// Equal steps in which a head is followed.
const STEPS: u32 = 400;

/// A round level hole in a wall and the fluid that runs over its bottom; checked once, so that its flow cannot fail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hole {
    /// Diameter, m.
    d: f64,
    /// Kinematic viscosity, m²/s.
    nu: f64,
}

impl Hole {
    /// A hole by its diameter, with the viscosity of the fluid.
    ///
    /// # Errors
    /// Anything outside [`HOLE_BORE`], [`VISCOSITY`].
    pub fn new(bore: Length, viscosity: KinematicViscosity) -> Result<Self, PhysicsError> {
        Ok(Self { d: HOLE_BORE.check(bore.mm())? / 1000.0, nu: VISCOSITY.check(viscosity.mm2_per_s())? / 1e6 })
    }
}

/// The edge that fluid runs over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Edge {
    /// The rim of a standpipe.
    Standpipe(Standpipe),
    /// The bottom of a hole in the wall.
    Hole(Hole),
}

impl Edge {
    /// The flow at a head far below the height of the opening.
    ///
    /// A standpipe as [`Standpipe::flow`] with an open core. A hole: 1/Q = 1/Q_w + 1/Q_v,
    /// Q_w = (π/4) C_d √(2 g D) h² (1 − h/(4 D)), Q_v = (32/35) g √(D h) h³/(3 ν), C_d = 0.61.
    ///
    /// | symbol | argument | unit | valid range |
    /// |---|---|---|---|
    /// | D, ν | [`Hole::new`] | mm, mm²/s | 4 to 60, 1 to 5000 |
    /// | h | `head` above the lowest point of the edge | mm | 0 to 250; made for heads below D/2 |
    ///
    /// # Source
    /// Derived: near its lowest point a circle is the parabola z = x²/D, so the opening is 2√(D z) wide at a height z;
    /// Q_w = C_d ∫₀ʰ 2 √(D z) √(2 g (h − z)) dz with ∫ √z √(h − z) dz = (π/8) h²; the circle is narrower than the parabola by
    /// √(1 − z/D), in first order 1 − h/(4 D) of the flow. The film as in [`Standpipe::viscous_lip`],
    /// ∫ (h − x²/D)³ dx = (32/35) √(D h) h³. That each slows the other is our own blend: no published coefficient holds here.
    ///
    /// # Errors
    /// Head outside [`HEAD`].
    ///
    /// # Example
    /// D = 10 mm, h = 1.5 mm: Q_w = 0.7854 × 0.61 × √(2 × 9.80665 × 0.010) × 2.25e-6 × 0.9625 = 4.595e-7 m³/s; with 20 mm²/s
    /// Q_v = 0.9143 × 9.80665 × √1.5e-5 × 3.375e-9/6e-5 = 1.953e-6; together 3.720e-7 m³/s.
    /// ```
    /// use physics::runoff::{Edge, Hole};
    /// use quantity::{KinematicViscosity, Length};
    /// let mm = Length::from_mm;
    /// let hole = Edge::Hole(Hole::new(mm(10.0), KinematicViscosity::from_mm2_per_s(20.0)).unwrap());
    /// assert!((hole.flow(mm(1.5)).unwrap().ml_per_second() - 0.3720).abs() < 0.0002);
    /// ```
    pub fn flow(&self, head: Length) -> Result<Flow, PhysicsError> {
        Ok(Flow::from_ml_per_second(self.flow_si(HEAD.check(head.mm())? / 1000.0) * 1e6))
    }

    fn flow_si(&self, h: f64) -> f64 {
        match self {
            Self::Standpipe(pipe) => pipe.blend(h, Filling::Open),
            Self::Hole(_) if h <= 1e-12 => 0.0,
            Self::Hole(Hole { d, nu }) => {
                let narrower = (1.0 - h / (4.0 * d)).max(0.5);
                let weir = std::f64::consts::FRAC_PI_4 * COEFFICIENT * (2.0 * G * d).sqrt() * h * h * narrower;
                let film = 32.0 / 35.0 * G * (d * h).sqrt() * h * h * h / (3.0 * nu);
                weir * film / (weir + film)
            }
        }
    }

    /// The head at which that much runs over the edge; the inverse of [`flow`](Self::flow), found by halving.
    ///
    /// | symbol | argument | unit | valid range |
    /// |---|---|---|---|
    /// | Q | `flow` | mL/s | 0 to 20, at most what runs at 250 mm |
    ///
    /// # Source
    /// Inverse of [`flow`](Self::flow), which only rises.
    ///
    /// # Errors
    /// A flow outside [`EDGE_FLOW`], or one that no head up to 250 mm gives.
    ///
    /// # Example
    /// The hole above: 0.372 mL/s run at 1.5 mm.
    pub fn head_at(&self, flow: Flow) -> Result<Length, PhysicsError> {
        let wanted = EDGE_FLOW.check(flow.ml_per_second())? * 1e-6;
        let (mut low, mut high) = (0.0, HEAD.high / 1000.0);
        if self.flow_si(high) < wanted {
            return Err(PhysicsError::Contradiction(format!(
                "{:.1} mL/s do not run over this edge at any head; check bore and flow",
                flow.ml_per_second()
            )));
        }
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.flow_si(middle) < wanted { low = middle } else { high = middle }
        }
        Ok(Length::from_metres(if wanted > 0.0 { high } else { 0.0 }))
    }

    /// The head some time later, while fluid runs over the edge and more comes in.
    ///
    /// A dh/dt = Q_i − Q(h).
    ///
    /// | symbol | argument | unit | valid range |
    /// |---|---|---|---|
    /// | A | `area` of the fluid's surface | m² | 0.002 to 1 |
    /// | Q_i | `inflow`, expansion for instance | mL/s | −20 to 20 |
    /// | h(0), t | `head`, `time` | mm, s | 0 to 250, 0 to 3600 |
    ///
    /// # Source
    /// Mass balance of the sump, derived; classical Runge and Kutta, equal steps. Below the edge nothing runs.
    ///
    /// # Errors
    /// Any argument outside its range.
    ///
    /// # Example
    /// A hole over which nearly Q = k h² runs falls nearly as 1/h = 1/h₀ + k t/A, see the test `hand_a_hole_runs_dry_hyperbolically`.
    pub fn head_after(&self, area: Area, inflow: Flow, head: Length, time: Duration) -> Result<Length, PhysicsError> {
        let area = SUMP_AREA.check(area.square_metres())?;
        let inflow = INFLOW.check(inflow.ml_per_second())? * 1e-6;
        let mut h = HEAD.check(head.mm())? / 1000.0;
        let dt = LATER.check(time.seconds())? / f64::from(STEPS);
        let slope = |h: f64| (inflow - self.flow_si(h)) / area;
        for _ in 0..STEPS {
            let k1 = slope(h);
            let k2 = slope(h + 0.5 * dt * k1);
            let k3 = slope(h + 0.5 * dt * k2);
            let k4 = slope(h + dt * k3);
            h += dt / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
        }
        Ok(Length::from_metres(h))
    }
}
