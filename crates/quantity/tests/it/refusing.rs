//! What is no quantity, and what is then said.

use quantity::read::{LONGEST_TEXT, ReadError, Region, read, temperature, torque, torque_one, volume, volume_one};

fn name(error: &ReadError) -> String {
    let debug = format!("{error:?}");
    debug.split([' ', '(']).next().unwrap_or_default().to_owned()
}

#[test]
fn hand_refusals() {
    let rows = [
        ("", "Empty"),
        (" \u{202f}\n", "Empty"),
        ("warm", "NoNumber"),
        ("°C", "NoNumber"),
        ("–", "NoNumber"),
        ("35", "NoUnit"),
        ("35–45", "NoUnit"),
        ("46–56 (115–133 °F)", "NoUnit"),
        ("3/4", "NoUnit"),
        ("1,23,456 L", "Malformed"),
        ("1.2,3.4 L", "Malformed"),
        ("1234,567,890 L", "Malformed"),
        ("2:71 min", "Malformed"),
        ("2:7", "Malformed"),
        ("2:14 L", "Malformed"),
        ("NaN °C", "NotFinite"),
        ("inf L", "NotFinite"),
        ("∞ km", "NotFinite"),
        ("1e999 L", "NotFinite"),
        ("1e308 km ± 1e308 km", "NotFinite"),
        ("1e308 m³", "NotFinite"),
        ("5 furlongs", "UnknownUnit"),
        ("20 N·m max", "UnknownUnit"),
        ("5 %", "UnknownUnit"),
        ("20 ± N·m", "Misplaced"),
        ("Torque: 20 N·m", "UnknownUnit"),
        ("20 N·m (15 L)", "MixedDimensions"),
        ("46 °C to 56 N·m", "MixedDimensions"),
        ("20 N·m ± 2 L", "MixedDimensions"),
        ("-300 °C", "BelowAbsoluteZero"),
        ("-460 °F", "BelowAbsoluteZero"),
        ("-1 K", "BelowAbsoluteZero"),
        ("20 °C ± 300 K", "BelowAbsoluteZero"),
        ("56–46 °C", "Reversed"),
        ("-10 to -20 °C", "Reversed"),
        ("20 ± -2 N·m", "Reversed"),
        ("-5 N·m", "Negative"),
        ("−1 L", "Negative"),
        ("1 ± 2 L", "Negative"),
        ("-5 km", "Negative"),
        ("-0.8 kg/L", "Negative"),
        ("-2 min", "Negative"),
        ("46–50–56 °C", "Misplaced"),
        ("46–", "Misplaced"),
        ("46 °C to", "Misplaced"),
        ("20 N·m ±", "Misplaced"),
        ("± 2 °C", "Misplaced"),
        ("10---5 °C", "Misplaced"),
        ("C 50", "Misplaced"),
        ("min. 4 L", "Misplaced"),
        ("5 L at 20 °C", "UnknownUnit"),
        ("20 N·m + 90°", "MixedDimensions"),
        ("2 x 4 L", "UnknownUnit"),
        ("50 °C ± 5 %", "Misplaced"),
        ("-", "NoNumber"),
    ];
    for (text, expected) in rows {
        match read(text, Region::Us) {
            Ok(found) => panic!("{text:?} was read as {found:?}"),
            Err(error) => {
                assert_eq!(name(&error), expected, "{text:?}: {error}");
                assert!(error.hint().len() > 15 && !error.to_string().is_empty(), "{text:?}");
            }
        }
    }
    let long = "1".repeat(LONGEST_TEXT + 1);
    assert_eq!(read(&long, Region::Us), Err(ReadError::TooLong { length: LONGEST_TEXT + 1, limit: LONGEST_TEXT }));
}

#[test]
fn hand_absolute_zero_itself_is_a_temperature() {
    for text in ["-273.15 °C", "−459.67 °F", "0 K"] {
        assert!(read(text, Region::Us).is_ok(), "{text}");
    }
}

#[test]
fn hand_typed_refusals() {
    let named = |r: Result<(), ReadError>| r.map_err(|e| name(&e));
    assert_eq!(named(torque("20 °C").map(drop)), Err("WrongDimension".to_owned()));
    assert_eq!(named(volume("5 km").map(drop)), Err("WrongDimension".to_owned()));
    assert_eq!(named(torque("20 N·m (20 lb-ft)").map(drop)), Err("NoCommonPart".to_owned()));
    assert_eq!(named(temperature("130 °F (56 °C)").map(drop)), Err("NoCommonPart".to_owned()));
    assert_eq!(named(torque_one("18–22 N·m").map(drop)), Err("NotOne".to_owned()));
    assert_eq!(named(volume_one("4 ± 0.1 L").map(drop)), Err("NotOne".to_owned()));
    let error = torque("20 °C").map(drop).expect_err("a temperature");
    assert_eq!(error.to_string(), "\"20 °C\" is a temperature, but a torque is needed here");
    let error = torque("20 N·m (20 lb-ft)").map(drop).expect_err("a contradiction");
    assert!(error.to_string().contains("27.1\u{202f}N·m, not 20\u{202f}N·m (7.12\u{202f}N·m apart)"), "{error}");
}
