//! The reader's own choices: taken from cookies for every answer, kept from the settings page.

use std::sync::Arc;

use app::Workshop;
use axum::body::{Body, to_bytes};
use axum::extract::{Form, Request, State};
use axum::http::{HeaderMap, HeaderValue, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use super::answer::page;
use super::theme_of;
use crate::choice::{CURRENT, Choices, MM};
use crate::fill;
use crate::view::Theme;

/// No page is larger.
const PAGE_LIMIT: usize = 16 * 1024 * 1024;

/// The choices in the cookies of a request.
pub(super) fn choices_of(headers: &HeaderMap) -> Choices {
    let cookies = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    let pairs = cookies.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.fold(Choices::default(), |choices, (name, value)| choices.with(name, value))
}

/// Answers in the units of whoever asks.
pub(super) async fn in_own_units(request: Request, next: Next) -> Response {
    let choices = choices_of(request.headers());
    let response = CURRENT.scope(choices, next.run(request)).await;
    let kind = response.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    if choices.units.is_usual() || !kind.starts_with("text/html") {
        return response;
    }
    let (mut parts, body) = response.into_parts();
    match to_bytes(body, PAGE_LIMIT).await.map(|bytes| String::from_utf8(bytes.to_vec())) {
        Ok(Ok(html)) => {
            parts.headers.remove(header::CONTENT_LENGTH);
            Response::from_parts(parts, Body::from(choices.units.page(&html)))
        }
        _ => {
            (axum::http::StatusCode::INTERNAL_SERVER_ERROR, "The page could not be made. Code: page\n").into_response()
        }
    }
}

/// The settings page.
pub(super) async fn settings(State(shop): State<Arc<Workshop>>, headers: HeaderMap) -> Response {
    page(&fill::settings(&shop, theme_of(&headers), choices_of(&headers)))
}

/// Keeps what was chosen on this device and shows the settings again.
pub(super) async fn keep(Form(form): Form<Vec<(String, String)>>) -> Response {
    let get = |name: &str| form.iter().find(|(n, _)| n == name).map(|(_, value)| value.as_str());
    let mut response = Redirect::to("/settings").into_response();
    let mut keep = |name: &str, value: &str| {
        let cookie = format!("{name}={value}; Path=/; Max-Age=31536000; SameSite=Strict");
        // Words of our own making: they are always a header.
        if let Ok(cookie) = HeaderValue::from_str(&cookie) {
            response.headers_mut().append(header::SET_COOKIE, cookie);
        }
    };
    if let Some(theme) = get("theme") {
        keep("theme", Theme::from_word(theme).word());
    }
    let units = crate::choice::KINDS.iter().filter_map(|kind| get(kind.name)).collect::<Vec<_>>().join(".");
    if !units.is_empty() {
        keep("units", &Choices::default().with("units", &units).units.cookie());
    }
    if let Some(mm) = get("mm").map(|mm| Choices::default().with("mm", mm)) {
        // An empty field is the usual size again.
        keep("mm", &mm.mm_text().unwrap_or_default());
    }
    response
}

/// A style of one rule: how long a millimetre is on this screen.
pub(super) async fn size(uri: Uri) -> Response {
    let given = uri.query().and_then(|query| query.strip_prefix("mm=")).unwrap_or_default();
    let rule =
        Choices::default().with("mm", given).mm_text().map_or_else(String::new, |mm| format!(":root{{--mm:{mm}px}}\n"));
    let headers =
        [(header::CONTENT_TYPE, "text/css; charset=utf-8"), (header::CACHE_CONTROL, "public, max-age=31536000")];
    (headers, rule).into_response()
}

/// The bounds of the ruler, for the page.
pub(crate) fn bounds() -> (String, String) {
    let text = |hundredths: u16| format!("{}.{:02}", hundredths / 100, hundredths % 100);
    (text(*MM.start()), text(*MM.end()))
}
