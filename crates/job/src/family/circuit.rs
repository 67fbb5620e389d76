//! One circuit of a job: the same log, seen as if the unit had no other.

use std::borrow::Cow;

use sheet::Sheet;

use crate::entry::{Fact, Of};
use crate::state::State;

/// The circuit that an entry speaks of by itself: by its plug, or as it was named; `None` for what concerns the vehicle,
/// such as engine, tilt and temperature.
pub fn circuit_of<'a>(fact: &'a Fact, sheet: &'a Sheet) -> Option<&'a str> {
    let named = |circuit: &'a Option<String>| Some(circuit.as_deref().unwrap_or(&sheet.circuit.0));
    match fact {
        Fact::PlugProven { plug }
        | Fact::PlugStuck { plug }
        | Fact::PlugOpened { plug, .. }
        | Fact::PlugClosed { plug, .. }
        | Fact::PlugTightened { plug, .. }
        | Fact::SealConfirmed { plug } => sheet.plug(plug).map(|plug| plug.circuit.as_str()),
        Fact::FluidDrained(measure)
        | Fact::ResidueMeasured(measure)
        | Fact::FluidPoured(measure)
        | Fact::RunOffMeasured(measure)
        | Fact::FluidExchanged { fresh: measure, .. } => named(&measure.circuit),
        Fact::DipRead { of, .. }
        | Fact::ProbeRead { of, .. }
        | Fact::EdgeSeen { of, .. }
        | Fact::ReadoutTaken { of, .. }
        | Fact::CanWeighed { of, .. }
        | Fact::FluidRested { of }
        | Fact::LineOpened { of }
        | Fact::LineClosed { of } => named(&of.circuit),
        Fact::EntryReplaced { with, .. } => circuit_of(with, sheet),
        _ => None,
    }
}

impl State {
    /// The job as one circuit sees it; `None` for an id the sheet does not have.
    pub fn of_circuit(&self, id: &str) -> Option<Self> {
        let sheet = self.sheet.of_circuit(id)?;
        let first = self.sheet.circuit.0 == id;
        let mine = |circuit: &Option<String>| circuit.as_deref().map_or(first, |named| named == id);
        let of = |of: &Of| mine(&of.circuit);
        let mut one = self.clone();
        one.plugs.retain(|plug, _| sheet.plug(plug).is_some());
        one.settings.retain(|setting| sheet.plug(&setting.plug).is_some());
        for list in [&mut one.drained, &mut one.residue, &mut one.poured, &mut one.run_off] {
            list.retain(|item| mine(&item.measure.circuit));
        }
        one.level_reads.retain(|read| of(&read.of));
        one.weighed.retain(|weighed| of(&weighed.of));
        one.exchanged.retain(|portion| mine(&portion.fresh.circuit));
        one.lines.retain(|line| of(&line.of));
        one.rested.retain(|(rested, _)| of(rested));
        one.stuck = one.stuck.filter(|plug| sheet.plug(plug).is_some());
        // Fluid is lost where a plug was out, and only there.
        one.lost_fluid &= one.settings.last().is_some_and(|setting| setting.spoilt);
        one.sheet = sheet;
        Some(one)
    }

    /// Of a unit with several circuits the one that is warmed and watched: the first of those judged with the engine started
    /// whose level is not set, else the first of them; `None` in a unit with one circuit or where none is.
    pub fn warmed(&self) -> Option<Self> {
        if self.sheet.further.is_empty() {
            return None;
        }
        let mut each: Vec<Self> = self.sheet.circuits().into_iter().filter_map(|id| self.of_circuit(id)).collect();
        each.retain(|one| one.sheet.level.engine().is_some());
        let next = each.iter().position(|one| !one.level_set()).unwrap_or(0);
        (next < each.len()).then(|| each.swap_remove(next))
    }

    /// The job as each circuit sees it, the first one first.
    pub fn circuits(&self) -> Vec<Cow<'_, Self>> {
        if self.sheet.further.is_empty() {
            return vec![Cow::Borrowed(self)];
        }
        self.sheet.circuits().into_iter().filter_map(|id| self.of_circuit(id)).map(Cow::Owned).collect()
    }

    /// The circuit a step or a plug belongs to.
    pub fn seen_by(&self, circuit: &str) -> Cow<'_, Self> {
        if self.sheet.further.is_empty() {
            return Cow::Borrowed(self);
        }
        self.of_circuit(circuit).map_or(Cow::Borrowed(self), Cow::Owned)
    }
}
