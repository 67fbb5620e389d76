//! A chart as SVG text: axes with units, lines for what the program computes, rings for what something else computed.

use std::fmt::Write;

const WIDTH: f64 = 680.0;
const HEIGHT: f64 = 430.0;
/// Left, top, right and bottom edge of the plot.
const FRAME: [f64; 4] = [74.0, 44.0, 660.0, 374.0];

/// How an axis is divided.
#[derive(Clone, Copy, PartialEq)]
pub enum Scale {
    Linear,
    Log,
}

/// One axis: what it carries with its unit, its range, its ticks.
pub struct Axis {
    pub label: &'static str,
    pub scale: Scale,
    pub low: f64,
    pub high: f64,
    pub ticks: Vec<f64>,
}

impl Axis {
    /// Ticks every `step` from `low` to `high`.
    pub fn linear(label: &'static str, low: f64, high: f64, step: f64) -> Self {
        let count = ((high - low) / step).round() as i32;
        let ticks = (0..=count).map(|i| low + step * f64::from(i)).collect();
        Self { label, scale: Scale::Linear, low, high, ticks }
    }

    /// Ticks at the powers of ten; with fewer than three decades at 2 and 5 as well.
    pub fn log(label: &'static str, low: f64, high: f64) -> Self {
        let steps: &[f64] = if high < 1000.0 * low { &[1.0, 2.0, 5.0] } else { &[1.0] };
        let decades = low.log10().floor() as i32..=high.log10().ceil() as i32;
        let all = decades.flat_map(|i| steps.iter().map(move |s| s * 10f64.powi(i)));
        let ticks = all.filter(|t| (low * 0.999..=high * 1.001).contains(t)).collect();
        Self { label, scale: Scale::Log, low, high, ticks }
    }

    /// Where a value lies between the two ends, 0 to 1.
    fn share(&self, value: f64) -> f64 {
        match self.scale {
            Scale::Linear => (value - self.low) / (self.high - self.low),
            Scale::Log => (value / self.low).ln() / (self.high / self.low).ln(),
        }
    }
}

/// The colours, each readable on the ground.
pub const BLUE: &str = "#1c5fa8";
pub const RED: &str = "#a01f3c";
pub const GREEN: &str = "#2c6e3f";
pub const BROWN: &str = "#8a5a00";
pub const VIOLET: &str = "#5b4a9e";
pub const INK: &str = "#16212b";

pub struct Chart {
    x: Axis,
    y: Axis,
    title: String,
    body: String,
}

impl Chart {
    pub fn new(title: &str, x: Axis, y: Axis) -> Self {
        Self { x, y, title: title.to_owned(), body: String::new() }
    }

    fn place(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let [left, top, right, bottom] = FRAME;
        (left + self.x.share(x) * (right - left), bottom - self.y.share(y) * (bottom - top))
    }

    fn path(&self, points: &[(f64, f64)]) -> String {
        let mut path = String::new();
        for (i, point) in points.iter().enumerate() {
            let (x, y) = self.place(*point);
            let _ = write!(path, "{}{x:.1} {y:.1}", if i == 0 { 'M' } else { 'L' });
        }
        path
    }

    /// A line of ours.
    pub fn line(&mut self, colour: &str, points: &[(f64, f64)]) {
        let path = self.path(points);
        let _ = write!(self.body, "<path d=\"{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"1.8\"/>");
    }

    /// A line to compare with.
    pub fn dashes(&mut self, colour: &str, points: &[(f64, f64)]) {
        let path = self.path(points);
        let _ = write!(
            self.body,
            "<path d=\"{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"1.5\" stroke-dasharray=\"6 4\"/>"
        );
    }

    /// A closed outline, toned.
    pub fn area(&mut self, colour: &str, points: &[(f64, f64)]) {
        let path = self.path(points);
        let _ = write!(self.body, "<path d=\"{path}Z\" fill=\"{colour}\" fill-opacity=\"0.18\"/>");
    }

    /// Reference values.
    pub fn rings(&mut self, colour: &str, points: &[(f64, f64)]) {
        for point in points {
            let (x, y) = self.place(*point);
            let _ = write!(
                self.body,
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"1.5\"/>"
            );
        }
    }

    /// Words at a place of the plot; `anchor` is start, middle or end.
    pub fn words(&mut self, colour: &str, at: (f64, f64), anchor: &str, text: &str) {
        let (x, y) = self.place(at);
        let _ = write!(
            self.body,
            "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" font-size=\"12.5\" fill=\"{colour}\" \
             stroke=\"#fffef9\" stroke-width=\"3\" stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
            escaped(text)
        );
    }

    /// The whole picture.
    pub fn svg(self) -> String {
        let [left, top, right, bottom] = FRAME;
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" height=\"{HEIGHT}\" \
             role=\"img\" font-family=\"system-ui,'DejaVu Sans',sans-serif\"><title>{title}</title>\
             <rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#fffef9\"/>\
             <text x=\"{left}\" y=\"26\" font-size=\"15\" font-weight=\"700\" fill=\"{INK}\">{title}</text>",
            title = escaped(&self.title)
        );
        let decimals = |axis: &Axis| axis.ticks.windows(2).map(|w| places(w[1] - w[0])).max().unwrap_or(0);
        for tick in &self.x.ticks {
            let (x, _) = self.place((*tick, self.y.low));
            let text = tick_text(&self.x, *tick, decimals(&self.x));
            let _ = write!(
                out,
                "<path d=\"M{x:.1} {top}V{bottom}\" stroke=\"#dde1e4\"/>\
                 <text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\" font-size=\"12\" fill=\"{INK}\">{text}</text>",
                bottom + 17.0
            );
        }
        for tick in &self.y.ticks {
            let (_, y) = self.place((self.x.low, *tick));
            let text = tick_text(&self.y, *tick, decimals(&self.y));
            let _ = write!(
                out,
                "<path d=\"M{left} {y:.1}H{right}\" stroke=\"#dde1e4\"/>\
                 <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\" font-size=\"12\" fill=\"{INK}\">{text}</text>",
                left - 7.0,
                y + 4.0
            );
        }
        let _ = writeln!(
            out,
            "<path d=\"M{left} {top}V{bottom}H{right}\" fill=\"none\" stroke=\"{INK}\"/>\
             <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\" font-size=\"13\" fill=\"{INK}\">{}</text>\
             <text transform=\"translate(18 {:.1}) rotate(-90)\" text-anchor=\"middle\" font-size=\"13\" fill=\"{INK}\">{}</text>\
             {}</svg>",
            (left + right) / 2.0,
            bottom + 42.0,
            escaped(self.x.label),
            (top + bottom) / 2.0,
            escaped(self.y.label),
            self.body
        );
        out
    }
}

fn places(step: f64) -> usize {
    (0..6).find(|n| ((step * 10f64.powi(*n)) - (step * 10f64.powi(*n)).round()).abs() < 1e-6).unwrap_or(6) as usize
}

fn tick_text(axis: &Axis, tick: f64, decimals: usize) -> String {
    let places = if axis.scale == Scale::Log { (-tick.log10().floor()).max(0.0) as usize } else { decimals };
    let text = format!("{tick:.places$}");
    // A typographic minus, and none before zero.
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// `count` values from `from` to `to`, evenly on the scale.
pub fn along(scale: Scale, from: f64, to: f64, count: u32) -> impl Iterator<Item = f64> {
    (0..=count).map(move |i| {
        let share = f64::from(i) / f64::from(count);
        match scale {
            Scale::Linear => from + (to - from) * share,
            Scale::Log => from * (to / from).powf(share),
        }
    })
}
