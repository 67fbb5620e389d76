//! Families whose level is read as a figure: dipstick, probe, hole edge, electronic readout.

use physics::gauge::{self, limits_at};
use quantity::{Length, Span, Temperature, Uncertain, Volume};
use sheet::{Level, Probe, StepKey};

use crate::act::Refusal;
use crate::command::Command;
use crate::entry::{Mark, Purpose};
use crate::gate::Gate;
use crate::state::{LevelRead, Read, SettingVerdict, State};

/// Doubt of a mark read off a dipstick or a probe: common practice, no source.
const MARK_DOUBT_MM: f64 = 1.0;
/// Doubt of a depth felt with a finger or a bent wire, and of a surface that just runs over: common practice, no source.
const FELT_DOUBT_MM: f64 = 1.5;
const EDGE_DOUBT_MM: f64 = 0.5;
/// Doubt of a surface measured in a workshop, as a share: common practice, no source.
const AREA_DOUBT: f64 = 0.10;
/// Doubt of a volume between marks printed in a manual, as a share: common practice, no source.
const BETWEEN_DOUBT: f64 = 0.05;
const ROOT_3: f64 = 1.732_050_807_568_877_2;

/// A reading against its limits, all in the figure's own unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Against {
    /// What was read; of a dipstick the lower side.
    pub figure: f64,
    /// Lowest and highest right figure.
    pub right: Span<f64>,
    /// Standard uncertainty of the figure.
    pub u: f64,
    /// Fluid to one of the figure, negative where the figure counts downwards.
    pub worth: Uncertain<Volume>,
    /// Unit of the figure.
    pub unit: &'static str,
}

impl Against {
    /// Where it lies.
    pub fn verdict(&self) -> SettingVerdict {
        let more = self.worth.value.ml() >= 0.0;
        match (self.figure < self.right.low, self.figure > self.right.high) {
            (false, false) => SettingVerdict::Set,
            (true, _) if more => SettingVerdict::TooLow,
            (_, true) if !more => SettingVerdict::TooLow,
            _ => SettingVerdict::TooHigh,
        }
    }
    /// What is missing to the middle of the limits; negative when there is too much.
    pub fn missing(&self) -> Volume {
        self.worth.value * ((self.right.low + self.right.high) / 2.0 - self.figure)
    }
    /// The charge error of the figure, against the middle of its limits.
    pub fn error(&self) -> Option<Uncertain<Volume>> {
        let mm = Length::from_mm;
        let off = Uncertain::new(mm(self.figure - (self.right.low + self.right.high) / 2.0), mm(self.u));
        let worth = Uncertain::new(magnitude(self.worth.value), self.worth.u);
        let error = gauge::height_error(off, worth).ok()?;
        Some(if self.worth.value.ml() < 0.0 { Uncertain::new(error.value * -1.0, error.u) } else { error })
    }
    /// Any figure between the limits is right: what half of them is worth. A tolerance, no doubt of the figure.
    pub fn latitude(&self) -> Volume {
        magnitude(self.worth.value) * ((self.right.high - self.right.low) / 2.0)
    }
}

fn magnitude(volume: Volume) -> Volume {
    Volume::from_ml(volume.ml().abs())
}

fn worth(per_mm: f64, share: f64) -> Uncertain<Volume> {
    Uncertain::new(Volume::from_ml(per_mm), Volume::from_ml(per_mm.abs() * share))
}

/// The limits of a probe's chart at a temperature; `None` beyond its ends.
pub fn chart_limits(probe: &Probe, at: Temperature) -> Option<Span<Length>> {
    let chart: Vec<_> = probe
        .chart
        .iter()
        .map(|p| gauge::ChartPoint { temperature: p.temperature, limits: Span { low: p.low, high: p.high } })
        .collect();
    limits_at(&chart, at).ok()
}

/// A reading held against what the sheet says; `None` when the sheet has no such reading, for cold marks, and for a probe
/// without a temperature.
pub fn against(level: &Level, taken: &LevelRead) -> Option<Against> {
    let mm = |span: Span<Length>| span.map(|l| l.mm());
    Some(match (level, taken.read) {
        (Level::Dipstick(stick), Read::Dip { mark: Mark::Hot, one_mm, other_mm }) => Against {
            figure: one_mm.min(other_mm).mm(),
            right: Span { low: 0.0, high: stick.apart.mid().mm() },
            // Two sides that differ say how well the tube has drained.
            u: libm::hypot(MARK_DOUBT_MM, (one_mm - other_mm).mm().abs() / 2.0 / ROOT_3),
            worth: worth(stick.between.mid().ml() / stick.apart.mid().mm(), BETWEEN_DOUBT),
            unit: "mm above the low mark",
        },
        (Level::Probe(probe), Read::Probe { mm: read }) => Against {
            figure: read.mm(),
            right: mm(chart_limits(probe, taken.temp_c?)?),
            u: MARK_DOUBT_MM,
            worth: worth(probe.sump_area.mid().square_metres() * 1000.0, AREA_DOUBT),
            unit: "mm on the probe",
        },
        (Level::BottomOfHole(hole), Read::Edge { below_mm, runs }) => Against {
            figure: if runs { 0.0 } else { below_mm.mm() },
            right: mm(hole.below.value),
            u: if runs { EDGE_DOUBT_MM } else { FELT_DOUBT_MM },
            worth: worth(-hole.sump_area.mid().square_metres() * 1000.0, AREA_DOUBT),
            unit: "mm below the edge",
        },
        (Level::ElectronicReadout(shown), Read::Readout { value }) => Against {
            figure: value,
            right: Span { low: shown.low, high: shown.high },
            u: shown.resolution / 2.0 / ROOT_3,
            worth: worth(shown.per_unit.mid().ml(), BETWEEN_DOUBT),
            unit: "on the readout",
        },
        _ => return None,
    })
}

/// The last reading that counts: nothing went in or came out since.
pub fn standing(state: &State) -> Option<&LevelRead> {
    let last = state.level_reads.iter().rev().find(|read| !matches!(read.read, Read::Dip { mark: Mark::Cold, .. }))?;
    let changed = state.last_change_ms().is_some_and(|changed| changed > last.at_ms);
    (!changed).then_some(last)
}

/// How the level was read last.
pub fn verdict(state: &State) -> Option<SettingVerdict> {
    let last = standing(state)?;
    let Some(against) = against(&state.sheet.level, last) else { return Some(SettingVerdict::Unwitnessed) };
    Some(against.verdict())
}

/// The cold marks, as a first check: what they say, in words.
pub fn cold_words(state: &State) -> Option<String> {
    let Level::Dipstick(stick) = &state.sheet.level else { return None };
    let cold = state.level_reads.iter().rev().find_map(|read| match read.read {
        Read::Dip { mark: Mark::Cold, one_mm, other_mm } => Some(one_mm.min(other_mm).mm()),
        _ => None,
    })?;
    Some(match cold {
        low if low < 0.0 => format!("{:.0} mm below the low cold mark: too little to run on.", -low),
        high if high > stick.apart.mid().mm() => "above the high cold mark: too much.".to_owned(),
        _ => "between the cold marks: good enough to warm it up, not the level.".to_owned(),
    })
}

/// Readings this unit cannot give, and figures that cannot be.
pub fn possible(state: &State, command: &Command) -> Result<(), Refusal> {
    let impossible = |what: String, cure: &str| Err(Refusal::Impossible { what, cure: cure.to_owned() });
    let level = &state.sheet.level;
    let judged = || format!("The level of this unit is judged by {}.", level.family().meaning());
    let near = |length: Length| (-300.0..=300.0).contains(&length.mm());
    match command {
        Command::ReadDip { mark, one, other, .. } => match level {
            Level::Dipstick(stick) if *mark == Mark::Cold && stick.cold.is_none() => {
                impossible("The sheet has no cold marks.".to_owned(), "Read the hot marks, warm.")
            }
            Level::Dipstick(_) if near(*one) && near(*other) => Ok(()),
            Level::Dipstick(_) => impossible(
                "No dipstick shows more than 300 mm from its mark.".to_owned(),
                "Give both sides in mm above the low mark; below it with a minus.",
            ),
            _ => impossible(judged(), "A dipstick reading says nothing here."),
        },
        Command::ReadProbe { mm, .. } => match level {
            Level::Probe(_) if (0.0..=300.0).contains(&mm.mm()) => Ok(()),
            Level::Probe(_) => impossible("No probe shows that.".to_owned(), "Give the wetted length in mm."),
            _ => impossible(judged(), "A probe reading says nothing here."),
        },
        Command::SeeEdge { below, .. } => match level {
            Level::BottomOfHole(_) if (0.0..=300.0).contains(&below.mm()) => Ok(()),
            Level::BottomOfHole(_) => {
                impossible("Fluid does not stand above an open edge.".to_owned(), "Give mm below it, or seen=runs.")
            }
            _ => impossible(judged(), "An edge says nothing here."),
        },
        Command::TakeReadout { value, .. } => match level {
            Level::ElectronicReadout(_) if value.is_finite() && value.abs() <= 1e6 => Ok(()),
            Level::ElectronicReadout(_) => impossible("No readout shows that.".to_owned(), "Give the figure alone."),
            _ => impossible(judged(), "A readout says nothing here."),
        },
        _ => Ok(()),
    }
}

/// What must hold before a level is read.
pub fn gates(state: &State, command: &Command, now_ms: i64, need: &mut impl FnMut(bool, Gate)) {
    let cold = matches!(command, Command::ReadDip { mark: Mark::Cold, .. });
    let key = if cold { StepKey::ReadCold } else { StepKey::ReadLevel };
    if let Some(step) = state.sheet.step(key) {
        super::gates::entry(state, &step.conditions, now_ms, need);
    }
    if let (Level::Probe(probe), Some(reading)) = (&state.sheet.level, state.fresh_reading(now_ms)) {
        need(chart_limits(probe, reading.temp_c).is_some(), Gate::OffChart);
    }
    if let Command::SeeEdge { runs, .. } = command {
        need(hole_open_since(state).is_some(), Gate::LevelPlugIn);
        // Only what was poured since the plug came out can run over because the level stands there.
        let poured = hole_open_since(state).is_some_and(|since| state.poured.iter().any(|item| item.at_ms >= since));
        need(!runs || poured || hole_open_since(state).is_none(), Gate::FirstTrickle);
    }
}

fn hole_open_since(state: &State) -> Option<i64> {
    let plug = state.with_role(sheet::Role::Level)?;
    let now = state.plug_state(&plug.id);
    now.opened_ms.filter(|_| now.out && now.purpose != Some(Purpose::Drain))
}
