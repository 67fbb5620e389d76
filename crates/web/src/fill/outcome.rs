//! What came of a job, and its proof sheet as a page.

use app::JobView;
use job::outcome::Outcome;

use super::log::log;
use super::under::tape_svg;
use crate::view::{BudgetLine, FigureView, LedgerLine, OutcomeView, ProofLine, ProofView, Shell};

/// What came of the job so far.
pub(crate) fn outcome(view: &JobView, workshop: &str, shell: Shell) -> OutcomeView {
    let paper = app::proof(view, workshop);
    let next: Vec<String> = paper.next_due.iter().map(|(_, value)| value.clone()).collect();
    let (next_due, rest) = next.split_first().map_or(("not known", &[][..]), |(first, rest)| (first.as_str(), rest));
    OutcomeView {
        job: view.job.clone(),
        verdict: paper.verdict.clone(),
        why: view.live.why.clone(),
        as_found: figure(&paper.as_found.label, &paper.as_found.value, &paper.as_found.words),
        as_left: figure(&paper.as_left.label, &paper.as_left.value, &paper.as_left.words),
        doubt_note: paper.as_left.doubt.clone(),
        reference: paper.ledger.head.get(2).cloned().unwrap_or_default(),
        ledger: ledger(&paper.ledger.rows, &paper.ledger.total),
        balance: balance(&view.outcome),
        budget: budget(&view.outcome),
        next_due: next_due.to_owned(),
        next_due_why: pairs(&paper.next_due[paper.next_due.len() - rest.len()..]),
        owed: owed(view),
        tape: tape_svg(view),
        photos: super::photo::pictures(view),
        log: log(view),
        shell,
    }
}

fn pairs(rows: &[(String, String)]) -> String {
    rows.iter().map(|(what, value)| format!("{what}: {value}.")).collect::<Vec<_>>().join(" ")
}

/// "−20 ± 45 mL" as a large figure and its doubt beside it.
fn figure(title: &str, value: &str, words: &str) -> FigureView {
    let (large, beside) = value.split_once('±').map_or((value, String::new()), |(v, d)| (v, format!("±{d}")));
    FigureView { title: title.to_owned(), value: large.trim().to_owned(), doubt: beside, says: words.to_owned() }
}

fn ledger(rows: &[Vec<String>], total: &[String]) -> Vec<LedgerLine> {
    let line = |row: &Vec<String>, total| {
        let cell = |i: usize| row.get(i).cloned().unwrap_or_default();
        let (measured, at) = cell(1).split_once(" at ").map_or((cell(1), String::new()), |(m, a)| (m.into(), a.into()));
        let (reference, doubt) =
            cell(2).split_once('±').map_or((cell(2), String::new()), |(v, d)| (v.trim().into(), format!("±{d}")));
        LedgerLine { what: cell(0), measured, at, at_reference: reference, doubt, total }
    };
    let mut lines: Vec<LedgerLine> = rows.iter().map(|row| line(row, false)).collect();
    if !total.is_empty() {
        lines.push(line(&total.to_vec(), true));
    }
    lines
}

fn balance(outcome: &Outcome) -> String {
    match &outcome.ledger {
        None => "Nothing measured yet.".to_owned(),
        Some(_) => outcome.assumptions.join(" "),
    }
}

fn budget(outcome: &Outcome) -> Vec<BudgetLine> {
    let size = |part: &job::outcome::Part| part.ml.abs().max(part.u_ml);
    let largest = outcome.parts.iter().map(size).fold(0.0, f64::max);
    let parts = outcome.parts.iter().filter(|part| size(part) >= 0.5);
    let mut lines: Vec<BudgetLine> = parts
        .map(|part| BudgetLine {
            name: part.name.to_owned(),
            size: quantity::print::uncertain(part.ml, part.u_ml, "mL"),
            bar: (size(part) / largest * 1000.0).round() / 10.0,
            advice: String::new(),
        })
        .collect();
    // The cheapest improvement stands under the largest part.
    if let (Some(first), Some(advice)) = (lines.first_mut(), outcome.advice.first()) {
        first.advice.clone_from(advice);
    }
    lines
}

/// What still stands before the job can be finished.
fn owed(view: &JobView) -> Vec<String> {
    if view.state.ending.is_some() {
        return Vec::new();
    }
    let missing = job::act(&view.state, &job::Command::Finish, &[], view.now_ms).err();
    match missing {
        Some(job::Refusal::Gate { reason, also, .. }) => {
            std::iter::once(reason).chain(also.iter().map(|gate| gate.text().reason.to_owned())).collect()
        }
        Some(other) => vec![other.message().0],
        None => vec!["Nothing; the job can be finished.".to_owned()],
    }
}

/// The proof sheet as a page.
pub(crate) fn proof(view: &JobView, workshop: &str, shell: Shell) -> ProofView {
    let paper = app::proof(view, workshop);
    let lines = |rows: &[(String, String)]| -> Vec<ProofLine> {
        rows.iter()
            .map(|(what, value)| ProofLine { what: what.clone(), value: value.clone(), note: String::new() })
            .collect()
    };
    let torque = |row: &Vec<String>| {
        let cell = |i: usize| row.get(i).map_or("", String::as_str);
        let note = format!("stated {}; seal {}", cell(1), cell(3));
        ProofLine { what: cell(0).to_owned(), value: cell(2).to_owned(), note }
    };
    let facts = [lines(&paper.vehicle), lines(&paper.unit), lines(&paper.fluid), lines(&paper.next_due)].concat();
    let mut overrides: Vec<String> =
        paper.overrides.iter().map(|o| format!("{} {} “{}”", o.when, o.gate, o.reason)).collect();
    overrides.extend(paper.stopped.iter().cloned());
    ProofView {
        job: view.job.clone(),
        workshop: paper.workshop.clone(),
        verdict: paper.verdict.clone(),
        figures: [&paper.as_found, &paper.as_left].map(|f| figure(&f.label, &f.value, &f.words)).to_vec(),
        lines: facts,
        doubt_note: paper.as_left.doubt.clone(),
        reference: paper.ledger.head.get(2).cloned().unwrap_or_default(),
        ledger: ledger(&paper.ledger.rows, &paper.ledger.total),
        torques: paper.torques.rows.iter().map(torque).collect(),
        overrides,
        tape: tape_svg(view),
        stamp: format!("{} · {} · {} · {}", paper.date, paper.technician, paper.job, paper.footer),
        shell,
    }
}
