//! Renewal: what is left of the old fluid after drains and exchanges, how old the blend is, and what it costs.

mod cost;
mod dilution;
mod rescue;

pub use cost::{MONEY, PRICE_LIMIT, Plan, Prices, VOLUME_TO_BUY, plain_plan, plans};
pub use dilution::{
    AGE, FRACTION, INTERVAL, Pass, RATIO, SHARE, Steady, TANKS, TOTAL, age_of_concentration, exchange_volume,
    flow_through, last_pass, passes, passes_to_reach, share_older_than, steady_state, transient,
};
pub use rescue::{FOREIGN, REMAINS, Rescue, Together, WrongFluid, rescue};
