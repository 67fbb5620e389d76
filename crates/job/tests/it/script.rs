//! A job written as a table, run by one `check`.
//!
//! A line is `m:ss | word | field=value | … | => expected`. Without `=>` the command must be written. `=> code` is the
//! code it is refused with; `=> +gate: reason` passes that gate by a typed reason; with a further `=> code` that is not
//! enough.

use job::command::Opening;
use job::entry::Body;
use job::words::{Fields, command};
use job::{Entry, Fact, Override, State, act, fold};

use crate::tables::{CLOSING, READY};

/// The first shipped sheet: overflow, window 35–45 °C, plugs fill, level and drain, 9 L.
pub fn opening() -> Opening {
    Opening {
        sheet: sheet::shipped()[0].1.to_owned(),
        vehicle: "invented van".to_owned(),
        odometer_km: None,
        fluid_age_km: None,
        fluid: "invented fluid".to_owned(),
        technician: "T".to_owned(),
        demo: false,
        severe: false,
        fill_ml: None,
        found: None,
    }
}

/// The log of a job that was only opened.
pub fn opened() -> Vec<Entry> {
    let fact = Fact::JobOpened(Box::new(opening()));
    vec![Entry { seq: 1, at_ms: 0, by: "T".to_owned(), body: Body { fact, overrides: Vec::new() } }]
}

/// The text of a shipped sheet by its name without the ending.
pub fn named(sheet: &str) -> &'static str {
    let found = sheet::shipped().iter().find(|(file, _)| file.strip_suffix(".toml") == Some(sheet));
    found.map(|(_, text)| *text).unwrap_or_else(|| panic!("{sheet} is not shipped"))
}

/// The log of a job that was only opened, with a sheet of its own.
pub fn opened_with(sheet: &str) -> Vec<Entry> {
    let fact = Fact::JobOpened(Box::new(Opening { sheet: sheet.to_owned(), ..opening() }));
    vec![Entry { seq: 1, at_ms: 0, by: "T".to_owned(), body: Body { fact, overrides: Vec::new() } }]
}

/// Runs a table on top of a log and gives the log and its state.
pub fn run(mut log: Vec<Entry>, table: &str) -> (Vec<Entry>, State) {
    for (number, line) in table.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let (work, expected) = line.split_once("=>").map_or((line, ""), |(work, expected)| (work, expected.trim()));
        let mut cells = work.split('|').map(str::trim).filter(|cell| !cell.is_empty());
        let at_ms = clock(cells.next().unwrap_or_default());
        let word = cells.next().unwrap_or_default();
        let fields: Fields = cells
            .filter_map(|cell| cell.split_once('='))
            .map(|(k, v)| (k.trim().to_owned(), v.trim().to_owned()))
            .collect();
        let state = fold(&log).unwrap();
        let given = command(word, &fields).unwrap_or_else(|why| panic!("line {number}: {line}: {why}"));
        let (expected, still) = expected.split_once("=>").map_or((expected, ""), |(e, still)| (e.trim(), still.trim()));
        let overrides = passed(expected);
        match act(&state, &given, &overrides, at_ms) {
            Ok((facts, mut taken)) => {
                assert!(
                    expected.is_empty() || expected.starts_with('+') && still.is_empty(),
                    "line {number}: {line}: was written"
                );
                assert_eq!(taken.len(), overrides.len(), "line {number}: {line}: gate was not in the way");
                let before = log.len();
                for fact in facts {
                    let body = Body { fact, overrides: std::mem::take(&mut taken) };
                    log.push(Entry { seq: log.len() as u64 + 1, at_ms, by: "T".to_owned(), body });
                }
                same_as_folding(&state, &log, before);
            }
            Err(refusal) => {
                let code = if still.is_empty() { expected } else { still };
                assert_eq!(refusal.code(), code, "line {number}: {line}");
            }
        }
    }
    let state = fold(&log).unwrap();
    (log, state)
}

/// Following the state by the entries after `before` gives what folding the whole log gives, unless one reaches back.
pub fn same_as_folding(state: &State, log: &[Entry], before: usize) {
    let reaches_back = log[before..].iter().any(|entry| entry.body.fact.kind().starts_with("entry-"));
    let followed = job::follow(state, &log[before..]);
    assert_eq!(followed, (!reaches_back).then(|| fold(log).unwrap()), "after entry {before}");
}

/// Runs a table from the opening of a job.
pub fn check(table: &str) -> State {
    run(opened(), table).1
}

fn clock(cell: &str) -> i64 {
    let (minutes, seconds) = cell.split_once(':').unwrap_or_else(|| panic!("“{cell}” is no m:ss"));
    (minutes.parse::<i64>().unwrap() * 60 + seconds.parse::<i64>().unwrap()) * 1000
}

fn passed(expected: &str) -> Vec<Override> {
    let Some(list) = expected.strip_prefix('+') else { return Vec::new() };
    let (gates, reason) = list.split_once(':').unwrap();
    gates
        .split(',')
        .map(|code| Override { gate: job::Gate::from_code(code.trim()).unwrap(), reason: reason.trim().to_owned() })
        .collect()
}

#[test]
fn script_whole_job_ends_finished_with_the_level_set() {
    let state = check(&format!("{READY}{CLOSING} 51:00 | finish"));
    assert_eq!(state.ending, Some(job::state::Ending::Finished));
    assert!(state.level_set());
    assert!(state.overrides.is_empty());
    assert_eq!(State::total(&state.poured).ml(), 4800.0);
    assert_eq!(state.plugs_out().len(), 0);
}

#[test]
fn script_wrong_steps_are_refused_on_the_way_and_change_nothing() {
    let state = check(&format!(
        "
        0:00 | open | plug=drain => fill-plug-not-proven
        0:01 | prove | plug=fill
        0:02 | open | plug=drain => level-plug-not-proven
        0:03 | start-engine
        0:04 | prove | plug=level
        0:05 | open | plug=drain => engine-not-off
        0:06 | stop-engine
        {READY}{CLOSING}
        51:00 | finish
        52:00 | open | plug=drain => job-ended
        "
    ));
    assert_eq!(state.ending, Some(job::state::Ending::Finished));
}

#[test]
fn script_stuck_fill_plug_ends_the_job_while_the_vehicle_drives() {
    let state = check("0:00 | prove | plug=fill | turned=no");
    let Some(job::state::Ending::Stopped { reason }) = state.ending else { panic!("not stopped") };
    assert!(reason.contains("Fill plug") && reason.contains("still drives"), "{reason}");
}

#[test]
fn script_engine_stop_with_the_level_plug_out_starts_over() {
    let state = check(&format!(
        "{READY}
        28:10 | open | plug=level
        28:20 | look | flow=stream
        28:40 | stop-engine
        28:50 | start-engine => level-plug-out
        29:00 | close | plug=level
        29:10 | start-engine => lost-fluid-not-added
        29:20 | finish => lost-fluid-not-added
        30:00 | pour | volume=1.5 L | at=20 °C
        31:00 | start-engine
        31:10 | open | plug=level => selector-not-cycled
        31:20 | cycle-selector | nobody_underneath=yes
        31:40 | reading | temperature=38 °C
        31:50 | open | plug=level
        31:55 | look | flow=stream
        33:00 | look | flow=drops
        33:05 | close | plug=level | torque=12 N·m | new_seal=yes
        "
    ));
    assert_eq!(state.settings.len(), 2);
    assert!(state.settings[0].spoilt && state.level_set());
}

#[test]
fn script_too_hot_is_never_done() {
    let state = check(&format!(
        "{READY}
        28:10 | open | plug=level
        28:20 | look | flow=stream
        32:00 | reading | temperature=47 °C
        32:05 | look | flow=drops | drops_per_min=100
        32:10 | close | plug=level | torque=12 N·m | new_seal=yes
        33:00 | close | plug=fill | torque=35 N·m | new_seal=yes
        34:00 | leak-check | result=dry
        35:00 | finish => level-not-set
        36:00 | finish => +level-not-set: customer takes it home, comes back tomorrow
        "
    ));
    assert_eq!(state.level_verdict(), Some(job::state::SettingVerdict::ClosedHot));
    assert_eq!(state.overrides.len(), 1);
    assert_eq!(state.overrides[0].reason, "customer takes it home, comes back tomorrow");
}

#[test]
fn script_nothing_came_is_not_a_level() {
    let state = check(&format!(
        "{READY}
        28:10 | open | plug=level
        28:20 | look | flow=nothing
        28:30 | close | plug=level | torque=12 N·m | new_seal=yes
        "
    ));
    assert_eq!(state.level_verdict(), Some(job::state::SettingVerdict::NothingCame));
}

#[test]
fn script_correction_replaces_a_volume_in_its_place() {
    let (log, state) = run(
        opened(),
        &format!(
            "{READY} 28:05 | correct | entry=6 | because=read the wrong scale | as=drained | volume=4.10 L | at=35 °C"
        ),
    );
    assert_eq!(log[5].body.fact.kind(), "fluid-drained");
    assert_eq!(State::total(&state.drained).ml(), 4100.0);
    assert_eq!(state.corrections.len(), 1);
    let (_, state) = run(log, "28:06 | correct | entry=6 | because=not drained at all | withdraw=yes");
    assert!(state.drained.is_empty());
}

#[test]
fn script_correction_of_what_is_not_there_is_refused() {
    check(
        "
        0:00 | correct | entry=1 | because=x | withdraw=yes => no-such-entry
        0:00 | correct | entry=99 | because=x | withdraw=yes => no-such-entry
        0:00 | open | plug=cooler => no-such-plug
        0:00 | reading | temperature=450 °C => impossible
        0:00 | look | flow=drops => impossible
        ",
    );
}

#[test]
fn script_a_late_reading_takes_its_own_place() {
    let state = check(&format!("{READY} 27:00 | reading | temperature=34 °C"));
    let celsius: Vec<f64> = state.readings.iter().map(|r| r.temp_c.celsius()).collect();
    assert_eq!(celsius, [24.0, 29.0, 33.0, 34.0, 36.0]);
}

/// Scenario: drops below one and a half times the expansion flow, but above the high edge, is never “done”; inside the
/// window it is expansion. 12.15 mL/min = 9 L × 0.00075/K × 1.8 K/min; 243 drops of 0.05 mL are the same flow.
#[test]
fn hand_drips_are_expansion_inside_the_window_and_too_hot_above_it() {
    use job::prompt::{Outlook, Urgency, prompt};
    let at = |table: &str, now_s: i64| {
        let state = check(&format!("{READY} 28:10 | open | plug=level \n 28:20 | look | flow=stream \n {table}"));
        let outlook = Outlook { expansion_ml_per_min: Some(12.15), ..Outlook::default() };
        prompt(&state, &job::plan::plan_of(&state.opening, &state.sheet), &outlook, now_s * 1000)
    };
    let inside = at("30:00 | reading | temperature=40 °C \n 30:05 | look | flow=drops | drops_per_min=243", 1810);
    assert_eq!((inside.urgency, inside.acts[0].word), (Urgency::ActNow, "close"));
    assert!(inside.verb.contains("expansion"), "{}", inside.verb);
    let above = at("33:00 | reading | temperature=46 °C \n 33:05 | look | flow=drops | drops_per_min=243", 1990);
    assert_eq!((above.urgency, above.acts[0].word), (Urgency::Stop, "close"));
    assert!(above.verb.starts_with("Too hot"), "{}", above.verb);
}
