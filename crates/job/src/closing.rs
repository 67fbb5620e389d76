//! What is known at the moment a level was judged: the fluid's temperature carried on from the last reading, and how high
//! it still stood above the edge when the plug went in.

use physics::expansion::{expansion_flow, local_coefficient, typical_fluids};
use physics::runoff::{COUNTABLE_DROPS, Edge, Hole, STREAM_BREAKS, Standpipe, THIN_STREAM};
use physics::viscosity::ViscosityLine;
use quantity::{
    Area, Duration, Flow as Volumetric, KinematicViscosity, Length, Temperature, TemperatureDifference,
    TemperatureRate, Uncertain, Volume,
};

use crate::entry::{Flow, Source};
use crate::outcome::density15;
use crate::state::{READING_FRESH_MS, Reading, Setting, State};

/// Readings so long before the last one say how fast it warms.
const PACE_MS: i64 = 300_000;
/// Readings closer together than this say nothing of the pace.
const LEAST_PACE_MS: i64 = 20_000;
/// Of what was carried on from the last reading this part is doubted (judgement: the pace of a minute ago).
const CARRIED_DOUBT: f64 = 0.5;
/// Volume of one drop, mL, and its doubt as a share: the middle of the usual 0.03–0.06 mL (common practice, no source).
pub const DROP_ML: f64 = 0.05;
const DROP_DOUBT: f64 = 0.2;
/// A level hole whose plug has no stated thread, mm (common practice, no source).
const HOLE_BORE: Length = Length::from_mm(14.0);
/// A standpipe of unknown length, mm; it hardly matters at so small a head.
pub const PIPE_LENGTH: Length = Length::from_mm(40.0);
/// Doubt of a head that follows from a flow, as a share of it: the flow laws are good to 30 %, a head goes with the
/// power of a half to two thirds of the flow; what one calls a stream another calls drops (judgement, no source).
const HEAD_DOUBT: f64 = 0.25;
/// Flow below which nothing is seen to come, mL/s: one drop of 0.05 mL in ten seconds (common practice, no source).
const NOTHING: f64 = 0.005;
/// A full stream at closing stands this many times as high as one that just turns thin, with half of it in doubt
/// (judgement: nobody knows how high).
const STREAMS: f64 = 1.5;

/// The fluid's temperature at a moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// Carried on from the last reading.
    pub temp: Temperature,
    /// What that adds to the doubt of a reading.
    pub u: TemperatureDifference,
    /// How fast it warmed then.
    pub rate: Option<TemperatureRate>,
    /// Where the reading came from.
    pub source: Source,
}

/// The fluid's temperature at a moment: the last reading up to then, if it is fresh, carried on at the pace of the readings
/// of the five minutes before it. `None` without a fresh reading.
pub fn heat_at(state: &State, at_ms: i64) -> Option<Heat> {
    let last = state.readings.iter().filter(|reading| reading.at_ms <= at_ms).max_by_key(|reading| reading.seq);
    let last = last.filter(|last| at_ms.saturating_sub(last.at_ms) <= READING_FRESH_MS)?;
    let before: Vec<&Reading> = state.readings.iter().filter(|reading| reading.at_ms <= last.at_ms).collect();
    // Fluid that was poured sets another pace.
    let poured = state.poured.iter().map(|item| item.at_ms).filter(|poured| *poured <= at_ms);
    let changed = poured.max().unwrap_or(i64::MIN);
    let since = changed.max(last.at_ms.saturating_sub(PACE_MS));
    let lately: Vec<(f64, f64)> = before
        .iter()
        .filter(|reading| reading.at_ms >= since)
        .map(|reading| ((reading.at_ms.saturating_sub(last.at_ms)) as f64 / 60_000.0, reading.temp_c.celsius()))
        .collect();
    let rate = slope(&lately).map(TemperatureRate::from_kelvin_per_minute);
    let minutes = (at_ms.saturating_sub(last.at_ms)) as f64 / 60_000.0;
    let carried = rate.map_or(0.0, |rate| rate.kelvin_per_minute() * minutes);
    Some(Heat {
        temp: last.temp_c + TemperatureDifference::from_kelvin(carried),
        u: TemperatureDifference::from_kelvin(CARRIED_DOUBT * carried.abs()),
        rate,
        source: last.source,
    })
}

/// The slope of the least-squares line, per minute; `None` when the points are too close together.
fn slope(points: &[(f64, f64)]) -> Option<f64> {
    let (first, last) = (points.first()?, points.last()?);
    if (last.0 - first.0) * 60_000.0 < LEAST_PACE_MS as f64 {
        return None;
    }
    let n = points.len() as f64;
    let (t, y) = points.iter().fold((0.0, 0.0), |(t, y), point| (t + point.0 / n, y + point.1 / n));
    let (above, below) =
        points.iter().fold((0.0, 0.0), |(a, b), p| (a + (p.0 - t) * (p.1 - y), b + (p.0 - t) * (p.0 - t)));
    (below > 0.0).then(|| above / below)
}

/// Viscosity of a unit's fluid; that of a typical one where the sheet has none.
pub fn viscosity(state: &State, at: Temperature) -> Option<KinematicViscosity> {
    let fluid = &state.sheet.fluid;
    let (kv40, kv100) = match (&fluid.kv40, &fluid.kv100) {
        (Some(kv40), Some(kv100)) => (kv40.mid(), kv100.mid()),
        _ => typical_fluids().next().map(|typical| (typical.kv40, typical.kv100))?,
    };
    ViscosityLine::from_40_and_100(kv40, kv100).ok()?.at(at).ok()
}

/// The edge that the level of a circuit runs over; `None` where nothing runs off.
pub fn edge(state: &State, at: Temperature) -> Option<Edge> {
    let thickness = viscosity(state, at)?;
    if let Some(pipe) = state.sheet.standpipe() {
        let length = pipe.length.as_ref().map_or(PIPE_LENGTH, sheet::Sourced::mid);
        return Standpipe::new(pipe.bore.mid(), length, Length::from_mm(0.0), thickness).ok().map(Edge::Standpipe);
    }
    state.sheet.level.runs_off().then_some(())?;
    let bore = state.with_role(sheet::Role::Level).and_then(sheet::Plug::hole).unwrap_or(HOLE_BORE);
    Hole::new(bore, thickness).ok().map(Edge::Hole)
}

/// The head at which that much runs over the edge of a circuit, at the last temperature read.
pub fn edge_head(state: &State, flow: Volumetric) -> Option<Length> {
    edge(state, state.last_reading()?.temp_c)?.head_at(flow).ok()
}

/// What expansion alone makes run off; nothing where the pace is not known.
fn swelling(state: &State, heat: &Heat) -> Volumetric {
    let flow = heat.rate.and_then(|rate| {
        let coefficient = local_coefficient(density15(&state.sheet), heat.temp).ok()?;
        expansion_flow(state.sheet.capacity.total.mid(), coefficient, rate).ok()
    });
    flow.unwrap_or_default()
}

/// The flow that a look stands for when it is first seen and when it is seen last, mL/s.
fn band(flow: Flow) -> (f64, f64) {
    match flow {
        Flow::Nothing => (NOTHING, 0.0),
        Flow::Drops => (STREAM_BREAKS, NOTHING),
        Flow::ThinStream | Flow::Stream => (THIN_STREAM, STREAM_BREAKS),
    }
}

/// How high the fluid stood above the edge at `until_ms`, by what was seen up to then.
///
/// The look before the last and the last one hold the moment between them at which the flow fell below what the last look
/// stands for; from there the head is followed until `until_ms`, while expansion goes on. Counted drops are a flow. What
/// stays open is when in between, and how good the flow laws are.
///
/// `None` where nothing runs off, nothing was looked at, or the temperature is not known.
pub fn head_left(state: &State, setting: &Setting, until_ms: i64) -> Option<Uncertain<Length>> {
    let heat = heat_at(state, until_ms)?;
    let edge = edge(state, heat.temp)?;
    let area = state.sheet.sump_area()?.mid();
    let looks: Vec<_> = setting.looks.iter().filter(|look| look.at_ms <= until_ms).collect();
    let (last, before) = looks.split_last()?;
    let head = |ml_per_second: f64| edge.head_at(Volumetric::from_ml_per_second(ml_per_second)).ok();
    let inflow = swelling(state, &heat);
    let after = |from: Length, seconds: f64| {
        edge.head_after(area, inflow, from, Duration::from_seconds(seconds.clamp(0.0, 3600.0))).ok()
    };
    let since = (until_ms.saturating_sub(last.at_ms)) as f64 / 1000.0;
    if let Some(drops) = last.drops_per_min.filter(|drops| *drops > 0.0) {
        let then = head((drops * DROP_ML / 60.0).min(STREAM_BREAKS.max(COUNTABLE_DROPS)))?;
        let now = after(then, since)?;
        return Some(Uncertain::new(now, now * libm::hypot(HEAD_DOUBT, DROP_DOUBT)));
    }
    if last.flow == Flow::Stream {
        let now = head(THIN_STREAM)? * STREAMS;
        return Some(Uncertain::new(now, now * 0.5));
    }
    let (first, least) = band(last.flow);
    let (first, least) = (head(first)?, head(least)?);
    // Seen running more than this before, or not at all: then it fell below at some time since the plug came out.
    let more = before.iter().rev().find(|look| look.flow > last.flow).map_or(setting.opened_ms, |look| look.at_ms);
    let seen_for = (last.at_ms.saturating_sub(more)).max(0) as f64 / 1000.0;
    let lowest = after(first, seen_for)?.max(least).min(first);
    let (high, low) = (after(first, since)?, after(lowest, since)?);
    let middle = after(after(first, 0.5 * seen_for)?.max(least).min(first), since)?;
    // Simpson's rule over the moments in between; the spread as of a rectangle.
    let mean = (high + middle * 4.0 + low) * (1.0 / 6.0);
    let spread = (high - low).mm().abs() / 12f64.sqrt();
    let nothing_is_lost_below = mean.max(Length::from_mm(0.0));
    Some(Uncertain::new(nothing_is_lost_below, Length::from_mm(libm::hypot(spread, HEAD_DOUBT * mean.mm()))))
}

/// That head as a volume on the surface of the sump.
pub fn volume_left(state: &State, setting: &Setting, until_ms: i64) -> Option<Uncertain<Volume>> {
    let area = state.sheet.sump_area()?.mid();
    Some(head_left(state, setting, until_ms)?.map(|head| on(area, head)))
}

fn on(area: Area, head: Length) -> Volume {
    Volume::from_cubic_metres(area.square_metres() * head.metres())
}
