//! Papers of as many pages as they need: blocks that are set one below the other, column after column, page after page.

use crate::ReportError;
use crate::font::Family;
use crate::paper::{Ink, Mark, Paper, Part, Sheet, pdf_of};
use crate::set::{Column, Density};

/// Where the next block goes.
pub(crate) struct Flow<'a> {
    family: &'a Family,
    paper: Paper,
    density: Density,
    pages: Vec<Sheet>,
    /// Left and right ends of the columns.
    columns: Vec<(f32, f32)>,
    column: usize,
    /// Where the columns of this page begin.
    top: f32,
    y: f32,
    /// The lowest that anything on this page reaches.
    lowest: f32,
}

/// Between two columns, points.
const GUTTER: f32 = 20.0;

impl<'a> Flow<'a> {
    pub(crate) fn new(family: &'a Family, paper: Paper, letter: f32) -> Self {
        Self {
            family,
            paper,
            density: Density::whole(letter),
            pages: vec![Sheet::default()],
            columns: vec![(paper.left, paper.right)],
            column: 0,
            top: paper.top,
            y: paper.top,
            lowest: paper.top,
        }
    }

    /// From here on so many columns.
    pub(crate) fn columns(&mut self, number: usize) {
        let room = self.paper.right - self.paper.left;
        let width = (room - GUTTER * (number - 1) as f32) / number as f32;
        self.columns = (0..number)
            .map(|i| self.paper.left + i as f32 * (width + GUTTER))
            .map(|left| (left, left + width))
            .collect();
        self.column = 0;
        self.top = self.lowest;
        self.y = self.lowest;
    }

    /// Pages that something stands on, or is about to.
    pub(crate) fn pages_so_far(&self) -> usize {
        self.pages.len()
    }

    /// A new page with the columns there are.
    pub(crate) fn page(&mut self) {
        self.pages.push(Sheet::default());
        (self.column, self.top, self.y, self.lowest) = (0, self.paper.top, self.paper.top, self.paper.top);
    }

    /// Sets a block whole in this column, or in the next that has room.
    pub(crate) fn block(&mut self, lay: impl Fn(&mut Sheet, &mut Column<'_>)) {
        loop {
            let mut sheet = Sheet::default();
            let (left, right) = self.columns[self.column];
            let mut column = Column { family: self.family, density: self.density, left, right, y: self.y };
            lay(&mut sheet, &mut column);
            // On an empty page there is no better place: what is taller than a page runs over its foot.
            let empty = self.y <= self.paper.top && self.column == 0;
            if column.y <= self.paper.bottom || empty {
                self.y = column.y;
                self.lowest = self.lowest.max(self.y);
                if let Some(page) = self.pages.last_mut() {
                    page.append(sheet);
                }
                return;
            }
            self.next();
        }
    }

    /// What follows stands in the second column, unless it has come that far by itself.
    pub(crate) fn beside(&mut self) {
        if self.column == 0 && self.columns.len() > 1 {
            self.next();
        }
    }

    fn next(&mut self) {
        if self.column + 1 < self.columns.len() {
            self.column += 1;
            self.y = self.top;
        } else {
            self.page();
        }
    }

    /// Lines of a text, each a block, so that it may break over columns.
    pub(crate) fn text(&mut self, text: &str, look: Look) {
        let (left, right) = self.columns[self.column];
        let room = right - left - look.indent;
        for line in self.family.wrap_whole(text, look.size, look.bold, room) {
            self.block(|sheet, column| {
                column.y += look.size * 1.3;
                sheet.add(
                    Part::Paragraph,
                    vec![Mark::Words {
                        x: column.left + look.indent,
                        y: column.y,
                        size: look.size,
                        bold: look.bold,
                        ink: look.ink,
                        text: line.clone(),
                    }],
                );
            });
        }
    }

    /// The pages as a PDF, each with a foot: words on the left, the page on the right where there are several.
    pub(crate) fn pdf(mut self, title: &str, subject: &str, foot: &str) -> Result<Vec<u8>, ReportError> {
        let (paper, family) = (self.paper, self.family);
        let pages = self.pages.len();
        for (at, sheet) in self.pages.iter_mut().enumerate() {
            let y = paper.bottom + 14.0;
            let number = if pages > 1 { format!("{} of {pages}", at + 1) } else { String::new() };
            let mut marks = Vec::new();
            let words = |x: f32, text: String| Mark::Words { x, y, size: 7.4, bold: false, ink: Ink::Grey, text };
            let right = paper.right - family.width(&number, 7.4, false);
            let foot = family.fit(foot, 7.4, false, right - paper.left - 10.0);
            marks.extend((!foot.is_empty()).then(|| words(paper.left, foot)));
            marks.extend((!number.is_empty()).then(|| words(right, number)));
            sheet.add(Part::Paragraph, marks);
        }
        pdf_of(&self.pages, paper, family, title, subject)
    }

    #[cfg(test)]
    pub(crate) fn sheets(&self) -> &[Sheet] {
        &self.pages
    }
}

/// How a text is set.
#[derive(Clone, Copy)]
pub(crate) struct Look {
    pub size: f32,
    pub bold: bool,
    pub ink: Ink,
    pub indent: f32,
}

/// Title and subtitle over a double rule; a demonstration says so.
pub(crate) fn head(flow: &mut Flow<'_>, title: &str, subtitle: &str, size: f32, demo: bool) {
    flow.text(title, Look { size, bold: true, ink: Ink::Black, indent: 0.0 });
    flow.text(subtitle, Look { size: 9.5, bold: false, ink: Ink::Grey, indent: 0.0 });
    if demo {
        let text = format!("{} — {}", crate::proof::DEMO, crate::proof::DEMO_MORE);
        flow.text(&text, Look { size: 9.5, bold: true, ink: Ink::Accent, indent: 0.0 });
    }
    flow.block(|sheet, column| {
        column.y += 6.0;
        sheet.rule(column.left, column.right, column.y, 1.6, Ink::Black);
        sheet.rule(column.left, column.right, column.y + 2.6, 0.4, Ink::Black);
        column.y += 5.0;
    });
}

/// A box to tick, ticked or not; its upper left corner lies above the baseline.
pub(crate) fn tick_box(sheet: &mut Sheet, x: f32, baseline: f32, size: f32, ticked: bool) {
    let (top, side) = (baseline - size * 0.78, size * 0.85);
    let points = vec![(x, top), (x + side, top), (x + side, top + side), (x, top + side), (x, top)];
    let mut marks = vec![Mark::Line { points, width: 0.6, ink: Ink::Black, dashed: false }];
    if ticked {
        let points = vec![
            (x + side * 0.18, top + side * 0.5),
            (x + side * 0.42, top + side * 0.8),
            (x + side, top - side * 0.15),
        ];
        marks.push(Mark::Line { points, width: 1.4, ink: Ink::Black, dashed: false });
    }
    sheet.add(Part::Decoration, marks);
}
