//! Pipes, help, completions, the manual page.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::Stdio;

use crate::{program, run};

#[test]
fn fault_a_reader_that_leaves_early_is_no_failure() {
    for args in [&["plan", "--sheet", "keld-o6"][..], &["completions", "bash"], &["man"]] {
        let mut child =
            program(Path::new("/proc/none")).args(args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        // Gone before the first line; what the pipe's buffer does not take breaks.
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!((output.status.code(), output.stderr.as_slice()), (Some(0), &b""[..]), "{args:?}");
    }
}

#[test]
fn fault_a_full_disk_behind_stdout_is_told() {
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output =
        program(Path::new("/proc/none")).args(["read", "20 °C"]).stdout(full).stderr(Stdio::piped()).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8(output.stderr).unwrap().contains("\nhint: "));
}

#[test]
fn script_help_is_asked_for_on_stdout() {
    for args in [&["--help"][..], &["--version"], &["job", "log", "--help"], &["help", "ledger"]] {
        let run = run(args);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{args:?}");
        assert!(!run.out.is_empty());
    }
    // A narrow table goes on below itself, so line ends do not count.
    let words = run(&["job", "log", "--help"]).out.split_whitespace().collect::<Vec<_>>().join(" ");
    for word in job::words::WORDS {
        assert!(words.contains(word.word) && words.contains(word.does), "{}", word.word);
    }
}

#[test]
fn script_completions_and_manual_name_every_command() {
    let list = run(&["--help"]).out;
    let commands: Vec<&str> = list
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert!(commands.len() >= 14, "{commands:?}");
    let (bash, man) = (run(&["completions", "bash"]).out, run(&["man"]).out);
    for command in commands.iter().filter(|command| **command != "help") {
        assert!(bash.contains(command), "{command}");
        assert!(man.contains(&format!("sumpwright\\-{command}")), "{command}");
    }
    for shell in ["zsh", "fish", "elvish", "powershell"] {
        assert!(run(&["completions", shell]).out.contains("predict"), "{shell}");
    }
    // The shell itself takes the script.
    let mut shell =
        std::process::Command::new("bash").args(["-n"]).stdin(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    std::io::Write::write_all(&mut shell.stdin.take().unwrap(), bash.as_bytes()).unwrap();
    assert!(shell.wait().unwrap().success());
    assert!(run(&["man", "job", "log"]).out.contains("\\-\\-override"));
}

#[test]
fn script_nothing_is_coloured() {
    let run = run(&["check", "../sheet/sheets/mistakes.toml"]);
    assert_eq!(run.code, 1);
    assert!(!run.out.contains('\u{1b}'));
    // Each finding shows the line it is about.
    assert!(BufReader::new(run.out.as_bytes()).lines().any(|line| line.unwrap().contains("mistakes.toml:10:1")));
}
