//! Photos of a job.

use askama::Template;

use super::{Choice, Shell};

/// One photo.
#[derive(Clone, Debug, PartialEq)]
pub struct PhotoView {
    /// Address of the picture.
    pub address: String,
    /// "The old fluid".
    pub title: String,
    /// "the old fluid".
    pub what: String,
    /// "10:42:05".
    pub time: String,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

/// The form for a photo, and those there are.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "photos.html")]
pub struct PhotosView {
    pub shell: Shell,
    pub job: String,
    /// Id of the next keeping.
    pub id: String,
    /// Most megabytes that are read.
    pub most: usize,
    pub subjects: Vec<Choice>,
    pub photos: Vec<PhotoView>,
    /// Why the last one was not kept, and what to do.
    pub trouble: Option<(String, String)>,
}
