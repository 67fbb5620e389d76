//! The parts of a level error, each from its own cause.

use super::{CHARGE, LATE, RESIDUAL, SENSOR, Setting, TILT, Tilt, temperature_error, tilt_error};
use crate::{PhysicsError, expansion};
use quantity::{Area, Length, Volume};

/// Expansion of an aluminium case by volume per K: three times 23e-6. From memory.
pub const CASE_EXPANSION: f64 = 6.9e-5;
/// Repeatability of a lip level, mm (common practice, no source).
const REPEATABILITY: f64 = 0.5;
/// Standard uncertainty of the distance from standpipe to the middle of the surface, m (judgement).
const OFFSET_DOUBT: f64 = 0.005;
/// Standard uncertainty of a coefficient of expansion as a share (judgement: ±3 %, rectangular).
const COEFFICIENT_DOUBT: f64 = 0.03 / ROOT_3;
const ROOT_3: f64 = 1.732_050_807_568_877_2;

/// Name of the part for how well a lip level repeats.
pub const REPEATS: &str = "repeatability of the lip";

/// Which way a part moves the charge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// Too much in the unit.
    Over,
    /// Too little in the unit.
    Under,
    /// A doubt without a known sign.
    Either,
}

/// One part of a level error.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What it comes from.
    pub name: &'static str,
    /// Positive: too much in the unit.
    pub error: Volume,
    /// Its standard uncertainty.
    pub u: Volume,
    /// The sign in words.
    pub direction: Direction,
}

/// The cause of a part; advice goes by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cause {
    Temperature,
    Case,
    Reading,
    Place,
    Elsewhere,
    Pitch,
    Roll,
    LeftAtClosing,
    ClosedLate,
    Selector,
    Engine,
    Repeatability,
}

impl Cause {
    const fn name(self) -> &'static str {
        match self {
            Self::Temperature => "temperature off the reference",
            Self::Case => "case expansion",
            Self::Reading => "temperature reading",
            Self::Place => "place of the sensor",
            Self::Elsewhere => "fluid elsewhere",
            Self::Pitch => "tilt along",
            Self::Roll => "tilt across",
            Self::LeftAtClosing => "left above the lip at closing",
            Self::ClosedLate => "closed late",
            Self::Selector => "selector not cycled",
            Self::Engine => "engine stopped while open",
            Self::Repeatability => REPEATS,
        }
    }
}

/// A part with its doubt split into its own and the share of the sump area, mL.
#[derive(Debug, Clone, Copy)]
pub(super) struct Term {
    pub cause: Cause,
    pub ml: f64,
    pub own: f64,
    /// Signed: what a sump area one standard uncertainty larger adds.
    pub by_area: f64,
}

impl Term {
    const fn new(cause: Cause, ml: f64, own: f64) -> Self {
        Self { cause, ml, own, by_area: 0.0 }
    }

    pub fn u(&self) -> f64 {
        (self.own * self.own + self.by_area * self.by_area).sqrt()
    }

    /// Root mean square of what this part may be worth.
    pub fn size(&self) -> f64 {
        (self.ml * self.ml + self.own * self.own + self.by_area * self.by_area).sqrt()
    }

    pub fn part(&self) -> Part {
        let direction = if self.ml > 0.0 {
            Direction::Over
        } else if self.ml < 0.0 {
            Direction::Under
        } else {
            Direction::Either
        };
        // Adding 0 turns a negative zero into a plain one.
        Part { name: self.cause.name(), error: Volume::from_ml(self.ml + 0.0), u: Volume::from_ml(self.u()), direction }
    }
}

/// Fluid and case at another temperature than the reference, and the doubt of the reading.
pub(super) fn thermal(setting: &Setting) -> Result<Vec<Term>, PhysicsError> {
    let charge = setting.charge.ml();
    let ml = temperature_error(setting.charge, setting.set_at, setting.reference, setting.fluid)?.ml();
    let beta = setting.fluid.coefficient_at(setting.set_at)?;
    let off = (setting.set_at - setting.reference).kelvin();
    let mut terms = Vec::new();
    if off != 0.0 {
        terms.push(Term::new(Cause::Temperature, ml, COEFFICIENT_DOUBT * ml.abs()));
        terms.push(match setting.case_expansion {
            // A hot case holds more below the lip. The case trails the fluid, so half of it is doubt.
            Some(gamma) => {
                let ml = CASE.check(gamma)? * charge * off;
                Term::new(Cause::Case, ml, ml.abs() / (2.0 * ROOT_3))
            }
            None => Term::new(Cause::Case, 0.0, CASE_EXPANSION * charge * off.abs() / ROOT_3),
        });
    }
    if let Some(u) = setting.sensor_u {
        let u = SENSOR.check(u.kelvin())?;
        let net = beta - setting.case_expansion.unwrap_or(0.0);
        terms.push(Term::new(Cause::Reading, 0.0, net * charge * u));
    }
    // A sensor that reads too much makes the sump cooler than noted: more fluid went in.
    let offset = setting.sensor_offset.map_or_else(|| setting.sensor_place.offset(), Ok)?;
    let (over, u) = (DIFFERENCE.check(offset.value.kelvin())?, SENSOR.check(offset.u.kelvin())?);
    if over != 0.0 || u != 0.0 {
        let net = beta - setting.case_expansion.unwrap_or(0.0);
        terms.push(Term::new(Cause::Place, net * charge * over, net * charge * u));
    }
    // Fluid that is warmer than the sump is swollen: less of it is in.
    for part in setting.elsewhere.iter().flatten() {
        let volume = ELSEWHERE.check(part.volume.ml())?;
        if volume > CHARGE.check(charge)? {
            return Err(PhysicsError::Contradiction(format!(
                "{volume:.0} mL of fluid elsewhere are more than the charge of {charge:.0} mL"
            )));
        }
        let warmer = DIFFERENCE.check(part.warmer.value.kelvin())?;
        let u = SENSOR.check(part.warmer.u.kelvin())?;
        terms.push(Term::new(Cause::Elsewhere, -beta * volume * warmer, beta * volume * u));
    }
    Ok(terms)
}

/// Fluid elsewhere than in the sump.
pub static ELSEWHERE: crate::Limits = crate::Limits::new("fluid elsewhere", "mL", 0.0, 100_000.0);
/// By how much a sensor or a part of the fluid is off the sump.
static DIFFERENCE: crate::Limits = crate::Limits::new("difference from the sump's temperature", "K", -100.0, 100.0);

/// Expansion of a case by volume.
pub(super) static CASE: crate::Limits = crate::Limits::new("expansion of the case", "1/K", 0.0, 5e-4);

/// Both axes of a tilt.
pub(super) fn tilts(tilt: &Tilt, area: Area, doubt: f64) -> Result<Vec<Term>, PhysicsError> {
    let u = TILT.check(tilt.u.degrees())?.abs().to_radians();
    let axis = |cause, offset: Length, angle: quantity::Angle| -> Result<Term, PhysicsError> {
        let ml = tilt_error(area, offset, angle)?.ml();
        let theta = angle.degrees().to_radians();
        let cosine = libm::cos(theta);
        let square_metres = area.square_metres();
        let by_angle = square_metres * offset.mm().abs() / 1000.0 / (cosine * cosine) * u * 1e6;
        let by_offset = square_metres * OFFSET_DOUBT * libm::tan(theta).abs() * 1e6;
        let own = (by_angle * by_angle + by_offset * by_offset).sqrt();
        Ok(Term { cause, ml, own, by_area: doubt * ml })
    };
    Ok(vec![axis(Cause::Pitch, tilt.lip_ahead, tilt.nose_up)?, axis(Cause::Roll, tilt.lip_right, tilt.right_up)?])
}

/// What was still above the lip, and what ran after the reading was noted.
pub(super) fn closing(setting: &Setting) -> Result<Vec<Term>, PhysicsError> {
    let mut terms = Vec::new();
    if let Some(left) = setting.left_at_closing {
        let ml = RESIDUAL.check(left.value.ml())?;
        terms.push(Term::new(Cause::LeftAtClosing, ml, RESIDUAL.check(left.u.ml())?));
    }
    if let Some(late) = setting.closed_late {
        let minutes = LATE.check(late.after.seconds())? / 60.0;
        let beta = setting.fluid.coefficient_at(setting.set_at)?;
        let lost = expansion::expansion_flow(setting.charge, beta, late.rate)?.ml_per_minute() * minutes;
        // Cooling takes the level below the lip without losing anything.
        terms.push(Term::new(Cause::ClosedLate, -lost.max(0.0), 0.2 * lost.max(0.0)));
    }
    Ok(terms)
}

/// Steps that were left out. Common practice, no source: 100–300 mL and 0.5–2 L, rectangular.
pub(super) fn procedure(setting: &Setting) -> Vec<Term> {
    let mut terms = Vec::new();
    if !setting.selector_cycled {
        terms.push(Term::new(Cause::Selector, -200.0, 100.0 / ROOT_3));
    }
    if !setting.engine_ran {
        terms.push(Term::new(Cause::Engine, -1250.0, 750.0 / ROOT_3));
    }
    terms
}

/// What a lip level repeats to, for a surface in m².
pub(super) fn repeatability(area: f64) -> Term {
    Term::new(Cause::Repeatability, 0.0, REPEATABILITY * area * 1000.0)
}
