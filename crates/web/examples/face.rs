//! Shows every page in every state on a loopback port: `cargo run -p web --example face [PORT]`, then open `/NAME`.

#[path = "../tests/it/fixture/mod.rs"]
mod fixture;

use std::convert::Infallible;

use axum::extract::Path;
use axum::http::{StatusCode, Uri, header};
use axum::response::sse::{Event, Sse};
use axum::response::{Html, IntoResponse, Response};
use axum::{Router, routing::get};

#[tokio::main]
async fn main() {
    let port = std::env::args().nth(1).and_then(|p| p.parse().ok()).unwrap_or(8907_u16);
    let router = Router::new()
        .route("/", get(|| async { Html(list()) }))
        .route("/{name}", get(|Path(name): Path<String>, uri: Uri| async move { page(&name, &uri) }))
        .route(
            "/job/{id}/live",
            get(|| async { Sse::new(futures_util::stream::pending::<Result<Event, Infallible>>()) }),
        )
        .route("/static/{name}", get(|uri: Uri| async move { asset(&uri) }));
    let listener = tokio::net::TcpListener::bind(("127.0.0.1", port)).await.expect("the port is free");
    println!("http://127.0.0.1:{port}/");
    axum::serve(listener, router).await.expect("the server runs");
}

fn list() -> String {
    fixture::pages().iter().map(|(name, _)| format!("<p><a href=\"/{name}\">{name}</a></p>")).collect()
}

fn page(name: &str, uri: &Uri) -> Response {
    // `name!dark` and `name!white` show a theme whatever the device prefers.
    let (name, theme) = name.split_once('!').unwrap_or((name, "device"));
    match fixture::pages().into_iter().find(|(n, _)| *n == name) {
        Some((_, html)) => {
            let html = html.replace("data-theme=\"device\"", &format!("data-theme=\"{theme}\""));
            let csp = "default-src 'self'; object-src 'none'; frame-ancestors 'none'";
            ([(header::CONTENT_SECURITY_POLICY, csp)], Html(html)).into_response()
        }
        None => asset(uri),
    }
}

fn asset(uri: &Uri) -> Response {
    match web::assets::find(uri.path(), uri.query().unwrap_or_default()) {
        Some(a) => {
            ([(header::CONTENT_TYPE.as_str(), a.content_type), ("service-worker-allowed", "/")], a.body).into_response()
        }
        None => StatusCode::NOT_FOUND.into_response(),
    }
}
