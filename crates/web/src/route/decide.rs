//! Deciding: the whole form stands in the address, so a verdict can be kept, sent and printed.

use app::{AppError, Asked, Decided, Workshop};
use axum::extract::{Form, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use job::decide::{Costs, Question, Rules, Run, rules};
use quantity::print::Units;
use quantity::read::{self, Kind, Region};
use sheet::Sheet;

use super::answer::{error, page};
use super::job::{Shop, opening, refused};
use super::theme_of;
use super::words::with_units;
use crate::fill::{self, Entered};
use crate::view::{Act, DecideView, Page};

type Given = Query<Vec<(String, String)>>;

pub(super) async fn decide(State(shop): Shop, headers: HeaderMap, Query(given): Given) -> Response {
    let asked_anything = !given.is_empty();
    let entered = with_units(given);
    let view = async {
        let rules = known_rules()?;
        let mut view = DecideView {
            shell: fill::shell(&shop, theme_of(&headers), Page::Decide, "Decide", &address("/decide", &entered)),
            sheet: fill::sheet_choice(&shop.sheets(), entered.get("sheet").map_or("", String::as_str)),
            asks: fill::asks(rules, &families(&shop, &entered), &entered),
            figures: fill::figures(&shown(&entered)),
            ruling: None,
            trouble: String::new(),
        };
        if asked_anything {
            match judged(&shop, rules, &entered) {
                Ok((sheet, decided)) => {
                    let act = opening_act(&shop, &sheet.0, &decided, &entered);
                    let method = entered.get("method").map_or("", String::as_str);
                    let pdf = address("/decide.pdf", &entered);
                    view.ruling = Some(fill::ruling(&decided, method, pdf, act));
                }
                Err(why) => view.trouble = format!("{why}. {}", why.hint()),
            }
        }
        Ok::<_, AppError>(view)
    };
    match view.await {
        Ok(view) if view.trouble.is_empty() => page(&view),
        Ok(view) => (StatusCode::UNPROCESSABLE_ENTITY, page(&view)).into_response(),
        Err(why) => error(&headers, &why),
    }
}

/// The customer's text as a PDF.
pub(super) async fn decide_pdf(State(shop): Shop, headers: HeaderMap, Query(given): Given) -> Response {
    let entered = with_units(given);
    let made = known_rules()
        .and_then(|rules| judged(&shop, rules, &entered))
        .and_then(|(_, decided)| app::advice_pdf(&decided.paper).map_err(|why| AppError::Paper(why.to_string())));
    match made {
        Ok(bytes) => ([(header::CONTENT_TYPE, "application/pdf")], bytes).into_response(),
        Err(why) => error(&headers, &why),
    }
}

/// Opens a job on what was found; a verdict against a service needs a typed reason.
pub(super) async fn open(State(shop): Shop, headers: HeaderMap, Form(form): Form<Vec<(String, String)>>) -> Response {
    let entered = with_units(form);
    let opened = match opening(&shop, &entered) {
        Ok(open) => shop.open_job(open).await,
        Err(why) => Err(why),
    };
    match opened {
        Ok(job) => Redirect::to(&format!("/job/{job}/prepare")).into_response(),
        Err(AppError::Refused(refusal)) => refused(&shop, &headers, &refusal, "/decide/open", &entered),
        Err(why) => error(&headers, &why),
    }
}

pub(super) fn known_rules() -> Result<&'static Rules, AppError> {
    rules().map_err(|why| AppError::Input {
        what: why.to_string(),
        hint: "The program file is damaged: install it again.".to_owned(),
    })
}

/// A plain number in the field again, its unit beside it.
fn shown(entered: &Entered) -> Entered {
    const BESIDE: [(&str, &str); 5] =
        [("distance", " km"), ("time", " years"), ("blend_age", " km"), ("price", " a litre"), ("rate", " an hour")];
    let bare = |name: &String, value: &String| {
        let unit = BESIDE.iter().find(|(field, _)| field == name).map_or("", |(_, unit)| unit);
        value.strip_suffix(unit).unwrap_or(value).to_owned()
    };
    entered.iter().map(|(name, value)| (name.clone(), bare(name, value))).collect()
}

fn judged(shop: &Workshop, rules: &Rules, entered: &Entered) -> Result<((String, Sheet), Decided), AppError> {
    let get = |name: &str| entered.get(name).map(|value| value.trim()).filter(|value| !value.is_empty());
    let name = get("sheet").unwrap_or_default();
    let sheets = shop.sheets();
    let entry = sheets.iter().find(|sheet| sheet.name == name).ok_or_else(|| AppError::NoSuchSheet(name.to_owned()))?;
    let sheet = sheet::check(&entry.text).sheet.ok_or_else(|| AppError::NoSuchSheet(name.to_owned()))?;
    let found = findings(rules, &families(shop, entered), entered);
    let distance = quantity(get("distance"), "Fluid has run")?;
    let run = Run {
        distance,
        time: quantity(get("time"), "It is in there for")?,
        blend: quantity(get("blend_age"), "Mean age of the blend")?.or(distance),
        severe: false,
    };
    let costs = Costs {
        per_litre: plain(get("price"), "Price of fluid", " a litre")?,
        per_hour: plain(get("rate"), "Price of work", " an hour")?,
        passes: plain(get("passes"), "Passes", "")?.map(|passes| passes as u32),
    };
    let day = fill::stamp(shop.clock().now_ms(), "%Y-%m-%d");
    let (vehicle, method) = (get("vehicle").unwrap_or_default(), get("method").unwrap_or_default());
    let asked = Asked { found, run, costs, circuit: None, vehicle: vehicle.to_owned(), method: method.to_owned(), day };
    let decided = app::decide(&sheet, &asked, &shop.name, Units::Metric)?;
    Ok(((entry.name.clone(), sheet), decided))
}

fn quantity<K: Kind>(given: Option<&str>, label: &str) -> Result<Option<K>, AppError> {
    given
        .map(|text| read::one(text, Region::Us))
        .transpose()
        .map_err(|why| AppError::Input { what: format!("{label}: {why}"), hint: why.hint().to_owned() })
}

fn plain(given: Option<&str>, label: &str, unit: &str) -> Result<Option<f64>, AppError> {
    let number = |text: &str| text.strip_suffix(unit).unwrap_or(text).trim().replace(',', ".").parse::<f64>().ok();
    let Some(text) = given else { return Ok(None) };
    match number(text).filter(|value| value.is_finite() && *value >= 0.0) {
        Some(value) => Ok(Some(value)),
        None => Err(AppError::Input {
            what: format!("{label}: “{text}” is no number of zero or above"),
            hint: "Write a plain number such as 12.5.".to_owned(),
        }),
    }
}

/// The same form as an address.
pub(super) fn address(path: &str, entered: &Entered) -> String {
    let encode = |text: &str| -> String {
        text.bytes()
            .map(|byte| match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' => (byte as char).to_string(),
                _ => format!("%{byte:02X}"),
            })
            .collect()
    };
    let pairs: Vec<String> = entered
        .iter()
        .filter(|(_, value)| !value.trim().is_empty())
        .map(|(name, value)| format!("{}={}", encode(name), encode(value)))
        .collect();
    if pairs.is_empty() { path.to_owned() } else { format!("{path}?{}", pairs.join("&")) }
}

fn opening_act(shop: &Workshop, sheet: &str, decided: &Decided, entered: &Entered) -> Act {
    let get = |name: &str| entered.get(name).cloned().unwrap_or_default();
    let severe = if get("use") == "severe" { "yes" } else { "" };
    let act = fill::open_from_verdict(decided, &app::new_job_name(shop.clock().now_ms()), &get("vehicle"))
        .hidden("sheet", sheet)
        .hidden("fluid_age", &get("distance"))
        .hidden("severe", severe);
    match known_rules() {
        Ok(rules) => findings(rules, &families(shop, entered), entered)
            .iter()
            .fold(act, |act, (question, word)| act.hidden(question, word)),
        Err(_) => act,
    }
}

/// The families of the chosen sheet's circuits; none while no sheet is chosen.
pub(super) fn families(shop: &Workshop, entered: &Entered) -> Vec<sheet::Family> {
    let name = entered.get("sheet").map_or("", |name| name.trim());
    let text = shop.sheets().into_iter().find(|sheet| sheet.name == name).map(|entry| entry.text).unwrap_or_default();
    let Some(sheet) = sheet::check(&text).sheet else { return Vec::new() };
    sheet.circuits().iter().filter_map(|id| sheet.of_circuit(id)).map(|one| one.family).collect()
}

/// What was answered, question by question; an answer kept from another sheet's question is none for this one.
pub(super) fn findings(rules: &Rules, families: &[sheet::Family], entered: &Entered) -> Vec<(String, String)> {
    let answer = |id: &str| entered.get(id).map(|word| word.trim()).filter(|word| !word.is_empty()).map(str::to_owned);
    let asks = |question: &&Question| families.iter().any(|family| question.asked_of(*family));
    let asked = rules.questions.iter().filter(|question| !question.derived).filter(asks);
    asked.filter_map(|question| Some((question.id.clone(), answer(&question.id)?))).collect()
}
