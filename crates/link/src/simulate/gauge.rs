//! How the level of a circuit shows to whoever looks: over a lip, at an edge, on a stick, as a figure.

use quantity::{Length, Temperature, Volume};
use serde::{Deserialize, Serialize};

use super::VehicleError;
use super::params::within;

/// Standard deviation of a mark read off a wet stick or probe, mm (common practice, no source; so is the next one).
const MARK_SD_MM: f64 = 0.6;
/// Standard deviation of a depth felt with a finger or a bent wire, mm.
const FELT_SD_MM: f64 = 1.0;
/// How much too high the worse side of a stick reads while its tube is wet from pouring, mm.
const SMEAR_MM: f64 = 8.0;
/// On the walls, mL, from which a tube counts as wet.
const WET_ML: f64 = 50.0;
/// Standard deviation of a level sensor, in steps of its figure.
const FIGURE_SD: f64 = 0.3;

/// What a circuit has to judge its level by. "Right" is the height at which the right charge stands at the temperature
/// for setting the level.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "gauge", rename_all = "snake_case")]
pub enum Gauge {
    /// Nothing shows the level.
    Blind,
    /// A standpipe whose lip is at the right height; 2–30 mm bore.
    Standpipe {
        /// Inner diameter.
        bore: Length,
    },
    /// A hole in the wall.
    Hole {
        /// Its diameter, 4–60 mm.
        bore: Length,
        /// How far its bottom edge is above the right height; 0–50 mm.
        above_right: Length,
    },
    /// A dipstick, read on both sides.
    Stick {
        /// How far its low mark is below the right height; 0–100 mm.
        low_below_right: Length,
        /// Fluid temperature for which its cold marks are made, where it has any; −40…150 °C. They sit lower by as much
        /// as the right charge shrinks down to there.
        cold_at: Option<Temperature>,
    },
    /// A probe with a scale from its end.
    Probe {
        /// Wetted length at the right height; 0–300 mm.
        right: Length,
    },
    /// A sensor whose figure the control unit shows.
    Readout {
        /// The figure at the right height.
        right: f64,
        /// What one of the figure is worth; 1–1000 mL.
        per_unit: Volume,
        /// Smallest step of the figure; above 0.
        step: f64,
        /// Time constant with which the figure settles; 1–600 s.
        settles_s: f64,
    },
}

/// What was read off a gauge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "shows", rename_all = "snake_case")]
pub enum Shown {
    /// Fluid runs over the edge of the open hole.
    RunsOver,
    /// Whole millimetres below the edge of the hole, from 0.
    BelowEdge {
        /// As felt.
        below: Length,
    },
    /// Whole millimetres above the low mark on either side of a dipstick; below it negative.
    Stick {
        /// The side that was drier.
        one: Length,
        /// The side that may still be wet.
        other: Length,
    },
    /// Whole millimetres of a probe, from 0.
    Probe {
        /// From its end.
        wetted: Length,
    },
    /// What the control unit shows, in its own steps.
    Figure {
        /// The figure.
        value: f64,
    },
}

/// What a gauge sees: the fluid, how far anything is still running down, and this look's own scatter.
pub(super) struct Sight {
    /// Above the right height, mm; negative below.
    pub above_mm: f64,
    /// An edge, the foot of a stick or probe, a sensor above where it would be on level ground, mm.
    pub lean_mm: f64,
    /// On walls and in tubes, mL.
    pub walls_ml: f64,
    /// Fluid runs out of the hole.
    pub runs: bool,
    /// Where a level sensor that settles slowly sees the fluid, mL above the right level.
    pub sensed_ml: f64,
    /// Two standard normal numbers.
    pub scatter: (f64, f64),
}

impl Gauge {
    pub(super) fn check(&self) -> Result<(), VehicleError> {
        match self {
            Self::Blind => Ok(()),
            Self::Standpipe { bore } => within("standpipe_bore_mm", bore.mm(), 2.0..=30.0),
            Self::Hole { bore, above_right } => {
                within("hole_bore_mm", bore.mm(), 4.0..=60.0)?;
                within("hole_above_right_mm", above_right.mm(), 0.0..=50.0)
            }
            Self::Stick { low_below_right, cold_at } => {
                within("cold_at_c", cold_at.map_or(20.0, Temperature::celsius), -40.0..=150.0)?;
                within("low_below_right_mm", low_below_right.mm(), 0.0..=100.0)
            }
            Self::Probe { right } => within("probe_right_mm", right.mm(), 0.0..=300.0),
            Self::Readout { right, per_unit, step, settles_s } => {
                within("readout_right", *right, -1e6..=1e6)?;
                within("readout_per_unit_ml", per_unit.ml(), 1.0..=1000.0)?;
                within("readout_step", *step, 1e-6..=1e6)?;
                within("readout_settles_s", *settles_s, 1.0..=600.0)
            }
        }
    }

    /// The edge that fluid runs over: how far above the right height on level ground, and its bore, mm.
    pub(super) fn edge_mm(&self) -> Option<(f64, f64)> {
        match self {
            Self::Standpipe { bore } => Some((0.0, bore.mm())),
            Self::Hole { bore, above_right } => Some((above_right.mm(), bore.mm())),
            _ => None,
        }
    }

    /// The opening between the edge and a head above it, each strip with the square root of the head above it: mm^2.5. A
    /// standpipe is a crest all round; a round hole is narrow at its bottom, so little runs at a small head.
    pub(super) fn crest(&self, head_mm: f64) -> f64 {
        const STRIPS: u32 = 16;
        let dz = head_mm / f64::from(STRIPS);
        let width = |z: f64| match self {
            Self::Standpipe { bore } => std::f64::consts::PI * bore.mm(),
            Self::Hole { bore, .. } => 2.0 * (z * (bore.mm() - z)).max(0.0).sqrt(),
            _ => 0.0,
        };
        (0..STRIPS).map(|i| (f64::from(i) + 0.5) * dz).map(|z| width(z) * (head_mm - z).sqrt() * dz).sum()
    }

    pub(super) fn shown(&self, sight: &Sight) -> Option<Shown> {
        let whole = |mm: f64| Length::from_mm(mm.round());
        let (a, b) = sight.scatter;
        Some(match self {
            Self::Blind | Self::Standpipe { .. } => return None,
            Self::Hole { .. } if sight.runs => Shown::RunsOver,
            Self::Hole { above_right, .. } => {
                let below = above_right.mm() + sight.lean_mm - sight.above_mm + FELT_SD_MM * a;
                Shown::BelowEdge { below: whole(below.max(0.0)) }
            }
            Self::Stick { low_below_right, .. } => {
                let mark = low_below_right.mm() + sight.above_mm - sight.lean_mm;
                let smear = SMEAR_MM * (sight.walls_ml / WET_ML).min(1.0);
                Shown::Stick { one: whole(mark + MARK_SD_MM * a), other: whole(mark + MARK_SD_MM * b + smear) }
            }
            Self::Probe { right } => {
                let wetted = right.mm() + sight.above_mm - sight.lean_mm + MARK_SD_MM * a;
                Shown::Probe { wetted: whole(wetted.max(0.0)) }
            }
            Self::Readout { right, per_unit, step, .. } => {
                let exact = right + sight.sensed_ml / per_unit.ml();
                Shown::Figure { value: ((exact / step) + FIGURE_SD * a).round() * step }
            }
        })
    }
}
