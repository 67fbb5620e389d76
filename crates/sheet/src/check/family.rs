//! The keys of the procedure families, and which table belongs to which.

use super::schema::{
    Bounds, CAPACITY, CELSIUS, FLUID, Form, INTERVAL, LIMITS, LITRE, MILLIMETRE, OFFSET, PLUG, SECOND, SELECTOR,
    STANDPIPE, SUMP, Sign, Table, UNIT, WINDOW, WordList, guiding, may, must, usual,
};
use crate::Family;
use Form::{Factor, Plain, Sourced, Tables, Text, Texts, Word, Words};
use Sign::{Any, AtLeast, NotNegative, Positive};

const READ_AT: Form = Sourced(guiding(10.0, 95.0, CELSIUS, Any));
const REST: Form = Plain(usual(AtLeast, 30.0, 1800.0, SECOND));
const WHERE: Bounds = OFFSET;

static PRESET: Table = Table {
    name: "preset",
    keys: &[
        must("temperature", READ_AT, "15–30 °C", "fluid temperature of the cold stage"),
        must("engine", Word(WordList::Engine), "idling", "engine during the cold stage"),
    ],
};

static PLACE: Table = Table {
    name: "place",
    keys: &[
        must("offset_along", Sourced(WHERE), "60 mm", "from the surface centroid, positive ahead of it"),
        must("offset_across", Sourced(WHERE), "-90 mm", "from the surface centroid, positive to the right"),
    ],
};

static DIPSTICK: Table = Table {
    name: "dipstick",
    keys: &[
        may("cold", READ_AT, "20–30 °C", "fluid temperature for the cold marks, a first check only"),
        must("hot", READ_AT, "70–80 °C", "fluid temperature for the hot marks"),
        must("apart", Sourced(usual(Positive, 3.0, 40.0, MILLIMETRE)), "12 mm", "from the low to the high mark"),
        must("between", Sourced(usual(Positive, 0.1, 1.0, LITRE)), "0.3 L", "what the unit takes from mark to mark"),
        must("engine", Word(WordList::Engine), "idling", "engine while it is read"),
        must("rest", REST, "60 s", "until the tube has drained after pouring"),
        may("place", Form::Table(&PLACE), "", "where it meets the fluid: what a tilt does to the figure"),
    ],
};

static POINT: Table = Table {
    name: "probe.point",
    keys: &[
        must("temperature", Plain(usual(Any, -20.0, 130.0, CELSIUS)), "40 °C", "fluid temperature"),
        must("low", Plain(usual(NotNegative, 0.0, 150.0, MILLIMETRE)), "20 mm", "lowest right reading"),
        must("high", Plain(usual(NotNegative, 0.0, 150.0, MILLIMETRE)), "26 mm", "highest right reading"),
    ],
};

static PROBE: Table = Table {
    name: "probe",
    keys: &[
        must("temperature", READ_AT, "40–40 °C", "fluid temperature range in which it may be read"),
        must("engine", Word(WordList::Engine), "idling", "engine while it is read"),
        must("rest", REST, "60 s", "until the tube has drained after pouring"),
        may("place", Form::Table(&PLACE), "", "where it meets the fluid: what a tilt does to the figure"),
        must("point", Tables(&POINT), "", "the chart, one table a temperature, colder first"),
    ],
};

static HOLE: Table = Table {
    name: "hole",
    keys: &[
        may("temperature", READ_AT, "15–35 °C", "fluid temperature for judging, bottom of the hole only"),
        may(
            "below",
            Sourced(usual(NotNegative, 0.0, 30.0, MILLIMETRE)),
            "0–5 mm",
            "right depth below the edge, bottom of the hole only",
        ),
        may("rest", REST, "5 min", "until the fluid has run down, bottom of the hole only"),
        must("offset_along", Sourced(WHERE), "0 mm", "hole from the surface centroid, positive ahead of it"),
        must("offset_across", Sourced(WHERE), "90 mm", "hole from the surface centroid, positive to the right"),
    ],
};

static READOUT: Table = Table {
    name: "readout",
    keys: &[
        must("temperature", READ_AT, "70–90 °C", "fluid temperature range in which the figure holds"),
        must("engine", Word(WordList::Engine), "idling", "engine while it is read"),
        must("rest", REST, "60 s", "until the figure has settled"),
        must("low", Factor(-1e6, 1e6), "46", "lowest right figure"),
        must("high", Factor(-1e6, 1e6), "54", "highest right figure"),
        must("unit", Text, "mm", "what the figure counts"),
        must("resolution", Factor(0.0, 1e6), "1", "smallest step of the figure"),
        must("per_unit", Sourced(usual(Positive, 0.001, 0.2, LITRE)), "0.02 L", "what one unit of the figure is worth"),
        may("place", Form::Table(&PLACE), "", "where it meets the fluid: what a tilt does to the figure"),
    ],
};

static VOLUME: Table = Table {
    name: "volume",
    keys: &[
        must("refill", Sourced(guiding(0.2, 8.0, LITRE, Positive)), "4 L", "what belongs in after a drain"),
        must("temperature", READ_AT, "15–30 °C", "fluid temperature for which it is stated"),
    ],
};

static EXTRACTION: Table = Table {
    name: "extraction",
    keys: &[
        must("tube", Text, "outside diameter at most 6 mm, 0.9 m deep", "which tube fits and how far it goes in"),
        may("leaves", Sourced(usual(NotNegative, 0.1, 4.0, LITRE)), "0.5 L", "what the tube cannot reach"),
    ],
};

static EXCHANGE: Table = Table {
    name: "exchange",
    keys: &[
        must("line", Text, "return line at the cooler", "which line is opened, and where"),
        must("volume", Sourced(usual(Positive, 5.0, 25.0, LITRE)), "12 L", "fresh fluid to pass through"),
        must("apart", Sourced(usual(Positive, 0.2, 1.0, LITRE)), "0.5 L", "most that in and out may differ by"),
        may("temperature", READ_AT, "70–90 °C", "fluid temperature at which the line flows"),
    ],
};

static DRY_FILL: Table = Table {
    name: "dry_fill",
    keys: &[
        must("before_start", Sourced(guiding(0.5, 10.0, LITRE, Positive)), "5 L", "poured with the engine off"),
        must("after_start", Sourced(guiding(0.5, 8.0, LITRE, Positive)), "3 L", "poured straight after starting"),
        must("within", Plain(usual(Positive, 30.0, 300.0, SECOND)), "60 s", "how soon after starting it must be in"),
    ],
};

static STEP: Table = Table {
    name: "step",
    keys: &[
        must("step", Word(WordList::Step), "road-test", "the later step"),
        must("after", Words(WordList::Step), "check-leaks", "the earlier steps"),
        must("why", Text, "the manual says so", "why, in the manual's words"),
        may("circuit", Text, "main", "which circuit it speaks of; the first one if not said"),
    ],
};

macro_rules! circuit_keys {
    ($($ahead:expr),* ; $($behind:expr),*) => {
        &[
            $($ahead,)*
            must("plug", Tables(&PLUG), "", "one table a plug"),
            may("window", Form::Table(&WINDOW), "", "when the level may be set"),
            may("sump", Form::Table(&SUMP), "", "the sump"),
            may("standpipe", Form::Table(&STANDPIPE), "", "the overflow pipe whose lip is the level"),
            may("preset", Form::Table(&PRESET), "", "the cold stage of a two-stage overflow: a safe minimum, not the level"),
            may("dipstick", Form::Table(&DIPSTICK), "", "the dipstick"),
            may("probe", Form::Table(&PROBE), "", "the probe and its chart of millimetres against temperature"),
            may("hole", Form::Table(&HOLE), "", "the hole at which the level shows"),
            may("readout", Form::Table(&READOUT), "", "the electronic level readout"),
            may("volume", Form::Table(&VOLUME), "", "the stated volume"),
            may("extraction", Form::Table(&EXTRACTION), "", "the tube that sucks the fluid out"),
            may("exchange", Form::Table(&EXCHANGE), "", "the exchange through the cooler line"),
            may("dry_fill", Form::Table(&DRY_FILL), "", "the two fillings of a dry unit"),
            may("selector", Form::Table(&SELECTOR), "", "how the selector is cycled before the level is judged"),
            must("capacity", Form::Table(&CAPACITY), "", "how much fluid"),
            must("fluid", Form::Table(&FLUID), "", "which fluid"),
            $($behind),*
        ]
    };
}

static CIRCUIT: Table = Table {
    name: "circuit",
    keys: circuit_keys!(
        must("id", Text, "clutch-side", "short name, unique in the sheet"),
        must("name", Text, "Clutch side", "name for people"),
        must("family", Word(WordList::Family), "overflow", "how its level is set, or how its fluid is renewed"),
        may("level", Word(WordList::Family), "overflow", "how its level is judged, when the family only renews fluid"),
        may("filter", Text, "in the pan", "its filter, if it is changed in a service");
    ),
};

/// The whole sheet.
pub(crate) static ROOT: Table = Table {
    name: "",
    keys: circuit_keys!(
        must("format", Form::Whole, "1", "number of the sheet format"),
        may("cautions", Texts, "Hot exhaust beside the fill plug.", "cautions in the manual's order"),
        must("unit", Form::Table(&UNIT), "", "what the sheet is about");
        may("circuit", Tables(&CIRCUIT), "", "one table a further circuit with fluid of its own"),
        may("interval", Form::Table(&INTERVAL), "", "when it is due"),
        must("limits", Form::Table(&LIMITS), "", "conditions for setting the level"),
        may("step", Tables(&STEP), "", "one table an order of steps that the manual asks for beyond the usual one")
    ),
};

/// What a family needs and may have beside what every sheet has, by table or by `table.key`; anything else of
/// [`FAMILY_TABLES`] and [`FAMILY_KEYS`] is not its own.
pub(crate) struct Needs {
    pub(crate) family: Family,
    pub(crate) needs: &'static [&'static str],
    pub(crate) may: &'static [&'static str],
    /// Roles that must be on a plug.
    pub(crate) roles: &'static [crate::Role],
}

use crate::Role::{Drain, Fill, Level};

const fn needs(
    family: Family,
    needs: &'static [&'static str],
    may: &'static [&'static str],
    roles: &'static [crate::Role],
) -> Needs {
    Needs { family, needs, may, roles }
}

/// Tables that belong to some families only.
pub(crate) const FAMILY_TABLES: &[&str] = &[
    "window",
    "sump",
    "standpipe",
    "preset",
    "dipstick",
    "probe",
    "hole",
    "readout",
    "volume",
    "extraction",
    "exchange",
    "dry_fill",
    "selector",
];
/// Keys that belong to some families only.
pub(crate) const FAMILY_KEYS: &[(&str, &str)] = &[
    ("capacity", "surplus"),
    ("capacity", "after_start"),
    ("hole", "temperature"),
    ("hole", "below"),
    ("hole", "rest"),
];

/// One row a family. A family that renews is joined with the one that judges the level.
pub(crate) const NEEDS: &[Needs] = &[
    needs(
        Family::Overflow,
        &["window", "sump", "standpipe", "selector", "capacity.surplus"],
        &["capacity.after_start"],
        &[Fill, Level],
    ),
    needs(
        Family::TwoStageOverflow,
        &["window", "sump", "standpipe", "selector", "capacity.surplus", "preset"],
        &["capacity.after_start"],
        &[Fill, Level],
    ),
    needs(
        Family::FilledUnderPressure,
        &["window", "sump", "standpipe", "selector", "capacity.surplus"],
        &[],
        &[Fill, Level],
    ),
    needs(Family::Dipstick, &["dipstick", "selector"], &["capacity.after_start"], &[Fill]),
    needs(Family::Probe, &["probe", "sump", "selector"], &["capacity.after_start"], &[Fill]),
    needs(Family::BottomOfHole, &["hole", "sump", "hole.temperature", "hole.below", "hole.rest"], &[], &[Fill, Level]),
    needs(Family::SideHole, &["window", "sump", "hole", "selector"], &["capacity.after_start"], &[Fill, Level]),
    needs(Family::ElectronicReadout, &["readout", "selector"], &["capacity.after_start"], &[Fill]),
    needs(Family::VolumeOnly, &["volume"], &[], &[Fill]),
    needs(Family::MeasureOut, &[], &[], &[Fill, Drain]),
    needs(Family::Extraction, &["extraction"], &[], &[Fill]),
    needs(Family::Exchange, &["exchange"], &[], &[]),
    needs(Family::DryFill, &["dry_fill"], &[], &[]),
];

/// The row of a family.
pub(crate) fn needs_of(family: Family) -> Option<&'static Needs> {
    NEEDS.iter().find(|row| row.family == family)
}
