//! Addresses and what answers them.

mod answer;
mod choice;
mod decide;
mod film;
mod job;
mod live;
mod photo;
mod prepare;
mod send;
mod sheets;
mod words;

use std::sync::Arc;
use std::time::Duration;

use app::Workshop;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::extract::Request;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, Uri, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::compression::predicate::{DefaultPredicate, NotForContentType, Predicate};
use tower_http::limit::RequestBodyLimitLayer;
use tower_http::set_header::SetResponseHeaderLayer;
use tower_http::timeout::RequestBodyTimeoutLayer;

pub(crate) use answer::trouble;
pub(crate) use choice::bounds;

use crate::assets;
use crate::view::Theme;

/// No request but a photo needs more than this.
const BODY_LIMIT: usize = 1024 * 1024;

/// A body that brings nothing for so long is not waited for.
const BODY_STALLS: Duration = Duration::from_secs(20);

/// A photo with the form around it.
const PHOTO_LIMIT: usize = app::LARGEST_UPLOAD + 64 * 1024;

/// Pages take everything from this server and run nothing that is written into them.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
                      manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Everything the workshop shows and takes over HTTP.
pub fn router(workshop: Arc<Workshop>) -> Router {
    // The stream is never compressed: it would be held back until a block is full.
    let squeeze = DefaultPredicate::new().and(NotForContentType::const_new("text/event-stream"));
    let header = |name: &'static str, value: &'static str| {
        SetResponseHeaderLayer::if_not_present(HeaderName::from_static(name), HeaderValue::from_static(value))
    };
    pages()
        .layer(RequestBodyLimitLayer::new(BODY_LIMIT))
        // A photo is larger than any other request, and is asked for by this page alone.
        .route("/job/{job}/photo", get(photo::photos).post(photo::keep).layer(DefaultBodyLimit::max(PHOTO_LIMIT)))
        .layer(middleware::from_fn(too_large_as_a_page))
        .layer(RequestBodyTimeoutLayer::new(BODY_STALLS))
        .layer(middleware::from_fn(own_pages_only))
        .layer(middleware::from_fn(choice::in_own_units))
        .layer(CompressionLayer::new().compress_when(squeeze))
        .layer(CatchPanicLayer::custom(answer::failed))
        .layer(header("content-security-policy", POLICY))
        .layer(header("x-content-type-options", "nosniff"))
        .layer(header("referrer-policy", "same-origin"))
        .layer(header("permissions-policy", "camera=(), microphone=(), geolocation=(), screen-wake-lock=(self)"))
        .layer(header("cross-origin-opener-policy", "same-origin"))
        .layer(header("cache-control", "no-store"))
        .with_state(workshop)
}

fn pages() -> Router<Arc<Workshop>> {
    Router::new()
        .route("/", get(job::floor))
        .route("/job", post(job::open))
        .route("/sheets", get(sheets::list))
        .route("/sheets/new", get(sheets::new))
        .route("/sheets/edit", post(sheets::save))
        .route("/sheets/edit/{name}", get(sheets::edit))
        .route("/sheets/copy/{name}", get(sheets::copy))
        .route("/sheets/findings", post(sheets::findings))
        .route("/sheets/compare", get(sheets::compare))
        .route("/sheets/merge", post(sheets::merge))
        .route("/sheets/passage", get(sheets::passage).post(sheets::look))
        .route("/sheets/take", post(sheets::take))
        .route("/sheets/schema.json", get(sheets::schema))
        .route("/decide", get(decide::decide))
        .route("/decide.pdf", get(decide::decide_pdf))
        .route("/decide/open", post(decide::open))
        .route("/job/{job}", get(job::under))
        .route("/job/{job}/prepare", get(prepare::prepare).post(prepare::tick))
        .route("/job/{job}/bench.pdf", get(prepare::bench_pdf))
        .route("/job/{job}/card", get(prepare::card))
        .route("/job/{job}/card.pdf", get(prepare::card_pdf))
        .route("/job/{job}/label", get(prepare::label))
        .route("/job/{job}/label.pdf", get(prepare::label_pdf))
        .route("/job/{job}/stubborn", get(prepare::stubborn))
        .route("/stock", get(prepare::stock).post(prepare::keep))
        .route("/job/{job}/outcome", get(job::outcome))
        .route("/job/{job}/proof", get(job::proof))
        .route("/job/{job}/proof.pdf", get(job::proof_pdf).post(job::print_proof))
        .route("/job/{job}/film", get(film::overlay))
        .route("/job/{job}/film/sheet", get(film::sheet))
        .route("/job/{job}/film/sheet.txt", get(film::text))
        .route("/job/{job}/film/sheet.pdf", get(film::pdf))
        .route("/job/{job}/photo/{digest}", get(photo::picture))
        .route("/job/{job}/fragment", get(job::fragment))
        .route("/job/{job}/log", post(send::log))
        .route("/job/{job}/live", get(live::live))
        .route("/job/{job}/pass", post(live::pass))
        .route("/theme", post(job::theme))
        .route("/settings", get(choice::settings).post(choice::keep))
        .route("/static/size.css", get(choice::size))
        .route("/offline", get(answer::offline))
        .route("/health", get(answer::health))
        .route("/manifest.webmanifest", get(asset))
        .route("/static/{name}", get(asset))
        .fallback(answer::nowhere)
}

/// What is larger than any form is refused in words.
async fn too_large_as_a_page(request: Request, next: Next) -> Response {
    let headers = request.headers().clone();
    let response = next.run(request).await;
    let bare = |response: &Response| {
        let kind = response.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
        !kind.is_some_and(|kind| kind.starts_with("text/html") || kind.starts_with("application/json"))
    };
    if response.status() != StatusCode::PAYLOAD_TOO_LARGE || !bare(&response) {
        return response;
    }
    let what = format!("A form brings up to {} kB, a photo up to {} MB.", BODY_LIMIT >> 10, app::LARGEST_UPLOAD >> 20);
    let cure = "Send less at once; a long note can be several.";
    answer::trouble(&headers, StatusCode::PAYLOAD_TOO_LARGE, "too-large", "That is too much at once", &what, cure)
}

/// Another site's page in the same browser must not enter anything here.
async fn own_pages_only(request: Request, next: Next) -> Response {
    if *request.method() == Method::POST && from_elsewhere(request.headers()) {
        return answer::trouble(
            request.headers(),
            StatusCode::FORBIDDEN,
            "other-site",
            "This came from another site",
            "A page of another site tried to enter something here.",
            "Open the workshop's own page and enter it there.",
        );
    }
    next.run(request).await
}

fn from_elsewhere(headers: &HeaderMap) -> bool {
    let text = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
    let other_site = text("sec-fetch-site").is_some_and(|site| matches!(site, "cross-site" | "same-site"));
    let host = text("host").unwrap_or_default();
    let origin = text("origin").map(|origin| origin.split_once("://").map_or("", |(_, authority)| authority));
    other_site || origin.is_some_and(|authority| authority != host)
}

async fn asset(headers: HeaderMap, uri: Uri) -> Response {
    if let Some(drawing) = assets::drawing(uri.path()) {
        return ([(header::CONTENT_TYPE, "image/png"), (header::CACHE_CONTROL, "no-cache")], drawing).into_response();
    }
    let Some(found) = assets::find(uri.path(), uri.query().unwrap_or_default()) else {
        return answer::trouble(
            &headers,
            StatusCode::NOT_FOUND,
            "no-such-file",
            "There is no such file",
            uri.path(),
            "",
        );
    };
    let keep = if found.lasting { "public, max-age=31536000, immutable" } else { "no-cache" };
    let mut response =
        ([(header::CONTENT_TYPE, found.content_type), (header::CACHE_CONTROL, keep)], found.body).into_response();
    if uri.path().ends_with("/sw.js") {
        response.headers_mut().insert("service-worker-allowed", HeaderValue::from_static("/"));
    }
    response
}

/// The theme chosen on this device.
fn theme_of(headers: &HeaderMap) -> Theme {
    let cookies = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    let found = cookies.flat_map(|line| line.split(';')).find_map(|pair| pair.trim().strip_prefix("theme="));
    found.map_or(Theme::Device, Theme::from_word)
}
