//! Numbers for people.

use quantity::print::{self, Units};
use quantity::{
    Angle, Area, Density, Distance, Duration, Flow, Length, Mass, Pressure, Span, Temperature, TemperatureDifference,
    TemperatureRate, Torque, Uncertain, Volume,
};

/// With plain spaces, to keep the tables legible.
fn plain(text: String) -> String {
    text.replace(print::SPACE, " ")
}

#[test]
fn golden_metric_and_us() {
    use Units::{Metric, Us};
    let ml = Volume::from_ml;
    let rows = [
        (print::temperature(Temperature::from_celsius(46.11), Metric), "46.1 °C"),
        (print::temperature(Temperature::from_celsius(-10.0), Metric), "−10.0 °C"),
        (print::temperature(Temperature::from_celsius(-0.04), Metric), "0.0 °C"),
        (print::temperature(Temperature::from_celsius(56.0), Us), "132.8 °F"),
        (print::difference(TemperatureDifference::from_kelvin(5.0), Metric), "5.0 K"),
        (print::difference(TemperatureDifference::from_kelvin(5.0), Us), "9.0 °F"),
        (print::rate(TemperatureRate::from_kelvin_per_minute(1.8), Metric), "1.8 °C/min"),
        (print::rate(TemperatureRate::from_kelvin_per_minute(-1.8), Us), "−3.2 °F/min"),
        (print::volume(ml(350.2), Metric), "350 mL"),
        (print::volume(ml(4300.0), Metric), "4.30 L"),
        (print::volume(ml(999.4), Metric), "999 mL"),
        (print::volume(ml(999.6), Metric), "1.00 L"),
        (print::volume(ml(-445.0), Metric), "−445 mL"),
        (print::volume(ml(-0.2), Metric), "0 mL"),
        // 350 / 29.5735 = 11.83; 4300 / 946.353 = 4.544
        (print::volume(ml(350.0), Us), "11.8 US fl oz"),
        (print::volume(ml(4300.0), Us), "4.54 US qt"),
        (print::volume(Volume::from_us_quarts(1.0), Us), "1.00 US qt"),
        (print::torque(Torque::from_nm(20.0), Metric), "20 N·m"),
        (print::torque(Torque::from_nm(35.0), Us), "25.8 lbf·ft"),
        (print::torque(Torque::from_nm(4.25), Metric), "4.25 N·m"),
        (print::distance(Distance::from_km(60000.0), Metric), "60 000 km"),
        (print::distance(Distance::from_km(1234.0), Metric), "1234 km"),
        (print::distance(Distance::from_km(60000.0), Us), "37 282 mi"),
        (print::length(Length::from_mm(12.7), Metric), "12.7 mm"),
        (print::length(Length::from_mm(12.7), Us), "0.5 in"),
        (print::area(Area::from_square_metres(0.08), Metric), "800 cm²"),
        (print::pressure(Pressure::from_bar(2.0), Us), "29 psi"),
        (print::density(Density::from_kg_per_m3(845.0), Us), "7.05 lb/US gal"),
        (print::mass(Mass::from_kg(3.474), Metric), "3.47 kg"),
        (print::angle(Angle::from_degrees(3.18), Metric), "3.18°"),
        (print::flow(Flow::from_ml_per_minute(12.2), Metric), "12.2 mL/min"),
        (print::temperature(Temperature::from_celsius(f64::NAN), Metric), "unknown"),
        (print::volume(ml(f64::INFINITY), Metric), "unknown"),
        (print::angle(Angle::from_degrees(f64::NAN), Metric), "unknown"),
    ];
    for (found, expected) in rows {
        assert_eq!(plain(found), expected);
    }
    assert_eq!(print::volume(ml(350.0), Metric), "350\u{202f}mL");
}

#[test]
fn golden_spans() {
    let celsius = |low, high| Span { low: Temperature::from_celsius(low), high: Temperature::from_celsius(high) };
    let rows = [
        (print::temperature_span(celsius(46.0, 56.0), Units::Metric), "46–56 °C"),
        (print::temperature_span(celsius(46.111, 54.444), Units::Metric), "46.1–54.4 °C"),
        (print::temperature_span(celsius(-10.0, 5.0), Units::Metric), "−10 to 5 °C"),
        (print::temperature_span(celsius(50.0, 50.0), Units::Us), "122 °F"),
        (
            print::torque_span(Span { low: Torque::from_nm(18.0), high: Torque::from_nm(22.0) }, Units::Metric),
            "18–22 N·m",
        ),
        (
            print::volume_span(Span { low: Volume::from_ml(800.0), high: Volume::from_ml(1200.0) }, Units::Metric),
            "0.8–1.2 L",
        ),
    ];
    for (found, expected) in rows {
        assert_eq!(plain(found), expected);
    }
}

/// JCGM 100:2008, 7.2.6: the uncertainty to at most two figures, the value to the same place.
#[test]
fn golden_uncertainty() {
    let ml =
        |value, u| print::volume_uncertain(Uncertain::new(Volume::from_ml(value), Volume::from_ml(u)), Units::Metric);
    let rows = [
        (ml(-20.3, 45.2), "−20 ± 45 mL"),
        (ml(4300.0, 40.0), "4.300 ± 0.040 L"),
        (ml(-443.2, 130.4), "−440 ± 130 mL"),
        (ml(-443.2, 64.84), "−443 ± 65 mL"),
        (ml(0.0, 9.96), "0 ± 10 mL"),
        (ml(0.0, 0.996), "0.0 ± 1.0 mL"),
        (ml(-0.2, 45.0), "0 ± 45 mL"),
        (ml(12.0, 0.0), "12 mL"),
        (ml(12.0, f64::NAN), "12 mL"),
        (ml(f64::NAN, 3.0), "unknown"),
        (
            print::temperature_uncertain(
                Temperature::from_celsius(38.0),
                TemperatureDifference::from_kelvin(1.155),
                Units::Metric,
            ),
            "38.0 ± 1.2 °C",
        ),
        (
            print::temperature_uncertain(
                Temperature::from_celsius(38.0),
                TemperatureDifference::from_kelvin(1.155),
                Units::Us,
            ),
            "100.4 ± 2.1 °F",
        ),
        (
            print::torque_uncertain(Uncertain::new(Torque::from_nm(35.0), Torque::from_nm(0.81)), Units::Metric),
            "35.00 ± 0.81 N·m",
        ),
        // JCGM 100, H.1 states l = 50.000 838 mm, uc = 32 nm
        (print::uncertain(50.000838, 0.0000317, "mm"), "50.000838 ± 0.000032 mm"),
    ];
    for (found, expected) in rows {
        assert_eq!(plain(found), expected);
    }
}

#[test]
fn golden_durations() {
    let rows = [
        (0.0, "0:00"),
        (134.0, "2:14"),
        (-134.0, "−2:14"),
        (59.6, "1:00"),
        (3599.0, "59:59"),
        (3599.7, "1 h 00 min"),
        (3900.0, "1 h 05 min"),
        (86400.0 * 5.0, "5 d"),
        (2629746.0 * 14.0, "14 months"),
        (31556952.0 * 3.2, "3.2 years"),
        (f64::NAN, "unknown"),
    ];
    for (seconds, expected) in rows {
        assert_eq!(plain(print::duration(Duration::from_seconds(seconds))), expected);
    }
}

#[test]
fn hand_units_by_name() {
    assert_eq!("metric".parse(), Ok(Units::Metric));
    assert_eq!(" US ".parse(), Ok(Units::Us));
    assert!("furlongs".parse::<Units>().is_err());
}
