//! From sheets and their findings to pages.

use app::{SheetVersion, Workshop};
use sheet::edit::{self, Difference, Entry, Group, Proposal};
use sheet::{Family, Severity};

use super::stamp;
use crate::view::{
    Choice, DifferenceView, Field, FindingView, FindingsView, Input, ProposalView, SheetRow, SlotView, SlotsView,
    VersionView,
};

/// What the check says of a text.
pub(crate) fn findings(text: &str) -> FindingsView {
    let checked = sheet::check(text);
    let view = |f: &sheet::Finding| FindingView {
        severity: severity(f.severity),
        message: f.message.clone(),
        hint: f.hint.clone(),
        line: f.line,
        column: f.column,
    };
    FindingsView {
        count: count(&checked.findings),
        sound: checked.sheet.is_some(),
        findings: checked.findings.iter().map(view).collect(),
    }
}

fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Caution => "caution",
        Severity::Note => "note",
    }
}

/// "2 errors, 1 note".
fn count(findings: &[sheet::Finding]) -> String {
    let of = |wanted| findings.iter().filter(|f| f.severity == wanted).count();
    let said = [Severity::Error, Severity::Caution, Severity::Note].into_iter().filter_map(|wanted| {
        let number = of(wanted);
        (number > 0).then(|| format!("{number} {}{}", severity(wanted), if number == 1 { "" } else { "s" }))
    });
    let said: Vec<String> = said.collect();
    if said.is_empty() { "Nothing to object.".to_owned() } else { said.join(", ") }
}

/// Every sheet there is: own and shipped, those with errors too.
pub(crate) fn rows(shop: &Workshop, versions: &[SheetVersion]) -> Vec<SheetRow> {
    let mut rows: Vec<SheetRow> = Vec::new();
    let latest = |name: &str| versions.iter().rfind(|version| version.name == name);
    let mut add = |name: &str, text: &str| {
        let checked = sheet::check(text);
        let known = checked.sheet.as_ref();
        let state = count(&checked.findings);
        rows.push(SheetRow {
            name: name.to_owned(),
            title: known.map_or_else(|| name.to_owned(), |sheet| sheet.name.clone()),
            kind: known.map_or_else(String::new, |sheet| sheet.kind.clone()),
            from: latest(name).map_or_else(|| "shipped".to_owned(), |version| format!("version {}", version.number)),
            state: if checked.findings.is_empty() { String::new() } else { state },
        });
    };
    let planned = shop.sheets();
    for entry in &planned {
        add(&entry.name, &entry.text);
    }
    let mut names: Vec<&str> = versions.iter().map(|version| version.name.as_str()).collect();
    names.dedup();
    for name in names.into_iter().filter(|name| !planned.iter().any(|entry| entry.name == *name)) {
        if let Some(version) = latest(name) {
            add(name, &version.text);
        }
    }
    rows
}

/// A choice among sheets.
pub(crate) fn sheet_field(name: &str, label: &str, rows: &[SheetRow], chosen: &str) -> Field {
    let choices: Vec<(&str, &str)> = rows.iter().map(|row| (row.name.as_str(), row.title.as_str())).collect();
    let field = Field::choice(name, label, &choices);
    if chosen.is_empty() { field } else { field.with(chosen) }
}

/// What is asked before a new sheet is begun.
pub(crate) fn new_fields() -> Vec<Field> {
    let families: Vec<(&str, &str)> = Family::ALL.iter().map(|(_, word, meaning)| (*word, *meaning)).collect();
    vec![
        Field::new("id", "Short name", Input::Text).hint("small letters, digits, hyphens"),
        Field::new("name", "Name", Input::Text),
        Field::new("maker", "Maker", Input::Text),
        Field::new("kind", "Kind", Input::Text).hint("six-speed automatic"),
        Field::choice("family", "How its level is set", &families),
    ]
}

/// Prefix of the fields that are values of the sheet.
pub(crate) const VALUE: &str = "v:";

/// The sheet as fields to fill in.
pub(crate) fn slots(groups: Vec<Group>) -> Vec<SlotsView> {
    groups
        .into_iter()
        .map(|group| SlotsView {
            title: if group.path.is_empty() { "Sheet".to_owned() } else { group.path },
            about: group.about.to_owned(),
            slots: group.fields.into_iter().map(slot).collect(),
        })
        .collect()
}

fn slot(field: edit::Field) -> SlotView {
    let mut choices = Vec::new();
    if let Entry::Choice(words) = &field.entry {
        let empty = Choice { value: String::new(), label: "–".to_owned(), chosen: field.value.is_empty() };
        choices.push(empty);
        // A word that is none of the list is shown all the same: only a person puts it right.
        let strange =
            (!field.value.is_empty() && !words.contains(&field.value.as_str())).then_some(field.value.as_str());
        choices.extend(words.iter().copied().chain(strange).map(|word| Choice {
            value: word.to_owned(),
            label: word.to_owned(),
            chosen: word == field.value,
        }));
    }
    let list = field.entry == Entry::List;
    let needed = if field.required { "" } else { ", may be left out" };
    let sample =
        if field.sample.is_empty() { String::new() } else { format!("{}{needed}", field.sample.replace('|', " | ")) };
    SlotView {
        name: format!("{VALUE}{}", field.path),
        label: sentence(field.about),
        hint: sample,
        value: if list { field.value.replace(" | ", "\n") } else { field.value },
        list,
        choices,
        sourced: field.sourced,
    }
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// The history, the latest first.
pub(crate) fn history(versions: &[SheetVersion]) -> Vec<VersionView> {
    versions
        .iter()
        .rev()
        .map(|version| VersionView {
            number: version.number,
            when: stamp(version.at_ms, "%Y-%m-%d %H:%M"),
            by: version.by.clone(),
            why: version.why.clone(),
        })
        .collect()
}

/// Where two sheets differ; what the first lacks is ticked.
pub(crate) fn differences(found: Vec<Difference>) -> Vec<DifferenceView> {
    let said = |value: Option<String>| value.unwrap_or_else(|| "–".to_owned());
    found
        .into_iter()
        .map(|d| DifferenceView {
            offers: d.b.is_some(),
            ticked: d.a.is_none(),
            a: said(d.a),
            b: said(d.b),
            a_source: d.a_source.unwrap_or_default(),
            b_source: d.b_source.unwrap_or_default(),
            agree: d.agree,
            path: d.path,
        })
        .collect()
}

/// What a passage gave. Nothing is ticked or chosen beforehand.
pub(crate) fn proposals(found: Vec<Proposal>) -> Vec<ProposalView> {
    found
        .into_iter()
        .map(|p| {
            let choice = |value: &str, label: String, chosen| Choice { value: value.to_owned(), label, chosen };
            let mut choices = vec![choice("", "–".to_owned(), true)];
            let meant = |path: &str| match sheet::edit::meaning(path) {
                Some(meaning) => format!("{meaning} ({path})"),
                None => path.to_owned(),
            };
            choices.extend(p.others.iter().map(|path| choice(path, meant(path), false)));
            ProposalView {
                meaning: p.path.as_deref().map(meant).unwrap_or_default(),
                path: p.path.unwrap_or_default(),
                number: p.number,
                place: format!("{}, line {}, column {}", p.measures, p.line, p.column),
                because: p.because.join(", "),
                printed: p.printed,
                sentence: p.sentence,
                choices,
                note: p.note,
            }
        })
        .collect()
}
