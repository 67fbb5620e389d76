//! What goes to paper: the proof sheet, the bench list, the torque card and the used-fluid label as PDF, the proof sheet as
//! a page that stands alone.
//!
//! Must never know: how a figure was computed, the clock, files, the log. It is handed words that are already written for
//! people and sets them on one sheet.

mod advice;
mod bench;
mod card;
mod content;
mod film;
mod flow;
mod font;
mod label;
mod page;
mod paper;
mod proof;
mod set;

pub use advice::advice_pdf;
pub use bench::bench_pdf;
pub use card::card_pdf;
pub use content::{
    BenchGroup, BenchLine, BenchList, Figure, FluidTables, Override, PlugCard, Proof, ReportError, Step, Table,
    TorqueCard, UsedLabel,
};
pub use film::{Clip, FilmSheet, film_pdf, film_text};
pub use label::label_pdf;
pub use page::page;
pub use proof::pdf;
