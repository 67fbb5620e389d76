//! What a person tells the job, in the imperative. A command becomes entries, or a refusal.

use std::collections::BTreeMap;

use quantity::{Angle, Distance, Length, Mass, Temperature, Torque, Volume};
use serde::{Deserialize, Serialize};

use crate::decide::Verdict;
use crate::entry::{Flow, Mark, Measure, Of, Source, Subject, When};

/// One command, with quantities already read.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// State how level the vehicle stands; nose up and right side up are positive.
    LevelVehicle { pitch: Angle, roll: Angle },
    /// Loosen a plug a little and snug it again, to show that it turns.
    ProvePlug { plug: String, turned: bool },
    /// Take a plug out.
    OpenPlug { plug: String },
    /// Put a plug in, with its torque and seal if they are known already.
    ClosePlug { plug: String, torque: Option<Torque>, new_seal: Option<bool> },
    /// Record the torque of a plug that is in.
    TightenPlug { plug: String, torque: Torque },
    /// Confirm that a plug got a new seal.
    ConfirmSeal { plug: String },
    /// Measure what the drain brought.
    MeasureDrained(Measure),
    /// Measure or estimate what came with the filter and the pan.
    MeasureResidue(Measure),
    /// Pour fluid in.
    Pour(Measure),
    /// Measure what ran off at the level plug.
    MeasureRunOff(Measure),
    /// Start the engine and leave it idling.
    StartEngine,
    /// Stop the engine.
    StopEngine,
    /// Hold each range and return to the stated one.
    CycleSelector { nobody_underneath: bool },
    /// Take a fluid temperature.
    TakeReading { temp: Temperature, source: Source },
    /// Say how the run-off looks.
    Look { flow: Flow, drops_per_min: Option<f64> },
    /// Look for leaks.
    CheckLeaks { dry: bool },
    /// Drive the vehicle.
    RoadTest,
    /// Read a dipstick on both sides, from its low mark.
    ReadDip { mark: Mark, one: Length, other: Length, of: Of },
    /// Read a probe.
    ReadProbe { mm: Length, of: Of },
    /// Judge the level at its hole: how far below the edge, or that it runs over.
    SeeEdge { below: Length, runs: bool, of: Of },
    /// Read the level figure of the vehicle or a reader.
    TakeReadout { value: f64, of: Of },
    /// Weigh the can.
    WeighCan { when: When, mass: Mass, temp: Temperature, of: Of },
    /// Say that the fluid has rested long enough.
    Rest { of: Of },
    /// Open the cooler line.
    OpenLine { of: Of },
    /// Join the cooler line.
    CloseLine { of: Of },
    /// Pass a portion through the cooler line: what came out and what went in.
    Exchange { out: Measure, fresh: Measure },
    /// Say that something on the bench list is ready, or not after all.
    TickBench { item: String, ready: bool },
    /// Say that the camera was started just now.
    StartCamera,
    /// Keep a photo: what it shows, and the digest of the picture (SHA-256, 64 hexadecimal digits).
    KeepPhoto { of: Subject, digest: String, width: u32, height: u32 },
    /// Write a remark.
    Note { text: String },
    /// Withdraw an earlier entry.
    Withdraw { entry: u64, reason: String },
    /// Replace an earlier entry by what this command would have written.
    Replace { entry: u64, with: Box<Command>, reason: String },
    /// Close the job as done.
    Finish,
    /// End the job early; the reason prints.
    Stop { reason: String },
}

/// What is known when a job is opened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Opening {
    /// The unit sheet as it was when the job was planned, whole.
    pub sheet: String,
    /// Which vehicle, in the technician's words.
    pub vehicle: String,
    /// Odometer at this visit.
    pub odometer_km: Option<Distance>,
    /// Distance the old fluid has travelled in the unit, if known.
    pub fluid_age_km: Option<Distance>,
    /// What is to be poured, in the technician's words.
    pub fluid: String,
    /// Who does the work.
    pub technician: String,
    /// True in the demo workshop: the vehicle is simulated and every page and paper says so.
    #[serde(default)]
    pub demo: bool,
    /// True when the vehicle works hard (towing, short trips, heat): intervals shorten.
    #[serde(default)]
    pub severe: bool,
    /// Planned first filling, if the technician chose one.
    pub fill_ml: Option<Volume>,
    /// What was found before the job was opened, and what that came to; none where nobody looked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found: Option<Found>,
}

/// The findings a job was opened on, judged by the rules of that day: rules may change, this job's verdict does not.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Found {
    /// Question and answer, as the rules name them.
    pub findings: BTreeMap<String, String>,
    /// What they come to.
    pub verdict: Verdict,
    /// Why, in words.
    pub because: Vec<String>,
}
