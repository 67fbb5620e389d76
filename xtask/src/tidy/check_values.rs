//! A few facts of the trade are check values of tests. Nothing that a user reads or that ships holds them, in any unit.

use super::Violation;
use super::source::Source;

const WHY: &str = "check values prove something only while nothing that ships repeats them";
const MEND: &str = "use a figure of your own, different in every unit";

/// What a figure measures, with what one of its units is in °C, N·m, km or L.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Temperature,
    Torque,
    Distance,
    Volume,
}

/// Spellings, longer ones first where one begins another.
const UNITS: &[(&str, Kind, f64)] = &[
    ("°C", Kind::Temperature, 1.0),
    ("°F", Kind::Temperature, 0.0),
    ("N·m", Kind::Torque, 1.0),
    ("N*m", Kind::Torque, 1.0),
    ("N m", Kind::Torque, 1.0),
    ("Nm", Kind::Torque, 1.0),
    ("lbf·ft", Kind::Torque, 1.355_818),
    ("ft·lbf", Kind::Torque, 1.355_818),
    ("lbf ft", Kind::Torque, 1.355_818),
    ("ft-lb", Kind::Torque, 1.355_818),
    ("lb-ft", Kind::Torque, 1.355_818),
    ("lbf·in", Kind::Torque, 0.112_985),
    ("in-lb", Kind::Torque, 0.112_985),
    ("kgf·cm", Kind::Torque, 0.098_066_5),
    ("kgf·m", Kind::Torque, 9.806_65),
    ("km", Kind::Distance, 1.0),
    ("miles", Kind::Distance, 1.609_344),
    ("mi", Kind::Distance, 1.609_344),
    ("US gal", Kind::Volume, 3.785_412),
    ("US qt", Kind::Volume, 0.946_353),
    ("gal", Kind::Volume, 3.785_412),
    ("qt", Kind::Volume, 0.946_353),
    ("mL", Kind::Volume, 0.001),
    ("L", Kind::Volume, 1.0),
];

/// The window, as either printed unit has it, in °C: where it begins and where it ends.
const WINDOW: (std::ops::RangeInclusive<f64>, std::ops::RangeInclusive<f64>) = (45.5..=46.6, 53.9..=56.6);
/// The torques of both plugs in N·m, each as far as its printed digits reach.
const TORQUES: [f64; 2] = [20.34, 39.32];
const TORQUE_DIGITS: f64 = 0.5;
/// The interval in km, with its digits.
const INTERVAL: std::ops::RangeInclusive<f64> = 96_100.0..=97_000.0;
/// The share of the fill that comes out.
const SHARE: std::ops::RangeInclusive<f64> = 0.328..=0.338;

/// A value or a range found in a text, in the base unit of its kind.
struct Figure {
    at: usize,
    kind: Kind,
    low: f64,
    high: f64,
}

/// Every check value in a file that ships or that a user reads.
pub fn kept_to_tests(source: &Source) -> Vec<Violation> {
    if !shipped(&source.path) {
        return Vec::new();
    }
    let end = source.text.find("#[cfg(test)]").unwrap_or(source.text.len());
    let text = &source.text[..end];
    let figures = figures(text);
    let mut found: Vec<Violation> = figures
        .iter()
        .filter_map(|figure| {
            let what = held(figure)?;
            Some(Violation::new(source.place(figure.at), format!("holds {what} of the check values"), WHY, MEND))
        })
        .collect();
    let volume = |key: &str| {
        let at = text.find(&format!("\n{key} = {{ value"))?;
        figures.iter().find(|figure| figure.at > at && figure.kind == Kind::Volume).map(|figure| figure.low)
    };
    if source.path.ends_with(".toml")
        && let (Some(total), Some(drained)) = (volume("total"), volume("drained"))
        && SHARE.contains(&(drained / total))
    {
        found.push(Violation::new(source.path.as_str(), "holds the share drained of the check values", WHY, MEND));
    }
    found
}

fn shipped(path: &str) -> bool {
    let read = path.ends_with(".md") && !path.starts_with("crates/");
    let built = path.starts_with("crates/")
        && !["/tests/", "/testkit/", "/examples/", "/tests.rs", "_test.rs"].iter().any(|part| path.contains(part));
    read || built
}

fn held(figure: &Figure) -> Option<&'static str> {
    let (low, high) = (figure.low, figure.high);
    match figure.kind {
        Kind::Temperature => (WINDOW.0.contains(&low) && WINDOW.1.contains(&high)).then_some("the window"),
        Kind::Torque => {
            let near = |value: &f64| (low - value).abs() < TORQUE_DIGITS || (high - value).abs() < TORQUE_DIGITS;
            TORQUES.iter().any(near).then_some("a torque")
        }
        Kind::Distance => INTERVAL.contains(&low).then_some("the interval"),
        Kind::Volume => None,
    }
}

fn figures(text: &str) -> Vec<Figure> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(step) = text[at..].find(|c: char| c.is_ascii_digit()) {
        at += step;
        let (first, after) = number(text, at);
        let (unit, after) = unit(text, after).map_or((None, after), |(unit, after)| (Some(unit), after));
        let range = joined(text, after).and_then(|second| {
            let (high, after) = number(text, second);
            let (own, after) = self::unit(text, after)?;
            Some((high, own, after))
        });
        let base = |value: f64, (kind, factor): (Kind, f64)| {
            if kind == Kind::Temperature && factor == 0.0 { (value - 32.0) / 1.8 } else { value * factor }
        };
        match (unit, range) {
            (own, Some((high, last, end))) if own.is_none_or(|own| own == last) => {
                found.push(Figure { at, kind: last.0, low: base(first, last), high: base(high, last) });
                at = end;
            }
            (Some(own), _) => {
                found.push(Figure { at, kind: own.0, low: base(first, own), high: base(first, own) });
                at = after;
            }
            (None, _) => at = after,
        }
    }
    found
}

/// A number with marks between its thousands, and where it ends.
fn number(text: &str, at: usize) -> (f64, usize) {
    let mut digits = String::new();
    let mut end = at;
    let mut rest = text[at..].chars().peekable();
    while let Some(c) = rest.next() {
        let next = rest.peek().is_some_and(char::is_ascii_digit);
        let thousands = rest.clone().take_while(char::is_ascii_digit).count() == 3;
        match c {
            '0'..='9' => digits.push(c),
            ',' | ' ' | '\u{202f}' | '\u{2009}' | '\u{a0}' | '_' if next && thousands => {}
            '.' | ',' if next && !digits.contains('.') => digits.push('.'),
            _ => break,
        }
        end += c.len_utf8();
    }
    (digits.parse().unwrap_or(f64::NAN), end)
}

fn blank(text: &str, at: usize) -> usize {
    at + text[at..].chars().take_while(|c| c.is_whitespace() && *c != '\n').map(char::len_utf8).sum::<usize>()
}

fn unit(text: &str, at: usize) -> Option<((Kind, f64), usize)> {
    let at = blank(text, at);
    let (name, kind, factor) = UNITS.iter().find(|(name, ..)| text[at..].starts_with(name))?;
    let end = at + name.len();
    let whole = !text[end..].starts_with(|c: char| c.is_alphanumeric());
    whole.then_some(((*kind, *factor), end))
}

/// Where the second number of a range begins.
fn joined(text: &str, at: usize) -> Option<usize> {
    let at = blank(text, at);
    let mark = ["–", "-", "…", "to ", "and "].iter().find(|mark| text[at..].starts_with(**mark))?;
    let at = blank(text, at + mark.len());
    text[at..].starts_with(|c: char| c.is_ascii_digit()).then_some(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn what(path: &str, text: &str) -> Vec<String> {
        kept_to_tests(&Source::new(path, text)).into_iter().map(|violation| violation.what).collect()
    }

    /// 15 lbf·ft = 20.3 N·m = 180 lbf·in = 207 kgf·cm; 60,000 mi = 96 561 km; (115 − 32)/1.8 = 46.1, (130 − 32)/1.8 = 54.4.
    #[test]
    fn hand_a_check_value_is_found_in_any_unit() {
        for text in [
            "115–130 °F",
            "115 to 130 °F",
            "46.1 °C to 54.4 °C",
            "46–56 °C (115–133 °F)",
            "15 ft-lb",
            "20 N·m",
            "180 in-lb",
            "207 kgf·cm",
            "39.3 Nm",
            "29 lbf·ft",
            "60,000 mi",
            "96 561 km",
            "96\u{202f}561\u{202f}km",
            "18–20 N·m",
        ] {
            let found = what("README.md", &format!("Say “{text}” there."));
            assert!(!found.is_empty(), "{text}");
        }
        for text in [
            "110–125 °F",
            "35–45 °C",
            "46 °C",
            "22 N·m",
            "40 N·m",
            "200 N·m",
            "60 000 km",
            "20 Nmx",
            "v20",
            "43–53 °C (109–127 °F)",
        ] {
            assert_eq!(what("README.md", text), Vec::<String>::new(), "{text}");
        }
        let sheet = |drained| {
            format!("[capacity]\ntotal = {{ value = \"3 US gal\" }}\ndrained = {{ value = \"{drained}\" }}\n")
        };
        assert_eq!(what("crates/sheet/sheets/x.toml", &sheet("3.8 L")).len(), 1);
        assert_eq!(what("crates/sheet/sheets/x.toml", &sheet("4.8 L")).len(), 0);
    }

    #[test]
    fn hand_tests_may_hold_them() {
        let text = "/// 22 N·m\nfn a() {}\n#[cfg(test)]\nmod tests { /* 20 N·m */ }\n";
        assert!(what("crates/a/src/b.rs", text).is_empty());
        assert!(what("crates/a/tests/it/b.rs", "20 N·m").is_empty());
        assert_eq!(what("crates/a/src/b.rs", "/// 20 N·m").len(), 1);
    }
}
