//! What a simulated vehicle is made of, and the ranges in which its equations hold.

use std::ops::RangeInclusive;

use quantity::{Area, KinematicViscosity, Length, Temperature, TemperatureDifference, Volume};
use serde::{Deserialize, Serialize};

use super::VehicleError;

/// What the reader's display can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Resolution {
    /// Whole degrees Celsius.
    WholeCelsius,
    /// Tenths of a degree Celsius.
    TenthCelsius,
    /// Whole degrees Fahrenheit.
    WholeFahrenheit,
}

/// Everything that distinguishes one simulated vehicle from another.
///
/// Plain numbers carry their unit in the name. Ranges are checked by [`Vehicle::new`](super::Vehicle::new).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct VehicleParams {
    /// Air around the vehicle; −50…60 °C.
    #[serde(rename = "ambient_c")]
    pub ambient: Temperature,
    /// Engine, fluid and case at the beginning; −50…150 °C.
    #[serde(rename = "start_c")]
    pub start: Temperature,
    /// The right charge, stated at `reference`; 0.5–40 L.
    #[serde(rename = "charge_ml")]
    pub charge: Volume,
    /// Temperature at which amounts are stated; 0…40 °C.
    #[serde(rename = "reference_c")]
    pub reference: Temperature,
    /// Fluid temperature at which the right charge stands exactly at the standpipe's lip; 0…120 °C.
    #[serde(rename = "set_at_c")]
    pub set_at: Temperature,
    /// How much too little (below 0) or too much is in it at the beginning, stated at `reference`.
    #[serde(rename = "found_error_ml")]
    pub found_error: Volume,
    /// Held in converter, cooler and passages after a long stop; does not leave through the drain plug.
    #[serde(rename = "held_at_rest_ml")]
    pub held_at_rest: Volume,
    /// What the pump lifts out of the sump on top of that, and what drains back after a stop; 0–5 L.
    #[serde(rename = "drain_back_ml")]
    pub drain_back: Volume,
    /// Taken up by the shift circuits once the selector has been cycled; 0–2 L.
    #[serde(rename = "circuits_ml")]
    pub circuits: Volume,
    /// Free fluid surface in the sump; 0.005–0.5 m².
    #[serde(rename = "sump_area_m2")]
    pub sump_area: Area,
    /// Room in the sump up to the fill hole; must hold what stands there after a stop.
    #[serde(rename = "sump_room_ml")]
    pub sump_room: Volume,
    /// Inner diameter of the standpipe; 2–30 mm.
    #[serde(rename = "standpipe_bore_mm")]
    pub standpipe_bore: Length,
    /// Inner diameter of the drain hole; 4–60 mm.
    #[serde(rename = "drain_bore_mm")]
    pub drain_bore: Length,
    /// Viscosity at 40 °C; 5–200 mm²/s.
    #[serde(rename = "kv40_mm2_s")]
    pub kv40: KinematicViscosity,
    /// Viscosity at 100 °C; 1–40 mm²/s, below `kv40`.
    #[serde(rename = "kv100_mm2_s")]
    pub kv100: KinematicViscosity,
    /// Density at 15 °C; 700–1100 kg/m³.
    pub density15_kg_m3: f64,
    /// Expansion per kelvin, of the volume at 15 °C; 0.0004–0.0012.
    pub expansion_per_k: f64,
    /// Heat capacity of engine and coolant; 20 000–2 000 000 J/K.
    pub engine_j_per_k: f64,
    /// Heat capacity of case and gears; 5 000–500 000 J/K.
    pub case_j_per_k: f64,
    /// Heat into the coolant at warm idle; 0–50 000 W.
    pub engine_heat_w: f64,
    /// Heat into the fluid at warm idle that does not depend on viscosity; 0–10 000 W.
    pub drag_heat_w: f64,
    /// Heat into the fluid at warm idle by churning, at the viscosity of 40 °C; 0–10 000 W.
    pub churning_heat_w: f64,
    /// How much faster the engine idles right after a start at 20 °C, as a part of warm idle; 0–1.5.
    pub fast_idle: f64,
    /// Time constant with which the fast idle goes back; 10–3600 s.
    pub fast_idle_decay_s: f64,
    /// Standard deviation of the wandering of the heat input, as a part of it; 0–0.5.
    pub wander: f64,
    /// Correlation time of that wandering; 5–3600 s.
    pub wander_time_s: f64,
    /// Fluid temperature at which the cooler's bypass begins to close; 0…150 °C.
    #[serde(rename = "cooler_opens_c")]
    pub cooler_opens: Temperature,
    /// Coolant to fluid with the cooler in full use; a tenth of it passes the bypass; 0–500 W/K.
    pub cooler_w_per_k: f64,
    /// Fluid to case; 1–500 W/K.
    pub fluid_to_case_w_per_k: f64,
    /// Engine block to case, through the flange; 0–100 W/K.
    pub engine_to_case_w_per_k: f64,
    /// Case to air; 0–100 W/K.
    pub case_to_air_w_per_k: f64,
    /// Engine to air with the thermostat closed; 0–200 W/K.
    pub engine_to_air_w_per_k: f64,
    /// Time constant of the temperature sensor; 1–300 s.
    pub sensor_lag_s: f64,
    /// What the sensor shows too much; ±30 K.
    #[serde(rename = "sensor_error_k")]
    pub sensor_error: TemperatureDifference,
    /// Standard deviation of a single reading before it is rounded for display; 0–5 K.
    pub noise_k: f64,
    /// What the display can show.
    pub resolution: Resolution,
}

impl VehicleParams {
    /// An invented vehicle for trying things out: 9 L, found 350 mL low, 20 °C; a window of 35–45 °C opens about eight
    /// minutes after the start. The thermal figures were chosen to give that; they describe no real vehicle.
    pub fn demo() -> Self {
        Self {
            ambient: Temperature::from_celsius(20.0),
            start: Temperature::from_celsius(20.0),
            charge: Volume::from_litres(9.0),
            reference: Temperature::from_celsius(20.0),
            set_at: Temperature::from_celsius(40.0),
            found_error: Volume::from_ml(-350.0),
            held_at_rest: Volume::from_litres(4.9),
            drain_back: Volume::from_litres(1.2),
            circuits: Volume::from_ml(200.0),
            sump_area: Area::from_square_metres(0.08),
            sump_room: Volume::from_litres(7.0),
            standpipe_bore: Length::from_mm(8.0),
            drain_bore: Length::from_mm(14.0),
            kv40: KinematicViscosity::from_mm2_per_s(30.0),
            kv100: KinematicViscosity::from_mm2_per_s(6.0),
            density15_kg_m3: 845.0,
            expansion_per_k: 0.00075,
            engine_j_per_k: 190_000.0,
            case_j_per_k: 36_000.0,
            engine_heat_w: 7_500.0,
            drag_heat_w: 650.0,
            churning_heat_w: 400.0,
            fast_idle: 0.2,
            fast_idle_decay_s: 240.0,
            wander: 0.06,
            wander_time_s: 90.0,
            cooler_opens: Temperature::from_celsius(72.0),
            cooler_w_per_k: 90.0,
            fluid_to_case_w_per_k: 400.0,
            engine_to_case_w_per_k: 8.0,
            case_to_air_w_per_k: 9.0,
            engine_to_air_w_per_k: 25.0,
            sensor_lag_s: 12.0,
            sensor_error: TemperatureDifference::from_kelvin(0.0),
            noise_k: 0.15,
            resolution: Resolution::WholeCelsius,
        }
    }

    /// Refuses what the equations were not made for.
    pub(super) fn check(&self) -> Result<(), VehicleError> {
        let rows: [(&'static str, f64, RangeInclusive<f64>); 32] = [
            ("ambient_c", self.ambient.celsius(), -50.0..=60.0),
            ("start_c", self.start.celsius(), -50.0..=150.0),
            ("charge_ml", self.charge.ml(), 500.0..=40_000.0),
            ("reference_c", self.reference.celsius(), 0.0..=40.0),
            ("set_at_c", self.set_at.celsius(), 0.0..=120.0),
            ("found_error_ml", self.found_error.ml(), -0.8 * self.charge.ml()..=self.charge.ml()),
            ("held_at_rest_ml", self.held_at_rest.ml(), 100.0..=30_000.0),
            ("drain_back_ml", self.drain_back.ml(), 0.0..=5_000.0),
            ("circuits_ml", self.circuits.ml(), 0.0..=2_000.0),
            ("sump_area_m2", self.sump_area.square_metres(), 0.005..=0.5),
            ("standpipe_bore_mm", self.standpipe_bore.mm(), 2.0..=30.0),
            ("drain_bore_mm", self.drain_bore.mm(), 4.0..=60.0),
            ("kv40_mm2_s", self.kv40.mm2_per_s(), 5.0..=200.0),
            ("kv100_mm2_s", self.kv100.mm2_per_s(), 1.0..=self.kv40.mm2_per_s().min(40.0)),
            ("density15_kg_m3", self.density15_kg_m3, 700.0..=1100.0),
            ("expansion_per_k", self.expansion_per_k, 0.0004..=0.0012),
            ("engine_j_per_k", self.engine_j_per_k, 20_000.0..=2e6),
            ("case_j_per_k", self.case_j_per_k, 5_000.0..=5e5),
            ("engine_heat_w", self.engine_heat_w, 0.0..=50_000.0),
            ("drag_heat_w", self.drag_heat_w, 0.0..=10_000.0),
            ("churning_heat_w", self.churning_heat_w, 0.0..=10_000.0),
            ("fast_idle", self.fast_idle, 0.0..=1.5),
            ("fast_idle_decay_s", self.fast_idle_decay_s, 10.0..=3600.0),
            ("wander", self.wander, 0.0..=0.5),
            ("wander_time_s", self.wander_time_s, 5.0..=3600.0),
            ("cooler_opens_c", self.cooler_opens.celsius(), 0.0..=150.0),
            ("cooler_w_per_k", self.cooler_w_per_k, 0.0..=500.0),
            ("fluid_to_case_w_per_k", self.fluid_to_case_w_per_k, 1.0..=500.0),
            ("engine_to_case_w_per_k", self.engine_to_case_w_per_k, 0.0..=100.0),
            ("sensor_lag_s", self.sensor_lag_s, 1.0..=300.0),
            ("sensor_error_k", self.sensor_error.kelvin(), -30.0..=30.0),
            ("noise_k", self.noise_k, 0.0..=5.0),
        ];
        let losses = [
            ("case_to_air_w_per_k", self.case_to_air_w_per_k, 0.0..=100.0),
            ("engine_to_air_w_per_k", self.engine_to_air_w_per_k, 0.0..=200.0),
        ];
        for (name, value, range) in rows.into_iter().chain(losses) {
            if !range.contains(&value) {
                return Err(VehicleError::Parameter { name, value, low: *range.start(), high: *range.end() });
            }
        }
        // The lip must be in the sump, and the sump must take what comes back after a stop.
        let lip = self.lip_ml();
        if lip <= 0.0 {
            let high = self.held_at_rest.ml() + lip;
            return Err(VehicleError::Parameter {
                name: "held_at_rest_ml",
                value: self.held_at_rest.ml(),
                low: 100.0,
                high,
            });
        }
        let room = lip + self.drain_back.ml() + self.circuits.ml();
        if !(room..=100_000.0).contains(&self.sump_room.ml()) {
            let value = self.sump_room.ml();
            return Err(VehicleError::Parameter { name: "sump_room_ml", value, low: room, high: 100_000.0 });
        }
        Ok(())
    }

    /// Density, in kg/mL.
    pub(super) fn density(&self, temp_c: f64) -> f64 {
        self.density15_kg_m3 * 1e-6 / (1.0 + self.expansion_per_k * (temp_c - 15.0))
    }

    /// The mass of the right charge, in kg.
    pub(super) fn right_kg(&self) -> f64 {
        self.charge.ml() * self.density(self.reference.celsius())
    }

    /// Fluid in the sump when it stands at the lip, in mL: what the right charge leaves there at the temperature for
    /// setting the level, engine idling, circuits full.
    pub(super) fn lip_ml(&self) -> f64 {
        self.right_kg() / self.density(self.set_at.celsius())
            - self.held_at_rest.ml()
            - self.drain_back.ml()
            - self.circuits.ml()
    }

    /// Kinematic viscosity in mm²/s: Vogel's form through the two stated points, with a fixed third constant of 95 °C
    /// (from memory; any curve that falls like a lubricant's does here).
    pub(super) fn viscosity(&self, temp_c: f64) -> f64 {
        let inverse = |t: f64| 1.0 / (t.max(-60.0) + 95.0);
        let slope = libm::log(self.kv40.mm2_per_s() / self.kv100.mm2_per_s()) / (inverse(40.0) - inverse(100.0));
        self.kv40.mm2_per_s() * libm::exp(slope * (inverse(temp_c) - inverse(40.0)))
    }
}
