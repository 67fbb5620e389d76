//! What the reader of a page chose on this device: units, and how many pixels make a millimetre.
//!
//! Entries, gates and papers know one set of units; a page is put into its reader's words at the edge, here. What a manual
//! prints in the wished unit is shown as printed; everything else is reckoned, to the digits it had.

use quantity::{Distance, Temperature, Torque, Volume};

/// The unit of each kind, `true` for the second of [`KINDS`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Units([bool; 4]);

/// One kind of quantity: name of the field, what a person reads, the two units, and how the first becomes the second.
pub struct Kind {
    pub name: &'static str,
    pub label: &'static str,
    pub units: [&'static str; 2],
    point: fn(f64) -> f64,
    /// Size of a difference of one in the second unit.
    step: fn() -> f64,
}

/// Every kind a reader may choose a unit for.
pub const KINDS: [Kind; 4] = [
    Kind {
        name: "temperature",
        label: "Temperature",
        units: ["°C", "°F"],
        point: |c| Temperature::from_celsius(c).fahrenheit(),
        step: || Temperature::from_celsius(1.0).fahrenheit() - Temperature::from_celsius(0.0).fahrenheit(),
    },
    Kind {
        name: "volume",
        label: "Volume",
        units: ["L", "qt"],
        point: |l| Volume::from_litres(l).us_quarts(),
        step: || Volume::from_litres(1.0).us_quarts(),
    },
    Kind {
        name: "torque",
        label: "Torque",
        units: ["N·m", "lbf·ft"],
        point: |nm| Torque::from_nm(nm).lbf_ft(),
        step: || Torque::from_nm(1.0).lbf_ft(),
    },
    Kind {
        name: "distance",
        label: "Distance",
        units: ["km", "mi"],
        point: |km| Distance::from_km(km).miles(),
        step: || Distance::from_km(1.0).miles(),
    },
];

/// Small volumes follow the choice of large ones; an ounce is thirty times a millilitre, so it is shown one digit finer.
static SMALL: Kind = Kind {
    name: "volume",
    label: "Volume",
    units: ["mL", "fl oz"],
    point: |ml| Volume::from_ml(ml).us_fluid_ounces(),
    step: || Volume::from_ml(1.0).us_fluid_ounces(),
};

/// What was chosen on this device.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Choices {
    pub units: Units,
    /// Hundredths of a CSS pixel to the millimetre, by a ruler.
    pub mm: Option<u16>,
}

/// Pixels to the millimetre that a screen can have, in hundredths.
pub const MM: std::ops::RangeInclusive<u16> = 200..=1200;

tokio::task_local! {
    /// Choices of whoever is being answered.
    pub(crate) static CURRENT: Choices;
}

/// Choices of whoever is being answered; the usual ones outside an answer.
#[must_use]
pub fn current() -> Choices {
    CURRENT.try_with(|choices| *choices).unwrap_or_default()
}

impl Choices {
    /// Reads the value of a cookie or form field by its name; what is unknown changes nothing.
    #[must_use]
    pub fn with(mut self, name: &str, value: &str) -> Self {
        match name {
            "units" => value.split('.').for_each(|unit| self.units.choose(unit)),
            "mm" => {
                self.mm = value.parse::<f64>().ok().map(|px| (px * 100.0).round() as u16).filter(|px| MM.contains(px))
            }
            _ => {}
        }
        self
    }

    /// Pixels to the millimetre, as CSS writes them.
    #[must_use]
    pub fn mm_text(self) -> Option<String> {
        self.mm.map(|hundredths| format!("{}.{:02}", hundredths / 100, hundredths % 100))
    }
}

impl Units {
    fn choose(&mut self, unit: &str) {
        for (chosen, kind) in self.0.iter_mut().zip(&KINDS) {
            if let Some(at) = kind.units.iter().position(|known| word(known) == unit) {
                *chosen = at == 1;
            }
        }
    }

    /// True when nothing is put into other units.
    #[must_use]
    pub fn is_usual(self) -> bool {
        self == Self::default()
    }

    /// Whether temperatures are in °F.
    #[must_use]
    pub fn fahrenheit(self) -> bool {
        self.0[0]
    }

    /// The unit chosen for each kind, with the kind.
    pub fn chosen(self) -> impl Iterator<Item = (&'static Kind, usize)> {
        KINDS.iter().zip(self.0).map(|(kind, second)| (kind, usize::from(second)))
    }

    /// As the cookie holds it: "f.l.nm.km".
    #[must_use]
    pub fn cookie(self) -> String {
        self.chosen().map(|(kind, at)| word(kind.units[at])).collect::<Vec<_>>().join(".")
    }

    /// The kind whose first unit this is, if it is to be put into the second.
    fn other(self, unit: &str) -> Option<&'static Kind> {
        self.chosen().find(|(kind, at)| *at == 1 && kind.units[0] == unit).map(|(kind, _)| kind)
    }

    /// The unit shown in place of `unit`.
    #[must_use]
    pub fn unit(self, unit: &str) -> String {
        match unit.split_once('/') {
            Some((above, below)) => format!("{}/{below}", self.unit(above)),
            None => self.other(unit).map_or(unit, |kind| kind.units[1]).to_owned(),
        }
    }

    /// A value in `unit` as it is shown.
    #[must_use]
    pub fn value(self, value: f64, unit: &str) -> f64 {
        match unit.split_once('/') {
            Some((above, _)) => value * self.other(above).map_or(1.0, |kind| (kind.step)()),
            None => self.other(unit).map_or(value, |kind| (kind.point)(value)),
        }
    }

    /// A plain number of a field, in the unit that is shown beside it.
    #[must_use]
    pub fn plain(self, text: &str, unit: &str) -> String {
        match (self.other(unit), number(text)) {
            (Some(kind), Some((read, rest))) if rest.trim().is_empty() => {
                written((kind.point)(read.value), read.decimals)
            }
            _ => text.to_owned(),
        }
    }

    /// A sentence with every quantity in it put into the chosen units.
    #[must_use]
    pub fn said(self, text: &str) -> String {
        if self.is_usual() || !text.contains(|c: char| c.is_ascii_digit()) {
            return text.to_owned();
        }
        let (mut out, mut rest) = (String::with_capacity(text.len()), text);
        let mut before = ' ';
        while let Some(c) = rest.chars().next() {
            // A digit inside a word is no quantity: "Keld O6".
            if (c.is_ascii_digit() || is_sign(c))
                && !before.is_alphanumeric()
                && let Some((words, after)) = self.quantity(rest)
            {
                out.push_str(&words);
                before = 'x';
                rest = after;
                continue;
            }
            out.push(c);
            before = c;
            rest = &rest[c.len_utf8()..];
        }
        out
    }

    /// A quantity at the start of `text` in the chosen unit, and what follows it; numbers without a unit are passed over whole.
    fn quantity(self, text: &str) -> Option<(String, &str)> {
        let (first, mut rest) = number(text)?;
        let mut parts = vec![("", first)];
        while let Some((joint, next, after)) = joined(rest) {
            parts.push((joint, next));
            rest = after;
        }
        let gap = rest.len() - rest.trim_start_matches([' ', '\u{a0}', '\u{202f}']).len();
        let (space, after_space) = rest.split_at(gap);
        let wished = self.chosen().filter(|(_, at)| *at == 1).map(|(kind, _)| kind);
        let Some((kind, unit, after)) = wished.chain(self.0[1].then_some(&SMALL)).find_map(|kind| {
            let after = after_space.strip_prefix(kind.units[0])?;
            let ends = !after.starts_with(|c: char| c.is_alphanumeric() || c == '·');
            ends.then_some((kind, kind.units[1], after))
        }) else {
            return Some((text[..text.len() - rest.len()].to_owned(), rest));
        };
        if let Some((printed, after)) = in_brackets(after, unit) {
            return Some((printed.to_owned(), after));
        }
        let rate = after.starts_with('/');
        let finer = i32::from(unit == SMALL.units[1]);
        let mut words = String::new();
        for (joint, part) in parts {
            let difference = rate || joint.contains('±');
            let value = if difference { part.value * (kind.step)() } else { (kind.point)(part.value) };
            words.push_str(joint);
            if part.plus && value >= 0.0 {
                words.push('+');
            }
            words.push_str(&written(value, part.decimals + finer));
        }
        Some((format!("{words}{space}{unit}"), after))
    }

    /// A page with the words between its marks put into the chosen units; what stands in a mark with `translate="no"` is
    /// somebody's own words and stays.
    #[must_use]
    pub fn page(self, html: &str) -> String {
        if self.is_usual() {
            return html.to_owned();
        }
        let (mut out, mut rest, mut own) = (String::with_capacity(html.len()), html, false);
        while let Some(at) = rest.find('<') {
            let (words, mark) = rest.split_at(at);
            out.push_str(&if own { words.to_owned() } else { self.said(words) });
            let end = mark.find('>').map_or(mark.len(), |end| end + 1);
            let (mark, after) = mark.split_at(end);
            own = mark.contains("translate=\"no\"") || mark.starts_with("<textarea");
            out.push_str(mark);
            rest = after;
        }
        out.push_str(&self.said(rest));
        out
    }
}

/// "°C" is `c` in a cookie, "lbf·ft" is `lbfft`.
pub(crate) fn word(unit: &str) -> String {
    unit.chars().filter(char::is_ascii_alphabetic).collect::<String>().to_ascii_lowercase()
}

fn is_sign(c: char) -> bool {
    matches!(c, '−' | '-' | '+')
}

/// A number as it stands in a text.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Read {
    value: f64,
    decimals: i32,
    plus: bool,
}

/// A number at the start of `text`, and what follows it.
fn number(text: &str) -> Option<(Read, &str)> {
    let unsigned = text.trim_start_matches(is_sign);
    if text.len() - unsigned.len() > '−'.len_utf8() {
        return None;
    }
    let grouped = |c: char| c.is_ascii_digit() || c == '\u{202f}';
    let end = unsigned.find(|c| !grouped(c)).unwrap_or(unsigned.len());
    // A space that groups nothing stands before the unit.
    let whole = unsigned[..end].trim_end_matches('\u{202f}');
    let mut rest = &unsigned[whole.len()..];
    let mut digits: String = whole.chars().filter(char::is_ascii_digit).collect();
    if digits.is_empty() {
        return None;
    }
    let mut decimals = 0;
    if let Some(after) = rest.strip_prefix(['.', ',']) {
        let end = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
        if end > 0 {
            decimals = i32::try_from(end).unwrap_or(0);
            digits = format!("{digits}.{}", &after[..end]);
            rest = &after[end..];
        }
    }
    let value: f64 = digits.parse().ok().filter(|value: &f64| value.is_finite())?;
    let negative = text.starts_with(['−', '-']);
    Some((Read { value: if negative { -value } else { value }, decimals, plus: text.starts_with('+') }, rest))
}

/// The next number of a range or after "±", with what joins it.
fn joined(text: &str) -> Option<(&'static str, Read, &str)> {
    ["–", " to ", " ± ", "\u{202f}±\u{202f}", "±"].into_iter().find_map(|joint| {
        let (read, rest) = number(text.strip_prefix(joint)?)?;
        Some((joint, read, rest))
    })
}

/// " (95–113 °F)" straight after a quantity: the manual's own words in the wished unit.
fn in_brackets<'a>(text: &'a str, unit: &str) -> Option<(&'a str, &'a str)> {
    let (inside, after) = text.strip_prefix(" (")?.split_once(')')?;
    inside.ends_with(unit).then_some((inside, after))
}

fn written(value: f64, decimals: i32) -> String {
    quantity::print::number(value, decimals)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn us() -> Units {
        Choices::default().with("units", "f.qt.lbfft.mi").units
    }

    #[test]
    fn hand_quantities_in_sentences() {
        // (°C × 1.8 + 32); 1 L = 1.0567 US qt; 1 N·m = 0.7376 lbf·ft; 1 km = 0.6214 mi.
        let cases = [
            (
                "Open the level plug when the figure reaches 35 °C.",
                "Open the level plug when the figure reaches 95 °F.",
            ),
            ("window 35–45 °C (95–113 °F)", "window 95–113 °F"),
            ("window 35–45 °C", "window 95–113 °F"),
            ("from −10 to 5 °C", "from 14 to 41 °F"),
            ("+1.8 °C/min", "+3.2 °F/min"),
            ("Drained 4.30 ± 0.05 L at 75 °C", "Drained 4.54 ± 0.05 qt at 167 °F"),
            ("Fill plug in, 39.0 N·m, new seal", "Fill plug in, 28.8 lbf·ft, new seal"),
            ("25 N·m (18 lbf·ft)", "18 lbf·ft"),
            ("151\u{202f}200\u{202f}km", "93\u{202f}951\u{202f}mi"),
            // 1 US fl oz = 29.5735 mL.
            ("as left −20 ± 45 mL", "as left −0.7 ± 1.5 fl oz"),
            ("about 8 mL/min, 30 mL an hour", "about 0.3 fl oz/min, 1.0 fl oz an hour"),
            ("Keld O6 L, entry 3", "Keld O6 L, entry 3"),
            ("10:42 ± 20 s, 2.5 kg, 8 mm", "10:42 ± 20 s, 2.5 kg, 8 mm"),
            ("46,5 °C", "115.7 °F"),
            ("4 LX", "4 LX"),
        ];
        for (text, said) in &cases {
            assert_eq!(us().said(text), *said);
            assert_eq!(Units::default().said(text), *text);
        }
    }

    #[test]
    fn hand_a_page_keeps_its_marks_and_its_readers_own_words() {
        let page = "<p title=\"4 L\">4 L</p><td translate=\"no\">4 L</td><textarea>4 L</textarea>4 L";
        let said = "<p title=\"4 L\">4 qt</p><td translate=\"no\">4 L</td><textarea>4 L</textarea>4 qt";
        assert_eq!(us().page(page), said);
    }

    #[test]
    fn hand_fields_change_value_and_unit_together() {
        assert_eq!((us().plain("20", "°C"), us().unit("°C")), ("68".to_owned(), "°F".to_owned()));
        assert_eq!(us().plain("4.85", "L"), "5.12");
        assert_eq!(us().plain("", "L"), "");
        assert_eq!(us().plain("steep", "°"), "steep");
        assert!((us().value(1.0, "°C/min") - 1.8).abs() < 1e-9);
        assert_eq!(us().unit("°C/min"), "°F/min");
    }

    #[test]
    fn law_cookies_round_trip_and_nonsense_is_the_usual() {
        assert_eq!(Choices::default().with("units", &us().cookie()).units, us());
        for nonsense in ["", "x", "....", "F", "°F"] {
            assert!(Choices::default().with("units", nonsense).units.is_usual(), "{nonsense}");
        }
        for (given, kept) in [("4.1", Some(410)), ("1e9", None), ("-4", None), ("NaN", None), ("", None), ("99", None)]
        {
            assert_eq!(Choices::default().with("mm", given).mm, kept, "{given}");
        }
    }

    #[test]
    fn fault_no_text_breaks_it() {
        for text in [
            "−",
            "+",
            "5",
            "5 ",
            "5–",
            "5 ±",
            "9999999999999999999999999999999999 °C",
            "1\u{202f}",
            "°C",
            "5 °C/",
            "<",
            "5 °C (",
        ] {
            let _ = us().said(text);
            let _ = us().page(text);
        }
        let long = "9".repeat(400) + " °C";
        assert!(us().said(&long).ends_with("°C") || us().said(&long).ends_with("°F"));
    }
}
