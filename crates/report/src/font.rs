//! The one type family that is shipped: widths and glyphs, with kerning, the same on every machine.

use std::ops::Range;

use krilla::text::{Font, GlyphId, KrillaGlyph};
use ttf_parser::Face;

use crate::ReportError;

static BOOK: &[u8] = include_bytes!("../fonts/DejaVuSansCondensed.ttf");
static BOLD: &[u8] = include_bytes!("../fonts/DejaVuSansCondensed-Bold.ttf");

/// One weight: the same file once for measuring, once for writing.
struct Weight {
    face: Face<'static>,
    font: Font,
}

impl Weight {
    fn read(bytes: &'static [u8]) -> Result<Self, ReportError> {
        let face = Face::parse(bytes, 0).map_err(|_| ReportError::Font)?;
        let font = Font::new(bytes.into(), 0).ok_or(ReportError::Font)?;
        Ok(Weight { face, font })
    }

    /// Each glyph with its bytes of the text and its advance in parts of the letter height.
    fn run(&self, text: &str) -> Vec<(u16, Range<usize>, f32)> {
        let em = f32::from(self.face.units_per_em());
        let mut out: Vec<(u16, Range<usize>, f32)> = Vec::with_capacity(text.len());
        for (at, c) in text.char_indices() {
            // Glyph 0 is the font's own box for letters that it does not have.
            let id = self.face.glyph_index(c).unwrap_or_default();
            let advance = f32::from(self.face.glyph_hor_advance(id).unwrap_or(0)) / em;
            if let Some(last) = out.last_mut() {
                last.2 += self.kern(last.0, id.0) / em;
            }
            out.push((id.0, at..at + c.len_utf8(), advance));
        }
        out
    }

    fn kern(&self, left: u16, right: u16) -> f32 {
        let Some(table) = self.face.tables().kern else { return 0.0 };
        let (left, right) = (ttf_parser::GlyphId(left), ttf_parser::GlyphId(right));
        let subtables = table.subtables.into_iter().filter(|s| s.horizontal && !s.variable);
        subtables.filter_map(|s| s.glyphs_kerning(left, right)).map(f32::from).next().unwrap_or(0.0)
    }
}

/// The family: book and bold.
pub(crate) struct Family {
    book: Weight,
    bold: Weight,
}

impl Family {
    pub(crate) fn read() -> Result<Self, ReportError> {
        Ok(Family { book: Weight::read(BOOK)?, bold: Weight::read(BOLD)? })
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
        let text = one_line(text);
        let mut out: Vec<String> = Vec::new();
        let mut start = 0;
        let mut end = 0;
        for (at, _) in unicode_linebreak::linebreaks(&text) {
            if end > start && self.width(text[start..at].trim_end(), size, bold) > width {
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

    /// One line, cut with "…" where it is too long.
    pub(crate) fn fit(&self, text: &str, size: f32, bold: bool, width: f32) -> String {
        let mut text = one_line(text);
        // What is thousands of letters long is cut before it is measured letter by letter.
        if let Some((at, _)) = text.char_indices().nth(2_000) {
            text.truncate(at);
            text.push('…');
        }
        if self.width(&text, size, bold) <= width {
            return text;
        }
        while text.pop().is_some() {
            let cut = format!("{}…", text.trim_end().trim_end_matches('…').trim_end());
            if self.width(&cut, size, bold) <= width {
                return cut;
            }
        }
        String::new()
    }
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
