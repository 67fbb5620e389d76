//! Procedure families: how the level of a unit is set.

use serde::Serialize;

/// The family a unit belongs to: a way to judge the level, or a way to renew the fluid that a level step follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Surplus runs off a standpipe inside a window, engine idling.
    Overflow,
    /// Cold preset, then a hot overflow.
    TwoStageOverflow,
    /// Dipstick with cold and hot marks.
    Dipstick,
    /// Probe read against a chart of millimetres and temperature.
    Probe,
    /// Bottom of the hole, or a stated depth below it.
    BottomOfHole,
    /// Filled under pressure through the level port.
    FilledUnderPressure,
    /// Dry fill by volume after overhaul.
    DryFill,
    /// Measure out, put the same in.
    MeasureOut,
    /// Extraction through a tube, then a level step.
    Extraction,
    /// Exchange through the cooler line, then a level step.
    Exchange,
    /// Side hole with the engine running, a trickle.
    SideHole,
    /// Electronic level readout.
    ElectronicReadout,
    /// Cold, by volume only.
    VolumeOnly,
}

impl Family {
    /// Every family with the word used in a sheet and its meaning.
    pub const ALL: [(Self, &'static str, &'static str); 13] = [
        (Self::Overflow, "overflow", "overflow in a window, engine idling"),
        (Self::TwoStageOverflow, "two-stage-overflow", "cold preset, then a hot overflow"),
        (Self::Dipstick, "dipstick", "dipstick with cold and hot marks"),
        (Self::Probe, "probe", "probe with a millimetre-against-temperature chart"),
        (Self::BottomOfHole, "bottom-of-hole", "bottom of the hole or a stated depth below it"),
        (Self::FilledUnderPressure, "filled-under-pressure", "filled under pressure through the level port"),
        (Self::DryFill, "dry-fill", "dry fill by volume after overhaul or cooler work"),
        (Self::MeasureOut, "measure-out", "measure out, put the same in"),
        (Self::Extraction, "extraction", "extraction through a tube, then a level step"),
        (Self::Exchange, "exchange", "exchange through the cooler line, then a level step"),
        (Self::SideHole, "side-hole", "side hole, engine running, a trickle"),
        (Self::ElectronicReadout, "electronic-readout", "electronic level readout"),
        (Self::VolumeOnly, "volume-only", "cold, by volume only"),
    ];
    /// True for the families that renew fluid and say nothing about the level: a sheet names that beside them.
    pub const fn only_renews(self) -> bool {
        matches!(self, Self::DryFill | Self::Extraction | Self::Exchange)
    }
    /// The family a word names.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w, _)| *w == word).map(|(f, _, _)| *f)
    }
    /// The word used in a sheet.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(f, _, _)| *f == self).map_or("", |(_, w, _)| w)
    }
    /// What the word means.
    pub fn meaning(self) -> &'static str {
        Self::ALL.iter().find(|(f, _, _)| *f == self).map_or("", |(_, _, m)| m)
    }
}
