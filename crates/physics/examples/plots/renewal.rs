//! Renewal, ageing and the adapter on a torque wrench.

use physics::ageing::{Rule, relative_rate};
use physics::renewal::flow_through;
use physics::torque::{Joint, joint_newtons, set_torque};
use quantity::{Angle, Length, Temperature, Torque, Uncertain};

use crate::Outcome;
use crate::chart::{Axis, BLUE, BROWN, Chart, GREEN, INK, RED, Scale, VIOLET, along};

/// New share of `tanks` mixed tanks in a row, each stepped with its own balance.
fn stepped(ratio: f64, tanks: usize) -> f64 {
    let mut new = vec![0.0_f64; tanks];
    let steps = 200_000;
    let turn = ratio * tanks as f64 / f64::from(steps);
    for _ in 0..steps {
        let mut inlet = 1.0;
        for share in &mut new {
            let before = *share;
            *share += (inlet - before) * turn;
            inlet = before;
        }
    }
    new.iter().sum::<f64>() / tanks as f64
}

pub fn dilution() -> Outcome {
    let mut chart = Chart::new(
        "New fluid against fluid spent: exchange and drains",
        Axis::linear("fluid spent, volumes of the unit", 0.0, 3.0, 0.5),
        Axis::linear("new fluid in the unit, %", 0.0, 100.0, 20.0),
    );
    for (tanks, colour) in [(1, BLUE), (2, GREEN), (5, BROWN)] {
        let mut line = Vec::new();
        for ratio in along(Scale::Linear, 0.0, 3.0, 90) {
            line.push((ratio, 100.0 * flow_through(ratio, tanks)?));
        }
        chart.line(colour, &line);
        let at = [0.5, 1.0, 1.5, 2.0];
        chart.rings(INK, &at.map(|r| (r, 100.0 * stepped(r, tanks as usize))));
    }
    chart.dashes(INK, &[(0.0, 0.0), (1.0, 100.0), (3.0, 100.0)]);
    let drains: Vec<_> =
        (0..8).map(|n| (0.4 * f64::from(n), 100.0 * (1.0 - 0.6_f64.powi(n)))).filter(|p| p.0 <= 3.0).collect();
    chart.dashes(RED, &drains);
    chart.rings(RED, &[(0.4, 40.0), (0.8, 64.0), (1.2, 78.4), (1.6, 87.04)]);
    chart.words(INK, (0.03, 92.0), "start", "plug flow: ceiling");
    for (colour, y, text) in [
        (BROWN, 51.0, "exchange, 5 mixed tanks in a row"),
        (GREEN, 44.0, "exchange, 2 tanks"),
        (BLUE, 37.0, "exchange, ideally mixed: the floor"),
        (RED, 30.0, "drains of 40 %, 1 − 0.6ⁿ; ringed by hand"),
        (INK, 19.0, "○ each tank stepped with its own balance"),
    ] {
        chart.words(colour, (1.3, y), "start", text);
    }
    Ok(("dilution", chart.svg()))
}

pub fn ageing() -> Outcome {
    let deg = Temperature::from_celsius;
    let mut chart = Chart::new(
        "Ageing against temperature, 80 °C = 1",
        Axis::linear("temperature, °C", 40.0, 150.0, 10.0),
        Axis::log("times as fast as at 80 °C", 0.1, 1000.0),
    );
    let rules = [(Rule::COMMON, RED), (Rule::Arrhenius(70.0), GREEN), (Rule::Arrhenius(90.94), BLUE)];
    for (rule, colour) in rules {
        let mut line = Vec::new();
        for t in along(Scale::Linear, 40.0, 150.0, 110) {
            line.push((t, relative_rate(deg(t), deg(80.0), rule)?));
        }
        chart.line(colour, &line);
    }
    // 2^((T − 80)/10), and log₁₀ L = k + 4750/T read off the line of life against absolute temperature.
    let life = |t: f64| 10f64.powf(4750.0 / (80.0 + 273.15) - 4750.0 / (t + 273.15));
    chart.rings(INK, &[(70.0, 0.5), (90.0, 2.0), (100.0, 4.0), (110.0, 8.0), (120.0, 16.0), (130.0, 32.0)]);
    chart.rings(VIOLET, &[70.0, 90.0, 100.0, 110.0, 120.0, 130.0].map(|t| (t, life(t))));
    for (colour, y, text) in [
        (INK, 560.0, "○ powers of two by hand"),
        (VIOLET, 370.0, "○ handbook line of life, log L = k + 4750/T"),
        (BLUE, 245.0, "— 90.94 kJ/mol"),
        (RED, 162.0, "— doubles every 10 K"),
        (GREEN, 107.0, "— 70 kJ/mol"),
        (INK, 0.45, "below 60 °C counted as 60"),
    ] {
        chart.words(colour, (42.0, y), "start", text);
    }
    Ok(("ageing", chart.svg()))
}

pub fn adapter() -> Outcome {
    let mm = Length::from_mm;
    let mut chart = Chart::new(
        "What to set for 35 N·m with an adapter on a 300 mm wrench",
        Axis::linear("angle between wrench and adapter, degrees", 0.0, 180.0, 30.0),
        Axis::linear("set on the scale, N·m", 20.0, 60.0, 5.0),
    );
    for (length, colour, at) in [(25.0, GREEN, (178.0, 36.3)), (50.0, BLUE, (150.0, 42.3)), (100.0, RED, (142.0, 50.5))]
    {
        let mut line = Vec::new();
        for angle in along(Scale::Linear, 0.0, 180.0, 90) {
            let set = set_torque(Torque::from_nm(35.0), mm(300.0), mm(length), Angle::from_degrees(angle))?;
            line.push((angle, set.nm()));
        }
        chart.line(colour, &line);
        chart.words(colour, at, "end", &format!("{length:.0} mm"));
    }
    chart.rings(INK, &[(0.0, 30.0), (45.0, 31.310), (90.0, 35.0), (180.0, 42.0)]);
    chart.words(INK, (8.0, 50.0), "start", "○ by hand, 50 mm: 35 × 300/(300 + 50 cos θ)");
    Ok(("adapter", chart.svg()))
}

pub fn joint() -> Outcome {
    let mm = Length::from_mm;
    let mut chart = Chart::new(
        "Clamping force of M14 × 1.5 at 35 N·m, seat 19 mm",
        Axis::linear("friction in thread and seat", 0.05, 0.35, 0.05),
        Axis::linear("force, kN", 0.0, 35.0, 5.0),
    );
    let of = |mu: f64, u: f64| {
        let mu = Uncertain::new(mu, u);
        let joint = Joint { thread: mm(14.0), pitch: mm(1.5), seat: mm(19.0), in_thread: mu, under_head: mu };
        joint_newtons(Uncertain::new(Torque::from_nm(35.0), Torque::from_nm(0.8)), &joint)
    };
    let (mut line, mut low, mut high) = (Vec::new(), Vec::new(), Vec::new());
    for mu in along(Scale::Linear, 0.06, 0.34, 60) {
        let force = of(mu, 0.15 * mu)?;
        line.push((mu, force.value / 1000.0));
        low.push((mu, (force.value - 2.0 * force.u) / 1000.0));
        high.push((mu, (force.value + 2.0 * force.u) / 1000.0));
    }
    let outline: Vec<_> = low.iter().copied().chain(high.iter().rev().copied()).collect();
    chart.area(BLUE, &outline);
    chart.line(BLUE, &line);
    // The sum with the rounded factors of the handbook: 0.16 P + 0.58 μ d₂ + μ D_m/2.
    let handbook = |mu: f64| 35.0 / (0.16 * 1.5 + 0.58 * mu * (14.0 - 0.6495 * 1.5) + mu * 9.5);
    chart.rings(INK, &[0.08, 0.12, 0.16, 0.20, 0.25, 0.30].map(|mu| (mu, handbook(mu))));
    chart.rings(RED, &[(0.14, 13.351)]);
    chart.words(BLUE, (0.12, 20.0), "start", "with ± 2 u: wrench 4 %, friction 15 %");
    chart.words(INK, (0.2, 13.0), "start", "○ handbook sum with rounded factors");
    chart.words(RED, (0.2, 11.3), "start", "○ by hand: 13 351 N");
    Ok(("joint", chart.svg()))
}
