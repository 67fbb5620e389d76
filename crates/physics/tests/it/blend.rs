//! Blends against worked numbers, limits and order.

use physics::PhysicsError;
use physics::blend::{Part, WHOLE, blend_by_mass, blend_by_volume, blending_index};
use proptest::prelude::*;
use quantity::KinematicViscosity;

fn part(viscosity: f64, share: f64) -> Part {
    Part { viscosity: KinematicViscosity::from_mm2_per_s(viscosity), share }
}

/// Both equations evaluated with numpy, digits as printed there (three decimals, the index five).
#[test]
fn val_blends_of_two() {
    for (v, index) in [(34.0, 29.38725), (22.0, 27.54372)] {
        assert!((blending_index(KinematicViscosity::from_mm2_per_s(v)).unwrap() - index).abs() < 5.1e-6);
    }
    let cases = [
        ([part(34.0, 0.5), part(22.0, 0.5)], 27.180, 27.177),
        ([part(100.0, 0.5), part(10.0, 0.5)], 26.672, 26.585),
        ([part(68.0, 0.25), part(32.0, 0.75)], 38.158, 38.152),
    ];
    for (parts, by_mass, by_volume) in cases {
        let (m, v) = (blend_by_mass(&parts).unwrap().mm2_per_s(), blend_by_volume(&parts).unwrap().mm2_per_s());
        assert!((m - by_mass).abs() < 5.1e-4 && (v - by_volume).abs() < 5.1e-4, "{m} and {v}");
    }
}

#[test]
fn hand_shares_must_make_a_whole() {
    for bad in [&[][..], &[part(30.0, 0.6)], &[part(30.0, 0.6), part(20.0, 0.6)]] {
        assert!(matches!(blend_by_mass(bad), Err(PhysicsError::OutOfRange { limits, .. }) if *limits == WHOLE));
        assert!(blend_by_volume(bad).is_err());
    }
    for bad in [part(f64::NAN, 1.0), part(30.0, f64::NAN), part(-1.0, 1.0), part(0.2, 1.0), part(f64::INFINITY, 1.0)] {
        assert!(blend_by_mass(&[bad]).is_err() && blend_by_volume(&[bad]).is_err());
    }
    assert!(blend_by_mass(&[part(30.0, 1.5), part(20.0, -0.5)]).is_err());
}

proptest! {
    /// A blend lies between its parts, does not mind their order, and of one fluid is that fluid.
    #[test]
    fn law_a_blend_lies_between(a in 0.5..1e5_f64, b in 0.5..1e5_f64, share in 0.0..1.0_f64) {
        for rule in [blend_by_mass, blend_by_volume] {
            let one = rule(&[part(a, share), part(b, 1.0 - share)]).unwrap().mm2_per_s();
            let other = rule(&[part(b, 1.0 - share), part(a, share)]).unwrap().mm2_per_s();
            prop_assert!((one / other - 1.0).abs() < 1e-12);
            prop_assert!(one >= a.min(b) * (1.0 - 1e-9) && one <= a.max(b) * (1.0 + 1e-9));
            let same = rule(&[part(a, share), part(a, 1.0 - share)]).unwrap().mm2_per_s();
            prop_assert!((same / a - 1.0).abs() < 1e-9);
        }
    }

    /// Two steps of mixing give what one step gives: the scales add up.
    #[test]
    fn law_mixing_in_two_steps(a in 1.0..1e3_f64, b in 1.0..1e3_f64, c in 1.0..1e3_f64) {
        for rule in [blend_by_mass, blend_by_volume] {
            let first = rule(&[part(a, 0.5), part(b, 0.5)]).unwrap().mm2_per_s();
            let then = rule(&[part(first, 0.6), part(c, 0.4)]).unwrap().mm2_per_s();
            let once = rule(&[part(a, 0.3), part(b, 0.3), part(c, 0.4)]).unwrap().mm2_per_s();
            prop_assert!((then / once - 1.0).abs() < 1e-9);
        }
    }
}
