//! The renewal bars: old and new fluid after 0…n passes.

use serde::{Deserialize, Serialize};

/// One bar.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RenewalBar {
    /// Under the bar: "now", "1 pass".
    pub label: String,
    /// Part of the charge that is old fluid, 0 to 1.
    pub old_fraction: f64,
    /// Cost as printed, may be empty.
    pub cost: String,
    /// Blend age as printed, may be empty.
    pub age: String,
    /// The one the plan uses.
    pub chosen: bool,
}

/// Everything the renewal bars show.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RenewalInput {
    pub bars: Vec<RenewalBar>,
}
