//! Pumping, exchange and the choice of containers.

use std::error::Error;

use physics::containers::{Buyable, Shelved, cheapest};
use physics::pump::{Pumping, pump_time};
use physics::renewal::flow_through;
use quantity::{Density, Flow, KinematicViscosity, Length, Pressure, Volume};
use serde_json::{Value, json};

use crate::{case, spread};

pub fn cases(into: &mut Vec<Value>) -> Result<(), Box<dyn Error>> {
    for (bore, nu) in [(8.0, 7.0), (8.0, 16.0), (8.0, 75.0), (8.0, 400.0), (12.0, 4.0), (12.0, 120.0), (16.0, 5.0)] {
        let pumped = pump_time(&Pumping {
            volume: Volume::from_litres(4.0),
            bore: Length::from_mm(bore),
            length: Length::from_mm(2000.0),
            lift: Length::from_mm(800.0),
            pressure: Pressure::from_kpa(60.0),
            free_flow: Flow::from_ml_per_minute(1e6),
            density: Density::from_kg_per_m3(850.0),
            viscosity: KinematicViscosity::from_mm2_per_s(nu),
        })?;
        let input =
            json!({ "bore": bore, "nu": nu, "length": 2000.0, "lift": 800.0, "pressure": 60.0, "density": 850.0 });
        let ours = json!({ "flow": pumped.flow.ml_per_second() });
        into.push(case("pump", format!("hose {bore} mm, {nu} mm²/s"), input, ours));
    }
    for (ratio, tanks) in [(0.3, 1), (1.0, 1), (1.0, 2), (1.333, 5), (0.8, 12), (2.5, 3), (4.0, 40)] {
        let ours = json!({ "new": flow_through(ratio, tanks)? });
        let input = json!({ "ratio": ratio, "tanks": tanks });
        into.push(case("flow_through", format!("{ratio} volumes, {tanks} tanks"), input, ours));
    }
    for place in 0..12 {
        let at = |dimension, low, high| (100.0 * spread(place, dimension, low, high)).round() / 100.0;
        let cans =
            [(1.0, at(0, 9.0, 18.0)), (4.0, at(1, 38.0, 60.0)), (5.0, at(2, 45.0, 70.0)), (20.0, at(3, 170.0, 260.0))];
        let shelf = [at(4, 0.1, 0.9), at(5, 0.1, 0.9), at(6, 0.1, 0.9)];
        let need = at(7, 2.0, 60.0);
        let list = cans.map(|(size, price)| Buyable { size: Volume::from_litres(size), price });
        let kept = shelf.map(|holds| Shelved { holds: Volume::from_litres(holds), opened: false });
        let found = cheapest(Volume::from_litres(need), &kept, &list)?;
        let input = json!({ "need": need, "cans": cans, "shelf": shelf });
        into.push(case("containers", format!("{need} L, list {place}"), input, json!({ "cost": found.cost })));
    }
    Ok(())
}
