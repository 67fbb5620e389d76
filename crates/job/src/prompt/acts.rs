//! Buttons and their forms.

use sheet::{Level, Role};

use super::{Act, Ask, Prompt};
use crate::plan::{Fill, StepKey};
use crate::state::State;
use crate::words::WORDS;

pub(super) fn act(
    word: &'static str,
    label: &str,
    fixed: Vec<(&'static str, String)>,
    asks: Vec<Ask>,
    hold: bool,
) -> Act {
    Act { word, label: label.to_owned(), fixed, asks, hold }
}

pub(super) fn ask(field: &'static str, label: &str, unit: &'static str, suggestion: &str) -> Ask {
    Ask { field, label: label.to_owned(), unit, suggestion: suggestion.to_owned(), options: Vec::new() }
}

pub(super) fn choose(field: &'static str, label: &str, options: &[(&'static str, &str)]) -> Ask {
    let options: Vec<_> = options.iter().map(|(word, text)| (*word, (*text).to_owned())).collect();
    Ask { field, label: label.to_owned(), unit: "", suggestion: String::new(), options }
}

pub(super) fn reading() -> Act {
    act("reading", "Enter a reading", Vec::new(), vec![ask("temperature", "Fluid temperature", "°C", "")], false)
}

pub(super) fn look() -> Act {
    let options = [("stream", "Stream"), ("thin-stream", "Thin stream"), ("drops", "Drops"), ("nothing", "Nothing")];
    act("look", "What comes out", Vec::new(), vec![choose("flow", "Run-off", &options)], false)
}

pub(super) fn pour(litres: &str) -> Act {
    let asks = vec![ask("volume", "Poured", "L", litres), ask("at", "Fluid at", "°C", "20")];
    act("pour", "It is in", Vec::new(), asks, false)
}

pub(super) fn measured(word: &'static str, label: &str, litres: &str, at: &str) -> Act {
    act(word, "Enter", Vec::new(), vec![ask("volume", label, "L", litres), ask("at", "Fluid at", "°C", at)], false)
}

pub(super) fn finish() -> Act {
    act("finish", "Finish the job", Vec::new(), Vec::new(), true)
}

/// A close button: torque and seal are asked for only where the sheet has them.
pub(super) fn close(state: &State, plug: &str) -> Act {
    let found = state.plug(plug);
    let name = found.map_or(plug, |plug| plug.name.as_str());
    let mut asks = Vec::new();
    if let Some(torque) = found.and_then(|plug| plug.torque.as_ref()) {
        asks.push(ask("torque", &format!("Torque ({})", torque.printed), "N·m", ""));
    }
    if found.and_then(|plug| plug.seal.as_ref()).is_some_and(|seal| seal.single_use) {
        asks.push(choose("new_seal", "New seal", &[("yes", "New seal fitted"), ("no", "Old seal")]));
    }
    act("close", &format!("{name} is in"), vec![("plug", plug.to_owned())], asks, false)
}

/// An open button, with the plug's own name; held where it cannot be undone.
fn open(state: &State, role: Role, hold: bool) -> Act {
    let (id, name) = state.with_role(role).map(|plug| (plug.id.clone(), plug.name.clone())).unwrap_or_default();
    act("open", &format!("{name} is out"), vec![("plug", id)], Vec::new(), hold)
}

pub(super) fn open_level(state: &State) -> Act {
    open(state, Role::Level, true)
}

/// The buttons of a step.
pub(super) fn acts(key: StepKey, state: &State, fill: &Fill, open_now: bool) -> Vec<Act> {
    let id = |role: Role| state.with_role(role).map(|plug| plug.id.clone()).unwrap_or_default();
    let litres = |volume: quantity::Volume| format!("{:.2}", volume.litres());
    let prove = |role: Role| {
        let plug = || vec![("plug", id(role))];
        let stuck = [plug(), vec![("turned", "no".to_owned())]].concat();
        vec![
            act("prove", "It turned", plug(), Vec::new(), false),
            act("prove", "It does not turn", stuck, Vec::new(), true),
        ]
    };
    let last = state.last_reading().map_or_else(|| "20".to_owned(), |r| format!("{:.0}", r.temp_c.celsius()));
    match key {
        StepKey::LevelVehicle => {
            let asks = vec![ask("pitch", "Nose up", "°", ""), ask("roll", "Right side up", "°", "")];
            vec![act("level-vehicle", "Enter the tilt", Vec::new(), asks, false)]
        }
        StepKey::ProveFill => prove(Role::Fill),
        StepKey::ProveLevel => prove(Role::Level),
        StepKey::OpenDrain => vec![open(state, Role::Drain, true)],
        StepKey::MeasureDrained => {
            let stop = |stop: &crate::stop::DrainStop| {
                act("stop", stop.seen, vec![("because", stop.reason.to_owned())], Vec::new(), true)
            };
            let first = measured("drained", "Drained", "", "");
            std::iter::once(first).chain(crate::stop::DRAIN_STOPS.iter().map(stop)).collect()
        }
        StepKey::MeasureResidue => {
            let usual = state.sheet.capacity.residue.as_ref().map_or(String::new(), |r| litres(r.mid()));
            vec![measured("residue", "In filter and pan", &usual, "20")]
        }
        StepKey::CloseDrain => vec![close(state, &id(Role::Drain))],
        StepKey::OpenFill => vec![open(state, Role::Fill, false)],
        StepKey::Pour => vec![pour(&litres(super::level::first_filling(state, fill)))],
        StepKey::OpenLine => vec![line("open", "The line is open", true)],
        StepKey::CloseLine => vec![line("joined", "The line is joined", false)],
        StepKey::Exchange => vec![exchange(), stop_engine()],
        StepKey::StopAfterExchange | StepKey::StopEngine => vec![stop_engine()],
        StepKey::Extract => vec![measured("drained", "Sucked out", "", "")],
        StepKey::OpenLevel => vec![open(state, Role::Level, false)],
        StepKey::WeighBefore => vec![weigh("before")],
        StepKey::WeighAfter => vec![weigh("after")],
        StepKey::ClosePort | StepKey::CloseLevel => vec![close(state, &id(Role::Level))],
        StepKey::Preset => vec![open_level(state), reading()],
        StepKey::ReadCold => vec![dip("cold"), reading()],
        StepKey::Rest => vec![act("rest", "It has rested", Vec::new(), Vec::new(), false)],
        StepKey::ReadLevel => vec![read_level(state), reading()],
        StepKey::StartEngine | StepKey::StartForExchange => {
            vec![act("start-engine", "Engine is idling", Vec::new(), Vec::new(), true)]
        }
        StepKey::PourAfterStart => vec![pour(&litres(fill.after_start_ml)), reading()],
        StepKey::CycleSelector => {
            let fixed = vec![("nobody_underneath", "yes".to_owned())];
            vec![act("cycle-selector", "Nobody underneath; all ranges held", fixed, Vec::new(), true), reading()]
        }
        StepKey::WarmUp | StepKey::SetLevel if open_now => vec![open_level(state), reading()],
        StepKey::WarmUp | StepKey::SetLevel => vec![reading(), open_level(state)],
        StepKey::MeasureRunOff => vec![measured("run-off", "Ran off", "", &last)],
        StepKey::CloseFill => vec![close(state, &id(Role::Fill))],
        StepKey::Torques => torques(state),
        StepKey::CheckLeaks => vec![
            act("leak-check", "All dry", vec![("result", "dry".to_owned())], Vec::new(), false),
            act("leak-check", "It leaks", vec![("result", "leak".to_owned())], Vec::new(), false),
        ],
        StepKey::RoadTest => vec![act("road-test", "Driven", Vec::new(), Vec::new(), false), finish()],
        StepKey::Finish => vec![finish()],
    }
}

/// One button for each torque or seal that is still missing.
fn torques(state: &State) -> Vec<Act> {
    let mut acts = Vec::new();
    for plug in &state.sheet.plugs {
        let now = state.plug_state(&plug.id);
        if !now.disturbed || now.out {
            continue;
        }
        let fixed = || vec![("plug", plug.id.clone())];
        if let Some(torque) = plug.torque.as_ref().filter(|_| now.torque_nm.is_none()) {
            let label = format!("{} ({})", plug.name, torque.printed);
            acts.push(act("tighten", "Enter the torque", fixed(), vec![ask("torque", &label, "N·m", "")], false));
        }
        if plug.seal.as_ref().is_some_and(|seal| seal.single_use) && !now.new_seal {
            acts.push(act("seal", &format!("{}: new seal fitted", plug.name), fixed(), Vec::new(), false));
        }
    }
    acts
}

pub(super) fn stop_engine() -> Act {
    act("stop-engine", "Engine is off", Vec::new(), Vec::new(), false)
}

fn line(state: &str, label: &str, hold: bool) -> Act {
    act("line", label, vec![("state", state.to_owned())], Vec::new(), hold)
}

fn exchange() -> Act {
    let asks = vec![
        ask("out", "Came out", "L", ""),
        ask("out_at", "Old fluid at", "°C", ""),
        ask("in", "Went in", "L", ""),
        ask("in_at", "New fluid at", "°C", "20"),
    ];
    act("exchange", "Enter the portion", Vec::new(), asks, false)
}

fn weigh(when: &str) -> Act {
    let asks = vec![ask("mass", "Can, pump and hose", "kg", ""), ask("at", "Fluid at", "°C", "20")];
    act("weigh", "Enter the weight", vec![("when", when.to_owned())], asks, false)
}

fn dip(mark: &str) -> Act {
    let asks =
        vec![ask("one_side", "One side, above the low mark", "mm", ""), ask("other_side", "Other side", "mm", "")];
    act("dip", "Enter both sides", vec![("mark", mark.to_owned())], asks, false)
}

/// The form for the reading of this family.
pub(super) fn read_level(state: &State) -> Act {
    match &state.sheet.level {
        Level::Probe(_) => {
            act("probe", "Enter the length", Vec::new(), vec![ask("reading", "Wetted length", "mm", "")], false)
        }
        Level::BottomOfHole(_) => {
            let below = ask("below", "Below the edge", "mm", "");
            act("edge", "Enter the depth", vec![("seen", "below".to_owned())], vec![below], false)
        }
        Level::ElectronicReadout(shown) => {
            let asks = vec![ask("value", &format!("Figure shown, {}", shown.unit), "", "")];
            act("readout", "Enter the figure", Vec::new(), asks, false)
        }
        _ => dip("hot"),
    }
}

/// It runs over the edge of an open hole.
pub(super) fn runs_over() -> Act {
    act("edge", "It runs over", vec![("seen", "runs".to_owned())], Vec::new(), false)
}

pub(super) fn take_out(litres: &str) -> Act {
    act(
        "run-off",
        "It is out",
        Vec::new(),
        vec![ask("volume", "Taken out", "L", litres), ask("at", "Fluid at", "°C", "20")],
        false,
    )
}

/// What can be entered at any time, whatever the prompt: pouring, taking out, and the readings of the family; of a unit
/// with several circuits each for every circuit, with the circuit's name.
pub fn at_hand(state: &State) -> Vec<(String, Act)> {
    let mut all = Vec::new();
    for one in state.circuits() {
        let mut acts = vec![pour(""), measured("run-off", "Volume", "", "20")];
        let level = &one.sheet.level;
        if level.is_read() {
            acts.push(read_level(&one));
        }
        if matches!(level, Level::BottomOfHole(_)) {
            acts.push(runs_over());
        }
        if matches!(level, Level::Dipstick(stick) if stick.cold.is_some()) {
            acts.push(dip("cold"));
        }
        if crate::family::renew::line_open(&one) {
            acts.extend([exchange(), line("joined", "The line is joined", false)]);
        }
        let whole = Prompt {
            step: None,
            circuit: None,
            urgency: super::Urgency::Calm,
            verb: String::new(),
            why: String::new(),
            caution: None,
            acts,
        };
        let name = state.sheet.circuit_name(&one.sheet.circuit.0).to_owned();
        all.extend(named(whole, state, &one.sheet.circuit.0).acts.into_iter().map(|act| (name.clone(), act)));
    }
    all
}

/// A prompt of one circuit of several: its buttons name the circuit, and what is poured names its fluid.
pub(super) fn named(mut prompt: Prompt, state: &State, circuit: &str) -> Prompt {
    if state.sheet.further.is_empty() {
        return prompt;
    }
    let fluids = state.sheet.circuits().into_iter().filter_map(|id| state.sheet.of_circuit(id));
    let fluids: Vec<String> = fluids.flat_map(|sheet| sheet.fluid.approvals).collect();
    for act in &mut prompt.acts {
        let takes = |field: &str| WORDS.iter().any(|row| row.word == act.word && row.may.contains(&field));
        let (of, fluid) = (takes("circuit"), takes("fluid"));
        if of {
            act.fixed.push(("circuit", circuit.to_owned()));
        }
        if fluid {
            act.asks.push(Ask {
                field: "fluid",
                label: format!("Fluid on the can ({})", fluids.join(" or ")),
                unit: "",
                suggestion: String::new(),
                options: Vec::new(),
            });
        }
    }
    prompt.circuit = Some(circuit.to_owned());
    prompt
}
