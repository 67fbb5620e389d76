//! From a judgement to its page.

use std::collections::BTreeMap;

use app::{Decided, SheetEntry};
use draw::{RenewalBar, RenewalInput, Size};
use job::decide::{Change, Question, Reason, Row, Rules, Verdict, due_lines, rounded_distance};
use quantity::Volume;
use quantity::print::{self, Units};

use crate::view::{Act, AskView, Choice, CircuitView, Field, Input, LinesView, ReasonView, RulingView, WayView};

/// What was entered, by field.
pub(crate) type Entered = BTreeMap<String, String>;

/// The questions, with what was tapped.
pub(crate) fn asks(rules: &Rules, families: &[sheet::Family], entered: &Entered) -> Vec<AskView> {
    let asks = |question: &&Question| families.is_empty() || families.iter().any(|family| question.asked_of(*family));
    let asked = rules.questions.iter().filter(|question| !question.derived).filter(asks);
    asked
        .map(|question| {
            let without = question.answers.get(question.without).map_or("", |answer| answer.word.as_str());
            let taken = entered.get(&question.id).map_or(without, String::as_str);
            let answers = question.answers.iter().map(|answer| Choice {
                value: answer.word.clone(),
                label: answer.says.clone(),
                chosen: answer.word == taken,
            });
            AskView {
                name: question.id.clone(),
                ask: question.ask.clone(),
                how: question.how.clone(),
                answers: answers.collect(),
            }
        })
        .collect()
}

/// The choice of a sheet.
pub(crate) fn sheet_choice(sheets: &[SheetEntry], chosen: &str) -> Field {
    let choices: Vec<(&str, &str)> = sheets.iter().map(|s| (s.name.as_str(), s.title.as_str())).collect();
    let field = Field::choice("sheet", "Sheet", &choices);
    if chosen.is_empty() { field } else { field.with(chosen) }
}

/// The figures beside the questions.
pub(crate) fn figures(entered: &Entered) -> Vec<Field> {
    let with = |field: Field| {
        let value = entered.get(&field.name).cloned().unwrap_or_default();
        field.optional().with(&value)
    };
    vec![
        with(Field::number("distance", "Fluid has run", "km").hint("since the last service, or since new")),
        with(Field::number("time", "It is in there for", "years")),
        with(Field::number("blend_age", "Mean age of the blend", "km").hint("if earlier services left old fluid in")),
        with(Field::number("price", "Price of fluid", "a litre")),
        with(Field::number("rate", "Price of work", "an hour")),
        with(Field::new("passes", "Passes, if several", Input::Number)),
        with(Field::new("vehicle", "Vehicle", Input::Text).hint("for the customer's text")),
    ]
}

/// The verdict and what belongs to it.
pub(crate) fn ruling(decided: &Decided, method: &str, pdf: String, opening: Act) -> RulingView {
    // The gravest circuit speaks for the unit.
    let judged = &decided.gravest().judgement;
    RulingView {
        word: judged.verdict.word().to_owned(),
        title: judged.verdict.title().to_owned(),
        glyph: glyph(judged.verdict).to_owned(),
        permits: judged.verdict.permits_service(),
        reasons: judged.reasons.iter().map(reason).collect(),
        noted: judged.noted.iter().map(reason).collect(),
        milder: judged.milder_if.iter().map(change).collect(),
        open: judged.open.iter().map(change).collect(),
        circuits: decided.circuits().map(|one| circuit(one, method)).collect(),
        paper: decided.paper.iter().map(|p| LinesView { heading: p.heading.clone(), lines: p.lines.clone() }).collect(),
        pdf,
        opening,
    }
}

fn circuit(one: &Decided, method: &str) -> CircuitView {
    let rows = &one.methods.methods;
    let title = match one.due.status {
        "due" => "Due",
        "overdue" => "Overdue",
        "not-yet" => "Not due yet",
        _ => "Due or not: not known",
    };
    let policy = one.policy.map(|steady| {
        let km = |distance: quantity::Distance| rounded_distance(distance.km(), Units::Metric);
        format!(
            "One drain at each interval leaves a blend that tends to {} just before a service and {} just after.",
            km(steady.before),
            km(steady.after)
        )
    });
    let verdict = one.judgement.verdict;
    CircuitView {
        name: one.circuit.clone(),
        verdict: format!("{} {}", glyph(verdict), verdict.title()),
        due: LinesView { heading: title.to_owned(), lines: due_lines(&one.due, Units::Metric) },
        policy: policy.unwrap_or_default(),
        head: head(rows),
        ways: rows.iter().map(|row| way(row, rows, method)).collect(),
        assumptions: one.methods.assumptions.clone(),
        bars: bars(&one.circuit, rows, method),
    }
}

fn glyph(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Service => "●",
        Verdict::ServiceWithConsent => "◐",
        Verdict::DiagnoseFirst => "▲",
        Verdict::Stop => "■",
    }
}

fn reason(reason: &Reason) -> ReasonView {
    ReasonView { because: reason.because.clone(), cure: reason.cure.clone(), source: reason.source.clone() }
}

fn change(change: &Change) -> String {
    format!("{} if {}: {}", change.verdict.title(), change.ask.to_lowercase(), change.answers.join(" or "))
}

fn aged(rows: &[Row]) -> bool {
    rows.iter().any(|row| row.blend_age_km.is_some())
}

fn priced(rows: &[Row]) -> bool {
    rows.iter().any(|row| row.cost.is_some())
}

fn head(rows: &[Row]) -> Vec<String> {
    let mut head = vec!["Old left", "Fluid", "Bay time"];
    head.extend(aged(rows).then_some("Blend age"));
    head.extend(priced(rows).then_some("Cost"));
    head.into_iter().map(str::to_owned).collect()
}

/// Whole percent; a trace is never nothing.
fn percent(share: f64) -> String {
    match 100.0 * share {
        trace if trace > 0.0 && trace < 0.5 => "< 1".to_owned(),
        whole => print::number(whole, 0),
    }
}

fn way(row: &Row, all: &[Row], method: &str) -> WayView {
    let old = match row.old_fraction_at_best < row.old_fraction - 0.005 {
        true => format!("{}–{} %", percent(row.old_fraction_at_best), percent(row.old_fraction)),
        false => format!("{} %", percent(row.old_fraction)),
    };
    let mut cells = vec![
        old,
        print::volume(Volume::from_litres(row.litres), Units::Metric),
        format!("{} h", print::number(row.bay_hours, 1)),
    ];
    let dash = || "–".to_owned();
    if aged(all) {
        cells.push(row.blend_age_km.map_or_else(dash, |age| rounded_distance(age, Units::Metric)));
    }
    if priced(all) {
        cells.push(row.cost.map_or_else(dash, |cost| print::number(cost, 0)));
    }
    WayView { name: row.name.clone(), cells, seen: row.seen.clone(), risk: row.risk.clone(), chosen: row.id == method }
}

fn bars(circuit: &str, rows: &[Row], method: &str) -> String {
    let now = RenewalBar {
        label: "now".to_owned(),
        old_fraction: 1.0,
        cost: String::new(),
        age: String::new(),
        chosen: false,
    };
    let bars = rows.iter().map(|row| RenewalBar {
        label: row.short.clone(),
        old_fraction: row.old_fraction,
        cost: row.cost.map(|cost| format!("costs {}", print::number(cost, 0))).unwrap_or_default(),
        age: row
            .blend_age_km
            .map(|age| format!("blend {} old", rounded_distance(age, Units::Metric)))
            .unwrap_or_default(),
        chosen: row.id == method,
    });
    let input = RenewalInput { bars: std::iter::once(now).chain(bars).collect() };
    let picture = draw::renewal(&input, Size::Wide);
    // The name also keeps two like pictures apart on one page.
    let title = match circuit {
        "" => "What stays of the old fluid".to_owned(),
        circuit => format!("What stays of the old fluid: {circuit}"),
    };
    draw::svg(&picture, &title, "Old fluid left by each way, with ideal mixing")
}

/// The form that opens a job after the verdict; against it, only for a typed reason.
pub(crate) fn open_from_verdict(decided: &Decided, id: &str, vehicle: &str) -> Act {
    let mut act = Act::new("", id, 0, "open-job", "Open the job")
        .under("the job keeps the findings and this verdict")
        .field(Field::new("vehicle", "Vehicle", Input::Text).with(vehicle))
        .field(Field::number("odometer", "Odometer", "km").optional())
        .field(Field::new("technician", "Technician", Input::Text));
    if let Some(gate) = job::Gate::of_verdict(decided.gravest().judgement.verdict) {
        act = act
            .field(Field::new("reason", "Why all the same", Input::Text).hint("prints on the proof sheet"))
            .hidden("override", gate.code());
    }
    act.action = "/decide/open".to_owned();
    act
}

/// What was sent to open a job, to be sent once more with a reason.
pub(crate) fn open_all_the_same(action: &str, id: &str, gates: &str, entered: &Entered) -> Act {
    let id = entered.get("id").map(|id| id.trim()).filter(|id| !id.is_empty()).unwrap_or(id);
    let mut act = Act::new("", id, 0, "open-job", "Open it all the same")
        .field(Field::new("reason", "Why all the same", Input::Text).hint("prints on the proof sheet"))
        .hidden("override", gates);
    let own = ["id", "seq", "do", "reason", "override"];
    for (name, value) in entered.iter().filter(|(name, _)| !own.contains(&name.as_str())) {
        act = act.hidden(name, value);
    }
    act.action = action.to_owned();
    act
}
