//! Verdicts, due and methods: the whole space of findings, everyday cases, and arithmetic by hand.

use job::decide::{
    Costs, Customer, Findings, Policy, Rules, Run, Unit, Verdict, compare, customer_text, due, policy, rules,
};
use quantity::print::Units;
use quantity::{Distance, Duration, Volume};

fn shipped() -> &'static Rules {
    rules().expect("the program's own rules")
}

/// Findings from "colour=black smell=burnt".
fn found(words: &str) -> Findings {
    let rules = shipped();
    words.split_whitespace().fold(rules.nothing_found(), |findings, word| {
        let (question, answer) = word.split_once('=').expect("question=answer");
        rules.found(findings, question, answer).expect(word)
    })
}

fn km(km: f64) -> Distance {
    Distance::from_km(km)
}

/// Every combination of answers, its verdict kept; then every pair that differs in one answer only.
#[test]
fn law_every_combination_has_one_verdict_and_a_worse_answer_never_a_milder_one() {
    let rules = shipped();
    let verdicts: Vec<Verdict> = rules.every_finding().map(|findings| rules.verdict(&findings)).collect();
    let sizes: Vec<usize> = rules.questions.iter().map(|q| q.answers.len()).collect();
    assert_eq!(verdicts.len(), sizes.iter().product::<usize>());
    for (_, _, title) in Verdict::ALL {
        assert!(verdicts.iter().any(|v| v.title() == title), "{title} never comes");
    }
    let mut stride = verdicts.len();
    for question in &rules.questions {
        let answers = &question.answers;
        stride /= answers.len();
        // From best to worst, each with the next; the unknown one lies between the best and the worst.
        let known: Vec<usize> = (0..answers.len()).filter(|i| !answers[*i].unknown).collect();
        let unknown = (0..answers.len()).filter(|i| answers[*i].unknown);
        let mut pairs: Vec<(usize, usize)> = known.windows(2).map(|pair| (pair[0], pair[1])).collect();
        pairs.extend(unknown.flat_map(|u| [(known[0], u), (u, known[known.len() - 1])]));
        for block in verdicts.chunks(stride * answers.len()) {
            for &(better, worse) in &pairs {
                let with = |answer: usize| &block[answer * stride..(answer + 1) * stride];
                let milder = with(better).iter().zip(with(worse)).any(|(better, worse)| better > worse);
                let (better, worse) = (&answers[better].word, &answers[worse].word);
                assert!(!milder, "{}: {worse} is judged more mildly than {better}", question.id);
            }
        }
    }
}

/// On a sample of the space, spread evenly: the reasons bear the verdict, each a rule that holds word by word.
#[test]
fn law_reasons_are_rules_that_hold_and_bear_the_verdict() {
    let rules = shipped();
    let mut decided = std::collections::BTreeSet::new();
    for findings in rules.every_finding().step_by(997) {
        let judged = rules.judge(&findings);
        assert!(!judged.reasons.is_empty());
        let answer = |id: &str| rules.answers(&findings).find(|(q, _)| q.id == id).map(|(_, a)| a.word.clone());
        // Read from the file's words, not from the bits that the verdict is found with.
        let holds = |rule: &job::decide::Rule| {
            rule.when.iter().all(|(id, words)| answer(id).is_some_and(|word| words.contains(&word)))
        };
        let gravest = rules.rules.iter().filter(|r| holds(r)).map(|r| r.verdict).max().expect("a rule holds");
        assert_eq!(gravest, judged.verdict);
        for reason in &judged.reasons {
            let rule = rules.rules.iter().find(|r| r.id == reason.rule).expect("a rule");
            assert!(holds(rule) && rule.verdict == judged.verdict, "{}", rule.id);
            decided.insert(rule.id.clone());
        }
        assert!(judged.noted.iter().all(|reason| reason.verdict < judged.verdict));
        assert!(judged.milder_if.iter().all(|change| change.verdict < judged.verdict));
        assert!(judged.open.iter().all(|change| change.verdict > judged.verdict));
    }
    let never: Vec<_> = rules.rules.iter().filter(|r| !decided.contains(&r.id)).map(|r| &r.id).collect();
    assert!(never.is_empty(), "rules that never decide: {never:?}");
}

/// The hard stops: no finding beside them makes a service of it.
#[test]
fn law_hard_stops_hold_whatever_else_is_found() {
    let rules = shipped();
    let stops = [
        ("colour=milky", Verdict::Stop),
        ("metal=pieces", Verdict::Stop),
        ("symptom=slip smell=burnt", Verdict::DiagnoseFirst),
        ("symptom=flare smell=burnt", Verdict::DiagnoseFirst),
        ("symptom=no-drive smell=burnt", Verdict::Stop),
        ("codes=ratio-pressure smell=burnt", Verdict::DiagnoseFirst),
        ("signal=bad", Verdict::DiagnoseFirst),
        ("level=off-unexplained", Verdict::DiagnoseFirst),
    ];
    for (words, least) in stops {
        for question in &rules.questions {
            for answer in question.answers.iter().filter(|_| !words.contains(&format!("{}=", question.id))) {
                let findings = rules.found(found(words), &question.id, &answer.word).expect("a finding");
                let verdict = rules.verdict(&findings);
                assert!(verdict >= least && !verdict.permits_service(), "{words} {}={}", question.id, answer.word);
            }
        }
    }
}

/// Ten vehicles of an ordinary week, judged as a careful practitioner would: common practice, no source.
#[test]
fn trade_ten_everyday_cases() {
    let cases = [
        // 1. On record, due, nothing odd.
        (
            "colour=darker smell=stale paper=even metal=film symptom=none codes=none signal=good level=near history=on-record due=due",
            "service",
            "nothing-against",
        ),
        // 2. The same at half the interval: early, not wrong.
        (
            "colour=darker smell=fresh metal=film symptom=none codes=none signal=good history=on-record due=not-yet",
            "service",
            "not-yet",
        ),
        // 3. Bought used, 140 000 km, no paper, dark but not burnt, drives well.
        (
            "colour=dark-brown smell=stale paper=dark-core metal=film symptom=none codes=none history=unknown due=overdue",
            "service-with-consent",
            "history-unknown",
        ),
        // 4. Shudder at a steady 80 km/h, fluid dark, codes read: none.
        (
            "colour=dark-brown smell=stale symptom=shudder codes=none history=on-record due=due",
            "service-with-consent",
            "shudder",
        ),
        // 5. The same shudder, nobody has read the codes.
        (
            "colour=dark-brown smell=stale symptom=shudder history=on-record due=due",
            "diagnose-first",
            "symptom-codes-unread",
        ),
        // 6. Slips on the hill, fluid smells burnt: "a fluid change will fix it".
        (
            "colour=black smell=burnt paper=specks symptom=slip codes=ratio-pressure history=unknown due=overdue",
            "diagnose-first",
            "burnt-and-slipping",
        ),
        // 7. Cooler failed inside the radiator: strawberry milk.
        ("colour=milky symptom=shudder history=on-record due=not-yet", "stop", "milky"),
        // 8. Came for a change by distance; the magnet holds a chip of a tooth.
        (
            "colour=darker smell=fresh metal=pieces symptom=none codes=none history=on-record due=due",
            "stop",
            "metal-pieces",
        ),
        // 9. Two litres low after another workshop's line repair, mended since.
        (
            "colour=as-new smell=fresh symptom=none codes=none level=off-explained history=on-record due=not-yet",
            "service-with-consent",
            "level-off-explained",
        ),
        // 10. The reader shows −40 °C on a summer's day.
        (
            "colour=darker smell=fresh symptom=none codes=other signal=bad history=on-record due=due",
            "diagnose-first",
            "signal-bad",
        ),
    ];
    for (words, verdict, reason) in cases {
        let judged = shipped().judge(&found(words));
        let reasons: Vec<_> = judged.reasons.iter().map(|r| r.rule.as_str()).collect();
        assert_eq!(judged.verdict.word(), verdict, "{words}");
        assert!(reasons.contains(&reason), "{words}: {reasons:?}");
    }
}

#[test]
fn hand_what_would_change_it() {
    // Burnt and nothing else: fresh or stale makes it a service; sweet would be worse but the smell is known already.
    let judged = shipped().judge(&found("colour=darker smell=burnt metal=film symptom=none codes=none signal=good history=on-record due=due level=near paper=even"));
    assert_eq!(judged.verdict, Verdict::ServiceWithConsent);
    assert_eq!(judged.milder_if.len(), 1);
    assert_eq!((judged.milder_if[0].question.as_str(), judged.milder_if[0].verdict), ("smell", Verdict::Service));
    assert_eq!(judged.milder_if[0].answers, ["as new", "stale"]);
    assert!(judged.open.is_empty(), "every question is answered: {:?}", judged.open);
}

#[test]
fn fault_words_that_are_none() {
    let rules = shipped();
    assert!(rules.found(rules.nothing_found(), "taste", "bitter").is_err_and(|e| !e.hint().is_empty()));
    assert!(rules.found(rules.nothing_found(), "smell", "bitter").is_err_and(|e| e.hint().contains("burnt")));
    let question = "[[question]]\nid='q'\nask='q'\nhow='q'\nwithout='a'\nanswers=[{word='a',says='a'}]\n";
    let rule = |id: &str, when: &str, rest: &str| {
        format!("[[rule]]\nid='{id}'\nverdict='service'\nwhen={when}\nbecause='x'\ncure='x'\nchange='x'\n{rest}\n")
    };
    let plain = rule("r", "{}", "status='common-practice'");
    assert!(Rules::parse(&format!("{question}{plain}")).is_ok());
    for (text, says) in [
        ("nonsense".to_owned(), "expected"),
        (format!("{question}{plain}{plain}"), "twice"),
        (format!("{question}{}", rule("r", "{q=['a']}", "status='common-practice'")), "holds always"),
        (format!("{question}{plain}{}", rule("s", "{q=['b']}", "status='common-practice'")), "b is no answer"),
        (format!("{question}{plain}{}", rule("s", "{p=['a']}", "status='common-practice'")), "p is no question"),
        (format!("{question}{plain}{}", rule("s", "{}", "status='read'")), "has a source"),
        (format!("{question}{plain}{}", plain.replace("'service'", "'maybe'").replace("'r'", "'s'")), "no verdict"),
    ] {
        let why = Rules::parse(&text).expect_err(says).to_string();
        assert!(why.contains(says), "{why}");
    }
}

#[test]
fn hand_due() {
    let policy = Policy {
        distance: Some(km(60_000.0)),
        time: Some(Duration::from_years(6.0)),
        severe_factor: 0.5,
        fraction: Some(0.4),
    };
    let run = |distance: f64, years: f64, severe| Run {
        distance: Some(km(distance)),
        time: Some(Duration::from_years(years)),
        blend: None,
        severe,
    };
    // 45 000 of 60 000 km and 2 of 6 years; halved: 45 000 of 30 000; 130 000 of 60 000 is more than two intervals.
    for (distance, years, severe, status) in [
        (45_000.0, 2.0, false, "not-yet"),
        (45_000.0, 2.0, true, "due"),
        (45_000.0, 7.0, false, "due"),
        (60_000.0, 2.0, false, "due"),
        (130_000.0, 2.0, false, "overdue"),
        (10_000.0, 12.5, false, "overdue"),
    ] {
        assert_eq!(due(&run(distance, years, severe), &policy).unwrap().status, status, "{distance} {years} {severe}");
    }
    // The time is stated and not known: not yet cannot be said, due can.
    let no_time = Run { distance: Some(km(10_000.0)), ..Run::default() };
    assert_eq!(due(&no_time, &policy).unwrap().status, "not-known");
    assert_eq!(due(&Run { distance: Some(km(70_000.0)), ..no_time }, &policy).unwrap().status, "due");
    // The blend: 0.4 every 60 000 km tends to 150 000 km just before a service; 160 000 is beyond it.
    let blend = Run { blend: Some(km(160_000.0)), ..run(20_000.0, 1.0, false) };
    let judged = due(&blend, &policy).unwrap();
    assert_eq!(judged.status, "due");
    assert!((judged.marks[0].limit - 150_000.0).abs() < 1e-6, "{judged:?}");
    // Nothing stated, nothing known; figures that cannot be.
    let none = Policy { distance: None, time: None, severe_factor: 1.0, fraction: None };
    assert_eq!(due(&blend, &none).unwrap().status, "not-known");
    for bad in [f64::NAN, -1.0, f64::INFINITY, 1e9] {
        assert!(due(&run(bad, 1.0, false), &policy).is_err());
        assert!(due(&run(1.0, bad, false), &policy).is_err());
    }
}

#[test]
fn hand_methods() {
    let unit =
        Unit { total: Volume::from_litres(10.0), fraction: 0.4, assumed: false, residue: Volume::from_litres(0.5) };
    let costs = Costs { per_litre: Some(12.0), per_hour: Some(60.0), passes: None };
    let rows = compare(&unit, Some(km(100_000.0)), Some(km(60_000.0)), &costs).unwrap().methods;
    let row = |id: &str| rows.iter().find(|row| row.id == id).expect(id);
    let near = |a: f64, b: f64, tolerance: f64| assert!((a - b).abs() < tolerance, "{a} is not {b}");
    // 0.6; 10·0.4 = 4 L; 4·12 + 1.0·60 = 108.
    let once = row("drain-once");
    near(once.old_fraction, 0.6, 1e-12);
    near(once.litres, 4.0, 1e-12);
    near(once.cost.unwrap(), 108.0, 1e-9);
    // Three passes: 0.6³ = 0.216, 21 600 km; 12 L and 2.4 h: 144 + 144 = 288.
    let three = row("drain-repeated");
    near(three.old_fraction, 0.216, 1e-12);
    near(three.blend_age_km.unwrap(), 21_600.0, 1e-6);
    near(three.cost.unwrap(), 288.0, 1e-9);
    // Pan: 0.4 + 0.05 → 0.55 left. Extraction: 0.85·0.4 = 0.34 → 0.66 left.
    near(row("pan-and-filter").old_fraction, 0.55, 1e-12);
    near(row("extraction").old_fraction, 0.66, 1e-12);
    // 1.3 fills through the line: e^−1.3 = 0.272532 left with ideal mixing, nothing without any; 13 L.
    let line = row("line-exchange");
    near(line.old_fraction, 0.272_532, 1e-6);
    near(line.old_fraction_at_best, 0.0, 1e-12);
    near(line.litres, 13.0, 1e-12);
    // 0.55·e^−1 = 0.202334.
    near(row("drain-then-line").old_fraction, 0.202_334, 1e-6);
    // 0.4 every 60 000 km: 150 000 before, 90 000 after.
    let steady = once.steady_state.unwrap();
    near(steady.before.km(), 150_000.0, 1e-6);
    near(steady.after.km(), 90_000.0, 1e-6);
    for bad in [
        Costs { per_litre: Some(-1.0), ..costs },
        Costs { per_hour: Some(f64::NAN), ..costs },
        Costs { passes: Some(0), ..costs },
    ] {
        assert!(compare(&unit, None, None, &bad).is_err());
    }
    assert!(compare(&Unit { fraction: 0.0, ..unit }, None, None, &costs).is_err());
}

#[test]
fn hand_a_third_drained_tends_to_three_and_two_intervals() {
    let unit =
        Unit { total: Volume::from_litres(9.0), fraction: 1.0 / 3.0, assumed: false, residue: Volume::default() };
    let steady = policy(&unit, Some(km(60_000.0))).unwrap().unwrap();
    assert!((steady.before.km() - 3.0 * 60_000.0).abs() < 1e-6 && (steady.after.km() - 2.0 * 60_000.0).abs() < 1e-6);
}

#[test]
fn law_the_customer_reads_verdict_reasons_and_caveats() {
    let rules = shipped();
    let unit = Unit { total: Volume::from_litres(9.0), fraction: 0.4, assumed: true, residue: Volume::default() };
    let methods = compare(&unit, Some(km(1e5)), None, &Costs::default()).unwrap();
    let never =
        due(&Run::default(), &Policy { distance: Some(km(6e4)), time: None, severe_factor: 1.0, fraction: None })
            .unwrap();
    let customer = Customer { vehicle: "Blue estate", method: "drain-once", ..Customer::default() };
    for words in ["", "smell=burnt", "symptom=slip", "colour=milky"] {
        let findings = found(words);
        let judged = rules.judge(&findings);
        let text = customer_text(&customer, rules, &findings, &judged, &never, &methods, Units::Metric);
        let all: String = text.iter().flat_map(|p| &p.lines).map(|line| format!("{line}\n")).collect();
        assert!(all.contains(judged.verdict.title()) && all.contains("Blue estate"), "{all}");
        assert!(judged.reasons.iter().all(|reason| all.contains(&reason.because)));
        // Nothing is offered that was refused.
        assert_eq!(all.contains("Drain and fill, once"), judged.verdict.permits_service(), "{words}");
        assert!(!all.contains("Exchange through"), "only the chosen way is offered");
        assert!(all.contains("signature"));
    }
}

/// A question that is not asked holds no rule up and none down: with everything else the same, the verdict is the one of the
/// mildest answer, for every family.
#[test]
fn law_a_question_not_asked_weighs_as_much_as_its_best_answer() {
    let rules = job::decide::rules().expect("rules");
    for (family, word, _) in sheet::Family::ALL {
        let left_out: Vec<_> = rules.questions.iter().filter(|question| !question.asked_of(family)).collect();
        for question in rules.questions.iter().filter(|q| q.asked_of(family) && !q.derived) {
            for answer in &question.answers {
                let without = rules.nothing_found_of(family);
                let without = rules.found(without, &question.id, &answer.word).expect("an answer");
                let all = rules.found(rules.nothing_found(), &question.id, &answer.word).expect("an answer");
                let best =
                    left_out.iter().fold(all, |all, q| rules.found(all, &q.id, &q.answers[0].word).expect("an answer"));
                assert_eq!(rules.verdict(&without), rules.verdict(&best), "{word}: {} {}", question.id, answer.word);
                let judged = rules.judge(&without);
                let named = |change: &job::decide::Change| left_out.iter().any(|q| q.id == change.question);
                assert!(!judged.open.iter().chain(&judged.milder_if).any(named), "{word}");
            }
        }
        for question in left_out {
            let refused = rules.found(rules.nothing_found_of(family), &question.id, &question.answers[0].word);
            assert_eq!(refused, Err(job::decide::FindingError::NotAsked(question.id.clone())));
        }
    }
}
