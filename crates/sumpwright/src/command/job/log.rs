//! `job log`: what was done or seen, through the same gates as the page.

use app::{Answer as Outcome, JobView, LogLine, Sent, What, Workshop};
use job::words::{Fields, WORDS};
use job::{Gate, Override};
use serde_json::{Value, json};

use super::{clock, moment, readings};
use crate::command::workshop::{DataArgs, wait};
use crate::print::{Answer, Fault, list, rows, table};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Short name of the job
    #[arg(value_name = "JOB")]
    job: String,
    /// What was done or seen, or `readings` for a CSV file of them
    #[arg(value_name = "WORD")]
    word: String,
    /// Its fields as field=value, or the CSV file
    #[arg(value_name = "FIELD=VALUE")]
    fields: Vec<String>,
    /// `readings` only: when the engine was started, as RFC 3339 [default: as the log says]
    #[arg(long, value_name = "TIME")]
    started: Option<String>,
    #[command(flatten)]
    with: SendArgs,
    #[command(flatten)]
    data: DataArgs,
}

#[derive(Debug, clap::Args)]
pub struct FinishArgs {
    /// Short name of the job
    #[arg(value_name = "JOB")]
    job: String,
    #[command(flatten)]
    with: SendArgs,
    #[command(flatten)]
    data: DataArgs,
}

/// How an entry is sent.
#[derive(Debug, clap::Args)]
pub struct SendArgs {
    /// When it happened, as RFC 3339 [default: now]
    #[arg(long, value_name = "TIME")]
    when: Option<String>,
    /// Number of the last entry you have seen: a newer one is then a conflict
    #[arg(long, value_name = "SEQ")]
    seen: Option<u64>,
    /// Id of this entry; sending it again gets the first answer and enters nothing
    #[arg(long, value_name = "ID")]
    id: Option<String>,
    /// Who enters it [default: the job's technician]
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    #[command(flatten)]
    passed: OverrideArgs,
}

/// Gates passed on one's own responsibility.
#[derive(Debug, clap::Args)]
pub struct OverrideArgs {
    /// Pass a gate on your own responsibility; needs --because, and prints on the proof sheet
    #[arg(long = "override", value_name = "GATE")]
    gates: Vec<String>,
    /// Why, one for each --override
    #[arg(long = "because", value_name = "TEXT")]
    reasons: Vec<String>,
}

/// The word list, for the help of `job log`.
pub fn words_help() -> String {
    let row = |word: &str, fields: String, does: &str| vec![format!("  {word}"), fields, does.to_owned()];
    let mut body: Vec<Vec<String>> = WORDS
        .iter()
        .map(|word| {
            let may = word.may.iter().map(|field| format!("[{field}=]"));
            let fields: Vec<String> = word.needs.iter().map(|field| format!("{field}=")).chain(may).collect();
            row(word.word, fields.join(" "), word.does)
        })
        .collect();
    body.push(row("readings", "FILE.csv".to_owned(), "every reading of a file, each at its own time"));
    let table = table(&["Word", "Fields", "What it enters"], &body);
    format!("{table}\nFor example: sumpwright job log JOB pour volume=\"4.9 L\" at=\"20 °C\"")
}

pub fn run(args: &Args) -> Result<Answer, Fault> {
    if args.word == "readings" {
        let [file] = args.fields.as_slice() else {
            return Err(Fault::new("`readings` takes one CSV file", "sumpwright job log JOB readings FILE.csv"));
        };
        let started = args.started.as_deref().map(|text| moment("--started", text)).transpose()?;
        if !args.with.passed.gates.is_empty() || args.with.when.is_some() || args.with.id.is_some() {
            let hint = "leave them out: the times are the file's own, and a reading needs no gate";
            return Err(Fault::new("--when, --id and --override do not go with `readings`", hint));
        }
        return wait(async {
            let workshop = args.data.open().await?;
            readings::enter(&workshop, &args.job, file, started, args.with.by.clone()).await
        });
    }
    if args.started.is_some() {
        return Err(Fault::new("--started goes with `readings` only", "give --when TIME for the time of this entry"));
    }
    let fields = fields(&args.fields)?;
    send(&args.job, &args.word, fields, &args.with, &args.data)
}

pub fn finish(args: &FinishArgs) -> Result<Answer, Fault> {
    send(&args.job, "finish", Fields::new(), &args.with, &args.data)
}

fn fields(given: &[String]) -> Result<Fields, Fault> {
    let mut fields = Fields::new();
    for text in given {
        let Some((name, value)) = text.split_once('=') else {
            let what = format!("\"{text}\" is no field");
            return Err(Fault::new(what, "write fields as name=value, as in volume=\"4.9 L\""));
        };
        if fields.insert(name.trim().to_owned(), value.to_owned()).is_some() {
            return Err(Fault::new(format!("the field {name} is given twice"), "give it once"));
        }
    }
    Ok(fields)
}

/// Fields of no use to a word are a slip of the pen, and a slip must not vanish.
fn only_known(word: &str, fields: &Fields) -> Result<(), Fault> {
    let Some(row) = WORDS.iter().find(|row| row.word == word) else { return Ok(()) };
    // A correction carries the fields of what it corrects to.
    let corrected = fields.get("as").and_then(|word| WORDS.iter().find(|row| row.word == word));
    let rows = [Some(row), corrected];
    let known: Vec<&str> = rows.iter().flatten().flat_map(|row| row.needs.iter().chain(row.may)).copied().collect();
    match fields.keys().find(|field| !known.contains(&field.as_str())) {
        None => Ok(()),
        Some(field) => {
            let hint =
                if known.is_empty() { "it takes none".to_owned() } else { format!("it takes: {}", known.join(", ")) };
            Err(Fault::new(format!("{word} has no field \"{field}\""), hint))
        }
    }
}

pub fn overrides(with: &OverrideArgs) -> Result<Vec<Override>, Fault> {
    if with.gates.len() != with.reasons.len() {
        let what = format!("{} --override but {} --because", with.gates.len(), with.reasons.len());
        return Err(Fault::new(what, "give a reason for each: --override GATE --because \"why\""));
    }
    with.gates
        .iter()
        .zip(&with.reasons)
        .map(|(code, reason)| {
            let gate = Gate::from_code(code).ok_or_else(|| {
                let open = job::gate::GATES.iter().filter(|row| row.overridable).map(|row| row.code);
                let hint = format!("gates that may be passed: {}", open.collect::<Vec<_>>().join(", "));
                Fault::new(format!("there is no gate \"{code}\""), hint)
            })?;
            Ok(Override { gate, reason: reason.clone() })
        })
        .collect()
}

fn send(job: &str, word: &str, fields: Fields, with: &SendArgs, data: &DataArgs) -> Result<Answer, Fault> {
    only_known(word, &fields)?;
    // Read once before the log is touched, so that a slip is told even for a job that is not there.
    job::words::command(word, &fields)?;
    let overrides = overrides(&with.passed)?;
    let at_ms = with.when.as_deref().map(|when| moment("--when", when)).transpose()?;
    wait(async {
        let workshop = data.open().await?;
        let by = match &with.by {
            Some(by) => by.clone(),
            None => workshop.load(job).await?.state.opening.technician.clone(),
        };
        let sent = Sent {
            id: with.id.clone().unwrap_or_else(app::new_id),
            seen: with.seen,
            at_ms,
            by,
            what: What::Words(word.to_owned(), fields),
            overrides,
        };
        let answer = workshop.send(job, sent).await?;
        told(&workshop, job, &answer).await
    })
}

/// An answer in words, with what to do next.
async fn told(workshop: &Workshop, job: &str, answer: &Outcome) -> Result<Answer, Fault> {
    let view = workshop.view(job).await?;
    let mut document = json!(answer);
    document["job"] = json!(job);
    document["next"] = json!({ "verb": view.prompt.verb, "why": view.prompt.why });
    let text = match answer {
        Outcome::Accepted { first_seq, last_seq, .. } => entered(&view, *first_seq, *last_seq) + &next(&view),
        Outcome::Repeated { first } if answer.is_in_the_log() => {
            let seq = |key: &str| first[key].as_u64().unwrap_or(0);
            format!("Sent before:\n{}", entered(&view, seq("first_seq"), seq("last_seq"))) + &next(&view)
        }
        Outcome::Repeated { first } => format!("Sent before, and refused then:\n{}", refusal(first)),
        Outcome::Refused { .. } => refusal(&json!(answer)),
        Outcome::Conflict { last_seq, newer, .. } => {
            let lines: Vec<String> = newer.iter().map(line).collect();
            let heading = "Not entered: somebody else entered something meanwhile.".to_owned();
            heading + &list("Newer", &lines) + &format!("\nIf it still holds, send it again with --seen {last_seq}.\n")
        }
    };
    Ok(Answer { text, json: document, objection: !answer.is_in_the_log() })
}

fn entered(view: &JobView, first: u64, last: u64) -> String {
    let lines = view.log.iter().filter(|line| (first..=last).contains(&line.seq));
    lines.map(|entry| line(entry) + "\n").collect()
}

/// One entry on one line.
pub fn line(entry: &LogLine) -> String {
    let struck = if entry.corrected { " (corrected later)" } else { "" };
    format!("{:>4}  {}  {}{struck}", entry.seq, clock(entry.at_ms, "%H:%M:%S"), entry.text)
}

pub fn refusal(first: &Value) -> String {
    let text = |key: &str| first[key].as_str().unwrap_or_default().to_owned();
    let code = text("code");
    let mut lines = vec![("Refused", text("reason")), ("Cure", text("cure")), ("Gate", code.clone())];
    if first["overridable"] == true {
        lines.push(("", format!("may be passed with --override {code} --because \"why\"")));
    }
    let also: Vec<&str> = first["also"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    if !also.is_empty() {
        lines.push(("Also", also.join(", ")));
    }
    rows(&lines)
}

fn next(view: &JobView) -> String {
    let mut lines = vec![("Next", view.prompt.verb.clone())];
    lines.extend(super::show::countdown(view));
    rows(&lines)
}
