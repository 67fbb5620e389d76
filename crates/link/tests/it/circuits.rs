//! What shows the level of a simulated circuit, what moves its fluid, and that circuits are kept apart.

use link::simulate::{Circuit, CircuitParams, Gauge, Plug, Shown, Vehicle, VehicleError, VehicleParams};
use proptest::prelude::*;
use quantity::{Area, Length, Mass, Temperature, Volume};

use crate::simulate::balanced;

fn celsius(c: f64) -> Temperature {
    Temperature::from_celsius(c)
}

/// Nine litres at rest at the temperature for setting, right, its level read with the engine off on 0.03 m².
fn resting(gauge: Gauge) -> Vehicle {
    let circuit = CircuitParams {
        gauge,
        set_idling: false,
        found_error: Volume::from_ml(0.0),
        sump_area: Area::from_square_metres(0.03),
        set_at: celsius(20.0),
        ..CircuitParams::demo()
    };
    Vehicle::new(VehicleParams { circuit, ..VehicleParams::demo() }, 3).unwrap()
}

/// The mean of forty looks, each with a hand's own scatter.
fn looks(vehicle: &mut Vehicle, figure: impl Fn(&Circuit) -> f64) -> f64 {
    let mut sum = 0.0;
    for _ in 0..40 {
        vehicle.advance(25.0).unwrap();
        sum += figure(vehicle.first());
    }
    sum / 40.0
}

fn pour(vehicle: &mut Vehicle, ml: f64) {
    vehicle.first_mut().set_plug(Plug::Fill, true);
    vehicle.first_mut().pour(Volume::from_ml(ml), celsius(20.0)).unwrap();
}

fn stick(cold_at: Option<Temperature>) -> Gauge {
    Gauge::Stick { low_below_right: Length::from_mm(6.0), cold_at }
}

fn probe() -> Gauge {
    Gauge::Probe { right: Length::from_mm(33.0) }
}

fn hole() -> Gauge {
    Gauge::Hole { bore: Length::from_mm(14.0), above_right: Length::from_mm(10.0) }
}

fn readout() -> Gauge {
    Gauge::Readout { right: 50.0, per_unit: Volume::from_ml(30.0), step: 1.0, settles_s: 30.0 }
}

/// What is read of one look, in the figure's own unit.
fn figure(circuit: &Circuit) -> f64 {
    match circuit.shown() {
        Some(Shown::Stick { one, .. }) => one.mm(),
        Some(Shown::Probe { wetted }) => wetted.mm(),
        Some(Shown::BelowEdge { below }) => below.mm(),
        Some(Shown::Figure { value }) => value,
        other => panic!("{other:?}"),
    }
}

/// 150 mL on 0.03 m² are 5 mm, and 5 units of 30 mL. Mean of forty looks of at most 1 mm or half a unit: 0.16 for one
/// standard deviation, so ±0.6 covers four of them with the rounding.
#[test]
fn hand_a_figure_follows_the_fluid() {
    for (gauge, right, more) in
        [(stick(None), 6.0, 5.0), (probe(), 33.0, 5.0), (hole(), 10.0, -5.0), (readout(), 50.0, 5.0)]
    {
        let mut vehicle = resting(gauge.clone());
        let before = looks(&mut vehicle, figure);
        assert!((before - right).abs() < 0.6, "{gauge:?}: {before}");
        pour(&mut vehicle, 150.0);
        vehicle.advance(300.0).unwrap();
        let after = looks(&mut vehicle, figure);
        assert!((after - right - more).abs() < 0.6, "{gauge:?}: {after}");
        vehicle.first_mut().take_out(Volume::from_ml(300.0)).unwrap();
        vehicle.advance(300.0).unwrap();
        let lower = looks(&mut vehicle, figure);
        assert!((lower - right + more).abs() < 0.6, "{gauge:?}: {lower}");
    }
}

/// From 70 °C to 20 °C nine litres shrink by 9000 mL · 0.00075/K · 50 K = 337 mL (of the volume at 15 °C, a little
/// less: 334 mL), on 0.03 m² 11 mm: the cold marks sit that much lower, so a cold unit reads the same against them.
#[test]
fn hand_cold_marks() {
    let mut circuit = resting(stick(Some(celsius(20.0)))).params().circuit.clone();
    circuit.set_at = celsius(70.0);
    let mut vehicle = Vehicle::new(VehicleParams { circuit, ..VehicleParams::demo() }, 3).unwrap();
    let hot = looks(&mut vehicle, figure);
    let cold = looks(&mut vehicle, |circuit| match circuit.shown_cold() {
        Some(Shown::Stick { one, .. }) => one.mm(),
        other => panic!("{other:?}"),
    });
    assert!((hot - 6.0 + 11.1).abs() < 0.6, "{hot}");
    assert!((cold - 6.0).abs() < 1.1, "{cold}");
    assert_eq!(resting(stick(None)).first().shown_cold(), None);
}

/// A stick pulled right after pouring is wet on one side (common practice); rested, both sides agree.
#[test]
fn trade_a_stick_must_rest() {
    let mut circuit = resting(stick(None)).params().circuit.clone();
    circuit.runs_down_s = 15.0;
    let mut vehicle = Vehicle::new(VehicleParams { circuit, ..VehicleParams::demo() }, 3).unwrap();
    let apart = |circuit: &Circuit| match circuit.shown() {
        Some(Shown::Stick { one, other }) => (other - one).mm(),
        other => panic!("{other:?}"),
    };
    pour(&mut vehicle, 300.0);
    assert!(apart(vehicle.first()) >= 5.0);
    vehicle.advance(120.0).unwrap();
    assert!(looks(&mut vehicle, apart).abs() < 0.6);
}

/// A readout settles with its time constant: 300 mL are 10 units, of which 1 − 1/e show after one constant.
#[test]
fn hand_a_readout_settles() {
    let mut vehicle = resting(readout());
    pour(&mut vehicle, 300.0);
    let at = |vehicle: &Vehicle| figure(vehicle.first());
    assert!((at(&vehicle) - 50.0).abs() <= 1.0);
    vehicle.advance(30.0).unwrap();
    assert!((at(&vehicle) - 56.3).abs() <= 1.5, "{}", at(&vehicle));
    vehicle.advance(270.0).unwrap();
    assert!((at(&vehicle) - 60.0).abs() <= 1.0, "{}", at(&vehicle));
}

/// An open hole runs over until the fluid stands at its edge: 10 mm on 0.03 m² are 300 mL above the right level.
#[test]
fn hand_an_open_hole_runs_over() {
    let mut vehicle = resting(hole());
    vehicle.first_mut().set_plug(Plug::Level, true);
    pour(&mut vehicle, 800.0);
    assert_eq!(vehicle.first().shown(), Some(Shown::RunsOver));
    vehicle.advance(3600.0).unwrap();
    let circuit = vehicle.first();
    assert!((circuit.charge_error_ml() - 300.0).abs() < 10.0, "{}", circuit.charge_error_ml());
    assert!((circuit.caught().ml() - 500.0).abs() < 10.0, "{:?}", circuit.caught());
}

/// 3.7 L at 20 °C and 845 kg/m³ ÷ (1 + 0.00075·5) are 3.115 kg; the scale shows 5 g with 2 g of scatter, twice.
#[test]
fn hand_a_can_is_lighter_by_what_was_pumped() {
    let mut vehicle = resting(Gauge::Blind);
    let circuit = vehicle.first_mut();
    circuit.pump(Volume::from_litres(3.7), celsius(20.0)).unwrap();
    let before = circuit.can();
    vehicle.advance(300.0).unwrap();
    assert_eq!(vehicle.first().charge_error_ml(), 0.0, "the fill plug is in: nothing moves");
    vehicle.first_mut().set_plug(Plug::Fill, true);
    assert!(vehicle.first().moving(false));
    vehicle.advance(300.0).unwrap();
    assert!(!vehicle.first().moving(false));
    let gone = before - vehicle.first().can();
    assert!((gone - Mass::from_kg(3.115)).kg().abs() <= 0.013, "{gone:?}");
    assert!((vehicle.first().charge_error_ml() - 3700.0).abs() < 1.0);
}

/// A tube leaves what it cannot reach: 9 L less 4.9 L held up less 0.4 L are 3.7 L.
#[test]
fn hand_a_tube_leaves_the_rest() {
    let mut vehicle = resting(Gauge::Blind);
    vehicle.first_mut().set_tube(true);
    vehicle.advance(600.0).unwrap();
    assert!((vehicle.first().drained().ml() - 3700.0).abs() < 2.0, "{:?}", vehicle.first().drained());
}

/// Old fluid left in a stirred tank after a ratio r of its content has passed is e⁻ʳ (any handbook of chemical
/// engineering, from memory). Everything at 60 °C and right: r = 12 / 9.26 at that temperature (9 L · 1.03 375/1.00 375).
#[test]
fn hand_an_exchange_dilutes() {
    let mut params = resting(Gauge::Blind).params().clone();
    params.circuit.line_opens = celsius(-50.0);
    params.circuit.line_mismatch = 0.0;
    params.start = celsius(60.0);
    params.ambient = celsius(60.0);
    let mut vehicle = Vehicle::new(params, 3).unwrap();
    vehicle.first_mut().set_line(true);
    vehicle.first_mut().fill_tank(Volume::from_litres(12.0), celsius(60.0)).unwrap();
    vehicle.advance(60.0).unwrap();
    assert_eq!(vehicle.first().exchanged().0.ml(), 0.0, "only a running pump moves fluid through the line");
    vehicle.set_engine(true);
    vehicle.advance(900.0).unwrap();
    let (out, fresh) = vehicle.first().exchanged();
    assert!((fresh.ml() - 12_000.0).abs() < 1.0 && (out.ml() - 12_000.0).abs() < 1.0, "{out:?} {fresh:?}");
    let expected = (-12.0_f64 / 9.266).exp();
    // Fresh fluid is a little denser than what left as the unit warms meanwhile: 1 %.
    assert!((vehicle.first().old_share() / expected - 1.0).abs() < 0.02, "{}", vehicle.first().old_share());
}

/// Cold, the thermostat in the line is shut.
#[test]
fn trade_no_exchange_while_cold() {
    let mut vehicle = resting(Gauge::Blind);
    vehicle.first_mut().set_line(true);
    vehicle.first_mut().fill_tank(Volume::from_litres(4.0), celsius(20.0)).unwrap();
    vehicle.set_engine(true);
    vehicle.advance(120.0).unwrap();
    assert_eq!(vehicle.first().exchanged().1.ml(), 0.0);
    vehicle.advance(5400.0).unwrap();
    let (out, fresh) = vehicle.first().exchanged();
    assert!((fresh.ml() - 4000.0).abs() < 1.0, "{fresh:?}");
    // One per cent more goes in than comes out.
    assert!((fresh / out - 1.01).abs() < 0.001, "{out:?} {fresh:?}");
}

/// A probe's chart may rise faster than the fluid expands: thick fluid clings. Ten millilitres for each kelvin below
/// 60 °C: at 40 °C, 200 mL less in the sump than expansion alone would leave there.
#[test]
fn hand_thick_fluid_clings() {
    let warm = |clings_ml_per_k: f64| {
        let circuit = CircuitParams {
            gauge: probe(),
            clings_ml_per_k,
            set_at: celsius(60.0),
            found_error: Volume::from_ml(0.0),
            ..CircuitParams::demo()
        };
        let params =
            VehicleParams { circuit, start: celsius(40.0), wander: 0.0, noise_k: 0.0, ..VehicleParams::demo() };
        let mut vehicle = Vehicle::new(params, 3).unwrap();
        vehicle.set_engine(true);
        vehicle.cycle_selector();
        vehicle.advance(60.0).unwrap();
        (figure(vehicle.first()), vehicle.first().true_fluid().celsius())
    };
    let ((plain, c), (clinging, _)) = (warm(0.0), warm(10.0));
    // 0.08 m²: 10 mL/K are 1/8 mm/K. One look each of the same hand: only rounding differs.
    let expected = (60.0 - c) * 10.0 / 80.0;
    assert!((plain - clinging - expected).abs() <= 1.0, "{plain} {clinging} at {c} °C");
}

/// Two circuits in one case: what is done to one does not touch the other's fluid, but both warm.
#[test]
fn law_circuits_are_kept_apart() {
    let mut params = VehicleParams::demo();
    params.further.push(CircuitParams { gauge: Gauge::Blind, ..CircuitParams::demo() });
    let mut vehicle = Vehicle::new(params, 3).unwrap();
    let before = vehicle.circuits().nth(1).unwrap().charge_error_ml();
    pour(&mut vehicle, 500.0);
    vehicle.first_mut().set_plug(Plug::Drain, true);
    vehicle.set_engine(true);
    vehicle.advance(600.0).unwrap();
    let other = vehicle.circuits().nth(1).unwrap();
    assert_eq!(other.charge_error_ml(), before);
    assert!(other.true_fluid() > celsius(25.0));
    assert_eq!(vehicle.observation().circuits.len(), 2);
    assert!(vehicle.circuit_mut(1).is_ok());
    let refused = vehicle.circuit_mut(2).unwrap_err();
    assert!(matches!(refused, VehicleError::NoCircuit { number: 2 }) && !refused.hint().is_empty());
}

/// One thing that may be done to a circuit.
#[derive(Debug, Clone)]
enum Act {
    Engine(bool),
    Plug(usize, Plug, bool),
    Tube(usize, bool),
    Line(usize, bool),
    Tank(usize, f64),
    Pump(usize, f64),
    TakeOut(usize, f64),
    Pour(usize, f64),
    Advance(f64),
}

fn act() -> impl Strategy<Value = Act> {
    let plug = prop_oneof![Just(Plug::Fill), Just(Plug::Level), Just(Plug::Drain)];
    let n = 0..2_usize;
    prop_oneof![
        any::<bool>().prop_map(Act::Engine),
        (n.clone(), plug, any::<bool>()).prop_map(|(n, p, out)| Act::Plug(n, p, out)),
        (n.clone(), any::<bool>()).prop_map(|(n, on)| Act::Tube(n, on)),
        (n.clone(), any::<bool>()).prop_map(|(n, on)| Act::Line(n, on)),
        (n.clone(), 0.0..5000.0).prop_map(|(n, ml)| Act::Tank(n, ml)),
        (n.clone(), 0.0..5000.0).prop_map(|(n, ml)| Act::Pump(n, ml)),
        (n.clone(), 0.0..3000.0).prop_map(|(n, ml)| Act::TakeOut(n, ml)),
        (n, 0.0..3000.0).prop_map(|(n, ml)| Act::Pour(n, ml)),
        (0.0..900.0).prop_map(Act::Advance),
    ]
}

fn perform(vehicle: &mut Vehicle, act: &Act) {
    let ml = Volume::from_ml;
    match act {
        Act::Plug(n, plug, out) => vehicle.circuit_mut(*n).unwrap().set_plug(*plug, *out),
        Act::Tube(n, on) => vehicle.circuit_mut(*n).unwrap().set_tube(*on),
        Act::Line(n, on) => vehicle.circuit_mut(*n).unwrap().set_line(*on),
        Act::Tank(n, given) => vehicle.circuit_mut(*n).unwrap().fill_tank(ml(*given), celsius(20.0)).unwrap(),
        Act::Pump(n, given) => vehicle.circuit_mut(*n).unwrap().pump(ml(*given), celsius(20.0)).unwrap(),
        Act::TakeOut(n, given) => vehicle.circuit_mut(*n).unwrap().take_out(ml(*given)).unwrap(),
        // Refused when the plug is in or there is no room; the laws hold either way.
        Act::Pour(n, given) => drop(vehicle.circuit_mut(*n).unwrap().pour(ml(*given), celsius(20.0))),
        Act::Engine(on) => vehicle.set_engine(*on),
        Act::Advance(s) => vehicle.advance(*s).unwrap(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Over both circuits, one of them dry and read on a stick: what is in = what was in + put in − come out, and the same
    /// of heat. Tolerance 1e-9 of the largest term: rounding over some 10⁴ inner steps.
    #[test]
    fn law_nothing_appears_or_vanishes_in_two_circuits(seed: u64, acts in proptest::collection::vec(act(), 1..32)) {
        let mut params = VehicleParams::demo();
        let charge = CircuitParams::demo().charge;
        let dry = CircuitParams { gauge: stick(None), found_error: charge * -0.99, line_opens: celsius(0.0), ..CircuitParams::demo() };
        params.further.push(dry);
        let mut vehicle = Vehicle::new(params, seed).unwrap();
        let before = vehicle.account();
        for act in &acts {
            perform(&mut vehicle, act);
        }
        balanced(&before, &vehicle.account())?;
        for circuit in vehicle.circuits() {
            prop_assert!(circuit.charge_error_ml().is_finite() && circuit.true_fluid().celsius().is_finite());
            prop_assert!((-60.0..160.0).contains(&circuit.true_fluid().celsius()), "{:?}", circuit.true_fluid());
            prop_assert!((0.0..=1.0).contains(&circuit.old_share()));
        }
        let again: Vehicle = serde_json::from_str(&serde_json::to_string(&vehicle).unwrap()).unwrap();
        prop_assert_eq!(again.circuits().count(), 2);
    }
}

#[test]
fn fault_refused_calls_change_nothing() {
    let mut vehicle = resting(readout());
    let before = vehicle.clone();
    let circuit = vehicle.first_mut();
    for (litres, c) in [(f64::NAN, 20.0), (-1.0, 20.0), (1e9, 20.0), (1.0, f64::NAN), (1.0, 1e9)] {
        let volume = Volume::from_litres(litres);
        for refused in [circuit.fill_tank(volume, celsius(c)), circuit.pump(volume, celsius(c))] {
            assert!(matches!(refused, Err(VehicleError::Pour { .. })), "{litres} L at {c} °C");
        }
    }
    assert!(circuit.take_out(Volume::from_ml(f64::NAN)).is_err());
    assert!(vehicle == before);
}

#[test]
fn fault_gauges_out_of_range() {
    let far = Length::from_mm(1e4);
    let wide = |bore| Gauge::Hole { bore, above_right: Length::from_mm(0.0) };
    for (gauge, name) in [
        (Gauge::Standpipe { bore: far }, "standpipe_bore_mm"),
        (wide(far), "hole_bore_mm"),
        (Gauge::Hole { bore: Length::from_mm(14.0), above_right: far }, "hole_above_right_mm"),
        (Gauge::Stick { low_below_right: far, cold_at: None }, "low_below_right_mm"),
        (stick(Some(celsius(f64::NAN))), "cold_at_c"),
        (Gauge::Probe { right: far }, "probe_right_mm"),
        (
            Gauge::Readout { right: f64::NAN, per_unit: Volume::from_ml(30.0), step: 1.0, settles_s: 30.0 },
            "readout_right",
        ),
        (Gauge::Readout { right: 1.0, per_unit: Volume::from_ml(30.0), step: 0.0, settles_s: 30.0 }, "readout_step"),
    ] {
        let mut params = VehicleParams::demo();
        params.circuit.gauge = gauge;
        match Vehicle::new(params, 1) {
            Err(VehicleError::Parameter { name: named, .. }) => assert_eq!(named, name),
            other => panic!("{name}: {other:?}"),
        }
    }
    let mut params = VehicleParams::demo();
    params.further = vec![CircuitParams::demo(); 8];
    assert!(matches!(Vehicle::new(params, 1), Err(VehicleError::Parameter { name: "further_circuits", .. })));
}
