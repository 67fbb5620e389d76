//! Readings files and the simulated vehicle, from outside.

mod circuits;
mod readings;
mod simulate;
mod stance;
