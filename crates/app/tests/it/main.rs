//! The verbs over a real log on disk.

mod level;
mod photo;
mod send;
mod stock;
mod whole_job;
