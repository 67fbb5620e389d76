//! What was found and advised, in words a customer can read and sign.

use quantity::print::{self, Units};
use quantity::{Distance, Duration};
use serde::Serialize;

use super::{Comparison, Due, Findings, Judgement, Measure, Rules, Verdict};

/// Who and what the text is about; empty for not said.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Customer<'a> {
    /// What the workshop calls itself.
    pub workshop: &'a str,
    /// Which vehicle.
    pub vehicle: &'a str,
    /// Which unit.
    pub unit: &'a str,
    /// The way that is offered, by its id; empty for none chosen yet.
    pub method: &'a str,
    /// Today, as written.
    pub day: &'a str,
}

/// A heading with what stands under it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Paragraph {
    /// The heading.
    pub heading: String,
    /// One sentence or line each.
    pub lines: Vec<String>,
}

/// The text: what was found, what that means, what is offered, what is not promised, and a line to sign on.
pub fn customer_text(
    customer: &Customer<'_>,
    rules: &Rules,
    findings: &Findings,
    judgement: &Judgement,
    due: &Due,
    methods: &Comparison,
    units: Units,
) -> Vec<Paragraph> {
    let mut text = Vec::new();
    let mut add = |heading: &str, lines: Vec<String>| {
        if !lines.is_empty() {
            text.push(Paragraph { heading: heading.to_owned(), lines });
        }
    };
    let about = [
        ("Workshop", customer.workshop),
        ("Vehicle", customer.vehicle),
        ("Unit", customer.unit),
        ("Date", customer.day),
    ];
    let about = about.iter().filter(|(_, value)| !value.trim().is_empty());
    add(
        "Fluid service: what was found and what we advise",
        about.map(|(what, value)| format!("{what}: {value}")).collect(),
    );
    let (found, open): (Vec<_>, Vec<_>) =
        rules.answers(findings).filter(|(question, _)| !question.derived).partition(|(_, answer)| !answer.unknown);
    add(
        "What was found",
        found.iter().map(|(question, answer)| format!("{}: {}.", question.ask, answer.says)).collect(),
    );
    add("Not looked at", open.iter().map(|(question, _)| format!("{}.", question.ask)).collect());
    add("Is it due", due_lines(due, units));
    let mut advice = vec![format!("{}.", judgement.verdict.title())];
    advice.extend(judgement.reasons.iter().map(|reason| format!("{} {}", reason.because, reason.cure)));
    add("What we advise", advice);
    if judgement.verdict.permits_service() {
        add("What is offered", offer(customer.method, methods, units));
    }
    add("What you should know", caveats(judgement));
    add(
        "Agreed",
        vec![
            consent(judgement.verdict).to_owned(),
            "Name: ____________________________".to_owned(),
            "Date and signature: ____________________________".to_owned(),
        ],
    );
    text
}

/// Each measure in words.
pub fn due_lines(due: &Due, units: Units) -> Vec<String> {
    let amount = |unit: &str, value: f64| match unit {
        "km" => print::distance(Distance::from_km(value), units),
        _ => print::duration(Duration::from_years(value)),
    };
    let mut lines: Vec<String> = due
        .marks
        .iter()
        .map(|mark| {
            let state =
                if mark.share >= 1.0 { "due".to_owned() } else { format!("{} left", amount(mark.unit, mark.left)) };
            format!(
                "{}: {} of {}, {state}.",
                mark.measure.title(),
                amount(mark.unit, mark.run),
                amount(mark.unit, mark.limit)
            )
        })
        .collect();
    let missing: Vec<&str> = due.missing.iter().map(|measure: &Measure| measure.title()).collect();
    if !missing.is_empty() {
        lines.push(format!("Not known: {}.", missing.join(", ").to_lowercase()));
    }
    lines
}

/// A worked-out distance: no more digits than it is worth.
pub fn rounded_distance(km: f64, units: Units) -> String {
    let step = if units == Units::Us { Distance::from_miles(100.0).km() } else { 100.0 };
    print::distance(Distance::from_km((km / step).round() * step), units)
}

fn offer(chosen: &str, methods: &Comparison, units: Units) -> Vec<String> {
    let rows = methods.methods.iter().filter(|row| chosen.is_empty() || row.id == chosen);
    rows.map(|row| {
        let mut line = format!(
            "{}: {} of fluid; about {:.0} % of the old fluid stays in",
            row.name,
            print::volume(quantity::Volume::from_litres(row.litres), units),
            row.old_fraction * 100.0
        );
        if let Some(age) = row.blend_age_km {
            line.push_str(&format!(", so the blend is {} old", rounded_distance(age, units)));
        }
        if let Some(cost) = row.cost {
            line.push_str(&format!("; {}", print::number(cost, 2)));
        }
        line + "."
    })
    .collect()
}

fn caveats(judgement: &Judgement) -> Vec<String> {
    let mut lines = vec![
        "New fluid does not mend worn parts. If wear is there already it may show sooner or later, with or without a service."
            .to_owned(),
        "If metal pieces, water or coolant show during the work, it ends there, and the cause comes first.".to_owned(),
    ];
    lines.extend(judgement.noted.iter().map(|reason| format!("{} {}", reason.because, reason.cure)));
    lines
}

fn consent(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Service => "I have read this and order the service.",
        Verdict::ServiceWithConsent => {
            "I have read this, know that a fault already there may show after the service, and order it all the same."
        }
        Verdict::DiagnoseFirst => "I have read this and order the diagnosis. No fluid is changed before its result.",
        Verdict::Stop => "I have read this. The vehicle is not to be driven until the cause is found.",
    }
}
