//! Fluid: expansion, viscosity, blends, and the closed forms of warming.

use physics::blend::{Part, blend_by_mass};
use physics::expansion::ctl;
use physics::pump::{Pumping, pump_time};
use physics::viscosity::ViscosityLine;
use physics::warmup::{Approach, Knowledge, ReadingPoint, forecast as foretell};
use quantity::{Density, Duration, Flow, KinematicViscosity, Length, Pressure, Span, Temperature, Volume};

use crate::Outcome;
use crate::chart::{Axis, BLUE, BROWN, Chart, GREEN, INK, RED, Scale, along};

fn c(celsius: f64) -> Temperature {
    Temperature::from_celsius(celsius)
}

fn kv(v: f64) -> KinematicViscosity {
    KinematicViscosity::from_mm2_per_s(v)
}

pub fn expansion() -> Outcome {
    let mut chart = Chart::new(
        "Volume correction of lubricating oils to 15 °C",
        Axis::linear("temperature, °C", -20.0, 120.0, 20.0),
        Axis::linear("CTL", 0.91, 1.03, 0.02),
    );
    for (density, colour) in [(810.0, RED), (850.0, BLUE), (900.0, GREEN)] {
        let rho = Density::from_kg_per_m3(density);
        let mut line = Vec::new();
        for t in along(Scale::Linear, -20.0, 115.0, 60) {
            line.push((t, ctl(rho, c(t))?));
        }
        chart.line(colour, &line);
    }
    chart.words(RED, (112.0, 0.915), "end", "810 kg/m³");
    chart.words(GREEN, (100.0, 0.946), "start", "900 kg/m³");
    chart.words(BLUE, (-4.0, 1.002), "end", "850 kg/m³");
    // API MPMS 11.1 lubricating oils evaluated with numpy, five printed decimals; the test is val_ctl_of_lubricating_oils.
    let reference =
        [(-10.0, 1.01836), (0.0, 1.01104), (20.0, 0.99630), (40.0, 0.98144), (50.0, 0.97396), (60.0, 0.96646)];
    chart.rings(INK, &reference);
    chart.rings(INK, &[(80.0, 0.95137), (100.0, 0.93619)]);
    chart.words(INK, (114.0, 1.012), "end", "○ reference, 850 kg/m³ (equation of the standard, numpy)");
    Ok(("expansion", chart.svg()))
}

pub fn viscosity() -> Outcome {
    let mut chart = Chart::new(
        "Viscosity against temperature from two data-sheet points",
        Axis::linear("temperature, °C", 0.0, 120.0, 20.0),
        Axis::log("kinematic viscosity, mm²/s", 3.0, 1000.0),
    );
    // Read from lines whose A and B were printed with five decimals; the test is val_viscosity_lines_of_typical_fluids.
    let rows = [
        (100.0, 15.0, [270.0, 159.0, 66.3, 46.0, 24.8], GREEN, 1.2, "axle oil, 100 and 15"),
        (34.0, 7.4, [75.0, 49.3, 24.5, 18.3, 11.1], BLUE, 1.2, "34 and 7.4"),
        (22.0, 5.0, [48.3, 31.7, 15.9, 12.0, 7.4], RED, 0.55, "22 and 5.0"),
    ];
    for (kv40, kv100, reference, colour, above, name) in rows {
        let line = ViscosityLine::from_40_and_100(kv(kv40), kv(kv100))?;
        let mut curve = Vec::new();
        for t in along(Scale::Linear, 2.0, 118.0, 60) {
            curve.push((t, line.at(c(t))?.mm2_per_s()));
        }
        chart.words(colour, (84.0, above * line.at(c(84.0))?.mm2_per_s()), "start", name);
        chart.line(colour, &curve);
        let places: Vec<_> = [20.0, 30.0, 50.0, 60.0, 80.0].into_iter().zip(reference).collect();
        chart.rings(INK, &places);
    }
    chart.words(INK, (50.0, 500.0), "start", "○ reference (ASTM D341, independent evaluation)");
    Ok(("viscosity", chart.svg()))
}

pub fn blend() -> Outcome {
    let mut chart = Chart::new(
        "Viscosity of a blend of 100 and 10 mm²/s",
        Axis::linear("share of the thick fluid by mass, %", 0.0, 100.0, 20.0),
        Axis::linear("kinematic viscosity, mm²/s", 0.0, 100.0, 20.0),
    );
    let mut line = Vec::new();
    for share in along(Scale::Linear, 0.0, 1.0, 80) {
        let parts = [Part { viscosity: kv(100.0), share }, Part { viscosity: kv(10.0), share: 1.0 - share }];
        line.push((100.0 * share, blend_by_mass(&parts)?.mm2_per_s()));
    }
    chart.line(BLUE, &line);
    let logarithms: Vec<_> = along(Scale::Linear, 0.0, 1.0, 80).map(|s| (100.0 * s, 10f64.powf(1.0 + s))).collect();
    chart.dashes(BROWN, &logarithms);
    let straight = [(0.0, 10.0), (100.0, 100.0)];
    chart.dashes(RED, &straight);
    // The blending equation evaluated with numpy, three printed decimals; the test is val_blends_of_two.
    chart.rings(INK, &[(50.0, 26.672)]);
    chart.words(RED, (40.0, 49.0), "end", "plain mean: wrong");
    chart.words(BROWN, (66.0, 47.0), "end", "mean of logarithms");
    chart.words(BLUE, (73.0, 41.0), "start", "by blending index");
    chart.words(INK, (52.0, 22.0), "start", "○ 26.672, independent evaluation");
    Ok(("blend", chart.svg()))
}

pub fn warm_up() -> Outcome {
    let mut chart = Chart::new(
        "Warming with one time constant, and with a lag before it",
        Axis::linear("minutes", 0.0, 40.0, 5.0),
        Axis::linear("temperature, °C", 20.0, 80.0, 10.0),
    );
    for (lag, colour) in [(0.0, BLUE), (3.0, RED)] {
        let curve = Approach::new(c(20.0), c(80.0), Duration::from_minutes(15.0), Duration::from_minutes(lag))?;
        let points = along(Scale::Linear, 0.0, 40.0, 120);
        let line: Vec<_> = points.map(|t| (t, curve.at(Duration::from_minutes(t)).celsius())).collect();
        chart.line(colour, &line);
    }
    // Both bodies stepped with their heat balance, 1 ms at a time: no closed form.
    let (mut source, mut fluid, step) = (20.0_f64, 20.0_f64, 1e-3 / 60.0);
    let mut stepped = Vec::new();
    for i in 0..2_400_000_u32 {
        if i % 300_000 == 150_000 {
            stepped.push((f64::from(i) * step, fluid));
        }
        source += (80.0 - source) / 3.0 * step;
        fluid += (source - fluid) / 15.0 * step;
    }
    chart.rings(INK, &stepped);
    chart.rings(INK, &[(6.0820, 40.0), (8.0849, 45.0), (10.3972, 50.0), (16.4792, 60.0)]);
    chart.words(BLUE, (8.0, 51.0), "end", "τ 15 min, no lag");
    chart.words(RED, (13.5, 46.0), "start", "the same behind a lag of 3 min");
    chart.words(INK, (39.5, 28.0), "end", "○ times by hand (no lag); heat balance stepped by 1 ms (lag)");
    Ok(("warm-up", chart.svg()))
}

/// When the window opens as forecast from ever more readings, beside the closed form that made the readings.
pub fn forecast() -> Outcome {
    let mut chart = Chart::new(
        "When 35 °C comes, forecast from the readings so far",
        Axis::linear("minutes of readings, one every 10 s", 1.0, 11.0, 1.0),
        Axis::linear("window opens after, min", 6.0, 30.0, 2.0),
    );
    let truth = Approach::new(c(12.0), c(85.0), Duration::from_minutes(25.0), Duration::from_minutes(3.0))?;
    let opens = truth.time_to(c(35.0)).ok_or("the window is reached")?.minutes();
    let window = Span { low: c(35.0), high: c(45.0) };
    let (mut middle, mut low, mut high) = (Vec::new(), Vec::new(), Vec::new());
    for minutes in along(Scale::Linear, 2.0, 11.0, 18) {
        let readings: Vec<_> = (0..=(minutes * 6.0).round() as u32)
            .map(|i| {
                let t = 10.0 * f64::from(i);
                ReadingPoint::new(t, (truth.at(Duration::from_seconds(t)).celsius() * 10.0).round() / 10.0)
            })
            .collect();
        if let Some(when) = foretell(&readings, window, &Knowledge::default())?.opens_s {
            middle.push((minutes, when.p50 / 60.0));
            low.push((minutes, when.p10 / 60.0));
            high.push((minutes, when.p90 / 60.0));
        }
    }
    chart.area(BLUE, &low.iter().chain(high.iter().rev()).copied().collect::<Vec<_>>());
    chart.line(BLUE, &middle);
    chart.dashes(INK, &[(1.0, opens), (11.0, opens)]);
    chart.words(INK, (10.9, opens + 0.6), "end", &format!("- - closed form: {opens:.2} min"));
    chart.words(BLUE, (10.9, 28.4), "end", "median and 80 % interval of the forecast, nothing known of the unit");
    chart.words(INK, (10.9, 26.4), "end", "readings: 12 → 85 °C, τ 25 min behind a lag of 3 min, shown in 0.1 °C");
    Ok(("forecast", chart.svg()))
}

pub fn pump() -> Outcome {
    let mut chart = Chart::new(
        "Flow of a 60 kPa pump through 2 m of hose, lift 0.8 m",
        Axis::log("kinematic viscosity, mm²/s", 1.0, 1000.0),
        Axis::log("flow, mL/s", 1.0, 2000.0),
    );
    for (bore, colour, at, name) in [
        (16.0, GREEN, (110.0, 560.0), "16 mm"),
        (12.0, BROWN, (110.0, 190.0), "12 mm"),
        (8.0, BLUE, (110.0, 38.0), "8 mm"),
    ] {
        let mut line = Vec::new();
        for nu in along(Scale::Log, 1.5, 900.0, 120) {
            let pumped = pump_time(&Pumping {
                volume: Volume::from_litres(4.0),
                bore: Length::from_mm(bore),
                length: Length::from_mm(2000.0),
                lift: Length::from_mm(800.0),
                pressure: Pressure::from_kpa(60.0),
                free_flow: Flow::from_ml_per_minute(1e6),
                density: Density::from_kg_per_m3(850.0),
                viscosity: kv(nu),
            })?;
            line.push((nu, pumped.flow.ml_per_second()));
        }
        chart.line(colour, &line);
        chart.words(colour, at, "start", name);
    }
    // scipy (brentq) and the smooth-pipe friction of fluids 1.3.1; the tests are val_flow_through_a_hose and its neighbour.
    chart.rings(INK, &[(16.0, 170.12), (34.0, 89.26), (75.0, 41.70), (400.0, 7.882)]);
    chart.rings(RED, &[(7.0, 164.81), (7.0, 474.61), (4.0, 506.08), (5.0, 1016.43)]);
    chart.words(INK, (1.2, 4.0), "start", "○ balance solved by scipy");
    chart.words(RED, (1.2, 2.6), "start", "○ friction of a smooth pipe by the library fluids");
    Ok(("pump", chart.svg()))
}
