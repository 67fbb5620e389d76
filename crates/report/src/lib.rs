//! What goes to paper: the proof sheet and the bench list as PDF, the proof sheet as a page that stands alone.
//!
//! Must never know: how a figure was computed, the clock, files, the log. It is handed words that are already written for
//! people and sets them on one sheet.

mod advice;
mod bench;
mod content;
mod font;
mod page;
mod paper;
mod proof;
mod set;

pub use advice::advice_pdf;
pub use bench::bench_pdf;
pub use content::{BenchList, Figure, Override, Proof, ReportError, Step, Table};
pub use page::page;
pub use proof::pdf;
