//! The bench before the work: how much fluid, in which containers, which tools; ticks; and the stops at the drain.

use crate::script::{check, opened, run};
use job::bench::{Group, bench, best_wrench, keys};
use job::need::{containers, need};
use job::prompt::{Outlook, prompt};
use job::shelf::{Bit, Can, Day, Pan, Pump, Shelf, Stocked, Wrench};
use job::state::{Ending, State};
use quantity::{Length, Span, Torque, Volume};
use sheet::Sheet;

fn keld() -> Sheet {
    sheet::check(sheet::shipped()[0].1).sheet.unwrap()
}

fn torvane() -> Sheet {
    sheet::shipped()
        .iter()
        .filter_map(|(_, text)| sheet::check(text).sheet)
        .find(|sheet| sheet.id == "torvane-r5")
        .unwrap()
}

fn litres(x: f64) -> Volume {
    Volume::from_litres(x)
}

fn can(name: &str, size: f64, price: f64, fluid: Option<&str>) -> Can {
    Can { name: name.into(), size_ml: litres(size), price, fluid: fluid.map(str::to_owned) }
}

fn wrench(name: &str, low: f64, high: f64, calibrated: Option<i64>) -> Wrench {
    Wrench {
        name: name.into(),
        scale_nm: Span { low: Torque::from_nm(low), high: Torque::from_nm(high) },
        calibrated: calibrated.map(|number| Day { number, written: format!("day {number}") }),
    }
}

/// 4.0 L drained is a single figure, so a tenth more: 4.4; residue 0.3; surplus 0.5; pump 0.2; reserve 0.5: 5.9 L. The 0.8 L
/// after the start are a part of what drained.
#[test]
fn hand_the_need_is_the_sum_of_its_lines() {
    let need = need(&keld(), None);
    let volumes: Vec<(f64, bool)> = need.lines.iter().map(|line| (line.volume_ml.ml().round(), line.counts)).collect();
    let expected = [(4400.0, true), (300.0, true), (800.0, false), (500.0, true), (200.0, true), (500.0, true)];
    assert_eq!(volumes, expected);
    assert!((need.total_ml.litres() - 5.9).abs() < 1e-9);
    // A pump that keeps 0.35 L: 6.05 L.
    let total = job::need::need(&keld(), Some(Volume::from_ml(350.0))).total_ml;
    assert!((total.litres() - 6.05).abs() < 1e-9);
}

/// Gear side: 1.7 refill + 0.2 pump + 0.5 reserve = 2.4 L. Clutch side: 3.2 and a tenth more, 0.2 residue, 0.5 surplus, 0.2 pump,
/// 0.5 reserve = 4.92 L. One can that names no fluid serves only the first that asks for it.
#[test]
fn hand_every_circuit_has_its_own_need_and_containers() {
    let sheet = sheet::check(crate::script::named("vexel-k7")).sheet.unwrap();
    let stock = |name: &str, holds, fluid: Option<&str>| Stocked {
        name: name.into(),
        holds_ml: litres(holds),
        opened: false,
        fluid: fluid.map(str::to_owned),
    };
    /// Name, shelf, and for each circuit what is taken or what is said.
    type Row = (&'static str, Vec<Stocked>, [Result<&'static str, &'static str>; 2]);
    let rows: [Row; 3] = [
        (
            "each its own",
            vec![stock("g", 3.0, Some("G-7")), stock("c", 5.0, Some("Vexel C-7"))],
            [Err("said to hold"), Ok("c")],
        ),
        (
            "named in full",
            vec![stock("g", 3.0, Some("vexel g7")), stock("c", 5.0, Some("Vexel C-7"))],
            [Ok("g"), Ok("c")],
        ),
        ("one for both", vec![stock("any", 5.0, None)], [Ok("any"), Err("Neither")]),
    ];
    for (name, stock, expected) in rows {
        let bench = bench(&sheet, &Shelf { stock, ..Shelf::default() }, None);
        let found: Vec<_> = bench.fluids(&sheet).collect();
        assert_eq!(found.iter().map(|one| one.0).collect::<Vec<_>>(), ["Gear side", "Clutch side"]);
        for (one, total) in found.iter().zip([2.4, 4.92]) {
            assert!((one.1.total_ml.litres() - total).abs() < 1e-9, "{name}: {}", one.0);
        }
        for (one, expected) in found.iter().zip(expected) {
            match (one.2, expected) {
                (Ok(found), Ok(taken)) => assert_eq!(found.takes[0].name, taken, "{name}: {}", one.0),
                (Err(why), Err(says)) => assert!(why.contains(says), "{name}: {why}"),
                other => panic!("{name}: {}: {other:?}", one.0),
            }
        }
    }
    // The gear side brings 1.7 L, the clutch side 3.52 + 0.2 + 0.5 L: a pan for the larger, a container for both.
    let both = bench(&sheet, &Shelf::default(), None);
    let much = |key: &str| both.items.iter().find(|item| item.key == key).unwrap().how_much.clone();
    assert_eq!((much("catch"), much("used")), ("over 4.3 L".to_owned(), "over 6.0 L".to_owned()));
    let reader = both.items.iter().find(|item| item.key == "reader").unwrap();
    assert_eq!(reader.note, "gear side 15–30 °C, clutch side 35–45 °C");
    let single = bench(&keld(), &Shelf::default(), None);
    let keld = keld();
    assert_eq!(single.fluids(&keld).map(|one| one.0).collect::<Vec<_>>(), [""]);
}

/// 5.9 L: 1.2 L are open on the shelf, 4.7 L remain; one 5 L can at 58 beats five of 1 L at 14.
#[test]
fn hand_containers_are_taken_then_bought() {
    let shelf = Shelf {
        currency: "crowns".into(),
        cans: vec![
            can("1 L bottle", 1.0, 14.0, Some("keld k6")),
            can("5 L can", 5.0, 58.0, Some("Keld K-6")),
            can("other fluid", 5.0, 1.0, Some("Torvane TF-2")),
        ],
        stock: vec![Stocked { name: "5 L can, begun".into(), holds_ml: litres(1.2), opened: true, fluid: None }],
        ..Shelf::default()
    };
    let found = containers(litres(5.9), &keld().fluid.approvals, &shelf).unwrap();
    let takes: Vec<(&str, u32, Option<f64>)> =
        found.takes.iter().map(|take| (take.name.as_str(), take.count, take.cost)).collect();
    assert_eq!(takes, [("5 L can, begun", 1, None), ("5 L can", 1, Some(58.0))]);
    assert_eq!((found.cost, found.currency.as_str(), found.remarks.len()), (58.0, "crowns", 1));
    assert!((found.left_over_ml.litres() - 0.3).abs() < 1e-9);
    let why = containers(litres(5.9), &["Another".to_owned()], &Shelf { stock: vec![], ..shelf }).unwrap_err();
    assert!(why.contains("Another"), "{why}");
    assert!(containers(litres(1.0), &[], &Shelf::default()).is_err());
}

#[test]
fn hand_the_list_names_what_the_workshop_has_and_what_it_lacks() {
    let shelf = Shelf {
        wrenches: vec![wrench("W1", 5.0, 50.0, Some(20_000)), wrench("W2", 5.0, 60.0, Some(19_000))],
        bits: vec![Bit { name: "long 8".into(), drive: "Hexagon  8 mm".into(), reach_mm: Some(Length::from_mm(75.0)) }],
        pumps: vec![Pump { name: "P1".into(), dead_ml: litres(0.35), adapters: vec!["M18 x 1.5".into()] }],
        pans: vec![Pan { name: "tray".into(), holds_ml: litres(12.0) }],
        ..Shelf::default()
    };
    let bench = bench(&keld(), &shelf, Some(20_100));
    let note = |key: &str| bench.items.iter().find(|item| item.key == key).unwrap().note.clone();
    assert!(note("bit-fill").contains("long 8, reach 75 mm"), "{}", note("bit-fill"));
    assert!(note("bit-fill").contains("fill plug") && note("bit-fill").contains("drain plug"));
    assert!(note("bit-level").contains("NOT in the tools list"));
    assert!(note("wrench").contains("W1") && !note("wrench").contains("W2"), "{}", note("wrench"));
    assert!(note("pump").contains("P1") && note("catch").contains("tray"));
    assert!((bench.need.total_ml.litres() - 6.05).abs() < 1e-9, "the pump's own dead volume counts");
    // W2 ran out of calibration 1100 days ago: taken only when nothing else fits.
    let twelve = Span::at(Torque::from_nm(12.0));
    let (best, _) = best_wrench(twelve, &shelf, Some(20_100)).unwrap();
    assert_eq!(best.name, "W1");
    let only = Shelf { wrenches: vec![wrench("W2", 5.0, 60.0, Some(19_000))], ..Shelf::default() };
    let out = job::bench(&keld(), &only, Some(20_100));
    assert!(out.items.iter().any(|item| item.note.contains("CALIBRATION RAN OUT")));
    let none = Shelf { wrenches: vec![wrench("W3", 60.0, 300.0, None)], ..Shelf::default() };
    let out = job::bench(&keld(), &none, Some(20_100));
    assert!(out.items.iter().any(|item| item.note.contains("NO wrench in the tools list suits: the fill plug")));
}

/// The bit must reach as deep as the deepest recess it is for; 25 mm at the level plug, 60 mm at the fill plug.
#[test]
fn hand_a_bit_is_held_against_the_recess() {
    /// Item, bits with their reach, what is said.
    type Row = (&'static str, &'static [(&'static str, Option<f64>)], &'static str);
    let rows: &[Row] = &[
        ("bit-fill", &[("long", Some(75.0))], "long, reach 75 mm, fits"),
        ("bit-fill", &[("even", Some(60.0))], "even, reach 60 mm, fits"),
        ("bit-fill", &[("short", Some(59.9))], "short, reach 59.9 mm, TOO SHORT: the fill plug asks for 60 mm"),
        ("bit-fill", &[("short", Some(30.0)), ("long", Some(75.0))], "long, reach 75 mm, fits or short"),
        ("bit-fill", &[("short", Some(30.0)), ("some", None)], "some, reach not stated, 60 mm asked for or short"),
        ("bit-fill", &[], "above the pan flange, 60 mm deep)"),
        ("bit-level", &[("five", Some(40.0))], "five, reach 40 mm, fits"),
    ];
    for (key, bits, says) in rows {
        let drive = if *key == "bit-fill" { "hexagon 8 mm" } else { "hexagon 5 mm" };
        let bit = |(name, reach): &(&str, Option<f64>)| Bit {
            name: (*name).into(),
            drive: drive.into(),
            reach_mm: reach.map(Length::from_mm),
        };
        let shelf = Shelf { bits: bits.iter().map(bit).collect(), ..Shelf::default() };
        let bench = bench(&keld(), &shelf, None);
        let note = &bench.items.iter().find(|item| item.key == *key).unwrap().note;
        assert!(note.contains(says), "{bits:?}: {note}");
    }
    // A sheet that states no reach only says what the bit has.
    let bits = vec![Bit { name: "q".into(), drive: "square 3/8 in".into(), reach_mm: Some(Length::from_mm(20.0)) }];
    let bench = bench(&torvane(), &Shelf { bits, ..Shelf::default() }, None);
    assert!(bench.items.iter().any(|item| item.note.ends_with("q, reach 20 mm")), "{:?}", bench.items);
}

/// 12 to 35 N·m: a top of at least 35 and at most 12 / 0.2 = 60 N·m.
#[test]
fn hand_one_wrench_for_all_plugs_is_named_by_its_top() {
    let bench = bench(&keld(), &Shelf::default(), None);
    let wrench = bench.items.iter().find(|item| item.key == "wrench").unwrap();
    assert_eq!(wrench.how_much, "12–35 N·m");
    assert!(wrench.note.contains("between 35 and 60 N·m"), "{}", wrench.note);
}

#[test]
fn law_keys_are_unique_and_do_not_depend_on_the_shelf() {
    let shelf = Shelf { wrenches: vec![wrench("W1", 5.0, 50.0, None)], ..Shelf::default() };
    for (_, text) in sheet::shipped() {
        let Some(sheet) = sheet::check(text).sheet else { continue };
        let keys: Vec<String> = keys(&sheet).into_iter().map(|(key, _)| key).collect();
        let with: Vec<String> = bench(&sheet, &shelf, Some(1)).items.into_iter().map(|item| item.key).collect();
        assert_eq!(keys, with);
        let unique: std::collections::BTreeSet<_> = keys.iter().collect();
        assert_eq!(unique.len(), keys.len());
        assert!(bench(&sheet, &shelf, None).items.windows(2).all(|pair| pair[0].group <= pair[1].group));
    }
    assert_eq!(Group::ALL.len(), 4);
}

#[test]
fn script_ticks_are_entries_that_can_be_taken_back() {
    let state = check(
        "
        0:00 | tick | item=fluid
        0:01 | tick | item=seal-fill | ready=yes
        0:02 | tick | item=fluid | ready=no
        0:03 | tick | item=flud => impossible
        ",
    );
    assert_eq!(state.bench_ready.iter().map(String::as_str).collect::<Vec<_>>(), ["seal-fill"]);
    assert!(state.untouched());
    let (_, state) =
        run(opened(), "0:00 | tick | item=fluid \n 0:01 | correct | entry=2 | because=slip | withdraw=yes");
    assert!(state.bench_ready.is_empty());
    check("0:00 | stop | because=x \n 0:01 | tick | item=fluid => job-ended");
}

const DRAINED: &str = "0:00 | level-vehicle | pitch=0° | roll=0°
    0:01 | prove | plug=fill
    0:02 | prove | plug=level
    0:03 | open | plug=drain";

fn asked(state: &State) -> job::Prompt {
    prompt(state, &job::plan::plan_of(&state.opening, &state.sheet), &Outlook::default(), 60_000)
}

/// What is seen when the fluid comes out ends the job there, with its reason; the plug that is out still goes in.
#[test]
fn script_milky_fluid_and_metal_stop_the_job_at_the_drain() {
    for (button, word) in [(1, "milky"), (2, "metal")] {
        let state = check(DRAINED);
        let asks = asked(&state);
        assert_eq!(asks.acts[0].word, "drained");
        let stop = &asks.acts[button];
        assert_eq!((stop.word, stop.hold), ("stop", true));
        let reason = &stop.fixed[0].1;
        let state = check(&format!("{DRAINED} \n 0:10 | stop | because={reason} \n 0:11 | start-engine => job-ended"));
        let Some(Ending::Stopped { reason }) = &state.ending else { panic!("not stopped") };
        assert!(reason.contains(word), "{reason}");
        assert_eq!(asked(&state).acts[0].word, "close");
        let table = format!("{DRAINED} \n 0:10 | stop | because={reason} \n 0:20 | close | plug=drain | torque=25 N·m");
        let state = check(&table);
        assert!(state.plugs_out().is_empty() && asked(&state).acts.is_empty());
    }
}

/// 110–125 °F is 43.3–51.7 °C; 43–53 °C is what is printed beside it. Only the part in both is worked in.
#[test]
fn hand_a_window_whose_units_disagree_is_printed_as_what_both_allow() {
    let words = "43.3–51.7 °C, as both printed units allow";
    assert_eq!(job::window::words(&torvane()), words);
    assert_eq!(job::window::words(&keld()), "35–45 °C (95–113 °F)");
    let plan = job::plan(&torvane(), &job::Choices::default());
    let warm = plan.steps.iter().find(|step| step.key == job::plan::StepKey::WarmUp).unwrap();
    assert!(warm.verb.contains(words), "{}", warm.verb);
    assert!(plan.steps.iter().all(|step| !step.verb.contains("53 °C")));
    assert!(plan.bench.iter().all(|item| !item.how_much.contains("53")));
}

#[test]
fn law_the_ladder_says_when_to_stop_on_every_rung() {
    assert!(job::stop::LADDER.len() >= 5);
    assert!(job::stop::LADDER.iter().all(|rung| !rung.stop_when.is_empty() && !rung.how.is_empty()));
    assert!(job::stop::LADDER_ALWAYS.contains("still drives"));
}
