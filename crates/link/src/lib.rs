//! The vehicle link, read-only: files of temperature readings and a simulated vehicle.
//!
//! This crate must never know a job, a unit sheet or a formula of crate `physics`: the simulated vehicle has its own
//! structure on purpose, so that a forecast tried on it meets a world it was not built from. It writes nothing to a
//! vehicle and reads no clock: time is handed in.

pub mod readings;
pub mod simulate;
