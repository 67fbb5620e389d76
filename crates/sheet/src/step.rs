//! Steps of a service with the conditions for entering each. Which steps a unit needs follows from its sheet; their order
//! follows from the conditions, see [`crate::ordered`].

use crate::{EngineState, Level, Renewal, Role, Selector, Sheet};
use quantity::{Angle, Duration, Span, Temperature};
use serde::Serialize;

macro_rules! steps {
    ($($key:ident $word:literal $about:literal)+) => {
        /// One kind of step.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum StepKey { $(#[doc = $about] $key),+ }
        impl StepKey {
            /// Every step with its word and meaning, in the order of work where nothing else decides.
            pub const ALL: &[(Self, &'static str, &'static str)] = &[$((Self::$key, $word, $about)),+];
        }
    };
}

steps! {
    LevelVehicle "level-vehicle" "the vehicle is set level"
    ProveFill "prove-fill" "the fill plug is shown to turn"
    ProveLevel "prove-level" "the level plug is shown to turn"
    OpenLine "open-line" "the cooler line is opened"
    StartForExchange "start-for-exchange" "the engine is started to pump fluid through the line"
    Exchange "exchange" "fresh fluid is passed through"
    StopAfterExchange "stop-after-exchange" "the engine is stopped again"
    CloseLine "close-line" "the cooler line is joined again"
    OpenDrain "open-drain" "the drain plug is opened"
    MeasureDrained "measure-drained" "what came out is measured"
    MeasureResidue "measure-residue" "what filter and pan held is measured"
    CloseDrain "close-drain" "the drain plug is put in"
    OpenFill "open-fill" "the fill plug is opened"
    Extract "extract" "old fluid is sucked out and measured"
    OpenLevel "open-level" "the level plug is opened to fill up to the hole"
    WeighBefore "weigh-before" "the can is weighed before filling"
    WeighAfter "weigh-after" "the can is weighed after filling"
    ClosePort "close-port" "the port is closed after filling"
    Pour "pour" "the first filling"
    Preset "preset" "the cold preset"
    StartEngine "start-engine" "the engine is started"
    PourAfterStart "pour-after-start" "what goes in straight after the start"
    CycleSelector "cycle-selector" "every range is held"
    ReadCold "read-cold" "a first look at the cold marks"
    WarmUp "warm-up" "the fluid comes into its window"
    StopEngine "stop-engine" "the engine is stopped for the reading"
    Rest "rest" "the fluid rests"
    ReadLevel "read-level" "the level is read"
    SetLevel "set-level" "the level is set by what runs off"
    MeasureRunOff "measure-run-off" "what ran off is measured"
    CloseLevel "close-level" "the level plug is put in"
    CloseFill "close-fill" "the fill plug is put in"
    Torques "torques" "torques and seals are recorded"
    CheckLeaks "check-leaks" "every plug is looked at"
    RoadTest "road-test" "the vehicle is driven"
    Finish "finish" "the job is finished"
}

impl StepKey {
    /// The step a word names.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w, _)| *w == word).map(|(k, _, _)| *k)
    }
    /// The word used in a sheet.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(k, _, _)| *k == self).map_or("", |(_, w, _)| w)
    }
    /// What is done, as part of a sentence.
    pub fn meaning(self) -> &'static str {
        Self::ALL.iter().find(|(k, _, _)| *k == self).map_or("", |(_, _, m)| m)
    }
    /// True for a step that a job has once, however many circuits the unit has.
    pub const fn is_shared(self) -> bool {
        matches!(self, Self::LevelVehicle | Self::Torques | Self::CheckLeaks | Self::RoadTest | Self::Finish)
    }
}

/// An order that the manual asks for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StepRule {
    /// The circuit it speaks of.
    pub circuit: String,
    /// The later step.
    pub step: StepKey,
    /// The earlier ones.
    pub after: Vec<StepKey>,
    /// Why, in the manual's words.
    pub why: String,
}

/// What the engine must do for a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum EngineNeed {
    /// Nothing is asked.
    Any,
    /// Off, before it is started for the level.
    Off,
    /// Idling.
    Idling,
    /// Off again, after it has idled.
    Stopped,
    /// Idling to pump fluid through the cooler line, before the level is begun.
    Pumping,
}

/// A step that must be behind another one, with the reason.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct After {
    /// The earlier step.
    pub step: StepKey,
    /// Its circuit.
    pub circuit: String,
    /// Why it comes first.
    pub why: String,
}

/// What must hold before a step may begin.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Conditions {
    /// The engine.
    pub engine: EngineNeed,
    /// Every range has been held since the engine was started.
    pub selector_cycled: bool,
    /// Fluid temperature.
    pub temperature: Option<Span<Temperature>>,
    /// Largest tilt on either axis.
    pub tilt: Option<Angle>,
    /// Since the last pouring or the stop of the engine.
    pub rest: Option<Duration>,
}

/// A step in its place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Planned {
    /// Which step.
    pub key: StepKey,
    /// Which circuit; for a shared step the first one.
    pub circuit: String,
    /// What must hold before it begins.
    pub conditions: Conditions,
    /// Which steps must be behind it, and why.
    pub after: Vec<After>,
}

/// One circuit as the step table looks at it.
pub(crate) struct View<'a> {
    pub(crate) id: &'a str,
    pub(crate) renewal: &'a Renewal,
    pub(crate) level: &'a Level,
    pub(crate) selector: Option<&'a Selector>,
    pub(crate) filter: bool,
    pub(crate) residue: bool,
    pub(crate) after_start: bool,
    pub(crate) tilt: Angle,
    /// Ids of the first plug with each role.
    pub(crate) fill: Option<&'a str>,
    pub(crate) level_plug: Option<&'a str>,
}

impl<'a> View<'a> {
    /// Every circuit of a sheet, the first one first.
    pub(crate) fn all(sheet: &'a Sheet) -> Vec<Self> {
        let plug = |circuit: &str, role: Role| {
            sheet.plugs.iter().find(|p| p.circuit == circuit && p.has(role)).map(|p| p.id.as_str())
        };
        let view = |id: &'a str,
                    renewal,
                    level,
                    selector: &'a Option<Selector>,
                    filter: &Option<String>,
                    capacity: &crate::Capacity| View {
            id,
            renewal,
            level,
            selector: selector.as_ref(),
            filter: filter.is_some(),
            residue: capacity.residue.is_some(),
            after_start: capacity.after_start.is_some(),
            tilt: sheet.limits.tilt.value.high,
            fill: plug(id, Role::Fill),
            level_plug: plug(id, Role::Level),
        };
        let first =
            view(&sheet.circuit.0, &sheet.renewal, &sheet.level, &sheet.selector, &sheet.filter, &sheet.capacity);
        let further =
            sheet.further.iter().map(|c| view(&c.id, &c.renewal, &c.level, &c.selector, &c.filter, &c.capacity));
        std::iter::once(first).chain(further).collect()
    }

    fn drains(&self) -> bool {
        matches!(self.renewal, Renewal::Drain | Renewal::MeasureOut)
    }
    fn under_pressure(&self) -> bool {
        matches!(self.level, Level::FilledUnderPressure(_))
    }
    fn hole(&self) -> bool {
        matches!(self.level, Level::BottomOfHole(_))
    }
    fn own_level_plug(&self) -> bool {
        self.level_plug.is_some() && self.level_plug != self.fill
    }
    /// After an exchange the unit is as full as before: only surplus goes in, where there is any.
    fn pours_first(&self) -> bool {
        let exchanged = matches!(self.renewal, Renewal::Exchange(_));
        !(self.under_pressure() || exchanged && self.level.overflow().is_none())
    }
    fn starts(&self) -> bool {
        self.level.engine().is_some()
    }
    fn read_engine(&self) -> EngineNeed {
        match self.level.engine() {
            None => EngineNeed::Off,
            Some(EngineState::Idling) => EngineNeed::Idling,
            Some(EngineState::Off) => EngineNeed::Stopped,
        }
    }
    fn warms(&self) -> bool {
        self.starts() && self.level.window().is_some()
    }
}

/// One row of the step table.
pub(crate) struct Row {
    pub(crate) key: StepKey,
    pub(crate) wanted: fn(&View<'_>) -> bool,
    pub(crate) engine: fn(&View<'_>) -> EngineNeed,
    /// Needs tilt known and small.
    pub(crate) tilt: bool,
    /// Needs the fluid inside the range of the level.
    pub(crate) warm: bool,
    /// Steps that must be behind it whatever the conditions, and why.
    pub(crate) after: &'static [(StepKey, &'static str)],
}

impl Row {
    pub(crate) fn conditions(&self, view: &View<'_>) -> Conditions {
        let engine = (self.engine)(view);
        let judged = matches!(self.key, K::SetLevel | K::ReadLevel);
        let rest = view.level.rest();
        let range = match self.key {
            K::Preset => view.level.preset().map(|p| p.temperature.value),
            K::ReadCold => cold_marks(view),
            K::Exchange => match view.renewal {
                Renewal::Exchange(exchange) => exchange.temperature.as_ref().map(|t| t.value),
                _ => None,
            },
            _ => view.level.window().filter(|_| self.warm).map(|w| w.value),
        };
        Conditions {
            engine,
            selector_cycled: view.selector.is_some()
                && (judged && engine != EngineNeed::Off || matches!(self.key, K::WarmUp | K::ReadCold)),
            temperature: range,
            tilt: self.tilt.then_some(view.tilt),
            rest: (self.key == K::ReadLevel && rest.seconds() > 0.0).then_some(rest),
        }
    }
}

fn cold_marks(view: &View<'_>) -> Option<Span<Temperature>> {
    match view.level {
        Level::Dipstick(dipstick) => dipstick.cold.as_ref().map(|cold| cold.value),
        _ => None,
    }
}

use StepKey as K;

const fn row(key: StepKey, wanted: fn(&View<'_>) -> bool, after: &'static [(StepKey, &'static str)]) -> Row {
    Row { key, wanted, engine: |_| EngineNeed::Any, tilt: false, warm: false, after }
}
const fn with_engine(row: Row, engine: fn(&View<'_>) -> EngineNeed) -> Row {
    Row { engine, ..row }
}

const PROVEN: &str = "what will be needed later must turn before anything is drained";
const CLOSED: &str = "what goes in would run straight out";
const IN_PLACE: &str = "it must be out, or nothing goes in";

/// Every step, with what makes it needed and what must be behind it beyond its conditions.
pub(crate) const ROWS: &[Row] = &[
    row(K::LevelVehicle, |_| true, &[]),
    row(K::ProveFill, |v| v.fill.is_some(), &[]),
    row(K::ProveLevel, |v| v.own_level_plug(), &[]),
    with_engine(row(K::OpenLine, exchanges, &[(K::ProveFill, PROVEN), (K::ProveLevel, PROVEN)]), |_| EngineNeed::Off),
    row(K::StartForExchange, exchanges, &[(K::OpenLine, "the pump must have somewhere to push the old fluid")]),
    with_engine(
        row(K::Exchange, exchanges, &[(K::StartForExchange, "only a running pump moves fluid through the line")]),
        |_| EngineNeed::Pumping,
    ),
    row(K::StopAfterExchange, exchanges, &[(K::Exchange, "it pumps until the fresh fluid is in")]),
    with_engine(row(K::CloseLine, exchanges, &[(K::StopAfterExchange, "an open line under pressure sprays")]), |_| {
        EngineNeed::Off
    }),
    with_engine(row(K::OpenDrain, |v| v.drains(), &[(K::ProveFill, PROVEN), (K::ProveLevel, PROVEN)]), |_| {
        EngineNeed::Off
    }),
    row(K::MeasureDrained, |v| v.drains(), &[(K::OpenDrain, "nothing is in the pan before")]),
    row(
        K::MeasureResidue,
        |v| (v.filter || v.residue) && matches!(v.renewal, Renewal::Drain),
        &[(K::OpenDrain, "the pan is full before")],
    ),
    row(K::CloseDrain, |v| v.drains(), &[(K::MeasureDrained, "the pan is put aside first")]),
    row(
        K::OpenFill,
        |v| v.fill.is_some(),
        &[
            (K::ProveFill, PROVEN),
            (K::ProveLevel, PROVEN),
            (K::CloseDrain, CLOSED),
            (K::CloseLine, "one opening at a time"),
        ],
    ),
    with_engine(
        row(K::Extract, |v| matches!(v.renewal, Renewal::Extraction(_)), &[(K::OpenFill, "the tube goes in there")]),
        |_| EngineNeed::Off,
    ),
    with_engine(
        row(
            K::OpenLevel,
            |v| v.hole() && v.own_level_plug(),
            &[(K::ProveLevel, PROVEN), (K::CloseDrain, CLOSED), (K::Extract, "the old fluid is out first")],
        ),
        |_| EngineNeed::Off,
    ),
    row(K::WeighBefore, |v| v.under_pressure(), &[(K::CloseDrain, CLOSED)]),
    with_engine(
        row(
            K::WeighAfter,
            |v| v.under_pressure(),
            &[(K::WeighBefore, "what went in is the difference of two weights"), (K::OpenFill, IN_PLACE)],
        ),
        |_| EngineNeed::Off,
    ),
    with_engine(row(K::ClosePort, |v| v.under_pressure(), &[(K::WeighAfter, "it is filled through it")]), |_| {
        EngineNeed::Off
    }),
    with_engine(
        row(
            K::Pour,
            |v| v.pours_first(),
            &[
                (K::CloseDrain, CLOSED),
                (K::CloseLine, CLOSED),
                (K::OpenFill, IN_PLACE),
                (K::Extract, "as much goes in as came out"),
                (K::OpenLevel, "it is filled until it stands at the hole"),
                (K::MeasureDrained, "as much goes in as came out"),
            ],
        ),
        |_| EngineNeed::Off,
    ),
    with_engine(
        row(K::Preset, |v| v.level.preset().is_some(), &[(K::Pour, "there must be surplus to run off")]),
        |v| match v.level.preset().map(|p| p.engine) {
            Some(EngineState::Idling) => EngineNeed::Idling,
            _ => EngineNeed::Off,
        },
    ),
    row(
        K::StartEngine,
        |v| v.starts(),
        &[
            (K::Pour, "the pump must not run dry"),
            (K::ClosePort, "the pump must not run dry"),
            (K::CloseDrain, CLOSED),
            (K::CloseLine, "an open line under pressure sprays"),
        ],
    ),
    with_engine(
        row(K::PourAfterStart, |v| v.starts() && (v.after_start || matches!(v.renewal, Renewal::DryFill(_))), &[]),
        |_| EngineNeed::Idling,
    ),
    with_engine(
        row(
            K::CycleSelector,
            |v| v.starts() && v.selector.is_some(),
            &[(K::PourAfterStart, "the pump has just emptied the sump"), (K::Preset, "the safe minimum is in first")],
        ),
        |_| EngineNeed::Idling,
    ),
    with_engine(row(K::ReadCold, |v| cold_marks(v).is_some(), &[]), |_| EngineNeed::Idling),
    with_engine(
        row(
            K::WarmUp,
            |v| v.warms(),
            &[(K::Preset, "the safe minimum is in first"), (K::ReadCold, "a gross error shows at the cold marks")],
        ),
        |_| EngineNeed::Idling,
    ),
    with_engine(
        row(K::StopEngine, |v| v.read_engine() == EngineNeed::Stopped, &[(K::WarmUp, "it warms by idling")]),
        |_| EngineNeed::Idling,
    ),
    with_engine(
        row(
            K::Rest,
            |v| v.level.rest().seconds() > 0.0,
            &[(K::Pour, "what was poured must run down first"), (K::WarmUp, "it rests warm")],
        ),
        |v| v.read_engine(),
    ),
    Row {
        tilt: true,
        warm: true,
        ..with_engine(
            row(
                K::ReadLevel,
                |v| v.level.is_read(),
                &[(K::Pour, "there is nothing to judge before"), (K::OpenLevel, "it shows at the open hole")],
            ),
            |v| v.read_engine(),
        )
    },
    Row {
        tilt: true,
        warm: true,
        ..with_engine(row(K::SetLevel, |v| v.level.runs_off(), &[(K::Preset, "the safe minimum is in first")]), |_| {
            EngineNeed::Idling
        })
    },
    row(K::MeasureRunOff, |v| v.level.runs_off(), &[(K::SetLevel, "it is still running before")]),
    row(K::CloseLevel, |v| v.hole() && v.own_level_plug(), &[(K::ReadLevel, "the level shows at the open hole")]),
    row(
        K::CloseFill,
        |v| v.fill.is_some() && !v.under_pressure(),
        &[
            (K::SetLevel, "air must get in while fluid runs off"),
            (K::ReadLevel, "more may have to go in"),
            (K::Pour, "it is filled through it"),
            (K::PourAfterStart, "it is filled through it"),
        ],
    ),
    row(
        K::Torques,
        |_| true,
        &[(K::CloseFill, "a plug is tightened once it is in"), (K::CloseLevel, "a plug is tightened once it is in")],
    ),
    row(
        K::CheckLeaks,
        |_| true,
        &[
            (K::CloseFill, "every plug must be in"),
            (K::CloseLevel, "every plug must be in"),
            (K::CloseLine, "every joint must be closed"),
            (K::SetLevel, "every plug must be in"),
        ],
    ),
    row(K::RoadTest, |_| true, &[(K::CheckLeaks, "a leak must show on the stand, not on the road")]),
    row(
        K::Finish,
        |_| true,
        &[
            (K::CloseFill, "the record is closed last"),
            (K::Torques, "the record is closed last"),
            (K::CheckLeaks, "the record is closed last"),
            (K::MeasureRunOff, "the record is closed last"),
            (K::RoadTest, "the record is closed last"),
        ],
    ),
];

fn exchanges(view: &View<'_>) -> bool {
    matches!(view.renewal, Renewal::Exchange(_))
}
