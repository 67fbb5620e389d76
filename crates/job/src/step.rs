//! Steps in words: what to do, why, and what can hurt. Which of them a unit has, and their order, is the sheet's business.

use quantity::Volume;
use sheet::{Level, Planned, Renewal, Role, Sheet, StepKey};

use crate::plan::{Fill, Step, the};

/// A step of a circuit in words.
pub(crate) fn step(planned: &Planned, sheet: &Sheet, fill: &Fill, several: bool) -> Step {
    let row = ROWS.iter().find(|row| row.key == planned.key);
    let name = if several && !planned.key.is_shared() { sheet.circuit.1.as_str() } else { "" };
    let verb = row.map_or_else(|| planned.key.meaning().to_owned(), |row| (row.verb)(sheet, fill));
    Step {
        key: planned.key,
        circuit: planned.circuit.clone(),
        verb: if name.is_empty() { verb } else { format!("{name}: {}", crate::plan::lowered(&verb)) },
        why: row.map_or("", |row| (row.why)(sheet)).to_owned(),
        caution: row.and_then(|row| row.caution).map(str::to_owned),
        after: planned.after.iter().map(|after| after.step).collect(),
        because: planned.after.iter().map(|a| format!("after {}: {}", a.step.word(), a.why)).collect(),
        conditions: planned.conditions.clone(),
    }
}

struct Row {
    key: StepKey,
    verb: fn(&Sheet, &Fill) -> String,
    why: fn(&Sheet) -> &'static str,
    caution: Option<&'static str>,
}

fn name(sheet: &Sheet, role: Role) -> String {
    sheet.plug_with(role).map_or_else(|| format!("the {} plug", role.word()), |plug| the(&plug.name))
}

fn with_drive(sheet: &Sheet, role: Role) -> String {
    let named = name(sheet, role);
    sheet.plug_with(role).map_or_else(|| named.clone(), |plug| format!("{named} ({}, {})", plug.drive, plug.place))
}

/// A plug turns; a cap or a dipstick comes out.
fn shows(sheet: &Sheet, role: Role) -> String {
    let by_hand = sheet.plug_with(role).is_some_and(|plug| !plug.needs_tool());
    format!("Show that it {}: {}", if by_hand { "comes out" } else { "turns" }, with_drive(sheet, role))
}

fn litres(volume: Volume) -> String {
    format!("{:.2} L", volume.litres())
}

fn with_torque(sheet: &Sheet, role: Role) -> String {
    let torque = sheet.plug_with(role).and_then(|plug| plug.torque.as_ref());
    let seal = sheet.plug_with(role).and_then(|plug| plug.seal.as_ref()).is_some_and(|seal| seal.single_use);
    match torque {
        Some(torque) if seal => format!("{} with a new seal, {}", name(sheet, role), torque.printed),
        Some(torque) => format!("{}, {}", name(sheet, role), torque.printed),
        None => name(sheet, role),
    }
}

use StepKey as K;

/// Every step in words.
const ROWS: &[Row] = &[
    Row {
        key: K::LevelVehicle,
        verb: |sheet, _| format!("Set the vehicle level, within {:.1}° both ways", sheet.tilt_limit().degrees()),
        why: |_| "Tilt moves the surface where the level shows; one degree is worth more than any thermometer error.",
        caution: Some(
            "A vehicle that slips off its support kills. Stands on firm ground, wheels chocked, push it before you go under.",
        ),
    },
    Row {
        key: K::ProveFill,
        verb: |sheet, _| shows(sheet, Role::Fill),
        why: |_| "Loosen a little, snug again. If it does not turn, nothing is drained and the vehicle still drives.",
        caution: Some(
            "Exhaust and unit burn for an hour after a drive. Sleeves and gloves, and keep clear of the pipe.",
        ),
    },
    Row {
        key: K::ProveLevel,
        verb: |sheet, _| shows(sheet, Role::Level),
        why: |_| "The level is set through it. Loosen a little, snug again.",
        caution: None,
    },
    Row {
        key: K::OpenDrain,
        verb: |sheet, _| format!("Engine off. Open {} and let it drain", with_drive(sheet, Role::Drain)),
        why: |_| "Let it run until it drips slowly; catch everything, it will be measured. Milky fluid, or metal to pick up, is a stop.",
        caution: Some("Hot fluid scalds, and it falls on the face. Goggles, gloves, and stand to the side."),
    },
    Row {
        key: K::MeasureDrained,
        verb: |_, _| "Measure what came out, with its temperature".to_owned(),
        why: |_| "Look at it first: milky or pink, or metal that can be picked up, ends the service here. Volume and temperature say how much was in the unit as found.",
        caution: Some(
            "Used fluid harms skin and ground water. Gloves; a closed container labelled as used oil; local rules come first.",
        ),
    },
    Row {
        key: K::MeasureResidue,
        verb: |sheet, _| match &sheet.filter {
            Some(filter) => format!("Change the filter ({filter}); enter what it held"),
            None => "Enter what filter and pan held".to_owned(),
        },
        why: |_| "Measure or estimate what came with filter and pan: it neither drains nor shows, and the ledger needs it. Not opened: enter 0.",
        caution: None,
    },
    Row {
        key: K::CloseDrain,
        verb: |sheet, _| format!("Put in {}", with_torque(sheet, Role::Drain)),
        why: |_| "Before anything is poured.",
        caution: None,
    },
    Row {
        key: K::OpenFill,
        verb: |sheet, _| format!("Open {}", with_drive(sheet, Role::Fill)),
        why: |sheet| match sheet.renewal {
            Renewal::Extraction(_) => "The tube goes in there, and the new fluid after it.",
            _ if sheet.level.runs_off() => "It also lets air in while fluid runs off later.",
            _ => "The new fluid goes in there.",
        },
        caution: None,
    },
    Row {
        key: K::Pour,
        verb: |sheet, fill| match (&sheet.level, &sheet.renewal) {
            (Level::SameBack, _) => "Pour as much as came out".to_owned(),
            (_, Renewal::Extraction(_)) => "Pour as much as the tube brought".to_owned(),
            (Level::BottomOfHole(_), _) => format!("Pour about {}, until it stands at the hole", litres(fill.first_ml)),
            _ => format!("Pour {}", litres(fill.first_ml)),
        },
        why: |sheet| match (&sheet.renewal, &sheet.level) {
            (Renewal::DryFill(_), _) => {
                "The first part, with the engine off; the second goes in at once after starting."
            }
            (_, Level::SameBack) => "As much as came out, weighed rather than read off a jug, at its own temperature.",
            (_, Level::VolumeOnly(_)) => {
                "The volume is the level here: nothing on the unit will show it. Enter what really went in."
            }
            (_, Level::BottomOfHole(_)) => "Until it stands at the hole. Enter what really went in.",
            (Renewal::Exchange(_), _) => "The surplus that will run off. Enter what really went in.",
            (_, level) if level.overflow().is_some() => {
                "What came out, plus the surplus that will run off. Enter what really went in."
            }
            _ => "What came out; the reading says later what is missing. Enter what really went in.",
        },
        caution: Some(
            "The wrong fluid destroys the unit. Only fluid with the stated approval: the same colour does not mean the same fluid.",
        ),
    },
    Row {
        key: K::StartEngine,
        verb: |_, _| "Start the engine and leave it idling".to_owned(),
        why: |sheet| match sheet.level.runs_off() {
            true => "From here until the level plug is in, it stays running.",
            false => "The pump fills converter and cooler; only then does the reading mean anything.",
        },
        caution: Some(
            "Exhaust gas kills without warning. Outdoors or with extraction; an open door is not ventilation.",
        ),
    },
    Row {
        key: K::PourAfterStart,
        verb: |_, fill| format!("Pour another {} at once", litres(fill.after_start_ml)),
        why: |sheet| match sheet.renewal {
            Renewal::DryFill(_) => "The unit was dry: until the rest is in, the pump draws air.",
            _ => "The pump has just emptied the sump into converter and cooler.",
        },
        caution: None,
    },
    Row {
        key: K::CycleSelector,
        verb: |sheet, _| {
            sheet.selector.as_ref().map_or_else(String::new, |selector| {
                format!(
                    "Hold each range {:.0} s: {}; then back to {}",
                    selector.hold.seconds(),
                    selector.positions.join(" "),
                    selector.rest_in
                )
            })
        },
        why: |_| "Fills every clutch circuit; otherwise 100–300 mL hide there (common practice).",
        caution: Some("The vehicle can move when a range is engaged. Nobody underneath, foot on the brake."),
    },
    Row {
        key: K::WarmUp,
        verb: |sheet, _| match sheet.level.runs_off() {
            true => format!("Wait for {}. Bit, catch pan and new seal in hand", crate::window::words(sheet)),
            false => format!("Warm it up to {}", crate::window::words(sheet)),
        },
        why: |_| "Read the fluid temperature every minute or so; three readings give a forecast.",
        caution: None,
    },
    Row {
        key: K::SetLevel,
        verb: |sheet, _| match sheet.level {
            Level::SideHole(_) => format!(
                "Inside the window open {}, pour until a trickle runs, then put it in",
                name(sheet, Role::Level)
            ),
            _ => {
                format!("Inside the window open {}; close it when the stream breaks to drops", name(sheet, Role::Level))
            }
        },
        why: |sheet| match sheet.level {
            Level::SideHole(_) => {
                "What runs first stood behind the plug: judge the trickle after a quarter of a minute."
            }
            _ => "A drip that goes on is expansion, not surplus: never wait for dry.",
        },
        caution: Some(
            "Hot fluid overhead, hot exhaust, engine running. Goggles, gloves, sleeves; nothing loose near moving parts.",
        ),
    },
    Row {
        key: K::MeasureRunOff,
        verb: |_, _| "Measure what ran off, with its temperature".to_owned(),
        why: |_| "It closes the ledger.",
        caution: None,
    },
    Row {
        key: K::CloseFill,
        verb: |sheet, _| format!("Put in {}", with_torque(sheet, Role::Fill)),
        why: |_| "Before the vehicle moves.",
        caution: None,
    },
    Row {
        key: K::Torques,
        verb: |_, _| "Record every torque and every new seal".to_owned(),
        why: |_| "What is not on record was not done.",
        caution: None,
    },
    Row {
        key: K::CheckLeaks,
        verb: |_, _| "Wipe every plug, look again after a minute of idling".to_owned(),
        why: |_| "A leak found here costs a rag; found later, a unit.",
        caution: None,
    },
    Row {
        key: K::RoadTest,
        verb: |_, _| "Drive it through all gears, then look for leaks again".to_owned(),
        why: |_| "Shift feel and a dry underside are the customer's proof.",
        caution: None,
    },
    Row {
        key: K::Finish,
        verb: |_, _| "Finish the job and print the proof sheet".to_owned(),
        why: |_| "After this the record is closed.",
        caution: None,
    },
    Row {
        key: K::OpenLine,
        verb: |sheet, _| match &sheet.renewal {
            Renewal::Exchange(exchange) => format!("Engine off. Open the cooler line: {}", exchange.line),
            _ => "Engine off. Open the cooler line".to_owned(),
        },
        why: |_| "Old fluid leaves on one side while fresh fluid goes in on the other. Hoses clamped, both ends in cans.",
        caution: Some(
            "Hot fluid under pressure sprays. Engine off, goggles, gloves; clamp every hose before starting.",
        ),
    },
    Row {
        key: K::StartForExchange,
        verb: |_, _| "Start the engine and leave it idling: it pumps".to_owned(),
        why: |_| "Only as long as fresh fluid goes in as fast as old fluid comes out.",
        caution: Some(
            "Exhaust gas kills without warning. Outdoors or with extraction; an open door is not ventilation.",
        ),
    },
    Row {
        key: K::Exchange,
        verb: |sheet, _| match &sheet.renewal {
            Renewal::Exchange(exchange) => format!("Pass {} through, portion by portion", exchange.volume.printed),
            _ => "Pass the fluid through, portion by portion".to_owned(),
        },
        why: |_| "Enter each portion with what came out and what went in: they must stay together.",
        caution: Some("A unit that runs short of fluid is ruined in a minute. Fluid stops coming: engine off at once."),
    },
    Row {
        key: K::StopAfterExchange,
        verb: |_, _| "Stop the engine".to_owned(),
        why: |_| "The fresh fluid is through; the line is joined with nothing moving.",
        caution: None,
    },
    Row {
        key: K::CloseLine,
        verb: |_, _| "Join the cooler line again".to_owned(),
        why: |_| "With new rings where the union has any; it is looked at again with the other joints.",
        caution: Some("Union and cooler are hot. Gloves and sleeves."),
    },
    Row {
        key: K::Extract,
        verb: |_, _| "Suck the old fluid out and measure it, with its temperature".to_owned(),
        why: |sheet| match &sheet.renewal {
            Renewal::Extraction(extraction) if extraction.leaves.is_some() => {
                "Volume and temperature say how much goes back in; some always stays where the tube does not reach."
            }
            _ => "Volume and temperature say how much goes back in.",
        },
        caution: Some("Hot fluid in a thin hose scalds when it slips off. Gloves, goggles, hose tied to the can."),
    },
    Row {
        key: K::OpenLevel,
        verb: |sheet, _| format!("Open {}", with_drive(sheet, Role::Level)),
        why: |_| "It is filled until it stands there. What runs first stood behind the plug and proves nothing.",
        caution: None,
    },
    Row {
        key: K::WeighBefore,
        verb: |_, _| "Weigh the can with its pump and hose, full".to_owned(),
        why: |_| "What is pumped in cannot be seen; it is the difference of two weights.",
        caution: None,
    },
    Row {
        key: K::WeighAfter,
        verb: |_, fill| format!("Pump in {}, then weigh the can again", litres(fill.first_ml)),
        why: |_| "The same can, pump and hose, hose emptied back.",
        caution: Some(
            "Fluid under pressure goes through skin. Adapter locked before the pump is switched on; no hand on the hose end.",
        ),
    },
    Row {
        key: K::ClosePort,
        verb: |sheet, _| format!("Take the adapter off and put in {}", name(sheet, Role::Level)),
        why: |_| "Quickly: what runs out here is missing later. It comes out once more for the level.",
        caution: None,
    },
    Row {
        key: K::Preset,
        verb: |sheet, _| match sheet.level.preset() {
            Some(preset) => format!(
                "Cold preset: at {}, engine {}, open {} and close it when the stream breaks",
                preset.temperature.printed,
                preset.engine.word(),
                name(sheet, Role::Level)
            ),
            None => "Cold preset".to_owned(),
        },
        why: |_| "A safe minimum to warm it up on. It is not the level, and the job is not done after it.",
        caution: Some("Engine running, fluid overhead. Goggles, gloves, sleeves; nothing loose near moving parts."),
    },
    Row {
        key: K::ReadCold,
        verb: |_, _| "Look at the cold marks".to_owned(),
        why: |_| "A gross error shows there. The level is read hot.",
        caution: None,
    },
    Row {
        key: K::StopEngine,
        verb: |_, _| "Stop the engine for the reading".to_owned(),
        why: |_| "This level is stated with the engine off.",
        caution: None,
    },
    Row {
        key: K::Rest,
        verb: |sheet, _| {
            let minutes = sheet.level.rest().seconds() / 60.0;
            format!("Let it rest {} min", quantity::print::trimmed(minutes, 1))
        },
        why: |sheet| match sheet.level {
            Level::BottomOfHole(_) => "Fluid still hangs on gears and walls; read at once, the level looks too low.",
            Level::ElectronicReadout(_) => "The figure settles only then.",
            _ => "Fluid still runs down the tube and wets the stick above the level.",
        },
        caution: None,
    },
    Row {
        key: K::ReadLevel,
        verb: |sheet, _| match &sheet.level {
            Level::Dipstick(_) => "Wipe, dip, and read both sides at the hot marks: the lower one counts".to_owned(),
            Level::Probe(_) => "Wipe, set the probe in to its stop, and read the wetted length".to_owned(),
            Level::BottomOfHole(hole) => {
                format!("Judge the level at the hole: {} below the edge is right", hole.below.printed)
            }
            Level::ElectronicReadout(shown) => {
                format!("Read the level: {} to {} {} is right", shown.low, shown.high, shown.unit)
            }
            _ => "Read the level".to_owned(),
        },
        why: |sheet| match sheet.level {
            Level::Probe(_) => "The right length depends on the temperature; both limits are read off the chart.",
            Level::BottomOfHole(_) => {
                "Feel with a finger or a bent wire. The first trickle stood behind the plug and proves nothing."
            }
            Level::ElectronicReadout(_) => "Inside its temperature range only, selector at rest.",
            _ => "A wet side that is higher is fluid on its way down.",
        },
        caution: None,
    },
    Row {
        key: K::CloseLevel,
        verb: |sheet, _| format!("Put in {}", with_torque(sheet, Role::Level)),
        why: |_| "The level stands.",
        caution: None,
    },
];
