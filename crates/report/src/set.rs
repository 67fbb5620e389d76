//! Setting type on a sheet: headings, lists of pairs, tables and remarks in a column, each moving the pen down.

use crate::content::Table;
use crate::font::Family;
use crate::paper::{Ink, Mark, Part, Sheet};

/// How closely the sheet is set. One page is the law; letters shrink before rows are left out.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Density {
    /// Letter height of tables and remarks, points.
    pub letter: f32,
    /// Rows shown of each table and list.
    pub rows: usize,
    /// Lines of one remark.
    pub lines: usize,
}

impl Density {
    /// Everything, however long, in letters of a height: for papers that may have several pages.
    pub(crate) fn whole(letter: f32) -> Self {
        Self { letter, rows: usize::MAX, lines: usize::MAX }
    }

    /// Lines of a cell or a value beside its name.
    fn cell_lines(self) -> usize {
        if self.lines == usize::MAX { usize::MAX } else { self.lines.min(2) }
    }

    /// From the most generous to one that any content fits in, with letters of the given heights, tallest first.
    pub(crate) fn all(letters: &[f32]) -> impl Iterator<Item = Density> {
        let rows = [(60, 6), (24, 4), (16, 3), (12, 3), (9, 2), (7, 2), (5, 2), (4, 1), (3, 1), (2, 1), (1, 1)];
        rows.into_iter()
            .flat_map(move |(rows, lines)| letters.iter().map(move |&letter| Density { letter, rows, lines }))
    }
}

/// A column that is filled from the top.
pub(crate) struct Column<'a> {
    pub family: &'a Family,
    pub density: Density,
    pub left: f32,
    pub right: f32,
    pub y: f32,
}

impl Column<'_> {
    pub(crate) fn width(&self) -> f32 {
        self.right - self.left
    }

    fn line(&self) -> f32 {
        self.density.letter * 1.34
    }

    /// Words in at most so many lines; without a limit nothing is cut.
    pub(crate) fn lines(&self, text: &str, size: f32, bold: bool, width: f32, lines: usize) -> Vec<String> {
        if lines == usize::MAX {
            self.family.wrap_whole(text, size, bold, width)
        } else {
            self.family.wrap(text, size, bold, width, lines)
        }
    }

    /// A small heading over a rule.
    pub(crate) fn heading(&mut self, sheet: &mut Sheet, words: &str) {
        let size = self.density.letter * 0.98;
        self.y += size * 1.35;
        let mark = self.words(self.left, self.y, size, true, Ink::Accent, words);
        sheet.add(Part::Heading(2), vec![mark]);
        self.y += size * 0.42;
        sheet.rule(self.left, self.right, self.y, 0.6, Ink::Accent);
        self.y += size * 0.15;
    }

    fn words(&self, x: f32, y: f32, size: f32, bold: bool, ink: Ink, text: &str) -> Mark {
        Mark::Words { x, y, size, bold, ink, text: text.to_owned() }
    }

    /// What to show of so many rows, and what to say of the rest.
    fn cut(&self, rows: usize) -> (usize, Option<String>) {
        if rows <= self.density.rows {
            return (rows, None);
        }
        let shown = self.density.rows - 1;
        (shown, Some(format!("… {} more in the log", rows - shown)))
    }

    fn more(&mut self, sheet: &mut Sheet, words: Option<String>) {
        if let Some(words) = words {
            self.y += self.line();
            let mark = self.words(self.left, self.y, self.density.letter, false, Ink::Grey, &words);
            sheet.add(Part::Paragraph, vec![mark]);
        }
    }

    /// A heading and pairs: the name in grey, the value in black behind it.
    pub(crate) fn pairs(&mut self, sheet: &mut Sheet, heading: &str, pairs: &[(String, String)]) {
        let said = |p: &&(String, String)| !(p.0.trim().is_empty() && p.1.trim().is_empty());
        let pairs: Vec<&(String, String)> = pairs.iter().filter(said).collect();
        if pairs.is_empty() {
            return;
        }
        self.heading(sheet, heading);
        let size = self.density.letter;
        let (shown, more) = self.cut(pairs.len());
        let names = pairs[..shown].iter().map(|p| self.family.width(&p.0, size, false)).fold(0.0, f32::max);
        let names = (names + size).min(self.width() * 0.45);
        for (name, value) in &pairs[..shown] {
            let most = self.density.cell_lines();
            let name = self.lines(name, size, false, names - 0.4 * size, most);
            let lines = self.lines(value, size, false, self.width() - names, most);
            let mut marks = Vec::new();
            for (i, line) in name.iter().enumerate() {
                let y = self.y + (i + 1) as f32 * self.line();
                marks.push(self.words(self.left, y, size, false, Ink::Grey, line));
            }
            for (i, line) in lines.iter().enumerate() {
                let y = self.y + (i + 1) as f32 * self.line();
                marks.push(self.words(self.left + names, y, size, false, Ink::Black, line));
            }
            self.y += lines.len().max(name.len()).max(1) as f32 * self.line();
            sheet.add(Part::Row { head: false }, marks);
        }
        self.more(sheet, more);
        self.y += size * 0.5;
    }

    /// A heading and remarks, each with a dash.
    pub(crate) fn remarks(&mut self, sheet: &mut Sheet, heading: &str, remarks: &[String]) {
        let remarks: Vec<&String> = remarks.iter().filter(|r| !r.trim().is_empty()).collect();
        if remarks.is_empty() {
            return;
        }
        self.heading(sheet, heading);
        let size = self.density.letter;
        let (shown, more) = self.cut(remarks.len());
        for remark in &remarks[..shown] {
            let lines = self.lines(remark, size, false, self.width() - size, self.density.lines);
            let mut marks = vec![];
            if !lines.is_empty() {
                marks.push(self.words(self.left, self.y + self.line(), size, false, Ink::Accent, "–"));
            }
            for line in &lines {
                self.y += self.line();
                marks.push(self.words(self.left + size, self.y, size, false, Ink::Black, line));
            }
            sheet.add(Part::Paragraph, marks);
        }
        self.more(sheet, more);
        self.y += size * 0.5;
    }

    /// A heading and a table: head in grey, hairlines between rows, the total in bold under a rule. Columns of figures are
    /// set flush right.
    pub(crate) fn table(&mut self, sheet: &mut Sheet, heading: &str, table: &Table) {
        let rows = even(table);
        let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
        if columns == 0 {
            return;
        }
        self.heading(sheet, heading);
        let letter = self.density.letter;
        self.density.letter = self.table_letter(&rows, columns);
        self.rows(sheet, table, &rows, columns);
        self.density.letter = letter;
        self.y += letter * 0.6;
    }

    /// A table whose figures would be cut is set in smaller letters instead, down to the least that can be read.
    fn table_letter(&self, rows: &[Vec<String>], columns: usize) -> f32 {
        const LEAST: f32 = 7.4;
        let letter = self.density.letter;
        let column = |c: usize| {
            // Bold is the wider; the first column is words and may break into two lines.
            let shown = rows.iter().take(self.density.rows.saturating_add(1));
            let widths = shown.filter_map(|r| r.get(c)).map(|cell| self.family.width(cell, 1.0, true));
            widths.fold(0.0, f32::max) * if c == 0 { 0.6 } else { 1.0 }
        };
        let natural: f32 = (0..columns).map(column).sum::<f32>() + 0.9 * (columns - 1) as f32;
        letter.min((self.width() / natural.max(1.0)).max(LEAST))
    }

    fn rows(&mut self, sheet: &mut Sheet, table: &Table, rows: &[Vec<String>], columns: usize) {
        let size = self.density.letter;
        let head = usize::from(!table.head.is_empty());
        let total = usize::from(!table.total.is_empty());
        let body = rows.len() - head - total;
        let (shown, more) = self.cut(body);
        let mut set: Vec<&Vec<String>> = rows[..head + shown].iter().collect();
        set.extend(&rows[rows.len() - total..]);
        let bold = |i: usize| total == 1 && i + 1 == set.len();
        let gap = size * 0.9;
        let widths = self.column_widths(&set, columns, gap, &bold);
        let flush_right: Vec<bool> = (0..columns)
            .map(|c| c > 0 && rows[head..].iter().all(|r| r.get(c).is_none_or(|cell| is_figure(cell))))
            .collect();
        let mut more = more;
        for (i, row) in set.iter().enumerate() {
            if bold(i) {
                self.more(sheet, more.take());
                sheet.rule(self.left, self.right, self.y + size * 0.38, 0.8, Ink::Black);
                self.y += size * 0.1;
            } else if i > head {
                sheet.rule(self.left, self.right, self.y + size * 0.36, 0.25, Ink::Rule);
            }
            let is_head = i < head;
            let (ink, lines) = (if is_head { Ink::Grey } else { Ink::Black }, self.density.cell_lines());
            let mut marks = Vec::new();
            let mut x = self.left;
            let mut tallest = 1;
            for (c, cell) in row.iter().enumerate() {
                let words = self.lines(cell, size, bold(i), widths[c] + 0.01, lines);
                tallest = tallest.max(words.len());
                for (n, line) in words.iter().enumerate() {
                    let spare = widths[c] - self.family.width(line, size, bold(i));
                    let at = if flush_right[c] { x + spare } else { x };
                    marks.push(self.words(at, self.y + (n + 1) as f32 * self.line(), size, bold(i), ink, line));
                }
                x += widths[c] + gap;
            }
            self.y += tallest as f32 * self.line();
            sheet.add(Part::Row { head: is_head }, marks);
        }
        self.more(sheet, more);
    }

    /// Natural widths where there is room; where not, the first column gives way, then the widest.
    fn column_widths(&self, rows: &[&Vec<String>], columns: usize, gap: f32, bold: &dyn Fn(usize) -> bool) -> Vec<f32> {
        let size = self.density.letter;
        let mut natural = vec![0.0_f32; columns];
        for (i, row) in rows.iter().enumerate() {
            for (c, cell) in row.iter().enumerate() {
                natural[c] =
                    natural[c].max(self.family.width(&self.family.fit(cell, size, bold(i), 600.0), size, bold(i)));
            }
        }
        let room = (self.width() - gap * (columns - 1) as f32).max(0.0);
        // The first column is words, which may break; the figures beside it stay whole if it keeps a fair part.
        let figures: f32 = natural.iter().skip(1).sum();
        if columns > 1 && figures <= 0.72 * room {
            natural[0] = room - figures;
            return natural;
        }
        let mut order = natural.clone();
        order.sort_by(f32::total_cmp);
        let mut left = room;
        let mut cap = f32::INFINITY;
        for (i, width) in order.iter().enumerate() {
            let fair = left / (columns - i) as f32;
            if *width > fair {
                cap = fair;
                break;
            }
            left -= width;
        }
        let mut widths: Vec<f32> = natural.iter().map(|w| w.min(cap)).collect();
        let spare = room - widths.iter().sum::<f32>();
        if let Some(first) = widths.first_mut() {
            *first += spare.max(0.0);
        }
        widths
    }
}

/// Head, rows and total with the same number of cells: what a row has too many joins its last cell.
pub(crate) fn even(table: &Table) -> Vec<Vec<String>> {
    let columns = if table.head.is_empty() {
        table.rows.iter().chain([&table.total]).map(Vec::len).max().unwrap_or(0)
    } else {
        table.head.len()
    };
    let all = [&table.head].into_iter().chain(&table.rows).chain([&table.total]);
    all.filter(|row| !row.is_empty())
        .map(|row| {
            let mut cells: Vec<String> = row.iter().take(columns).cloned().collect();
            if let (Some(last), true) = (cells.last_mut(), row.len() > columns) {
                *last = format!("{last} {}", row[columns..].join(" "));
            }
            cells.resize(columns, String::new());
            cells
        })
        .collect()
}

/// Whether a cell is a figure: it begins like one, or there is nothing in it.
pub(crate) fn is_figure(cell: &str) -> bool {
    let cell = cell.trim();
    cell.is_empty()
        || cell == "—"
        || cell.trim_start_matches(['±', '+', '−', '-', '<', '≤', '≥', ' ']).starts_with(|c: char| c.is_ascii_digit())
}
