//! The one type family that is shipped: widths and glyphs, with kerning, the same on every machine.

use std::ops::Range;
use std::sync::LazyLock;

use krilla::text::{Font, GlyphId, KrillaGlyph};
use ttf_parser::Face;

use crate::ReportError;

static BOOK: &[u8] = include_bytes!("../fonts/DejaVuSansCondensed.ttf");
static BOLD: &[u8] = include_bytes!("../fonts/DejaVuSansCondensed-Bold.ttf");

/// Letters whose glyphs, and signs whose kerning, are looked up once: most of what is ever set.
const LOOKED_UP: usize = 0x180;
const KERNED: usize = 0x80;

/// One weight: the same file once for measuring, once for writing.
struct Weight {
    face: Face<'static>,
    font: Font,
    /// Glyph and advance of the first letters of Unicode.
    letters: Vec<(u16, f32)>,
    /// Kerning of each pair of ASCII signs, row by row.
    kerns: Vec<f32>,
}

impl Weight {
    fn read(bytes: &'static [u8]) -> Option<Self> {
        let face = Face::parse(bytes, 0).ok()?;
        let font = Font::new(bytes.into(), 0)?;
        let mut weight = Weight { face, font, letters: Vec::new(), kerns: Vec::new() };
        let letters = (0..LOOKED_UP as u32).map(|code| weight.letter(char::from_u32(code).unwrap_or_default()));
        weight.letters = letters.collect();
        let pairs = (0..KERNED * KERNED).map(|i| (weight.letters[i / KERNED].0, weight.letters[i % KERNED].0));
        weight.kerns = pairs.map(|(left, right)| weight.kern(left, right)).collect();
        Some(weight)
    }

    /// Glyph and advance of a letter, in parts of the letter height. Glyph 0 is the font's own box for letters that it does
    /// not have.
    fn letter(&self, c: char) -> (u16, f32) {
        if let Some(&known) = self.letters.get(c as usize) {
            return known;
        }
        let id = self.face.glyph_index(c).unwrap_or_default();
        let em = f32::from(self.face.units_per_em());
        (id.0, f32::from(self.face.glyph_hor_advance(id).unwrap_or(0)) / em)
    }

    /// Each glyph with its bytes of the text and its advance in parts of the letter height.
    fn run(&self, text: &str) -> Vec<(u16, Range<usize>, f32)> {
        let mut out: Vec<(u16, Range<usize>, f32)> = Vec::with_capacity(text.len());
        let mut before = '\0';
        for (at, c) in text.char_indices() {
            let (id, advance) = self.letter(c);
            if let Some(last) = out.last_mut() {
                last.2 += if before.is_ascii() && c.is_ascii() {
                    self.kerns[before as usize * KERNED + c as usize]
                } else {
                    self.kern(last.0, id)
                };
            }
            out.push((id, at..at + c.len_utf8(), advance));
            before = c;
        }
        out
    }

    fn kern(&self, left: u16, right: u16) -> f32 {
        let Some(table) = self.face.tables().kern else { return 0.0 };
        let (left, right) = (ttf_parser::GlyphId(left), ttf_parser::GlyphId(right));
        let subtables = table.subtables.into_iter().filter(|s| s.horizontal && !s.variable);
        subtables.filter_map(|s| s.glyphs_kerning(left, right)).map(f32::from).next().unwrap_or(0.0)
            / f32::from(self.face.units_per_em())
    }
}

/// The family: book and bold.
pub(crate) struct Family {
    book: Weight,
    bold: Weight,
}

impl Family {
    /// The shipped family, read once.
    pub(crate) fn read() -> Result<&'static Self, ReportError> {
        static FAMILY: LazyLock<Option<Family>> =
            LazyLock::new(|| Some(Family { book: Weight::read(BOOK)?, bold: Weight::read(BOLD)? }));
        FAMILY.as_ref().ok_or(ReportError::Font)
    }

    fn weight(&self, bold: bool) -> &Weight {
        if bold { &self.bold } else { &self.book }
    }

    /// Width of one line, points.
    pub(crate) fn width(&self, text: &str, size: f32, bold: bool) -> f32 {
        self.weight(bold).run(text).iter().map(|g| g.2).sum::<f32>() * size
    }

    /// The glyphs of one line, and the font they are from.
    pub(crate) fn glyphs(&self, text: &str, bold: bool) -> (Vec<KrillaGlyph>, Font) {
        let weight = self.weight(bold);
        let glyph = |(id, range, advance): (u16, Range<usize>, f32)| {
            KrillaGlyph::new(GlyphId::new(u32::from(id)), advance, 0.0, 0.0, 0.0, range, None)
        };
        (weight.run(text).into_iter().map(glyph).collect(), weight.font.clone())
    }

    /// The words in at most `lines` lines of a width; the last is cut with "…" if there is more.
    pub(crate) fn wrap(&self, text: &str, size: f32, bold: bool, width: f32, lines: usize) -> Vec<String> {
        let text = measurable(text);
        let edges = self.edges(&text, size, bold);
        let span = |from: usize, to: usize| edges[text[..to].trim_end().len().max(from)] - edges[from];
        let mut out: Vec<String> = Vec::new();
        let (mut start, mut end) = (0, 0);
        for at in breaks(&text) {
            if end > start && span(start, at) > width {
                out.push(text[start..end].trim_end().to_owned());
                start = end;
                if out.len() == lines {
                    break;
                }
            }
            end = at;
        }
        if out.len() < lines && start < text.len() {
            out.push(text[start..].to_owned());
            start = text.len();
        }
        if let (true, Some(last)) = (start < text.len(), out.last_mut()) {
            last.push_str(" …");
        }
        out.iter().map(|line| self.fit(line, size, bold, width)).collect()
    }

    /// All the words in as many lines as they need; a word wider than the line is broken between letters.
    pub(crate) fn wrap_whole(&self, text: &str, size: f32, bold: bool, width: f32) -> Vec<String> {
        let text = one_line(text);
        let edges = self.edges(&text, size, bold);
        let span = |from: usize, to: usize| edges[text[..to].trim_end().len().max(from)] - edges[from];
        let mut out: Vec<String> = Vec::new();
        let (mut start, mut end) = (0, 0);
        for at in breaks(&text) {
            if end > start && span(start, at) > width {
                out.push(text[start..end].trim_end().to_owned());
                start = end;
            }
            while span(start, at) > width {
                let letters = text[start..at].char_indices().map(|(i, c)| start + i + c.len_utf8());
                let fits = letters.clone().take_while(|&to| edges[to] - edges[start] <= width).last();
                // At least one letter goes on each line, however narrow it is.
                let Some(to) = fits.or_else(|| letters.clone().next()).filter(|to| *to < at) else { break };
                out.push(text[start..to].to_owned());
                start = to;
            }
            end = at;
        }
        if start < text.len() {
            out.push(text[start..].to_owned());
        }
        out
    }

    /// One line, cut with "…" where it is too long.
    pub(crate) fn fit(&self, text: &str, size: f32, bold: bool, width: f32) -> String {
        let text = measurable(text);
        let edges = self.edges(&text, size, bold);
        if edges[text.len()] <= width {
            return text;
        }
        let room = width - self.width("…", size, bold);
        let fits = text.char_indices().map(|(at, _)| at).take_while(|&at| edges[at] <= room).last().unwrap_or(0);
        let kept = text[..fits].trim_end().trim_end_matches('…').trim_end();
        if kept.is_empty() { String::new() } else { format!("{kept}…") }
    }

    /// Where each byte of the text begins on the line, and at the end where the line ends; points.
    fn edges(&self, text: &str, size: f32, bold: bool) -> Vec<f32> {
        let mut edges = Vec::with_capacity(text.len() + 1);
        let mut at = 0.0;
        for (_, bytes, advance) in self.weight(bold).run(text) {
            edges.resize(edges.len() + bytes.len(), at);
            at += advance * size;
        }
        edges.push(at);
        edges
    }
}

/// Where a line may end: wherever the script allows, but not between a figure and its unit.
fn breaks(text: &str) -> impl Iterator<Item = usize> {
    let unit = |at: usize| {
        let word = text[at..].split([' ', ',', ';', '.', ')', ':']).next().unwrap_or_default();
        UNITS.contains(&word)
    };
    let figure = |at: usize| text[..at].trim_end().ends_with(|c: char| c.is_ascii_digit() || "½¼¾".contains(c));
    let all = unicode_linebreak::linebreaks(text).map(|(at, _)| at);
    all.filter(move |&at| at == text.len() || !(figure(at) && unit(at)))
}

/// Units that stay with their figure.
const UNITS: &[&str] =
    &["N·m", "lbf·ft", "L", "mL", "mm", "m", "°C", "°F", "K", "min", "s", "h", "%", "km", "mi", "V", "kg", "g", "bar"];

/// More letters than this never stand on one sheet's line or paragraph; they are cut before they are measured.
const MOST_LETTERS: usize = 1_500;

fn measurable(text: &str) -> String {
    let mut text = one_line(text);
    if let Some((at, _)) = text.char_indices().nth(MOST_LETTERS) {
        text.truncate(at);
        text.push('…');
    }
    text
}

/// Words as one clean line.
fn one_line(text: &str) -> String {
    let spaced: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_widths_are_those_of_the_font() {
        // DejaVu Sans Condensed 2.37, hmtx: digit 1172 of 2048 units a letter height (book).
        let family = Family::read().expect("the shipped font");
        assert!((family.width("0", 2048.0, false) - 1172.0).abs() < 1.0);
        // Tabular figures: every digit is as wide as every other.
        for digit in '0'..='9' {
            assert_eq!(family.width(&digit.to_string(), 10.0, true), family.width("0", 10.0, true));
        }
    }

    #[test]
    fn law_every_sign_in_use_has_a_glyph() {
        let family = Family::read().expect("the shipped font");
        let signs = "°·±−–—≤≥→▼▲●◆○×…½µβ€£§“”‘’◀";
        for c in signs.chars().chain(' '..='~').chain('\u{a1}'..='\u{17f}').filter(|&c| c != '\u{ad}') {
            for weight in [&family.book, &family.bold] {
                assert!(weight.face.glyph_index(c).is_some(), "{c:?}");
            }
        }
    }

    #[test]
    fn law_wrapping_whole_loses_no_letter() {
        let family = Family::read().expect("the shipped font");
        for text in
            ["", "one", "many words that go on and on, to the end", &"unbroken".repeat(400), "液体 🚗 long—dashes"]
        {
            for width in [0.5, 8.0, 60.0, 300.0] {
                let lines = family.wrap_whole(text, 9.0, false, width);
                let bare = |s: &str| s.chars().filter(|c| !c.is_whitespace()).collect::<String>();
                assert_eq!(bare(&lines.concat()), bare(text), "{width}");
                let broad = |line: &&String| family.width(line, 9.0, false) > width + 0.1 && line.chars().count() > 1;
                assert_eq!(lines.iter().find(broad), None, "{width}");
            }
        }
    }

    #[test]
    fn hand_wrap_keeps_every_word_or_says_so() {
        let family = Family::read().expect("the shipped font");
        let text = "one two three four five six seven eight nine ten";
        let all = family.wrap(text, 9.0, false, 80.0, 20);
        assert_eq!(all.join(" "), text);
        assert!(all.iter().all(|l| family.width(l, 9.0, false) <= 80.0));
        let two = family.wrap(text, 9.0, false, 80.0, 2);
        assert_eq!(two.len(), 2);
        assert!(two[1].ends_with('…'), "{two:?}");
        assert!(family.wrap("", 9.0, false, 80.0, 2).is_empty());
        let long = family.wrap(&"x".repeat(100_000), 9.0, false, 80.0, 3);
        assert_eq!(long.len(), 1);
    }
}
