//! Printed forms: numbers, signs, unit spellings.

use quantity::read::{
    Dimension, Region, angle_one, area_one, density_one, difference_one, distance_one, duration_one, length_one,
    mass_one, pressure_one, rate_one, read, temperature, viscosity_one, volume_one,
};

/// Reads `text` and gives the first printed value and its unit.
fn first(text: &str) -> (f64, f64, &'static str) {
    let found = read(text, Region::Us).unwrap_or_else(|e| panic!("{text:?}: {e}"));
    let value = &found.readings[0];
    (value.low, value.high, value.unit)
}

#[test]
fn hand_numbers() {
    let rows = [
        ("5 L", 5.0),
        ("5L", 5.0),
        ("5.5 L", 5.5),
        ("5,5 L", 5.5),
        (".5 L", 0.5),
        (",5 L", 0.5),
        ("0,500 L", 0.5),
        ("0.500 L", 0.5),
        ("1,000 L", 1000.0),
        ("1.000 L", 1.0),
        ("12,345 L", 12345.0),
        ("1,0000 L", 1.0),
        ("1,234.5 L", 1234.5),
        ("1.234,5 L", 1234.5),
        ("1,234,567 L", 1234567.0),
        ("1.234.567 L", 1234567.0),
        ("1 000 L", 1000.0),
        ("60\u{2009}000 L", 60000.0),
        ("60\u{202f}000 L", 60000.0),
        ("60\u{a0}000,5 L", 60000.5),
        ("1 234 567 L", 1234567.0),
        ("1'000 L", 1000.0),
        ("1’000 L", 1000.0),
        ("3 1/2 L", 3.5),
        ("3-1/2 L", 3.5),
        ("3 ½ L", 3.5),
        ("3½ L", 3.5),
        ("½ L", 0.5),
        ("1/2 L", 0.5),
        ("1⁄4 L", 0.25),
        ("⅞ L", 0.875),
        ("1 5/16 L", 1.3125),
        ("1.5e3 L", 1500.0),
        ("2E-1 L", 0.2),
        ("+5 L", 5.0),
        ("approx. 5 L", 5.0),
        ("~5 L", 5.0),
        ("[5 L]", 5.0),
        ("−0 L", 0.0),
    ];
    for (text, expected) in rows {
        assert_eq!(first(text), (expected, expected, "L"), "{text:?}");
    }
}

#[test]
fn hand_ranges_and_signs() {
    let rows = [
        ("46–56 °C", 46.0, 56.0),
        ("46-56 °C", 46.0, 56.0),
        ("46 - 56 °C", 46.0, 56.0),
        ("46—56 °C", 46.0, 56.0),
        ("46‑56 °C", 46.0, 56.0),
        ("46−56 °C", 46.0, 56.0),
        ("46 to 56 °C", 46.0, 56.0),
        ("46 TO 56 °C", 46.0, 56.0),
        ("46 bis 56 °C", 46.0, 56.0),
        // German, French, Spanish, from memory.
        ("zwischen 46 und 56 °C", 46.0, 56.0),
        ("entre 46 et 56 °C", 46.0, 56.0),
        ("entre 46 y 56 °C", 46.0, 56.0),
        ("46 a 56 °C", 46.0, 56.0),
        ("46,5 °C hasta 56,5 °C", 46.5, 56.5),
        ("46 à 56 degrés C", 46.0, 56.0),
        ("46...56 °C", 46.0, 56.0),
        ("46 … 56 °C", 46.0, 56.0),
        ("46..56 °C", 46.0, 56.0),
        ("46÷56 °C", 46.0, 56.0),
        ("46~56 °C", 46.0, 56.0),
        ("between 46 and 56 °C", 46.0, 56.0),
        ("from 46 °C to 56 °C", 46.0, 56.0),
        ("46 °C – 56 °C", 46.0, 56.0),
        ("46°C-56°C", 46.0, 56.0),
        ("46° to 56 °C", 46.0, 56.0),
        ("46°–56°C", 46.0, 56.0),
        ("46 °C to 56", 46.0, 56.0),
        ("46,5–56,5 °C", 46.5, 56.5),
        ("-10 to +5 °C", -10.0, 5.0),
        ("−10…5 °C", -10.0, 5.0),
        ("-10--5 °C", -10.0, -5.0),
        ("−10 – −5 °C", -10.0, -5.0),
        ("–10 °C", -10.0, -10.0),
        ("- 10 °C", -10.0, -10.0),
        ("+21.5°C", 21.5, 21.5),
        ("50 ± 2 °C", 48.0, 52.0),
        ("50±2°C", 48.0, 52.0),
        ("50 °C ± 2 °C", 48.0, 52.0),
        ("50 °C ± 2 K", 48.0, 52.0),
        ("50 +/- 2 °C", 48.0, 52.0),
        ("50 +/− 2 °C", 48.0, 52.0),
        ("50 +- 2 °C", 48.0, 52.0),
        ("-10 ± 2 °C", -12.0, -8.0),
    ];
    for (text, low, high) in rows {
        assert_eq!(first(text), (low, high, "Cel"), "{text:?}");
    }
    // ends in different units of one kind: the unit printed first, 9 °F = 5 K and 500 mL + 0.5 L
    assert_eq!(first("500 mL to 1 L"), (500.0, 1000.0, "mL"));
    let (low, high, _) = first("50 °C ± 9 °F");
    assert!((low - 45.0).abs() < 1e-9 && (high - 55.0).abs() < 1e-9);
}

/// Spellings of manuals; each line is one unit.
#[test]
#[rustfmt::skip]
fn trade_unit_spellings() {
    let lines: &[(&str, Dimension, &[&str])] = &[
        ("Cel", Dimension::Temperature, &["°C", "C", "deg C", "deg. C", "degC", "º C", "˚C", "° C", "℃", "degrees C", "degrees Celsius", "Celsius", "Grad Celsius", "Cel"]),
        ("[degF]", Dimension::Temperature, &["°F", "F", "deg F", "ºF", "℉", "degrees F", "degrees Fahrenheit", "[degF]"]),
        ("K", Dimension::Temperature, &["K", "kelvin", "\u{212a}"]),
        ("N.m", Dimension::Torque, &["N·m", "N•m", "N⋅m", "N*m", "N.m", "N-m", "N m", "N\u{202f}m", "Nm", "NM", "Newton meters", "newton metre", "newton-meters", "Newtonmeter", "Nm."]),
        ("N.cm", Dimension::Torque, &["N·cm", "Ncm"]),
        ("daN.m", Dimension::Torque, &["daN·m", "daNm", "m.daN"]),
        ("[lbf_av].[ft_i]", Dimension::Torque, &["ft-lb", "lb-ft", "lbf·ft", "ft·lbf", "lbs.ft", "ft.lbs", "ft. lbs.", "ft lbs", "lb.ft.", "lb ft", "lbft", "ftlb", "FT-LB", "ft–lb", "foot-pounds", "foot pounds", "pound-feet", "pounds-feet", "pound-foot", "footpounds", "lbs-ft", "ft-lbf", "lbf ft", "ft/lbs", "ft*lb", "foot pounds force", "[lbf_av].[ft_i]"]),
        ("[lbf_av].[in_i]", Dimension::Torque, &["in-lb", "lb-in", "lbf·in", "in·lbf", "in. lbs.", "inch-pounds", "pound-inches", "in lbs", "inlb", "lbf.in"]),
        ("kgf.m", Dimension::Torque, &["kgf·m", "kgf.m", "kg-m", "kg·m", "kgm", "mkg", "m·kgf", "kp·m", "mkp", "kgf-m"]),
        ("kgf.cm", Dimension::Torque, &["kgf·cm", "kg-cm", "kgf-cm", "kg.cm", "cm·kgf", "kgcm"]),
        ("[oz_av].[g].[in_i]", Dimension::Torque, &["ozf·in", "oz-in", "in-oz"]),
        ("L", Dimension::Volume, &["L", "l", "ltr", "ltrs", "liter", "liters", "litre", "litres", "Liter", "lit.", "dm³", "dm3"]),
        ("mL", Dimension::Volume, &["mL", "ml", "ML", "cc", "ccm", "cm³", "cm3", "cm^3", "cu cm", "milliliters", "millilitres"]),
        ("[gal_us]", Dimension::Volume, &["US gal", "US gallon", "U.S. gal.", "gal (US)", "gal US", "gallon", "gallons", "gal", "gals", "US liquid gallon", "[gal_us]"]),
        ("[gal_br]", Dimension::Volume, &["imp gal", "imp. gal.", "imperial gallon", "UK gal", "gal (imp.)", "gallons (imperial)", "gal (UK)", "[gal_br]"]),
        ("[qt_us]", Dimension::Volume, &["qt", "qts", "qt.", "quart", "quarts", "US qt", "US quarts", "qt (US)", "liq qt"]),
        ("[qt_br]", Dimension::Volume, &["imp qt", "imperial quarts", "qt (imp)"]),
        ("[pt_us]", Dimension::Volume, &["pt", "pts", "pint", "US pt"]),
        ("[pt_br]", Dimension::Volume, &["imp pt", "UK pints"]),
        ("[foz_us]", Dimension::Volume, &["fl oz", "fl. oz.", "fluid ounces", "US fl oz", "US fl. oz."]),
        ("[foz_br]", Dimension::Volume, &["imp fl oz", "UK fl. oz."]),
        ("[cin_i]", Dimension::Volume, &["in³", "cu in", "cu. in.", "cubic inches", "in3"]),
        ("km", Dimension::Distance, &["km", "KM", "kms", "kilometers", "kilometres"]),
        ("[mi_i]", Dimension::Distance, &["mi", "mi.", "mile", "miles", "Miles"]),
        ("mm", Dimension::Length, &["mm", "millimeters", "millimetres"]),
        ("[in_i]", Dimension::Length, &["in", "in.", "inch", "inches", "\"", "″"]),
        ("[ft_i]", Dimension::Length, &["ft", "foot", "feet", "'", "′"]),
        ("m", Dimension::Length, &["m", "metres", "meters"]),
        ("um", Dimension::Length, &["µm", "μm", "micron"]),
        ("m2", Dimension::Area, &["m²", "m2", "m^2", "sq m", "square metres"]),
        ("cm2", Dimension::Area, &["cm²", "cm2", "square centimeters"]),
        ("[sin_i]", Dimension::Area, &["in²", "in2", "sq in", "sq. in.", "square inches"]),
        ("kPa", Dimension::Pressure, &["kPa", "kpa", "kilopascals"]),
        ("bar", Dimension::Pressure, &["bar", "bars", "BAR"]),
        ("[psi]", Dimension::Pressure, &["psi", "PSI", "lb/in²", "lbf/in²", "lb/sq in", "pounds per square inch", "psig"]),
        ("kgf/cm2", Dimension::Pressure, &["kgf/cm²", "kg/cm²", "kg/cm2", "kp/cm²"]),
        ("mm2/s", Dimension::KinematicViscosity, &["mm²/s", "mm2/s", "mm^2/s", "cSt", "cst", "CST", "centistokes", "mm²·s⁻¹"]),
        ("kg/m3", Dimension::Density, &["kg/m³", "kg/m3", "kg/m^3", "kg·m⁻³", "kg per cubic metre"]),
        ("g/mL", Dimension::Density, &["g/mL", "g/ml", "g/cm³", "g/cm3", "g/cc"]),
        ("kg/L", Dimension::Density, &["kg/L", "kg/l", "kg/dm³", "kg per litre"]),
        ("[lb_av]/[gal_us]", Dimension::Density, &["lb/gal", "lb/US gal", "lbs/gal"]),
        ("kg", Dimension::Mass, &["kg", "kgs", "kilograms"]),
        ("g", Dimension::Mass, &["g", "gram", "grams", "gr"]),
        ("[lb_av]", Dimension::Mass, &["lb", "lbs", "lbs.", "pounds"]),
        ("[oz_av]", Dimension::Mass, &["oz", "ounces"]),
        ("deg", Dimension::Angle, &["°", "deg", "degrees", "º"]),
        ("rad", Dimension::Angle, &["rad", "radians"]),
        ("s", Dimension::Duration, &["s", "sec", "secs", "seconds", "Sekunden", "secondes", "segundos"]),
        ("min", Dimension::Duration, &["min", "min.", "mins", "minutes", "Minuten", "minutos"]),
        ("h", Dimension::Duration, &["h", "hr", "hrs", "hours"]),
        ("d", Dimension::Duration, &["d", "days"]),
        ("mo", Dimension::Duration, &["mo", "months", "month", "mos", "Monate", "mois", "meses"]),
        ("a", Dimension::Duration, &["a", "years", "year", "yrs", "yr", "Jahre", "ans", "années", "años"]),
        ("Cel/min", Dimension::TemperatureRate, &["°C/min", "C/min", "deg C per minute", "°C per min"]),
        ("[degF]/min", Dimension::TemperatureRate, &["°F/min", "degrees F per minute"]),
        ("K/min", Dimension::TemperatureRate, &["K/min", "kelvin per minute"]),
    ];
    for (code, dimension, spellings) in lines {
        for spelling in *spellings {
            for text in [format!("7 {spelling}"), format!("7{spelling}"), format!("6 {spelling} – 7 {spelling}")] {
                let found = read(&text, Region::Us).unwrap_or_else(|e| panic!("{text:?}: {e}"));
                let value = &found.readings[0];
                assert_eq!((found.dimension, value.unit, value.high), (*dimension, *code, 7.0), "{text:?}");
            }
        }
    }
}

/// More than one printed value, in every arrangement.
#[test]
fn hand_several_units() {
    let rows = [
        ("46–56 °C (115–133 °F)", "46–56 °C", "115–133 °F"),
        ("46–56 °C [115–133 °F]", "46–56 °C", "115–133 °F"),
        ("20 N·m / 15 lb-ft", "20 N·m", "15 lb-ft"),
        ("20 N·m/15 lb-ft", "20 N·m", "15 lb-ft"),
        ("20 N·m, 15 lb·ft", "20 N·m", "15 lb·ft"),
        ("20 N·m,15 lb·ft", "20 N·m", "15 lb·ft"),
        ("80 Nm (59 lb-ft) ", "80 Nm", "59 lb-ft"),
        ("20 N·m = 15 lb·ft", "20 N·m", "15 lb·ft"),
        ("20 N·m; 15 lb·ft", "20 N·m", "15 lb·ft"),
        ("20 N·m or 15 lb·ft", "20 N·m", "15 lb·ft"),
        ("20 N·m 15 lb·ft", "20 N·m", "15 lb·ft"),
        ("20 N·m\n15 lb·ft", "20 N·m", "15 lb·ft"),
        ("0 °C (−18 °C)", "0 °C", "−18 °C"),
        ("0 °C [−18 °C]", "0 °C", "−18 °C"),
        ("0 °C / −18 °C", "0 °C", "−18 °C"),
        ("7 [lbf_av].[ft_i] [9.5 N.m]", "7 [lbf_av].[ft_i]", "9.5 N.m"),
        ("1 US qt. (0.95 L)", "1 US qt", "0.95 L"),
    ];
    for (text, one, two) in rows {
        let found = read(text, Region::Us).unwrap_or_else(|e| panic!("{text:?}: {e}"));
        let texts: Vec<&str> = found.readings.iter().map(|r| r.text.as_str()).collect();
        assert_eq!(texts, [one, two], "{text:?}");
    }
    for text in ["46 °C (115 °F) to 56 °C (133 °F)", "46 °C/115 °F – 56 °C/133 °F", "46 °C (115 °F) – 56 °C (133 °F)"]
    {
        let found = read(text, Region::Us).unwrap_or_else(|e| panic!("{text:?}: {e}"));
        let ends: Vec<(f64, f64, &str)> = found.readings.iter().map(|r| (r.low, r.high, r.unit)).collect();
        assert_eq!(ends, [(46.0, 56.0, "Cel"), (115.0, 133.0, "[degF]")], "{text:?}");
    }
}

/// Values printed in two parts of one measure.
#[test]
fn hand_compounds_and_clocks() {
    let rows = [
        ("1 h 05 min", 65.0, "min"),
        ("1h05min", 65.0, "min"),
        ("2 min 14 s", 134.0, "s"),
        ("1 h 2 min 3 s", 3723.0, "s"),
        ("2:14", 134.0, "s"),
        ("2:14 min", 134.0, "s"),
        ("1:05:00", 3900.0, "s"),
        ("1:30 h", 5400.0, "s"),
        ("3 ft 2 in", 38.0, "[in_i]"),
        ("3' 2\"", 38.0, "[in_i]"),
        ("2 lb 4 oz", 36.0, "[oz_av]"),
        ("1 US gal 2 US qt", 6.0, "[qt_us]"),
        ("2 years 6 months", 30.0, "mo"),
        ("2 a 6 mo", 30.0, "mo"),
    ];
    for (text, value, unit) in rows {
        assert_eq!(first(text), (value, value, unit), "{text:?}");
    }
    // not parts of one measure but two printed values
    assert_eq!(read("65 min 1 h", Region::Us).expect("two values").readings.len(), 2);
    assert_eq!(read("1 h 60 min", Region::Us).expect("two values").readings.len(), 2);
}

#[test]
fn hand_typed_helpers() {
    let near = |found: f64, expected: f64| assert!((found - expected).abs() < 1e-9, "{found} is not {expected}");
    near(temperature("46–56 °C").expect("a window").high.celsius(), 56.0);
    near(difference_one("9 °F").expect("a difference").kelvin(), 5.0);
    near(difference_one("-2 °C").expect("a difference").kelvin(), -2.0);
    near(rate_one("1.8 °C/min").expect("a rate").kelvin_per_minute(), 1.8);
    near(rate_one("-9 °F/min").expect("a rate").kelvin_per_minute(), -5.0);
    near(volume_one("4.3 L").expect("a volume").ml(), 4300.0);
    // a bare ounce where a volume is needed is a fluid ounce: 29.5735295625 mL
    near(volume_one("2 oz").expect("a volume").ml(), 59.147059125);
    near(distance_one("5000 m").expect("a distance").km(), 5.0);
    near(length_one("5000 m").expect("a length").metres(), 5000.0);
    near(length_one("1/2 in").expect("a length").mm(), 12.7);
    near(area_one("600 cm²").expect("an area").square_metres(), 0.06);
    near(area_one("0.08 m²").expect("an area").square_cm(), 800.0);
    // 93 × 6.4516 cm²
    near(area_one("93 in²").expect("an area").square_cm(), 599.9988);
    near(pressure_one("2 bar").expect("a pressure").kpa(), 200.0);
    near(viscosity_one("7.3 cSt").expect("a viscosity").mm2_per_s(), 7.3);
    near(density_one("0.845 g/cm³").expect("a density").kg_per_m3(), 845.0);
    near(mass_one("3474 g").expect("a mass").kg(), 3.474);
    near(angle_one("3.18°").expect("an angle").degrees(), 3.18);
    near(angle_one("-1.5 deg").expect("an angle").degrees(), -1.5);
    near(duration_one("2:14").expect("a duration").seconds(), 134.0);
}

/// What could have meant something else is said.
#[test]
fn hand_notes() {
    let note = |text: &str| read(text, Region::Us).unwrap_or_else(|e| panic!("{text}: {e}")).note;
    assert!(note("60.000 km").is_some_and(|n| n.contains("decimal point")));
    assert!(note("3,785 L").is_some_and(|n| n.contains("groups thousands")));
    assert!(note("about 5 L").is_some_and(|n| n.contains("about")));
    assert!(note("1 qt").is_some_and(|n| n.contains("US measure")));
    for quiet in ["60,000 km", "3.785 L", "0,785 L", "5 L", "between 46 and 56 °C", "1 US qt"] {
        assert_eq!(note(quiet), None, "{quiet}");
    }
}
