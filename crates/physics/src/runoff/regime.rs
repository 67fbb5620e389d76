//! How fast fluid runs over the lip of a standpipe at a given head.

use crate::{Limits, PhysicsError};
use quantity::{Flow, KinematicViscosity, Length};

/// Inner diameter of a standpipe.
pub static BORE: Limits = Limits::new("standpipe bore", "mm", 2.0, 40.0);
/// Length of a standpipe.
pub static PIPE_LENGTH: Limits = Limits::new("standpipe length", "mm", 1.0, 400.0);
/// Kinematic viscosity of the fluid that runs off.
pub static VISCOSITY: Limits = Limits::new("kinematic viscosity at run-off", "mm²/s", 1.0, 5000.0);
/// Head that surface tension holds back at the lip.
pub static DEAD_HEAD: Limits = Limits::new("dead head", "mm", 0.0, 3.0);
/// Head of fluid above the lip.
pub static HEAD: Limits = Limits::new("head above the lip", "mm", 0.0, 250.0);

/// Standard acceleration of free fall, m/s².
pub(super) const G: f64 = 9.80665;
/// Discharge coefficient of a sharp-crested weir.
const WEIR_COEFFICIENT: f64 = 0.61;
/// Discharge coefficient of a sharp orifice.
const ORIFICE_COEFFICIENT: f64 = 0.60;
/// Kinetic-energy factor of laminar pipe flow.
pub(super) const LAMINAR_ENERGY: f64 = 2.0;
/// Loss at a sharp inlet, in velocity heads.
pub(super) const INLET_LOSS: f64 = 0.5;

/// A standpipe and the fluid that runs over its lip; checked once, so that its flows cannot fail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standpipe {
    /// Bore, m.
    d: f64,
    /// Length, m.
    l: f64,
    /// Kinematic viscosity, m²/s.
    nu: f64,
    /// Dead head, m.
    dead: f64,
}

/// Which law holds at the top of the head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Filling {
    /// The pipe keeps an open air core: the slow end of the bracket.
    Open,
    /// The lip is drowned and the pipe runs full: the fast end of the bracket.
    Full,
}

impl Standpipe {
    /// A standpipe by bore, length and dead head, with the viscosity of the fluid.
    ///
    /// # Errors
    /// Anything outside [`BORE`], [`PIPE_LENGTH`], [`DEAD_HEAD`], [`VISCOSITY`].
    pub fn new(
        bore: Length,
        length: Length,
        dead_head: Length,
        viscosity: KinematicViscosity,
    ) -> Result<Self, PhysicsError> {
        Ok(Self {
            d: BORE.check(bore.mm())? / 1000.0,
            l: PIPE_LENGTH.check(length.mm())? / 1000.0,
            dead: DEAD_HEAD.check(dead_head.mm())? / 1000.0,
            nu: VISCOSITY.check(viscosity.mm2_per_s())? / 1e6,
        })
    }

    /// The flow at a head, all regimes blended.
    ///
    /// Q = [(Q_w⁻² + Q_v⁻²)² + Q_o⁻⁴]^(−1/4) at the head less the dead head; the slowest regime wins. While the pipe runs
    /// full ([`Filling::Full`], only above half a bore of head) Q_p takes the place of Q_o.
    ///
    /// | symbol | from | regime |
    /// |---|---|---|
    /// | Q_w | [`Standpipe::weir`] | the rim works as a weir |
    /// | Q_v | [`Standpipe::viscous_lip`] | a film creeps over the rim |
    /// | Q_o | [`Standpipe::orifice`] | the mouth works as an orifice |
    /// | Q_p | [`Standpipe::full_pipe`] | the pipe runs full |
    ///
    /// # Source
    /// The regimes as named there; the blend is our own. No published coefficient holds at heads of a few millimetres
    /// of oil (Weber number 300 is reached at 33 mm), so every time computed from it is good to ±30 % at best.
    ///
    /// # Errors
    /// Head outside [`HEAD`].
    ///
    /// # Example
    /// 8 mm bore, 16 mm²/s, 1 mm of head: Q_w = 1.431, Q_v = 5.135, Q_o = 4.22 mL/s;
    /// (1.431⁻² + 5.135⁻²)² + 4.22⁻⁴ = 0.2798, ^(−1/4) = 1.375 mL/s.
    /// ```
    /// use physics::runoff::{Filling, Standpipe};
    /// use quantity::{KinematicViscosity, Length};
    /// let mm = Length::from_mm;
    /// let pipe = Standpipe::new(mm(8.0), mm(40.0), mm(0.0), KinematicViscosity::from_mm2_per_s(16.0)).unwrap();
    /// assert!((pipe.flow(mm(1.0), Filling::Open).unwrap().ml_per_second() - 1.375).abs() < 0.001);
    /// ```
    pub fn flow(&self, head: Length, filling: Filling) -> Result<Flow, PhysicsError> {
        let h = HEAD.check(head.mm())? / 1000.0;
        let filling = if h > self.drowned_head() { filling } else { Filling::Open };
        Ok(Flow::from_ml_per_second(self.blend(h, filling) * 1e6))
    }

    /// The rim as a weir: Q_w = (2/3) C_d √(2g) π D h^1.5 with C_d = 0.61.
    ///
    /// | symbol | argument | unit | valid range |
    /// |---|---|---|---|
    /// | D, h | bore, `head` | mm | 2 to 40, 0 to 250 |
    ///
    /// # Source
    /// Sharp-crested weir on the perimeter of the rim; closed form as in textbooks (`tests/it/published.rs`), the coefficient from memory.
    ///
    /// # Errors
    /// Head outside [`HEAD`].
    ///
    /// # Example
    /// D = 8 mm, h = 1 mm: 1.801 × π × 0.008 × 0.001^1.5 = 1.431e-6 m³/s.
    pub fn weir(&self, head: Length) -> Result<Flow, PhysicsError> {
        Ok(Flow::from_ml_per_second(self.weir_si(HEAD.check(head.mm())? / 1000.0) * 1e6))
    }

    /// The mouth as an orifice: Q_o = C_d (π D²/4) √(2 g h) with C_d = 0.60.
    ///
    /// | symbol | argument | unit | valid range |
    /// |---|---|---|---|
    /// | D, h | bore, `head` | mm | 2 to 40, 0 to 250 |
    ///
    /// # Source
    /// Torricelli with the usual coefficient of a sharp orifice, 0.6 in textbooks (`tests/it/published.rs`). It meets the weir at h = 0.369 D; roof-outlet practice
    /// changes over at one third (second-hand).
    ///
    /// # Errors
    /// Head outside [`HEAD`].
    ///
    /// # Example
    /// D = 8 mm, h = 8.333 mm: 0.6 × 5.0265e-5 × 0.40428 = 1.2193e-5 m³/s.
    pub fn orifice(&self, head: Length) -> Result<Flow, PhysicsError> {
        Ok(Flow::from_ml_per_second(self.orifice_si(HEAD.check(head.mm())? / 1000.0) * 1e6))
    }

    /// The film that creeps over the rim: Q_v = π D g h³ / (3 ν), good to a factor of 3 either way.
    ///
    /// | symbol | argument | unit | valid range |
    /// |---|---|---|---|
    /// | D, h, ν | bore, `head`, viscosity | mm, mm, mm²/s | 2 to 40, 0 to 250, 1 to 5000 |
    ///
    /// # Source
    /// Falling film g δ³/(3 ν), Bird, Stewart, Lightfoot, Transport Phenomena, section 2.2, here across a rim: order of
    /// magnitude only.
    ///
    /// # Errors
    /// Head outside [`HEAD`].
    ///
    /// # Example
    /// D = 8 mm, ν = 16 mm²/s, h = 0.2 mm: π × 0.008 × 9.80665 × 8e-12 / 4.8e-5 = 4.108e-8 m³/s.
    pub fn viscous_lip(&self, head: Length) -> Result<Flow, PhysicsError> {
        Ok(Flow::from_ml_per_second(self.viscous_si(HEAD.check(head.mm())? / 1000.0) * 1e6))
    }

    /// The pipe running full, driven by h + L: a = (2 + 0.5)/2, b = 32 ν L/D², v = (−b + √(b² + 4 a g (h + L)))/(2a), Q_p = v π D²/4.
    ///
    /// | symbol | argument | unit | valid range |
    /// |---|---|---|---|
    /// | D, L, h, ν | bore, length, `head`, viscosity | mm, mm, mm, mm²/s | 2 to 40, 1 to 400, 0 to 250, 1 to 5000 |
    ///
    /// # Source
    /// Laminar pipe flow with inlet loss, derived; 15–58 % faster than a published correlation of long orifices, so it
    /// stands for the fast end only.
    ///
    /// # Errors
    /// Head outside [`HEAD`].
    ///
    /// # Example
    /// D = 8 mm, L = 40 mm, ν = 16 mm²/s, h = 5 mm: b = 0.32, v = (−0.32 + √(0.1024 + 2.2065))/2.5 = 0.4798 m/s, 24.1 mL/s.
    pub fn full_pipe(&self, head: Length) -> Result<Flow, PhysicsError> {
        Ok(Flow::from_ml_per_second(self.full_si(HEAD.check(head.mm())? / 1000.0) * 1e6))
    }

    /// The flow up to which the pipe keeps an open air core: 4 Q / (π D² √(g D)) = 0.3.
    ///
    /// | symbol | argument | unit | valid range |
    /// |---|---|---|---|
    /// | D | bore | mm | 2 to 40 |
    ///
    /// # Source
    /// Sizing rule of self-venting gravity drains, The Chemical Engineer, 1983 (second-hand).
    ///
    /// # Errors
    /// None; the standpipe was checked when it was made.
    ///
    /// # Example
    /// D = 8 mm: 0.3 × 5.0265e-5 × √(9.80665 × 0.008) = 4.22e-6 m³/s.
    pub fn self_venting_limit(&self) -> Flow {
        Flow::from_ml_per_second(0.3 * self.mouth() * (G * self.d).sqrt() * 1e6)
    }

    /// The head above which the lip can be drowned, m. Drop inlets are submerged above a head of one radius
    /// (from memory).
    pub(super) fn drowned_head(&self) -> f64 {
        self.d / 2.0
    }

    fn mouth(&self) -> f64 {
        std::f64::consts::PI * self.d * self.d / 4.0
    }

    fn weir_si(&self, h: f64) -> f64 {
        2.0 / 3.0 * WEIR_COEFFICIENT * (2.0 * G).sqrt() * std::f64::consts::PI * self.d * h * h.sqrt()
    }

    fn orifice_si(&self, h: f64) -> f64 {
        ORIFICE_COEFFICIENT * self.mouth() * (2.0 * G * h).sqrt()
    }

    fn viscous_si(&self, h: f64) -> f64 {
        std::f64::consts::PI * self.d * G * h * h * h / (3.0 * self.nu)
    }

    fn full_si(&self, h: f64) -> f64 {
        let a = (LAMINAR_ENERGY + INLET_LOSS) / 2.0;
        let b = 32.0 * self.nu * self.l / (self.d * self.d);
        let v = (-b + (b * b + 4.0 * a * G * (h + self.l)).sqrt()) / (2.0 * a);
        v * self.mouth()
    }

    /// The blend in m³/s at a head in m; no flow at or below the dead head. It does not change law by itself at the drowned
    /// head: with a strong inflow the solver would chatter there for ever.
    pub(super) fn blend(&self, head: f64, filling: Filling) -> f64 {
        // Below a picometre the powers overflow and nothing flows anyway.
        let h = head - self.dead;
        if h <= 1e-12 {
            return 0.0;
        }
        let (weir, viscous) = (self.weir_si(h), self.viscous_si(h));
        let rim = 1.0 / (1.0 / (weir * weir) + 1.0 / (viscous * viscous)).sqrt();
        let cap = match filling {
            Filling::Full => self.full_si(h),
            Filling::Open => self.orifice_si(h),
        };
        let ratio = rim / cap;
        rim / (1.0 + ratio * ratio * ratio * ratio).sqrt().sqrt()
    }
}
