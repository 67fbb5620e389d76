//! Tightening: adapters, wrenches, units and clamping force.

use physics::torque::{
    Joint, Rubs, applied_torque, joint_newtons, mixed_joints, preload_newtons, set_torque, wrench_fit,
};
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

/// NIST SP 811 (2008), appendix B.8: lbf·ft 1.355 818, lbf·in 0.112 984 8, kgf·m 9.806 65 N·m (second-hand, see the factors of `quantity`); products
/// recomputed with the Python library `pint`.
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

fn joint(d: f64, p: f64, seat: f64, thread: f64, head: f64) -> Joint {
    let mu = |x| Uncertain::new(x, 0.0);
    Joint { thread: mm(d), pitch: mm(p), seat: mm(seat), in_thread: mu(thread), under_head: mu(head) }
}

/// M14 × 1.5, seat 19, μ 0.14: 1.5/2π + 0.14 × 13.026/1.7321 + 0.14 × 9.5 = 2.6216 mm; 13 351 N. M6 × 1, seat 9: d₂ = 5.3505;
/// dry 0.18: 0.1592 + 0.5560 + 0.81 = 1.5252, 6557 N; oiled 0.13: 0.1592 + 0.4016 + 0.585 = 1.1458, 8728 N; ratio 1.331.
#[test]
fn hand_joints_that_do_not_rub_alike() {
    let sharp = |t: f64| Uncertain::new(nm(t), nm(0.0));
    near(joint_newtons(sharp(35.0), &joint(14.0, 1.5, 19.0, 0.14, 0.14)).unwrap().value, 13_351.0, 2.0);
    let pan = [joint(6.0, 1.0, 9.0, 0.18, 0.18), joint(6.0, 1.0, 9.0, 0.13, 0.13)];
    let mixed = mixed_joints(sharp(10.0), &pan).unwrap();
    near(mixed.newtons[0].value, 6557.0, 2.0);
    near(mixed.newtons[1].value, 8728.0, 3.0);
    near(mixed.ratio, 1.331, 1e-3);
    assert!(!mixed.alike && mixed.why.contains("oil all or none"));
    let same = mixed_joints(sharp(10.0), &[pan[0]; 14]).unwrap();
    assert!(same.alike && same.ratio == 1.0 && same.newtons.len() == 14);
    // Doubt: T 4 %, μ_t 0.02 and μ_h 0.02 on M14: arms 7.5206 and 9.5 of 2.6216 mm: √(4² + 5.74² + 7.25²) = 10.1 %.
    let mut doubtful = joint(14.0, 1.5, 19.0, 0.14, 0.14);
    (doubtful.in_thread.u, doubtful.under_head.u) = (0.02, 0.02);
    let force = joint_newtons(Uncertain::new(nm(35.0), nm(1.4)), &doubtful).unwrap();
    near(force.u / force.value, 0.1008, 2e-4);
    assert!(mixed_joints(sharp(10.0), &[]).is_err());
    for bad in [
        joint(6.0, 3.0, 9.0, 0.1, 0.1),
        joint(6.0, 1.0, 2.0, 0.1, 0.1),
        joint(6.0, 1.0, 9.0, f64::NAN, 0.1),
        joint(6.0, 1.0, 9.0, 0.0, 0.1),
    ] {
        assert!(joint_newtons(sharp(10.0), &bad).is_err(), "{bad:?}");
    }
}

/// VDI 2230 prints the same sum as 0.16 P + 0.58 μ d₂ + μ D_m/2 (from memory); its two rounded factors are 1/2π and 1/(2 cos 30°) within
/// half a percent.
#[test]
fn val_short_form_of_the_handbook() {
    for (d, p, seat, mu) in [(6.0, 1.0, 9.0, 0.12), (14.0, 1.5, 19.0, 0.14), (24.0, 2.0, 33.0, 0.2)] {
        let printed = 0.16 * p + 0.58 * mu * (d - 0.6495 * p) + mu * seat / 2.0;
        let force = joint_newtons(Uncertain::new(nm(20.0), nm(0.0)), &joint(d, p, seat, mu, mu)).unwrap();
        near(20_000.0 / printed / force.value, 1.0, 0.005);
    }
}

/// Every pair of surfaces is a number that the formula takes, and oil is slipperier than dry.
#[test]
fn trade_what_rubs_on_what() {
    for rubs in [Rubs::Dry, Rubs::Oiled, Rubs::Copper, Rubs::Aluminium, Rubs::Bonded, Rubs::Paste] {
        let mu = rubs.friction();
        let joint = Joint { in_thread: mu, under_head: mu, ..joint(14.0, 1.5, 19.0, 0.1, 0.1) };
        let force = joint_newtons(Uncertain::new(nm(35.0), nm(0.8)), &joint).unwrap();
        assert!(force.u > 0.05 * force.value && force.u < 0.3 * force.value, "{rubs:?} {force:?}");
    }
    assert!(Rubs::Oiled.friction().value < Rubs::Dry.friction().value);
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
        let _ = mixed_joints(Uncertain::new(nm(a), nm(b)), &[joint(a, b, c, d, a), joint(b, c, d, a, b)]);
    }
}
