//! HTTP: routes, forms, pages, live stream.
//!
//! Must never know: a formula, a gate, a table of the store. Pages are filled from plain structs of words; what may be
//! done and what follows from it is decided elsewhere.

pub mod assets;
pub mod choice;
mod fill;
mod route;
mod seats;
mod serve;
pub mod view;

pub use route::router;
pub use serve::serve;
