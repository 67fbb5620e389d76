//! Every conversion factor against two sources outside the project.

use quantity::read::{Dimension, Kind, Region, one};
use quantity::{
    Angle, Area, Density, Distance, Duration, KinematicViscosity, Length, Mass, Pressure, Temperature,
    TemperatureDifference, TemperatureRate, Torque, Volume,
};
use uom::si::f64 as si;

/// NIST SP 811 and uom print seven figures; half a unit of the seventh is at most 5e-7 of the value.
const SEVEN_FIGURES: f64 = 5.0e-7;

fn is_close(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= SEVEN_FIGURES * expected.abs()
}

fn read_one<K: Kind>(unit: &str) -> K {
    one(&format!("1 {unit}"), Region::Us).unwrap_or_else(|e| panic!("{unit}: {e}"))
}

/// NIST Special Publication 811 (2008 edition), Appendix B.8 "Factors for units listed alphabetically", to seven figures. Second-hand: all 32 were
/// compared with the factors of the R package NISTunits 1.0.1, which copied that appendix (physics.nist.gov/Pubs/SP811/appenB8.html) in 2014.
/// Left: the unit as printed; then what one of it is, read here, in the SI unit of the table; then the factor.
#[test]
fn val_nist_sp_811_b8() {
    let torque = |u| read_one::<Torque>(u).nm();
    let cubic_metres = |u| read_one::<Volume>(u).cubic_metres();
    let metres = |u| read_one::<Length>(u).metres();
    let pascals = |u| read_one::<Pressure>(u).kpa() * 1000.0;
    let density = |u| read_one::<Density>(u).kg_per_m3();
    let rows = [
        ("lbf·ft", torque("lbf·ft"), 1.355818),
        ("lbf·in", torque("lbf·in"), 1.129848e-1),
        ("ozf·in", torque("ozf·in"), 7.061552e-3),
        ("kgf·m", torque("kgf·m"), 9.80665),
        ("US gal", cubic_metres("US gal"), 3.785412e-3),
        ("US qt", cubic_metres("US qt"), 9.463529e-4),
        ("US pt", cubic_metres("US pt"), 4.731765e-4),
        ("US fl oz", cubic_metres("US fl oz"), 2.957353e-5),
        ("imp gal", cubic_metres("imp gal"), 4.54609e-3),
        ("imp fl oz", cubic_metres("imp fl oz"), 2.841306e-5),
        ("in³", cubic_metres("cu in"), 1.638706e-5),
        ("in", metres("in"), 2.54e-2),
        ("ft", metres("ft"), 3.048e-1),
        ("yd", metres("yd"), 9.144e-1),
        ("mil", metres("mil"), 2.54e-5),
        ("mi", read_one::<Distance>("mi").km() * 1000.0, 1.609344e3),
        ("in²", read_one::<Area>("in²").square_metres(), 6.4516e-4),
        ("ft²", read_one::<Area>("ft²").square_metres(), 9.290304e-2),
        ("psi", pascals("psi"), 6.894757e3),
        ("bar", pascals("bar"), 1.0e5),
        ("atm", pascals("atm"), 1.01325e5),
        ("kgf/cm²", pascals("kgf/cm²"), 9.80665e4),
        ("cSt", read_one::<KinematicViscosity>("cSt").mm2_per_s() * 1e-6, 1.0e-6),
        ("St", read_one::<KinematicViscosity>("St").mm2_per_s() * 1e-6, 1.0e-4),
        ("lb/gal", density("lb/US gal"), 1.198264e2),
        ("lb/ft³", density("lb/ft³"), 1.601846e1),
        ("lb", read_one::<Mass>("lb").kg(), 4.535924e-1),
        ("oz", read_one::<Mass>("oz").kg(), 2.834952e-2),
        ("degree", read_one::<Angle>("°").degrees().to_radians(), 1.745329e-2),
        ("h", read_one::<Duration>("h").seconds(), 3.6e3),
        ("d", read_one::<Duration>("d").seconds(), 8.64e4),
        ("°F step", read_one::<TemperatureDifference>("°F").kelvin(), 5.555556e-1),
    ];
    for (unit, found, expected) in rows {
        assert!(is_close(found, expected), "{unit}: {found} is not {expected}");
    }
}

macro_rules! against_uom {
    ($($kind:ident $text:literal $reader:ident = $uom:ident :: $module:ident $one:ident in $base:ident;)+) => { $( {
        let found = read_one::<$kind>($text).$reader();
        let expected = si::$uom::new::<uom::si::$module::$one>(1.0).get::<uom::si::$module::$base>();
        assert!(is_close(found, expected), "{}: {found} is not {expected}", $text);
    } )+ };
}

/// Every unit that uom has too; uom's own factors have seven figures.
#[test]
fn val_uom_factors() {
    against_uom! {
        Torque "N·m" nm = Torque::torque newton_meter in newton_meter;
        Torque "lbf·ft" nm = Torque::torque pound_force_foot in newton_meter;
        Torque "lbf·in" nm = Torque::torque pound_force_inch in newton_meter;
        Torque "kgf·m" nm = Torque::torque kilogram_force_meter in newton_meter;
        Torque "ozf·in" nm = Torque::torque ounce_force_inch in newton_meter;
        Volume "L" ml = Volume::volume liter in milliliter;
        Volume "cL" ml = Volume::volume centiliter in milliliter;
        Volume "dL" ml = Volume::volume deciliter in milliliter;
        Volume "m³" ml = Volume::volume cubic_meter in milliliter;
        Volume "cm³" ml = Volume::volume cubic_centimeter in milliliter;
        Volume "US gal" ml = Volume::volume gallon in milliliter;
        Volume "US qt" ml = Volume::volume quart_liquid in milliliter;
        Volume "US pt" ml = Volume::volume pint_liquid in milliliter;
        Volume "US fl oz" ml = Volume::volume fluid_ounce in milliliter;
        Volume "imp gal" ml = Volume::volume gallon_imperial in milliliter;
        Volume "imp fl oz" ml = Volume::volume fluid_ounce_imperial in milliliter;
        Volume "in³" ml = Volume::volume cubic_inch in milliliter;
        Length "µm" mm = Length::length micrometer in millimeter;
        Length "cm" mm = Length::length centimeter in millimeter;
        Length "m" mm = Length::length meter in millimeter;
        Length "in" mm = Length::length inch in millimeter;
        Length "ft" mm = Length::length foot in millimeter;
        Length "yd" mm = Length::length yard in millimeter;
        Length "mil" mm = Length::length mil in millimeter;
        Distance "mi" km = Length::length mile in kilometer;
        Distance "m" km = Length::length meter in kilometer;
        Area "cm²" square_metres = Area::area square_centimeter in square_meter;
        Area "mm²" square_metres = Area::area square_millimeter in square_meter;
        Area "dm²" square_metres = Area::area square_decimeter in square_meter;
        Area "in²" square_metres = Area::area square_inch in square_meter;
        Area "ft²" square_metres = Area::area square_foot in square_meter;
        Pressure "bar" kpa = Pressure::pressure bar in kilopascal;
        Pressure "mbar" kpa = Pressure::pressure millibar in kilopascal;
        Pressure "psi" kpa = Pressure::pressure psi in kilopascal;
        Pressure "MPa" kpa = Pressure::pressure megapascal in kilopascal;
        Pressure "hPa" kpa = Pressure::pressure hectopascal in kilopascal;
        Pressure "Pa" kpa = Pressure::pressure pascal in kilopascal;
        Pressure "kgf/cm²" kpa = Pressure::pressure atmosphere_technical in kilopascal;
        Pressure "atm" kpa = Pressure::pressure atmosphere in kilopascal;
        KinematicViscosity "cSt" mm2_per_s = KinematicViscosity::kinematic_viscosity centistokes in square_millimeter_per_second;
        KinematicViscosity "St" mm2_per_s = KinematicViscosity::kinematic_viscosity stokes in square_millimeter_per_second;
        KinematicViscosity "m²/s" mm2_per_s = KinematicViscosity::kinematic_viscosity square_meter_per_second in square_millimeter_per_second;
        Density "g/cm³" kg_per_m3 = MassDensity::mass_density gram_per_cubic_centimeter in kilogram_per_cubic_meter;
        Density "lb/ft³" kg_per_m3 = MassDensity::mass_density pound_per_cubic_foot in kilogram_per_cubic_meter;
        Density "lb/US gal" kg_per_m3 = MassDensity::mass_density pound_per_gallon in kilogram_per_cubic_meter;
        Mass "g" kg = Mass::mass gram in kilogram;
        Mass "mg" kg = Mass::mass milligram in kilogram;
        Mass "t" kg = Mass::mass ton in kilogram;
        Mass "lb" kg = Mass::mass pound in kilogram;
        Mass "oz" kg = Mass::mass ounce in kilogram;
        Angle "rad" degrees = Angle::angle radian in degree;
        Duration "ms" seconds = Time::time millisecond in second;
        Duration "min" seconds = Time::time minute in second;
        Duration "h" seconds = Time::time hour in second;
        Duration "d" seconds = Time::time day in second;
        Temperature "°C" kelvin = ThermodynamicTemperature::thermodynamic_temperature degree_celsius in kelvin;
        Temperature "°F" kelvin = ThermodynamicTemperature::thermodynamic_temperature degree_fahrenheit in kelvin;
        Temperature "K" kelvin = ThermodynamicTemperature::thermodynamic_temperature kelvin in kelvin;
        TemperatureDifference "°F" kelvin = TemperatureInterval::temperature_interval degree_fahrenheit in kelvin;
    }
}

/// The factors uom does not have: arithmetic on the exact definitions.
#[test]
fn hand_remaining_factors() {
    let rows = [
        ("kgf·cm", read_one::<Torque>("kgf·cm").nm(), 0.0980665), // 9.80665 N × 0.01 m
        ("N·cm", read_one::<Torque>("N·cm").nm(), 0.01),
        ("daN·m", read_one::<Torque>("daN·m").nm(), 10.0),
        ("imp qt", read_one::<Volume>("imp qt").ml(), 1136.5225), // 4546.09 / 4
        ("imp pt", read_one::<Volume>("imp pt").ml(), 568.26125), // 4546.09 / 8
        ("kg/L", read_one::<Density>("kg/L").kg_per_m3(), 1000.0),
        ("g/L", read_one::<Density>("g/L").kg_per_m3(), 1.0),
        ("mrad", read_one::<Angle>("mrad").degrees(), 0.057295779513), // 0.18 / π
        ("wk", read_one::<Duration>("weeks").seconds(), 604800.0),     // 7 × 86 400
        ("a", read_one::<Duration>("year").seconds(), 31556952.0),     // 365.2425 d, the Gregorian mean
        ("mo", read_one::<Duration>("month").seconds(), 2629746.0),    // a twelfth of that
        ("K/s", read_one::<TemperatureRate>("K/s").kelvin_per_minute(), 60.0),
        ("K/h", read_one::<TemperatureRate>("K/h").kelvin_per_minute(), 1.0 / 60.0),
        ("°C/s", read_one::<TemperatureRate>("°C/s").kelvin_per_minute(), 60.0),
        ("°C/h", read_one::<TemperatureRate>("°C/h").kelvin_per_minute(), 1.0 / 60.0),
        ("°F/min", read_one::<TemperatureRate>("°F/min").kelvin_per_minute(), 5.0 / 9.0),
    ];
    for (unit, found, expected) in rows {
        assert!((found - expected).abs() <= 1e-9 * expected, "{unit}: {found} is not {expected}");
    }
}

/// The constructors of the kinds and the table of units say the same, and each reader undoes its constructor.
#[test]
fn law_constructors_and_readers_are_inverse() {
    for x in [-7.25, 0.0, 1.0, 3.5, 1e6] {
        let pairs = [
            (Volume::from_us_gallons(x).us_gallons(), x),
            (Volume::from_us_pints(x).us_pints(), x),
            (Volume::from_imperial_quarts(x).imperial_quarts(), x),
            (Torque::from_kgf_cm(x).kgf_cm(), x),
            (Temperature::from_fahrenheit(x).fahrenheit(), x),
            (Temperature::from_kelvin(x).kelvin(), x),
            (Pressure::from_psi(x).psi(), x),
            (Duration::from_months(12.0 * x).years(), x),
        ];
        for (found, expected) in pairs {
            assert!((found - expected).abs() <= 1e-12 * (300.0 + expected.abs()), "{found} is not {expected}");
        }
    }
    assert_eq!(Dimension::Torque.to_string(), "a torque");
}
