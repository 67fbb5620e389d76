//! What a camera sees, and the sheet beside the film.

use app::{JobView, Workshop};

use super::{Flash, under};
use crate::view::{Act, ClipView, FilmSheetView, FilmView, GROUNDS, Shell, Weight};

/// The overlay of a job.
pub(crate) fn film(view: &JobView, shell: Shell, ground: &str) -> FilmView {
    let steps = &view.plan.steps;
    let at = view.prompt.step.and_then(|key| steps.iter().position(|step| step.key == key));
    FilmView {
        shell,
        under: under(view, &Flash::default()),
        ground: GROUNDS.into_iter().find(|known| *known == ground).unwrap_or(GROUNDS[0]),
        step: at.map_or_else(|| view.state.sheet.name.clone(), |at| format!("Step {} of {}", at + 1, steps.len())),
        window: view.state.sheet.window().map_or_else(String::new, |window| format!("window {}", window.printed)),
    }
}

/// The sheet beside the film.
pub(crate) fn film_sheet(workshop: &Workshop, view: &JobView, shell: Shell) -> FilmSheetView {
    let sheet = app::film_sheet(view, &workshop.name);
    FilmSheetView {
        shell,
        job: view.job.clone(),
        title: sheet.title,
        subtitle: sheet.subtitle,
        clips: sheet.clips.into_iter().map(|clip| ClipView { title: clip.title, chapters: clip.chapters }).collect(),
        camera: (!view.live.ended).then(|| camera(view).weight(Weight::Main)),
        steps: sheet.steps.into_iter().map(|step| (step.verb, step.why, step.caution)).collect(),
        cautions: sheet.cautions,
        tools: sheet.tools,
        head: sheet.torques.head,
        rows: sheet.torques.rows,
        footer: sheet.footer,
    }
}

/// Says that the camera was started.
pub(crate) fn camera(view: &JobView) -> Act {
    Act::new(&view.job, &app::new_id(), view.state.last_seq, "camera", "The camera is running")
}
