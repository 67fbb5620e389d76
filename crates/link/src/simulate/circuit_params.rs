//! What one circuit of a simulated vehicle is made of.

use std::ops::RangeInclusive;

use quantity::{Area, KinematicViscosity, Length, Mass, Temperature, Volume};
use serde::{Deserialize, Serialize};

use super::VehicleError;
use super::gauge::Gauge;
use super::params::within;

/// Most that an edge is lifted or lowered: 10° at 280 mm from the middle.
const LEANS_MM: f64 = 50.0;

/// One circuit: its fluid, its sump, and what shows its level.
///
/// Plain numbers carry their unit in the name. Ranges are checked by [`Vehicle::new`](super::Vehicle::new).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CircuitParams {
    /// The right charge, stated at `reference`; 0.5–40 L.
    #[serde(rename = "charge_ml")]
    pub charge: Volume,
    /// Temperature at which amounts are stated; 0…40 °C.
    #[serde(rename = "reference_c")]
    pub reference: Temperature,
    /// Fluid temperature at which the right charge stands exactly at the right height; 0…120 °C.
    #[serde(rename = "set_at_c")]
    pub set_at: Temperature,
    /// True when that height is the one with the engine idling and the shift circuits full, false for a long stop.
    pub set_idling: bool,
    /// How much too little (below 0) or too much is in it at the beginning, stated at `reference`; −99…100 % of the
    /// charge. A unit that comes dry has −99 %.
    #[serde(rename = "found_error_ml")]
    pub found_error: Volume,
    /// Held in converter, cooler and passages after a long stop; does not leave through the drain plug; 50 mL–30 L.
    #[serde(rename = "held_at_rest_ml")]
    pub held_at_rest: Volume,
    /// What the pump lifts out of the sump on top of that, and what drains back after a stop; 0–5 L.
    #[serde(rename = "drain_back_ml")]
    pub drain_back: Volume,
    /// Taken up by the shift circuits once the selector has been cycled; 0–2 L.
    #[serde(rename = "shift_circuits_ml")]
    pub shift_circuits: Volume,
    /// What clings to gears and walls for each kelvin below `set_at`, engine running, thick fluid more; 0–100 mL/K.
    pub clings_ml_per_k: f64,
    /// Time constant with which poured fluid runs down to the sump, 0 for at once; 0–600 s.
    pub runs_down_s: f64,
    /// Free fluid surface in the sump; 0.005–0.5 m².
    #[serde(rename = "sump_area_m2")]
    pub sump_area: Area,
    /// Room in the sump up to the fill hole; must hold what stands there after a stop; up to 100 L.
    #[serde(rename = "sump_room_ml")]
    pub sump_room: Volume,
    /// What shows the level.
    pub gauge: Gauge,
    /// How far its edge stands above (+) or below (−) where it would be, seen from the mean surface, because the vehicle is
    /// off level ([`Stance::lean`](super::Stance::lean)); ±50 mm, and not below the sump's floor. The same of the foot of
    /// a stick or probe and of a level sensor. The right charge does not mind: that is stated on level ground.
    #[serde(rename = "lean_mm", default)]
    pub lean: Length,
    /// Flow over lip or edge, as a multiple of what the law gives; 0.2–5.
    #[serde(default = "one")]
    pub edge_flow: f64,
    /// Flow at which whoever looks calls it a stream, a thin stream, drops, as a multiple of the usual; 0.2–5.
    #[serde(default = "one")]
    pub eye: f64,
    /// Inner diameter of the drain hole; 4–60 mm.
    #[serde(rename = "drain_bore_mm")]
    pub drain_bore: Length,
    /// What a tube through the fill hole cannot reach; 0–30 L.
    #[serde(rename = "tube_leaves_ml")]
    pub tube_leaves: Volume,
    /// Fluid temperature at which the thermostat in the cooler line opens; −50…150 °C.
    #[serde(rename = "line_opens_c")]
    pub line_opens: Temperature,
    /// How much more fresh fluid an exchange puts in than old fluid comes out, as a part of it; ±0.2.
    pub line_mismatch: f64,
    /// The can with pump and hose before anything is pumped; 0–100 kg.
    #[serde(rename = "can_kg")]
    pub can: Mass,
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
    /// Heat into the fluid at warm idle that does not depend on viscosity; 0–10 000 W.
    pub drag_heat_w: f64,
    /// Heat into the fluid at warm idle by churning, at the viscosity of 40 °C; 0–10 000 W.
    pub churning_heat_w: f64,
    /// Fluid temperature at which the cooler's bypass begins to close; 0…150 °C.
    #[serde(rename = "cooler_opens_c")]
    pub cooler_opens: Temperature,
    /// Coolant to fluid with the cooler in full use; a tenth of it passes the bypass; 0–500 W/K.
    pub cooler_w_per_k: f64,
    /// Fluid to case; 1–500 W/K.
    pub fluid_to_case_w_per_k: f64,
}

const fn one() -> f64 {
    1.0
}

impl CircuitParams {
    /// The circuit of [`VehicleParams::demo`](super::VehicleParams::demo): 9 L over a standpipe, found 350 mL low.
    pub fn demo() -> Self {
        Self {
            charge: Volume::from_litres(9.0),
            reference: Temperature::from_celsius(20.0),
            set_at: Temperature::from_celsius(40.0),
            set_idling: true,
            found_error: Volume::from_ml(-350.0),
            held_at_rest: Volume::from_litres(4.9),
            drain_back: Volume::from_litres(1.2),
            shift_circuits: Volume::from_ml(200.0),
            clings_ml_per_k: 0.0,
            runs_down_s: 0.0,
            sump_area: Area::from_square_metres(0.08),
            sump_room: Volume::from_litres(7.0),
            gauge: Gauge::Standpipe { bore: Length::from_mm(8.0) },
            lean: Length::from_mm(0.0),
            edge_flow: 1.0,
            eye: 1.0,
            drain_bore: Length::from_mm(14.0),
            tube_leaves: Volume::from_ml(400.0),
            line_opens: Temperature::from_celsius(60.0),
            line_mismatch: 0.01,
            can: Mass::from_kg(9.0),
            kv40: KinematicViscosity::from_mm2_per_s(30.0),
            kv100: KinematicViscosity::from_mm2_per_s(6.0),
            density15_kg_m3: 845.0,
            expansion_per_k: 0.00075,
            drag_heat_w: 650.0,
            churning_heat_w: 400.0,
            cooler_opens: Temperature::from_celsius(72.0),
            cooler_w_per_k: 90.0,
            fluid_to_case_w_per_k: 400.0,
        }
    }

    /// Refuses what the equations were not made for.
    pub(super) fn check(&self) -> Result<(), VehicleError> {
        let rows: [(&'static str, f64, RangeInclusive<f64>); 26] = [
            ("charge_ml", self.charge.ml(), 500.0..=40_000.0),
            ("reference_c", self.reference.celsius(), 0.0..=40.0),
            ("set_at_c", self.set_at.celsius(), 0.0..=120.0),
            ("found_error_ml", self.found_error.ml(), -0.99 * self.charge.ml()..=self.charge.ml()),
            ("held_at_rest_ml", self.held_at_rest.ml(), 50.0..=30_000.0),
            ("drain_back_ml", self.drain_back.ml(), 0.0..=5_000.0),
            ("shift_circuits_ml", self.shift_circuits.ml(), 0.0..=2_000.0),
            ("clings_ml_per_k", self.clings_ml_per_k, 0.0..=100.0),
            ("runs_down_s", self.runs_down_s, 0.0..=600.0),
            ("sump_area_m2", self.sump_area.square_metres(), 0.005..=0.5),
            ("edge_flow", self.edge_flow, 0.2..=5.0),
            ("eye", self.eye, 0.2..=5.0),
            ("drain_bore_mm", self.drain_bore.mm(), 4.0..=60.0),
            ("tube_leaves_ml", self.tube_leaves.ml(), 0.0..=30_000.0),
            ("line_opens_c", self.line_opens.celsius(), -50.0..=150.0),
            ("line_mismatch", self.line_mismatch, -0.2..=0.2),
            ("can_kg", self.can.kg(), 0.0..=100.0),
            ("kv40_mm2_s", self.kv40.mm2_per_s(), 5.0..=200.0),
            ("kv100_mm2_s", self.kv100.mm2_per_s(), 1.0..=self.kv40.mm2_per_s().min(40.0)),
            ("density15_kg_m3", self.density15_kg_m3, 700.0..=1100.0),
            ("expansion_per_k", self.expansion_per_k, 0.0004..=0.0012),
            ("drag_heat_w", self.drag_heat_w, 0.0..=10_000.0),
            ("churning_heat_w", self.churning_heat_w, 0.0..=10_000.0),
            ("cooler_opens_c", self.cooler_opens.celsius(), 0.0..=150.0),
            ("cooler_w_per_k", self.cooler_w_per_k, 0.0..=500.0),
            ("fluid_to_case_w_per_k", self.fluid_to_case_w_per_k, 1.0..=500.0),
        ];
        for (name, value, range) in rows {
            within(name, value, range)?;
        }
        self.gauge.check()?;
        // The right height must be in the sump, and the sump must take what comes back after a stop.
        let right = self.right_ml();
        if right <= 0.0 {
            let (value, high) = (self.held_at_rest.ml(), self.held_at_rest.ml() + right);
            return Err(VehicleError::Parameter { name: "held_at_rest_ml", value, low: 50.0, high });
        }
        let floor_mm = -right * 1e-3 / self.sump_area.square_metres();
        within("lean_mm", self.lean.mm(), floor_mm.max(-LEANS_MM)..=LEANS_MM)?;
        let room = right + if self.set_idling { self.drain_back.ml() + self.shift_circuits.ml() } else { 0.0 };
        within("sump_room_ml", self.sump_room.ml(), room..=100_000.0)
    }

    /// Density, in kg/mL.
    pub(super) fn density(&self, temp_c: f64) -> f64 {
        self.density15_kg_m3 * 1e-6 / (1.0 + self.expansion_per_k * (temp_c - 15.0))
    }

    /// The mass of the right charge, in kg.
    pub(super) fn right_kg(&self) -> f64 {
        self.charge.ml() * self.density(self.reference.celsius())
    }

    /// Fluid in the sump when it stands at the right height, in mL: what the right charge leaves there at the
    /// temperature for setting the level, either idling with the shift circuits full or after a long stop.
    pub(super) fn right_ml(&self) -> f64 {
        let lifted = if self.set_idling { self.drain_back.ml() + self.shift_circuits.ml() } else { 0.0 };
        self.right_kg() / self.density(self.set_at.celsius()) - self.held_at_rest.ml() - lifted
    }

    /// By how much less the right charge stands in the sump at that temperature than at the one for setting the level, mL.
    pub(super) fn shrinks_ml(&self, temp_c: f64) -> f64 {
        let set_at = self.set_at.celsius();
        self.right_kg() / self.density(set_at) - self.right_kg() / self.density(temp_c)
            + self.clings_ml_per_k * (set_at - temp_c)
    }

    /// Kinematic viscosity in mm²/s: Vogel's form through the two stated points, with a fixed third constant of 95 °C
    /// (from memory; any curve that falls like a lubricant's does here).
    pub(super) fn viscosity(&self, temp_c: f64) -> f64 {
        let inverse = |t: f64| 1.0 / (t.max(-60.0) + 95.0);
        let slope = libm::log(self.kv40.mm2_per_s() / self.kv100.mm2_per_s()) / (inverse(40.0) - inverse(100.0));
        self.kv40.mm2_per_s() * libm::exp(slope * (inverse(temp_c) - inverse(40.0)))
    }
}
