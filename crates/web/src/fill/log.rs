//! The log as the page tells it.

use app::JobView;

use super::stamp;
use crate::view::LogLine;

/// What an entry concerns that is none of several circuits'.
const VEHICLE: &str = "Vehicle";

/// The log as it is read, newest first.
/// The log, newest first.
pub(crate) fn log(view: &JobView) -> Vec<LogLine> {
    let several = !view.state.sheet.further.is_empty();
    let line = |line: &app::LogLine| LogLine {
        seq: line.seq,
        time: stamp(line.at_ms, "%H:%M:%S"),
        words: line.text.clone(),
        who: line.by.clone(),
        corrected: line.corrected,
        overridden: view.state.overrides.iter().any(|over| over.seq == line.seq),
        heading: line.circuit.clone().unwrap_or_else(|| if several { VEHICLE.to_owned() } else { String::new() }),
    };

    let mut all = Vec::new();
    let mut rest = view.log.as_slice();
    while let Some(last) = rest.last() {
        // A reader that sends all the time fills the log: its runs are told in one line, the newest in full.
        let run = rest.iter().rev().take_while(|l| l.kind == "reading-taken" && !l.corrected).count();
        all.push(line(last));
        if run > RUN {
            let told = &rest[rest.len() - run..rest.len() - 1];
            all.extend(readings(view, told));
            rest = &rest[..rest.len() - run];
        } else {
            rest = &rest[..rest.len() - 1];
        }
    }
    let mut above = String::new();
    for line in &mut all {
        let side = std::mem::take(&mut line.heading);
        if side != above {
            line.heading.clone_from(&side);
        }
        above = side;
    }
    all
}

/// Readings in a row that are still told one by one.
const RUN: usize = 4;

/// Several readings as one line: how many, from what to what.
fn readings(view: &JobView, told: &[app::LogLine]) -> Option<LogLine> {
    let (first, last) = (told.first()?, told.last()?);
    let temps = view.state.readings.iter().filter(|reading| (first.seq..=last.seq).contains(&reading.seq));
    let temps: Vec<f64> = temps.map(|reading| reading.temp_c.celsius()).collect();
    let (low, high) = temps.iter().fold((f64::MAX, f64::MIN), |(low, high), t| (low.min(*t), high.max(*t)));
    let span = if temps.is_empty() { String::new() } else { format!(", {low:.1}–{high:.1} °C") };
    Some(LogLine {
        seq: last.seq,
        time: stamp(last.at_ms, "%H:%M:%S"),
        words: format!("{} readings{span}, entries {}–{}", told.len(), first.seq, last.seq),
        who: last.by.clone(),
        corrected: false,
        overridden: false,
        heading: if view.state.sheet.further.is_empty() { String::new() } else { VEHICLE.to_owned() },
    })
}
