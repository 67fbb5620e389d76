//! Readers for callers that know what they need.

use super::{Dimension, ReadError, Reading, Region, read_as};
use crate::{
    Angle, Area, Density, Distance, Duration, KinematicViscosity, Length, Mass, Pressure, Span, Temperature,
    TemperatureDifference, TemperatureRate, Torque, Volume,
};

/// A kind of quantity that can be read from print.
pub trait Kind: Copy + PartialOrd {
    /// What it measures.
    const DIMENSION: Dimension;
    /// From a number in the kind's canonical unit.
    fn from_canonical(value: f64) -> Self;
}

/// A quantity of kind `K` with the whole reading it came from.
///
/// # Errors
/// As [`read`](super::read), and for another kind of quantity, and for printed units without a common part. When they
/// disagree but share a part, that part is returned and [`Reading::agree`] is false.
pub fn full<K: Kind>(text: &str, region: Region) -> Result<(Span<K>, Reading), ReadError> {
    let reading = read_as(text, region, Some(K::DIMENSION))?;
    let ends = reading.part.and_then(|part| part.canonical(K::DIMENSION));
    let span = ends.and_then(|(low, high)| Span::new(K::from_canonical(low), K::from_canonical(high)));
    match span {
        Some(span) => Ok((span, reading)),
        None => Err(ReadError::NoCommonPart { text: text.trim().to_owned(), note: reading.note.unwrap_or_default() }),
    }
}

/// A quantity of kind `K`: the part on which all printed units agree.
///
/// # Errors
/// As [`full`].
pub fn span<K: Kind>(text: &str, region: Region) -> Result<Span<K>, ReadError> {
    full(text, region).map(|(span, _)| span)
}

/// One value of kind `K`.
///
/// # Errors
/// As [`full`], and for a range or tolerance.
pub fn one<K: Kind>(text: &str, region: Region) -> Result<K, ReadError> {
    let Span { low, high } = span::<K>(text, region)?;
    if low == high { Ok(low) } else { Err(ReadError::NotOne { text: text.trim().to_owned() }) }
}

macro_rules! kinds {
    ($($what:literal $kind:ident: $from:ident, $span:ident, $one:ident, $full:ident;)+) => { $(
        impl Kind for $kind {
            const DIMENSION: Dimension = Dimension::$kind;
            fn from_canonical(value: f64) -> Self { Self::$from(value) }
        }
        #[doc = concat!("Reads ", $what, ": one value or a range. An unnamed gallon is a US one; see [`span`] for others.\n\n# Errors\nAs [`full`].")]
        pub fn $span(text: &str) -> Result<Span<$kind>, ReadError> { span(text, Region::Us) }
        #[doc = concat!("Reads ", $what, ": one value.\n\n# Errors\nAs [`one`].")]
        pub fn $one(text: &str) -> Result<$kind, ReadError> { one(text, Region::Us) }
        #[doc = concat!("Reads ", $what, " together with the whole reading.\n\n# Errors\nAs [`full`].")]
        pub fn $full(text: &str) -> Result<(Span<$kind>, Reading), ReadError> { full(text, Region::Us) }
    )+ };
}

kinds! {
    "a temperature" Temperature: from_celsius, temperature, temperature_one, temperature_full;
    "a temperature difference" TemperatureDifference: from_kelvin, difference, difference_one, difference_full;
    "a rate of temperature change" TemperatureRate: from_kelvin_per_minute, rate, rate_one, rate_full;
    "a torque" Torque: from_nm, torque, torque_one, torque_full;
    "a volume" Volume: from_ml, volume, volume_one, volume_full;
    "a distance travelled" Distance: from_km, distance, distance_one, distance_full;
    "a length" Length: from_mm, length, length_one, length_full;
    "an area" Area: from_square_metres, area, area_one, area_full;
    "a pressure" Pressure: from_kpa, pressure, pressure_one, pressure_full;
    "a kinematic viscosity" KinematicViscosity: from_mm2_per_s, viscosity, viscosity_one, viscosity_full;
    "a density" Density: from_kg_per_m3, density, density_one, density_full;
    "a mass" Mass: from_kg, mass, mass_one, mass_full;
    "an angle" Angle: from_degrees, angle, angle_one, angle_full;
    "a duration" Duration: from_seconds, duration, duration_one, duration_full;
}
