//! One sheet of paper: marks with places, in reading order, written as a tagged PDF.

use std::num::NonZeroU16;

use draw::{Anchor, Item, Pattern, Picture, Role, hatch_strokes};
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, SpanTag, TableHeaderScope, Tag, TagGroup, TagTree};
use krilla::{Document, SerializeSettings};

use crate::ReportError;
use crate::font::Family;

/// ISO A4, points.
pub(crate) const WIDTH: f32 = 595.276;
pub(crate) const HEIGHT: f32 = 841.89;

/// A size of paper with the part that is printed on, points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Paper {
    pub width: f32,
    pub height: f32,
    pub left: f32,
    pub right: f32,
    pub top: f32,
    pub bottom: f32,
}

impl Paper {
    /// ISO A4, and what it has in common with US Letter.
    pub(crate) const A4: Self =
        Self { width: WIDTH, height: HEIGHT, left: LEFT, right: RIGHT, top: TOP, bottom: BOTTOM };
    /// ISO A5.
    pub(crate) const A5: Self =
        Self { width: 419.528, height: 595.276, left: 31.0, right: 388.5, top: 31.0, bottom: 564.0 };
}

/// What is printed stays inside what A4 and US Letter have in common, wherever the printer puts the sheet: Letter is
/// 17.6 mm shorter, so 24 mm are kept free at the foot and 16 mm at the head.
pub(crate) const TOP: f32 = 45.4;
pub(crate) const BOTTOM: f32 = HEIGHT - 68.0;
pub(crate) const LEFT: f32 = 45.4;
pub(crate) const RIGHT: f32 = WIDTH - 45.4;

/// The inks of the sheet: greys and one accent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    Black,
    Grey,
    Rule,
    Pale,
    White,
    Accent,
    /// The accent, thin enough to write on.
    Wash,
}

impl Ink {
    fn rgb(self) -> rgb::Color {
        let (r, g, b) = match self {
            Ink::Black => (22, 28, 34),
            Ink::Grey => (92, 100, 108),
            Ink::Rule => (186, 191, 196),
            Ink::Pale => (238, 239, 240),
            Ink::White => (255, 255, 255),
            Ink::Accent => (12, 94, 112),
            Ink::Wash => (222, 236, 239),
        };
        rgb::Color::new(r, g, b)
    }

    /// Lines and words of a picture on paper.
    fn of(role: Role) -> Ink {
        match role {
            Role::Faint => Ink::Grey,
            Role::Grid => Ink::Rule,
            Role::Ground => Ink::White,
            Role::Window | Role::Act => Ink::Accent,
            _ => Ink::Black,
        }
    }

    /// Flat tones of a picture on paper.
    fn tone(role: Role) -> Ink {
        match role {
            Role::Window | Role::Act => Ink::Wash,
            _ => Ink::Pale,
        }
    }
}

/// One mark on the sheet; points from the top left corner.
#[derive(Clone, Debug)]
pub(crate) enum Mark {
    Words {
        x: f32,
        y: f32,
        size: f32,
        bold: bool,
        ink: Ink,
        text: String,
    },
    Line {
        points: Vec<(f32, f32)>,
        width: f32,
        ink: Ink,
        dashed: bool,
    },
    Fill {
        points: Vec<(f32, f32)>,
        ink: Ink,
    },
    Hatch {
        points: Vec<(f32, f32)>,
        angle_deg: f64,
        spacing: f64,
        ink: Ink,
    },
    /// Large words aslant behind everything, as outlines: no words to a reader of the text.
    Aslant {
        x: f32,
        y: f32,
        size: f32,
        text: String,
    },
}

/// What a run of marks is to someone who has the sheet read out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Decoration,
    Heading(u16),
    Paragraph,
    /// A row of a table, each mark of words a cell.
    Row {
        head: bool,
    },
    Picture(String),
}

/// The sheet as it is filled.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sheet {
    blocks: Vec<(Part, Vec<Mark>)>,
}

impl Sheet {
    pub(crate) fn add(&mut self, part: Part, marks: Vec<Mark>) {
        if !marks.is_empty() {
            self.blocks.push((part, marks));
        }
    }

    pub(crate) fn rule(&mut self, left: f32, right: f32, y: f32, width: f32, ink: Ink) {
        let points = vec![(left, y), (right, y)];
        self.add(Part::Decoration, vec![Mark::Line { points, width, ink, dashed: false }]);
    }

    pub(crate) fn fill(&mut self, left: f32, top: f32, right: f32, bottom: f32, ink: Ink) {
        self.add(Part::Decoration, vec![Mark::Fill { points: corners(left, top, right, bottom), ink }]);
    }

    pub(crate) fn hatch(&mut self, left: f32, top: f32, right: f32, bottom: f32, ink: Ink) {
        let points = corners(left, top, right, bottom);
        self.add(Part::Decoration, vec![Mark::Hatch { points, angle_deg: 45.0, spacing: 3.0, ink }]);
    }

    /// A picture with its top left corner at a place, in natural size: one picture unit is one point.
    pub(crate) fn picture(&mut self, family: &Family, picture: &Picture, x: f32, y: f32, words: String) {
        let at = |p: &(f64, f64)| (x + p.0 as f32, y + p.1 as f32);
        let mut marks = Vec::new();
        for item in &picture.items {
            match item {
                Item::Line { points, role, width, dashed } => marks.push(Mark::Line {
                    points: points.iter().map(at).collect(),
                    width: *width as f32,
                    ink: Ink::of(*role),
                    dashed: *dashed,
                }),
                Item::Area { points, role, pattern } => {
                    let points: Vec<_> = points.iter().map(at).collect();
                    marks.push(match pattern {
                        Pattern::Tone => Mark::Fill { points, ink: Ink::tone(*role) },
                        Pattern::Solid => Mark::Fill { points, ink: Ink::of(*role) },
                        Pattern::Hatch { angle_deg, spacing } => {
                            Mark::Hatch { points, angle_deg: *angle_deg, spacing: *spacing, ink: Ink::of(*role) }
                        }
                    });
                }
                Item::Text { x: tx, y: ty, size, role, anchor, bold, text, .. } => {
                    let size = *size as f32;
                    let width = family.width(text, size, *bold);
                    let (tx, ty) = at(&(*tx, *ty));
                    let x = match anchor {
                        Anchor::Start => tx,
                        Anchor::Middle => tx - width / 2.0,
                        Anchor::End => tx - width,
                    };
                    marks.push(Mark::Words { x, y: ty, size, bold: *bold, ink: Ink::of(*role), text: text.clone() });
                }
            }
        }
        self.add(Part::Picture(words), marks);
    }

    /// Box and text of all words: left, top, right, bottom.
    #[cfg(test)]
    pub(crate) fn words<'a>(&'a self, family: &'a Family) -> impl Iterator<Item = (f32, f32, f32, f32, &'a str)> {
        self.blocks.iter().flat_map(|b| &b.1).filter_map(|mark| match mark {
            Mark::Words { x, y, size, bold, text, .. } => {
                Some((*x, y - 0.74 * size, x + family.width(text, *size, *bold), y + 0.2 * size, text.as_str()))
            }
            _ => None,
        })
    }

    /// What another sheet holds, after what is here.
    pub(crate) fn append(&mut self, other: Sheet) {
        self.blocks.extend(other.blocks);
    }

    /// The sheet as a PDF of one A4 page.
    pub(crate) fn pdf(&self, family: &Family, title: &str, subject: &str) -> Result<Vec<u8>, ReportError> {
        pdf_of(std::slice::from_ref(self), Paper::A4, family, title, subject)
    }
}

/// Sheets as a PDF. The same sheets give the same bytes: no clock and no chance goes in.
pub(crate) fn pdf_of(
    sheets: &[Sheet],
    paper: Paper,
    family: &Family,
    title: &str,
    subject: &str,
) -> Result<Vec<u8>, ReportError> {
    let mut document = Document::new_with(SerializeSettings::default());
    let mut tree = TagTree::new();
    for sheet in sheets {
        let size = PageSettings::from_wh(paper.width, paper.height);
        let mut page = document.start_page_with(size.ok_or_else(|| ReportError::Write("no such paper".into()))?);
        let mut surface = page.surface();
        page_of(sheet, family, &mut surface, &mut tree);
        surface.finish();
        page.finish();
    }
    document.set_tag_tree(tree);
    document.set_metadata(
        Metadata::new().title(title.to_owned()).description(subject.to_owned()).language("en".to_owned()),
    );
    document.finish().map_err(|e| ReportError::Write(format!("{e:?}")))
}

/// The marks of one page, and what they are to someone who has it read out.
fn page_of(sheet: &Sheet, family: &Family, surface: &mut Surface<'_>, tree: &mut TagTree) {
    let mut table: Option<TagGroup> = None;
    for (part, marks) in &sheet.blocks {
        if !matches!(part, Part::Row { .. } | Part::Decoration) {
            tree_push(tree, table.take());
        }
        match part {
            Part::Decoration => {
                surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)));
                marks.iter().for_each(|m| set(surface, family, m));
                surface.end_tagged();
            }
            Part::Heading(_) | Part::Paragraph => {
                let id = surface.start_tagged(ContentTag::Span(SpanTag::empty()));
                marks.iter().for_each(|m| set(surface, family, m));
                surface.end_tagged();
                let level = if let Part::Heading(n) = part { NonZeroU16::new(*n) } else { None };
                let mut group = match level {
                    Some(level) => TagGroup::new(Tag::Hn(level, None)),
                    None => TagGroup::new(Tag::P),
                };
                group.push(id);
                tree_push(tree, Some(group));
            }
            Part::Row { head } => {
                let row = table_row(surface, family, marks, *head);
                table.get_or_insert_with(|| TagGroup::new(Tag::Table)).push(row);
            }
            Part::Picture(words) => {
                let id = surface.start_tagged(ContentTag::Other);
                marks.iter().for_each(|m| set(surface, family, m));
                surface.end_tagged();
                let mut group = TagGroup::new(Tag::Figure(Some(words.clone())));
                group.push(id);
                tree_push(tree, Some(group));
            }
        }
    }
    tree_push(tree, table.take());
}

fn tree_push(tree: &mut TagTree, group: Option<TagGroup>) {
    if let Some(group) = group {
        tree.push(group);
    }
}

/// A row whose words are its cells.
fn table_row(surface: &mut Surface<'_>, family: &Family, marks: &[Mark], head: bool) -> TagGroup {
    let mut row = TagGroup::new(Tag::TR);
    for mark in marks {
        let id = surface.start_tagged(ContentTag::Span(SpanTag::empty()));
        set(surface, family, mark);
        surface.end_tagged();
        let mut cell = if head { TagGroup::new(Tag::TH(TableHeaderScope::Column)) } else { TagGroup::new(Tag::TD) };
        cell.push(id);
        row.push(cell);
    }
    row
}

fn corners(left: f32, top: f32, right: f32, bottom: f32) -> Vec<(f32, f32)> {
    vec![(left, top), (right, top), (right, bottom), (left, bottom)]
}

fn filled(ink: Ink) -> Option<Fill> {
    Some(Fill { paint: ink.rgb().into(), opacity: NormalizedF32::ONE, rule: Default::default() })
}

fn stroked(ink: Ink, width: f32, dashed: bool) -> Option<Stroke> {
    let dash = dashed.then(|| StrokeDash { array: vec![width * 3.5, width * 3.0], offset: 0.0 });
    Some(Stroke {
        paint: ink.rgb().into(),
        width,
        line_cap: if dashed { LineCap::Butt } else { LineCap::Round },
        line_join: LineJoin::Round,
        dash,
        ..Stroke::default()
    })
}

fn path(lines: &[Vec<(f32, f32)>], closed: bool) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for line in lines {
        for (i, &(x, y)) in line.iter().enumerate() {
            if i == 0 {
                builder.move_to(x, y);
            } else {
                builder.line_to(x, y);
            }
        }
        if closed {
            builder.close();
        }
    }
    builder.finish()
}

fn set(surface: &mut Surface<'_>, family: &Family, mark: &Mark) {
    match mark {
        Mark::Words { x, y, size, bold, ink, text } => {
            surface.set_fill(filled(*ink));
            surface.set_stroke(None);
            let (glyphs, font) = family.glyphs(text, *bold);
            surface.draw_glyphs(Point::from_xy(*x, *y), &glyphs, font, text, *size, false);
        }
        Mark::Line { points, width, ink, dashed } => {
            surface.set_fill(None);
            surface.set_stroke(stroked(*ink, *width, *dashed));
            if let Some(path) = path(std::slice::from_ref(points), false) {
                surface.draw_path(&path);
            }
        }
        Mark::Fill { points, ink } => {
            surface.set_fill(filled(*ink));
            surface.set_stroke(None);
            if let Some(path) = path(std::slice::from_ref(points), true) {
                surface.draw_path(&path);
            }
        }
        Mark::Hatch { points, angle_deg, spacing, ink } => {
            let outline: Vec<_> = points.iter().map(|p| (f64::from(p.0), f64::from(p.1))).collect();
            let strokes: Vec<Vec<(f32, f32)>> = hatch_strokes(&outline, *angle_deg, *spacing)
                .iter()
                .map(|(a, b)| vec![(a.0 as f32, a.1 as f32), (b.0 as f32, b.1 as f32)])
                .collect();
            surface.set_fill(None);
            surface.set_stroke(stroked(*ink, 0.4, false));
            if let Some(path) = path(&strokes, false) {
                surface.draw_path(&path);
            }
        }
        Mark::Aslant { x, y, size, text } => {
            surface.set_fill(filled(Ink::Pale));
            surface.set_stroke(None);
            surface.push_transform(&Transform::from_rotate_at(-52.0, *x, *y));
            let (glyphs, font) = family.glyphs(text, true);
            let left = x - family.width(text, *size, true) / 2.0;
            surface.draw_glyphs(Point::from_xy(left, y + size * 0.36), &glyphs, font, text, *size, true);
            surface.pop();
        }
    }
}
