//! The verbs that page and command share; the only place that joins clock, store, link and domain.
//!
//! It must never know how a page looks or how an argument is spelled.

mod advice;
mod advise;
mod clock;
mod decide;
mod due;
mod error;
mod film;
mod forecast;
mod level;
mod meet;
mod paper;
mod photo;
mod prepare;
mod record;
mod runoff;
mod send;
mod sheets;
mod shelf;
mod teach;
mod view;
mod workshop;

pub mod demo;

pub use advice::{advice_pdf, advice_text};
pub use advise::{Advice, refill_of, shim_advice, shim_words, soak_advice, soak_words, thermometer_advice};
pub use clock::{Clock, ScaledClock, SteadyClock, SystemClock};
pub use decide::{Asked, Decided, decide};
pub use due::ServiceDue;
pub use error::AppError;
pub use film::{film_pdf, film_sheet, film_text};
pub use forecast::outlook;
pub use level::LevelNow;
pub use meet::{Awaited, Meeting, meetings};
pub use paper::{proof, proof_pdf, tape};
pub use photo::{LARGEST_KEPT, LARGEST_UPLOAD, LONG_SIDE, PICTURE_CHILD, Picture, SentPhoto, picture, reply};
pub use prepare::{BenchPapers, WASTE_CODES, bench_list, section_input, torque_card, used_label, used_volume};
pub use record::{Loaded, LogLine};
pub use report::{PlugCard, UsedLabel};
pub use send::{Answer, Sent, What};
pub use sheets::{KeepSheet, SheetVersion};
pub use shelf::{JobUse, ShelfFinding, ShelfKind, ShelfRead, StockNow, merge_shelf, read_shelf, today};
pub use view::{FloorRow, JobView, Live, Zone, view_of};
pub use workshop::{Closer, LONGEST_NAME, OpenJob, SheetEntry, Workshop, new_id, new_job_name, restore};

/// Version of the formulas behind printed numbers; it prints on every proof sheet.
pub const MODEL_VERSION: &str = concat!("sumpwright ", env!("CARGO_PKG_VERSION"));
