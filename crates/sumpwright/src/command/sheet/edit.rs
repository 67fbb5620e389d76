//! Texts of sheets from texts of sheets.

use serde_json::json;
use sheet::Family;
use sheet::edit::{self, Difference};

use super::Out;
use crate::command::sheets::text_of;
use crate::print::{Answer, Fault, table};

#[derive(Debug, clap::Args)]
pub struct NewArgs {
    /// Short name of the sheet: small letters, digits, hyphens
    id: String,
    /// Name for people
    #[arg(long, value_name = "TEXT", default_value = "")]
    name: String,
    /// Who makes the unit
    #[arg(long, value_name = "TEXT", default_value = "")]
    maker: String,
    /// What it is: "six-speed automatic"
    #[arg(long, value_name = "TEXT", default_value = "")]
    kind: String,
    /// How its level is set, or its fluid renewed
    #[arg(long, value_name = "FAMILY", default_value = "overflow")]
    family: String,
    #[command(flatten)]
    out: Out,
}

pub fn new(args: &NewArgs) -> Result<Answer, Fault> {
    let family = Family::named(&args.family).ok_or_else(|| {
        let known: Vec<_> = Family::ALL.iter().map(|(_, word, _)| *word).collect();
        Fault::new(
            format!("--family {}: there is no such family", args.family),
            format!("one of: {}", known.join(", ")),
        )
    })?;
    let text = edit::skeleton(&args.id, &args.name, &args.maker, &args.kind, family);
    args.out.answer(text, json!({ "id": args.id, "family": family.word() }), "")
}

#[derive(Debug, clap::Args)]
pub struct CopyArgs {
    /// Sheet to copy: a path, or a name
    from: String,
    /// Short name of the copy
    #[arg(long, value_name = "ID")]
    id: String,
    /// Name of the copy for people
    #[arg(long, value_name = "TEXT", default_value = "")]
    name: String,
    #[command(flatten)]
    out: Out,
}

pub fn copy(args: &CopyArgs) -> Result<Answer, Fault> {
    let (_, text) = text_of(&args.from)?;
    let text = edit::renamed(&text, &args.id, &args.name)?;
    args.out.answer(text, json!({ "id": args.id }), "")
}

#[derive(Debug, clap::Args)]
pub struct SetArgs {
    /// Sheet: a path, a name, or - for stdin
    sheet: String,
    /// Where: window.temperature, plug[fill].torque.source
    path: String,
    /// The value as the manual prints it; empty takes the key away
    #[arg(allow_hyphen_values = true)]
    value: String,
    #[command(flatten)]
    out: Out,
}

pub fn set(args: &SetArgs) -> Result<Answer, Fault> {
    let (_, text) = text_of(&args.sheet)?;
    let text = edit::set(&text, &args.path, &args.value)?;
    let findings = sheet::check(&text).findings;
    args.out.answer(text, json!({ "path": args.path, "findings": findings }), "")
}

#[derive(Debug, clap::Args)]
pub struct CompareArgs {
    /// First sheet: a path, or a name
    a: String,
    /// Second sheet
    b: String,
}

pub fn compare(args: &CompareArgs) -> Result<Answer, Fault> {
    let ((_, a), (_, b)) = (text_of(&args.a)?, text_of(&args.b)?);
    let found = edit::compare(&a, &b)?;
    let text = match found.is_empty() {
        true => "No value differs.\n".to_owned(),
        false => differences(&found),
    };
    let differ = found.iter().any(|difference| !difference.agree);
    Ok(Answer { text, json: json!({ "differences": found }), objection: differ })
}

fn differences(found: &[Difference]) -> String {
    let said = |value: &Option<String>, source: &Option<String>| match (value, source) {
        (Some(value), Some(source)) => format!("{value} [{source}]"),
        (Some(value), None) => value.clone(),
        (None, _) => "—".to_owned(),
    };
    let row = |d: &Difference| {
        let mark = if d.agree { "same" } else { "differs" };
        vec![d.path.clone(), mark.to_owned(), said(&d.a, &d.a_source), said(&d.b, &d.b_source)]
    };
    table(&["Where", "", "First", "Second"], &found.iter().map(row).collect::<Vec<_>>())
}

#[derive(Debug, clap::Args)]
pub struct MergeArgs {
    /// Sheet that is kept: a path, or a name
    a: String,
    /// Sheet to take from
    b: String,
    /// Take this value from the second sheet; may be given several times
    #[arg(long, value_name = "PATH")]
    take: Vec<String>,
    /// Take every value that differs from the second sheet, names apart
    #[arg(long)]
    prefer_second: bool,
    #[command(flatten)]
    out: Out,
}

pub fn merge(args: &MergeArgs) -> Result<Answer, Fault> {
    let ((_, a), (_, b)) = (text_of(&args.a)?, text_of(&args.b)?);
    let merged = edit::merge(&a, &b, &args.take, args.prefer_second)?;
    let mut remark = format!("{} value(s) taken\n", merged.taken.len());
    if !merged.conflicts.is_empty() {
        remark.push_str(&format!("Not decided, the first sheet's stand:\n{}", differences(&merged.conflicts)));
    }
    let open = !merged.conflicts.is_empty();
    let mut answer =
        args.out.answer(merged.text, json!({ "taken": merged.taken, "conflicts": merged.conflicts }), &remark)?;
    answer.objection = open;
    Ok(answer)
}
