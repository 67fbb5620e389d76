//! The run-off model with a job's own figures: what the surplus is, when the stream should break, and what an ended job
//! teaches about the flow of its unit.

use job::State;
use job::closing;
use job::entry::Flow as Seen;
use job::outcome::Outcome;
use job::state::Setting;
use physics::expansion::Expansion;
use physics::runoff::{RunOff, STREAM_BREAKS, Scale, Warming, Watched, job_scale, run_off};
use quantity::{Duration, Flow, Temperature, TemperatureRate, Uncertain, Volume};

use crate::forecast::density15;

/// A surplus model starts from at most so much, mL; more stands higher than any sump.
const MOST_ML: f64 = 5_000.0;
/// Nobody knows whether the level was right before, so a stream is only called too long when even this many times the
/// surplus by the ledger would be out (judgement, no source).
const AT_MOST: f64 = 2.0;
/// Least doubt of a moment that was entered by hand, s (judgement, no source).
const ENTRY_S: f64 = 2.0;

/// How much larger the charge is at `at` than at `reference`.
pub(crate) fn swelling(state: &State, reference: Temperature, at: Temperature) -> Option<Volume> {
    let charge = state.sheet.capacity.total.mid();
    Expansion::Density15(density15(state)).volume_at(charge, reference, at).ok().map(|swollen| swollen - charge)
}

/// Fluid above the lip at `temp` before anything ran off: by the ledger, else as planned.
pub(crate) fn surplus(state: &State, outcome: &Outcome, temp: Temperature) -> Volume {
    let net = outcome.ledger.as_ref().filter(|_| !state.drained.is_empty()).map(|ledger| ledger.net.value);
    let by_ledger = net.zip(swelling(state, outcome.reference_c, temp)).map(|(net, swollen)| net + swollen);
    Volume::from_ml(by_ledger.unwrap_or_else(|| state.sheet.surplus()).ml().clamp(0.0, MOST_ML))
}

/// A run-off on this unit, warming at `rate`; `None` when the sheet states no standpipe or surface.
pub(crate) fn setup(
    state: &State,
    surplus: Volume,
    temp: Temperature,
    rate: Option<TemperatureRate>,
) -> Option<RunOff> {
    let sheet = &state.sheet;
    let bore = sheet.standpipe()?.bore.mid();
    let mut input = RunOff::new(surplus, bore, sheet.sump_area()?.mid(), closing::viscosity(state, temp)?);
    let length = sheet.standpipe()?.length.as_ref();
    input.standpipe_length = length.map_or(closing::PIPE_LENGTH, sheet::Sourced::mid);
    input.warming = rate.and_then(|rate| {
        let coefficient = physics::expansion::local_coefficient(density15(state), temp).ok()?;
        Some(Warming { charge: sheet.capacity.total.mid(), coefficient, rate })
    });
    Some(input)
}

/// The latest time after opening at which a stream that is still seen should have broken to drops.
pub(crate) fn breaks_by(state: &State, scale: Scale, rate: Option<TemperatureRate>, now_ms: i64) -> Option<Duration> {
    let setting = state.settings.last().filter(|setting| setting.closed_ms.is_none())?;
    setting.looks.last().filter(|look| look.flow > Seen::Drops)?;
    let temp = state.fresh_reading(now_ms)?.temp_c;
    let most = surplus(state, &job::outcome::outcome(state), temp) * AT_MOST;
    let input = RunOff { scale, ..setup(state, most.min(Volume::from_ml(MOST_ML)), temp, rate)? };
    run_off(&input).ok()?.stream_breaks.map(|breaks| breaks.high)
}

/// What was learnt, for the record; nothing while nothing was.
pub(crate) fn words(scale: Scale) -> Option<String> {
    let plural = if scale.jobs == 1 { "" } else { "s" };
    (scale.jobs > 0).then(|| {
        format!(
            "run-off reckoned with {:.2} times the model's flow, learnt from {} earlier job{plural} of this sheet",
            scale.factor(),
            scale.jobs
        )
    })
}

/// What an ended job teaches about the flow of its unit: the latest setting in which a stream was seen to break and what
/// ran off was caught and measured. `None` when there is none, or the figures contradict each other.
pub fn taught(state: &State) -> Option<Uncertain<f64>> {
    let ends = state.settings.iter().skip(1).map(|next| next.opened_ms).chain([i64::MAX]);
    let settings: Vec<(&Setting, i64)> = state.settings.iter().zip(ends).collect();
    settings.into_iter().rev().filter(|(setting, _)| !setting.preset && !setting.spoilt).find_map(|(setting, end)| {
        let watched = watched(state, setting, end)?;
        job_scale(&watched).ok()
    })
}

/// One setting as the model wants it.
fn watched(state: &State, setting: &Setting, end_ms: i64) -> Option<Watched> {
    let broken = setting.looks.iter().position(|look| look.flow <= Seen::Drops)?;
    let streamed = setting.looks[..broken].last()?;
    let seconds = |from: i64, to: i64| (to - from) as f64 / 1000.0;
    let half = 0.5 * seconds(streamed.at_ms, setting.looks[broken].at_ms);
    let after = seconds(setting.opened_ms, streamed.at_ms) + half;
    let (warm_open, warm_close) = (setting.temp_open_c?, setting.temp_close_c?);
    let temp = warm_open + (warm_close - warm_open) * 0.5;
    let open_min = seconds(setting.opened_ms, setting.closed_ms?) / 60.0;
    let per_minute = (warm_close - warm_open).kelvin() / open_min;
    let rate = per_minute.is_finite().then(|| TemperatureRate::from_kelvin_per_minute(per_minute));
    let fluid = Expansion::Density15(density15(state));
    let (mut caught, mut variance) = (0.0, 0.0);
    for measured in state.run_off.iter().filter(|measured| (setting.opened_ms..end_ms).contains(&measured.at_ms)) {
        let measure = &measured.measure;
        caught += fluid.volume_at(measure.volume_ml, measure.temp_c, temp).ok()?.ml();
        variance += measure.u_ml.ml() * measure.u_ml.ml();
    }
    if caught <= 0.0 {
        return None;
    }
    // What stayed above the lip belongs to the surplus, what the warming added meanwhile does not.
    let stayed = closing::volume_left(state, setting, setting.closed_ms?)?;
    variance += stayed.u.ml() * stayed.u.ml();
    let swelled = swelling(state, warm_open, warm_close)?.ml();
    let surplus = Volume::from_ml((caught + stayed.value.ml() - swelled).max(0.0));
    Some(Watched {
        run: setup(state, surplus, temp, rate)?,
        surplus_u: Volume::from_ml(variance.sqrt()),
        below: Flow::from_ml_per_second(STREAM_BREAKS),
        after: Uncertain::new(
            Duration::from_seconds(after),
            Duration::from_seconds((half / 3f64.sqrt()).hypot(ENTRY_S)),
        ),
    })
}
