//! What must lie on the bench before anything is undone: fluid, parts, tools, each with a key that a tick is kept under.

use physics::torque::{WrenchFit, wrench_fit};
use quantity::print::{self, Units};
use quantity::{Span, Torque, Volume};
use serde::Serialize;
use sheet::{Plug, Sheet};

use crate::need::{Containers, Need, chosen, containers, need};
use crate::plan::the;
use crate::shelf::{Bit, Shelf, Wrench};

/// Where a thing belongs on the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Group {
    Fluid,
    Parts,
    Tools,
    Guard,
}

impl Group {
    /// Every group, in the order of the list.
    pub const ALL: [Self; 4] = [Self::Fluid, Self::Parts, Self::Tools, Self::Guard];
    /// Its heading.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Fluid => "Fluid",
            Self::Parts => "Seals, gaskets, filter",
            Self::Tools => "Tools",
            Self::Guard => "For you and the floor",
        }
    }
}

/// Something to have on the bench.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Item {
    /// Its tick is kept under this; the same for the same sheet, whatever the workshop has.
    pub key: String,
    pub group: Group,
    pub what: String,
    /// A count, a volume or a range; empty for one of a kind.
    pub how_much: String,
    /// Which one, why, or what is wrong with it; empty for nothing.
    pub note: String,
}

/// The whole list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bench {
    pub need: Need,
    /// The cheapest containers, or why there is no answer.
    pub containers: Result<Containers, String>,
    /// The unit's other circuits, each with a fluid of its own.
    pub further: Vec<FluidOf>,
    pub items: Vec<Item>,
}

impl Bench {
    /// Each circuit's name, need and containers; the name is empty in a unit with one circuit.
    pub fn fluids<'a>(
        &'a self,
        sheet: &'a Sheet,
    ) -> impl Iterator<Item = (&'a str, &'a Need, &'a Result<Containers, String>)> {
        let name = if self.further.is_empty() { "" } else { sheet.circuit.1.as_str() };
        let further = self.further.iter().map(|one| (one.circuit.as_str(), &one.need, &one.containers));
        std::iter::once((name, &self.need, &self.containers)).chain(further)
    }
}

/// The fluid of one circuit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FluidOf {
    /// Its id in the sheet.
    pub id: String,
    /// Its name for people.
    pub circuit: String,
    pub need: Need,
    /// The cheapest containers, or why there is no answer.
    pub containers: Result<Containers, String>,
}

/// A wrench is calibrated again after this long: twelve months (common practice; ISO 6789-1 leaves it to the user, from memory).
const CALIBRATION_DAYS: i64 = 365;

/// The bench list of a sheet with what the workshop has. `today` is in days since 1970-01-01, for calibrations.
pub fn bench(sheet: &Sheet, shelf: &Shelf, today: Option<i64>) -> Bench {
    let thread = sheet.plug_with(sheet::Role::Fill).and_then(|plug| plug.thread.as_deref());
    let pump = pump_for(thread, shelf);
    let need = need(sheet, pump.map(|pump| pump.dead_ml));
    let containers = crate::need::containers(need.total_ml, &sheet.fluid.approvals, shelf);
    let further = further(sheet, shelf, pump.map(|pump| pump.dead_ml), &need);
    let item = |key: &str, group, what: &str, how_much: String, note: String| Item {
        key: key.to_owned(),
        group,
        what: what.to_owned(),
        how_much,
        note,
    };
    let none = String::new;
    let side = if further.is_empty() { String::new() } else { format!(" of {},", the(&sheet.circuit.1)) };
    let fluid = format!("Fluid{side} approved as {}", sheet.fluid.approvals.join(" or "));
    let mut items = vec![item("fluid", Group::Fluid, &fluid, litres(need.total_ml), bought(&containers))];
    // Circuits that are never mixed: each its own fluid and filter.
    for FluidOf { id, circuit, need, containers } in &further {
        let Some(alone) = sheet.of_circuit(id) else { continue };
        let what = format!("Fluid of {}, approved as {}", the(circuit), alone.fluid.approvals.join(" or "));
        items.push(item(&format!("fluid-{id}"), Group::Fluid, &what, litres(need.total_ml), bought(containers)));
        items.extend(alone.filter.iter().map(|filter| {
            item(&format!("filter-{id}"), Group::Parts, &format!("Filter: {filter}"), "1".to_owned(), none())
        }));
    }
    items.extend(
        sheet
            .filter
            .iter()
            .map(|filter| item("filter", Group::Parts, &format!("Filter: {filter}"), "1".to_owned(), none())),
    );
    for plug in &sheet.plugs {
        if let Some(seal) = plug.seal.as_ref().filter(|seal| seal.single_use) {
            let what = format!("{} for {}", seal.kind, the(&plug.name));
            items.push(item(&format!("seal-{}", plug.id), Group::Parts, &what, "1 new".to_owned(), none()));
        }
    }
    items.extend(drives(sheet, shelf));
    items.extend(wrenches(sheet, shelf, today));
    let pump_note = match pump {
        Some(pump) => format!("{}; {} stays in it", pump.name, print::volume(pump.dead_ml, Units::Metric)),
        None => adapter_wanted(sheet, shelf),
    };
    items.push(item("pump", Group::Tools, "Pump or bottle with hose and adapter for the fill hole", none(), pump_note));
    // Fluids of different circuits never lie in one pan; what is handed over is all of it.
    let out: Vec<Volume> =
        std::iter::once(&need).chain(further.iter().map(|one| &one.need)).map(catch_volume).collect();
    let catch = out.iter().copied().max_by(|a, b| a.ml().total_cmp(&b.ml())).unwrap_or_default();
    let all_out: Volume = out.into_iter().sum();
    items.push(item(
        "catch",
        Group::Tools,
        "Graduated catch pan, or a scale",
        format!("over {}", litres(catch)),
        pan(shelf, catch),
    ));
    let window = crate::window::words_of_all(sheet);
    items.push(item("reader", Group::Tools, "Thermometer or reader for the fluid temperature", none(), window));
    items.push(item(
        "stands",
        Group::Guard,
        "Stands, chocks, level",
        none(),
        "push test before you go under".to_owned(),
    ));
    items.push(item(
        "guard",
        Group::Guard,
        "Goggles, gloves, sleeves",
        none(),
        "hot fluid falls on the face".to_owned(),
    ));
    let used = "labelled as used oil; nothing else goes in".to_owned();
    items.push(item(
        "used",
        Group::Guard,
        "Closed container for the used fluid",
        format!("over {}", litres(all_out)),
        used,
    ));
    Bench { need, containers, further, items }
}

/// The fluid of each further circuit; what an earlier one takes off the shelf is no longer there.
fn further(sheet: &Sheet, shelf: &Shelf, dead: Option<Volume>, first: &Need) -> Vec<FluidOf> {
    let mut left = shelf.clone();
    let mut take = |total: Volume, approvals: &[String]| {
        let found = containers(total, approvals, &left);
        let (mut places, _) = chosen(total, approvals, &left);
        places.sort_unstable();
        for place in places.into_iter().rev() {
            left.stock.remove(place);
        }
        found
    };
    let circuits = sheet.circuits();
    if circuits.len() > 1 {
        // Its containers are known; what matters is that they are gone.
        let _ = take(first.total_ml, &sheet.fluid.approvals);
    }
    let one = |id: &str| {
        let alone = sheet.of_circuit(id)?;
        let need = need(&alone, dead);
        let containers = take(need.total_ml, &alone.fluid.approvals);
        Some(FluidOf { id: id.to_owned(), circuit: sheet.circuit_name(id).to_owned(), need, containers })
    };
    circuits.into_iter().skip(1).filter_map(one).collect()
}

/// The keys of a sheet's bench list, with what they stand for.
pub fn keys(sheet: &Sheet) -> Vec<(String, String)> {
    bench(sheet, &Shelf::default(), None).items.into_iter().map(|item| (item.key, item.what)).collect()
}

fn litres(volume: Volume) -> String {
    format!("{:.1} L", (volume.litres() * 10.0 - 1e-9).ceil() / 10.0)
}

/// All that may come out at once or in turn: what was poured on top of what was drained never lies in the same pan.
fn catch_volume(need: &Need) -> Volume {
    let out = ["What a drain brings", "What belongs in", "Passed through", "Held by", "Surplus"];
    need.lines
        .iter()
        .filter(|line| out.iter().any(|start| line.what.starts_with(start)))
        .map(|line| line.volume_ml)
        .sum()
}

/// The containers in one sentence.
fn bought(containers: &Result<Containers, String>) -> String {
    let Ok(found) = containers else { return String::new() };
    let takes = found.takes.iter().map(|take| match (take.cost, take.opened) {
        (Some(_), _) => format!("buy {} × {}", take.count, take.name),
        (None, true) => format!("open already: {}", take.name),
        (None, false) => format!("{} × {} from the shelf", take.count, take.name),
    });
    takes.collect::<Vec<_>>().join(" + ")
}

/// One line for each bit or socket, with the plugs it is for and its reach.
fn drives(sheet: &Sheet, shelf: &Shelf) -> Vec<Item> {
    let mut seen: Vec<(&str, Vec<&Plug>)> = Vec::new();
    for plug in sheet.plugs.iter().filter(|plug| plug.needs_tool()) {
        match seen.iter_mut().find(|(drive, _)| *drive == plug.drive) {
            Some((_, plugs)) => plugs.push(plug),
            None => seen.push((&plug.drive, vec![plug])),
        }
    }
    let line = |(drive, plugs): (&str, Vec<&Plug>)| {
        let place = |plug: &&Plug| {
            let deep = plug.reach.as_ref().map_or_else(String::new, |reach| format!(", {} deep", reach.printed));
            format!("{} ({}{deep})", the(&plug.name), plug.place)
        };
        let places: Vec<String> = plugs.iter().map(place).collect();
        let same = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
        let own: Vec<_> = shelf.bits.iter().filter(|bit| same(&bit.drive) == same(drive)).collect();
        let have = match own.as_slice() {
            [] if shelf.has_tools() => "; NOT in the tools list".to_owned(),
            [] => String::new(),
            bits => {
                let mut names: Vec<_> = bits.iter().map(|bit| reaching(bit, &plugs)).collect();
                // What fits comes first.
                names.sort_by_key(|(fit, _)| *fit);
                let names: Vec<_> = names.into_iter().map(|(_, words)| words).collect();
                format!("; {}", names.join(" or "))
            }
        };
        Item {
            key: format!("bit-{}", plugs[0].id),
            group: Group::Tools,
            what: format!("Bit or socket: {drive}"),
            how_much: String::new(),
            note: format!("for {}{have}", places.join(" and ")),
        }
    };
    seen.into_iter().map(line).collect()
}

/// How well a bit suits by its reach, best first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Fit {
    Reaches,
    NotKnown,
    TooShort,
}

/// To a tenth of a millimetre, without a tenth of nothing.
fn mm(length: quantity::Length) -> String {
    format!("{} mm", (length.mm() * 10.0).round() / 10.0)
}

/// A bit with its reach, held against the deepest recess it is for; the deep end counts where a sheet states a range.
fn reaching(bit: &Bit, plugs: &[&Plug]) -> (Fit, String) {
    let name = &bit.name;
    let deep = plugs.iter().filter_map(|plug| Some((plug.reach.as_ref()?.value.high, *plug)));
    let deepest = deep.max_by(|a, b| a.0.mm().total_cmp(&b.0.mm()));
    match (bit.reach_mm, deepest) {
        (Some(reach), Some((deep, _))) if reach >= deep => (Fit::Reaches, format!("{name}, reach {}, fits", mm(reach))),
        (Some(reach), Some((deep, plug))) => {
            let (reach, deep, plug) = (mm(reach), mm(deep), the(&plug.name));
            (Fit::TooShort, format!("{name}, reach {reach}, TOO SHORT: {plug} asks for {deep}"))
        }
        (Some(reach), None) => (Fit::Reaches, format!("{name}, reach {}", mm(reach))),
        (None, Some((deep, _))) => (Fit::NotKnown, format!("{name}, reach not stated, {} asked for", mm(deep))),
        (None, None) => (Fit::NotKnown, format!("{name}, reach not stated")),
    }
}

/// The torque wrenches as one line: for each plug the one that suits it best.
fn wrenches(sheet: &Sheet, shelf: &Shelf, today: Option<i64>) -> Option<Item> {
    let plugs: Vec<(&Plug, Span<Torque>)> =
        sheet.plugs.iter().filter_map(|plug| Some((plug, plug.torque.as_ref()?.value))).collect();
    let low = plugs.iter().map(|(_, torque)| torque.low.nm()).reduce(f64::min)?;
    let high = plugs.iter().map(|(_, torque)| torque.high.nm()).reduce(f64::max)?;
    let note = if shelf.wrenches.is_empty() {
        // One wrench for all of them has its top at or above the highest and at most five times the lowest.
        let top = low / physics::torque::LOWEST_SHARE;
        if top >= high {
            format!("one with its top between {high:.0} and {top:.0} N·m does for all plugs")
        } else {
            "two are needed: no single one covers all plugs between 20 and 100 % of its scale".to_owned()
        }
    } else {
        let mut groups: Vec<(String, Vec<String>)> = Vec::new();
        for (plug, torque) in &plugs {
            let (wrench, suits) = for_plug(plug, *torque, shelf, today);
            match groups.iter_mut().find(|(known, _)| *known == wrench) {
                Some((_, all)) => all.push(suits),
                None => groups.push((wrench, vec![suits])),
            }
        }
        let groups = groups.into_iter().map(|(wrench, suits)| format!("{wrench}: {}", suits.join("; ")));
        groups.collect::<Vec<_>>().join(". ")
    };
    let range = if high - low < 0.05 { format!("{low:.0} N·m") } else { format!("{low:.0}–{high:.0} N·m") };
    Some(Item {
        key: "wrench".to_owned(),
        group: Group::Tools,
        what: "Torque wrench".to_owned(),
        how_much: range,
        note,
    })
}

/// The wrench for a torque: one that fits, best one whose share of the scale lies in the middle; calibrated ones first.
pub fn best_wrench(torque: Span<Torque>, shelf: &Shelf, today: Option<i64>) -> Option<(&Wrench, WrenchFit)> {
    let fits = shelf.wrenches.iter().filter_map(|wrench| {
        let fit = wrench_fit(torque, wrench.scale_nm).ok().filter(|fit| fit.fits)?;
        Some((wrench, fit))
    });
    let rank = |(wrench, fit): &(&Wrench, WrenchFit)| (stale(wrench, today).is_some(), (fit.share.high - 0.55).abs());
    fits.min_by(|a, b| {
        let (a, b) = (rank(a), rank(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    })
}

/// What is wrong with a wrench's calibration, if anything.
fn stale(wrench: &Wrench, today: Option<i64>) -> Option<String> {
    match (&wrench.calibrated, today) {
        (None, _) => Some("never calibrated as far as the list says".to_owned()),
        (Some(day), Some(today)) if today - day.number > CALIBRATION_DAYS => {
            Some(format!("CALIBRATION RAN OUT, last {}", day.written))
        }
        _ => None,
    }
}

/// The wrench for a plug with its calibration, and how the plug's torque lies on its scale.
fn for_plug(plug: &Plug, torque: Span<Torque>, shelf: &Shelf, today: Option<i64>) -> (String, String) {
    let printed = plug.torque.as_ref().map_or_else(String::new, |torque| torque.printed.clone());
    let name = the(&plug.name);
    let Some((wrench, fit)) = best_wrench(torque, shelf, today) else {
        return ("NO wrench in the tools list suits".to_owned(), format!("{name} {printed}"));
    };
    let state = match (stale(wrench, today), &wrench.calibrated) {
        (Some(wrong), _) => wrong,
        (None, Some(day)) => format!("calibrated {}", day.written),
        (None, None) => String::new(),
    };
    (format!("{} ({state})", wrench.name), format!("{name} {printed}, {}", fit.why))
}

/// The first pump with an adapter for the fill hole; one without adapters named counts when there is no other.
pub(crate) fn pump_for<'a>(thread: Option<&str>, shelf: &'a Shelf) -> Option<&'a crate::shelf::Pump> {
    let bare = |text: &str| text.to_lowercase().replace('×', "x").replace(' ', "");
    let fits = |pump: &&crate::shelf::Pump| {
        thread.is_some_and(|thread| pump.adapters.iter().any(|adapter| bare(adapter) == bare(thread)))
    };
    shelf.pumps.iter().find(fits).or_else(|| shelf.pumps.iter().find(|pump| pump.adapters.is_empty()))
}

fn adapter_wanted(sheet: &Sheet, shelf: &Shelf) -> String {
    let thread = sheet.plug_with(sheet::Role::Fill).and_then(|plug| plug.thread.as_deref());
    match (thread, shelf.pumps.is_empty()) {
        (Some(thread), false) => format!("NO pump in the tools list has an adapter for {thread}"),
        (Some(thread), true) => format!("adapter for {thread}"),
        (None, _) => String::new(),
    }
}

fn pan(shelf: &Shelf, catch: Volume) -> String {
    if shelf.pans.is_empty() {
        return String::new();
    }
    let holds = |pan: &&crate::shelf::Pan| pan.holds_ml >= catch;
    match shelf.pans.iter().filter(holds).min_by(|a, b| a.holds_ml.ml().total_cmp(&b.holds_ml.ml())) {
        Some(pan) => format!("{}, holds {}", pan.name, print::volume(pan.holds_ml, Units::Metric)),
        None => "NO pan in the tools list holds that much: empty it in between".to_owned(),
    }
}
