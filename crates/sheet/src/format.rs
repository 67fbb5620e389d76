//! The sheet itself.

use crate::{Family, Fluid, Plug, Role};
use quantity::{Angle, Area, Distance, Duration, Length, Span, Temperature, Volume};
use serde::Serialize;
use std::ops::{Add, Mul};

/// How a value came into the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Read in the source itself.
    Read,
    /// Somebody else's report of the source.
    SecondHand,
    /// Worked out or measured; the source says how.
    Derived,
    /// From memory: check before trusting it.
    FromMemory,
}

impl Status {
    /// Every status with the word used in a sheet.
    pub const ALL: [(Self, &'static str); 4] = [
        (Self::Read, "read"),
        (Self::SecondHand, "second-hand"),
        (Self::Derived, "derived"),
        (Self::FromMemory, "from-memory"),
    ];
    /// The status a word names.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w)| *w == word).map(|(s, _)| *s)
    }
    /// The word used in a sheet.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(s, _)| *s == self).map_or("", |(_, w)| w)
    }
}

/// A value as printed, with where it came from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sourced<T> {
    /// The value to work with.
    pub value: T,
    /// The text it was read from.
    pub printed: String,
    /// Book and page, or how it was found.
    pub source: String,
    /// How it came into the sheet.
    pub status: Status,
}

impl<T: Copy + Add<Output = T> + Mul<f64, Output = T>> Sourced<Span<T>> {
    /// The middle of the span.
    pub fn mid(&self) -> T {
        self.value.low * 0.5 + self.value.high * 0.5
    }
}

/// How the selector is cycled before the level is set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Selector {
    /// Positions in the order they are held.
    pub positions: Vec<String>,
    /// How long each is held.
    pub hold: Duration,
    /// The position it rests in while the level is set.
    pub rest_in: String,
    /// How long the engine idles afterwards.
    pub idle_after: Duration,
}

/// How much fluid the unit holds and gives.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Capacity {
    /// Dry fill.
    pub total: Sourced<Span<Volume>>,
    /// What a drain brings.
    pub drained: Option<Sourced<Span<Volume>>>,
    /// What goes in straight after the start, because the pump empties the sump.
    pub after_start: Option<Sourced<Span<Volume>>>,
    /// Surplus put in above the level.
    pub surplus: Sourced<Span<Volume>>,
    /// What filter and pan hold back and give when they come off.
    pub residue: Option<Sourced<Span<Volume>>>,
}

/// The overflow pipe whose lip is the level.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Standpipe {
    /// Clear diameter.
    pub bore: Sourced<Span<Length>>,
    /// Length of the bore.
    pub length: Option<Sourced<Span<Length>>>,
    /// From the centroid of the sump surface, positive ahead of it.
    pub offset_along: Sourced<Span<Length>>,
    /// From the centroid of the sump surface, positive to the right.
    pub offset_across: Sourced<Span<Length>>,
}

/// When the fluid is due.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Interval {
    /// Distance between services.
    pub distance: Option<Sourced<Span<Distance>>>,
    /// Time between services.
    pub time: Option<Sourced<Span<Duration>>>,
    /// What severe use multiplies both by, above 0 and at most 1.
    pub severe_factor: f64,
}

/// Conditions for setting the level.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Limits {
    /// Allowed tilt on both axes, from zero to the high end.
    pub tilt: Sourced<Span<Angle>>,
    /// Air temperature the procedure is stated for.
    pub ambient: Option<Sourced<Span<Temperature>>>,
}

/// What the manual says about one kind of unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// Number of the sheet format, 1.
    pub format: u32,
    /// Short name, unique among sheets.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Who makes the unit.
    pub maker: String,
    /// What it is, "six-speed automatic" for instance.
    pub kind: String,
    /// How its level is set.
    pub family: Family,
    /// Edition of the manual.
    pub edition: Option<String>,
    /// Its plugs.
    pub plugs: Vec<Plug>,
    /// The fluid temperature range for setting the level.
    pub window: Sourced<Span<Temperature>>,
    /// Free surface of the fluid in the sump at the level.
    pub sump_area: Sourced<Span<Area>>,
    /// How the selector is cycled.
    pub selector: Selector,
    /// How much it holds.
    pub capacity: Capacity,
    /// Its standpipe.
    pub standpipe: Standpipe,
    /// Its fluid.
    pub fluid: Fluid,
    /// When it is due.
    pub interval: Option<Interval>,
    /// Conditions for setting the level.
    pub limits: Limits,
    /// Its filter, if it is changed in a service.
    pub filter: Option<String>,
    /// Cautions in the manual's order.
    pub cautions: Vec<String>,
}

impl Sheet {
    /// The plug with this id.
    pub fn plug(&self, id: &str) -> Option<&Plug> {
        self.plugs.iter().find(|p| p.id == id)
    }
    /// The first plug with this role. A checked sheet has exactly one level plug and at least one fill and drain plug.
    pub fn plug_with(&self, role: Role) -> Option<&Plug> {
        self.plugs.iter().find(|p| p.has(role))
    }
    /// The middle of the window.
    pub fn window_mid(&self) -> Temperature {
        let Span { low, high } = self.window.value;
        low + (high - low) * 0.5
    }
    /// Middle of what a drain brings as a fraction of the middle of the dry fill, 0 to 1; `None` when not stated.
    pub fn drained_fraction(&self) -> Option<f64> {
        self.capacity.drained.as_ref().map(|d| d.mid() / self.capacity.total.mid())
    }
    /// The largest tilt allowed on either axis.
    pub fn tilt_limit(&self) -> Angle {
        self.limits.tilt.value.high
    }
}
