//! `job log JOB readings FILE`: every reading of a file, each at its own time.

use app::{Answer as Outcome, Workshop};
use job::entry::Source;
use link::readings::{Point, ReadingsFile};
use serde_json::json;

use crate::command::predict::readings;
use crate::print::{Answer, Fault, list, rows};

/// A warm-up read four times a second for more than an hour.
const MOST: usize = 20_000;
/// Entries further ahead of the clock than this are refused; all are looked at before the first is sent, so that a file
/// is entered whole or not at all.
const AHEAD_MS: i64 = 300_000;

/// Enters the readings of a file.
pub async fn enter(
    workshop: &Workshop,
    job: &str,
    given: &str,
    started_ms: Option<i64>,
    by: Option<String>,
) -> Result<Answer, Fault> {
    let loaded = workshop.load(job).await?;
    let file = readings(given)?;
    let start = start_of(&file, started_ms, loaded.state.idling_since_ms)?;
    check(given, &file, start, workshop.clock().now_ms())?;
    let by = by.unwrap_or_else(|| loaded.state.opening.technician.clone());
    let readings: Vec<_> = file.points.iter().map(|point| (at_ms(point, start), point.temp)).collect();
    let (answer, new) = workshop.send_readings(job, &by, Source::Reader, &readings).await?;
    if !answer.is_in_the_log() {
        return Ok(refused(job, &answer));
    }
    let known = readings.len() - new;
    let view = workshop.view(job).await?;
    let mut lines = vec![("Entered", format!("{new} readings"))];
    if known > 0 {
        lines.push(("Known", format!("{known} readings were in the log already")));
    }
    lines.push(("Next", view.prompt.verb.clone()));
    lines.extend(super::show::countdown(&view));
    let findings: Vec<String> = file.findings.iter().map(|f| format!("line {}: {}", f.line, f.message)).collect();
    let document = json!({
        "answer": "accepted", "job": job, "entered": new, "known": known, "last_seq": view.live.seq,
        "findings": file.findings, "next": { "verb": view.prompt.verb, "why": view.prompt.why },
    });
    Ok(Answer::new(rows(&lines) + &list("Mind", &findings), document))
}

/// When the file's axis is at zero: its own dates, else the start of the engine.
fn start_of(file: &ReadingsFile, started: Option<i64>, idling: Option<i64>) -> Result<i64, Fault> {
    file.start.or(started).or(idling).ok_or_else(|| {
        Fault::new(
            "the file counts seconds from the start of the engine, and the log shows no engine idling",
            "enter start-engine first, or give --started TIME",
        )
    })
}

fn at_ms(point: &Point, start: i64) -> i64 {
    // Times of a readings file are held within a hundred days, far inside what an i64 of milliseconds holds.
    start.saturating_add((point.elapsed_s * 1000.0).round() as i64)
}

fn check(given: &str, file: &ReadingsFile, start: i64, now_ms: i64) -> Result<(), Fault> {
    let count = file.points.len();
    if count == 0 {
        let hint = "each line needs a time and a temperature, as in \"60,24.5\" below \"elapsed_s,temperature_c\"";
        return Err(Fault::new(format!("{given}: no line holds a usable reading; nothing was entered"), hint));
    }
    if count > MOST {
        let what = format!("{given}: {count} readings; at most {MOST} are entered at once, and nothing was entered");
        return Err(Fault::new(what, "thin the file out: a reading every ten seconds is plenty for a forecast"));
    }
    match file.points.iter().find(|point| at_ms(point, start) > now_ms.saturating_add(AHEAD_MS)) {
        None => Ok(()),
        Some(point) => {
            let ahead = (at_ms(point, start) - now_ms) / 1000;
            let what = format!("{given}: line {} would be {ahead} s in the future; nothing was entered", point.line);
            Err(Fault::new(what, "say with --started TIME when the engine was really started"))
        }
    }
}

fn refused(job: &str, answer: &Outcome) -> Answer {
    let mut document = json!(answer);
    document["job"] = json!(job);
    document["entered"] = json!(0);
    let text = |key: &str| document[key].as_str().unwrap_or_default().to_owned();
    let lines = [("Refused", text("reason")), ("Cure", text("cure")), ("Gate", text("code"))];
    Answer { text: rows(&lines), json: document, objection: true }
}
