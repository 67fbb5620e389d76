//! Where the fluid of one circuit is: held up in converter and shift circuits, on the walls, in the sump, in the pan.

use serde::{Deserialize, Serialize};

use super::CircuitParams;

const GRAVITY: f64 = 9.80665;
/// Part of the ideal flow that passes a sharp edge (hydraulics handbooks: 0.6–0.65, from memory).
const DISCHARGE: f64 = 0.62;
/// mm^2.5 in m^2.5.
const MM_2_5: f64 = 3.162_277_660_168_379e-8;
/// Viscosity at which the flow over an edge is halved, mm²/s: the simulation's own choice.
const THICK_MM2_S: f64 = 120.0;
/// How quickly the pump fills what it fills, s (common practice, no source).
const PUMP_S: f64 = 4.0;
/// How quickly it drains back after a stop, s (common practice, no source).
const DRAIN_BACK_S: f64 = 120.0;
/// What a hand or an electric pump moves through a tube or a port, mL/s (common practice, no source).
pub(super) const TUBE_ML_S: f64 = 25.0;
/// What a unit pushes through its cooler line at idle with the thermostat open, mL/s (common practice, no source).
const LINE_ML_S: f64 = 30.0;
/// Width over which the thermostat in the line opens, K.
const LINE_WIDTH_K: f64 = 2.0;

/// Masses in kg, volumes in mL as they were at the moment of leaving.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Fluid {
    /// In the unit.
    pub unit_kg: f64,
    /// Of it, what was in it at the beginning.
    pub old_kg: f64,
    /// Held up above the sump, mL.
    pub held_ml: f64,
    /// Poured and still running down, mL.
    pub walls_ml: f64,
    /// The shift circuits are full.
    pub circuits_filled: bool,
    pub poured_kg: f64,
    pub left_kg: f64,
    pub caught_ml: f64,
    pub drained_ml: f64,
    /// Passed through the cooler line, mL: old fluid out, fresh fluid in.
    pub line_out_ml: f64,
    pub line_in_ml: f64,
    /// Heat that came and went with the fluid, above 0 °C, J.
    pub carried_in_j: f64,
    pub carried_out_j: f64,
}

impl Fluid {
    pub(super) fn new(p: &CircuitParams, start_c: f64) -> Self {
        let unit_kg = p.right_kg() + p.found_error.ml() * p.density(p.reference.celsius());
        Self {
            unit_kg,
            old_kg: unit_kg,
            held_ml: p.held_at_rest.ml().min(unit_kg / p.density(start_c)),
            walls_ml: 0.0,
            circuits_filled: false,
            poured_kg: 0.0,
            left_kg: 0.0,
            caught_ml: 0.0,
            drained_ml: 0.0,
            line_out_ml: 0.0,
            line_in_ml: 0.0,
            carried_in_j: 0.0,
            carried_out_j: 0.0,
        }
    }

    pub(super) fn sump_ml(&self, p: &CircuitParams, temp_c: f64) -> f64 {
        (self.unit_kg / p.density(temp_c) - self.held_ml - self.walls_ml).max(0.0)
    }

    /// The pump lifts, or a stopped unit drains back; what was poured runs down. The rest of a first-order approach is
    /// exact for any step.
    pub(super) fn lift(&mut self, p: &CircuitParams, running: bool, temp_c: f64, dt: f64) {
        let rest = p.held_at_rest.ml();
        let (target, pace) = match running {
            true => {
                let circuits = if self.circuits_filled { p.shift_circuits.ml() } else { 0.0 };
                let clings = p.clings_ml_per_k * (p.set_at.celsius() - temp_c);
                ((rest + p.drain_back.ml() + circuits + clings).max(0.0), PUMP_S)
            }
            // Nothing fills a converter that was never pumped full.
            false => (rest.min(self.held_ml), DRAIN_BACK_S),
        };
        self.held_ml += (target - self.held_ml) * (1.0 - libm::exp(-dt / pace));
        self.held_ml = self.held_ml.min(self.unit_kg / p.density(temp_c));
        if p.runs_down_s > 0.0 {
            self.walls_ml *= libm::exp(-dt / p.runs_down_s);
        }
    }

    /// What stands above the edge of the gauge, mL; `None` where nothing can run over.
    fn above_edge_ml(&self, p: &CircuitParams, temp_c: f64) -> Option<f64> {
        let (edge_mm, _) = p.gauge.edge_mm()?;
        let edge_mm = edge_mm + p.lean.mm();
        Some(self.sump_ml(p, temp_c) - p.right_ml() - edge_mm * 1e3 * p.sump_area.square_metres())
    }

    /// Flow over the edge, mL/s: a weir at first, limited by the bore at a high head.
    pub(super) fn edge_ml_s(&self, p: &CircuitParams, temp_c: f64) -> f64 {
        let Some(((_, bore_mm), above)) = p.gauge.edge_mm().zip(self.above_edge_ml(p, temp_c)) else {
            return 0.0;
        };
        let head_m = above * 1e-6 / p.sump_area.square_metres();
        if head_m <= 0.0 {
            return 0.0;
        }
        let fall = DISCHARGE * (2.0 * GRAVITY * head_m).sqrt();
        let rim = DISCHARGE * (2.0 * GRAVITY).sqrt() * p.gauge.crest(head_m * 1e3) * MM_2_5;
        let bore = fall * std::f64::consts::PI * bore_mm * bore_mm * 1e-6 / 4.0;
        1e6 * p.edge_flow * (rim * bore / (rim + bore)) / (1.0 + p.viscosity(temp_c) / THICK_MM2_S)
    }

    /// Flow out of the drain hole, mL/s (Torricelli, from the sump's depth).
    fn drain_ml_s(&self, p: &CircuitParams, temp_c: f64) -> f64 {
        let depth_m = self.sump_ml(p, temp_c) * 1e-6 / p.sump_area.square_metres();
        let bore_m = p.drain_bore.metres();
        1e6 * DISCHARGE * (2.0 * GRAVITY * depth_m).sqrt() * std::f64::consts::PI * bore_m * bore_m / 4.0
    }

    pub(super) fn run_off(&mut self, p: &CircuitParams, temp_c: f64, dt: f64) {
        let above = self.above_edge_ml(p, temp_c).unwrap_or(0.0).max(0.0);
        let ml = (self.edge_ml_s(p, temp_c) * dt).min(above);
        self.take(p, temp_c, ml);
        self.caught_ml += ml;
    }

    pub(super) fn drain(&mut self, p: &CircuitParams, temp_c: f64, dt: f64) {
        let ml = (self.drain_ml_s(p, temp_c) * dt).min(self.sump_ml(p, temp_c));
        self.take(p, temp_c, ml);
        self.drained_ml += ml;
    }

    /// Sucks through a tube, down to what it cannot reach.
    pub(super) fn suck(&mut self, p: &CircuitParams, temp_c: f64, dt: f64) {
        let ml = (TUBE_ML_S * dt).min(self.sump_ml(p, temp_c) - p.tube_leaves.ml()).max(0.0);
        self.take(p, temp_c, ml);
        self.drained_ml += ml;
    }

    pub(super) fn take_out(&mut self, p: &CircuitParams, temp_c: f64, ml: f64) {
        self.take(p, temp_c, ml.min(self.sump_ml(p, temp_c)));
    }

    /// Pushes old fluid out of the open cooler line, as much as `most_ml` allows; gives what went out, mL.
    pub(super) fn through_line(&mut self, p: &CircuitParams, temp_c: f64, most_ml: f64, dt: f64) -> f64 {
        let opened = ((temp_c - p.line_opens.celsius()) / LINE_WIDTH_K).clamp(0.0, 1.0);
        let ml = (LINE_ML_S * opened * dt).min(most_ml).min(self.sump_ml(p, temp_c)).max(0.0);
        self.take(p, temp_c, ml);
        self.line_out_ml += ml;
        ml
    }

    /// Puts fresh fluid in; gives the temperature of the mixture.
    pub(super) fn add(&mut self, p: &CircuitParams, temp_c: f64, ml: f64, at_c: f64) -> f64 {
        let kg = ml * p.density(at_c);
        let mixed_kg = self.unit_kg + kg;
        let mixed_c = (temp_c * self.unit_kg + at_c * kg) / mixed_kg;
        self.unit_kg = mixed_kg;
        self.poured_kg += kg;
        self.carried_in_j += kg * super::heat::FLUID_J_PER_KG_K * at_c;
        mixed_c
    }

    fn take(&mut self, p: &CircuitParams, temp_c: f64, ml: f64) {
        let kg = ml * p.density(temp_c);
        self.old_kg *= ((self.unit_kg - kg) / self.unit_kg).max(0.0);
        self.unit_kg -= kg;
        self.left_kg += kg;
        self.carried_out_j += kg * super::heat::FLUID_J_PER_KG_K * temp_c;
    }
}
