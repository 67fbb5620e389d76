//! Which containers of fluid to open and which to buy, so that the money spent is the least there is.

use quantity::Volume;
use serde::Serialize;

use crate::{Limits, PhysicsError};

/// Fluid that can be asked for.
pub static NEED: Limits = Limits::new("fluid needed", "mL", 0.0, 200_000.0);
/// Size of a container that can be bought, and what one on the shelf still holds.
pub static CONTAINER: Limits = Limits::new("content of a container", "mL", 1.0, 1_000_000.0);
/// Price of a container, in whatever currency the list is in.
pub static PRICE: Limits = Limits::new("price of a container", "", 1e-6, 1e7);
/// Containers on the shelf and in the price list, together.
pub static LISTED: Limits = Limits::new("number of containers listed", "", 0.0, 120.0);

/// A container that can be bought in any number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Buyable {
    /// What it holds.
    pub size: Volume,
    /// What one costs.
    pub price: f64,
}

/// A container on the shelf.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shelved {
    /// What it still holds.
    pub holds: Volume,
    /// True when it has been opened before.
    pub opened: bool,
}

/// What to take and what to buy.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Purchase {
    /// Places in the list of shelved containers, ascending.
    pub taken: Vec<usize>,
    /// How many of each buyable container, in the order of the list.
    pub bought: Vec<u32>,
    /// What is paid, in the currency of the list.
    pub cost: f64,
    /// What remains in the containers used.
    #[serde(rename = "left_over_ml")]
    pub left_over: Volume,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ContainersError {
    /// A figure outside its range, with its place in the list, counted from 0.
    #[error("container {}: {why}", .at + 1)]
    Container { at: usize, why: PhysicsError },
    /// The amount asked for, or the length of the lists.
    #[error(transparent)]
    Figure(#[from] PhysicsError),
    /// The shelf is not enough and nothing can be bought.
    #[error("{:.2} L more are needed and the price list is empty", .missing.litres())]
    NothingToBuy { missing: Volume },
}

/// Prices are added up as whole millionths, so that equal sums are equal whatever their order.
const MILLIONTHS: f64 = 1e6;

/// Containers that fall short of the need by less than this are enough: a quart is 946.353 mL, and six of them are six quarts.
const SHORT_ML: f64 = 0.5;
/// Amounts are counted in tenths of a millilitre.
const STEPS: f64 = 10.0;

fn steps(content_ml: f64) -> u64 {
    (content_ml * STEPS).round() as u64
}

/// What a choice is judged by, first things first: money, then what is left over, then the number of containers.
type Worth = (u64, u64, u32);
const NEVER: Worth = (u64::MAX, u64::MAX, u32::MAX);

/// The cheapest set of containers that covers a need.
///
/// min Σ nᵢ pᵢ subject to Σ nᵢ sᵢ + Σ hⱼ ≥ V, nᵢ whole; among equals the least left over, then the fewest containers.
/// Opened containers on the shelf come first, then those still closed (both are paid for), then what is bought.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V | `need`; half a millilitre less is enough | mL | 0 to 200 000 |
/// | hⱼ | `shelf`, what each taken container holds, to 0.1 mL | mL | 1 to 1 000 000 |
/// | sᵢ | `list`, size, to 0.1 mL | mL | 1 to 1 000 000 |
/// | pᵢ | `list`, price, rounded to a millionth | any currency | 10⁻⁶ to 10⁷ |
///
/// # Source
/// Derived: covering integer programme solved exactly by dynamic programming over the litres still missing; checked
/// against enumeration in the tests.
///
/// # Errors
/// [`ContainersError`]: a figure outside its range with its place, or nothing to buy though more is needed.
///
/// # Example
/// 5.2 L from cans of 1 L at 12 and 5 L at 45: 5 L + 1 L cost 57, six of 1 L cost 72, so 57 and 0.8 L left over.
/// ```
/// use physics::containers::{Buyable, cheapest};
/// use quantity::Volume;
/// let can = |litres, price| Buyable { size: Volume::from_litres(litres), price };
/// let best = cheapest(Volume::from_litres(5.2), &[], &[can(1.0, 12.0), can(5.0, 45.0)]).unwrap();
/// assert_eq!((best.bought, best.cost), (vec![1, 1], 57.0));
/// ```
pub fn cheapest(need: Volume, shelf: &[Shelved], list: &[Buyable]) -> Result<Purchase, ContainersError> {
    let need_ml = NEED.check(need.ml())?;
    LISTED.check((shelf.len() + list.len()) as f64)?;
    let mut cans = Vec::new();
    for (at, can) in list.iter().enumerate() {
        let wrong = |why| ContainersError::Container { at, why };
        let size = steps(CONTAINER.check(can.size.ml()).map_err(wrong)?);
        cans.push((size, (PRICE.check(can.price).map_err(wrong)? * MILLIONTHS).round() as u64));
    }
    let mut kept = Vec::new();
    for (at, can) in shelf.iter().enumerate() {
        let holds = CONTAINER.check(can.holds.ml()).map_err(|why| ContainersError::Container { at, why })?;
        kept.push((at, steps(holds), can.opened));
    }
    let (opened, closed): (Vec<_>, Vec<_>) = kept.into_iter().partition(|can| can.2);
    let least_ml = need_ml - SHORT_ML;
    // So many containers at most; each may be half a step larger than it is counted.
    let smallest = list.iter().map(|can| can.size).chain(shelf.iter().map(|can| can.holds)).map(Volume::ml);
    let most = (need_ml / smallest.fold(f64::INFINITY, f64::min)).ceil();
    let mut asked = (least_ml * STEPS - 0.5 * most).ceil().max(0.0) as u64;
    loop {
        let (taken, bought, cost) = chosen(asked, &opened, &closed, &cans).ok_or_else(|| {
            let on_shelf: f64 = shelf.iter().map(|can| can.holds.ml()).sum();
            ContainersError::NothingToBuy { missing: Volume::from_ml((need_ml - on_shelf).max(0.0)) }
        })?;
        let total = taken.iter().map(|at| shelf[*at].holds.ml()).sum::<f64>()
            + bought.iter().zip(list).map(|(n, can)| f64::from(*n) * can.size.ml()).sum::<f64>();
        // Counted exactly, what was chosen may fall short after all; then as much more is asked for.
        if total < least_ml {
            asked += ((least_ml - total) * STEPS).ceil().max(1.0) as u64;
            continue;
        }
        let left_over = Volume::from_ml((total - need_ml).max(0.0));
        return Ok(Purchase { taken, bought, cost: cost as f64 / MILLIONTHS, left_over });
    }
}

/// What is taken off the shelf, how many of each can are bought, and what that costs.
type Chosen = (Vec<usize>, Vec<u32>, u64);

/// The best choice for an amount in steps; `None` when there is not enough.
fn chosen(
    asked: u64,
    opened: &[(usize, u64, bool)],
    closed: &[(usize, u64, bool)],
    cans: &[(u64, u64)],
) -> Option<Chosen> {
    let open: u64 = opened.iter().map(|can| can.1).sum();
    let (mut taken, rest) = if open >= asked {
        (table(asked, opened, &[]).taken(opened), 0)
    } else {
        (opened.iter().map(|can| can.0).collect(), asked - open)
    };
    let tables = table(rest, closed, cans);
    let (cost, ..) = tables.worth(rest);
    if cost == u64::MAX {
        return None;
    }
    taken.extend(tables.taken(closed));
    taken.sort_unstable();
    Some((taken, tables.bought(closed, cans), cost))
}

/// For every amount still missing: the best worth and the step that leads there.
struct Tables {
    worth: Vec<Worth>,
    /// The can bought first for each amount; only cans, the shelf is in `takes`.
    first: Vec<Option<usize>>,
    /// For each container on the shelf and each amount: is it taken.
    takes: Vec<Vec<bool>>,
    need: usize,
}

fn plus(worth: Worth, cost: u64, left: u64) -> Worth {
    if worth == NEVER { NEVER } else { (worth.0 + cost, worth.1 + left, worth.2 + 1) }
}

fn table(need: u64, shelf: &[(usize, u64, bool)], cans: &[(u64, u64)]) -> Tables {
    let need = need as usize;
    let mut worth = vec![NEVER; need + 1];
    let mut first = vec![None; need + 1];
    worth[0] = (0, 0, 0);
    let step = |missing: usize, size: u64| {
        let used = (missing as u64).min(size);
        (missing - used as usize, size - used)
    };
    for missing in 1..=need {
        for (i, (size, price)) in cans.iter().enumerate() {
            let (then, left) = step(missing, *size);
            let way = plus(worth[then], *price, left);
            if way < worth[missing] {
                (worth[missing], first[missing]) = (way, Some(i));
            }
        }
    }
    // Each container of the shelf once: from the largest need down, so that it is not taken twice.
    let mut takes = Vec::new();
    for (_, holds, _) in shelf {
        let mut take = vec![false; need + 1];
        for missing in (1..=need).rev() {
            let (then, left) = step(missing, *holds);
            let way = plus(worth[then], 0, left);
            if way < worth[missing] {
                (worth[missing], take[missing]) = (way, true);
            }
        }
        takes.push(take);
    }
    Tables { worth, first, takes, need }
}

impl Tables {
    fn worth(&self, missing: u64) -> Worth {
        self.worth.get(missing as usize).copied().unwrap_or(NEVER)
    }

    /// Which of the shelf are taken, and what is missing after them.
    fn walk(&self, shelf: &[(usize, u64, bool)]) -> (Vec<usize>, usize) {
        let mut missing = self.need;
        let mut taken = Vec::new();
        for (take, (at, holds, _)) in self.takes.iter().zip(shelf).rev() {
            if take[missing] {
                taken.push(*at);
                missing -= missing.min(*holds as usize);
            }
        }
        (taken, missing)
    }

    fn taken(&self, shelf: &[(usize, u64, bool)]) -> Vec<usize> {
        self.walk(shelf).0
    }

    fn bought(&self, shelf: &[(usize, u64, bool)], cans: &[(u64, u64)]) -> Vec<u32> {
        let mut missing = self.walk(shelf).1;
        let mut bought = vec![0; cans.len()];
        while let Some(can) = self.first.get(missing).copied().flatten() {
            bought[can] += 1;
            missing -= missing.min(cans[can].0 as usize);
        }
        bought
    }
}
