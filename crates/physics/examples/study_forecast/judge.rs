//! Four simulated units, run once to judge a forecast that had never seen them, among those that teach since: bodies that hold heat and pass it on, stepped every
//! quarter of a second. Heat in W, conductance in W/K, heat capacity in kJ/K, temperature in °C, time in min (`_s`: s).
//!
//! | range | where from |
//! |---|---|
//! | heat capacities | mass × 0.47 (steel), 0.9 (aluminium), volume × 1.75 kJ/(K·L) (oil); masses and volumes are judgement |
//! | thickness of oil | Vogel's law through 35 mm²/s at 40 °C and 7.5 mm²/s at 100 °C, usual values from memory |
//! | switching points of thermostats, valves, fans | common practice, no source |
//! | heats, conductances, hood and exhaust, what people do and how often | judgement, no source |

use crate::truth::{Draws, STEP_S, Truth};

const SAMPLES: usize = 240 * 30;
const PARTS: usize = 8;
const FINE_S: f64 = STEP_S / PARTS as f64;

/// Two bodies by number and the conductance between them; in a flow of oil, where to, where from, and what it carries.
type Link = (usize, usize, f64);

struct Unit<const N: usize> {
    ambient: f64,
    t: [f64; N],
    kj: [f64; N],
}

impl<const N: usize> Unit<N> {
    /// Bodies of drawn capacity, all as warm as the air, now and then a little warmer from an earlier drive.
    fn new(d: &mut Draws, day: &mut Draws, kj: [(f64, f64); N]) -> Self {
        let ambient = if day.chance(0.6) { day.uniform(10.0, 28.0) } else { day.uniform(-10.0, 35.0) };
        let left = if day.chance(0.2) { day.uniform(2.0, 14.0) } else { 0.0 };
        Self { ambient, t: [ambient + left; N], kj: pick(d, kj) }
    }

    /// Body 0 is the engine with its coolant. `step` gets the minutes and the temperatures; it gives what the sensor follows,
    /// the heat into each body, the links and the flows.
    fn run<const L: usize, const F: usize>(
        mut self,
        lag_s: f64,
        mut step: impl FnMut(f64, [f64; N]) -> (f64, [f64; N], [Link; L], [Link; F]),
    ) -> Truth {
        let (mut readings, mut sensor) = (Vec::new(), self.t[0]);
        for n in 0..SAMPLES * PARTS {
            readings.push((sensor, self.t[0]));
            let (seen, mut watts, links, flows) = step(n as f64 * FINE_S / 60.0, self.t);
            sensor += (seen - sensor) * FINE_S / lag_s;
            for (one, other, w_per_k) in links {
                watts[one] += w_per_k * (self.t[other] - self.t[one]);
                watts[other] += w_per_k * (self.t[one] - self.t[other]);
            }
            flows.iter().for_each(|&(to, from, w_per_k)| watts[to] += w_per_k * (self.t[from] - self.t[to]));
            (0..N).for_each(|i| self.t[i] += watts[i] * FINE_S / (1000.0 * self.kj[i]));
        }
        let (fluid, coolant) = readings.into_iter().step_by(PARTS).unzip();
        Truth { fluid, coolant, ambient: self.ambient }
    }
}

fn pick<const N: usize>(d: &mut Draws, ranges: [(f64, f64); N]) -> [f64; N] {
    ranges.map(|(low, high)| d.uniform(low, high))
}

fn soft_step(x: f64) -> f64 {
    1.0 / (1.0 + (-x).exp())
}

/// Heat of an idling engine less that of a radiator whose part grows softly around `set`.
fn engine_heat(watts: f64, set: f64, engine: f64, air: f64) -> f64 {
    watts - (8.0 + 250.0 * soft_step((engine - set) / 4.0)) * (engine - air)
}

/// A power of the kinematic viscosity over that at 40 °C.
fn thickness(t: f64, power: f64) -> f64 {
    (power * (720.0 / (t + 100.0) - 720.0 / 140.0)).exp()
}

/// Mild. Wet dual clutch without cooler. Bodies: engine, clutch pack, gears, casing, sump oil, hood air with its sheet metal.
/// Clutch drag (saturated in the cold) and churning go with powers of thickness, electric pump and solenoids are constant, the
/// engine conducts through the bell, the exhaust soaks into the casing, the casing loses by natural convection. Sensor: control
/// unit in the sump, splashed by the clutch. No events.
pub fn a(d: &mut Draws, day: &mut Draws) -> Truth {
    let kj = [(60.0, 130.0), (2.5, 6.0), (6.0, 14.0), (8.0, 17.0), (4.0, 12.0), (8.0, 25.0)];
    let unit = Unit::new(d, day, kj);
    let (air, load) = (unit.ambient, day.uniform(0.95, 1.05));
    let (drag, churn, electric) = (d.log_uniform(80.0, 450.0), d.log_uniform(50.0, 250.0), d.uniform(30.0, 160.0));
    let [idle, set, drag_power, churn_power] = pick(d, [(2500.0, 5500.0), (82.0, 95.0), (0.3, 1.0), (0.15, 0.6)]);
    let [bell, splash, wall, mesh] = pick(d, [(1.0, 9.0), (40.0, 120.0), (35.0, 120.0), (20.0, 70.0)]);
    let [outside, hood_loss, warms, exhaust] = pick(d, [(6.0, 20.0), (20.0, 70.0), (4.0, 12.0), (10.0, 140.0)]);
    let [exhaust_lag, splashed, lag_s] = pick(d, [(4.0, 15.0), (0.0, 0.25), (15.0, 80.0)]);
    unit.run(lag_s, |t, [engine, clutch, _, casing, sump, hood]| {
        let sticky = thickness(sump, drag_power);
        let (slip, stir) = (load * drag * sticky / (1.0 + sticky / 12.0), churn * thickness(sump, churn_power));
        let (soak, burn) = (exhaust * (1.0 - (-t / exhaust_lag).exp()), engine_heat(idle * load, set, engine, air));
        let convection = outside * ((casing - hood).abs() / 30.0).powf(0.25);
        let heat = [burn, slip, 0.5 * stir, soak, 0.5 * stir + electric, hood_loss * (air - hood)];
        let links = [(0, 3, bell), (0, 5, warms), (1, 4, splash), (2, 4, mesh), (3, 4, wall), (3, 5, convection)];
        (sump + splashed * (clutch - sump), heat, links, [])
    })
}

/// Mild. Belt and pulleys behind a converter. Bodies: engine, converter, pulleys, valve body, sump oil, case. Heat falls linearly
/// with oil temperature and goes with a power of idle speed, which sinks softly as the engine warms; it wanders by a few per cent
/// over minutes. Oil goes round sump, converter, valve body; a plate exchanger always passes coolant; the engine warms the air
/// round the case. Sensor: in the valve body's return. No events.
pub fn b(d: &mut Draws, day: &mut Draws) -> Truth {
    let unit = Unit::new(d, day, [(50.0, 120.0), (5.0, 11.0), (7.0, 17.0), (2.5, 6.0), (6.0, 15.0), (11.0, 22.0)]);
    let (watts, plate, air) = (d.log_uniform(300.0, 1100.0), d.log_uniform(2.0, 90.0), unit.ambient);
    let [idle, set, slope, fast] = pick(d, [(3000.0, 6000.0), (80.0, 92.0), (0.002, 0.009), (0.1, 0.6)]);
    let [fast_until, fast_power, front, belt] = pick(d, [(25.0, 60.0), (1.3, 2.5), (0.3, 0.6), (0.05, 0.25)]);
    let [round, wall, mesh, outside] = pick(d, [(80.0, 220.0), (30.0, 110.0), (20.0, 80.0), (7.0, 26.0)]);
    let [warmed, spread, minutes, lag_s] = pick(d, [(0.08, 0.35), (0.015, 0.05), (1.5, 8.0), (5.0, 40.0)]);
    let keep = (-FINE_S / 60.0 / minutes).exp();
    let mut wander = spread * day.normal();
    unit.run(lag_s, |_, [engine, _, _, valves, sump, case]| {
        wander = keep * wander + spread * (1.0 - keep * keep).sqrt() * day.normal();
        let speed = 1.0 + fast * soft_step((fast_until - engine) / 12.0);
        let slip = watts * speed.powf(fast_power) * (1.0 - slope * (sump - 40.0)) * (1.0 + wander);
        let burn = engine_heat(idle * (0.7 + 0.3 * speed), set, engine, air);
        let lost = outside * (air + warmed * (engine - air) - case);
        let heat = [burn, slip * front, slip * belt, 0.0, slip * (1.0 - front - belt), lost];
        (valves, heat, [(0, 4, plate), (2, 4, mesh), (5, 4, wall)], [(1, 4, round), (3, 1, round), (4, 3, round)])
    })
}

/// A switch with two points: 1 from `at` on, 0 again `gap` below it.
fn relay(on: &mut bool, x: f64, at: f64, gap: f64) -> f64 {
    *on = x >= at || (*on && x > at - gap);
    f64::from(u8::from(*on))
}

/// Wild: the state switches. Planetary gears behind a converter. Bodies: engine, gears with converter, sump oil, case, radiator.
/// Wax thermostat (opens over 7 K; some stuck open), fan, fast idle that drops at a coolant temperature, raised pressure in cold oil, a valve
/// that opens the oil's way to the radiator (always open, early, or late), in some a valve that lets coolant warm the oil. Drag
/// goes with a power of thickness. Sensor: sump.
pub fn c(d: &mut Draws, day: &mut Draws) -> Truth {
    let unit = Unit::new(d, day, [(50.0, 130.0), (14.0, 30.0), (7.0, 16.0), (10.0, 22.0), (8.0, 22.0)]);
    let (watts, air, load) = (d.log_uniform(300.0, 1100.0), unit.ambient, day.uniform(0.93, 1.07));
    let [idle, set, fan_over, fast] = pick(d, [(2800.0, 6000.0), (80.0, 92.0), (8.0, 14.0), (0.1, 0.6)]);
    let [fast_until, power, fast_power, raised] = pick(d, [(22.0, 60.0), (0.1, 0.5), (1.2, 2.2), (0.0, 0.3)]);
    let [raised_until, through, wall, outside] = pick(d, [(0.0, 32.0), (80.0, 250.0), (40.0, 120.0), (7.0, 20.0)]);
    let [warmed, loss, lag_s, cooling] = pick(d, [(0.05, 0.3), (20.0, 50.0), (10.0, 60.0), (15.0, 90.0)]);
    let [early, late, warming, warm_at] = pick(d, [(32.0, 48.0), (55.0, 88.0), (20.0, 90.0), (40.0, 75.0)]);
    let [always, some_early, stuck, warms] = [0.3, 0.3, 0.08, 0.35].map(|share| d.chance(share));
    let way_at = if always { -99.0 } else { [late, early][usize::from(some_early)] };
    let (fan_at, set, warm_at) = (set + fan_over, if stuck { -99.0 } else { set }, if warms { warm_at } else { 999.0 });
    let (mut on, wax) = ([false; 4], |x: f64, at: f64| ((x - at) / 7.0).clamp(0.0, 1.0));
    unit.run(lag_s, |_, [engine, _, sump, case, radiator]| {
        let [fan, warm, cold_idle, cold_oil] = &mut on;
        let coolant_flow = 5.0 + 250.0 * wax(engine, set);
        let blown = relay(fan, engine, fan_at, 4.0);
        let speed = 1.0 + fast * relay(cold_idle, -engine, -fast_until, 2.0);
        let pressure = 1.0 + raised * relay(cold_oil, -sump, -raised_until, 2.0);
        let slip = load * watts * pressure * speed.powf(fast_power) * thickness(sump, power);
        let burn = idle * (0.6 + 0.4 * speed) - 12.0 * (engine - air);
        let lost = outside * (1.0 + 0.4 * blown) * (air + warmed * (engine - air) - case);
        let cooled = cooling * (0.06 + 0.94 * wax(sump, way_at));
        let heat = [burn, slip, 0.0, lost, loss * (1.0 + 4.0 * blown) * (air - radiator)];
        let coolant = (0, 2, warming * relay(warm, engine, warm_at, 3.0));
        (sump, heat, [(0, 4, coolant_flow), coolant, (1, 2, through), (3, 2, wall), (2, 4, cooled)], [])
    })
}

/// At most `N` spells (from, to) that begin in the first hour and last between `short` and `long`.
fn spells<const N: usize>(day: &mut Draws, chance: f64, (short, long): (f64, f64)) -> [(f64, f64); N] {
    let begin = [(); N].map(|()| if day.chance(chance) { day.uniform(0.0, 60.0) } else { -99.0 });
    begin.map(|from| (from, from + day.uniform(short, long)))
}

fn within(spells: &[(f64, f64)], t: f64) -> f64 {
    f64::from(u8::from(spells.iter().any(|&(from, to)| from <= t && t < to)))
}

/// Wild: people and weather. Bodies: engine, converter with gears, upper and lower oil of a deep pan, case. Chance spells: raised
/// speed, a drive position on the brake, engine off (no circulation), air conditioning, an open door; in some a top-up with cold
/// oil while as much runs off; the air drifts. Drag goes with a power of thickness. Sensor: at some height between the two oils.
pub fn e(d: &mut Draws, day: &mut Draws) -> Truth {
    let unit = Unit::new(d, day, [(60.0, 150.0), (14.0, 32.0), (3.0, 8.0), (4.0, 10.0), (12.0, 26.0)]);
    let (watts, start, height) = (d.log_uniform(300.0, 1100.0), unit.ambient, d.uniform(0.0, 1.0));
    let [idle, set, power, speed_power] = pick(d, [(2800.0, 6500.0), (80.0, 92.0), (0.1, 0.55), (1.2, 2.0)]);
    let [bell, stall, round, mixing] = pick(d, [(2.0, 14.0), (500.0, 1800.0), (50.0, 180.0), (3.0, 30.0)]);
    let [wall, outside, warmed, lag_s] = pick(d, [(20.0, 70.0), (8.0, 24.0), (0.05, 0.3), (10.0, 60.0)]);
    let [revs, door]: [[_; 2]; 2] = [(0.3, 3.0), (1.0, 15.0)].map(|lasts| spells(day, 0.35, lasts));
    let (driven, off) = (spells::<3>(day, 0.5, (0.2, 1.5)), spells::<1>(day, 0.25, (0.7, 10.0)));
    let (cabin, top_up) = (spells::<1>(day, 0.35, (5.0, 60.0)), spells::<1>(day, 0.3, (0.3, 1.0)));
    let [raised, draught, drift, pour] = pick(day, [(0.3, 1.2), (-12.0, 3.0), (-3.0, 3.0), (20.0, 80.0)]);
    let truth = unit.run(lag_s, |t, [engine, _, upper, lower, case]| {
        let (runs, open, cooled) = (1.0 - within(&off, t), within(&door, t), within(&cabin, t));
        let air = start + drift * (1.0 - (-t / 60.0).exp()) + draught * open;
        let speed = 1.0 + raised * within(&revs, t) + 0.12 * cooled;
        let drag = runs * (watts * speed.powf(speed_power) * thickness(lower, power) + stall * within(&driven, t));
        let (flow, burn) = (runs * round * speed, engine_heat(runs * idle * speed, set, engine, air));
        let lost = outside * (1.0 + 0.5 * open) * (air + warmed * (engine - air) + 4.0 * cooled - case);
        let heat = [burn, drag, 0.0, pour * within(&top_up, t) * (start - lower), lost];
        let links = [(0, 4, bell), (2, 3, mixing), (4, 2, 0.6 * wall), (4, 3, 0.4 * wall), (4, 1, 6.0)];
        (lower + height * (upper - lower), heat, links, [(2, 1, flow), (3, 2, flow), (1, 3, flow)])
    });
    Truth { coolant: Vec::new(), ..truth }
}
