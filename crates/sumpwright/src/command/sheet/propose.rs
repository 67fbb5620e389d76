//! `sheet propose`: values from a passage of a manual in the user's own possession.

use serde_json::json;
use sheet::edit::{Proposal, propose, take};

use super::Out;
use crate::command::sheets::text_of;
use crate::print::{Answer, Fault, list, table};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// File with the passage as text, or - for stdin
    passage: String,
    /// Sheet that confirmed values go into: a path, or a name
    #[arg(long, value_name = "SHEET", requires = "confirm")]
    into: Option<String>,
    /// Confirm a proposal: its number, or NUMBER=PATH to say which value it is; may be given several times
    #[arg(long, value_name = "N[=PATH]", requires = "into")]
    confirm: Vec<String>,
    /// Book and page of the passage; needed for taking values
    #[arg(long, value_name = "TEXT", default_value = "")]
    source: String,
    #[command(flatten)]
    out: Out,
}

pub fn run(args: &Args) -> Result<Answer, Fault> {
    let passage = text_of(&args.passage)?.1;
    let found = propose(&passage);
    if let Some(into) = &args.into {
        let confirmed =
            args.confirm.iter().map(|given| confirmed(given, &found.proposals)).collect::<Result<Vec<_>, _>>()?;
        let text = take(&text_of(into)?.1, &confirmed, &args.source)?;
        let findings = sheet::check(&text).findings;
        let remark = format!("{} value(s) taken\n", confirmed.len());
        return args.out.answer(text, json!({ "taken": confirmed, "findings": findings }), &remark);
    }
    let body: Vec<Vec<String>> = found
        .proposals
        .iter()
        .map(|p| {
            let key = p.path.clone().unwrap_or_else(|| format!("? {}", p.measures));
            vec![p.number.to_string(), format!("{}:{}", p.line, p.column), p.printed.clone(), key, p.because.join(", ")]
        })
        .collect();
    let mut text = match body.is_empty() {
        true => String::new(),
        false => table(&[" No", " Place", "Printed", "Value", "Because of the words"], &body),
    };
    let told: Vec<String> = found.findings.iter().map(|(_, _, what, cure)| format!("{what} {cure}")).collect();
    text.push_str(&list("Findings", &told));
    text.push_str(&list(
        "Nothing is taken by itself",
        &["confirm each: --into SHEET --confirm 2 --confirm 5=capacity.total --source \"Service manual, page 12\""],
    ));
    let findings: Vec<_> = found
        .findings
        .iter()
        .map(
            |(severity, code, what, cure)| json!({ "severity": severity, "code": code, "message": what, "hint": cure }),
        )
        .collect();
    let json = json!({ "proposals": found.proposals, "findings": findings });
    Ok(Answer { text, json, objection: found.proposals.is_empty() })
}

fn confirmed(given: &str, proposals: &[Proposal]) -> Result<(String, String), Fault> {
    let (number, path) = given.split_once('=').map_or((given, None), |(number, path)| (number, Some(path)));
    let proposal = number.trim().parse::<usize>().ok().and_then(|n| proposals.iter().find(|p| p.number == n));
    let proposal = proposal.ok_or_else(|| {
        let hint = format!("the passage has the proposals 1 to {}", proposals.len());
        Fault::new(format!("--confirm {given}: there is no such proposal"), hint)
    })?;
    let path = path.map(str::to_owned).or_else(|| proposal.path.clone()).ok_or_else(|| {
        let what = format!("--confirm {given}: nothing near “{}” says which value it is", proposal.printed);
        Fault::new(what, format!("say it: --confirm {number}=PATH, for instance one of {}", proposal.others.join(", ")))
    })?;
    Ok((path, proposal.printed.clone()))
}
