//! Three simulated units kept apart to judge a forecast once: `m` is smooth, in `n` parts act by themselves, in `o` people act.
//! They were thought out from heat balances, not from any forecast. Units: °C, s, W, W/K, J/K; explicit steps of `SUB_S`.
//!
//! | Range | Where it comes from |
//! |---|---|
//! | 33 mm²/s at 40 °C, 7 mm²/s at 100 °C | double-logarithmic law (ASTM D341); the two figures from memory |
//! | still air 1.32 (ΔT/D)^¼ W/m²K, D = 0.35 m; emissivity 0.8 | horizontal cylinder, heat transfer textbooks, from memory |
//! | 5 to 9 l of fluid at 2.0 kJ/kgK, 25 to 80 kg of metal at 0.5 to 0.9 kJ/kgK | from memory; masses: judgement |
//! | flow, pump work and drag, coolant heat (a third of 0.5 to 1.5 l/h of fuel), all the rest | judgement, no source |

use super::truth::{Draws, STEP_S, Truth};

const STEPS: usize = (240.0 * 60.0 / STEP_S) as usize;
const SUBSTEPS: usize = 4;
const SUB_S: f64 = STEP_S / SUBSTEPS as f64;
type Six = [f64; 6];

/// Bodies of one temperature each, °C, with the heat gathered for the next step, W. The last is the sensor (capacity: its lag, s).
struct Net {
    t: Six,
    q: Six,
}

impl Net {
    /// Conduction from a body to another, W/K.
    fn link<const K: usize>(&mut self, links: [(usize, usize, f64); K]) {
        for (from, to, g) in links {
            let heat = g * (self.t[from] - self.t[to]);
            self.q[from] -= heat;
            self.q[to] += heat;
        }
    }
    /// What a surface of `area` m² loses to the air; `draught` W/m²K comes on top of still air and radiation.
    fn shed(&mut self, i: usize, air: f64, area: f64, draught: f64) {
        let (above, mean_k) = (self.t[i] - air, 0.5 * (self.t[i] + air) + 273.15);
        let film = 1.32 * (above.abs() / 0.35).powf(0.25) + 4.0 * 0.8 * 5.67e-8 * mean_k.powi(3);
        self.q[i] -= area * (film + draught) * above;
    }
}

/// Runs from engine start; `act` adds the heats at a time in s. Body `coolant`, if any, is the coolant.
fn run(t: Six, c: Six, ambient: f64, coolant: Option<usize>, mut act: impl FnMut(&mut Net, f64)) -> Truth {
    let (mut net, mut truth) = (Net { t, q: [0.0; 6] }, Truth { fluid: Vec::new(), coolant: Vec::new(), ambient });
    for sub in 0..STEPS * SUBSTEPS {
        if sub % SUBSTEPS == 0 {
            truth.fluid.push(net.t[5]);
            truth.coolant.extend(coolant.map(|body| net.t[body]));
        }
        net.q = [0.0; 6];
        act(&mut net, sub as f64 * SUB_S);
        net.t = std::array::from_fn(|i| net.t[i] + SUB_S * net.q[i] / c[i]);
    }
    truth
}

/// A share around 1 that wanders with a spread `sigma` and forgets in `memory_s`.
fn wander(day: &mut Draws, sigma: (f64, f64)) -> impl FnMut() -> f64 {
    let (sigma, memory_s, mut own) = (day.uniform(sigma.0, sigma.1), day.uniform(60.0, 500.0), Draws(day.seed()));
    let mut off = 0.0;
    move || {
        off += -off * SUB_S / memory_s + sigma * (2.0 * SUB_S / memory_s).sqrt() * own.normal();
        1.0 + off
    }
}

/// One even draw for each pair of bounds.
fn between<const K: usize>(d: &mut Draws, low: [f64; K], high: [f64; K]) -> [f64; K] {
    std::array::from_fn(|i| d.uniform(low[i], high[i]))
}

/// Drag relative to that at 40 °C: viscosity to a power.
fn drag(t: f64, power: f64) -> f64 {
    let double_log = 7.9308 - 3.104 * (t.max(-40.0) + 273.15).log10();
    ((10f64.powf(10f64.powf(double_log)) - 0.7) / 33.0).powf(power)
}

/// Air, fluid and coolant at the start, °C: soaked overnight, brought in from outside, or driven some hours ago.
fn morning(day: &mut Draws) -> (f64, f64, f64) {
    let air = if day.chance(0.7) { day.uniform(8.0, 28.0) } else { day.uniform(-10.0, 35.0) };
    let (above, coolant_above) = match day.uniform(0.0, 1.0) {
        kind if kind < 0.65 => (day.uniform(-3.0, 2.0), day.uniform(-0.5, 1.0)),
        kind if kind < 0.83 => (day.uniform(-10.0, -3.0), day.uniform(-0.5, 1.0)),
        _ => (day.uniform(4.0, 14.0), day.uniform(4.0, 20.0)),
    };
    (air, air + above, air + above + coolant_above)
}

/// On above `high`, off `gap` lower, in between as before.
fn latch(on: &mut bool, value: f64, high: f64, gap: f64) -> bool {
    *on = value > high || (*on && value > high - gap);
    *on
}

/// Smooth. Bodies: sump fluid, fluid in converter and channels, turning steel, case, engine block. Pump work is constant,
/// drag falls with viscosity; the block nears its working temperature and heats the case through the bell housing; the case
/// sheds to still air and by radiation; the block is held by its time constant. Nothing cuts in or out; the heat
/// wanders by 1 to 4 %. No coolant is read.
pub fn m(d: &mut Draws, day: &mut Draws) -> Truth {
    let low = [5e3, 8e3, 6e3, 1e4, 500.0, 5.0, 120.0, 30.0, 20.0, 8.0, 0.5, 78.0, 60.0, 0.6];
    let high = [1e4, 1.5e4, 1.8e4, 2.8e4, 1300.0, 40.0, 600.0, 120.0, 80.0, 30.0, 8.0, 95.0, 250.0, 1.25];
    let [c0, c1, c2, c3, block_s, sensor_s, pump, steel, case, film, bell, set, flow, area] = between(d, low, high);
    let (rub, power) = (d.log_uniform(80.0, 800.0), d.uniform(0.3, 0.7));
    let (air, fluid, block) = morning(day);
    let mut share = wander(day, (0.01, 0.04));
    run([fluid, fluid, fluid, fluid, block, fluid], [c0, c1, c2, c3, block_s, sensor_s], air, None, |net, _| {
        let share = share();
        net.q[1] += share * pump;
        net.q[2] += share * rub * drag(net.t[1], power);
        net.link([(1, 0, flow), (2, 1, steel), (1, 3, case), (0, 3, film)]);
        net.q[3] += bell * (net.t[4] - net.t[3]);
        net.shed(3, air, area, 0.0);
        net.q[4] += set - net.t[4];
        net.q[5] += net.t[0] - net.t[5];
    })
}

/// Parts act by themselves. Bodies: sump, channels, case with steel, engine with coolant, cooler. Idle speed falls as the
/// coolant warms and takes pump work, drag and engine heat with it. Events by state: engine thermostat; radiator fan, which
/// also blows over case and cooler; heater-fed exchanger, open always or from a coolant temperature; cooler valve with a slow
/// wax, the cooler behind it still cold; line pressure eased from a fluid temperature. A unit has some; many act late or never.
pub fn n(d: &mut Draws, day: &mut Draws) -> Truth {
    let low = [6e3, 8e3, 1.8e4, 6e4, 2e3, 5.0, 150.0, 50.0, 30.0, 0.5, 0.6, 1.3];
    let high = [1.1e4, 1.6e4, 4.2e4, 1.2e5, 5e3, 30.0, 600.0, 200.0, 110.0, 6.0, 1.25, 2.0];
    let [c0, c1, c2, c3, c4, sensor_s, work, flow, to_case, bell, area, by_speed] = between(d, low, high);
    let low = [0.3, 1500.0, 8.0, 80.0, 15.0, 95.0, 2.0, 4.0, 15.0, 4.0, 0.3, 0.7];
    let high = [0.7, 5000.0, 20.0, 92.0, 45.0, 102.0, 10.0, 18.0, 60.0, 12.0, 0.9, 0.92];
    let [power, burn, block, set, radiator, fan_at, blow, cooler, wax_s, span, cooled, eased] = between(d, low, high);
    let (rub, fast) = (d.log_uniform(80.0, 500.0), if d.chance(0.7) { d.uniform(0.15, 0.7) } else { 0.05 });
    let exchanger = if d.chance(0.6) { d.log_uniform(8.0, 50.0) } else { 0.0 };
    let heater_at = if d.chance(0.4) { -99.0 } else { d.uniform(45.0, 75.0) };
    let valve = if d.chance(0.6) { d.uniform(50.0, 92.0) } else { 999.0 };
    let ease_at = if d.chance(0.35) { d.uniform(18.0, 60.0) } else { 999.0 };
    let (air, fluid, coolant) = morning(day);
    let mut share = wander(day, (0.005, 0.02));
    let (mut fan, mut heater, mut low, mut wax) = (false, false, false, fluid);
    run([fluid, fluid, fluid, coolant, air, fluid], [c0, c1, c2, c3, c4, sensor_s], air, Some(3), |net, _| {
        let blown = pick(latch(&mut fan, net.t[3], fan_at, 6.0), 1.0, 0.0);
        let speed = 1.0 + fast * ((65.0 - net.t[3]) / 50.0).clamp(0.0, 1.0);
        let pressure = pick(latch(&mut low, net.t[0], ease_at, 5.0), eased, 1.0);
        net.q[1] += share() * speed.powf(by_speed) * (work * pressure + rub * drag(net.t[1], power));
        let open = ((net.t[3] - set) / 10.0).clamp(0.0, 1.0);
        net.q[3] += burn * speed - (block + open * radiator * (1.0 + 5.0 * blown)) * (net.t[3] - air);
        let heated = pick(latch(&mut heater, net.t[3], heater_at, 5.0), exchanger, 0.0);
        wax += SUB_S / wax_s * (net.t[1] - wax);
        let through = flow * speed * cooled * ((wax - valve) / span).clamp(0.0, 1.0);
        net.q[0] += through * (net.t[4] - net.t[0]);
        net.q[1] += through * (net.t[0] - net.t[1]);
        net.q[4] += through * (net.t[1] - net.t[4]) - cooler * (1.0 + 1.5 * blown) * (net.t[4] - air);
        net.link([(1, 0, flow * speed - through), (1, 2, to_case), (0, 2, 0.4 * to_case)]);
        net.link([(3, 2, bell), (3, 1, heated)]);
        net.shed(2, air, area, blow * blown);
        net.q[5] += net.t[0] - net.t[5];
    })
}

fn pick(on: bool, yes: f64, no: f64) -> f64 {
    if on { yes } else { no }
}

/// From and to, s, of something that people do; empty if they do not.
fn spell(day: &mut Draws, share: f64, from: (f64, f64), length: (f64, f64)) -> std::ops::Range<f64> {
    let (done, from, length) = (day.chance(share), day.uniform(from.0, from.1), day.uniform(length.0, length.1));
    60.0 * from..if done { 60.0 * (from + length) } else { 0.0 }
}

/// People act. Bodies: sump, converter and channels, case with steel, engine with coolant, a corner of the sump. In some units
/// the sensor sits in that corner, whose fluid changes slowly unless stirred. Events by time: idle raised; a gear held on the
/// brake; the workshop door (colder air, draught, slow recovery); air conditioning (engine load and warm wind in turns); the
/// engine stopped for some minutes; the selector worked through, which stirs. Most days see none to two of them.
pub fn o(d: &mut Draws, day: &mut Draws) -> Truth {
    let low = [5e3, 8e3, 1.8e4, 6e4, 8e2, 5.0, 150.0, 50.0, 30.0, 0.5, 0.6, 0.3];
    let high = [1e4, 1.6e4, 4.2e4, 1.2e5, 2.5e3, 30.0, 650.0, 200.0, 110.0, 8.0, 1.25, 0.7];
    let [c0, c1, c2, c3, c4, sensor_s, work, flow, to_case, bell, area, power] = between(d, low, high);
    let (rub, burn, block) = (d.log_uniform(80.0, 600.0), d.uniform(1500.0, 4500.0), d.uniform(8.0, 20.0));
    let tank = if d.chance(0.4) { d.log_uniform(5.0, 30.0) } else { 0.0 };
    let (set, read) = (d.uniform(80.0, 92.0), d.chance(0.6).then_some(3));
    let swap = if d.chance(0.35) { d.log_uniform(4.0, 20.0) } else { 120.0 };
    let (air, fluid, coolant) = morning(day);
    let (raised, raise) = (spell(day, 0.3, (2.0, 40.0), (2.0, 12.0)), day.uniform(1.4, 2.1));
    let (gear, brake) = (spell(day, 0.3, (1.0, 50.0), (0.5, 6.0)), day.uniform(500.0, 1800.0));
    let (door, outside) = (spell(day, 0.25, (0.0, 80.0), (2.0, 30.0)), air - day.uniform(-2.0, 15.0));
    let (cold, turn) = (spell(day, 0.2, (0.0, 30.0), (15.0, 200.0)), day.uniform(90.0, 240.0));
    let (stop, stir) = (spell(day, 0.2, (3.0, 50.0), (1.0, 8.0)), spell(day, 0.3, (2.0, 50.0), (0.5, 2.0)));
    let (mut share, mut near) = (wander(day, (0.005, 0.02)), air);
    run([fluid, fluid, fluid, coolant, fluid, fluid], [c0, c1, c2, c3, c4, sensor_s], air, read, |net, time| {
        let (runs, open) = (!stop.contains(&time), door.contains(&time));
        let wind = runs && cold.contains(&time) && time % turn < 0.6 * turn;
        near += SUB_S * if open { (outside - near) / 150.0 } else { (air - near) / 700.0 };
        let speed = pick(runs, pick(raised.contains(&time), raise, pick(wind, 1.08, 1.0)), 0.0);
        net.q[1] += share() * speed.powf(1.7) * (work + rub * drag(net.t[1], power));
        net.q[1] += pick(gear.contains(&time), brake * speed, 0.0);
        let radiated = 80.0 * ((net.t[3] - set) / 8.0).clamp(0.0, 1.0);
        net.q[3] += burn * speed * pick(wind, 1.3, 1.0) - (block + radiated) * (net.t[3] - near);
        let corner = swap * pick(runs, pick(stir.contains(&time), 6.0, 1.0), 0.3);
        net.link([(1, 0, flow * speed + 6.0), (1, 2, to_case), (0, 2, 0.4 * to_case), (3, 2, bell)]);
        net.link([(3, 1, pick(runs, tank, 0.0)), (0, 4, corner), (4, 2, 1.5)]);
        net.shed(2, near + pick(wind, 4.0, 0.0), area, pick(open, 6.0, pick(wind, 4.0, 0.0)));
        net.q[5] += net.t[4] - net.t[5];
    })
}
