//! Formulas and small solvers of sealed-unit fluid service, each with its source and valid range:
//! numbers in, numbers with uncertainty out.
//!
//! This crate must never know what a unit sheet or a job is, and has no clock, no randomness, no files.

pub mod ageing;
pub mod balance;
pub mod blend;
pub mod colour;
pub mod containers;
mod error;
pub mod expansion;
pub mod fit;
pub mod gauge;
pub mod level;
pub mod montecarlo;
mod normal;
pub mod pump;
pub mod renewal;
pub mod runoff;
pub mod shim;
pub mod soak;
pub mod thermometer;
pub mod torque;
pub mod viscosity;
pub mod warmup;

pub use error::{Limits, PhysicsError};
