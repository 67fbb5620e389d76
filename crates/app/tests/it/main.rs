//! The verbs over a real log on disk.

mod demo;
mod drawn_job;
mod level;
mod photo;
mod send;
mod stock;
mod teach;
mod truth;
mod whole_job;
