//! Every gate of the table: it stands, it names itself, and only those with a typed reason may be passed.

use crate::script::{CLOSING, READY, check};
use job::gate::GATES;

#[test]
fn law_the_gate_table_is_in_order_of_precedence_and_its_codes_are_its_own() {
    for (index, row) in GATES.iter().enumerate() {
        assert_eq!(row.gate as usize, index);
        assert_eq!(job::Gate::from_code(row.code), Some(row.gate));
        assert!(!row.reason.is_empty() && !row.cure.is_empty());
        assert_eq!(serde_json::to_value(row.gate).unwrap(), row.code, "code and stored name are one");
    }
}

/// Each gate with the shortest job that meets it, and what passes it where that is allowed.
#[test]
fn script_every_gate_stands_where_it_should() {
    let ready = READY;
    let before_level = |change: &str| format!("{ready} {change}");
    let cases: Vec<(&str, String)> = vec![
        ("job-ended", "0:00 | stop | because=x \n 0:01 | start-engine => job-ended".into()),
        ("plug-already-out", "0:00 | open | plug=fill \n 0:01 | open | plug=fill => plug-already-out".into()),
        ("plug-already-in", "0:00 | close | plug=fill => plug-already-in".into()),
        ("engine-already-idling", "0:00 | start-engine \n 0:01 | start-engine => engine-already-idling".into()),
        ("engine-already-off", "0:00 | stop-engine => engine-already-off".into()),
        ("fill-plug-not-proven", "0:00 | prove | plug=level \n 0:01 | open | plug=drain => fill-plug-not-proven".into()),
        ("level-plug-not-proven", "0:00 | prove | plug=fill \n 0:01 | open | plug=drain => level-plug-not-proven".into()),
        ("engine-not-off", "0:00 | prove | plug=fill \n 0:01 | prove | plug=level \n 0:02 | start-engine \n 0:03 | open | plug=drain => engine-not-off".into()),
        ("drain-plug-out", "0:00 | prove | plug=fill \n 0:01 | prove | plug=level \n 0:02 | open | plug=drain \n 0:03 | pour | volume=1 L | at=20 °C => drain-plug-out".into()),
        ("level-plug-out", before_level("28:10 | open | plug=level \n 28:11 | cycle-selector | nobody_underneath=yes => level-plug-out")),
        ("fill-plug-out", before_level("28:10 | road-test => fill-plug-out")),
        ("not-refilled", "0:00 | prove | plug=fill \n 0:01 | prove | plug=level \n 0:02 | open | plug=drain \n 0:03 | close | plug=drain \n 0:04 | start-engine => not-refilled".into()),
        ("somebody-underneath", "0:00 | start-engine \n 0:01 | cycle-selector | nobody_underneath=no => somebody-underneath".into()),
        ("lost-fluid-not-added", before_level("28:10 | open | plug=level \n 28:20 | stop-engine \n 28:30 | close | plug=level \n 28:40 | start-engine => lost-fluid-not-added")),
        ("plug-out", format!("{ready}{CLOSING} 51:00 | open | plug=fill \n 51:10 | finish => plug-out")),
        ("engine-not-idling", before_level("28:05 | stop-engine \n 28:10 | open | plug=level => engine-not-idling \n 28:12 | open | plug=level => +engine-not-idling,selector-not-cycled: the sheet says so")),
        ("selector-not-cycled", before_level("28:01 | stop-engine \n 28:02 | start-engine \n 28:03 | open | plug=level => selector-not-cycled \n 28:05 | open | plug=level => +selector-not-cycled: cable is off")),
        ("tilt-unknown", "0:00 | start-engine \n 0:01 | cycle-selector | nobody_underneath=yes \n 0:02 | reading | temperature=40 °C \n 0:03 | open | plug=level => tilt-unknown \n 0:04 | open | plug=level => +tilt-unknown: pit is level by its drawing".into()),
        ("tilt-too-large", before_level("28:05 | level-vehicle | pitch=2° | roll=0° \n 28:10 | open | plug=level => tilt-too-large \n 28:15 | open | plug=level => +tilt-too-large: no room for stands")),
        ("temperature-unknown", before_level("31:00 | open | plug=level => temperature-unknown \n 31:10 | open | plug=level => +temperature-unknown: reader fell, pan thermometer 38")),
        ("too-cold", before_level("28:05 | reading | temperature=34 °C \n 28:10 | open | plug=level => too-cold \n 28:11 | open | plug=level => +too-cold: reader known 2 low")),
        ("too-hot", before_level("28:05 | reading | temperature=46 °C \n 28:10 | open | plug=level => too-hot \n 28:11 | open | plug=level => +too-hot: cools already")),
        ("level-not-set", "0:00 | leak-check | result=dry \n 0:01 | finish => level-not-set \n 0:02 | finish => +level-not-set: only looked".into()),
        ("torque-unrecorded", format!("{ready}{CLOSING} 51:00 | open | plug=fill \n 51:10 | close | plug=fill | new_seal=yes \n 51:20 | leak-check | result=dry \n 51:30 | finish => torque-unrecorded \n 51:40 | finish => +torque-unrecorded: no room for the wrench")),
        ("seal-unconfirmed", format!("{ready}{CLOSING} 51:00 | open | plug=fill \n 51:10 | close | plug=fill | torque=35 N·m \n 51:20 | leak-check | result=dry \n 51:30 | finish => seal-unconfirmed \n 51:40 | finish => +seal-unconfirmed: old ring reused")),
        ("leaks-not-checked", format!("{ready}{CLOSING} 51:00 | leak-check | result=leak \n 51:30 | finish => leaks-not-checked \n 51:40 | finish => +leaks-not-checked: sweats, watch it")),
    ];
    for row in GATES {
        let (_, table) =
            cases.iter().find(|(code, _)| *code == row.code).unwrap_or_else(|| panic!("{} has no case", row.code));
        check(table);
        assert_eq!(
            table.contains("=> +"),
            row.overridable,
            "{}: passing is tried exactly where it is allowed",
            row.code
        );
    }
    assert_eq!(cases.len(), GATES.len());
}

#[test]
fn script_a_hard_gate_is_not_passed_by_any_reason() {
    use job::words::{Fields, command};
    let state = check("0:00 | prove | plug=level");
    let fields: Fields = [("plug".to_owned(), "drain".to_owned())].into();
    let open = command("open", &fields).unwrap();
    let all: Vec<_> = GATES.iter().map(|row| job::Override { gate: row.gate, reason: "because".to_owned() }).collect();
    assert_eq!(job::act(&state, &open, &all, 0).unwrap_err().code(), "fill-plug-not-proven");
}

#[test]
fn script_an_empty_reason_passes_nothing() {
    use job::words::{Fields, command};
    let state = check(&format!("{READY} 28:05 | reading | temperature=30 °C"));
    let fields: Fields = [("plug".to_owned(), "level".to_owned())].into();
    let open = command("open", &fields).unwrap();
    let blank = [job::Override { gate: job::Gate::TooCold, reason: "  ".to_owned() }];
    assert_eq!(job::act(&state, &open, &blank, 28 * 60_000 + 10_000).unwrap_err().code(), "too-cold");
}
