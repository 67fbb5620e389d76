//! `renew`: passes, dilution, blend age, cost.

use physics::renewal::{Pass, flow_through, passes, passes_to_reach, steady_state};
use quantity::print::{self, Units};
use quantity::{Distance, Volume};
use serde_json::{Value, json};

use crate::args::{maybe, number, one};
use crate::print::{Answer, Fault, rows, table};

mod extra;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// All fluid in the unit
    #[arg(long, value_name = "VOLUME")]
    total: String,
    /// What one pass takes out and puts in
    #[arg(long, value_name = "VOLUME")]
    per_pass: String,
    /// How many passes [default: 1]
    #[arg(long, value_name = "N", conflicts_with = "to")]
    passes: Option<u32>,
    /// As many passes as reach this share of new fluid: "90 %"
    #[arg(long, value_name = "PERCENT")]
    to: Option<String>,
    /// Distance the old fluid has travelled
    #[arg(long, value_name = "DISTANCE")]
    age: Option<String>,
    /// Distance between services, for what the policy leads to
    #[arg(long, value_name = "DISTANCE")]
    every: Option<String>,
    /// Price of a litre: "12.50/L", "12.50 EUR/L"
    #[arg(long, value_name = "MONEY/L")]
    price: Option<String>,
    /// Compare with running this volume through the cooler line
    #[arg(long, value_name = "VOLUME")]
    flow_through: Option<String>,
    #[command(flatten)]
    extra: extra::ExtraArgs,
}

/// More passes than this are no plan, and no list anybody reads.
const MOST_PASSES: u32 = 1000;

pub fn run(args: &Args, units: Units) -> Result<Answer, Fault> {
    let total: Volume = one("--total", &args.total)?;
    let per_pass: Volume = one("--per-pass", &args.per_pass)?;
    physics::renewal::TOTAL.check(total.ml())?;
    let fraction = per_pass / total;
    if per_pass > total {
        return Err(Fault::new(
            format!("--per-pass {} is more than --total {}", args.per_pass, args.total),
            "one pass cannot take out more than the unit holds; for an exchange through the cooler line give --flow-through",
        ));
    }
    let count = count(args, fraction)?;
    let age: Option<Distance> = maybe("--age", args.age.as_ref())?;
    let price = args.price.as_deref().map(price).transpose()?;
    let plan = passes(total, &vec![per_pass; count as usize], age)?;
    let old = plan.last().map_or(1.0, |pass| pass.old_fraction);
    let every: Option<Distance> = maybe("--every", args.every.as_ref())?;
    let steady = every.map(|every| steady_state(1.0 - old, every)).transpose()?;
    let through: Option<Volume> = maybe("--flow-through", args.flow_through.as_ref())?;
    let ratio = through.map(|volume| volume / total);
    let through = ratio.map(|ratio| flow_through(ratio, 1)).transpose()?.map(|new| 1.0 - new);
    let extra = extra::extra(&args.extra, total, fraction, args.to.as_ref(), age.map(|age| age * old), units)?;
    let rows_json: Vec<Value> = plan.iter().map(|pass| document(pass, price.as_ref())).collect();
    let mut json = json!({
        "passes": rows_json,
        "steady_state": steady,
        "flow_through": through.zip(ratio).map(|(old, ratio)|
            json!({ "old_fraction": old, "plug_flow_old_fraction": (1.0 - ratio).max(0.0) })),
    });
    for (key, value) in extra.json {
        json[key] = value;
    }
    let mut lines = Vec::new();
    if let (Some(steady), Some(every)) = (steady, every) {
        let km = |distance| print::distance(distance, units);
        let said = format!(
            "done every {}, the blend's mean age tends to {} before a service and {} after",
            km(every),
            km(steady.before),
            km(steady.after)
        );
        lines.push(("In the long run", said));
    }
    lines.extend(through.zip(ratio).map(|(old, ratio)| {
        let best = percent((1.0 - ratio).max(0.0));
        let words = "of the old fluid would be left, with ideal mixing (the safe figure)";
        ("Through the line", format!("{} {words}; {best} if nothing mixed", percent(old)))
    }));
    lines.extend(extra.lines);
    let text =
        body(&plan, price.as_ref(), units) + if lines.is_empty() { "" } else { "\n" } + &rows(&lines) + &extra.text;
    Ok(Answer::new(text, json))
}

fn count(args: &Args, fraction: f64) -> Result<u32, Fault> {
    let count = match &args.to {
        None => args.passes.unwrap_or(1),
        Some(text) => passes_to_reach(fraction, number("--to", text, &["%", "percent"])? / 100.0)?,
    };
    if (1..=MOST_PASSES).contains(&count) {
        return Ok(count);
    }
    Err(Fault::new(
        format!("that would be {count} passes"),
        format!("between 1 and {MOST_PASSES} passes are worked out"),
    ))
}

/// An amount of money a litre, with whatever currency sign stood beside it.
struct Price {
    amount: f64,
    sign: String,
}

impl Price {
    /// What so much costs: "$34.07", "34.07 EUR", "34.07".
    fn printed(&self, volume: Volume) -> String {
        let money = print::number(self.amount * volume.litres(), 2);
        match self.sign.chars().any(char::is_alphabetic) {
            true => format!("{money} {}", self.sign),
            false => format!("{}{money}", self.sign),
        }
    }
}

fn price(text: &str) -> Result<Price, Fault> {
    let hint = "write money per litre: \"12.50/L\" or \"12.50 EUR/L\"";
    let (money, unit) = text.split_once('/').unwrap_or((text, "L"));
    if !matches!(unit.trim().to_lowercase().as_str(), "l" | "litre" | "liter") {
        return Err(Fault::new(format!("--price: \"{text}\" is not per litre"), hint));
    }
    let is_digit = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '−');
    let digits: String = money.chars().filter(|c| is_digit(*c)).collect();
    let sign: String = money.chars().filter(|c| !is_digit(*c) && !c.is_whitespace()).collect();
    let amount = digits.replace(',', ".").replace('−', "-").parse::<f64>().ok().filter(|x| x.is_finite() && *x >= 0.0);
    match amount {
        Some(amount) if sign.chars().count() <= 5 => {
            physics::renewal::PRICE_LIMIT.check(amount)?;
            Ok(Price { amount, sign })
        }
        _ => Err(Fault::new(format!("--price: \"{text}\" is no price"), hint)),
    }
}

fn document(pass: &Pass, price: Option<&Price>) -> Value {
    let mut row = json!(pass);
    row["cost"] = json!(price.map(|price| price.amount * pass.poured.litres()));
    row
}

fn percent(share: f64) -> String {
    format!("{} %", print::number(100.0 * share, 1))
}

fn body(plan: &[Pass], price: Option<&Price>, units: Units) -> String {
    let mut head = vec![" Pass", " Old left", " New", " Poured in all"];
    let aged = plan.iter().any(|pass| pass.blend_age.is_some());
    if aged {
        head.push(" Blend age");
    }
    if price.is_some() {
        head.push(" Cost in all");
    }
    let rows: Vec<Vec<String>> = plan
        .iter()
        .map(|pass| {
            let mut row = vec![
                pass.n.to_string(),
                percent(pass.old_fraction),
                percent(pass.new_fraction),
                print::volume(pass.poured, units),
            ];
            row.extend(pass.blend_age.map(|age| print::distance(age, units)));
            row.extend(price.map(|price| price.printed(pass.poured)));
            row
        })
        .collect();
    table(&head, &rows)
}
