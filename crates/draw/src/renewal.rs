//! The renewal bars: old and new fluid after 0…n passes.

use serde::{Deserialize, Serialize};

use crate::picture::{Hand, Pattern, Picture, Role, Size, rectangle};
use crate::text::{fit, one_line, text_width};

/// One bar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RenewalBar {
    /// Under the bar: "now", "1 pass".
    pub label: String,
    /// Part of the charge that is old fluid, 0 to 1.
    pub old_fraction: f64,
    /// Cost as printed, may be empty.
    pub cost: String,
    /// Blend age as printed, may be empty.
    pub age: String,
    /// The one the plan uses.
    pub chosen: bool,
}

/// Everything the renewal bars show.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RenewalInput {
    pub bars: Vec<RenewalBar>,
}

/// More passes than this are of no use to anyone; the picture says how many it leaves out.
const MOST_BARS: usize = 24;
/// Line spacing of words, in letters.
const LINE: f64 = 1.3;

/// The renewal bars at one of the usual sizes: upright bars where their words fit side by side, else one row a bar.
pub fn renewal(input: &RenewalInput, size: Size) -> Picture {
    let (width, height) = match size {
        Size::Narrow => (344.0, 200.0),
        Size::Wide => (520.0, 260.0),
        Size::Paper => (262.0, 120.0),
    };
    let letter = size.letter();
    let bars = &input.bars[..input.bars.len().min(MOST_BARS)];
    let left_out = input.bars.len() - bars.len();
    if bars.is_empty() {
        let mut picture = Picture::new(width, 4.0 * letter);
        picture.words(0.4 * letter, 2.4 * letter, Hand::new(letter, Role::Faint), "no passes to compare");
        return picture;
    }
    let slot = (width - 0.6 * letter) / bars.len() as f64;
    let widest = bars
        .iter()
        .flat_map(|b| [&b.label, &b.cost, &b.age])
        .map(|words| text_width(&one_line(words), letter, true))
        .fold(text_width("100 %", letter, true), f64::max);
    if left_out == 0 && widest + 0.5 * letter <= slot {
        upright(bars, width, height, letter)
    } else {
        rows(bars, left_out, width, letter)
    }
}

/// Part of old fluid as a whole percentage; a trace is not called none.
fn percent(bar: &RenewalBar) -> String {
    let part = bar.old_fraction;
    if !part.is_finite() {
        return "?".to_owned();
    }
    let percent = (part.clamp(0.0, 1.0) * 100.0).round();
    if percent == 0.0 && part > 0.0 { "< 1 %".to_owned() } else { format!("{percent:.0} %") }
}

fn part(bar: &RenewalBar) -> f64 {
    if bar.old_fraction.is_nan() { 0.0 } else { bar.old_fraction.clamp(0.0, 1.0) }
}

/// The two fluids of one bar: each has its own texture.
fn fill(picture: &mut Picture, old: &[(f64, f64)], new: &[(f64, f64)], letter: f64) {
    picture.area(new, Role::FluidNew, Pattern::Tone);
    picture.area(old, Role::FluidOld, Pattern::Tone);
    picture.area(old, Role::FluidOld, Pattern::Hatch { angle_deg: 45.0, spacing: 0.38 * letter });
}

fn upright(bars: &[RenewalBar], width: f64, height: f64, letter: f64) -> Picture {
    let mut picture = Picture::new(width, height);
    let slot = (width - 0.6 * letter) / bars.len() as f64;
    let lines = 1 + [bars.iter().any(|b| !b.cost.is_empty()), bars.iter().any(|b| !b.age.is_empty())]
        .into_iter()
        .filter(|&x| x)
        .count();
    key(&mut picture, letter);
    let top = 3.6 * letter;
    let bottom = height - (lines as f64 * LINE + 0.6) * letter;
    let half = (slot * 0.32).min(3.0 * letter);
    for (i, bar) in bars.iter().enumerate() {
        let x = 0.3 * letter + (i as f64 + 0.5) * slot;
        let border = bottom - part(bar) * (bottom - top);
        let old = rectangle(x - half, border, x + half, bottom);
        let new = rectangle(x - half, top, x + half, border);
        fill(&mut picture, &old, &new, letter);
        picture.line(&[(x - half, border), (x + half, border)], Role::FluidOld, 0.14 * letter);
        let pen = if bar.chosen { 0.26 } else { 0.1 } * letter;
        picture.outline(&rectangle(x - half, top, x + half, bottom), Role::Ink, pen);
        picture.words(x, top - 0.5 * letter, Hand::new(letter, Role::Ink).middle().bold(), &percent(bar));
        let mut y = bottom + 1.25 * letter;
        for (nth, words) in [&bar.label, &bar.cost, &bar.age].into_iter().enumerate() {
            if words.is_empty() {
                continue;
            }
            let mut hand = Hand::new(letter, if nth == 0 { Role::Ink } else { Role::Faint }).middle();
            hand.bold = bar.chosen && nth == 0;
            picture.words(x, y, hand, &one_line(words));
            y += LINE * letter;
        }
    }
    picture
}

fn rows(bars: &[RenewalBar], left_out: usize, width: f64, letter: f64) -> Picture {
    let row = 3.5 * letter;
    let rest = if left_out > 0 { 1.6 * letter } else { 0.0 };
    let mut picture = Picture::new(width, 2.2 * letter + bars.len() as f64 * row + rest);
    key(&mut picture, letter);
    let names = bars.iter().map(|b| text_width(&one_line(&b.label), letter, true)).fold(3.0 * letter, f64::max);
    let names = names.min(0.32 * width);
    let (left, right) = (names + 0.9 * letter, width - 4.2 * letter);
    for (i, bar) in bars.iter().enumerate() {
        let top = 2.2 * letter + i as f64 * row;
        let bottom = top + 1.4 * letter;
        let border = left + part(bar) * (right - left);
        fill(&mut picture, &rectangle(left, top, border, bottom), &rectangle(border, top, right, bottom), letter);
        picture.line(&[(border, top), (border, bottom)], Role::FluidOld, 0.14 * letter);
        let pen = if bar.chosen { 0.26 } else { 0.1 } * letter;
        picture.outline(&rectangle(left, top, right, bottom), Role::Ink, pen);
        let mut hand = Hand::new(letter, Role::Ink);
        hand.bold = bar.chosen;
        picture.words(0.3 * letter, top + 1.05 * letter, hand, &fit(&bar.label, letter, hand.bold, names));
        let percent_hand = Hand::new(letter, Role::Ink).end().bold();
        picture.words(width - 0.3 * letter, top + 1.05 * letter, percent_hand, &percent(bar));
        let under = [&bar.cost, &bar.age].into_iter().filter(|s| !s.is_empty()).map(|s| one_line(s));
        let under = fit(&under.collect::<Vec<_>>().join(" · "), letter, false, width - left - 0.3 * letter);
        picture.words(left, bottom + 1.15 * letter, Hand::new(letter, Role::Faint), &under);
    }
    if left_out > 0 {
        let y = picture.height - 0.6 * letter;
        picture.words(0.3 * letter, y, Hand::new(letter, Role::Faint), &format!("… {left_out} more"));
    }
    picture
}

/// What the two textures are.
fn key(picture: &mut Picture, letter: f64) {
    let mut x = 0.3 * letter;
    for (words, old) in [("old fluid, %", true), ("new fluid", false)] {
        let sample = rectangle(x, 0.4 * letter, x + 1.3 * letter, 1.4 * letter);
        let none: &[(f64, f64)] = &[];
        if old {
            fill(picture, &sample, none, letter);
        } else {
            fill(picture, none, &sample, letter);
        }
        picture.outline(&sample, Role::Ink, 0.08 * letter);
        picture.words(x + 1.7 * letter, 1.25 * letter, Hand::new(letter, Role::Faint), words);
        x += 2.7 * letter + text_width(words, letter, false);
    }
}
