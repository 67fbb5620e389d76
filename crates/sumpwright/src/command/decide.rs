//! `decide`: due or not, service or diagnose, the ways to renew side by side, and a text to sign.

use std::path::PathBuf;

use clap::{Arg, ArgMatches, Command, FromArgMatches};
use job::decide::{Comparison, Costs, Due, Reason, Rules, RulesError, Run, rules};
use quantity::print::{self, Units};
use quantity::{Distance, Duration, Volume};
use serde_json::{Map, Value, json};

use super::sheets::sheet_of;
use crate::args::{maybe, number};
use crate::print::{Answer, Fault, list, rows, table};

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Sheet of the unit: a path, or the name of a shipped sheet such as keld-o6
    #[arg(long, value_name = "SHEET", required_unless_present = "table")]
    sheet: Option<String>,
    /// Print questions, answers and rules as a table and judge nothing
    #[arg(long)]
    table: bool,
    /// The one circuit the findings speak of, in a unit with several [default: every circuit, each by its own figures]
    #[arg(long, value_name = "ID")]
    circuit: Option<String>,
    #[command(flatten)]
    found: Found,
    #[command(flatten)]
    run: RunArgs,
    /// Price of a litre
    #[arg(long, value_name = "MONEY/L")]
    price: Option<String>,
    /// Price of an hour of work
    #[arg(long, value_name = "MONEY/H")]
    rate: Option<String>,
    /// Passes of the repeated drain [default: 3]
    #[arg(long, value_name = "N")]
    passes: Option<u32>,
    /// Vehicle, for the customer's text
    #[arg(long, value_name = "TEXT", default_value = "")]
    vehicle: String,
    /// The one way that is offered, for the customer's text: drain-once, line-exchange, …
    #[arg(long, value_name = "METHOD", default_value = "")]
    method: String,
    /// Print the text for the customer to sign, and nothing else
    #[arg(long)]
    text: bool,
    /// Also write the text for the customer as PDF
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
}

/// What is known about the fluid in the unit.
#[derive(Debug, clap::Args)]
pub struct RunArgs {
    /// Distance since the last service, or since new
    #[arg(long, value_name = "DISTANCE")]
    distance: Option<String>,
    /// Time since the last service, or since new: "7 years"
    #[arg(long, value_name = "TIME")]
    time: Option<String>,
    /// Mean distance of all fluid in the unit [default: the distance, as for fluid never renewed]
    #[arg(long, value_name = "DISTANCE")]
    blend_age: Option<String>,
    /// Towing, short trips, heat: the interval is shortened as the sheet says
    #[arg(long)]
    severe: bool,
}

impl RunArgs {
    pub fn read(&self) -> Result<Run, Fault> {
        let distance: Option<Distance> = maybe("--distance", self.distance.as_ref())?;
        let time: Option<Duration> = maybe("--time", self.time.as_ref())?;
        let blend: Option<Distance> = maybe("--blend-age", self.blend_age.as_ref())?;
        Ok(Run { distance, time, blend: blend.or(distance), severe: self.severe })
    }
}

/// One argument a question, made from the table of rules.
#[derive(Debug, Default)]
pub struct Found(pub Vec<(String, String)>);

impl FromArgMatches for Found {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let mut found = Self::default();
        found.update_from_arg_matches(matches)?;
        Ok(found)
    }
    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        let asked = rules().map(|rules| rules.questions.iter().filter(|q| !q.derived)).into_iter().flatten();
        self.0 = asked
            .filter_map(|question| Some((question.id.clone(), matches.get_one::<String>(&question.id)?.clone())))
            .collect();
        Ok(())
    }
}

impl clap::Args for Found {
    fn augment_args(command: Command) -> Command {
        let asked = rules().map(|rules| rules.questions.iter().filter(|q| !q.derived)).into_iter().flatten();
        asked.fold(command, |command, question| {
            let words = question.answers.iter().map(|answer| clap::builder::PossibleValue::new(answer.word.as_str()));
            let arg = Arg::new(question.id.as_str())
                .long(question.id.as_str())
                .value_name("FINDING")
                .help(question.ask.as_str())
                .hide_default_value(true)
                .value_parser(clap::builder::PossibleValuesParser::new(words));
            command.arg(arg)
        })
    }
    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let rules = rules().map_err(damaged)?;
    let Some(given) = args.sheet.as_ref().filter(|_| !args.table) else {
        return Ok(Answer::new(decision_table(rules), json!(rules)));
    };
    let (sheet, _, _) = sheet_of(given)?;
    let decided = app::decide(&sheet, &asked(args)?, "", units)?;
    let plain = app::advice_text(&decided.paper);
    // The gravest circuit speaks for the unit.
    let mut answer = document(rules, decided.gravest());
    if !decided.further.is_empty() {
        let of_one = |one: &app::Decided| {
            let mut of_one = document(rules, one);
            of_one["circuit"] = json!(one.circuit);
            of_one
        };
        answer["circuits"] = decided.circuits().map(of_one).collect();
    }
    answer["customer_text"] = json!(plain);
    let mut said = match args.text {
        true => plain,
        false => decided.circuits().map(|one| spoken(one, units)).collect::<Vec<_>>().join("\n"),
    };
    if let Some(path) = &args.pdf {
        super::write_file(path, &app::advice_pdf(&decided.paper).map_err(super::paper)?)?;
        if !args.text {
            said.push_str(&format!("\nText for the customer written to {}\n", path.display()));
        }
    }
    Ok(Answer { text: said, json: answer, objection: !decided.gravest().judgement.verdict.permits_service() })
}

fn damaged(why: RulesError) -> Fault {
    Fault::new(why.to_string(), "the program file is damaged: install it again")
}

fn asked(args: &Args) -> Result<app::Asked, Fault> {
    let per = |name: &str, given: &Option<String>, units: &[&str]| {
        given.as_deref().map(|text| number(name, text, units)).transpose()
    };
    Ok(app::Asked {
        found: args.found.0.clone(),
        run: args.run.read()?,
        costs: Costs {
            per_litre: per("--price", &args.price, &["/L", "/l"])?,
            per_hour: per("--rate", &args.rate, &["/h", "/H"])?,
            passes: args.passes,
        },
        circuit: args.circuit.clone(),
        vehicle: args.vehicle.clone(),
        method: args.method.clone(),
        day: jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::system()).date().to_string(),
    })
}

fn document(rules: &Rules, decided: &app::Decided) -> Value {
    let app::Decided { findings, judgement, due, methods, policy, .. } = decided;
    let answers: Map<String, Value> =
        rules.answers(findings).map(|(question, answer)| (question.id.clone(), json!(answer.word))).collect();
    let mut document = json!({ "findings": answers, "service": judgement.verdict.permits_service() });
    if let (Value::Object(into), Value::Object(judged)) = (&mut document, json!(judgement)) {
        into.extend(judged);
    }
    document["due"] = json!(due);
    document["methods"] = json!(methods.methods);
    document["policy"] = json!(policy);
    document["assumptions"] = json!(methods.assumptions);
    document
}

fn spoken(one: &app::Decided, units: Units) -> String {
    let app::Decided { circuit, judgement, due, methods, .. } = one;
    let reason = |reason: &Reason| format!("{} {} ({})", reason.because, reason.cure, reason.source);
    let side = if circuit.is_empty() { String::new() } else { format!("{circuit}: ") };
    let mut text = format!("{side}{}\n", judgement.verdict.title().to_uppercase());
    text.push_str(&list("Because", &judgement.reasons.iter().map(reason).collect::<Vec<_>>()));
    text.push_str(&list("Also", &judgement.noted.iter().map(reason).collect::<Vec<_>>()));
    let change = |change: &job::decide::Change| {
        format!("{}, if {}: {}", change.verdict.title(), change.ask.to_lowercase(), change.answers.join(" / "))
    };
    text.push_str(&list("Milder", &judgement.milder_if.iter().map(change).collect::<Vec<_>>()));
    text.push_str(&list("Still open", &judgement.open.iter().map(change).collect::<Vec<_>>()));
    text.push_str(&list(due_title(due).as_str(), &job::decide::due_lines(due, units)));
    text.push_str("\nWays to renew\n");
    text.push_str(&methods_table(methods, units));
    let seen: Vec<_> =
        methods.methods.iter().map(|row| (row.name.as_str(), format!("{}. {}", row.seen, row.risk))).collect();
    text.push('\n');
    text.push_str(&rows(&seen));
    text.push_str(&list("Taken for granted", &methods.assumptions));
    text
}

/// "Due", "Not due yet", …
pub fn due_title(due: &Due) -> String {
    let title = match due.status {
        "due" => "Due",
        "overdue" => "Overdue",
        "not-yet" => "Not due yet",
        _ => "Due or not: not known",
    };
    title.to_owned()
}

fn methods_table(methods: &Comparison, units: Units) -> String {
    let mut head = vec!["Way", " Fluid", " Old left", " Bay time"];
    let aged = methods.methods.iter().any(|row| row.blend_age_km.is_some());
    let steady = methods.methods.iter().any(|row| row.steady_state.is_some());
    let priced = methods.methods.iter().any(|row| row.cost.is_some());
    head.extend(aged.then_some(" Blend age"));
    head.extend(steady.then_some(" In the long run"));
    head.extend(priced.then_some(" Cost"));
    let body: Vec<Vec<String>> = methods
        .methods
        .iter()
        .map(|row| {
            let percent = |share: f64| print::number(100.0 * share, 0);
            let old = match row.old_fraction_at_best < row.old_fraction - 0.005 {
                true => format!("{}–{} %", percent(row.old_fraction_at_best), percent(row.old_fraction)),
                false => format!("{} %", percent(row.old_fraction)),
            };
            let mut cells = vec![
                row.name.clone(),
                print::volume(Volume::from_litres(row.litres), units),
                old,
                format!("{} h", print::number(row.bay_hours, 1)),
            ];
            cells.extend(row.blend_age_km.map(|age| job::decide::rounded_distance(age, units)));
            cells.extend(row.steady_state.map(|steady| job::decide::rounded_distance(steady.before.km(), units)));
            cells.extend(row.cost.map(|cost| print::number(cost, 2)));
            cells
        })
        .collect();
    table(&head, &body)
}

/// Every question with its answers, then every rule as a row of conditions and verdict.
fn decision_table(rules: &Rules) -> String {
    let mut text = "Questions, each with its answers from best to worst\n\n".to_owned();
    let questions: Vec<(String, String)> = rules
        .questions
        .iter()
        .map(|question| {
            let answers: Vec<&str> = question.answers.iter().map(|answer| answer.word.as_str()).collect();
            (question.id.clone(), format!("{}. {}\n{}", question.ask, question.how, answers.join(" | ")))
        })
        .collect();
    text.push_str(&rows(&questions));
    text.push_str("\nRules: the gravest that holds gives the verdict\n\n");
    let body: Vec<Vec<String>> = rules
        .rules
        .iter()
        .map(|rule| {
            let when: Vec<String> =
                rule.when.iter().map(|(question, words)| format!("{question} = {}", words.join(" | "))).collect();
            let when = if when.is_empty() { "always".to_owned() } else { when.join(", ") };
            vec![rule.verdict.word().to_owned(), rule.id.clone(), when, rule.source_words()]
        })
        .collect();
    text + &table(&["Verdict", "Rule", "When", "Source"], &body)
}
