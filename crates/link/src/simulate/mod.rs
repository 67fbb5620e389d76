//! A simulated vehicle: engine, unit, standpipe, and a reader that shows the fluid's temperature.
//!
//! Its structure is its own: three temperatures, churning heat that falls as the fluid thins, a fast idle after a cold
//! start, a cooler that comes in late, a heat input that wanders. Fluid is lifted by the pump, drains back after a stop,
//! expands, runs off, is drained and poured. Time is handed in; the same seed and the same calls give the same state.
//!
//! ```
//! use link::simulate::{Plug, Vehicle, VehicleParams};
//! let mut vehicle = Vehicle::new(VehicleParams::demo(), 1)?;
//! vehicle.set_engine(true);
//! vehicle.cycle_selector();
//! vehicle.advance(8.5 * 60.0)?;
//! assert!((35.0..45.0).contains(&vehicle.true_fluid().celsius()));
//! vehicle.set_plug(Plug::Level, true);
//! vehicle.advance(60.0)?;
//! assert_eq!(vehicle.caught().ml(), 0.0); // found 350 mL low: nothing runs off
//! # Ok::<(), link::simulate::VehicleError>(())
//! ```

mod chance;
mod fluid;
mod heat;
mod params;

use quantity::{Flow, Temperature, Volume};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use chance::Chance;
use fluid::Fluid;
use heat::{FLUID_J_PER_KG_K, Heat};
pub use params::{Resolution, VehicleParams};

/// Seconds of one inner step. Short against every time constant that [`VehicleParams`] allows.
const TICK_S: f64 = 0.25;
/// Inner steps between two readings, and between two changes of the heat input.
const TICKS_A_READING: u64 = 4;
/// Longest single [`Vehicle::advance`]: two days.
pub const MAX_ADVANCE_S: f64 = 172_800.0;
/// Most that one [`Vehicle::pour`] takes.
pub const MAX_POUR: Volume = Volume::from_litres(50.0);

/// Run-off above this is a stream, mL/min (common practice, no source; so are the next two).
const STREAM_ML_MIN: f64 = 150.0;
/// Above this it still holds together: about ten drops of 0.05 mL a second.
const THIN_STREAM_ML_MIN: f64 = 30.0;
/// Below this less than one drop falls in ten seconds.
const DROPS_ML_MIN: f64 = 0.3;

/// A threaded closure of the unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Plug {
    /// Where fluid is poured in.
    Fill,
    /// Where surplus runs off.
    Level,
    /// Where the sump is emptied.
    Drain,
}

/// How the run-off looks to whoever lies underneath.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Look {
    /// A full stream.
    Stream,
    /// A thin stream that holds together.
    ThinStream,
    /// Single drops.
    Drops,
    /// Nothing comes out, or the level plug is in.
    Nothing,
}

/// Why a call to a simulated vehicle was refused. Nothing has changed then.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum VehicleError {
    /// A parameter outside the range in which the equations hold.
    #[error("simulated vehicle: {name} is {value}, allowed is {low} to {high}")]
    Parameter {
        /// The key of the parameter.
        name: &'static str,
        /// What was given.
        value: f64,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
    },
    /// Negative, not finite or longer than [`MAX_ADVANCE_S`].
    #[error("simulated vehicle: cannot advance by {seconds} s")]
    Advance {
        /// What was asked for.
        seconds: f64,
    },
    /// A volume or a temperature that cannot be poured.
    #[error("simulated vehicle: cannot pour {ml} mL at {celsius} °C")]
    Pour {
        /// The volume in mL.
        ml: f64,
        /// The temperature in °C.
        celsius: f64,
    },
    /// The fill plug is in.
    #[error("simulated vehicle: the fill plug is in")]
    FillPlugIn,
    /// More than goes in.
    #[error("simulated vehicle: only {room_ml:.0} mL more go in")]
    NoRoom {
        /// Room up to the fill hole in mL.
        room_ml: f64,
    },
}

impl VehicleError {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Parameter { .. } => "choose a value in the allowed range",
            Self::Advance { .. } => "give 0 to 172800 seconds (two days) at a time",
            Self::Pour { .. } => "pour 0 to 50 L at −40 to 150 °C",
            Self::FillPlugIn => "take the fill plug out first",
            Self::NoRoom { .. } => "pour less, or start the engine so that the pump takes some up",
        }
    }
}

/// What can be seen at one moment, without looking inside.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Observation {
    /// Seconds since the simulation began.
    pub elapsed_s: f64,
    /// What the reader shows.
    #[serde(rename = "temperature_c")]
    pub display: Temperature,
    /// Whether the engine runs.
    pub engine: bool,
    /// How the run-off looks.
    pub look: Look,
    /// Run-off in the pan.
    #[serde(rename = "caught_ml")]
    pub caught: Volume,
    /// Drained fluid in the pan.
    #[serde(rename = "drained_ml")]
    pub drained: Volume,
    /// Fill, level, drain plug out?
    pub plugs_out: [bool; 3],
}

/// Mass and heat since the beginning, to check that nothing appears or vanishes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Account {
    /// Fluid in the unit, kg.
    pub unit_kg: f64,
    /// Poured in, kg.
    pub poured_kg: f64,
    /// Run off and drained, kg.
    pub left_kg: f64,
    /// Heat held above 0 °C, J.
    pub stored_j: f64,
    /// Heat made by engine and drag, J.
    pub made_j: f64,
    /// Heat given to the air, J.
    pub lost_j: f64,
    /// Heat that came with poured fluid, J.
    pub carried_in_j: f64,
    /// Heat that left with the fluid, J.
    pub carried_out_j: f64,
}

/// A simulated vehicle. The whole state is serialised, so that it goes on where it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Vehicle {
    params: VehicleParams,
    chance: Chance,
    heat: Heat,
    fluid: Fluid,
    engine: bool,
    plugs_out: [bool; 3],
    ticks: u64,
    /// Time handed in that does not fill an inner step yet, s.
    pending_s: f64,
    /// Wandering of the heat input, as a part of it.
    wander: f64,
    sensor_c: f64,
    noise_k: f64,
}

impl Vehicle {
    /// A vehicle at rest, all plugs in, everything at the start temperature.
    ///
    /// # Errors
    /// [`VehicleError::Parameter`] names the first parameter out of range.
    pub fn new(params: VehicleParams, seed: u64) -> Result<Self, VehicleError> {
        params.check()?;
        let start = params.start.celsius();
        let mut vehicle = Self {
            chance: Chance::new(seed),
            heat: Heat::new(start),
            fluid: Fluid::new(&params),
            engine: false,
            plugs_out: [false; 3],
            ticks: 0,
            pending_s: 0.0,
            wander: 0.0,
            sensor_c: start,
            noise_k: 0.0,
            params,
        };
        let (wander, noise) = vehicle.chance.normal_pair();
        vehicle.wander = wander * vehicle.params.wander;
        vehicle.noise_k = noise * vehicle.params.noise_k;
        Ok(vehicle)
    }

    /// What it is made of.
    pub fn params(&self) -> &VehicleParams {
        &self.params
    }

    /// Starts the engine or stops it; a stopped unit drains back into its sump.
    pub fn set_engine(&mut self, running: bool) {
        if running && !self.engine {
            self.heat.engine_started(&self.params);
        }
        if !running {
            self.fluid.circuits_filled = false;
        }
        self.engine = running;
    }

    /// True while the engine runs.
    pub fn engine(&self) -> bool {
        self.engine
    }

    /// Moves the selector through every range: with the engine running the circuits fill from the sump.
    pub fn cycle_selector(&mut self) {
        self.fluid.circuits_filled |= self.engine;
    }

    /// Takes a plug out or puts it in.
    pub fn set_plug(&mut self, plug: Plug, out: bool) {
        self.plugs_out[plug as usize] = out;
    }

    /// True when the plug is out.
    pub fn plug_out(&self, plug: Plug) -> bool {
        self.plugs_out[plug as usize]
    }

    /// Pours fluid in through the fill hole; it mixes at once. 0–50 L at −40…150 °C.
    ///
    /// # Errors
    /// [`VehicleError::Pour`], [`VehicleError::FillPlugIn`], [`VehicleError::NoRoom`]; nothing is poured then.
    pub fn pour(&mut self, volume: Volume, temperature: Temperature) -> Result<(), VehicleError> {
        let (ml, celsius) = (volume.ml(), temperature.celsius());
        if !(0.0..=MAX_POUR.ml()).contains(&ml) || !(-40.0..=150.0).contains(&celsius) {
            return Err(VehicleError::Pour { ml, celsius });
        }
        if !self.plug_out(Plug::Fill) {
            return Err(VehicleError::FillPlugIn);
        }
        let room_ml = self.params.sump_room.ml() - self.fluid.sump_ml(&self.params, self.heat.fluid_c);
        if ml > room_ml {
            return Err(VehicleError::NoRoom { room_ml: room_ml.max(0.0) });
        }
        let kg = ml * self.params.density(celsius);
        let mixed_kg = self.fluid.unit_kg + kg;
        self.heat.fluid_c = (self.heat.fluid_c * self.fluid.unit_kg + celsius * kg) / mixed_kg;
        self.fluid.unit_kg = mixed_kg;
        self.fluid.poured_kg += kg;
        self.fluid.carried_in_j += kg * FLUID_J_PER_KG_K * celsius;
        Ok(())
    }

    /// Lets time pass: 0 to [`MAX_ADVANCE_S`], in inner steps of a quarter of a second, so that one long call and many
    /// short ones come to the same. Time that does not fill an inner step is kept for the next call.
    ///
    /// # Errors
    /// [`VehicleError::Advance`] when negative, not finite or too long; no time passes then.
    pub fn advance(&mut self, seconds: f64) -> Result<(), VehicleError> {
        if !(0.0..=MAX_ADVANCE_S).contains(&seconds) {
            return Err(VehicleError::Advance { seconds });
        }
        self.pending_s += seconds;
        while self.pending_s >= TICK_S {
            self.pending_s -= TICK_S;
            self.tick();
        }
        Ok(())
    }

    fn tick(&mut self) {
        let p = &self.params;
        let temp_c = self.heat.fluid_c;
        self.fluid.lift(p, self.engine, temp_c, TICK_S);
        if self.plugs_out[Plug::Drain as usize] {
            self.fluid.drain(p, temp_c, TICK_S);
        }
        if self.plugs_out[Plug::Level as usize] {
            self.fluid.run_off(p, temp_c, TICK_S);
        }
        // Heat input never turns into cooling, however far it wanders.
        self.heat.step(p, self.fluid.unit_kg, self.engine, (1.0 + self.wander).max(0.0), TICK_S);
        let target = self.heat.fluid_c + p.sensor_error.kelvin();
        self.sensor_c += (target - self.sensor_c) * (1.0 - libm::exp(-TICK_S / p.sensor_lag_s));
        self.ticks += 1;
        if self.ticks.is_multiple_of(TICKS_A_READING) {
            let (first, second) = self.chance.normal_pair();
            // Ornstein–Uhlenbeck, exact over the step: the spread stays at `wander` for ever.
            let kept = libm::exp(-TICK_S * TICKS_A_READING as f64 / p.wander_time_s);
            self.wander = self.wander * kept + p.wander * (1.0 - kept * kept).sqrt() * first;
            self.noise_k = p.noise_k * second;
        }
    }

    /// Seconds since the beginning, time that does not fill an inner step included.
    pub fn elapsed_s(&self) -> f64 {
        self.ticks as f64 * TICK_S + self.pending_s
    }

    /// What the reader shows: the lagging sensor, with noise, rounded to what the display can show. It changes once a
    /// second; asking twice gives the same.
    pub fn display(&self) -> Temperature {
        let shown = Temperature::from_celsius(self.sensor_c + self.noise_k);
        match self.params.resolution {
            Resolution::WholeCelsius => Temperature::from_celsius(shown.celsius().round()),
            Resolution::TenthCelsius => Temperature::from_celsius((shown.celsius() * 10.0).round() / 10.0),
            Resolution::WholeFahrenheit => Temperature::from_fahrenheit(shown.fahrenheit().round()),
        }
    }

    /// The fluid's temperature itself, for tests; no reader sees it.
    pub fn true_fluid(&self) -> Temperature {
        Temperature::from_celsius(self.heat.fluid_c)
    }

    /// Flow out of the standpipe at this moment; 0 with the level plug in.
    pub fn run_off_flow(&self) -> Flow {
        if self.plug_out(Plug::Level) {
            Flow::from_ml_per_second(self.fluid.standpipe_ml_s(&self.params, self.heat.fluid_c))
        } else {
            Flow::from_ml_per_second(0.0)
        }
    }

    /// How the run-off looks.
    pub fn run_off_look(&self) -> Look {
        match self.run_off_flow().ml_per_minute() {
            flow if flow > STREAM_ML_MIN => Look::Stream,
            flow if flow > THIN_STREAM_ML_MIN => Look::ThinStream,
            flow if flow > DROPS_ML_MIN => Look::Drops,
            _ => Look::Nothing,
        }
    }

    /// Run-off in the pan since it was last emptied, as warm as it came.
    pub fn caught(&self) -> Volume {
        Volume::from_ml(self.fluid.caught_ml)
    }

    /// Drained fluid in the pan since it was last emptied, as warm as it came.
    pub fn drained(&self) -> Volume {
        Volume::from_ml(self.fluid.drained_ml)
    }

    /// Empties both pans: [`caught`](Self::caught) and [`drained`](Self::drained) count from 0 again.
    pub fn empty_pans(&mut self) {
        self.fluid.caught_ml = 0.0;
        self.fluid.drained_ml = 0.0;
    }

    /// How much too much (above 0) or too little is in the unit, in mL at the reference temperature. The truth, for
    /// tests; nobody in the workshop sees it.
    pub fn charge_error_ml(&self) -> f64 {
        (self.fluid.unit_kg - self.params.right_kg()) / self.params.density(self.params.reference.celsius())
    }

    /// Everything that can be seen now.
    pub fn observation(&self) -> Observation {
        Observation {
            elapsed_s: self.elapsed_s(),
            display: self.display(),
            engine: self.engine,
            look: self.run_off_look(),
            caught: self.caught(),
            drained: self.drained(),
            plugs_out: self.plugs_out,
        }
    }

    /// Mass and heat since the beginning.
    pub fn account(&self) -> Account {
        Account {
            unit_kg: self.fluid.unit_kg,
            poured_kg: self.fluid.poured_kg,
            left_kg: self.fluid.run_off_kg + self.fluid.drained_kg,
            stored_j: self.heat.stored_j(&self.params, self.fluid.unit_kg),
            made_j: self.heat.made_j,
            lost_j: self.heat.lost_j,
            carried_in_j: self.fluid.carried_in_j,
            carried_out_j: self.fluid.carried_out_j,
        }
    }
}
