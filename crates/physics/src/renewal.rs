//! Renewal: what is left of the old fluid after drains and exchanges, how old the blend is, and what it costs.

mod cost;
mod dilution;

pub use cost::{
    Container, MONEY, PRICE_LIMIT, Plan, Prices, Purchase, VOLUME_TO_BUY, cheapest_purchase, plain_plan, plans,
};
pub use dilution::{
    AGE, FRACTION, INTERVAL, Pass, RATIO, SHARE, Steady, TANKS, TOTAL, age_of_concentration, exchange_volume,
    flow_through, last_pass, passes, passes_to_reach, share_older_than, steady_state, transient,
};
