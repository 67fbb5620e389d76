//! The verbs over a real log on disk.

mod level;
mod send;
mod whole_job;
