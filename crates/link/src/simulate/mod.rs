//! A simulated vehicle: engine, a unit of one or more circuits, what shows their level, and a reader that shows the
//! fluid's temperature.
//!
//! Its structure is its own: a temperature each of engine, case and fluids, churning heat that falls as the fluid thins,
//! a fast idle after a cold start, a cooler that comes in late, a heat input that wanders. Fluid is lifted by the pump,
//! drains back after a stop, expands, clings, runs off, is drained, sucked out, passed through the cooler line, poured and
//! pumped. Its level stands at a lip or an edge, wets a stick or a probe, or shows as a figure, each with its scatter; an
//! edge stands higher or lower where the vehicle is off level.
//! Time is handed in; the same seed and the same calls give the same state.
//!
//! ```
//! use link::simulate::{Plug, Vehicle, VehicleParams};
//! let mut vehicle = Vehicle::new(VehicleParams::demo(), 1)?;
//! vehicle.set_engine(true);
//! vehicle.cycle_selector();
//! vehicle.advance(8.5 * 60.0)?;
//! assert!((35.0..45.0).contains(&vehicle.first().true_fluid().celsius()));
//! vehicle.first_mut().set_plug(Plug::Level, true);
//! vehicle.advance(60.0)?;
//! assert_eq!(vehicle.first().caught().ml(), 0.0); // found 350 mL low: nothing runs off
//! # Ok::<(), link::simulate::VehicleError>(())
//! ```

mod chance;
mod circuit;
mod circuit_params;
mod fluid;
mod gauge;
mod heat;
mod params;
mod stance;

use quantity::{Temperature, Volume};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use chance::Chance;
use heat::{FLUID_J_PER_KG_K, Heat};

pub use circuit::Circuit;
pub use circuit_params::CircuitParams;
pub use gauge::{Gauge, Shown};
pub use params::{Resolution, VehicleParams};
pub use stance::Stance;

/// Seconds of one inner step. Short against every time constant that [`VehicleParams`] allows.
const TICK_S: f64 = 0.25;
/// Inner steps between two readings, and between two changes of the heat input.
const TICKS_A_READING: u64 = 4;
/// Longest single [`Vehicle::advance`]: two days.
pub const MAX_ADVANCE_S: f64 = 172_800.0;
/// Most that one [`Vehicle::pour`] takes.
pub const MAX_POUR: Volume = Volume::from_litres(50.0);

/// Sets the chance of the circuits apart from the vehicle's: any odd word does.
const OWN_CHANCE: u64 = 0x5bd1_e995_97f4_a7c5;

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
    /// There is no such circuit.
    #[error("simulated vehicle: it has no circuit number {number}")]
    NoCircuit {
        /// What was asked for, 0 for the first.
        number: usize,
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
            Self::NoCircuit { .. } => "0 is the first circuit; count the ones in its parameters",
        }
    }
}

/// What can be seen at one moment, without looking inside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Observation {
    /// Seconds since the simulation began.
    pub elapsed_s: f64,
    /// Whether the engine runs.
    pub engine: bool,
    /// Each circuit, the first one first.
    pub circuits: Vec<Beside>,
}

/// What can be seen of one circuit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Beside {
    /// What the reader shows.
    #[serde(rename = "temperature_c")]
    pub display: Temperature,
    /// How the run-off looks.
    pub look: Look,
    /// What the level reads as, where it is read.
    pub shown: Option<Shown>,
    /// Run-off in the pan.
    #[serde(rename = "caught_ml")]
    pub caught: Volume,
    /// Drained or sucked-out fluid in the pan.
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
    /// Put in, kg.
    pub poured_kg: f64,
    /// Come out, kg.
    pub left_kg: f64,
    /// Heat held above 0 °C, J.
    pub stored_j: f64,
    /// Heat made by engine and drag, J.
    pub made_j: f64,
    /// Heat given to the air, J.
    pub lost_j: f64,
    /// Heat that came with fluid, J.
    pub carried_in_j: f64,
    /// Heat that left with fluid, J.
    pub carried_out_j: f64,
}

/// A simulated vehicle. The whole state is serialised, so that it goes on where it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Vehicle {
    params: VehicleParams,
    chance: Chance,
    heat: Heat,
    first: Circuit,
    further: Vec<Circuit>,
    engine: bool,
    ticks: u64,
    /// Time handed in that does not fill an inner step yet, s.
    pending_s: f64,
    /// Wandering of the heat input, as a part of it.
    wander: f64,
}

impl Vehicle {
    /// A vehicle at rest, all plugs in, everything at the start temperature.
    ///
    /// # Errors
    /// [`VehicleError::Parameter`] names the first parameter out of range.
    pub fn new(params: VehicleParams, seed: u64) -> Result<Self, VehicleError> {
        params.check()?;
        let start = params.start.celsius();
        let mut chance = Chance::new(seed);
        let wander = chance.normal_pair().0 * params.wander;
        // Each circuit draws for itself, so that one more does not change what another shows.
        let circuit =
            |n: u64, p: &CircuitParams| Circuit::new(p, start, params.noise_k, seed ^ OWN_CHANCE.rotate_left(n as u32));
        let further = (1..).zip(&params.further).map(|(n, p)| circuit(n, p)).collect();
        Ok(Self {
            chance,
            heat: Heat::new(start),
            first: circuit(0, &params.circuit),
            further,
            engine: false,
            ticks: 0,
            pending_s: 0.0,
            wander,
            params,
        })
    }

    /// What it is made of.
    pub fn params(&self) -> &VehicleParams {
        &self.params
    }

    /// The unit's circuit, or the first of several.
    pub fn first(&self) -> &Circuit {
        &self.first
    }

    /// The same, to do something to it.
    pub fn first_mut(&mut self) -> &mut Circuit {
        &mut self.first
    }

    /// Every circuit, the first one first, then in the order of [`VehicleParams::further`].
    pub fn circuits(&self) -> impl Iterator<Item = &Circuit> {
        std::iter::once(&self.first).chain(&self.further)
    }

    /// One circuit, 0 for the first, to do something to it.
    ///
    /// # Errors
    /// [`VehicleError::NoCircuit`] beyond the last.
    pub fn circuit_mut(&mut self, number: usize) -> Result<&mut Circuit, VehicleError> {
        match number.checked_sub(1) {
            None => Ok(&mut self.first),
            Some(n) => self.further.get_mut(n).ok_or(VehicleError::NoCircuit { number }),
        }
    }

    /// Starts the engine or stops it; a stopped unit drains back into its sump.
    pub fn set_engine(&mut self, running: bool) {
        if running && !self.engine {
            self.heat.engine_started(&self.params);
        }
        if !running {
            each(&mut self.first, &mut self.further).for_each(|circuit| circuit.fluid.circuits_filled = false);
        }
        self.engine = running;
    }

    /// True while the engine runs.
    pub fn engine(&self) -> bool {
        self.engine
    }

    /// Moves the selector through every range: with the engine running the shift circuits fill from the sump.
    pub fn cycle_selector(&mut self) {
        let running = self.engine;
        each(&mut self.first, &mut self.further).for_each(|circuit| circuit.fluid.circuits_filled |= running);
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
        let Self { params: p, heat, first, further, engine, wander, .. } = self;
        each(first, further).for_each(|circuit| circuit.flow(*engine));
        // Heat input never turns into cooling, however far it wanders.
        heat.step(p, each(first, further), *engine, (1.0 + *wander).max(0.0), TICK_S);
        self.ticks += 1;
        let anew = self.ticks.is_multiple_of(TICKS_A_READING);
        each(first, further).for_each(|circuit| circuit.sense(p.sensor_error, p.sensor_lag_s, p.noise_k, anew));
        if anew {
            // Ornstein–Uhlenbeck, exact over the step: the spread stays at `wander` for ever.
            let kept = libm::exp(-TICK_S * TICKS_A_READING as f64 / p.wander_time_s);
            *wander = *wander * kept + p.wander * (1.0 - kept * kept).sqrt() * self.chance.normal_pair().0;
        }
    }

    /// Seconds since the beginning, time that does not fill an inner step included.
    pub fn elapsed_s(&self) -> f64 {
        self.ticks as f64 * TICK_S + self.pending_s
    }

    /// What the reader shows of the first circuit: the lagging sensor, with noise, rounded to what the display can show.
    /// It changes once a second; asking twice gives the same.
    pub fn display(&self) -> Temperature {
        self.display_of(&self.first)
    }

    /// The same of any of its circuits.
    pub fn display_of(&self, circuit: &Circuit) -> Temperature {
        circuit.display(self.params.resolution)
    }

    /// Everything that can be seen now.
    pub fn observation(&self) -> Observation {
        let beside = |circuit: &Circuit| Beside {
            display: self.display_of(circuit),
            look: circuit.run_off_look(),
            shown: circuit.shown(),
            caught: circuit.caught(),
            drained: circuit.drained(),
            plugs_out: [Plug::Fill, Plug::Level, Plug::Drain].map(|plug| circuit.plug_out(plug)),
        };
        Observation {
            elapsed_s: self.elapsed_s(),
            engine: self.engine,
            circuits: self.circuits().map(beside).collect(),
        }
    }

    /// Mass and heat since the beginning, over every circuit.
    pub fn account(&self) -> Account {
        let sum = |of: fn(&Circuit) -> f64| self.circuits().map(of).sum::<f64>();
        let metal = self.heat.engine_c * self.params.engine_j_per_k + self.heat.case_c * self.params.case_j_per_k;
        Account {
            unit_kg: sum(|c| c.fluid.unit_kg),
            poured_kg: sum(|c| c.fluid.poured_kg),
            left_kg: sum(|c| c.fluid.left_kg),
            stored_j: metal + sum(|c| c.fluid_c * c.fluid.unit_kg * FLUID_J_PER_KG_K),
            made_j: self.heat.made_j,
            lost_j: self.heat.lost_j,
            carried_in_j: sum(|c| c.fluid.carried_in_j),
            carried_out_j: sum(|c| c.fluid.carried_out_j),
        }
    }
}

fn each<'a>(first: &'a mut Circuit, further: &'a mut [Circuit]) -> impl Iterator<Item = &'a mut Circuit> {
    std::iter::once(first).chain(further)
}
