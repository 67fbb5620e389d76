//! Deciding about one unit: what was asked, judged in one go for page, paper and command.

use job::command::{Found, Opening};
use job::decide::{
    Comparison, Costs, Customer, Due, Earlier, Findings, Judgement, Paragraph, Policy, Rules, Run, Unit, compare,
    customer_text, due, policy, rules, same_vehicle,
};
use physics::renewal::Steady;
use quantity::print::Units;
use sheet::Sheet;

use crate::error::AppError;
use crate::workshop::Workshop;

/// What is known and wanted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Asked {
    /// Question and answer; a question left out is not answered.
    pub found: Vec<(String, String)>,
    /// The fluid in the unit; a severe use found counts here too.
    pub run: Run,
    pub costs: Costs,
    /// The one circuit the findings speak of; `None` for every circuit of the unit.
    pub circuit: Option<String>,
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
    /// Which circuit; empty in a unit with one.
    pub circuit: String,
    pub findings: Findings,
    pub due: Due,
    pub judgement: Judgement,
    pub methods: Comparison,
    /// What one drain at each of the sheet's intervals leads to.
    pub policy: Option<Steady>,
    /// The text for the customer.
    pub paper: Vec<Paragraph>,
    /// The unit's other circuits, each judged by its own figures.
    pub further: Vec<Decided>,
}

impl Decided {
    /// This circuit and the further ones.
    pub fn circuits(&self) -> impl Iterator<Item = &Self> {
        std::iter::once(self).chain(&self.further)
    }
    /// The circuit with the gravest verdict, which counts for the unit; the first one of several.
    pub fn gravest(&self) -> &Self {
        self.circuits()
            .fold(self, |worst, one| if one.judgement.verdict > worst.judgement.verdict { one } else { worst })
    }
}

/// Judges each circuit by its own capacity, fluid and family; what is not asked of a circuit is left out there.
///
/// # Errors
/// [`AppError::Input`] naming what cannot be: a figure, a word, or an answer to what no circuit of this unit is asked.
pub fn decide(sheet: &Sheet, asked: &Asked, workshop: &str, units: Units) -> Result<Decided, AppError> {
    let rules = rules().map_err(|why| input(why, "The program file is damaged: install it again."))?;
    let known = sheet.circuits();
    let chosen = match asked.circuit.as_deref() {
        Some(id) if !known.contains(&id) => {
            return Err(input(format!("this unit has no circuit “{id}”"), &format!("one of: {}", known.join(", "))));
        }
        Some(id) => vec![id],
        None => known,
    };
    let sheets: Vec<Sheet> = chosen.iter().filter_map(|id| sheet.of_circuit(id)).collect();
    let mut decided = Vec::new();
    for one in &sheets {
        let asked_elsewhere = |word: &str| {
            let question = rules.questions.iter().find(|question| question.id == *word);
            question.is_some_and(|q| !q.asked_of(one.family) && sheets.iter().any(|other| q.asked_of(other.family)))
        };
        let found = asked.found.iter().filter(|(word, _)| !asked_elsewhere(word)).cloned().collect();
        let name = sheet.circuit_name(&one.circuit.0);
        decided.push(of_circuit(one, name, &Asked { found, ..asked.clone() }, (workshop, units), rules)?);
    }
    let mut decided = decided.into_iter();
    let first = decided.next().ok_or_else(|| input("this unit has no circuit", "Check the sheet."))?;
    let mut unit = Decided { further: decided.collect(), ..first };
    unit.paper = paper_of(&unit);
    Ok(unit)
}

/// One text to sign for all circuits: the head once, each circuit under its name, and the consent of the gravest verdict.
fn paper_of(unit: &Decided) -> Vec<Paragraph> {
    if unit.further.is_empty() {
        return unit.paper.clone();
    }
    let head = unit.paper.iter().take(1).cloned();
    let own = unit.circuits().flat_map(|one| {
        let inner = one.paper.len().saturating_sub(2);
        let named = |p: &Paragraph| Paragraph { heading: format!("{}: {}", one.circuit, p.heading), ..p.clone() };
        one.paper.iter().skip(1).take(inner).map(named)
    });
    head.chain(own).chain(unit.gravest().paper.last().cloned()).collect()
}

fn of_circuit(
    sheet: &Sheet,
    circuit: &str,
    asked: &Asked,
    (workshop, units): (&str, Units),
    rules: &Rules,
) -> Result<Decided, AppError> {
    let severe = asked.run.severe || asked.found.iter().any(|(question, word)| question == "use" && word == "severe");
    let sheet_policy = Policy::of(sheet);
    let due = due(&Run { severe, ..asked.run }, &sheet_policy).map_err(figure)?;
    let given = asked.found.iter().map(|(question, word)| (question.as_str(), word.as_str()));
    let worked_out = [("due", due.status)].into_iter().chain(severe.then_some(("use", "severe")));
    let mut findings = rules.nothing_found_of(sheet.family);
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
    let circuit = circuit.to_owned();
    Ok(Decided { circuit, findings, due, judgement, methods, policy, paper, further: Vec::new() })
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
    let judged = decide(sheet, &asked, "", Units::Metric)?.gravest().judgement.clone();
    let because = judged.reasons.into_iter().map(|reason| reason.because).collect();
    Ok(Some(Found { findings: findings.into_iter().collect(), verdict: judged.verdict, because }))
}

impl Workshop {
    /// What was found when jobs on this vehicle were opened, the first one first. Vehicles are the same when their words
    /// are, whatever the case and the spaces. A job whose log is damaged, which the floor shows, has found nothing.
    pub(crate) async fn found_before(&self, vehicle: &str) -> Result<Vec<Earlier>, AppError> {
        let mut all = Vec::new();
        for row in self.store.floor().await?.into_iter().filter(|row| same_vehicle(&row.vehicle, vehicle)) {
            let mut summary: serde_json::Value = serde_json::from_str(&row.summary).unwrap_or_default();
            let found = match summary.get_mut("found") {
                Some(found) => serde_json::from_value(found.take()).ok().flatten(),
                // A row of an earlier version does not say.
                None => self.load(&row.job).await.ok().and_then(|loaded| earlier(&row.job, &loaded.state)),
            };
            all.extend(found);
        }
        all.sort_by(|a: &Earlier, b| (a.at_ms, &a.job).cmp(&(b.at_ms, &b.job)));
        Ok(all)
    }
}

/// What a job was opened on, as a later one remembers it.
pub(crate) fn earlier(job: &str, state: &job::State) -> Option<Earlier> {
    let found = state.opening.found.as_ref()?;
    Some(Earlier {
        job: job.to_owned(),
        day: crate::paper::day(state.opened_ms),
        at_ms: state.opened_ms,
        unit: state.sheet.id.clone(),
        name: state.sheet.name.clone(),
        verdict: found.verdict,
        because: found.because.clone(),
    })
}

fn input(what: impl std::fmt::Display, hint: &str) -> AppError {
    AppError::Input { what: what.to_string(), hint: hint.to_owned() }
}

fn figure(why: physics::PhysicsError) -> AppError {
    input(why, "Check the figure and its unit.")
}
