//! Papers of the bench: the list, the torque card, the label for used fluid.

use std::collections::BTreeSet;

use job::bench::{Bench, Group};
use job::state::State;
use job::{Plan, Shelf};
use quantity::print::{self, Units};
use quantity::{Span, Volume};
use report::{BenchGroup, BenchLine, BenchList, FluidTables, PlugCard, Step, TorqueCard, UsedLabel};
use sheet::Sheet;

use crate::error::AppError;
use crate::paper::{day, pair, table};
use crate::view::JobView;
use crate::workshop::Workshop;

/// Surface that is drawn where the sheet states none, m².
const DRAWN_AREA_M2: f64 = 0.08;
/// Height that a standpipe without a stated length is drawn with, mm.
const LIP_DRAWN_MM: f64 = 40.0;

/// The side view of a unit at rest: its plugs, named, and its standpipe.
pub fn section_input(sheet: &Sheet) -> draw::SectionInput {
    let plug = |plug: &sheet::Plug| {
        let at = plug.at?;
        let label = plug.name.strip_suffix(" plug").unwrap_or(&plug.name).to_owned();
        Some(draw::SectionPlug { label, along_mm: at.along.mm(), up_mm: at.up.mm(), state: draw::PlugState::In })
    };
    draw::SectionInput {
        sump_area_m2: sheet.sump_area().map_or(DRAWN_AREA_M2, |area| area.mid().square_metres()),
        standpipe: sheet.standpipe().map(|pipe| draw::Standpipe {
            along_mm: pipe.offset_along.mid().mm(),
            lip_height_mm: pipe.length.as_ref().map_or(LIP_DRAWN_MM, |length| length.mid().mm()),
        }),
        plugs: sheet.plugs.iter().filter_map(plug).collect(),
        tilt_deg: 0.0,
        level_now_mm: None,
        level_reference_mm: None,
        level_if_closed_mm: None,
        surplus_ml: None,
        runoff_ml_per_min: None,
        expansion_ml_per_min: None,
        by_ledger: false,
        unknown: "seen from the left".to_owned(),
    }
}

/// The torque card of a plan, with the workshop's own wrenches where it has any.
pub fn torque_card(sheet: &Sheet, plan: &Plan, shelf: &Shelf, today: Option<i64>, demo: bool) -> TorqueCard {
    let plugs = plan.torques.iter().map(|row| {
        let text = |value: &Option<String>| value.clone().unwrap_or_default();
        let wrench = row.torque_nm.and_then(|(low, high)| {
            let (wrench, fit) = job::bench::best_wrench(Span { low, high }, shelf, today)?;
            Some(format!("{}, {}", wrench.name, fit.why))
        });
        let facts = vec![
            pair("where", &*row.place),
            pair("bit", row.bit()),
            pair("seal", text(&row.seal)),
            pair("wrench", wrench.unwrap_or_default()),
            pair("source", text(&row.source)),
        ];
        PlugCard {
            name: row.plug.clone(),
            torque: match &row.printed {
                None if row.drive == sheet::BY_HAND => row.drive.clone(),
                printed => text(printed),
            },
            facts: facts.into_iter().filter(|fact| !fact.1.is_empty()).collect(),
        }
    });
    TorqueCard {
        title: format!("{} — torque card", sheet.name),
        subtitle: format!("{} · {}", sheet.kind, sheet.edition.as_deref().unwrap_or("no edition stated")),
        demo,
        section: sheet.plugs.iter().any(|plug| plug.at.is_some()).then(|| section_input(sheet)),
        plugs: plugs.collect(),
    }
}

/// The bench list of a plan. `ready` are the keys of what was ticked; `who` stands under the title.
pub fn bench_list(
    sheet: &Sheet,
    plan: &Plan,
    bench: &Bench,
    card: TorqueCard,
    ready: &BTreeSet<String>,
    who: &str,
) -> BenchList {
    let step = |step: &job::plan::Step| Step {
        verb: step.verb.clone(),
        why: step.why.clone(),
        caution: step.caution.clone().unwrap_or_default(),
    };
    let group = |group: Group| BenchGroup {
        title: group.words().to_owned(),
        lines: bench
            .items
            .iter()
            .filter(|item| item.group == group)
            .map(|item| BenchLine {
                what: item.what.clone(),
                amount: item.how_much.clone(),
                note: item.note.clone(),
                ready: ready.contains(&item.key),
            })
            .collect(),
    };
    let litres = |volume: Volume| format!("{:.2} L", volume.litres());
    let mut remarks: Vec<String> = Vec::new();
    let fluids = bench.fluids(sheet).map(|(circuit, need, found)| {
        let lines = need.lines.iter().map(|line| {
            let volume = litres(line.volume_ml);
            vec![line.what.to_owned(), if line.counts { volume } else { format!("({volume})") }]
        });
        let total = vec!["Have ready".to_owned(), litres(need.total_ml)];
        let (containers, more) = match found {
            Ok(found) => (containers(found), found.remarks.clone()),
            Err(why) => (report::Table::default(), vec![why.clone()]),
        };
        remarks.extend(more.into_iter().filter(|more| !remarks.contains(more)).collect::<Vec<_>>());
        FluidTables { circuit: circuit.to_owned(), need: table(&[], lines.collect(), total), containers }
    });
    let fluids = fluids.collect();
    let window = job::window::words_of_all(sheet);
    let subtitle = if who.is_empty() { sheet.kind.clone() } else { who.to_owned() };
    BenchList {
        card: TorqueCard {
            title: format!("{} — bench list", sheet.name),
            subtitle: format!("{subtitle} · window {window}"),
            ..card
        },
        fluids,
        remarks,
        groups: Group::ALL.map(group).into(),
        cautions: plan.cautions.clone(),
        steps: plan.steps.iter().map(step).collect(),
        footer: format!("{} · sheet {}", crate::MODEL_VERSION, sheet.id),
    }
}

fn containers(found: &job::need::Containers) -> report::Table {
    let rows = found.takes.iter().map(|take| {
        let (from, cost) = match (take.cost, take.opened) {
            (Some(cost), _) => ("", print::number(cost, 2)),
            (None, true) => (" (open already)", "—".to_owned()),
            (None, false) => (" (on the shelf)", "—".to_owned()),
        };
        vec![format!("{} × {}{from}", take.count, take.name), print::volume(take.content_ml, Units::Metric), cost]
    });
    let left = format!("{} left over", print::volume(found.left_over_ml, Units::Metric));
    let cost = format!("{} {}", print::number(found.cost, 2), found.currency);
    table(&["container", "holds", "costs"], rows.collect(), vec![left, String::new(), cost.trim().to_owned()])
}

/// The bench of a job, as figures and as papers.
pub struct BenchPapers {
    pub bench: Bench,
    /// Keys of what is ticked.
    pub ready: BTreeSet<String>,
    pub card: TorqueCard,
    pub list: BenchList,
}

impl Workshop {
    /// The bench of a job with what the workshop has and what is ticked.
    ///
    /// # Errors
    /// [`AppError::NoSuchJob`], or what is wrong with its log.
    pub async fn bench_papers(&self, job: &str) -> Result<BenchPapers, AppError> {
        let loaded = self.load(job).await?;
        let (state, plan) = (&loaded.state, &loaded.plan);
        // An ended job keeps the list it was done by: the shelf as it was before.
        let (shelf, today) = (self.shelf_before(state.ended_ms).await?, Some(self.today()));
        let bench = job::bench(&state.sheet, &shelf, today);
        let card = torque_card(&state.sheet, plan, &shelf, today, state.opening.demo);
        let who = format!("{} · job {job}", state.opening.vehicle);
        let list = bench_list(&state.sheet, plan, &bench, card.clone(), &state.bench_ready, &who);
        Ok(BenchPapers { bench, ready: state.bench_ready.clone(), card, list })
    }

    /// The bench list of a job as a PDF.
    ///
    /// # Errors
    /// As [`Workshop::bench_papers`]; [`AppError::Paper`].
    pub async fn bench_pdf(&self, job: &str) -> Result<Vec<u8>, AppError> {
        report::bench_pdf(&self.bench_papers(job).await?.list).map_err(|why| AppError::Paper(why.to_string()))
    }

    /// The torque card of a job as a PDF.
    ///
    /// # Errors
    /// As [`Workshop::bench_pdf`].
    pub async fn card_pdf(&self, job: &str) -> Result<Vec<u8>, AppError> {
        report::card_pdf(&self.bench_papers(job).await?.card).map_err(|why| AppError::Paper(why.to_string()))
    }

    /// The label of what came out of a job's unit; an error while nothing has.
    ///
    /// # Errors
    /// [`AppError::Input`] before the drain; as [`Workshop::bench_pdf`].
    pub async fn label(&self, job: &str, code: Option<&str>) -> Result<UsedLabel, AppError> {
        used_label(&self.view(job).await?, &self.name, code).ok_or_else(|| AppError::Input {
            what: "nothing has come out of the unit yet".to_owned(),
            hint: "Enter what was drained; the label follows from it.".to_owned(),
        })
    }

    /// The same as a PDF.
    ///
    /// # Errors
    /// As [`Workshop::label`].
    pub async fn label_pdf(&self, job: &str, code: Option<&str>) -> Result<Vec<u8>, AppError> {
        report::label_pdf(&self.label(job, code).await?).map_err(|why| AppError::Paper(why.to_string()))
    }
}

/// Waste codes of the European list for used lubricating fluid, with what each means in short. From memory: check the list
/// that is in force before handing anything over.
pub const WASTE_CODES: &[(&str, &str)] = &[
    ("13 02 05*", "mineral-based, without chlorine"),
    ("13 02 06*", "synthetic"),
    ("13 02 07*", "readily biodegradable"),
    ("13 02 08*", "any other"),
];

/// What has come out of the unit so far: drained, from filter and pan, run off.
pub fn used_volume(state: &State) -> Volume {
    State::total(&state.drained) + State::total(&state.residue) + State::total(&state.run_off)
}

/// The label for what came out; `None` while nothing has. `code` chooses the waste code by its digits.
pub fn used_label(view: &JobView, workshop: &str, code: Option<&str>) -> Option<UsedLabel> {
    let state = &view.state;
    let total = used_volume(state);
    if total.ml() <= 0.0 {
        return None;
    }
    let digits = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
    let chosen = code.map(digits).unwrap_or_default();
    let parts = [("drained", &state.drained), ("from filter and pan", &state.residue), ("run off", &state.run_off)];
    let parts = parts.iter().filter(|(_, list)| !list.is_empty());
    let parts = parts.map(|(name, list)| format!("{:.2} L {name}", State::total(list).litres()));
    let at = state.drained.first().map_or(state.last_ms, |first| first.at_ms);
    Some(UsedLabel {
        workshop: workshop.to_owned(),
        demo: view.demo,
        date: day(at),
        amount: format!("{:.1} L", total.litres()),
        parts: parts.collect::<Vec<_>>().join(", "),
        source: vec![
            pair("Vehicle", &*state.opening.vehicle),
            pair("Unit", format!("{}, {}", state.sheet.name, state.sheet.kind)),
            pair("Job", &*view.job),
            pair("By", &*state.opening.technician),
        ],
        codes: WASTE_CODES
            .iter()
            .map(|(code, what)| ((*code).to_owned(), (*what).to_owned(), digits(code) == chosen))
            .collect(),
        rules: [
            "Never mix it with solvent, brake cleaner, coolant, fuel or water: mixed, nobody takes it.",
            "Keep it closed, off the drain, away from heat. Hand it to a licensed collector and keep the receipt.",
            "40 CFR 279.22 (USA): the container is marked with the words “Used Oil”.",
            "Check the code against the list in force. Local rules come first.",
        ]
        .map(str::to_owned)
        .into(),
    })
}
