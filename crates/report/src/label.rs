//! The label of a container of used fluid.

use crate::ReportError;
use crate::content::UsedLabel;
use crate::flow::{Flow, Look, head, tick_box};
use crate::font::Family;
use crate::paper::{Ink, Mark, Paper, Part};

/// The words that the container must carry in any case.
pub(crate) const USED_OIL: &str = "USED OIL";

/// The label as a PDF on A5, to be put on the container. Nothing is cut.
///
/// # Errors
/// [`ReportError`] if the shipped font is damaged or the PDF cannot be written.
pub fn label_pdf(label: &UsedLabel) -> Result<Vec<u8>, ReportError> {
    let family = Family::read()?;
    laid(label, family).pdf("Used oil", &label.amount, &label.workshop)
}

fn laid<'a>(label: &UsedLabel, family: &'a Family) -> Flow<'a> {
    let mut flow = Flow::new(family, Paper::A5, 12.0);
    head(&mut flow, USED_OIL, "", 56.0, label.demo);
    let look = |size, bold, ink| Look { size, bold, ink, indent: 0.0 };
    flow.text(&format!("{} · {}", label.amount, label.date), look(25.0, true, Ink::Accent));
    flow.text(&label.parts, look(10.5, false, Ink::Grey));
    flow.block(|sheet, column| {
        column.y += 6.0;
        column.pairs(sheet, "Comes from", &label.source);
    });
    for (i, (code, meaning, this)) in label.codes.iter().enumerate() {
        flow.block(|sheet, column| {
            if i == 0 {
                column.heading(sheet, "European waste code");
            }
            let size = column.density.letter;
            let first = column.y + size * 1.45;
            tick_box(sheet, column.left, first, size, *this);
            let wide = column.family.width("00 00 00*", size, true) + size * 2.4;
            let at = column.left + size * 1.5;
            let mut marks =
                vec![Mark::Words { x: at, y: first, size, bold: true, ink: Ink::Black, text: code.clone() }];
            column.y += size * 0.15;
            for text in column.lines(meaning, size, *this, column.width() - wide, usize::MAX) {
                column.y += size * 1.3;
                let x = column.left + wide;
                marks.push(Mark::Words { x, y: column.y, size, bold: *this, ink: Ink::Black, text });
            }
            column.y = column.y.max(first);
            sheet.add(Part::Row { head: false }, marks);
        });
    }
    flow.block(|sheet, column| {
        column.y += 4.0;
        column.remarks(sheet, "Rules", &label.rules);
    });
    flow
}
