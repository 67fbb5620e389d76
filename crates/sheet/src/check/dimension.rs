//! Reading a printed quantity of the kind a key holds.

use super::code::{self, Code};
use super::schema::Sign;
use quantity::read::{self, Kind, ReadError, Region};
use quantity::{
    Angle, Area, Density, Distance, Duration, KinematicViscosity, Length, Span, Temperature, Torque, Volume,
};

/// A kind of quantity a sheet holds.
pub(super) trait Dimension: Kind {
    /// The number in the kind's own unit.
    fn number(self) -> f64;
}

macro_rules! dimensions {
    ($($kind:ident: $number:ident),+ $(,)?) => {
        $(impl Dimension for $kind { fn number(self) -> f64 { self.$number() } })+
    };
}
dimensions! {
    Angle: degrees, Area: square_metres, Density: kg_per_m3, Distance: km, Duration: seconds,
    KinematicViscosity: mm2_per_s, Length: mm, Temperature: celsius, Torque: nm, Volume: ml,
}

/// A quantity as read: the part on which all printed units agree.
pub(super) struct Printed<T> {
    pub(super) value: Span<T>,
    /// Whether the printed units agree.
    pub(super) agree: bool,
    /// By how much they disagree, or what was assumed in reading.
    pub(super) remark: Option<String>,
}

/// Why a text cannot be used, as a finding says it.
pub(super) struct Fault {
    pub(super) code: Code,
    pub(super) message: String,
    pub(super) hint: String,
}

const SIGNS: [char; 3] = ['-', '−', '–'];

/// The text without the minus signs of its numbers, if it begins with one.
fn without_minus(text: &str) -> Option<String> {
    let text = text.trim();
    text.starts_with(SIGNS).then(|| {
        let mut before = ' ';
        let mut letters = text.chars().peekable();
        let mut plain = String::new();
        while let Some(letter) = letters.next() {
            let opens = before == '(' || before.is_whitespace();
            let sign = SIGNS.contains(&letter) && opens && letters.peek().is_some_and(char::is_ascii_digit);
            if !sign {
                plain.push(letter);
            }
            before = letter;
        }
        plain
    })
}

/// True when a bracketed second value lacks the minus that the first one has.
fn half_signed(text: &str) -> bool {
    text.split('(').skip(1).any(|rest| !rest.trim_start().starts_with(SIGNS))
}

/// Words and signs before the number of a limit, which the key itself says already.
const UP_TO: [&str; 7] = ["±", "0 ±", "max.", "max", "≤", "<", "up to"];
const AT_LEAST: [&str; 4] = ["min.", "≥", ">", "at least"];

fn bare_limit(text: &str, sign: Sign) -> &str {
    let words: &[&str] = match sign {
        Sign::UpTo => &UP_TO,
        Sign::AtLeast => &AT_LEAST,
        Sign::Any | Sign::NotNegative | Sign::Positive => &[],
    };
    let text = text.trim();
    words.iter().find_map(|word| text.strip_prefix(word)).unwrap_or(text)
}

/// Reads a quantity. Where the key allows any sign and the kind itself has none, as for a length that is an offset,
/// the minus is read here. A limit upwards reaches from zero to what is printed.
pub(super) fn printed<T: Dimension>(text: &str, sign: Sign) -> Result<Printed<T>, Fault> {
    let text = bare_limit(text, sign);
    let turned = if sign == Sign::Any && !T::DIMENSION.can_be_negative() { without_minus(text) } else { None };
    if turned.is_some() && half_signed(text) {
        let message = "One printed value has a minus and the other has none.".to_owned();
        let hint = "Write the minus before both, for instance \"-102 mm (-4 in)\".".to_owned();
        return Err(Fault { code: code::UNREADABLE, message, hint });
    }
    let (mut value, reading) = read::full::<T>(turned.as_deref().unwrap_or(text), Region::Us)
        .map_err(|error| fault(&error, turned.is_some()))?;
    if turned.is_some() {
        value = Span { low: T::from_canonical(-value.high.number()), high: T::from_canonical(-value.low.number()) };
    }
    if sign == Sign::UpTo && value.low.number() > 0.0 {
        value.low = T::from_canonical(0.0);
    }
    Ok(Printed { value, agree: reading.agree, remark: reading.note })
}

fn fault(error: &ReadError, turned: bool) -> Fault {
    let code = match error {
        ReadError::NotFinite { .. } => code::NOT_FINITE,
        ReadError::Negative { .. } => code::NOT_POSITIVE,
        ReadError::NoCommonPart { .. } => code::UNITS_DISAGREE,
        _ => code::UNREADABLE,
    };
    let hint = match error {
        ReadError::Reversed { .. } if turned => "write a range below zero with a tolerance: \"-100 ± 5 mm\"",
        _ => error.hint(),
    };
    Fault { code, message: sentence(&error.to_string()), hint: sentence(hint) }
}

/// The text with a capital and a full stop, on one line.
pub(super) fn sentence(text: &str) -> String {
    let text = super::on_one_line(text);
    let mut letters = text.chars();
    let mut sentence: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    sentence.push_str(letters.as_str().trim_end_matches('.'));
    sentence.push('.');
    sentence
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hand_offsets_below_zero() {
        for (text, low, high) in [
            ("-100 mm", -100.0, -100.0),
            ("−10 cm", -100.0, -100.0),
            ("-100 ± 5 mm", -105.0, -95.0),
            ("-101.6 mm (-4 in)", -101.6, -101.6),
            ("100 mm", 100.0, 100.0),
        ] {
            let read = printed::<Length>(text, Sign::Any).map_err(|f| f.message).expect(text).value;
            assert!((read.low.mm() - low).abs() < 1e-9 && (read.high.mm() - high).abs() < 1e-9, "{text}: {read:?}");
        }
        assert!(printed::<Length>("-100 mm", Sign::Positive).is_err_and(|f| f.code == code::NOT_POSITIVE));
        assert!(printed::<Length>("-110 to -90 mm", Sign::Any).is_err_and(|f| f.hint.contains("± 5 mm")));
        assert!(printed::<Length>("--100 mm", Sign::Any).is_err());
        assert!(printed::<Length>("-102 mm (4 in)", Sign::Any).is_err_and(|f| f.code == code::UNREADABLE));
    }

    #[test]
    fn hand_limits() {
        for text in ["1°", "±1°", "0 ± 1°", "max. 1 deg", "≤ 1°", "up to 1°", "0–1°"] {
            let read = printed::<Angle>(text, Sign::UpTo).map_err(|f| f.message).expect(text).value;
            assert_eq!((read.low.degrees(), read.high.degrees()), (0.0, 1.0), "{text}");
        }
        for text in ["60 s", "min. 1 min", "at least 60 s", "≥ 1 min", "1 min"] {
            let read = printed::<Duration>(text, Sign::AtLeast).map_err(|f| f.message).expect(text).value;
            assert_eq!((read.low.seconds(), read.high.seconds()), (60.0, 60.0), "{text}");
        }
    }
}
