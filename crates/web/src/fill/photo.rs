//! Photos of a job.

use app::JobView;
use job::words::SUBJECTS;

use crate::view::{Choice, PhotoView, PhotosView, Shell};

/// The photos of a job, the latest first.
pub(crate) fn pictures(view: &JobView) -> Vec<PhotoView> {
    let picture = |photo: &job::state::Photo| {
        let what = SUBJECTS.iter().find(|row| row.2 == photo.of).map_or("", |row| row.1);
        PhotoView {
            address: format!("/job/{}/photo/{}", view.job, photo.digest),
            title: capital(what),
            what: what.to_owned(),
            time: super::stamp(photo.at_ms, "%H:%M:%S"),
            width: photo.width,
            height: photo.height,
        }
    };
    view.state.photos.iter().rev().map(picture).collect()
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The page of a job's photos: what was chosen last, and why it was not kept.
pub(crate) fn photos(view: &JobView, shell: Shell, of: &str, trouble: Option<(String, String)>) -> PhotosView {
    let chosen = if of.is_empty() { SUBJECTS[0].0 } else { of };
    let subject = |row: &(&str, &str, job::entry::Subject)| Choice {
        value: row.0.to_owned(),
        label: capital(row.1),
        chosen: row.0 == chosen,
    };
    PhotosView {
        shell,
        job: view.job.clone(),
        id: app::new_id(),
        most: app::LARGEST_UPLOAD >> 20,
        subjects: SUBJECTS.iter().map(subject).collect(),
        photos: pictures(view),
        trouble,
    }
}
