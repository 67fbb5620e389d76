//! G and H: no two vehicles alike. Bodies, what joins them, laws of heat, coolants, valves, idles and chance events are all drawn; in G
//! nothing cuts in or out. The lesson is taught with them beside the structures thought out one by one. Capacities in
//! kJ/K, conductances in kW/K, heat in kW; every range is judgement, no source.

use super::truth::{Draws, STEP_S, Truth};

const MINUTES: f64 = 240.0;
const STEPS: usize = (MINUTES * 60.0 / STEP_S) as usize;
const DT: f64 = STEP_S / 60.0;

/// 0, or in that share of vehicles something between the ends, evenly in its logarithm.
fn some(d: &mut Draws, share: f64, low: f64, high: f64) -> f64 {
    let value = d.log_uniform(low, high);
    if d.chance(share) { value } else { 0.0 }
}

fn pick(d: &mut Draws, kinds: usize) -> usize {
    (d.uniform(0.0, kinds as f64) as usize).min(kinds - 1)
}

/// Heat put into one body: how it depends on the temperature there.
struct Heat {
    into: usize,
    kw: f64,
    law: usize,
    by: f64,
    speed_power: f64,
}

impl Heat {
    fn new(d: &mut Draws, share: f64) -> Self {
        Self {
            into: pick(d, 2),
            kw: share * d.log_uniform(0.25, 1.5),
            law: pick(d, 5),
            by: d.uniform(0.0, 1.0),
            speed_power: d.uniform(1.0, 2.2),
        }
    }
    fn at(&self, t: f64) -> f64 {
        let factor = match self.law {
            0 => 1.0,
            1 => (-0.016 * self.by * (t - 30.0)).exp(),
            2 => ((t + 55.0).max(15.0) / 95.0).powf(-2.4 * self.by),
            3 => (1.0 - 0.012 * self.by * (t - 30.0)).clamp(0.15, 2.0),
            _ => 1.3 / (1.0 + 1.2 * self.by * (t - 10.0).max(0.0) / 50.0),
        };
        self.kw * factor.min(4.0)
    }
}

/// What lets the coolant through to the exchanger.
struct Valve {
    law: usize,
    at: f64,
    band: f64,
    leak: f64,
    lag_min: f64,
    lift: f64,
    snapped: bool,
}

impl Valve {
    fn new(d: &mut Draws, wild: bool) -> Self {
        let law = if wild { pick(d, 6) } else { 0 };
        let at = if law == 4 { d.uniform(1.0, 25.0) } else { d.uniform(22.0, 82.0) };
        let (band, leak, lag_min) = (d.uniform(2.0, 14.0), d.uniform(0.0, 0.2), some(d, 0.5, 0.2, 4.0));
        Self { law, at, band, leak, lag_min, lift: if law == 0 { 1.0 } else { 0.0 }, snapped: false }
    }
    fn step(&mut self, minutes: f64, fluid: f64, coolant: f64) -> f64 {
        let ramp = |x: f64| ((x - self.at) / self.band).clamp(0.0, 1.0);
        let wanted = match self.law {
            0 => 1.0,
            1 => ramp(fluid),
            2 | 5 => ramp(coolant),
            3 => {
                self.snapped = fluid > if self.snapped { self.at - self.band } else { self.at };
                f64::from(u8::from(self.snapped))
            }
            _ => ((minutes - self.at) / (0.5 * self.band)).clamp(0.0, 1.0),
        };
        self.lift =
            if self.lag_min > 0.0 { self.lift + DT / self.lag_min.max(DT) * (wanted - self.lift) } else { wanted };
        self.leak + (1.0 - self.leak) * self.lift
    }
}

/// Something that is on and off for chance spans, in minutes; never on when `on_min` is 0.
struct Chance {
    on: bool,
    left: f64,
    on_min: f64,
    off_min: f64,
}

impl Chance {
    fn new(d: &mut Draws, day: &mut Draws, share: f64) -> Self {
        let (on_min, off_min) = (some(d, share, 0.5, 8.0), d.log_uniform(3.0, 40.0));
        Self { on: false, left: -off_min * day.uniform(1e-9, 1.0).ln(), on_min, off_min }
    }
    fn step(&mut self, day: &mut Draws) -> f64 {
        self.left -= DT;
        if self.left <= 0.0 && self.on_min > 0.0 {
            self.on = !self.on;
            self.left = -(if self.on { self.on_min } else { self.off_min }) * day.uniform(1e-9, 1.0).ln();
        }
        f64::from(u8::from(self.on))
    }
}

/// Bodies and what joins them; the first is the sump, the second carries fluid too.
struct Bodies {
    capacity: Vec<f64>,
    joints: Vec<(usize, usize, f64)>,
    air: Vec<f64>,
    air_power: f64,
    block: (usize, f64),
}

impl Bodies {
    fn new(d: &mut Draws) -> Self {
        let n = 2 + pick(d, 4);
        let capacity = (0..n).map(|i| if i < 2 { d.uniform(4.0, 17.0) } else { d.uniform(5.0, 32.0) }).collect();
        let mut joints = vec![(0, 1, d.log_uniform(0.08, 0.6))];
        for i in 2..n {
            joints.push((pick(d, i), i, d.log_uniform(0.02, 0.4)));
        }
        if n > 2 && d.chance(0.5) {
            joints.push((pick(d, 2), n - 1, d.log_uniform(0.02, 0.3)));
        }
        let air = (0..n).map(|_| d.log_uniform(0.0008, 0.012)).collect();
        let block = (n - 1, some(d, 0.6, 0.002, 0.04));
        Self { capacity, joints, air, air_power: if d.chance(0.3) { 0.25 } else { 0.0 }, block }
    }
}

/// A radiator that is cold at first, and what opens the way to it.
struct Radiator {
    valve: Valve,
    flow: f64,
    capacity: f64,
    air: f64,
    t: f64,
}

impl Radiator {
    fn new(d: &mut Draws, start: f64) -> Self {
        let mut valve = Valve::new(d, true);
        if d.chance(0.7) {
            valve.law = [1, 3][pick(d, 2)];
            valve.at = d.uniform(28.0, 85.0);
        }
        let (capacity, air) = (d.uniform(5.0, 25.0), d.uniform(0.01, 0.06));
        Self { valve, flow: some(d, 0.35, 0.01, 0.1), capacity, air, t: start }
    }
    /// Heat taken from the fluid.
    fn step(&mut self, minutes: f64, fluid: f64, coolant: f64, ambient: f64) -> f64 {
        let taken = self.flow * self.valve.step(minutes, fluid, coolant) * (fluid - self.t);
        self.t += STEP_S / self.capacity * (taken - self.air * (self.t - ambient));
        taken
    }
}

/// G: mild, nothing cuts in or out.
pub fn g(d: &mut Draws, day: &mut Draws) -> Truth {
    any(d, day, false)
}

/// H: wild, valves, idles and chance events.
pub fn h(d: &mut Draws, day: &mut Draws) -> Truth {
    any(d, day, true)
}

fn any(d: &mut Draws, day: &mut Draws, wild: bool) -> Truth {
    let ambient = day.uniform(-12.0, 36.0);
    let start = ambient + if day.chance(0.3) { day.uniform(0.0, 25.0) } else { 0.0 };
    let bodies = Bodies::new(d);
    let n = bodies.capacity.len();
    let second = if d.chance(0.4) { d.uniform(0.2, 0.8) } else { 0.0 };
    let heats = [Heat::new(d, 1.0 - second), Heat::new(d, second)];
    let fast_share = if wild { 0.7 } else { 0.3 };
    let (fast, fast_min, fast_law) =
        (some(d, fast_share, 0.08, 0.9), d.log_uniform(0.8, 8.0), pick(d, if wild { 4 } else { 3 }));
    let fast_until = d.uniform(35.0, 75.0);
    let plates = some(d, 0.75, 0.008, 0.12);
    let mut valve = Valve::new(d, wild);
    let enters = pick(d, 2);
    let (water_end, water_min, water_law) = (d.uniform(72.0, 100.0), d.log_uniform(4.0, 22.0), pick(d, 3));
    let water_end = if wild && d.chance(0.1) { d.uniform(45.0, 72.0).max(start) } else { water_end };
    let (wander, wander_min) = (d.uniform(0.0, if wild { 0.25 } else { 0.06 }), d.log_uniform(0.5, 15.0));
    let often = if wild { 0.25 } else { 0.0 };
    let mut radiator = wild.then(|| Radiator::new(d, start));
    let (thick_share, thick_until) = (if wild { some(d, 0.3, 0.05, 0.4) } else { 0.0 }, d.uniform(0.0, 60.0));
    let (pours, poured) = (wild && day.chance(0.06), (day.uniform(0.0, 40.0), day.uniform(3.0, 25.0)));
    let mut chances = [(); 4].map(|()| Chance::new(d, day, often));
    let (raised, gear, draught) = (d.uniform(0.1, 0.5), d.uniform(0.2, 1.0), d.uniform(1.2, 3.0));
    let (sensor_min, mixed) = (d.log_uniform(0.05, 1.2), if d.chance(0.4) { d.uniform(0.0, 1.0) } else { 0.0 });
    let mut t = vec![start; n];
    let mut rates = vec![0.0; n];
    let (mut sensor, mut drift) = (start, wander * day.normal());
    let (mut fluid, mut coolant) = (Vec::with_capacity(STEPS), Vec::with_capacity(STEPS));
    for i in 0..STEPS {
        let minutes = i as f64 * DT;
        let water = start
            + (water_end - start)
                * match water_law {
                    0 => 1.0 - (-minutes / water_min).exp(),
                    1 => 1.0 - (1.0 + 1.7 * minutes / water_min) * (-1.7 * minutes / water_min).exp(),
                    _ => (0.6 * minutes / water_min).min(1.0),
                };
        fluid.push(sensor);
        coolant.push(water);
        drift += -drift * DT / wander_min + wander * (2.0 * DT / wander_min).sqrt() * day.normal();
        let on = [0, 1, 2, 3].map(|k: usize| chances[k].step(day));
        let faded = match fast_law {
            0 => (-minutes / fast_min).exp(),
            1 => 1.0 / (1.0 + ((minutes - 1.5 * fast_min) / 0.4).exp()),
            2 => ((fast_until - water) / 30.0).clamp(0.0, 1.0),
            _ => f64::from(u8::from(water < fast_until)),
        };
        let stopped = if on[3] > 0.0 && on[0] == 0.0 { 0.0 } else { 1.0 };
        let speed = stopped * (1.0 + fast * faded + raised * on[0]);
        rates.iter_mut().for_each(|r| *r = 0.0);
        for heat in &heats {
            let thick = 1.0 + if t[0] < thick_until { thick_share } else { 0.0 };
            rates[heat.into] += heat.at(t[heat.into])
                * thick
                * speed.powf(heat.speed_power)
                * (1.0 + gear * on[1])
                * (1.0 + drift).max(0.0);
        }
        if let Some(radiator) = &mut radiator {
            rates[0] -= radiator.step(minutes, t[0], water, ambient);
        }
        if pours && (poured.0..poured.0 + 0.7).contains(&minutes) {
            rates[0] -= 0.08 * poured.1 / 10.0 * (t[0] - ambient);
        }
        rates[enters] += plates * valve.step(minutes, t[0], water) * stopped * (water - t[enters]);
        rates[bodies.block.0] += bodies.block.1 * (water - t[bodies.block.0]);
        for &(a, b, joint) in &bodies.joints {
            let flow = joint * (t[a] - t[b]);
            rates[a] -= flow;
            rates[b] += flow;
        }
        let wind = 1.0 + (draught - 1.0) * on[2];
        for k in 0..n {
            let over = t[k] - ambient;
            rates[k] -= bodies.air[k] * wind * over * (over.abs() / 30.0).powf(bodies.air_power);
            t[k] += STEP_S / bodies.capacity[k] * rates[k];
        }
        sensor += DT / sensor_min.max(DT) * ((1.0 - mixed) * t[0] + mixed * t[1] - sensor);
    }
    Truth { fluid, coolant, ambient }
}
