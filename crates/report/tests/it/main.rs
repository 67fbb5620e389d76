//! The sheets as a whole: one page, every word there, nothing fetched. The vehicles, the workshop and the figures are
//! invented.

mod page;
mod paper;

use draw::{Moment, Source, TapeInput, TapeReading};
use report::{
    BenchGroup, BenchLine, BenchList, Figure, FluidTables, Override, PlugCard, Proof, Step, Table, TorqueCard,
    UsedLabel,
};

fn strings(words: &[&str]) -> Vec<String> {
    words.iter().map(|w| (*w).to_owned()).collect()
}

fn pairs(words: &[(&str, &str)]) -> Vec<(String, String)> {
    words.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect()
}

fn table(head: &[&str], rows: &[&[&str]], total: &[&str]) -> Table {
    Table { head: strings(head), rows: rows.iter().map(|r| strings(r)).collect(), total: strings(total) }
}

fn figure(label: &str, value: &str, doubt: &str, words: &str) -> Figure {
    Figure { label: label.into(), value: value.into(), doubt: doubt.into(), words: words.into() }
}

pub fn tape() -> TapeInput {
    // 85 − 65·e^(−t/25 min): plain arithmetic.
    let warm = |t: f64| 85.0 - 65.0 * (-t / 1500.0).exp();
    let times = || (0..29).map(|i| f64::from(i) * 30.0);
    TapeInput {
        window_c: Some((35.0, 45.0)),
        readings: times().map(|t_s| TapeReading { t_s, temp_c: warm(t_s), source: Source::Reader }).collect(),
        fan: vec![],
        fitted: times().map(|t| (t, warm(t))).collect(),
        opens_s: Some(Moment { p10: 390.0, p50: 393.0, p90: 397.0 }),
        closes_s: Some(Moment { p10: 716.0, p50: 718.0, p90: 720.0 }),
        now_s: None,
        notches: vec![
            (0.0, "engine on".into()),
            (95.0, "selector cycled, nobody underneath".into()),
            (432.0, "level plug out 36.3 °C".into()),
            (560.0, "stream breaks to drops".into()),
            (588.0, "level plug in 41.1 °C".into()),
        ],
        start_clock_s: Some(38_130.0),
        fahrenheit: false,
    }
}

pub fn ordinary() -> Proof {
    Proof {
        workshop: "Invented Workshop".into(),
        demo: false,
        title: "Automatic transmission: fluid renewed, level set".into(),
        job: "Job 2026-0117".into(),
        date: "25 November 2026".into(),
        technician: "Technician: R. Example".into(),
        vehicle: pairs(&[("Make and model", "Tarn Estate 2.0"), ("Plate", "XX 000 YY"), ("Odometer", "118 400 km")]),
        unit: pairs(&[("Unit", "K6 automatic, six ranges"), ("Serial", "K6-004417"), ("Charge", "9.0 L at 20 °C")]),
        verdict: "The level was set inside the window and the plug closed in time. As left agrees with right.".into(),
        as_found: figure("As found", "−310 mL", "± 90 mL", "underfilled by 3.4 % of the charge, cause not known"),
        as_left: figure("As left", "−20 mL", "± 45 mL", "right within its doubt; at 20 °C"),
        ledger: table(
            &["", "litres", "at", "at 20 °C", "±"],
            &[
                &["Drained", "4.30 L", "75 °C", "4.13 L", "0.03"],
                &["Left in filter and pan", "0.30 L", "20 °C", "0.30 L", "0.05"],
                &["Filled", "5.00 L", "20 °C", "5.00 L", "0.02"],
                &["Run off at the level plug", "0.62 L", "38 °C", "0.61 L", "0.02"],
            ],
            &["Net", "", "", "−0.04 L", "0.07"],
        ),
        budget: table(
            &["part", "mL", "±"],
            &[
                &["Tilt of the vehicle, 0.4°", "−12", "30"],
                &["Temperature sensor", "0", "24"],
                &["Drops, not yet dry", "+6", "18"],
                &["Closed 28 s after the drops", "−8", "10"],
            ],
            &["Together", "−20", "45"],
        ),
        tape: tape(),
        torques: table(
            &["plug", "asked", "recorded", "wrench"],
            &[
                &["Fill plug", "40 N·m", "40 N·m", "W2, 20–100 N·m"],
                &["Level plug", "25 N·m", "25 N·m", "W1, 5–50 N·m"],
                &["Drain plug", "25 N·m", "25 N·m", "W1, 5–50 N·m"],
                &["Pan bolts, 14", "9 N·m", "9 N·m", "W1, 5–50 N·m"],
            ],
            &[],
        ),
        fluid: pairs(&[("Approval on the can", "K-ATF 6"), ("Batch", "A7731"), ("Blend age now", "52 400 km")]),
        overrides: vec![Override {
            gate: "Torque of the fill plug recorded".into(),
            reason: "wrench would not fit, tightened by angle".into(),
            when: "10:58".into(),
        }],
        corrections: strings(&["10:41 reading 43.1 °C corrected to 34.1 °C: misread"]),
        cautions: strings(&["Check for leaks after 100 km.", "Used fluid: 4.9 L handed over as 13 02 05*."]),
        next_due: pairs(&[("Fluid", "at 166 000 km or November 2029"), ("Look", "leak check at 118 500 km")]),
        not_claimed: strings(&[
            "That the unit is without fault: only its fluid and level were worked on.",
            "That the temperature shown by the vehicle's own sensor is right beyond the stated doubt.",
        ]),
        stopped: None,
        footer:
            "Log 41 entries, last hash 9f2c 77d0 41ab e6c3 · model 0.1.0 · The maker's figures and your own judgement \
                 come first; this sheet is computed from what was entered."
                .into(),
    }
}

pub fn overfull() -> Proof {
    let mut proof = ordinary();
    let long = "with a long remark that goes on about what was seen, heard and smelt on the way to the end of the line, \
                and then some more";
    proof.demo = true;
    proof.title =
        "A very long title of a job that renews the fluid of everything that holds any on this vehicle and its \
                   trailer as well"
            .into();
    proof.verdict = format!("{} {long}", proof.verdict);
    proof.stopped = Some(format!("The level plug did not turn, {long}, {long}."));
    let rows = |n: usize| (0..n).map(|i| strings(&[&format!("Row {i} {long}"), "1.00 L", "20 °C", "1.00 L", "0.02"]));
    proof.ledger.rows.extend(rows(60));
    proof.budget.rows.extend(rows(40));
    proof.torques.rows.extend(rows(50));
    for i in 0..40 {
        proof.vehicle.push((format!("Name {i}"), long.into()));
        proof.unit.push((format!("Name {i}"), long.into()));
        proof.fluid.push((format!("Name {i}"), long.into()));
        proof.next_due.push((format!("Name {i}"), long.into()));
        proof.corrections.push(long.into());
        proof.cautions.push(long.into());
        proof.not_claimed.push(long.into());
        proof.overrides.push(Override { gate: format!("Gate {i}"), reason: long.into(), when: "10:58".into() });
        proof.tape.notches.push((f64::from(i) * 20.0, long.into()));
    }
    proof.as_left.value = "−1 234 567 890 mL".into();
    proof.as_left.words = format!("{long}, {long}");
    proof.footer = format!("{} {long} {long} {long}", proof.footer);
    proof
}

pub fn stopped() -> Proof {
    let mut proof = ordinary();
    proof.demo = true;
    proof.title = "Automatic transmission: stopped, vehicle still drives".into();
    proof.verdict = "Nothing was drained. The unit is as it came in.".into();
    proof.stopped = Some("The level plug did not turn with 40 N·m and a cold soak. Nothing had been drained.".into());
    proof.as_found = figure("As found", "", "", "not measured: the level plug was never opened");
    proof.as_left = figure("As left", "", "", "as it came in");
    proof.ledger = Table::default();
    proof.budget = Table::default();
    proof.tape.readings.truncate(2);
    proof.tape.fitted.clear();
    proof.tape.opens_s = None;
    proof.tape.closes_s = None;
    proof.tape.notches.truncate(1);
    proof.overrides.clear();
    proof.corrections.clear();
    proof.fluid.clear();
    proof
}

pub fn nothing() -> Proof {
    Proof {
        workshop: String::new(),
        demo: false,
        title: String::new(),
        job: String::new(),
        date: String::new(),
        technician: String::new(),
        vehicle: vec![],
        unit: vec![],
        verdict: String::new(),
        as_found: Figure::default(),
        as_left: Figure::default(),
        ledger: Table::default(),
        budget: Table::default(),
        tape: TapeInput {
            window_c: Some((f64::NAN, 1e300)),
            readings: vec![TapeReading { t_s: f64::NAN, temp_c: f64::INFINITY, source: Source::Typed }],
            now_s: Some(f64::NEG_INFINITY),
            ..tape()
        },
        torques: Table { head: vec![], rows: vec![vec![], strings(&["a", "b", "c"])], total: strings(&["x"]) },
        fluid: vec![(String::new(), String::new())],
        overrides: vec![Override::default()],
        corrections: strings(&["", "\u{0}\n\t", "液体 🚗 \u{202e}"]),
        cautions: vec![],
        next_due: vec![],
        not_claimed: vec![],
        stopped: Some(String::new()),
        footer: String::new(),
    }
}

pub fn bench(times: usize) -> BenchList {
    let step =
        |verb: &str, why: &str, caution: &str| Step { verb: verb.into(), why: why.into(), caution: caution.into() };
    let steps = [
        step("Support the vehicle level; push test.", "Half a degree is worth about 50 mL.", "Stands, not the jack."),
        step("Turn the fill plug, then the level plug.", "Nothing is drained before both are shown to turn.", ""),
        step("Drain; catch and weigh.", "The litres out tell how it was found.", "Hot fluid: sleeves and goggles."),
        step("Drain plug in, 25 N·m, new washer.", "", ""),
        step("Fill 5.0 L through the fill hole.", "4.1 L drained, 0.3 L in the filter, 0.6 L surplus.", ""),
        step("Start; hold each range 3 s.", "The converter and the cooler fill.", "Nobody underneath."),
        step("Wait for 35 °C; open the level plug.", "The window is 35–45 °C, about five and a half minutes.", ""),
        step("Close when the stream breaks to drops.", "12 mL/min that go on are expansion.", "Exhaust is hot."),
    ];
    let line = |(what, amount): &(String, String)| BenchLine {
        what: what.clone(),
        amount: amount.clone(),
        note: "in the second drawer".into(),
        ready: amount == "1",
    };
    let things = pairs(&[
        ("Fluid, approval K-ATF 6, cans of 1 L", "5.9 L incl. 0.47 L surplus and 0.5 L reserve"),
        ("Level plug seal", "1"),
        ("Drain plug washer", "1"),
        ("Filter with gasket", "1"),
        ("Hex bit 6 mm, long", ""),
        ("Torque wrench", "12–40 N·m"),
        ("Pan, 10 L, clean", "1"),
    ]);
    let plug = |name: &str, torque: &str| PlugCard {
        name: name.into(),
        torque: torque.into(),
        facts: pairs(&[("where", "underside of the pan"), ("bit", "hexagon 5 mm"), ("seal", "O-ring 9 × 2 mm, new")]),
    };
    BenchList {
        card: TorqueCard {
            title: "K6 automatic: drain, refill, level".into(),
            subtitle: "Job 2026-0117 · Tarn Estate 2.0 · two passes".into(),
            demo: times == 2,
            section: None,
            plugs: vec![plug("Fill plug", "40 N·m"), plug("Level plug", "25 N·m"), plug("Drain plug", "25 N·m")],
        },
        fluids: vec![FluidTables {
            circuit: String::new(),
            need: table(&[], &[&["What a drain brings", "4.40 L"], &["Surplus", "0.50 L"]], &["Have ready", "5.9 L"]),
            containers: table(&["container", "holds", "costs"], &[&["1 × 5 L can", "5 L", "58.00"]], &[]),
        }],
        remarks: vec![],
        groups: vec![BenchGroup {
            title: "On the bench".into(),
            lines: things.iter().cycle().take(things.len() * times).map(line).collect(),
        }],
        steps: steps.iter().cycle().take(steps.len() * times).cloned().collect(),
        cautions: strings(&["Used Oil: label the container.", "Exhaust outdoors: an open door is not ventilation."])
            .into_iter()
            .cycle()
            .take(2 * times)
            .collect(),
        footer: "Invented Workshop, 25 November 2026".into(),
    }
}

pub fn label() -> UsedLabel {
    UsedLabel {
        workshop: "Invented Workshop".into(),
        demo: false,
        date: "2026-11-25".into(),
        amount: "5.2 L".into(),
        parts: "4.30 L drained, 0.30 L from filter and pan, 0.62 L run off".into(),
        source: pairs(&[("Vehicle", "Tarn Estate 2.0"), ("Unit", "K6 automatic")]),
        codes: vec![
            ("13 02 05*".into(), "mineral-based, non-chlorinated".into(), false),
            ("13 02 06*".into(), "synthetic".into(), true),
        ],
        rules: strings(&["Never mix it.", "Local rules come first."]),
    }
}
