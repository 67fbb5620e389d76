//! Every gate of the table: it stands, it names itself, and only those with a typed reason may be passed.

use crate::script::{check, named, opened_with, opening, run};
use crate::tables::{
    CLOSING, DIPSTICK, DRY, DRY_END, EXCHANGE, HOLE, PRESSURE, PROBE, READOUT, READY, SAME_BACK, TWO_CIRCUITS,
    TWO_STAGE,
};
use job::command::{Found, Opening};
use job::decide::Verdict;
use job::entry::Body;
use job::gate::GATES;
use job::{Entry, Fact, Gate};

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
        ("torque-off", format!("{ready}{CLOSING} 51:00 | tighten | plug=level | torque=35 N·m => torque-off \n 51:10 | tighten | plug=level | torque=12 lbf·ft => torque-off \n 51:20 | tighten | plug=level | torque=35 N·m => +torque-off: helical insert, maker's bulletin")),
        ("seal-unconfirmed", format!("{ready}{CLOSING} 51:00 | open | plug=fill \n 51:10 | close | plug=fill | torque=35 N·m \n 51:20 | leak-check | result=dry \n 51:30 | finish => seal-unconfirmed \n 51:40 | finish => +seal-unconfirmed: old ring reused")),
        ("leaks-not-checked", format!("{ready}{CLOSING} 51:00 | leak-check | result=leak \n 51:30 | finish => leaks-not-checked \n 51:40 | finish => +leaks-not-checked: sweats, watch it")),
    ];
    let of_families = family_cases();
    let all: Vec<(&str, &str, &str)> = cases
        .iter()
        .map(|(code, table)| (*code, "keld-o6", table.as_str()))
        .chain(of_families.iter().map(|(code, sheet, table)| (*code, *sheet, table.as_str())))
        .collect();
    let on_the_way = GATES.iter().filter(|row| !AT_OPENING.iter().any(|(gate, _)| *gate == row.gate));
    for row in on_the_way {
        let (_, sheet, table) =
            all.iter().find(|(code, ..)| *code == row.code).unwrap_or_else(|| panic!("{} has no case", row.code));
        let stands = format!("=> {}", row.code);
        assert!(table.lines().any(|line| line.trim_end().ends_with(&stands)), "{}: it is met", row.code);
        run(opened_with(named(sheet)), table);
        assert_eq!(
            table.contains(&format!("=> +{}:", row.code)) || table.contains(&format!("=> +{},", row.code)),
            row.overridable,
            "{}: passing is tried exactly where it is allowed",
            row.code
        );
    }
    assert_eq!(all.len() + AT_OPENING.len(), GATES.len());
}

/// The gates that stand before a job is there at all, each with the verdict that puts it up.
const AT_OPENING: [(Gate, Verdict); 2] =
    [(Gate::VerdictStop, Verdict::Stop), (Gate::VerdictDiagnoseFirst, Verdict::DiagnoseFirst)];

#[test]
fn script_a_verdict_against_a_service_opens_no_job_without_a_reason() {
    let on = |verdict| {
        let because = vec!["Milky fluid has water in it.".to_owned()];
        Opening { found: Some(Found { findings: Default::default(), verdict, because }), ..opening() }
    };
    for (gate, verdict) in AT_OPENING {
        let given = |gate, reason: &str| vec![job::Override { gate, reason: reason.to_owned() }];
        let other = AT_OPENING.map(|(gate, _)| gate).into_iter().find(|other| *other != gate).unwrap();
        for nothing in [Vec::new(), given(gate, " "), given(other, "because")] {
            let refused = job::act::open(&on(verdict), "keld-o6", &[], &nothing).unwrap_err();
            assert_eq!(refused.code(), gate.code());
            assert!(refused.message().0.ends_with("Milky fluid has water in it."), "{:?}", refused.message());
        }
        let taken =
            job::act::open(&on(verdict), "keld-o6", &[], &given(gate, "only the leak test is paid for")).unwrap();
        // The reason stands in the opening entry and is folded from there.
        let fact = Fact::JobOpened(Box::new(on(verdict)));
        let entry = Entry { seq: 1, at_ms: 0, by: "T".to_owned(), body: Body { fact, overrides: taken } };
        let stored = serde_json::to_string(&entry.body).unwrap();
        assert_eq!(serde_json::from_str::<Body>(&stored).unwrap(), entry.body);
        let state = job::fold(&[entry]).unwrap();
        assert_eq!((state.overrides[0].gate, state.overrides[0].seq), (gate, 1));
    }
    for verdict in [Verdict::Service, Verdict::ServiceWithConsent] {
        assert_eq!(job::act::open(&on(verdict), "keld-o6", &[], &[]), Ok(Vec::new()));
    }
}

/// What was found before, each as (unit, ms, verdict); the unit and the findings of now; the gates that must stand.
type Memory = (&'static [(&'static str, i64, Verdict)], &'static str, Option<Verdict>, &'static [Gate]);

#[test]
fn hand_a_verdict_stands_until_the_unit_is_looked_at_again() {
    use Verdict::{DiagnoseFirst, Service, ServiceWithConsent, Stop};
    let rows: &[Memory] = &[
        (&[], "a", None, &[]),
        (&[("a", 1, Stop)], "a", None, &[Gate::VerdictStop]),
        (&[("a", 1, DiagnoseFirst)], "a", None, &[Gate::VerdictDiagnoseFirst]),
        // Later findings clear it, whatever order they are listed in; earlier ones do not.
        (&[("a", 1, Stop), ("a", 2, Service)], "a", None, &[]),
        (&[("a", 2, ServiceWithConsent), ("a", 1, Stop)], "a", None, &[]),
        (&[("a", 2, Stop), ("a", 1, Service)], "a", None, &[Gate::VerdictStop]),
        (&[("a", 1, Stop), ("a", 1, Service)], "a", None, &[]),
        // Findings of now take the place of earlier ones.
        (&[("a", 1, Stop)], "a", Some(Service), &[]),
        (&[("a", 1, Service)], "a", Some(Stop), &[Gate::VerdictStop]),
        (&[("a", 1, Stop)], "a", Some(DiagnoseFirst), &[Gate::VerdictDiagnoseFirst]),
        // Another unit of the vehicle neither clears it nor lets it pass.
        (&[("a", 1, Stop), ("b", 2, Service)], "b", None, &[Gate::VerdictStop]),
        (&[("a", 1, Stop)], "b", Some(Service), &[Gate::VerdictStop]),
        (&[("a", 1, Stop), ("b", 2, DiagnoseFirst)], "c", None, &[Gate::VerdictStop, Gate::VerdictDiagnoseFirst]),
    ];
    for (number, (before, unit, now, gates)) in rows.iter().enumerate() {
        let earlier: Vec<job::decide::Earlier> = before
            .iter()
            .map(|(unit, at_ms, verdict)| job::decide::Earlier {
                job: format!("job-{at_ms}"),
                day: "2026-01-01".to_owned(),
                at_ms: *at_ms,
                unit: (*unit).to_owned(),
                name: unit.to_uppercase(),
                verdict: *verdict,
                because: vec!["Milky.".to_owned()],
            })
            .collect();
        let found =
            now.map(|verdict| Found { findings: Default::default(), verdict, because: vec!["Now.".to_owned()] });
        let opening = Opening { found, ..opening() };
        match job::act::open(&opening, unit, &earlier, &[]) {
            Ok(taken) => assert!(taken.is_empty() && gates.is_empty(), "row {number}"),
            Err(job::Refusal::Gate { gate, reason, overridable, also, .. }) => {
                assert_eq!([vec![gate], also].concat(), *gates, "row {number}");
                let says = if now.is_some_and(|now| !now.permits_service()) { "Now." } else { "2026-01-01, job job-" };
                assert!(overridable && reason.contains(says), "row {number}: {reason}");
            }
            Err(other) => panic!("row {number}: {other:?}"),
        }
        let given = |gate: &Gate| job::Override { gate: *gate, reason: "leak test only".to_owned() };
        let all: Vec<_> = gates.iter().map(given).collect();
        assert_eq!(
            job::act::open(&opening, unit, &earlier, &all).map(|taken| taken.len()),
            Ok(gates.len()),
            "row {number}"
        );
    }
    for (one, other, same) in [
        ("Van, AB 12", "van,ab12", true),
        (" VAN\u{a0}AB12 ", "van ab 12", true),
        ("van", "vans", false),
        ("Blue estate", "Red estate", false),
    ] {
        assert_eq!(job::decide::same_vehicle(one, other), same, "{one} / {other}");
    }
}

/// The gates that only some families have, each with the sheet it stands in.
fn family_cases() -> Vec<(&'static str, &'static str, String)> {
    let pour = |at: &str, more: &str| format!("{at} | pour | volume=1 L | at=20 °C{more}");
    vec![
        ("not-rested", "keld-m6", format!("{HOLE} 21:00 | rest => not-rested \n 21:10 | reading | temperature=22 °C \n 21:20 | edge | seen=runs => not-rested \n 21:30 | edge | seen=below | below=3 mm => +not-rested: overnight it will be looked at again")),
        ("first-trickle", "keld-m6", "0:00 | level-vehicle | pitch=0° | roll=0° \n 0:10 | prove | plug=fill \n 0:20 | open | plug=fill \n 0:30 | reading | temperature=22 °C \n 0:40 | edge | seen=runs => first-trickle \n 0:50 | edge | seen=below | below=2 mm".into()),
        ("level-plug-in", "keld-m6", "0:00 | level-vehicle | pitch=0° | roll=0° \n 0:30 | reading | temperature=22 °C \n 0:40 | edge | seen=below | below=2 mm => level-plug-in".into()),
        ("fill-plug-in", "lunde-s5", "0:10 | prove | plug=dipstick \n 1:00 | drained | volume=2 L | at=40 °C => fill-plug-in \n 1:10 | open | plug=dipstick \n 1:20 | drained | volume=2 L | at=40 °C".into()),
        (
            "off-chart",
            "lunde-v1",
            format!(
                "{PROBE} 36:00 | rest \n 36:10 | reading | temperature=95 °C
                36:20 | probe | reading=44 mm => +too-hot: it is nearly right => off-chart"
            ),
        ),
        ("preset-not-set", "ostrel-t8", format!("{} 30:00 | cycle-selector | nobody_underneath=yes \n 31:00 | reading | temperature=42 °C \n 31:10 | open | plug=level => preset-not-set \n 31:20 | open | plug=level => +preset-not-set: it was set cold last week, see that sheet", before_preset())),
        ("preset-only", "ostrel-t8", format!("{TWO_STAGE} 24:00 | close | plug=fill | torque=35 N·m | new_seal=yes \n 24:10 | leak-check | result=dry \n 24:20 | finish => preset-only \n 24:30 | finish => +preset-only: it is towed to the next bay")),
        ("level-off", "marrow-d4", format!("{DIPSTICK} 40:10 | rest \n 40:20 | dip | mark=hot | one_side=-4 mm | other_side=-2 mm \n 41:00 | close | plug=dipstick \n 41:10 | leak-check | result=dry \n 41:20 | finish => level-off \n 41:30 | finish => +level-off: fluid comes tomorrow")),
        ("can-not-weighed", "brask-p7", format!("{PRESSURE} {} => can-not-weighed \n {} => +can-not-weighed: pump has a counter", pour("18:10", ""), pour("18:20", ""))),
        ("rest-not-poured", "torvane-r5-dry", format!("{DRY} 9:10 | cycle-selector | nobody_underneath=yes => rest-not-poured")),
        ("line-open", "ostrel-l6", format!("{EXCHANGE} 7:00 | stop-engine \n {} => line-open", pour("8:00", ""))),
        ("line-not-open", "ostrel-l6", "0:00 | start-engine \n 0:05 | reading | temperature=65 °C \n 0:10 | exchange | out=1 L | out_at=60 °C | in=1 L | in_at=20 °C => line-not-open".into()),
        ("exchange-apart", "ostrel-l6", format!("{EXCHANGE} 7:00 | exchange | out=3.0 L | out_at=65 °C | in=4.0 L | in_at=20 °C \n 7:20 | exchange | out=3.0 L | out_at=65 °C | in=4.0 L | in_at=20 °C => exchange-apart \n 7:30 | exchange | out=1.0 L | out_at=65 °C | in=0.1 L | in_at=20 °C \n 7:40 | exchange | out=3.0 L | out_at=65 °C | in=4.0 L | in_at=20 °C \n 7:50 | exchange | out=3.0 L | out_at=65 °C | in=4.0 L | in_at=20 °C => +exchange-apart: jug on the out side leaked")),
        ("drained-not-measured", "sollin-w6", format!("{SAME_BACK} 15:00 | close | plug=drain \n {} => drained-not-measured", pour("16:00", ""))),
        ("not-all-back", "sollin-w6", format!("{SAME_BACK} 14:00 | drained | volume=2.0 L | at=20 °C | how=scale \n 15:00 | close | plug=drain | torque=30 N·m | new_seal=yes \n {} \n 17:00 | leak-check | result=dry \n 17:10 | finish => not-all-back \n 17:20 | finish => +not-all-back: half was spilt, the rest comes tomorrow", pour("16:00", ""))),
        ("volume-off", "vexel-k7", format!("{} {} 60:00 | finish => volume-off \n 60:10 | finish => +volume-off: can was empty", TWO_CIRCUITS.replace("pour | volume=1.70 L", "pour | volume=1.30 L"), crate::tables::TWO_CIRCUITS_END)),
        ("other-circuit-open", "vexel-k7", format!("{} 14:30 | open | plug=clutch-level => other-circuit-open", TWO_CIRCUITS.replace("15:00 | close", "# 15:00 | close"))),
        ("fluid-unnamed", "vexel-k7", format!("{TWO_CIRCUITS} {} => fluid-unnamed", pour("16:00", " | circuit=gear-side"))),
        ("wrong-circuit", "vexel-k7", format!("{TWO_CIRCUITS} {} => wrong-circuit", pour("16:00", " | circuit=gear-side | fluid=Vexel C-7"))),
        ("fluid-not-approved", "keld-m6", format!("{HOLE} {} => fluid-not-approved \n {} => +fluid-not-approved: label says meets Keld M-2", pour("21:00", " | fluid=Marrow Type 2"), pour("21:10", " | fluid=Marrow Type 2"))),
    ]
}

/// The two-stage job as far as its first filling.
fn before_preset() -> &'static str {
    TWO_STAGE.split("21:30").next().unwrap_or_default()
}

/// Every family: what its own gates keep from happening, on the way through a job.
#[test]
fn script_each_family_refuses_what_spoils_it() {
    let cases: &[(&str, String)] = &[
        // Two stages: too warm for the cold one, too cold for the hot one, not without the engine.
        ("ostrel-t8", format!("{} 21:30 | reading | temperature=34 °C \n 21:40 | open | plug=level => too-hot", before_preset())),
        ("ostrel-t8", format!("{TWO_STAGE} 24:00 | cycle-selector | nobody_underneath=yes \n 25:00 | reading | temperature=34 °C \n 25:10 | open | plug=level => too-cold")),
        // Dipstick: engine, selector, temperature, tilt.
        ("marrow-d4", format!("{DIPSTICK} 40:05 | stop-engine \n 40:10 | dip | mark=hot | one_side=1 mm | other_side=1 mm => engine-not-idling")),
        ("marrow-d4", format!("{DIPSTICK} 40:05 | stop-engine \n 40:06 | start-engine \n 40:10 | dip | mark=hot | one_side=1 mm | other_side=1 mm => selector-not-cycled")),
        ("marrow-d4", format!("{DIPSTICK} 40:05 | reading | temperature=60 °C \n 40:10 | dip | mark=hot | one_side=1 mm | other_side=1 mm => too-cold")),
        ("marrow-d4", format!("{DIPSTICK} 43:00 | dip | mark=hot | one_side=1 mm | other_side=1 mm => temperature-unknown")),
        ("marrow-d4", format!("{DIPSTICK} 40:05 | level-vehicle | pitch=3° | roll=0° \n 40:10 | dip | mark=hot | one_side=1 mm | other_side=1 mm => tilt-too-large")),
        ("marrow-d4", format!("{DIPSTICK} 40:10 | dip | mark=cold | one_side=1 mm | other_side=1 mm => too-hot")),
        // Probe and readout: the same conditions, and each takes its own reading only.
        ("lunde-v1", format!("{PROBE} 35:10 | dip | mark=hot | one_side=1 mm | other_side=1 mm => impossible")),
        ("lunde-v1", format!("{PROBE} 35:05 | reading | temperature=43 °C \n 35:10 | probe | reading=25 mm => too-cold")),
        ("vexel-e9", format!("{READOUT} 40:05 | reading | temperature=92 °C \n 40:10 | readout | value=50 => too-hot")),
        ("vexel-e9", format!("{READOUT} 40:10 | probe | reading=25 mm => impossible")),
        // Hole: engine off, cold to lukewarm, tilt on either axis.
        ("keld-m6", format!("{HOLE} 25:05 | start-engine \n 25:10 | reading | temperature=22 °C \n 25:20 | edge | seen=below | below=2 mm => engine-not-off")),
        ("keld-m6", format!("{HOLE} 25:10 | reading | temperature=52 °C \n 25:20 | edge | seen=below | below=2 mm => too-hot")),
        ("keld-m6", format!("{HOLE} 25:05 | level-vehicle | pitch=0° | roll=1.5° \n 25:10 | reading | temperature=22 °C \n 25:20 | edge | seen=below | below=2 mm => tilt-too-large")),
        ("keld-m6", "0:00 | open | plug=drain => fill-plug-not-proven".into()),
        // Pressure: no second weight without a first, and no can that grew heavier.
        ("brask-p7", format!("{PRESSURE} 18:10 | weigh | when=after | mass=5 kg | at=20 °C => impossible")),
        ("brask-p7", format!("{PRESSURE} 18:10 | weigh | when=before | mass=5 kg | at=20 °C \n 18:20 | weigh | when=after | mass=6 kg | at=20 °C => impossible")),
        ("brask-p7", format!("{PRESSURE} 18:10 | close | plug=port \n 18:20 | start-engine => not-refilled")),
        // Dry: not started empty, not finished before the second part.
        ("torvane-r5-dry", "0:00 | start-engine => not-refilled".into()),
        ("torvane-r5-dry", format!("{DRY} 10:00 | road-test => fill-plug-out \n 10:10 | close | plug=fill \n 10:20 | road-test => rest-not-poured")),
        ("torvane-r5-dry", format!("{DRY}{DRY_END}").replace("11:00 | cycle-selector | nobody_underneath=yes", "11:00 | cycle-selector | nobody_underneath=yes => rest-not-poured").split("25:00").next().unwrap_or_default().to_owned()),
        // Exchange: plugs proven first, engine off to open and to join, idling and warm to pass through.
        ("ostrel-l6", "0:00 | line | state=open => fill-plug-not-proven".into()),
        ("ostrel-l6", format!("{EXCHANGE} 7:00 | line | state=joined => engine-not-off")),
        ("ostrel-l6", format!("{EXCHANGE} 6:10 | reading | temperature=40 °C \n 6:20 | exchange | out=1 L | out_at=40 °C | in=1 L | in_at=20 °C => too-cold")),
        ("ostrel-l6", format!("{EXCHANGE} 6:10 | stop-engine \n 6:20 | exchange | out=1 L | out_at=60 °C | in=1 L | in_at=20 °C => engine-not-idling")),
        // Extraction: the engine is off while the tube is in.
        ("lunde-s5", "0:10 | prove | plug=dipstick \n 0:20 | open | plug=dipstick \n 0:30 | start-engine \n 0:40 | drained | volume=2 L | at=40 °C => engine-not-off".into()),
        // Two circuits: nothing is drained before every plug of its own is proven; the circuit must be named.
        ("vexel-k7", "0:30 | prove | plug=gear-fill \n 2:00 | open | plug=clutch-level => fill-plug-not-proven".into()),
        ("vexel-k7", format!("{TWO_CIRCUITS} 16:00 | pour | volume=1 L | at=20 °C => impossible")),
        ("vexel-k7", format!("{TWO_CIRCUITS} 16:00 | pour | volume=1 L | at=20 °C | circuit=rear => impossible")),
    ];
    for (sheet, table) in cases {
        run(opened_with(named(sheet)), table);
    }
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
