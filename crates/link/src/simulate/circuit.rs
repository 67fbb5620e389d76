//! One circuit of a simulated vehicle: what can be done to its fluid, and what can be seen of it.

use quantity::{Flow, Mass, Temperature, TemperatureDifference, Volume};
use serde::{Deserialize, Serialize};

use super::chance::Chance;
use super::fluid::{Fluid, TUBE_ML_S};
use super::gauge::{Gauge, Shown, Sight};
use super::{CircuitParams, Look, MAX_POUR, Plug, Resolution, TICK_S, VehicleError};

/// Run-off above this is a stream, mL/min: what the trade calls so, 2 mL/s (common practice, no source; so are the next two).
const STREAM_ML_MIN: f64 = 120.0;
/// Above this it still holds together: about ten drops of 0.05 mL a second.
const THIN_STREAM_ML_MIN: f64 = 30.0;
/// Below this less than one drop falls in ten seconds.
const DROPS_ML_MIN: f64 = 0.3;
/// A stick is pulled, an edge felt anew this often: until then the same look gives the same, s.
const LOOK_S: f64 = 20.0;
/// Standard deviation of a workshop scale, and its step, kg (common practice, no source).
const SCALE_SD_KG: f64 = 0.002;
const SCALE_STEP_KG: f64 = 0.005;

/// Fresh fluid that waits to go in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
struct Waiting {
    ml: f64,
    at_c: f64,
}

/// One circuit. It belongs to its [`Vehicle`](super::Vehicle), which lets time pass for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Circuit {
    pub(super) params: CircuitParams,
    pub(super) fluid: Fluid,
    pub(super) fluid_c: f64,
    chance: Chance,
    plugs_out: [bool; 3],
    tube_in: bool,
    line_open: bool,
    tank: Waiting,
    can: Waiting,
    pumped_kg: f64,
    sensor_c: f64,
    noise_k: f64,
    /// Where a level sensor that settles slowly sees the fluid, mL above the right level.
    sensed_ml: f64,
    looked: (f64, f64),
    since_look_s: f64,
}

impl Circuit {
    pub(super) fn new(params: &CircuitParams, start_c: f64, noise_k: f64, seed: u64) -> Self {
        let mut chance = Chance::new(seed);
        let looked = chance.normal_pair();
        let noise_k = noise_k * chance.normal_pair().0;
        let none = Waiting { ml: 0.0, at_c: start_c };
        let mut circuit = Self {
            fluid: Fluid::new(params, start_c),
            fluid_c: start_c,
            chance,
            plugs_out: [false; 3],
            tube_in: false,
            line_open: false,
            tank: none,
            can: none,
            pumped_kg: 0.0,
            sensor_c: start_c,
            noise_k,
            sensed_ml: 0.0,
            looked,
            since_look_s: 0.0,
            params: params.clone(),
        };
        circuit.sensed_ml = circuit.above_sensor_ml();
        circuit
    }

    /// What it is made of.
    pub fn params(&self) -> &CircuitParams {
        &self.params
    }

    /// Takes a plug out or puts it in.
    pub fn set_plug(&mut self, plug: Plug, out: bool) {
        self.plugs_out[plug as usize] = out;
    }

    /// True when the plug is out.
    pub fn plug_out(&self, plug: Plug) -> bool {
        self.plugs_out[plug as usize]
    }

    /// Puts a tube down to the sump and sucks, or takes it out. It stops by itself at what it cannot reach.
    pub fn set_tube(&mut self, sucking: bool) {
        self.tube_in = sucking;
    }

    /// Opens the cooler line into an exchange machine, or joins it again.
    pub fn set_line(&mut self, open: bool) {
        self.line_open = open;
    }

    /// Puts fresh fluid into the exchange machine's tank, instead of what was in it; 0–50 L at −40…150 °C. It goes in
    /// as old fluid comes out: engine running, line open, fluid warm enough for the thermostat.
    ///
    /// # Errors
    /// [`VehicleError::Pour`]; the tank is as it was then.
    pub fn fill_tank(&mut self, volume: Volume, temperature: Temperature) -> Result<(), VehicleError> {
        self.tank = waiting(volume, temperature)?;
        Ok(())
    }

    /// Sets a pump on an open fill hole to push that much out of a can, instead of what was left to push; 0–50 L at
    /// −40…150 °C.
    ///
    /// # Errors
    /// [`VehicleError::Pour`]; the pump is as it was then.
    pub fn pump(&mut self, volume: Volume, temperature: Temperature) -> Result<(), VehicleError> {
        self.can = waiting(volume, temperature)?;
        Ok(())
    }

    /// Pours fluid in through the fill hole; it mixes at once and runs down in time. 0–50 L at −40…150 °C.
    ///
    /// # Errors
    /// [`VehicleError::Pour`], [`VehicleError::FillPlugIn`], [`VehicleError::NoRoom`]; nothing is poured then.
    pub fn pour(&mut self, volume: Volume, temperature: Temperature) -> Result<(), VehicleError> {
        let given = waiting(volume, temperature)?;
        if !self.plug_out(Plug::Fill) {
            return Err(VehicleError::FillPlugIn);
        }
        let stands = self.fluid.sump_ml(&self.params, self.fluid_c) + self.fluid.walls_ml;
        let room_ml = self.params.sump_room.ml() - stands;
        if given.ml > room_ml {
            return Err(VehicleError::NoRoom { room_ml: room_ml.max(0.0) });
        }
        self.fluid_c = self.fluid.add(&self.params, self.fluid_c, given.ml, given.at_c);
        if self.params.runs_down_s > 0.0 {
            self.fluid.walls_ml += given.ml;
        }
        Ok(())
    }

    /// Takes that much out of the sump at once, as with a syringe, as far as it is there; what is taken is not in a pan.
    ///
    /// # Errors
    /// [`VehicleError::Pour`] when it is no volume from 0 to 50 L; nothing is taken then.
    pub fn take_out(&mut self, volume: Volume) -> Result<(), VehicleError> {
        let given = waiting(volume, Temperature::from_celsius(self.fluid_c.clamp(-40.0, 150.0)))?;
        self.fluid.take_out(&self.params, self.fluid_c, given.ml);
        Ok(())
    }

    /// One inner step for the fluid; heat is the vehicle's.
    pub(super) fn flow(&mut self, engine: bool) {
        let (p, temp_c) = (&self.params, self.fluid_c);
        self.fluid.lift(p, engine, temp_c, TICK_S);
        if self.plugs_out[Plug::Drain as usize] {
            self.fluid.drain(p, temp_c, TICK_S);
        }
        if self.plugs_out[Plug::Level as usize] {
            self.fluid.run_off(p, temp_c, TICK_S);
        }
        if self.tube_in {
            self.fluid.suck(p, temp_c, TICK_S);
        }
        if self.line_open && engine && self.tank.ml > 0.0 {
            let more = 1.0 + p.line_mismatch;
            let out = self.fluid.through_line(p, temp_c, self.tank.ml / more, TICK_S);
            let fresh = (out * more).min(self.tank.ml);
            // The last of a tank is not left in it by rounding.
            self.tank.ml = if self.tank.ml - fresh < 1e-6 { 0.0 } else { self.tank.ml - fresh };
            self.fluid.line_in_ml += fresh;
            self.fluid_c = self.fluid.add(p, temp_c, fresh, self.tank.at_c);
        }
        if self.can.ml > 0.0 && self.plugs_out[Plug::Fill as usize] {
            let ml = (TUBE_ML_S * TICK_S).min(self.can.ml);
            self.can.ml -= ml;
            self.pumped_kg += ml * p.density(self.can.at_c);
            self.fluid_c = self.fluid.add(p, self.fluid_c, ml, self.can.at_c);
        }
    }

    /// The sensors follow; `anew` once for every reading.
    pub(super) fn sense(&mut self, sensor_error: TemperatureDifference, lag_s: f64, noise_k: f64, anew: bool) {
        let target = self.fluid_c + sensor_error.kelvin();
        self.sensor_c += (target - self.sensor_c) * (1.0 - libm::exp(-TICK_S / lag_s));
        if let Gauge::Readout { settles_s, .. } = self.params.gauge {
            self.sensed_ml += (self.above_sensor_ml() - self.sensed_ml) * (1.0 - libm::exp(-TICK_S / settles_s));
        }
        self.since_look_s += TICK_S;
        if self.since_look_s >= LOOK_S {
            self.since_look_s = 0.0;
            self.looked = self.chance.normal_pair();
        }
        if anew {
            self.noise_k = noise_k * self.chance.normal_pair().0;
        }
    }

    /// What a reader shows of this circuit's temperature.
    pub(super) fn display(&self, resolution: Resolution) -> Temperature {
        let shown = Temperature::from_celsius(self.sensor_c + self.noise_k);
        match resolution {
            Resolution::WholeCelsius => Temperature::from_celsius(shown.celsius().round()),
            Resolution::TenthCelsius => Temperature::from_celsius((shown.celsius() * 10.0).round() / 10.0),
            Resolution::WholeFahrenheit => Temperature::from_fahrenheit(shown.fahrenheit().round()),
        }
    }

    /// The fluid's temperature itself, as a thermometer in the pan would show it.
    pub fn true_fluid(&self) -> Temperature {
        Temperature::from_celsius(self.fluid_c)
    }

    /// Above the right level, mL; negative below.
    fn above_ml(&self) -> f64 {
        self.fluid.sump_ml(&self.params, self.fluid_c) - self.params.right_ml()
    }

    /// The same where a level sensor sits, which stands higher or lower where the vehicle is off level.
    fn above_sensor_ml(&self) -> f64 {
        self.above_ml() - self.params.lean.mm() * 1e3 * self.params.sump_area.square_metres()
    }

    /// Flow over lip or edge at this moment; 0 with the level plug in.
    pub fn run_off_flow(&self) -> Flow {
        let open = self.plug_out(Plug::Level);
        Flow::from_ml_per_second(if open { self.fluid.edge_ml_s(&self.params, self.fluid_c) } else { 0.0 })
    }

    /// How the run-off looks.
    pub fn run_off_look(&self) -> Look {
        match self.run_off_flow().ml_per_minute() / self.params.eye {
            flow if flow > STREAM_ML_MIN => Look::Stream,
            flow if flow > THIN_STREAM_ML_MIN => Look::ThinStream,
            flow if flow > DROPS_ML_MIN => Look::Drops,
            _ => Look::Nothing,
        }
    }

    /// What the level reads as, with the scatter of a hand; `None` where nothing is read. A stick is pulled anew every
    /// 20 s: asking twice at once gives the same.
    pub fn shown(&self) -> Option<Shown> {
        self.params.gauge.shown(&Sight {
            above_mm: self.above_ml() * 1e-3 / self.params.sump_area.square_metres(),
            lean_mm: self.params.lean.mm(),
            walls_ml: self.fluid.walls_ml,
            runs: self.run_off_look() != Look::Nothing,
            sensed_ml: self.sensed_ml,
            scatter: self.looked,
        })
    }

    /// The same against the cold marks of a dipstick; `None` without cold marks.
    pub fn shown_cold(&self) -> Option<Shown> {
        let Gauge::Stick { cold_at: Some(cold_at), .. } = self.params.gauge else { return None };
        let Some(Shown::Stick { one, other }) = self.shown() else { return None };
        let lower = self.params.shrinks_ml(cold_at.celsius()) * 1e-3 / self.params.sump_area.square_metres();
        let lower = quantity::Length::from_mm(lower.round());
        Some(Shown::Stick { one: one + lower, other: other + lower })
    }

    /// The can with pump and hose on a scale that shows 5 g.
    pub fn can(&self) -> Mass {
        let exact = self.params.can.kg() - self.pumped_kg + SCALE_SD_KG * self.looked.0;
        Mass::from_kg((exact / SCALE_STEP_KG).round() * SCALE_STEP_KG)
    }

    /// True while the pump or the exchange machine still has something to move and the tube still reaches fluid: what
    /// is measured then is not the whole yet.
    pub fn moving(&self, engine: bool) -> bool {
        let sump = self.fluid.sump_ml(&self.params, self.fluid_c);
        let sucking = self.tube_in && sump > self.params.tube_leaves.ml() + 1.0;
        let pumping = self.can.ml > 0.0 && self.plug_out(Plug::Fill);
        let passing = self.line_open && engine && self.tank.ml > 0.0;
        let draining = self.plug_out(Plug::Drain) && sump > 1.0;
        sucking || pumping || passing || draining
    }

    /// Run-off in the pan since it was last emptied, as warm as it came.
    pub fn caught(&self) -> Volume {
        Volume::from_ml(self.fluid.caught_ml)
    }

    /// Drained or sucked out since the pan was last emptied, as warm as it came.
    pub fn drained(&self) -> Volume {
        Volume::from_ml(self.fluid.drained_ml)
    }

    /// Passed through the cooler line since the beginning: old fluid out, as warm as it came, and fresh fluid in, as
    /// warm as it was in the tank.
    pub fn exchanged(&self) -> (Volume, Volume) {
        (Volume::from_ml(self.fluid.line_out_ml), Volume::from_ml(self.fluid.line_in_ml))
    }

    /// Empties both pans: [`caught`](Self::caught) and [`drained`](Self::drained) count from 0 again.
    pub fn empty_pans(&mut self) {
        self.fluid.caught_ml = 0.0;
        self.fluid.drained_ml = 0.0;
    }

    /// How much too much (above 0) or too little is in it, in mL at the reference temperature. The truth, for tests;
    /// nobody in the workshop sees it.
    pub fn charge_error_ml(&self) -> f64 {
        (self.fluid.unit_kg - self.params.right_kg()) / self.params.density(self.params.reference.celsius())
    }

    /// Which part of what is in it was in it at the beginning, 0…1. The truth, for tests.
    pub fn old_share(&self) -> f64 {
        self.fluid.old_kg / self.fluid.unit_kg
    }
}

fn waiting(volume: Volume, temperature: Temperature) -> Result<Waiting, VehicleError> {
    let (ml, celsius) = (volume.ml(), temperature.celsius());
    if !(0.0..=MAX_POUR.ml()).contains(&ml) || !(-40.0..=150.0).contains(&celsius) {
        return Err(VehicleError::Pour { ml, celsius });
    }
    Ok(Waiting { ml, at_c: celsius })
}
