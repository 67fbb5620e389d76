//! What happened, in the past tense. Entries are appended, never edited; a later one may correct.
//!
//! The serialised form is format 1 of the log; its golden bytes are tested and it is read forever.

use quantity::{Angle, Length, Mass, Temperature, Torque, Volume};
use serde::{Deserialize, Serialize};

use crate::command::Opening;
use crate::gate::Gate;

/// Number of the entry format written by this version.
pub const FORMAT: u32 = 1;

/// How a volume was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    /// Read off a graduated jug or bottle.
    Jug,
    /// Weighed, then divided by the density.
    Scale,
    /// Judged by eye or taken from the sheet.
    Estimate,
}

/// A volume with its doubt and its temperature, as observed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Measure {
    /// Volume at `temp_c`.
    pub volume_ml: Volume,
    /// Standard uncertainty of the volume.
    pub u_ml: Volume,
    /// Temperature of the fluid when its volume was read.
    pub temp_c: Temperature,
    /// How it was found.
    pub how: How,
    /// What was typed, kept as it stood.
    pub typed: String,
    /// Which circuit, in a unit that has several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub circuit: Option<String>,
    /// Which fluid, as the can names it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fluid: Option<String>,
}

/// Which marks of a dipstick.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// A first check.
    Cold,
    /// The level.
    Hot,
}

/// When a can was weighed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum When {
    /// Before filling.
    Before,
    /// After filling.
    After,
}

/// Where a temperature came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Source {
    /// Read off a display and typed.
    Typed,
    /// Sent by a reader app or a script.
    Reader,
    /// A probe in the fluid.
    Probe,
    /// An infrared thermometer on the case: reads 3–10 °C low on a painted steel pan (common practice).
    Infrared,
    /// The demo's simulated vehicle.
    Simulated,
}

/// How the run-off at the level plug looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Flow {
    /// Nothing comes.
    Nothing,
    /// Drops that can be told apart.
    Drops,
    /// A thread that just holds together.
    ThinStream,
    /// A full stream.
    Stream,
}

/// What a photo shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Subject {
    /// A plug or its magnet.
    Plug,
    /// The fluid that came out.
    OldFluid,
    /// The fluid that goes in.
    NewFluid,
    /// Anything else.
    Other,
}

/// One thing that happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "fact", rename_all = "kebab-case")]
pub enum Fact {
    JobOpened(Box<Opening>),
    VehicleLevelled {
        pitch_deg: Angle,
        roll_deg: Angle,
    },
    PlugProven {
        plug: String,
    },
    PlugStuck {
        plug: String,
    },
    PlugOpened {
        plug: String,
        purpose: Purpose,
    },
    PlugClosed {
        plug: String,
        torque_nm: Option<Torque>,
        new_seal: Option<bool>,
    },
    PlugTightened {
        plug: String,
        torque_nm: Torque,
    },
    SealConfirmed {
        plug: String,
    },
    FluidDrained(Measure),
    ResidueMeasured(Measure),
    FluidPoured(Measure),
    RunOffMeasured(Measure),
    EngineStarted,
    EngineStopped,
    SelectorCycled,
    ReadingTaken {
        temp_c: Temperature,
        source: Source,
    },
    RunOffSeen {
        flow: Flow,
        drops_per_min: Option<f64>,
    },
    LeaksChecked {
        dry: bool,
    },
    RoadTested,
    DipRead {
        mark: Mark,
        one_mm: Length,
        other_mm: Length,
        #[serde(flatten)]
        of: Of,
    },
    ProbeRead {
        mm: Length,
        #[serde(flatten)]
        of: Of,
    },
    EdgeSeen {
        below_mm: Length,
        runs: bool,
        #[serde(flatten)]
        of: Of,
    },
    ReadoutTaken {
        value: f64,
        #[serde(flatten)]
        of: Of,
    },
    CanWeighed {
        when: When,
        mass_kg: Mass,
        temp_c: Temperature,
        #[serde(flatten)]
        of: Of,
    },
    FluidRested {
        #[serde(flatten)]
        of: Of,
    },
    LineOpened {
        #[serde(flatten)]
        of: Of,
    },
    LineClosed {
        #[serde(flatten)]
        of: Of,
    },
    FluidExchanged {
        out: Measure,
        fresh: Measure,
    },
    NoteWritten {
        text: String,
    },
    BenchTicked {
        item: String,
        ready: bool,
    },
    CameraStarted,
    /// The picture itself is kept beside the log, under its digest.
    PhotoKept {
        of: Subject,
        digest: String,
        width: u32,
        height: u32,
    },
    EntryWithdrawn {
        entry: u64,
        reason: String,
    },
    EntryReplaced {
        entry: u64,
        with: Box<Fact>,
        reason: String,
    },
    JobFinished,
    JobStopped {
        reason: String,
    },
}

/// The circuit an entry speaks of; none in a unit that has only one.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Of {
    /// Id of the circuit in the sheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub circuit: Option<String>,
}

/// Why a plug was taken out; it decides which gates stood before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Purpose {
    /// To let the old fluid out.
    Drain,
    /// To pour.
    Fill,
    /// To set the level by run-off.
    Level,
    /// To see the level at its hole.
    Check,
}

/// A gate passed on the technician's own responsibility; it prints on the proof sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Override {
    /// Which gate.
    pub gate: Gate,
    /// The typed reason.
    pub reason: String,
}

/// The body of one log entry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Body {
    /// What happened.
    #[serde(flatten)]
    pub fact: Fact,
    /// Gates overridden to let it happen.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub overrides: Vec<Override>,
}

/// One entry as the fold sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Place in the log, from 1.
    pub seq: u64,
    /// When it happened, milliseconds since 1970-01-01 UTC, by the device that entered it.
    pub at_ms: i64,
    /// Who entered it.
    pub by: String,
    /// What happened.
    pub body: Body,
}

impl Fact {
    /// The permanent name of this kind of entry, as stored.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::JobOpened(_) => "job-opened",
            Self::VehicleLevelled { .. } => "vehicle-levelled",
            Self::PlugProven { .. } => "plug-proven",
            Self::PlugStuck { .. } => "plug-stuck",
            Self::PlugOpened { .. } => "plug-opened",
            Self::PlugClosed { .. } => "plug-closed",
            Self::PlugTightened { .. } => "plug-tightened",
            Self::SealConfirmed { .. } => "seal-confirmed",
            Self::FluidDrained(_) => "fluid-drained",
            Self::ResidueMeasured(_) => "residue-measured",
            Self::FluidPoured(_) => "fluid-poured",
            Self::RunOffMeasured(_) => "run-off-measured",
            Self::EngineStarted => "engine-started",
            Self::EngineStopped => "engine-stopped",
            Self::SelectorCycled => "selector-cycled",
            Self::ReadingTaken { .. } => "reading-taken",
            Self::RunOffSeen { .. } => "run-off-seen",
            Self::LeaksChecked { .. } => "leaks-checked",
            Self::RoadTested => "road-tested",
            Self::DipRead { .. } => "dip-read",
            Self::ProbeRead { .. } => "probe-read",
            Self::EdgeSeen { .. } => "edge-seen",
            Self::ReadoutTaken { .. } => "readout-taken",
            Self::CanWeighed { .. } => "can-weighed",
            Self::FluidRested { .. } => "fluid-rested",
            Self::LineOpened { .. } => "line-opened",
            Self::LineClosed { .. } => "line-closed",
            Self::FluidExchanged { .. } => "fluid-exchanged",
            Self::NoteWritten { .. } => "note-written",
            Self::BenchTicked { .. } => "bench-ticked",
            Self::CameraStarted => "camera-started",
            Self::PhotoKept { .. } => "photo-kept",
            Self::EntryWithdrawn { .. } => "entry-withdrawn",
            Self::EntryReplaced { .. } => "entry-replaced",
            Self::JobFinished => "job-finished",
            Self::JobStopped { .. } => "job-stopped",
        }
    }
}
