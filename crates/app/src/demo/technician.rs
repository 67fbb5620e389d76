//! A technician that does what the prompts say, against a simulated vehicle: it makes the demo's finished job, and
//! tests use it to drive whole jobs.

use job::plan::StepKey;
use job::prompt::Act;
use job::words::Fields;

use link::simulate::Shown;

use super::sight::Beside;
use super::twin::Twin;
use crate::error::AppError;
use crate::record::Loaded;
use crate::send::{Answer, Sent, What};
use crate::view::{JobView, view_of};
use crate::workshop::Workshop;

/// More entries than any job needs; past this the prompts lead in a circle.
const LONGEST: usize = 600;

/// Works a job through from `start_ms` until it has ended; gives the vehicle as it was left.
///
/// # Errors
/// [`AppError::Unreadable`] when a prompt's own command is refused or the prompts never end.
pub async fn work_through(workshop: &Workshop, job: &str, start_ms: i64, seed: u64) -> Result<Twin, AppError> {
    let sheet = workshop.load(job).await?.state.sheet.clone();
    work_through_with(workshop, job, start_ms, Twin::new(&sheet, start_ms, seed)?).await
}

/// The same on a given vehicle.
///
/// # Errors
/// As [`work_through`].
pub async fn work_through_with(
    workshop: &Workshop,
    job: &str,
    start_ms: i64,
    mut twin: Twin,
) -> Result<Twin, AppError> {
    let mut now_ms = start_ms;
    for turn in 0..LONGEST {
        let loaded = workshop.load(job).await?;
        twin.follow(&loaded.log, &loaded.state.sheet, now_ms);
        let view = view_of(&loaded, now_ms, 1.0);
        if view.state.ending.is_some() {
            return Ok(twin);
        }
        let sight = twin.sight();
        let beside = sight.of(view.prompt.circuit.as_deref());
        let (word, fields, seconds) = choose(&view, beside).ok_or_else(|| stuck(&loaded, "no button is offered"))?;
        now_ms += seconds * 1000;
        twin.follow(&loaded.log, &loaded.state.sheet, now_ms);
        let fields = seen(fields, word, &view, &twin);
        let sent = Sent {
            id: format!("technician-{turn}"),
            seen: None,
            at_ms: Some(now_ms),
            by: view.state.opening.technician.clone(),
            what: What::Words(word.to_owned(), fields),
            overrides: Vec::new(),
        };
        let answer = workshop.send(job, sent).await?;
        if !answer.is_in_the_log()
            && let Answer::Refused { reason, .. } = answer
        {
            return Err(stuck(&loaded, &reason));
        }
    }
    let loaded = workshop.load(job).await?;
    let last: Vec<String> = loaded
        .lines()
        .into_iter()
        .rev()
        .filter(|line| line.kind != "reading-taken")
        .take(12)
        .map(|line| line.text)
        .collect();
    Err(stuck(&loaded, &format!("the prompts lead in a circle; latest first: {}", last.join("; "))))
}

fn stuck(loaded: &Loaded, why: &str) -> AppError {
    AppError::Unreadable { job: loaded.job.clone(), why: format!("the demo technician is stuck: {why}") }
}

/// Which button, its settled fields, and how many seconds the work takes before it is pressed.
fn choose<'a>(view: &'a JobView, beside: Option<&Beside>) -> Option<(&'a str, Fields, i64)> {
    let stale = view.live.reading_age_s.is_none_or(|age| age > 45.0);
    let idling = view.state.idling_since_ms.is_some();
    if view.state.setting_level() && idling && stale {
        return Some(("reading", Fields::new(), 5));
    }
    // A portion is entered once it is through: until the tank is empty there is time to read the temperature.
    let passing = beside.is_some_and(|beside| beside.moving || beside.passed_ml.1 < LEAST_PORTION_ML);
    if view.prompt.step == Some(StepKey::Exchange) && passing {
        return Some(("reading", Fields::new(), 60));
    }
    // Done driving: the prompt offers the road test first and the end second.
    let act = wanted(view, beside)?;
    let fixed = act.fixed.iter().map(|(field, value)| ((*field).to_owned(), value.clone())).collect();
    let seconds = match (act.word, view.prompt.step) {
        ("drained", _) => 900,
        ("look", _) => 10,
        ("reading", _) if !idling => 600,
        ("reading", _) => 30,
        // The pump has its time.
        ("weigh", Some(StepKey::WeighAfter)) => 300,
        ("open", Some(StepKey::OpenDrain)) => 60,
        ("open", Some(StepKey::WarmUp | StepKey::SetLevel)) => 5,
        ("close", Some(StepKey::SetLevel)) => 8,
        ("road-test", _) => 900,
        _ => 40,
    };
    Some((act.word, fixed, seconds))
}

/// A portion below this is not worth an entry.
const LEAST_PORTION_ML: f64 = 500.0;

/// The first button; at a hole the one that says what is seen there.
fn wanted<'a>(view: &'a JobView, beside: Option<&Beside>) -> Option<&'a Act> {
    let first = view.prompt.acts.first()?;
    let runs = beside.is_some_and(|beside| beside.shown == Some(Shown::RunsOver));
    let over = view.prompt.acts.iter().find(|act| act.fixed.contains(&("seen", "runs".to_owned())));
    Some(over.filter(|_| first.word == "edge" && runs).unwrap_or(first))
}

/// Fills in what a person would read off jug, scale, stick, wrench and display.
fn seen(mut fields: Fields, word: &str, view: &JobView, twin: &Twin) -> Fields {
    let sight = twin.sight();
    let circuit = fields.get("circuit").cloned().or_else(|| view.prompt.circuit.clone());
    let Some(beside) = sight.of(circuit.as_deref()) else { return fields };
    let acts = &view.prompt.acts;
    let asks = acts.iter().find(|act| act.word == word).map(|act| act.asks.as_slice()).unwrap_or_default();
    let suggested = |field: &str| asks.iter().find(|ask| ask.field == field).map(|ask| ask.suggestion.as_str());
    let cold = fields.get("mark").is_some_and(|mark| mark == "cold");
    let litres = |ml: f64| format!("{:.2} L", ml / 1000.0);
    let mut put = |field: &str, value: String| {
        fields.insert(field.to_owned(), value);
    };
    let fluid = format!("{:.0} °C", beside.fluid_c);
    if suggested("fluid").is_some() {
        let sheet = circuit.as_deref().and_then(|id| view.state.sheet.of_circuit(id));
        let approved = sheet.and_then(|sheet| sheet.fluid.approvals.first().cloned());
        put("fluid", approved.unwrap_or_default());
    }
    match word {
        "level-vehicle" => {
            put("pitch", format!("{:.1}°", sight.stands.nose_up.degrees()));
            put("roll", format!("{:.1}°", sight.stands.right_up.degrees()));
        }
        "reading" => {
            put("temperature", format!("{:.0} °C", beside.display_c));
            put("source", "simulated".to_owned());
        }
        "look" => put("flow", beside.flow.to_owned()),
        "drained" => {
            put("volume", litres(beside.drained_ml));
            put("at", fluid);
        }
        "residue" => {
            put("volume", "0.00 L".to_owned());
            put("at", "20 °C".to_owned());
        }
        // What is taken out by hand is as much as the page says, what ran off is what is in the pan.
        "run-off" => match suggested("volume").filter(|volume| !volume.is_empty()) {
            Some(volume) => {
                put("volume", format!("{volume} L"));
                put("at", fluid);
            }
            None => {
                put("volume", litres(beside.caught_ml));
                put("at", fluid);
            }
        },
        "pour" => {
            put("volume", format!("{} L", suggested("volume").filter(|volume| !volume.is_empty()).unwrap_or("0.5")));
            put("at", "20 °C".to_owned());
        }
        "weigh" => {
            put("mass", format!("{:.3} kg", beside.can_kg));
            put("at", "20 °C".to_owned());
        }
        "exchange" => {
            put("out", litres(beside.passed_ml.0));
            put("out_at", fluid);
            put("in", litres(beside.passed_ml.1));
            put("in_at", "20 °C".to_owned());
        }
        "dip" | "probe" | "edge" | "readout" => level(cold, beside, &mut put),
        "close" | "tighten" => {
            let plug = acts.first().and_then(|act| act.fixed.iter().find(|(field, _)| *field == "plug"));
            let torque = plug.and_then(|(_, id)| view.state.plug(id)).and_then(|plug| plug.torque.as_ref());
            if let Some(torque) = torque {
                put("torque", format!("{:.0} N·m", torque.mid().nm()));
            }
            if word == "close" {
                put("new_seal", "yes".to_owned());
            }
        }
        _ => {}
    }
    fields
}

/// What the level reads as, in the fields of its family.
fn level(cold: bool, beside: &Beside, put: &mut impl FnMut(&str, String)) {
    let mm = |length: quantity::Length| format!("{:.0} mm", length.mm());
    match if cold { beside.cold } else { beside.shown } {
        Some(Shown::Stick { one, other }) => {
            put("one_side", mm(one));
            put("other_side", mm(other));
        }
        Some(Shown::Probe { wetted }) => put("reading", mm(wetted)),
        Some(Shown::BelowEdge { below }) => put("below", mm(below)),
        Some(Shown::Figure { value }) => put("value", format!("{value}")),
        Some(Shown::RunsOver) | None => {}
    }
}
