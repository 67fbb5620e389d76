//! Numbers for people: one place that decides digits, signs, spaces and units.
//!
//! The minus is the typographic one (−), a narrow no-break space stands between number and unit and groups digits
//! from five on, so a value never breaks at the end of a line. Numbers that are not finite print as "unknown".
//! Everything printed here is read back by [`read`](crate::read::read), apart from "unknown" and negative amounts.

use crate::{
    Angle, Area, Density, Distance, Duration, Flow, KinematicViscosity, Length, Mass, Pressure, Span, Temperature,
    TemperatureDifference, TemperatureRate, Torque, Uncertain, Volume,
};
use serde::{Deserialize, Serialize};

/// The units people want to see.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// °C, L, N·m, km.
    #[default]
    Metric,
    /// °F, US qt, lbf·ft, mi.
    Us,
}

/// A word that is neither "metric" nor "us".
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no choice of units; choose metric or us")]
pub struct UnknownUnits(pub String);

impl std::str::FromStr for Units {
    type Err = UnknownUnits;
    fn from_str(text: &str) -> Result<Self, UnknownUnits> {
        match text.trim().to_ascii_lowercase().as_str() {
            "metric" => Ok(Self::Metric),
            "us" => Ok(Self::Us),
            _ => Err(UnknownUnits(text.to_owned())),
        }
    }
}

/// The narrow no-break space between number and unit.
pub const SPACE: char = '\u{202f}';
const UNKNOWN: &str = "unknown";

/// Rounds half away from zero to so many decimals; negative `decimals` round to tens, hundreds …
fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals.clamp(-300, 300));
    let scaled = (value * scale).round() / scale;
    if scaled.is_finite() { scaled } else { value }
}

/// A number with so many decimals (at most 12; negative ones round to tens, hundreds …), digits grouped from five on.
pub fn number(value: f64, decimals: i32) -> String {
    if !value.is_finite() {
        return UNKNOWN.to_owned();
    }
    let places = usize::try_from(decimals.clamp(0, 12)).unwrap_or(0);
    let plain = format!("{:.places$}", rounded(value, decimals.min(12)).abs());
    let (whole, rest) = plain.split_at(plain.find('.').unwrap_or(plain.len()));
    let is_zero = plain.chars().all(|c| matches!(c, '0' | '.'));
    let mut text = String::new();
    if value < 0.0 && !is_zero {
        text.push('−');
    }
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && whole.len() > 4 && (whole.len() - index).is_multiple_of(3) {
            text.push(SPACE);
        }
        text.push(digit);
    }
    text + rest
}

/// A number with at most so many decimals, without trailing zeros behind the point.
pub fn trimmed(value: f64, decimals: i32) -> String {
    let text = number(value, decimals);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

fn with_symbol(number: String, symbol: &str) -> String {
    match symbol {
        "" => number,
        _ if number == UNKNOWN => number,
        "°" => number + symbol,
        _ => format!("{number}{SPACE}{symbol}"),
    }
}

/// Decimals that show about three or four figures of a number of this size.
fn decimals_for(value: f64) -> i32 {
    match value.abs() {
        x if x >= 1000.0 => 0,
        x if x >= 10.0 => 1,
        x if x >= 1.0 => 2,
        _ => 3,
    }
}

/// Any number with any symbol, three or four figures, trailing zeros dropped.
pub fn amount(value: f64, symbol: &str) -> String {
    with_symbol(trimmed(value, decimals_for(value)), symbol)
}

/// A range in one unit: "43.3–51.7 °C", "−10 to 5 °C"; one number when both ends print alike.
pub fn amount_span(low: f64, high: f64, symbol: &str) -> String {
    span_text(trimmed(low, decimals_for(low)), trimmed(high, decimals_for(high)), symbol)
}

fn span_text(low: String, high: String, symbol: &str) -> String {
    if low == high {
        return with_symbol(low, symbol);
    }
    let between = if low.starts_with('−') || high.starts_with('−') { " to " } else { "–" };
    with_symbol(low + between + &high, symbol)
}

/// "value ± u": the uncertainty to two figures (JCGM 100, 7.2.6), the value to the same place. Without a finite,
/// positive `u` the value alone.
pub fn uncertain(value: f64, u: f64, symbol: &str) -> String {
    if !(u.is_finite() && u > 0.0 && value.is_finite()) {
        return amount(value, symbol);
    }
    let decimals = two_figures(u);
    with_symbol(format!("{}{SPACE}±{SPACE}{}", number(value, decimals), number(u, decimals)), symbol)
}

/// The decimals that leave two figures of a positive number, after rounding.
fn two_figures(u: f64) -> i32 {
    let power = |x: f64| x.log10().floor() as i32;
    let first = 1 - power(u);
    // 0.0996 has two figures as 0.10, not as 0.100.
    (1 - power(rounded(u, first).max(f64::MIN_POSITIVE))).min(12)
}

/// "43.3 °C", "110.0 °F": always one decimal, so a live value does not jump about.
pub fn temperature(t: Temperature, units: Units) -> String {
    let (value, symbol) = temperature_in(t, units);
    with_symbol(number(value, 1), symbol)
}

/// "43–53 °C", "43.3–51.7 °C".
pub fn temperature_span(span: Span<Temperature>, units: Units) -> String {
    let ((low, symbol), (high, _)) = (temperature_in(span.low, units), temperature_in(span.high, units));
    span_text(trimmed(low, 1), trimmed(high, 1), symbol)
}

/// "38.0 ± 1.2 °C".
pub fn temperature_uncertain(t: Temperature, u: TemperatureDifference, units: Units) -> String {
    let (value, symbol) = temperature_in(t, units);
    let u = match units {
        Units::Metric => u.kelvin(),
        Units::Us => u.fahrenheit(),
    };
    uncertain(value, u, symbol)
}

fn temperature_in(t: Temperature, units: Units) -> (f64, &'static str) {
    match units {
        Units::Metric => (t.celsius(), "°C"),
        Units::Us => (t.fahrenheit(), "°F"),
    }
}

/// "5.0 K", "9.0 °F": a difference, without the offset of a scale.
pub fn difference(d: TemperatureDifference, units: Units) -> String {
    match units {
        Units::Metric => with_symbol(number(d.kelvin(), 1), "K"),
        Units::Us => with_symbol(number(d.fahrenheit(), 1), "°F"),
    }
}

/// "1.8 °C/min", "3.2 °F/min".
pub fn rate(r: TemperatureRate, units: Units) -> String {
    match units {
        Units::Metric => with_symbol(number(r.kelvin_per_minute(), 1), "°C/min"),
        Units::Us => with_symbol(number(r.fahrenheit_per_minute(), 1), "°F/min"),
    }
}

/// How a volume of this size (in mL) is printed: mL in one unit, its symbol, decimals.
fn volume_scale(size: f64, units: Units) -> (f64, &'static str, i32) {
    match units {
        // 999.6 mL would print as 1000 mL.
        Units::Metric if size < 999.5 => (1.0, "mL", 0),
        Units::Metric => (1000.0, "L", 2),
        Units::Us if size < Volume::from_us_fluid_ounces(31.95).ml() => {
            (Volume::from_us_fluid_ounces(1.0).ml(), "US fl oz", 1)
        }
        Units::Us => (Volume::from_us_quarts(1.0).ml(), "US qt", 2),
    }
}

/// "350 mL", "4.30 L"; "11.8 US fl oz", "4.54 US qt".
pub fn volume(v: Volume, units: Units) -> String {
    let (one, symbol, decimals) = volume_scale(v.ml().abs(), units);
    with_symbol(number(v.ml() / one, decimals), symbol)
}

/// "−20 ± 45 mL", "4.300 ± 0.040 L".
pub fn volume_uncertain(v: Uncertain<Volume>, units: Units) -> String {
    let (value, u) = (v.value.ml(), v.u.ml());
    let (one, symbol, decimals) = volume_scale(value.abs().max(u.abs()), units);
    if u.is_finite() && u > 0.0 {
        return uncertain(value / one, u / one, symbol);
    }
    with_symbol(number(value / one, decimals), symbol)
}

/// "4–4.5 L", "300–350 mL".
pub fn volume_span(span: Span<Volume>, units: Units) -> String {
    let (one, symbol, decimals) = volume_scale(span.low.ml().abs().max(span.high.ml().abs()), units);
    span_text(trimmed(span.low.ml() / one, decimals), trimmed(span.high.ml() / one, decimals), symbol)
}

/// "2:14" (minutes and seconds) below an hour, "1 h 05 min" below two days, then days, months, years.
pub fn duration(d: Duration) -> String {
    let seconds = d.seconds();
    if !seconds.is_finite() {
        return UNKNOWN.to_owned();
    }
    let sign = if seconds < -0.5 { "−" } else { "" };
    let whole = seconds.abs().round();
    let minutes = (seconds.abs() / 60.0).round();
    let size = seconds.abs();
    let text = if whole < 3600.0 {
        format!("{}:{:02}", (whole / 60.0).floor(), whole % 60.0)
    } else if minutes < 48.0 * 60.0 {
        format!("{}{SPACE}h{SPACE}{:02}{SPACE}min", (minutes / 60.0).floor(), minutes % 60.0)
    } else if size < Duration::from_months(2.0).seconds() {
        with_symbol(number(size / Duration::from_days(1.0).seconds(), 0), "d")
    } else if size < Duration::from_years(2.0).seconds() {
        with_symbol(number(size / Duration::from_months(1.0).seconds(), 0), "months")
    } else {
        with_symbol(number(size / Duration::from_years(1.0).seconds(), 1), "years")
    };
    format!("{sign}{text}")
}

macro_rules! plain {
    ($($(#[$doc:meta])* $name:ident, $span:ident, $uncertain:ident: $kind:ident = $metric:ident $metric_symbol:literal | $us:ident $us_symbol:literal;)+) => { $(
        $(#[$doc])*
        pub fn $name(value: $kind, units: Units) -> String {
            match units {
                Units::Metric => amount(value.$metric(), $metric_symbol),
                Units::Us => amount(value.$us(), $us_symbol),
            }
        }
        #[doc = concat!("A range, printed as [`", stringify!($name), "`] prints one value.")]
        pub fn $span(span: Span<$kind>, units: Units) -> String {
            match units {
                Units::Metric => amount_span(span.low.$metric(), span.high.$metric(), $metric_symbol),
                Units::Us => amount_span(span.low.$us(), span.high.$us(), $us_symbol),
            }
        }
        #[doc = concat!("With its uncertainty, in the units of [`", stringify!($name), "`].")]
        pub fn $uncertain(value: Uncertain<$kind>, units: Units) -> String {
            match units {
                Units::Metric => uncertain(value.value.$metric(), value.u.$metric(), $metric_symbol),
                Units::Us => uncertain(value.value.$us(), value.u.$us(), $us_symbol),
            }
        }
    )+ };
}

plain! {
    /// "22 N·m", "25.8 lbf·ft".
    torque, torque_span, torque_uncertain: Torque = nm "N·m" | lbf_ft "lbf·ft";
    /// "60 000 km", "37 282 mi".
    distance, distance_span, distance_uncertain: Distance = km "km" | miles "mi";
    /// "12.7 mm", "0.5 in".
    length, length_span, length_uncertain: Length = mm "mm" | inches "in";
    /// "800 cm²", "124 in²".
    area, area_span, area_uncertain: Area = square_cm "cm²" | square_inches "in²";
    /// "200 kPa", "29 psi".
    pressure, pressure_span, pressure_uncertain: Pressure = kpa "kPa" | psi "psi";
    /// "29.6 mm²/s" in both.
    viscosity, viscosity_span, viscosity_uncertain: KinematicViscosity = mm2_per_s "mm²/s" | mm2_per_s "mm²/s";
    /// "845 kg/m³", "7.05 lb/US gal".
    density, density_span, density_uncertain: Density = kg_per_m3 "kg/m³" | lb_per_us_gallon "lb/US gal";
    /// "3.47 kg", "7.66 lb".
    mass, mass_span, mass_uncertain: Mass = kg "kg" | pounds "lb";
    /// "3.18°" in both.
    angle, angle_span, angle_uncertain: Angle = degrees "°" | degrees "°";
    /// "12.2 mL/min" in both.
    flow, flow_span, flow_uncertain: Flow = ml_per_minute "mL/min" | ml_per_minute "mL/min";
}
