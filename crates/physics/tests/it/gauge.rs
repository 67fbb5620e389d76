//! A level read as a height.

use physics::gauge::{ChartPoint, height_error, limits_at};
use proptest::prelude::*;
use quantity::{Length, Span, Temperature, Uncertain, Volume};

fn mm(value: f64, u: f64) -> Uncertain<Length> {
    Uncertain::new(Length::from_mm(value), Length::from_mm(u))
}

fn ml(value: f64, u: f64) -> Uncertain<Volume> {
    Uncertain::new(Volume::from_ml(value), Volume::from_ml(u))
}

fn chart(points: &[(f64, f64, f64)]) -> Vec<ChartPoint> {
    let point = |(t, low, high): &(f64, f64, f64)| ChartPoint {
        temperature: Temperature::from_celsius(*t),
        limits: Span { low: Length::from_mm(*low), high: Length::from_mm(*high) },
    };
    points.iter().map(point).collect()
}

#[test]
fn hand_height_times_surface() {
    // 0.045 m² are 45 mL a millimetre; 2 mm below the right depth with 1.5 mm of doubt, surface good to 10 %:
    // −90 mL, u² = (45 × 1.5)² + (2 × 4.5)² = 67.5² + 9² = 68.1².
    let error = height_error(mm(-2.0, 1.5), ml(45.0, 4.5)).unwrap();
    assert!((error.value.ml() + 90.0).abs() < 1e-9 && (error.u.ml() - 68.1).abs() < 0.01);
}

#[test]
fn hand_nonsense_is_refused_by_name() {
    for (off, per_mm, name) in [
        (mm(f64::NAN, 1.0), ml(30.0, 1.0), "height off"),
        (mm(1.0, -1.0), ml(30.0, 1.0), "uncertainty of the height"),
        (mm(1.0, 1.0), ml(0.0, 1.0), "fluid to one millimetre"),
        (mm(1.0, 1.0), ml(30.0, f64::INFINITY), "uncertainty of the fluid"),
    ] {
        let why = height_error(off, per_mm).unwrap_err().to_string();
        assert!(why.contains(name), "{why}");
    }
    let at = |points: &[(f64, f64, f64)], t: f64| limits_at(&chart(points), Temperature::from_celsius(t));
    assert!(at(&[], 40.0).is_err() && at(&[(40.0, 1.0, 2.0)], 40.0).is_err());
    assert!(at(&[(40.0, 1.0, 2.0), (60.0, 1.0, 2.0)], f64::NAN).is_err());
    assert!(at(&[(40.0, 1.0, 2.0), (40.0, 1.0, 2.0), (60.0, 1.0, 2.0)], 40.0).is_err());
}

proptest! {
    /// Between two points the limits lie between theirs, keep their order, and meet the points at the ends.
    #[test]
    fn law_limits_lie_between_their_neighbours(t in 40.0f64..=90.0) {
        let points = [(40.0, 24.0, 30.0), (60.0, 30.0, 36.0), (90.0, 39.0, 45.0)];
        let at = limits_at(&chart(&points), Temperature::from_celsius(t)).unwrap();
        prop_assert!(at.low < at.high);
        prop_assert!((24.0..=39.0).contains(&at.low.mm()) && (30.0..=45.0).contains(&at.high.mm()));
        // Both lines of this chart rise by 0.3 mm/K throughout, so any reading is on the straight line.
        prop_assert!((at.low.mm() - (24.0 + 0.3 * (t - 40.0))).abs() < 1e-9);
    }
}
