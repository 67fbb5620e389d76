//! The format as JSON Schema (draft 2020-12), for editors that check while one types.

use crate::check::family::{FAMILY_KEYS, FAMILY_TABLES, NEEDS, ROOT};
use crate::check::schema::{Form, Key, SOURCED, Table};
use serde_json::{Map, Value, json};

/// The schema, made from the tables that the check itself uses. It knows the form of every value and which tables a family
/// has; whether a quantity can be read, or two values contradict each other, only `check` knows.
pub fn json_schema() -> Value {
    let mut schema = table(&ROOT);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["title"] = json!("Unit sheet");
    schema["$defs"] = json!({ "sourced": table(&SOURCED) });
    schema["properties"]["format"]["const"] = json!(crate::FORMAT);
    schema["allOf"] = Value::Array(NEEDS.iter().map(|row| family(row.family.word(), row.needs, row.may)).collect());
    schema
}

fn table(table: &Table) -> Value {
    let properties: Map<String, Value> = table.keys.iter().map(|key| (key.name.to_owned(), property(key))).collect();
    let required: Vec<&str> = table.keys.iter().filter(|key| key.required).map(|key| key.name).collect();
    json!({ "type": "object", "properties": properties, "required": required, "additionalProperties": false })
}

fn property(key: &Key) -> Value {
    let text = || json!({ "type": "string", "pattern": "\\S" });
    let mut value = match key.form {
        Form::Text | Form::Plain(_) => text(),
        Form::Texts => list(text(), key.required),
        Form::Word(words) => json!({ "enum": words.words() }),
        Form::Words(words) => list(json!({ "enum": words.words() }), key.required),
        Form::Flag => json!({ "type": "boolean" }),
        Form::Whole => json!({ "type": "integer" }),
        Form::Factor(low, high) => json!({ "type": "number", "exclusiveMinimum": low, "maximum": high }),
        Form::Sourced(_) => json!({ "$ref": "#/$defs/sourced" }),
        Form::Table(inner) => table(inner),
        Form::Tables(inner) => json!({ "type": "array", "items": table(inner), "minItems": 1 }),
    };
    value["description"] = json!(key.about);
    if matches!(key.form, Form::Text | Form::Plain(_)) && !key.sample.is_empty() {
        value["examples"] = json!([key.sample]);
    }
    value
}

fn list(items: Value, required: bool) -> Value {
    json!({ "type": "array", "items": items, "minItems": u8::from(required) })
}

/// What a sheet has whose first circuit is of this family and judges its level by itself.
fn family(word: &str, needs: &[&str], may: &[&str]) -> Value {
    let when = json!({ "required": ["unit"], "properties": { "unit": {
        "required": ["family"], "properties": { "family": { "const": word }, "level": false }
    } } });
    let mut properties = Map::new();
    let has = |name: &str| needs.contains(&name) || may.contains(&name);
    for name in FAMILY_TABLES.iter().filter(|name| !has(name)) {
        properties.insert((*name).to_owned(), json!(false));
    }
    let tables: Vec<&&str> = needs.iter().filter(|name| !name.contains('.')).collect();
    for (inside, key) in FAMILY_KEYS {
        let name = format!("{inside}.{key}");
        let rule = properties.entry(*inside).or_insert_with(|| json!({ "properties": {}, "required": [] }));
        if rule.is_boolean() {
            continue;
        }
        if !has(&name) {
            rule["properties"][*key] = json!(false);
        }
        if let (true, Some(required)) = (needs.contains(&name.as_str()), rule["required"].as_array_mut()) {
            required.push(json!(key));
        }
    }
    json!({ "if": when, "then": { "required": tables, "properties": properties } })
}
