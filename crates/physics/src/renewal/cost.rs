//! What a renewal costs: drains and exchanges compared, with the containers they take.

use quantity::Volume;
use serde::Serialize;

use super::dilution::{FRACTION, SHARE, TOTAL, exchange_volume, last_pass, passes_to_reach};
use crate::containers::{Buyable, Purchase, Shelved, cheapest};
use crate::{Limits, PhysicsError};

/// Volumes one may want to run through.
pub static VOLUME_TO_BUY: Limits = Limits::new("volume to buy", "mL", 0.0, 200_000.0);
/// Any amount of money, in the workshop's own unit.
pub static MONEY: Limits = Limits::new("price", "money", 0.0, 1e9);
/// Prices per litre.
pub static PRICE_LIMIT: Limits = Limits::new("price of a litre", "money/L", 0.0, 1e6);

/// What things cost in this workshop.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Prices {
    /// Work and small parts of one drain-and-fill.
    pub per_drain: f64,
    /// Setting up the exchange through the cooler line.
    pub exchange_setup: f64,
    /// Fluid by the litre, when not bought in whole containers.
    pub per_litre: f64,
    /// Containers one can buy; when there are any, or any on the shelf, they replace `per_litre`.
    pub containers: Vec<Buyable>,
    /// Containers on the shelf, paid for.
    pub shelf: Vec<Shelved>,
}

/// One way to renew: some drains, then perhaps an exchange.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    /// Drain-and-fills first.
    pub drains: u32,
    /// What the last of them takes out; less than the others when less is enough.
    #[serde(rename = "last_drain_ml")]
    pub last_drain: Volume,
    /// Then this much through the cooler line; 0 for none.
    #[serde(rename = "exchange_ml")]
    pub exchange: Volume,
    /// Fluid used in all.
    #[serde(rename = "fluid_ml")]
    pub fluid: Volume,
    /// Share of new fluid reached, with ideal mixing.
    pub new_fraction: f64,
    /// What to take and to buy, when containers are known.
    pub purchase: Option<Purchase>,
    /// Everything together.
    pub cost: f64,
}

/// Cost of a given plan: n·c_drain + setup (if any exchange) + fluid, by the litre or in whole containers.
///
/// | argument | unit | valid range |
/// |---|---|---|
/// | `total` | mL | 10 to 10⁶ |
/// | `fraction`, of every drain | 1 | 0.0001 to 1 |
/// | `last`, of the last drain | 1 | 0 to `fraction` |
/// | `drains` | 1 | 0 to 1000 |
/// | `exchange` | mL | 0 to 200 000 |
///
/// # Source
/// Sum of its parts; dilution as [`super::passes`] and [`super::flow_through`] with ideal mixing; containers as [`cheapest`].
/// # Errors
/// [`PhysicsError::OutOfRange`]; [`PhysicsError::Contradiction`] with what the choice of containers says.
/// # Example
/// 9 L, five drains of 0.4 at 45 each, 12 a litre: 5·(45 + 12·3.6) = 441.
pub fn plain_plan(
    total: Volume,
    fraction: f64,
    last: f64,
    drains: u32,
    exchange: Volume,
    prices: &Prices,
) -> Result<Plan, PhysicsError> {
    static DRAINS: Limits = Limits::new("number of drains", "1", 0.0, 1000.0);
    static LAST: Limits = Limits::new("share of the last drain", "1", 0.0, 1.0);
    TOTAL.check(total.ml())?;
    let f = FRACTION.check(fraction)?;
    let last = LAST.check(last)?.min(f);
    let n = DRAINS.check(f64::from(drains))?;
    let through = VOLUME_TO_BUY.check(exchange.ml())?;
    let whole = (n - 1.0).max(0.0);
    let last = if drains > 0 { last } else { 0.0 };
    let fluid = total * (whole * f + last) + exchange;
    let (purchase, fluid_cost) = if prices.containers.is_empty() && prices.shelf.is_empty() {
        (None, PRICE_LIMIT.check(prices.per_litre)? * fluid.litres())
    } else {
        // A thousandth of a millilitre is rounding, no reason to open another can.
        let need = Volume::from_ml((fluid.ml() - 1e-3).max(0.0));
        let bought = cheapest(need, &prices.shelf, &prices.containers)
            .map_err(|why| PhysicsError::Contradiction(why.to_string()))?;
        let cost = bought.cost;
        (Some(bought), cost)
    };
    let setup = if through > 0.0 { MONEY.check(prices.exchange_setup)? } else { 0.0 };
    let old = libm::pow(1.0 - f, whole) * (1.0 - last) * libm::exp(-(exchange / total));
    let cost = n * MONEY.check(prices.per_drain)? + setup + fluid_cost;
    Ok(Plan { drains, last_drain: total * last, exchange, fluid, new_fraction: 1.0 - old, purchase, cost })
}

/// Every sensible plan that reaches a share of new fluid, cheapest first: n drains alone with the last trimmed, and 0 to
/// n − 1 drains followed by an exchange of V = V_total·ln((1 − f)^k/(1 − p)).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V_total | `total` | mL | 10 to 10⁶ |
/// | f | `fraction` | 1 | 0.0001 to 1 |
/// | p | `new_share` | 1 | 0 to 1 − 10⁻⁹ |
///
/// The first is the cheapest there is: for a number of drains each of these uses the least fluid that reaches p (a drain
/// of f uses f, an exchange of the same effect −ln(1 − f) > f, and −ln(1 − f) bends upward, so drains are best full and
/// only one is trimmed), and less fluid never costs more. Plans that need more than 200 L are left out, and no more than
/// 50 drains are looked at.
///
/// # Source
/// Enumeration of [`plain_plan`]; of plans as cheap the one with fewer drains comes first.
/// # Errors
/// As [`plain_plan`].
/// # Example
/// 9 L, f = 0.4, p = 0.9, 45 a drain, 12 a litre, setup 120: exchange alone 120 + 12·20.72 = 368.7; five drains, the last
/// of 0.2284, 5·45 + 12·9·(1.6 + 0.2284) = 422.5.
pub fn plans(total: Volume, fraction: f64, new_share: f64, prices: &Prices) -> Result<Vec<Plan>, PhysicsError> {
    const MOST_DRAINS: u32 = 50;
    let p = SHARE.check(new_share)?;
    let alone = passes_to_reach(fraction, p)?;
    let mut found = Vec::new();
    for drains in 0..=alone.min(MOST_DRAINS) {
        let (last, exchange) = if drains == alone {
            (last_pass(fraction, p)?, Volume::default())
        } else {
            (fraction, exchange_volume(total, libm::pow(1.0 - fraction, f64::from(drains)), p)?)
        };
        if (total * (f64::from(drains) * fraction) + exchange).ml() <= VOLUME_TO_BUY.high {
            found.push(plain_plan(total, fraction, last, drains, exchange, prices)?);
        }
    }
    found.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    Ok(found)
}
