//! Readings files and the simulated vehicle, from outside.

mod readings;
mod simulate;
