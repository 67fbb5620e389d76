//! Entries from forms, scripts and scanner apps.

use std::sync::Arc;

use app::{Answer, AppError, Sent, What, Workshop};
use axum::Json;
use axum::extract::{Path, Request, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use job::{Gate, Override};
use serde_json::{Value, json};

use super::answer::{error, page, trouble, wants_json};
use super::job::{Shop, job_shell, under_page};
use super::words::{Entered, entered};
use crate::fill::{Flash, under};
use crate::view::{ConfirmView, Page, UnderFragment};

/// The script asks for the changed part of the page rather than for all of it.
const FRAGMENT: &str = "x-fragment";

/// Takes one command.
pub(super) async fn log(State(shop): Shop, Path(job): Path<String>, headers: HeaderMap, request: Request) -> Response {
    let entered = match entered(request).await {
        Ok(entered) => entered,
        Err(why) => {
            let cure = "Send a form, or a JSON object such as {\"do\":\"reading\",\"temperature_c\":38.0}.";
            return trouble(&headers, StatusCode::BAD_REQUEST, "body", "The entry cannot be read", &why, cure);
        }
    };
    // Without script nothing can be held, so an act that cannot be taken back is asked for once more.
    if entered.get("hold").is_some() && entered.get("held").is_none() && !wants_json(&headers) {
        return confirm(&shop, &headers, &job, &entered).await;
    }
    let sent = match sent(&shop, &job, &entered).await {
        Ok(sent) => sent,
        Err(why) => return error(&headers, &why),
    };
    match shop.send(&job, sent).await {
        Ok(answer) => answered(&shop, &headers, &job, &entered, answer).await,
        Err(AppError::Words(why)) if !wants_json(&headers) => {
            let words = format!("{}. {}", why.what, why.hint);
            let wrong = Some((why.field.clone(), words));
            shown(
                &shop,
                &headers,
                &job,
                &entered,
                StatusCode::UNPROCESSABLE_ENTITY,
                Flash { wrong, ..Flash::default() },
            )
            .await
        }
        Err(why) => error(&headers, &why),
    }
}

pub(super) async fn sent(shop: &Arc<Workshop>, job: &str, entered: &Entered) -> Result<Sent, AppError> {
    let number = |name: &str| {
        entered.get(name).map(str::parse::<i64>).transpose().map_err(|_| AppError::Input {
            what: format!("{name} is no whole number"),
            hint: format!("Leave {name} out, or send a whole number."),
        })
    };
    let word = entered.get("do").unwrap_or_default().to_owned();
    let id = entered.get("id").map_or_else(app::new_id, str::to_owned);
    if id.len() > 64 || !id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-') {
        let hint = "Up to 64 letters, digits and hyphens.".to_owned();
        return Err(AppError::Input { what: "the id cannot be used".to_owned(), hint });
    }
    let by = match entered.get("by") {
        Some(by) => by.chars().take(80).collect(),
        None => shop.load(job).await?.state.opening.technician.clone(),
    };
    let at_ms = number("at_ms")?.or(number("ago_ms")?.map(|ago| before(shop, ago)));
    let reason = entered.get("reason").unwrap_or_default().to_owned();
    let gates = entered.get("override").into_iter().flat_map(|codes| codes.split(','));
    let overrides = gates
        .filter_map(|code| Gate::from_code(code.trim()))
        .map(|gate| Override { gate, reason: reason.clone() })
        .collect();
    let seen = number("seq")?.and_then(|seq| u64::try_from(seq).ok());
    Ok(Sent { id, seen, at_ms, by, what: What::Words(word, entered.fields.clone()), overrides })
}

/// The moment that a device says was `ago_ms` before now; a week at most. The demo's clock runs faster than the device's.
pub(super) fn before(shop: &Workshop, ago_ms: i64) -> i64 {
    let clock = shop.clock();
    clock.now_ms() - (ago_ms.clamp(0, 7 * 86_400_000) as f64 * clock.speed()) as i64
}

async fn answered(shop: &Arc<Workshop>, headers: &HeaderMap, job: &str, entered: &Entered, answer: Answer) -> Response {
    let answer = first_answer(answer);
    let status = match &answer {
        Answer::Refused { .. } => StatusCode::UNPROCESSABLE_ENTITY,
        Answer::Conflict { .. } => StatusCode::CONFLICT,
        _ => StatusCode::OK,
    };
    if wants_json(headers) {
        return (status, Json(as_json(&answer))).into_response();
    }
    if status == StatusCode::OK {
        if headers.contains_key(FRAGMENT) {
            return match shop.view(job).await {
                Ok(view) => page(&UnderFragment { under: under(&view, &Flash::default()) }),
                Err(why) => error(headers, &why),
            };
        }
        return Redirect::to(&format!("/job/{job}")).into_response();
    }
    shown(shop, headers, job, entered, status, Flash { answer: Some(answer), ..Flash::default() }).await
}

/// A repeated command is answered as it was answered the first time.
fn first_answer(answer: Answer) -> Answer {
    let Answer::Repeated { first } = &answer else { return answer };
    let text = |name: &str| first[name].as_str().unwrap_or_default().to_owned();
    if first["answer"] != "refused" {
        return answer;
    }
    let also = first["also"].as_array().into_iter().flatten().filter_map(|code| code.as_str().map(str::to_owned));
    Answer::Refused {
        code: text("code"),
        reason: text("reason"),
        cure: text("cure"),
        overridable: first["overridable"].as_bool().unwrap_or(false),
        also: also.collect(),
    }
}

fn as_json(answer: &Answer) -> Value {
    match answer {
        Answer::Accepted { first_seq, last_seq, entries } => {
            json!({ "accepted": { "seq": last_seq, "first_seq": first_seq, "entries": entries } })
        }
        Answer::Refused { code, reason, cure, overridable, also } => {
            json!({ "refused": { "code": code, "reason": reason, "cure": cure, "overridable": overridable, "also": also } })
        }
        Answer::Conflict { seen, last_seq, newer } => {
            json!({ "conflict": { "seen": seen, "seq": last_seq, "newer": newer } })
        }
        Answer::Repeated { first } => {
            let seq = &first["last_seq"];
            json!({ "accepted": { "seq": seq, "first_seq": first["first_seq"], "entries": first["entries"] }, "repeated": true })
        }
    }
}

/// The page again, with what was entered and why it was not taken.
async fn shown(
    shop: &Arc<Workshop>,
    headers: &HeaderMap,
    job: &str,
    entered: &Entered,
    status: StatusCode,
    flash: Flash,
) -> Response {
    let word = entered.get("do").unwrap_or_default().to_owned();
    let flash = Flash { word, entered: entered.fields.clone(), ..flash };
    match shop.view(job).await {
        Ok(view) if headers.contains_key(FRAGMENT) => {
            (status, page(&UnderFragment { under: under(&view, &flash) })).into_response()
        }
        Ok(view) => (status, page(&under_page(shop, headers, &view, &flash))).into_response(),
        Err(why) => error(headers, &why),
    }
}

async fn confirm(shop: &Arc<Workshop>, headers: &HeaderMap, job: &str, entered: &Entered) -> Response {
    let view = match shop.view(job).await {
        Ok(view) => view,
        Err(why) => return error(headers, &why),
    };
    let word = entered.get("do").unwrap_or_default();
    let does = job::words::WORDS.iter().find(|row| row.word == word).map_or(word, |row| row.does);
    let plug = entered.get("plug").and_then(|id| view.state.plug(id)).map(|plug| format!("{}: ", plug.name));
    let back = format!("/job/{job}");
    let shell = job_shell(shop, headers, &view, Page::Other, "Sure? ", &back);
    page(&ConfirmView {
        shell,
        act: format!("{}{does}", plug.unwrap_or_default()),
        why: view.live.verb.clone(),
        action: format!("/job/{job}/log"),
        back,
        hidden: entered.all(),
    })
}
