//! What the workshop has: containers that can be bought, containers on the shelf, tools.

use quantity::{Length, Span, Torque, Volume};
use serde::Serialize;

/// A container that can be bought.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Can {
    /// What it is called where it is bought.
    pub name: String,
    pub size_ml: Volume,
    pub price: f64,
    /// Approval of what is in it; `None` for any fluid.
    pub fluid: Option<String>,
}

/// A container on the shelf.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stocked {
    pub name: String,
    pub holds_ml: Volume,
    pub opened: bool,
    /// Approval of what is in it; `None` for any fluid.
    pub fluid: Option<String>,
}

/// A day, for a calibration: days since 1970-01-01, and as it was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Day {
    pub number: i64,
    pub written: String,
}

/// A torque wrench.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wrench {
    pub name: String,
    pub scale_nm: Span<Torque>,
    /// Last calibration.
    pub calibrated: Option<Day>,
}

/// A bit or socket.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bit {
    pub name: String,
    /// As in the sheet: "hexagon 8 mm".
    pub drive: String,
    /// From the square to the tip.
    pub reach_mm: Option<Length>,
}

/// A pump or bottle for the fill hole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pump {
    pub name: String,
    /// What stays in it and its hose.
    pub dead_ml: Volume,
    /// Threads or shapes that its adapters fit: "M18x1.5".
    pub adapters: Vec<String>,
}

/// Something to catch fluid in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pan {
    pub name: String,
    pub holds_ml: Volume,
}

/// Everything together; empty where nothing is known.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Shelf {
    /// Currency of the prices, as written: a code, a sign, anything.
    pub currency: String,
    pub cans: Vec<Can>,
    pub stock: Vec<Stocked>,
    pub wrenches: Vec<Wrench>,
    pub bits: Vec<Bit>,
    pub pumps: Vec<Pump>,
    pub pans: Vec<Pan>,
}

impl Shelf {
    /// True when there is a list of tools at all.
    pub fn has_tools(&self) -> bool {
        !(self.wrenches.is_empty() && self.bits.is_empty() && self.pumps.is_empty() && self.pans.is_empty())
    }
}

/// Whether a fluid named on a container is one of those asked for: letters and digits decide, case and spaces do not.
pub fn same_fluid(named: &str, wanted: &str) -> bool {
    let bare =
        |text: &str| -> String { text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect() };
    !bare(named).is_empty() && bare(named) == bare(wanted)
}
