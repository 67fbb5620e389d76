//! What a job takes off the shelf, as tables reckoned by hand.

use job::shelf::{Can, Pump, Shelf, Stocked};
use job::stock::{Used, draw, used};
use quantity::Volume;

use crate::script::{check, named, opened_with, run};
use crate::tables::{CLOSING, READY};

fn stocked(name: &str, litres: f64, opened: bool, fluid: Option<&str>) -> Stocked {
    Stocked { name: name.into(), holds_ml: Volume::from_litres(litres), opened, fluid: fluid.map(str::to_owned) }
}

fn ml(volume: Volume) -> i64 {
    volume.ml().round() as i64
}

/// Need 5.7 L without the pump, 5.9 L with its usual 0.2 L.
fn poured(litres: f64) -> Used {
    Used {
        fluids: vec!["K-6".into()],
        poured_ml: Volume::from_litres(litres),
        need_ml: Volume::from_litres(5.7),
        thread: None,
    }
}

/// One row: what stands on the shelf as name, litres, opened; what can be bought; what was poured; then what is left as
/// name, mL, opened, and what was bought and missing, mL.
type Row = (
    &'static str,
    &'static [(&'static str, f64, bool)],
    &'static [(f64, f64)],
    f64,
    &'static [(&'static str, i64, bool)],
    (i64, i64),
);

#[test]
fn hand_what_was_poured_leaves_the_containers_that_were_chosen() {
    let rows: &[Row] = &[
        // Opened 1.2 L first, then 3.6 L of the one closed can that covers 4.7 L; the small ones stay shut.
        (
            "one can covers",
            &[("can", 5.0, false), ("begun", 1.2, true), ("bottle", 1.0, false)],
            &[],
            4.8,
            &[("can", 1400, true), ("bottle", 1000, false)],
            (0, 0),
        ),
        // The opened one is enough for what was poured, though not for the need.
        (
            "opened is enough",
            &[("begun", 5.0, true), ("can", 5.0, false)],
            &[],
            4.8,
            &[("begun", 200, true), ("can", 5000, false)],
            (0, 0),
        ),
        // Exactly emptied: the container is gone, not there with nothing in it.
        ("emptied", &[("begun", 4.8, true)], &[(5.0, 60.0)], 4.8, &[], (0, 0)),
        // 1.2 L from the shelf; 4.7 L were to be bought in one 5 L can, of which 3.6 L went in.
        ("bought", &[("begun", 1.2, true)], &[(5.0, 60.0)], 4.8, &[], (3600, 0)),
        // More than shelf and purchase: 1.2 + 5.0 L were there.
        ("more than there was", &[("begun", 1.2, true)], &[(5.0, 60.0)], 7.0, &[], (5000, 800)),
        // No price list: what the shelf has not is missing, never less than nothing.
        ("no prices", &[("begun", 1.2, true), ("bottle", 1.0, false)], &[], 4.8, &[], (0, 2600)),
        // One can would have done; two surpluses were poured, so the next container of that fluid was begun.
        (
            "beyond the choice",
            &[("can", 6.0, false), ("bottle", 1.0, false)],
            &[],
            6.4,
            &[("bottle", 600, true)],
            (0, 0),
        ),
        ("nothing poured", &[("begun", 1.2, true)], &[], 0.0, &[("begun", 1200, true)], (0, 0)),
        ("empty shelf", &[], &[], 4.8, &[], (0, 4800)),
    ];
    for (name, stock, cans, litres, left, (bought, missing)) in rows {
        let cans = cans.iter().map(|(size, price)| Can {
            name: format!("{size} L"),
            size_ml: Volume::from_litres(*size),
            price: *price,
            fluid: None,
        });
        let stock = stock.iter().map(|(name, holds, opened)| stocked(name, *holds, *opened, Some("k6")));
        let mut shelf = Shelf { stock: stock.collect(), cans: cans.collect(), ..Shelf::default() };
        let before: i64 = shelf.stock.iter().map(|can| ml(can.holds_ml)).sum();
        let booked = draw(&mut shelf, &poured(*litres));
        let found: Vec<(&str, i64, bool)> =
            shelf.stock.iter().map(|can| (can.name.as_str(), ml(can.holds_ml), can.opened)).collect();
        assert_eq!(found, *left, "{name}");
        assert_eq!((ml(booked.bought_ml), ml(booked.missing_ml)), (*bought, *missing), "{name}");
        let taken: i64 = booked.from.iter().map(|drawn| ml(drawn.taken_ml)).sum();
        assert_eq!(taken + bought + missing, ml(booked.poured_ml), "{name}: every millilitre is accounted for");
        assert_eq!(before - taken, left.iter().map(|can| can.1).sum::<i64>(), "{name}");
    }
}

#[test]
fn hand_another_fluid_is_not_touched_and_the_pump_counts() {
    let other = stocked("other", 9.0, true, Some("T-3"));
    let mut shelf = Shelf { stock: vec![other.clone()], ..Shelf::default() };
    assert_eq!(ml(draw(&mut shelf, &poured(4.8)).missing_ml), 4800);
    assert_eq!(shelf.stock, [other]);
    // 5.7 L and a pump that keeps 0.5 L: the 6.0 L can no longer covers it, the 6.5 L one does.
    for (dead, taken) in [(0.2, "six"), (0.5, "more")] {
        let stock = vec![stocked("six", 6.0, false, None), stocked("more", 6.5, false, None)];
        let pump = Pump { name: "pump".into(), dead_ml: Volume::from_litres(dead), adapters: Vec::new() };
        let mut shelf = Shelf { stock, pumps: vec![pump], ..Shelf::default() };
        assert_eq!(draw(&mut shelf, &poured(4.8)).from[0].name, taken, "{dead} L");
    }
}

/// 4.0 L and 0.8 L poured; the first corrected to 4.3 L counts as that, withdrawn it counts as nothing.
#[test]
fn script_use_follows_the_log_and_its_corrections() {
    let closed = format!("{READY}{CLOSING} 51:00 | finish");
    let state = check(&closed);
    let seq = state.poured[0].seq;
    let of = |table: &str| used(&check(table)).iter().map(|used| ml(used.poured_ml)).collect::<Vec<_>>();
    assert_eq!(of(&closed), [4800]);
    assert_eq!(ml(used(&state)[0].need_ml), 5700);
    let corrected =
        format!("{closed}\n 52:00 | correct | entry={seq} | because=read again | as=pour | volume=4.3 L | at=20 °C");
    assert_eq!(of(&corrected), [5100]);
    let withdrawn = format!("{closed}\n 52:00 | correct | entry={seq} | because=not at all | withdraw=yes");
    assert_eq!(of(&withdrawn), [800]);
    assert_eq!(of("0:00 | prove | plug=fill"), [0_i64; 0]);
}

/// Two circuits with fluids of their own are two uses; a fluid named that is none of the approvals is a third.
#[test]
fn script_each_circuit_uses_its_own_fluid() {
    let sheet = named("vexel-k7");
    let read = sheet::check(sheet).sheet.expect("a sheet");
    let fluids: Vec<Vec<String>> =
        read.circuits().iter().filter_map(|id| read.of_circuit(id)).map(|one| one.fluid.approvals.clone()).collect();
    let circuits = read.circuits();
    let pour = |at: u32, circuit: &str, fluid: &str, litres: &str| {
        format!("0:{at:02} | pour | circuit={circuit} | fluid={fluid} | volume={litres} L | at=20 °C")
    };
    let table = [pour(1, circuits[0], &fluids[0][0], "1.1"), pour(2, circuits[1], &fluids[1][0], "0.4")].join("\n");
    let (_, state) = run(opened_with(sheet), &table);
    let found: Vec<(Vec<String>, i64)> = used(&state).into_iter().map(|u| (u.fluids, ml(u.poured_ml))).collect();
    assert_eq!(found, [(fluids[0].clone(), 1100), (fluids[1].clone(), 400)]);
}
