//! Families that judge by volume: a stated volume poured cold, or as much as came out.

use physics::balance::{self, Ledger, Portion, Way};
use quantity::{Span, Uncertain, Volume};
use sheet::ByVolume;

use crate::outcome::{TOLERANCE, density_for_ledger, portion};
use crate::state::{Measured, SettingVerdict, State};

/// A filling within this of the right volume is right: common practice, no source.
pub const RIGHT_WITHIN: Volume = Volume::from_ml(50.0);

/// The sum of lists, at the reference temperature of the circuit: in counts up, out counts down.
pub fn net(state: &State, lists: &[(Way, &[Measured])]) -> Option<Uncertain<Volume>> {
    let portions: Vec<Portion> =
        lists.iter().flat_map(|(way, list)| list.iter().map(|item| portion(*way, &item.measure))).collect();
    let expansion = density_for_ledger(&state.sheet);
    let reference = state.sheet.window_mid();
    let ledger = Ledger { portions, expansion, reference, level: None, tolerance: TOLERANCE };
    balance::balance(&ledger).ok().map(|balance| balance.net)
}

/// What went in and stayed in.
pub fn filled(state: &State) -> Option<Uncertain<Volume>> {
    net(state, &[(Way::Poured, &state.poured), (Way::RunOff, &state.run_off)])
}

/// What went in less what came out: the change against as found.
pub fn change(state: &State) -> Option<Uncertain<Volume>> {
    let whole = !state.drained.is_empty() && !state.poured.is_empty();
    let lists: [(Way, &[Measured]); 4] = [
        (Way::Drained, &state.drained),
        (Way::Residue, &state.residue),
        (Way::Poured, &state.poured),
        (Way::RunOff, &state.run_off),
    ];
    if whole { net(state, &lists) } else { None }
}

/// How far the filling is from the stated volume.
pub fn off(state: &State, by: &ByVolume) -> Option<Uncertain<Volume>> {
    let filled = filled(state)?;
    let Span { low, high } = by.refill.value;
    let half = (high - low) * 0.5;
    let right = low + half;
    // Anything inside a stated range is right: half of it, rectangular.
    let u = libm::hypot(filled.u.ml(), half.ml() / 3f64.sqrt());
    Some(Uncertain::new(filled.value - right, Volume::from_ml(u)))
}

/// A stated volume: right when what stayed in is what belongs in.
pub fn by_volume(state: &State, by: &ByVolume) -> Option<SettingVerdict> {
    let off = off(state, by).filter(|_| !state.poured.is_empty())?;
    let half = (by.refill.value.high - by.refill.value.low) * 0.5;
    Some(match off.value {
        off if off.ml().abs() <= (half + RIGHT_WITHIN).ml() => SettingVerdict::Set,
        off if off.ml() < 0.0 => SettingVerdict::TooLow,
        _ => SettingVerdict::TooHigh,
    })
}

/// As much as came out: right only if it was right before.
pub fn same_back(state: &State) -> Option<SettingVerdict> {
    let change = change(state)?;
    Some(match change.value {
        off if off.ml().abs() <= RIGHT_WITHIN.ml().max(2.0 * change.u.ml()) => SettingVerdict::SameAsBefore,
        off if off.ml() < 0.0 => SettingVerdict::TooLow,
        _ => SettingVerdict::TooHigh,
    })
}
