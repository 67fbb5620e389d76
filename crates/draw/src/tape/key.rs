//! The key below the tape: only what this tape shows.

use super::{TapeInput, mark, scale};
use crate::picture::{Hand, Pattern, Picture, Role, rectangle};
use crate::text::{fit, text_width};

enum Sign {
    Mark(super::Source),
    Window,
    Forecast,
}

pub(super) struct Key {
    /// Rows of (left end, sign, words).
    rows: Vec<Vec<(f64, Sign, String)>>,
    letter: f64,
}

impl Key {
    pub(super) fn new(input: &TapeInput, width: f64, letter: f64) -> Self {
        let mut entries = Vec::new();
        if let Some((low, high)) = input.window_c {
            let (low, high) = (scale::degrees(low, input), scale::degrees(high, input));
            let unit = if input.fahrenheit { "°F" } else { "°C" };
            entries.push((Sign::Window, format!("window {low}–{high} {unit}")));
        }
        for source in mark::SOURCES {
            if input.readings.iter().any(|r| r.source == source) {
                entries.push((Sign::Mark(source), mark::word(source).to_owned()));
            }
        }
        if input.fan.len() > 1 {
            entries.push((Sign::Forecast, "forecast, 8 in 10".to_owned()));
        }
        let margin = 0.4 * letter;
        let mut rows: Vec<Vec<(f64, Sign, String)>> = Vec::new();
        let mut x = margin;
        for (sign, words) in entries {
            let words = fit(&words, letter * 0.92, false, width - 2.6 * letter);
            let wide = 1.7 * letter + text_width(&words, letter * 0.92, false);
            if rows.is_empty() || x + wide > width - margin {
                rows.push(Vec::new());
                x = margin;
            }
            if let Some(row) = rows.last_mut() {
                row.push((x, sign, words));
            }
            x += wide + letter;
        }
        Key { rows, letter }
    }

    pub(super) fn height(&self) -> f64 {
        self.rows.len() as f64 * 1.5 * self.letter
    }

    pub(super) fn draw(&self, picture: &mut Picture, height: f64) {
        let letter = self.letter;
        for (i, row) in self.rows.iter().enumerate() {
            let y = height - self.height() + (i as f64 + 0.5) * 1.5 * letter;
            for (x, sign, words) in row {
                let middle = (x + 0.6 * letter, y);
                let (left, right) = (x + 0.05 * letter, x + 1.25 * letter);
                let sample = rectangle(left, y - 0.42 * letter, right, y + 0.42 * letter);
                match sign {
                    Sign::Mark(source) => mark::mark(picture, *source, middle, 0.4 * letter),
                    Sign::Window => {
                        picture.area(&sample, Role::Window, Pattern::Tone);
                        let pattern = Pattern::Hatch { angle_deg: 45.0, spacing: 0.4 * letter };
                        picture.area(&sample, Role::Window, pattern);
                        picture.outline(&sample, Role::Window, 0.08 * letter);
                    }
                    Sign::Forecast => {
                        picture.area(&sample, Role::Forecast, Pattern::Tone);
                        picture.dashes(&[(left, y), (right, y)], Role::Forecast, 0.14 * letter);
                    }
                }
                let hand = Hand::new(letter * 0.92, Role::Faint);
                picture.words(x + 1.7 * letter, y + 0.33 * letter, hand, words);
            }
        }
    }
}
