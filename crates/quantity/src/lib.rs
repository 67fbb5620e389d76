//! What a degree or a litre is: newtypes for the quantities of the trade, points versus differences,
//! spans, uncertainty. Reads quantities as manuals print them and says whether two printed units agree.
//!
//! This crate must never know what a unit sheet, a job or a formula of fluid physics is.

mod kind;
pub mod print;
pub mod read;
mod span;
mod uncertain;

pub use kind::{
    Angle, Area, Density, Distance, Duration, Flow, KinematicViscosity, Length, Mass, Pressure, Temperature,
    TemperatureDifference, TemperatureRate, Torque, Volume,
};
pub use span::Span;
pub use uncertain::Uncertain;
