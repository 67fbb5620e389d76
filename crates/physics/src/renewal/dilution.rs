//! Fractions and ages: each pass takes away a share of whatever blend is in the unit.

use quantity::{Distance, Volume};
use serde::Serialize;

use crate::{Limits, PhysicsError};

/// Share of the fluid that one pass takes out.
pub static FRACTION: Limits = Limits::new("drained fraction", "1", 1e-4, 1.0);
/// Share of new fluid to be reached.
pub static SHARE: Limits = Limits::new("share of new fluid", "1", 0.0, 1.0 - 1e-9);
/// Total fluid of a unit.
pub static TOTAL: Limits = Limits::new("total fluid", "mL", 10.0, 1e6);
/// Volume run through divided by the total.
pub static RATIO: Limits = Limits::new("volume through the unit per total", "1", 0.0, 100.0);
/// Ages of fluid.
pub static AGE: Limits = Limits::new("age of the fluid", "km", 0.0, 1e7);
/// Distances between services.
pub static INTERVAL: Limits = Limits::new("distance between services", "km", 1.0, 1e7);
/// Mixed tanks in a row that stand for a unit.
pub static TANKS: Limits = Limits::new("tanks in a row", "1", 1.0, 1000.0);

/// What stands after one pass.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pass {
    /// 1 for the first.
    pub n: u32,
    /// Share of the fluid that was in before the first pass.
    pub old_fraction: f64,
    /// The rest.
    pub new_fraction: f64,
    /// Mean distance travelled by the fluid now in, new fluid counting 0.
    #[serde(rename = "blend_age_km")]
    pub blend_age: Option<Distance>,
    /// Fluid poured in up to and with this pass.
    #[serde(rename = "litres", serialize_with = "as_litres")]
    pub poured: Volume,
}

fn as_litres<S: serde::Serializer>(volume: &Volume, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64(volume.litres())
}

/// What each of several drain-and-fills leaves: old = Π(1 − dᵢ/V), blend age = old·age.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V | `total` | mL | 10 to 10⁶ |
/// | dᵢ | `drained` | mL | 0.0001·V to V each, equal or not |
/// | age | `age` | km | 0 to 10⁷ |
///
/// # Source
/// Conservation of the old fluid in a well-mixed unit that is filled to the same volume each time.
/// # Errors
/// [`PhysicsError::OutOfRange`] naming the argument.
/// # Example
/// 4 of 10 L three times, 100 000 km: 0.6³ = 0.216 old, mean age 21 600 km.
/// ```
/// use quantity::{Distance, Volume};
/// let four = Volume::from_litres(4.0);
/// let all = physics::renewal::passes(Volume::from_litres(10.0), &[four; 3], Some(Distance::from_km(1e5))).unwrap();
/// assert!((all[2].old_fraction - 0.216).abs() < 1e-12);
/// assert!((all[2].blend_age.unwrap().km() - 21_600.0).abs() < 1e-6);
/// ```
pub fn passes(total: Volume, drained: &[Volume], age: Option<Distance>) -> Result<Vec<Pass>, PhysicsError> {
    let all = TOTAL.check(total.ml())?;
    let age = age.map(|a| AGE.check(a.km())).transpose()?;
    let (mut old, mut poured) = (1.0, Volume::default());
    let mut rows = Vec::with_capacity(drained.len());
    for (n, &volume) in (1u32..).zip(drained) {
        old *= 1.0 - FRACTION.check(volume.ml() / all)?;
        poured = poured + volume;
        let blend_age = age.map(|a| Distance::from_km(a * old));
        rows.push(Pass { n, old_fraction: old, new_fraction: 1.0 - old, blend_age, poured });
    }
    Ok(rows)
}

/// How many equal passes reach a share of new fluid: n = ⌈ln(1 − p)/ln(1 − f)⌉.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | f | `fraction` | 1 | 0.0001 to 1 |
/// | p | `new_share` | 1 | 0 to 1 − 10⁻⁹ |
///
/// A billionth of a pass too little counts as reached, so that exact powers do not ask for one pass more.
///
/// # Source
/// From [`passes`] with equal fractions.
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// f = 0.40: 0.6⁵ = 0.078 ≤ 0.1, so 90 % takes 5; f = 0.5 and 75 % takes exactly 2.
pub fn passes_to_reach(fraction: f64, new_share: f64) -> Result<u32, PhysicsError> {
    let (f, p) = (FRACTION.check(fraction)?, SHARE.check(new_share)?);
    if f >= 1.0 {
        return Ok(u32::from(p > 0.0));
    }
    let n = libm::log1p(-p) / libm::log1p(-f);
    Ok(libm::ceil(n - 1e-12 * n.max(1.0)).max(0.0) as u32)
}

/// How much the last of the passes may be trimmed: f_last = 1 − (1 − p)/(1 − f)^(n−1).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | f | `fraction` | 1 | 0.0001 to 1 |
/// | p | `new_share` | 1 | 0 to 1 − 10⁻⁹ |
///
/// # Source
/// From [`passes`].
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// p = 0.9, f = 0.4: five passes, the last 1 − 0.1/0.6⁴ = 0.2284.
pub fn last_pass(fraction: f64, new_share: f64) -> Result<f64, PhysicsError> {
    let n = passes_to_reach(fraction, new_share)?;
    if n == 0 {
        return Ok(0.0);
    }
    let before = libm::pow(1.0 - fraction, f64::from(n - 1));
    Ok((1.0 - (1.0 - new_share) / before).clamp(0.0, fraction))
}

/// Share of new fluid after running a volume through the cooler line, the unit standing for N mixed tanks in a row:
/// p = 1 − (1/N)·Σ_{k<N} (N − k)·(N·r)^k/k!·e^(−N·r), r = V/V_total; N = 1 is ideal mixing, 1 − e^(−r).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | r | `ratio` | 1 | 0 to 100 |
/// | N | `tanks` | 1 | 1 to 1000, whole |
///
/// The value for N = 1 is the floor that is safe to promise; plug flow, min(1, r), is the ceiling, reached as N grows.
///
/// # Source
/// Residence times of stirred tanks in a row (any reactor-engineering text); volume mean over the tanks, derived by
/// summing the Poisson distribution of turnovers.
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// 12 L through 9 L, N = 1: 1 − e^(−4/3) = 0.7364. r = 1, N = 2: 1 − (2 + 2)·e^(−2)/2 = 0.729.
pub fn flow_through(ratio: f64, tanks: u32) -> Result<f64, PhysicsError> {
    let r = RATIO.check(ratio)?;
    let n = TANKS.check(f64::from(tanks))?;
    // Terms in logarithms: (N·r)^k/k! overflows for many tanks.
    let x = n * r;
    if x == 0.0 {
        return Ok(0.0);
    }
    let old: f64 = (0..tanks)
        .map(|k| {
            let k = f64::from(k);
            (n - k) / n * libm::exp(k * libm::log(x) - libm::lgamma(k + 1.0) - x)
        })
        .sum();
    Ok((1.0 - old).clamp(0.0, r.min(1.0)))
}

/// Volume to run through a well-mixed unit to bring the old share from `old_before` to 1 − p:
/// V = V_total·ln(old/(1 − p)).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V_total | `total` | mL | 10 to 10⁶ |
/// | old | `old_before` | 1 | above 0 to 1 |
/// | p | `new_share` | 1 | 0 to 1 − 10⁻⁹ |
///
/// # Source
/// Inverse of [`flow_through`] with one tank.
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// 9 L, from all old to 90 % new: 9·ln 10 = 20.72 L.
pub fn exchange_volume(total: Volume, old_before: f64, new_share: f64) -> Result<Volume, PhysicsError> {
    static OLD: Limits = Limits::new("share of old fluid", "1", 1e-12, 1.0);
    let (old, p) = (OLD.check(old_before)?, SHARE.check(new_share)?);
    TOTAL.check(total.ml())?;
    Ok(total * libm::log(old / (1.0 - p)).max(0.0))
}

/// Mean age of the blend once the same service has been done many times.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Steady {
    /// Just before a service.
    #[serde(rename = "before_km")]
    pub before: Distance,
    /// Just after it.
    #[serde(rename = "after_km")]
    pub after: Distance,
    /// Mean over the distance between two services.
    #[serde(rename = "mean_km")]
    pub mean: Distance,
}

/// What a policy "share f every D" leads to: before D/f, after D·(1 − f)/f, mean D/f − D/2.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | f | `fraction` | 1 | 0.0001 to 1, for several passes together 1 − Π(1 − fᵢ) |
/// | D | `every` | km | 1 to 10⁷ |
///
/// # Source
/// Fixed point of [`transient`].
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// 0.4 every 60 000 km: 150 000, 90 000, mean 120 000 km.
pub fn steady_state(fraction: f64, every: Distance) -> Result<Steady, PhysicsError> {
    let (f, d) = (FRACTION.check(fraction)?, INTERVAL.check(every.km())?);
    let km = Distance::from_km;
    Ok(Steady { before: km(d / f), after: km(d * (1.0 - f) / f), mean: km(d / f - 0.5 * d) })
}

/// Mean age before and after each of the coming services: after = (1 − f)·before, before ← after + D.
///
/// Anything that grows in proportion to distance and leaves with the fluid (wear metal, oxidation by the damage
/// index of [`crate::ageing`]) obeys the same rule; put it in place of the age.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | before | `age` | km | 0 to 10⁷ |
/// | f | `fraction` | 1 | 0.0001 to 1 |
/// | D | `every` | km | 1 to 10⁷ |
/// | | `services` | 1 | at most 1000 are given |
///
/// # Source
/// Conservation; new fluid has age 0.
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// 180 000 km at first, 0.4 every 60 000: 180 000/108 000, 168 000/100 800, 160 800/96 480, …
pub fn transient(
    age: Distance,
    fraction: f64,
    every: Distance,
    services: u32,
) -> Result<Vec<(Distance, Distance)>, PhysicsError> {
    let (f, d) = (FRACTION.check(fraction)?, INTERVAL.check(every.km())?);
    let mut before = AGE.check(age.km())?;
    let mut rows = Vec::new();
    for _ in 0..services.min(1000) {
        let after = before * (1.0 - f);
        rows.push((Distance::from_km(before), Distance::from_km(after)));
        before = after + d;
    }
    Ok(rows)
}

/// Share of the fluid that has seen at least `k` whole intervals just after a service, once steady: (1 − f)^k.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | f | `fraction` | 1 | 0.0001 to 1 |
/// | k | `intervals` | 1 | any |
///
/// # Source
/// Batches of age k·D weigh f·(1 − f)^k; summed from k on. Just before a service every age is one interval more, so
/// use k − 1.
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// f = 0.4, three intervals or more: 0.6³ = 0.216; just before a service 0.36.
pub fn share_older_than(fraction: f64, intervals: u32) -> Result<f64, PhysicsError> {
    Ok(libm::pow(1.0 - FRACTION.check(fraction)?, f64::from(intervals)))
}

/// Age of a blend from what it carries of something that grows with distance: age = c/c₁·D₁.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | c | `measured` | any | ≥ 0 |
/// | c₁ | `after_known_distance` | as c | > 0 |
/// | D₁ | `known_distance` | km | 1 to 10⁷ |
///
/// # Source
/// Same recursion as [`transient`] for concentration and age.
/// # Errors
/// [`PhysicsError::OutOfRange`]; [`PhysicsError::Contradiction`] for concentrations that are no such numbers.
/// # Example
/// 45 mg/kg measured, 30 mg/kg known after 60 000 km of unchanged fluid: 90 000 km.
pub fn age_of_concentration(
    measured: f64,
    after_known_distance: f64,
    known_distance: Distance,
) -> Result<Distance, PhysicsError> {
    let d = INTERVAL.check(known_distance.km())?;
    let age = measured / after_known_distance * d;
    if !(measured >= 0.0 && after_known_distance > 0.0 && age.is_finite()) {
        return Err(PhysicsError::Contradiction(format!(
            "concentrations {measured} and {after_known_distance}: the first must be at least 0, the second above 0"
        )));
    }
    Ok(Distance::from_km(AGE.check(age)?))
}
