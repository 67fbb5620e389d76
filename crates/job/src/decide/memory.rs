//! What was found of a vehicle before: a verdict against a service stands until the same unit is looked at again.

use serde::{Deserialize, Serialize};

use super::Verdict;

/// What was found when an earlier job was opened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Earlier {
    /// The job, and the day it was opened as people read it.
    pub job: String,
    pub day: String,
    pub at_ms: i64,
    /// Id and name of the unit's sheet.
    pub unit: String,
    pub name: String,
    pub verdict: Verdict,
    /// Why, in words.
    pub because: Vec<String>,
}

impl Earlier {
    /// One sentence for the reason of a gate.
    pub fn says(&self) -> String {
        format!("{} on {}, job {}: {}", self.name, self.day, self.job, self.because.join(" "))
    }
}

/// Verdicts that still speak against a service: of each unit the newest findings count, those entered last where two are of
/// one moment.
pub fn standing(earlier: &[Earlier]) -> Vec<&Earlier> {
    let mut newest: Vec<&Earlier> = Vec::new();
    for one in earlier {
        match newest.iter_mut().find(|known| known.unit == one.unit) {
            Some(known) if known.at_ms <= one.at_ms => *known = one,
            Some(_) => {}
            None => newest.push(one),
        }
    }
    newest.retain(|one| !one.verdict.permits_service());
    newest
}

/// True for the same words about a vehicle, whatever the case and the spaces: "Van, AB 12" and "van,ab12".
pub fn same_vehicle(one: &str, other: &str) -> bool {
    let bare =
        |text: &str| -> String { text.split_whitespace().flat_map(str::chars).flat_map(char::to_lowercase).collect() };
    bare(one) == bare(other)
}
