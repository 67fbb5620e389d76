//! Clocks that go back, jump ahead or disagree open no gate that a right clock keeps shut.

use job::entry::Body;
use job::words::{Fields, command};
use job::{Entry, State, act, fold};

use crate::script::{opened, run};
use crate::tables::READY;

const HOUR_MS: i64 = 3_600_000;
const YEAR_MS: i64 = 365 * 24 * HOUR_MS;
/// The moment before the level plug comes out: 36 °C was read ten seconds ago.
const NOW_MS: i64 = (28 * 60 + 10) * 1000;

fn ready() -> Vec<Entry> {
    run(opened(), READY).0
}

/// Enters one act at a time of its own, whatever stands before it; gives the code of a refusal.
fn enter(log: &mut Vec<Entry>, at_ms: i64, word: &str, fields: &[(&str, &str)]) -> Result<(), &'static str> {
    let fields: Fields = fields.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
    let state = fold(log).unwrap();
    let (facts, _) = act(&state, &command(word, &fields).unwrap(), &[], at_ms).map_err(|refusal| refusal.code())?;
    for fact in facts {
        let body = Body { fact, overrides: Vec::new() };
        log.push(Entry { seq: log.len() as u64 + 1, at_ms, by: "T".to_owned(), body });
    }
    Ok(())
}

fn read(log: &mut Vec<Entry>, at_ms: i64, celsius: &str) {
    enter(log, at_ms, "reading", &[("temperature", celsius)]).unwrap();
}

fn opens(log: &[Entry], at_ms: i64) -> Result<(), &'static str> {
    enter(&mut log.to_vec(), at_ms, "open", &[("plug", "level")])
}

/// What it is about, the readings with their times, when the plug is to come out, and whether it may.
type Row<'a> = (&'a str, &'a [(i64, &'a str)], i64, Result<(), &'static str>);

/// What was read last counts, whatever time it bears; what lies ahead of now counts for nothing; of two devices that disagree
/// within the two minutes of a reading both must allow it. READY ends with 36 °C at 28:00, inside the window of 35–45 °C.
#[test]
fn fault_no_clock_hides_a_temperature() {
    let rows: &[Row<'_>] = &[
        ("as it should be", &[], NOW_MS, Ok(())),
        ("hot, clock back by an hour", &[(NOW_MS - HOUR_MS, "55 °C")], NOW_MS - HOUR_MS, Err("too-hot")),
        ("hot, clock back, then right again", &[(NOW_MS - HOUR_MS, "55 °C")], NOW_MS, Ok(())),
        ("nothing read since the clock went back", &[], NOW_MS - HOUR_MS, Err("temperature-unknown")),
        ("clock ahead by a year", &[], NOW_MS + YEAR_MS, Err("temperature-unknown")),
        ("read ahead by a year, clock right again", &[(NOW_MS + YEAR_MS, "40 °C")], NOW_MS, Err("temperature-unknown")),
        ("the same, read again", &[(NOW_MS + YEAR_MS, "55 °C"), (NOW_MS, "40 °C")], NOW_MS, Ok(())),
        ("before 1970", &[(-YEAR_MS, "55 °C")], -YEAR_MS, Err("too-hot")),
        ("year 20000", &[(18_030 * YEAR_MS, "55 °C")], 18_030 * YEAR_MS, Err("too-hot")),
        (
            "hot now, an older good one comes late",
            &[(NOW_MS, "55 °C"), (NOW_MS - 60_000, "40 °C")],
            NOW_MS,
            Err("too-hot"),
        ),
        (
            "good now, an older hot one comes late",
            &[(NOW_MS, "40 °C"), (NOW_MS - 60_000, "55 °C")],
            NOW_MS,
            Err("too-hot"),
        ),
        (
            "good now, one of ten minutes ago comes late",
            &[(NOW_MS, "40 °C"), (NOW_MS - 600_000, "25 °C")],
            NOW_MS,
            Ok(()),
        ),
        (
            "cold now, an older good one comes late",
            &[(NOW_MS, "20 °C"), (NOW_MS - 60_000, "40 °C")],
            NOW_MS,
            Err("too-cold"),
        ),
        ("of two at the same moment the last entered", &[(NOW_MS, "40 °C"), (NOW_MS, "55 °C")], NOW_MS, Err("too-hot")),
        ("ends of the number line", &[(i64::MIN, "55 °C"), (i64::MAX, "55 °C")], NOW_MS, Err("temperature-unknown")),
    ];
    for (what, readings, at_ms, expected) in rows {
        let mut log = ready();
        for (at_ms, celsius) in *readings {
            read(&mut log, *at_ms, celsius);
        }
        assert_eq!(opens(&log, *at_ms), *expected, "{what}");
    }
}

/// Right again after an hour back: the hot reading lies an hour behind, 36 °C is ten seconds old. It was entered before, so the
/// page asks for a new one first.
#[test]
fn fault_a_rest_is_not_shortened_by_a_clock_that_went_back() {
    let rest_left = |state: &State, at_ms| job::family::gates::rest_left_ms(state, at_ms);
    let table = format!("{} 41:00 | pour | volume=0.1 L | at=20 °C", crate::tables::DIPSTICK);
    let (_, state) = run(crate::script::opened_with(crate::script::named("marrow-d4")), &table);
    let poured_ms = 41 * 60 * 1000;
    assert_eq!(rest_left(&state, poured_ms + 20_000), 40_000);
    assert_eq!(rest_left(&state, poured_ms - HOUR_MS), 60_000, "never more than the sheet asks, never less");
    assert_eq!(rest_left(&state, i64::MIN), 60_000);
}

#[test]
fn fault_prompt_and_outcome_stand_any_clock() {
    let (log, _) = run(opened(), &format!("{READY}{}", crate::tables::CLOSING));
    for shift in [0, -HOUR_MS, YEAR_MS, -50 * YEAR_MS, 18_000 * YEAR_MS, i64::MIN, i64::MAX] {
        // Every entry from the level plug on bears the shifted time.
        let mut shifted = log.clone();
        shifted
            .iter_mut()
            .filter(|entry| entry.seq > 17)
            .for_each(|entry| entry.at_ms = entry.at_ms.saturating_add(shift));
        for n in 1..=shifted.len() {
            let state = fold(&shifted[..n]).unwrap();
            let plan = job::plan::plan_of(&state.opening, &state.sheet);
            for now_ms in [NOW_MS, NOW_MS.saturating_add(shift), i64::MIN, i64::MAX] {
                let _ = job::prompt(&state, &plan, &job::prompt::Outlook::default(), now_ms);
            }
            let _ = job::outcome::outcome(&state);
        }
    }
}
