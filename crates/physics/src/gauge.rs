//! A level read as a height: dipstick, probe, hole edge. What a height off the right one is worth, and what a chart of two
//! limit lines says at a temperature.

use crate::{Limits, PhysicsError};
use quantity::{Length, Span, Temperature, Uncertain, Volume};

/// Heights off the right one.
pub static OFF: Limits = Limits::new("height off the right one", "mm", -500.0, 500.0);
/// Standard uncertainty of a height.
pub static OFF_U: Limits = Limits::new("uncertainty of the height", "mm", 0.0, 500.0);
/// Fluid to one millimetre.
pub static PER_MM: Limits = Limits::new("fluid to one millimetre", "mL", 0.1, 1000.0);
/// Standard uncertainty of the fluid to one millimetre.
pub static PER_MM_U: Limits = Limits::new("uncertainty of the fluid to one millimetre", "mL", 0.0, 1000.0);

/// The two limits of a chart at one temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartPoint {
    /// Fluid temperature.
    pub temperature: Temperature,
    /// Lowest and highest right height.
    pub limits: Span<Length>,
}

/// How much fluid is in the unit too much (positive) because the level stands off the right height.
///
/// e = h k; u² = (k u_h)² + (h u_k)².
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | h | `off`, reading less right height | mm | −500 to 500, u 0 to 500 |
/// | k | `per_mm`, fluid to one millimetre: area of the surface, or volume between two marks over their distance | mL | 0.1 to 1000, u 0 to 1000 |
///
/// # Source
/// Geometry of walls that stay upright over the height h; uncertainty after JCGM 100:2008, 5.1.2.
///
/// # Errors
/// Any argument outside its range.
///
/// # Example
/// 4 ± 1 mm above the middle of marks worth 30 ± 3 mL a millimetre: 120 mL, u² = 30² + 12², u = 32.3 mL.
/// ```
/// use quantity::{Length, Uncertain, Volume};
/// let off = Uncertain::new(Length::from_mm(4.0), Length::from_mm(1.0));
/// let e = physics::gauge::height_error(off, Uncertain::new(Volume::from_ml(30.0), Volume::from_ml(3.0))).unwrap();
/// assert!((e.value.ml() - 120.0).abs() < 1e-9 && (e.u.ml() - 32.31).abs() < 0.01);
/// ```
pub fn height_error(off: Uncertain<Length>, per_mm: Uncertain<Volume>) -> Result<Uncertain<Volume>, PhysicsError> {
    let (h, u_h) = (OFF.check(off.value.mm())?, OFF_U.check(off.u.mm())?);
    let (k, u_k) = (PER_MM.check(per_mm.value.ml())?, PER_MM_U.check(per_mm.u.ml())?);
    let u = libm::hypot(k * u_h, h * u_k);
    Ok(Uncertain::new(Volume::from_ml(h * k), Volume::from_ml(u)))
}

/// The lowest and the highest right height at a temperature, between the points of a chart.
///
/// y = y₁ + (y₂ − y₁)(T − T₁)/(T₂ − T₁), for either limit line.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | T₁, y₁, T₂, y₂ | neighbouring points of `chart`, colder first | °C, mm | each temperature above the one before |
/// | T | `at` | °C | from the first to the last point of the chart |
///
/// # Source
/// Straight lines between the points, as charts of this kind are drawn (common practice, no source).
///
/// # Errors
/// A temperature beyond the ends of the chart: nothing is extrapolated. A chart of fewer than two points or out of order.
///
/// # Example
/// 24–30 mm at 40 °C and 30–36 mm at 60 °C: at 50 °C 27–33 mm.
/// ```
/// use physics::gauge::{ChartPoint, limits_at};
/// use quantity::{Length, Span, Temperature};
/// let mm = Length::from_mm;
/// let point = |t, low, high| ChartPoint { temperature: Temperature::from_celsius(t), limits: Span { low: mm(low), high: mm(high) } };
/// let chart = [point(40.0, 24.0, 30.0), point(60.0, 30.0, 36.0)];
/// let at = limits_at(&chart, Temperature::from_celsius(50.0)).unwrap();
/// assert!((at.low.mm() - 27.0).abs() < 1e-9 && (at.high.mm() - 33.0).abs() < 1e-9);
/// assert!(limits_at(&chart, Temperature::from_celsius(61.0)).is_err());
/// ```
pub fn limits_at(chart: &[ChartPoint], at: Temperature) -> Result<Span<Length>, PhysicsError> {
    let t = at.celsius();
    let ends = chart.first().zip(chart.last()).filter(|_| chart.len() > 1);
    let Some((first, last)) = ends else {
        return Err(PhysicsError::Contradiction("a chart needs at least two points; add one".into()));
    };
    if !t.is_finite() || at < first.temperature || at > last.temperature {
        return Err(PhysicsError::Contradiction(format!(
            "{t:.1} °C lies beyond the chart, which reaches from {:.1} to {:.1} °C; nothing is read beyond its ends",
            first.temperature.celsius(),
            last.temperature.celsius()
        )));
    }
    for pair in chart.windows(2) {
        let [a, b] = pair else { continue };
        let (from, to) = (a.temperature.celsius(), b.temperature.celsius());
        if from.partial_cmp(&to) != Some(std::cmp::Ordering::Less) {
            return Err(PhysicsError::Contradiction("the chart is out of order; sort it from colder to warmer".into()));
        }
        if t <= to {
            let share = (t - from) / (to - from);
            let between = |y1: Length, y2: Length| y1 + (y2 - y1) * share;
            let limits = Span { low: between(a.limits.low, b.limits.low), high: between(a.limits.high, b.limits.high) };
            return Ok(limits);
        }
    }
    Ok(last.limits)
}
