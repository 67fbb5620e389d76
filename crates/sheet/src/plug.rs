//! Plugs: the threaded closures of a unit.

use crate::Sourced;
use quantity::{Length, Span, Torque};
use serde::Serialize;

/// What a plug is for; one plug may have two roles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Fluid goes in here.
    Fill,
    /// Surplus runs off here.
    Level,
    /// The sump empties here.
    Drain,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 3] = [Self::Fill, Self::Level, Self::Drain];
    /// The role a word names.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.word() == word)
    }
    /// The word used in a sheet.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fill => "fill",
            Self::Level => "level",
            Self::Drain => "drain",
        }
    }
}

/// The seal under a plug.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Seal {
    /// Kind and size, in the manual's words.
    pub kind: String,
    /// True when a new one is needed each time.
    pub single_use: bool,
}

/// Where a plug sits, for drawing: from the centroid of the sump surface and from the pan floor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spot {
    /// Along the vehicle, positive ahead of the surface centroid.
    pub along: Length,
    /// Height above the pan floor.
    pub up: Length,
}

/// What stands under `drive` for a cap or a dipstick that needs no tool.
pub const BY_HAND: &str = "by hand";

/// A threaded closure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plug {
    /// Short name, unique in the sheet.
    pub id: String,
    /// The circuit it belongs to.
    pub circuit: String,
    /// Name for people.
    pub name: String,
    /// What it is for, at least one role.
    pub roles: Vec<Role>,
    /// Where to find it.
    pub place: String,
    /// The bit or socket that fits it.
    pub drive: String,
    /// How far the bit or socket must reach: depth of the recess before its drive.
    pub reach: Option<Sourced<Span<Length>>>,
    /// Thread, "M18x1.5" for instance.
    pub thread: Option<String>,
    /// Tightening torque.
    pub torque: Option<Sourced<Span<Torque>>>,
    /// Its seal.
    pub seal: Option<Seal>,
    /// What can hurt at this plug.
    pub hazard: Option<String>,
    /// Where it sits, for drawing.
    pub at: Option<Spot>,
}

impl Plug {
    /// False for a cap or dipstick whose drive is "by hand": it needs no tool and has no torque.
    pub fn needs_tool(&self) -> bool {
        self.drive != BY_HAND
    }
    /// How wide the hole is that its thread is cut into: the minor diameter of a metric thread, D₁ = D − 1.0825 P (ISO 68-1,
    /// from memory). `None` without a thread that states its pitch.
    ///
    /// Example: M12x1.5 leaves 12 − 1.0825 × 1.5 = 10.38 mm.
    pub fn hole(&self) -> Option<Length> {
        let thread: String = self.thread.as_deref()?.chars().filter(|c| !c.is_whitespace()).collect();
        let thread = thread.to_lowercase().replace(['×', '*'], "x").replace(',', ".");
        let (nominal, pitch) = thread.strip_prefix('m')?.split_once('x')?;
        let (nominal, pitch): (f64, f64) = (nominal.parse().ok()?, pitch.parse().ok()?);
        let minor = nominal - 1.0825 * pitch;
        (minor > 0.0 && minor.is_finite()).then(|| Length::from_mm(minor))
    }
    /// True when the plug has this role.
    pub fn has(&self, role: Role) -> bool {
        self.roles.contains(&role)
    }
}
