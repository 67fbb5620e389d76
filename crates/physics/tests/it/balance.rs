//! The ledger and its uncertainty: by hand, against the published examples of JCGM 100:2008 annex H, and against
//! a seeded simulation.

use physics::balance::gum::{Input, Pair, combined, covariance, coverage_factor};
use physics::balance::{Amount, Balance, Expansion, Ledger, Portion, USUAL_TOLERANCE, Verdict, Way, balance};
use physics::expansion::volume_at;
use proptest::prelude::*;
use quantity::{Density, Mass, Temperature, Uncertain, Volume};

fn near(name: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{name}: {got} instead of {expected} ± {tolerance}");
}

fn c(celsius: f64) -> Temperature {
    Temperature::from_celsius(celsius)
}

fn portion(way: Way, litres: (f64, f64), celsius: (f64, f64)) -> Portion {
    Portion {
        way,
        amount: Amount::Measured(Uncertain::new(Volume::from_litres(litres.0), Volume::from_litres(litres.1))),
        temperature: Uncertain::new(c(celsius.0), c(celsius.1)),
        thermometer: None,
        readings: None,
    }
}

fn oil() -> Uncertain<Density> {
    Uncertain::new(Density::from_kg_per_m3(850.0), Density::from_kg_per_m3(4.62))
}

fn service() -> Ledger {
    Ledger {
        portions: vec![
            portion(Way::Drained, (4.20, 0.04), (62.0, 1.155)),
            portion(Way::Residue, (0.050, 0.030), (40.0, 0.0)),
            portion(Way::Poured, (5.000, 0.02), (21.0, 1.5)),
            portion(Way::RunOff, (0.450, 0.02), (42.0, 1.0)),
        ],
        expansion: Expansion::Density15(oil()),
        reference: c(40.0),
        level: Some(Uncertain::new(Volume::default(), Volume::from_ml(30.0))),
        tolerance: USUAL_TOLERANCE,
    }
}

#[test]
fn val_worked_balance() {
    // Computed with another implementation of linear propagation (Python package `uncertainties`), digits as printed.
    let b = balance(&service()).unwrap();
    near("drained", b.sum(Way::Drained).litres(), 4.1294, 5.1e-5);
    near("poured", b.sum(Way::Poured).litres(), 5.0720, 5e-5);
    near("run-off", b.sum(Way::RunOff).litres(), 0.4493, 5e-5);
    let e = b.as_found.unwrap();
    near("e", e.value.litres(), -0.44320, 5e-6);
    near("u", e.u.litres(), 0.06484, 5e-6);
    near("U", b.expanded.litres(), 0.130, 5e-4);
    assert_eq!(b.verdict, Verdict::Underfilled);
    // (input, sensitivity per unit, tolerance of it, contribution mL, share %)
    let rows = [
        ("drained 1, volume", 0.98320, 5e-6, 39.33, 36.8),
        ("residue 1, volume", 1.0, 1e-12, 30.00, 21.4),
        ("level as left", 1.0, 1e-12, 30.00, 21.4),
        ("poured 1, volume", -1.01439, 5e-6, 20.29, 9.8),
        ("run-off 1, volume", 0.99848, 5e-6, 19.97, 9.5),
        ("poured 1, temperature", 3.77, 5e-3, 5.66, 0.8),
        ("drained 1, temperature", -3.22, 5e-3, 3.72, 0.3),
        ("density at 15 °C", 0.17, 5e-3, 0.80, 0.0),
        ("run-off 1, temperature", -0.34, 5e-3, 0.34, 0.0),
    ];
    for ((input, sensitivity, tolerance, contribution, share), row) in rows.iter().zip(&b.budget) {
        assert_eq!(&row.input, input);
        near(input, row.sensitivity, *sensitivity, *tolerance);
        near(input, row.contribution.ml(), *contribution, 5.1e-3);
        near(input, row.share_percent, *share, 0.051);
    }
    assert_eq!(b.budget.iter().filter(|r| r.u > 0.0).count(), rows.len());
    near("shares", b.budget.iter().map(|r| r.share_percent).sum(), 100.0, 1e-9);
}

#[test]
fn hand_constant_coefficient() {
    // 4.30·e^(−0.00075·55) = 4.126, 0.62·e^(−0.00075·18) = 0.612; 5.00 − 0.612 − 4.126 − 0.300 = −0.038.
    let ledger = Ledger {
        portions: vec![
            portion(Way::Drained, (4.30, 0.02), (75.0, 1.0)),
            portion(Way::Residue, (0.30, 0.03), (20.0, 1.0)),
            portion(Way::Poured, (5.00, 0.02), (20.0, 1.0)),
            portion(Way::RunOff, (0.62, 0.02), (38.0, 1.0)),
        ],
        expansion: Expansion::Coefficient { per_kelvin: Uncertain::new(0.00075, 0.00002), density: None },
        reference: c(20.0),
        level: Some(Uncertain::new(Volume::default(), Volume::from_ml(30.0))),
        tolerance: USUAL_TOLERANCE,
    };
    let b = balance(&ledger).unwrap();
    near("drained", b.sum(Way::Drained).litres(), 4.13, 0.005);
    near("residue", b.sum(Way::Residue).litres(), 0.30, 1e-12);
    near("net in", b.sum(Way::Poured).litres() - b.sum(Way::RunOff).litres(), 4.39, 0.005);
    near("balance", b.net.value.litres(), -0.04, 0.005);
    assert!(b.closes);
    assert_eq!(b.verdict, Verdict::NoSignificantDifference);
    let tight = balance(&Ledger { tolerance: Volume::from_ml(30.0), level: None, ..ledger }).unwrap();
    assert!(!tight.closes);
    assert_eq!((tight.as_found, tight.verdict), (None, Verdict::NotKnown));
}

#[test]
fn hand_weighing() {
    // 3.474 kg/(850·0.98144) = 4.1644 L at 40 °C; 5 g is 5/0.83422 = 6 mL.
    let weighed = Portion {
        amount: Amount::Weighed(Uncertain::new(Mass::from_kg(3.474), Mass::from_grams(5.0))),
        ..portion(Way::Drained, (0.0, 0.0), (62.0, 30.0))
    };
    let exact = Uncertain::new(Density::from_kg_per_m3(850.0), Density::default());
    let ledger = Ledger { portions: vec![weighed], expansion: Expansion::Density15(exact), ..service() };
    let b = balance(&ledger).unwrap();
    near("weighed, L", b.portions[0].at_reference.value.litres(), 4.1644, 5e-5);
    near("weighed u, mL", b.portions[0].at_reference.u.ml(), 6.0, 0.05);
    let no_density = Expansion::Coefficient { per_kelvin: Uncertain::new(0.00075, 0.0), density: None };
    assert!(balance(&Ledger { expansion: no_density, ..ledger }).is_err());
}

#[test]
fn hand_one_thermometer_adds_its_error() {
    // Two equal portions at one temperature, one in, one out: a shared error cancels, separate ones do not.
    let mut ledger = Ledger {
        portions: vec![portion(Way::Drained, (4.0, 0.0), (60.0, 2.0)), portion(Way::Poured, (4.0, 0.0), (60.0, 2.0))],
        expansion: Expansion::Coefficient { per_kelvin: Uncertain::new(0.00075, 0.0), density: None },
        level: None,
        ..service()
    };
    let apart = balance(&ledger).unwrap().net.u.ml();
    // 4000·e^(−0.015)·0.00075·2·√2 = 8.36 mL
    near("apart", apart, 4000.0 * (-0.015f64).exp() * 0.0015 * 2f64.sqrt(), 1e-9);
    ledger.portions.iter_mut().for_each(|p| p.thermometer = Some(1));
    near("shared", balance(&ledger).unwrap().net.u.ml(), 0.0, 1e-6);
    ledger.portions[1].way = Way::RunOff;
    near("same way", balance(&ledger).unwrap().net.u.ml(), apart * 2f64.sqrt(), 1e-9);
}

#[test]
fn hand_verdicts() {
    let with = |level: f64| {
        let level = Some(Uncertain::new(Volume::from_ml(level), Volume::from_ml(30.0)));
        let b: Balance = balance(&Ledger { level, ..service() }).unwrap();
        b.verdict
    };
    // e = −443 + level; U = 130.
    assert_eq!(with(0.0), Verdict::Underfilled);
    assert_eq!(with(443.0 + 100.0), Verdict::NoSignificantDifference);
    assert_eq!(with(443.0 + 200.0), Verdict::Overfilled);
}

#[test]
fn val_gum_h1_end_gauge() {
    // JCGM 100:2008, H.1, tables H.1 and H.2; lengths in nm: 50.000623 mm, d = 215 nm.
    let length = 50_000_623.0;
    let observed = combined(
        &[
            Input { u: 5.8, sensitivity: 1.0, dof: 24.0 },
            Input { u: 3.9, sensitivity: 1.0, dof: 5.0 },
            Input { u: 6.7, sensitivity: 1.0, dof: 8.0 },
        ],
        &[],
    )
    .unwrap();
    near("u(d), nm", observed.u, 9.7, 0.05);
    near("dof of d", observed.dof, 25.6, 0.25);
    let (theta, alpha) = (-0.1, 11.5e-6);
    let root3 = 3f64.sqrt();
    let inputs = [
        Input { u: 25.0, sensitivity: 1.0, dof: 18.0 },
        Input { u: observed.u, sensitivity: 1.0, dof: observed.dof },
        Input { u: 1e-6 / root3, sensitivity: -length * theta, dof: 50.0 },
        Input { u: 0.05 / root3, sensitivity: -length * alpha, dof: 2.0 },
    ];
    let c = combined(&inputs, &[]).unwrap();
    near("δα, nm", (inputs[2].u * inputs[2].sensitivity).abs(), 2.9, 0.05);
    near("δθ, nm", (inputs[3].u * inputs[3].sensitivity).abs(), 16.6, 0.05);
    near("u, nm", c.u, 32.0, 0.5);
    near("effective dof", c.dof, 16.7, 0.15);
    let k = coverage_factor(0.99, c.dof).unwrap();
    near("t99(16)", k, 2.92, 0.005);
    near("U99, nm", k * c.u, 93.0, 0.6);
}

#[test]
fn val_student_table_g2() {
    // JCGM 100:2008, table G.2.
    for (p, dof, t) in [
        (0.95, 1.0, 12.71),
        (0.95, 2.0, 4.30),
        (0.99, 3.0, 5.84),
        (0.95, 4.0, 2.78),
        (0.99, 9.0, 3.25),
        (0.95, 10.0, 2.23),
        (0.9545, 50.0, 2.05),
        (0.95, f64::INFINITY, 1.960),
        (0.99, f64::INFINITY, 2.576),
    ] {
        near(&format!("t({p}, {dof})"), coverage_factor(p, dof).unwrap(), t, 0.0051);
    }
}

#[test]
fn val_gum_h2_resistance_and_reactance() {
    // JCGM 100:2008, H.2, table H.2 (five simultaneous observations) and H.4.
    let v = [5.007, 4.994, 5.005, 4.990, 4.999];
    let i = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3];
    let phi = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];
    let mean = |x: &[f64; 5]| x.iter().sum::<f64>() / 5.0;
    let cov = |x: &[f64; 5], y: &[f64; 5]| {
        let (a, b) = (mean(x), mean(y));
        x.iter().zip(y).map(|(x, y)| (x - a) * (y - b)).sum::<f64>() / 20.0
    };
    let u = [cov(&v, &v).sqrt(), cov(&i, &i).sqrt(), cov(&phi, &phi).sqrt()];
    near("s(V)", u[0], 3.209e-3, 5e-7);
    let pairs = [
        Pair { a: 0, b: 1, r: cov(&v, &i) / (u[0] * u[1]) },
        Pair { a: 0, b: 2, r: cov(&v, &phi) / (u[0] * u[2]) },
        Pair { a: 1, b: 2, r: cov(&i, &phi) / (u[1] * u[2]) },
    ];
    for (pair, r) in pairs.iter().zip([-0.355, 0.858, -0.645]) {
        near("r", pair.r, r, 5.1e-4);
    }
    let (v, i, phi) = (mean(&v), mean(&i), mean(&phi));
    let (z, r, x) = (v / i, v / i * phi.cos(), v / i * phi.sin());
    near("R", r, 127.732, 5e-4);
    near("X", x, 219.847, 5e-4);
    near("Z", z, 254.260, 5.1e-4);
    let of = |s: [f64; 3]| [0, 1, 2].map(|k| Input { u: u[k], sensitivity: s[k], dof: 4.0 });
    let (sr, sx, sz) = ([r / v, -r / i, -x], [x / v, -x / i, r], [z / v, -z / i, 0.0]);
    let ur = combined(&of(sr), &pairs).unwrap().u;
    let ux = combined(&of(sx), &pairs).unwrap().u;
    let uz = combined(&of(sz), &pairs).unwrap().u;
    near("u(R)", ur, 0.071, 5e-4);
    // The guide prints 0.295; its own observations, unrounded, give 0.2956.
    near("u(X)", ux, 0.295, 1e-3);
    near("u(Z)", uz, 0.236, 1e-3);
    near("r(R,X)", covariance(&of(sr), &sx, &pairs).unwrap() / (ur * ux), -0.588, 5.1e-4);
    near("r(R,Z)", covariance(&of(sr), &sz, &pairs).unwrap() / (ur * uz), -0.485, 5.1e-4);
    near("r(X,Z)", covariance(&of(sx), &sz, &pairs).unwrap() / (ux * uz), 0.993, 5.1e-4);
}

#[test]
fn val_gum_h3_thermometer_line() {
    // JCGM 100:2008, H.3, table H.6: corrections of a thermometer, line about 20 °C, predicted at 30 °C.
    let t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
    let b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
    let n = 11.0;
    let x = t.map(|t| t - 20.0);
    let (mx, mb) = (x.iter().sum::<f64>() / n, b.iter().sum::<f64>() / n);
    let sxx: f64 = x.iter().map(|x| (x - mx) * (x - mx)).sum();
    let slope = x.iter().zip(&b).map(|(x, b)| (x - mx) * (b - mb)).sum::<f64>() / sxx;
    let start = mb - slope * mx;
    let s2 = x.iter().zip(&b).map(|(x, b)| (b - start - slope * x).powi(2)).sum::<f64>() / (n - 2.0);
    let (u_start, u_slope) = ((s2 * (1.0 / n + mx * mx / sxx)).sqrt(), (s2 / sxx).sqrt());
    let r = -mx * s2 / sxx / (u_start * u_slope);
    near("y1", start, -0.1712, 5e-5);
    near("y2", slope, 0.00218, 5e-6);
    near("r", r, -0.930, 5e-4);
    let inputs = [Input { u: u_start, sensitivity: 1.0, dof: 9.0 }, Input { u: u_slope, sensitivity: 10.0, dof: 9.0 }];
    near("b(30)", start + 10.0 * slope, -0.1494, 5.1e-5);
    near("u(b(30))", combined(&inputs, &[Pair { a: 0, b: 1, r }]).unwrap().u, 0.0041, 5e-5);
}

/// A small generator with a fixed seed: good enough to check a standard deviation to a percent.
struct Draws(u64);

impl Draws {
    fn uniform(&mut self) -> f64 {
        // splitmix64
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self, mean: f64, u: f64) -> f64 {
        let (a, b) = (self.uniform().max(1e-300), self.uniform());
        mean + u * (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
}

#[test]
fn sim_monte_carlo_agrees() {
    let mut d = Draws(20);
    let at = |litres: f64, celsius: f64, rho: f64| {
        volume_at(Volume::from_litres(litres), c(celsius), c(40.0), Density::from_kg_per_m3(rho)).unwrap().ml()
    };
    let n = 100_000;
    let e: Vec<f64> = (0..n)
        .map(|_| {
            let rho = d.normal(850.0, 4.62);
            let out = at(d.normal(4.2, 0.04), d.normal(62.0, 1.155), rho) + d.normal(50.0, 30.0);
            let kept =
                at(d.normal(5.0, 0.02), d.normal(21.0, 1.5), rho) - at(d.normal(0.45, 0.02), d.normal(42.0, 1.0), rho);
            out - kept + d.normal(0.0, 30.0)
        })
        .collect();
    let mean = e.iter().sum::<f64>() / f64::from(n);
    let sd = (e.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / f64::from(n - 1)).sqrt();
    let b = balance(&service()).unwrap().as_found.unwrap();
    // Standard error of the mean 0.2 mL, of the standard deviation 0.15 mL; four of each.
    near("mean", mean, b.value.ml(), 0.8);
    near("standard deviation", sd, b.u.ml(), 0.6);
}

fn any_portion() -> impl Strategy<Value = Portion> {
    (0usize..4, any::<f64>(), any::<f64>(), any::<f64>(), any::<f64>(), any::<bool>()).prop_map(
        |(way, v, u, t, ut, weighed)| Portion {
            way: Way::ALL[way],
            amount: if weighed {
                Amount::Weighed(Uncertain::new(Mass::from_kg(v), Mass::from_kg(u)))
            } else {
                Amount::Measured(Uncertain::new(Volume::from_ml(v), Volume::from_ml(u)))
            },
            temperature: Uncertain::new(c(t), c(ut)),
            thermometer: Some(1),
            readings: None,
        },
    )
}

proptest! {
    #[test]
    fn law_any_floats_never_panic(portions in prop::collection::vec(any_portion(), 0..5), rho in any::<f64>(), u in any::<f64>(),
        reference in any::<f64>(), level in any::<f64>()) {
        let density = Uncertain::new(Density::from_kg_per_m3(rho), Density::from_kg_per_m3(u));
        let level = Some(Uncertain::new(Volume::from_ml(level), Volume::from_ml(u)));
        let _ = balance(&Ledger { portions, expansion: Expansion::Density15(density), reference: c(reference), level, tolerance: USUAL_TOLERANCE });
    }

    #[test]
    fn law_sensitivities_are_the_slopes(v in 0.5..8.0f64, t in 0.0..110.0f64, reference in 10.0..60.0f64, rho in 820.0..900.0f64) {
        let result = |v: f64, t: f64, rho: f64| {
            let density = Uncertain::new(Density::from_kg_per_m3(rho), Density::from_kg_per_m3(5.0));
            let ledger = Ledger { portions: vec![portion(Way::Poured, (v, 0.02), (t, 1.0))],
                expansion: Expansion::Density15(density), reference: c(reference), level: None, tolerance: USUAL_TOLERANCE };
            balance(&ledger).unwrap()
        };
        let b = result(v, t, rho);
        let slope = |up: Balance, down: Balance, step: f64| (up.net.value.ml() - down.net.value.ml()) / (2.0 * step);
        let row = |name: &str| b.budget.iter().find(|r| r.input.contains(name)).unwrap().sensitivity;
        prop_assert!((row("temperature") - slope(result(v, t + 1e-3, rho), result(v, t - 1e-3, rho), 1e-3)).abs() < 1e-5);
        prop_assert!((row("density") - slope(result(v, t, rho + 0.01), result(v, t, rho - 0.01), 0.01)).abs() < 1e-5);
        prop_assert!((row("volume") - slope(result(v + 1e-3, t, rho), result(v - 1e-3, t, rho), 1.0)).abs() < 1e-8);
    }

    #[test]
    fn law_volume_in_equals_volume_out_cancels(v in 0.1..9.0f64, t in 0.0..100.0f64) {
        let mut ledger = service();
        ledger.portions = vec![portion(Way::Poured, (v, 0.01), (t, 1.0)), portion(Way::RunOff, (v, 0.01), (t, 1.0))];
        prop_assert!(balance(&ledger).unwrap().net.value.ml().abs() < 1e-9);
    }
}
