//! Unit sheets: what the manual says about one kind of unit, with a source for each value. Their TOML
//! format, its schema, its checks with line and column, and the shipped examples.
//!
//! This crate must never know what a job, a formula of fluid physics, a file system or a clock is.

mod check;
pub mod edit;
mod finding;
mod fluid;
mod format;
mod level;
mod order;
mod plug;
mod procedure;
mod shipped;
mod step;

pub use check::{CODES, Code, LIMIT, MOST_FINDINGS, check, keys_markdown};
pub use finding::{Checked, Finding, Severity};
pub use fluid::Fluid;
pub use format::{Capacity, Circuit, Interval, Limits, Selector, Sheet, Sourced, Standpipe, Status};
pub use level::{
    ByVolume, ChartPoint, Dipstick, DryFill, EngineState, Exchange, Extraction, Hole, Level, Lip, Overflow, Place,
    Preset, Probe, Readout, Renewal, SideHole,
};
pub use order::{Cycle, ordered};
pub use plug::{BY_HAND, Plug, Role, Seal, Spot};
pub use procedure::Family;
pub use shipped::shipped;
pub use step::{After, Conditions, EngineNeed, Planned, StepKey, StepRule};

/// The sheet format this version reads.
pub const FORMAT: u32 = 1;
