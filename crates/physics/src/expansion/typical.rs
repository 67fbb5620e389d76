//! TYPICAL properties of generic fluid classes, from a data file, for when the data sheet of the fluid is not at hand.
//!
//! # Source
//! Each row of the data file names its own; most are typical and from memory.

use quantity::{Density, KinematicViscosity};

/// TYPICAL properties of a class of fluids. Whoever shows a figure from here must say "typical".
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypicalFluid {
    /// The class in generic words.
    pub class: &'static str,
    /// Density at 15 °C, ±10 kg/m³ within the class.
    pub density15: Density,
    /// Kinematic viscosity at 40 °C, ±15 % within the class.
    pub kv40: KinematicViscosity,
    /// Kinematic viscosity at 100 °C, ±15 % within the class.
    pub kv100: KinematicViscosity,
    /// Where the row comes from: `second-hand` or `from-memory`.
    pub status: &'static str,
}

/// The shipped classes, in the order of the data file `data/typical_fluids.csv`.
pub fn typical_fluids() -> impl Iterator<Item = TypicalFluid> {
    include_str!("../../data/typical_fluids.csv").lines().filter(|line| !line.starts_with('#')).filter_map(row)
}

fn row(line: &'static str) -> Option<TypicalFluid> {
    let mut cells = line.split(',');
    Some(TypicalFluid {
        class: cells.next()?,
        density15: Density::from_kg_per_m3(cells.next()?.parse().ok()?),
        kv40: KinematicViscosity::from_mm2_per_s(cells.next()?.parse().ok()?),
        kv100: KinematicViscosity::from_mm2_per_s(cells.next()?.parse().ok()?),
        status: cells.next()?,
    })
}
