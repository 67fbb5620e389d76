//! Bad input: exit 2, nothing on stdout, a message and a hint, nothing lost, and soon.

use std::fs;
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

use crate::{program, run, run_in};

#[test]
fn fault_arguments_that_are_no_quantity_or_no_choice() {
    let table: &[(&[&str], &str)] = &[
        (&[], "no command"),
        (&["job"], "sumpwright job --help"),
        (&["fly"], "fly"),
        (&["read"], "TEXT"),
        (&["read", ""], "no text"),
        (&["read", "20"], "no unit"),
        (&["read", "NaN °C"], "NaN"),
        (&["read", "20 N·m (46 °C)"], ""),
        (&["read", "-300 °C"], "absolute zero"),
        (&["read", "56–46 °C"], ""),
        (&["read", "-5 N·m"], ""),
        (&["read", "20 °C", "--units", "cubits"], "cubits"),
        (&["read", "1 qt", "--region", "moon"], "moon"),
        (&["torque", "20 °C"], "TEXT"),
        (&["torque", "1e9 N·m"], "2000"),
        (&["torque", "20 N·m", "--adapter", "50 mm"], "--wrench-length"),
        (&["torque", "20 N·m", "--wrench-length", "300 mm", "--adapter", "300 mm", "--angle", "180°"], "adapter"),
        (&["fluid", "--kv40", "nan", "--kv100", "6"], "viscosity"),
        (&["fluid", "--kv40", "6", "--kv100", "29"], "swapped"),
        (&["fluid", "--kv40", "29", "--kv100", "6", "--density15", "12"], "density"),
        (&["level", "--charge", "9 bar", "--set-at", "40 °C", "--reference", "40 °C"], "--charge"),
        (&["level", "--charge", "9 L", "--set-at", "40 °C", "--reference", "40 °C", "--tilt", "2°"], "--sump-area"),
        (&["ledger"], "empty"),
        (&["ledger", "--in", "5 L"], "--in"),
        (&["ledger", "--in", "5 L@hot"], "--in"),
        (&["ledger", "--in", "5 L@20 °C", "--beta", "inf"], "--beta"),
        (&["renew", "--total", "4 L", "--per-pass", "10 L"], "--per-pass"),
        (&["renew", "--total", "10 L", "--per-pass", "4 L", "--passes", "4000000000"], "passes"),
        (&["renew", "--total", "10 L", "--per-pass", "4 L", "--to", "100 %"], ""),
        (&["renew", "--total", "10 L", "--per-pass", "4 L", "--price", "12/qt"], "per litre"),
        (
            &[
                "runoff",
                "--surplus",
                "500 mL",
                "--bore",
                "8 mm",
                "--sump-area",
                "0.08 m²",
                "--temperature",
                "40 °C",
                "--rate",
                "1.8 °C/min",
            ],
            "--charge",
        ),
        (&["runoff", "--surplus", "9 L", "--bore", "8 mm", "--sump-area", "0.003 m²", "--temperature", "40 °C"], ""),
        (&["plan", "--sheet", "no-such-sheet"], "no-such-sheet"),
        (&["plan", "--sheet", "keld-o6", "--passes", "3"], "--passes"),
        (&["plan", "--sheet", "keld-o6", "--method", "exchange"], "--method"),
        (&["plan", "--sheet", "keld-o6", "--pdf", "/no/such/folder/b.pdf"], "/no/such/folder"),
        (&["predict", "--readings", "tests/data/warm-up.csv"], "--window"),
        (&["predict", "--readings", "tests/data/warm-up.csv", "--window", "40 N·m"], "--window"),
        (&["predict", "--readings", "tests/data/none.csv", "--window", "35–45 °C"], "none.csv"),
        (&["predict", "--readings", "tests", "--window", "35–45 °C"], "folder"),
        (&["check", "tests"], "folder"),
        (&["check", "keld-o6", "tests/data/none.toml"], "none.toml"),
        (&["completions", "abacus"], "abacus"),
        (&["man", "fly"], "fly"),
    ];
    for (args, says) in table {
        let run = run(args);
        assert!(run.code == 2, "{args:?} gave {}: {}{}", run.code, run.out, run.err);
        run.is_fault(says);
    }
}

#[test]
fn fault_readings_and_sheets_that_cannot_be_used() {
    let folder = tempfile::tempdir().unwrap();
    let none = Path::new("/proc/none");
    let window = ["--window", "35–45 °C"];
    for (content, says) in [
        (&b""[..], "empty"),
        (b"elapsed_s,temperature_c\n0,NaN\n10,inf\n", "NaN"),
        (b"elapsed_s,temperature_c\n", "no line"),
        (b"elapsed_s,temperature\n0,24\n", "whether it is"),
        (b"0,24\n10,25\n", "column names"),
        (b"elapsed_s,temperature_c\n0,\xff\xfe\n", "UTF-8"),
    ] {
        run_in(none, &[&["predict", "--readings", "-"][..], &window].concat(), content).is_fault(says);
    }
    // One bad cell among good ones is named with its line, and the rest is used.
    let csv = b"elapsed_s,temperature_c\n0,20\n30,21.3\n60,NaN\n90,23.8\n120,25.0\n150,26.2\n";
    let told = run_in(none, &[&["predict", "--readings", "-", "--json"][..], &window].concat(), csv);
    assert_eq!(told.code, 0, "{}", told.err);
    let findings = told.json()["findings"].clone();
    assert!(findings.as_array().unwrap().iter().any(|f| f["line"] == 4 && f["code"] == "not_finite"), "{findings}");
    assert!(!told.out.contains("NaN,") && !told.out.contains("inf"), "{}", told.out);

    let broken = folder.path().join("broken.toml");
    fs::write(&broken, "format = 1\n[unit\n").unwrap();
    let broken = broken.to_str().unwrap();
    run(&["plan", "--sheet", broken]).is_fault("line");
    let checked = run(&["check", broken]);
    assert_eq!(checked.code, 1, "{}", checked.err);
    assert!(checked.out.contains("not TOML") && !checked.out.contains('\u{1b}'), "{}", checked.out);
    run_in(none, &["check", "-"], b"\xff\xfe").is_fault("UTF-8");
}

/// A file of 2 GB is refused within seconds and within a small address space, as a file and as a stream.
#[test]
fn fault_two_gigabytes_of_readings() {
    let folder = tempfile::tempdir().unwrap();
    let big = folder.path().join("big.csv");
    fs::File::create(&big).unwrap().set_len(2 * 1024 * 1024 * 1024).unwrap();
    let lines = folder.path().join("lines.csv");
    // A stream has no length to look at: enough true lines to pass the limit.
    let line = b"10,24.0\n".repeat(1 << 16);
    let mut content = b"elapsed_s,temperature_c\n".to_vec();
    (0..120).for_each(|_| content.extend_from_slice(&line));
    fs::write(&lines, &content).unwrap();
    let text = |path: &Path| path.to_str().unwrap().to_owned();
    let sheet = format!("plan --sheet {}", text(&big));
    for (from, command, says) in [
        (None, format!("predict --readings {} --window 35–45°C", text(&big)), "larger than"),
        (Some(&big), "predict --readings - --window 35–45°C".to_owned(), "stdin"),
        (Some(&lines), "predict --readings - --window 35–45°C".to_owned(), "stdin"),
        (None, sheet, "bytes"),
    ] {
        let begun = Instant::now();
        let limited = format!("ulimit -v 400000; exec \"$0\" {command}");
        let mut child = std::process::Command::new("sh");
        child.args(["-c", &limited, env!("CARGO_BIN_EXE_sumpwright")]).stdout(Stdio::piped()).stderr(Stdio::piped());
        if let Some(path) = from {
            child.stdin(fs::File::open(path).unwrap());
        }
        let output = child.output().unwrap();
        let run = crate::Run {
            code: output.status.code().unwrap_or(-1),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        };
        run.is_fault(says);
        assert!(begun.elapsed() < Duration::from_secs(20), "{command}: {:?}", begun.elapsed());
    }
}

#[test]
fn fault_a_database_that_cannot_be_used() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let show = ["job", "show"];
    run_in(folder.path(), &show, b"").is_fault("folder");
    // /proc takes no new file, whoever asks: a folder that may not be written.
    run_in(Path::new("/proc/workshop.db"), &show, b"").is_fault("/proc/workshop.db");
    fs::write(at("file"), "x").unwrap();
    run_in(&at("file/below.db"), &show, b"").is_fault("file");
    fs::write(at("text.db"), "this is no database, and long enough to be looked at twice".repeat(20)).unwrap();
    run_in(&at("text.db"), &show, b"").is_fault("not a database");
    assert!(fs::read_to_string(at("text.db")).unwrap().starts_with("this is no database"));
    run_in(&at("none.db"), &["backup", at("copy.db").to_str().unwrap()], b"").is_fault("none.db");
    assert!(!at("none.db").exists());
}

#[test]
fn fault_a_truncated_database_is_refused_and_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let (whole, cut) = (folder.path().join("w.db"), folder.path().join("cut.db"));
    let open = ["job", "open", "--sheet", "keld-o6", "--vehicle", "Grey hatch"];
    assert_eq!(run_in(&whole, &open, b"").code, 0);
    // A backup is one file, without the write-ahead log beside it.
    let made = run_in(&whole, &["backup", cut.to_str().unwrap()], b"");
    assert_eq!(made.code, 0, "{}", made.err);
    assert_eq!(run_in(&cut, &["job", "show"], b"").code, 0);
    let bytes = fs::read(&cut).unwrap();
    for length in [bytes.len() / 2, 700] {
        let part = folder.path().join(format!("cut-{length}.db"));
        fs::write(&part, &bytes[..length]).unwrap();
        run_in(&part, &["job", "show"], b"").is_fault("");
        assert_eq!(fs::read(&part).unwrap(), &bytes[..length]);
    }
    run_in(&whole, &["backup", cut.to_str().unwrap()], b"").is_fault("there already");
    assert_eq!(fs::read(&cut).unwrap(), bytes);
}

#[test]
fn fault_no_home_to_keep_a_database_in() {
    let output = program(Path::new(""))
        .env_remove("SUMPWRIGHT_DATA")
        .env_remove("HOME")
        .env_remove("XDG_DATA_HOME")
        .args(["job", "show"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8(output.stderr).unwrap().contains("--data"));
    let folder = tempfile::tempdir().unwrap();
    let output = program(Path::new(""))
        .env_remove("SUMPWRIGHT_DATA")
        .env("XDG_DATA_HOME", folder.path())
        .args(["job", "show"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(folder.path().join("sumpwright/workshop.db").exists());
}
