//! Families whose level is set by what runs out of an open plug: overflow, two-stage overflow, filled under pressure, side
//! hole.

use crate::entry::Flow;
use crate::gate::Gate;
use crate::state::{Setting, SettingVerdict, State};

/// True once the cold stage ended with the plug in after something had run off.
pub fn preset_done(state: &State) -> bool {
    let done = |setting: &Setting| {
        setting.preset
            && setting.closed_ms.is_some()
            && !setting.spoilt
            && setting.looks.iter().any(|l| l.flow > Flow::Nothing)
    };
    state.sheet.level.preset().is_none() || state.settings.iter().any(done)
}

/// Whether taking this plug out now is the cold stage: it is until that is done, unless the fluid is in the hot window
/// already.
pub fn opens_for_preset(state: &State, plug: &str, at_ms: i64) -> bool {
    let Some(circuit) = state.sheet.plug(plug).map(|plug| plug.circuit.clone()) else { return false };
    let Some(overflow) =
        state.sheet.level_of(&circuit).filter(|level| level.preset().is_some()).and_then(|l| l.overflow())
    else {
        return false;
    };
    let hot = state.fresh_reading(at_ms).is_some_and(|reading| reading.temp_c >= overflow.window.value.low);
    !hot && !preset_done(&state.seen_by(&circuit))
}

/// How the level was set last. A cold preset is never the level.
pub fn verdict(state: &State) -> Option<SettingVerdict> {
    let last = state.settings.last()?;
    if last.preset {
        return Some(match last.verdict(&state.sheet) {
            open @ (SettingVerdict::Open | SettingVerdict::Spoilt) => open,
            _ if preset_done(state) => SettingVerdict::PresetOnly,
            other => other,
        });
    }
    Some(last.verdict(&state.sheet))
}

/// What must hold before the level plug comes out.
pub fn gates(state: &State, now_ms: i64, need: &mut impl FnMut(bool, Gate)) {
    let key = if level_plug(state).is_some_and(|plug| opens_for_preset(state, plug, now_ms)) {
        sheet::StepKey::Preset
    } else {
        need(preset_done(state), Gate::PresetNotSet);
        sheet::StepKey::SetLevel
    };
    if let Some(step) = state.sheet.step(key) {
        super::gates::entry(state, &step.conditions, now_ms, need);
    }
}

fn level_plug(state: &State) -> Option<&str> {
    state.with_role(sheet::Role::Level).map(|plug| plug.id.as_str())
}
