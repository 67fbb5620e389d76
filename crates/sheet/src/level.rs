//! How the level of a circuit is judged, with the data that each way needs and no other.

use crate::{Family, Sourced, Standpipe};
use quantity::{Area, Duration, Length, Span, Temperature, Volume};
use serde::Serialize;

/// Whether the engine runs while the level is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum EngineState {
    /// It stands still.
    Off,
    /// It idles.
    Idling,
}

impl EngineState {
    /// Both, with the word used in a sheet.
    pub const ALL: [(Self, &'static str); 2] = [(Self::Off, "off"), (Self::Idling, "idling")];
    /// The state a word names.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w)| *w == word).map(|(s, _)| *s)
    }
    /// The word used in a sheet.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(s, _)| *s == self).map_or("", |(_, w)| w)
    }
}

/// Surplus runs off a standpipe inside a window, engine idling.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Overflow {
    /// The fluid temperature range for setting the level.
    pub window: Sourced<Span<Temperature>>,
    /// Free surface of the fluid in the sump at the level.
    pub sump_area: Sourced<Span<Area>>,
    /// The overflow pipe.
    pub standpipe: Standpipe,
    /// Put in above the level on purpose.
    pub surplus: Sourced<Span<Volume>>,
}

/// The cold first stage of a two-stage overflow: a safe minimum to run on, not the level.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Preset {
    /// Fluid temperature range of the first stage.
    pub temperature: Sourced<Span<Temperature>>,
    /// Engine during the first stage.
    pub engine: EngineState,
}

/// A dipstick. Readings are taken from the low mark of the marks used.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dipstick {
    /// Fluid temperature for the cold marks, where there are any: a first check, not the level.
    pub cold: Option<Sourced<Span<Temperature>>>,
    /// Fluid temperature for the hot marks.
    pub hot: Sourced<Span<Temperature>>,
    /// Distance from the low to the high mark.
    pub apart: Sourced<Span<Length>>,
    /// What the unit takes from the low to the high mark.
    pub between: Sourced<Span<Volume>>,
    /// Engine while it is read.
    pub engine: EngineState,
    /// Until the tube has drained after pouring.
    pub rest: Duration,
    /// Where it dips in, if the sheet says so: what a tilt does to the figure.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
}

/// One line of a probe's chart: the two limits at one temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ChartPoint {
    /// Fluid temperature.
    pub temperature: Temperature,
    /// Lowest right reading.
    pub low: Length,
    /// Highest right reading.
    pub high: Length,
}

/// A probe whose right reading depends on the temperature.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Probe {
    /// Fluid temperature range in which it may be read; inside the chart.
    pub temperature: Sourced<Span<Temperature>>,
    /// The chart, colder to warmer, at least two points.
    pub chart: Vec<ChartPoint>,
    /// Free surface of the fluid at the level.
    pub sump_area: Sourced<Span<Area>>,
    /// Engine while it is read.
    pub engine: EngineState,
    /// Until the tube has drained after pouring.
    pub rest: Duration,
    /// Where it dips in, if the sheet says so: what a tilt does to the figure.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
}

/// A level hole: the level is its bottom edge or a stated depth below it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hole {
    /// Fluid temperature for judging, cold to lukewarm.
    pub temperature: Sourced<Span<Temperature>>,
    /// Right depth below the edge, from zero; a range is the tolerance.
    pub below: Sourced<Span<Length>>,
    /// Until the fluid has run down from gears and walls.
    pub rest: Duration,
    /// Free surface of the fluid at the level.
    pub sump_area: Sourced<Span<Area>>,
    /// Hole from the surface centroid, positive ahead.
    pub offset_along: Sourced<Span<Length>>,
    /// Hole from the surface centroid, positive to the right.
    pub offset_across: Sourced<Span<Length>>,
}

/// A side hole from which a trickle runs with the engine idling when the level is right.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SideHole {
    /// The fluid temperature range for setting the level.
    pub window: Sourced<Span<Temperature>>,
    /// Free surface of the fluid at the level.
    pub sump_area: Sourced<Span<Area>>,
    /// Hole from the surface centroid, positive ahead.
    pub offset_along: Sourced<Span<Length>>,
    /// Hole from the surface centroid, positive to the right.
    pub offset_across: Sourced<Span<Length>>,
}

/// A level figure that the vehicle or a reader shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Readout {
    /// Fluid temperature range in which the figure holds.
    pub temperature: Sourced<Span<Temperature>>,
    /// Engine while it is read.
    pub engine: EngineState,
    /// Until the figure has settled.
    pub rest: Duration,
    /// Lowest right figure.
    pub low: f64,
    /// Highest right figure.
    pub high: f64,
    /// What the figure counts, "mm" or "%" for instance.
    pub unit: String,
    /// Smallest step of the figure.
    pub resolution: f64,
    /// What one unit of the figure is worth.
    pub per_unit: Sourced<Span<Volume>>,
    /// Where the sensor sits, if the sheet says so: what a tilt does to the figure.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
}

/// A stated volume, poured cold; nothing on the unit shows the level.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ByVolume {
    /// The volume that belongs in after a drain.
    pub refill: Sourced<Span<Volume>>,
    /// Fluid temperature for which it is stated.
    pub temperature: Sourced<Span<Temperature>>,
}

/// Where a stick, probe or sensor meets the fluid, from the centroid of the surface.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Place {
    /// Positive ahead of it.
    pub offset_along: Sourced<Span<Length>>,
    /// Positive to the right of it.
    pub offset_across: Sourced<Span<Length>>,
}

/// Where the level shows, from the centroid of the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lip {
    /// Positive ahead of it.
    pub ahead: Length,
    /// Positive to the right of it.
    pub right: Length,
}

/// How the level is judged.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "by", rename_all = "kebab-case")]
pub enum Level {
    /// Surplus runs off a standpipe inside a window.
    Overflow(Overflow),
    /// A cold preset, then the hot overflow.
    TwoStageOverflow {
        /// The hot stage.
        #[serde(flatten)]
        overflow: Overflow,
        /// The cold one.
        preset: Preset,
    },
    /// Filled under pressure through the level port, then an overflow at the same port.
    FilledUnderPressure(Overflow),
    /// Dipstick marks.
    Dipstick(Dipstick),
    /// Millimetres against temperature.
    Probe(Probe),
    /// Bottom of the hole, or a stated depth below it.
    BottomOfHole(Hole),
    /// A trickle at a side hole, engine idling.
    SideHole(SideHole),
    /// An electronic level readout.
    ElectronicReadout(Readout),
    /// A stated volume.
    VolumeOnly(ByVolume),
    /// As much as came out: right only if it was right before.
    SameBack,
}

impl Level {
    /// The family word of this way to judge.
    pub const fn family(&self) -> Family {
        match self {
            Self::Overflow(_) => Family::Overflow,
            Self::TwoStageOverflow { .. } => Family::TwoStageOverflow,
            Self::FilledUnderPressure(_) => Family::FilledUnderPressure,
            Self::Dipstick(_) => Family::Dipstick,
            Self::Probe(_) => Family::Probe,
            Self::BottomOfHole(_) => Family::BottomOfHole,
            Self::SideHole(_) => Family::SideHole,
            Self::ElectronicReadout(_) => Family::ElectronicReadout,
            Self::VolumeOnly(_) => Family::VolumeOnly,
            Self::SameBack => Family::MeasureOut,
        }
    }
    /// The overflow data, if the level is set at a standpipe.
    pub const fn overflow(&self) -> Option<&Overflow> {
        match self {
            Self::Overflow(o) | Self::FilledUnderPressure(o) | Self::TwoStageOverflow { overflow: o, .. } => Some(o),
            _ => None,
        }
    }
    /// The first stage of a two-stage overflow.
    pub const fn preset(&self) -> Option<&Preset> {
        match self {
            Self::TwoStageOverflow { preset, .. } => Some(preset),
            _ => None,
        }
    }
    /// True when the level is set by what runs out of an open level plug with the engine idling.
    pub const fn runs_off(&self) -> bool {
        self.overflow().is_some() || matches!(self, Self::SideHole(_))
    }
    /// True when the level is read as a figure: dipstick, probe, hole, readout.
    pub const fn is_read(&self) -> bool {
        matches!(self, Self::Dipstick(_) | Self::Probe(_) | Self::BottomOfHole(_) | Self::ElectronicReadout(_))
    }
    /// The fluid temperature range in which the level is judged; a unit filled with what came out has none.
    pub const fn window(&self) -> Option<&Sourced<Span<Temperature>>> {
        match self {
            Self::Overflow(o) | Self::FilledUnderPressure(o) | Self::TwoStageOverflow { overflow: o, .. } => {
                Some(&o.window)
            }
            Self::Dipstick(d) => Some(&d.hot),
            Self::Probe(p) => Some(&p.temperature),
            Self::BottomOfHole(h) => Some(&h.temperature),
            Self::SideHole(s) => Some(&s.window),
            Self::ElectronicReadout(r) => Some(&r.temperature),
            Self::VolumeOnly(v) => Some(&v.temperature),
            Self::SameBack => None,
        }
    }
    /// Free surface of the fluid at the level, where the family needs it.
    pub const fn sump_area(&self) -> Option<&Sourced<Span<Area>>> {
        match self {
            Self::Overflow(o) | Self::FilledUnderPressure(o) | Self::TwoStageOverflow { overflow: o, .. } => {
                Some(&o.sump_area)
            }
            Self::Probe(p) => Some(&p.sump_area),
            Self::BottomOfHole(h) => Some(&h.sump_area),
            Self::SideHole(s) => Some(&s.sump_area),
            _ => None,
        }
    }
    /// The surface on which a millimetre of height is worth what the sheet says: the stated one, of a dipstick the volume
    /// between its marks over their distance, of a readout in mm what one of it is worth.
    pub fn surface(&self) -> Option<Area> {
        let over = |volume: Volume, height: Length| Area::from_square_metres(volume.ml() * 1e-3 / height.mm());
        match self {
            Self::Dipstick(d) => Some(over(d.between.mid(), d.apart.mid())),
            Self::ElectronicReadout(r) if r.unit == "mm" => Some(over(r.per_unit.mid(), Length::from_mm(1.0))),
            level => level.sump_area().map(Sourced::mid),
        }
    }
    /// Where the level shows.
    pub fn lip(&self) -> Option<Lip> {
        let placed = |place: &Option<Place>| {
            place.as_ref().map(|p| Lip { ahead: p.offset_along.mid(), right: p.offset_across.mid() })
        };
        let (along, across) = match self {
            Self::Dipstick(d) => return placed(&d.place),
            Self::Probe(p) => return placed(&p.place),
            Self::ElectronicReadout(r) => return placed(&r.place),
            Self::BottomOfHole(h) => (&h.offset_along, &h.offset_across),
            Self::SideHole(s) => (&s.offset_along, &s.offset_across),
            _ => self.overflow().map(|o| (&o.standpipe.offset_along, &o.standpipe.offset_across))?,
        };
        Some(Lip { ahead: along.mid(), right: across.mid() })
    }
    /// The engine while the level is judged; `None` where it is never started for it.
    pub const fn engine(&self) -> Option<EngineState> {
        match self {
            Self::Dipstick(d) => Some(d.engine),
            Self::Probe(p) => Some(p.engine),
            Self::ElectronicReadout(r) => Some(r.engine),
            Self::BottomOfHole(_) | Self::VolumeOnly(_) | Self::SameBack => None,
            _ => Some(EngineState::Idling),
        }
    }
    /// How long fluid must have rested before the level is judged, zero where nothing is asked.
    pub const fn rest(&self) -> Duration {
        match self {
            Self::Dipstick(d) => d.rest,
            Self::Probe(p) => p.rest,
            Self::BottomOfHole(h) => h.rest,
            Self::ElectronicReadout(r) => r.rest,
            _ => Duration::from_seconds(0.0),
        }
    }
}

/// How the fluid is renewed before the level is judged, with the data that each way needs.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "by", rename_all = "kebab-case")]
pub enum Renewal {
    /// The drain plug.
    Drain,
    /// Sucked out through a tube.
    Extraction(Extraction),
    /// Passed through the cooler line, engine idling.
    Exchange(Exchange),
    /// The unit is dry after overhaul, converter or cooler work.
    DryFill(DryFill),
    /// Drained and measured, then as much put back.
    MeasureOut,
}

/// A tube down to the sump.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Extraction {
    /// Which tube fits, and how far it goes in.
    pub tube: String,
    /// What the tube cannot reach.
    pub leaves: Option<Sourced<Span<Volume>>>,
}

/// Flow-through at the cooler line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Exchange {
    /// Which line is opened, and where.
    pub line: String,
    /// Fresh fluid to pass through.
    pub volume: Sourced<Span<Volume>>,
    /// Most that in and out may ever differ by.
    pub apart: Sourced<Span<Volume>>,
    /// Fluid temperature at which the line flows (thermostat open), if any is needed.
    pub temperature: Option<Sourced<Span<Temperature>>>,
}

/// Two fillings of a dry unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DryFill {
    /// Poured with the engine off.
    pub before_start: Sourced<Span<Volume>>,
    /// Poured straight after starting.
    pub after_start: Sourced<Span<Volume>>,
    /// How soon after starting it must be in.
    pub within: Duration,
}
