//! The tape: a strip chart that runs downward like paper from a recorder.

use serde::{Deserialize, Serialize};

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
