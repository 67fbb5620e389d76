//! The simulated vehicles of the ensemble: fluid, case and coolant, drawn once from broad ranges in a fixed order.

use std::sync::OnceLock;

/// How many vehicles there are.
pub(crate) const VEHICLES: usize = 2000;
/// How many shares describe a vehicle.
const SHARES: usize = 13;
/// One vehicle in this many is plain: first order behind a lag, without churning, cooler or case.
const PLAIN_EVERY: usize = 6;
/// Vehicles without a cooler have a share below a quarter, those with a cold one up to this.
const COLD_BELOW: f64 = 0.4;
/// How much of the coolant's warmth is felt in a radiator behind a closed thermostat.
const COLD_FEELS: f64 = 0.15;
/// Step of the simulation while it is compared with readings, minutes.
pub(crate) const STEP: f64 = 0.5;
/// Kinds of dependence of churning heat on viscosity, and the table of each over temperature.
const KINDS: usize = 8;
const TABLE_LOW: f64 = -60.0;
const TABLE_STEP: f64 = 2.0;
const TABLE: usize = 160;

/// Churning heat relative to 40 °C over temperature, for each kind: (ν/ν₄₀)^m, m from 0 to 0.7, with the viscosity of an
/// ordinary fluid taken as ((T + 55)/95)^−3.4 (within 10 % of the usual double-logarithmic line, 0 to 100 °C).
pub(crate) struct Churning([[f64; TABLE]; KINDS]);

impl Churning {
    pub fn new() -> Self {
        let mut table = [[1.0; TABLE]; KINDS];
        for (kind, row) in table.iter_mut().enumerate() {
            let power = -3.4 * 0.7 * kind as f64 / (KINDS - 1) as f64;
            for (i, cell) in row.iter_mut().enumerate() {
                let celsius = TABLE_LOW + TABLE_STEP * i as f64;
                *cell = libm::pow((celsius + 55.0).max(15.0) / 95.0, power);
            }
        }
        Self(table)
    }

    fn at(&self, kind: usize, celsius: f64) -> f64 {
        let x = ((celsius - TABLE_LOW) / TABLE_STEP).clamp(0.0, (TABLE - 2) as f64);
        let i = x as usize;
        let row = &self.0[kind];
        row[i] + (row[i + 1] - row[i]) * (x - i as f64)
    }
}

/// What tells one vehicle from the next. Rates per minute, temperatures in °C.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Vehicle {
    /// Minutes the engine ran before the first reading, and how much warmer than the air the unit was, unless known.
    before: f64,
    warmer: f64,
    churn: f64,
    kind: usize,
    /// Fast idle: extra share at the start and the minutes in which it fades.
    fast: f64,
    fast_min: f64,
    coolant_rate: f64,
    thermostat: f64,
    cooler: f64,
    /// Temperature at which the cooler opens, and whether it is the coolant's or the fluid's.
    bypass: f64,
    by_coolant: bool,
    /// Whether what opens is the way to a radiator that is still cold.
    cold: bool,
    loss: f64,
    case_rate: f64,
    case_ratio: f64,
    /// First order: time constant towards the coolant, end, time constant of the coolant; all else is off.
    plain: Option<Plain>,
}

/// A vehicle that warms in first order towards an end behind a lag, all in minutes and °C.
#[derive(Debug, Clone, Copy)]
struct Plain {
    tau: f64,
    end: f64,
    lag: f64,
}

/// All vehicles and the tables they share.
pub(crate) struct Fleet {
    pub vehicles: Vec<Vehicle>,
    churning: Churning,
}

/// The fleet; made at the first forecast, the same in every process.
pub(crate) fn fleet() -> &'static Fleet {
    static FLEET: OnceLock<Fleet> = OnceLock::new();
    FLEET.get_or_init(|| {
        let vehicle =
            |i: usize| Vehicle::from_shares(&std::array::from_fn(|j| share(i, j)), i.is_multiple_of(PLAIN_EVERY));
        Fleet { vehicles: (0..VEHICLES).map(vehicle).collect(), churning: Churning::new() }
    })
}

/// Share `j` of item `i`: multiples of the square roots of primes, cut to their fractions; covers the unit cube evenly.
pub(crate) fn share(i: usize, j: usize) -> f64 {
    const PRIMES: [f64; SHARES] = [2.0, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0, 19.0, 23.0, 29.0, 31.0, 37.0, 41.0];
    let x = (i as f64 + 0.5) * PRIMES[j].sqrt();
    x - x.floor()
}

fn between(u: f64, low: f64, high: f64) -> f64 {
    low + (high - low) * u
}

fn log_between(u: f64, low: f64, high: f64) -> f64 {
    low * libm::exp(u * libm::log(high / low))
}

/// The share `u` of what is left above `from`, 0 to 1; for a parameter that is off in some vehicles.
fn above(u: f64, from: f64) -> Option<f64> {
    (u >= from).then(|| (u - from) / (1.0 - from))
}

impl Vehicle {
    /// A vehicle from its shares, each 0 to 1. The ranges are judgement, no source.
    fn from_shares(u: &[f64; SHARES], plain: bool) -> Self {
        let plain = plain.then(|| Plain {
            tau: log_between(u[2], 5.0, 60.0),
            end: between(u[3], 45.0, 110.0),
            lag: above(u[4], 0.35).map_or(0.0, |s| log_between(s, 0.7, 12.0)),
        });
        Self {
            plain,
            before: above(u[0], 0.5).map_or(0.0, |s| 10.0 * s * s),
            warmer: above(u[1], 0.6).map_or(3.0 * u[1], |s| 3.0 + 27.0 * s * s),
            churn: log_between(u[2], 0.3, 6.0),
            kind: ((u[3] * KINDS as f64) as usize).min(KINDS - 1),
            fast: above(u[4], 0.2).map_or(0.0, |s| 1.2 * s),
            fast_min: log_between(u[5], 0.7, 7.0),
            coolant_rate: log_between(u[6], 0.025, 0.2),
            thermostat: between(u[7], 76.0, 96.0),
            cooler: if u[8] < COLD_BELOW {
                above(u[8], 0.25).map_or(0.0, |s| log_between(s * 0.75 / (COLD_BELOW - 0.25), 0.03, 0.3))
            } else {
                log_between((u[8] - COLD_BELOW) / (1.0 - COLD_BELOW), 0.03, 0.6)
            },
            bypass: above(u[9], 0.3)
                .map_or(-100.0, |s| between(if s < 0.5 { 2.0 * s } else { 2.0 * s - 1.0 }, 28.0, 78.0)),
            by_coolant: u[9] >= 0.65,
            cold: (0.25..COLD_BELOW).contains(&u[8]),
            loss: log_between(u[10], 0.002, 0.05),
            case_rate: log_between(u[11], 0.05, 1.5),
            case_ratio: log_between(u[12], 0.4, 5.0),
        }
    }
}

/// What is known of one warm-up beside the readings.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Setting {
    /// Temperature of the first reading.
    pub first: f64,
    /// Air, if known.
    pub ambient: Option<f64>,
    /// Minutes the engine ran before the first reading, if known.
    pub before: Option<f64>,
}

/// What is the same in every step of one length.
#[derive(Clone, Copy, Default)]
struct Stride {
    /// The length, minutes.
    dt: f64,
    /// Factor by which the fast idle fades; in a plain vehicle the distance of the fluid to its coolant, and of that to its end.
    fade: f64,
    fade_coolant: f64,
    /// One over the case's share of the implicit step.
    case: f64,
}

impl Stride {
    fn new(v: &Vehicle, dt: f64) -> Self {
        match &v.plain {
            Some(p) => {
                let fade_coolant = if p.lag > 0.0 { libm::exp(-dt / p.lag) } else { 1.0 };
                Self { dt, fade: libm::exp(-dt / p.tau), fade_coolant, case: 1.0 }
            }
            None => {
                let case = 1.0 / (1.0 + dt * (v.case_rate / v.case_ratio + v.loss));
                Self { dt, fade: libm::exp(-dt / v.fast_min), fade_coolant: 1.0, case }
            }
        }
    }
}

/// A vehicle on its way.
#[derive(Clone, Copy)]
pub(crate) struct Run<'a> {
    churning: &'a Churning,
    vehicle: &'a Vehicle,
    ambient: f64,
    /// Minutes the engine ran before the first reading.
    pub before: f64,
    pub fluid: f64,
    case: f64,
    /// Temperature of the coolant.
    pub coolant: f64,
    idle: f64,
    stride: Stride,
}

impl<'a> Run<'a> {
    /// A vehicle at engine start.
    pub fn start(fleet: &'a Fleet, vehicle: &'a Vehicle, setting: &Setting) -> Self {
        let first = setting.first;
        Self {
            churning: &fleet.churning,
            vehicle,
            ambient: setting.ambient.unwrap_or(first - vehicle.warmer),
            before: setting.before.unwrap_or(vehicle.before),
            fluid: first,
            case: first,
            coolant: vehicle.plain.filter(|p| p.lag == 0.0).map_or(first, |p| p.end),
            idle: vehicle.fast,
            stride: Stride::default(),
        }
    }

    /// Whether it has a coolant that a measured one can stand for.
    pub fn has_coolant(&self) -> bool {
        self.vehicle.plain.is_none()
    }

    /// Whether it is of first order behind a lag.
    pub fn is_plain(&self) -> bool {
        self.vehicle.plain.is_some()
    }

    /// How far its cooler is open, 0.1 to 1.
    fn open(&self) -> f64 {
        let felt = if self.vehicle.by_coolant { self.coolant } else { self.fluid };
        0.1 + 0.9 * ((felt - self.vehicle.bypass) * 0.16).clamp(0.0, 1.0)
    }

    /// Whether it has a cooler that has not opened yet.
    pub fn waits(&self) -> bool {
        self.vehicle.plain.is_none() && self.vehicle.cooler > 0.0 && self.open() < 0.5
    }

    /// Temperature on the other side of its cooler.
    fn across(&self) -> f64 {
        if self.vehicle.cold { self.ambient + COLD_FEELS * (self.coolant - self.ambient) } else { self.coolant }
    }

    /// What its cooler would bring if it opened now, K/min.
    pub fn pending(&self) -> f64 {
        if self.waits() { self.vehicle.cooler * (self.across() - self.fluid) } else { 0.0 }
    }

    /// One step of `dt` minutes, implicit in the exchanges so that it is stable at any step.
    pub fn step(&mut self, dt: f64) {
        let v = self.vehicle;
        if self.stride.dt != dt {
            self.stride = Stride::new(v, dt);
        }
        if let Some(p) = &v.plain {
            return self.plain_step(p);
        }
        let idle = 1.0 + self.idle;
        let g = v.cooler * self.open();
        let across = self.across();
        let heat = v.churn * idle * self.churning.at(v.kind, self.fluid);
        let fluid = (self.fluid + dt * (heat + g * across + v.case_rate * self.case)) / (1.0 + dt * (g + v.case_rate));
        let back = v.case_rate / v.case_ratio;
        self.case = (self.case + dt * (back * fluid + v.loss * self.ambient)) * self.stride.case;
        self.fluid = fluid;
        let k = v.coolant_rate * dt * idle;
        let warming = (self.coolant + k * (v.thermostat + 12.0)) / (1.0 + k);
        self.coolant = warming.min(v.thermostat.max(self.coolant));
        self.idle *= self.stride.fade;
    }

    /// Both exchanges integrated exactly, the coolant taken at the middle of the step.
    fn plain_step(&mut self, p: &Plain) {
        let before = self.coolant;
        if p.lag > 0.0 {
            self.coolant = p.end + (before - p.end) * self.stride.fade_coolant;
        }
        let coolant = 0.5 * (before + self.coolant);
        self.fluid = coolant + (self.fluid - coolant) * self.stride.fade;
    }
}
