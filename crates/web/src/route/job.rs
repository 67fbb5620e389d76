//! Pages.

use std::collections::BTreeMap;
use std::sync::Arc;

use app::{AppError, JobView, OpenJob, Workshop};
use askama::Template;
use axum::extract::{Form, Path, RawQuery, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use job::command::Opening;

use super::answer::{error, page, past};
use super::theme_of;
use super::words::with_units;
use crate::fill::{self, Flash};
use crate::view::{FloorView, Page, Shell, Theme, UnderFragment, UnderView};

pub(super) type Shop = State<Arc<Workshop>>;

pub(super) async fn floor(State(shop): Shop, headers: HeaderMap) -> Response {
    match floor_view(&shop, &headers, &BTreeMap::new(), String::new()).await {
        Ok(view) => page(&view),
        Err(why) => error(&headers, &why),
    }
}

async fn floor_view(
    shop: &Workshop,
    headers: &HeaderMap,
    entered: &BTreeMap<String, String>,
    trouble: String,
) -> Result<FloorView, AppError> {
    let rows = shop.floor().await?;
    let shell = fill::shell(shop, theme_of(headers), Page::Floor, "On the floor", "/");
    let opening = fill::opening(&shop.sheets(), &app::new_job_name(shop.clock().now_ms()), &|name| {
        entered.get(name).cloned().unwrap_or_default()
    });
    Ok(fill::floor(shop, rows, shell, opening, trouble))
}

/// Opens a job from the form on the floor.
pub(super) async fn open(State(shop): Shop, headers: HeaderMap, Form(form): Form<Vec<(String, String)>>) -> Response {
    let entered = with_units(form);
    let opened = match opening(&shop, &entered) {
        Ok(open) => shop.open_job(open).await,
        Err(why) => Err(why),
    };
    match opened {
        Ok(job) => Redirect::to(&format!("/job/{job}/prepare")).into_response(),
        Err(AppError::Refused(refusal)) => refused(&shop, &headers, &refusal, "/job", &entered),
        Err(why) if why.is_input() => {
            match floor_view(&shop, &headers, &entered, format!("{why}. {}", why.hint())).await {
                Ok(view) => (StatusCode::UNPROCESSABLE_ENTITY, page(&view)).into_response(),
                Err(why) => error(&headers, &why),
            }
        }
        Err(why) => error(&headers, &why),
    }
}

pub(super) fn opening(shop: &Workshop, entered: &BTreeMap<String, String>) -> Result<OpenJob, AppError> {
    let get = |name: &str| entered.get(name).map(|value| value.trim()).filter(|value| !value.is_empty());
    let distance = |name: &str| {
        get(name).map(quantity::read::distance_one).transpose().map_err(|why| AppError::Input {
            what: format!("{}: {why}", name.replace('_', " ")),
            hint: why.hint().to_owned(),
        })
    };
    let name = get("sheet").unwrap_or_default();
    let sheets = shop.sheets();
    let sheet = sheets.iter().find(|sheet| sheet.name == name).ok_or_else(|| AppError::NoSuchSheet(name.to_owned()))?;
    let opening = Opening {
        sheet: sheet.text.clone(),
        vehicle: get("vehicle").unwrap_or_default().to_owned(),
        odometer_km: distance("odometer")?,
        fluid_age_km: distance("fluid_age")?,
        fluid: get("fluid").unwrap_or_default().to_owned(),
        technician: get("technician").unwrap_or_default().to_owned(),
        demo: false,
        severe: get("severe") == Some("yes"),
        fill_ml: None,
        found: None,
    };
    let id = get("id").map_or_else(|| app::new_job_name(shop.clock().now_ms()), str::to_owned);
    let findings =
        super::decide::findings(super::decide::known_rules()?, &super::decide::families(shop, entered), entered);
    let reason = get("reason").unwrap_or_default();
    let gates = get("override").into_iter().flat_map(|codes| codes.split(',')).filter_map(job::Gate::from_code);
    let overrides = gates.map(|gate| job::Override { gate, reason: reason.to_owned() }).collect();
    Ok(OpenJob { id, opening, at_ms: None, findings, overrides })
}

/// A job that is not opened on what was found: why, what to do, and the same form once more with a place for a reason.
pub(super) fn refused(
    shop: &Workshop,
    headers: &HeaderMap,
    refusal: &job::Refusal,
    action: &str,
    entered: &BTreeMap<String, String>,
) -> Response {
    let (what, cure) = refusal.message();
    let anyway = match refusal {
        job::Refusal::Gate { gate, overridable: true, also, .. } => {
            let gates: Vec<&str> = std::iter::once(gate).chain(also).map(|gate| gate.code()).collect();
            Some(fill::open_all_the_same(action, &app::new_job_name(shop.clock().now_ms()), &gates.join(","), entered))
        }
        _ => None,
    };
    let status = StatusCode::UNPROCESSABLE_ENTITY;
    past(headers, status, (refusal.code(), "Not opened"), (&what, &cure), anyway)
}

/// The shell of a job's page.
pub(super) fn job_shell(
    shop: &Workshop,
    headers: &HeaderMap,
    view: &JobView,
    kind: Page,
    what: &str,
    here: &str,
) -> Shell {
    let title = format!("{what}{} · {}", view.state.opening.vehicle, view.state.sheet.name);
    let mut shell = fill::shell(shop, theme_of(headers), kind, &title, here);
    shell.job = Some(fill::job_head(view));
    shell
}

/// The live page with what became of a form.
pub(super) fn under_page(shop: &Workshop, headers: &HeaderMap, view: &JobView, flash: &Flash) -> UnderView {
    let shell = job_shell(shop, headers, view, Page::Under, "", &format!("/job/{}", view.job));
    UnderView { shell, under: fill::under(view, flash) }
}

/// Who let time pass in the demo was not away.
pub(super) const WAITED: &str = "waited";

pub(super) async fn under(
    State(shop): Shop,
    headers: HeaderMap,
    Path(job): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    let flash = Flash { arrived: query.as_deref() != Some(WAITED), ..Flash::default() };
    match shop.view(&job).await {
        Ok(view) => page(&under_page(&shop, &headers, &view, &flash)),
        Err(why) => error(&headers, &why),
    }
}

pub(super) async fn fragment(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    match shop.view(&job).await {
        // Somebody who comes back to an open page is told where things stand, as on arrival.
        Ok(view) => {
            let flash = Flash { arrived: headers.contains_key("x-back"), ..Flash::default() };
            page(&UnderFragment { under: fill::under(&view, &flash) })
        }
        Err(why) => error(&headers, &why),
    }
}

pub(super) async fn outcome(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    let fill = |view: &JobView, shell| fill::outcome(view, &shop.name, shell);
    sheet_of(&shop, &headers, &job, (Page::Outcome, "Outcome", "outcome"), fill).await
}

pub(super) async fn proof(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    let fill = |view: &JobView, shell| fill::proof(view, &shop.name, shell);
    sheet_of(&shop, &headers, &job, (Page::Outcome, "Proof sheet", "proof"), fill).await
}

/// A page about a job as it stands: its kind, its title, its place under the job's address, and what fills it.
async fn sheet_of<V: Template>(
    shop: &Workshop,
    headers: &HeaderMap,
    job: &str,
    (kind, what, place): (Page, &str, &str),
    fill: impl FnOnce(&JobView, Shell) -> V,
) -> Response {
    match shop.view(job).await {
        Ok(view) => {
            let shell = job_shell(shop, headers, &view, kind, &format!("{what}: "), &format!("/job/{job}/{place}"));
            page(&fill(&view, shell))
        }
        Err(why) => error(headers, &why),
    }
}

/// The proof sheet as a PDF, kept as printed.
/// Looked at only: nothing is kept.
pub(super) async fn proof_pdf(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    proof_sheet(&shop, &headers, &job, false).await
}

/// Printed for the customer: what was printed is kept as printed.
pub(super) async fn print_proof(State(shop): Shop, headers: HeaderMap, Path(job): Path<String>) -> Response {
    proof_sheet(&shop, &headers, &job, true).await
}

async fn proof_sheet(shop: &app::Workshop, headers: &HeaderMap, job: &str, keep: bool) -> Response {
    let made = async {
        let (view, loaded) = (shop.view(job).await?, shop.load(job).await?);
        let bytes = app::proof_pdf(&view, &shop.name).map_err(AppError::Paper)?;
        if keep {
            shop.keep_paper(&loaded, "application/pdf", bytes.clone()).await?;
        }
        Ok::<_, AppError>(bytes)
    };
    match made.await {
        Ok(bytes) => ([(header::CONTENT_TYPE, "application/pdf")], bytes).into_response(),
        Err(why) => error(headers, &why),
    }
}

/// Keeps the theme on this device and goes back to where the switch was.
pub(super) async fn theme(Form(form): Form<Vec<(String, String)>>) -> Response {
    let get = |name: &str| form.iter().find(|(n, _)| n == name).map_or("", |(_, value)| value.as_str());
    let theme = Theme::from_word(get("theme"));
    // Only a path of this server: "//host" would lead elsewhere.
    let back = get("back");
    let back =
        if back.starts_with('/') && !back.starts_with("//") && back.is_ascii() && !back.contains(['\\', '\r', '\n']) {
            back
        } else {
            "/"
        };
    let cookie = format!("theme={}; Path=/; Max-Age=31536000; SameSite=Strict", theme.word());
    ([(header::SET_COOKIE, cookie)], Redirect::to(back)).into_response()
}
