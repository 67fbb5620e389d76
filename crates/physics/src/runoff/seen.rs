//! What was seen as a number: drops by taps, flow by weighing the pan twice.

use quantity::{Density, Duration, Flow, Mass, Uncertain};

use crate::balance::{DENSITY, DENSITY_U, MASS_U, PORTION_MASS};
use crate::{Limits, PhysicsError};

/// Time between two taps or two weighings.
static APART: Limits = Limits::new("time from first to last", "s", 0.5, 3600.0);

/// Drops per minute from one tap per drop.
///
/// n = 60 (k − 1)/(t_k − t₁); u(n)/n = s/(m √(k − 1)), s and m deviation and mean of the k − 1 intervals.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | t₁ … t_k | `taps`, rising | s | 3 or more, first to last 0.5 to 3600 s |
///
/// # Source
/// Definition of a rate; the doubt is that of a mean of independent intervals (JCGM 100:2008, 4.2.3), a missed tap shows as
/// a long one.
///
/// # Errors
/// Fewer than 3 taps, taps out of order or no number, a span outside its range.
///
/// # Example
/// Taps at 0, 1, 2, 4 s: 60 × 3/4 = 45 a minute; intervals 1, 1, 2, m = 1.333, s = 0.577, u = 45 × 0.577/(1.333 × √3) = 11.2.
/// ```
/// use quantity::Duration;
/// let taps = [0.0, 1.0, 2.0, 4.0].map(Duration::from_seconds);
/// let rate = physics::runoff::tapped_drops(&taps).unwrap();
/// assert!((rate.value - 45.0).abs() < 1e-9 && (rate.u - 11.25).abs() < 0.01);
/// ```
pub fn tapped_drops(taps: &[Duration]) -> Result<Uncertain<f64>, PhysicsError> {
    let (Some(first), Some(last)) = (taps.first(), taps.last()) else {
        return Err(PhysicsError::Contradiction("no tap; tap once per drop, three times at least".into()));
    };
    if taps.len() < 3 {
        return Err(PhysicsError::Contradiction(format!("{} taps; three at least are needed", taps.len())));
    }
    let span = APART.check((*last - *first).seconds())?;
    let intervals: Vec<f64> = taps.windows(2).map(|w| (w[1] - w[0]).seconds()).collect();
    if !intervals.iter().all(|dt| *dt >= 0.0) {
        return Err(PhysicsError::Contradiction("taps must follow each other in time".into()));
    }
    let count = intervals.len() as f64;
    let mean = span / count;
    let variance = intervals.iter().map(|dt| (dt - mean) * (dt - mean)).sum::<f64>() / (count - 1.0);
    let rate = 60.0 / mean;
    Ok(Uncertain::new(rate, rate * variance.sqrt() / (mean * count.sqrt())))
}

/// The run-off flow from two weighings of the drain pan.
///
/// q = (m₂ − m₁)/(ρ Δt); u² = (u(m) √2/(ρ Δt))² + (q u(ρ)/ρ)².
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | m₁, m₂, u(m) | `first`, `second` | kg | 0 to 1000, u ≥ 0 |
/// | Δt | `apart` | s | 0.5 to 3600 |
/// | ρ | `density` at the fluid's temperature | kg/m³ | 600 to 1400 |
///
/// # Source
/// Definition of a flow; JCGM 100:2008, 5.1.
///
/// # Errors
/// Any argument outside its range; a pan that grew lighter by more than twice the doubt of the difference.
///
/// # Example
/// 10 g in 60 s at 833 kg/m³: 0.010/0.000833/1 min = 12.0 mL/min; a scale good to 1 g: u = √2/0.833 = 1.7 mL/min.
/// ```
/// use quantity::{Density, Duration, Mass, Uncertain};
/// let pan = |grams: f64| Uncertain::new(Mass::from_grams(grams), Mass::from_grams(1.0));
/// let rho = Uncertain::new(Density::from_kg_per_m3(833.0), Density::default());
/// let q = physics::runoff::weighed_flow(pan(2000.0), pan(2010.0), Duration::from_seconds(60.0), rho).unwrap();
/// assert!((q.value.ml_per_minute() - 12.0).abs() < 0.01 && (q.u.ml_per_minute() - 1.7).abs() < 0.01);
/// ```
pub fn weighed_flow(
    first: Uncertain<Mass>,
    second: Uncertain<Mass>,
    apart: Duration,
    density: Uncertain<Density>,
) -> Result<Uncertain<Flow>, PhysicsError> {
    let seconds = APART.check(apart.seconds())?;
    let rho = DENSITY.check(density.value.kg_per_m3())?;
    let u_rho = DENSITY_U.check(density.u.kg_per_m3())?;
    let gained = PORTION_MASS.check(second.value.kg())? - PORTION_MASS.check(first.value.kg())?;
    let u_gained = libm::hypot(MASS_U.check(first.u.kg())?, MASS_U.check(second.u.kg())?);
    if gained < -2.0 * u_gained {
        return Err(PhysicsError::Contradiction(format!(
            "the pan lost {:.0} g between the weighings; were the two swapped, or was it emptied?",
            -1000.0 * gained
        )));
    }
    let per_kg = 1e6 / (rho * seconds);
    let flow = gained.max(0.0) * per_kg;
    let u = libm::hypot(u_gained * per_kg, flow * u_rho / rho);
    Ok(Uncertain::new(Flow::from_ml_per_second(flow), Flow::from_ml_per_second(u)))
}
