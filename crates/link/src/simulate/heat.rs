//! Where the heat goes: engine with coolant, fluid, case.

use serde::{Deserialize, Serialize};

use super::VehicleParams;

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

/// Three temperatures in °C, the idle, and the account of the heat since the beginning in J.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Heat {
    pub engine_c: f64,
    pub fluid_c: f64,
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
        Self { engine_c: start_c, fluid_c: start_c, case_c: start_c, fast_idle: 0.0, made_j: 0.0, lost_j: 0.0 }
    }

    pub(super) fn engine_started(&mut self, p: &VehicleParams) {
        // The colder the engine, the faster it idles; `fast_idle` is the figure for 20 °C.
        let coldness = ((NO_FAST_IDLE_C - self.engine_c) / (NO_FAST_IDLE_C - 20.0)).clamp(0.0, 1.5);
        self.fast_idle = p.fast_idle * coldness;
    }

    /// One explicit step. `wander` multiplies the heat that is made, 1 on average.
    pub(super) fn step(&mut self, p: &VehicleParams, fluid_kg: f64, running: bool, wander: f64, dt: f64) {
        let (into_engine, into_fluid) = if running { self.made(p, wander) } else { (0.0, 0.0) };
        let engine_to_fluid = if running { self.cooler(p) * (self.engine_c - self.fluid_c) } else { 0.0 };
        let fluid_to_case = p.fluid_to_case_w_per_k * (self.fluid_c - self.case_c);
        let engine_to_case = p.engine_to_case_w_per_k * (self.engine_c - self.case_c);
        let ambient = p.ambient.celsius();
        let case_to_air = p.case_to_air_w_per_k * (self.case_c - ambient);
        let mut engine_to_air = p.engine_to_air_w_per_k * (self.engine_c - ambient);
        if running && self.engine_c > THERMOSTAT_C {
            engine_to_air += RADIATOR_W_PER_K * (self.engine_c - THERMOSTAT_C);
        }
        let fluid_j_per_k = fluid_kg * FLUID_J_PER_KG_K;
        self.engine_c += (into_engine - engine_to_fluid - engine_to_case - engine_to_air) * dt / p.engine_j_per_k;
        self.fluid_c += (into_fluid + engine_to_fluid - fluid_to_case) * dt / fluid_j_per_k;
        self.case_c += (fluid_to_case + engine_to_case - case_to_air) * dt / p.case_j_per_k;
        self.made_j += (into_engine + into_fluid) * dt;
        self.lost_j += (case_to_air + engine_to_air) * dt;
        self.fast_idle *= libm::exp(-dt / p.fast_idle_decay_s);
    }

    /// Heat made in engine and fluid, W. Drag grows with the square of the idle speed, churning also with viscosity.
    fn made(&self, p: &VehicleParams, wander: f64) -> (f64, f64) {
        let speed = 1.0 + self.fast_idle;
        let thickness = (p.viscosity(self.fluid_c) / p.kv40.mm2_per_s()).sqrt();
        (p.engine_heat_w * speed * wander, (p.drag_heat_w + p.churning_heat_w * thickness) * speed * speed * wander)
    }

    /// Coolant to fluid, W/K: a tenth leaks through the bypass, all of it passes once the fluid is hot.
    fn cooler(&self, p: &VehicleParams) -> f64 {
        let x = ((self.fluid_c - p.cooler_opens.celsius()) / COOLER_WIDTH_K).clamp(0.0, 1.0);
        p.cooler_w_per_k * (0.1 + 0.9 * x * x * (3.0 - 2.0 * x))
    }

    /// Heat held above 0 °C, J.
    pub(super) fn stored_j(&self, p: &VehicleParams, fluid_kg: f64) -> f64 {
        self.engine_c * p.engine_j_per_k + self.case_c * p.case_j_per_k + self.fluid_c * fluid_kg * FLUID_J_PER_KG_K
    }
}
