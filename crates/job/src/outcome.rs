//! What the job comes to: as found, as left, ledger, level budget, and when it is due again.

use physics::balance::{self, Amount, Balance, Explanation, Known, Ledger, Portion, Way};
use physics::expansion::Expansion;
use physics::level::{self, LevelError, Setting as LevelSetting};
use quantity::{Angle, Density, Distance, Length, Span, Temperature, TemperatureDifference, Uncertain, Volume};
use serde::Serialize;
use sheet::{Level, Renewal, Sheet, Sourced};

use crate::closing;
use crate::entry::{Measure, Source};
use crate::family;
use crate::state::{Setting, SettingVerdict, State, Tilt};

/// Density of a low-viscosity fluid where the sheet has none: typical, from memory.
const TYPICAL_DENSITY15: Density = Density::from_kg_per_m3(845.0);
/// Doubt of any density at 15 °C: ± 8 kg/m³ rectangular, between fluids of one class (typical, from memory).
const DENSITY_DOUBT: Density = Density::from_kg_per_m3(4.62);
/// Doubt of a thermometer in a jug or pan: common practice, no source.
const JUG_THERMOMETER_K: f64 = 1.5;
/// Doubt of a reading of the fluid in the unit by source: common practice, no source.
const READING_DOUBT: &[(Source, f64)] = &[
    (Source::Probe, 1.0),
    (Source::Reader, 2.0),
    (Source::Typed, 2.0),
    (Source::Simulated, 2.0),
    (Source::Infrared, 5.0),
];
/// A ledger closes when what went in and what came out differ by no more than this: 0.1 L, common practice, no source.
pub(crate) const TOLERANCE: Volume = Volume::from_ml(100.0);
/// Doubt of a measured tilt: common practice for a phone or a bubble on a machined face, no source.
pub(crate) const TILT_DOUBT: Angle = Angle::from_degrees(0.2);

/// One part of the level budget for the record.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    pub name: &'static str,
    pub ml: f64,
    pub u_ml: f64,
}

/// When the unit is due again.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Due {
    /// Share of old fluid that stayed in.
    pub old_fraction: Option<f64>,
    /// Mean distance travelled by the fluid now in the unit.
    pub blend_age_km: Option<Distance>,
    /// Interval on paper, shortened for severe use.
    pub interval_km: Option<Distance>,
    pub interval_months: Option<f64>,
    /// Odometer at which the blend reaches the interval.
    pub at_odometer_km: Option<Distance>,
    /// Distance from now until then; zero when it is due already.
    pub in_km: Option<Distance>,
}

/// What the job comes to.
#[derive(Debug, Clone, Serialize)]
pub struct Outcome {
    /// Volumes and charge errors are stated at this temperature: the middle of the window.
    pub reference_c: Temperature,
    pub level: Option<SettingVerdict>,
    /// Charge error before and after; positive is overfilled.
    pub as_found_ml: Option<Uncertain<Volume>>,
    pub as_left_ml: Option<Uncertain<Volume>>,
    /// What the job changed against as found, where that is all that can be said.
    pub change_ml: Option<Uncertain<Volume>>,
    /// In words, with what they rest on.
    pub as_found_words: String,
    pub as_left_words: String,
    pub verdict: String,
    pub ledger: Option<Balance>,
    /// What most likely went wrong, when the ledger does not close.
    pub explanations: Vec<Explanation>,
    /// The level budget, largest first.
    pub parts: Vec<Part>,
    pub advice: Vec<String>,
    pub due: Due,
    /// What the figures rest on.
    pub assumptions: Vec<String>,
    /// Of a unit with several circuits all but the first, each by its name.
    pub further: Vec<(String, Self)>,
}

/// Density at 15 °C from the sheet, or the typical one.
pub fn density15(sheet: &Sheet) -> Density {
    sheet.fluid.density15.as_ref().map_or(TYPICAL_DENSITY15, Sourced::mid)
}

/// What the job comes to so far.
///
/// Of a unit with several circuits the figures are those of the first one and stand beside those of the others in
/// `further`; the verdict speaks of all of them.
pub fn outcome(state: &State) -> Outcome {
    if state.sheet.further.is_empty() {
        return of_one(state);
    }
    let mut each: Vec<(String, Outcome)> =
        state.circuits().iter().map(|one| (one.sheet.circuit.1.clone(), of_one(one))).collect();
    let verdicts: Vec<String> = each.iter().map(|(name, one)| format!("{name}: {}", one.verdict)).collect();
    // The interval is one for the unit: it is due when the circuit with the oldest blend is.
    let old = |outcome: &Outcome| outcome.due.old_fraction.unwrap_or(0.0);
    let oldest = each.iter().map(|(_, one)| one).max_by(|a, b| old(a).total_cmp(&old(b)));
    let due = oldest.map_or_else(|| due(state), |one| one.due.clone());
    let mut first = if each.is_empty() { of_one(state) } else { each.remove(0).1 };
    first.verdict = general_verdict(state).unwrap_or_else(|| verdicts.join(" "));
    first.level = state.level_verdict();
    Outcome { due, further: each, ..first }
}

fn of_one(state: &State) -> Outcome {
    let sheet = &state.sheet;
    let reference = sheet.window_mid();
    let level = state.level_verdict();
    let budget = family::budget::budget(state, level);
    let as_left = budget.error;
    let entered = entered(state, reference, as_left);
    let ledger = balance::balance(&entered).ok();
    // What came out cannot be set against what went in until both are on record.
    let whole = !state.exchanged.is_empty() || !state.drained.is_empty() && !state.poured.is_empty();
    let as_found = ledger.as_ref().filter(|_| whole).and_then(|balance| balance.as_found);
    Outcome {
        reference_c: reference,
        level,
        as_found_ml: as_found,
        as_left_ml: as_left,
        as_found_words: found_words(state, as_found),
        change_ml: family::volume::change(state).filter(|_| matches!(sheet.level, Level::SameBack)),
        as_left_words: family::budget::left_words(state, level, as_left),
        verdict: verdict(state, level, as_left),
        parts: budget.parts,
        advice: budget.advice,
        due: due(state),
        assumptions: assumptions(state),
        explanations: ledger
            .as_ref()
            .filter(|_| whole)
            .map_or(Vec::new(), |found| explanations(state, &entered, found)),
        ledger,
        further: Vec::new(),
    }
}

/// The doubt of a fluid temperature by its source, K.
pub(crate) fn reading_doubt(source: Option<Source>) -> f64 {
    READING_DOUBT.iter().find(|(known, _)| Some(*known) == source).map_or(2.0, |(_, doubt)| *doubt)
}

/// Tilt and place of the level as the budget takes them.
pub(crate) fn level_tilt(tilt: Tilt, lip: sheet::Lip) -> level::Tilt {
    level::Tilt {
        nose_up: tilt.pitch_deg,
        right_up: tilt.roll_deg,
        lip_ahead: lip.ahead,
        lip_right: lip.right,
        u: TILT_DOUBT,
    }
}

pub(crate) fn part(part: &level::Part) -> Part {
    Part { name: part.name, ml: part.error.ml(), u_ml: part.u.ml() }
}

/// The level budget if the level plug went in at `now_ms`, with `left` above the lip as far as that is known otherwise
/// than by the last look; `None` while the plug is in or without a fresh reading.
pub fn if_closed_now(state: &State, now_ms: i64, left: Option<Uncertain<Volume>>) -> Option<LevelError> {
    let open = state.settings.last().filter(|setting| setting.closed_ms.is_none())?;
    let temp_close_c = Some(state.fresh_reading(now_ms)?.temp_c);
    let closed = Setting { closed_ms: Some(now_ms), temp_close_c, ..open.clone() };
    level_error(state, &closed, state.sheet.window_mid(), left)
}

/// The level budget of a setting at the temperature where the plug went in.
pub(crate) fn level_error(
    state: &State,
    setting: &Setting,
    reference: Temperature,
    known_left: Option<Uncertain<Volume>>,
) -> Option<LevelError> {
    let sheet = &state.sheet;
    setting.temp_close_c?;
    let closed_ms = setting.closed_ms?;
    let heat = closing::heat_at(state, closed_ms)?;
    let fluid = Expansion::Density15(density15(sheet));
    let area = sheet.sump_area()?.mid();
    let lip = sheet.level.lip()?;
    let doubt = libm::hypot(reading_doubt(Some(heat.source)), heat.u.kelvin());
    let mut given = LevelSetting::new(sheet.capacity.total.mid(), heat.temp, reference, fluid);
    given.sump_area = Some(area);
    given.tilt = setting.tilt.map(|tilt| level_tilt(tilt, lip));
    given.sensor_u = Some(TemperatureDifference::from_kelvin(doubt));
    given.left_at_closing = known_left.or_else(|| closing::volume_left(state, setting, closed_ms));
    given.selector_cycled = setting.cycled;
    given.engine_ran = !setting.spoilt;
    given.wheelbase = None::<Length>;
    level::level_error(&given).ok()
}

/// The litre ledger at the reference temperature.
fn entered(state: &State, reference: Temperature, as_left: Option<Uncertain<Volume>>) -> Ledger {
    let portions: Vec<Portion> = ledger_lines(state).iter().map(|(way, measure)| portion(*way, measure)).collect();
    let expansion = density_for_ledger(&state.sheet);
    Ledger { portions, expansion, reference, level: as_left, tolerance: TOLERANCE }
}

/// What most likely went wrong with a ledger that does not close.
fn explanations(state: &State, entered: &Ledger, found: &Balance) -> Vec<Explanation> {
    let stopped = state.settings.iter().any(|setting| setting.spoilt);
    let known = Known { engine_stopped: Some(stopped), container: None };
    balance::explanations(entered, found, &known).unwrap_or_default()
}

/// Every portion of a circuit in the order of the ledger: drained, residue, poured, run off, then what was passed through
/// the line, out before in.
pub fn ledger_lines(state: &State) -> Vec<(Way, &Measure)> {
    let lists = [
        (Way::Drained, &state.drained),
        (Way::Residue, &state.residue),
        (Way::Poured, &state.poured),
        (Way::RunOff, &state.run_off),
    ];
    let listed = lists.into_iter().flat_map(|(way, list)| list.iter().map(move |item| (way, &item.measure)));
    let passed = state.exchanged.iter().flat_map(|p| [(Way::Drained, &p.out), (Way::Poured, &p.fresh)]);
    listed.chain(passed).collect()
}

/// Density with its doubt, as the ledger takes it.
pub(crate) fn density_for_ledger(sheet: &Sheet) -> balance::Expansion {
    balance::Expansion::Density15(Uncertain::new(density15(sheet), DENSITY_DOUBT))
}

pub(crate) fn portion(way: Way, measure: &Measure) -> Portion {
    Portion {
        way,
        amount: Amount::Measured(Uncertain::new(measure.volume_ml, measure.u_ml)),
        temperature: Uncertain::new(measure.temp_c, Temperature::from_celsius(JUG_THERMOMETER_K)),
        thermometer: None,
        readings: None,
    }
}

/// |e| < U means that nothing was found; otherwise which way.
fn found_words(state: &State, as_found: Option<Uncertain<Volume>>) -> String {
    match as_found {
        Some(e) if e.value.ml().abs() <= 2.0 * e.u.ml() => {
            "no significant difference from the right charge found".to_owned()
        }
        Some(e) if e.value.ml() < 0.0 => "underfilled as found".to_owned(),
        Some(_) => "overfilled as found".to_owned(),
        None if matches!(state.sheet.level, Level::SameBack) => {
            "not known: nothing on this unit shows the level".to_owned()
        }
        None if state.exchanged.is_empty() && (state.drained.is_empty() || state.poured.is_empty()) => {
            "not known: not both drained and refilled on record".to_owned()
        }
        None => "not known: the level was not set afterwards".to_owned(),
    }
}

/// What comes before any level: plugs and lines that are open, a job that was stopped, fluid that was lost.
fn general_verdict(state: &State) -> Option<String> {
    let out = state.plugs_out();
    if !out.is_empty() {
        let names: Vec<&str> = out.iter().map(|plug| plug.name.as_str()).collect();
        return Some(format!("Do not drive: {} out.", names.join(", ")));
    }
    if family::renew::line_open(state) {
        return Some("Do not drive: the cooler line is open.".to_owned());
    }
    if let Some(crate::state::Ending::Stopped { reason }) = &state.ending {
        return Some(reason.clone());
    }
    state.lost_fluid.then(|| "Not right: fluid was lost and not replaced.".to_owned())
}

/// One sentence for the customer.
fn verdict(state: &State, level: Option<SettingVerdict>, as_left: Option<Uncertain<Volume>>) -> String {
    if let Some(general) = general_verdict(state) {
        return general;
    }
    match (level, as_left) {
        (Some(SettingVerdict::SameAsBefore), _) => {
            "As much is in as before. Right only if it was right before: nothing on this unit shows the level."
                .to_owned()
        }
        (Some(SettingVerdict::PresetOnly), _) => {
            "Only the cold preset is done: a safe minimum. The level must still be set.".to_owned()
        }
        (Some(SettingVerdict::Set), Some(left)) if left.value.ml().abs() <= 150.0 => {
            "The level is right within its doubt.".to_owned()
        }
        (Some(SettingVerdict::Set), Some(_)) => {
            "The level was set as its maker asks, but the budget is wide.".to_owned()
        }
        (Some(SettingVerdict::Set), None) => "The level was set; how well is not known.".to_owned(),
        (Some(_), _) => "The level is not proven. It must be set again.".to_owned(),
        (None, _) if sheet_is_read(state) => "The level has not been read.".to_owned(),
        (None, _) => "The level has not been set.".to_owned(),
    }
}

/// Blend age after this service and the distance until it reaches the interval.
fn due(state: &State) -> Due {
    let sheet = &state.sheet;
    let severe = if state.opening.severe { sheet.interval.as_ref().map_or(1.0, |i| i.severe_factor) } else { 1.0 };
    let low = |value: &Option<Sourced<Span<Distance>>>| value.as_ref().map(|v| v.value.low * severe);
    let interval_km = sheet.interval.as_ref().and_then(|interval| low(&interval.distance));
    let interval_months = sheet
        .interval
        .as_ref()
        .and_then(|interval| interval.time.as_ref())
        .map(|time| time.value.low.months() * severe);
    let net = State::total(&state.poured) - State::total(&state.run_off);
    let renewed = (net / sheet.capacity.total.mid()).clamp(0.0, 1.0);
    let dry = matches!(sheet.renewal, Renewal::DryFill(_)) && !state.poured.is_empty();
    let serviced = dry || !state.exchanged.is_empty() || !state.poured.is_empty() && state.was_drained();
    let old_fraction = match family::renew::old_left(state) {
        Some(left) => Some(left),
        None if dry => Some(0.0),
        None => serviced.then_some(1.0 - renewed),
    };
    // Mixing is complete: the mean age of the blend is the old fluid's age times the share that stayed.
    let blend_age_km = old_fraction.zip(state.opening.fluid_age_km).map(|(old, age)| age * old);
    let left = interval_km.map(|interval| {
        let age = blend_age_km.unwrap_or_default();
        (interval - age).max(Distance::from_km(0.0))
    });
    let in_km = left.filter(|_| serviced);
    Due {
        old_fraction,
        blend_age_km,
        interval_km,
        interval_months,
        at_odometer_km: state.opening.odometer_km.zip(in_km).map(|(odometer, left)| odometer + left),
        in_km,
    }
}

fn sheet_is_read(state: &State) -> bool {
    state.sheet.level.is_read()
}

fn assumptions(state: &State) -> Vec<String> {
    let sheet = &state.sheet;
    let density = match &sheet.fluid.density15 {
        Some(given) => format!("Density at 15 °C {} ({}).", given.printed, given.source),
        None => format!("Density at 15 °C {} kg/m³: typical, not from a data sheet.", TYPICAL_DENSITY15.kg_per_m3()),
    };
    let mut said = vec![
        density,
        "Expansion of a generalised lubricating oil (API MPMS 11.1).".to_owned(),
        format!(
            "All fluid at the temperature read; charge {} ({}).",
            sheet.capacity.total.printed, sheet.capacity.total.source
        ),
        "As found rests on the level as left being right within its own doubt.".to_owned(),
    ];
    said.extend(family::budget::assumptions(state));
    said
}
