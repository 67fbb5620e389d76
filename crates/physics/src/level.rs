//! How far the level as set lies from the right one: every known error and doubt in mL, added up, with what to improve.

use crate::{Limits, PhysicsError, expansion};
use expansion::Expansion;
use quantity::{Angle, Area, Duration, Length, Temperature, TemperatureDifference, TemperatureRate, Uncertain, Volume};

mod advice;
mod part;
mod sensor;

pub use advice::Advice;
pub use part::{CASE_EXPANSION, Direction, ELSEWHERE, Part, REPEATS as REPEATABILITY};
pub use sensor::SensorPlace;

use part::Term;

/// All fluid that communicates with the sump.
pub static CHARGE: Limits = Limits::new("charge", "mL", 100.0, 100_000.0);
/// Area of the fluid's surface in the sump.
pub static SUMP_AREA: Limits = Limits::new("sump area", "m²", 0.002, 1.0);
/// Tilt of the vehicle along one axis.
pub static TILT: Limits = Limits::new("tilt", "deg", -20.0, 20.0);
/// Distance of the standpipe from the middle of the fluid's surface along one axis.
pub static OFFSET: Limits =
    Limits::new("distance of the standpipe from the middle of the surface", "mm", -1000.0, 1000.0);
/// Standard uncertainty of a temperature reading.
pub static SENSOR: Limits = Limits::new("uncertainty of the temperature reading", "K", 0.0, 50.0);
/// Fluid left above the lip when the plug was closed.
pub static RESIDUAL: Limits = Limits::new("fluid left above the lip", "mL", 0.0, 5000.0);
/// Time between the noted reading and the closed plug.
pub static LATE: Limits = Limits::new("time from reading to closing", "s", 0.0, 3600.0);
/// Rise of one end of the vehicle.
pub static RISE: Limits = Limits::new("rise of one end", "mm", -1500.0, 1500.0);
/// Distance between the axles, or between left and right stands.
pub static BASE: Limits = Limits::new("distance between the axles or stands", "mm", 300.0, 10_000.0);

/// How the vehicle stands and where the standpipe is. Both axes count.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tilt {
    /// Positive with the nose up.
    pub nose_up: Angle,
    /// Positive with the right side up.
    pub right_up: Angle,
    /// Standpipe ahead of the middle of the fluid's surface; negative behind it.
    pub lip_ahead: Length,
    /// Standpipe to the right of the middle; negative to the left.
    pub lip_right: Length,
    /// Standard uncertainty of either angle.
    pub u: Angle,
}

/// Closed some time after the temperature was noted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClosedLate {
    /// From the noted reading to the closed plug.
    pub after: Duration,
    /// How fast it warmed meanwhile.
    pub rate: TemperatureRate,
}

/// Fluid that is not in the sump and is warmer or cooler than it, for instance in converter or cooler.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Elsewhere {
    /// What it holds.
    pub volume: Volume,
    /// By how much it is warmer than the sump, beyond what is usual when a level is set by the book.
    pub warmer: Uncertain<TemperatureDifference>,
}

/// How a level was set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// All fluid that communicates with the sump, as it should be at `reference`.
    pub charge: Volume,
    /// Fluid temperature noted when the plug was closed.
    pub set_at: Temperature,
    /// The temperature for which the level is defined.
    pub reference: Temperature,
    /// How the fluid swells.
    pub fluid: Expansion,
    /// Area of the fluid's surface at the lip; without it there is no height, no tilt and no repeatability.
    pub sump_area: Option<Area>,
    /// Standard uncertainty of the area, as a share of it.
    pub sump_area_doubt: f64,
    /// How the vehicle stands.
    pub tilt: Option<Tilt>,
    /// Standard uncertainty of the temperature reading, sensor and parameter together.
    pub sensor_u: Option<TemperatureDifference>,
    /// Where the temperature was read.
    pub sensor_place: SensorPlace,
    /// What the sensor reads too much, from a comparison; replaces what is usual for its place.
    pub sensor_offset: Option<Uncertain<TemperatureDifference>>,
    /// Fluid elsewhere that is not as warm as the sump.
    pub elsewhere: [Option<Elsewhere>; 2],
    /// Fluid left above the lip at closing, for instance from a run-off forecast.
    pub left_at_closing: Option<Uncertain<Volume>>,
    /// Closed after the reading was noted.
    pub closed_late: Option<ClosedLate>,
    /// Expansion of the case by volume per K; `None` counts it as a doubt only.
    pub case_expansion: Option<f64>,
    /// False when the ranges were not held one after the other before setting.
    pub selector_cycled: bool,
    /// False when the engine stood still while the plug was out.
    pub engine_ran: bool,
    /// Distance between the axles, for advice in mm at the stands.
    pub wheelbase: Option<Length>,
    /// Distance between left and right stands, for advice.
    pub track: Option<Length>,
}

impl Setting {
    /// A level set by the book: nothing known to be wrong but the temperature.
    pub const fn new(charge: Volume, set_at: Temperature, reference: Temperature, fluid: Expansion) -> Self {
        Self {
            charge,
            set_at,
            reference,
            fluid,
            sump_area: None,
            sump_area_doubt: 0.10,
            tilt: None,
            sensor_u: None,
            sensor_place: SensorPlace::Sump,
            sensor_offset: None,
            elsewhere: [None; 2],
            left_at_closing: None,
            closed_late: None,
            case_expansion: None,
            selector_cycled: true,
            engine_ran: true,
            wheelbase: None,
            track: None,
        }
    }
}

/// The error of a level with its parts.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelError {
    /// Positive: more fluid in the unit than right (overfilled).
    pub error: Uncertain<Volume>,
    /// The same as a height over the lip at the reference temperature, when the sump area is known.
    pub height: Option<Uncertain<Length>>,
    /// What it is made of, largest first.
    pub parts: Vec<Part>,
    /// What to improve, largest gain first.
    pub advice: Vec<Advice>,
}

/// The tilt of a vehicle one end of which stands higher.
///
/// θ = arcsin(r / b).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | r | `rise` of one end, the other on the floor | mm | −1500 to 1500 |
/// | b | `base`, distance between the axles or stands | mm | 300 to 10 000 |
///
/// # Source
/// Geometry; the base is measured along the vehicle, so it is the long side of the triangle.
///
/// # Errors
/// Any argument outside its range; a rise of more than a third of the base.
///
/// # Example
/// 150 mm over 2.7 m: arcsin(0.05556) = 3.185°.
/// ```
/// use quantity::Length;
/// let tilt = physics::level::tilt_from_rise(Length::from_mm(150.0), Length::from_metres(2.7)).unwrap();
/// assert!((tilt.degrees() - 3.185).abs() < 0.0005);
/// ```
pub fn tilt_from_rise(rise: Length, base: Length) -> Result<Angle, PhysicsError> {
    let share = RISE.check(rise.mm())? / BASE.check(base.mm())?;
    if share.abs() > 1.0 / 3.0 {
        return Err(PhysicsError::Contradiction(format!(
            "a rise of {:.0} mm on {:.0} mm is steeper than any vehicle stands; check both lengths",
            rise.mm(),
            base.mm()
        )));
    }
    Ok(Angle::from_radians(libm::asin(share)))
}

/// How much fluid a tilt along one axis leaves too much in the unit.
///
/// ΔV = A d tan θ; positive when the lip is on the high side.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | A | `area` | m² | 0.002 to 1 |
/// | d | `lip_toward_high`, from the centroid of the surface to the lip, towards the side that is up | mm | −1000 to 1000 |
/// | θ | `tilt` | deg | −20 to 20 |
///
/// # Source
/// Derived: the tilted surface passes through the lip, and its mean height is that at its centroid; exact for walls that
/// stay upright.
///
/// # Errors
/// Any argument outside its range.
///
/// # Example
/// 0.06 m², 100 mm, 1°: 0.06 × 0.1 × 0.017455 = 104.7 mL.
/// ```
/// use quantity::{Angle, Area, Length};
/// let ml = physics::level::tilt_error(Area::from_square_metres(0.06), Length::from_mm(100.0), Angle::from_degrees(1.0)).unwrap();
/// assert!((ml.ml() - 104.7).abs() < 0.05);
/// ```
pub fn tilt_error(area: Area, lip_toward_high: Length, tilt: Angle) -> Result<Volume, PhysicsError> {
    let area = SUMP_AREA.check(area.square_metres())?;
    let offset = OFFSET.check(lip_toward_high.mm())? / 1000.0;
    let theta = TILT.check(tilt.degrees())?.to_radians();
    Ok(Volume::from_cubic_metres(area * offset * libm::tan(theta)))
}

/// How much fluid is in the unit too much (positive) or too little because the level was set at `set_at`.
///
/// By density: ΔV = V (CTL(T)/CTL(T_ref) − 1). By a constant coefficient: ΔV = −β V (T − T_ref), to first order, which
/// is as far as a constant coefficient carries.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V | `charge` | mL | 100 to 100 000 |
/// | T, T_ref | `set_at`, `reference` | °C | −50 to 150 |
/// | ρ₁₅ or β | `fluid` | kg/m³ or 1/K | as [`expansion`] |
///
/// # Source
/// API MPMS chapter 11.1 as in [`expansion::ctl`]; the rest derived: at the lip the volume is right, so the amount is off
/// by the ratio of the densities.
///
/// # Errors
/// Any argument outside its range.
///
/// # Example
/// 8 L of 850 kg/m³ set at 55 °C instead of 40 °C: 8000 × (0.97022/0.98144 − 1) = −91.5 mL, underfilled.
/// ```
/// use physics::expansion::Expansion;
/// use quantity::{Density, Temperature, Volume};
/// let deg = Temperature::from_celsius;
/// let fluid = Expansion::Density15(Density::from_kg_per_m3(850.0));
/// let ml = physics::level::temperature_error(Volume::from_litres(8.0), deg(55.0), deg(40.0), fluid).unwrap();
/// assert!((ml.ml() + 91.5).abs() < 0.1);
/// ```
pub fn temperature_error(
    charge: Volume,
    set_at: Temperature,
    reference: Temperature,
    fluid: Expansion,
) -> Result<Volume, PhysicsError> {
    CHARGE.check(charge.ml())?;
    let ratio = fluid.ratio(set_at, reference)?;
    Ok(match fluid {
        Expansion::Density15(_) => charge * (ratio - 1.0),
        Expansion::Coefficient(beta) => charge * (-beta * (set_at - reference).kelvin()),
    })
}

/// The error of a level as it was set: parts, sum, height and advice.
///
/// e = Σ eᵢ; u² = Σ uᵢ² + (Σ cᵢ)², where cᵢ is what the doubt of the sump area gives to part i: the same area stands in
/// both tilts, so those add before they are squared.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | eᵢ, uᵢ | the parts of [`Setting`] | mL | as the limits of this module |
///
/// The thermometer is one instrument: its doubt stands in one part only (`temperature reading`), with fluid and case
/// together, and not again in `temperature off the reference`. A sensor that does not see the sump (`place of the sensor`)
/// and fluid that is not as warm as the sump (`fluid elsewhere`) are β V times their difference.
///
/// # Source
/// JCGM 100:2008, 5.1 and 5.2 (correlated inputs). Parts from a temperature by [`temperature_error`], from a tilt by
/// [`tilt_error`]; selector not cycled 100–300 mL and engine stopped 0.5–2 L are common practice, no source; repeatability
/// of a lip level 0.5 mm from the drip tail of the run-off model.
///
/// # Errors
/// Any argument outside its range; a tilt without a sump area; a sensor at a place where it says nothing.
///
/// # Example
/// 9 L, 0.00075 per K, set at the reference with a reading good to 5 K: u = 9000 × 0.00075 × 5 = 34 mL.
/// ```
/// use physics::{expansion::Expansion, level::{Setting, level_error}};
/// use quantity::{Temperature, TemperatureDifference, Volume};
/// let t = Temperature::from_celsius(40.0);
/// let mut setting = Setting::new(Volume::from_litres(9.0), t, t, Expansion::Coefficient(0.00075));
/// setting.sensor_u = Some(TemperatureDifference::from_kelvin(5.0));
/// let level = level_error(&setting).unwrap();
/// assert!(level.error.value.ml().abs() < 1e-9 && (level.error.u.ml() - 33.75).abs() < 0.01);
/// ```
pub fn level_error(setting: &Setting) -> Result<LevelError, PhysicsError> {
    CHARGE.check(setting.charge.ml())?;
    let area = setting.sump_area.map(|a| SUMP_AREA.check(a.square_metres())).transpose()?;
    AREA_DOUBT.check(setting.sump_area_doubt)?;
    let mut terms: Vec<Term> = part::thermal(setting)?;
    if let Some(tilt) = &setting.tilt {
        let Some(area) = setting.sump_area else {
            return Err(PhysicsError::Contradiction(
                "a tilt needs the area of the fluid's surface in the sump; give the sump area".into(),
            ));
        };
        terms.extend(part::tilts(tilt, area, setting.sump_area_doubt)?);
    }
    terms.extend(part::closing(setting)?);
    terms.extend(part::procedure(setting));
    terms.extend(area.map(part::repeatability));
    terms.sort_by(|a, b| b.size().total_cmp(&a.size()));

    let value: f64 = terms.iter().map(|term| term.ml).sum();
    let own: f64 = terms.iter().map(|term| term.own * term.own).sum();
    let shared: f64 = terms.iter().map(|term| term.by_area).sum();
    let error = Uncertain::new(value, (own + shared * shared).sqrt());
    Ok(LevelError {
        error: error.map(Volume::from_ml),
        height: area.map(|area| error.map(|ml| Length::from_metres(ml * 1e-6 / area))),
        advice: advice::advice(setting, &terms, error),
        parts: terms.iter().map(Term::part).collect(),
    })
}

/// Standard uncertainty of the sump area as a share of it.
pub static AREA_DOUBT: Limits = Limits::new("uncertainty of the sump area", "1", 0.0, 0.5);
