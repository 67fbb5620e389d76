//! Jobs from the shell: gates, overrides, conflicts, repetition, files of readings.

use std::path::Path;

use serde_json::Value;

use crate::{Run, run_in};

/// A job in a database of its own.
pub struct Bench {
    pub folder: tempfile::TempDir,
    pub job: String,
}

impl Bench {
    /// Opened at 08:00 on an invented day.
    pub fn new(args: &[&str]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let base = [
            "job",
            "open",
            "--sheet",
            "keld-o6",
            "--vehicle",
            "Grey hatch",
            "--technician",
            "T",
            "--when",
            "2026-03-02T08:00:00Z",
        ];
        let opened = run_in(&folder.path().join("w.db"), &[&base[..], args].concat(), b"");
        assert_eq!(opened.code, 0, "{}", opened.err);
        Self { job: opened.out.trim().to_owned(), folder }
    }
    pub fn path(&self, name: &str) -> String {
        self.folder.path().join(name).to_str().unwrap().to_owned()
    }
    pub fn run(&self, args: &[&str]) -> Run {
        run_in(Path::new(&self.path("w.db")), args, b"")
    }
    /// `job log` so many seconds after the opening.
    pub fn log(&self, seconds: f64, words: &[&str]) -> Run {
        let when =
            jiff::Timestamp::from_millisecond(1_772_438_400_000 + (seconds * 1000.0) as i64).unwrap().to_string();
        self.run(&[&["job", "log", &self.job][..], words, &["--when", &when, "--json"]].concat())
    }
    #[track_caller]
    pub fn enters(&self, seconds: f64, words: &[&str]) -> Value {
        let run = self.log(seconds, words);
        assert_eq!(run.code, 0, "{words:?}: {}{}", run.out, run.err);
        run.json()
    }
    pub fn show(&self) -> Value {
        let run = self.run(&["job", "show", &self.job, "--json"]);
        assert_eq!(run.code, 0, "{}", run.err);
        run.json()
    }
}

#[test]
fn script_a_gate_refuses_with_reason_cure_and_code() {
    let bench = Bench::new(&[]);
    let run = bench.log(60.0, &["open", "plug=drain"]);
    assert_eq!((run.code, run.err.as_str()), (1, ""));
    let answer = run.json();
    assert_eq!((&answer["answer"], &answer["code"]), (&"refused".into(), &"fill-plug-not-proven".into()));
    assert_eq!(answer["overridable"], false);
    let text = bench.run(&["job", "log", &bench.job, "open", "plug=drain"]);
    assert_eq!(text.code, 1);
    for part in ["Refused", "Cure", "fill-plug-not-proven", "level-plug-not-proven"] {
        assert!(text.out.contains(part), "{part}: {}", text.out);
    }
    assert!(!text.out.contains("--override"));
    assert_eq!(bench.show()["live"]["seq"], 1);
}

#[test]
fn script_a_gate_that_may_be_passed_says_how_and_prints_on_the_proof() {
    let bench = Bench::new(&[]);
    for (at, words) in [
        (1.0, &["prove", "plug=fill"][..]),
        (2.0, &["prove", "plug=level"]),
        (3.0, &["start-engine"]),
        (4.0, &["level-vehicle", "pitch=0.1°", "roll=-0.1°"]),
        (5.0, &["cycle-selector", "nobody_underneath=yes"]),
        (6.0, &["reading", "temperature=50 °C"]),
    ] {
        bench.enters(at, words);
    }
    let refused = bench.log(7.0, &["open", "plug=level"]).json();
    assert_eq!((&refused["code"], &refused["overridable"]), (&"too-hot".into(), &true.into()));
    let text = bench.run(&["job", "log", &bench.job, "open", "plug=level", "--when", "2026-03-02T08:00:07Z"]).out;
    assert!(text.contains("may be passed with --override too-hot --because"), "{text}");
    bench.log(8.0, &["open", "plug=level", "--override", "too-hot"]).is_fault("--because");
    bench.log(8.0, &["open", "plug=level", "--override", "too-warm", "--because", "x"]).is_fault("too-warm");
    bench.enters(9.0, &["open", "plug=level", "--override", "too-hot", "--because", "customer waits"]);
    let proof = bench.run(&["job", "proof", &bench.job]);
    assert!(proof.out.contains("customer waits"), "{}", proof.out);
    let plug = &bench.show()["plugs"][1];
    assert_eq!((&plug["plug"], &plug["out"]), (&"level".into(), &true.into()));
}

#[test]
fn script_sending_twice_enters_once_and_a_newer_entry_is_a_conflict() {
    let bench = Bench::new(&[]);
    let first = bench.enters(1.0, &["prove", "plug=fill", "--id", "one-id"]);
    let again = bench.enters(1.0, &["prove", "plug=fill", "--id", "one-id"]);
    assert_eq!((&first["last_seq"], &again["answer"]), (&2.into(), &"repeated".into()));
    assert_eq!(bench.show()["live"]["seq"], 2);
    let late = bench.log(2.0, &["prove", "plug=level", "--seen", "1"]);
    assert_eq!(late.code, 1);
    assert_eq!((&late.json()["answer"], &late.json()["newer"][0]["seq"]), (&"conflict".into(), &2.into()));
    bench.enters(3.0, &["prove", "plug=level", "--seen", "2"]);
    // A refusal sent twice is refused twice.
    for _ in 0..2 {
        assert_eq!(bench.log(4.0, &["close", "plug=drain", "--id", "refused-id"]).code, 1);
    }
}

#[test]
fn fault_words_that_are_not_understood_touch_nothing() {
    let bench = Bench::new(&[]);
    for (words, says) in [
        (&["fly"][..], "fly"),
        (&["pour", "volume=4 L"], "at"),
        (&["pour", "volume=4 bar", "at=20 °C"], "volume"),
        (&["pour", "volume=4 L", "at=20 °C", "hwo=jug"], "hwo"),
        (&["open", "drain"], "drain"),
        (&["open", "plug=fill", "plug=drain"], "twice"),
        (&["look", "flow=mist"], "mist"),
        (&["reading", "temperature=NaN °C"], "NaN"),
        (&["prove", "plug=fill", "--started", "2026-03-02T08:00:00Z"], "--started"),
    ] {
        bench.log(1.0, words).is_fault(says);
    }
    bench.run(&["job", "log", &bench.job, "road-test", "--when", "yesterday"]).is_fault("yesterday");
    bench.run(&["job", "log", &bench.job, "road-test", "--when", "2999-01-01T00:00:00Z"]).is_fault("ahead of now");
    bench.run(&["job", "log", "no-such-job", "road-test"]).is_fault("no-such-job");
    bench.run(&["job", "show", "no-such-job"]).is_fault("no-such-job");
    bench.run(&["job", "proof", "no-such-job"]).is_fault("no-such-job");
    bench.run(&["job", "open", "--sheet", "keld-o6", "--vehicle", " "]).is_fault("vehicle");
    bench.run(&["job", "open", "--sheet", "keld-o6", "--vehicle", "x", "--odometer", "96 000"]).is_fault("--odometer");
    assert_eq!(bench.show()["live"]["seq"], 1);
}

#[test]
fn script_a_file_of_readings_is_entered_once_at_its_own_times() {
    let bench = Bench::new(&[]);
    let csv = bench.path("r.csv");
    std::fs::write(&csv, "elapsed_s,temperature_c\n0,20\n30,21.3\n60,--\n90,23.8\n").unwrap();
    let file = ["job", "log", &bench.job, "readings", &csv];
    bench.run(&file).is_fault("engine");
    bench.enters(600.0, &["start-engine"]);
    let entered = bench.run(&[&file[..], &["--json"]].concat());
    assert_eq!(entered.code, 0, "{}", entered.err);
    assert_eq!((&entered.json()["entered"], &entered.json()["known"]), (&3.into(), &0.into()));
    assert_eq!(entered.json()["findings"][0]["line"], 4);
    // The log grew; what is there already is not entered again.
    std::fs::write(&csv, "elapsed_s,temperature_c\n0,20\n30,21.3\n90,23.8\n120,25\n").unwrap();
    let grown = bench.run(&[&file[..], &["--json"]].concat()).json();
    assert_eq!((&grown["entered"], &grown["known"]), (&1.into(), &3.into()));
    let shown = bench.show();
    let readings = shown["state"]["readings"].as_array().unwrap();
    assert_eq!(readings.len(), 4);
    // 08:00 + 600 s + 90 s, in milliseconds since 1970.
    assert_eq!(readings[2]["at_ms"], 1_772_438_400_000i64 + 690_000);
    // A file with dates needs no engine start.
    let other = Bench::new(&[]);
    let dated = other.path("d.csv");
    std::fs::write(&dated, "time,temperature_f\n2026-03-02T08:10:00Z,68\n2026-03-02T08:10:30Z,70\n").unwrap();
    let entered = other.run(&["job", "log", &other.job, "readings", &dated, "--json"]);
    assert_eq!(entered.json()["entered"], 2, "{}", entered.err);
    assert_eq!(other.show()["state"]["readings"][1]["at_ms"], 1_772_438_400_000i64 + 630_000);
    // Readings that would lie in the future: none of the file is entered.
    let ahead = ["job", "log", &other.job, "readings", &csv, "--started", "2999-01-01T00:00:00Z"];
    other.run(&ahead).is_fault("future");
    assert_eq!(other.show()["state"]["readings"].as_array().unwrap().len(), 2);
}

#[test]
fn script_a_verdict_against_a_service_opens_no_job_without_a_reason() {
    let folder = tempfile::tempdir().unwrap();
    let run = |args: &[&str]| {
        let base = ["job", "open", "--sheet", "keld-o6", "--vehicle", "Grey hatch", "--id", "milky-one"];
        run_in(&folder.path().join("w.db"), &[&base[..], args].concat(), b"")
    };
    let refused = run(&["--colour", "milky", "--json"]);
    assert_eq!((refused.code, refused.err.as_str()), (1, ""));
    assert_eq!((&refused.json()["code"], &refused.json()["overridable"]), (&"verdict-stop".into(), &true.into()));
    let said = run(&["--metal", "glitter"]);
    assert!(said.out.contains("may be passed with --override verdict-diagnose-first"), "{}", said.out);
    run(&["--colour", "milky", "--override", "verdict-stop"]).is_fault("--because");
    assert_eq!(run(&["--colour", "milky", "--override", "verdict-stop", "--because", ""]).code, 1);
    run(&["--colour", "purple"]).is_fault("purple");
    let opened =
        run(&["--colour", "milky", "--override", "verdict-stop", "--because", "drained to flush after the cooler"]);
    assert_eq!((opened.code, opened.out.trim()), (0, "milky-one"), "{}", opened.err);
    let proof = run_in(&folder.path().join("w.db"), &["job", "proof", "milky-one"], b"");
    for part in ["drained to flush after the cooler", "Verdict before", "Stop, do not run"] {
        assert!(proof.out.contains(part), "{part}: {}", proof.out);
    }
}

#[test]
fn script_the_list_of_jobs() {
    let bench = Bench::new(&["--id", "blue-van"]);
    assert_eq!(bench.job, "blue-van");
    let again = bench.run(&["job", "open", "--sheet", "keld-o6", "--vehicle", "Grey hatch", "--id", "blue-van"]);
    assert_eq!((again.code, again.out.trim()), (0, "blue-van"));
    let jobs = bench.run(&["job", "show", "--json"]).json()["jobs"].clone();
    assert_eq!((jobs.as_array().unwrap().len(), &jobs[0]["job"]), (1, &"blue-van".into()));
    assert!(bench.run(&["job", "show"]).out.contains("blue-van"));
}

#[test]
fn script_a_long_file_of_readings_may_be_sent_again_when_it_has_grown() {
    let bench = Bench::new(&[]);
    bench.enters(0.0, &["start-engine"]);
    let file = bench.path("long.csv");
    let rows = |count: u32| {
        let line = |n: u32| format!("{},{:.2}\n", f64::from(n) / 4.0, 20.0 + f64::from(n) / 400.0);
        "elapsed_s,temperature_c\n".to_owned() + &(0..count).map(line).collect::<String>()
    };
    for (count, entered, known, last) in [(6000, 6000, 0, 6002), (6010, 10, 6000, 6012), (6010, 0, 6010, 6013)] {
        std::fs::write(&file, rows(count)).unwrap();
        let answer = bench.run(&["job", "log", &bench.job, "readings", &file, "--json"]);
        assert_eq!(answer.code, 0, "{}{}", answer.out, answer.err);
        let answer = answer.json();
        let figures = ["entered", "known", "last_seq"].map(|key| answer[key].as_i64().unwrap());
        assert_eq!(figures, [entered, known, last]);
        if last == 6012 {
            // What was withdrawn does not come back.
            bench.enters(1600.0, &["correct", "entry=40", "withdraw=yes", "because=read wrong"]);
        }
    }
}
