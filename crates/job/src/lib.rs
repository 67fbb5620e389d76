//! The domain of one job: plan, commands to entries, gates, state by folding the log, outcome.
//!
//! Pure: this crate has no clock, no files, no network and no randomness, and must never know how a
//! log is stored or a page is drawn. Same log, same state, same bytes on every machine.

pub mod act;
pub mod bench;
pub mod closing;
pub mod command;
pub mod decide;
pub mod done;
pub mod entry;
pub mod family;
mod fold;
pub mod gate;
mod missing;
pub mod need;
pub mod outcome;
pub mod plan;
pub mod prompt;
mod sentence;
pub mod shelf;
pub mod state;
mod step;
pub mod stock;
pub mod stop;
pub mod window;
pub mod words;

pub use act::{Refusal, act};
pub use bench::{Bench, bench};
pub use command::Command;
pub use entry::{Entry, Fact, Override};
pub use gate::Gate;
pub use plan::{Choices, Plan, plan};
pub use prompt::{Prompt, prompt};
pub use shelf::Shelf;
pub use state::{State, fold, follow};
