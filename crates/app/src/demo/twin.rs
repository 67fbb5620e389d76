//! A simulated vehicle that follows a job's log: what the log says was done is done to it.

use job::entry::Purpose;
use job::{Entry, Fact};
use link::simulate::{Look, Plug, Vehicle, VehicleParams};
use quantity::Volume;
use serde::Serialize;
use sheet::Sheet;

use crate::error::AppError;

/// What a person beside the simulated vehicle would see.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Sight {
    /// Word of the word list for the run-off.
    pub flow: &'static str,
    /// In the pan under the drain since it was last measured.
    pub drained_ml: f64,
    /// In the pan under the level plug since it was last measured.
    pub caught_ml: f64,
    /// What a thermometer in the pan would show.
    pub fluid_c: f64,
    /// What the reader shows.
    pub display_c: f64,
}

/// The vehicle of one job, and how far it has followed the log.
pub struct Twin {
    vehicle: Vehicle,
    at_ms: i64,
    seen: u64,
}

impl Twin {
    /// A vehicle that fits a sheet: same charge, sump, standpipe and window, found 350 mL low.
    ///
    /// # Errors
    /// [`AppError::Input`] when the sheet describes what the simulation cannot carry.
    pub fn new(sheet: &Sheet, at_ms: i64, seed: u64) -> Result<Self, AppError> {
        let demo = VehicleParams::demo();
        let params = VehicleParams {
            charge: sheet.capacity.total.mid(),
            set_at: sheet.window_mid(),
            sump_area: sheet.sump_area().map_or(demo.sump_area, sheet::Sourced::mid),
            standpipe_bore: sheet.standpipe().map_or(demo.standpipe_bore, |pipe| pipe.bore.mid()),
            ..demo.clone()
        };
        // A sheet with a charge far from the demo vehicle's may not fit its other parts; then the demo vehicle stands in.
        let vehicle =
            Vehicle::new(params, seed).or_else(|_| Vehicle::new(demo, seed)).map_err(|why| AppError::Input {
                what: format!("the simulated vehicle cannot be made: {why}"),
                hint: why.hint().to_owned(),
            })?;
        Ok(Self { vehicle, at_ms, seen: 0 })
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
    }

    fn advance_to(&mut self, now_ms: i64) {
        let seconds = ((now_ms - self.at_ms) as f64 / 1000.0).clamp(0.0, 86_400.0);
        if seconds > 0.0 && self.vehicle.advance(seconds).is_ok() {
            self.at_ms = now_ms;
        }
    }

    fn apply(&mut self, fact: &Fact, sheet: &Sheet) {
        match fact {
            Fact::EngineStarted => self.vehicle.set_engine(true),
            Fact::EngineStopped => self.vehicle.set_engine(false),
            Fact::SelectorCycled => self.vehicle.cycle_selector(),
            Fact::PlugOpened { purpose, .. } => self.vehicle.set_plug(simulated(*purpose), true),
            // What was measured is tipped away; until then the pan keeps everything, over more than one setting.
            Fact::FluidDrained(_) | Fact::RunOffMeasured(_) => self.vehicle.empty_pans(),
            Fact::PlugClosed { plug, .. } => {
                for role in sheet.plug(plug).map(|plug| plug.roles.clone()).unwrap_or_default() {
                    self.vehicle.set_plug(
                        match role {
                            sheet::Role::Fill => Plug::Fill,
                            sheet::Role::Level => Plug::Level,
                            sheet::Role::Drain => Plug::Drain,
                        },
                        false,
                    );
                }
            }
            Fact::FluidPoured(measure) => {
                // A volume the vehicle cannot hold is refused by it; the log keeps what the person claimed.
                let _ = self.vehicle.pour(measure.volume_ml, measure.temp_c);
            }
            _ => {}
        }
    }

    /// What a person beside it would see now.
    pub fn sight(&self) -> Sight {
        let flow = match self.vehicle.run_off_look() {
            Look::Stream => "stream",
            Look::ThinStream => "thin-stream",
            Look::Drops => "drops",
            Look::Nothing => "nothing",
        };
        let ml = |volume: Volume| volume.ml();
        Sight {
            flow,
            drained_ml: ml(self.vehicle.drained()),
            caught_ml: ml(self.vehicle.caught()),
            fluid_c: self.vehicle.true_fluid().celsius(),
            display_c: self.vehicle.display().celsius(),
        }
    }
}

fn simulated(purpose: Purpose) -> Plug {
    match purpose {
        Purpose::Drain => Plug::Drain,
        Purpose::Fill => Plug::Fill,
        Purpose::Level | Purpose::Check => Plug::Level,
    }
}
