//! `cargo xtask study forecast`: how good the forecast is on simulated vehicles, written into its page of the documentation.

use crate::venv::{example_of, example_with};

const PAGE: &str = "docs/physics/forecast.md";
const TRUTH: &str = "docs/physics/truth.md";
const BEGINS: &str = "<!-- the study begins -->\n";
const ENDS: &str = "<!-- the study ends -->\n";

const TAUGHT: &str = "crates/physics/src/warmup/taught.rs";

/// Teaches the forecast anew (release build, about five minutes on two cores) and puts what it learnt in its place.
pub fn lesson() -> Result<(), String> {
    let source = example_with("study_forecast", &["lesson"])?;
    std::fs::write(crate::run::root().join(TAUGHT), source).map_err(|e| format!("{TAUGHT}: {e}"))?;
    println!("written into {TAUGHT}; now `cargo xtask study forecast`");
    Ok(())
}

/// Runs the study (release build, a quarter of an hour), prints its tables and puts them into the page.
pub fn forecast() -> Result<(), String> {
    let judged = example_with("study_forecast", &[])?;
    let unseen = example_with("study_forecast", &["unseen"])?;
    let tables =
        format!("{}\n\nEach structure judged by a lesson that all others taught:\n\n{}", judged.trim(), unseen.trim());
    put(PAGE, &tables)
}

/// Drives whole jobs of every family on vehicles with errors drawn (release build, ten minutes) and puts the table into its page.
pub fn truth() -> Result<(), String> {
    put(TRUTH, &example_of("app", "study_truth", &["60"])?)
}

/// Shows tables and puts them into a page.
fn put(page: &str, tables: &str) -> Result<(), String> {
    print!("{tables}");
    let path = crate::run::root().join(page);
    let text = std::fs::read_to_string(&path).map_err(|e| format!("{page}: {e}"))?;
    std::fs::write(&path, between(page, &text, tables)?).map_err(|e| format!("{page}: {e}"))?;
    println!("\nwritten into {page}");
    Ok(())
}

/// The text of a page with `tables` between its two marks.
fn between(name: &str, page: &str, tables: &str) -> Result<String, String> {
    let missing = |mark: &str| format!("{name} has no line “{}”; put both marks back", mark.trim_end());
    let (head, rest) = page.split_once(BEGINS).ok_or_else(|| missing(BEGINS))?;
    let (_, tail) = rest.split_once(ENDS).ok_or_else(|| missing(ENDS))?;
    Ok(format!("{head}{BEGINS}\n{}\n\n{ENDS}{tail}", tables.trim()))
}

#[cfg(test)]
mod tests {
    use super::{BEGINS, ENDS, between};

    #[test]
    fn hand_tables_are_put_between_the_marks() {
        let page = format!("before\n{BEGINS}old\n{ENDS}after\n");
        let new = between("p", &page, "| a |\n").unwrap();
        assert_eq!(new, format!("before\n{BEGINS}\n| a |\n\n{ENDS}after\n"));
        assert_eq!(between("p", &new, "| a |\n").unwrap(), new);
        assert!(between("p", "no marks", "x").is_err());
    }
}
