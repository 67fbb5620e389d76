//! Closed forms of lumped warming and cooling: one time constant, with or without a lag before it.

use quantity::{Density, Duration, Temperature, TemperatureDifference, TemperatureRate, Volume};

use crate::{Limits, PhysicsError};

/// Time constants the closed forms accept.
pub static TIME_CONSTANT: Limits = Limits::new("time constant", "s", 1.0, 1e6);
/// Lags the closed forms accept.
pub static LAG: Limits = Limits::new("lag", "s", 0.0, 1e6);
/// Temperatures the closed forms accept.
pub static FLUID_TEMPERATURE: Limits = Limits::new("temperature", "°C", -60.0, 300.0);
/// Volumes of fluid that can be mixed.
pub static MIXED_VOLUME: Limits = Limits::new("volume", "mL", 0.0, 200_000.0);
/// Heat capacities of metal that warms with the fluid.
pub static METAL_CAPACITY: Limits = Limits::new("heat capacity of the metal", "kJ/K", 0.0, 1000.0);
/// Specific heats of fluid.
pub static SPECIFIC_HEAT: Limits = Limits::new("specific heat", "kJ/(kg·K)", 0.5, 5.0);

/// Specific heat of a transmission fluid between 20 and 90 °C, kJ/(kg·K): typical of mineral and synthetic
/// lubricating oils, from memory; ±10 %.
pub const TYPICAL_SPECIFIC_HEAT: f64 = 1.95;

/// A warm-up or a cooling towards one end temperature, the model behind every closed form here:
/// T(t) = T_end − (T_end − T_start)·E(t), E(t) = (τ·e^(−t/τ) − λ·e^(−t/λ))/(τ − λ), or e^(−t/τ) without lag.
///
/// | symbol | field | unit | valid range |
/// |---|---|---|---|
/// | T_start | `start` | °C | −60 to 300 |
/// | T_end | `end` | °C | −60 to 300 |
/// | τ | `time_constant` | s | 1 to 10⁶ |
/// | λ | `lag` | s | 0 to 10⁶ |
///
/// # Source
/// Newton cooling of a lumped body (any heat-transfer text); with lag: two such bodies in a row, the first
/// stepped at t = 0, derived by convolution.
/// # Errors
/// [`Approach::new`] gives [`PhysicsError::OutOfRange`] for a field outside its range; NaN never passes.
/// # Example
/// From 20 towards 85 °C with τ = 25 min: 40 °C when 45/65 of the way is left, after 25·ln(65/45) = 9.2 min.
/// ```
/// use physics::warmup::Approach;
/// use quantity::{Duration, Temperature};
/// let c = Temperature::from_celsius;
/// let a = Approach::new(c(20.0), c(85.0), Duration::from_minutes(25.0), Duration::default()).unwrap();
/// assert!((a.time_to(c(40.0)).unwrap().minutes() - 9.193).abs() < 0.001);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Approach {
    start: f64,
    end: f64,
    tau_min: f64,
    lag_min: f64,
}

impl Approach {
    /// An approach by its four parts; see the type for ranges.
    ///
    /// # Errors
    /// [`PhysicsError::OutOfRange`] naming the part.
    pub fn new(
        start: Temperature,
        end: Temperature,
        time_constant: Duration,
        lag: Duration,
    ) -> Result<Self, PhysicsError> {
        Ok(Self {
            start: FLUID_TEMPERATURE.check(start.celsius())?,
            end: FLUID_TEMPERATURE.check(end.celsius())?,
            tau_min: TIME_CONSTANT.check(time_constant.seconds())? / 60.0,
            lag_min: LAG.check(lag.seconds())? / 60.0,
        })
    }

    /// Temperature at time `t` after the start; the start itself for `t` ≤ 0 or NaN.
    pub fn at(&self, t: Duration) -> Temperature {
        let left = left_over(t.minutes().max(0.0), self.tau_min, self.lag_min);
        Temperature::from_celsius(self.end - (self.end - self.start) * left)
    }

    /// How fast it changes at time `t`: (T_end − T)/τ without lag.
    pub fn rate_at(&self, t: Duration) -> TemperatureRate {
        let fall = decay_rate(t.minutes().max(0.0), self.tau_min, self.lag_min);
        TemperatureRate::from_kelvin_per_minute((self.end - self.start) * fall)
    }

    /// When it reaches `target`: zero if it starts there or beyond, `None` when it never does.
    pub fn time_to(&self, target: Temperature) -> Option<Duration> {
        let (span, ahead) = (self.end - self.start, target.celsius() - self.start);
        if !ahead.is_finite() {
            return None;
        }
        if ahead == 0.0 || ahead.signum() != span.signum() && span != 0.0 {
            return Some(Duration::default());
        }
        let left = 1.0 - ahead / span;
        (left > 0.0 && left < 1.0).then(|| Duration::from_minutes(time_of_left_over(left, self.tau_min, self.lag_min)))
    }

    /// How long it takes from `from` to `to`, both on the way; `None` when it never reaches `to`.
    pub fn dwell(&self, from: Temperature, to: Temperature) -> Option<Duration> {
        Some(self.time_to(to)? - self.time_to(from)?)
    }
}

/// How long a missed unit must stand, engine off, until its fluid has cooled from one temperature to another:
/// t = τ·ln((T_from − T_air)/(T_to − T_air)).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | T_from | `from` | °C | −60 to 300 |
/// | T_to | `to` | °C | −60 to 300, between `from` and `ambient` |
/// | T_air | `ambient` | °C | −60 to 300 |
/// | τ | `time_constant` | s | 1 to 10⁶; about 150 min for a transmission is common practice, no source |
///
/// # Source
/// Newton cooling of a lumped body (any heat-transfer text).
/// # Errors
/// [`PhysicsError::OutOfRange`]; [`PhysicsError::Contradiction`] when `to` is not between `ambient` and `from`.
/// # Example
/// 52 → 44 °C in 20 °C air, τ = 150 min: 150·ln(32/24) = 43 min; to 40 °C: 150·ln(32/20) = 71 min (70.5).
pub fn cooling_time(
    from: Temperature,
    to: Temperature,
    ambient: Temperature,
    time_constant: Duration,
) -> Result<Duration, PhysicsError> {
    let approach = Approach::new(from, ambient, time_constant, Duration::default())?;
    FLUID_TEMPERATURE.check(to.celsius())?;
    let (whole, part) = (from.celsius() - ambient.celsius(), to.celsius() - ambient.celsius());
    let between = part != 0.0 && part.signum() == whole.signum() && part.abs() <= whole.abs();
    approach.time_to(to).filter(|_| between).ok_or_else(|| {
        PhysicsError::Contradiction(format!(
            "fluid at {} °C in air at {} °C never comes to {} °C by standing; give a temperature between the two",
            from.celsius(),
            ambient.celsius(),
            to.celsius()
        ))
    })
}

/// Fluid and metal that come to one temperature after pouring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mixing {
    /// Fluid poured in.
    pub poured: Volume,
    /// Its temperature.
    pub poured_at: Temperature,
    /// Fluid left in the unit.
    pub left: Volume,
    /// Heat capacity of the metal that shares the fluid's temperature, kJ/K.
    pub metal_kj_per_k: f64,
    /// Temperature of the fluid left and of the metal.
    pub unit_at: Temperature,
    /// Density of the fluid.
    pub density: Density,
    /// Specific heat of the fluid, kJ/(kg·K); [`TYPICAL_SPECIFIC_HEAT`] when not known.
    pub specific_heat: f64,
}

/// Where a hot unit ends after cold fluid is poured in, before any heat is lost:
/// T = (C_p·T_p + (C_l + C_m)·T_u)/(C_p + C_l + C_m), C = ρ·V·c.
///
/// | symbol | field | unit | valid range |
/// |---|---|---|---|
/// | C_p from | `poured` | mL | 0 to 200 000 |
/// | C_l from | `left` | mL | 0 to 200 000 |
/// | C_m | `metal_kj_per_k` | kJ/K | 0 to 1000 |
/// | T_p, T_u | `poured_at`, `unit_at` | °C | −60 to 300 |
/// | c | `specific_heat` | kJ/(kg·K) | 0.5 to 5 |
///
/// # Source
/// Conservation of heat; the density is taken as the same for both fluids.
/// # Errors
/// [`PhysicsError::OutOfRange`]; [`PhysicsError::Contradiction`] when there is nothing to mix or the density is
/// not a positive number.
/// # Example
/// 4 L at 20 °C poured into a 9 L unit at 85 °C (5 L left, 36 kJ/K of metal), 850 kg/m³, 1.95 kJ/(kg·K):
/// 6.63 kJ/K meets 8.29 + 36 kJ/K, so T = 85 − 65·6.63/50.92 = 76.5 °C. A tenth more or less specific heat
/// moves that by 0.7 K.
pub fn mixing_temperature(m: &Mixing) -> Result<Temperature, PhysicsError> {
    let per_ml = m.density.kg_per_m3() * 1e-6 * SPECIFIC_HEAT.check(m.specific_heat)?;
    if !(per_ml > 0.0 && per_ml.is_finite()) {
        return Err(PhysicsError::Contradiction("the density of the fluid must be a positive number".into()));
    }
    let poured = per_ml * MIXED_VOLUME.check(m.poured.ml())?;
    let unit = per_ml * MIXED_VOLUME.check(m.left.ml())? + METAL_CAPACITY.check(m.metal_kj_per_k)?;
    let cold = FLUID_TEMPERATURE.check(m.poured_at.celsius())?;
    let hot = FLUID_TEMPERATURE.check(m.unit_at.celsius())?;
    if poured + unit <= 0.0 {
        return Err(PhysicsError::Contradiction("nothing to mix: no fluid and no metal were given".into()));
    }
    let share = poured / (poured + unit);
    Ok(Temperature::from_celsius(hot) + TemperatureDifference::from_kelvin((cold - hot) * share))
}

/// E(t): the share of the way still to go at `t` ≥ 0. Symmetric in `tau` and `lag`; the stable form needs no
/// special case where they are equal.
pub(crate) fn left_over(t: f64, tau: f64, lag: f64) -> f64 {
    let (a, b) = (tau.max(lag), tau.min(lag));
    if b <= 0.0 {
        return libm::exp(-t / a);
    }
    let x = t * (a - b) / (a * b);
    let g = if x > 1e-12 { -libm::expm1(-x) / x } else { 1.0 };
    libm::exp(-t / a) * (1.0 + t / a * g)
}

/// −dE/dt at `t` ≥ 0, per minute.
fn decay_rate(t: f64, tau: f64, lag: f64) -> f64 {
    let (a, b) = (tau.max(lag), tau.min(lag));
    if b <= 0.0 {
        return libm::exp(-t / a) / a;
    }
    let x = t * (a - b) / (a * b);
    let g = if x > 1e-12 { -libm::expm1(-x) / x } else { 1.0 };
    libm::exp(-t / a) * t / (a * b) * g
}

/// The time at which E(t) = `left`, 0 < left < 1. ln E is concave and lies under its asymptote, so Newton from
/// the asymptote comes down on the root from the right and cannot overshoot.
pub(crate) fn time_of_left_over(left: f64, tau: f64, lag: f64) -> f64 {
    let (a, b) = (tau.max(lag), tau.min(lag));
    if b <= 0.0 {
        return -a * libm::log(left);
    }
    let ahead = a * -libm::log(left);
    let bend = if a - b > 1e-3 * a { a * libm::log(a / (a - b)) } else { 8.0 * a + ahead };
    let mut t = ahead + bend.min(8.0 * a + ahead);
    for _ in 0..60 {
        let e = left_over(t, a, b);
        let step = e * libm::log(e / left) / decay_rate(t, a, b);
        if !step.is_finite() || step.abs() <= 1e-12 * t {
            break;
        }
        t = (t + step).max(0.0);
    }
    t
}
