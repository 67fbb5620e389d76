//! What holds for every input.

use proptest::prelude::*;
use quantity::print::{self, Units};
use quantity::read::{self, Region, read};
use quantity::{
    Angle, Area, Density, Distance, Duration, KinematicViscosity, Length, Mass, Pressure, Span, Temperature,
    TemperatureRate, Torque, Volume,
};

fn units() -> impl Strategy<Value = Units> {
    prop_oneof![Just(Units::Metric), Just(Units::Us)]
}

/// Pieces of which printed quantities are made, and some that are not.
fn piece() -> impl Strategy<Value = String> {
    const PIECES: &[&str] = &[
        "46",
        "56,5",
        "1,000",
        ".",
        ",",
        "-",
        "–",
        "−",
        "+",
        "±",
        "+/-",
        "...",
        "…",
        " ",
        "\u{202f}",
        "°C",
        "°F",
        "K",
        "N·m",
        "lb",
        "ft",
        "(",
        ")",
        "[",
        "]",
        "/",
        "to",
        "US",
        "gal",
        "qt",
        "imp",
        "½",
        "1/2",
        "3/",
        "2:14",
        ":",
        "e9",
        "e-",
        "999999999",
        "%",
        "h",
        "min",
        "mm²",
        "/s",
        "NaN",
        "approx.",
        "~",
        "\"",
        "'",
        "\n",
        "³",
        "⁻",
        "^",
        "(US)",
        "(imp",
        "ﬀ",
        "İ",
        "٣",
    ];
    prop_oneof![4 => prop::sample::select(PIECES).prop_map(str::to_owned), 1 => any::<char>().prop_map(String::from)]
}

/// One printed value of a temperature or torque.
fn printed(symbols: &'static [&'static str]) -> impl Strategy<Value = String> {
    (0u32..2000, 0u32..300, 0usize..3, prop::sample::select(symbols)).prop_map(
        |(low, width, form, symbol)| match form {
            0 => format!("{low} {symbol}"),
            1 => format!("{low}–{} {symbol}", low + width),
            _ => format!("{}.{} {symbol}", low / 10, low % 10),
        },
    )
}

fn of_one_kind() -> impl Strategy<Value = (String, String)> {
    const TEMPERATURE: &[&str] = &["°C", "°F", "K"];
    const TORQUE: &[&str] = &["N·m", "lbf·ft", "lbf·in", "kgf·cm"];
    const VOLUME: &[&str] = &["L", "mL", "US qt", "US gal", "imp gal"];
    prop_oneof![
        (printed(TEMPERATURE), printed(TEMPERATURE)),
        (printed(TORQUE), printed(TORQUE)),
        (printed(VOLUME), printed(VOLUME)),
    ]
}

macro_rules! round_trip {
    ($name:ident, $print:path, $read:path, $kind:ident::$from:ident / $to:ident, $range:expr, $tolerance:expr) => {
        proptest! {
            /// What is printed reads back as the same number, to the printed digits.
            #[test]
            fn $name(x in $range, units in units()) {
                let text = $print($kind::$from(x), units);
                let found = $read(&text).unwrap_or_else(|e| panic!("{text}: {e}")).$to();
                let tolerance: f64 = $tolerance(x);
                prop_assert!((found - x).abs() <= tolerance, "{x} printed as {text} reads {found}");
            }
        }
    };
}

/// Numbers printed by size keep at least three figures: half a unit of the third is at most 0.5 % of the value; below
/// one there are three decimals.
fn three_figures(smallest: f64) -> impl Fn(f64) -> f64 {
    move |x| 0.005 * x.abs() + smallest
}

round_trip!(
    law_temperature_round_trip,
    print::temperature,
    read::temperature_one,
    Temperature::from_celsius / celsius,
    -200.0..500.0,
    |_| 0.0501
);
round_trip!(
    law_rate_round_trip,
    print::rate,
    read::rate_one,
    TemperatureRate::from_kelvin_per_minute / kelvin_per_minute,
    -20.0..20.0,
    |_| 0.0501
);
// 0.5 mL, half of 0.1 fl oz, half of 0.01 L or qt
round_trip!(
    law_volume_round_trip,
    print::volume,
    read::volume_one,
    Volume::from_ml / ml,
    0.0..90000.0,
    |x| if x < 999.5 { 1.5 } else { 5.01 }
);
round_trip!(
    law_torque_round_trip,
    print::torque,
    read::torque_one,
    Torque::from_nm / nm,
    0.0..5000.0,
    three_figures(0.001)
);
round_trip!(
    law_distance_round_trip,
    print::distance,
    read::distance_one,
    Distance::from_km / km,
    0.0..2e6,
    three_figures(0.001)
);
round_trip!(
    law_length_round_trip,
    print::length,
    read::length_one,
    Length::from_mm / mm,
    0.0..20000.0,
    three_figures(0.0128)
);
round_trip!(
    law_area_round_trip,
    print::area,
    read::area_one,
    Area::from_square_metres / square_metres,
    0.0..2.0,
    three_figures(1e-6)
);
round_trip!(
    law_pressure_round_trip,
    print::pressure,
    read::pressure_one,
    Pressure::from_kpa / kpa,
    0.0..9000.0,
    three_figures(0.004)
);
round_trip!(
    law_viscosity_round_trip,
    print::viscosity,
    read::viscosity_one,
    KinematicViscosity::from_mm2_per_s / mm2_per_s,
    0.0..5000.0,
    three_figures(0.001)
);
round_trip!(
    law_density_round_trip,
    print::density,
    read::density_one,
    Density::from_kg_per_m3 / kg_per_m3,
    1.0..2000.0,
    three_figures(0.1)
);
round_trip!(law_mass_round_trip, print::mass, read::mass_one, Mass::from_kg / kg, 0.0..5000.0, three_figures(0.001));
round_trip!(
    law_angle_round_trip,
    print::angle,
    read::angle_one,
    Angle::from_degrees / degrees,
    -90.0..90.0,
    three_figures(0.001)
);

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// No text makes the reader panic, and whatever it reads is finite and in order.
    #[test]
    fn law_any_text_is_read_or_refused(text in prop_oneof![any::<String>(), prop::collection::vec(piece(), 0..14).prop_map(|p| p.concat())]) {
        for region in [Region::Us, Region::Imperial] {
            match read(&text, region) {
                Ok(found) => {
                    prop_assert!(!found.readings.is_empty());
                    for r in &found.readings {
                        prop_assert!(r.low.is_finite() && r.high.is_finite() && r.low <= r.high, "{text:?}: {r:?}");
                    }
                    if let Some(part) = found.part {
                        let first = &found.readings[0];
                        // the common part never reaches beyond what was printed first
                        prop_assert!(first.low <= part.low && part.low <= part.high && part.high <= first.high, "{text:?}: {found:?}");
                    }
                    prop_assert!(found.part.is_some() || !found.agree);
                }
                Err(error) => prop_assert!(!error.to_string().is_empty() && !error.hint().is_empty()),
            }
        }
    }

    /// The order in which units are printed changes neither agreement nor whether there is a common part.
    #[test]
    fn law_agreement_is_symmetric((a, b) in of_one_kind()) {
        let one = read(&format!("{a} ({b})"), Region::Us).unwrap();
        let two = read(&format!("{b} ({a})"), Region::Us).unwrap();
        prop_assert_eq!(one.agree, two.agree);
        prop_assert_eq!(one.part.is_some(), two.part.is_some());
    }

    /// A value agrees with itself, however it is separated.
    #[test]
    fn law_a_value_agrees_with_itself((a, _) in of_one_kind()) {
        for text in [format!("{a} ({a})"), format!("{a} / {a}"), format!("{a}, {a}")] {
            let found = read(&text, Region::Us).unwrap();
            prop_assert!(found.agree, "{text}: {found:?}");
            let part = found.part.unwrap();
            prop_assert_eq!((part.low, part.high), (found.readings[0].low, found.readings[0].high));
        }
    }

    /// A conversion rounded to the printed digits agrees with what it was converted from.
    #[test]
    fn law_rounded_conversions_agree(celsius in -40i32..200, torque in 10u32..900) {
        let fahrenheit = (f64::from(celsius) * 1.8 + 32.0).round();
        // 5 % of a temperature near zero is nothing; the other side still has its half degree
        let found = read(&format!("{celsius} °C ({fahrenheit} °F)"), Region::Us).unwrap();
        prop_assert!(found.agree, "{found:?}");
        let pounds = (f64::from(torque) / 1.3558179483314004).round();
        let found = read(&format!("{torque} N·m ({pounds} lbf·ft)"), Region::Us).unwrap();
        prop_assert!(found.agree, "{found:?}");
    }

    /// A printed window reads back as that window.
    #[test]
    fn law_span_round_trip(low in -50.0..100.0f64, width in 0.0..60.0f64, units in units()) {
        let span = Span { low: Temperature::from_celsius(low), high: Temperature::from_celsius(low + width) };
        let text = print::temperature_span(span, units);
        let found = read::temperature(&text).unwrap_or_else(|e| panic!("{text}: {e}"));
        prop_assert!((found.low.celsius() - low).abs() <= 0.0501 && (found.high.celsius() - low - width).abs() <= 0.0501, "{text}");
    }

    /// A printed duration reads back, to its last printed part.
    #[test]
    fn law_duration_round_trip(seconds in 0.0..3e8f64) {
        let text = print::duration(Duration::from_seconds(seconds));
        let found = read::duration_one(&text).unwrap_or_else(|e| panic!("{text}: {e}")).seconds();
        let tolerance = match seconds {
            s if s < 3599.5 => 0.51,
            s if s < 2.0 * 86400.0 => 30.01,
            s if s < 2.0 * 2629746.0 => 43200.01,
            s if s < 2.0 * 31556952.0 => 2629746.0 / 2.0 + 0.01,
            _ => 31556952.0 / 20.0 + 0.01,
        };
        prop_assert!((found - seconds).abs() <= tolerance, "{seconds} printed as {text} reads {found}");
    }

    /// Printing never panics, and nothing but a finite number prints as one.
    #[test]
    fn law_printing_takes_any_number(x in any::<f64>(), u in any::<f64>()) {
        let text = print::uncertain(x, u, "mL");
        prop_assert_eq!(text == "unknown", !x.is_finite());
        prop_assert!(!print::duration(Duration::from_seconds(x)).is_empty());
        prop_assert!(!print::volume(Volume::from_ml(x), Units::Us).is_empty());
        prop_assert!(!print::amount_span(x, u, "K").is_empty());
    }
}
