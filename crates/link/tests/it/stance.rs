//! A vehicle that is off level: where an edge stands then, and how much stays in the unit.

use link::simulate::{CircuitParams, Gauge, Plug, Shown, Stance, Vehicle, VehicleError, VehicleParams};
use quantity::{Angle, Area, Length, Temperature, Volume};

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

fn stance(nose_up: f64, right_up: f64) -> Stance {
    Stance { nose_up: Angle::from_degrees(nose_up), right_up: Angle::from_degrees(right_up) }
}

/// tan 1° = 0.017455, tan 0.5° = 0.008727 (table of tangents).
#[test]
fn hand_an_edge_on_the_high_side_stands_higher() {
    for (nose_up, right_up, ahead, right, rises_mm) in [
        (1.0, 0.0, 100.0, 0.0, 1.7455),
        (1.0, 0.0, -100.0, 0.0, -1.7455),
        (-1.0, 0.0, 100.0, 0.0, -1.7455),
        (-1.0, 0.0, -100.0, 0.0, 1.7455),
        (0.0, 1.0, 0.0, 100.0, 1.7455),
        (0.0, 1.0, 0.0, -100.0, -1.7455),
        (0.0, -1.0, 0.0, 100.0, -1.7455),
        (0.0, -1.0, 0.0, -100.0, 1.7455),
        // Each axis moves only what is off it, and both add.
        (1.0, 0.0, 0.0, 100.0, 0.0),
        (0.0, 1.0, 100.0, 0.0, 0.0),
        (1.0, 0.5, 100.0, 200.0, 3.4909),
        (1.0, -0.5, 100.0, 200.0, 0.0001),
        (0.0, 0.0, 100.0, 200.0, 0.0),
    ] {
        let lean = stance(nose_up, right_up).lean(mm(ahead), mm(right)).mm();
        assert!((lean - rises_mm).abs() < 2e-4, "{nose_up}° {right_up}° at {ahead} {right}: {lean} mm");
    }
}

/// Nine litres at rest on 0.03 m², right at 20 °C, over an open edge; `lean` lifts it.
fn open(gauge: Gauge, lean: Length) -> Vehicle {
    let circuit = CircuitParams {
        gauge,
        lean,
        set_idling: false,
        found_error: Volume::from_ml(0.0),
        sump_area: Area::from_square_metres(0.03),
        set_at: Temperature::from_celsius(20.0),
        ..CircuitParams::demo()
    };
    let mut vehicle = Vehicle::new(VehicleParams { circuit, ..VehicleParams::demo() }, 3).unwrap();
    vehicle.first_mut().set_plug(Plug::Fill, true);
    vehicle.first_mut().set_plug(Plug::Level, true);
    vehicle
}

/// 100 mm from the middle of 0.03 m², 1° up or down: 0.03 × 0.1 × tan 1° = 52.4 mL more or less stay in it.
#[test]
fn hand_nose_up_with_the_edge_behind_leaves_too_little() {
    let standpipe = || Gauge::Standpipe { bore: mm(8.0) };
    let hole = || Gauge::Hole { bore: mm(14.0), above_right: mm(0.0) };
    for gauge in [standpipe, hole] {
        for (nose_up, ahead, stays_ml) in
            [(1.0, -100.0, -52.4), (-1.0, -100.0, 52.4), (1.0, 100.0, 52.4), (-1.0, 100.0, -52.4), (0.0, 100.0, 0.0)]
        {
            let mut vehicle = open(gauge(), stance(nose_up, 0.0).lean(mm(ahead), mm(0.0)));
            let before = vehicle.first().charge_error_ml();
            assert!(before.abs() < 1e-6, "how it stands does not change what is right: {before} mL");
            vehicle.first_mut().pour(Volume::from_ml(300.0), Temperature::from_celsius(20.0)).unwrap();
            vehicle.advance(7200.0).unwrap();
            let left = vehicle.first().charge_error_ml();
            // The last of it runs over in a film: 10 mL on 0.03 m² are a third of a millimetre.
            assert!((left - stays_ml).abs() < 10.0, "nose up {nose_up}°, edge {ahead} mm ahead: {left} mL");
        }
    }
}

/// What is felt below a hole is felt from where its edge stands: 10 mm above right, lifted by 6 or lowered by 6.
#[test]
fn hand_the_edge_of_a_hole_is_felt_where_it_stands() {
    for (lean, wanted) in [(0.0, 10.0), (6.0, 16.0), (-6.0, 4.0)] {
        let mut vehicle = open(Gauge::Hole { bore: mm(14.0), above_right: mm(10.0) }, mm(lean));
        let mut sum = 0.0;
        for _ in 0..40 {
            vehicle.advance(25.0).unwrap();
            let Some(Shown::BelowEdge { below }) = vehicle.first().shown() else { panic!("{:?}", vehicle.first()) };
            sum += below.mm();
        }
        // 1 mm of scatter a look, forty looks: 0.16 mm; half a millimetre is three times that.
        assert!((sum / 40.0 - wanted).abs() < 0.5, "{lean} mm: {}", sum / 40.0);
    }
}

#[test]
fn fault_a_lean_out_of_range() {
    // 0.5 m² under 2.9 L: the floor is 6 mm below the edge.
    for (lean, area, fits) in
        [(50.0, 0.08, true), (50.1, 0.08, false), (-50.1, 0.005, false), (f64::NAN, 0.08, false), (-20.0, 0.5, false)]
    {
        let mut params = VehicleParams::demo();
        (params.circuit.lean, params.circuit.sump_area) = (mm(lean), Area::from_square_metres(area));
        match Vehicle::new(params, 1) {
            Ok(_) => assert!(fits, "{lean} mm on {area} m²"),
            Err(VehicleError::Parameter { name, .. }) => assert!(!fits && name == "lean_mm", "{lean} mm: {name}"),
            Err(other) => panic!("{lean} mm: {other}"),
        }
    }
    // Parameters written before there was a lean stand level.
    let mut old = serde_json::to_value(VehicleParams::demo()).unwrap();
    assert!(old["circuit"].as_object_mut().unwrap().remove("lean_mm").is_some());
    assert_eq!(serde_json::from_value::<VehicleParams>(old).unwrap(), VehicleParams::demo());
}
