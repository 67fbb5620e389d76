//! The data of each family: read wherever they stand, put together for the family that uses them, and held against each
//! other.

use super::circuit::standpipe;
use super::code;
use super::rules;
use super::walk::{Section, Walk, quoted};
use crate::{
    ByVolume, Capacity, ChartPoint, Dipstick, DryFill, EngineState, Exchange, Extraction, Family, Hole, Level, Limits,
    Overflow, Place, Preset, Probe, Readout, Renewal, SideHole, Sourced, Standpipe,
};
use quantity::{Area, Duration, Length, Span, Temperature, Volume};

type Given<T> = Option<Sourced<Span<T>>>;

/// The hole as read, before it is known which family uses it.
struct HoleData {
    temperature: Given<Temperature>,
    below: Given<Length>,
    rest: Option<Duration>,
    along: Given<Length>,
    across: Given<Length>,
}

/// A probe without the area that stands in another table.
struct ProbeData {
    temperature: Sourced<Span<Temperature>>,
    chart: Vec<ChartPoint>,
    engine: EngineState,
    rest: Duration,
    place: Option<Place>,
}

/// All family data of a circuit; what could not be read is `None`.
pub(super) struct Read {
    window: Given<Temperature>,
    area: Given<Area>,
    standpipe: Option<Standpipe>,
    surplus: Given<Volume>,
    preset: Option<Preset>,
    dipstick: Option<Dipstick>,
    probe: Option<ProbeData>,
    hole: Option<HoleData>,
    readout: Option<Readout>,
    volume: Option<ByVolume>,
    extraction: Option<Extraction>,
    exchange: Option<Exchange>,
    dry_fill: Option<DryFill>,
}

/// Reads every table of family data that is there.
pub(super) fn read(walk: &mut Walk, s: &Section<'_>, surplus: Given<Volume>) -> Read {
    let window = walk.table(s, "window").and_then(|s| {
        let window = walk.sourced(&s, "temperature");
        rules::window(walk, &s.path("temperature"), window.as_ref());
        window
    });
    Read {
        window,
        area: walk.table(s, "sump").and_then(|s| walk.sourced(&s, "area")),
        standpipe: walk.table(s, "standpipe").and_then(|s| standpipe(walk, &s)),
        surplus,
        preset: walk.table(s, "preset").and_then(|s| preset(walk, &s)),
        dipstick: walk.table(s, "dipstick").and_then(|s| dipstick(walk, &s)),
        probe: walk.table(s, "probe").and_then(|s| probe(walk, &s)),
        hole: walk.table(s, "hole").map(|s| hole(walk, &s)),
        readout: walk.table(s, "readout").and_then(|s| readout(walk, &s)),
        volume: walk.table(s, "volume").and_then(|s| by_volume(walk, &s)),
        extraction: walk.table(s, "extraction").and_then(|s| {
            let tube = walk.text(&s, "tube");
            let leaves = walk.sourced(&s, "leaves");
            Some(Extraction { tube: tube?, leaves })
        }),
        exchange: walk.table(s, "exchange").and_then(|s| exchange(walk, &s)),
        dry_fill: walk.table(s, "dry_fill").and_then(|s| dry_fill(walk, &s)),
    }
}

impl Read {
    fn overflow(&mut self) -> Option<Overflow> {
        Some(Overflow {
            window: self.window.take()?,
            sump_area: self.area.take()?,
            standpipe: self.standpipe.take()?,
            surplus: self.surplus.take()?,
        })
    }

    /// How the level is judged, from the data of that family.
    pub(super) fn level(&mut self, walk: &mut Walk, family: Family) -> Option<Level> {
        Some(match family {
            Family::Overflow => Level::Overflow(self.overflow()?),
            Family::TwoStageOverflow => {
                Level::TwoStageOverflow { overflow: self.overflow()?, preset: self.preset.take()? }
            }
            Family::FilledUnderPressure => Level::FilledUnderPressure(self.overflow()?),
            Family::Dipstick => Level::Dipstick(self.dipstick.take()?),
            Family::Probe => {
                let ProbeData { temperature, chart, engine, rest, place } = self.probe.take()?;
                Level::Probe(Probe { temperature, chart, sump_area: self.area.take()?, engine, rest, place })
            }
            Family::BottomOfHole => {
                let hole = self.hole.take()?;
                let temperature = hole.temperature?;
                rules::window(walk, "hole.temperature", Some(&temperature));
                Level::BottomOfHole(Hole {
                    temperature,
                    below: hole.below?,
                    rest: hole.rest?,
                    sump_area: self.area.take()?,
                    offset_along: hole.along?,
                    offset_across: hole.across?,
                })
            }
            Family::SideHole => {
                let hole = self.hole.take()?;
                Level::SideHole(SideHole {
                    window: self.window.take()?,
                    sump_area: self.area.take()?,
                    offset_along: hole.along?,
                    offset_across: hole.across?,
                })
            }
            Family::ElectronicReadout => Level::ElectronicReadout(self.readout.take()?),
            Family::VolumeOnly => Level::VolumeOnly(self.volume.take()?),
            Family::MeasureOut => Level::SameBack,
            Family::DryFill | Family::Extraction | Family::Exchange => return None,
        })
    }

    /// How the fluid is renewed, from the data of that family.
    pub(super) fn renewal(&mut self, family: Family) -> Option<Renewal> {
        Some(match family {
            Family::Extraction => Renewal::Extraction(self.extraction.take()?),
            Family::Exchange => Renewal::Exchange(self.exchange.take()?),
            Family::DryFill => Renewal::DryFill(self.dry_fill.take()?),
            Family::MeasureOut => Renewal::MeasureOut,
            _ => Renewal::Drain,
        })
    }
}

fn preset(walk: &mut Walk, s: &Section<'_>) -> Option<Preset> {
    let temperature = walk.sourced(s, "temperature");
    rules::window(walk, &s.path("temperature"), temperature.as_ref());
    let engine = walk.word(s, "engine", EngineState::named);
    Some(Preset { temperature: temperature?, engine: engine? })
}

/// The least that is asked for; of a printed range the longer end satisfies either reading.
fn rest(walk: &mut Walk, s: &Section<'_>) -> Option<Duration> {
    walk.plain::<Duration>(s, "rest").map(|rest| rest.high)
}

fn place(walk: &mut Walk, s: &Section<'_>) -> Option<Place> {
    let s = walk.table(s, "place")?;
    let (along, across) = (walk.sourced(&s, "offset_along"), walk.sourced(&s, "offset_across"));
    Some(Place { offset_along: along?, offset_across: across? })
}

fn dipstick(walk: &mut Walk, s: &Section<'_>) -> Option<Dipstick> {
    let cold = walk.sourced(s, "cold");
    let hot = walk.sourced(s, "hot");
    rules::window(walk, &s.path("hot"), hot.as_ref());
    let apart = walk.sourced(s, "apart");
    let between = walk.sourced(s, "between");
    let engine = walk.word(s, "engine", EngineState::named);
    let rest = rest(walk, s);
    if let (Some(cold), Some(hot)) = (&cold, &hot) {
        colder(walk, s, "cold", cold, hot);
    }
    let place = place(walk, s);
    Some(Dipstick { cold, hot: hot?, apart: apart?, between: between?, engine: engine?, rest: rest?, place })
}

fn colder(
    walk: &mut Walk,
    s: &Section<'_>,
    name: &str,
    cold: &Sourced<Span<Temperature>>,
    hot: &Sourced<Span<Temperature>>,
) {
    if cold.value.high <= hot.value.high && cold.value.low < hot.value.low {
        return;
    }
    let message = format!("{} is not colder than {}.", quoted(&cold.printed), quoted(&hot.printed));
    walk.note(
        code::CONTRADICTION,
        walk.span(&s.path(name)),
        message,
        "Compare both with the source: are they swapped?",
    );
}

fn probe(walk: &mut Walk, s: &Section<'_>) -> Option<ProbeData> {
    let temperature: Given<Temperature> = walk.sourced(s, "temperature");
    rules::window(walk, &s.path("temperature"), temperature.as_ref());
    let engine = walk.word(s, "engine", EngineState::named);
    let rest = rest(walk, s);
    let mut chart = Vec::new();
    let sections = walk.tables(s, "point");
    let mut whole = true;
    for point in &sections {
        let at = walk.plain::<Temperature>(point, "temperature");
        let (low, high) = (walk.plain::<Length>(point, "low"), walk.plain::<Length>(point, "high"));
        match (at, low, high) {
            (Some(at), Some(low), Some(high)) => {
                chart.push(ChartPoint { temperature: at.low, low: low.low, high: high.high });
            }
            _ => whole = false,
        }
    }
    let place = || sections.first().and_then(Section::place);
    let bad = |walk: &mut Walk, message: String, hint: &str| {
        walk.note(code::CHART, place(), message, hint);
    };
    if whole && !chart.is_empty() {
        if chart.len() < 2 {
            bad(
                walk,
                "One point is no chart: nothing can be read between.".to_owned(),
                "Give at least two temperatures.",
            );
        }
        if chart.windows(2).any(|pair| pair[0].temperature >= pair[1].temperature) {
            bad(
                walk,
                "The chart does not go from colder to warmer.".to_owned(),
                "Sort the points, each temperature once.",
            );
        }
        if chart.iter().any(|point| point.low >= point.high) {
            bad(
                walk,
                "At a point of the chart the low limit is not below the high one.".to_owned(),
                "Swap them there.",
            );
        }
        let inside = |span: Span<Temperature>| {
            let ends = chart.first().zip(chart.last());
            ends.is_some_and(|(first, last)| first.temperature <= span.low && span.high <= last.temperature)
        };
        if let Some(given) = temperature.as_ref().filter(|given| chart.len() > 1 && !inside(given.value)) {
            let message =
                format!("The chart does not reach over {}: nothing is read beyond its ends.", quoted(&given.printed));
            bad(walk, message, "Give the points up to both ends, or narrow the temperature.");
        }
    }
    let place = self::place(walk, s);
    Some(ProbeData { temperature: temperature?, chart: whole.then_some(chart)?, engine: engine?, rest: rest?, place })
}

fn hole(walk: &mut Walk, s: &Section<'_>) -> HoleData {
    HoleData {
        temperature: walk.sourced(s, "temperature"),
        below: walk.sourced(s, "below"),
        rest: rest(walk, s),
        along: walk.sourced(s, "offset_along"),
        across: walk.sourced(s, "offset_across"),
    }
}

fn readout(walk: &mut Walk, s: &Section<'_>) -> Option<Readout> {
    let temperature = walk.sourced(s, "temperature");
    rules::window(walk, &s.path("temperature"), temperature.as_ref());
    let engine = walk.word(s, "engine", EngineState::named);
    let rest = rest(walk, s);
    let (low, high) = (walk.factor(s, "low"), walk.factor(s, "high"));
    let unit = walk.text(s, "unit");
    let resolution = walk.factor(s, "resolution");
    let per_unit = walk.sourced(s, "per_unit");
    if let Some((low, high)) = low.zip(high).filter(|(low, high)| low >= high) {
        let message = format!("The lowest right figure {low} is not below the highest {high}.");
        walk.note(
            code::CONTRADICTION,
            walk.span(&s.path("low")),
            message,
            "Swap them, or compare both with the source.",
        );
    }
    let place = place(walk, s);
    Some(Readout {
        temperature: temperature?,
        engine: engine?,
        rest: rest?,
        low: low?,
        high: high?,
        unit: unit?,
        resolution: resolution?,
        per_unit: per_unit?,
        place,
    })
}

fn by_volume(walk: &mut Walk, s: &Section<'_>) -> Option<ByVolume> {
    let refill = walk.sourced(s, "refill");
    let temperature = walk.sourced(s, "temperature");
    rules::window(walk, &s.path("temperature"), temperature.as_ref());
    Some(ByVolume { refill: refill?, temperature: temperature? })
}

fn exchange(walk: &mut Walk, s: &Section<'_>) -> Option<Exchange> {
    let line = walk.text(s, "line");
    let volume = walk.sourced(s, "volume");
    let apart = walk.sourced(s, "apart");
    let temperature = walk.sourced(s, "temperature");
    Some(Exchange { line: line?, volume: volume?, apart: apart?, temperature })
}

fn dry_fill(walk: &mut Walk, s: &Section<'_>) -> Option<DryFill> {
    let before_start = walk.sourced(s, "before_start");
    let after_start = walk.sourced(s, "after_start");
    let within = walk.plain::<Duration>(s, "within").map(|within| within.low);
    Some(DryFill { before_start: before_start?, after_start: after_start?, within: within? })
}

/// What family data, capacity and limits say together.
pub(super) fn together(
    walk: &mut Walk,
    s: &Section<'_>,
    unit: Option<&Section<'_>>,
    level: &Level,
    renewal: &Renewal,
    capacity: &Capacity,
    limits: Option<&Limits>,
) {
    let total = &capacity.total;
    let over = |walk: &mut Walk, path: &str, what: String| {
        let message = format!("{what} is more than the dry fill {}.", quoted(&total.printed));
        let hint = "Compare both with the source: a unit takes no more than it holds.";
        walk.note(code::CONTRADICTION, walk.span(&s.path(path)), message, hint);
    };
    if let Level::VolumeOnly(by) = level
        && by.refill.value.low > total.value.high
    {
        over(walk, "volume", format!("`refill` = {}", quoted(&by.refill.printed)));
    }
    if let Renewal::DryFill(dry) = renewal {
        let both = dry.before_start.value.low + dry.after_start.value.low;
        // Surplus may stand above the dry fill.
        let surplus = level.overflow().map_or(Volume::from_ml(0.0), |o| o.surplus.value.high);
        if both > total.value.high + surplus {
            over(
                walk,
                "dry_fill",
                format!("{} before and {} after the start", dry.before_start.printed, dry.after_start.printed),
            );
        }
    }
    if let Level::TwoStageOverflow { overflow, preset } = level
        && let Some(below) = s.below_if_there("preset")
    {
        colder(walk, &below, "temperature", &preset.temperature, &overflow.window);
    }
    reachable(walk, s, unit, level, limits);
}

/// The fluid is never colder than the air around it and, at idle, never warmer than idling makes it.
fn reachable(walk: &mut Walk, s: &Section<'_>, unit: Option<&Section<'_>>, level: &Level, limits: Option<&Limits>) {
    let (Some(window), Some(limits)) = (level.window(), limits) else { return };
    let table = ["window", "dipstick", "probe", "hole", "readout", "volume"].into_iter().find(|t| !s.lacks(t));
    let place = table.and_then(|t| s.key_span(t)).or_else(|| unit.and_then(Section::place));
    let mut never = |message: String| {
        let hint = "Compare the ranges with the source; as they stand the level could never be judged.";
        walk.note(code::WINDOW_UNREACHABLE, place.clone(), message, hint);
    };
    if let Some(air) = limits.ambient.as_ref().filter(|air| window.value.high < air.value.low) {
        never(format!("{} lies below the air temperature {}.", quoted(&window.printed), quoted(&air.printed)));
    }
    let idles = level.engine().is_some();
    if let Some(idle) = limits.idle_reaches.as_ref().filter(|idle| idles && window.value.low > idle.value.high) {
        never(format!(
            "{} is warmer than idling brings the fluid, {}.",
            quoted(&window.printed),
            quoted(&idle.printed)
        ));
    }
}
