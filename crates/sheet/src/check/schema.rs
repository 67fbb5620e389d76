//! Every key a sheet may hold, in one table: it gives the check, the message, the suggestion and the document.

use crate::{EngineState, Family, Role, Status, StepKey};

/// A unit as bounds are stated in: its sign and what it is in the quantity's own unit.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Unit {
    pub(crate) sign: &'static str,
    pub(crate) scale: f64,
}

/// Which numbers make sense at all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Sign {
    Any,
    NotNegative,
    Positive,
    /// The most that is allowed: everything from zero to it is.
    UpTo,
    /// The least that is needed, above zero.
    AtLeast,
}

impl Sign {
    /// What the lowest number must be, if anything.
    pub(crate) fn must_be(self) -> Option<&'static str> {
        match self {
            Self::Any => None,
            Self::NotNegative => Some("zero or above"),
            Self::Positive | Self::UpTo | Self::AtLeast => Some("above zero"),
        }
    }
}

/// What a value may be, and what it usually is. The usual range is common practice without a source.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bounds {
    pub(crate) sign: Sign,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) unit: Unit,
    /// True where a wrong value spoils the work by itself: it must not come from memory unremarked.
    pub(crate) guides: bool,
}

/// A closed list of words.
#[derive(Debug, Clone, Copy)]
pub(crate) enum WordList {
    Family,
    Role,
    Status,
    Engine,
    Step,
}

impl WordList {
    pub(crate) fn words(self) -> Vec<&'static str> {
        match self {
            Self::Family => Family::ALL.iter().map(|(_, w, _)| *w).collect(),
            Self::Role => Role::ALL.iter().map(|r| r.word()).collect(),
            Self::Engine => EngineState::ALL.iter().map(|(_, w)| *w).collect(),
            Self::Step => StepKey::ALL.iter().map(|(_, w, _)| *w).collect(),
            Self::Status => Status::ALL.iter().map(|(_, w)| *w).collect(),
        }
    }
}

/// The form of a value in the text.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Form {
    Text,
    Texts,
    Word(WordList),
    Words(WordList),
    Flag,
    Whole,
    /// A bare number, above `low` and at most `high`.
    Factor(f64, f64),
    /// A quantity as printed.
    Plain(Bounds),
    /// A table of a quantity as printed, its source and its status.
    Sourced(Bounds),
    Table(&'static Table),
    Tables(&'static Table),
}

/// One key.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Key {
    pub(crate) name: &'static str,
    pub(crate) required: bool,
    pub(crate) form: Form,
    /// A value as it would stand in a sheet.
    pub(crate) sample: &'static str,
    pub(crate) about: &'static str,
}

/// The keys of one table.
#[derive(Debug)]
pub(crate) struct Table {
    pub(crate) name: &'static str,
    pub(crate) keys: &'static [Key],
}

impl Table {
    pub(crate) fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|k| k.name == name)
    }
}

pub(super) const CELSIUS: Unit = Unit { sign: "°C", scale: 1.0 };
pub(super) const LITRE: Unit = Unit { sign: "L", scale: 1000.0 };
const NEWTON_METRE: Unit = Unit { sign: "N·m", scale: 1.0 };
pub(super) const MILLIMETRE: Unit = Unit { sign: "mm", scale: 1.0 };
const SQUARE_METRE: Unit = Unit { sign: "m²", scale: 1.0 };
pub(super) const DEGREE: Unit = Unit { sign: "°", scale: 1.0 };
const DENSITY: Unit = Unit { sign: "kg/m³", scale: 1.0 };
const VISCOSITY: Unit = Unit { sign: "mm²/s", scale: 1.0 };
const KILOMETRE: Unit = Unit { sign: "km", scale: 1.0 };
pub(super) const SECOND: Unit = Unit { sign: "s", scale: 1.0 };
const YEAR: Unit = Unit { sign: "years", scale: 31_556_952.0 };

pub(super) const fn usual(sign: Sign, low: f64, high: f64, unit: Unit) -> Bounds {
    Bounds { sign, low, high, unit, guides: false }
}
pub(super) const fn guiding(low: f64, high: f64, unit: Unit, sign: Sign) -> Bounds {
    Bounds { sign, low, high, unit, guides: true }
}
pub(super) const fn must(name: &'static str, form: Form, sample: &'static str, about: &'static str) -> Key {
    Key { name, required: true, form, sample, about }
}
pub(super) const fn may(name: &'static str, form: Form, sample: &'static str, about: &'static str) -> Key {
    Key { name, required: false, form, sample, about }
}

use Form::{Factor, Flag, Plain, Sourced, Text, Texts, Word, Words};
use Sign::{Any, AtLeast, NotNegative, Positive, UpTo};

/// The three keys of a sourced value.
pub(crate) static SOURCED: Table = Table {
    name: "value with its source",
    keys: &[
        must("value", Text, "8 mm", "the value as the manual prints it, one unit or two"),
        must("source", Text, "manual, page 12", "book and page, or how it was found"),
        must("status", Word(WordList::Status), "read", "how it came into the sheet"),
    ],
};

static SEAL: Table = Table {
    name: "plug.seal",
    keys: &[
        must("kind", Text, "crush washer 18 mm", "kind and size"),
        must("single_use", Flag, "true", "true when a new one is needed each time"),
    ],
};

const SPOT: Bounds = usual(Any, -800.0, 800.0, MILLIMETRE);
static SPOT_KEYS: Table = Table {
    name: "plug.at",
    keys: &[
        must("along", Plain(SPOT), "-100 mm", "from the centroid of the sump surface, positive ahead of it"),
        must("up", Plain(SPOT), "0 mm", "above the pan floor"),
    ],
};

pub(super) static UNIT: Table = Table {
    name: "unit",
    keys: &[
        must("id", Text, "sample-1", "short name, unique among sheets"),
        must("name", Text, "Sample 1", "name for people"),
        must("maker", Text, "Sample maker", "who makes the unit"),
        must("kind", Text, "six-speed automatic", "what it is"),
        must("family", Word(WordList::Family), "overflow", "how its level is set, or how its fluid is renewed"),
        may("level", Word(WordList::Family), "overflow", "how its level is judged, when the family only renews fluid"),
        may("circuit", Text, "gear-side", "short name of the first circuit, when there are several"),
        may("circuit_name", Text, "Gear side", "name of the first circuit for people"),
        may("edition", Text, "2nd edition", "edition of the manual"),
        may("filter", Text, "in the pan", "its filter, if it is changed in a service"),
    ],
};

pub(super) static PLUG: Table = Table {
    name: "plug",
    keys: &[
        must("id", Text, "only", "short name, unique in the sheet"),
        must("name", Text, "Only plug", "name for people"),
        must("roles", Words(WordList::Role), "fill|level|drain", "what it is for"),
        must("place", Text, "pan, rear", "where to find it"),
        must("drive", Text, "hexagon 8 mm", "the bit or socket that fits it"),
        may(
            "reach",
            Sourced(usual(Positive, 5.0, 400.0, MILLIMETRE)),
            "60 mm",
            "how far the bit or socket must reach: depth of the recess",
        ),
        may("thread", Text, "M18x1.5", "its thread"),
        may("torque", Sourced(guiding(5.0, 80.0, NEWTON_METRE, Positive)), "35 N·m", "tightening torque"),
        may("seal", Form::Table(&SEAL), "", "its seal"),
        may("hazard", Text, "next to the hot exhaust", "what can hurt at this plug"),
        may("at", Form::Table(&SPOT_KEYS), "", "where it sits, for drawing"),
    ],
};

pub(super) static WINDOW: Table = Table {
    name: "window",
    keys: &[must(
        "temperature",
        Sourced(guiding(20.0, 95.0, CELSIUS, Any)),
        "35–45 °C",
        "fluid temperature range for setting the level",
    )],
};

pub(super) static SUMP: Table = Table {
    name: "sump",
    keys: &[must(
        "area",
        Sourced(usual(Positive, 0.02, 0.2, SQUARE_METRE)),
        "0.08 m²",
        "free surface of the fluid in the sump at the level",
    )],
};

pub(super) const OFFSET: Bounds = usual(Any, -300.0, 300.0, MILLIMETRE);
pub(super) static STANDPIPE: Table = Table {
    name: "standpipe",
    keys: &[
        must("bore", Sourced(usual(Positive, 3.0, 20.0, MILLIMETRE)), "8 mm", "clear diameter"),
        may("length", Sourced(usual(Positive, 5.0, 150.0, MILLIMETRE)), "40 mm", "length of the bore"),
        must("offset_along", Sourced(OFFSET), "-100 mm", "lip from the surface centroid, positive ahead of it"),
        must("offset_across", Sourced(OFFSET), "0 mm", "lip from the surface centroid, positive to the right"),
    ],
};

pub(super) static SELECTOR: Table = Table {
    name: "selector",
    keys: &[
        must("positions", Texts, "P|R|N|D", "positions in the order they are held"),
        must("hold", Plain(usual(AtLeast, 3.0, 15.0, SECOND)), "3 s", "how long each is held"),
        must("rest_in", Text, "P", "where the selector rests while the level is set"),
        must("idle_after", Plain(usual(AtLeast, 60.0, 600.0, SECOND)), "60 s", "idling afterwards"),
    ],
};

pub(super) static CAPACITY: Table = Table {
    name: "capacity",
    keys: &[
        must("total", Sourced(usual(Positive, 0.6, 14.0, LITRE)), "9 L", "dry fill"),
        may("drained", Sourced(usual(Positive, 0.2, 7.0, LITRE)), "4 L", "what a drain brings"),
        may("after_start", Sourced(usual(NotNegative, 0.5, 1.0, LITRE)), "0.8 L", "goes in straight after the start"),
        may("surplus", Sourced(usual(Positive, 0.3, 1.0, LITRE)), "0.5 L", "put in above the level on purpose"),
        may("residue", Sourced(usual(NotNegative, 0.05, 1.5, LITRE)), "0.3 L", "what filter and pan hold back"),
    ],
};

pub(super) static FLUID: Table = Table {
    name: "fluid",
    keys: &[
        must("approvals", Texts, "Sample-4", "approvals as the manual names them; any one will do"),
        may("class", Text, "low-viscosity", "viscosity class"),
        may("density15", Sourced(usual(Positive, 820.0, 870.0, DENSITY)), "845 kg/m³", "density at 15 °C"),
        may("kv40", Sourced(usual(Positive, 18.0, 38.0, VISCOSITY)), "29 mm²/s", "kinematic viscosity at 40 °C"),
        may("kv100", Sourced(usual(Positive, 4.3, 7.5, VISCOSITY)), "6 mm²/s", "kinematic viscosity at 100 °C"),
        may("warning", Text, "not with older fluid", "what must not be mixed or mistaken"),
    ],
};

pub(super) static INTERVAL: Table = Table {
    name: "interval",
    keys: &[
        may("distance", Sourced(usual(Positive, 10_000.0, 250_000.0, KILOMETRE)), "60 000 km", "between services"),
        may("time", Sourced(usual(Positive, 1.0, 15.0, YEAR)), "6 years", "between services"),
        must("severe_factor", Factor(0.0, 1.0), "0.5", "what severe use multiplies both by"),
    ],
};

pub(super) static LIMITS: Table = Table {
    name: "limits",
    keys: &[
        must("tilt", Sourced(usual(UpTo, 0.0, 3.0, DEGREE)), "1°", "largest tilt allowed on either axis"),
        may(
            "ambient",
            Sourced(usual(Any, -40.0, 60.0, CELSIUS)),
            "5–35 °C",
            "air temperature stated for the procedure",
        ),
        may("idle_reaches", Sourced(usual(Any, 40.0, 110.0, CELSIUS)), "85 °C", "warmest that idling brings the fluid"),
    ],
};
