//! Simulated vehicles. They share no code with the forecast, and X, Y, Z are no members of its family: other
//! states, other parameters, a fine explicit step.

/// A small generator with a fixed seed (splitmix64).
pub struct Draws(pub u64);

impl Draws {
    /// The seed of another generator.
    pub fn seed(&mut self) -> u64 {
        self.uniform(0.0, 9e15) as u64
    }
    pub fn uniform(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        low + (high - low) * ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
    pub fn log_uniform(&mut self, low: f64, high: f64) -> f64 {
        self.uniform(low.ln(), high.ln()).exp()
    }
    pub fn normal(&mut self) -> f64 {
        let (a, b) = (self.uniform(1e-12, 1.0), self.uniform(0.0, 1.0));
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
    pub fn chance(&mut self, share: f64) -> bool {
        self.uniform(0.0, 1.0) < share
    }
}

/// A simulated warm-up: fluid and coolant temperature every `STEP_S` from engine start, and the air around it. What makes the
/// unit is drawn from the first generator, what makes the day from the second, so one unit can be run on several days.
pub struct Truth {
    pub fluid: Vec<f64>,
    /// Empty where the structure has no coolant.
    pub coolant: Vec<f64>,
    pub ambient: f64,
}

pub const STEP_S: f64 = 2.0;
const MINUTES: usize = 240;
const STEPS: usize = MINUTES * 30;
const DT: f64 = STEP_S / 60.0;

/// Viscosity of an ordinary fluid, mm²/s: straight line in log log against log of kelvin.
fn viscosity(celsius: f64) -> f64 {
    let w = 10f64.powf(7.70447 - 3.01186 * (celsius + 273.15).log10());
    10f64.powf(w) - 0.7
}

/// F, the grid's own family: one end temperature and one time constant behind a lag.
pub fn f(d: &mut Draws, day: &mut Draws) -> Truth {
    let start = day.uniform(12.0, 32.0);
    let (end, tau) = (d.uniform(70.0, 100.0), d.log_uniform(8.0, 40.0));
    let lag = if d.chance(0.5) { 0.0 } else { d.uniform(2.0, 6.0) };
    let mut source = if lag > 0.0 { start } else { end };
    let mut fluid = start;
    let mut out = Vec::with_capacity(STEPS);
    for _ in 0..STEPS {
        out.push(fluid);
        fluid += DT / tau * (source - fluid);
        source += DT / lag.max(DT) * (end - source);
    }
    Truth { fluid: out, coolant: Vec::new(), ambient: start }
}

/// X: churning heat that falls as the fluid thins and with the fast idle; coolant through a cooler with a late bypass.
/// Heat in kW, capacities in kJ/K.
pub fn x(d: &mut Draws, day: &mut Draws) -> Truth {
    let ambient = day.uniform(-5.0, 32.0);
    let warm = if day.chance(0.25) { day.uniform(2.0, 15.0) } else { 0.0 };
    let c_fluid = d.uniform(10.0, 22.0);
    let c_case = d.uniform(12.0, 40.0);
    let churn_40 = d.log_uniform(0.25, 1.2);
    let power = d.uniform(0.2, 0.6);
    let (fast, fast_min) = (d.uniform(0.2, 1.0), d.uniform(1.0, 4.0));
    let to_case = d.uniform(0.1, 0.4);
    let loss = d.uniform(0.005, 0.020);
    let cooler = d.log_uniform(0.02, 0.12);
    let bypass = d.uniform(30.0, 75.0);
    let (engine_kw, c_engine, engine_loss) = (d.uniform(3.0, 8.0), d.uniform(60.0, 130.0), d.uniform(0.02, 0.05));
    let thermostat = d.uniform(80.0, 95.0);
    let mut engine = ambient + warm;
    let (mut fluid, mut case) = (ambient + warm, ambient + warm);
    let (mut out, mut coolant) = (Vec::with_capacity(STEPS), Vec::with_capacity(STEPS));
    for i in 0..STEPS {
        out.push(fluid);
        coolant.push(engine);
        let idle = 1.0 + fast * (-(i as f64) * DT / fast_min).exp();
        let churn = churn_40 * idle.powf(1.5) * (viscosity(fluid) / 34.0).powf(power);
        let open = (0.1 + 0.9 * ((fluid - bypass) / 6.0).clamp(0.0, 1.0)) * cooler;
        let exchange = open * (engine - fluid);
        let dt = STEP_S;
        let radiator = 0.4 * ((engine - thermostat) / 3.0).clamp(0.0, 1.0) * (engine - ambient);
        engine += dt / c_engine * (engine_kw * idle - engine_loss * (engine - ambient) - radiator - exchange);
        let (f, c) = (fluid, case);
        fluid += dt / c_fluid * (churn + exchange - to_case * (f - c));
        case += dt / c_case * (to_case * (f - c) - loss * (c - ambient));
    }
    Truth { fluid: out, coolant, ambient }
}

/// Y: sump, converter, two parts of the case and a sensor well; heat input that wanders, a fan that cuts in.
pub fn y(d: &mut Draws, day: &mut Draws) -> Truth {
    let ambient = day.uniform(-10.0, 35.0);
    let start = ambient + if day.chance(0.3) { day.uniform(1.0, 20.0) } else { 0.0 };
    let (c_sump, c_converter) = (d.uniform(8.0, 16.0), d.uniform(6.0, 14.0));
    let (c_front, c_rear) = (d.uniform(10.0, 25.0), d.uniform(8.0, 20.0));
    let slip = d.log_uniform(0.3, 1.5);
    let drop = d.uniform(0.0, 0.010);
    let circulation = d.uniform(0.15, 0.6);
    let (film, bell, loss) = (d.uniform(0.05, 0.3), d.uniform(0.01, 0.05), d.uniform(0.004, 0.015));
    let block_end = d.uniform(70.0, 92.0);
    let block_min = d.uniform(5.0, 16.0);
    let (wander, wander_min) = (d.uniform(0.05, 0.30), d.uniform(2.0, 10.0));
    let fan = if d.chance(0.4) { d.uniform(0.004, 0.02) } else { 0.0 };
    let (fan_from, fan_period) = (d.uniform(4.0, 30.0), d.uniform(3.0, 10.0));
    let well_min = d.uniform(0.1, 1.2);
    let (mut sump, mut converter, mut front, mut rear, mut well) = (start, start, start, start, start);
    let mut drift = wander * day.normal();
    let (mut out, mut coolant) = (Vec::with_capacity(STEPS), Vec::with_capacity(STEPS));
    for i in 0..STEPS {
        out.push(well);
        let t = i as f64 * DT;
        drift += -drift * DT / wander_min + wander * (2.0 * DT / wander_min).sqrt() * day.normal();
        let block = start + (block_end - start) * (1.0 - (-t / block_min).exp() * (1.0 + 0.6 * t / block_min));
        coolant.push(block);
        let heat = slip * (1.0 + drift).max(0.0) * (1.0 - drop * (converter - 20.0)).max(0.2);
        let blowing = if t > fan_from && ((t / fan_period) as u64).is_multiple_of(2) { fan } else { 0.0 };
        let dt = STEP_S;
        let (s, c, f, r) = (sump, converter, front, rear);
        converter += dt / c_converter * (heat - circulation * (c - s));
        sump += dt / c_sump * (circulation * (c - s) - film * (s - f) - 0.5 * film * (s - r));
        front += dt / c_front * (film * (s - f) + bell * (block - f) - (loss + blowing) * (f - ambient));
        rear += dt / c_rear * (0.5 * film * (s - r) - (loss + 0.5 * blowing) * (r - ambient));
        well += DT / well_min * (sump - well);
    }
    Truth { fluid: out, coolant, ambient }
}

/// Z, a harsh world: a pan and a body that stratify, a pump whose heat follows the square of a stepped idle
/// (a compressor cuts in), a water jacket that heats the unit only once the engine's own circuit has opened, wind.
pub fn z(d: &mut Draws, day: &mut Draws) -> Truth {
    let ambient = day.uniform(-12.0, 34.0);
    let start = ambient + if day.chance(0.35) { day.uniform(0.0, 25.0) } else { 0.0 };
    let (c_pan, c_body) = (d.uniform(6.0, 18.0), d.uniform(25.0, 70.0));
    let pump = d.log_uniform(0.25, 1.6);
    let thick = d.uniform(0.3, 1.1);
    let mixing = d.uniform(0.08, 0.5);
    let (pan_loss, body_loss) = (d.uniform(0.001, 0.012), d.uniform(0.004, 0.016));
    let jacket = if d.chance(0.6) { d.log_uniform(0.01, 0.12) } else { 0.0 };
    let (jacket_from, jacket_ramp) = (d.uniform(2.0, 14.0), d.uniform(1.0, 6.0));
    let water_end = d.uniform(76.0, 100.0);
    let (high_idle, high_until, settle) = (d.uniform(1.0, 1.7), d.uniform(0.5, 7.0), d.uniform(0.3, 3.0));
    let compressor = if d.chance(0.4) { d.uniform(0.05, 0.35) } else { 0.0 };
    let (on, off) = (d.uniform(1.0, 6.0), d.uniform(1.0, 6.0));
    let (gust, gust_min) = (d.uniform(0.0, 0.5), d.uniform(3.0, 15.0));
    let (mut pan, mut body) = (start, start);
    let mut wind = 0.0f64;
    let (mut out, mut coolant) = (Vec::with_capacity(STEPS), Vec::with_capacity(STEPS));
    for i in 0..STEPS {
        out.push(pan);
        let t = i as f64 * DT;
        wind += -wind * DT / gust_min + gust * (2.0 * DT / gust_min).sqrt() * day.normal();
        let fast = 1.0 + (high_idle - 1.0) / (1.0 + ((t - high_until) / settle).exp());
        let step = if t % (on + off) < on { compressor } else { 0.0 };
        let speed = fast + step;
        let heat = pump * speed * speed / (1.0 + thick * (pan - 10.0).max(0.0) / 50.0);
        let opened = ((t - jacket_from) / jacket_ramp).clamp(0.0, 1.0);
        let water = ambient + (water_end - ambient) * ((t + 1.0) / (t + 7.0));
        coolant.push(water);
        let air = 1.0 + wind.max(-0.8);
        let dt = STEP_S;
        let (p, b) = (pan, body);
        pan += dt / c_pan * (0.4 * heat - mixing * (p - b) - pan_loss * air * (p - ambient));
        body += dt / c_body
            * (0.6 * heat + mixing * (p - b) + jacket * opened * (water - b) - body_loss * air * (b - ambient));
    }
    Truth { fluid: out, coolant, ambient }
}

/// W: idle speed that follows the coolant's temperature, a cooler limited by its flow, a wax element
/// that opens slowly, three parts of a housing one behind the other, heat that wanders a little.
pub fn w(d: &mut Draws, day: &mut Draws) -> Truth {
    let ambient = day.uniform(-8.0, 33.0);
    let start = ambient + if day.chance(0.3) { day.uniform(0.0, 18.0) } else { 0.0 };
    let fluid_kg = d.uniform(4.0, 9.0);
    let shell = [d.uniform(4.0, 12.0), d.uniform(6.0, 16.0), d.uniform(3.0, 10.0)];
    let (film, between, air) = (d.uniform(0.05, 0.25), d.uniform(0.02, 0.1), d.uniform(0.001, 0.006));
    let drag_0 = d.log_uniform(0.2, 1.0);
    let drag_power = d.uniform(0.15, 0.7);
    let (wander, wander_min) = (d.uniform(0.03, 0.15), d.uniform(1.0, 12.0));
    let flow_kw = d.uniform(0.01, 0.09);
    let effectiveness = d.uniform(0.3, 0.8);
    let (wax_from, wax_lag) = (d.uniform(20.0, 72.0), d.uniform(0.5, 3.0));
    let wax = d.chance(0.7);
    let water_capacity = d.uniform(50.0, 140.0);
    let (burn, warm_water) = (d.uniform(2.5, 7.0), d.uniform(82.0, 96.0));
    let (speed_cold, speed_warm_at) = (d.uniform(1.1, 1.9), d.uniform(40.0, 75.0));
    let (mut fluid, mut parts, mut water, mut lift) = (start, [start; 3], start, 0.0f64);
    let mut drift = wander * day.normal();
    let (mut out, mut coolant) = (Vec::with_capacity(STEPS), Vec::with_capacity(STEPS));
    for _ in 0..STEPS {
        out.push(fluid);
        coolant.push(water);
        drift += -drift * DT / wander_min + wander * (2.0 * DT / wander_min).sqrt() * day.normal();
        let cold = ((speed_warm_at - water) / (speed_warm_at - ambient).max(15.0)).clamp(0.0, 1.0);
        let speed = 1.0 + (speed_cold - 1.0) * cold;
        let drag =
            drag_0 * speed.powf(1.3) * (viscosity(fluid.clamp(-20.0, 140.0)) / 40.0).powf(drag_power) * (1.0 + drift);
        let wanted = if wax { ((fluid - wax_from) / 10.0).clamp(0.05, 1.0) } else { 1.0 };
        lift += DT / wax_lag * (wanted - lift);
        let cooler = flow_kw * speed * effectiveness * lift * (water - fluid);
        let heat = 1.9 * fluid_kg;
        let mut given = 0.0;
        let old = parts;
        for k in 0..3 {
            let share = film * (fluid - old[k]) * if k == 1 { 1.0 } else { 0.5 };
            given += share;
            let along: f64 = [k.checked_sub(1), Some(k + 1)]
                .iter()
                .flatten()
                .filter_map(|j| old.get(*j))
                .map(|o| between * (o - old[k]))
                .sum();
            parts[k] += STEP_S / shell[k] * (share + along - air * (old[k] - ambient));
        }
        fluid += STEP_S / heat * (drag + cooler - given);
        let radiator = if water > warm_water { 12.0 } else { 0.0 };
        water += STEP_S / water_capacity * (burn * speed - cooler - 0.03 * (water - ambient) - radiator);
    }
    Truth { fluid: out, coolant, ambient }
}
