//! Every way a file of readings may be written, and every way it may be wrong.

use std::io::{BufReader, Read};

use link::readings::{self, Point, ReadingsError, ReadingsFile, parse, parse_reader};
use proptest::prelude::*;

fn data(name: &str) -> Result<ReadingsFile, ReadingsError> {
    readings::parse_file(&std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name))
}

fn values(points: &[Point]) -> Vec<(f64, f64)> {
    points.iter().map(|p| (p.elapsed_s, p.temp.celsius())).collect()
}

fn codes(file: &ReadingsFile) -> Vec<(usize, &str)> {
    file.findings.iter().map(|f| (f.line, f.code)).collect()
}

#[test]
fn hand_plain_file() {
    let file = data("plain.csv").unwrap();
    assert_eq!(values(&file.points), [(0.0, 24.0), (10.0, 24.8), (20.0, 25.6)]);
    assert_eq!(file.points[2].line, 4);
    assert!(file.findings.is_empty() && file.start.is_none());
}

/// 75.2 °F = 24 °C and 76.6 °F = 24.777… °C, by (F − 32)·5/9.
#[test]
fn hand_fahrenheit_bom_crlf() {
    let file = data("bom_crlf.csv").unwrap();
    let shown = values(&file.points);
    assert_eq!((shown[0].0, shown[1].0), (0.0, 10.0));
    assert!((shown[0].1 - 24.0).abs() < 1e-12 && (shown[1].1 - 24.777_777_777_777_8).abs() < 1e-9);
    assert_eq!(codes(&file), [(2, "time_assumed")]);
}

#[test]
fn hand_semicolon_and_decimal_comma() {
    let file = data("semicolon_decimal_comma.csv").unwrap();
    assert_eq!(values(&file.points), [(0.0, 24.0), (10.0, 24.8)]);
}

#[test]
fn hand_unit_in_a_comment() {
    let file = data("comments_tab.tsv").unwrap();
    assert_eq!(values(&file.points), [(0.0, 24.0), (1.0, 24.1)]);
    assert_eq!(file.points[0].line, 4);
}

/// 2026-03-02 is 56 years and 60 days + 14 leap days after 1970-01-01: 20 514 d; 09:15 is 33 300 s; together
/// 1 772 442 900 s.
#[test]
fn hand_dates_count_from_the_first() {
    let file = data("iso_time.csv").unwrap();
    assert_eq!(values(&file.points), [(0.0, 24.0), (10.5, 24.9)]);
    assert_eq!(file.start, Some(1_772_442_900_000));
    assert!(file.findings.is_empty());
}

#[test]
fn hand_count_since_1970_and_clock() {
    let file = parse("x", "ts,temp_c\n1700000000000,24.0\n1700000010000,24.8\n").unwrap();
    assert_eq!((values(&file.points), file.start), (vec![(0.0, 24.0), (10.0, 24.8)], Some(1_700_000_000_000)));
    let file = parse("x", "t,T [°C]\n00:00:00,24\n00:01:40.5,29.3\n").unwrap();
    assert_eq!(values(&file.points), [(0.0, 24.0), (100.5, 29.3)]);
}

#[test]
fn hand_exact_names_win_and_other_columns_are_ignored() {
    let text = "speed,time,elapsed_s,temperature_c,temperature_f,note\n0,x,5,40,104,\"a, b\"\n";
    assert_eq!(values(&parse("x", text).unwrap().points), [(5.0, 40.0)]);
}

/// Line by line what stands in `gaps_bad.csv`; the header is line 1.
#[test]
fn hand_no_bad_line_is_skipped_in_silence() {
    let file = data("gaps_bad.csv").unwrap();
    assert_eq!(values(&file.points), [(0.0, 24.0), (25.0, 25.0), (60.0, 27.1)]);
    let expected = [
        (3, "blank"),
        (4, "not_finite"),
        (5, "not_a_number"),
        (7, "duplicate_time"),
        (8, "out_of_range"),
        (9, "out_of_range"),
    ];
    assert_eq!(codes(&file), expected);
}

#[test]
fn hand_time_that_goes_back_is_put_in_order() {
    let file = parse("x", "elapsed_s,temperature_c\n10,21\n0,20\n20,22\nsoon,23\n30\n").unwrap();
    assert_eq!(values(&file.points), [(0.0, 20.0), (10.0, 21.0), (20.0, 22.0)]);
    assert_eq!(codes(&file), [(3, "out_of_order"), (5, "bad_time"), (6, "missing_cell")]);
}

#[test]
fn hand_no_usable_line() {
    let file = parse("x", "elapsed_s,temperature_c\n\n").unwrap();
    assert_eq!((file.points.len(), codes(&file)), (0, vec![(1, "no_readings")]));
    let file = parse("x", "time,temperature_c\n2026-03-02T09:15:00,20\n").unwrap();
    assert_eq!(codes(&file), [(2, "bad_time"), (2, "no_readings")], "a time without a zone is no moment");
    let file = parse("x", "time,temperature_c\n2026-03-02T09:15:00Z,20\n5,21\n").unwrap();
    assert_eq!(codes(&file), [(3, "mixed_time")]);
}

#[test]
fn hand_refused_files() {
    let refused = |result: Result<ReadingsFile, ReadingsError>| {
        let error = result.unwrap_err();
        assert!(!error.hint().is_empty());
        error.to_string()
    };
    assert!(refused(data("empty.csv")).contains("is empty"));
    assert!(refused(parse("x", "# only a comment\n\n")).contains("is empty"));
    assert!(refused(data("no_header.csv")).contains("line 1 holds numbers"));
    assert!(refused(data("latin1.csv")).contains("line 1 is not UTF-8"));
    assert!(refused(data("epoch_ms.csv")).contains("“temp” does not say whether it is °C or °F"));
    assert!(refused(data("hms.csv")).contains("“T” does not say"));
    assert!(refused(data("not_there.csv")).contains("cannot be read"));
    assert!(refused(parse("x", "a,b\n1,2\n")).contains("no column for the time; the header names “a”, “b”"));
    assert!(refused(parse("x", "time,b\n1,2\n")).contains("no column for the temperature"));
    assert!(refused(parse("x", "time,temp_c,temp2_c\n")).contains("more than one column"));
    assert!(refused(parse("x", "t,ts,temp_c\n")).contains("more than one column"));
    assert!(refused(parse("x", b"\xff\xfet\0i\0m\0e\0")).contains("not UTF-8"));
    assert!(refused(parse("x", "t\0i\0m\0e\0")).contains("not UTF-8"));
    assert!(refused(parse("x", "x".repeat(70_000))).contains("longer than"));
}

/// A stream of 2 GB that counts how much of it was asked for.
struct Endless<'l> {
    given: u64,
    line: &'l [u8],
}
impl Read for &mut Endless<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        if self.given >= 2_000_000_000 {
            return Ok(0);
        }
        let rest = &self.line[(self.given % self.line.len() as u64) as usize..];
        let count = rest.len().min(into.len());
        into[..count].copy_from_slice(&rest[..count]);
        self.given += count as u64;
        Ok(count)
    }
}

/// Never read past the limit (one buffer of 8 KiB may have been asked for in advance).
#[test]
fn fault_two_gigabytes() {
    let head = "elapsed_s,temperature_c\n";
    for line in
        [&b"1,20,a long rest of the line that nobody asked for, and it goes on and on\n"[..], b"# comment\n", b"\n"]
    {
        let mut endless = Endless { given: 0, line };
        let error = parse_reader("big.csv", BufReader::new(head.as_bytes().chain(&mut endless))).unwrap_err();
        let known = matches!(error, ReadingsError::TooLarge { .. } | ReadingsError::TooMany { .. });
        assert!(known && endless.given <= readings::MAX_BYTES + 16_384, "{error} after {} bytes", endless.given);
    }
    let mut endless = Endless { given: 0, line: b"9" };
    let error = parse_reader("big.csv", BufReader::new(&mut endless)).unwrap_err();
    assert!(matches!(error, ReadingsError::LineTooLong { line: 1, .. }) && endless.given < 200_000);
}

/// More findings than are kept: the count is still right.
#[test]
fn hand_findings_are_capped_and_counted() {
    let file = parse("x", format!("elapsed_s,temperature_c\n{}", "1,x\n".repeat(500))).unwrap();
    assert_eq!(file.findings.len(), readings::MAX_FINDINGS + 2);
    let last = file.findings.last().unwrap();
    assert_eq!((last.code, last.message.as_str()), ("more_findings", "300 more findings are not listed"));
}

proptest! {
    /// Whatever the bytes: no panic; what is kept is finite, in range, strictly in order of time.
    #[test]
    fn law_any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        check_kept(parse("x", &bytes));
    }

    /// The same with bytes that look like a file of readings.
    #[test]
    fn law_any_cells(body in "([-+0-9.,;:TZeinfa \"#\t]{0,24}\n){0,12}", separator in "[,;\t]") {
        check_kept(parse("x", format!("time{separator}temperature_f\n{body}")));
    }

    /// Written out and read again: the same readings.
    #[test]
    fn law_round_trip(readings in proptest::collection::btree_map(-1000i32..100_000, -400i32..1500, 0..50)) {
        let mut text = String::from("elapsed_s;temperature_c\n");
        for (t, c) in &readings {
            text += &format!("{t};{}\n", (f64::from(*c) / 10.0).to_string().replace('.', ","));
        }
        let file = parse("x", &text).unwrap();
        let expected: Vec<_> = readings.iter().map(|(t, c)| (f64::from(*t), f64::from(*c) / 10.0)).collect();
        prop_assert_eq!(values(&file.points), expected);
    }
}

fn check_kept(result: Result<ReadingsFile, ReadingsError>) {
    let Ok(file) = result else { return };
    assert!(file.points.iter().all(|p| p.elapsed_s.is_finite() && readings::TEMPERATURE_C.contains(&p.temp.celsius())));
    assert!(file.points.is_sorted_by(|a, b| a.elapsed_s <= b.elapsed_s));
}
