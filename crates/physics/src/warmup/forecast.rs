//! What goes into a forecast and what comes out: the types, and nothing else.

use quantity::{Duration, Temperature, TemperatureDifference, TemperatureRate, Uncertain};
use serde::Serialize;

/// One temperature as the display showed it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadingPoint {
    /// Seconds on the log's own axis; any origin.
    pub elapsed_s: f64,
    /// What was shown.
    pub temperature: Temperature,
    /// The step of the display when it is known (1 K, 0.1 K, 1 °F); else it is found from the readings.
    pub quantum: Option<TemperatureDifference>,
    /// What the engine's coolant showed at the same moment, when it is read too.
    pub coolant: Option<Temperature>,
}

impl ReadingPoint {
    /// A reading in seconds and degrees Celsius from a display whose step is not known.
    pub const fn new(elapsed_s: f64, celsius: f64) -> Self {
        Self { elapsed_s, temperature: Temperature::from_celsius(celsius), quantum: None, coolant: None }
    }
}

/// What earlier warm-ups of the same kind of unit taught; each with its standard uncertainty.
/// The uncertainty of `end` is a difference, held as that many degrees Celsius.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct UnitHistory {
    /// Time constant of the approach to the end temperature.
    pub time_constant: Uncertain<Duration>,
    /// Temperature at which the warm-up levels off at this idle.
    pub end: Uncertain<Temperature>,
    /// Time constant of the source that warms ahead of the fluid.
    pub lag: Uncertain<Duration>,
}

/// What is known beside the readings. Everything may be absent.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Knowledge {
    /// Air around the vehicle.
    pub ambient: Option<Temperature>,
    /// When the engine was started, seconds on the readings' axis.
    pub engine_started_s: Option<f64>,
    /// What this kind of unit did before.
    pub unit_history: Option<UnitHistory>,
}

/// An 80 % interval with its median, always p10 ≤ p50 ≤ p90 and finite.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Interval<T = f64> {
    /// One outcome in ten lies below.
    pub p10: T,
    /// As many above as below.
    pub p50: T,
    /// One outcome in ten lies above.
    pub p90: T,
}

impl<T: Copy> Interval<T> {
    /// The same interval seen through `f`, which must keep the order.
    pub fn map<U>(self, f: impl Fn(T) -> U) -> Interval<U> {
        Interval { p10: f(self.p10), p50: f(self.p50), p90: f(self.p90) }
    }
}

/// Whether the window opens at this idle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Reaches {
    /// At least nine outcomes in ten.
    Yes,
    /// In between: the intervals hold *if* it does.
    Unsure,
    /// At most one outcome in ten.
    No,
}

/// Something the reader must know about a forecast, with a permanent code.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// Permanent code, see [`crate::warmup::FINDING_CODES`].
    pub code: &'static str,
    /// What was seen, why it matters, what to do.
    pub message: String,
}

/// The fan at one time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FanPoint {
    /// Seconds on the readings' axis.
    pub t_s: f64,
    /// One outcome in ten is colder.
    pub p10: Temperature,
    /// Median.
    pub p50: Temperature,
    /// One outcome in ten is warmer.
    pub p90: Temperature,
}

/// When the window opens and closes. Serialises with the unit in each key.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Forecast {
    /// Time of the last reading, seconds on the readings' axis; every time below is on that axis.
    pub now_s: f64,
    /// Last temperature shown.
    #[serde(rename = "temperature_c")]
    pub temperature: Temperature,
    /// How fast it changes now; `None` with a single reading.
    #[serde(rename = "rate_c_per_min")]
    pub rate: Option<TemperatureRate>,
    /// Whether the window opens.
    pub reaches: Reaches,
    /// When it opens, given that it does; `None` when open, past, or not to be said.
    pub opens_s: Option<Interval>,
    /// When it closes, given that it does; `None` when past, when the warm-up ends inside, or not to be said.
    pub closes_s: Option<Interval>,
    /// How long it stays open (from now, when already inside).
    pub dwell_s: Option<Interval>,
    /// Where the warm-up levels off.
    #[serde(rename = "ends_at_c")]
    pub ends_at: Option<Interval<Temperature>>,
    /// Share of outcomes in which the window does not open within [`crate::warmup::HORIZON`].
    pub probability_never: f64,
    /// When missed (already past): seconds from now until it has cooled back to the high edge, engine off.
    pub back_s: Option<Interval>,
    /// Which model answered.
    pub model: &'static str,
    /// What the reader must know.
    pub findings: Vec<Finding>,
    /// The fan from now to past the closing.
    pub curve: Vec<FanPoint>,
}
