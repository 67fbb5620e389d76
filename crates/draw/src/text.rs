//! How wide words are, so that they can be kept apart and inside the picture without a font at hand.

use crate::picture::{Anchor, Item};

/// Advance widths of printable ASCII in thousandths of the letter height, upright weight.
/// Read from the `hmtx` table of DejaVu Sans 2.37, which is wider than the usual fonts of screens: an upper estimate.
const ASCII: [u16; 95] = [
    317, 400, 459, 837, 636, 950, 779, 274, 390, 390, 500, 837, 317, 360, 317, 336, 636, 636, 636, 636, 636, 636, 636,
    636, 636, 636, 336, 336, 837, 837, 837, 530, 1000, 684, 686, 698, 770, 631, 575, 774, 751, 294, 294, 655, 557, 862,
    748, 787, 603, 787, 694, 634, 610, 731, 684, 988, 685, 610, 685, 390, 336, 390, 837, 500, 500, 612, 634, 549, 634,
    615, 352, 634, 633, 277, 277, 579, 277, 974, 633, 611, 634, 634, 411, 520, 392, 633, 591, 817, 591, 591, 524, 636,
    336, 636, 837,
];

/// The bold weight of the same family is at most this much wider, letter by letter, than the upright.
const BOLD: f64 = 1.13;

/// Estimated width of one line of words, in the unit of `size`.
pub fn text_width(text: &str, size: f64, bold: bool) -> f64 {
    let thousandths: f64 = text.chars().map(advance).sum();
    thousandths / 1000.0 * size * if bold { BOLD } else { 1.0 }
}

fn advance(c: char) -> f64 {
    let code = c as u32;
    match code {
        32..=126 => f64::from(ASCII[(code - 32) as usize]),
        0xB0 => 500.0,
        0xB7 => 317.0,
        0x00..=0x24F => 700.0,
        0x2000..=0x200B => 500.0,
        0x250..=0x2FFF => 1000.0,
        _ => 1050.0,
    }
}

/// Words as one clean line: control characters and line ends become spaces, runs of spaces one space.
pub(crate) fn one_line(text: &str) -> String {
    let spaced: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words, cut to a width with "…" where they do not fit; empty if not even one letter does.
pub(crate) fn fit(text: &str, size: f64, bold: bool, width: f64) -> String {
    let text = one_line(text);
    if text_width(&text, size, bold) <= width {
        return text;
    }
    let mut kept = String::new();
    for c in text.chars() {
        kept.push(c);
        if text_width(&kept, size, bold) + text_width("…", size, bold) > width {
            kept.pop();
            break;
        }
    }
    let kept = kept.trim_end();
    if kept.is_empty() { String::new() } else { format!("{kept}…") }
}

/// The words in at most `lines` lines of a width; what is left over is cut with "…".
pub(crate) fn wrap(text: &str, size: f64, bold: bool, width: f64, lines: usize) -> Vec<String> {
    let text = one_line(text);
    let mut out: Vec<String> = Vec::new();
    let mut words = text.split(' ').filter(|w| !w.is_empty()).peekable();
    while out.len() + 1 < lines {
        let mut line = String::new();
        while let Some(word) = words.peek() {
            let longer = if line.is_empty() { (*word).to_owned() } else { format!("{line} {word}") };
            if text_width(&longer, size, bold) > width {
                break;
            }
            line = longer;
            words.next();
        }
        if line.is_empty() {
            break;
        }
        out.push(line);
    }
    let rest = words.collect::<Vec<_>>().join(" ");
    let rest = fit(&rest, size, bold, width);
    if !rest.is_empty() {
        out.push(rest);
    }
    out
}

/// Estimated box of a text item: left, top, right, bottom. `None` for lines and areas.
pub fn text_box(item: &Item) -> Option<(f64, f64, f64, f64)> {
    let Item::Text { x, y, size, anchor, bold, text, .. } = item else { return None };
    let width = text_width(text, *size, *bold);
    let left = match anchor {
        Anchor::Start => *x,
        Anchor::Middle => x - width / 2.0,
        Anchor::End => x - width,
    };
    Some((left, y - 0.75 * size, left + width, y + 0.22 * size))
}
