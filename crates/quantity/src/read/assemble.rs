//! Atoms put together to printed values: which unit is meant, which ends belong together, what is nonsense.

use super::{
    Dimension, ReadError, Region,
    agree::{Value, rounding},
    atom::{Atom, Link},
    unit::Unit,
};

/// What a text turned out to say, before its units are compared.
pub(crate) struct Assembled {
    pub(crate) dimension: Dimension,
    pub(crate) values: Vec<Value>,
    /// A gallon, quart, pint or fluid ounce was printed without saying whose, and this is how it was read.
    pub(crate) assumed: Option<Region>,
}

/// One end with the one meaning of its unit.
#[derive(Clone, Copy)]
struct End<'a> {
    atom: &'a Atom,
    unit: &'static Unit,
}

/// Puts the atoms together; `wanted` is the dimension the caller needs, if any.
pub(crate) fn assemble(
    chars: &[char],
    atoms: &[Atom],
    region: Region,
    wanted: Option<Dimension>,
) -> Result<Assembled, ReadError> {
    let text = |a: &Atom, b: &Atom| -> String { chars[a.start..b.end].iter().collect() };
    let pieces = pieces(chars, atoms)?;
    let given = given_units(atoms, &pieces);
    let dimension = dimension(atoms, &given, wanted, &text)?;
    let fits = |units: &[&'static Unit]| -> Vec<&'static Unit> {
        units.iter().copied().filter(|u| u.dimension == dimension).collect()
    };
    let fitting: Vec<Vec<&'static Unit>> = given.iter().map(|units| fits(units)).collect();
    let stated = fitting.iter().find_map(|units| only_region(units));
    let region = stated.unwrap_or(region);
    let open = fitting.iter().any(|units| units.iter().any(|u| u.region.is_some()) && only_region(units).is_none());
    let chosen: Vec<Option<&'static Unit>> = fitting
        .iter()
        .map(|units| units.iter().find(|u| u.region == Some(region)).or(units.first()).copied())
        .collect();

    let mut values = Vec::new();
    for &(low, high) in &pieces {
        let (a, b) = (&atoms[low], high.map(|h| &atoms[h]));
        // The tolerance or high end usually carries the unit of both.
        let unit = chosen[low].or(high.and_then(|h| chosen[h]));
        let Some(unit) = unit else { return Err(ReadError::NoUnit { printed: text(a, b.unwrap_or(a)) }) };
        let first = End { atom: a, unit };
        let second = high.map(|h| End { atom: &atoms[h], unit: chosen[h].unwrap_or(unit) });
        let printed = match b {
            Some(b) if high == Some(low + 1) => text(a, b),
            Some(b) => format!("{} to {}", text(a, a), text(b, b)),
            None => text(a, a),
        };
        values.push(value(printed, first, second)?);
    }
    Ok(Assembled { dimension, values, assumed: (open && stated.is_none()).then_some(region) })
}

/// Which atoms are the low and the high end of one printed value.
fn pieces(chars: &[char], atoms: &[Atom]) -> Result<Vec<(usize, Option<usize>)>, ReadError> {
    if let Some(half) = interleaved(atoms) {
        return Ok((0..half).map(|i| (i, Some(half + i))).collect());
    }
    let mut pieces: Vec<(usize, Option<usize>)> = Vec::new();
    for (index, atom) in atoms.iter().enumerate() {
        match (atom.link, pieces.last_mut()) {
            (Link::To | Link::PlusMinus, Some((_, high @ None))) => *high = Some(index),
            (Link::To | Link::PlusMinus, _) => {
                return Err(ReadError::Misplaced {
                    printed: chars[atom.start..atom.end].iter().collect(),
                    text: chars.iter().collect(),
                });
            }
            _ => pieces.push((index, None)),
        }
    }
    Ok(pieces)
}

/// "43 °C (109 °F) to 53 °C (127 °F)": every low end in each unit, then every high end in the same units.
fn interleaved(atoms: &[Atom]) -> Option<usize> {
    let half = atoms.len() / 2;
    let shape = half >= 2
        && atoms.len().is_multiple_of(2)
        && atoms.iter().enumerate().all(|(i, a)| (i == half) == (a.link == Link::To) && a.link != Link::PlusMinus);
    (shape && (0..half).all(|i| !atoms[i].units.is_empty() && atoms[i].units == atoms[half + i].units)).then_some(half)
}

/// The meanings of each atom's unit, a bare degree before a temperature taken as part of that temperature.
fn given_units(atoms: &[Atom], pieces: &[(usize, Option<usize>)]) -> Vec<Vec<&'static Unit>> {
    let is_temperature = |units: &[&'static Unit]| units.iter().any(|u| u.dimension == Dimension::Temperature);
    let mut given: Vec<Vec<&'static Unit>> = atoms.iter().map(|a| a.units.clone()).collect();
    for &(low, high) in pieces {
        let Some(high) = high else { continue };
        for (bare, full) in [(low, high), (high, low)] {
            if atoms[bare].is_bare_degree && is_temperature(&given[full]) {
                given[bare] = Vec::new();
            }
        }
    }
    given
}

/// The dimension that every printed unit can have.
fn dimension(
    atoms: &[Atom],
    given: &[Vec<&'static Unit>],
    wanted: Option<Dimension>,
    text: &impl Fn(&Atom, &Atom) -> String,
) -> Result<Dimension, ReadError> {
    let with_units = || atoms.iter().zip(given).filter(|(_, units)| !units.is_empty());
    let (Some((first, first_units)), Some(last)) = (with_units().next(), atoms.last()) else {
        return Err(ReadError::NoUnit { printed: text(&atoms[0], &atoms[atoms.len() - 1]) });
    };
    let can_be = |units: &[&'static Unit], d: Dimension| units.iter().any(|u| u.dimension == d);
    let common = wanted
        .into_iter()
        .chain(first_units.iter().map(|u| u.dimension))
        .find(|&d| with_units().all(|(_, units)| can_be(units, d)));
    match (common, wanted) {
        (Some(found), Some(wanted)) if found != wanted => {
            Err(ReadError::WrongDimension { text: text(first, last), found, wanted })
        }
        (Some(found), _) => Ok(found),
        (None, _) => {
            let mine = first_units[0].dimension;
            let (other, units) = with_units().find(|(_, units)| !can_be(units, mine)).unwrap_or((first, first_units));
            Err(ReadError::MixedDimensions {
                first: text(first, first),
                first_dimension: mine,
                second: text(other, other),
                second_dimension: units[0].dimension,
            })
        }
    }
}

/// The region a spelling names by itself.
fn only_region(units: &[&'static Unit]) -> Option<Region> {
    let first = units.first()?.region?;
    units.iter().all(|u| u.region == Some(first)).then_some(first)
}

fn value(text: String, first: End<'_>, second: Option<End<'_>>) -> Result<Value, ReadError> {
    let unit = first.unit;
    let a = first.atom;
    let (low, high, low_step, high_step) = match second {
        None => (a.value, a.value, a.step, a.step),
        Some(End { atom: b, unit: other }) if b.link == Link::PlusMinus => {
            let half = match b.is_percent {
                true if unit.shift != 0.0 || unit.dimension == Dimension::Temperature => {
                    return Err(ReadError::Misplaced { printed: "%".to_owned(), text });
                }
                true => a.value.abs() * b.value / 100.0,
                false => b.value * other.factor / unit.factor,
            };
            let step = a.step.max(if b.is_percent { 0.0 } else { b.step });
            (a.value - half, a.value + half, step, step)
        }
        Some(End { atom: b, unit: other }) => {
            (a.value, unit.printed(other.canonical(b.value)), a.step, b.step * other.factor / unit.factor)
        }
    };
    // A converted high end in the same unit must stay the printed number.
    let high = match second {
        Some(End { atom: b, unit: other }) if other == unit && b.link != Link::PlusMinus => b.value,
        _ => high,
    };
    check(&text, unit, low, high)?;
    // A point on a scale with a chosen zero has no size of which a part could be taken: 1 °C is as well known as 100 °C.
    let scale = unit.dimension == super::Dimension::Temperature;
    let half = |value: f64, step: f64| if scale { step / 2.0 } else { rounding(value, step) };
    Ok(Value { text, unit, low, high, low_rounding: half(low, low_step), high_rounding: half(high, high_step) })
}

/// Refuses what no thing can have.
fn check(text: &str, unit: &Unit, low: f64, high: f64) -> Result<(), ReadError> {
    let printed = || text.to_owned();
    let ends = [low, high, unit.canonical(low), unit.canonical(high)];
    if !ends.iter().all(|x| x.is_finite()) {
        return Err(ReadError::NotFinite { printed: printed() });
    }
    if low > high {
        return Err(ReadError::Reversed { printed: printed() });
    }
    match unit.dimension {
        // Printed to the last digit, absolute zero itself may convert to a hair below.
        Dimension::Temperature if unit.canonical(low) < -273.15 - 1e-9 => {
            Err(ReadError::BelowAbsoluteZero { printed: printed() })
        }
        dimension if !dimension.can_be_negative() && low < 0.0 => {
            Err(ReadError::Negative { printed: printed(), dimension })
        }
        _ => Ok(()),
    }
}
