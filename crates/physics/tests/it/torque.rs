//! Tightening: adapters, wrenches, units and clamping force.

use physics::torque::{applied_torque, preload_newtons, set_torque, wrench_fit};
use proptest::prelude::*;
use quantity::{Angle, Length, Span, Torque, Uncertain};

fn nm(x: f64) -> Torque {
    Torque::from_nm(x)
}
fn mm(x: f64) -> Length {
    Length::from_mm(x)
}
fn angle(x: f64) -> Angle {
    Angle::from_degrees(x)
}
#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "got {got}, expected {expected} ± {tolerance}");
}

/// T L / (L + E cos θ) by pocket calculator: 35 × 300 / 350 = 30; cos 45° = 0.70711: 35 × 300 / 335.36 = 31.310;
/// square: unchanged; folded back: 35 × 300 / 250 = 42. 12 × 200 / 240 = 10. 35 × 350 / 300 = 40.83.
#[test]
fn hand_adapter() {
    for (theta, expected) in [(0.0, 30.0), (45.0, 31.310), (-45.0, 31.310), (90.0, 35.0), (180.0, 42.0)] {
        near(set_torque(nm(35.0), mm(300.0), mm(50.0), angle(theta)).unwrap().nm(), expected, 5e-4);
    }
    near(set_torque(nm(12.0), mm(200.0), mm(40.0), angle(0.0)).unwrap().nm(), 10.0, 1e-12);
    near(applied_torque(nm(35.0), mm(300.0), mm(50.0), angle(0.0)).unwrap().nm(), 40.833, 5e-4);
    assert!(set_torque(nm(35.0), mm(100.0), mm(100.0), angle(180.0)).is_err());
    assert!(set_torque(nm(f64::NAN), mm(300.0), mm(50.0), angle(0.0)).is_err());
}

/// NIST SP 811 appendix B.8 factors (from memory; products recomputed with the Python library `pint`).
#[test]
fn val_units() {
    near(nm(35.0).lbf_ft(), 25.8147, 5.1e-5);
    near(nm(35.0).lbf_in(), 309.776, 5.1e-4);
    near(nm(35.0).kgf_cm(), 356.901, 5.1e-4);
    near(nm(9.0).lbf_in(), 79.657, 5.1e-4);
    near(nm(39.0).lbf_ft(), 28.765, 5.1e-4);
}

/// 20–100 % of the scale: common practice, no source. 12/60 = 20 % is the edge and counts.
#[test]
fn trade_wrench_between_a_fifth_and_all_of_its_scale() {
    let scale = Span { low: nm(5.0), high: nm(60.0) };
    for (low, high, fits) in
        [(12.0, 12.0, true), (11.9, 12.0, false), (20.0, 60.0, true), (20.0, 60.1, false), (4.0, 4.0, false)]
    {
        let fit = wrench_fit(Span { low: nm(low), high: nm(high) }, scale).unwrap();
        assert_eq!(fit.fits, fits, "{low}–{high}: {}", fit.why);
    }
    // A scale that starts above a fifth of its top: the lowest mark rules.
    let fit = wrench_fit(Span::at(nm(45.0)), Span { low: nm(50.0), high: nm(200.0) }).unwrap();
    assert!(!fit.fits && fit.why.contains("lowest mark"));
    assert!(wrench_fit(Span::at(nm(45.0)), Span { low: nm(5.0), high: nm(f64::NAN) }).is_err());
}

/// F = T/(K D): 35/(0.20 × 0.014) = 12 500; 40/(0.20 × 0.018) = 11 111; 45/(0.16 × 0.024) = 11 719;
/// 10/(0.20 × 0.006) = 8 333 N. T ±4 % and K ±20 % rectangular: √(4² + 20²)/√3 = 11.8 %.
#[test]
fn hand_preload() {
    for (t, k, d, newtons) in [
        (35.0, 0.20, 14.0, 12_500.0),
        (40.0, 0.20, 18.0, 11_111.1),
        (45.0, 0.16, 24.0, 11_718.75),
        (10.0, 0.20, 6.0, 8_333.3),
    ] {
        let root3 = 3.0_f64.sqrt();
        let torque = Uncertain::new(nm(t), nm(0.04 * t / root3));
        let force = preload_newtons(torque, Uncertain::new(k, 0.20 * k / root3), mm(d)).unwrap();
        near(force.value, newtons, 0.06);
        near(force.u / force.value, 0.1178, 5e-5);
    }
    assert!(preload_newtons(Uncertain::new(nm(35.0), nm(-1.0)), Uncertain::new(0.2, 0.0), mm(14.0)).is_err());
}

proptest! {
    #[test]
    fn law_set_and_applied_undo_each_other(t in 1.0..500.0f64, l in 150.0..1500.0f64, e in 0.0..120.0f64, theta in -180.0..180.0f64) {
        let set = set_torque(nm(t), mm(l), mm(e), angle(theta)).unwrap();
        prop_assert!((applied_torque(set, mm(l), mm(e), angle(theta)).unwrap().nm() - t).abs() < 1e-9 * t);
        // A longer lever needs less, a shorter one more.
        prop_assert_eq!(theta.abs() < 90.0 && e > 0.0, set.nm() < t);
    }

    #[test]
    fn law_no_number_panics(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
        let _ = set_torque(nm(a), mm(b), mm(c), angle(d));
        let _ = applied_torque(nm(a), mm(b), mm(c), angle(d));
        let _ = wrench_fit(Span { low: nm(a), high: nm(b) }, Span { low: nm(c), high: nm(d) });
        let _ = preload_newtons(Uncertain::new(nm(a), nm(b)), Uncertain::new(c, d), mm(a));
    }
}
