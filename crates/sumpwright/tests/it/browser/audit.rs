//! Every page in every state before an accessibility engine, in both themes.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::hand::Hand;
use super::{Bay, SMALL};

/// One state of a job: what is entered to get there, and a name for the report.
pub(super) struct Stage {
    pub(super) name: &'static str,
    pub(super) entries: &'static [&'static str],
}

/// A whole overflow job in the order of work. The demo vehicle goes on by itself, so the level is entered over its gates.
pub(super) const STAGES: &[Stage] = &[
    Stage { name: "new", entries: &[] },
    Stage {
        name: "proven", entries: &["level-vehicle pitch=0.2°;roll=-0.1°", "prove plug=fill", "prove plug=level"]
    },
    Stage { name: "drain plug out", entries: &["open plug=drain"] },
    Stage { name: "drained", entries: &["drained volume=4.1 L;at=40 °C", "residue volume=0 L;at=20 °C"] },
    Stage { name: "fill plug out", entries: &["close plug=drain", "open plug=fill", "pour volume=4.2 L;at=20 °C"] },
    Stage {
        name: "idling",
        entries: &["start-engine", "pour volume=0.8 L;at=20 °C", "cycle-selector nobody_underneath=yes"],
    },
    Stage { name: "in the window", entries: &["pass minutes=5", "pass minutes=4"] },
    Stage {
        name: "level plug out",
        entries: &["open plug=level;override=too-cold;reason=audit", "look flow=stream", "look flow=drops"],
    },
    Stage { name: "level set", entries: &["close plug=level", "run-off volume=0.6 L;at=40 °C"] },
    Stage {
        name: "ready to finish",
        entries: &[
            "close plug=fill",
            "tighten plug=fill;torque=35 N·m",
            "seal plug=fill",
            "tighten plug=level;torque=12 N·m",
            "seal plug=level",
            "tighten plug=drain;torque=25 N·m",
            "seal plug=drain",
            "leak-check result=dry",
            "road-test",
        ],
    },
    Stage { name: "finished", entries: &["finish override=level-not-set;reason=audit"] },
];

/// Enters it, or lets that time pass.
pub(super) async fn enter(hand: &Hand, job: &str, words: &str) {
    if let Some(minutes) = words.strip_prefix("pass minutes=") {
        return hand.let_pass(job, minutes).await;
    }
    let answer = hand.post(job, entry(words)).await;
    assert_eq!(answer["status"], 200, "{words}: {answer}");
}

fn entry(words: &str) -> Value {
    let (word, fields) = words.split_once(' ').unwrap_or((words, ""));
    let mut entry = json!({ "do": word });
    for (name, value) in fields.split(';').filter_map(|field| field.split_once('=')) {
        entry[name] = json!(value);
    }
    entry
}

/// Pages that belong to no job.
pub(super) const OFFICE: &[&str] = &[
    "/",
    "/stock",
    "/settings",
    "/offline",
    "/decide",
    "/decide?sheet=keld-o6&smell=burnt&distance=85000+km&price=12",
    "/sheets",
    "/sheets/new?id=x&family=overflow",
    "/sheets/edit/keld-o6",
    "/sheets/compare?a=keld-o6&b=keld-m6",
    "/sheets/passage?passage=40+to+50+%C2%B0C",
];

/// Every page of a job in this stage.
pub(super) fn pages_of(stage: &Stage, job: &str) -> Vec<String> {
    let place = |name: &str| STAGES.iter().position(|other| other.name == name);
    // There is a label for the used fluid once it has been drained.
    let more: &[&str] =
        if place("drained") <= place(stage.name) { &["/label?code=13+02+06"] } else { &["/card", "/stubborn"] };
    let prepare = "/prepare?arrives=85+°C&air=20+°C&pitch=3+°&wheelbase=2700+mm&instruments=a:18%0Ab:-40&stood=12+h";
    let usual: &[&str] = &["", prepare, "/outcome", "/proof", "/film", "/film/sheet", "/photo"];
    usual.iter().chain(more).map(|page| format!("/job/{job}{page}")).collect()
}

/// axe-core, as `cargo xtask test` fetches it.
pub(super) fn engine() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../target/tools/axe.min.js");
    std::fs::read_to_string(path).unwrap_or_else(|why| panic!("{path}: {why}; `cargo xtask test` fetches it"))
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_every_page_before_an_accessibility_engine() {
    let bay = Bay::open(SMALL, Some("1")).await;
    let (hand, engine) = (&bay.hand, engine());
    let job = hand.open_job("Grey van, audit").await;
    let mut found = BTreeMap::<String, Vec<String>>::new();
    for stage in STAGES {
        for words in stage.entries {
            enter(hand, &job, words).await;
        }
        // The office pages do not change with a job.
        let office = if stage.name == STAGES[0].name { OFFICE } else { &["/"] };
        for page in pages_of(stage, &job).iter().map(String::as_str).chain(office.iter().copied()) {
            for theme in ["dark", "white"] {
                hand.theme(theme).await;
                hand.go(page).await;
                for wrong in hand.violations(&engine).await {
                    found.entry(wrong).or_default().push(format!("{page} ({}, {theme})", stage.name));
                }
            }
        }
    }
    assert!(found.is_empty(), "{found:#?}");
    bay.hand.close().await;
}
