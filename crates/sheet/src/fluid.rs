//! The fluid a unit takes.

use crate::Sourced;
use quantity::{Density, KinematicViscosity, Span};
use serde::Serialize;

/// What the manual says about the fluid.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fluid {
    /// Approvals as the manual names them; any one of them will do.
    pub approvals: Vec<String>,
    /// Viscosity class in the trade's words.
    pub class: Option<String>,
    /// Density at 15 °C.
    pub density15: Option<Sourced<Span<Density>>>,
    /// Kinematic viscosity at 40 °C.
    pub kv40: Option<Sourced<Span<KinematicViscosity>>>,
    /// Kinematic viscosity at 100 °C.
    pub kv100: Option<Sourced<Span<KinematicViscosity>>>,
    /// What must not be mixed or mistaken.
    pub warning: Option<String>,
}
