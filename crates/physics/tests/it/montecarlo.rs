//! Thrown ledgers against linear propagation, an outside simulation, and hand arithmetic.

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
