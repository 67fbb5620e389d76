//! Somebody who does what the prompts say and nothing else gets every family to its end.

use crate::script::{named, opened_with, same_as_folding};
use job::entry::Body;
use job::prompt::{Outlook, Prompt, prompt};
use job::state::{Ending, State};
use job::words::{Fields, command};
use job::{Entry, act, fold};
use sheet::Level;

/// More prompts than any job needs.
const LONGEST: usize = 200;

/// A fluid and a level that follow what is done, roughly: 2 K a minute warmer while it idles, colder else.
struct Vehicle {
    fluid_c: f64,
    opened_ms: i64,
    level_mm: f64,
}

impl Vehicle {
    fn passes(&mut self, state: &State, seconds: i64) {
        let minutes = seconds as f64 / 60.0;
        self.fluid_c += if state.idling_since_ms.is_some() { 2.0 } else { -0.5 } * minutes;
        self.fluid_c = self.fluid_c.max(20.0);
    }

    /// What a person would enter into a field.
    fn answer(&self, field: &str, word: &str, suggestion: &str, state: &State, now_ms: i64) -> String {
        let sheet = &state.sheet;
        match field {
            "temperature" => format!("{:.0} °C", self.fluid_c),
            "pitch" | "roll" => "0.1°".to_owned(),
            "at" | "out_at" | "in_at" => "20 °C".to_owned(),
            "out" | "in" => "4 L".to_owned(),
            "mass" if state.weighed.is_empty() => "9.0 kg".to_owned(),
            "mass" => "6.0 kg".to_owned(),
            "one_side" | "other_side" | "reading" => format!("{:.1} mm", self.level_mm),
            "below" => "2 mm".to_owned(),
            "value" => "50".to_owned(),
            "new_seal" => "yes".to_owned(),
            "flow" if now_ms - self.opened_ms > 60_000 => "drops".to_owned(),
            "flow" if matches!(sheet.level, Level::SideHole(_)) => "nothing".to_owned(),
            "flow" => "stream".to_owned(),
            "fluid" => suggestion.to_owned(),
            "volume" if !suggestion.is_empty() => format!("{suggestion} L"),
            "volume" if word == "drained" => "3 L".to_owned(),
            "volume" => "0.3 L".to_owned(),
            other => panic!("{word} asks for {other}"),
        }
    }
}

fn seconds(word: &str, shown: &Prompt) -> i64 {
    match word {
        "drained" => 600,
        "reading" if shown.verb.contains("rest") => 60,
        "reading" => 45,
        "road-test" => 900,
        "look" => 20,
        "close" => 8,
        _ => 30,
    }
}

/// Follows the prompts of a sheet until the job has ended; gives its last state and every verb shown.
fn follow(text: &str) -> (State, Vec<String>) {
    let mut log = opened_with(text);
    let mut vehicle = Vehicle { fluid_c: 25.0, opened_ms: 0, level_mm: 5.0 };
    let (mut now_ms, mut verbs) = (0, Vec::new());
    for _ in 0..LONGEST {
        let state = fold(&log).expect("folds");
        if state.ending.is_some() {
            return (state, verbs);
        }
        let plan = job::plan::plan_of(&state.opening, &state.sheet);
        let shown = prompt(&state, &plan, &Outlook::default(), now_ms);
        verbs.push(shown.verb.clone());
        // A reader beside the open plug is looked at all the time.
        let stale = state.last_reading().is_none_or(|reading| now_ms - reading.at_ms > 45_000);
        let watch = state.setting_level() && stale;
        let mut buttons = shown.acts.iter().filter(|act| !watch || act.word == "reading");
        let button = buttons.next().unwrap_or_else(|| panic!("no button: {shown:#?}"));
        let wait = seconds(button.word, &shown);
        now_ms += wait * 1000;
        vehicle.passes(&state, wait);
        // The probe's right reading moves with the temperature; any other is steady.
        if let Level::Probe(probe) = &state.sheet.level {
            let at = quantity::Temperature::from_celsius(vehicle.fluid_c);
            vehicle.level_mm = job::family::read::chart_limits(probe, at).map_or(30.0, |limits| limits.low.mm() + 2.0);
        }
        let mut fields: Fields = button.fixed.iter().map(|(k, v)| ((*k).to_owned(), v.clone())).collect();
        let circuit = fields.get("circuit").cloned().and_then(|id| state.sheet.of_circuit(&id));
        let own = circuit.map(|sheet| sheet.fluid.approvals[0].clone()).unwrap_or_default();
        let asked = fields
            .get("plug")
            .and_then(|plug| state.plug(plug)?.torque.as_ref())
            .map(|torque| format!("{:.0} N·m", torque.mid().nm()));
        for ask in &button.asks {
            if let Some(asked) = asked.as_ref().filter(|_| ask.field == "torque") {
                fields.insert(ask.field.to_owned(), asked.clone());
                continue;
            }
            let suggestion = if ask.field == "fluid" { own.as_str() } else { ask.suggestion.as_str() };
            let seen = state.seen_by(shown.circuit.as_deref().unwrap_or(&state.sheet.circuit.0));
            fields.insert(ask.field.to_owned(), vehicle.answer(ask.field, button.word, suggestion, &seen, now_ms));
        }
        let given = command(button.word, &fields).unwrap_or_else(|why| panic!("{}: {why}: {fields:?}", button.word));
        let (facts, _) = act(&state, &given, &[], now_ms).unwrap_or_else(|why| {
            panic!("{}: “{}” is refused: {:?}; {verbs:#?}", state.sheet.id, shown.verb, why.message())
        });
        if button.word == "open" {
            let plug = fields.get("plug").and_then(|plug| state.plug(plug));
            assert!(plug.is_some_and(|plug| button.label.starts_with(&plug.name)), "{fields:?}: {}", button.label);
            vehicle.opened_ms = now_ms;
        }
        let before = log.len();
        for fact in facts {
            let body = Body { fact, overrides: Vec::new() };
            log.push(Entry { seq: log.len() as u64 + 1, at_ms: now_ms, by: "T".to_owned(), body });
        }
        same_as_folding(&state, &log, before);
    }
    panic!("the prompts lead in a circle: {verbs:#?}");
}

#[test]
fn sim_the_prompts_lead_every_family_to_its_end() {
    for (file, text) in sheet::shipped() {
        let (state, verbs) = follow(text);
        assert_eq!(state.ending, Some(Ending::Finished), "{file}: {verbs:#?}");
        assert!(state.level_set(), "{file}");
        assert!(verbs.iter().all(|verb| !verb.is_empty()), "{file}");
    }
}

/// The same where the level is stated with the engine off: it is idled warm, stopped, rested, then read.
#[test]
fn sim_the_prompts_stop_the_engine_for_a_level_stated_with_it_off() {
    for sheet in ["marrow-d4", "lunde-v1", "vexel-e9"] {
        let text = named(sheet).replace("engine = \"idling\"", "engine = \"off\"");
        let (state, verbs) = follow(&text);
        assert!(state.level_set(), "{sheet}");
        let place = |start: &str| verbs.iter().position(|verb| verb.starts_with(start));
        assert!(place("Stop the engine for the reading") < place("Let it rest"), "{verbs:#?}");
        assert!(place("Start the engine") < place("Stop the engine for the reading"), "{verbs:#?}");
    }
}

/// And where it was too little: the reading says what to add, and it is read again.
#[test]
fn sim_the_prompts_mend_a_level_that_was_read_too_low() {
    let text = named("vexel-e9").replace("low = 46\nhigh = 54", "low = 52\nhigh = 58");
    let mut log = opened_with(&text);
    let table = format!("{} 40:10 | rest \n 40:20 | readout | value=50", crate::tables::READOUT);
    let state;
    (log, state) = crate::script::run(log, &table);
    let plan = job::plan::plan_of(&state.opening, &state.sheet);
    let at = |log: &[Entry], now_s: i64| prompt(&fold(log).unwrap(), &plan, &Outlook::default(), now_s * 1000);
    // 55 is the middle, 30 mL to one: 5 × 30 = 150 mL are missing.
    let shown = at(&log, 2425);
    assert_eq!((shown.acts[0].word, shown.verb.as_str()), ("pour", "Add 0.15 L, let it rest, read again."));
    (log, _) = crate::script::run(log, "40:40 | pour | volume=0.15 L | at=20 °C");
    assert!(at(&log, 2445).verb.starts_with("Let it rest"), "{}", at(&log, 2445).verb);
}
