//! What goes wrong, as a page or as JSON.

use std::any::Any;
use std::sync::Arc;

use app::{AppError, Workshop};
use askama::Template;
use axum::Json;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{Html, IntoResponse, Response};
use serde_json::json;

use crate::view::{Act, Page, Shell, TroubleView};

/// True when the caller wants JSON rather than a page.
pub(super) fn wants_json(headers: &HeaderMap) -> bool {
    let text = |name| headers.get(name).and_then(|v| v.to_str().ok()).unwrap_or_default();
    text(header::ACCEPT).contains("application/json")
        || (text(header::CONTENT_TYPE).starts_with("application/json") && !text(header::ACCEPT).contains("text/html"))
}

/// Whether the server can be relied on: `ok` with what has to be known, or 503 with what is wrong.
pub(super) async fn health(State(workshop): State<Arc<Workshop>>) -> Response {
    let troubles = workshop.troubles().join("\n");
    match troubles.is_empty() {
        true => "ok\n".into_response(),
        // Only what keeps entries from being found again is a failure; the rest has to be known.
        false if !workshop.is_gone() => format!("ok\n{troubles}\n").into_response(),
        false => (StatusCode::SERVICE_UNAVAILABLE, troubles + "\n").into_response(),
    }
}

/// A page of its own for what went wrong, or the same as JSON.
pub(crate) fn trouble(
    headers: &HeaderMap,
    status: StatusCode,
    code: &str,
    title: &str,
    what: &str,
    cure: &str,
) -> Response {
    past(headers, status, (code, title), (what, cure), None)
}

/// The same with a form that leads past it.
pub(super) fn past(
    headers: &HeaderMap,
    status: StatusCode,
    (code, title): (&str, &str),
    (what, cure): (&str, &str),
    anyway: Option<Act>,
) -> Response {
    if wants_json(headers) {
        let body = json!({ "error": { "code": code, "message": title, "reason": what, "cure": cure } });
        return (status, Json(body)).into_response();
    }
    let shell = Shell {
        title: title.to_owned(),
        page: Page::Other,
        theme: super::theme_of(headers),
        demo: None,
        job: None,
        here: "/".to_owned(),
    };
    let view = TroubleView {
        shell,
        status: status.as_u16(),
        code: code.to_owned(),
        title: title.to_owned(),
        what: what.to_owned(),
        cure: cure.to_owned(),
        anyway,
    };
    (status, page(&view)).into_response()
}

/// A failure of a verb. What the caller cannot mend is named by its code and told to the log.
pub(super) fn error(headers: &HeaderMap, why: &AppError) -> Response {
    let (status, title) = match why {
        AppError::NoSuchJob(_) | AppError::NoSuchSheet(_) => (StatusCode::NOT_FOUND, "There is no such thing here"),
        _ if why.is_input() => (StatusCode::UNPROCESSABLE_ENTITY, "This cannot be"),
        _ => (StatusCode::INTERNAL_SERVER_ERROR, "The workshop could not do it"),
    };
    if status.is_server_error() {
        eprintln!("web: {}: {why}", why.code());
    }
    trouble(headers, status, why.code(), title, &why.to_string(), &why.hint())
}

/// A template as a response.
pub(super) fn page(template: &impl Template) -> Response {
    match template.render() {
        Ok(html) => Html(html).into_response(),
        Err(why) => {
            eprintln!("web: page: {why}");
            (StatusCode::INTERNAL_SERVER_ERROR, "The page could not be made. Code: page\n").into_response()
        }
    }
}

/// Kept by a device for pages it has never seen, when it has no connection.
pub(super) async fn offline(headers: HeaderMap) -> Response {
    trouble(
        &headers,
        StatusCode::OK,
        "no-connection",
        "No connection, and this page was not seen here before",
        "What was entered on this device is kept and sent, once and in order, when the connection is back.",
        "Open the job from the floor: the jobs that were open there are kept on this device.",
    )
}

/// An address that leads nowhere.
pub(super) async fn nowhere(headers: HeaderMap, uri: Uri) -> Response {
    let what = format!("{} leads nowhere.", uri.path());
    trouble(&headers, StatusCode::NOT_FOUND, "no-such-page", "There is no such page", &what, "Start from the floor.")
}

/// A fault in the program: the log is not touched by it.
pub(super) fn failed(_: Box<dyn Any + Send + 'static>) -> Response {
    let cure = "The log is safe. Reload the page; if it happens again, report the code.";
    trouble(
        &HeaderMap::new(),
        StatusCode::INTERNAL_SERVER_ERROR,
        "fault",
        "A fault in the program",
        "This is not your doing.",
        cure,
    )
}
