//! From what the workshop knows to what pages show: words, digits and nothing else.

mod decide;
mod film;
mod floor;
mod live;
mod log;
mod outcome;
mod photo;
mod prepare;
mod reckon;
mod settings;
mod sheets;
mod shell;
mod sight;
mod under;

pub(crate) use decide::{Entered, asks, figures, open_all_the_same, open_from_verdict, ruling, sheet_choice};
pub(crate) use film::{film, film_sheet};
pub(crate) use floor::{floor, opening};
pub(crate) use live::live;
pub(crate) use outcome::{outcome, proof};
pub(crate) use photo::photos;
pub(crate) use prepare::{card, label, lists, prepare, stubborn};
pub(crate) use reckon::reckons;
pub(crate) use settings::settings;
pub(crate) use sheets::{
    VALUE, differences, findings, history, new_fields, proposals, rows as sheet_rows, sheet_field, slots,
};
pub(crate) use shell::{job_head, shell};
pub(crate) use sight::sight;
pub(crate) use under::{Flash, under};

/// A moment in the workshop's own time zone.
pub(crate) fn stamp(ms: i64, format: &str) -> String {
    jiff::Timestamp::from_millisecond(ms)
        .map(|at| at.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime(format).to_string())
        .unwrap_or_default()
}

/// Seconds for a count, rounded; what is not a number or absurdly far does not count.
pub(crate) fn seconds(s: f64) -> Option<i64> {
    (s.is_finite() && s.abs() < 1e7).then_some(s.round() as i64)
}

/// Seconds for people: "20 s", "6 min".
pub(crate) fn span(s: f64) -> String {
    if s < 90.0 { format!("{s:.0} s") } else { format!("{:.0} min", s / 60.0) }
}

/// "Fill plug" beside other plugs is "Fill".
pub(crate) fn short(plug: &str) -> String {
    plug.strip_suffix(" plug").unwrap_or(plug).to_owned()
}
