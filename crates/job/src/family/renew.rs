//! Families that renew the fluid before a level step: exchange through the cooler line, extraction, dry fill, filling under
//! pressure.

use physics::renewal::flow_through;
use quantity::Volume;
use sheet::{Exchange, Renewal, StepKey};

use crate::command::Command;
use crate::entry::{How, Measure, When};
use crate::gate::Gate;
use crate::outcome::density15;
use crate::state::{Measured, State, Weighed};

/// An exchange is through when this share of the stated volume has passed: common practice, no source.
const THROUGH: f64 = 0.95;
/// Doubt of a difference of two weights: two readings of a scale good to 5 g (common practice, no source).
const SCALE_DOUBT_KG: f64 = 0.007;

/// The exchange data of a circuit, if its fluid is exchanged.
pub fn exchange(state: &State) -> Option<&Exchange> {
    match &state.sheet.renewal {
        Renewal::Exchange(exchange) => Some(exchange),
        _ => None,
    }
}

/// Fresh fluid passed so far, and what came out.
pub fn passed(state: &State) -> (Volume, Volume) {
    let sum = |pick: fn(&crate::state::Exchanged) -> &Measure| state.exchanged.iter().map(|p| pick(p).volume_ml).sum();
    (sum(|p| &p.fresh), sum(|p| &p.out))
}

/// True when the stated volume has passed, or the line was joined again because the technician had seen enough.
pub fn through(state: &State) -> bool {
    let Some(exchange) = exchange(state) else { return false };
    let enough = passed(state).0.ml() >= exchange.volume.mid().ml() * THROUGH;
    enough || !state.exchanged.is_empty() && line_joined(state)
}

/// True while the line is open.
pub fn line_open(state: &State) -> bool {
    state.lines.iter().any(|line| line.open)
}

/// True once the line was open and is joined again.
pub fn line_joined(state: &State) -> bool {
    state.lines.iter().any(|line| !line.open)
}

/// How far in and out differ; positive when more went in.
pub fn apart(state: &State) -> Volume {
    let (fresh, out) = passed(state);
    fresh - out
}

/// Share of old fluid left by an exchange: one well-mixed sump, flow-through dilution.
pub fn old_left(state: &State) -> Option<f64> {
    let (fresh, _) = passed(state);
    let ratio = fresh / state.sheet.capacity.total.mid();
    flow_through(ratio, 1).ok().map(|new| 1.0 - new).filter(|_| !state.exchanged.is_empty())
}

/// The rest of a dry fill is owed from the start of the engine until it is poured.
pub fn rest_owed(state: &State) -> bool {
    let Renewal::DryFill(_) = state.sheet.renewal else { return false };
    let started = state.first_started_ms;
    started.is_some_and(|started| !state.poured.iter().any(|item| item.at_ms >= started))
}

/// Seconds from the start to the second part, when that took longer than the sheet allows.
pub fn rest_late_s(state: &State) -> Option<f64> {
    let Renewal::DryFill(dry) = &state.sheet.renewal else { return None };
    let started = state.first_started_ms?;
    let poured = state.poured.iter().find(|item| item.at_ms >= started)?;
    let took = (poured.at_ms.saturating_sub(started)) as f64 / 1000.0;
    (took > dry.within.seconds()).then_some(took)
}

/// What a second weighing says was pumped in.
pub fn pumped(state: &State, after: &Weighed) -> Option<Measured> {
    if after.when != When::After {
        return None;
    }
    let before = state.weighed.iter().rev().find(|w| w.of == after.of).filter(|w| w.when == When::Before)?;
    let sheet = after.of.circuit.as_ref().and_then(|id| state.sheet.of_circuit(id));
    let density = density15(sheet.as_ref().unwrap_or(&state.sheet));
    let density = physics::expansion::density_at(density, after.temp_c).ok()?;
    let litres = |kg: f64| Volume::from_litres(kg / density.kg_per_m3() * 1000.0);
    let gone = before.mass_kg.kg() - after.mass_kg.kg();
    let measure = Measure {
        volume_ml: litres(gone.max(0.0)),
        u_ml: litres(libm::hypot(SCALE_DOUBT_KG, gone * 0.005)),
        temp_c: after.temp_c,
        how: How::Scale,
        typed: format!("{:.3} kg before, {:.3} kg after", before.mass_kg.kg(), after.mass_kg.kg()),
        circuit: after.of.circuit.clone(),
        fluid: None,
    };
    Some(Measured { seq: after.seq, at_ms: after.at_ms, measure })
}

/// What must hold before a portion is passed, the line is opened or joined.
pub fn gates(state: &State, command: &Command, now_ms: i64, need: &mut impl FnMut(bool, Gate)) {
    let idling = state.idling_since_ms.is_some();
    match command {
        Command::OpenLine { .. } => {
            super::gates::proofs(state, need);
            need(!idling, Gate::EngineNotOff);
        }
        Command::CloseLine { .. } => {
            need(line_open(state), Gate::LineNotOpen);
            need(!idling, Gate::EngineNotOff);
        }
        Command::Exchange { out, fresh } => {
            need(line_open(state), Gate::LineNotOpen);
            if let Some(step) = state.sheet.step(StepKey::Exchange) {
                super::gates::entry(state, &step.conditions, now_ms, need);
            }
            let before = apart(state).ml();
            let after = before + fresh.volume_ml.ml() - out.volume_ml.ml();
            // A portion that brings them together again is always welcome.
            need(before.abs() <= most_apart(state) || after.abs() < before.abs(), Gate::ExchangeApart);
        }
        _ => {}
    }
}

/// The most that in and out may differ by, mL; no limit where nothing is exchanged.
pub fn most_apart(state: &State) -> f64 {
    exchange(state).map_or(f64::INFINITY, |exchange| exchange.apart.mid().ml())
}
