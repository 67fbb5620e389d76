//! The permanent names of findings.

use crate::Severity::{self, Caution, Error, Note};

/// One kind of finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Code {
    /// Its permanent name.
    pub name: &'static str,
    /// How much it matters at worst.
    pub severity: Severity,
    /// What it means.
    pub meaning: &'static str,
}

macro_rules! codes {
    ($($id:ident = $name:literal, $severity:ident, $meaning:literal;)+) => {
        $(pub(crate) const $id: Code = Code { name: $name, severity: $severity, meaning: $meaning };)+
        /// Every kind of finding.
        pub const CODES: &[Code] = &[$($id),+];
    };
}

codes! {
    TOO_LARGE = "too-large", Error, "the text is longer than 2 MB";
    BROKEN_TOML = "broken-toml", Error, "the text is not TOML at this place";
    FORMAT_UNKNOWN = "format-unknown", Error, "a sheet format this version does not read";
    UNKNOWN_KEY = "unknown-key", Error, "a key this format does not have; nothing is skipped in silence";
    MISSING = "missing", Error, "a key or table that every sheet needs";
    WRONG_TYPE = "wrong-type", Error, "a value of the wrong form";
    EMPTY = "empty", Error, "a text or list with nothing in it";
    UNKNOWN_WORD = "unknown-word", Error, "a word outside the list for this key";
    NOT_FOR_FAMILY = "not-for-family", Error, "a table or key that the family of this unit does not use";
    CONTRADICTION = "contradiction", Error, "two things that cannot both be so";
    NO_SOURCE = "no-source", Error, "a value without its source";
    UNREADABLE = "unreadable", Error, "a quantity that cannot be read";
    NOT_FINITE = "not-finite", Error, "a number that is not a number, or infinite";
    NOT_POSITIVE = "not-positive", Error, "a number that must be above zero, or not below it";
    OUT_OF_RANGE = "out-of-range", Error, "a number outside what the key can mean";
    UNITS_DISAGREE = "units-disagree", Caution, "two printed units that do not say the same; an error if they share nothing";
    ASSUMED = "assumed", Note, "something the text leaves open was assumed in reading a quantity";
    IMPLAUSIBLE = "implausible", Caution, "a value outside what is usual (common practice, no source)";
    FROM_MEMORY = "from-memory", Caution, "a value from memory; a note unless it leads to a torque or the window";
    DUPLICATE_PLUG = "duplicate-plug", Error, "two plugs with one id";
    ROLE_MISSING = "role-missing", Error, "no plug for a role that the family needs";
    ROLE_TWICE = "role-twice", Error, "one role on two plugs; a caution for fill, a note for drain";
    TORQUE_MISSING = "torque-missing", Note, "a plug without a torque";
    TORQUE_FOR_THREAD = "torque-for-thread", Caution, "a torque outside what the thread usually stands";
    THREAD_UNLISTED = "thread-unlisted", Note, "a thread with no torque band to compare with";
    WINDOW_NO_WIDTH = "window-no-width", Error, "a window with only one temperature";
    WINDOW_UNREACHABLE = "window-unreachable", Error, "a temperature range that this unit never comes into";
    CHART = "chart", Error, "a chart of a probe that cannot be read off";
    REST_NOT_HELD = "rest-not-held", Caution, "the selector rests in a position it was never held in";
    DRAINED_OVER_TOTAL = "drained-over-total", Error, "more drained than the unit holds";
    DRAINED_FRACTION = "drained-fraction", Caution, "a drain that brings less than 30 % or more than 50 % (common practice, no source)";
    VISCOSITY_ORDER = "viscosity-order", Error, "a fluid no thinner at 100 °C than at 40 °C";
    INTERVAL_EMPTY = "interval-empty", Caution, "an interval with neither distance nor time";
    DUPLICATE_CIRCUIT = "duplicate-circuit", Error, "two circuits with one id";
    STEP_NOT_USED = "step-not-used", Error, "an order of steps that names a circuit or a step this unit does not have";
    STEP_CYCLE = "step-cycle", Error, "steps that wait for each other in a circle: there is no order of work";
    TOO_MANY = "too-many", Error, "more findings than are listed; as grave as the gravest left out";
}
