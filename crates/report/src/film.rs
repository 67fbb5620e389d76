//! What goes beside a film of a job: chapters, tools, torques and the steps, as plain text and on paper.

use serde::{Deserialize, Serialize};

use crate::ReportError;
use crate::bench::{cautions, rows, steps};
use crate::content::{Step, Table};
use crate::flow::{Flow, head};
use crate::font::Family;
use crate::paper::Paper;

/// One run of the camera.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Clip {
    pub title: String,
    /// (time from its start, words).
    pub chapters: Vec<(String, String)>,
}

/// Everything the sheet beside a film says.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct FilmSheet {
    pub workshop: String,
    /// A simulated vehicle: the sheet then says so.
    pub demo: bool,
    pub title: String,
    pub subtitle: String,
    /// Empty when the camera was never started.
    pub clips: Vec<Clip>,
    /// (what, how much).
    pub tools: Vec<(String, String)>,
    pub torques: Table,
    pub steps: Vec<Step>,
    pub cautions: Vec<String>,
    pub footer: String,
}

/// The sheet as plain text, to be pasted under a film.
#[must_use]
pub fn film_text(sheet: &FilmSheet) -> String {
    let mut out = String::new();
    let mut line = |words: &str| {
        out.push_str(words.trim_end());
        out.push('\n');
    };
    if sheet.demo {
        line(&format!("{}: {}", crate::proof::DEMO, crate::proof::DEMO_MORE));
    }
    line(&sheet.title);
    line(&sheet.subtitle);
    for clip in &sheet.clips {
        line("");
        line(&clip.title);
        clip.chapters.iter().for_each(|(at, words)| line(&format!("{at} {words}")));
    }
    line("");
    line("Read first");
    sheet.cautions.iter().for_each(|caution| line(&format!("- {caution}")));
    line("");
    line("Tools and material");
    sheet.tools.iter().for_each(|(what, how_much)| {
        line(&format!("- {what}{}", if how_much.is_empty() { String::new() } else { format!(": {how_much}") }))
    });
    line("");
    line("Torques");
    sheet.torques.rows.iter().for_each(|row| line(&format!("- {}", row.join(" · "))));
    line("");
    line("Steps");
    for (n, step) in sheet.steps.iter().enumerate() {
        line(&format!("{}. {}", n + 1, step.verb));
        for more in [&step.caution, &step.why].into_iter().filter(|more| !more.is_empty()) {
            line(&format!("   {more}"));
        }
    }
    line("");
    line(&format!("{} · {}", sheet.workshop, sheet.footer));
    out
}

/// The sheet as a PDF, of as many A4 pages as it needs: no step is left out.
///
/// # Errors
/// [`ReportError`] if the shipped font is damaged or the PDF cannot be written.
pub fn film_pdf(film: &FilmSheet) -> Result<Vec<u8>, ReportError> {
    let family = Family::read()?;
    let mut flow = Flow::new(family, Paper::A4, LETTER);
    head(&mut flow, &film.title, &film.subtitle, 17.0, film.demo);
    flow.columns(2);
    let table = |head: [&str; 2], list: &[(String, String)]| Table {
        head: head.map(String::from).to_vec(),
        rows: list.iter().map(|(a, b)| vec![a.clone(), b.clone()]).collect(),
        total: Vec::new(),
    };
    rows(&mut flow, "Tools and material", &table(["", "how much"], &film.tools));
    rows(&mut flow, "Torques", &film.torques);
    flow.beside();
    cautions(&mut flow, &film.cautions);
    for clip in &film.clips {
        rows(&mut flow, &clip.title, &table(["at", ""], &clip.chapters));
    }
    steps(&mut flow, &film.steps);
    let foot = format!("{} · {}", film.workshop, film.footer);
    flow.pdf(film.title.trim(), &film.subtitle, &foot)
}

/// Letter height: read at arm's length.
const LETTER: f32 = 9.4;
