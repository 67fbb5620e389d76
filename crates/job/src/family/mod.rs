//! Procedure families: what each asks before a step, how it judges the level, and what its error budget is.
//!
//! Everything here but [`circuit`] looks at one circuit; a unit with several is looked at one circuit at a time.

pub mod budget;
pub mod circuit;
pub mod gates;
pub mod read;
pub mod renew;
pub mod runoff;
pub mod volume;

use sheet::Level;

use crate::state::{SettingVerdict, State};

/// How the level was judged last; of several circuits the first that is not right, `None` while any was not judged.
pub fn verdict(state: &State) -> Option<SettingVerdict> {
    if !state.sheet.further.is_empty() {
        let each = state.circuits().iter().map(|one| of_one(one)).collect::<Option<Vec<_>>>()?;
        let wrong = each.iter().find(|v| !matches!(v, SettingVerdict::Set | SettingVerdict::SameAsBefore));
        return wrong.or(each.first()).copied();
    }
    of_one(state)
}

fn of_one(state: &State) -> Option<SettingVerdict> {
    match &state.sheet.level {
        level if level.runs_off() => runoff::verdict(state),
        Level::VolumeOnly(by) => volume::by_volume(state, by),
        Level::SameBack => volume::same_back(state),
        _ => read::verdict(state),
    }
}
