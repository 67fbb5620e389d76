//! The tape: a strip chart that runs downward like paper from a recorder.

mod key;
mod margin;
mod mark;
mod scale;

use serde::{Deserialize, Serialize};

use crate::picture::{Hand, Pattern, Picture, Role, Size, drawable, rectangle};
use crate::text::fit;
use scale::Scale;

/// Where a temperature reading came from; each source has its own mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// Typed by hand from some display.
    Typed,
    /// Read from the vehicle's own temperature sensor.
    Reader,
    /// A probe in the fluid.
    Probe,
    /// An infrared thermometer on the pan.
    Infrared,
    /// Made by the simulator.
    Simulated,
}

/// One temperature reading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TapeReading {
    /// Seconds since the start of the tape.
    pub t_s: f64,
    /// Fluid temperature, °C.
    pub temp_c: f64,
    pub source: Source,
}

/// The forecast at one time: three quantiles of the temperature, °C.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct FanPoint {
    /// Seconds since the start of the tape.
    pub t_s: f64,
    pub p10: f64,
    pub p50: f64,
    pub p90: f64,
}

/// A predicted moment: three quantiles in seconds since the start of the tape.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Moment {
    pub p10: f64,
    pub p50: f64,
    pub p90: f64,
}

/// Everything the tape shows. Times are seconds since the start of the tape, temperatures °C whatever the reader prefers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TapeInput {
    /// Low and high edge of the window, °C; `None` for a unit whose level does not depend on temperature.
    pub window_c: Option<(f64, f64)>,
    pub readings: Vec<TapeReading>,
    /// The forecast ahead of now.
    pub fan: Vec<FanPoint>,
    /// The fitted curve: (seconds, °C).
    pub fitted: Vec<(f64, f64)>,
    /// When the window opens; past or future.
    pub opens_s: Option<Moment>,
    /// When the window closes; past or future.
    pub closes_s: Option<Moment>,
    /// Now; `None` for a finished job.
    pub now_s: Option<f64>,
    /// Log entries: (seconds, words).
    pub notches: Vec<(f64, String)>,
    /// Local time of day at the start of the tape, seconds after midnight; `None` to count minutes instead.
    pub start_clock_s: Option<f64>,
    /// Label temperatures in °F instead of °C.
    pub fahrenheit: bool,
}

/// The tape at one of the usual sizes. Draws what it can from any input; what is not a number is left out.
pub fn tape(input: &TapeInput, size: Size) -> Picture {
    let (width, height) = match size {
        Size::Narrow => (344.0, 300.0),
        Size::Wide => (520.0, 620.0),
        Size::Paper => (262.0, 300.0),
    };
    tape_in(input, width, height, size.letter())
}

/// The tape in a given room, picture units, with words of the given height. Rooms too small to draw in are widened to the
/// least that works, 24 × 18 letters.
pub fn tape_in(input: &TapeInput, width: f64, height: f64, letter: f64) -> Picture {
    let letter = if letter > 0.0 { letter.clamp(1.0, 200.0) } else { 12.0 };
    let width = drawable(width).max(24.0 * letter);
    let height = drawable(height).max(18.0 * letter);
    let input = &sound(input);
    let key = key::Key::new(input, width, letter);
    let face = Face {
        left: 4.4 * letter,
        right: width - 9.8 * letter,
        top: 2.2 * letter,
        bottom: height - key.height() - 0.5 * letter,
        letter,
    };
    let scale = Scale::new(input, &face);
    let mut picture = Picture::new(width, height);
    window(&mut picture, input, &face, &scale);
    scale.grid(&mut picture, input, &face);
    forecast(&mut picture, input, &face, &scale);
    curve(&mut picture, input, &face, &scale);
    mark::readings(&mut picture, input, &face, &scale);
    margin::margin(&mut picture, input, &face, &scale);
    picture.outline(&rectangle(face.left, face.top, face.right, face.bottom), Role::Ink, letter * 0.1);
    if input.readings.is_empty() && input.fitted.is_empty() {
        let hand = Hand::new(letter, Role::Faint).middle().halo();
        let (x, y) = ((face.left + face.right) / 2.0, (face.top + face.bottom) / 2.0);
        picture.words(x, y, hand, &fit("no reading", letter, false, face.right - face.left));
    }
    key.draw(&mut picture, height);
    picture
}

/// The part of the picture on which curves are drawn.
struct Face {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    letter: f64,
}

/// The input without what is not a number or no window of any fluid; window edges in order.
fn sound(input: &TapeInput) -> TapeInput {
    let moment = |m: Option<Moment>| m.filter(|m| m.p10.is_finite() && m.p50.is_finite() && m.p90.is_finite());
    let mut clean = input.clone();
    clean.window_c =
        input.window_c.filter(|w| w.0.abs() <= 1_000.0 && w.1.abs() <= 1_000.0).map(|(a, b)| (a.min(b), a.max(b)));
    clean.readings.retain(|r| r.t_s.is_finite() && r.temp_c.is_finite());
    clean.fan.retain(|f| [f.t_s, f.p10, f.p50, f.p90].iter().all(|x| x.is_finite()));
    clean.fitted.retain(|p| p.0.is_finite() && p.1.is_finite());
    clean.notches.retain(|n| n.0.is_finite());
    clean.opens_s = moment(input.opens_s);
    clean.closes_s = moment(input.closes_s);
    clean.now_s = input.now_s.filter(|t| t.is_finite());
    clean.start_clock_s = input.start_clock_s.filter(|t| t.is_finite()).map(|t| t.rem_euclid(86_400.0));
    clean
}

fn window(picture: &mut Picture, input: &TapeInput, face: &Face, scale: &Scale) {
    let Some((low, high)) = input.window_c else { return };
    let band = rectangle(scale.x(low), face.top, scale.x(high), face.bottom);
    picture.area(&band, Role::Window, Pattern::Tone);
    picture.area(&band, Role::Window, Pattern::Hatch { angle_deg: 45.0, spacing: face.letter * 0.7 });
    for x in [scale.x(low), scale.x(high)] {
        picture.line(&[(x, face.top), (x, face.bottom)], Role::Window, face.letter * 0.14);
    }
}

fn forecast(picture: &mut Picture, input: &TapeInput, face: &Face, scale: &Scale) {
    let from = input.now_s.unwrap_or(f64::NEG_INFINITY);
    let ahead: Vec<&FanPoint> = input.fan.iter().filter(|f| f.t_s >= from && scale.shows(f.t_s)).collect();
    let low = ahead.iter().map(|f| (scale.x(f.p10), scale.y(f.t_s)));
    let high = ahead.iter().rev().map(|f| (scale.x(f.p90), scale.y(f.t_s)));
    picture.area(&low.chain(high).collect::<Vec<_>>(), Role::Forecast, Pattern::Tone);
    let middle: Vec<_> = ahead.iter().map(|f| (scale.x(f.p50), scale.y(f.t_s))).collect();
    picture.dashes(&middle, Role::Forecast, face.letter * 0.16);
}

/// The fitted curve up to now; without one, the readings joined.
fn curve(picture: &mut Picture, input: &TapeInput, face: &Face, scale: &Scale) {
    let until = input.now_s.unwrap_or(f64::INFINITY);
    let shown = |t: f64| t <= until && scale.shows(t);
    if input.fitted.is_empty() {
        let mut points: Vec<(f64, f64)> = input.readings.iter().map(|r| (r.t_s, r.temp_c)).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let points: Vec<_> = points.iter().filter(|p| scale.shows(p.0)).map(|p| (scale.x(p.1), scale.y(p.0))).collect();
        picture.line(&points, Role::Faint, face.letter * 0.09);
    } else {
        let points: Vec<_> = input.fitted.iter().filter(|p| shown(p.0)).map(|p| (scale.x(p.1), scale.y(p.0))).collect();
        picture.line(&points, Role::Ink, face.letter * 0.16);
    }
}
