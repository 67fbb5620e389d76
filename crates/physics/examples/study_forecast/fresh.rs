//! Two more structures, at first kept for judging, among those that teach since. P is mild: nothing cuts in or out. Q is wild:
//! the engine stops and starts, a belt clamps in steps, a pump of its own drives the water.

use super::truth::{Draws, STEP_S, Truth};

const MINUTES: f64 = 240.0;
const STEPS: usize = (MINUTES * 60.0 / STEP_S) as usize;
const DT: f64 = STEP_S / 60.0;

/// P: a pump at nearly constant pressure heats what it returns; the returned stream and the pool in the pan mix the better the
/// thinner the fluid; the pan loses heat by free convection, the housing takes some from the engine's flank. The sensor sits in
/// the valve body between both. Capacities in kJ/K, conductances in kW/K, heat in kW.
pub fn p(d: &mut Draws, day: &mut Draws) -> Truth {
    let ambient = day.uniform(-4.0, 33.0);
    let start = ambient + if day.chance(0.25) { day.uniform(1.0, 14.0) } else { 0.0 };
    let (c_stream, c_pool, c_body) = (d.uniform(3.0, 7.0), d.uniform(6.0, 15.0), d.uniform(12.0, 32.0));
    let (pump, leaks) = (d.log_uniform(0.35, 1.2), d.uniform(0.0, 0.006));
    let (mixing, thinner) = (d.uniform(0.10, 0.35), d.uniform(0.002, 0.012));
    let (metal, flank) = (d.uniform(0.05, 0.25), d.uniform(0.003, 0.02));
    let (pan_loss, body_loss) = (d.uniform(0.001, 0.004), d.uniform(0.002, 0.006));
    let (block_end, block_min) = (d.uniform(72.0, 96.0), d.uniform(5.0, 14.0));
    let (share, sensor_min) = (d.uniform(0.2, 0.8), d.uniform(0.1, 0.8));
    let (breath, breath_min) = (d.uniform(0.0, 0.05), d.uniform(0.5, 6.0));
    let (mut stream, mut pool, mut body, mut sensor, mut drift) = (start, start, start, start, breath * day.normal());
    let (mut fluid, mut coolant) = (Vec::with_capacity(STEPS), Vec::with_capacity(STEPS));
    for i in 0..STEPS {
        fluid.push(sensor);
        drift += -drift * DT / breath_min + breath * (2.0 * DT / breath_min).sqrt() * day.normal();
        let block = start + (block_end - start) * (1.0 - (-(i as f64) * DT / block_min).exp());
        coolant.push(block);
        let heat = pump * (1.0 + drift) * (1.0 - leaks * (stream - 20.0)).clamp(0.3, 1.5);
        let stirred = mixing * (1.0 + thinner * (pool - 20.0)).clamp(0.4, 3.0);
        // Free convection: the loss grows with the power 1.25 of the difference.
        let air = |t: f64, loss: f64| loss * (t - ambient) * ((t - ambient).abs() / 30.0).powf(0.25);
        let (s, p, b) = (stream, pool, body);
        stream += STEP_S / c_stream * (heat - stirred * (s - p) - 0.5 * metal * (s - b));
        pool += STEP_S / c_pool * (stirred * (s - p) - 0.5 * metal * (p - b) - air(p, pan_loss));
        body += STEP_S / c_body * (0.5 * metal * (s + p - 2.0 * b) + flank * (block - b) - air(b, body_loss));
        sensor += DT / sensor_min * (share * stream + (1.0 - share) * pool - sensor);
    }
    Truth { fluid, coolant, ambient }
}

/// Q: the engine stops by itself for a minute or so once its water is warm enough; the clamping pressure, and with it the heat,
/// goes in steps over the fluid's temperature; an electric pump sends water through the exchanger in three speeds; a relay
/// with hysteresis blows at the pan; the pan begins wet and dries.
pub fn q(d: &mut Draws, day: &mut Draws) -> Truth {
    let ambient = day.uniform(-10.0, 34.0);
    let start = ambient + if day.chance(0.3) { day.uniform(0.0, 20.0) } else { 0.0 };
    let (c_oil, c_case, c_pulleys) = (d.uniform(9.0, 20.0), d.uniform(12.0, 35.0), d.uniform(8.0, 20.0));
    let (pump, clamp) = (d.log_uniform(0.2, 0.8), d.log_uniform(0.15, 0.8));
    let (step_k, step_share) = (d.uniform(6.0, 15.0), d.uniform(0.75, 1.15));
    let (to_case, to_pulleys, air) = (d.uniform(0.08, 0.35), d.uniform(0.1, 0.5), d.uniform(0.004, 0.016));
    let plates = if d.chance(0.7) { d.log_uniform(0.015, 0.12) } else { 0.0 };
    let (slow_at, fast_at) = (d.uniform(15.0, 45.0), d.uniform(45.0, 75.0));
    let (fan_on, fan_band, fan) = (d.uniform(70.0, 92.0), d.uniform(4.0, 12.0), d.uniform(1.5, 4.0));
    let stops = d.chance(0.5);
    let (stop_from, stop_min, run_min) = (d.uniform(40.0, 70.0), d.uniform(0.3, 1.5), d.uniform(1.0, 6.0));
    let (water_end, c_water, burn) = (d.uniform(78.0, 98.0), d.uniform(50.0, 120.0), d.uniform(3.0, 8.0));
    let wet_min = if day.chance(0.3) { day.uniform(4.0, 25.0) } else { 0.0 };
    let sensor_min = d.uniform(0.1, 1.0);
    let (mut oil, mut case, mut pulleys, mut water, mut sensor) = (start, start, start, start, start);
    let (mut blowing, mut stopped, mut until) = (false, false, 0.0);
    let (mut fluid, mut coolant) = (Vec::with_capacity(STEPS), Vec::with_capacity(STEPS));
    for i in 0..STEPS {
        fluid.push(sensor);
        coolant.push(water);
        let t = i as f64 * DT;
        if stops && water > stop_from && t >= until {
            stopped = !stopped;
            until = t - if stopped { stop_min } else { run_min } * day.uniform(0.05, 1.0).ln();
        }
        let turns = if stopped { 0.0 } else { 1.0 + 0.3 * (-t / 1.5).exp() };
        blowing = if blowing { water > fan_on - fan_band } else { water > fan_on };
        let stairs = step_share.powf(((oil - 20.0) / step_k).floor().clamp(0.0, 5.0));
        let heat = turns * (pump * (60.0 / (oil + 40.0).max(15.0)).powf(0.5) + clamp * stairs);
        let speed = if oil < slow_at {
            0.1
        } else if oil < fast_at {
            0.5
        } else {
            1.0
        };
        let given = plates * speed * (water - oil);
        let loss = air * (if blowing { fan } else { 1.0 }) * (if t < wet_min { 1.8 } else { 1.0 });
        let radiator = if water > water_end { 0.3 * (water - ambient) } else { 0.0 };
        let (o, c, p) = (oil, case, pulleys);
        oil += STEP_S / c_oil * (heat + given - to_case * (o - c) - turns * to_pulleys * (o - p));
        pulleys += STEP_S / c_pulleys * (turns * to_pulleys * (o - p) - 0.02 * (p - c));
        case += STEP_S / c_case * (to_case * (o - c) + 0.02 * (p - c) - loss * (c - ambient));
        water += STEP_S / c_water * (burn * turns - given - radiator - 0.02 * (water - ambient));
        sensor += DT / sensor_min * (oil - sensor);
    }
    Truth { fluid, coolant, ambient }
}
