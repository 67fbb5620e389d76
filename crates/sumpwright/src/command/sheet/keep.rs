//! Sheets in the workshop's own store, with their history.

use app::KeepSheet;
use serde_json::json;

use crate::command::sheets::text_of;
use crate::command::workshop::{DataArgs, wait};
use crate::print::{Answer, Fault, table};

#[derive(Debug, clap::Args)]
pub struct ListArgs {
    #[command(flatten)]
    data: DataArgs,
}

pub fn list(args: &ListArgs) -> Result<Answer, Fault> {
    let (sheets, versions) = wait(async {
        let workshop = args.data.open().await?;
        Ok((workshop.sheets(), workshop.sheet_versions().await?))
    })?;
    let version = |name: &str| versions.iter().filter(|v| v.name == name).map(|v| v.number).max();
    let mut rows: Vec<(String, String, String)> = sheets
        .into_iter()
        .map(|sheet| {
            let kept = version(&sheet.name).map_or_else(|| "shipped".to_owned(), |n| format!("version {n}"));
            (sheet.name, sheet.title, kept)
        })
        .collect();
    for version in &versions {
        if !rows.iter().any(|(name, _, _)| *name == version.name) {
            rows.push((version.name.clone(), "—".to_owned(), "kept, with errors".to_owned()));
        }
    }
    let json = rows.iter().map(|(id, name, kept)| json!({ "id": id, "name": name, "kept": kept })).collect::<Vec<_>>();
    let body: Vec<Vec<String>> = rows.into_iter().map(|(id, name, kept)| vec![id, name, kept]).collect();
    Ok(Answer::new(table(&["Sheet", "Unit", "From"], &body), json!({ "sheets": json })))
}

#[derive(Debug, clap::Args)]
pub struct KeepArgs {
    /// Sheet file, or - for stdin
    sheet: String,
    /// Who keeps it
    #[arg(long, value_name = "NAME", default_value = "not named")]
    by: String,
    /// What was changed
    #[arg(long, value_name = "TEXT", default_value = "")]
    why: String,
    /// The version it was made from; keeping is refused if another was kept meanwhile
    #[arg(long, value_name = "N")]
    based_on: Option<u32>,
    #[command(flatten)]
    data: DataArgs,
}

pub fn keep(args: &KeepArgs) -> Result<Answer, Fault> {
    let (_, text) = text_of(&args.sheet)?;
    let findings = sheet::check(&text).findings;
    let errors = findings.iter().filter(|finding| finding.severity == sheet::Severity::Error).count();
    let keep = KeepSheet { text, by: args.by.clone(), why: args.why.clone(), based_on: args.based_on };
    let kept = wait(async { Ok(args.data.open().await?.keep_sheet(keep).await?) })?;
    let mut said = format!("{} kept as version {}\n", kept.name, kept.number);
    if errors > 0 {
        said.push_str(&format!(
            "It has {errors} error(s) and cannot be planned from yet; `sumpwright check` lists them.\n"
        ));
    }
    let json = json!({ "id": kept.name, "version": kept.number, "findings": findings });
    Ok(Answer { text: said, json, objection: errors > 0 })
}

#[derive(Debug, clap::Args)]
pub struct HistoryArgs {
    /// Name of the sheet
    name: String,
    /// Print the text of this version
    #[arg(long, value_name = "N")]
    version: Option<u32>,
    #[command(flatten)]
    data: DataArgs,
}

pub fn history(args: &HistoryArgs) -> Result<Answer, Fault> {
    let versions = wait(async { Ok(args.data.open().await?.sheet_history(&args.name).await?) })?;
    if versions.is_empty() {
        let what = format!("no version of “{}” is kept here", args.name);
        return Err(Fault::new(what, "`sumpwright sheet list` shows what there is; `sheet keep FILE` keeps one"));
    }
    if let Some(number) = args.version {
        let version = versions.iter().find(|version| version.number == number).ok_or_else(|| {
            Fault::new(format!("{} has no version {number}", args.name), format!("it has 1 to {}", versions.len()))
        })?;
        return Ok(Answer::new(version.text.clone(), json!(version)));
    }
    let body: Vec<Vec<String>> = versions
        .iter()
        .map(|v| {
            let at = jiff::Timestamp::from_millisecond(v.at_ms)
                .map(|at| at.to_zoned_datetime(jiff::tz::TimeZone::system()).strftime("%Y-%m-%d %H:%M").to_string());
            vec![v.number.to_string(), at.unwrap_or_default(), v.by.clone(), v.why.clone()]
        })
        .collect();
    Ok(Answer::new(table(&[" Version", "Kept", "By", "What was changed"], &body), json!({ "versions": versions })))
}
