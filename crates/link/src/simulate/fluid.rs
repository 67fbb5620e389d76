//! Where the fluid is: held up in converter and circuits, in the sump, in the pan.

use serde::{Deserialize, Serialize};

use super::VehicleParams;

const GRAVITY: f64 = 9.80665;
/// Part of the ideal flow that passes a sharp edge (hydraulics handbooks: 0.6–0.65, from memory).
const DISCHARGE: f64 = 0.62;
/// Viscosity at which the flow through the standpipe is halved, mm²/s: the simulation's own choice.
const THICK_MM2_S: f64 = 120.0;
/// How quickly the pump fills what it fills, s (common practice, no source).
const PUMP_S: f64 = 4.0;
/// How quickly it drains back after a stop, s (common practice, no source).
const DRAIN_BACK_S: f64 = 120.0;

/// Masses in kg, volumes in mL as they were at the moment of leaving.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Fluid {
    /// In the unit.
    pub unit_kg: f64,
    /// Held up above the sump, mL.
    pub held_ml: f64,
    pub circuits_filled: bool,
    pub poured_kg: f64,
    pub run_off_kg: f64,
    pub drained_kg: f64,
    pub caught_ml: f64,
    pub drained_ml: f64,
    /// Heat that came and went with the fluid, above 0 °C, J.
    pub carried_in_j: f64,
    pub carried_out_j: f64,
}

impl Fluid {
    pub(super) fn new(p: &VehicleParams) -> Self {
        let unit_kg = p.right_kg() + p.found_error.ml() * p.density(p.reference.celsius());
        Self {
            unit_kg,
            held_ml: p.held_at_rest.ml().min(unit_kg / p.density(p.start.celsius())),
            circuits_filled: false,
            poured_kg: 0.0,
            run_off_kg: 0.0,
            drained_kg: 0.0,
            caught_ml: 0.0,
            drained_ml: 0.0,
            carried_in_j: 0.0,
            carried_out_j: 0.0,
        }
    }

    pub(super) fn sump_ml(&self, p: &VehicleParams, temp_c: f64) -> f64 {
        (self.unit_kg / p.density(temp_c) - self.held_ml).max(0.0)
    }

    /// The pump lifts, or a stopped unit drains back; the rest of a first-order approach is exact for any step.
    pub(super) fn lift(&mut self, p: &VehicleParams, running: bool, temp_c: f64, dt: f64) {
        let rest = p.held_at_rest.ml();
        let (target, pace) = match running {
            true => (rest + p.drain_back.ml() + if self.circuits_filled { p.circuits.ml() } else { 0.0 }, PUMP_S),
            false => (rest, DRAIN_BACK_S),
        };
        self.held_ml += (target - self.held_ml) * (1.0 - libm::exp(-dt / pace));
        self.held_ml = self.held_ml.min(self.unit_kg / p.density(temp_c));
    }

    /// Flow over the standpipe's lip, mL/s: a weir around the rim at first, limited by the bore at a high head.
    pub(super) fn standpipe_ml_s(&self, p: &VehicleParams, temp_c: f64) -> f64 {
        let head_m = (self.sump_ml(p, temp_c) - p.lip_ml()) * 1e-6 / p.sump_area.square_metres();
        if head_m <= 0.0 {
            return 0.0;
        }
        let bore_m = p.standpipe_bore.metres();
        let fall = DISCHARGE * (2.0 * GRAVITY * head_m).sqrt();
        let rim = 2.0 / 3.0 * fall * std::f64::consts::PI * bore_m * head_m;
        let bore = fall * std::f64::consts::PI * bore_m * bore_m / 4.0;
        1e6 * (rim * bore / (rim + bore)) / (1.0 + p.viscosity(temp_c) / THICK_MM2_S)
    }

    /// Flow out of the drain hole, mL/s (Torricelli, from the sump's depth).
    fn drain_ml_s(&self, p: &VehicleParams, temp_c: f64) -> f64 {
        let depth_m = self.sump_ml(p, temp_c) * 1e-6 / p.sump_area.square_metres();
        let bore_m = p.drain_bore.metres();
        1e6 * DISCHARGE * (2.0 * GRAVITY * depth_m).sqrt() * std::f64::consts::PI * bore_m * bore_m / 4.0
    }

    pub(super) fn run_off(&mut self, p: &VehicleParams, temp_c: f64, dt: f64) {
        let above = (self.sump_ml(p, temp_c) - p.lip_ml()).max(0.0);
        let ml = (self.standpipe_ml_s(p, temp_c) * dt).min(above);
        let kg = self.take(p, temp_c, ml);
        self.run_off_kg += kg;
        self.caught_ml += ml;
    }

    pub(super) fn drain(&mut self, p: &VehicleParams, temp_c: f64, dt: f64) {
        let ml = (self.drain_ml_s(p, temp_c) * dt).min(self.sump_ml(p, temp_c));
        let kg = self.take(p, temp_c, ml);
        self.drained_kg += kg;
        self.drained_ml += ml;
    }

    fn take(&mut self, p: &VehicleParams, temp_c: f64, ml: f64) -> f64 {
        let kg = ml * p.density(temp_c);
        self.unit_kg -= kg;
        self.carried_out_j += kg * super::heat::FLUID_J_PER_KG_K * temp_c;
        kg
    }
}
