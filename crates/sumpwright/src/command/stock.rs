//! `stock`: price list, stock and tools of the workshop, and the cheapest containers for a need.

use std::path::{Path, PathBuf};

use app::{ShelfFinding, ShelfKind, read_shelf};
use job::Shelf;
use job::need::{Containers, containers};
use quantity::Volume;
use quantity::print::{self, Units};
use serde_json::{Value, json};

use super::workshop::{DataArgs, wait};
use crate::args::one;
use crate::print::{Answer, Fault, list, rows, table};

/// What can be done with the lists.
#[derive(Debug, clap::Subcommand)]
pub enum StockCommand {
    /// Keep a list in the workshop's database, over the one before
    Keep(KeepArgs),
    /// Print a list as it was kept; the stock as it is now
    Show(ShowArgs),
    /// What stands on the shelf now: the kept list less what ended jobs used since
    Shelf(ShelfArgs),
    /// Print a list to start from
    Example(ExampleArgs),
    /// Check a list: every mistake with its line
    Check(CheckArgs),
    /// The cheapest containers for an amount of fluid
    Cans(CansArgs),
}

/// Files of lists, or the ones that were kept.
#[derive(Debug, clap::Args)]
pub struct ListArgs {
    /// Price list, TOML or CSV, for the cheapest containers
    #[arg(long, value_name = "FILE")]
    pub prices: Option<PathBuf>,
    /// Stock on the shelf
    #[arg(long, value_name = "FILE")]
    pub stock: Option<PathBuf>,
    /// The workshop's own tools
    #[arg(long, value_name = "FILE")]
    pub tools: Option<PathBuf>,
    /// Take the lists that were kept with `stock keep` for those not given
    #[arg(long)]
    pub kept: bool,
    #[command(flatten)]
    pub data: DataArgs,
}

#[derive(Debug, clap::Args)]
pub struct KeepArgs {
    /// prices, stock or tools
    #[arg(value_name = "LIST")]
    list: String,
    /// The file
    #[arg(value_name = "FILE")]
    file: PathBuf,
    #[command(flatten)]
    data: DataArgs,
}

#[derive(Debug, clap::Args)]
pub struct ShowArgs {
    /// prices, stock or tools
    #[arg(value_name = "LIST")]
    list: String,
    #[command(flatten)]
    data: DataArgs,
}

#[derive(Debug, clap::Args)]
pub struct ShelfArgs {
    #[command(flatten)]
    data: DataArgs,
}

#[derive(Debug, clap::Args)]
pub struct ExampleArgs {
    /// prices, stock or tools
    #[arg(value_name = "LIST")]
    list: String,
}

#[derive(Debug, clap::Args)]
pub struct CheckArgs {
    /// prices, stock or tools
    #[arg(value_name = "LIST")]
    list: String,
    /// The file
    #[arg(value_name = "FILE")]
    file: PathBuf,
}

#[derive(Debug, clap::Args)]
pub struct CansArgs {
    /// How much is needed: "5.9 L"
    #[arg(value_name = "VOLUME")]
    need: String,
    /// Approval that the fluid must have; may be given more than once [default: any fluid]
    #[arg(long, value_name = "APPROVAL")]
    fluid: Vec<String>,
    #[command(flatten)]
    lists: ListArgs,
}

pub fn run(command: &StockCommand) -> Result<Answer, Fault> {
    match command {
        StockCommand::Keep(args) => keep(args),
        StockCommand::Show(args) => show(args),
        StockCommand::Shelf(args) => shelf(args),
        StockCommand::Example(args) => {
            let kind = kind(&args.list)?;
            Ok(Answer::new(kind.example(), json!({ "list": kind, "text": kind.example() })))
        }
        StockCommand::Check(args) => {
            let kind = kind(&args.list)?;
            let read = read_shelf(kind, &text_of(&args.file)?);
            Ok(told(kind, &args.file, &read.findings, "is right"))
        }
        StockCommand::Cans(args) => cans(args),
    }
}

fn kind(word: &str) -> Result<ShelfKind, Fault> {
    ShelfKind::named(word)
        .ok_or_else(|| Fault::new(format!("there is no list \"{word}\""), "one of: prices, stock, tools"))
}

/// No list is that long; more is a slip of the path.
const LONGEST: u64 = 1_000_000;

fn text_of(path: &Path) -> Result<String, Fault> {
    let unread = |why: String| Fault::new(format!("{} cannot be read: {why}", path.display()), "check the path");
    let size = std::fs::metadata(path).map_err(|why| unread(why.to_string()))?.len();
    if size > LONGEST {
        return Err(unread(format!("it has {size} bytes")));
    }
    std::fs::read_to_string(path).map_err(|why| unread(why.to_string()))
}

fn told(kind: ShelfKind, path: &Path, findings: &[ShelfFinding], right: &str) -> Answer {
    let name = path.display();
    let text = if findings.is_empty() {
        format!("{name} {right}\n")
    } else {
        let lines = findings.iter().map(|found| format!("{name}:{}: {}. {}", found.line, found.message, found.hint));
        list("Findings", &lines.collect::<Vec<_>>())
    };
    let json = json!({ "list": kind, "path": name.to_string(), "findings": findings });
    Answer { text, json, objection: !findings.is_empty() }
}

fn keep(args: &KeepArgs) -> Result<Answer, Fault> {
    let kind = kind(&args.list)?;
    let text = text_of(&args.file)?;
    wait(async {
        let read = args.data.open().await?.keep_shelf(kind, &text, None).await?;
        Ok(told(kind, &args.file, &read.findings, "is kept"))
    })
}

fn show(args: &ShowArgs) -> Result<Answer, Fault> {
    let kind = kind(&args.list)?;
    wait(async {
        let text = args.data.open().await?.shelf_text(kind).await?.ok_or_else(|| {
            let hint = format!("keep one with `sumpwright stock keep {} FILE`", kind.word());
            Fault::new(format!("no list of {} is kept", kind.word()), hint)
        })?;
        let shelf = read_shelf(kind, &text).shelf;
        Ok(Answer::new(text.clone(), json!({ "list": kind, "text": text, "shelf": shelf })))
    })
}

fn shelf(args: &ShelfArgs) -> Result<Answer, Fault> {
    wait(async {
        let now = args.data.open().await?.stock(None).await?.ok_or_else(|| {
            Fault::new("no list of stock is kept", "keep one with `sumpwright stock keep stock FILE`")
        })?;
        let body: Vec<Vec<String>> = now
            .stock
            .iter()
            .map(|can| {
                let state = if can.opened { "opened" } else { "closed" };
                let fluid = can.fluid.clone().unwrap_or_else(|| "any fluid".to_owned());
                vec![can.name.clone(), print::volume(can.holds_ml, Units::Metric), state.to_owned(), fluid]
            })
            .collect();
        let used =
            now.jobs.iter().flat_map(|one| one.says().into_iter().map(move |says| format!("{}: {says}", one.job)));
        let text = table(&["Container", " Holds", "", "Fluid"], &body)
            + &list("Used since the list was kept", &used.collect::<Vec<_>>());
        Ok(Answer::new(text, json!(now)))
    })
}

impl ListArgs {
    /// What the workshop has by these lists, and today in days since 1970-01-01.
    pub fn shelf(&self) -> Result<(Shelf, Option<i64>), Fault> {
        let mut all = Shelf::default();
        let files =
            [(ShelfKind::Prices, &self.prices), (ShelfKind::Stock, &self.stock), (ShelfKind::Tools, &self.tools)];
        let kept = if self.kept { wait(self.kept_lists())? } else { Vec::new() };
        for (kind, file) in files {
            let read = match file {
                Some(file) => {
                    let read = read_shelf(kind, &text_of(file)?);
                    if let Some(first) = read.findings.first() {
                        let what = format!("{}: line {}: {}", file.display(), first.line, first.message);
                        return Err(Fault::new(what, first.hint.clone()));
                    }
                    read
                }
                None => match kept.iter().find(|(known, _)| *known == kind) {
                    Some((_, text)) => read_shelf(kind, text),
                    None => continue,
                },
            };
            app::merge_shelf(&mut all, read.shelf);
        }
        Ok((all, Some(app::today())))
    }

    async fn kept_lists(&self) -> Result<Vec<(ShelfKind, String)>, Fault> {
        let workshop = self.data.open().await?;
        let mut kept = Vec::new();
        for kind in ShelfKind::ALL {
            kept.extend(workshop.shelf_text(kind).await?.map(|text| (kind, text)));
        }
        Ok(kept)
    }
}

fn cans(args: &CansArgs) -> Result<Answer, Fault> {
    let need: Volume = one("VOLUME", &args.need)?;
    let (mut shelf, _) = args.lists.shelf()?;
    if args.fluid.is_empty() {
        // Any fluid: what is written on the containers does not matter.
        shelf.cans.iter_mut().for_each(|can| can.fluid = None);
        shelf.stock.iter_mut().for_each(|can| can.fluid = None);
    }
    let found = containers(need, &args.fluid, &shelf)
        .map_err(|why| Fault::new(why, "give --prices FILE, or --kept for the lists that were kept"))?;
    let remarks = if args.fluid.is_empty() { Vec::new() } else { found.remarks.clone() };
    let mut document = json!(found);
    document["need_ml"] = json!(need.ml());
    document["remarks"] = Value::from(remarks.clone());
    Ok(Answer::new(containers_text(&found) + &list("Mind", &remarks), document))
}

/// The containers as a table with the sum below.
pub fn containers_text(found: &Containers) -> String {
    let body: Vec<Vec<String>> = found
        .takes
        .iter()
        .map(|take| {
            let cost = match (take.cost, take.opened) {
                (Some(cost), _) => print::number(cost, 2),
                (None, true) => "open already".to_owned(),
                (None, false) => "on the shelf".to_owned(),
            };
            vec![format!("{} ×", take.count), take.name.clone(), print::volume(take.content_ml, Units::Metric), cost]
        })
        .collect();
    let sum = [
        ("Costs", format!("{} {}", print::number(found.cost, 2), found.currency).trim().to_owned()),
        ("Left over", print::volume(found.left_over_ml, Units::Metric)),
    ];
    table(&[" Take", "Container", " Holds", " Costs"], &body) + &rows(&sum)
}
