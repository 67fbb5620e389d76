//! Thrown ledgers against linear propagation, an outside simulation, and hand arithmetic.

use physics::balance::gum::coverage_factor;
use physics::balance::{Amount, Expansion, Ledger, Portion, USUAL_TOLERANCE, Way, balance};
use physics::montecarlo::spread;
use quantity::{Density, Mass, Temperature, Uncertain, Volume};

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

fn service() -> Ledger {
    Ledger {
        portions: vec![
            portion(Way::Drained, (4.20, 0.04), (62.0, 1.155)),
            portion(Way::Residue, (0.050, 0.030), (40.0, 0.0)),
            portion(Way::Poured, (5.000, 0.02), (21.0, 1.5)),
            portion(Way::RunOff, (0.450, 0.02), (42.0, 1.0)),
        ],
        expansion: Expansion::Density15(Uncertain::new(Density::from_kg_per_m3(850.0), Density::from_kg_per_m3(4.62))),
        reference: c(40.0),
        level: Some(Uncertain::new(Volume::default(), Volume::from_ml(30.0))),
        tolerance: USUAL_TOLERANCE,
    }
}

/// Mean within five of its standard errors, deviation within 0.6 % (five of u/√(2 M)) of linear propagation.
#[track_caller]
fn agrees(ledger: &Ledger) {
    let thrown = spread(ledger, 400_000, 20_240_501).unwrap();
    let linear = balance(ledger).unwrap();
    let e = linear.as_found.unwrap_or(linear.net);
    let off = (thrown.result.value - e.value).ml();
    assert!(off.abs() < 5.0 * e.u.ml() / 400_000.0_f64.sqrt(), "mean {off} mL from {e:?}");
    assert!((thrown.result.u.ml() / e.u.ml() - 1.0).abs() < 0.006, "{thrown:?} beside {e:?}");
    // 1.96 standard deviations either way, within 1 % of one.
    let (low, high) = ((e.value - thrown.low).ml() / e.u.ml(), (thrown.high - e.value).ml() / e.u.ml());
    assert!((low - 1.96).abs() < 0.02 && (high - 1.96).abs() < 0.02, "{low} and {high}");
}

/// Simulation with numpy, 400 000 trials, digits as printed: mean −0.4431 L, deviation 0.0648, 95 % [−0.570, −0.316].
#[test]
fn val_worked_service_thrown() {
    let thrown = spread(&service(), 400_000, 1).unwrap();
    assert!((thrown.result.value.litres() + 0.4431).abs() < 4e-4, "{thrown:?}");
    assert!((thrown.result.u.litres() - 0.0648).abs() < 3e-4);
    assert!((thrown.low.litres() + 0.570).abs() < 1.5e-3 && (thrown.high.litres() + 0.316).abs() < 1.5e-3);
}

#[test]
fn law_thrown_agrees_with_linear() {
    agrees(&service());
    agrees(&Ledger { level: None, ..service() });
    // One thermometer for all, so that its error is shared.
    let mut shared = service();
    shared.portions.iter_mut().for_each(|p| p.thermometer = Some(7));
    agrees(&shared);
    let mut by_weight = service();
    by_weight.portions[0].amount = Amount::Weighed(Uncertain::new(Mass::from_kg(3.474), Mass::from_grams(15.0)));
    agrees(&by_weight);
    let coefficient = Expansion::Coefficient {
        per_kelvin: Uncertain::new(0.00075, 0.00003),
        density: Some(Uncertain::new(Density::from_kg_per_m3(830.0), Density::from_kg_per_m3(6.0))),
    };
    agrees(&Ledger { expansion: coefficient, ..by_weight });
}

#[test]
fn law_same_seed_same_bytes() {
    let run = |seed| spread(&service(), 5000, seed).unwrap();
    assert_eq!(run(3), run(3));
    assert_ne!(run(3), run(4));
    assert_eq!(run(3).trials, 5000);
}

#[test]
fn hand_ledgers_that_are_refused() {
    assert!(spread(&service(), 999, 1).is_err());
    assert!(spread(&service(), u32::MAX, 1).is_err());
    assert!(spread(&Ledger { portions: Vec::new(), ..service() }, 1000, 1).is_err());
    // 850 ± 40 kg/m³ reaches far below the 800.9 of the formula.
    let vague = Uncertain::new(Density::from_kg_per_m3(850.0), Density::from_kg_per_m3(40.0));
    assert!(spread(&Ledger { expansion: Expansion::Density15(vague), ..service() }, 1000, 1).is_err());
    let weighed = Portion {
        amount: Amount::Weighed(Uncertain::new(Mass::from_kg(3.0), Mass::from_kg(0.01))),
        ..service().portions[0]
    };
    let no_density = Expansion::Coefficient { per_kelvin: Uncertain::new(0.00075, 0.0), density: None };
    assert!(spread(&Ledger { portions: vec![weighed], expansion: no_density, ..service() }, 1000, 1).is_err());
}

/// Two amounts, each with u = 20 mL, exact temperatures; `readings` of each.
fn two(readings: [Option<u32>; 2]) -> Ledger {
    let ways = [Way::Drained, Way::Poured];
    let portions = ways.iter().zip(readings);
    Ledger {
        portions: portions
            .map(|(way, readings)| Portion { readings, ..portion(*way, (4.0, 0.02), (40.0, 0.0)) })
            .collect(),
        level: None,
        ..service()
    }
}

/// How far the ends of the thrown 95 % interval lie outside those of linear propagation, mL; the unit of the last of two digits
/// of u, halved, is the numerical tolerance δ of JCGM 101:2008, 7.9.2.
fn beyond(ledger: &Ledger, trials: u32) -> (f64, f64, f64) {
    let (thrown, linear) = (spread(ledger, trials, 11).unwrap(), balance(ledger).unwrap());
    let e = linear.as_found.unwrap_or(linear.net);
    let half = coverage_factor(0.95, linear.degrees_of_freedom.unwrap_or(f64::INFINITY)).unwrap() * e.u.ml();
    let delta = 0.5 * 10f64.powf(e.u.ml().log10().floor() - 1.0);
    (e.value.ml() - half - thrown.low.ml(), thrown.high.ml() - e.value.ml() - half, delta)
}

/// JCGM 101:2008, clause 8: the linear way is confirmed when both ends lie within δ. The ends of M trials scatter by u·2.7/√M.
#[test]
fn law_the_linear_way_is_confirmed_where_it_should_be() {
    for ledger in [service(), two([None, None]), two([Some(60), Some(60)])] {
        let (low, high, delta) = beyond(&ledger, 1_000_000);
        assert!(delta == 0.5 && low.abs() <= delta && high.abs() <= delta, "{low} {high}");
    }
    // One amount alone: its t on both ways, so the few readings do not part them. δ is 0.5 mL for 20 mL as well.
    for readings in [6, 12] {
        let mut one = two([Some(readings), None]);
        one.portions.truncate(1);
        let (low, high, delta) = beyond(&one, 1_000_000);
        assert!(delta == 0.5 && low.abs() <= delta && high.abs() <= delta, "{low} {high}");
    }
}

/// Where both amounts rest on few readings, effective degrees of freedom promise too much: the thrown interval is the wider.
#[test]
fn law_few_readings_part_the_two_ways() {
    let mut last = 0.0;
    for readings in [20, 9, 7, 5, 3] {
        let (low, high, delta) = beyond(&two([Some(readings); 2]), 200_000);
        assert!(low > delta && high > delta && low.min(high) > last, "{readings}: {low} {high}");
        last = low.max(high);
    }
}

/// Sukhatme, "On Fisher and Behrens' test of significance", Sankhyā 4 (1938), also table VI of Fisher and Yates: the 5 % points of
/// d for θ = 45° and equal degrees of freedom 6, 8, 12, 24: 2.435, 2.292, 2.167, 2.056; from memory, and again by integration with
/// scipy 1.17.1 (2.4359, 2.2924, 2.1666, 2.0565; ν = 2: 4.6240). The ends scatter by less than 0.01 at a million trials.
#[test]
fn val_two_means_of_few_readings() {
    for (freedom, d, scatter) in
        [(6, 2.435, 0.012), (8, 2.292, 0.012), (12, 2.167, 0.01), (24, 2.056, 0.01), (2, 4.624, 0.06)]
    {
        let ledger = two([Some(freedom + 1); 2]);
        let u = balance(&ledger).unwrap().net.u.ml();
        let thrown = spread(&ledger, 1_000_000, 2).unwrap();
        let half = 0.5 * (thrown.high - thrown.low).ml() / u;
        assert!((half - d).abs() < scatter, "ν {freedom}: {half} instead of {d}");
        // JCGM 101:2008, 6.4.9.4: the variance of t is ν/(ν − 2); none for ν = 2.
        let factor = f64::from(freedom) / f64::from(freedom - 2);
        let wider = thrown.result.u.ml() / u;
        if freedom > 2 {
            assert!((wider / factor.sqrt() - 1.0).abs() < 0.01, "ν {freedom}: {wider}");
        } else {
            assert!(wider.is_infinite() && thrown.result.value.ml().abs() < 0.2);
        }
    }
}
