//! One entry as a sentence for the log that people read.

use sheet::Sheet;

use crate::entry::{Fact as F, Flow, Mark, Measure, Of, When};
use crate::words::FLOWS;

/// Which side an entry speaks of; nothing in a unit with one circuit.
fn in_circuit(sheet: &Sheet, circuit: Option<&str>) -> String {
    circuit.map_or_else(String::new, |id| match sheet.circuit_name(id) {
        "" => format!(", {id}"),
        name => format!(", {}", crate::plan::lowered(name)),
    })
}

/// One entry as a sentence for the log that people read.
pub fn sentence(fact: &F, sheet: &Sheet) -> String {
    let name = |id: &str| sheet.plug(id).map_or_else(|| id.to_owned(), |plug| plug.name.clone());
    let amount = |m: &Measure| {
        let fluid = m.fluid.as_ref().map_or_else(String::new, |fluid| format!(" of {fluid}"));
        let side = in_circuit(sheet, m.circuit.as_deref());
        format!("{:.2} ± {:.2} L{fluid} at {:.0} °C{side}", m.volume_ml.litres(), m.u_ml.litres(), m.temp_c.celsius())
    };
    let side = |of: &Of| in_circuit(sheet, of.circuit.as_deref());
    let word = |table: &[(&'static str, Flow)], flow: Flow| {
        table.iter().find(|(_, value)| *value == flow).map_or("", |(word, _)| word).replace('-', " ")
    };
    match fact {
        F::JobOpened(opening) => {
            let verdict = opening.found.as_ref().map_or_else(String::new, |found| {
                format!(". Verdict: {}. {}", found.verdict.title(), found.because.join(" "))
            });
            format!("Job opened: {}, {}{verdict}", opening.vehicle, sheet.name)
        }
        F::VehicleLevelled { pitch_deg, roll_deg } => {
            format!("Tilt: nose up {:.1}°, right side up {:.1}°", pitch_deg.degrees(), roll_deg.degrees())
        }
        F::PlugProven { plug } => format!("{} turns", name(plug)),
        F::PlugStuck { plug } => format!("{} does not turn", name(plug)),
        F::PlugOpened { plug, .. } => format!("{} out", name(plug)),
        F::PlugClosed { plug, torque_nm, new_seal } => {
            let torque = torque_nm.map_or_else(String::new, |torque| format!(", {:.1} N·m", torque.nm()));
            let seal = if *new_seal == Some(true) { ", new seal" } else { "" };
            format!("{} in{torque}{seal}", name(plug))
        }
        F::PlugTightened { plug, torque_nm } => format!("{} tightened, {:.1} N·m", name(plug), torque_nm.nm()),
        F::SealConfirmed { plug } => format!("{}: new seal", name(plug)),
        F::FluidDrained(m) => format!("Drained {}", amount(m)),
        F::ResidueMeasured(m) => format!("Filter and pan held {}", amount(m)),
        F::FluidPoured(m) => format!("Poured {}", amount(m)),
        F::RunOffMeasured(m) => format!("Ran off {}", amount(m)),
        F::EngineStarted => "Engine idling".to_owned(),
        F::EngineStopped => "Engine off".to_owned(),
        F::SelectorCycled => "Selector cycled, nobody underneath".to_owned(),
        F::ReadingTaken { temp_c, .. } => format!("{:.1} °C", temp_c.celsius()),
        F::RunOffSeen { flow, drops_per_min } => {
            let rate = drops_per_min.map_or_else(String::new, |rate| format!(", {rate:.0} a minute"));
            format!("Run-off: {}{rate}", word(FLOWS, *flow))
        }
        F::LeaksChecked { dry: true } => "Leak check: all dry".to_owned(),
        F::LeaksChecked { dry: false } => "Leak check: it leaks".to_owned(),
        F::RoadTested => "Road test driven".to_owned(),
        F::DipRead { mark, one_mm, other_mm, of } => {
            let mark = if *mark == Mark::Cold { "cold" } else { "hot" };
            let (one, other) = (one_mm.mm(), other_mm.mm());
            format!("Dipstick: {one:.0} and {other:.0} mm above the low {mark} mark{}", side(of))
        }
        F::ProbeRead { mm, of } => format!("Probe: {:.0} mm{}", mm.mm(), side(of)),
        F::EdgeSeen { runs: true, of, .. } => format!("It runs over the edge{}", side(of)),
        F::EdgeSeen { below_mm, of, .. } => format!("Level {:.0} mm below the edge{}", below_mm.mm(), side(of)),
        F::ReadoutTaken { value, of } => format!("Level readout: {value}{}", side(of)),
        F::CanWeighed { when, mass_kg, temp_c, of } => {
            let when = if *when == When::Before { "before" } else { "after" };
            format!("Can {when} filling: {:.3} kg at {:.0} °C{}", mass_kg.kg(), temp_c.celsius(), side(of))
        }
        F::FluidRested { of } => format!("Fluid rested{}", side(of)),
        F::LineOpened { of } => format!("Cooler line open{}", side(of)),
        F::LineClosed { of } => format!("Cooler line joined{}", side(of)),
        F::FluidExchanged { out, fresh } => format!("Passed through: out {}, in {}", amount(out), amount(fresh)),
        F::NoteWritten { text } => format!("Note: {text}"),
        F::PhotoKept { of, .. } => format!("Photo of {}", crate::words::SUBJECTS[*of as usize].1),
        F::CameraStarted => "Camera started".to_owned(),
        F::BenchTicked { item, ready } => {
            let what = crate::bench::keys(sheet).into_iter().find(|(key, _)| key == item);
            let what = what.map_or_else(|| item.clone(), |(_, what)| what);
            format!("On the bench{}: {what}", if *ready { "" } else { " no more" })
        }
        F::EntryWithdrawn { entry, reason } => format!("Entry {entry} withdrawn: {reason}"),
        F::EntryReplaced { entry, with, reason } => {
            format!("Entry {entry} corrected to “{}”: {reason}", sentence(with, sheet))
        }
        F::JobFinished => "Job finished".to_owned(),
        F::JobStopped { reason } => format!("Job stopped: {reason}"),
    }
}
