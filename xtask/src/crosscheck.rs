//! Our numbers beside those of outside programs, made in the same run from the same input.

use std::fmt::Write;

use serde_json::Value;

use crate::venv::{Venv, example};

/// Where the last result is written.
const RECORD: &str = "docs/physics/crosscheck.md";

/// How far a result may lie from its reference.
enum Tolerance {
    /// In the unit of the result.
    Absolute(f64),
    /// As a share of the reference.
    Relative(f64),
}
use Tolerance::{Absolute, Relative};

/// One kind of case: its name in the cases, what it is, its tolerance and why that is enough.
struct Kind {
    name: &'static str,
    title: &'static str,
    tolerance: Tolerance,
    why: &'static str,
}

const fn kind(name: &'static str, title: &'static str, tolerance: Tolerance, why: &'static str) -> Kind {
    Kind { name, title, tolerance, why }
}

const KINDS: [Kind; 19] = [
    kind(
        "ctl",
        "coefficient and factor of expansion",
        Relative(1e-12),
        "no library has it: the same equation, rounding only",
    ),
    kind("viscosity_index", "viscosity index", Absolute(1e-6), "the same table of the standard"),
    kind(
        "viscosity_line",
        "line of viscosity, and read from it",
        Relative(1e-6),
        "ours goes back by the published approximation",
    ),
    kind(
        "ciede2000",
        "difference of two colours",
        Absolute(1e-4),
        "last published digit; the pair on the step of the hue is left out",
    ),
    kind("lab", "colour of photo levels", Absolute(0.02), "matrices with four digits against more"),
    kind("warm_up", "warm-up and cooling, °C and minutes", Absolute(1e-6), "closed form against integration"),
    kind("weir", "rim as a weir, mL/s", Relative(0.02), "a rating formula with its own terms for small heads"),
    kind(
        "orifice",
        "mouth as an orifice, mL/s",
        Relative(1e-6),
        "the same law; the approach pipe is a thousand bores wide",
    ),
    kind("full_pipe", "pipe running full, mL/s", Relative(1e-6), "closed form against root finding"),
    kind("run_off", "run-off, s and mL", Absolute(0.1), "ours reads times between steps; the model is good to 30 %"),
    kind("pump", "flow through a hose, mL/s", Relative(0.02), "Blasius against the friction of a smooth pipe"),
    kind("flow_through", "exchange, tanks in a row", Absolute(1e-9), "closed form against a matrix exponential"),
    kind("containers", "cheapest containers", Absolute(1e-6), "both exact"),
    kind("ledger", "ledger with uncertainty, mL", Absolute(1e-4), "the same linear propagation"),
    kind(
        "thrown",
        "half of the thrown 95 % interval, in u",
        Relative(0.01),
        "a million trials scatter by a third of that",
    ),
    kind("coverage_factor", "coverage factor", Absolute(1e-6), "far beyond any printed digit"),
    kind("fit_parameters", "fitted parameters", Relative(1e-6), "six digits, as for certified values"),
    kind("fit_deviations", "their standard deviations", Relative(1e-4), "four digits, as for certified values"),
    kind("fit_certified", "fits, last parameter and sum", Relative(1e-6), "six digits of certified values"),
];

/// One number beside its reference.
struct Row {
    kind: &'static Kind,
    case: String,
    quantity: String,
    ours: Option<f64>,
    reference: Option<f64>,
    by: String,
}

impl Row {
    /// The difference as the tolerance counts it; none when neither has a number, beyond all bounds when only one has.
    fn difference(&self) -> f64 {
        let (ours, reference) = match (self.ours, self.reference) {
            (Some(ours), Some(reference)) => (ours, reference),
            (None, None) => return 0.0,
            _ => return f64::INFINITY,
        };
        let difference = match self.kind.tolerance {
            Absolute(_) => (ours - reference).abs(),
            Relative(_) if ours == reference => 0.0,
            Relative(_) => ((ours - reference) / reference).abs(),
        };
        // A number that is none agrees with nothing.
        if difference.is_nan() { f64::INFINITY } else { difference }
    }

    fn allowed(&self) -> f64 {
        match self.kind.tolerance {
            Absolute(by) | Relative(by) => by,
        }
    }

    fn holds(&self) -> bool {
        self.difference() <= self.allowed()
    }
}

/// Compares every case, prints all rows, writes the record; an error when anything lies too far off.
pub fn compare() -> Result<(), String> {
    let venv = Venv::new()?;
    let cases = example("crosscheck")?;
    let answers = venv.answer("reference.py", &cases)?;
    let cases: Value = serde_json::from_str(&cases).map_err(|e| format!("the cases: {e}"))?;
    let rows = rows(&cases, &answers)?;
    let table = table(&rows);
    print!("{table}");
    let record = crate::run::root().join(RECORD);
    std::fs::write(&record, written(&rows)).map_err(|e| format!("{RECORD}: {e}"))?;
    match rows.iter().filter(|row| !row.holds()).count() {
        0 => Ok(()),
        count => Err(format!("crosscheck: {count} of {} numbers lie too far off", rows.len())),
    }
}

fn rows(cases: &Value, answers: &Value) -> Result<Vec<Row>, String> {
    let list = |of: &Value, what: &str| of.as_array().cloned().ok_or_else(|| format!("{what} are no list"));
    let (cases, answers) = (list(cases, "the cases")?, list(answers, "the references")?);
    if cases.is_empty() || cases.len() != answers.len() {
        return Err(format!("{} cases have {} references", cases.len(), answers.len()));
    }
    let mut rows = Vec::new();
    for (case, answer) in cases.iter().zip(&answers) {
        let name = case["kind"].as_str().unwrap_or_default();
        let kind = KINDS.iter().find(|k| k.name == name).ok_or_else(|| format!("no tolerance for “{name}”"))?;
        let ours = case["ours"].as_object().filter(|o| !o.is_empty()).ok_or_else(|| format!("{name} has no result"))?;
        for (quantity, value) in ours {
            // A reference that lacks a quantity is a slip; `null` says that there is no such number.
            let reference =
                answer["values"].get(quantity).ok_or_else(|| format!("{name}: no reference for {quantity}"))?;
            rows.push(Row {
                kind,
                case: case["name"].as_str().unwrap_or_default().to_owned(),
                quantity: quantity.clone(),
                ours: value.as_f64(),
                reference: reference.as_f64(),
                by: answer["by"].as_str().unwrap_or_default().to_owned(),
            });
        }
    }
    Ok(rows)
}

fn number(of: Option<f64>) -> String {
    match of {
        None => "none".into(),
        Some(v) if v != 0.0 && !(1e-3..1e6).contains(&v.abs()) => format!("{v:.6e}"),
        Some(v) => format!("{v:.6}"),
    }
}

fn table(rows: &[Row]) -> String {
    let mut text = format!(
        "{:<58} {:<18} {:>15} {:>15} {:>9} {:>9}  by\n",
        "case", "quantity", "ours", "reference", "off", "allowed"
    );
    for row in rows {
        let mark = if row.holds() { "" } else { "  TOO FAR OFF" };
        let _ = writeln!(
            text,
            "{:<58} {:<18} {:>15} {:>15} {:>9.1e} {:>9.1e}  {}{mark}",
            row.case,
            row.quantity,
            number(row.ours),
            number(row.reference),
            row.difference(),
            row.allowed(),
            row.by
        );
    }
    text
}

/// The record: for each kind its worst row.
fn written(rows: &[Row]) -> String {
    let mut text = String::from(
        "# Outside checks\n\nWritten by `cargo xtask crosscheck`: our numbers beside those of independent programs, made in the same run from the same input.\nIt needs the Python package registry, so it is no part of `cargo xtask test`. Cases: `crates/physics/examples/crosscheck/`; references:\n`xtask/crosscheck/reference.py`; tolerances: `xtask/src/crosscheck.rs`. For each kind the number that lies farthest off.\n\n| what | numbers | worst case | quantity | ours | reference | by | off | allowed |\n|---|---|---|---|---|---|---|---|---|\n",
    );
    for kind in &KINDS {
        let of_kind: Vec<&Row> = rows.iter().filter(|row| row.kind.name == kind.name).collect();
        let Some(worst) = of_kind.iter().max_by(|a, b| a.difference().total_cmp(&b.difference())) else { continue };
        let how = match kind.tolerance {
            Absolute(_) => "",
            Relative(_) => " of it",
        };
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {} | {} | {} | {:.1e}{how} | {:.0e}{how} |",
            kind.title,
            of_kind.len(),
            worst.case,
            worst.quantity,
            number(worst.ours),
            number(worst.reference),
            worst.by,
            worst.difference(),
            worst.allowed(),
        );
    }
    text.push_str("\nWhy these tolerances:\n\n");
    for kind in &KINDS {
        let _ = writeln!(text, "- {}: {}.", kind.title, kind.why);
    }
    let far = rows.iter().filter(|row| !row.holds()).count();
    let _ = writeln!(text, "\n{} numbers compared, {far} too far off.", rows.len());
    text
}

#[cfg(test)]
mod tests {
    use super::{KINDS, Row, rows, written};
    use serde_json::json;

    fn row(kind: usize, ours: Option<f64>, reference: Option<f64>) -> Row {
        let text = String::new;
        Row { kind: &KINDS[kind], case: text(), quantity: text(), ours, reference, by: text() }
    }

    #[test]
    fn hand_what_lies_too_far_off() {
        // Relative 1e-12.
        assert!(row(0, Some(2.0), Some(2.0)).holds() && row(0, Some(0.0), Some(0.0)).holds());
        assert!(!row(0, Some(2.0), Some(2.0 + 4e-12)).holds());
        // Absolute 1e-6.
        assert!(row(1, Some(100.0), Some(100.0 + 9e-7)).holds() && !row(1, Some(100.0), Some(100.0 + 2e-6)).holds());
        assert!(row(1, None, None).holds());
        for (ours, reference) in [(None, Some(1.0)), (Some(1.0), None), (Some(f64::NAN), Some(1.0))] {
            assert!(!row(1, ours, reference).holds());
        }
        assert!(written(&[row(1, None, Some(1.0))]).contains("1 numbers compared, 1 too far off"));
    }

    #[test]
    fn hand_cases_need_their_references() {
        let case = json!([{ "kind": "weir", "name": "n", "ours": { "flow": 1.0 } }]);
        let answer = json!([{ "by": "b", "values": { "flow": 1.0 } }]);
        assert_eq!(rows(&case, &answer).unwrap().len(), 1);
        assert!(rows(&case, &json!([])).is_err() && rows(&json!([]), &json!([])).is_err());
        assert!(rows(&case, &json!([{ "by": "b", "values": {} }])).is_err());
        let unknown = json!([{ "kind": "tides", "name": "n", "ours": { "flow": 1.0 } }]);
        assert!(rows(&unknown, &answer).is_err());
    }
}
