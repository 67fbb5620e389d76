//! What a simulated vehicle is made of, and the ranges in which its equations hold.

use std::ops::RangeInclusive;

use quantity::{Temperature, TemperatureDifference};
use serde::{Deserialize, Serialize};

use super::{CircuitParams, VehicleError};

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
    /// Heat capacity of engine and coolant; 20 000–2 000 000 J/K.
    pub engine_j_per_k: f64,
    /// Heat capacity of case and gears; 5 000–500 000 J/K.
    pub case_j_per_k: f64,
    /// Heat into the coolant at warm idle; 0–50 000 W.
    pub engine_heat_w: f64,
    /// How much faster the engine idles right after a start at 20 °C, as a part of warm idle; 0–1.5.
    pub fast_idle: f64,
    /// Time constant with which the fast idle goes back; 10–3600 s.
    pub fast_idle_decay_s: f64,
    /// Standard deviation of the wandering of the heat input, as a part of it; 0–0.5.
    pub wander: f64,
    /// Correlation time of that wandering; 5–3600 s.
    pub wander_time_s: f64,
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
    /// The unit's fluid, or the first of them.
    pub circuit: CircuitParams,
    /// Fluids that are kept apart from it, in the same case; at most 7.
    #[serde(default)]
    pub further: Vec<CircuitParams>,
}

/// Most circuits beside the first.
const MOST_FURTHER: usize = 7;

impl VehicleParams {
    /// An invented vehicle for trying things out: 9 L, found 350 mL low, 20 °C; a window of 35–45 °C opens about eight
    /// minutes after the start. The thermal figures were chosen to give that; they describe no real vehicle.
    pub fn demo() -> Self {
        Self {
            ambient: Temperature::from_celsius(20.0),
            start: Temperature::from_celsius(20.0),
            engine_j_per_k: 190_000.0,
            case_j_per_k: 36_000.0,
            engine_heat_w: 7_500.0,
            fast_idle: 0.2,
            fast_idle_decay_s: 240.0,
            wander: 0.06,
            wander_time_s: 90.0,
            engine_to_case_w_per_k: 8.0,
            case_to_air_w_per_k: 9.0,
            engine_to_air_w_per_k: 25.0,
            sensor_lag_s: 12.0,
            sensor_error: TemperatureDifference::from_kelvin(0.0),
            noise_k: 0.15,
            resolution: Resolution::WholeCelsius,
            circuit: CircuitParams::demo(),
            further: Vec::new(),
        }
    }

    /// Refuses what the equations were not made for.
    pub(super) fn check(&self) -> Result<(), VehicleError> {
        let rows: [(&'static str, f64, RangeInclusive<f64>); 15] = [
            ("ambient_c", self.ambient.celsius(), -50.0..=60.0),
            ("start_c", self.start.celsius(), -50.0..=150.0),
            ("engine_j_per_k", self.engine_j_per_k, 20_000.0..=2e6),
            ("case_j_per_k", self.case_j_per_k, 5_000.0..=5e5),
            ("engine_heat_w", self.engine_heat_w, 0.0..=50_000.0),
            ("fast_idle", self.fast_idle, 0.0..=1.5),
            ("fast_idle_decay_s", self.fast_idle_decay_s, 10.0..=3600.0),
            ("wander", self.wander, 0.0..=0.5),
            ("wander_time_s", self.wander_time_s, 5.0..=3600.0),
            ("engine_to_case_w_per_k", self.engine_to_case_w_per_k, 0.0..=100.0),
            ("case_to_air_w_per_k", self.case_to_air_w_per_k, 0.0..=100.0),
            ("engine_to_air_w_per_k", self.engine_to_air_w_per_k, 0.0..=200.0),
            ("sensor_lag_s", self.sensor_lag_s, 1.0..=300.0),
            ("sensor_error_k", self.sensor_error.kelvin(), -30.0..=30.0),
            ("noise_k", self.noise_k, 0.0..=5.0),
        ];
        for (name, value, range) in rows {
            within(name, value, range)?;
        }
        within("further_circuits", self.further.len() as f64, 0.0..=MOST_FURTHER as f64)?;
        std::iter::once(&self.circuit).chain(&self.further).try_for_each(CircuitParams::check)
    }
}

/// Refuses what is outside its range, or no number at all.
pub(super) fn within(name: &'static str, value: f64, range: RangeInclusive<f64>) -> Result<(), VehicleError> {
    if range.contains(&value) {
        return Ok(());
    }
    Err(VehicleError::Parameter { name, value, low: *range.start(), high: *range.end() })
}
