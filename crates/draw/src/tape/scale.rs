//! Which times and temperatures the tape shows, and where.

use super::{Face, TapeInput};
use crate::picture::{Hand, Picture, Role};
use crate::text::text_width;

/// Entries further from now than this are not of this tape.
const LONGEST_S: f64 = 48.0 * 3600.0;
/// A forecast further ahead than this would squeeze what has been measured into nothing.
const AHEAD_S: f64 = 3.0 * 3600.0;
/// A tape shorter than this is drawn as if it were this long.
const SHORTEST_S: f64 = 300.0;
/// Readings beyond these are drawn at the edge, °C.
const COLDEST_C: f64 = -60.0;
const HOTTEST_C: f64 = 250.0;

/// No scale has more lines than this, whatever it is asked to show.
const MOST_LINES: u32 = 500;

const TIME_STEPS_S: [f64; 12] =
    [60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0, 7200.0, 14400.0, 21600.0, 43200.0, 86400.0];
const DEGREE_STEPS: [f64; 7] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];

pub(super) struct Scale {
    t_low: f64,
    t_high: f64,
    c_low: f64,
    c_high: f64,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

impl Scale {
    pub(super) fn new(input: &TapeInput, face: &Face) -> Self {
        let (t_low, t_high) = times(input);
        let (c_low, c_high) = temperatures(input, t_low, t_high);
        Scale { t_low, t_high, c_low, c_high, left: face.left, right: face.right, top: face.top, bottom: face.bottom }
    }

    /// Where a temperature lies across; what is off the scale lies at its edge.
    pub(super) fn x(&self, temp_c: f64) -> f64 {
        let part = (temp_c - self.c_low) / (self.c_high - self.c_low);
        self.left + part.clamp(0.0, 1.0) * (self.right - self.left)
    }

    /// Where a time lies down; what is off the scale lies at its edge.
    pub(super) fn y(&self, t_s: f64) -> f64 {
        let part = (t_s - self.t_low) / (self.t_high - self.t_low);
        self.top + part.clamp(0.0, 1.0) * (self.bottom - self.top)
    }

    pub(super) fn shows(&self, t_s: f64) -> bool {
        (self.t_low..=self.t_high).contains(&t_s)
    }

    pub(super) fn shows_c(&self, temp_c: f64) -> bool {
        (self.c_low..=self.c_high).contains(&temp_c)
    }

    /// Time lines with their labels at the left, temperature lines with their labels at the top.
    pub(super) fn grid(&self, picture: &mut Picture, input: &TapeInput, face: &Face) {
        self.time_lines(picture, input, face);
        self.temperature_lines(picture, input, face);
    }

    fn time_lines(&self, picture: &mut Picture, input: &TapeInput, face: &Face) {
        let letter = face.letter;
        let room = ((face.bottom - face.top) / (2.4 * letter)).max(1.0);
        let span = self.t_high - self.t_low;
        let step = TIME_STEPS_S.into_iter().find(|s| span / s <= room).unwrap_or(LONGEST_S);
        let start = input.start_clock_s.unwrap_or(0.0);
        let first = ((self.t_low + start) / step).ceil() * step - start;
        for t in (0..MOST_LINES).map(|k| first + f64::from(k) * step).take_while(|&t| t <= self.t_high) {
            let y = self.y(t);
            picture.line(&[(face.left, y), (face.right, y)], Role::Grid, letter * 0.07);
            let words = if input.start_clock_s.is_some() { clock(t + start, false) } else { elapsed(t) };
            let baseline = (y + 0.35 * letter).min(face.bottom);
            picture.words(face.left - 0.9 * letter, baseline, Hand::new(letter * 0.92, Role::Faint).end(), &words);
        }
    }

    fn temperature_lines(&self, picture: &mut Picture, input: &TapeInput, face: &Face) {
        let letter = face.letter;
        let baseline = face.top - 0.55 * letter;
        let hand = Hand::new(letter * 0.92, Role::Faint);
        let unit = if input.fahrenheit { "°F" } else { "°C" };
        picture.words(0.4 * letter, baseline, hand, unit);
        let free = 0.8 * letter + text_width(unit, hand.size, false);
        let mut taken = self.window_edges(picture, input, (free, baseline), letter);
        taken.push((0.0, free));
        let (low, high) = (shown(self.c_low, input), shown(self.c_high, input));
        let room = ((face.right - face.left) / (3.4 * letter)).max(1.0);
        let step = DEGREE_STEPS.into_iter().find(|s| (high - low) / s <= room).unwrap_or(200.0);
        let first = (low / step).ceil() * step;
        for degrees in (0..MOST_LINES).map(|k| first + f64::from(k) * step).take_while(|&d| d <= high) {
            let x = self.x(unshown(degrees, input));
            picture.line(&[(x, face.top), (x, face.bottom)], Role::Grid, letter * 0.07);
            let words = whole(degrees);
            let half = text_width(&words, hand.size, false) / 2.0 + 0.2 * letter;
            if taken.iter().all(|&(a, b)| x + half < a || x - half > b) {
                picture.words(x, baseline, hand.middle(), &words);
                taken.push((x - half, x + half));
            }
        }
    }

    /// The edges of the window in bold above the band, right of `free`; gives back the room they take.
    fn window_edges(
        &self,
        picture: &mut Picture,
        input: &TapeInput,
        (free, baseline): (f64, f64),
        letter: f64,
    ) -> Vec<(f64, f64)> {
        let Some((low, high)) = input.window_c else { return Vec::new() };
        let hand = Hand::new(letter, Role::Window).middle().bold();
        let room = |x: f64, words: &str| {
            let half = text_width(words, letter, true) / 2.0 + 0.3 * letter;
            let x = x.max(free + half);
            (x - half, x + half)
        };
        let (low_words, high_words) = (tidy(shown(low, input)), tidy(shown(high, input)));
        let mut labels = vec![(self.x(low), low_words.clone()), (self.x(high), high_words.clone())];
        if room(labels[0].0, &low_words).1 >= room(labels[1].0, &high_words).0 {
            labels = vec![((self.x(low) + self.x(high)) / 2.0, format!("{low_words}–{high_words}"))];
        }
        let mut taken = Vec::new();
        for (x, words) in labels {
            let (from, to) = room(x, &words);
            picture.words((from + to) / 2.0, baseline, hand, &words);
            taken.push((from, to));
        }
        taken
    }
}

fn times(input: &TapeInput) -> (f64, f64) {
    let entries = || input.readings.iter().map(|r| r.t_s).chain(input.notches.iter().map(|n| n.0));
    let latest = entries().filter(|t| t.abs() < 1e9).fold(f64::NEG_INFINITY, f64::max);
    let anchor = input.now_s.unwrap_or(latest);
    let anchor = if anchor.abs() < 1e9 { anchor } else { 0.0 };
    let near = |t: &f64| (t - anchor).abs() <= LONGEST_S;
    let low = entries().filter(near).fold(anchor, f64::min);
    let known = entries().filter(near).fold(anchor, f64::max);
    let mut high = known;
    for moment in [input.opens_s, input.closes_s].into_iter().flatten() {
        for t in [moment.p50, moment.p90 + 0.15 * (moment.p90 - moment.p50).max(0.0)] {
            if t <= anchor + AHEAD_S {
                high = high.max(t);
            }
        }
    }
    if high <= known {
        let fan_end = input.fan.iter().map(|f| f.t_s).fold(known, f64::max);
        high = fan_end.min(known + AHEAD_S);
    }
    high = high.max(low + SHORTEST_S);
    let margin = 0.03 * (high - low);
    (low - margin, high + margin)
}

fn temperatures(input: &TapeInput, t_low: f64, t_high: f64) -> (f64, f64) {
    let seen = |t: f64| (t_low..=t_high).contains(&t);
    let mut all: Vec<f64> = input.readings.iter().filter(|r| seen(r.t_s)).map(|r| r.temp_c).collect();
    all.extend(input.fan.iter().filter(|f| seen(f.t_s)).flat_map(|f| [f.p10, f.p90]));
    all.extend(input.fitted.iter().filter(|p| seen(p.0)).map(|p| p.1));
    match input.window_c {
        Some((low, high)) => all.extend([low - 3.0, high + 3.0]),
        None if all.is_empty() => all.extend([20.0, 80.0]),
        None => {}
    }
    let held = || all.iter().map(|c| c.clamp(COLDEST_C, HOTTEST_C));
    let low = held().fold(f64::INFINITY, f64::min);
    let high = held().fold(f64::NEG_INFINITY, f64::max);
    let margin = (0.05 * (high - low)).max((12.0 - (high - low)) / 2.0).max(1.0);
    (low - margin, high + margin)
}

fn shown(temp_c: f64, input: &TapeInput) -> f64 {
    if input.fahrenheit { temp_c * 1.8 + 32.0 } else { temp_c }
}

fn unshown(degrees: f64, input: &TapeInput) -> f64 {
    if input.fahrenheit { (degrees - 32.0) / 1.8 } else { degrees }
}

/// A whole number with a real minus sign.
fn whole(x: f64) -> String {
    let x = x.round();
    if x < 0.0 { format!("−{}", -x) } else { format!("{}", x.abs()) }
}

/// At most one decimal, none where it would be 0.
pub(super) fn tidy(x: f64) -> String {
    let tenths = (x * 10.0).round() / 10.0;
    if tenths == tenths.round() {
        whole(tenths)
    } else if tenths < 0.0 {
        format!("−{:.1}", -tenths)
    } else {
        format!("{tenths:.1}")
    }
}

/// A temperature as the reader of the tape wants it.
pub(super) fn degrees(temp_c: f64, input: &TapeInput) -> String {
    tidy(shown(temp_c, input))
}

/// Time of day from seconds after midnight.
pub(super) fn clock(seconds: f64, with_seconds: bool) -> String {
    let whole = seconds.rem_euclid(86_400.0).floor() as u64;
    let (h, m, s) = (whole / 3600, whole / 60 % 60, whole % 60);
    if with_seconds { format!("{h:02}:{m:02}:{s:02}") } else { format!("{h:02}:{m:02}") }
}

/// Minutes since the start, on the axis.
fn elapsed(t_s: f64) -> String {
    let minutes = (t_s / 60.0).round();
    if minutes.abs() < 100.0 {
        format!("{} min", whole(minutes))
    } else {
        let sign = if minutes < 0.0 { "−" } else { "" };
        format!("{sign}{}:{:02} h", (minutes.abs() / 60.0).floor(), minutes.abs() % 60.0)
    }
}
