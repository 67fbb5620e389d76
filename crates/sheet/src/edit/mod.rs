//! Changing the text of a sheet without harm: setting one value, comparing, merging, proposing values from a passage.
//! Comments and the order of lines survive; what a key may hold comes from the same table that the check uses.

mod compare;
mod field;
mod json;
mod path;
mod propose;
mod quantities;
mod set;
mod skeleton;

pub use compare::{Difference, Merged, compare, merge, take_over};
pub use field::{Entry, Field, Group, groups};
pub use json::json_schema;
pub use path::meaning;
pub use propose::{LONGEST_PASSAGE, Passage, Proposal, propose, take};
pub use set::{EditError, id_of, renamed, set};
pub use skeleton::skeleton;
