//! The bench list on paper: what to have ready, which plug is which, what to do in which order.

use crate::ReportError;
use crate::card::{plug_card, section};
use crate::content::{BenchLine, BenchList, Step, Table};
use crate::flow::{Flow, Look, head, tick_box};
use crate::font::Family;
use crate::paper::{Ink, Mark, Paper, Part, Sheet};
use crate::set::Column;

/// The bench list as a PDF on A4: what lies ready on the first page, the steps from the second on. Nothing is cut.
///
/// # Errors
/// [`ReportError`] if the shipped font is damaged or the PDF cannot be written.
pub fn bench_pdf(list: &BenchList) -> Result<Vec<u8>, ReportError> {
    let family = Family::read()?;
    let title = if list.card.title.trim().is_empty() { "Bench list" } else { list.card.title.trim() };
    laid(list, family).pdf(title, &list.card.subtitle, &list.footer)
}

/// Letter heights that are tried, points: read at arm's length on a bench, so as tall as lets what lies ready stand on one
/// page; where none does, the tallest.
const LETTERS: [f32; 5] = [9.6, 9.0, 8.6, 8.2, 7.8];

fn laid<'a>(list: &BenchList, family: &'a Family) -> Flow<'a> {
    let tried = LETTERS.iter().map(|letter| things(list, family, *letter));
    let fits = tried.into_iter().find(|flow| flow.pages_so_far() == 1);
    let mut flow = fits.unwrap_or_else(|| things(list, family, LETTERS[1]));
    steps(&mut flow, &list.steps);
    flow
}

/// Everything but the steps.
fn things<'a>(list: &BenchList, family: &'a Family, letter: f32) -> Flow<'a> {
    let mut flow = Flow::new(family, Paper::A4, letter);
    let card = &list.card;
    head(&mut flow, &card.title, &card.subtitle, 18.0, card.demo);
    flow.columns(2);
    for fluid in &list.fluids {
        let side = if fluid.circuit.is_empty() { String::new() } else { format!(": {}", fluid.circuit) };
        for (heading, table) in [("Fluid to have ready", &fluid.need), ("Containers", &fluid.containers)] {
            rows(&mut flow, &format!("{heading}{side}"), table);
        }
    }
    for remark in &list.remarks {
        flow.text(remark, Look { size: letter, bold: false, ink: Ink::Black, indent: 0.0 });
    }
    for group in list.groups.iter().filter(|group| !group.lines.is_empty()) {
        for (i, line) in group.lines.iter().enumerate() {
            flow.block(|sheet, column| {
                if i == 0 {
                    column.y += column.density.letter * 0.5;
                    column.heading(sheet, &group.title);
                }
                bench_line(sheet, column, line);
            });
        }
    }
    flow.beside();
    if let Some(input) = &card.section {
        flow.block(|sheet, column| {
            column.heading(sheet, "Which plug is which");
            section(sheet, column, input, 170.0);
        });
    }
    for (i, plug) in card.plugs.iter().enumerate() {
        flow.block(|sheet, column| {
            if i == 0 {
                column.heading(sheet, "Torques");
            }
            plug_card(sheet, column, plug);
        });
    }
    cautions(&mut flow, &list.cautions);
    flow
}

/// A table row by row, so that a long one goes on in the next column; head and first row stay together.
pub(crate) fn rows(flow: &mut Flow<'_>, heading: &str, table: &Table) {
    if table.rows.is_empty() && table.total.is_empty() {
        return;
    }
    // Short ones, the rule, are one block; a long one is cut into pieces that repeat the head and fit a page.
    let long_words = table.rows.iter().flatten().any(|cell| cell.chars().count() > 120);
    let pieces: Vec<&[Vec<String>]> = table.rows.chunks(if long_words { 4 } else { 24 }).collect();
    let last = pieces.len().saturating_sub(1);
    for (i, piece) in pieces.iter().enumerate() {
        let total = if i == last { table.total.clone() } else { Vec::new() };
        let piece = Table { head: table.head.clone(), rows: piece.to_vec(), total };
        let heading = if i == 0 { heading.to_owned() } else { format!("{heading}, continued") };
        flow.block(|sheet, column| column.table(sheet, &heading, &piece));
    }
}

fn words(x: f32, y: f32, size: f32, bold: bool, ink: Ink, text: &str) -> Mark {
    Mark::Words { x, y, size, bold, ink, text: text.to_owned() }
}

/// Box, thing and amount; the amount goes below where it is too long to stand beside; the note in grey.
fn bench_line(sheet: &mut Sheet, column: &mut Column<'_>, line: &BenchLine) {
    let size = column.density.letter;
    let (family, step) = (column.family, size * 1.28);
    let at = column.left + size * 1.5;
    let amount_wide = family.width(&line.amount, size, true);
    let beside = !line.amount.is_empty() && amount_wide <= (column.right - at) * 0.42;
    let room = if beside { column.right - amount_wide - at - size * 0.8 } else { column.right - at };
    column.y += size * 0.3;
    let first = column.y + step;
    tick_box(sheet, column.left, first, size, line.ready);
    let mut marks = Vec::new();
    for text in column.lines(&line.what, size, false, room, usize::MAX) {
        column.y += step;
        marks.push(words(at, column.y, size, false, Ink::Black, &text));
    }
    column.y = column.y.max(first);
    if beside {
        marks.push(words(column.right - amount_wide, first, size, true, Ink::Black, &line.amount));
    } else {
        for text in column.lines(&line.amount, size, true, column.right - at, usize::MAX) {
            column.y += step;
            marks.push(words(at, column.y, size, true, Ink::Black, &text));
        }
    }
    for text in column.lines(&line.note, size * 0.92, false, column.right - at, usize::MAX) {
        column.y += step * 0.94;
        marks.push(words(at, column.y, size * 0.92, false, Ink::Grey, &text));
    }
    sheet.add(Part::Row { head: false }, marks);
}

pub(crate) fn cautions(flow: &mut Flow<'_>, cautions: &[String]) {
    for (i, caution) in cautions.iter().filter(|caution| !caution.trim().is_empty()).enumerate() {
        flow.block(|sheet, column| {
            if i == 0 {
                column.y += column.density.letter * 0.5;
                column.heading(sheet, "Mind this");
            }
            let size = column.density.letter;
            let top = column.y + size * 0.45;
            let mut marks = Vec::new();
            for text in column.lines(caution, size, false, column.width() - size * 1.2, usize::MAX) {
                column.y += size * 1.28;
                marks.push(words(column.left + size * 1.2, column.y, size, false, Ink::Black, &text));
            }
            sheet.hatch(column.left, top, column.left + size * 0.5, column.y + size * 0.15, Ink::Accent);
            sheet.add(Part::Paragraph, marks);
            column.y += size * 0.3;
        });
    }
}

/// Steps numbered, each with a box to tick, its reason in grey and its caution marked; never on the page of the things.
pub(crate) fn steps(flow: &mut Flow<'_>, steps: &[Step]) {
    if steps.is_empty() {
        return;
    }
    if flow.pages_so_far() == 1 {
        flow.page();
    }
    for (i, step) in steps.iter().enumerate() {
        flow.block(|sheet, column| {
            if i == 0 {
                column.heading(sheet, "In this order");
            }
            one_step(sheet, column, i + 1, step);
        });
    }
}

fn one_step(sheet: &mut Sheet, column: &mut Column<'_>, number: usize, step: &Step) {
    let size = column.density.letter * 1.06;
    let line = size * 1.28;
    let at = column.left + size * 3.0;
    let room = column.right - at;
    column.y += size * 0.45;
    let first = column.y + line;
    tick_box(sheet, column.left, first, size, false);
    let mut marks = vec![words(column.left + size * 1.3, first, size, false, Ink::Grey, &format!("{number}"))];
    for text in column.lines(&step.verb, size, true, room, usize::MAX) {
        column.y += line;
        marks.push(words(at, column.y, size, true, Ink::Black, &text));
    }
    for text in column.lines(&step.why, size * 0.92, false, room, usize::MAX) {
        column.y += line * 0.95;
        marks.push(words(at, column.y, size * 0.92, false, Ink::Grey, &text));
    }
    column.y = column.y.max(first);
    sheet.add(Part::Paragraph, marks);
    let caution = column.lines(&step.caution, size * 0.92, false, room - size, usize::MAX);
    if caution.is_empty() {
        return;
    }
    let top = column.y + line * 0.3;
    let mut marks = Vec::new();
    for text in &caution {
        column.y += line * 0.95;
        marks.push(words(at + size, column.y, size * 0.92, false, Ink::Black, text));
    }
    sheet.hatch(at, top, at + size * 0.5, column.y + line * 0.15, Ink::Accent);
    sheet.add(Part::Paragraph, marks);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::content::{BenchGroup, FluidTables, PlugCard, TorqueCard};

    fn list(n: usize, more: &str) -> BenchList {
        let line = |i: usize| BenchLine {
            what: format!("thing{i} {more}"),
            amount: format!("{i}.9 L {more}"),
            note: format!("note{i} {more}"),
            ready: i.is_multiple_of(2),
        };
        let plug = |i: usize| PlugCard { name: format!("plug{i} {more}"), torque: "12 N·m".into(), facts: vec![] };
        let step = |i: usize| Step {
            verb: format!("step{i} {more}"),
            why: format!("why{i} {more}"),
            caution: format!("danger{i} {more}"),
        };
        let table = |name: &str| Table {
            head: vec![],
            rows: (0..n).map(|i| vec![format!("{name}{i} {more}"), "0.50 L".into()]).collect(),
            total: vec![format!("{name}total"), "5.9 L".into()],
        };
        BenchList {
            card: TorqueCard {
                title: format!("Title {more}"),
                plugs: (0..n).map(plug).collect(),
                ..Default::default()
            },
            fluids: vec![FluidTables { circuit: String::new(), need: table("need"), containers: table("can") }],
            remarks: vec![format!("remark {more}")],
            groups: vec![BenchGroup { title: "Tools".into(), lines: (0..n).map(line).collect() }],
            cautions: (0..n).map(|i| format!("caution{i} {more}")).collect(),
            steps: (0..n).map(step).collect(),
            footer: "foot".into(),
        }
    }

    #[test]
    fn law_nothing_is_cut_and_everything_stays_on_the_paper() {
        let family = Family::read().expect("the shipped font");
        for n in [0, 1, 5, 60] {
            for more in ["", "incl. 0.47 L surplus and 0.5 L reserve, more words that go on", &"unbroken".repeat(30)] {
                let mut given = list(n, more);
                given.fluids.push(FluidTables { circuit: "Clutch".into(), ..given.fluids[0].clone() });
                let flow = laid(&given, family);
                let mut all = String::new();
                for sheet in flow.sheets() {
                    let boxes: Vec<_> = sheet.words(family).collect();
                    for (i, (left, top, right, bottom, text)) in boxes.iter().enumerate() {
                        let paper = Paper::A4;
                        assert!(*left >= paper.left - 0.1 && *right <= paper.right + 0.1, "{n} {more}: {text}");
                        assert!(*top >= paper.top - 5.0 && *bottom <= paper.bottom + 3.0, "{n} {more}: {text}");
                        for (l, t, r, b, other) in &boxes[i + 1..] {
                            let apart = *right <= l + 0.3 || r - 0.3 <= *left || *bottom <= t + 0.3 || b - 0.3 <= *top;
                            assert!(apart, "{n} {more}: {text} upon {other}");
                        }
                        all.push_str(text);
                        all.push('\n');
                    }
                }
                assert!(!all.contains('…'), "{n} {more}: {all}");
                for i in 0..n {
                    for name in ["thing", "note", "plug", "step", "why", "danger", "need", "can", "caution"] {
                        assert!(all.contains(&format!("{name}{i}")), "{name}{i} {more}");
                    }
                }
                assert_eq!(all.matches("needtotal").count(), 2 * usize::from(n > 0), "{n}");
                assert_eq!(all.contains("to have ready: Clutch"), n > 0, "{n}");
            }
        }
    }
}
