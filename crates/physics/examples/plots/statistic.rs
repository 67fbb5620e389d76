//! The ledger's doubt and the fit.

use physics::balance::gum::coverage_factor;
use physics::balance::{Amount, Expansion, Ledger, Portion, USUAL_TOLERANCE, Way, balance};
use physics::colour::{Channel, Lab, Patch, Photo, compare, difference};
use physics::fit::fit;
use physics::montecarlo::spread;
use quantity::{Density, Temperature, Uncertain, Volume};

use crate::Outcome;
use crate::chart::{Axis, BLUE, Chart, GREEN, INK, RED, Scale, along};

#[path = "../../tests/it/nist.rs"]
mod nist;

fn service() -> Ledger {
    let deg = Temperature::from_celsius;
    let portion = |way, litres: (f64, f64), celsius: (f64, f64)| Portion {
        way,
        amount: Amount::Measured(Uncertain::new(Volume::from_litres(litres.0), Volume::from_litres(litres.1))),
        temperature: Uncertain::new(deg(celsius.0), deg(celsius.1)),
        thermometer: None,
        readings: None,
    };
    Ledger {
        portions: vec![
            portion(Way::Drained, (4.20, 0.04), (62.0, 1.155)),
            portion(Way::Residue, (0.050, 0.030), (40.0, 0.0)),
            portion(Way::Poured, (5.000, 0.02), (21.0, 1.5)),
            portion(Way::RunOff, (0.450, 0.02), (42.0, 1.0)),
        ],
        expansion: Expansion::Density15(Uncertain::new(Density::from_kg_per_m3(850.0), Density::from_kg_per_m3(4.62))),
        reference: deg(40.0),
        level: Some(Uncertain::new(Volume::default(), Volume::from_ml(30.0))),
        tolerance: USUAL_TOLERANCE,
    }
}

/// Thrown trials as a staircase of their 5 to 95 % points, beside the linear result and the printed one of another library.
pub fn ledger() -> Outcome {
    let mut chart = Chart::new(
        "As found of the worked service: linear, thrown, and another library",
        Axis::linear("charge error as found, mL (negative: too little)", -700.0, -200.0, 100.0),
        Axis::linear("probability that it is less, %", 0.0, 100.0, 20.0),
    );
    let ledger = service();
    let linear = balance(&ledger)?.as_found.ok_or("no as-found error")?;
    let (mean, u) = (linear.value.ml(), linear.u.ml());
    let normal = |x: f64, mean: f64, u: f64| 50.0 * (1.0 + libm::erf((x - mean) / u / std::f64::consts::SQRT_2));
    let line: Vec<_> = along(Scale::Linear, -695.0, -205.0, 120).map(|x| (x, normal(x, mean, u))).collect();
    chart.line(BLUE, &line);
    let thrown = spread(&ledger, 200_000, 1)?;
    chart.rings(RED, &[(thrown.low.ml(), 2.5), (thrown.result.value.ml(), 50.0), (thrown.high.ml(), 97.5)]);
    // uncertainties 3 gave −443.20 ± 64.84 mL; its own Monte Carlo with 4e5 trials 95 % in −570 to −316.
    let other: Vec<_> = [-520.0, -480.0, -400.0, -360.0].iter().map(|x| (*x, normal(*x, -443.20, 64.84))).collect();
    chart.rings(INK, &other);
    chart.words(BLUE, (-455.0, 66.0), "end", "linear (JCGM 100)");
    chart.words(RED, (-690.0, 90.0), "start", "○ 200 000 trials (JCGM 101): 2.5, 50, 97.5 %");
    chart.words(INK, (-425.0, 22.0), "start", "○ −443.20 ± 64.84 mL by `uncertainties`");
    Ok(("ledger", chart.svg()))
}

/// Digits that agree with the certified values, 11 being all there are.
pub fn certified() -> Outcome {
    let mut chart = Chart::new(
        "Digits that agree with the certified fits of NIST StRD",
        Axis { ticks: Vec::new(), ..Axis::linear("set, left start 1 and right start 2", 0.0, 10.0, 1.0) },
        Axis::linear("agreeing digits (11 are certified)", 0.0, 12.0, 2.0),
    );
    let digits = |got: f64, known: f64| -((got - known).abs() / known.abs()).max(1e-11).log10();
    chart.dashes(BLUE, &[(0.0, 6.0), (10.0, 6.0)]);
    chart.dashes(GREEN, &[(0.0, 4.0), (10.0, 4.0)]);
    for (i, (name, text, curve)) in nist::SETS.into_iter().enumerate() {
        let known = nist::read(text);
        let middle = i as f64 + 0.5;
        for (start, place) in known.starts.iter().zip([middle - 0.2, middle + 0.2]) {
            let found = fit(&known.x, &known.y, start, curve)?;
            let worst = |of: &dyn Fn(usize) -> f64| (0..known.parameters.len()).map(of).fold(11.0, f64::min);
            let value = worst(&|j| digits(found.parameters[j].value, known.parameters[j]));
            let doubt = worst(&|j| digits(found.parameters[j].u, known.deviations[j]));
            let exact = digits(found.residual_sum, known.residual_sum).min(11.0);
            chart.line("#c3c9ce", &[(place, 0.0), (place, value.min(doubt).min(exact))]);
            chart.rings(BLUE, &[(place, value)]);
            chart.rings(GREEN, &[(place, doubt)]);
        }
        chart.words(INK, (middle, if i % 2 == 0 { -0.45 } else { -0.95 }), "middle", name);
    }
    chart.words(BLUE, (0.05, 6.2), "start", "○ parameters: at least 6");
    chart.words(GREEN, (0.1, 4.15), "start", "○ standard deviations: at least 4");
    Ok(("certified-fits", chart.svg()))
}

/// Student's factor beside table G.2 of JCGM 100:2008.
pub fn coverage() -> Outcome {
    let mut chart = Chart::new(
        "Coverage factor against degrees of freedom",
        Axis::log("effective degrees of freedom", 1.0, 100.0),
        Axis::linear("coverage factor", 0.0, 14.0, 2.0),
    );
    for (p, colour) in [(0.99, RED), (0.95, BLUE)] {
        // A step at every whole number: degrees of freedom are cut, not rounded.
        let mut line = Vec::new();
        for nu in 1..100 {
            let k = coverage_factor(p, f64::from(nu))?;
            line.extend([(f64::from(nu), k), (f64::from(nu + 1), k)]);
        }
        line.retain(|point| point.1 <= 14.0);
        chart.line(colour, &line);
    }
    let table = [(1.0, 12.71), (2.0, 4.30), (4.0, 2.78), (10.0, 2.23)];
    chart.rings(INK, &table);
    chart.rings(INK, &[(3.0, 5.84), (9.0, 3.25)]);
    chart.words(RED, (4.2, 5.0), "start", "99 %");
    chart.words(BLUE, (5.2, 1.1), "start", "95 %: 1.96 for many, 2 is used from 60 on");
    chart.words(INK, (6.0, 12.0), "start", "○ JCGM 100:2008, table G.2");
    Ok(("coverage-factor", chart.svg()))
}

/// Our colour difference less the published one.
pub fn colours() -> Outcome {
    let mut chart = Chart::new(
        "CIEDE2000 of the 34 published pairs, both orders",
        Axis::linear("published difference", 0.0, 35.0, 5.0),
        Axis::linear("ours less published, 0.0001", -2.0, 2.0, 0.5),
    );
    chart.dashes(BLUE, &[(0.0, 0.5), (35.0, 0.5)]);
    chart.dashes(BLUE, &[(0.0, -0.5), (35.0, -0.5)]);
    for line in
        include_str!("../../tests/data/ciede2000_34pairs.csv").lines().filter(|l| l.starts_with(char::is_numeric))
    {
        let cells = line.split(',').map(str::parse).collect::<Result<Vec<f64>, _>>()?;
        let [number, l1, a1, b1, l2, a2, b2, published] = cells[..] else { return Err("a short row".into()) };
        let (one, two) = (Lab { l: l1, a: a1, b: b1 }, Lab { l: l2, a: a2, b: b2 });
        for got in [difference(one, two)?, difference(two, one)?] {
            // Pair 14 lies on the step of the mean hue: 4.8045 and 4.7461 are both right.
            let known = if number == 14.0 && (got - 4.7461).abs() < 1e-3 { 4.7461 } else { published };
            chart.rings(INK, &[(published, 1e4 * (got - known))]);
        }
    }
    chart.words(BLUE, (34.5, 0.6), "end", "half of the last printed digit");
    chart.words(INK, (34.5, 1.6), "end", "Color Research & Application 30(1), 2005, table 1");
    Ok(("colour-pairs", chart.svg()))
}

/// Absorbance of a channel against its level in the photo, beside the curve of sRGB evaluated with numpy.
pub fn absorbance() -> Outcome {
    let mut chart = Chart::new(
        "Absorbance of a channel, white paper at level 250",
        Axis::linear("level of the fluid's patch", 20.0, 260.0, 20.0),
        Axis::linear("absorbance", 0.0, 2.2, 0.2),
    );
    let photo = |green: f64| Photo {
        white: Patch::even([250.0; 3], 1.0),
        fluid: Patch { green: Channel { mean: green, spread: 2.0 }, ..Patch::even([200.0, 30.0, 35.0], 2.0) },
    };
    let new = photo(30.0);
    let mut line = Vec::new();
    for level in along(Scale::Linear, 22.0, 249.0, 120) {
        line.push((level, compare(&photo(level), &new)?.old.absorbance[1].value));
    }
    chart.line(BLUE, &line);
    chart.dashes(RED, &[(20.0, 1.5), (260.0, 1.5)]);
    let numpy = [(200.0, 0.2188), (130.0, 0.6317), (30.0, 1.8671), (35.0, 1.7549), (25.0, 1.9927), (171.556, 0.3675)];
    chart.rings(INK, &numpy);
    chart.words(RED, (245.0, 1.54), "end", "above this a channel is marked saturated");
    chart.words(INK, (245.0, 1.2), "end", "○ sRGB curve (IEC 61966-2-1) and −log₁₀, numpy");
    Ok(("absorbance", chart.svg()))
}
