//! The verbs over a real log on disk.

mod demo;
mod level;
mod photo;
mod send;
mod stock;
mod teach;
mod whole_job;
