//! Sheets: list, edit as text or form, compare, merge, a passage of a manual. Nothing is kept before somebody says so.

use std::collections::BTreeMap;

use app::{AppError, KeepSheet, Workshop};
use axum::extract::{Form, Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use sheet::Family;
use sheet::edit::{self, EditError};

use super::answer::{error, page};
use super::job::Shop;
use super::theme_of;
use crate::fill::{self, VALUE};
use crate::view::{CompareView, Field, Input, Page, PassageView, SheetView, SheetsView};

type Pairs = Vec<(String, String)>;

pub(super) async fn list(State(shop): Shop, headers: HeaderMap) -> Response {
    let view = async {
        shop.read_own_sheets().await?;
        let rows = fill::sheet_rows(&shop, &shop.sheet_versions().await?);
        let pair = |at: usize| rows.get(at).map_or("", |row| row.name.as_str());
        Ok::<_, AppError>(SheetsView {
            shell: fill::shell(&shop, theme_of(&headers), Page::Sheets, "Sheets", "/sheets"),
            compare: vec![
                fill::sheet_field("a", "First", &rows, pair(0)),
                fill::sheet_field("b", "Second", &rows, pair(1)),
            ],
            new: fill::new_fields(),
            rows,
        })
    };
    match view.await {
        Ok(view) => page(&view),
        Err(why) => error(&headers, &why),
    }
}

/// The JSON Schema, for an editor.
pub(super) async fn schema() -> Response {
    ([(header::CONTENT_TYPE, "application/schema+json")], format!("{:#}\n", edit::json_schema())).into_response()
}

/// A sheet on its way through an editor.
#[derive(Default)]
struct Draft {
    text: String,
    form: bool,
    based_on: u32,
    by: String,
    why: String,
    news: String,
    trouble: String,
}

async fn draft_page(shop: &Workshop, headers: &HeaderMap, draft: Draft) -> Result<SheetView, AppError> {
    let name = edit::id_of(&draft.text).unwrap_or_else(|| "a new sheet".to_owned());
    let mut trouble = draft.trouble;
    let slots = match draft.form.then(|| edit::groups(&draft.text)) {
        Some(Ok(groups)) => Some(fill::slots(groups)),
        // What is no TOML has no form; the text shows where.
        Some(Err(why)) => {
            trouble = format!("{why}. {}", why.hint);
            None
        }
        None => None,
    };
    let here = format!("/sheets/edit/{name}");
    let history = shop.sheet_history(&name).await?;
    Ok(SheetView {
        shell: fill::shell(shop, theme_of(headers), Page::Sheet, &format!("Sheet {name}"), &here),
        findings: fill::findings(&draft.text),
        history: fill::history(&history),
        name,
        slots,
        text: draft.text,
        based_on: draft.based_on,
        by: draft.by,
        why: draft.why,
        news: draft.news,
        trouble,
    })
}

async fn shown(shop: &Workshop, headers: &HeaderMap, draft: Draft) -> Response {
    let status = if draft.trouble.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    match draft_page(shop, headers, draft).await {
        Ok(view) => (status, page(&view)).into_response(),
        Err(why) => error(headers, &why),
    }
}

fn get<'a>(pairs: &'a [(String, String)], name: &str) -> &'a str {
    pairs.iter().find(|(n, _)| n == name).map_or("", |(_, value)| value.as_str())
}

/// The text of `name`, of one version, `name@2`, or of the copy a job was planned from, `job:name`.
async fn text_of(shop: &Workshop, name: &str) -> Result<(String, u32), AppError> {
    if let Some(job) = name.strip_prefix("job:") {
        return Ok((shop.load(job).await?.state.opening.sheet.clone(), 0));
    }
    let Some((name, number)) = name.split_once('@') else { return shop.sheet_text(name).await };
    let versions = shop.sheet_history(name).await?;
    let version = versions.into_iter().find(|version| version.number.to_string() == number);
    version.map(|v| (v.text, v.number)).ok_or_else(|| AppError::NoSuchSheet(format!("{name}@{number}")))
}

pub(super) async fn edit(
    State(shop): Shop,
    headers: HeaderMap,
    Path(name): Path<String>,
    Query(query): Query<Pairs>,
) -> Response {
    let wanted = match get(&query, "version") {
        "" => name,
        number => format!("{name}@{number}"),
    };
    match text_of(&shop, &wanted).await {
        Ok((text, based_on)) => {
            let news =
                if get(&query, "kept").is_empty() { String::new() } else { format!("Kept as version {based_on}.") };
            shown(
                &shop,
                &headers,
                Draft { text, based_on, news, form: get(&query, "as") == "form", ..Draft::default() },
            )
            .await
        }
        Err(why) => error(&headers, &why),
    }
}

pub(super) async fn copy(State(shop): Shop, headers: HeaderMap, Path(name): Path<String>) -> Response {
    let copied = async {
        let (text, _) = text_of(&shop, &name).await?;
        let title = sheet::check(&text).sheet.map(|sheet| format!("{}, copy", sheet.name)).unwrap_or_default();
        edit::renamed(&text, &format!("{name}-copy"), &title).map_err(input)
    };
    match copied.await {
        Ok(text) => {
            let news = "A copy: give it a short name and a name of its own, then keep it.".to_owned();
            shown(&shop, &headers, Draft { text, news, ..Draft::default() }).await
        }
        Err(why) => error(&headers, &why),
    }
}

pub(super) async fn new(State(shop): Shop, headers: HeaderMap, Query(query): Query<Pairs>) -> Response {
    let family = Family::named(get(&query, "family")).unwrap_or(Family::Overflow);
    let words = ["id", "name", "maker", "kind"].map(|name| get(&query, name).trim());
    let text = edit::skeleton(words[0], words[1], words[2], words[3], family);
    let news = "Begin with the manual beside you: each finding names a value that is still to be filled in.".to_owned();
    shown(&shop, &headers, Draft { text, form: true, news, ..Draft::default() }).await
}

/// The text as sent: the one in the form with the fields' values put into it.
fn draft_text(form: &[(String, String)]) -> Result<String, EditError> {
    // Browsers send line ends as CR LF.
    let mut text = get(form, "text").replace("\r\n", "\n");
    let values = form.iter().filter_map(|(name, value)| Some((name.strip_prefix(VALUE)?, value)));
    let changed: BTreeMap<String, String> = match edit::groups(&text) {
        Ok(groups) => groups.into_iter().flat_map(|g| g.fields).map(|field| (field.path, field.value)).collect(),
        Err(_) => BTreeMap::new(),
    };
    for (path, value) in values.filter(|(path, value)| changed.get(*path).map(String::as_str) != Some(value.trim())) {
        text = edit::set(&text, path, value)?;
    }
    let plug = get(form, "new-plug").trim();
    if !plug.is_empty() {
        text = edit::set(&text, &format!("plug[{plug}].name"), plug)?;
    }
    Ok(text)
}

pub(super) async fn save(State(shop): Shop, headers: HeaderMap, Form(form): Form<Pairs>) -> Response {
    let act = get(&form, "do");
    let mut draft = Draft {
        text: get(&form, "text").replace("\r\n", "\n"),
        form: act == "as-form" || (get(&form, "as") == "form" && act != "as-text"),
        based_on: get(&form, "based_on").parse().unwrap_or(0),
        by: get(&form, "by").trim().to_owned(),
        why: get(&form, "why").trim().to_owned(),
        ..Draft::default()
    };
    match draft_text(&form) {
        Ok(text) => draft.text = text,
        Err(why) => {
            draft.trouble = format!("{why}. {}", why.hint);
            return shown(&shop, &headers, draft).await;
        }
    }
    if act != "keep" {
        return shown(&shop, &headers, draft).await;
    }
    let by = if draft.by.is_empty() { "not named" } else { &draft.by };
    let keep = KeepSheet {
        text: draft.text.clone(),
        by: by.to_owned(),
        why: draft.why.clone(),
        based_on: Some(draft.based_on),
    };
    match shop.keep_sheet(keep).await {
        Ok(version) => {
            let view = if draft.form { "&as=form" } else { "" };
            Redirect::to(&format!("/sheets/edit/{}?kept=yes{view}", version.name)).into_response()
        }
        Err(why) if why.is_input() => {
            draft.trouble = format!("{why}. {}", why.hint());
            shown(&shop, &headers, draft).await
        }
        Err(why) => error(&headers, &why),
    }
}

/// The findings alone, while somebody types.
pub(super) async fn findings(Form(form): Form<Pairs>) -> Response {
    // A form that cannot be put into the text yet is judged by the text without it.
    page(&fill::findings(&draft_text(&form).unwrap_or_else(|_| get(&form, "text").to_owned())))
}

pub(super) async fn compare(State(shop): Shop, headers: HeaderMap, Query(query): Query<Pairs>) -> Response {
    let (a, b) = (get(&query, "a").to_owned(), get(&query, "b").to_owned());
    let view = async {
        let rows = fill::sheet_rows(&shop, &shop.sheet_versions().await?);
        let mut view = CompareView {
            shell: fill::shell(&shop, theme_of(&headers), Page::Sheets, "Two sheets", "/sheets"),
            choose: vec![fill::sheet_field("a", "First", &rows, &a), fill::sheet_field("b", "Second", &rows, &b)],
            rows: Vec::new(),
            trouble: String::new(),
            a: a.clone(),
            b: b.clone(),
        };
        if !a.is_empty() || !b.is_empty() {
            let (first, second) = (text_of(&shop, &a).await?.0, text_of(&shop, &b).await?.0);
            match edit::compare(&first, &second) {
                Ok(found) => view.rows = fill::differences(found),
                Err(why) => view.trouble = format!("{why}. {}", why.hint),
            }
        }
        Ok::<_, AppError>(view)
    };
    match view.await {
        Ok(view) => page(&view),
        Err(why) => error(&headers, &why),
    }
}

pub(super) async fn merge(State(shop): Shop, headers: HeaderMap, Form(form): Form<Pairs>) -> Response {
    let merged = async {
        let (first, based_on) = text_of(&shop, get(&form, "a")).await?;
        let (second, _) = text_of(&shop, get(&form, "b")).await?;
        let take: Vec<String> = form.iter().filter(|(name, _)| name == "take").map(|(_, path)| path.clone()).collect();
        // Only what was ticked: the page shows what the first lacks as ticked already.
        let text = edit::take_over(&first, &second, &take).map_err(input)?.text;
        let why = format!("{} value(s) taken from {}", take.len(), get(&form, "b"));
        Ok::<_, AppError>(Draft {
            text,
            based_on,
            news: format!("{why}. Look it over, then keep it."),
            why,
            ..Draft::default()
        })
    };
    match merged.await {
        Ok(draft) => shown(&shop, &headers, draft).await,
        Err(why) => error(&headers, &why),
    }
}

fn input(why: EditError) -> AppError {
    AppError::Input { hint: why.hint, what: why.what }
}

pub(super) async fn passage(State(shop): Shop, headers: HeaderMap, Query(query): Query<Pairs>) -> Response {
    passage_page(&shop, &headers, &query).await
}

pub(super) async fn look(State(shop): Shop, headers: HeaderMap, Form(form): Form<Pairs>) -> Response {
    passage_page(&shop, &headers, &form).await
}

async fn passage_page(shop: &Workshop, headers: &HeaderMap, form: &[(String, String)]) -> Response {
    let rows = match shop.sheet_versions().await {
        Ok(versions) => fill::sheet_rows(shop, &versions),
        Err(why) => return error(headers, &why),
    };
    let passage = get(form, "passage").replace("\r\n", "\n");
    let first = rows.first().map_or("", |row| row.name.as_str());
    let into = match get(form, "into") {
        "" => first,
        into => into,
    };
    let mut view = PassageView {
        shell: fill::shell(shop, theme_of(headers), Page::Sheets, "Paste from a manual", "/sheets/passage"),
        into: fill::sheet_field("into", "Goes into", &rows, into),
        source: Field::new("source", "Book and page", Input::Text).with(get(form, "source")),
        proposals: Vec::new(),
        trouble: String::new(),
        passage,
    };
    if form.iter().any(|(name, _)| name == "passage") {
        let found = edit::propose(&view.passage);
        view.trouble =
            found.findings.iter().map(|(_, _, what, cure)| format!("{what} {cure}")).collect::<Vec<_>>().join(" ");
        view.proposals = fill::proposals(found.proposals);
    }
    page(&view)
}

pub(super) async fn take(State(shop): Shop, headers: HeaderMap, Form(form): Form<Pairs>) -> Response {
    let taken = async {
        let (text, based_on) = text_of(&shop, get(&form, "into")).await?;
        let printed = form.iter().filter_map(|(name, printed)| Some((name.strip_prefix("printed-")?, printed)));
        // Another value chosen says more than the tick on the proposed one.
        let path = |number: &str| {
            let said = ["path", "yes"].map(|field| get(&form, &format!("{field}-{number}")));
            said.into_iter().find(|path| !path.is_empty()).map(str::to_owned)
        };
        let confirmed: Pairs = printed.filter_map(|(number, printed)| Some((path(number)?, printed.clone()))).collect();
        if confirmed.is_empty() {
            let hint = "Go back and say of at least one value what it is.".to_owned();
            return Err(AppError::Input { what: "nothing was confirmed".to_owned(), hint });
        }
        let source = get(&form, "source");
        let text = edit::take(&text, &confirmed, source).map_err(input)?;
        let why = format!("{} value(s) from {source}", confirmed.len());
        Ok::<_, AppError>(Draft {
            text,
            based_on,
            news: format!("{why}. Look it over, then keep it."),
            why,
            ..Draft::default()
        })
    };
    match taken.await {
        Ok(draft) => shown(&shop, &headers, draft).await,
        Err(why) => error(&headers, &why),
    }
}
