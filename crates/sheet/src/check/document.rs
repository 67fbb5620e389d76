//! The key tables of `docs/sheet.md`, written from the schema so that they cannot differ from it.

use super::code::CODES;
use super::dimension::sentence;
use super::family::{NEEDS, ROOT};
use super::schema::{Bounds, Form, Key, SOURCED, Table};
use crate::{Role, Severity};

/// The part of the sheet document that lists every key and every finding, as Markdown.
pub fn keys_markdown() -> String {
    let mut page = String::new();
    let sourced = "In place of `{…}`: a table of these three keys.";
    let mut shown = Vec::new();
    table(&mut page, "### The sheet itself", "", &ROOT);
    below(&mut page, &ROOT, &mut shown);
    families(&mut page);
    table(&mut page, "### A value with its source", sourced, &SOURCED);
    page.push_str("### Findings\n\n| code | at worst | meaning |\n|---|---|---|\n");
    for code in CODES {
        let severity = match code.severity {
            Severity::Error => "error",
            Severity::Caution => "caution",
            Severity::Note => "note",
        };
        page.push_str(&format!("| `{}` | {severity} | {} |\n", code.name, code.meaning));
    }
    page
}

/// Which tables each family needs and may have beside those of every sheet.
fn families(page: &mut String) {
    page.push_str(
        "### Tables and keys by family\n\n| family | meaning | needs | may have | plugs |\n|---|---|---|---|---|\n",
    );
    for row in NEEDS {
        let code = |names: &[&str]| names.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ");
        let drains = !row.family.only_renews() && !row.roles.contains(&Role::Drain);
        let mut roles: Vec<&str> = row.roles.iter().map(|role| role.word()).collect();
        if drains {
            roles.push("drain unless something else renews the fluid");
        }
        page.push_str(&format!(
            "| `{}` | {} | {} | {} | {} |\n",
            row.family.word(),
            row.family.meaning(),
            code(row.needs),
            code(row.may),
            roles.join(", ")
        ));
    }
    page.push('\n');
}

/// A table that stands in several places, as those of a circuit do, is shown once.
fn below(page: &mut String, parent: &Table, shown: &mut Vec<&'static str>) {
    for key in parent.keys {
        let (title, inner) = match key.form {
            Form::Table(inner) => (format!("### `[{}]`", inner.name), inner),
            Form::Tables(inner) => (format!("### `[[{}]]`", inner.name), inner),
            _ => continue,
        };
        if shown.contains(&inner.name) {
            continue;
        }
        shown.push(inner.name);
        table(page, &title, key.about, inner);
        below(page, inner, shown);
    }
}

fn table(page: &mut String, title: &str, about: &str, table: &Table) {
    page.push_str(&format!("{title}\n\n"));
    if !about.is_empty() {
        page.push_str(&format!("{}\n\n", sentence(about)));
    }
    page.push_str("| key | needed | form | meaning | usual (common practice, no source) |\n|---|---|---|---|---|\n");
    for key in table.keys {
        let needed = if key.required { "yes" } else { "" };
        page.push_str(&format!(
            "| `{}` | {needed} | {} | {} | {} |\n",
            key.name,
            form(key),
            key.about,
            usual(key.form)
        ));
    }
    page.push('\n');
}

fn form(key: &Key) -> String {
    match key.form {
        Form::Table(_) | Form::Tables(_) => key.form.name().to_owned(),
        Form::Word(list) => {
            format!("one of {}", list.words().iter().map(|w| format!("`\"{w}\"`")).collect::<Vec<_>>().join(", "))
        }
        Form::Sourced(_) => format!("`{{…}}`, value such as `\"{}\"`", key.sample),
        Form::Factor(low, high) => format!("number above {low}, at most {high}"),
        form => format!("`{}`", form.toml(key.sample)),
    }
}

fn usual(form: Form) -> String {
    let (Form::Plain(Bounds { sign, low, high, unit, .. }) | Form::Sourced(Bounds { sign, low, high, unit, .. })) =
        form
    else {
        return String::new();
    };
    let must = sign.must_be().map(|must| format!("; must be {must}")).unwrap_or_default();
    format!("{low} to {high} {}{must}", unit.sign)
}
