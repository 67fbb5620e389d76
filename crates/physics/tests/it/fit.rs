//! Fits against the certified values of NIST StRD, against hand arithmetic, and on input that no fit can use.

use physics::fit::{Fit, FitError, fit, rise};
use proptest::prelude::*;

use crate::nist::{Certified, SETS, exponential_rise, read};

/// The smallest number of digits that agree; 11 are certified.
fn lre(got: impl Iterator<Item = f64>, certified: &[f64]) -> f64 {
    got.zip(certified).map(|(b, c)| -((b - c).abs() / c.abs()).max(1e-11).log10()).fold(11.0, f64::min)
}

fn digits(found: &Fit, certified: &Certified) -> (f64, f64) {
    let parameters = found.parameters.iter();
    (
        lre(parameters.clone().map(|b| b.value), &certified.parameters),
        lre(parameters.map(|b| b.u), &certified.deviations),
    )
}

/// NIST StRD, nonlinear regression; files and how they were obtained: `tests/data/nist/README.md`.
#[test]
fn val_certified_regressions_from_both_starts() {
    println!("{:<9} {:>5} {:>6} {:>6} {:>6} {:>6}", "set", "start", "LRE b", "LRE u", "LRE Σ", "rounds");
    for (name, text, curve) in SETS {
        let certified = read(text);
        let floor = if ["Misra1a", "BoxBOD"].contains(&name) { (8.0, 8.0) } else { (6.0, 4.0) };
        for (start, from) in certified.starts.iter().enumerate() {
            let found = fit(&certified.x, &certified.y, from, curve).unwrap_or_else(|e| panic!("{name}: {e}"));
            let (b, u) = digits(&found, &certified);
            let sum = lre([found.residual_sum].into_iter(), &[certified.residual_sum]);
            println!("{name:<9} {:>5} {b:>6.1} {u:>6.1} {sum:>6.1} {:>6}", start + 1, found.evaluations);
            assert!(b >= floor.0 && u >= floor.1, "{name}, start {}: LRE {b} and {u}", start + 1);
            assert_eq!(found.dof, certified.y.len() - certified.parameters.len());
        }
    }
}

/// As above, without any start: the level is linear and τ = 1/b₂ is searched. u(b₂) = u(τ)/τ².
#[test]
fn val_certified_rises_without_a_start() {
    for name in ["Misra1a", "BoxBOD"] {
        let certified = read(SETS.iter().find(|s| s.0 == name).expect("a set").1);
        let found = rise(&certified.x, &certified.y, Some(0.0)).unwrap();
        let tau = found.time_constant;
        let b = lre([found.end.value, 1.0 / tau.value].into_iter(), &certified.parameters);
        let u = lre([found.end.u, tau.u / tau.value / tau.value].into_iter(), &certified.deviations);
        println!("{name:<9}  none {b:>6.1} {u:>6.1}");
        assert!(b >= 8.0 && u >= 8.0, "{name}: LRE {b} and {u}");
    }
}

/// Sample variance of 1, 2, 4: mean 7/3, Σr² = 21 − 49/3 = 14/3, u = √(14/3/2/3) = 0.88192.
#[test]
fn hand_mean_as_a_fit() {
    let constant = |_: f64, b: &[f64], slopes: &mut [f64]| {
        slopes[0] = 1.0;
        b[0]
    };
    let found = fit(&[0.0; 3], &[1.0, 2.0, 4.0], &[100.0], constant).unwrap();
    assert!((found.parameters[0].value - 7.0 / 3.0).abs() < 1e-12);
    assert!((found.parameters[0].u - 0.881_917).abs() < 1e-6);
    assert_eq!(found.dof, 2);
    assert!((found.residual_deviation - (7.0_f64 / 3.0).sqrt()).abs() < 1e-12);
}

#[test]
fn hand_points_that_no_fit_can_use() {
    let up_to = |n: usize| (0..n).map(|i| i as f64).collect::<Vec<_>>();
    let run = |x: &[f64], y: &[f64], b: &[f64]| fit(x, y, b, exponential_rise);
    let x = up_to(5);
    assert_eq!(run(&[1.0, 2.0], &[1.0, 2.0], &[1.0, 1.0]), Err(FitError::TooFewPoints { points: 2, parameters: 2 }));
    assert_eq!(run(&[], &[], &[]), Err(FitError::TooFewPoints { points: 0, parameters: 0 }));
    assert_eq!(run(&x, &[1.0], &[1.0, 1.0]), Err(FitError::LengthsDiffer { x: 5, y: 1 }));
    let gap = run(&x, &[1.0, 2.0, f64::INFINITY, 4.0, 5.0], &[1.0, 1.0]);
    assert_eq!(gap, Err(FitError::NotFinite { what: "y", place: 3, value: f64::INFINITY }));
    assert!(matches!(run(&x, &x, &[1.0, f64::NAN]), Err(FitError::NotFinite { place: 2, .. })));
    assert!(matches!(run(&x, &x, &[1.0, -1e9]), Err(FitError::NotFinite { .. })));
    // The second parameter does nothing.
    let idle = |x: f64, b: &[f64], slopes: &mut [f64]| {
        slopes.copy_from_slice(&[x, 0.0]);
        b[0] * x
    };
    assert_eq!(fit(&x, &[0.1, 1.0, 2.2, 2.9, 4.1], &[1.0, 1.0], idle), Err(FitError::NotFixed { place: 2 }));
    // Slopes that point the wrong way never lead to a minimum, and the search ends all the same.
    let wrong = |x: f64, b: &[f64], slopes: &mut [f64]| {
        slopes[0] = -x;
        b[0] * x
    };
    assert!(matches!(fit(&x, &x, &[7.0], wrong), Err(FitError::NoConvergence { .. })));
}

#[test]
fn hand_rises_that_have_no_time_constant() {
    let x: Vec<f64> = (0..6).map(f64::from).collect();
    let line: Vec<f64> = x.iter().map(|x| 3.0 + 2.0 * x).collect();
    let jump: Vec<f64> = x.iter().map(|x| if *x > 0.0 { 5.0 + 0.1 * (x - 3.0) * (x - 3.0) } else { 1.0 }).collect();
    assert!(matches!(rise(&x, &line, None), Err(FitError::NoTimeConstant { .. })));
    assert!(matches!(rise(&x, &jump, None), Err(FitError::NoTimeConstant { shape: "a jump", .. })));
    assert!(rise(&x, &[7.0; 6], None).is_err());
    assert!(rise(&[0.0; 6], &line, None).is_err());
    assert_eq!(rise(&[0.0, -1.0, 2.0, 3.0], &line[..4], None), Err(FitError::BeforeStart { place: 2, value: -1.0 }));
    assert!(matches!(rise(&x, &line, Some(f64::NAN)), Err(FitError::NotFinite { .. })));
}

proptest! {
    /// What was put in comes out, whatever the units.
    #[test]
    fn law_a_rise_is_found_again(
        start in -40.0..60.0_f64,
        end in 61.0..150.0_f64,
        tau in 0.5..30.0_f64,
        unit in prop::sample::select(vec![1.0, 60.0, 1e-6, 1e9]),
    ) {
        let x: Vec<f64> = (0..25).map(|i| f64::from(i) * unit).collect();
        let y: Vec<f64> = x.iter().map(|x| end - (end - start) * (-x / tau / unit).exp()).collect();
        let found = rise(&x, &y, None).unwrap();
        prop_assert!((found.time_constant.value / (tau * unit) - 1.0).abs() < 1e-6);
        prop_assert!((found.start.value - start).abs() < 1e-6 && (found.end.value - end).abs() < 1e-4);
        let known = rise(&x, &y, Some(start)).unwrap();
        prop_assert!((known.time_constant.value / (tau * unit) - 1.0).abs() < 1e-6 && known.start.u == 0.0);
    }

    /// Any numbers at all: an answer or an error, never a panic, never without end.
    #[test]
    fn law_any_numbers_end(numbers in prop::collection::vec((any::<f64>(), any::<f64>()), 0..12), b in any::<[f64; 2]>()) {
        let (x, y): (Vec<f64>, Vec<f64>) = numbers.into_iter().unzip();
        if let Ok(found) = fit(&x, &y, &b, exponential_rise) {
            prop_assert!(found.parameters.iter().all(|p| p.value.is_finite()));
        }
        if let Ok(found) = rise(&x, &y, None) {
            prop_assert!(found.time_constant.value > 0.0);
        }
    }
}
