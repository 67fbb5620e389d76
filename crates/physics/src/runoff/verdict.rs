//! What to do now, from what is seen at the open level plug.

use super::{COUNTABLE_DROPS, DROP, STREAM_BREAKS, THIN_STREAM};
use crate::{Limits, PhysicsError, expansion};
use quantity::{Duration, Flow, Span, Temperature, Volume};

/// A drip of up to this many times the expansion flow is taken for expansion.
pub const CLOSE_FACTOR: f64 = 1.5;
/// What comes in the first seconds may be the standpipe's own content, s.
const FIRST_GUSH: f64 = 5.0;
/// A warming unit that expands by this much, mL/min, must drip once its level stands at the lip.
const MUST_DRIP: f64 = 3.0;

/// Flows that can have been measured.
pub static MEASURED: Limits = Limits::new("measured flow", "mL/min", 0.0, 10_000.0);
/// Drops per minute that a person can have counted.
pub static DROPS_PER_MINUTE: Limits = Limits::new("drops per minute", "1/min", 0.0, 1000.0);
/// Expansion flow; negative while the unit cools.
pub static EXPANSION: Limits = Limits::new("expansion flow", "mL/min", -1000.0, 1000.0);

/// How the run-off looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FlowSeen {
    /// A full stream, 2 mL/s or more.
    Stream,
    /// A thin stream, 0.5 to 2 mL/s.
    ThinStream,
    /// Drops, not counted.
    Drops,
    /// Drops, counted over a minute.
    DropsPerMinute(f64),
    /// A flow that was measured, for instance by weighing the pan twice; see [`super::weighed_flow`].
    Measured(Flow),
    /// Nothing comes.
    Nothing,
}

/// One look at the open level plug.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// What comes.
    pub seen: FlowSeen,
    /// True when fluid ran since the plug was opened.
    pub has_run: bool,
    /// Since the plug was opened, if known.
    pub open_for: Option<Duration>,
    /// The latest time at which the stream should have broken, from the forecast, if there is one.
    pub breaks_by: Option<Duration>,
    /// Flow by expansion alone.
    pub expansion: Flow,
    /// Volume of one drop.
    pub drop: Volume,
    /// Fluid temperature now.
    pub temperature: Temperature,
    /// Where the level may be set.
    pub window: Span<Temperature>,
}

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Keep looking.
    Wait,
    /// The surplus is gone: close.
    CloseNow,
    /// What still drips is expansion: close.
    ItIsExpansion,
    /// The level is below the lip: close, add, repeat.
    AddAndRepeat,
    /// Above the window: close, cool, add, repeat.
    TooHotCloseCoolAddRepeat,
    /// What is seen contradicts what is known: close and find out why.
    SomethingIsWrong,
}

/// What to do, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// What to do.
    pub verdict: Verdict,
    /// Why, with the figures.
    pub reason: String,
}

/// What to do now: wait, close, add, or cool and repeat.
///
/// A counted drip q = n v is expansion while q ≤ 1.5 β V dT/dt; above the window nothing is ever done.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | n, q | `seen` | 1/min, mL/min | 0 to 1000, 0 to 10 000 |
/// | v | `drop` | mL | 0.005 to 0.5 |
/// | β V dT/dt | `expansion` | mL/min | −1000 to 1000 |
/// | T | `temperature` | °C | −50 to 150 |
///
/// # Source
/// Common practice, no source: stream breaks to drops inside the window. Expansion as [`expansion::expansion_flow`]; the
/// factor 1.5 allows for drops of unknown size.
///
/// # Errors
/// Any argument outside its range; a window with reversed ends.
///
/// # Example
/// 9 L, 0.00075 per K, 1.8 K/min give 12.15 mL/min; 243 drops of 0.05 mL are 12.15 mL/min: it is expansion, close.
/// ```
/// use physics::runoff::{FlowSeen, Look, Verdict, verdict};
/// use quantity::{Flow, Span, Temperature, Volume};
/// let look = Look {
///     seen: FlowSeen::DropsPerMinute(243.0),
///     has_run: true,
///     open_for: None,
///     breaks_by: None,
///     expansion: Flow::from_ml_per_minute(12.15),
///     drop: Volume::from_ml(0.05),
///     temperature: Temperature::from_celsius(40.0),
///     window: Span { low: Temperature::from_celsius(35.0), high: Temperature::from_celsius(45.0) },
/// };
/// assert_eq!(verdict(&look).unwrap().verdict, Verdict::ItIsExpansion);
/// ```
pub fn verdict(look: &Look) -> Result<Judgement, PhysicsError> {
    let t = expansion::TEMPERATURE.check(look.temperature.celsius())?;
    let low = expansion::TEMPERATURE.check(look.window.low.celsius())?;
    let high = expansion::TEMPERATURE.check(look.window.high.celsius())?;
    let swell = EXPANSION.check(look.expansion.ml_per_minute())?;
    let drop = DROP.check(look.drop.ml())?;
    if low > high {
        return Err(PhysicsError::Contradiction(format!(
            "the window runs from {low} °C down to {high} °C; swap its ends"
        )));
    }
    let seen = match look.seen {
        FlowSeen::DropsPerMinute(n) if DROPS_PER_MINUTE.check(n)? == 0.0 => FlowSeen::Nothing,
        FlowSeen::Measured(flow) => by_flow(MEASURED.check(flow.ml_per_minute())?),
        seen => seen,
    };
    let (verdict, reason) = if t > high {
        (Verdict::TooHotCloseCoolAddRepeat, too_hot(seen, t, high))
    } else if t < low {
        (Verdict::Wait, too_cold(seen, t, low))
    } else {
        match seen {
            FlowSeen::Stream | FlowSeen::ThinStream => streaming(look, seen),
            FlowSeen::Drops => uncounted(swell, drop),
            FlowSeen::DropsPerMinute(n) => dripping(format!("{n:.0} drops per minute are"), n * drop, swell),
            FlowSeen::Measured(flow) => dripping("the pan says".into(), flow.ml_per_minute(), swell),
            FlowSeen::Nothing => nothing(look, swell),
        }
    };
    Ok(Judgement { verdict, reason })
}

fn too_hot(seen: FlowSeen, t: f64, high: f64) -> String {
    let what = match seen {
        FlowSeen::Stream | FlowSeen::ThinStream => "what runs off now is swollen fluid the unit will miss",
        _ => "a level that looks right now will be short once it has cooled",
    };
    format!("{t:.1} °C is above the window ({high:.1} °C): {what}; close, let it cool, add, repeat")
}

fn too_cold(seen: FlowSeen, t: f64, low: f64) -> String {
    let what = match seen {
        FlowSeen::Nothing => "nothing yet proves nothing, the fluid still swells",
        _ => "closing now would leave it overfilled",
    };
    format!("{t:.1} °C is below the window ({low:.1} °C): {what}; wait for the window")
}

fn streaming(look: &Look, seen: FlowSeen) -> (Verdict, String) {
    match (look.open_for, look.breaks_by) {
        (Some(open), Some(by)) if open.seconds() > by.seconds() => (
            Verdict::SomethingIsWrong,
            format!(
                "it still streams after {:.0} s and should have broken to drops by {:.0} s: is the engine still running, \
                 is more fluid in than entered? Close and find out",
                open.seconds(),
                by.seconds()
            ),
        ),
        _ if seen == FlowSeen::Stream => {
            (Verdict::Wait, "surplus runs off; wait until the stream breaks to drops".into())
        }
        _ => (Verdict::Wait, "the stream is thin; have the plug ready, it breaks to drops soon".into()),
    }
}

fn uncounted(swell: f64, drop: f64) -> (Verdict, String) {
    if swell >= MUST_DRIP {
        let reason = format!(
            "the stream has broken; expansion alone gives {swell:.1} mL/min, about {:.0} drops per minute, and goes on while \
             the unit warms: close",
            swell / drop
        );
        (Verdict::ItIsExpansion, reason)
    } else {
        (Verdict::CloseNow, "the stream has broken to drops inside the window: close".into())
    }
}

/// A measured flow as it would have looked, where that says as much.
fn by_flow(ml_per_minute: f64) -> FlowSeen {
    match ml_per_minute / 60.0 {
        q if q >= THIN_STREAM => FlowSeen::Stream,
        q if q > STREAM_BREAKS => FlowSeen::ThinStream,
        q if q <= 0.0 => FlowSeen::Nothing,
        q => FlowSeen::Measured(Flow::from_ml_per_second(q)),
    }
}

fn dripping(said: String, flow: f64, swell: f64) -> (Verdict, String) {
    let seen = format!("{said} {flow:.1} mL/min");
    if swell > 0.0 && flow <= CLOSE_FACTOR * swell {
        (Verdict::ItIsExpansion, format!("{seen}, expansion alone gives {swell:.1} mL/min: this is expansion, close"))
    } else if flow <= 60.0 * COUNTABLE_DROPS {
        (Verdict::CloseNow, format!("{seen}: the surplus is gone, close"))
    } else if flow <= 60.0 * STREAM_BREAKS {
        let rest = swell.max(0.0);
        (Verdict::Wait, format!("{seen}, expansion explains only {rest:.1} mL/min: surplus still runs off, wait"))
    } else {
        (Verdict::Wait, format!("{seen}: still a stream, wait until it breaks to drops"))
    }
}

fn nothing(look: &Look, swell: f64) -> (Verdict, String) {
    let just_opened = look.open_for.is_some_and(|open| open.seconds() < FIRST_GUSH);
    if just_opened {
        (Verdict::Wait, "just opened: give it five seconds before judging".into())
    } else if !look.has_run {
        let reason = "nothing comes inside the window: the level is below the lip (or the standpipe is blocked, or the \
                      vehicle is tilted); close, add, repeat";
        (Verdict::AddAndRepeat, reason.into())
    } else if swell >= MUST_DRIP {
        let reason = format!(
            "it ran and stopped dead although expansion should give {swell:.1} mL/min: is the engine still running, is the \
             standpipe blocked, does the sensor see the sump? Close and find out"
        );
        (Verdict::SomethingIsWrong, reason)
    } else {
        (Verdict::CloseNow, "the surplus has run off inside the window: close".into())
    }
}
