//! Whether two printed units agree, and what they say together.

use quantity::read::{Reading, Region, read, temperature, temperature_full, torque_one};

fn reading(text: &str) -> Reading {
    read(text, Region::Us).unwrap_or_else(|e| panic!("{text}: {e}"))
}

/// Pairs of units as manuals print them. Which agree is arithmetic: half a unit of the last digit, at most 5 %.
#[test]
fn hand_agreement() {
    let rows = [
        // 15 × 1.3558 = 20.34; 14.5…15.5 is 19.66…21.02; meets 19.5…20.5
        ("15 ft·lbf (20 N·m)", true),
        // 29 × 1.3558 = 39.32 ± 0.68
        ("29 lbf·ft (39 N·m)", true),
        // 59 × 1.3558 = 79.99
        ("80 Nm (59 lb-ft)", true),
        // 9 N·m = 79.66 lbf·in
        ("9 N·m (80 in-lb)", true),
        // 35 N·m = 25.81 lbf·ft = 356.9 kgf·cm
        ("35 N·m (26 lb-ft, 357 kgf·cm)", true),
        ("35 N·m (26 lb-ft, 380 kgf·cm)", false),
        // 20 lbf·ft = 27.1 N·m
        ("20 N·m (20 lb-ft)", false),
        // 130 °F = 54.4 °C, ± 0.28; 56 − 0.5 = 55.5
        ("130 °F (56 °C)", false),
        ("133 °F (56 °C)", true),
        // 71.4 °F = 21.89 °C
        ("71.4 °F = 21.9 °C", true),
        ("71.4 °F = 22.1 °C", false),
        ("0 °C (32 °F)", true),
        ("0 °F (−18 °C)", true),
        ("−40 °C (−40 °F)", true),
        // 1 US gal = 3.785 L; one digit would allow ± 0.5 gal, 5 % allows 3.60…3.97
        ("1 US gal (4.5 L)", false),
        ("1 US gal (3.8 L)", true),
        ("1 imp gal (4.5 L)", true),
        // 5.3 US qt = 5.016 L
        ("5 L (5.3 US qt)", true),
        // 60 000 mi = 96 561 km; the zeros of 60 000 allow 5 %: 91 733…101 389
        ("60,000 miles (100,000 km)", true),
        ("60,000 miles (90,000 km)", true),
        ("60,000 miles (80,000 km)", false),
        // with figures that are not zeros there is no such room: 60 001 mi = 96 562 km
        ("60,001 miles (96,561 km)", true),
        ("60,001 miles (96,570 km)", false),
        // trailing zeros below 1000 are digits: 100 N·m = 73.76 lbf·ft, ± 0.37
        ("100 N·m (74 lbf·ft)", true),
        ("500 mL (0.53 US qt)", true),
        ("500 mL (0.55 US qt)", false),
        // 1500 mL may be 1450…1550: 1.6 US qt = 1514 mL
        ("1500 mL (1.6 US qt)", true),
        // 1/2 in = 12.7 mm, read to halves but within 5 %
        ("1/2 in (13 mm)", true),
        ("1/2 in (14 mm)", false),
        ("30 psi (207 kPa; 2.07 bar)", true),
        ("30 psi (2.5 bar)", false),
        ("2 years / 24 months", true),
        ("7.3 cSt (7.3 mm²/s)", true),
        ("845 kg/m³ (0.845 g/mL)", true),
        ("18–22 N·m (13–16 lb-ft)", true),
        ("20 ± 2 N·m (15 ± 1.5 lb-ft)", true),
        ("46 °C (115 °F) to 56 °C (133 °F)", true),
        ("46 °C (115 °F) to 56 °C (130 °F)", false),
    ];
    for (text, expected) in rows {
        let found = reading(text);
        assert_eq!(found.agree, expected, "{text}: {found:?}");
        assert_eq!(found.note.is_some(), !expected, "{text}: {:?}", found.note);
    }
}

/// The common part, in the unit printed first. Figures by hand from °C = (°F − 32) × 5/9; 0.006 is half the last digit
/// written here, plus a little.
#[test]
fn hand_common_part() {
    let rows = [
        ("46–56 °C (115–130 °F)", Some((46.11, 54.44, "Cel"))),
        ("115 to 130 °F (46 to 56 °C)", Some((115.0, 130.0, "[degF]"))),
        ("46–56 °C (115–133 °F)", Some((46.11, 56.0, "Cel"))),
        ("15 lbf·ft (20 N·m)", Some((15.0, 15.0, "[lbf_av].[ft_i]"))),
        ("20 N·m (15 lbf·ft)", Some((20.0, 20.0, "N.m"))),
        ("50 °C", Some((50.0, 50.0, "Cel"))),
        ("20 ± 2 N·m", Some((18.0, 22.0, "N.m"))),
        ("20 N·m ± 10 %", Some((18.0, 22.0, "N.m"))),
        // 10–20 °C is 50–68 °F; 60–80 °F is 15.56–26.67 °C
        ("10–20 °C (60–80 °F)", Some((15.56, 20.0, "Cel"))),
        // one lies inside the other
        ("0–100 °C (50–60 °F)", Some((10.0, 15.56, "Cel"))),
        ("50–60 °F (0–100 °C)", Some((50.0, 60.0, "[degF]"))),
        // they touch at 50 °C = 122 °F
        ("46–50 °C (122–140 °F)", Some((50.0, 50.0, "Cel"))),
        ("46–50 °C (130–140 °F)", None),
        ("130 °F (56 °C)", None),
        ("20 N·m (20 lb-ft)", None),
        // agree only by rounding: 15 lbf·ft is 20.34 N·m, so the nearest end of the first
        ("19.9–20 N·m (15–15 lb-ft)", Some((20.0, 20.0, "N.m"))),
    ];
    for (text, expected) in rows {
        match (reading(text).part, expected) {
            (None, None) => {}
            (Some(part), Some((low, high, unit))) => {
                assert_eq!(part.unit, unit, "{text}");
                assert!((part.low - low).abs() < 0.006 && (part.high - high).abs() < 0.006, "{text}: {part:?}");
            }
            (found, _) => panic!("{text}: {found:?}"),
        }
    }
}

/// Common practice, no source: a window printed with a wrong conversion is worked inside the part both units allow.
#[test]
fn trade_window_printed_wrong() {
    let (span, reading) = temperature_full("46 to 56 °C (115 to 130 °F)").expect("a common part");
    assert!((span.low.celsius() - 46.1).abs() < 0.05 && (span.high.celsius() - 54.4).abs() < 0.05);
    assert!(!reading.agree);
    let note = reading.note.expect("a note");
    assert!(note.starts_with("The high ends disagree: 130\u{202f}°F is 54.4\u{202f}°C, not 56\u{202f}°C"), "{note}");
    assert!(note.contains("Only 46.1–54.4\u{202f}°C is common"), "{note}");
    assert!(!note.contains("low ends"), "{note}");
    let alone = temperature("115–130 °F").expect("a window");
    assert!((alone.low.celsius() - 46.11).abs() < 0.006 && (alone.high.celsius() - 54.44).abs() < 0.006);
    assert_eq!(torque_one("20 N·m (15 lbf·ft)").expect("a torque").nm(), 20.0);
}

#[test]
fn hand_region() {
    let gallons = |text, region| {
        let found = read(text, region).unwrap_or_else(|e| panic!("{text}: {e}"));
        (found.readings[0].unit, found.note.is_some())
    };
    assert_eq!(gallons("1 gal", Region::Us), ("[gal_us]", true));
    assert_eq!(gallons("1 gal", Region::Imperial), ("[gal_br]", true));
    assert_eq!(gallons("1 US gal", Region::Imperial), ("[gal_us]", false));
    assert_eq!(gallons("1 imperial gallon", Region::Us), ("[gal_br]", false));
    assert_eq!(gallons("1 gal (UK)", Region::Us), ("[gal_br]", false));
    // the text says imperial once, which holds for all of it
    assert_eq!(gallons("4 qt (1 imp gal)", Region::Us), ("[qt_br]", false));
    assert_eq!(gallons("1 L", Region::Us), ("L", false));
    let doubt = reading("1 gal (4.5 L)");
    assert!(doubt.note.expect("a note").ends_with("As imperial measure the printed units would agree."));
}

#[test]
fn golden_json() {
    let json = |text| serde_json::to_string(&reading(text)).expect("plain data");
    assert_eq!(
        json("20 N·m (15 lb-ft)"),
        r#"{"dimension":"torque","readings":[{"text":"20 N·m","low":20.0,"high":20.0,"unit":"N.m"},{"text":"15 lb-ft","low":15.0,"high":15.0,"unit":"[lbf_av].[ft_i]"}],"agree":true,"use":{"low":20.0,"high":20.0,"unit":"N.m"},"note":null}"#
    );
    assert!(json("130 °F (56 °C)").contains(r#""agree":false,"use":null,"note":"The values disagree"#));
    assert!(json("6 cSt").starts_with(r#"{"dimension":"kinematic_viscosity""#));
}

/// Every whole and half degree from 0 to 5 °C beside its Fahrenheit rounded to whole or tenth degrees: (9/5) t + 32. They are the
/// same temperature, however near the zero of the scale.
#[test]
fn hand_cold_temperatures_agree_with_their_other_unit() {
    for half in 0..=10 {
        let celsius = f64::from(half) / 2.0;
        let fahrenheit = celsius * 1.8 + 32.0;
        for text in [
            format!("{celsius} °C ({fahrenheit:.0} °F)"),
            format!("{celsius:.1} °C ({fahrenheit:.1} °F)"),
            format!("{fahrenheit:.0} °F ({celsius:.0} °C)"),
        ] {
            let read =
                quantity::read::read(&text, quantity::read::Region::Us).unwrap_or_else(|why| panic!("{text}: {why}"));
            assert!(read.agree, "{text}: {:?}", read.note);
        }
    }
    // Half a digit each side: 1 °C is 32.9–34.7 °F, 0 °C is 31.1–32.9 °F; 36 °F begins at 35.5, 30 °F ends at 30.5.
    for text in ["1 °C (36 °F)", "56 °C (130 °F)", "0 °C (30 °F)"] {
        let read = quantity::read::read(text, quantity::read::Region::Us).expect("is read");
        assert!(!read.agree, "{text}");
    }
}
