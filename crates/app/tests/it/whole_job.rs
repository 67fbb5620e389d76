//! Whole jobs against a simulated vehicle whose truth is known.

use std::sync::Arc;

use app::demo::{self, work_through};
use app::{OpenJob, ScaledClock, Workshop};

/// A workshop in a folder of its own, its clock standing at a fixed moment.
pub async fn workshop() -> (tempfile::TempDir, Workshop) {
    let folder = tempfile::tempdir().unwrap();
    let clock = Arc::new(ScaledClock::new(1_800_000_000_000, 1.0));
    let workshop = Workshop::open(&folder.path().join("w.db"), clock, demo::WORKSHOP, true).await.unwrap();
    (folder, workshop)
}

pub fn opening(sheet: usize) -> job::command::Opening {
    job::command::Opening {
        sheet: sheet::shipped()[sheet].1.to_owned(),
        vehicle: "invented".into(),
        odometer_km: None,
        fluid_age_km: None,
        fluid: "invented".into(),
        technician: "T".into(),
        demo: true,
        severe: false,
        fill_ml: None,
        found: None,
    }
}

#[tokio::test]
async fn sim_a_technician_who_follows_the_prompts_leaves_every_unit_right() {
    let (_folder, workshop) = workshop().await;
    // The two sheets that the simulated vehicle fits: overflow after a drain.
    for sheet in 0..2 {
        for seed in 1..=4u64 {
            let job = format!("sim-{sheet}-{seed}");
            let at_ms = 1_799_000_000_000;
            workshop
                .open_job(OpenJob {
                    id: job.clone(),
                    opening: opening(sheet),
                    at_ms: Some(at_ms),
                    findings: Vec::new(),
                    overrides: Vec::new(),
                })
                .await
                .unwrap();
            let twin = work_through(&workshop, &job, at_ms, seed).await.unwrap();
            let view = workshop.view(&job).await.unwrap();
            let truth = twin.vehicle().charge_error_ml();
            let left = view.outcome.as_left_ml.unwrap();
            let found = view.outcome.as_found_ml.unwrap();
            println!(
                "sheet {sheet} seed {seed}: truth left {truth:.0} mL, as left {:.0} ± {:.0}; truth found -350, as found {:.0} ± {:.0}",
                left.value.ml(),
                2.0 * left.u.ml(),
                found.value.ml(),
                2.0 * found.u.ml()
            );
            // k = 3: a rare excess of the 95 % interval is no failure, a bias is.
            assert!((left.value.ml() - truth).abs() <= 3.0 * left.u.ml(), "sheet {sheet} seed {seed}: as left");
            assert!((found.value.ml() + 350.0).abs() <= 3.0 * found.u.ml(), "sheet {sheet} seed {seed}: as found");
            assert!(view.state.level_set());
        }
    }
}

#[tokio::test]
async fn sim_projections_made_anew_from_the_log_are_the_same() {
    let (_folder, workshop) = workshop().await;
    demo::furnish(&workshop).await.unwrap();
    let before = workshop.floor().await.unwrap();
    let rebuilt = workshop.rebuild().await.unwrap();
    assert_eq!((rebuilt.jobs, rebuilt.damaged.len()), (2, 0));
    let strip =
        |rows: Vec<app::FloorRow>| rows.into_iter().map(|row| (row.job, row.stage, row.closed)).collect::<Vec<_>>();
    assert_eq!(strip(before), strip(workshop.floor().await.unwrap()));
}

#[tokio::test]
async fn script_a_demo_log_is_never_opened_as_a_real_one() {
    let folder = tempfile::tempdir().unwrap();
    let clock = || Arc::new(app::SystemClock);
    for (first, second) in [(true, false), (false, true)] {
        let path = folder.path().join(format!("{first}.db"));
        drop(Workshop::open(&path, clock(), "w", first).await.unwrap());
        let Err(why) = Workshop::open(&path, clock(), "w", second).await else { panic!("opened") };
        assert_eq!(why.code(), "input");
        assert!(Workshop::open(&path, clock(), "w", first).await.is_ok());
    }
}
