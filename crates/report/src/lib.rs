//! What goes to paper: the proof sheet and the bench list as PDF, the proof sheet as a page that stands alone.
//!
//! Must never know: how a figure was computed, the clock, files, the log. It is handed words that are already written for
//! people and sets them on one sheet.

mod content;

pub use content::{BenchList, Figure, Override, Proof, ReportError, Step, Table};
