//! What was found and advised, for the customer to read and sign, as PDF.

use crate::content::ReportError;
use crate::font::Family;
use crate::paper::{BOTTOM, Ink, LEFT, Mark, Part, RIGHT, Sheet, TOP};
use crate::set::{Column, Density};

/// Letter heights that are tried, points.
const LETTERS: [f32; 6] = [11.0, 10.4, 9.8, 9.0, 8.2, 7.4];
/// Room for a hand above a line to sign on, in letters.
const HAND: f32 = 2.6;

/// Headings with their lines, the first one as the title: always one A4 page.
///
/// # Errors
/// [`ReportError`] if the shipped font is damaged or the PDF cannot be written.
pub fn advice_pdf(parts: &[(String, Vec<String>)]) -> Result<Vec<u8>, ReportError> {
    let family = Family::read()?;
    let mut best = Sheet::default();
    for density in Density::all(&LETTERS) {
        let (sheet, end) = lay(parts, family, density);
        best = sheet;
        if end <= BOTTOM {
            break;
        }
    }
    let title = parts.first().map_or("Advice", |(heading, _)| heading.as_str());
    best.pdf(family, title, "for the customer")
}

fn lay(parts: &[(String, Vec<String>)], family: &Family, density: Density) -> (Sheet, f32) {
    let mut sheet = Sheet::default();
    let mut column = Column { family, density, left: LEFT, right: RIGHT, y: TOP };
    for (n, (heading, lines)) in parts.iter().enumerate() {
        if n == 0 {
            title(&mut sheet, &mut column, heading, lines);
        } else {
            let (to_sign, plain): (Vec<_>, Vec<_>) = lines.iter().cloned().partition(|line| line.contains("____"));
            column.remarks(&mut sheet, heading, &plain);
            for line in &to_sign {
                signature(&mut sheet, &mut column, line);
            }
        }
    }
    (sheet, column.y)
}

fn title(sheet: &mut Sheet, column: &mut Column<'_>, heading: &str, lines: &[String]) {
    for line in column.family.wrap(heading, 17.0, true, RIGHT - LEFT, 2) {
        column.y += 19.0;
        sheet.add(Part::Heading(1), vec![words(column.y, 17.0, true, Ink::Black, &line)]);
    }
    for line in column.family.wrap(&lines.join("  ·  "), 9.5, false, RIGHT - LEFT, 3) {
        column.y += 12.5;
        sheet.add(Part::Paragraph, vec![words(column.y, 9.5, false, Ink::Grey, &line)]);
    }
    column.y += 7.0;
    sheet.rule(LEFT, RIGHT, column.y, 1.6, Ink::Black);
    sheet.rule(LEFT, RIGHT, column.y + 2.6, 0.4, Ink::Black);
    column.y += 4.0;
}

/// What is to be written, with a rule to write on behind it.
fn signature(sheet: &mut Sheet, column: &mut Column<'_>, line: &str) {
    let size = column.density.letter;
    column.y += size * HAND;
    let what = line.trim_end_matches('_').trim();
    sheet.add(Part::Paragraph, vec![words(column.y, size, false, Ink::Black, what)]);
    let from = LEFT + column.family.width(what, size, false) + size;
    sheet.rule(from.min(RIGHT - 40.0), RIGHT, column.y + 2.0, 0.6, Ink::Black);
}

fn words(y: f32, size: f32, bold: bool, ink: Ink, text: &str) -> Mark {
    Mark::Words { x: LEFT, y, size, bold, ink, text: text.to_owned() }
}
