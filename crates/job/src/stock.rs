//! What a job takes off the shelf: from the volumes in its log, out of the containers that its bench list chose.

use quantity::Volume;
use serde::{Deserialize, Serialize};

use crate::bench::pump_for;
use crate::need::{PUMP_DEAD, chosen, fitting, need};
use crate::shelf::{Shelf, Stocked, same_fluid};
use crate::state::{Measured, State};

/// Less than this in a container is an empty container, and less than this missing is none: a drop or ten.
const NOTHING: Volume = Volume::from_ml(1.0);

/// What a job poured of one fluid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Used {
    /// Names that the fluid goes by: the one on the can, where it was entered, else the approvals of the sheet.
    pub fluids: Vec<String>,
    /// Everything poured or passed through, as measured.
    pub poured_ml: Volume,
    /// What the bench list asked for, without the pump's dead volume.
    pub need_ml: Volume,
    /// Thread of the fill hole; it decides which pump the bench list reckons with.
    pub thread: Option<String>,
}

/// What the log says was poured, circuit by circuit; nothing for a job that poured nothing.
pub fn used(state: &State) -> Vec<Used> {
    let thread = state.sheet.plug_with(sheet::Role::Fill).and_then(|plug| plug.thread.clone());
    let mut all: Vec<Used> = Vec::new();
    for one in state.circuits() {
        let need_ml = need(&one.sheet, Some(Volume::from_ml(0.0))).total_ml;
        let poured = one.poured.iter().map(|Measured { measure, .. }| measure);
        for measure in poured.chain(one.exchanged.iter().map(|portion| &portion.fresh)) {
            let approved = &one.sheet.fluid.approvals;
            let fluids = match &measure.fluid {
                Some(named) if !approved.iter().any(|approval| same_fluid(named, approval)) => vec![named.clone()],
                _ => approved.clone(),
            };
            match all.iter_mut().find(|used| used.fluids == fluids && used.need_ml == need_ml) {
                Some(used) => used.poured_ml = used.poured_ml + measure.volume_ml,
                None => {
                    all.push(Used { fluids, poured_ml: measure.volume_ml, need_ml, thread: thread.clone() });
                }
            }
        }
    }
    all
}

/// What came out of one container.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Drawn {
    pub name: String,
    pub taken_ml: Volume,
    /// What it still holds; it stays on the shelf as an opened one unless this is nothing.
    pub left_ml: Volume,
}

/// What was booked for one fluid of a job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Booked {
    pub fluids: Vec<String>,
    pub poured_ml: Volume,
    pub from: Vec<Drawn>,
    /// Poured out of what the bench list said to buy; nobody knows whether its rest stands on the shelf.
    pub bought_ml: Volume,
    /// More than shelf and bench list had; nothing is booked for it.
    pub missing_ml: Volume,
}

/// Takes what was poured off the shelf: opened containers that the bench list chose, then closed ones it chose, then what
/// it said to buy, then any other container of that fluid. A container is never drawn below nothing.
pub fn draw(shelf: &mut Shelf, used: &Used) -> Booked {
    let dead = pump_for(used.thread.as_deref(), shelf).map_or(PUMP_DEAD, |pump| pump.dead_ml);
    let (places, bought) = chosen(used.need_ml + dead, &used.fluids, shelf);
    let mut left = used.poured_ml;
    let mut from = Vec::new();
    take(&mut shelf.stock, &places, &mut left, &mut from);
    let bought_ml = bought.min(left);
    left = left - bought_ml;
    let others: Vec<usize> = fitting(&used.fluids, shelf).into_iter().filter(|place| !places.contains(place)).collect();
    take(&mut shelf.stock, &others, &mut left, &mut from);
    shelf.stock.retain(|can| can.holds_ml >= NOTHING);
    let missing_ml = if left >= NOTHING { left } else { Volume::from_ml(0.0) };
    Booked { fluids: used.fluids.clone(), poured_ml: used.poured_ml, from, bought_ml, missing_ml }
}

/// Draws containers in this order until nothing more is wanted.
fn take(stock: &mut [Stocked], places: &[usize], wanted: &mut Volume, from: &mut Vec<Drawn>) {
    for place in places {
        let Some(can) = stock.get_mut(*place).filter(|_| *wanted > Volume::from_ml(0.0)) else { return };
        let taken_ml = can.holds_ml.min(*wanted);
        *wanted = *wanted - taken_ml;
        can.holds_ml = can.holds_ml - taken_ml;
        can.opened = true;
        let left_ml = if can.holds_ml >= NOTHING { can.holds_ml } else { Volume::from_ml(0.0) };
        from.push(Drawn { name: can.name.clone(), taken_ml, left_ml });
    }
}
