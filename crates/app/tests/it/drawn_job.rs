//! One whole job by the prompts on a simulated vehicle with errors drawn, and what was said of it against the truth.

use app::demo::{Twin, work_through_with};
use app::{OpenJob, Workshop};
use job::command::Opening;
use quantity::Uncertain;
use sheet::Sheet;

pub const AT_MS: i64 = 1_799_000_000_000;

/// What was said of one circuit against the truth: said less truth over its standard uncertainty, and both in mL.
#[derive(Debug, Clone, Copy)]
pub struct Said {
    pub off_ml: f64,
    pub u_ml: f64,
}

impl Said {
    fn new(said: Uncertain<quantity::Volume>, truth_ml: f64) -> Self {
        Self { off_ml: said.value.ml() - truth_ml, u_ml: said.u.ml() }
    }

    pub fn z(&self) -> f64 {
        self.off_ml / self.u_ml
    }
}

/// One circuit of a job that was brought to its end.
pub struct Row {
    /// Number of the circuit in its sheet.
    pub circuit: usize,
    /// As left, or the change where nobody can know more.
    pub left: Option<Said>,
    pub found: Option<Said>,
    /// What was said where there is no figure.
    pub words: String,
}

/// Works a job of that sheet through; gives why it could not be brought to an end.
pub async fn worked(workshop: &Workshop, file: &str, text: &str, sheet: &Sheet, seed: u64) -> Result<Vec<Row>, String> {
    let job = format!("truth-{}-{seed}", file.trim_end_matches(".toml"));
    let opening = Opening {
        sheet: text.to_owned(),
        vehicle: "invented".into(),
        odometer_km: None,
        fluid_age_km: None,
        fluid: sheet.fluid.approvals.first().cloned().unwrap_or_default(),
        technician: "T".into(),
        demo: true,
        severe: false,
        fill_ml: None,
        found: None,
    };
    let open = OpenJob { id: job.clone(), opening, at_ms: Some(AT_MS), findings: Vec::new(), overrides: Vec::new() };
    workshop.open_job(open).await.map_err(|why| why.to_string())?;
    // Sheets draw apart from each other.
    let own = file.bytes().fold(seed, |own, byte| own.wrapping_mul(1_000_003).wrapping_add(u64::from(byte)));
    let twin = Twin::with_errors(sheet, AT_MS, own).map_err(|why| why.to_string())?;
    let twin = work_through_with(workshop, &job, AT_MS, twin).await.map_err(|why| why.to_string())?;
    let view = workshop.view(&job).await.map_err(|why| why.to_string())?;
    let outcomes = std::iter::once(&view.outcome).chain(view.outcome.further.iter().map(|(_, outcome)| outcome));
    let rows = outcomes.zip(twin.vehicle().circuits()).enumerate().map(|(circuit, (outcome, one))| {
        let (left, found) = (one.charge_error_ml(), one.params().found_error.ml());
        Row {
            circuit,
            left: match (outcome.as_left_ml, outcome.change_ml) {
                (Some(said), _) => Some(Said::new(said, left)),
                (None, said) => said.map(|said| Said::new(said, left - found)),
            },
            found: outcome.as_found_ml.map(|said| Said::new(said, found)),
            words: outcome.as_left_words.clone(),
        }
    });
    Ok(rows.collect())
}
