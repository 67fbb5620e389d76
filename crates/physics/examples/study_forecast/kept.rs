//! Two more structures, at first kept for judging, among those that teach since. V is mild: nothing cuts in or
//! out. U is wild: somebody moves the selector, changes the idle and opens the door while the log runs.

use super::truth::{Draws, STEP_S, Truth};

const MINUTES: f64 = 240.0;
const STEPS: usize = (MINUTES * 60.0 / STEP_S) as usize;
const DT: f64 = STEP_S / 60.0;

/// V: the fluid goes round: sump, converter, a plate exchanger that always flows, back. Drag falls exponentially with
/// temperature; the water follows the engine's two masses; the sensor sits in the sump; the drag breathes by a few per cent.
pub fn v(d: &mut Draws, day: &mut Draws) -> Truth {
    let ambient = day.uniform(0.0, 30.0);
    let start = ambient + if day.chance(0.2) { day.uniform(1.0, 12.0) } else { 0.0 };
    // Heat capacities in kJ/K, conductances and flows in kW/K, heat in kW.
    let (c_sump, c_wheel, c_housing) = (d.uniform(7.0, 14.0), d.uniform(6.0, 12.0), d.uniform(14.0, 35.0));
    let (drag, thins) = (d.log_uniform(0.4, 1.4), d.uniform(0.002, 0.014));
    let flow = d.uniform(0.12, 0.4);
    let plates = d.log_uniform(0.01, 0.06);
    let (wall, air) = (d.uniform(0.1, 0.35), d.uniform(0.004, 0.014));
    let (c_head, c_block) = (d.uniform(25.0, 50.0), d.uniform(50.0, 90.0));
    let (burn, between, shed) = (d.uniform(3.0, 6.0), d.uniform(0.2, 0.6), d.uniform(0.02, 0.05));
    let warm = d.uniform(80.0, 92.0);
    let (breath, breath_min) = (d.uniform(0.0, 0.06), d.uniform(0.5, 4.0));
    let (mut sump, mut wheel, mut housing, mut head, mut block) = (start, start, start, start, start);
    let mut drift = breath * day.normal();
    let (mut fluid, mut coolant) = (Vec::with_capacity(STEPS), Vec::with_capacity(STEPS));
    for _ in 0..STEPS {
        fluid.push(sump);
        coolant.push(head);
        drift += -drift * DT / breath_min + breath * (2.0 * DT / breath_min).sqrt() * day.normal();
        let heat = drag * (1.0 + drift) * (-thins * (wheel - 20.0)).exp();
        let returned = wheel + plates / flow * (head - wheel);
        let given = plates * (head - wheel);
        let radiator = 0.5 * ((head - warm) / 4.0).clamp(0.0, 1.0) * (head - ambient);
        let (s, w, h, b) = (sump, wheel, head, block);
        sump += STEP_S / c_sump * (flow * (returned - s) - wall * (s - housing));
        wheel += STEP_S / c_wheel * (heat + flow * (s - w));
        housing += STEP_S / c_housing * (wall * (s - housing) - air * (housing - ambient));
        head += STEP_S / c_head * (burn - between * (h - b) - given - radiator);
        block += STEP_S / c_block * (between * (h - b) - shed * (b - ambient));
    }
    Truth { fluid, coolant, ambient }
}

/// Something that happens at chance times: on for a while, off for a while.
struct Switch {
    on: bool,
    left: f64,
    lasts: (f64, f64),
}

impl Switch {
    fn new(d: &mut Draws, on_min: f64, off_min: f64) -> Self {
        let left = -off_min * d.uniform(1e-9, 1.0).ln();
        Self { on: false, left, lasts: (on_min, off_min) }
    }
    fn step(&mut self, d: &mut Draws) -> f64 {
        self.left -= DT;
        if self.left <= 0.0 {
            self.on = !self.on;
            let mean = if self.on { self.lasts.0 } else { self.lasts.1 };
            self.left = -mean * d.uniform(1e-9, 1.0).ln();
        }
        if self.on { 1.0 } else { 0.0 }
    }
}

/// U: idle raised and let go, a selector moved through the gears, a door opened, a valve to the cooler that snaps with
/// hysteresis, a heater of the workshop that comes and goes; two parts of metal, a sensor in a dead corner.
pub fn u(d: &mut Draws, day: &mut Draws) -> Truth {
    let mut room = day.uniform(-8.0, 32.0);
    let ambient = room;
    let start = room + if day.chance(0.35) { day.uniform(0.0, 22.0) } else { 0.0 };
    let (c_fluid, c_near, c_far) = (d.uniform(10.0, 24.0), d.uniform(8.0, 20.0), d.uniform(10.0, 30.0));
    let (pump, slip, thick) = (d.log_uniform(0.15, 0.7), d.log_uniform(0.1, 0.8), d.uniform(0.2, 0.9));
    let (close, far, out) = (d.uniform(0.1, 0.4), d.uniform(0.03, 0.15), d.uniform(0.003, 0.014));
    let valve = d.chance(0.6);
    let (opens, band, cooler) = (d.uniform(35.0, 80.0), d.uniform(3.0, 9.0), d.log_uniform(0.01, 0.08));
    let (water_end, water_min) = (d.uniform(75.0, 97.0), d.uniform(6.0, 20.0));
    let corner_min = d.uniform(0.1, 1.5);
    let raised = d.uniform(0.1, 0.5);
    let (idle_on, idle_off) = (d.uniform(2.0, 8.0), d.uniform(5.0, 30.0));
    let (gear_on, gear_off) = (d.uniform(0.3, 1.5), d.uniform(3.0, 15.0));
    let (door_on, door_off, draught) = (d.uniform(1.0, 6.0), d.uniform(8.0, 40.0), d.uniform(1.2, 2.5));
    let mut idle = Switch::new(day, idle_on, idle_off);
    let mut gear = Switch::new(day, gear_on, gear_off);
    let mut door = Switch::new(day, door_on, door_off);
    let (mut f, mut near, mut outer, mut corner, mut open) = (start, start, start, start, false);
    let (mut fluid, mut coolant) = (Vec::with_capacity(STEPS), Vec::with_capacity(STEPS));
    for i in 0..STEPS {
        fluid.push(corner);
        let t = i as f64 * DT;
        let speed = 1.0 + raised * idle.step(day) + 0.25 * (-t / 2.5).exp();
        let in_gear = gear.step(day);
        let draughty = door.step(day);
        room += DT / 10.0 * (ambient - room) + 0.15 * DT.sqrt() * day.normal();
        open = if open { f > opens - band } else { f > opens };
        let thin = (1.0 + (f + 20.0).max(0.0) / 60.0).powf(-2.0 * thick);
        let heat = pump * speed.powf(1.7) * 2.0 * thin + slip * (1.0 + 0.8 * in_gear) * speed * speed * 0.6;
        let water = start + (water_end - start) * (1.0 - (-t / water_min).exp());
        coolant.push(water);
        let leak = if !valve || open { 1.0 } else { 0.06 };
        let air = out * if draughty > 0.0 { draught } else { 1.0 };
        let (x, n, o) = (f, near, outer);
        f += STEP_S / c_fluid * (heat + cooler * leak * (water - x) - close * (x - n));
        near += STEP_S / c_near * (close * (x - n) - far * (n - o) - 0.3 * air * (n - room));
        outer += STEP_S / c_far * (far * (n - o) - air * (o - room));
        corner += DT / corner_min * (f - corner);
    }
    Truth { fluid, coolant, ambient }
}
