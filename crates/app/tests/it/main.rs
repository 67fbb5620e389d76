//! The verbs over a real log on disk.

mod send;
mod whole_job;
