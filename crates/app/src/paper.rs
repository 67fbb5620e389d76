//! Papers for people: the proof sheet and the bench list, filled from a job and a plan.

use draw::{FanPoint, Moment, TapeInput, TapeReading};
use job::outcome::Outcome;
use job::state::{Ending, Setting, State};
use physics::balance::Way;
use quantity::print::{self, Units};
use quantity::{Uncertain, Volume};
use report::{Figure, Override, Proof, Table};
use sheet::Sheet;

use crate::MODEL_VERSION;
use crate::view::JobView;

/// What the proof sheet says it does not claim.
const NOT_CLAIMED: &[&str] = &[
    "Volumes and temperatures are as the technician entered them; this tool measured nothing itself.",
    "It does not judge the condition of the unit, nor whether the fluid is the one on the can.",
    "The maker's figures come first.",
];

/// The proof sheet of a job as it stands.
pub fn proof(view: &JobView, workshop: &str) -> Proof {
    let (state, outcome) = (&view.state, &view.outcome);
    let sheet = &state.sheet;
    Proof {
        workshop: workshop.to_owned(),
        demo: view.demo,
        title: format!("{} — fluid service", sheet.name),
        job: view.job.clone(),
        date: day(state.ended_ms.unwrap_or(state.last_ms)),
        technician: state.opening.technician.clone(),
        vehicle: vehicle(state),
        unit: unit(sheet, view.learnt.as_deref()),
        verdict: outcome.verdict.clone(),
        as_found: figure(
            "As found",
            outcome.as_found_ml,
            &all_circuits(state, outcome, |o| (o.as_found_ml, &o.as_found_words)),
        ),
        as_left: figure(
            "As left",
            outcome.as_left_ml,
            &all_circuits(state, outcome, |o| (o.as_left_ml, &o.as_left_words)),
        ),
        ledger: ledger(state, outcome),
        budget: budget(outcome),
        tape: tape(view),
        torques: torques(state),
        fluid: fluid(state),
        overrides: state
            .overrides
            .iter()
            .map(|over| Override {
                gate: over.gate.text().reason.to_owned(),
                reason: over.reason.clone(),
                when: clock(over.at_ms),
            })
            .collect(),
        corrections: state.corrections.iter().map(|c| format!("{} {}", clock(c.at_ms), c.text)).collect(),
        cautions: view.plan.cautions.clone(),
        next_due: next_due(outcome),
        not_claimed: NOT_CLAIMED.iter().map(|line| (*line).to_owned()).collect(),
        stopped: match &state.ending {
            Some(Ending::Stopped { reason }) => Some(reason.clone()),
            Some(Ending::Finished) => None,
            None => Some("The job is still open: this is how it stands now.".to_owned()),
        },
        footer: format!(
            "{MODEL_VERSION} · entry {} · log {}",
            state.last_seq,
            view.hash.get(..16).unwrap_or("not stored yet")
        ),
    }
}

/// The proof sheet as a PDF.
///
/// # Errors
/// What kept the paper from being set, in words.
pub fn proof_pdf(view: &JobView, workshop: &str) -> Result<Vec<u8>, String> {
    report::pdf(&proof(view, workshop)).map_err(|why| why.to_string())
}

pub(crate) fn day(ms: i64) -> String {
    stamp(ms, "%Y-%m-%d")
}

fn clock(ms: i64) -> String {
    stamp(ms, "%H:%M:%S")
}

/// A moment in the workshop's own time zone.
fn stamp(ms: i64, format: &str) -> String {
    jiff::Timestamp::from_millisecond(ms)
        .map(|at| at.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime(format).to_string())
        .unwrap_or_else(|_| "no date".to_owned())
}

pub(crate) fn pair(label: &str, value: impl Into<String>) -> (String, String) {
    (label.to_owned(), value.into())
}

fn figure(label: &str, value: Option<Uncertain<Volume>>, words: &str) -> Figure {
    let (value, doubt) = match value {
        Some(e) => {
            // Expanded, k = 2: what a customer reads as "plus or minus" should hold about 95 times in 100.
            let text = print::uncertain(e.value.ml(), 2.0 * e.u.ml(), "mL");
            let doubted = "expanded uncertainty, k = 2; positive is too much".to_owned();
            (text, doubted)
        }
        None => ("—".to_owned(), String::new()),
    };
    Figure { label: label.to_owned(), value, doubt, words: words.to_owned() }
}

/// The words of every circuit; the figure beside them is that of the first one, so the others bring their own.
fn all_circuits(
    state: &State,
    outcome: &Outcome,
    pick: impl Fn(&Outcome) -> (Option<Uncertain<Volume>>, &String),
) -> String {
    let first = pick(outcome).1;
    if outcome.further.is_empty() {
        return first.clone();
    }
    let mut words = vec![format!("{}: {first}", state.sheet.circuit.1)];
    for (name, further) in &outcome.further {
        let (value, said) = pick(further);
        let value = value.map_or_else(String::new, |e| print::uncertain(e.value.ml(), 2.0 * e.u.ml(), "mL") + ", ");
        words.push(format!("{name}: {value}{said}"));
    }
    words.join("; ")
}

fn vehicle(state: &State) -> Vec<(String, String)> {
    let opening = &state.opening;
    let km = |distance: quantity::Distance| print::distance(distance, Units::Metric);
    let mut rows = vec![pair("Vehicle", &*opening.vehicle)];
    rows.extend(opening.odometer_km.map(|odometer| pair("Odometer", km(odometer))));
    rows.extend(opening.fluid_age_km.map(|age| pair("Old fluid", km(age))));
    rows.extend(opening.found.as_ref().map(|found| pair("Verdict before", found.verdict.title())));
    rows
}

fn unit(sheet: &Sheet, learnt: Option<&str>) -> Vec<(String, String)> {
    let mut rows = vec![
        pair("Unit", format!("{}, {}", sheet.name, sheet.kind)),
        pair("Window", job::window::words(sheet)),
        pair("Source", sheet.window().map_or("—", |window| window.source.as_str())),
    ];
    rows.extend(learnt.map(|words| pair("Run-off", words.strip_prefix("run-off ").unwrap_or(words))));
    rows
}

pub(crate) fn table(head: &[&str], rows: Vec<Vec<String>>, total: Vec<String>) -> Table {
    Table { head: head.iter().map(|text| (*text).to_owned()).collect(), rows, total }
}

/// The litre ledger: each portion as entered and at the reference temperature.
fn ledger(state: &State, outcome: &Outcome) -> Table {
    let reference = print::temperature(outcome.reference_c, Units::Metric);
    let head = ["", "as measured", &format!("at {reference}")];
    let mut rows = Vec::new();
    let each = std::iter::once(outcome).chain(outcome.further.iter().map(|(_, further)| further));
    for (one, outcome) in state.circuits().iter().zip(each) {
        let mut converted = outcome.ledger.iter().flat_map(|ledger| &ledger.portions);
        let side = if outcome.further.is_empty() && state.sheet.further.is_empty() { "" } else { &one.sheet.circuit.1 };
        for (way, measure) in job::outcome::ledger_lines(one) {
            let name = match way {
                Way::Drained => "Drained",
                Way::Residue => "Filter and pan",
                Way::Poured => "Poured",
                Way::RunOff => "Run off",
            };
            let as_measured = format!(
                "{} at {}",
                print::volume(measure.volume_ml, Units::Metric),
                print::temperature(measure.temp_c, Units::Metric)
            );
            let at_reference = converted.next().map_or_else(|| "—".to_owned(), |c| millilitres(c.at_reference));
            let what = if side.is_empty() { name.to_owned() } else { format!("{side}: {}", name.to_lowercase()) };
            rows.push(vec![what, as_measured, at_reference]);
        }
    }
    let total = outcome
        .ledger
        .as_ref()
        .map_or_else(Vec::new, |ledger| vec!["Unit gained".to_owned(), String::new(), millilitres(ledger.net)]);
    table(&head, rows, total)
}

fn millilitres(volume: Uncertain<Volume>) -> String {
    print::uncertain(volume.value.ml(), volume.u.ml(), "mL")
}

fn budget(outcome: &Outcome) -> Table {
    let rows = outcome
        .parts
        .iter()
        .filter(|part| part.ml.abs() >= 0.5 || part.u_ml >= 0.5)
        .map(|part| vec![part.name.to_owned(), print::number(part.ml, 0), print::number(part.u_ml, 0)])
        .collect();
    let total = outcome.as_left_ml.map_or_else(Vec::new, |left| {
        vec!["Level as left".to_owned(), print::number(left.value.ml(), 0), print::number(left.u.ml(), 0)]
    });
    table(&["Level error from", "mL", "u, mL"], rows, total)
}

fn torques(state: &State) -> Table {
    let rows = state
        .sheet
        .plugs
        .iter()
        .map(|plug| {
            let now = state.plug_state(&plug.id);
            let made = match (now.out, now.disturbed, now.torque_nm) {
                (true, ..) => "OUT".to_owned(),
                (_, _, Some(torque)) => print::torque(torque, Units::Metric),
                (_, true, None) => "not recorded".to_owned(),
                (_, false, None) => "not disturbed".to_owned(),
            };
            let seal = match (&plug.seal, now.disturbed, now.new_seal) {
                (_, false, _) => "—",
                (_, _, true) => "new",
                (Some(seal), ..) if seal.single_use => "not confirmed",
                _ => "reused",
            };
            let stated = plug.torque.as_ref().map_or("—", |torque| torque.printed.as_str());
            vec![plug.name.clone(), stated.to_owned(), made, seal.to_owned()]
        })
        .collect();
    table(&["Plug", "stated", "made", "seal"], rows, Vec::new())
}

fn fluid(state: &State) -> Vec<(String, String)> {
    let sheet = &state.sheet;
    let net = State::total(&state.poured) - State::total(&state.run_off);
    let mut rows = vec![
        pair("Poured", &*state.opening.fluid),
        pair("Approval asked for", sheet.fluid.approvals.join(" or ")),
        pair("Stays in", print::volume(net, Units::Metric)),
    ];
    rows.extend((!state.photos.is_empty()).then(|| pair("Photos kept", photos(state))));
    rows
}

/// "a plug 10:58:03 (3f9a21c0)": what it shows, when, and the first digits of the digest that names the picture.
fn photos(state: &State) -> String {
    let one = |photo: &job::state::Photo| {
        let of = job::words::SUBJECTS.iter().find(|(.., of)| *of == photo.of).map_or("", |(_, words, _)| words);
        format!("{of} {} ({})", clock(photo.at_ms), photo.digest.get(..8).unwrap_or_default())
    };
    state.photos.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn next_due(outcome: &Outcome) -> Vec<(String, String)> {
    let due = &outcome.due;
    let km = |distance: quantity::Distance| print::distance(distance, Units::Metric);
    let mut rows = Vec::new();
    match (due.at_odometer_km, due.in_km) {
        (_, Some(left)) if left.km() <= 0.0 => {
            rows.push(pair("Next", "another renewal now: the blend is older than the interval"))
        }
        (Some(at), Some(left)) => rows.push(pair("Next", format!("at {} (in {})", km(at), km(left)))),
        (None, Some(left)) => rows.push(pair("Next", format!("in {}", km(left)))),
        _ => {}
    }
    rows.extend(due.interval_months.map(|months| pair("or after", format!("{months:.0} months"))));
    rows.extend(due.blend_age_km.map(|age| pair("Mean age of the blend", km(age))));
    rows.extend(due.old_fraction.map(|old| pair("Old fluid left", format!("{:.0} %", old * 100.0))));
    rows
}

/// The tape of a job: readings since the engine started, the window, the log's words, and while it is open the fan.
pub fn tape(view: &JobView) -> TapeInput {
    let state = &view.state;
    let window = view.warmed().sheet.window_span();
    let start_ms = tape_start(state);
    let seconds = |ms: i64| (ms - start_ms) as f64 / 1000.0;
    let forecast = view.forecast.as_ref().filter(|_| !state.level_set());
    let moment =
        |interval: physics::warmup::Interval| Moment { p10: interval.p10, p50: interval.p50, p90: interval.p90 };
    let end_ms = state.settings.last().and_then(|setting: &Setting| setting.closed_ms).filter(|_| state.level_set());
    let until = end_ms.map_or(i64::MAX, |end| end + 60_000);
    TapeInput {
        window_c: window.map(|window| (window.low.celsius(), window.high.celsius())),
        readings: state
            .readings
            .iter()
            .filter(|reading| reading.at_ms >= start_ms && reading.at_ms <= until)
            .map(|reading| TapeReading {
                t_s: seconds(reading.at_ms),
                temp_c: reading.temp_c.celsius(),
                source: source(reading.source),
            })
            .collect(),
        fan: forecast.iter().flat_map(|f| &f.curve).map(fan).collect(),
        fitted: Vec::new(),
        opens_s: forecast.and_then(|f| f.opens_s).map(moment),
        closes_s: forecast.and_then(|f| f.closes_s).map(moment),
        now_s: state.ending.is_none().then(|| seconds(view.now_ms)).filter(|_| end_ms.is_none()),
        notches: notches(view, start_ms, until),
        start_clock_s: Some(clock_seconds(start_ms)),
        fahrenheit: false,
    }
}

/// Time of day in seconds, in the workshop's zone.
fn clock_seconds(ms: i64) -> f64 {
    jiff::Timestamp::from_millisecond(ms).map_or(0.0, |at| {
        let zoned = at.to_zoned_datetime(jiff::tz::TimeZone::system());
        f64::from(zoned.hour()) * 3600.0 + f64::from(zoned.minute()) * 60.0 + f64::from(zoned.second())
    })
}

/// The tape begins with the engine start that led to the last setting, or the one under way.
fn tape_start(state: &State) -> i64 {
    state.idling_since_ms.or_else(|| state.readings.first().map(|reading| reading.at_ms)).unwrap_or(state.opened_ms)
}

fn fan(point: &physics::warmup::FanPoint) -> FanPoint {
    FanPoint { t_s: point.t_s, p10: point.p10.celsius(), p50: point.p50.celsius(), p90: point.p90.celsius() }
}

fn source(source: job::entry::Source) -> draw::Source {
    use job::entry::Source as S;
    match source {
        S::Typed => draw::Source::Typed,
        S::Reader => draw::Source::Reader,
        S::Probe => draw::Source::Probe,
        S::Infrared => draw::Source::Infrared,
        S::Simulated => draw::Source::Simulated,
    }
}

/// Log entries worth a word at the margin: few and short.
fn notches(view: &JobView, start_ms: i64, until: i64) -> Vec<(f64, String)> {
    let lines = view.log.iter().filter(|line| !line.corrected && line.at_ms >= start_ms && line.at_ms <= until);
    let mut words: Vec<(f64, String)> = lines
        .filter_map(|line| {
            let word = match line.kind {
                "engine-started" => "engine on".to_owned(),
                "engine-stopped" => "engine off".to_owned(),
                "selector-cycled" => "ranges held".to_owned(),
                "fluid-poured" => "poured".to_owned(),
                "plug-opened" | "plug-closed" => {
                    let text = line.text.split(',').next().unwrap_or_default();
                    // "Level plug with standpipe out": the margin has room for what and whither.
                    let (what, more) = text.split_once(" plug").unwrap_or((text, ""));
                    let whither = more.split_whitespace().last().unwrap_or_default();
                    format!("{what} {whither}").trim_end().to_lowercase()
                }
                "run-off-seen" => {
                    line.text.trim_start_matches("Run-off: ").split(',').next().unwrap_or_default().to_owned()
                }
                _ => return None,
            };
            Some(((line.at_ms - start_ms) as f64 / 1000.0, word))
        })
        .collect();
    // A look that says the same as the one before is no news.
    words.dedup_by(|later, earlier| later.1 == earlier.1);
    words
}
