//! A simulated vehicle that follows a job's log: what the log says was done is done to it.

use std::collections::VecDeque;

use job::entry::{Measure, Purpose, When};
use job::{Entry, Fact};
use link::simulate::{Circuit, Plug, Stance, Vehicle};
use quantity::{Temperature, Volume};
use sheet::{Level, Renewal, Role, Sheet};

use super::drawn::Drawn;
use super::fit::{TANK, fit, stance};
use super::sight::{Beside, Sight, beside};
use crate::error::AppError;

/// How many figures of the reader count as shown lately.
const LATELY: usize = 60;
/// New fluid waits at the temperature of the workshop.
const ROOM: Temperature = Temperature::from_celsius(20.0);

/// The vehicle of one job, and how far it has followed the log.
pub struct Twin {
    vehicle: Vehicle,
    stance: Stance,
    /// Each circuit's id, in the vehicle's order, with what is pumped into it from a can and what was entered of an
    /// exchange, out and in.
    circuits: Vec<(String, Volume, (Volume, Volume))>,
    /// Number of the circuit whose temperature a reader shows.
    read: usize,
    lately: VecDeque<f64>,
    at_ms: i64,
    seen: u64,
    /// Errors of vehicle and instruments; none beside the demo.
    drawn: Option<Drawn>,
    /// Jugs measured so far: each has its own error.
    jugs: u64,
}

impl Twin {
    /// A vehicle that fits a sheet: same charge, sump, fluid and temperatures, the level judged in the same way, found
    /// 4 % low. A unit that comes dry is dry. It stands a little off level, as the seed will have it.
    ///
    /// # Errors
    /// [`AppError::Input`] when the sheet describes what the simulation cannot carry.
    pub fn new(sheet: &Sheet, at_ms: i64, seed: u64) -> Result<Self, AppError> {
        Self::fitted(sheet, at_ms, seed, None)
    }

    /// The same with errors of the sizes that budgets and ledgers claim: of its surface, edge and fluid, of how it stands
    /// and how full it came, of its reader, and of every jug and thermometer beside it.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn with_errors(sheet: &Sheet, at_ms: i64, seed: u64) -> Result<Self, AppError> {
        Self::fitted(sheet, at_ms, seed, Some(Drawn::new(seed)))
    }

    fn fitted(sheet: &Sheet, at_ms: i64, seed: u64, drawn: Option<Drawn>) -> Result<Self, AppError> {
        let stance = stance(sheet, seed);
        let stands = drawn.map_or(stance, |drawn| drawn.stands(&stance));
        let (mut params, pumped) = fit(sheet, &stands);
        if let Some(drawn) = drawn {
            drawn.into_vehicle(sheet, &stands, &mut params);
        }
        let vehicle = Vehicle::new(params, seed).map_err(|why| AppError::Input {
            what: format!("no simulated vehicle fits this sheet: {why}"),
            hint: why.hint().to_owned(),
        })?;
        let none = Volume::from_ml(0.0);
        let circuits: Vec<_> = pumped.into_iter().map(|(id, volume)| (id, volume, (none, none))).collect();
        // A reader shows the fluid of the circuit that idles.
        let idles = |id: &str| sheet.of_circuit(id).is_some_and(|one| one.level.engine().is_some());
        let read = circuits.iter().position(|(id, ..)| idles(id)).unwrap_or(0);
        Ok(Self { vehicle, stance, circuits, read, lately: VecDeque::new(), at_ms, seen: 0, drawn, jugs: 0 })
    }

    /// The vehicle itself.
    pub fn vehicle(&self) -> &Vehicle {
        &self.vehicle
    }

    /// Does to the vehicle what the log says was done, each at its time, then lets it run until `now_ms`.
    pub fn follow(&mut self, log: &[Entry], sheet: &Sheet, now_ms: i64) {
        let seen = self.seen;
        for entry in log.iter().filter(|entry| entry.seq > seen) {
            self.advance_to(entry.at_ms);
            self.apply(&entry.body.fact, sheet);
        }
        self.seen = log.last().map_or(self.seen, |entry| entry.seq);
        self.advance_to(now_ms);
        let shown = self.reader().celsius();
        self.lately.truncate(LATELY - 1);
        self.lately.push_front(shown);
    }

    fn advance_to(&mut self, now_ms: i64) {
        let seconds = ((now_ms - self.at_ms) as f64 / 1000.0).clamp(0.0, 86_400.0);
        if seconds > 0.0 && self.vehicle.advance(seconds).is_ok() {
            self.at_ms = now_ms;
        }
    }

    /// What the reader shows.
    pub fn reader(&self) -> Temperature {
        let circuit = self.vehicle.circuits().nth(self.read).unwrap_or(self.vehicle.first());
        self.vehicle.display_of(circuit)
    }

    /// What a person beside it would see now.
    pub fn sight(&self) -> Sight {
        let each = self.vehicle.circuits().zip(&self.circuits);
        let mut circuits: Vec<Beside> =
            each.map(|(circuit, (id, _, entered))| beside(&self.vehicle, circuit, id, *entered)).collect();
        if let Some(drawn) = self.drawn {
            circuits.iter_mut().for_each(|seen| drawn.into_jugs(seen, self.jugs));
        }
        let now = self.reader().celsius();
        let lately = self.lately.iter().fold((now, now), |(low, high), c| (low.min(*c), high.max(*c)));
        Sight { circuits, stands: self.stance, lately_c: lately }
    }

    fn apply(&mut self, fact: &Fact, sheet: &Sheet) {
        match fact {
            Fact::EngineStarted => self.vehicle.set_engine(true),
            Fact::EngineStopped => self.vehicle.set_engine(false),
            Fact::SelectorCycled => self.vehicle.cycle_selector(),
            Fact::PlugOpened { plug, purpose } => self.of_plug(plug, sheet, |circuit, one, plug| {
                for hole in opened(one, plug, *purpose) {
                    circuit.set_plug(hole, true);
                }
                // The tube goes down once; what is sucked out is measured once.
                let fresh = circuit.drained().ml() == 0.0 && circuit.old_share() == 1.0;
                circuit.set_tube(*purpose == Purpose::Fill && matches!(one.renewal, Renewal::Extraction(_)) && fresh);
            }),
            Fact::PlugClosed { plug, .. } => self.of_plug(plug, sheet, |circuit, _, plug| {
                for role in &plug.roles {
                    circuit.set_plug(hole(*role), false);
                }
                circuit.set_tube(false);
            }),
            // What was measured is tipped away; until then the pan keeps everything, over more than one setting.
            Fact::FluidDrained(measure) => {
                self.jugs += 1;
                self.of(measure.circuit.as_deref(), |circuit, _| {
                    circuit.set_tube(false);
                    circuit.empty_pans();
                });
            }
            Fact::RunOffMeasured(measure) => {
                let one = one(sheet, measure.circuit.as_deref());
                let caught = one.is_none_or(|one| one.level.runs_off());
                let shown = self.measured(measure).0;
                self.of(measure.circuit.as_deref(), |circuit, _| {
                    // Where nothing runs off by itself, what is not in the pan was taken out by hand.
                    let by_hand = shown - circuit.caught();
                    if !caught && by_hand.ml() > 0.0 {
                        // A volume that is none is refused by it; the log keeps what the person claimed.
                        let _ = circuit.take_out(by_hand);
                    }
                    circuit.empty_pans();
                });
            }
            Fact::FluidPoured(measure) => {
                let (volume, temp) = self.measured(measure);
                self.of(measure.circuit.as_deref(), |circuit, _| {
                    // Whoever poured had a way in, whatever the log says of the plug.
                    let out = circuit.plug_out(Plug::Fill);
                    circuit.set_plug(Plug::Fill, true);
                    // A volume the vehicle cannot hold is refused by it; the log keeps what the person claimed.
                    let _ = circuit.pour(volume, temp);
                    circuit.set_plug(Plug::Fill, out);
                });
            }
            Fact::CanWeighed { when: When::Before, of, .. } => self.of(of.circuit.as_deref(), |circuit, pumped| {
                // The plan's own volume is one that a pump takes.
                let _ = circuit.pump(pumped, ROOM);
            }),
            Fact::LineOpened { of } => self.of(of.circuit.as_deref(), |circuit, _| {
                circuit.set_line(true);
                let _ = circuit.fill_tank(TANK, ROOM);
            }),
            Fact::LineClosed { of } => self.of(of.circuit.as_deref(), |circuit, _| circuit.set_line(false)),
            Fact::FluidExchanged { out, fresh } => {
                let named = fresh.circuit.as_deref();
                let passed = self.vehicle.circuits().map(Circuit::exchanged);
                let each = self.circuits.iter_mut().zip(passed);
                if let Some(((_, _, entered), passed)) =
                    each.into_iter().find(|((id, ..), _)| named.is_none_or(|n| n == id))
                {
                    // A jug that errs tells nothing of the next portion: that one counts from what has really passed.
                    *entered = match self.drawn {
                        Some(_) => passed,
                        None => (entered.0 + out.volume_ml, entered.1 + fresh.volume_ml),
                    };
                }
                self.jugs += 1;
                self.of(named, |circuit, _| {
                    let _ = circuit.fill_tank(TANK, ROOM);
                });
            }
            _ => {}
        }
    }

    /// What really went in or out where an entry says so much: the jug errs, and the thermometer in it.
    fn measured(&mut self, said: &Measure) -> (Volume, Temperature) {
        self.jugs += 1;
        let number = self.jugs;
        match self.drawn {
            Some(drawn) => (drawn.jug(said.volume_ml, number), drawn.jug_heat(said.temp_c, number)),
            None => (said.volume_ml, said.temp_c),
        }
    }

    /// Does something to the circuit that an entry names, the first one for none.
    fn of(&mut self, circuit: Option<&str>, act: impl FnOnce(&mut Circuit, Volume)) {
        let number = self.circuits.iter().position(|(id, ..)| circuit.is_none_or(|named| named == id));
        let pumped = number.and_then(|n| self.circuits.get(n)).map_or(Volume::from_ml(0.0), |(_, pumped, _)| *pumped);
        if let Some(circuit) = number.and_then(|n| self.vehicle.circuit_mut(n).ok()) {
            act(circuit, pumped);
        }
    }

    fn of_plug(&mut self, id: &str, sheet: &Sheet, act: impl FnOnce(&mut Circuit, &Sheet, &sheet::Plug)) {
        let Some(plug) = sheet.plug(id) else { return };
        let Some(one) = sheet.of_circuit(&plug.circuit) else { return };
        self.of(Some(&plug.circuit), |circuit, _| act(circuit, &one, plug));
    }
}

fn one(sheet: &Sheet, circuit: Option<&str>) -> Option<Sheet> {
    sheet.of_circuit(circuit.unwrap_or(&sheet.circuit.0))
}

fn hole(role: Role) -> Plug {
    match role {
        Role::Fill => Plug::Fill,
        Role::Level => Plug::Level,
        Role::Drain => Plug::Drain,
    }
}

/// Which ways for fluid are open once a plug is out for a purpose.
fn opened(one: &Sheet, plug: &sheet::Plug, purpose: Purpose) -> Vec<Plug> {
    match purpose {
        Purpose::Drain => vec![Plug::Drain],
        // A hole that shows the level is one whatever it was opened for.
        _ if matches!(one.level, Level::BottomOfHole(_)) && plug.has(Role::Level) => {
            plug.roles.iter().filter(|role| **role != Role::Drain).map(|role| hole(*role)).collect()
        }
        Purpose::Fill => vec![Plug::Fill],
        Purpose::Level | Purpose::Check => vec![Plug::Level],
    }
}
