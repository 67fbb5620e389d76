//! What a film of the job needs beside it: chapters, tools, torques, steps.

use job::Plan;
use job::state::Ending;
use report::{Clip, FilmSheet, Step, Table};

use crate::MODEL_VERSION;
use crate::record::LogLine;
use crate::view::JobView;

/// Chapters closer together than this run into one: players do not show shorter ones (common practice, no source).
const SHORTEST_S: i64 = 10;
/// Entries that run into one chapter are named up to so many.
const NAMED: usize = 3;

/// The paper beside the film of a job.
pub fn film_sheet(view: &JobView, workshop: &str) -> FilmSheet {
    let (state, plan) = (&view.state, &view.plan);
    let text = |value: &Option<String>| value.clone().unwrap_or_else(|| "—".to_owned());
    let rows = plan.torques.iter().map(|row| vec![row.plug.clone(), row.bit(), text(&row.printed), text(&row.seal)]);
    let ending = match &state.ending {
        Some(Ending::Finished) => String::new(),
        Some(Ending::Stopped { reason }) => format!("This job was stopped: {reason}"),
        None => "This job is still open.".to_owned(),
    };
    FilmSheet {
        workshop: workshop.to_owned(),
        demo: view.demo,
        title: format!("{}: fluid service, step by step", state.sheet.name),
        subtitle: [state.sheet.kind.clone(), window(view), ending]
            .into_iter()
            .filter(|s| !s.is_empty())
            .collect::<Vec<_>>()
            .join(" · "),
        clips: clips(view),
        tools: plan.bench.iter().map(|item| (item.what.clone(), item.how_much.clone())).collect(),
        torques: Table {
            head: ["Plug", "bit", "torque", "seal"].map(String::from).to_vec(),
            rows: rows.collect(),
            total: Vec::new(),
        },
        steps: steps(plan),
        cautions: plan.cautions.clone(),
        footer: format!("{MODEL_VERSION} · The maker's figures and your own judgement come first."),
    }
}

/// The sheet as plain text.
pub fn film_text(view: &JobView, workshop: &str) -> String {
    report::film_text(&film_sheet(view, workshop))
}

/// The sheet as a PDF.
///
/// # Errors
/// What kept the paper from being set, in words.
pub fn film_pdf(view: &JobView, workshop: &str) -> Result<Vec<u8>, String> {
    report::film_pdf(&film_sheet(view, workshop)).map_err(|why| why.to_string())
}

fn window(view: &JobView) -> String {
    view.state.sheet.window().map_or_else(String::new, |window| format!("level set at {}", window.printed))
}

fn steps(plan: &Plan) -> Vec<Step> {
    let step = |step: &job::plan::Step| Step {
        verb: step.verb.clone(),
        why: step.why.clone(),
        caution: step.caution.clone().unwrap_or_default(),
    };
    plan.steps.iter().map(step).collect()
}

/// One clip for each start of the camera, with what was entered until the next.
fn clips(view: &JobView) -> Vec<Clip> {
    let starts = &view.state.camera_ms;
    let ends = starts.iter().skip(1).copied().chain([i64::MAX]);
    let many = starts.len() > 1;
    let clip = |(n, (start, end)): (usize, (&i64, i64))| Clip {
        title: if many { format!("Clip {}", n + 1) } else { "Chapters".to_owned() },
        chapters: chapters(view, *start, end),
    };
    starts.iter().zip(ends).enumerate().map(clip).collect()
}

fn chapters(view: &JobView, start_ms: i64, end_ms: i64) -> Vec<(String, String)> {
    let mut all: Vec<(i64, Vec<String>)> =
        vec![(0, vec![format!("{}, {}", view.state.opening.vehicle, view.state.sheet.name)])];
    let mut last = String::new();
    let lines = view.log.iter().filter(|line| !line.corrected && line.at_ms >= start_ms && line.at_ms < end_ms);
    for line in lines {
        let Some(words) = chapter(line).filter(|words| *words != last) else { continue };
        last.clone_from(&words);
        let at = (line.at_ms - start_ms) / 1000;
        match all.last_mut() {
            Some((since, names)) if at - *since < SHORTEST_S => {
                if names.len() < NAMED {
                    names.push(words);
                }
            }
            _ => all.push((at, vec![words])),
        }
    }
    all.into_iter().map(|(at, names)| (clock(at), names.join("; "))).collect()
}

/// An entry as a chapter; readings, notes and the like are none.
fn chapter(line: &LogLine) -> Option<String> {
    match line.kind {
        "job-opened" | "reading-taken" | "note-written" | "bench-ticked" | "camera-started" | "photo-kept"
        | "seal-confirmed" | "entry-withdrawn" | "entry-replaced" => None,
        // "Poured 4.85 ± 0.05 L at 20 °C": a chapter needs no doubt.
        _ => match line.text.split_once(" ± ") {
            Some((before, after)) => {
                let unit = after.split_whitespace().nth(1).unwrap_or_default();
                Some(format!("{before} {unit}").trim_end().to_owned())
            }
            None => Some(line.text.clone()),
        },
    }
}

/// "0:00", "12:05", "1:02:00".
fn clock(s: i64) -> String {
    let (h, m, s) = (s / 3600, s / 60 % 60, s % 60);
    if h > 0 { format!("{h}:{m:02}:{s:02}") } else { format!("{m}:{s:02}") }
}
