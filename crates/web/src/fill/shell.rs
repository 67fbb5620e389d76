//! What every page carries.

use app::{JobView, Workshop};

use super::live::out_words;
use super::{seconds, stamp};
use crate::view::{Demo, JobHead, Page, Shell, Theme};

/// The shell of a page at `here`.
pub(crate) fn shell(workshop: &Workshop, theme: Theme, page: Page, title: &str, here: &str) -> Shell {
    let speed = workshop.clock().speed();
    Shell {
        title: title.to_owned(),
        page,
        theme,
        demo: workshop.demo.then(|| Demo { speed: format!("{speed:.0}") }),
        job: None,
        here: here.to_owned(),
    }
}

/// The job in the head and in the title block at the foot.
pub(crate) fn job_head(view: &JobView) -> JobHead {
    let (state, sheet) = (&view.state, &view.state.sheet);
    let cell = |what: &str, value: String| (what.to_owned(), value);
    let mut block =
        vec![cell("Unit", format!("{}, {}", sheet.name, sheet.kind)), cell("Vehicle", state.opening.vehicle.clone())];
    let metric = quantity::print::Units::Metric;
    block.extend(state.opening.odometer_km.map(|km| cell("Odometer", quantity::print::distance(km, metric))));
    block.extend([
        cell("Sheet", sheet.edition.as_ref().map_or_else(|| sheet.id.clone(), |e| format!("{}: {e}", sheet.id))),
        cell("Technician", state.opening.technician.clone()),
        cell("Opened", stamp(state.opened_ms, "%Y-%m-%d %H:%M")),
    ]);
    JobHead {
        id: view.job.clone(),
        unit: sheet.name.clone(),
        vehicle: state.opening.vehicle.clone(),
        out: view.live.plugs_out.iter().map(|(name, s)| (out_words(name), seconds(*s).unwrap_or(0))).collect(),
        block,
        over: state.ending.is_some(),
    }
}
