//! Where the heat goes: engine with coolant, the fluid of each circuit, the case they share.

use serde::{Deserialize, Serialize};

use super::circuit::Circuit;
use super::{CircuitParams, VehicleParams};

/// Specific heat of the fluid, J/(kg·K); mineral and synthetic oils lie near 2000 (from memory).
pub(super) const FLUID_J_PER_KG_K: f64 = 2000.0;
/// Above this coolant temperature the thermostat lets the radiator take heat, °C (common practice, no source).
const THERMOSTAT_C: f64 = 88.0;
/// Coolant to air through the radiator, W/K.
const RADIATOR_W_PER_K: f64 = 1500.0;
/// Coolant temperature above which there is no fast idle, °C (common practice, no source).
const NO_FAST_IDLE_C: f64 = 70.0;
/// Width over which the cooler's bypass closes, K.
const COOLER_WIDTH_K: f64 = 8.0;

/// Engine and case in °C, the idle, and the account of the heat since the beginning in J.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Heat {
    pub engine_c: f64,
    pub case_c: f64,
    /// Fast idle that is left, as a part of warm idle.
    pub fast_idle: f64,
    /// Made by combustion and drag.
    pub made_j: f64,
    /// Given to the air.
    pub lost_j: f64,
}

impl Heat {
    pub(super) fn new(start_c: f64) -> Self {
        Self { engine_c: start_c, case_c: start_c, fast_idle: 0.0, made_j: 0.0, lost_j: 0.0 }
    }

    pub(super) fn engine_started(&mut self, p: &VehicleParams) {
        // The colder the engine, the faster it idles; `fast_idle` is the figure for 20 °C.
        let coldness = ((NO_FAST_IDLE_C - self.engine_c) / (NO_FAST_IDLE_C - 20.0)).clamp(0.0, 1.5);
        self.fast_idle = p.fast_idle * coldness;
    }

    /// One explicit step. `wander` multiplies the heat that is made, 1 on average.
    pub(super) fn step<'a>(
        &mut self,
        p: &VehicleParams,
        circuits: impl Iterator<Item = &'a mut Circuit>,
        running: bool,
        wander: f64,
        dt: f64,
    ) {
        let speed = 1.0 + self.fast_idle;
        let into_engine = if running { p.engine_heat_w * speed * wander } else { 0.0 };
        let (mut out_of_engine, mut into_case, mut made) = (0.0, 0.0, into_engine);
        for circuit in circuits {
            let (c, fluid_c, j_per_k) = (&circuit.params, circuit.fluid_c, circuit.fluid.unit_kg * FLUID_J_PER_KG_K);
            // A film of fluid takes no more heat in one step than brings it half the way.
            let most = j_per_k / (4.0 * dt);
            let into_fluid = if running { drag(c, fluid_c) * speed * speed * wander } else { 0.0 };
            let from_engine = if running { cooler(c, fluid_c).min(most) * (self.engine_c - fluid_c) } else { 0.0 };
            let to_case = c.fluid_to_case_w_per_k.min(most) * (fluid_c - self.case_c);
            circuit.fluid_c += (into_fluid + from_engine - to_case) * dt / j_per_k;
            out_of_engine += from_engine;
            into_case += to_case;
            made += into_fluid;
        }
        let engine_to_case = p.engine_to_case_w_per_k * (self.engine_c - self.case_c);
        let ambient = p.ambient.celsius();
        let case_to_air = p.case_to_air_w_per_k * (self.case_c - ambient);
        let mut engine_to_air = p.engine_to_air_w_per_k * (self.engine_c - ambient);
        if running && self.engine_c > THERMOSTAT_C {
            engine_to_air += RADIATOR_W_PER_K * (self.engine_c - THERMOSTAT_C);
        }
        self.engine_c += (into_engine - out_of_engine - engine_to_case - engine_to_air) * dt / p.engine_j_per_k;
        self.case_c += (into_case + engine_to_case - case_to_air) * dt / p.case_j_per_k;
        self.made_j += made * dt;
        self.lost_j += (case_to_air + engine_to_air) * dt;
        self.fast_idle *= libm::exp(-dt / p.fast_idle_decay_s);
    }
}

/// Heat made in the fluid at warm idle, W: drag, and churning that grows with viscosity.
fn drag(c: &CircuitParams, fluid_c: f64) -> f64 {
    let thickness = (c.viscosity(fluid_c) / c.kv40.mm2_per_s()).sqrt();
    c.drag_heat_w + c.churning_heat_w * thickness
}

/// Coolant to fluid, W/K: a tenth leaks through the bypass, all of it passes once the fluid is hot.
fn cooler(c: &CircuitParams, fluid_c: f64) -> f64 {
    let x = ((fluid_c - c.cooler_opens.celsius()) / COOLER_WIDTH_K).clamp(0.0, 1.0);
    c.cooler_w_per_k * (0.1 + 0.9 * x * x * (3.0 - 2.0 * x))
}
