//! The camera's overlay, and the sheet beside the film as page, text and PDF.

use app::AppError;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Response};

use super::answer::{error, page};
use super::job::{Shop, job_shell};
use crate::fill;
use crate::view::Page;

/// What is asked of the overlay.
#[derive(serde::Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    ground: String,
}

pub(super) async fn overlay(
    State(shop): Shop,
    headers: HeaderMap,
    Path(job): Path<String>,
    Query(asked): Query<Asked>,
) -> Response {
    match shop.view(&job).await {
        Ok(view) => {
            let here = format!(
                "/job/{job}/film?ground={}",
                crate::view::GROUNDS.into_iter().find(|g| *g == asked.ground).unwrap_or_default()
            );
            let shell = job_shell(&shop, &headers, &view, Page::Film, "Film: ", &here);
            page(&fill::film(&view, shell, &asked.ground))
        }
        Err(why) => error(&headers, &why),
    }
}

pub(super) async fn sheet(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    match shop.view(&job).await {
        Ok(view) => {
            let shell = job_shell(&shop, &headers, &view, Page::Other, "Film: ", &format!("/job/{job}/film/sheet"));
            page(&fill::film_sheet(&shop, &view, shell))
        }
        Err(why) => error(&headers, &why),
    }
}

pub(super) async fn text(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    match shop.view(&job).await {
        Ok(view) => {
            let kind = [(header::CONTENT_TYPE, "text/plain; charset=utf-8")];
            (kind, app::film_text(&view, &shop.name)).into_response()
        }
        Err(why) => error(&headers, &why),
    }
}

pub(super) async fn pdf(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    let made = async {
        let view = shop.view(&job).await?;
        app::film_pdf(&view, &shop.name).map_err(AppError::Paper)
    };
    match made.await {
        Ok(bytes) => ([(header::CONTENT_TYPE, "application/pdf")], bytes).into_response(),
        Err(why) => error(&headers, &why),
    }
}
