//! The bench list.

use app::JobView;

use super::under::section_svg;
use crate::view::{BenchGroup, BenchLine, CautionView, PlugLine, PrepareView, Shell, TorqueLine};

/// Letters that fit in front of a line.
const AMOUNT: usize = 7;

/// The bench list of a job.
pub(crate) fn prepare(view: &JobView, shell: Shell) -> PrepareView {
    let (sheet, plan) = (&view.state.sheet, &view.plan);
    let line = |(i, item): (usize, &job::plan::BenchItem)| {
        // A count or a volume stands in front; anything longer is a remark.
        let (amount, note) = if item.how_much.chars().count() <= AMOUNT {
            (item.how_much.clone(), String::new())
        } else {
            (String::new(), item.how_much.clone())
        };
        BenchLine { key: format!("bench-{i}"), amount, what: item.what.clone(), note, ticked: false }
    };
    let torque = |row: &job::plan::TorqueRow| TorqueLine {
        plug: row.plug.clone(),
        torque: row.printed.clone().unwrap_or_else(|| "not stated".to_owned()),
        bit: row.drive.clone(),
        seal: row.seal.clone().unwrap_or_else(|| "–".to_owned()),
        wrench: String::new(),
        source: row.source.clone().unwrap_or_default(),
    };
    let cautions = plan.cautions.iter().chain(plan.steps.iter().filter_map(|step| step.caution.as_ref()));
    PrepareView {
        shell,
        job: view.job.clone(),
        method: sheet.family.meaning().to_owned(),
        window: sheet.window().map_or_else(String::new, |window| format!("window {}", window.printed)),
        notes: Vec::new(),
        groups: vec![BenchGroup {
            title: sheet.name.clone(),
            lines: plan.bench.iter().enumerate().map(line).collect(),
        }],
        torques: plan.torques.iter().map(torque).collect(),
        plugs: sheet
            .plugs
            .iter()
            .map(|plug| PlugLine { name: plug.name.clone(), whereabouts: format!("{}; {}", plug.place, plug.drive) })
            .collect(),
        section: section_svg(view),
        cautions: cautions.map(|text| caution(text)).collect(),
        steps: plan.steps.iter().map(|step| step.verb.clone()).collect(),
        start: if view.state.last_seq <= 1 { "Start" } else { "Back under" }.to_owned(),
    }
}

/// The first sentence is the danger, the rest says why and what to do.
pub(crate) fn caution(text: &str) -> CautionView {
    let cut = text.find(". ").map_or(text.len(), |at| at + 1);
    let (danger, rest) = text.split_at(cut);
    CautionView { danger: danger.to_owned(), why: String::new(), cure: rest.trim().to_owned() }
}
