//! The display list as SVG: the same bytes for the same picture, on every machine.

use std::fmt::Write;

use crate::hatch::hatch_strokes;
use crate::picture::{Anchor, Item, Pattern, Picture, Role};

/// How the roles look. The page sets `--d-ink`, `--d-window` and so on; without them the values here, made for white
/// paper, hold.
pub const STYLE: &str = "\
.d-line,.d-hatch{fill:none;stroke:var(--d);stroke-linejoin:round;stroke-linecap:round}\
.d-hatch{stroke-width:.8;stroke-opacity:.75}\
.d-tone{fill:var(--d);fill-opacity:.2}\
.d-solid{fill:var(--d)}\
.d-text{fill:var(--d);font-family:system-ui,'DejaVu Sans',sans-serif;font-variant-numeric:tabular-nums}\
.d-halo{stroke:var(--d-ground,#fffef9);stroke-width:3;stroke-linejoin:round;paint-order:stroke}\
.d-ink{--d:var(--d-ink,#16212b)}\
.d-faint{--d:var(--d-faint,#5c6873)}\
.d-grid{--d:var(--d-grid,#c3c9ce)}\
.d-ground{--d:var(--d-ground,#fffef9)}\
.d-window{--d:var(--d-window,#1f7a8c)}\
.d-act{--d:var(--d-act,#a34a00)}\
.d-forecast{--d:var(--d-forecast,#5b4a9e)}\
.d-hot{--d:var(--d-hot,#a01f3c)}\
.d-cold{--d:var(--d-cold,#1c5fa8)}\
.d-fluid_old{--d:var(--d-fluid_old,#6b4423)}\
.d-fluid_new{--d:var(--d-fluid_new,#b3542e)}\
.d-surplus{--d:var(--d-surplus,#8a6a00)}";

impl Role {
    /// The word used in class names and in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Role::Ink => "ink",
            Role::Faint => "faint",
            Role::Grid => "grid",
            Role::Ground => "ground",
            Role::Window => "window",
            Role::Act => "act",
            Role::Forecast => "forecast",
            Role::Hot => "hot",
            Role::Cold => "cold",
            Role::FluidOld => "fluid_old",
            Role::FluidNew => "fluid_new",
            Role::Surplus => "surplus",
        }
    }
}

/// The picture for a page that carries [`STYLE`] in its own style sheet.
pub fn svg(picture: &Picture, title: &str, description: &str) -> String {
    written(picture, title, description, "")
}

/// The picture with its style inside: a file of its own.
pub fn svg_alone(picture: &Picture, title: &str, description: &str) -> String {
    written(picture, title, description, &format!("<style>{STYLE}</style>"))
}

fn written(picture: &Picture, title: &str, description: &str, style: &str) -> String {
    let mut body = String::new();
    for item in &picture.items {
        write_item(&mut body, item);
    }
    let name = format!("d{:016x}", digest(&[title, description, &body]));
    let (w, h) = (number(picture.width), number(picture.height));
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"d-picture\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" \
         role=\"img\" aria-labelledby=\"{name}t {name}d\"><title id=\"{name}t\">{}</title><desc id=\"{name}d\">{}</desc>\
         {style}{body}</svg>",
        escape(title),
        escape(description)
    )
}

fn write_item(out: &mut String, item: &Item) {
    // Writing to a String cannot fail.
    let _ = match item {
        Item::Line { points, role, width, dashed } => {
            let dash = if *dashed {
                format!(" stroke-dasharray=\"{} {}\"", number(width * 3.5), number(width * 3.0))
            } else {
                String::new()
            };
            let (role, path) = (role.word(), path(points, false));
            write!(out, "<path class=\"d-{role} d-line\" stroke-width=\"{}\"{dash} d=\"{path}\"/>", number(*width))
        }
        Item::Area { points, role, pattern } => {
            let role = role.word();
            match pattern {
                Pattern::Tone => write!(out, "<path class=\"d-{role} d-tone\" d=\"{}\"/>", path(points, true)),
                Pattern::Solid => write!(out, "<path class=\"d-{role} d-solid\" d=\"{}\"/>", path(points, true)),
                Pattern::Hatch { angle_deg, spacing } => {
                    let strokes: String = hatch_strokes(points, *angle_deg, *spacing)
                        .iter()
                        .map(|(a, b)| path(&[*a, *b], false))
                        .collect();
                    if strokes.is_empty() {
                        Ok(())
                    } else {
                        write!(out, "<path class=\"d-{role} d-hatch\" d=\"{strokes}\"/>")
                    }
                }
            }
        }
        Item::Text { x, y, size, role, anchor, bold, halo, text } => {
            let anchor = match anchor {
                Anchor::Start => "",
                Anchor::Middle => " text-anchor=\"middle\"",
                Anchor::End => " text-anchor=\"end\"",
            };
            let weight = if *bold { " font-weight=\"700\"" } else { "" };
            let halo = if *halo { " d-halo" } else { "" };
            let (x, y, size) = (number(*x), number(*y), number(*size));
            let (role, text) = (role.word(), escape(text));
            write!(
                out,
                "<text class=\"d-{role} d-text{halo}\" x=\"{x}\" y=\"{y}\" font-size=\"{size}\"{anchor}{weight}>{text}</text>"
            )
        }
    };
}

fn path(points: &[(f64, f64)], closed: bool) -> String {
    let mut d = String::new();
    for (i, &(x, y)) in points.iter().enumerate() {
        let _ = write!(d, "{}{} {}", if i == 0 { 'M' } else { 'L' }, number(x), number(y));
    }
    if closed {
        d.push('Z');
    }
    d
}

/// A coordinate with at most two decimals, no exponent, no "-0"; what is not a number is 0.
fn number(x: f64) -> String {
    let text = format!("{:.2}", crate::picture::drawable(x));
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Words that may stand in XML text or a quoted attribute. Characters that XML 1.0 does not allow are left out.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c < ' ' || matches!(c, '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}

/// FNV-1a, 64 bit: names that differ when the content differs, without a counter.
fn digest(parts: &[&str]) -> u64 {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for byte in parts.iter().flat_map(|p| p.bytes().chain([0])) {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    }
    hash
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hand_numbers_are_short_and_finite() {
        let cases =
            [(1.0, "1"), (-0.001, "0"), (2.505, "2.5"), (f64::NAN, "0"), (f64::INFINITY, "100000"), (10.0, "10")];
        for (x, expected) in cases {
            assert_eq!(number(x), expected);
        }
    }

    #[test]
    fn val_fnv_1a() {
        // FNV-1a 64 of "a" is af63dc4c8601ec8c (IETF draft-eastlake-fnv, test vectors; from memory); here one zero byte
        // follows each part, which multiplies once more.
        assert_eq!(digest(&["a"]), 0xaf63_dc4c_8601_ec8c_u64.wrapping_mul(0x0100_0000_01b3));
    }

    #[test]
    fn hand_escape() {
        assert_eq!(escape("a<b & \"c\"\u{1}\n'"), "a&lt;b &amp; &quot;c&quot; &#39;");
    }
}
