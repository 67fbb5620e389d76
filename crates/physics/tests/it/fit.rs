//! Fits against the certified values of NIST StRD, against hand arithmetic, and on input that no fit can use.

use physics::fit::{Fit, FitError, fit, rise};
use proptest::prelude::*;

type Curve = fn(f64, &[f64], &mut [f64]) -> f64;

/// Each set with its model as the file states it; slopes derived by hand.
const SETS: [(&str, &str, Curve); 10] = [
    ("Misra1a", include_str!("../data/nist/Misra1a.dat"), exponential_rise),
    ("Misra1b", include_str!("../data/nist/Misra1b.dat"), hyperbolic_rise),
    ("BoxBOD", include_str!("../data/nist/BoxBOD.dat"), exponential_rise),
    ("Chwirut2", include_str!("../data/nist/Chwirut2.dat"), decay_over_line),
    ("Thurber", include_str!("../data/nist/Thurber.dat"), cubic_over_cubic),
    ("MGH09", include_str!("../data/nist/MGH09.dat"), quadratic_over_quadratic),
    ("Hahn1", include_str!("../data/nist/Hahn1.dat"), cubic_over_cubic),
    ("Rat42", include_str!("../data/nist/Rat42.dat"), logistic),
    ("Rat43", include_str!("../data/nist/Rat43.dat"), skewed_logistic),
    ("Eckerle4", include_str!("../data/nist/Eckerle4.dat"), bell),
];

fn exponential_rise(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    slopes[0] = -(-b[1] * x).exp_m1();
    slopes[1] = b[0] * x * (-b[1] * x).exp();
    b[0] * slopes[0]
}

fn hyperbolic_rise(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let base = 1.0 + b[1] * x / 2.0;
    slopes[0] = 1.0 - base.powi(-2);
    slopes[1] = b[0] * x * base.powi(-3);
    b[0] * slopes[0]
}

fn decay_over_line(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let line = b[1] + b[2] * x;
    let y = (-b[0] * x).exp() / line;
    slopes.copy_from_slice(&[-x * y, -y / line, -x * y / line]);
    y
}

fn cubic_over_cubic(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let powers = [1.0, x, x * x, x * x * x];
    let below = 1.0 + (1..4).map(|i| b[3 + i] * powers[i]).sum::<f64>();
    let y = (0..4).map(|i| b[i] * powers[i]).sum::<f64>() / below;
    (0..4).for_each(|i| slopes[i] = powers[i] / below);
    (1..4).for_each(|i| slopes[3 + i] = -y * powers[i] / below);
    y
}

fn quadratic_over_quadratic(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let (above, below) = (x * x + x * b[1], x * x + x * b[2] + b[3]);
    let y = b[0] * above / below;
    slopes.copy_from_slice(&[above / below, b[0] * x / below, -y * x / below, -y / below]);
    y
}

fn logistic(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let e = (b[1] - b[2] * x).exp();
    let y = b[0] / (1.0 + e);
    slopes.copy_from_slice(&[1.0 / (1.0 + e), -y * e / (1.0 + e), y * x * e / (1.0 + e)]);
    y
}

fn skewed_logistic(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let e = (b[1] - b[2] * x).exp();
    let share = (1.0 + e).powf(-1.0 / b[3]);
    let y = b[0] * share;
    let by_exponent = -y / b[3] * e / (1.0 + e);
    slopes.copy_from_slice(&[share, by_exponent, -x * by_exponent, y * e.ln_1p() / (b[3] * b[3])]);
    y
}

fn bell(x: f64, b: &[f64], slopes: &mut [f64]) -> f64 {
    let z = (x - b[2]) / b[1];
    let shape = (-0.5 * z * z).exp() / b[1];
    let y = b[0] * shape;
    slopes.copy_from_slice(&[shape, y * (z * z - 1.0) / b[1], y * z / b[1]]);
    y
}

/// What a file of the collection holds: lines from 41 are `b1 = start1 start2 certified deviation`, from 61 points.
struct Certified {
    starts: [Vec<f64>; 2],
    parameters: Vec<f64>,
    deviations: Vec<f64>,
    residual_sum: f64,
    x: Vec<f64>,
    y: Vec<f64>,
}

fn read(text: &str) -> Certified {
    let numbers = |line: &str| -> Vec<f64> { line.split_whitespace().filter_map(|w| w.parse().ok()).collect() };
    let rows: Vec<_> = text.lines().skip(40).take_while(|l| l.contains('=')).map(numbers).collect();
    let column = |rows: &[Vec<f64>], i: usize| rows.iter().map(|r| r[i]).collect::<Vec<_>>();
    let points: Vec<_> = text.lines().skip(60).map(numbers).filter(|r| r.len() == 2).collect();
    let sum = text.lines().find(|l| l.starts_with("Residual Sum of Squares")).expect("a certified sum");
    Certified {
        starts: [column(&rows, 0), column(&rows, 1)],
        parameters: column(&rows, 2),
        deviations: column(&rows, 3),
        residual_sum: numbers(sum)[0],
        x: column(&points, 1),
        y: column(&points, 0),
    }
}

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
