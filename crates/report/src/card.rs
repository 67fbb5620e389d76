//! The torque card on paper: which plug is which, how tight, with what; and room to write what was made.

use crate::ReportError;
use crate::content::{PlugCard, TorqueCard};
use crate::flow::{Flow, head, tick_box};
use crate::font::Family;
use crate::paper::{Ink, Mark, Paper, Part, Sheet};
use crate::set::Column;

/// The torque card as a PDF on A5, with more pages where it does not fit on one. Nothing is cut.
///
/// # Errors
/// [`ReportError`] if the shipped font is damaged or the PDF cannot be written.
pub fn card_pdf(card: &TorqueCard) -> Result<Vec<u8>, ReportError> {
    let family = Family::read()?;
    let title = if card.title.trim().is_empty() { "Torque card" } else { card.title.trim() };
    laid(card, family).pdf(title, &card.subtitle, "Check the maker's figures first. Torques as printed in the sheet.")
}

fn laid<'a>(card: &TorqueCard, family: &'a Family) -> Flow<'a> {
    let mut flow = Flow::new(family, Paper::A5, 8.8);
    head(&mut flow, &card.title, &card.subtitle, 17.0, card.demo);
    if let Some(input) = &card.section {
        flow.block(|sheet, column| section(sheet, column, input, 128.0));
    }
    for plug in &card.plugs {
        flow.block(|sheet, column| {
            plug_card(sheet, column, plug);
            made(sheet, column);
        });
    }
    flow
}

/// The side view with the plugs by name.
pub(crate) fn section(sheet: &mut Sheet, column: &mut Column<'_>, input: &draw::SectionInput, height: f64) {
    column.y += 4.0;
    let picture = draw::section_in(input, f64::from(column.width()), height, 7.6);
    let names: Vec<&str> = input.plugs.iter().map(|plug| plug.label.as_str()).collect();
    let words = format!("Side view of the sump, nose to the left, with its plugs: {}.", names.join(", "));
    sheet.picture(column.family, &picture, column.left, column.y, words);
    column.y += picture.height as f32 + 4.0;
}

fn words(x: f32, y: f32, size: f32, bold: bool, ink: Ink, text: &str) -> Mark {
    Mark::Words { x, y, size, bold, ink, text: text.to_owned() }
}

/// One plug: name and torque large, what belongs to it below.
pub(crate) fn plug_card(sheet: &mut Sheet, column: &mut Column<'_>, plug: &PlugCard) {
    let letter = column.density.letter;
    let (family, whole) = (column.family, usize::MAX);
    let large = letter * 1.35;
    sheet.rule(column.left, column.right, column.y + 3.0, 0.8, Ink::Black);
    column.y += 3.0;
    let torque = if plug.torque.trim().is_empty() { "torque not stated" } else { plug.torque.trim() };
    let torque_wide = family.width(torque, large, true);
    // Side by side where both fit, else one below the other.
    let beside = torque_wide + family.width(&plug.name, large, true) + letter <= column.width();
    let mut marks = Vec::new();
    for (text, ink) in [(plug.name.as_str(), Ink::Black), (torque, Ink::Accent)] {
        if ink == Ink::Accent && beside {
            marks.push(words(column.right - torque_wide, column.y, large, true, ink, text));
            continue;
        }
        for line in column.lines(text, large, true, column.width(), whole) {
            column.y += large * 1.25;
            marks.push(words(column.left, column.y, large, true, ink, &line));
        }
    }
    sheet.add(Part::Paragraph, marks);
    let names = plug.facts.iter().map(|fact| family.width(&fact.0, letter, false)).fold(0.0, f32::max) + letter;
    let names = names.min(column.width() * 0.4);
    for (name, value) in plug.facts.iter().filter(|fact| !fact.1.trim().is_empty()) {
        let first = column.y + letter * 1.3;
        let mut marks = Vec::new();
        for (i, line) in column.lines(name, letter, false, names - letter * 0.4, whole).iter().enumerate() {
            marks.push(words(column.left, first + i as f32 * letter * 1.3, letter, false, Ink::Grey, line));
        }
        let tall = marks.len();
        let lines = column.lines(value, letter, false, column.width() - names, whole);
        for (i, line) in lines.iter().enumerate() {
            marks.push(words(column.left + names, first + i as f32 * letter * 1.3, letter, false, Ink::Black, line));
        }
        column.y += tall.max(lines.len()) as f32 * letter * 1.3;
        sheet.add(Part::Row { head: false }, marks);
    }
    column.y += letter * 0.4;
}

/// Room for a pen: what was made, and the new seal.
fn made(sheet: &mut Sheet, column: &mut Column<'_>) {
    let letter = column.density.letter;
    column.y += letter * 1.5;
    let mut x = column.left;
    let mut marks = Vec::new();
    for (text, gap) in [("made", 76.0), ("N·m", 26.0), ("new seal", 0.0)] {
        if gap == 0.0 {
            tick_box(sheet, x, column.y, letter, false);
            x += letter * 1.3;
        }
        marks.push(words(x, column.y, letter, false, Ink::Grey, text));
        x += column.family.width(text, letter, false) + letter * 0.6;
        if gap > 30.0 {
            sheet.rule(x, x + gap, column.y + 1.5, 0.5, Ink::Black);
        }
        x += gap + letter * 0.6;
    }
    sheet.add(Part::Paragraph, marks);
    column.y += letter * 0.8;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn law_every_word_of_a_card_is_on_it_whole() {
        let family = Family::read().expect("the shipped font");
        let long = "in a place that is told at length, behind the pipe, above the flange, and hard to see".to_owned();
        let plug = |i: usize| PlugCard {
            name: format!("Plug number{i}"),
            torque: format!("{i}7 N·m (and a very long print of the same in other units, page {i})"),
            facts: vec![("place".into(), long.clone()), ("seal".into(), format!("washer{i}"))],
        };
        let card = TorqueCard { title: "T".into(), plugs: (0..14).map(plug).collect(), ..TorqueCard::default() };
        let flow = laid(&card, family);
        let bottom = Paper::A5.bottom;
        let mut all = String::new();
        for sheet in flow.sheets() {
            for (left, top, right, low, text) in sheet.words(family) {
                assert!(left >= Paper::A5.left - 0.1 && right <= Paper::A5.right + 0.1, "{text}");
                assert!(top >= Paper::A5.top - 5.0 && low <= bottom + 3.0, "{text} at {top} {low}");
                all.push_str(text);
                all.push(' ');
            }
        }
        assert!(flow.sheets().len() > 1 && !all.contains('…'));
        for i in 0..14 {
            assert!(all.contains(&format!("number{i}")) && all.contains(&format!("washer{i} ")), "{i}: {all}");
        }
        assert_eq!(all.matches("hard to see").count() + all.matches("hard to").count(), 28, "{all}");
    }
}
