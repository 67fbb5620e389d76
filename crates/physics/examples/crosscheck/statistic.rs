//! Fits and uncertainty.

use std::error::Error;

use physics::balance::gum::coverage_factor;
use physics::balance::{Amount, Expansion, Ledger, Portion, USUAL_TOLERANCE, Way, balance};
use physics::fit::fit;
use physics::montecarlo::spread;
use quantity::{Density, Temperature, Uncertain, Volume};
use serde_json::{Map, Value, json};

use crate::case;
use crate::nist::{SETS, read};

pub fn cases(into: &mut Vec<Value>) -> Result<(), Box<dyn Error>> {
    fits(into)?;
    ledgers(into)?;
    thrown(into)?;
    for (p, dof) in [(0.95, 4.0), (0.95, 16.0), (0.99, 16.0), (0.9545, 9.0), (0.95, 1.0), (0.999, 50.0)] {
        let ours = json!({ "k": coverage_factor(p, dof)? });
        into.push(case("coverage_factor", format!("{p}, ν {dof}"), json!({ "p": p, "dof": dof }), ours));
    }
    Ok(())
}

fn fits(into: &mut Vec<Value>) -> Result<(), Box<dyn Error>> {
    for (name, text, curve) in SETS {
        let set = read(text);
        let found = fit(&set.x, &set.y, &set.starts[1], curve)?;
        let input = json!({ "set": name, "x": set.x, "y": set.y, "start": set.starts[1] });
        let numbers = |letter: &str, of: &dyn Fn(&Uncertain<f64>) -> f64| -> Value {
            let named = found.parameters.iter().enumerate().map(|(j, b)| (format!("{letter}{}", j + 1), json!(of(b))));
            Value::Object(named.collect::<Map<_, _>>())
        };
        into.push(case("fit_parameters", name.to_owned(), input.clone(), numbers("b", &|b| b.value)));
        into.push(case("fit_deviations", name.to_owned(), input, numbers("u", &|b| b.u)));
        let certified = json!({ "b": set.parameters, "u": set.deviations, "sum": set.residual_sum });
        let (b, u): (Vec<f64>, Vec<f64>) = found.parameters.iter().map(|p| (p.value, p.u)).unzip();
        let ours = json!({ "last b": b.last(), "u of it": u.last(), "sum of squares": found.residual_sum });
        into.push(case("fit_certified", name.to_owned(), certified, ours));
    }
    Ok(())
}

/// Way, litres with doubt, °C with doubt.
type Row = (Way, f64, f64, f64, f64);

const SERVICE: [Row; 4] = [
    (Way::Drained, 4.20, 0.04, 62.0, 1.155),
    (Way::Residue, 0.050, 0.030, 40.0, 0.0),
    (Way::Poured, 5.000, 0.02, 21.0, 1.5),
    (Way::RunOff, 0.450, 0.02, 42.0, 1.0),
];
const OVERFILLED: [Row; 4] = [
    (Way::Drained, 5.60, 0.05, 75.0, 2.0),
    (Way::Residue, 0.30, 0.10, 20.0, 2.0),
    (Way::Poured, 5.20, 0.03, 15.0, 1.0),
    (Way::RunOff, 0.25, 0.02, 45.0, 3.0),
];

fn ledgers(into: &mut Vec<Value>) -> Result<(), Box<dyn Error>> {
    let c = Temperature::from_celsius;
    for (name, rows, reference, one_thermometer) in [
        ("worked service", SERVICE, 40.0, false),
        ("worked service, one thermometer", SERVICE, 40.0, true),
        ("overfilled unit", OVERFILLED, 20.0, false),
        ("overfilled unit, one thermometer", OVERFILLED, 20.0, true),
    ] {
        let portion = |(way, v, u, t, u_t): Row| Portion {
            way,
            amount: Amount::Measured(Uncertain::new(Volume::from_litres(v), Volume::from_litres(u))),
            temperature: Uncertain::new(c(t), c(u_t)),
            thermometer: one_thermometer.then_some(1),
            readings: None,
        };
        let density = Uncertain::new(Density::from_kg_per_m3(850.0), Density::from_kg_per_m3(4.62));
        let found = balance(&Ledger {
            portions: rows.map(portion).to_vec(),
            expansion: Expansion::Density15(density),
            reference: c(reference),
            level: Some(Uncertain::new(Volume::default(), Volume::from_ml(30.0))),
            tolerance: USUAL_TOLERANCE,
        })?;
        let e = found.as_found.ok_or("a ledger with a level says how it was found")?;
        let rows: Vec<_> = rows.iter().map(|r| json!([r.0.sign(), r.1, r.2, r.3, r.4])).collect();
        let input = json!({
            "portions": rows, "density15": [850.0, 4.62], "reference": reference, "level": [0.0, 0.030],
            "one_thermometer": one_thermometer,
        });
        let ours = json!({ "as found, mL": e.value.ml(), "u, mL": e.u.ml(), "net u, mL": found.net.u.ml() });
        into.push(case("ledger", name.to_owned(), input, ours));
    }
    Ok(())
}

/// Two amounts from so many readings each, at the reference temperature; doubts in mL.
fn thrown(into: &mut Vec<Value>) -> Result<(), Box<dyn Error>> {
    let at = Uncertain::new(Temperature::from_celsius(20.0), Temperature::from_celsius(0.0));
    for (readings, doubts) in
        [([4, 4], [20.0, 20.0]), ([3, 8], [15.0, 30.0]), ([6, 30], [40.0, 10.0]), ([5, 3], [25.0, 25.0])]
    {
        let portion = |(way, (readings, u)): (Way, (u32, f64))| Portion {
            way,
            amount: Amount::Measured(Uncertain::new(Volume::from_litres(4.0), Volume::from_ml(u))),
            temperature: at,
            thermometer: None,
            readings: Some(readings),
        };
        let rows = [Way::Poured, Way::Drained].into_iter().zip(readings.into_iter().zip(doubts));
        let ledger = Ledger {
            portions: rows.map(portion).collect(),
            expansion: Expansion::Coefficient { per_kelvin: Uncertain::new(0.00075, 0.0), density: None },
            reference: at.value,
            level: None,
            tolerance: USUAL_TOLERANCE,
        };
        let (found, u) = (spread(&ledger, 1_000_000, 1)?, balance(&ledger)?.net.u);
        let ours = json!({ "half": 0.5 * (found.high - found.low).ml() / u.ml() });
        let name = format!("{readings:?} readings, u {doubts:?} mL");
        let input = json!({ "dof": readings.map(|n| n - 1), "u": doubts });
        into.push(case("thrown", name, input, ours));
    }
    Ok(())
}
