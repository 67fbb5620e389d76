//! What is true of every PDF.

use std::path::PathBuf;
use std::process::Command;

use report::{BenchList, Clip, FilmSheet, UsedLabel, bench_pdf, card_pdf, film_pdf, film_text, label_pdf, pdf};

/// How often a name stands in the plain part of the file, followed by nothing that would make it a longer name.
fn count(bytes: &[u8], name: &str) -> usize {
    let name = name.as_bytes();
    bytes.windows(name.len() + 1).filter(|w| w.starts_with(name) && !w[name.len()].is_ascii_alphanumeric()).count()
}

fn check(bytes: &[u8]) {
    assert_eq!(pages(bytes), 1, "one page is the law");
    sound(bytes);
}

fn pages(bytes: &[u8]) -> usize {
    count(bytes, "/Type/Page") + count(bytes, "/Type /Page")
}

fn sound(bytes: &[u8]) {
    assert!(bytes.starts_with(b"%PDF-1."), "not a PDF");
    assert!(bytes.ends_with(b"%%EOF") || bytes.ends_with(b"%%EOF\n"));
    assert_eq!(count(bytes, "/Lang"), 1);
    assert!(count(bytes, "/StructTreeRoot") >= 1, "tagged");
    assert!(count(bytes, "/Title") >= 1);
}

fn written(name: &str, bytes: &[u8]) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, bytes).expect("the folder for test files");
    path
}

#[test]
fn law_one_page_whatever_the_content() {
    for (name, proof) in [
        ("ordinary.pdf", crate::ordinary()),
        ("overfull.pdf", crate::overfull()),
        ("stopped.pdf", crate::stopped()),
        ("nothing.pdf", crate::nothing()),
    ] {
        let bytes = pdf(&proof).expect(name);
        check(&bytes);
        written(name, &bytes);
    }
}

#[test]
fn law_the_bench_list_takes_the_pages_it_needs() {
    for (times, most) in [(0, 1), (1, 2), (2, 3), (5, 6), (40, 40)] {
        let bytes = bench_pdf(&crate::bench(times)).expect("a bench list");
        sound(&bytes);
        assert!((1..=most).contains(&pages(&bytes)), "{times}: {}", pages(&bytes));
        written(&format!("bench{times}.pdf"), &bytes);
    }
    check(&bench_pdf(&BenchList::default()).expect("an empty bench list"));
    let card = card_pdf(&crate::bench(1).card).expect("a card");
    check(&card);
    written("card.pdf", &card);
    let label = label_pdf(&crate::label()).expect("a label");
    check(&label);
    written("label.pdf", &label);
    check(&label_pdf(&UsedLabel::default()).expect("an empty label"));
}

/// What was cut before: a long amount, a long doubt.
#[test]
fn val_long_words_are_wrapped_not_cut() {
    let mut proof = crate::ordinary();
    proof.as_found.doubt = "± 130 mL, expanded uncertainty, k = 2; positive is too much".into();
    let Some(text) = read_back("wrapped.pdf", &pdf(&proof).expect("a sheet")) else {
        eprintln!("pdftotext is not installed: the words were not read back");
        return;
    };
    assert!(text.contains("positive is too") && text.contains("\nmuch") && !text.contains('…'), "{text}");
    let text = read_back("wrapped-bench.pdf", &bench_pdf(&crate::bench(1)).expect("a list")).expect("it ran before");
    assert!(text.contains("reserve") && !text.contains('…') && !text.contains("more in the plan"), "{text}");
    let text = read_back("wrapped-label.pdf", &label_pdf(&crate::label()).expect("a label")).expect("it ran before");
    assert!(text.contains("USED OIL") && text.contains("13 02 06*") && text.contains("5.2 L"), "{text}");
}

#[test]
fn law_same_content_same_bytes() {
    assert_eq!(pdf(&crate::ordinary()).expect("a sheet"), pdf(&crate::ordinary()).expect("a sheet"));
    assert_eq!(bench_pdf(&crate::bench(1)).expect("a list"), bench_pdf(&crate::bench(1)).expect("a list"));
}

/// Words as another program reads them, where that program (pdftotext of poppler-utils) is installed; what is laid on the
/// sheet is checked without it in the unit tests.
fn read_back(name: &str, bytes: &[u8]) -> Option<String> {
    let path = written(name, bytes);
    let output = Command::new("pdftotext").arg("-layout").arg(&path).arg("-").output().ok()?;
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(String::from_utf8(output.stdout).expect("UTF-8"))
}

#[test]
fn val_words_are_read_back_by_another_program() {
    let Some(text) = read_back("read-back.pdf", &pdf(&crate::ordinary()).expect("a sheet")) else {
        eprintln!("pdftotext is not installed: the words were not read back");
        return;
    };
    for words in [
        "Invented Workshop",
        "−310 mL",
        "± 90 mL",
        "−20 mL",
        "± 45 mL",
        "Run off at the level plug",
        "25 N·m",
        "wrench would not fit",
        "misread",
        "9f2c 77d0 41ab e6c3",
        "10:42:03",
    ] {
        assert!(text.contains(words), "{words} is not in\n{text}");
    }
    assert!(!text.contains("DEMO"));
    let text =
        read_back("read-back-demo.pdf", &pdf(&crate::stopped()).expect("a sheet")).expect("pdftotext ran before");
    assert!(text.matches("DEMO — simulated vehicle").count() >= 1, "{text}");
    assert!(text.contains("did not turn"));
}

fn film(times: usize) -> FilmSheet {
    let bench = crate::bench(times);
    let chapters =
        vec![("0:00".to_owned(), "Tarn Estate 2.0".to_owned()), ("1:05".to_owned(), "Drain plug out".to_owned())];
    FilmSheet {
        workshop: "Workshop at the Sound".into(),
        demo: true,
        title: "K6 automatic: step by step".into(),
        subtitle: bench.card.subtitle,
        clips: vec![Clip { title: "Chapters".into(), chapters }; times],
        tools: vec![("Level plug seal".to_owned(), "1".to_owned()); times],
        torques: crate::ordinary().torques,
        steps: bench.steps,
        cautions: bench.cautions,
        footer: "0.1".into(),
    }
}

#[test]
fn law_a_film_sheet_leaves_no_step_out() {
    for times in [0, 1, 3, 12] {
        let film = film(times);
        let bytes = film_pdf(&film).expect("a PDF");
        sound(&bytes);
        let Some(text) = read_back(&format!("film-{times}.pdf"), &bytes) else { continue };
        assert!(text.contains("DEMO"), "{text}");
        let last = "Close when the stream breaks to drops.";
        assert_eq!(text.matches(last).count(), film.steps.iter().filter(|step| step.verb == last).count(), "{text}");
    }
}

#[test]
fn hand_a_film_sheet_as_text() {
    let text = film_text(&film(1));
    for line in [
        "Chapters\n0:00 Tarn Estate 2.0\n1:05 Drain plug out\n",
        "1. Support the vehicle level; push test.\n   Stands, not the jack.\n",
        "- Level plug seal: 1\n",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
}
