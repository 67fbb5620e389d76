//! The sheet itself.

use crate::{Family, Fluid, Level, Planned, Plug, Renewal, Role, StepKey, StepRule};
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
    /// The warmest that idling alone brings the fluid.
    pub idle_reaches: Option<Sourced<Span<Temperature>>>,
}

/// A further circuit of the same unit, with fluid of its own that never mixes with the others.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Circuit {
    /// Short name, unique in the sheet.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// The family it is called by.
    pub family: Family,
    /// How its fluid is renewed.
    pub renewal: Renewal,
    /// How its level is judged.
    pub level: Level,
    /// How the selector is cycled, where that matters.
    pub selector: Option<Selector>,
    /// How much it holds.
    pub capacity: Capacity,
    /// Its fluid.
    pub fluid: Fluid,
    /// Its filter, if it is changed in a service.
    pub filter: Option<String>,
}

/// What the manual says about one kind of unit. The fields of a circuit that stand here are those of the first one.
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
    /// The family its first circuit is called by.
    pub family: Family,
    /// How the fluid of its first circuit is renewed.
    pub renewal: Renewal,
    /// How the level of its first circuit is judged.
    pub level: Level,
    /// Short name and name for people of its first circuit.
    pub circuit: (String, String),
    /// Further circuits.
    pub further: Vec<Circuit>,
    /// Edition of the manual.
    pub edition: Option<String>,
    /// The plugs of every circuit, those of the first one first.
    pub plugs: Vec<Plug>,
    /// How the selector is cycled, where that matters.
    pub selector: Option<Selector>,
    /// How much its first circuit holds.
    pub capacity: Capacity,
    /// The fluid of its first circuit.
    pub fluid: Fluid,
    /// When it is due.
    pub interval: Option<Interval>,
    /// Conditions for setting the level.
    pub limits: Limits,
    /// Its filter, if it is changed in a service.
    pub filter: Option<String>,
    /// Cautions in the manual's order.
    pub cautions: Vec<String>,
    /// Orders of steps that the manual asks for beyond the usual ones.
    pub rules: Vec<StepRule>,
    /// Every step in an order that satisfies all conditions.
    pub steps: Vec<Planned>,
}

/// Reference for volumes where the sheet names no temperature.
const ROOM: Temperature = Temperature::from_celsius(20.0);

impl Sheet {
    /// The plug with this id.
    pub fn plug(&self, id: &str) -> Option<&Plug> {
        self.plugs.iter().find(|p| p.id == id)
    }
    /// The first plug of the first circuit with this role. A checked sheet has every plug its family needs.
    pub fn plug_with(&self, role: Role) -> Option<&Plug> {
        self.plugs.iter().find(|p| p.circuit == self.circuit.0 && p.has(role))
    }
    /// The fluid temperature range in which the level is judged.
    pub const fn window(&self) -> Option<&Sourced<Span<Temperature>>> {
        self.level.window()
    }
    /// The same as a span alone.
    pub fn window_span(&self) -> Option<Span<Temperature>> {
        self.window().map(|window| window.value)
    }
    /// The same as printed, or what stands in its place.
    pub fn window_printed(&self) -> &str {
        self.window().map_or("no temperature stated", |window| window.printed.as_str())
    }
    /// The middle of the window; 20 °C where none is stated.
    pub fn window_mid(&self) -> Temperature {
        self.window().map_or(ROOM, |window| {
            let Span { low, high } = window.value;
            low + (high - low) * 0.5
        })
    }
    /// The overflow pipe, where there is one.
    pub fn standpipe(&self) -> Option<&Standpipe> {
        self.level.overflow().map(|o| &o.standpipe)
    }
    /// Free surface of the fluid at the level, where the family needs it.
    pub const fn sump_area(&self) -> Option<&Sourced<Span<Area>>> {
        self.level.sump_area()
    }
    /// What is put in above the level on purpose: zero where nothing runs off.
    pub fn surplus(&self) -> Volume {
        self.level.overflow().map_or(Volume::from_ml(0.0), |o| o.surplus.mid())
    }
    /// Middle of what a drain brings as a fraction of the middle of the dry fill, 0 to 1; `None` when not stated.
    pub fn drained_fraction(&self) -> Option<f64> {
        self.capacity.drained.as_ref().map(|d| d.mid() / self.capacity.total.mid())
    }
    /// The largest tilt allowed on either axis.
    pub fn tilt_limit(&self) -> Angle {
        self.limits.tilt.value.high
    }
    /// How the level of a circuit is judged.
    pub fn level_of(&self, circuit: &str) -> Option<&Level> {
        let further = self.further.iter().find(|c| c.id == circuit).map(|c| &c.level);
        if circuit == self.circuit.0 { Some(&self.level) } else { further }
    }
    /// The name for people of a circuit; empty where the unit has only one.
    pub fn circuit_name(&self, id: &str) -> &str {
        let further = self.further.iter().find(|c| c.id == id).map(|c| c.name.as_str());
        match further {
            Some(name) => name,
            None if self.further.is_empty() => "",
            None => &self.circuit.1,
        }
    }
    /// The step of a circuit with its conditions; a shared step is found under any circuit.
    pub fn step(&self, key: StepKey) -> Option<&Planned> {
        let mut steps = self.steps.iter().filter(|step| step.key == key);
        steps.find(|step| step.circuit == self.circuit.0 || key.is_shared())
    }
    /// Ids of its circuits, the first one first.
    pub fn circuits(&self) -> Vec<&str> {
        std::iter::once(self.circuit.0.as_str()).chain(self.further.iter().map(|c| c.id.as_str())).collect()
    }
    /// The sheet of one circuit alone, as if the unit had no other; `None` for an unknown id.
    pub fn of_circuit(&self, id: &str) -> Option<Self> {
        let mut alone = if id == self.circuit.0 {
            self.clone()
        } else {
            let circuit = self.further.iter().find(|c| c.id == id)?.clone();
            Self {
                circuit: (circuit.id, circuit.name),
                family: circuit.family,
                renewal: circuit.renewal,
                level: circuit.level,
                selector: circuit.selector,
                capacity: circuit.capacity,
                fluid: circuit.fluid,
                filter: circuit.filter,
                ..self.clone()
            }
        };
        alone.further.clear();
        alone.plugs.retain(|plug| plug.circuit == id);
        Some(alone)
    }
}
