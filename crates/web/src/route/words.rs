//! A request's body as the words of a command.

use std::collections::BTreeMap;

use axum::body::Bytes;
use axum::extract::{Form, FromRequest, Request};
use axum::http::header;
use serde_json::Value;

use job::words::Fields;

/// Fields that are about the sending, not about the job.
const ABOUT: &[&str] = &["do", "id", "seq", "ago_ms", "at_ms", "held", "hold", "override", "reason", "by"];

/// Endings of a JSON field that say its unit: `temperature_c` is `temperature` in °C.
const UNITS: &[(&str, &str)] = &[
    ("_c", "°C"),
    ("_f", "°F"),
    ("_ml", "mL"),
    ("_l", "L"),
    ("_nm", "N·m"),
    ("_deg", "°"),
    ("_mm", "mm"),
    ("_kg", "kg"),
];

/// A command as it was sent.
pub(super) struct Entered {
    all: BTreeMap<String, String>,
    /// The fields of the command alone.
    pub(super) fields: Fields,
}

impl Entered {
    pub(super) fn get(&self, name: &str) -> Option<&str> {
        self.all.get(name).map(|value| value.trim()).filter(|value| !value.is_empty())
    }

    /// Everything that was sent, for asking once more.
    pub(super) fn all(&self) -> Vec<(String, String)> {
        self.all.iter().map(|(name, value)| (name.clone(), value.clone())).collect()
    }

    fn new(all: BTreeMap<String, String>) -> Self {
        let fields = all.iter().filter(|(name, _)| !ABOUT.contains(&name.as_str()));
        let fields = fields.map(|(name, value)| (name.clone(), value.clone())).collect();
        Self { all, fields }
    }
}

/// Reads a form or a JSON object.
///
/// # Errors
/// What is wrong with the body, in words.
pub(super) async fn entered(request: Request) -> Result<Entered, String> {
    let kind = request.headers().get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or_default();
    if kind.starts_with("application/json") {
        let bytes = Bytes::from_request(request, &()).await.map_err(|why| why.body_text())?;
        return json(&bytes).map(Entered::new);
    }
    let Form(form) = Form::<Vec<(String, String)>>::from_request(request, &()).await.map_err(|why| why.body_text())?;
    Ok(Entered::new(with_units(form)))
}

/// A plain number takes the unit that stood beside its field.
pub(super) fn with_units(form: Vec<(String, String)>) -> BTreeMap<String, String> {
    let mut all: BTreeMap<String, String> = form.into_iter().collect();
    let units: Vec<(String, String)> =
        all.iter().filter_map(|(name, unit)| Some((name.strip_suffix("_unit")?.to_owned(), unit.clone()))).collect();
    for (name, unit) in units {
        all.remove(&format!("{name}_unit"));
        // A rate of drops is a plain number; its unit is only shown.
        if let Some(value) = all.get_mut(&name).filter(|value| is_plain(value) && unit != "per min") {
            *value = format!("{} {unit}", value.trim());
        }
    }
    all
}

fn is_plain(value: &str) -> bool {
    let value = value.trim();
    !value.is_empty()
        && value.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '−' | ' ' | '±'))
}

fn json(bytes: &[u8]) -> Result<BTreeMap<String, String>, String> {
    let value: Value = serde_json::from_slice(bytes).map_err(|why| format!("the body is no JSON: {why}"))?;
    let Value::Object(object) = value else { return Err("the body is no JSON object".to_owned()) };
    let mut all = BTreeMap::new();
    for (name, value) in object {
        let text = match value {
            Value::String(text) => text,
            Value::Bool(true) => "yes".to_owned(),
            Value::Bool(false) => "no".to_owned(),
            Value::Number(number) => match UNITS.iter().find_map(|(end, unit)| Some((name.strip_suffix(end)?, unit))) {
                Some((stem, unit)) => {
                    all.insert(stem.to_owned(), format!("{number} {unit}"));
                    continue;
                }
                None => number.to_string(),
            },
            Value::Null => continue,
            Value::Array(_) | Value::Object(_) => {
                return Err(format!("“{name}” must be a text, a number or true/false"));
            }
        };
        all.insert(name, text);
    }
    Ok(all)
}
