//! Home.

use app::{FloorRow, SheetEntry, Workshop};

use super::live::{out_words, split_verb, zone};
use super::{seconds, stamp};
use crate::view::{Act, Band, Banner, BannerKind, Field, FinishedRow, FloorView, Forecast, Input, JobRow, Shell};

/// The floor as it stands.
pub(crate) fn floor(
    workshop: &Workshop,
    rows: Vec<FloorRow>,
    shell: Shell,
    opening: Act,
    trouble: String,
) -> FloorView {
    let damaged = rows.iter().filter(|row| row.damaged).map(|row| {
        format!(
            "{}, {}: its log does not read as it was written. Take this job from a backup; the others are not touched.",
            row.vehicle, row.job
        )
    });
    let awaited: Vec<app::Awaited> = rows
        .iter()
        .filter_map(|row| app::Awaited::of(&row.job, &row.vehicle, row.live.as_ref().filter(|l| !l.level_set)?))
        .collect();
    FloorView {
        meetings: app::meetings(&awaited).iter().map(meeting).collect(),
        damaged: workshop.troubles().into_iter().chain(damaged).collect(),
        open: rows.iter().filter(|row| !row.closed && !row.damaged).map(open_row).collect(),
        finished: rows.iter().filter(|row| row.closed).map(finished_row).collect(),
        speed: workshop.clock().speed(),
        shell,
        opening,
        trouble,
    }
}

/// Two windows that want the same hands, as news.
pub(crate) fn meeting(meeting: &app::Meeting) -> Banner {
    let (why, cure) = meeting.words();
    let title = if meeting.both_fit { "ONE AFTER THE OTHER" } else { "TWO WINDOWS AT ONCE" };
    Banner {
        kind: BannerKind::Meeting,
        title: title.to_owned(),
        code: String::new(),
        why,
        cure,
        anyway: None,
        link: None,
    }
}

fn open_row(row: &FloorRow) -> JobRow {
    let live = row.live.as_ref();
    let band = live.map_or(Band::Unknown, zone);
    let band_word = match band {
        Band::Cold => "COLD",
        Band::Open if live.is_some_and(|l| l.urgency == job::prompt::Urgency::ActNow) => "OPEN NOW",
        Band::Open => "INSIDE",
        Band::Hot => "TOO HOT",
        Band::Unknown => "",
    };
    let forecast = live.map(|l| row_forecast(l, band)).unwrap_or_default();
    JobRow {
        id: row.job.clone(),
        vehicle: row.vehicle.clone(),
        unit: row.title.clone(),
        stands: row.stage.clone(),
        waits_for: split_verb(row.waits_for.trim_end_matches('.')).0,
        temperature: live.and_then(|l| l.temperature_c).map_or_else(String::new, |t| format!("{t:.1} °C")),
        band,
        band_word: band_word.to_owned(),
        forecast,
        out: live
            .map(|l| l.plugs_out.iter().map(|(name, s)| (out_words(name), seconds(*s).unwrap_or(0))).collect())
            .unwrap_or_default(),
        fresh: live.is_some_and(|l| l.seq <= 1),
    }
}

/// The countdown of a row: opens, closes, never, missed.
fn row_forecast(live: &app::Live, band: Band) -> Forecast {
    let count = |lead: &str, interval: [f64; 3]| Forecast {
        lead: lead.to_owned(),
        left_s: seconds(interval[1].max(0.0)),
        ..Forecast::default()
    };
    let says = |lead: &str, says: &str| Forecast { lead: lead.into(), says: says.into(), ..Forecast::default() };
    match (live.back_in_s, live.closes_in_s, live.opens_in_s) {
        _ if live.level_set => says("", "level set"),
        _ if live.never => says("at this idle", "never"),
        (Some(back), ..) => count(if live.idling_s.is_some() { "missed; back in" } else { "cool enough in" }, back),
        _ if band == Band::Hot => says("window", "missed"),
        (_, Some(closes), _) if band == Band::Open => count("closes in", closes),
        (.., Some(opens)) if band != Band::Open => count("opens in", opens),
        _ => Forecast::default(),
    }
}

fn finished_row(row: &FloorRow) -> FinishedRow {
    FinishedRow {
        id: row.job.clone(),
        vehicle: row.vehicle.clone(),
        unit: row.title.clone(),
        day: stamp(row.updated_ms, "%Y-%m-%d"),
        result: if row.came.is_empty() { row.stage.clone() } else { format!("{}, {}", row.stage, row.came) },
    }
}

/// The form that opens a job, with what was entered before.
pub(crate) fn opening(sheets: &[SheetEntry], id: &str, entered: &dyn Fn(&str) -> String) -> Act {
    let choices: Vec<(&str, &str)> = sheets.iter().map(|s| (s.name.as_str(), s.title.as_str())).collect();
    let sheet = Field::choice("sheet", "Sheet", &choices);
    let chosen = entered("sheet");
    let mut act = Act::new("", id, 0, "open-job", "Open the job")
        .field(if chosen.is_empty() { sheet } else { sheet.with(&chosen) })
        .field(Field::new("vehicle", "Vehicle", Input::Text).with(&entered("vehicle")))
        .field(Field::number("odometer", "Odometer", "km").with(&entered("odometer")).optional())
        .field(Field::new("technician", "Technician", Input::Text).with(&entered("technician")))
        .field(Field::number("fluid_age", "Old fluid has run", "km").with(&entered("fluid_age")).optional())
        .field(Field::new("fluid", "Fluid to pour", Input::Text).with(&entered("fluid")).optional());
    act.action = "/job".to_owned();
    act
}
