//! Pumping: beside independent root finding and another library's friction, by hand, and laws.

use physics::pump::{Pace, Pumping, pump_time};
use proptest::prelude::*;
use quantity::{Density, Flow, KinematicViscosity, Length, Pressure, Volume};

fn pumping(bore_mm: f64, viscosity: f64) -> Pumping {
    Pumping {
        volume: Volume::from_litres(4.0),
        bore: Length::from_mm(bore_mm),
        length: Length::from_mm(2000.0),
        lift: Length::from_mm(800.0),
        pressure: Pressure::from_kpa(60.0),
        free_flow: Flow::from_ml_per_minute(1e6),
        density: Density::from_kg_per_m3(850.0),
        viscosity: KinematicViscosity::from_mm2_per_s(viscosity),
    }
}

/// The same balance solved with scipy 1.17.1 (brentq): mL/s and Reynolds number against viscosity.
#[test]
fn val_flow_through_a_hose() {
    for (nu, flow, reynolds) in [
        (7.0, 165.30813314610901, 3758.5152),
        (16.0, 170.12301288245692, 1692.2449),
        (34.0, 89.26228836397914, 417.8392),
        (75.0, 41.70468650446139, 88.5001),
        (400.0, 7.88218974106164, 3.1362),
    ] {
        let pumped = pump_time(&pumping(8.0, nu)).unwrap();
        assert!((pumped.flow.ml_per_second() / flow - 1.0).abs() < 1e-9, "{nu}: {}", pumped.flow.ml_per_second());
        assert!((pumped.reynolds - reynolds).abs() < 1e-3 && pumped.pace == Pace::Hose);
        assert!((pumped.time.seconds() - 4000.0 / flow).abs() < 1e-6);
    }
}

/// With the friction of a smooth pipe from the library `fluids` 1.3.1 instead of Blasius: mL/s, within 2 %.
#[test]
fn val_turbulent_friction_of_another_library() {
    for (bore, nu, flow) in [(8.0, 7.0, 164.81), (12.0, 7.0, 474.61), (12.0, 4.0, 506.08), (16.0, 5.0, 1016.43)] {
        let ours = pump_time(&pumping(bore, nu)).unwrap().flow.ml_per_second();
        assert!((ours / flow - 1.0).abs() < 0.02, "{bore} mm, {nu} mm²/s: {ours} and {flow}");
    }
}

/// S. P. Sukhatme, A Textbook on Heat Transfer, chapter 4, as worked in its companion at tbc-python.fossee.in: water through 3 m of 10 mm.
/// Example 4.1, page 172: 0.2 m/s, 1.306 mm²/s, 999.7 kg/m³: laminar, 250.6768 Pa. Example 4.2(a), page 180: 0.2 m/s, 0.365 mm²/s,
/// 971.8 kg/m³: Blasius, 214.1563 Pa; here four times as fast and as thick, which keeps the Reynolds number and makes it 16 times the
/// pressure. The book has no losses at the ends: our 1.5 velocity heads are added. Its 4 × 0.079 against our 0.3164 is 0.08 % of the flow.
#[test]
fn val_pressure_drop_of_a_tube() {
    for (speed, nu, density, pascal, tolerance) in
        [(0.2, 1.306, 999.7, 250.6768, 1e-6), (0.8, 4.0 * 0.365, 971.8, 16.0 * 214.1563, 8e-4)]
    {
        let water = Pumping {
            length: Length::from_mm(3000.0),
            lift: Length::from_mm(0.0),
            pressure: Pressure::from_kpa((pascal + 1.5 * density * speed * speed / 2.0) / 1000.0),
            density: Density::from_kg_per_m3(density),
            ..pumping(10.0, nu)
        };
        let pumped = pump_time(&water).unwrap();
        let ours = pumped.flow.ml_per_second() / (std::f64::consts::PI * 25.0);
        assert!(pumped.pace == Pace::Hose && (ours / speed - 1.0).abs() < tolerance, "{ours} and {speed} m/s");
    }
}

/// Thick fluid: Hagen–Poiseuille, q = π d⁴ Δp/(128 ρ ν L) = π 0.008⁴ (60000 − 850·9.80665·0.8)/(128·850·0.005·2) = 6.29e-7 m³/s. The inlet costs
/// 1.5 v²/2 of that: at 12.5 mm/s nothing. And a pump that delivers less sets the pace: 4 L at 2 L/min are 120 s.
#[test]
fn hand_thick_fluid_and_slow_pump() {
    let thick = pump_time(&pumping(8.0, 5000.0)).unwrap();
    let drive = 60_000.0 - 850.0 * 9.80665 * 0.8;
    let poiseuille = std::f64::consts::PI * 0.008_f64.powi(4) * drive / (128.0 * 850.0 * 0.005 * 2.0) * 1e6;
    assert!((thick.flow.ml_per_second() / poiseuille - 1.0).abs() < 1e-4, "{poiseuille}");
    let slow = pump_time(&Pumping { free_flow: Flow::from_ml_per_minute(2000.0), ..pumping(8.0, 34.0) }).unwrap();
    assert!(slow.pace == Pace::Pump && (slow.time.seconds() - 120.0).abs() < 1e-9);
    // 5 kPa lift 850 kg/m³ by 0.6 m, not by 0.8.
    let weak = pump_time(&Pumping { pressure: Pressure::from_kpa(5.0), ..pumping(8.0, 34.0) });
    assert!(weak.unwrap_err().to_string().contains("0.60 m at most"));
}

proptest! {
    /// Wider, shorter, warmer, stronger: never slower; where the flow turns from laminar the warmer one may be, by the jump of the friction.
    #[test]
    fn law_help_never_slows(bore in 4.0..20f64, nu in 4.0..800f64, more in 1.01..2f64) {
        let plain = pump_time(&pumping(bore, nu)).unwrap().time;
        prop_assert!(pump_time(&pumping(bore * more, nu)).unwrap().time <= plain);
        let (warm, cold) = (pump_time(&pumping(bore, nu)).unwrap(), pump_time(&pumping(bore, nu * more)).unwrap());
        prop_assert!(cold.time > warm.time || warm.reynolds > 2299.0 && cold.reynolds < 2301.0, "{warm:?} {cold:?}");
        let short = Pumping { length: Length::from_mm(2000.0 / more), ..pumping(bore, nu) };
        prop_assert!(pump_time(&short).unwrap().time <= plain);
        let strong = Pumping { pressure: Pressure::from_kpa(60.0 * more), ..pumping(bore, nu) };
        prop_assert!(pump_time(&strong).unwrap().time <= plain);
    }

    #[test]
    fn law_no_number_panics(x in prop::array::uniform8(any::<f64>())) {
        let _ = pump_time(&Pumping {
            volume: Volume::from_ml(x[0]),
            bore: Length::from_mm(x[1]),
            length: Length::from_mm(x[2]),
            lift: Length::from_mm(x[3]),
            pressure: Pressure::from_kpa(x[4]),
            free_flow: Flow::from_ml_per_minute(x[5]),
            density: Density::from_kg_per_m3(x[6]),
            viscosity: KinematicViscosity::from_mm2_per_s(x[7]),
        });
    }
}
