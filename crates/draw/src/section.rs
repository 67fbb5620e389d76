//! The section: a side view of the sump with its fluid, standpipe and plugs.

use serde::{Deserialize, Serialize};

/// What is known of a plug.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlugState {
    In,
    Out,
    /// In, and shown to turn.
    Proven,
}

/// The overflow pipe.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Standpipe {
    /// Distance ahead of the centroid of the fluid surface, mm; behind it is negative.
    pub along_mm: f64,
    /// Height of the lip above the sump floor, mm.
    pub lip_height_mm: f64,
}

/// One plug.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SectionPlug {
    /// Its name and whatever else belongs beside it: "drain, 25 N·m".
    pub label: String,
    /// Distance ahead of the centroid of the fluid surface, mm; behind it is negative.
    pub along_mm: f64,
    /// Height above the sump floor, mm; 0 is in the floor.
    pub up_mm: f64,
    pub state: PlugState,
}

/// Everything the section shows. Levels are mm above the lip at the standpipe; below the lip is negative.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SectionInput {
    /// Area of the fluid surface, m².
    pub sump_area_m2: f64,
    /// `None` for a unit filled to the bottom of a hole.
    pub standpipe: Option<Standpipe>,
    pub plugs: Vec<SectionPlug>,
    /// Nose up is positive, degrees.
    pub tilt_deg: f64,
    pub level_now_mm: Option<f64>,
    /// What the level would be at the reference temperature.
    pub level_reference_mm: Option<f64>,
    /// Where the level ends at the reference temperature if the level plug is closed now.
    pub level_if_closed_mm: Option<f64>,
    /// Fluid above the lip, mL.
    pub surplus_ml: Option<f64>,
    /// What leaves the level plug now, mL/min.
    pub runoff_ml_per_min: Option<f64>,
    /// The part of it that is only expansion, mL/min.
    pub expansion_ml_per_min: Option<f64>,
}
