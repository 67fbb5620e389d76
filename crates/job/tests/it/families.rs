//! One scripted job for each procedure family, from open to finish, with what it comes to.

use crate::script::{named, opened_with, run};
use crate::tables::*;
use job::outcome::{Outcome, outcome};
use job::state::{Ending, SettingVerdict, State};

/// The job of a shipped sheet, which must end finished.
fn finished(sheet: &str, table: &str) -> (State, Outcome) {
    let (_, state) = run(opened_with(named(sheet)), table);
    assert_eq!(state.ending, Some(Ending::Finished), "{sheet}");
    assert!(state.overrides.is_empty() && state.plugs_out().is_empty(), "{sheet}");
    let outcome = outcome(&state);
    (state, outcome)
}

fn left(outcome: &Outcome) -> (f64, f64) {
    let left = outcome.as_left_ml.expect("a figure as left");
    (left.value.ml(), left.u.ml())
}

#[track_caller]
fn close(found: f64, expected: f64, allowed: f64) {
    assert!((found - expected).abs() <= allowed, "{found} is not {expected} ± {allowed}");
}

#[test]
fn script_two_stage_overflow_is_not_done_after_the_cold_preset() {
    let (_, cold) = run(opened_with(named("ostrel-t8")), TWO_STAGE);
    assert_eq!(cold.level_verdict(), Some(SettingVerdict::PresetOnly));
    assert!(!cold.level_set() && outcome(&cold).as_left_ml.is_none());
    assert!(outcome(&cold).as_left_words.contains("safe minimum"));
    let (state, outcome) = finished("ostrel-t8", &format!("{TWO_STAGE}{TWO_STAGE_HOT} 56:00 | finish"));
    assert_eq!(state.settings.iter().map(|s| s.preset).collect::<Vec<_>>(), [true, false]);
    assert!(left(&outcome).0.abs() < 150.0);
}

/// 12 mm between the marks are 350 mL (the sheet), so 1 mm is 29.17 mL. The lower side, 3 mm, is 3 mm below the middle:
/// −87.5 mL. At 75 °C, the middle of 70–80 °C, the heat adds nothing. The tube enters 110 mm ahead of the middle and the nose
/// is 0.5° up: 350 mL/12 mm × 110 mm × tan 0.5° = +28.0 mL. Any reading between the marks is right: a tolerance, no doubt.
#[test]
fn script_dipstick_reads_the_lower_side() {
    let (_, outcome) = finished("marrow-d4", &format!("{DIPSTICK}{DIPSTICK_END} 60:00 | finish"));
    let (value, u) = left(&outcome);
    close(value, -87.5 + 28.0, 0.8);
    assert!(
        outcome.assumptions.iter().any(|line| line.contains("they allow 175") && line.contains("either way")),
        "{:?}",
        outcome.assumptions
    );
    // Reading: 29.17 × √(1² + (2/2/√3)²) = 33.7, marks' volume 5 % of 87.5 = 4.4: 34 mL. Heat: 8.9 L × 0.00073 × 2 K ≈ 13.
    // Tilt: 0.2° on 110 and on 70 mm, 11.2 and 7.1 mL.
    close(u, (34.0f64.powi(2) + 13.0f64.powi(2) + 11.2f64.powi(2) + 7.1f64.powi(2)).sqrt(), 1.5);
    assert!(
        outcome.as_left_words.contains("read inside its limits: 3 mm above the low mark"),
        "{}",
        outcome.as_left_words
    );
}

#[test]
fn script_dipstick_too_low_is_added_to_and_read_again() {
    let (log, low) = run(
        opened_with(named("marrow-d4")),
        &format!("{DIPSTICK} 40:10 | dip | mark=hot | one_side=-4 mm | other_side=-2 mm"),
    );
    assert_eq!(low.level_verdict(), Some(SettingVerdict::TooLow));
    let (_, poured) = run(log.clone(), "41:00 | pour | volume=0.30 L | at=20 °C");
    assert_eq!(poured.level_verdict(), None, "what was read before the pouring counts no more");
    let (_, set) = run(
        log,
        "
        41:00 | pour | volume=0.30 L | at=20 °C
        41:10 | reading | temperature=74 °C
        41:20 | dip | mark=hot | one_side=6 mm | other_side=7 mm => not-rested
        42:00 | rest
        42:10 | dip | mark=hot | one_side=6 mm | other_side=7 mm
        ",
    );
    assert_eq!(set.level_verdict(), Some(SettingVerdict::Set));
}

/// Chart: 24–30 mm at 40 °C, 30–36 mm at 60 °C, so 27–33 mm at 50 °C; 31 mm is 1 mm above the middle. The surface is
/// 0.055 m²: 55 mL a millimetre, +55 mL.
#[test]
fn script_probe_is_read_between_the_points_of_its_chart() {
    let (state, outcome) = finished("lunde-v1", &format!("{PROBE}{PROBE_END} 39:00 | finish"));
    close(left(&outcome).0, 55.0, 0.5);
    let prompted = job::prompt(
        &run(opened_with(named("lunde-v1")), PROBE).1,
        &job::plan::plan_of(&state.opening, &state.sheet),
        &job::prompt::Outlook::default(),
        (35 * 60 + 30) * 1000,
    );
    assert!(prompted.verb.contains("It has rested"), "{}", prompted.verb);
}

/// It runs over: 0 mm below the edge where 0–4 mm is right, so 2 mm above the middle; 0.045 m² is 45 mL a millimetre:
/// +90 mL. The hole is 95 mm left of the middle; −0.3° of roll (left side up) puts it on the high side:
/// 0.045 × 0.095 × tan 0.3° = +22.4 mL. The fluid is 1 K below the middle of 15–35 °C: 2.1 L × 0.00073 ≈ +1.5 mL.
#[test]
fn script_hole_edge_counts_roll_and_the_depth_below_it() {
    let (_, outcome) = finished("keld-m6", &format!("{HOLE}{HOLE_END} 46:00 | finish"));
    let part = |name: &str| outcome.parts.iter().find(|p| p.name == name).map_or(f64::NAN, |p| p.ml);
    close(part("reading against the middle of its limits"), 90.0, 0.01);
    close(part("tilt across"), 22.4, 0.1);
    close(part("temperature off the reference"), 1.5, 0.1);
    close(left(&outcome).0, 90.0 + 22.4 + 1.5, 0.5);
    // Edge 0.5 mm × 45 mL and 10 % of the surface on 90 mL, 24.2; tilt 0.2° on 95 mm, 14.9; 2 K, 3: √ of the squares.
    close(left(&outcome).1, 28.6, 0.6);
}

/// 8.420 − 5.300 = 3.120 kg of a fluid with 843 kg/m³ at 15 °C; at 20 °C 843 × (1 − 0.000745 × 5) = 839.9 kg/m³, so
/// 3.715 L went in.
#[test]
fn script_filling_under_pressure_is_the_difference_of_two_weights() {
    let (state, outcome) = finished("brask-p7", &format!("{PRESSURE}{PRESSURE_END} 56:00 | finish"));
    close(State::total(&state.poured).ml(), 3715.0, 1.0);
    assert_eq!(state.poured.len(), 1);
    assert!(left(&outcome).0.abs() < 150.0);
}

#[test]
fn script_dry_fill_goes_in_two_parts_and_says_when_the_second_was_late() {
    let (state, outcome) = finished("torvane-r5-dry", &format!("{DRY}{DRY_SECOND}{DRY_END} 46:00 | finish"));
    assert_eq!(outcome.due.old_fraction, Some(0.0));
    assert!(outcome.as_found_ml.is_none() && left(&outcome).0.abs() < 150.0);
    assert!(outcome.assumptions.iter().all(|line| !line.contains("later than")));
    assert_eq!(state.poured.len(), 2);
    let late = "10:30 | pour | volume=4.4 L | at=20 °C";
    let (_, outcome) = finished("torvane-r5-dry", &format!("{DRY}{late}{DRY_END} 46:00 | finish"));
    assert!(outcome.assumptions.iter().any(|line| line.contains("90 s after starting: later than the sheet allows")));
}

/// 4 L drained at 80 °C are 3.82 L at 20 °C (β 0.00075/K, arithmetic), so 2 L are 1.91 L: as much is in as before.
/// Nobody can say that it is right.
#[test]
fn script_measure_out_says_that_it_is_only_right_if_it_was_right_before() {
    let (state, outcome) = finished("sollin-w6", &format!("{SAME_BACK}{SAME_BACK_END} 41:00 | finish"));
    assert_eq!(state.level_verdict(), Some(SettingVerdict::SameAsBefore));
    assert!(outcome.as_left_ml.is_none() && outcome.as_found_ml.is_none());
    close(outcome.change_ml.expect("a change").value.ml(), 0.0, 10.0);
    for words in [&outcome.as_left_words, &outcome.verdict] {
        assert!(words.to_lowercase().contains("right only if it was right before"), "{words}");
    }
}

#[test]
fn script_extraction_is_followed_by_the_dipstick() {
    let (state, outcome) = finished("lunde-s5", &format!("{EXTRACTION} 51:00 | finish"));
    assert_eq!(State::total(&state.drained).ml(), 2800.0);
    // 5 mm is the middle of 10 mm; 74 °C is 1 K below the middle of 70–80 °C: 6.5 L × 0.00073 = +4.7 mL.
    close(left(&outcome).0, 4.7, 0.5);
    assert!(outcome.as_found_ml.is_some());
}

/// 12 L passed through 9.4 L, well mixed: e^(−12/9.4) = 27.9 % old fluid left.
#[test]
fn script_line_exchange_then_overflow() {
    let (_, outcome) = finished("ostrel-l6", &format!("{EXCHANGE}{EXCHANGE_END} 51:00 | finish"));
    close(outcome.due.old_fraction.unwrap_or(0.0), 0.279, 0.001);
    assert!(left(&outcome).0.abs() < 150.0);
    // 12 L in at 20 °C, 12 L out at 62 °C (11.6 L at 53 °C less …): the ledger has them all.
    assert_eq!(outcome.ledger.as_ref().map(|ledger| ledger.portions.len()), Some(8));
}

#[test]
fn script_side_hole_trickles_and_the_first_trickle_proves_nothing() {
    let early = "35:15 | look | flow=thin-stream \n 35:20 | close | plug=level";
    let (_, state) = run(opened_with(named("brask-h4")), &format!("{SIDE}{early}"));
    assert_eq!(state.level_verdict(), Some(SettingVerdict::Unwitnessed));
    let (_, outcome) = finished("brask-h4", &format!("{SIDE}{SIDE_END} 39:00 | finish"));
    // The hole is 110 mm right of the middle and the right side is 0.2° up: 0.05 × 0.11 × tan 0.2° = +19.2 mL.
    close(outcome.parts.iter().find(|p| p.name == "tilt across").map_or(0.0, |p| p.ml), 19.2, 0.1);
}

/// 46 to 54 is right, 30 mL to one: 52 is 2 above the middle, +60 mL at 80 °C, the middle of 70–90 °C. The sensor sits 45 mm
/// behind the middle and the nose is 0.1° up: 0.03 m² × 45 mm × tan 0.1° = −2.4 mL.
#[test]
fn script_readout_holds_inside_its_temperature_range() {
    close(left(&finished("vexel-e9", &format!("{READOUT}{READOUT_END} 43:00 | finish")).1).0, 57.6, 0.1);
}

/// The gear side takes 1.70 L, stated for 15–30 °C (middle 22.5 °C); 1.70 L poured at 20 °C are 1.7 × (1 + 0.00072 × 2.5)
/// there: +3 mL.
#[test]
fn script_two_circuits_each_by_its_own_family() {
    let (state, outcome) = finished("vexel-k7", &format!("{TWO_CIRCUITS}{TWO_CIRCUITS_END} 60:00 | finish"));
    close(left(&outcome).0, 3.0, 0.5);
    assert_eq!(outcome.further.len(), 1);
    // Old fluid left: gear side 1 − 1.70/2.0 = 15 %, clutch side 1 − (3.90 − 0.45)/6.5 = 46.9 %: that one is due first.
    close(outcome.due.old_fraction.unwrap_or(0.0), 0.469, 0.001);
    let (name, clutch) = &outcome.further[0];
    assert_eq!(name, "Clutch side");
    assert!(left(clutch).0.abs() < 150.0 && clutch.as_left_words.contains("inside the window"));
    let gear = state.of_circuit("gear-side").expect("a circuit");
    assert_eq!((State::total(&gear.poured).ml(), State::total(&state.poured).ml()), (1700.0, 5600.0));
    assert!(
        outcome.verdict.contains("Gear side: ") && outcome.verdict.contains("Clutch side: "),
        "{}",
        outcome.verdict
    );
}

#[test]
fn script_every_shipped_sheet_has_its_whole_job() {
    for (file, _) in sheet::shipped() {
        let sheet = file.trim_end_matches(".toml");
        let (_, parts) = WHOLE.iter().find(|(name, _)| *name == sheet).unwrap_or_else(|| panic!("{sheet} has no job"));
        finished(sheet, &format!("{}\n70:00 | finish", parts.join("\n")));
    }
}
