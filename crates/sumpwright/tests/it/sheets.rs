//! `sheet …` as a technician and a script meet it.

use crate::{json, run, run_in};

const PASSAGE: &str =
    "The level is checked while the fluid temperature is 40 to 50 °C.\nTighten the drain plug to 22 N·m.\n";

#[test]
fn script_a_sheet_from_nothing_to_planned() {
    let folder = tempfile::tempdir().unwrap();
    let (data, file) = (folder.path().join("shop.db"), folder.path().join("mine.toml"));
    let path = file.to_str().unwrap();
    // A new sheet is empty, and the check names what is still to be filled in.
    assert_eq!(run(&["sheet", "new", "mine-1", "--name", "Mine", "--family", "side-hole", "--out", path]).code, 0);
    assert_eq!(run(&["check", path]).code, 1);
    // A copy is whole.
    assert_eq!(run(&["sheet", "copy", "keld-o6", "--id", "mine-1", "--name", "Mine", "--out", path]).code, 0);
    let differ = run(&["sheet", "compare", "keld-o6", path, "--json"]);
    let paths: Vec<String> = differ.json()["differences"]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| d["path"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!((differ.code, paths), (1, vec!["unit.id".to_owned(), "unit.name".to_owned()]));
    // Kept, changed, kept again; the history holds both, and a plan finds it by name.
    let keep =
        |based_on: &str| run_in(&data, &["sheet", "keep", path, "--by", "T", "--based-on", based_on, "--json"], b"");
    assert_eq!(keep("0").json()["version"], 1);
    assert_eq!(run(&["sheet", "set", path, "capacity.total", "8.5 L", "--out", path]).code, 0);
    keep("0").is_fault("meanwhile");
    assert_eq!(keep("1").json()["version"], 2);
    assert_eq!(keep("1").json()["version"], 2, "the same text again is the same version");
    let history = run_in(&data, &["sheet", "history", "mine-1", "--json"], b"").json();
    assert_eq!(history["versions"].as_array().unwrap().len(), 2);
    let first = run_in(&data, &["sheet", "history", "mine-1", "--version", "1"], b"").out;
    assert!(first.contains("9.0 L") && !first.contains("8.5 L"));
    let plan = run_in(&data, &["plan", "--sheet", "mine-1", "--json"], b"");
    assert_eq!(plan.json()["sheet"]["name"], "Mine", "{}", plan.err);
    // A job keeps the copy it was planned from, whatever becomes of the sheet.
    let job = run_in(&data, &["job", "open", "--sheet", "mine-1", "--vehicle", "van", "--id", "job-1"], b"");
    assert_eq!(job.code, 0, "{}", job.err);
    run(&["sheet", "set", path, "capacity.total", "8.0 L", "--out", path]);
    assert_eq!(keep("2").json()["version"], 3);
    let shown = run_in(&data, &["job", "show", "job-1", "--json"], b"").out;
    assert!(shown.contains("8.5 L") && !shown.contains("8.0 L"));
}

#[test]
fn script_a_passage_is_proposed_confirmed_and_taken() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("passage.txt");
    std::fs::write(&file, PASSAGE).unwrap();
    let path = file.to_str().unwrap();
    let found = json(&["sheet", "propose", path]);
    assert_eq!(found["proposals"][0]["path"], "window.temperature");
    assert_eq!((&found["proposals"][1]["line"], &found["proposals"][1]["column"]), (&2.into(), &27.into()));
    let into = |confirm: &[&str], source: &str| {
        let mut args = vec!["sheet", "propose", path, "--into", "keld-o6", "--source", source];
        confirm.iter().for_each(|number| args.extend(["--confirm", number]));
        run(&args)
    };
    let taken = into(&["1"], "Booklet B, page 7");
    assert!(taken.out.contains("40 to 50 °C") && taken.out.contains("Booklet B, page 7"));
    assert!(!taken.out.contains("22 N·m"), "what was not confirmed is not taken");
    into(&["2=capacity.total"], "x")
        .out
        .contains("22 N·m")
        .then_some(())
        .expect("the person decides which value it is");
    into(&["3"], "x").is_fault("no such proposal");
    into(&["1"], "").is_fault("source");
    let nothing = run_in(folder.path(), &["sheet", "propose", "-", "--json"], b"the quick brown fox");
    assert_eq!((nothing.code, &nothing.json()["findings"][0]["code"]), (1, &"found-nothing".into()));
}

#[test]
fn script_merging_names_what_nobody_decided() {
    let merged = run(&["sheet", "merge", "keld-o6", "keld-m6", "--json"]);
    assert_eq!(merged.code, 1, "{}", merged.err);
    assert!(!merged.json()["conflicts"].as_array().unwrap().is_empty());
    let same = run(&["sheet", "merge", "keld-o6", "keld-o6", "--json"]);
    assert_eq!((same.code, same.json()["taken"].as_array().map(Vec::len)), (0, Some(0)));
    assert_eq!(json(&["sheet", "schema"])["$schema"], "https://json-schema.org/draft/2020-12/schema");
}

#[test]
fn fault_sheets_that_cannot_be() {
    run(&["sheet", "new", "x", "--family", "magic"]).is_fault("magic");
    run(&["sheet", "set", "keld-o6", "nothing.here", "x"]).is_fault("nothing.here");
    run(&["sheet", "copy", "none", "--id", "x"]).is_fault("none");
    run(&["sheet", "merge", "keld-o6", "keld-m6", "--take", "unit.nothing"]).is_fault("unit.nothing");
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("shop.db");
    run_in(&data, &["sheet", "history", "none"], b"").is_fault("none");
    run_in(&data, &["sheet", "keep", "-"], b"[unit]\nid = \"../etc\"\n").is_fault("cannot name a sheet");
    run_in(&data, &["sheet", "keep", "-"], b"nonsense").is_fault("names no unit");
    let draft = run_in(&data, &["sheet", "keep", "-", "--json"], b"[unit]\nid = \"draft\"\n");
    assert_eq!((draft.code, &draft.json()["version"]), (1, &1.into()));
    assert!(run_in(&data, &["sheet", "list"], b"").out.contains("kept, with errors"));
}
