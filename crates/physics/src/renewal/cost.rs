//! What a renewal costs: whole containers bought at the least price, drains and exchanges compared.

use quantity::Volume;
use serde::Serialize;

use super::dilution::{FRACTION, SHARE, TOTAL, exchange_volume, passes_to_reach};
use crate::{Limits, PhysicsError};

/// Volumes one may want to buy.
pub static VOLUME_TO_BUY: Limits = Limits::new("volume to buy", "mL", 0.0, 200_000.0);
/// Container sizes.
pub static CONTAINER: Limits = Limits::new("size of a container", "mL", 1.0, 1e6);
/// Any amount of money, in the workshop's own unit.
pub static MONEY: Limits = Limits::new("price", "money", 0.0, 1e9);
/// Prices per litre.
pub static PRICE_LIMIT: Limits = Limits::new("price of a litre", "money/L", 0.0, 1e6);

/// A container one can buy, as many as one likes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Container {
    /// What is in it; taken to the whole mL.
    pub size: Volume,
    /// What it costs.
    pub price: f64,
}

/// What to buy.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Purchase {
    /// How many of each container, in the order given.
    pub counts: Vec<u32>,
    /// What they hold together.
    #[serde(rename = "volume_ml")]
    pub volume: Volume,
    /// What they cost together.
    pub cost: f64,
}

/// The cheapest whole containers that hold at least a volume; of several as cheap, the one with least left over.
///
/// | argument | unit | valid range |
/// |---|---|---|
/// | `volume` | mL | 0 to 200 000, taken up to the whole mL |
/// | `containers` | mL, money | 1 mL to 1000 L, price ≥ 0; at least one |
///
/// # Source
/// Exact enumeration: the best purchase for every whole mL from nothing up (covering knapsack).
/// # Errors
/// [`PhysicsError::OutOfRange`]; [`PhysicsError::Contradiction`] without containers.
/// # Example
/// 6.2 L from cans of 1 L at 14 and 5 L at 55: one of 5 L and two of 1 L, 83, rather than two of 5 L, 110.
pub fn cheapest_purchase(volume: Volume, containers: &[Container]) -> Result<Purchase, PhysicsError> {
    let need = libm::ceil(VOLUME_TO_BUY.check(volume.ml())? - 1e-6).max(0.0) as usize;
    let mut sizes = Vec::with_capacity(containers.len());
    for c in containers {
        sizes.push((CONTAINER.check(c.size.ml())? as usize, MONEY.check(c.price)?));
    }
    if sizes.is_empty() {
        return Err(PhysicsError::Contradiction("no container to buy from; give at least one size and price".into()));
    }
    // best[v]: cost and content of the cheapest purchase that holds at least v, and the last container of it.
    let mut best: Vec<(f64, usize, usize)> = Vec::with_capacity(need + 1);
    best.push((0.0, 0, usize::MAX));
    for v in 1..=need {
        let mut least = (f64::INFINITY, usize::MAX, 0);
        for (i, &(size, price)) in sizes.iter().enumerate() {
            let rest = best[v.saturating_sub(size)];
            let candidate = (rest.0 + price, rest.1 + size, i);
            if (candidate.0, candidate.1) < (least.0, least.1) {
                least = candidate;
            }
        }
        best.push(least);
    }
    let mut counts = vec![0u32; sizes.len()];
    let mut v = need;
    while v > 0 {
        let i = best[v].2;
        counts[i] += 1;
        v = v.saturating_sub(sizes[i].0);
    }
    let bought: f64 = counts.iter().zip(&sizes).map(|(n, s)| f64::from(*n) * s.0 as f64).sum();
    Ok(Purchase { counts, volume: Volume::from_ml(bought), cost: best[need].0 })
}

/// What things cost in this workshop.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Prices {
    /// Work and small parts of one drain-and-fill.
    pub per_drain: f64,
    /// Setting up the exchange through the cooler line.
    pub exchange_setup: f64,
    /// Fluid by the litre, when not bought in whole containers.
    pub per_litre: f64,
    /// Containers one can buy; when there are any, they replace `per_litre`.
    pub containers: Vec<Container>,
}

/// One way to renew: some drains, then perhaps an exchange.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    /// Drain-and-fills first.
    pub drains: u32,
    /// Then this much through the cooler line; 0 for none.
    #[serde(rename = "exchange_ml")]
    pub exchange: Volume,
    /// Fluid used in all.
    #[serde(rename = "fluid_ml")]
    pub fluid: Volume,
    /// Share of new fluid reached.
    pub new_fraction: f64,
    /// What to buy, when containers are known.
    pub purchase: Option<Purchase>,
    /// Everything together.
    pub cost: f64,
}

/// Cost of a given plan: n·c_drain + setup (if any exchange) + fluid, by the litre or in whole containers.
///
/// | argument | unit | valid range |
/// |---|---|---|
/// | `total` | mL | 10 to 10⁶ |
/// | `fraction` | 1 | 0.0001 to 1 |
/// | `drains` | 1 | 0 to 1000 |
/// | `exchange` | mL | 0 to 200 000 |
///
/// # Source
/// Sum of its parts; dilution as [`super::passes`] and [`super::flow_through`] with ideal mixing.
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// 9 L, five drains of 0.4 at 45 each, 12 a litre: 5·(45 + 12·3.6) = 441.
pub fn plain_plan(
    total: Volume,
    fraction: f64,
    drains: u32,
    exchange: Volume,
    prices: &Prices,
) -> Result<Plan, PhysicsError> {
    static DRAINS: Limits = Limits::new("number of drains", "1", 0.0, 1000.0);
    TOTAL.check(total.ml())?;
    let f = FRACTION.check(fraction)?;
    let n = DRAINS.check(f64::from(drains))?;
    let through = VOLUME_TO_BUY.check(exchange.ml())?;
    let fluid = total * (n * f) + exchange;
    let (purchase, fluid_cost) = if prices.containers.is_empty() {
        (None, PRICE_LIMIT.check(prices.per_litre)? * fluid.litres())
    } else {
        let bought = cheapest_purchase(fluid, &prices.containers)?;
        let cost = bought.cost;
        (Some(bought), cost)
    };
    let setup = if through > 0.0 { MONEY.check(prices.exchange_setup)? } else { 0.0 };
    let old = libm::pow(1.0 - f, n) * libm::exp(-(exchange / total));
    let cost = n * MONEY.check(prices.per_drain)? + setup + fluid_cost;
    Ok(Plan { drains, exchange, fluid, new_fraction: 1.0 - old, purchase, cost })
}

/// Every sensible plan that reaches a share of new fluid, cheapest first: n drains alone, and 0 to n − 1 drains
/// followed by an exchange of V = V_total·ln((1 − f)^k/(1 − p)).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V_total | `total` | mL | 10 to 10⁶ |
/// | f | `fraction` | 1 | 0.0001 to 1 |
/// | p | `new_share` | 1 | 0 to 1 − 10⁻⁹ |
///
/// Plans that need more than 200 L are left out, and no more than 50 drains are looked at.
///
/// # Source
/// Enumeration of [`plain_plan`]; of plans as cheap the one with fewer drains comes first.
/// # Errors
/// [`PhysicsError::OutOfRange`].
/// # Example
/// 9 L, f = 0.4, p = 0.9, 45 a drain, 12 a litre, setup 120: exchange alone 120 + 12·20.72 = 368.7; five drains 441.
pub fn plans(total: Volume, fraction: f64, new_share: f64, prices: &Prices) -> Result<Vec<Plan>, PhysicsError> {
    const MOST_DRAINS: u32 = 50;
    let p = SHARE.check(new_share)?;
    let alone = passes_to_reach(fraction, p)?;
    let mut found = Vec::new();
    for drains in 0..=alone.min(MOST_DRAINS) {
        let exchange = if drains == alone {
            Volume::default()
        } else {
            exchange_volume(total, libm::pow(1.0 - fraction, f64::from(drains)), p)?
        };
        if (total * (f64::from(drains) * fraction) + exchange).ml() <= VOLUME_TO_BUY.high {
            found.push(plain_plan(total, fraction, drains, exchange, prices)?);
        }
    }
    found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    Ok(found)
}
