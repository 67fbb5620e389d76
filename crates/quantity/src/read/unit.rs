//! The table of units: what each is called, what it is worth, and how manuals spell it.

use super::{Dimension, Dimension::*, Region};
use crate::{
    Angle, Area, Density, Distance, Duration, KinematicViscosity, Length, Mass, Pressure, TemperatureDifference,
    TemperatureRate, Torque, Volume,
};

/// One unit. Canonical number = (printed number + `shift`) × `factor`, in the canonical unit of the kind.
#[derive(Debug, PartialEq)]
pub(crate) struct Unit {
    pub(crate) dimension: Dimension,
    /// UCUM code.
    pub(crate) code: &'static str,
    /// As people write it.
    pub(crate) symbol: &'static str,
    pub(crate) factor: f64,
    pub(crate) shift: f64,
    /// Only for measures that exist in a US and an imperial size.
    pub(crate) region: Option<Region>,
    /// Further spellings, as [`key`] leaves them after [`ROOTS`], space-separated.
    spellings: &'static str,
}

impl Unit {
    pub(crate) fn canonical(&self, value: f64) -> f64 {
        (value + self.shift) * self.factor
    }
    pub(crate) fn printed(&self, canonical: f64) -> f64 {
        canonical / self.factor - self.shift
    }
    fn is_spelled(&self, wanted: &str) -> bool {
        self.spellings.split(' ').any(|s| s == wanted) || key(self.code) == wanted || key(self.symbol) == wanted
    }
}

/// Every unit that has this spelling, the likeliest meaning first.
pub(crate) fn spelled(wanted: &str) -> Vec<&'static Unit> {
    UNITS.iter().filter(|u| u.is_spelled(wanted)).collect()
}

/// The unit of a dimension with this UCUM code.
pub(crate) fn coded(dimension: Dimension, code: &str) -> Option<&'static Unit> {
    UNITS.iter().find(|u| u.dimension == dimension && u.code == code)
}

/// A spelling without case and without the marks that manuals put between its parts.
pub(crate) fn key(text: &str) -> String {
    let kept = text.chars().flat_map(char::to_lowercase).filter_map(|c| match c {
        '²' => Some('2'),
        '³' => Some('3'),
        'µ' | 'μ' => Some('u'),
        c if c.is_alphanumeric() || c == '/' || c == '°' => Some(c),
        _ => None,
    });
    kept.collect()
}

/// Words of manuals and the root under which the table knows them.
#[rustfmt::skip]
const ROOTS: &[(&str, &str)] = &[
    ("c", "celsius centigrade"), ("f", "fahrenheit farenheit"), ("k", "kelvin kelvins"), ("deg", "degree degrees degs grad degré degrés grado grados"),
    ("n", "newton newtons"), ("nm", "newtonmeter newtonmeters newtonmetre newtonmetres"),
    ("lb", "lbs pound pounds"), ("lbf", "lbsf"), ("ftlb", "footpound footpounds"), ("inlb", "inchpound inchpounds"), ("oz", "ounce ounces ozs"),
    ("lbft", "poundfoot poundfeet"), ("lbin", "poundinch poundinches"),
    ("ft", "foot feet ' ′"), ("in", "inch inches ins \" ″ ”"), ("m", "meter meters metre metres"), ("mm", "millimeter millimeters millimetre millimetres millimètre millimètres milímetro milímetros"),
    ("cm", "centimeter centimeters centimetre centimetres"), ("km", "kilometer kilometers kilometern kilometre kilometres kilomètre kilomètres kilómetro kilómetros kms"), ("mi", "mile miles"),
    ("um", "micrometer micrometers micrometre micrometres micron microns"), ("yd", "yard yards yds"),
    ("l", "liter liters litern litre litres litro litros ltr ltrs lit lt"), ("ml", "milliliter milliliters millilitre millilitres mililitro mililitros mls"), ("cc", "ccm ccs"),
    ("gal", "gallon gallons gals"), ("qt", "quart quarts qts"), ("pt", "pint pints pts"), ("fl", "fluid"),
    ("us", "usa"), ("imp", "imperial uk br"),
    ("kg", "kilogram kilograms kilogramme kilogrammes kilo kilos kgs"), ("g", "gram grams gramme grammes gr gms"), ("t", "tonne tonnes"),
    ("kgf", "kp kilopond"), ("bar", "bars"), ("kpa", "kilopascal kilopascals"), ("mpa", "megapascal megapascals"), ("pa", "pascal pascals"),
    ("cst", "centistoke centistokes"), ("st", "stokes stoke"), ("rad", "radian radians"), ("force", "forces"),
    ("s", "sec secs second seconds sek sekunde sekunden seconde secondes seg segundo segundos"), ("min", "mins minute minutes minuten minuto minutos"), ("h", "hr hrs hour hours std stunde stunden heure heures hora horas"), ("d", "day days"), ("wk", "week weeks wks"),
    ("mo", "month months mos mth mths monat monate monaten mois mes meses"), ("a", "year years yr yrs jahr jahre jahren an ans année années año años"),
    ("/", "per"), ("sq", "square"), ("cu", "cubic"), ("%", "percent"),
];

/// The root of a lower-case word; the word itself when it has none.
pub(crate) fn root(word: &str) -> &str {
    ROOTS.iter().find(|(_, words)| words.split(' ').any(|w| w == word)).map_or(word, |(root, _)| root)
}

/// Units of which the second may follow the first within one value, and how many make one of the first.
pub(crate) const COMPOUNDS: &[(&str, &str, f64)] = &[
    ("d", "h", 24.0),
    ("h", "min", 60.0),
    ("min", "s", 60.0),
    ("a", "mo", 12.0),
    ("[ft_i]", "[in_i]", 12.0),
    ("[lb_av]", "[oz_av]", 16.0),
    ("[gal_us]", "[qt_us]", 4.0),
    ("[gal_br]", "[qt_br]", 4.0),
    ("[gal_br]", "[pt_br]", 8.0),
];

const fn unit(
    dimension: Dimension,
    code: &'static str,
    symbol: &'static str,
    factor: f64,
    spellings: &'static str,
) -> Unit {
    Unit { dimension, code, symbol, factor, shift: 0.0, region: None, spellings }
}
const fn point(code: &'static str, symbol: &'static str, factor: f64, shift: f64, spellings: &'static str) -> Unit {
    Unit { dimension: Temperature, code, symbol, factor, shift, region: None, spellings }
}
const fn us(code: &'static str, symbol: &'static str, volume: Volume, spellings: &'static str) -> Unit {
    Unit { region: Some(Region::Us), ..unit(Dimension::Volume, code, symbol, volume.ml(), spellings) }
}
const fn imperial(code: &'static str, symbol: &'static str, volume: Volume, spellings: &'static str) -> Unit {
    Unit { region: Some(Region::Imperial), ..unit(Dimension::Volume, code, symbol, volume.ml(), spellings) }
}

const FAHRENHEIT_STEP: f64 = TemperatureDifference::from_fahrenheit(1.0).kelvin();
/// One pound-force, exactly 0.45359237 kg × 9.80665 m/s².
const POUND_FORCE_NEWTONS: f64 = 0.45359237 * 9.80665;

/// Where one spelling has two meanings the likelier row comes first; the other is taken when the rest of the text,
/// or the caller, asks for its dimension. Months and years are the mean ones of the Gregorian calendar.
#[rustfmt::skip]
pub(crate) static UNITS: &[Unit] = &[
    point("Cel", "°C", 1.0, 0.0, "c degc"),
    point("[degF]", "°F", FAHRENHEIT_STEP, -32.0, "f degf"),
    point("K", "K", 1.0, -273.15, "degk °k"),
    unit(TemperatureDifference, "Cel", "°C", 1.0, "c degc"),
    unit(TemperatureDifference, "[degF]", "°F", FAHRENHEIT_STEP, "f degf"),
    unit(TemperatureDifference, "K", "K", 1.0, "degk °k"),
    unit(TemperatureRate, "K/min", "K/min", 1.0, "degk/min °k/min"),
    unit(TemperatureRate, "Cel/min", "°C/min", 1.0, "c/min degc/min"),
    unit(TemperatureRate, "[degF]/min", "°F/min", TemperatureRate::from_fahrenheit_per_minute(1.0).kelvin_per_minute(), "f/min degf/min"),
    unit(TemperatureRate, "K/s", "K/s", 60.0, ""),
    unit(TemperatureRate, "Cel/s", "°C/s", 60.0, "c/s degc/s"),
    unit(TemperatureRate, "K/h", "K/h", 1.0 / 60.0, ""),
    unit(TemperatureRate, "Cel/h", "°C/h", 1.0 / 60.0, "c/h degc/h"),

    unit(Torque, "N.m", "N·m", 1.0, "mn"),
    unit(Torque, "N.cm", "N·cm", 0.01, ""),
    unit(Torque, "daN.m", "daN·m", 10.0, "mdan"),
    unit(Torque, "[lbf_av].[ft_i]", "lbf·ft", Torque::from_lbf_ft(1.0).nm(), "ftlb lbft ftlbf lbfft ft/lb lb/ft ftlbforce lbforceft"),
    unit(Torque, "[lbf_av].[in_i]", "lbf·in", Torque::from_lbf_in(1.0).nm(), "inlb lbin inlbf lbfin in/lb lb/in inlbforce lbforcein"),
    unit(Torque, "kgf.m", "kgf·m", Torque::from_kgf_m(1.0).nm(), "kgm mkg mkgf kpm mkp"),
    unit(Torque, "kgf.cm", "kgf·cm", Torque::from_kgf_cm(1.0).nm(), "kgcm cmkg cmkgf kpcm cmkp"),
    unit(Torque, "[oz_av].[g].[in_i]", "ozf·in", POUND_FORCE_NEWTONS / 16.0 * 0.0254, "ozin inoz inozf ozfin"),

    unit(Volume, "L", "L", 1000.0, "dm3 cudm"),
    unit(Volume, "mL", "mL", 1.0, "cc cm3 cucm"),
    unit(Volume, "cL", "cL", 10.0, ""),
    unit(Volume, "dL", "dL", 100.0, ""),
    unit(Volume, "m3", "m³", 1e6, "cum"),
    us("[gal_us]", "US gal", Volume::from_us_gallons(1.0), "gal usgal usliquidgal galliquid"),
    us("[qt_us]", "US qt", Volume::from_us_quarts(1.0), "qt usqt usliquidqt qtliquid liqqt"),
    us("[pt_us]", "US pt", Volume::from_us_pints(1.0), "pt uspt usliquidpt"),
    us("[foz_us]", "US fl oz", Volume::from_us_fluid_ounces(1.0), "floz usfloz flozus usoz ozus"),
    imperial("[gal_br]", "imp gal", Volume::from_imperial_gallons(1.0), "gal galimp"),
    imperial("[qt_br]", "imp qt", Volume::from_imperial_quarts(1.0), "qt qtimp"),
    imperial("[pt_br]", "imp pt", Volume::from_imperial_pints(1.0), "pt ptimp"),
    imperial("[foz_br]", "imp fl oz", Volume::from_imperial_gallons(1.0 / 160.0), "floz flozimp impoz"),
    unit(Volume, "[cin_i]", "in³", 25.4 * 25.4 * 25.4 / 1000.0, "cuin cid"),

    unit(Length, "mm", "mm", 1.0, ""),
    unit(Length, "cm", "cm", Length::from_cm(1.0).mm(), ""),
    unit(Length, "m", "m", Length::from_metres(1.0).mm(), ""),
    unit(Length, "um", "µm", 1e-3, ""),
    unit(Length, "[in_i]", "in", Length::from_inches(1.0).mm(), ""),
    unit(Length, "[ft_i]", "ft", Length::from_feet(1.0).mm(), ""),
    unit(Length, "[yd_i]", "yd", 914.4, ""),
    unit(Length, "[mil_i]", "mil", 0.0254, "mils thou"),
    unit(Distance, "km", "km", 1.0, ""),
    unit(Distance, "[mi_i]", "mi", Distance::from_miles(1.0).km(), ""),
    unit(Distance, "m", "m", Distance::from_metres(1.0).km(), ""),
    unit(Area, "m2", "m²", 1.0, "sqm"),
    unit(Area, "cm2", "cm²", Area::from_square_cm(1.0).square_metres(), "sqcm"),
    unit(Area, "mm2", "mm²", Area::from_square_mm(1.0).square_metres(), "sqmm"),
    unit(Area, "dm2", "dm²", 0.01, "sqdm"),
    unit(Area, "[sin_i]", "in²", Area::from_square_inches(1.0).square_metres(), "sqin"),
    unit(Area, "[sft_i]", "ft²", 0.3048 * 0.3048, "sqft"),

    unit(Pressure, "kPa", "kPa", 1.0, ""),
    unit(Pressure, "bar", "bar", Pressure::from_bar(1.0).kpa(), ""),
    unit(Pressure, "mbar", "mbar", 0.1, ""),
    unit(Pressure, "[psi]", "psi", Pressure::from_psi(1.0).kpa(), "psig lb/in2 lb/sqin lbf/in2 lbf/sqin"),
    unit(Pressure, "MPa", "MPa", Pressure::from_mpa(1.0).kpa(), ""),
    unit(Pressure, "hPa", "hPa", 0.1, ""),
    unit(Pressure, "Pa", "Pa", 1e-3, ""),
    unit(Pressure, "kgf/cm2", "kgf/cm²", 98.0665, "kg/cm2 kg/sqcm kgf/sqcm"),
    unit(Pressure, "atm", "atm", 101.325, ""),

    unit(KinematicViscosity, "mm2/s", "mm²/s", 1.0, "cst mm2s1"),
    unit(KinematicViscosity, "St", "St", 100.0, "cm2/s"),
    unit(KinematicViscosity, "m2/s", "m²/s", KinematicViscosity::from_m2_per_s(1.0).mm2_per_s(), ""),
    unit(Density, "kg/m3", "kg/m³", 1.0, "kgm3 kg/cum"),
    unit(Density, "g/mL", "g/mL", 1000.0, "g/cm3 g/cc gcm3 g/cucm"),
    unit(Density, "kg/L", "kg/L", Density::from_kg_per_litre(1.0).kg_per_m3(), "kg/dm3"),
    unit(Density, "g/L", "g/L", 1.0, ""),
    unit(Density, "[lb_av]/[gal_us]", "lb/US gal", Density::from_lb_per_us_gallon(1.0).kg_per_m3(), "lb/gal lb/usgal"),
    unit(Density, "[lb_av]/[cft_i]", "lb/ft³", 0.45359237 / (0.3048 * 0.3048 * 0.3048), "lb/cuft"),

    unit(Mass, "kg", "kg", 1.0, ""),
    unit(Mass, "g", "g", Mass::from_grams(1.0).kg(), ""),
    unit(Mass, "mg", "mg", 1e-6, ""),
    unit(Mass, "t", "t", 1000.0, ""),
    unit(Mass, "[lb_av]", "lb", Mass::from_pounds(1.0).kg(), ""),
    unit(Mass, "[oz_av]", "oz", Mass::from_ounces(1.0).kg(), ""),
    // A bare ounce among volumes is a fluid ounce.
    us("[foz_us]", "US fl oz", Volume::from_us_fluid_ounces(1.0), "oz"),
    imperial("[foz_br]", "imp fl oz", Volume::from_imperial_gallons(1.0 / 160.0), "oz"),

    unit(Angle, "deg", "°", 1.0, ""),
    unit(Angle, "rad", "rad", Angle::from_radians(1.0).degrees(), ""),
    unit(Angle, "mrad", "mrad", Angle::from_radians(1e-3).degrees(), ""),
    unit(Duration, "s", "s", 1.0, ""),
    unit(Duration, "ms", "ms", 1e-3, ""),
    unit(Duration, "min", "min", Duration::from_minutes(1.0).seconds(), ""),
    unit(Duration, "h", "h", Duration::from_hours(1.0).seconds(), ""),
    unit(Duration, "d", "d", Duration::from_days(1.0).seconds(), ""),
    unit(Duration, "wk", "wk", 604_800.0, ""),
    unit(Duration, "mo", "months", Duration::from_months(1.0).seconds(), "mo"),
    unit(Duration, "a", "years", Duration::from_years(1.0).seconds(), "a"),
];
