//! Fluid and colour.

use physics::PhysicsError;
use physics::colour::{Lab, difference, lab};
use physics::expansion::{alpha15, ctl};
use physics::viscosity::{ViscosityLine, viscosity_index};
use quantity::{Density, KinematicViscosity, Temperature};
use serde_json::{Value, json};

use crate::{case, spread};

pub fn cases(into: &mut Vec<Value>) -> Result<(), PhysicsError> {
    expansion(into)?;
    indices(into)?;
    lines(into)?;
    colours(into)
}

fn expansion(into: &mut Vec<Value>) -> Result<(), PhysicsError> {
    for density in [805.0, 840.0, 850.0, 875.0, 1000.0, 1160.0] {
        let rho = Density::from_kg_per_m3(density);
        for t in [-40.0, 0.0, 40.0, 90.0, 145.0] {
            let factor = ctl(rho, Temperature::from_celsius(t))?;
            let ours = json!({ "alpha": alpha15(rho)?, "CTL": factor });
            into.push(case("ctl", format!("{density} kg/m³, {t} °C"), json!({ "density15": density, "t": t }), ours));
        }
    }
    Ok(())
}

/// Thin and thick fluids; the share between swapped values and a steep fluid sets how far the index reaches.
fn indices(into: &mut Vec<Value>) -> Result<(), PhysicsError> {
    let spread_out = (0..60).map(|i| {
        let kv100 = 2.1 * 60.0_f64.powf(spread(i, 0, 0.0, 1.0));
        (kv100 * spread(i, 1, 3.0, 3.0 + 2.2 * kv100.sqrt()), kv100)
    });
    let known = [(73.30, 8.86), (22.83, 5.05), (53.47, 7.80), (34.0, 7.4), (22.0, 5.0)];
    for (kv40, kv100) in known.into_iter().chain(spread_out) {
        let kv = KinematicViscosity::from_mm2_per_s;
        let ours = json!({ "index": viscosity_index(kv(kv40), kv(kv100))? });
        let name = format!("{kv40:.2} and {kv100:.2} mm²/s");
        into.push(case("viscosity_index", name, json!({ "kv40": kv40, "kv100": kv100 }), ours));
    }
    Ok(())
}

fn lines(into: &mut Vec<Value>) -> Result<(), PhysicsError> {
    for (kv40, kv100) in [(34.0, 7.4), (36.0, 7.2), (29.5, 6.0), (22.0, 5.0), (100.0, 15.0), (1000.0, 60.0)] {
        let kv = KinematicViscosity::from_mm2_per_s;
        let line = ViscosityLine::from_40_and_100(kv(kv40), kv(kv100))?;
        for t in [20.0, 55.0, 80.0] {
            let at = line.at(Temperature::from_celsius(t))?.mm2_per_s();
            let ours = json!({ "A": line.a(), "B": line.b(), "viscosity": at });
            let input = json!({ "kv40": kv40, "kv100": kv100, "t": t });
            into.push(case("viscosity_line", format!("{kv40} and {kv100} mm²/s at {t} °C"), input, ours));
        }
    }
    Ok(())
}

/// The published pairs but the one on the step of the mean hue, where either of two results is right; and more.
fn colours(into: &mut Vec<Value>) -> Result<(), PhysicsError> {
    let rows = include_str!("../../tests/data/ciede2000_34pairs.csv").lines();
    let published = rows.filter_map(|line| {
        let cells: Vec<f64> = line.split(',').filter_map(|cell| cell.parse().ok()).collect();
        let [number, l1, a1, b1, l2, a2, b2, _] = cells.try_into().ok()?;
        (number != 14.0).then(|| (format!("published pair {number}"), [l1, a1, b1], [l2, a2, b2]))
    });
    let more = (0..40).map(|i| {
        let end = |first: u32| {
            [spread(i, first, 2.0, 98.0), spread(i, first + 1, -90.0, 90.0), spread(i, first + 2, -90.0, 90.0)]
        };
        (format!("spread pair {i}"), end(0), end(3))
    });
    for (name, one, two) in published.chain(more) {
        let colour = |[l, a, b]: [f64; 3]| Lab { l, a, b };
        let ours = json!({ "ΔE₀₀": difference(colour(one), colour(two))? });
        into.push(case("ciede2000", name, json!({ "one": one, "two": two }), ours));
    }
    for levels in [[200.0, 30.0, 35.0], [130.0, 35.0, 25.0], [70.0, 40.0, 20.0], [250.0, 249.0, 240.0], [3.0, 2.0, 1.0]]
    {
        let ours = lab(levels)?;
        let ours = json!({ "L": ours.l, "a": ours.a, "b": ours.b });
        into.push(case("lab", format!("levels {levels:?}"), json!({ "levels": levels }), ours));
    }
    Ok(())
}
