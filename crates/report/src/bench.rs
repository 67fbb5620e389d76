//! The bench list and torque card on paper: what to have ready, what to do in which order.

use crate::ReportError;
use crate::content::{BenchList, Step};
use crate::font::Family;
use crate::paper::{BOTTOM, Ink, LEFT, Mark, Part, RIGHT, Sheet, TOP};
use crate::set::{Column, Density};

/// The bench list as a PDF: one A4 page, whatever the content. What does not fit is counted.
///
/// # Errors
/// [`ReportError`] if the shipped font is damaged or the PDF cannot be written.
pub fn bench_pdf(list: &BenchList) -> Result<Vec<u8>, ReportError> {
    let family = Family::read()?;
    let mut best = Sheet::default();
    for density in Density::all(&LETTERS) {
        let (sheet, end) = lay(list, family, density);
        best = sheet;
        if end <= BOTTOM {
            break;
        }
    }
    let title = if list.title.trim().is_empty() { "Bench list" } else { list.title.trim() };
    best.pdf(family, title, &list.subtitle)
}

/// Letter heights that are tried, points: read at arm's length on a bench, so as tall as there is room for.
const LETTERS: [f32; 7] = [12.5, 11.5, 10.5, 9.6, 8.8, 8.0, 7.4];

fn lay(list: &BenchList, family: &Family, density: Density) -> (Sheet, f32) {
    let mut sheet = Sheet::default();
    let mut y = TOP;
    for line in family.wrap(&list.title, 18.0, true, RIGHT - LEFT, 2) {
        y += 19.0;
        sheet.add(Part::Heading(1), vec![words(LEFT, y, 18.0, true, Ink::Black, &line)]);
    }
    for line in family.wrap(&list.subtitle, 9.5, false, RIGHT - LEFT, 2) {
        y += 12.5;
        sheet.add(Part::Paragraph, vec![words(LEFT, y, 9.5, false, Ink::Grey, &line)]);
    }
    y += 7.0;
    sheet.rule(LEFT, RIGHT, y, 1.6, Ink::Black);
    sheet.rule(LEFT, RIGHT, y + 2.6, 0.4, Ink::Black);
    y += 4.0;
    // The steps take the larger part; what lies on the bench stands beside them.
    let split = LEFT + (RIGHT - LEFT) * 0.56;
    let mut left = Column { family, density, left: LEFT, right: split - 9.0, y };
    let mut right = Column { family, density, left: split + 9.0, right: RIGHT, y };
    steps(&mut sheet, &mut left, &list.steps);
    ticks(&mut sheet, &mut right, &list.bench);
    right.remarks(&mut sheet, "Mind this", &list.cautions);
    let mut card = Column { family, density, left: LEFT, right: RIGHT, y: left.y.max(right.y) };
    card.table(&mut sheet, "Torque card", &list.torques);
    (sheet, card.y)
}

fn words(x: f32, y: f32, size: f32, bold: bool, ink: Ink, text: &str) -> Mark {
    Mark::Words { x, y, size, bold, ink, text: text.to_owned() }
}

fn tick_box(sheet: &mut Sheet, x: f32, baseline: f32, size: f32) {
    let (top, side) = (baseline - size * 0.78, size * 0.85);
    let points = vec![(x, top), (x + side, top), (x + side, top + side), (x, top + side), (x, top)];
    sheet.add(Part::Decoration, vec![Mark::Line { points, width: 0.6, ink: Ink::Black, dashed: false }]);
}

/// Steps numbered, each with a box to tick, its reason in grey and its caution marked.
fn steps(sheet: &mut Sheet, column: &mut Column<'_>, steps: &[Step]) {
    if steps.is_empty() {
        return;
    }
    column.heading(sheet, "Steps");
    let (family, density) = (column.family, column.density);
    let size = density.letter;
    let line = size * 1.3;
    let shown = if steps.len() <= density.rows { steps.len() } else { density.rows - 1 };
    let indent = size * 2.9;
    for (i, step) in steps[..shown].iter().enumerate() {
        let room = column.width() - indent;
        let at = column.left + indent;
        column.y += size * 0.25;
        tick_box(sheet, column.left, column.y + line, size);
        let mut marks =
            vec![words(column.left + size * 1.2, column.y + line, size, false, Ink::Grey, &format!("{}", i + 1))];
        for text in family.wrap(&step.verb, size, true, room, density.lines.min(3)) {
            column.y += line;
            marks.push(words(at, column.y, size, true, Ink::Black, &text));
        }
        for text in family.wrap(&step.why, size * 0.92, false, room, density.lines) {
            column.y += line * 0.95;
            marks.push(words(at, column.y, size * 0.92, false, Ink::Grey, &text));
        }
        sheet.add(Part::Paragraph, marks);
        let caution = family.wrap(&step.caution, size * 0.92, false, room - size, density.lines);
        if !caution.is_empty() {
            let top = column.y + line * 0.3;
            let marks = caution.iter().map(|text| {
                column.y += line * 0.95;
                words(at + size, column.y, size * 0.92, false, Ink::Black, text)
            });
            let marks: Vec<Mark> = marks.collect();
            sheet.hatch(at, top, at + size * 0.5, column.y + line * 0.15, Ink::Accent);
            sheet.add(Part::Paragraph, marks);
        }
        if caution.is_empty() && step.verb.trim().is_empty() && step.why.trim().is_empty() {
            column.y += line;
        }
    }
    if shown < steps.len() {
        column.y += line;
        let text = format!("… {} more in the plan", steps.len() - shown);
        sheet.add(Part::Paragraph, vec![words(column.left, column.y, size, false, Ink::Grey, &text)]);
    }
    column.y += size * 0.5;
}

/// What to lay ready: box, thing, amount flush right.
fn ticks(sheet: &mut Sheet, column: &mut Column<'_>, bench: &[(String, String)]) {
    if bench.is_empty() {
        return;
    }
    column.heading(sheet, "On the bench");
    let (family, density) = (column.family, column.density);
    let size = density.letter;
    let line = size * 1.45;
    let shown = if bench.len() <= density.rows { bench.len() } else { density.rows - 1 };
    for (what, how_much) in &bench[..shown] {
        let amount = family.fit(how_much, size, true, column.width() * 0.45);
        let amount_left = column.right - family.width(&amount, size, true);
        let at = column.left + size * 1.5;
        let lines = family.wrap(what, size, false, amount_left - at - size * 0.6, density.lines.min(2));
        tick_box(sheet, column.left, column.y + line, size);
        let first = column.y + line;
        let mut marks = Vec::new();
        for text in &lines {
            column.y += line;
            marks.push(words(at, column.y, size, false, Ink::Black, text));
        }
        if lines.is_empty() {
            column.y += line;
        }
        if !amount.is_empty() {
            marks.push(words(amount_left, first, size, true, Ink::Black, &amount));
        }
        sheet.add(Part::Row { head: false }, marks);
    }
    if shown < bench.len() {
        column.y += line;
        let text = format!("… {} more in the plan", bench.len() - shown);
        sheet.add(Part::Paragraph, vec![words(column.left, column.y, size, false, Ink::Grey, &text)]);
    }
    column.y += size * 0.5;
}
