//! Photos of a job: the entry in its log names the picture by its digest; the picture is a document beside the log.

mod child;
mod picture;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use job::Command;
use job::entry::Subject;
use serde::{Deserialize, Serialize};
use tokio::sync::Semaphore;

pub use child::{PICTURE_CHILD, reply};
pub use picture::{LARGEST_KEPT, LARGEST_UPLOAD, LONG_SIDE, Picture, picture};

use crate::error::AppError;
use crate::send::{Answer, Sent, What};
use crate::workshop::Workshop;

const KIND: &str = "photo";

/// A large photo takes some hundred megabytes while it is read, so they are read one after the other.
static ONE_AT_A_TIME: Semaphore = Semaphore::const_new(1);

/// A photo on its way to a job.
#[derive(Debug, Clone, PartialEq)]
pub struct SentPhoto {
    /// Client-made, unique within the job; sending it again gets the first answer.
    pub id: String,
    /// Who sends it; `None` is the job's technician.
    pub by: Option<String>,
    /// What it shows.
    pub of: Subject,
    /// When it was taken; `None` is now.
    pub at_ms: Option<i64>,
    /// The file as the camera made it.
    pub file: Vec<u8>,
}

#[derive(Serialize, Deserialize)]
struct Kept {
    jpeg: String,
}

impl Workshop {
    /// Keeps a photo with a job. The picture is on disk before the entry that names it.
    ///
    /// # Errors
    /// [`AppError::Input`] when the file is no photo that can be kept; see [`picture`]. A refusal is an [`Answer`].
    pub async fn keep_photo(&self, job: &str, sent: SentPhoto) -> Result<Answer, AppError> {
        let loaded = self.load(job).await?;
        let picture = {
            let _turn = ONE_AT_A_TIME.acquire().await;
            let program = self.photo_program.get().cloned();
            let read = tokio::task::spawn_blocking(move || match program {
                Some(program) => child::picture_by(&program, &sent.file),
                None => picture(&sent.file),
            })
            .await;
            read.map_err(|why| AppError::Input {
                what: format!("the photo cannot be read: {why}"),
                hint: "Take it again.".to_owned(),
            })??
        };
        let digest = store::format::digest(&picture.jpeg);
        let Picture { width, height, jpeg } = picture;
        let command = Command::KeepPhoto { of: sent.of, digest: digest.clone(), width, height };
        // A photo that the log will not take is not kept either.
        if job::act(&loaded.state, &command, &[], self.clock.now_ms()).is_ok() {
            let kept = serde_json::to_string(&Kept { jpeg: STANDARD.encode(&jpeg) });
            let kept = kept.map_err(|why| AppError::Input { what: why.to_string(), hint: String::new() })?;
            self.store.put_document(KIND, &digest, &kept).await?;
        }
        let by = sent.by.unwrap_or_else(|| loaded.state.opening.technician.clone());
        let sent = Sent {
            id: sent.id,
            seen: None,
            at_ms: sent.at_ms,
            by,
            what: What::Command(command),
            overrides: Vec::new(),
        };
        self.send(job, sent).await
    }

    /// From now on photos are read by a child of that program, which must know [`PICTURE_CHILD`]; before, in this process.
    pub fn read_photos_by(&self, program: std::path::PathBuf) {
        // Said once; a second time changes nothing.
        let _ = self.photo_program.set(program);
    }

    /// A photo that a job's log names, as a JPEG; `None` when it names none of this digest or it is no longer what was kept.
    ///
    /// # Errors
    /// What is wrong with the log on disk.
    pub async fn photo(&self, job: &str, digest: &str) -> Result<Option<Vec<u8>>, AppError> {
        let loaded = self.load(job).await?;
        if !loaded.state.photos.iter().any(|photo| photo.digest == digest) {
            return Ok(None);
        }
        let Some(body) = self.store.document(KIND, digest).await? else { return Ok(None) };
        let jpeg = serde_json::from_str::<Kept>(&body).ok().and_then(|kept| STANDARD.decode(kept.jpeg).ok());
        Ok(jpeg.filter(|jpeg| store::format::digest(jpeg) == digest))
    }
}
