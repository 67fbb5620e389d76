//! The gates: conditions that block a step. Each says why and what cures it; the order of the table
//! is the order of precedence, and a code, once given, stays.

use serde::{Deserialize, Serialize};

use crate::decide::Verdict;

/// A condition that is missing. Declared in order of precedence: when several are missing, the first is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Gate {
    JobEnded,
    PlugAlreadyOut,
    PlugAlreadyIn,
    EngineAlreadyIdling,
    EngineAlreadyOff,
    FillPlugNotProven,
    LevelPlugNotProven,
    EngineNotOff,
    DrainPlugOut,
    LevelPlugOut,
    FillPlugOut,
    NotRefilled,
    SomebodyUnderneath,
    LostFluidNotAdded,
    PlugOut,
    EngineNotIdling,
    SelectorNotCycled,
    TiltUnknown,
    TiltTooLarge,
    TemperatureUnknown,
    TooCold,
    TooHot,
    LevelNotSet,
    TorqueUnrecorded,
    TorqueOff,
    SealUnconfirmed,
    LeaksNotChecked,
    NotRested,
    FirstTrickle,
    LevelPlugIn,
    FillPlugIn,
    OffChart,
    PresetNotSet,
    PresetOnly,
    LevelOff,
    CanNotWeighed,
    RestNotPoured,
    LineOpen,
    LineNotOpen,
    ExchangeApart,
    DrainedNotMeasured,
    NotAllBack,
    VolumeOff,
    OtherCircuitOpen,
    FluidUnnamed,
    WrongCircuit,
    FluidNotApproved,
    VerdictStop,
    VerdictDiagnoseFirst,
}

/// One row of the gate table.
pub struct GateText {
    /// Which gate.
    pub gate: Gate,
    /// Permanent code, as stored, sent and printed.
    pub code: &'static str,
    /// True when a typed reason may pass it.
    pub overridable: bool,
    /// Why it blocks.
    pub reason: &'static str,
    /// What to do about it.
    pub cure: &'static str,
}

macro_rules! gates {
    ($($gate:ident $code:literal $over:literal $reason:literal $cure:literal)+) => {
        /// Every gate, in order of precedence.
        pub const GATES: &[GateText] = &[$(GateText { gate: Gate::$gate, code: $code, overridable: $over, reason: $reason, cure: $cure }),+];
    };
}

gates! {
    JobEnded "job-ended" false
        "This job is closed; its record is complete." "Open a new job for more work on this vehicle."
    PlugAlreadyOut "plug-already-out" false
        "This plug is out already." "Look at the strip: another device may have entered it."
    PlugAlreadyIn "plug-already-in" false
        "This plug is in already." "Look at the strip: another device may have entered it."
    EngineAlreadyIdling "engine-already-idling" false
        "The engine is idling already." "Look at the strip: another device may have entered it."
    EngineAlreadyOff "engine-already-off" false
        "The engine is off already." "Look at the strip: another device may have entered it."
    FillPlugNotProven "fill-plug-not-proven" false
        "If the fill plug does not turn after draining, the vehicle cannot be filled and cannot leave." "Loosen the fill plug a little, snug it again, and enter it as proven."
    LevelPlugNotProven "level-plug-not-proven" false
        "If the level plug does not turn after draining, the level cannot be set." "Loosen the level plug a little, snug it again, and enter it as proven."
    EngineNotOff "engine-not-off" false
        "The pump would run dry while the fluid drains." "Stop the engine first."
    DrainPlugOut "drain-plug-out" false
        "What goes in would run straight out." "Put the drain plug in first."
    LevelPlugOut "level-plug-out" false
        "The level plug is out." "Put the level plug in first."
    FillPlugOut "fill-plug-out" false
        "Fluid would be thrown out while driving." "Put the fill plug in first."
    NotRefilled "not-refilled" false
        "Fluid was drained and none was poured: the pump would run dry." "Pour the planned volume first."
    SomebodyUnderneath "somebody-underneath" false
        "The vehicle can move when a range is engaged." "Everybody out from under it, foot on the brake; then say that nobody is underneath."
    LostFluidNotAdded "lost-fluid-not-added" false
        "The engine stopped while the level plug was out: a litre or more drains back and runs off." "Plug in, add the lost volume, start the engine, cycle the selector, warm up again."
    PlugOut "plug-out" false
        "A plug is out." "Put it in, with its torque."
    EngineNotIdling "engine-not-idling" true
        "With the engine off, converter and cooler drain back into the sump and a litre or more runs out." "Start the engine and leave it idling."
    SelectorNotCycled "selector-not-cycled" true
        "Clutch circuits that were not filled hold back 100–300 mL (common practice), which later is missing." "With nobody underneath, hold each range, then return the selector."
    TiltUnknown "tilt-unknown" true
        "Two degrees of tilt can be worth a quarter of a litre." "Measure how level the vehicle stands and enter it."
    TiltTooLarge "tilt-too-large" true
        "The vehicle stands further off level than the sheet allows." "Shim the stands until it is inside the limit, then enter the new tilt."
    TemperatureUnknown "temperature-unknown" true
        "There is no fluid temperature from the last two minutes." "Take a reading now."
    TooCold "too-cold" true
        "Below the window: level set cold leaves the unit overfilled." "Wait until the reading is inside the window."
    TooHot "too-hot" true
        "Above the window: level set hot leaves the unit underfilled." "Engine off, let it cool, and come back into the window."
    LevelNotSet "level-not-set" true
        "The level has not been seen to settle inside the window." "Open the level plug inside the window, let it come to drops, close it."
    TorqueUnrecorded "torque-unrecorded" true
        "A plug that was out has no torque on record." "Tighten it to the sheet's torque and enter the figure."
    TorqueOff "torque-off" true
        "This torque is far from what the sheet asks: a thread that gives way, or a plug that works loose, is found later, as a leak." "Look at the figure and its unit. If it really was tightened so, loosen it, look at thread and seal, and tighten it right."
    SealUnconfirmed "seal-unconfirmed" true
        "A single-use seal was disturbed and no new one is on record." "Fit a new seal and confirm it."
    LeaksNotChecked "leaks-not-checked" true
        "Nobody has looked for leaks since the last plug went in." "Wipe, run the engine, look at every plug, and enter what you saw."
    NotRested "not-rested" true
        "The fluid has not rested as long as the sheet asks: it still hangs on gears, walls or in the tube, and the level reads wrong." "Wait until the rest is over, then read."
    FirstTrickle "first-trickle" false
        "What runs first when the plug comes out stood behind it: it proves nothing." "Feel for the surface with a finger or a bent wire, or pour until it runs over, let it rest, and look again."
    LevelPlugIn "level-plug-in" false
        "The level shows at the open hole, and its plug is in." "Take the level plug out first."
    FillPlugIn "fill-plug-in" false
        "The way in is closed." "Take the fill plug out first."
    OffChart "off-chart" false
        "The fluid is beyond the ends of the chart: nothing is read there." "Bring the fluid into the range of the chart."
    PresetNotSet "preset-not-set" true
        "The cold preset is not on record: the unit may have run with too little fluid." "Let it cool, set the cold preset first, then the level."
    PresetOnly "preset-only" true
        "Only the cold preset is done: a safe minimum to run on, not the level." "Warm it up and set the level inside the window."
    LevelOff "level-off" true
        "The last reading of the level lies outside its limits." "Add or take out what is wrong, let it rest, and read again."
    CanNotWeighed "can-not-weighed" true
        "What is pumped in cannot be seen: it is the difference of two weights." "Weigh the can with its pump and hose before filling and again after."
    RestNotPoured "rest-not-poured" false
        "The unit was dry and the pump has just emptied the sump: it draws air until the rest is in." "Pour the second part now."
    LineOpen "line-open" false
        "The cooler line is open: fluid would be pumped out of the unit." "Engine off, then join the line."
    LineNotOpen "line-not-open" false
        "The cooler line is joined: nothing can be passed through." "Engine off, open the line, then start."
    ExchangeApart "exchange-apart" true
        "In and out differ by more than the sheet allows: the unit is over- or underfilled." "Bring them together: let the lagging side catch up before going on."
    DrainedNotMeasured "drained-not-measured" false
        "What came out is not on record: nobody would know how much to put back." "Measure what came out, with its temperature."
    NotAllBack "not-all-back" true
        "What went in is not what came out." "Pour or take out the difference."
    VolumeOff "volume-off" true
        "What went in is not the volume that belongs in." "Pour or take out the difference."
    OtherCircuitOpen "other-circuit-open" false
        "Another circuit of this unit is open: its fluid must never mix with this one." "Close that circuit first."
    FluidUnnamed "fluid-unnamed" false
        "This unit has circuits with fluids of their own, and it was not said which fluid is in the can." "Read the can, and name its fluid."
    WrongCircuit "wrong-circuit" false
        "This fluid belongs in another circuit of the unit: mixed in here it ruins it." "Put it away; take the can and the hose of this circuit."
    FluidNotApproved "fluid-not-approved" true
        "The fluid named is none of those approved." "Compare the can with the sheet; the same colour does not mean the same fluid."
    VerdictStop "verdict-stop" true
        "What was found says stop: this is no fluid service, and the unit must not run." "Find the cause and mend it; open the job on what is found then."
    VerdictDiagnoseFirst "verdict-diagnose-first" true
        "What was found says diagnose first: new fluid would hide the cause." "Find the cause; open the job on what is found then."
}

impl Gate {
    /// This gate's row of the table.
    pub fn text(self) -> &'static GateText {
        &GATES[self as usize]
    }
    /// The gate that a verdict puts before opening a job.
    pub fn of_verdict(verdict: Verdict) -> Option<Self> {
        match verdict {
            Verdict::Stop => Some(Self::VerdictStop),
            Verdict::DiagnoseFirst => Some(Self::VerdictDiagnoseFirst),
            Verdict::Service | Verdict::ServiceWithConsent => None,
        }
    }
    /// Permanent code.
    pub fn code(self) -> &'static str {
        self.text().code
    }
    /// The gate with this code.
    pub fn from_code(code: &str) -> Option<Self> {
        GATES.iter().find(|row| row.code == code).map(|row| row.gate)
    }
}
