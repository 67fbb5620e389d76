//! How much fluid to have on the bench, line by line, and the cheapest containers that hold it.

use physics::containers::{Buyable, Shelved, cheapest};
use quantity::{Span, Volume};
use serde::Serialize;
use sheet::{Level, Renewal, Sheet, Sourced};

use crate::shelf::{Shelf, same_fluid};

/// Kept back for a spill or a second surplus: common practice, no source.
pub const RESERVE: Volume = Volume::from_ml(500.0);
/// What a hand pump and its hose keep: common practice, no source.
pub const PUMP_DEAD: Volume = Volume::from_ml(200.0);
/// A drain may bring this much more than a single stated figure: common practice, no source.
const DRAINED_MORE: f64 = 1.1;
/// Drained fraction where the sheet states none: the upper end of the usual 30–50 % (common practice, no source).
const DRAINED_UPPER: f64 = 0.5;

/// One line of the need.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NeedLine {
    pub what: &'static str,
    pub volume_ml: Volume,
    /// False for a line that only says when a part of the others goes in.
    pub counts: bool,
    /// Where the figure comes from.
    pub why: String,
}

/// The fluid to have on the bench.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Need {
    pub lines: Vec<NeedLine>,
    pub total_ml: Volume,
}

/// The fluid to have on the bench, from the sheet and the pump's dead volume.
///
/// What is poured straight after the start belongs to what the drain brought: it has its line, but is not added twice.
pub fn need(sheet: &Sheet, pump_dead: Option<Volume>) -> Need {
    let capacity = &sheet.capacity;
    let line = |what, volume_ml, why: &str| NeedLine { what, volume_ml, counts: true, why: why.to_owned() };
    let mut lines = in_place_of_the_old(sheet);
    let stated = |what, value: &Option<Sourced<Span<Volume>>>| {
        value.as_ref().map(|value| line(what, value.value.high, &value.source))
    };
    lines.extend(stated("Held by filter and pan", &capacity.residue));
    lines.extend(stated("Straight after starting, out of the above", &capacity.after_start).map(|mut line| {
        line.counts = false;
        line
    }));
    let surplus = sheet.level.overflow().map(|overflow| &overflow.surplus);
    lines.extend(surplus.map(|surplus| line("Surplus, to run off again", surplus.value.high, &surplus.source)));
    lines.push(match pump_dead {
        Some(dead) => line("Stays in the pump and its hose", dead, "as the tools list says"),
        None => line("Stays in the pump and its hose", PUMP_DEAD, "common practice, no source"),
    });
    lines.push(line("Reserve for a spill or a second surplus", RESERVE, "common practice, no source"));
    let total_ml = lines.iter().filter(|line| line.counts).map(|line| line.volume_ml).sum();
    Need { lines, total_ml }
}

/// What goes in for the old fluid, by the way it is renewed.
fn in_place_of_the_old(sheet: &Sheet) -> Vec<NeedLine> {
    let capacity = &sheet.capacity;
    let line = |what, volume_ml, why: &str| NeedLine { what, volume_ml, counts: true, why: why.to_owned() };
    match (&sheet.renewal, &sheet.level) {
        (Renewal::Exchange(exchange), _) => {
            return vec![line("Passed through the line", exchange.volume.value.high, &exchange.volume.source)];
        }
        (Renewal::DryFill(dry), _) => {
            return vec![
                line("Before starting", dry.before_start.value.high, &dry.before_start.source),
                line("Straight after starting", dry.after_start.value.high, &dry.after_start.source),
            ];
        }
        (_, Level::VolumeOnly(by)) => return vec![line("What belongs in", by.refill.value.high, &by.refill.source)],
        _ => {}
    }
    vec![match &capacity.drained {
        Some(stated) if stated.value.high > stated.value.low => {
            line("What a drain brings, upper end", stated.value.high, &stated.source)
        }
        Some(stated) => line(
            "What a drain brings, upper estimate",
            (stated.value.high * DRAINED_MORE).min(capacity.total.value.high),
            &format!("{} and a tenth more: {}", stated.printed, stated.source),
        ),
        None => line(
            "What a drain brings, upper estimate",
            capacity.total.value.high * DRAINED_UPPER,
            "half of the whole fill: common practice, no source",
        ),
    }]
}

/// One kind of container to take or to buy.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Take {
    pub name: String,
    pub count: u32,
    pub content_ml: Volume,
    /// What all of them cost; `None` for those on the shelf.
    pub cost: Option<f64>,
    /// True for one that was opened before.
    pub opened: bool,
}

/// The containers to take and to buy.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Containers {
    /// From the shelf first, opened ones before closed ones; then what is bought.
    pub takes: Vec<Take>,
    pub cost: f64,
    pub currency: String,
    pub left_over_ml: Volume,
    /// What must be looked at: containers that name no fluid.
    pub remarks: Vec<String>,
}

/// True for a container with one of these fluids, or that names none.
fn is_one_of(fluid: &Option<String>, approvals: &[String]) -> bool {
    fluid.as_ref().is_none_or(|named| approvals.iter().any(|approval| same_fluid(named, approval)))
}

/// Places on the shelf of containers with one of these fluids, opened ones first.
pub(crate) fn fitting(approvals: &[String], shelf: &Shelf) -> Vec<usize> {
    let mut places: Vec<usize> =
        (0..shelf.stock.len()).filter(|at| is_one_of(&shelf.stock[*at].fluid, approvals)).collect();
    places.sort_by_key(|at| !shelf.stock[*at].opened);
    places
}

/// Of those the ones that the bench list takes for a need, and what it buys besides. Where it has no answer every
/// container of that fluid counts as taken, and nothing as bought.
pub(crate) fn chosen(need: Volume, approvals: &[String], shelf: &Shelf) -> (Vec<usize>, Volume) {
    let cans: Vec<_> = shelf.cans.iter().filter(|can| is_one_of(&can.fluid, approvals)).collect();
    let list: Vec<_> = cans.iter().map(|can| Buyable { size: can.size_ml, price: can.price }).collect();
    let mut places = fitting(approvals, shelf);
    // In the order of the list, as the bench list sees them.
    let mut order = places.clone();
    order.sort_unstable();
    let stock = order.iter().map(|at| &shelf.stock[*at]);
    let shelved: Vec<_> = stock.map(|can| Shelved { holds: can.holds_ml, opened: can.opened }).collect();
    let Ok(best) = cheapest(need, &shelved, &list) else { return (places, Volume::from_ml(0.0)) };
    let taken: Vec<usize> = best.taken.iter().map(|at| order[*at]).collect();
    places.retain(|at| taken.contains(at));
    (places, cans.iter().zip(&best.bought).map(|(can, count)| can.size_ml * f64::from(*count)).sum())
}

/// The cheapest containers for a need, of a fluid that has one of the approvals.
///
/// # Errors
/// In words: why there is no answer, and what to do.
pub fn containers(need: Volume, approvals: &[String], shelf: &Shelf) -> Result<Containers, String> {
    let fits = |fluid: &Option<String>| is_one_of(fluid, approvals);
    let cans: Vec<_> = shelf.cans.iter().filter(|can| fits(&can.fluid)).collect();
    let stock: Vec<_> = shelf.stock.iter().filter(|can| fits(&can.fluid)).collect();
    if cans.is_empty() && stock.is_empty() {
        let fluids = approvals.join(" or ");
        return Err(match shelf.cans.len() + shelf.stock.len() {
            0 => "Neither a price list nor stock is kept: enter the sizes and prices you can buy.".to_owned(),
            listed => format!("None of the {listed} containers listed is said to hold {fluids}: name the fluid there."),
        });
    }
    let list: Vec<_> = cans.iter().map(|can| Buyable { size: can.size_ml, price: can.price }).collect();
    let shelved: Vec<_> = stock.iter().map(|can| Shelved { holds: can.holds_ml, opened: can.opened }).collect();
    let best = cheapest(need, &shelved, &list).map_err(|why| format!("{why}."))?;
    let mut takes: Vec<Take> = Vec::new();
    for at in &best.taken {
        let can = stock[*at];
        let take = Take { name: can.name.clone(), count: 1, content_ml: can.holds_ml, cost: None, opened: can.opened };
        match takes.iter_mut().find(|known| Take { count: 1, ..(*known).clone() } == take) {
            Some(known) => known.count += 1,
            None => takes.push(take),
        }
    }
    takes.sort_by_key(|take| !take.opened);
    takes.extend(cans.iter().zip(&best.bought).filter(|(_, count)| **count > 0).map(|(can, count)| Take {
        name: can.name.clone(),
        count: *count,
        content_ml: can.size_ml,
        cost: Some(f64::from(*count) * can.price),
        opened: false,
    }));
    let unnamed = best.taken.iter().any(|at| stock[*at].fluid.is_none())
        || cans.iter().zip(&best.bought).any(|(can, count)| *count > 0 && can.fluid.is_none());
    let remarks = unnamed
        .then(|| format!("A container here names no fluid: check that it is {}.", approvals.join(" or ")))
        .into_iter()
        .collect();
    Ok(Containers { takes, cost: best.cost, currency: shelf.currency.clone(), left_over_ml: best.left_over, remarks })
}
