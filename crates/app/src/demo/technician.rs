//! A technician that does what the prompts say, against a simulated vehicle: it makes the demo's finished job, and
//! tests use it to drive whole jobs.

use job::plan::StepKey;
use job::prompt::Act;
use job::words::Fields;

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
    let mut twin = Twin::new(&sheet, start_ms, seed)?;
    let mut now_ms = start_ms;
    for turn in 0..LONGEST {
        let loaded = workshop.load(job).await?;
        twin.follow(&loaded.log, &loaded.state.sheet, now_ms);
        let view = view_of(&loaded, now_ms, 1.0);
        if view.state.ending.is_some() {
            return Ok(twin);
        }
        let (word, fields, seconds) = choose(&view).ok_or_else(|| stuck(&loaded, "no button is offered"))?;
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
fn choose(view: &JobView) -> Option<(&str, Fields, i64)> {
    let stale = view.live.reading_age_s.is_none_or(|age| age > 45.0);
    let idling = view.state.idling_since_ms.is_some();
    if view.state.setting_level() && idling && stale {
        return Some(("reading", Fields::new(), 5));
    }
    // Done driving: the prompt offers the road test first and the end second.
    let act: &Act = view.prompt.acts.first()?;
    let fixed = act.fixed.iter().map(|(field, value)| ((*field).to_owned(), value.clone())).collect();
    let seconds = match (act.word, view.prompt.step) {
        ("drained", _) => 900,
        ("look", _) => 10,
        ("reading", _) if !idling => 600,
        ("reading", _) => 30,
        ("open", Some(StepKey::OpenDrain)) => 60,
        ("open", Some(StepKey::WarmUp | StepKey::SetLevel)) => 5,
        ("close", Some(StepKey::SetLevel)) => 8,
        ("road-test", _) => 900,
        _ => 40,
    };
    Some((act.word, fixed, seconds))
}

/// Fills in what a person would read off jug, wrench and display.
fn seen(mut fields: Fields, word: &str, view: &JobView, twin: &Twin) -> Fields {
    let sight = twin.sight();
    let mut put = |field: &str, value: String| {
        fields.insert(field.to_owned(), value);
    };
    let fluid = format!("{:.0} °C", sight.fluid_c);
    match word {
        "level-vehicle" => {
            put("pitch", "0.2°".to_owned());
            put("roll", "-0.1°".to_owned());
        }
        "reading" => {
            put("temperature", format!("{:.0} °C", sight.display_c));
            put("source", "simulated".to_owned());
        }
        "look" => put("flow", sight.flow.to_owned()),
        "drained" => {
            put("volume", format!("{:.2} L", sight.drained_ml / 1000.0));
            put("at", fluid);
        }
        "residue" => {
            put("volume", "0.00 L".to_owned());
            put("at", "20 °C".to_owned());
        }
        "run-off" => {
            put("volume", format!("{:.2} L", sight.caught_ml / 1000.0));
            put("at", fluid);
        }
        "pour" => {
            let asks = view.prompt.acts.first().map(|act| act.asks.as_slice()).unwrap_or_default();
            let volume = asks.iter().find(|ask| ask.field == "volume").map_or("0.5", |ask| ask.suggestion.as_str());
            put("volume", format!("{volume} L"));
            put("at", "20 °C".to_owned());
        }
        "close" | "tighten" => {
            let plug = view.prompt.acts.first().and_then(|act| act.fixed.iter().find(|(field, _)| *field == "plug"));
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
