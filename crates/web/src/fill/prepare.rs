//! The bench: list, torque card, label, ladder, lists of the workshop.

use std::collections::BTreeMap;

use app::{BenchPapers, JobView, ShelfKind, ShelfRead, StockNow};
use job::bench::Group;
use job::need::{Containers, Need};

use super::under::section_svg;
use crate::view::{
    BenchGroup, BenchLine, CardView, CautionView, LabelView, ListView, NeedView, PlugCardView, PlugLine, PrepareView,
    RungView, Shell, StubbornView, TorqueLine,
};

/// The bench list of a job, with what was entered into its small forms.
pub(crate) fn prepare(
    view: &JobView,
    papers: &BenchPapers,
    entered: &BTreeMap<String, String>,
    shell: Shell,
) -> PrepareView {
    let (sheet, plan, bench) = (&view.state.sheet, &view.plan, &papers.bench);
    let line = |item: &job::bench::Item| BenchLine {
        key: item.key.clone(),
        id: app::new_id(),
        amount: item.how_much.clone(),
        what: item.what.clone(),
        note: item.note.clone(),
        ticked: papers.ready.contains(&item.key),
    };
    let group = |group: Group| BenchGroup {
        title: group.words().to_owned(),
        lines: bench.items.iter().filter(|item| item.group == group).map(line).collect(),
    };
    let torque = |(row, card): (&job::plan::TorqueRow, &app::PlugCard)| TorqueLine {
        plug: row.plug.clone(),
        torque: row.printed.clone().unwrap_or_else(|| "not stated".to_owned()),
        bit: row.bit(),
        seal: row.seal.clone().unwrap_or_else(|| "–".to_owned()),
        wrench: fact(card, "wrench"),
        source: row.source.clone().unwrap_or_default(),
    };
    let cautions = plan.cautions.iter().chain(plan.steps.iter().filter_map(|step| step.caution.as_ref()));
    let ready = bench.items.iter().filter(|item| papers.ready.contains(&item.key)).count();
    let circuits: Vec<_> = sheet.circuits().iter().filter_map(|id| sheet.of_circuit(id)).collect();
    let method = |one: &sheet::Sheet| match circuits.len() {
        1 => one.family.meaning().to_owned(),
        _ => format!("{}: {}, {}", one.circuit.1, one.family.meaning(), job::window::words(one)),
    };
    let methods: Vec<String> = circuits.iter().map(method).collect();
    let alone = circuits.len() == 1;
    let window = sheet.window().filter(|_| alone).map(|_| format!("window {}", job::window::words(sheet)));
    PrepareView {
        shell,
        job: view.job.clone(),
        method: methods.join(" · "),
        window: window.unwrap_or_default(),
        notes: Vec::new(),
        found: view.state.opening.found.as_ref().map_or_else(String::new, |found| found.verdict.title().to_owned()),
        decide: "/decide".to_owned(),
        needs: bench.fluids(sheet).map(|(circuit, one, containers)| need(circuit, one, containers)).collect(),
        groups: Group::ALL.map(group).into_iter().filter(|group| !group.lines.is_empty()).collect(),
        seq: view.state.last_seq,
        ready: format!("{ready} of {} ready", bench.items.len()),
        papers: addresses(view),
        reckons: super::reckons(sheet, entered),
        torques: plan.torques.iter().zip(&papers.card.plugs).map(torque).collect(),
        plugs: sheet
            .plugs
            .iter()
            .map(|plug| PlugLine { name: plug.name.clone(), whereabouts: format!("{}; {}", plug.place, plug.drive) })
            .collect(),
        section: section_svg(view),
        cautions: cautions.map(|text| caution(text)).collect(),
        steps: plan.steps.iter().map(|step| step.verb.clone()).collect(),
        start: if view.state.untouched() { "Start" } else { "Back under" }.to_owned(),
    }
}

fn fact(card: &app::PlugCard, name: &str) -> String {
    card.facts.iter().find(|fact| fact.0 == name).map_or_else(String::new, |fact| fact.1.clone())
}

/// Papers of this job and pages that belong to it.
fn addresses(view: &JobView) -> Vec<(String, String)> {
    let job = &view.job;
    let mut papers = vec![
        (format!("/job/{job}/bench.pdf"), "Bench list, A4".to_owned()),
        (format!("/job/{job}/card"), "Torque card".to_owned()),
        (format!("/job/{job}/card.pdf"), "Torque card, A5".to_owned()),
    ];
    if app::used_volume(&view.state).ml() > 0.0 {
        papers.push((format!("/job/{job}/label"), "Used-fluid label".to_owned()));
    }
    papers.push((format!("/job/{job}/stubborn"), "If a plug does not turn".to_owned()));
    papers.push(("/stock".to_owned(), "Prices, stock, tools".to_owned()));
    papers
}

fn need(circuit: &str, need: &Need, containers: &Result<Containers, String>) -> NeedView {
    let litres = |volume: quantity::Volume| format!("{:.2} L", volume.litres());
    let lines = need.lines.iter().map(|line| {
        let amount = litres(line.volume_ml);
        let amount = if line.counts { amount } else { format!("({amount})") };
        (line.what.to_owned(), amount, line.why.clone())
    });
    let (circuit, total) = (circuit.to_owned(), litres(need.total_ml));
    let mut view = NeedView { circuit, lines: lines.collect(), total, ..NeedView::default() };
    match containers {
        Ok(found) => {
            view.cans = found
                .takes
                .iter()
                .map(|take| {
                    let cost = match (take.cost, take.opened) {
                        (Some(cost), _) => quantity::print::number(cost, 2),
                        (None, true) => "open already".to_owned(),
                        (None, false) => "on the shelf".to_owned(),
                    };
                    (format!("{} × {}", take.count, take.name), cost)
                })
                .collect();
            let left = quantity::print::volume(found.left_over_ml, quantity::print::Units::Metric);
            let money = format!("{} {}", quantity::print::number(found.cost, 2), found.currency);
            view.sum = format!("{}, {left} left over", money.trim());
            view.notes.clone_from(&found.remarks);
        }
        Err(why) => view.notes.push(why.clone()),
    }
    view
}

/// The first sentence is the danger, the rest says why and what to do.
pub(crate) fn caution(text: &str) -> CautionView {
    let cut = text.find(". ").map_or(text.len(), |at| at + 1);
    let (danger, rest) = text.split_at(cut);
    CautionView { danger: danger.to_owned(), why: String::new(), cure: rest.trim().to_owned() }
}

/// The torque card's page.
pub(crate) fn card(view: &JobView, papers: &BenchPapers, shell: Shell) -> CardView {
    let card = &papers.card;
    CardView {
        shell,
        job: view.job.clone(),
        title: card.title.clone(),
        subtitle: card.subtitle.clone(),
        section: section_svg(view),
        plugs: card
            .plugs
            .iter()
            .map(|plug| PlugCardView {
                name: plug.name.clone(),
                torque: if plug.torque.is_empty() { "torque not stated".to_owned() } else { plug.torque.clone() },
                facts: plug.facts.clone(),
            })
            .collect(),
    }
}

/// The label's page.
pub(crate) fn label(job: &str, label: &app::UsedLabel, code: &str, shell: Shell) -> LabelView {
    let query = code.replace(' ', "+");
    LabelView {
        shell,
        job: job.to_owned(),
        amount: label.amount.clone(),
        date: label.date.clone(),
        parts: label.parts.clone(),
        source: label.source.clone(),
        codes: label.codes.clone(),
        rules: label.rules.clone(),
        pdf: format!("/job/{job}/label.pdf?code={query}"),
    }
}

/// The ladder's page.
pub(crate) fn stubborn(job: &str, shell: Shell) -> StubbornView {
    let rung = |rung: &job::stop::Rung| RungView {
        try_this: rung.try_this.to_owned(),
        how: rung.how.to_owned(),
        stop_when: rung.stop_when.to_owned(),
    };
    StubbornView {
        shell,
        job: job.to_owned(),
        rungs: job::stop::LADDER.iter().map(rung).collect(),
        always: job::stop::LADDER_ALWAYS.to_owned(),
    }
}

/// Jobs whose use is shown, the latest first.
const LATEST: usize = 12;

/// The workshop's lists: as kept, or an example; `tried` is one that was just sent, with what is wrong with it.
pub(crate) fn lists(
    kept: Vec<(ShelfKind, Option<String>)>,
    tried: Option<(ShelfKind, String, ShelfRead)>,
    now: Option<&StockNow>,
    as_of_ms: i64,
) -> Vec<ListView> {
    let used = |kind: ShelfKind| -> Vec<(String, String, Vec<String>)> {
        let jobs = now.filter(|_| kind == ShelfKind::Stock).map_or(&[][..], |now| &now.jobs).iter();
        jobs.rev().take(LATEST).map(|one| (one.job.clone(), one.vehicle.clone(), one.says())).collect()
    };
    let jobs = now.map_or(0, |now| now.jobs.len());
    let list = |(kind, text): (ShelfKind, Option<String>)| {
        let (title, about) = match kind {
            ShelfKind::Prices => {
                ("Price list", "Sizes and prices you can buy; TOML, or a table: name, size, price, fluid.")
            }
            ShelfKind::Stock => {
                ("Stock on the shelf", "What each container holds now. A job that ends takes off what it poured.")
            }
            ShelfKind::Tools => ("Tools", "Torque wrenches with scale and calibration, bits with reach, pumps, pans."),
        };
        let tried = tried.as_ref().filter(|tried| tried.0 == kind);
        let shown = tried.map(|tried| tried.1.clone()).or_else(|| text.clone());
        ListView {
            word: kind.word().to_owned(),
            title: title.to_owned(),
            about: about.to_owned(),
            example: shown.is_none(),
            text: shown.unwrap_or_else(|| kind.example().to_owned()),
            kept: tried.is_some_and(|tried| tried.2.findings.is_empty()),
            findings: tried.map_or_else(Vec::new, |tried| {
                tried.2.findings.iter().map(|f| (f.line, f.message.clone(), f.hint.clone())).collect()
            }),
            id: app::new_id(),
            as_of_ms,
            used: used(kind),
            earlier: jobs.saturating_sub(LATEST),
        }
    };
    kept.into_iter().map(list).collect()
}
