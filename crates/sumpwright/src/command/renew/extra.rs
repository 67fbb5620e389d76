//! `renew`, what is asked for besides the passes: plans with their cost, a use's temperatures, a wrong fluid.

use physics::ageing::{Rule, wear, weighted_distance};
use physics::containers::{Buyable, Shelved};
use physics::renewal::{Plan, Prices, Together, WrongFluid, plans, rescue};
use quantity::print::{self, Units};
use quantity::{Distance, Temperature, TemperatureDifference, Volume};
use serde_json::{Value, json};

use crate::args::{number, one};
use crate::print::{Fault, list, table};

#[derive(Debug, clap::Args)]
pub struct ExtraArgs {
    /// A container one can buy: "1 L=14.50"; repeat for each; with --to, plans are compared in whole containers
    #[arg(long, value_name = "V=MONEY", requires = "to")]
    can: Vec<String>,
    /// An opened container on the shelf, what it still holds; repeat for each
    #[arg(long, value_name = "VOLUME", requires = "can")]
    stock: Vec<String>,
    /// Work and small parts of one drain-and-fill
    #[arg(long, value_name = "MONEY", requires = "can")]
    per_drain: Option<String>,
    /// Setting up the exchange through the cooler line
    #[arg(long, value_name = "MONEY", requires = "can")]
    exchange_setup: Option<String>,
    /// How much of its time the unit spends at a temperature: "80 °C=40"; repeat for each
    #[arg(long, value_name = "T=SHARE")]
    temperature: Vec<String>,
    /// Activation energy of ageing in kJ/mol; without it the rate doubles every 10 K (common rule, no source)
    #[arg(long, value_name = "KJ_PER_MOL", requires = "temperature")]
    energy: Option<String>,
    /// Wrong fluid in the unit
    #[arg(long, value_name = "VOLUME", requires = "below")]
    foreign: Option<String>,
    /// Share of wrong fluid that may stay: "1 %"
    #[arg(long, value_name = "PERCENT", requires = "foreign")]
    below: Option<String>,
    /// What is known about the two fluids together
    #[arg(long, value_name = "HOW", value_parser = ["compatible", "unknown", "harmful"], default_value = "unknown")]
    mixing: String,
    /// The unit has not been run since the wrong fluid went in
    #[arg(long, requires = "foreign")]
    not_run: bool,
}

/// What is added to the answer.
#[derive(Default)]
pub struct Extra {
    pub json: Vec<(&'static str, Value)>,
    pub lines: Vec<(&'static str, String)>,
    pub text: String,
}

/// The reference of the index of ageing.
const REFERENCE: Temperature = Temperature::from_celsius(80.0);

pub fn extra(
    args: &ExtraArgs,
    total: Volume,
    fraction: f64,
    to: Option<&String>,
    blend: Option<Distance>,
    units: Units,
) -> Result<Extra, Fault> {
    let mut extra = Extra::default();
    if let Some(to) = to.filter(|_| !args.can.is_empty()) {
        let share = number("--to", to, &["%", "percent"])? / 100.0;
        let found = plans(total, fraction, share, &prices(args)?)?;
        extra.text += &("\n".to_owned() + &plans_table(&found, units));
        extra.json.push(("plans", json!(found)));
    }
    if !args.temperature.is_empty() {
        use_of(args, blend, units, &mut extra)?;
    }
    if let (Some(foreign), Some(below)) = (&args.foreign, &args.below) {
        let found = rescue(&WrongFluid {
            total,
            foreign: one("--foreign", foreign)?,
            fraction,
            may_stay: number("--below", below, &["%", "percent"])? / 100.0,
            together: match args.mixing.as_str() {
                "compatible" => Together::Compatible,
                "harmful" => Together::Harmful,
                _ => Together::Unknown,
            },
            has_run: !args.not_run,
        })?;
        let said = match (found.passes, found.after_each.last()) {
            (Some(passes), Some(left)) => format!("{passes} drain-and-fills leave {:.2} % of it", 100.0 * left),
            (Some(_), None) => "no more than that is in it now".to_owned(),
            (None, _) => "no number of drains is promised".to_owned(),
        };
        extra.lines.push(("Wrong fluid", said));
        let advice: Vec<String> = found.advice.iter().map(|a| (*a).to_owned()).collect();
        extra.text += &list("Wrong fluid", &advice);
        extra.json.push(("rescue", json!(found)));
    }
    Ok(extra)
}

/// Two things in one argument, "1 L=14.50".
fn pair<'a>(name: &str, text: &'a str, like: &str) -> Result<(&'a str, &'a str), Fault> {
    let unread = || Fault::new(format!("{name}: \"{text}\" has no \"=\""), format!("write it as in \"{like}\""));
    text.split_once('=').ok_or_else(unread)
}

fn prices(args: &ExtraArgs) -> Result<Prices, Fault> {
    let money = |name: &str, text: &Option<String>| text.as_deref().map_or(Ok(0.0), |text| number(name, text, &[]));
    let mut containers = Vec::new();
    for text in &args.can {
        let (size, price) = pair("--can", text, "1 L=14.50")?;
        containers.push(Buyable { size: one("--can", size)?, price: number("--can", price, &[])? });
    }
    let mut shelf = Vec::new();
    for text in &args.stock {
        shelf.push(Shelved { holds: one("--stock", text)?, opened: true });
    }
    Ok(Prices {
        per_drain: money("--per-drain", &args.per_drain)?,
        exchange_setup: money("--exchange-setup", &args.exchange_setup)?,
        per_litre: 0.0,
        containers,
        shelf,
    })
}

fn plans_table(found: &[Plan], units: Units) -> String {
    let body: Vec<Vec<String>> = found
        .iter()
        .map(|plan| {
            let bought = plan.purchase.as_ref().map_or(0, |p| p.bought.iter().sum::<u32>());
            vec![
                plan.drains.to_string(),
                print::volume(plan.exchange, units),
                print::volume(plan.fluid, units),
                bought.to_string(),
                format!("{:.1} %", 100.0 * plan.new_fraction),
                print::number(plan.cost, 2),
            ]
        })
        .collect();
    table(&[" Drains", " then exchange", " Fluid", " Containers bought", " New", " Cost"], &body)
}

/// How hard a use ages the fluid.
fn use_of(args: &ExtraArgs, blend: Option<Distance>, units: Units, extra: &mut Extra) -> Result<(), Fault> {
    let mut histogram = Vec::new();
    for text in &args.temperature {
        let (at, share) = pair("--temperature", text, "80 °C=40")?;
        histogram.push((one("--temperature", at)?, number("--temperature", share, &["%", "h"])?));
    }
    let energy = args.energy.as_deref().map(|text| number("--energy", text, &["kJ/mol"])).transpose()?;
    let rule = energy.map_or(Rule::COMMON, Rule::Arrhenius);
    let found = wear(&histogram, REFERENCE, rule)?;
    let weighted = blend.map(|blend| weighted_distance(blend, found.index)).transpose()?;
    let by = match energy {
        Some(energy) => format!("activation energy {energy} kJ/mol"),
        None => "doubling every 10 K (common rule, no source)".to_owned(),
    };
    extra.lines.push((
        "This use",
        format!(
            "ages fluid {:.2} times as fast as {}, as if always at {}; {by}",
            found.index,
            print::temperature(REFERENCE, units),
            print::temperature(found.equivalent, units)
        ),
    ));
    extra.lines.extend(weighted.map(|w| {
        let at = print::temperature(REFERENCE, units);
        ("Weighted age", format!("{} at {at}: for comparing uses, no promise", print::distance(w, units)))
    }));
    let mut document = json!(found);
    document["reference_c"] = json!(REFERENCE.celsius());
    document["activation_energy_kj_per_mol"] = json!(energy);
    let step = TemperatureDifference::from_kelvin(10.0);
    document["doubling_k"] = json!(energy.is_none().then(|| step.kelvin()));
    document["weighted_age_km"] = json!(weighted);
    extra.json.push(("ageing", document));
    Ok(())
}
