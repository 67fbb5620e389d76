//! Deciding about one unit: what was asked, judged in one go for page, paper and command.

use job::command::{Found, Opening};
use job::decide::{
    Comparison, Costs, Customer, Due, Findings, Judgement, Paragraph, Policy, Run, Unit, compare, customer_text, due,
    policy, rules,
};
use physics::renewal::Steady;
use quantity::print::Units;
use sheet::Sheet;

use crate::error::AppError;

/// What is known and wanted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Asked {
    /// Question and answer; a question left out is not answered.
    pub found: Vec<(String, String)>,
    /// The fluid in the unit; a severe use found counts here too.
    pub run: Run,
    pub costs: Costs,
    /// In the customer's own words; may be empty.
    pub vehicle: String,
    /// The one way that is offered; empty for none chosen.
    pub method: String,
    /// Today, as printed.
    pub day: String,
}

/// What it comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Decided {
    pub findings: Findings,
    pub due: Due,
    pub judgement: Judgement,
    pub methods: Comparison,
    /// What one drain at each of the sheet's intervals leads to.
    pub policy: Option<Steady>,
    /// The text for the customer.
    pub paper: Vec<Paragraph>,
}

/// Judges.
///
/// # Errors
/// [`AppError::Input`] naming what cannot be.
pub fn decide(sheet: &Sheet, asked: &Asked, workshop: &str, units: Units) -> Result<Decided, AppError> {
    let rules = rules().map_err(|why| input(why, "The program file is damaged: install it again."))?;
    let severe = asked.run.severe || asked.found.iter().any(|(question, word)| question == "use" && word == "severe");
    let sheet_policy = Policy::of(sheet);
    let due = due(&Run { severe, ..asked.run }, &sheet_policy).map_err(figure)?;
    let given = asked.found.iter().map(|(question, word)| (question.as_str(), word.as_str()));
    let worked_out = [("due", due.status)].into_iter().chain(severe.then_some(("use", "severe")));
    let mut findings = rules.nothing_found();
    for (question, word) in given.chain(worked_out) {
        findings = rules.found(findings, question, word).map_err(|why| input(&why, &why.hint()))?;
    }
    let judgement = rules.judge(&findings);
    let unit = Unit::of(sheet);
    let methods = compare(&unit, asked.run.blend, sheet_policy.distance, &asked.costs).map_err(figure)?;
    if !asked.method.is_empty() && !methods.methods.iter().any(|row| row.id == asked.method) {
        let known: Vec<_> = methods.methods.iter().map(|row| row.id.as_str()).collect();
        let what = format!("“{}” is no way to renew", asked.method);
        return Err(input(what, &format!("one of: {}", known.join(", "))));
    }
    let policy = policy(&unit, sheet_policy.distance).map_err(figure)?;
    let (vehicle, method, day) = (asked.vehicle.as_str(), asked.method.as_str(), asked.day.as_str());
    let customer = Customer { workshop, vehicle, unit: &sheet.name, method, day };
    let paper = customer_text(&customer, rules, &findings, &judgement, &due, &methods, units);
    Ok(Decided { findings, due, judgement, methods, policy, paper })
}

/// What a job is opened on: findings with what they come to, by the fluid's age and use as the opening has them.
pub(crate) fn found(
    sheet: &Sheet,
    opening: &Opening,
    findings: Vec<(String, String)>,
) -> Result<Option<Found>, AppError> {
    if findings.is_empty() {
        return Ok(None);
    }
    let (age, severe) = (opening.fluid_age_km, opening.severe);
    let run = Run { distance: age, blend: age, severe, time: None };
    let asked = Asked { found: findings.clone(), run, ..Asked::default() };
    let judged = decide(sheet, &asked, "", Units::Metric)?.judgement;
    let because = judged.reasons.into_iter().map(|reason| reason.because).collect();
    Ok(Some(Found { findings: findings.into_iter().collect(), verdict: judged.verdict, because }))
}

fn input(what: impl std::fmt::Display, hint: &str) -> AppError {
    AppError::Input { what: what.to_string(), hint: hint.to_owned() }
}

fn figure(why: physics::PhysicsError) -> AppError {
    input(why, "Check the figure and its unit.")
}
