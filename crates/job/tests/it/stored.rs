//! The stored form of entries: format 1 is read forever, byte for byte.

use job::entry::Body;

/// One line for each kind of entry, as format 1 wrote it.
const FORMAT_1: &str = include_str!("../data/entries-format-1.jsonl");

#[test]
fn golden_format_1_is_read_and_written_byte_for_byte() {
    let mut kinds = std::collections::BTreeSet::new();
    for line in FORMAT_1.lines().filter(|line| !line.starts_with('#')) {
        let body: Body = serde_json::from_str(line).unwrap_or_else(|why| panic!("{line}: {why}"));
        assert_eq!(serde_json::to_string(&body).unwrap(), line);
        kinds.insert(body.fact.kind());
        assert_eq!(serde_json::from_str::<serde_json::Value>(line).unwrap()["fact"], body.fact.kind());
    }
    assert_eq!(kinds.len(), 36, "every kind of entry has its golden line");
}
