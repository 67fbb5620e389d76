//! Every shipped sheet from the decision to the proof sheet, by the binary alone.

use std::path::Path;

use crate::tables::WHOLE;
use crate::{Run, json, run_in};

/// 2026-03-02, 08:00 UTC: an invented day.
const OPENED_MS: i64 = 1_772_438_400_000;

/// A sound unit whose fluid has been looked at: nothing speaks against a service.
const LOOKED_AT: [&str; 8] = ["--colour", "darker", "--metal", "film", "--codes", "none", "--history", "on-record"];

/// The moment of a line's `m:ss`, as the binary takes it.
fn when(clock: &str) -> String {
    let (minutes, seconds) = clock.split_once(':').expect("m:ss");
    let ms = (minutes.parse::<i64>().expect("minutes") * 60 + seconds.parse::<i64>().expect("seconds")) * 1000;
    jiff::Timestamp::from_millisecond(OPENED_MS + ms).expect("a moment").to_string()
}

/// One line of a table through `job log`.
fn logged(data: &Path, job: &str, line: &str) -> Run {
    let mut cells = line.split('|').map(str::trim);
    let at = when(cells.next().unwrap_or_default());
    let words: Vec<&str> = cells.collect();
    let head = ["job", "log", job];
    run_in(data, &[&head[..], &words, &["--when", &at, "--json"]].concat(), b"")
}

/// Decides, plans, opens, works through the table, finishes and prints; gives the job as it stands then.
fn from_decision_to_proof(sheet: &str, parts: &[&str], folder: &Path) -> serde_json::Value {
    let data = folder.join(format!("{sheet}.db"));
    let run = |args: &[&str]| run_in(&data, args, b"");
    let verdict = json(&[&["decide", "--sheet", sheet, "--distance", "70 000 km"][..], &LOOKED_AT].concat());
    assert_eq!((&verdict["verdict"], &verdict["service"]), (&"service".into(), &true.into()), "{sheet}");
    let plan = json(&["plan", "--sheet", sheet]);
    assert!(plan["steps"].as_array().is_some_and(|steps| steps.len() > 5), "{sheet}: {plan}");
    let at = when("0:00");
    let open = ["job", "open", "--sheet", sheet, "--vehicle", "Grey hatch", "--technician", "T", "--when", &at];
    let opened = run(&[&open[..], &["--fluid-age", "70 000 km"], &LOOKED_AT].concat());
    assert_eq!(opened.code, 0, "{sheet}: {}", opened.err);
    let job = opened.out.trim();
    let lines = parts.iter().flat_map(|part| part.lines()).map(str::trim).filter(|line| !line.is_empty());
    for line in lines {
        let answer = logged(&data, job, line);
        assert_eq!(answer.code, 0, "{sheet}: {line}: {}{}", answer.out, answer.err);
    }
    let finished = run(&["job", "finish", job, "--when", &when("70:00"), "--json"]);
    assert_eq!(finished.code, 0, "{sheet}: {}{}", finished.out, finished.err);
    let pdf = folder.join(format!("{sheet}.pdf"));
    let printed = run(&["job", "proof", job, "--pdf", pdf.to_str().expect("a path"), "--json"]);
    assert_eq!(printed.code, 0, "{sheet}: {}", printed.err);
    assert!(std::fs::read(&pdf).expect("a proof sheet").starts_with(b"%PDF-"), "{sheet}");
    let shown = run(&["job", "show", job, "--json"]);
    assert_eq!(shown.code, 0, "{sheet}: {}", shown.err);
    let shown = shown.json();
    assert_eq!(shown["state"]["opening"]["found"]["verdict"], "service", "{sheet}: {}", shown["state"]["opening"]);
    shown
}

#[test]
fn script_every_family_from_decision_to_proof_by_the_binary() {
    let folder = tempfile::tempdir().expect("a folder");
    // A few at a time: each line is a process of its own.
    let (mut families, sheets) = (std::collections::BTreeSet::new(), sheet::shipped());
    for some in sheets.chunks(4) {
        let jobs: Vec<_> = std::thread::scope(|scope| {
            let each = some.iter().map(|(file, _)| {
                let sheet = file.trim_end_matches(".toml");
                let (_, parts) = WHOLE.iter().find(|(name, _)| *name == sheet).expect("every sheet has a job");
                let folder = folder.path();
                scope.spawn(move || (sheet, from_decision_to_proof(sheet, parts, folder)))
            });
            each.collect::<Vec<_>>().into_iter().map(|job| job.join().expect("a whole job")).collect()
        });
        for (sheet, shown) in jobs {
            assert_eq!(shown["state"]["ending"], "finished", "{sheet}: {}", shown["state"]["ending"]);
            assert!(!shown["outcome"]["verdict"].as_str().unwrap_or_default().is_empty(), "{sheet}");
            let text = sheet::shipped().iter().find(|(file, _)| file.trim_end_matches(".toml") == sheet);
            let unit = sheet::check(text.expect("shipped").1).sheet.expect("a sheet");
            families.insert(unit.family);
        }
    }
    let all = sheet::Family::ALL.iter().map(|(family, ..)| *family).collect();
    assert_eq!(families, all, "every family has a sheet, and every sheet a job");
}
