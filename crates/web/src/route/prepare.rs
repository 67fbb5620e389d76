//! The bench of a job: list, ticks, papers; and the lists of the workshop.

use std::sync::Arc;

use app::{Answer, AppError, ShelfKind, Workshop};
use axum::extract::{Form, Path, Query, Request, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};

use super::answer::{error, page, trouble};
use super::job::{Shop, job_shell};
use super::theme_of;
use super::words::{entered, with_units};
use crate::fill;
use crate::view::{Page, StockView};

type Given = Query<Vec<(String, String)>>;

pub(super) async fn prepare(
    State(shop): Shop,
    headers: HeaderMap,
    Path(job): Path<String>,
    Query(given): Given,
) -> Response {
    let made = async {
        let (view, papers) = (shop.view(&job).await?, shop.bench_papers(&job).await?);
        let shell = job_shell(&shop, &headers, &view, Page::Prepare, "Prepare: ", &format!("/job/{job}/prepare"));
        let mut page = fill::prepare(&view, &papers, &with_units(given), shell);
        let about = [("sheet", &view.state.sheet.id), ("vehicle", &view.state.opening.vehicle)];
        let about = about.map(|(name, value)| (name.to_owned(), value.clone()));
        page.decide = super::decide::address("/decide", &about.into());
        // A sheet read from a file somewhere has nothing here to stand beside.
        let sheet = &view.state.sheet.id;
        if shop.sheets().iter().any(|entry| entry.name == *sheet) {
            let address = format!("/sheets/compare?a=job:{job}&b={sheet}");
            page.papers.push((address, "Sheet it was planned from, beside today's".to_owned()));
        }
        Ok::<_, AppError>(page)
    };
    match made.await {
        Ok(view) => page(&view),
        Err(why) => error(&headers, &why),
    }
}

/// A tick, from a page that may have no script: back to the line that was ticked.
pub(super) async fn tick(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>, request: Request) -> Response {
    let entered = match entered(request).await {
        Ok(entered) => entered,
        Err(why) => {
            let cure = "Go back and tick it again.";
            return trouble(&headers, StatusCode::BAD_REQUEST, "words", "This cannot be read", &why, cure);
        }
    };
    if entered.get("do") != Some("tick") {
        let (what, cure) = ("Only ticks are entered here.", "Use the page under the vehicle.");
        return trouble(&headers, StatusCode::BAD_REQUEST, "words", "This is no tick", what, cure);
    }
    let answer = match super::send::sent(&shop, &job, &entered).await {
        Ok(sent) => shop.send(&job, sent).await,
        Err(why) => Err(why),
    };
    match answer {
        Ok(Answer::Refused { code, reason, cure, .. }) => {
            trouble(&headers, StatusCode::UNPROCESSABLE_ENTITY, &code, "Not entered", &reason, &cure)
        }
        Ok(_) => Redirect::to(&format!("/job/{job}/prepare#{}", anchor(entered.get("item")))).into_response(),
        Err(why) => error(&headers, &why),
    }
}

/// Where the line stands on the page.
fn anchor(item: Option<&str>) -> String {
    let plain = |c: &char| c.is_ascii_alphanumeric() || *c == '-';
    format!("bench-{}", item.unwrap_or_default().chars().filter(plain).take(64).collect::<String>())
}

fn pdf(headers: &HeaderMap, made: Result<Vec<u8>, AppError>) -> Response {
    match made {
        Ok(bytes) => ([(header::CONTENT_TYPE, "application/pdf")], bytes).into_response(),
        Err(why) => error(headers, &why),
    }
}

pub(super) async fn bench_pdf(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    pdf(&headers, shop.bench_pdf(&job).await)
}

pub(super) async fn card_pdf(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    pdf(&headers, shop.card_pdf(&job).await)
}

pub(super) async fn card(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    let made = async {
        let (view, papers) = (shop.view(&job).await?, shop.bench_papers(&job).await?);
        let shell = job_shell(&shop, &headers, &view, Page::Prepare, "Torque card: ", &format!("/job/{job}/card"));
        Ok::<_, AppError>(fill::card(&view, &papers, shell))
    };
    match made.await {
        Ok(view) => page(&view),
        Err(why) => error(&headers, &why),
    }
}

fn code_of(given: &[(String, String)]) -> Option<&str> {
    given.iter().find(|(name, _)| name == "code").map(|(_, code)| code.trim()).filter(|code| !code.is_empty())
}

pub(super) async fn label(
    State(shop): Shop,
    headers: HeaderMap,
    Path(job): Path<String>,
    Query(given): Given,
) -> Response {
    let made = async {
        let code = code_of(&given);
        let (view, label) = (shop.view(&job).await?, shop.label(&job, code).await?);
        let shell = job_shell(&shop, &headers, &view, Page::Prepare, "Used fluid: ", &format!("/job/{job}/label"));
        let chosen = label.codes.iter().find(|code| code.2).map_or("", |code| code.0.as_str());
        Ok::<_, AppError>(fill::label(&job, &label, chosen.trim_end_matches('*'), shell))
    };
    match made.await {
        Ok(view) => page(&view),
        Err(why) => error(&headers, &why),
    }
}

pub(super) async fn label_pdf(
    State(shop): Shop,
    headers: HeaderMap,
    Path(job): Path<String>,
    Query(given): Given,
) -> Response {
    pdf(&headers, shop.label_pdf(&job, code_of(&given)).await)
}

pub(super) async fn stubborn(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    match shop.view(&job).await {
        Ok(view) => {
            let here = format!("/job/{job}/stubborn");
            let shell = job_shell(&shop, &headers, &view, Page::Prepare, "Stubborn plug: ", &here);
            page(&fill::stubborn(&job, shell))
        }
        Err(why) => error(&headers, &why),
    }
}

async fn lists(
    shop: &Arc<Workshop>,
    headers: &HeaderMap,
    tried: Option<(ShelfKind, String, app::ShelfRead)>,
    as_of_ms: Option<i64>,
) -> Result<StockView, AppError> {
    let as_of_ms = as_of_ms.unwrap_or_else(|| shop.clock().now_ms());
    let mut kept = Vec::new();
    for kind in ShelfKind::ALL {
        kept.push((kind, shop.shelf_text(kind).await?));
    }
    let now = shop.stock(None).await?;
    let shell = fill::shell(shop, theme_of(headers), Page::Other, "Prices, stock, tools", "/stock");
    Ok(StockView { shell, lists: fill::lists(kept, tried, now.as_ref(), as_of_ms) })
}

pub(super) async fn stock(State(shop): Shop, headers: HeaderMap) -> Response {
    match lists(&shop, &headers, None, None).await {
        Ok(view) => page(&view),
        Err(why) => error(&headers, &why),
    }
}

/// Keeps a list, or shows what is wrong with it beside what was typed.
pub(super) async fn keep(State(shop): Shop, headers: HeaderMap, Form(form): Form<Vec<(String, String)>>) -> Response {
    let get = |name: &str| form.iter().find(|(known, _)| known == name).map_or("", |(_, value)| value.as_str());
    let Some(kind) = ShelfKind::named(get("list")) else {
        let (what, cure) = ("There is no such list.", "Start from the page of the lists.");
        return trouble(&headers, StatusCode::BAD_REQUEST, "words", "This cannot be kept", what, cure);
    };
    let text = get("text").replace("\r\n", "\n");
    // What ended while the person wrote is not in what they wrote.
    let as_of_ms = get("as_of").parse::<i64>().ok();
    let made = async {
        let read = shop.keep_shelf(kind, &text, as_of_ms).await?;
        // A list that is still to be mended describes the moment it was first shown.
        let (status, as_of_ms) = match read.findings.is_empty() {
            true => (StatusCode::OK, None),
            false => (StatusCode::UNPROCESSABLE_ENTITY, as_of_ms),
        };
        Ok::<_, AppError>((status, lists(&shop, &headers, Some((kind, text, read)), as_of_ms).await?))
    };
    match made.await {
        Ok((status, view)) => (status, page(&view)).into_response(),
        Err(why) => error(&headers, &why),
    }
}
