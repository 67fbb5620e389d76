//! Photos: a form that works without script, and the pictures themselves.

use std::time::Duration;

use app::{Answer, AppError, SentPhoto};
use axum::extract::multipart::{Multipart, MultipartError, MultipartRejection};
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use job::words::SUBJECTS;
use tokio::sync::Semaphore;
use tokio::time::timeout;

use super::answer::{error, page, trouble};
use super::job::{Shop, job_shell};
use crate::fill;
use crate::view::Page;

/// One photo arrives at a time: how long another waits for its turn, and how long one may take.
static ARRIVING: Semaphore = Semaphore::const_new(1);
const WAITS: Duration = Duration::from_secs(60);
const ARRIVES: Duration = Duration::from_secs(120);

/// What the form brought.
#[derive(Default)]
struct Shot {
    id: String,
    of: String,
    /// How long it waited on the device.
    ago_ms: Option<i64>,
    file: Vec<u8>,
}

pub(super) async fn photos(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    shown(&shop, &headers, &job, StatusCode::OK, "", None).await
}

/// Takes a photo and shows the page again.
pub(super) async fn keep(
    State(shop): Shop,
    Path(job): Path<String>,
    headers: HeaderMap,
    form: Result<Multipart, MultipartRejection>,
) -> Response {
    // Held in memory while it arrives, so they arrive one after the other; one that stalls gives way.
    let Ok(Ok(_turn)) = timeout(WAITS, ARRIVING.acquire()).await else {
        let (title, what) = ("Too many photos at once", "Other photos are still arriving.");
        return trouble(&headers, StatusCode::SERVICE_UNAVAILABLE, "busy", title, what, "Send it again in a minute.");
    };
    let shot = match form {
        Ok(form) => match timeout(ARRIVES, shot(form)).await {
            Ok(shot) => shot.map_err(|why| (why.status(), why.body_text())),
            Err(_) => Err((StatusCode::REQUEST_TIMEOUT, "it took too long to arrive".to_owned())),
        },
        Err(why) => Err((why.status(), why.body_text())),
    };
    let shot = match shot {
        Ok(shot) => shot,
        Err((StatusCode::PAYLOAD_TOO_LARGE, _)) => {
            let what = format!("the file is larger than {} MB", app::LARGEST_UPLOAD >> 20);
            let wrong = Some((what, "Take it with the camera's usual setting.".to_owned()));
            return shown(&shop, &headers, &job, StatusCode::PAYLOAD_TOO_LARGE, "", wrong).await;
        }
        Err((status, why)) => {
            let cure = "Send it with the form of this page.";
            return trouble(&headers, status, "body", "The photo did not arrive", &why, cure);
        }
    };
    let Some(of) = SUBJECTS.iter().find(|row| row.0 == shot.of).map(|row| row.2) else {
        let wrong = Some(("it was not said what the photo shows".to_owned(), "Choose one of the four.".to_owned()));
        return shown(&shop, &headers, &job, StatusCode::UNPROCESSABLE_ENTITY, "", wrong).await;
    };
    let named =
        !shot.id.is_empty() && shot.id.len() <= 64 && shot.id.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
    let id = if named { shot.id } else { app::new_id() };
    let at_ms = shot.ago_ms.map(|ago| super::send::before(&shop, ago));
    let wrong = match shop.keep_photo(&job, SentPhoto { id, by: None, of, at_ms, file: shot.file }).await {
        Ok(Answer::Refused { reason, cure, .. }) => (reason, cure),
        Ok(_) => return Redirect::to(&format!("/job/{job}/photo")).into_response(),
        Err(AppError::Input { what, hint }) => (what, hint),
        Err(why) => return error(&headers, &why),
    };
    shown(&shop, &headers, &job, StatusCode::UNPROCESSABLE_ENTITY, &shot.of, Some(wrong)).await
}

async fn shot(mut form: Multipart) -> Result<Shot, MultipartError> {
    let mut shot = Shot::default();
    while let Some(field) = form.next_field().await? {
        match field.name().unwrap_or_default() {
            "id" => shot.id = field.text().await?,
            "of" => shot.of = field.text().await?,
            "ago_ms" => shot.ago_ms = field.text().await?.trim().parse().ok(),
            "photo" => shot.file = field.bytes().await?.into(),
            _ => {}
        }
    }
    Ok(shot)
}

async fn shown(
    shop: &app::Workshop,
    headers: &HeaderMap,
    job: &str,
    status: StatusCode,
    of: &str,
    wrong: Option<(String, String)>,
) -> Response {
    match shop.view(job).await {
        Ok(view) => {
            let shell = job_shell(shop, headers, &view, Page::Photos, "Photos: ", &format!("/job/{job}/photo"));
            (status, page(&fill::photos(&view, shell, of, wrong))).into_response()
        }
        Err(why) => error(headers, &why),
    }
}

/// The picture itself. Its address names its content, so a device may keep it.
pub(super) async fn picture(
    State(shop): Shop,
    headers: HeaderMap,
    Path((job, digest)): Path<(String, String)>,
) -> Response {
    match shop.photo(&job, &digest).await {
        Ok(Some(jpeg)) => {
            let keep = "private, max-age=31536000, immutable";
            ([(header::CONTENT_TYPE, "image/jpeg"), (header::CACHE_CONTROL, keep)], jpeg).into_response()
        }
        Ok(None) => {
            let (what, cure) = ("The job's log names no such photo.", "Open the job's photos.");
            trouble(&headers, StatusCode::NOT_FOUND, "no-such-photo", "There is no such photo", what, cure)
        }
        Err(why) => error(&headers, &why),
    }
}
