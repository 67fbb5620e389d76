//! Warm-up and run-off.

use physics::PhysicsError;
use physics::runoff::{DrainBack, RunOff, STREAM_BREAKS, Standpipe, THIN_STREAM, Warming, run_off};
use physics::warmup::{Approach, cooling_time};
use quantity::{Area, Duration, Flow, KinematicViscosity, Length, Temperature, TemperatureRate, Volume};
use serde_json::{Value, json};

use crate::case;

pub fn cases(into: &mut Vec<Value>) -> Result<(), PhysicsError> {
    warm_up(into)?;
    rims(into)?;
    run_offs(into)
}

fn warm_up(into: &mut Vec<Value>) -> Result<(), PhysicsError> {
    let c = Temperature::from_celsius;
    for (start, end, tau, lag) in [
        (20.0, 85.0, 25.0, 0.0),
        (20.0, 80.0, 15.0, 3.0),
        (20.0, 80.0, 15.0, 15.0),
        (-10.0, 60.0, 40.0, 12.0),
        (5.0, 95.0, 8.0, 1.0),
        (95.0, 20.0, 150.0, 5.0),
    ] {
        let approach = Approach::new(c(start), c(end), Duration::from_minutes(tau), Duration::from_minutes(lag))?;
        let target = start + 0.4 * (end - start);
        let at = |minutes: f64| approach.at(Duration::from_minutes(minutes)).celsius();
        let reached = approach.time_to(c(target)).map(Duration::minutes);
        let input = json!({ "start": start, "end": end, "tau": tau, "lag": lag, "target": target });
        let ours =
            json!({ "T(5 min)": at(5.0), "T(10 min)": at(10.0), "T(20 min)": at(20.0), "minutes to target": reached });
        into.push(case("warm_up", format!("{start} → {end} °C, τ {tau} min, lag {lag} min"), input, ours));
    }
    for (from, to, air, tau) in [(52.0, 44.0, 20.0, 150.0), (52.0, 40.0, 20.0, 150.0), (90.0, 45.0, -5.0, 120.0)] {
        let time = cooling_time(c(from), c(to), c(air), Duration::from_minutes(tau))?;
        let input = json!({ "start": from, "end": air, "tau": tau, "lag": 0.0, "target": to });
        let ours = json!({ "minutes to target": time.minutes() });
        into.push(case("warm_up", format!("cooling {from} → {to} °C in {air} °C"), input, ours));
    }
    Ok(())
}

fn rims(into: &mut Vec<Value>) -> Result<(), PhysicsError> {
    for (bore, nu) in [(6.0, 16.0), (8.0, 34.0), (12.0, 80.0)] {
        let mm = Length::from_mm;
        let pipe = Standpipe::new(mm(bore), mm(40.0), mm(0.0), KinematicViscosity::from_mm2_per_s(nu))?;
        // The rating formulas of weirs ask for tens of millimetres; there the constants can be compared.
        for head in [120.0, 180.0, 240.0] {
            let ours = json!({ "flow": pipe.weir(mm(head))?.ml_per_second() });
            into.push(case("weir", format!("{bore} mm, head {head} mm"), json!({ "bore": bore, "head": head }), ours));
        }
        for head in [1.0, 5.0, 20.0, 200.0] {
            let input = json!({ "bore": bore, "head": head, "length": 40.0, "nu": nu });
            let name = format!("{bore} mm, head {head} mm, {nu} mm²/s");
            let orifice = json!({ "flow": pipe.orifice(mm(head))?.ml_per_second() });
            into.push(case("orifice", name.clone(), input.clone(), orifice));
            let full = json!({ "flow": pipe.full_pipe(mm(head))?.ml_per_second() });
            into.push(case("full_pipe", name, input, full));
        }
    }
    Ok(())
}

/// Litres of surplus, m² of sump, mm of bore, mm²/s, K/min on 8 L, mL of drain-back in 300 s.
const RUN_OFFS: [[f64; 6]; 14] = [
    [0.3, 0.04, 6.0, 16.0, 0.0, 0.0],
    [0.3, 0.06, 8.0, 16.0, 0.0, 0.0],
    [0.3, 0.08, 10.0, 16.0, 0.0, 0.0],
    [0.5, 0.04, 8.0, 16.0, 0.0, 0.0],
    [0.5, 0.06, 8.0, 16.0, 0.0, 0.0],
    [0.5, 0.06, 8.0, 7.0, 0.0, 0.0],
    [0.5, 0.06, 8.0, 80.0, 0.0, 0.0],
    [0.5, 0.06, 8.0, 200.0, 0.0, 0.0],
    [1.0, 0.08, 10.0, 25.0, 0.0, 0.0],
    [0.5, 0.06, 8.0, 16.0, 1.0, 0.0],
    [0.5, 0.06, 8.0, 16.0, 2.5, 0.0],
    [0.5, 0.06, 8.0, 16.0, -1.0, 0.0],
    [0.5, 0.06, 8.0, 16.0, 0.0, 150.0],
    [0.5, 0.06, 8.0, 16.0, 1.0, 150.0],
];

fn run_offs(into: &mut Vec<Value>) -> Result<(), PhysicsError> {
    for [litres, area, bore, nu, rate, back] in RUN_OFFS {
        let mut input = RunOff::new(
            Volume::from_litres(litres),
            Length::from_mm(bore),
            Area::from_square_metres(area),
            KinematicViscosity::from_mm2_per_s(nu),
        );
        let rate_unit = TemperatureRate::from_kelvin_per_minute(rate);
        let charge = Volume::from_litres(8.0);
        input.warming = (rate != 0.0).then_some(Warming { charge, coefficient: 7.5e-4, rate: rate_unit });
        let (volume, time_constant) = (Volume::from_ml(back), Duration::from_seconds(300.0));
        input.drain_back = (back > 0.0).then_some(DrainBack { volume, time_constant });
        let forecast = run_off(&input)?;
        let below = |flow| forecast.times_below(Flow::from_ml_per_second(flow)).0.map(Duration::seconds);
        let ran_off = |s| forecast.at(Duration::from_seconds(s)).run_off.ml();
        let ours = json!({
            "s to thin stream": below(THIN_STREAM), "s to drops": below(STREAM_BREAKS),
            "mL in 20 s": ran_off(20.0), "mL in 60 s": ran_off(60.0),
        });
        let given = json!({ "litres": litres, "area": area, "bore": bore, "nu": nu, "rate": rate, "back": back });
        let name = format!("{litres} L, {area} m², {bore} mm, {nu} mm²/s, {rate} K/min, back {back} mL");
        into.push(case("run_off", name, given, ours));
    }
    Ok(())
}
