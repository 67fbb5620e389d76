//! From rows of words to containers and tools, with everything that cannot be.

use job::Shelf;
use job::shelf::{Bit, Can, Day, Pan, Pump, Stocked, Wrench};
use physics::containers::{CONTAINER, PRICE};
use physics::torque::TORQUE;
use quantity::read;
use quantity::{Length, Volume};

use super::rows::{Entry, Rows};
use super::{ShelfFinding, ShelfKind, days_since_1970};

/// Most of one container on the shelf.
const MOST_ALIKE: f64 = 50.0;
/// Most entries of a list.
const MOST: usize = 100;

/// Keys of each table; those with a star must be there.
const KEYS: &[(&str, &[&str])] = &[
    ("can", &["name*", "size*", "price*", "fluid"]),
    ("stock", &["name*", "holds*", "opened", "fluid", "count"]),
    ("wrench", &["name*", "scale*", "calibrated"]),
    ("bit", &["name", "drive*", "reach"]),
    ("pump", &["name*", "dead", "adapters"]),
    ("pan", &["name*", "holds*"]),
];

pub(super) fn build(list: ShelfKind, rows: &Rows, shelf: &mut Shelf, findings: &mut Vec<ShelfFinding>) {
    shelf.currency = rows.currency.trim().chars().take(20).collect();
    if let Some(over) = rows.entries.get(MOST) {
        let message = format!("the list has {} entries; {MOST} are kept at most", rows.entries.len());
        findings.push(ShelfFinding { list, line: over.line, message, hint: "Keep what you use.".to_owned() });
    }
    for entry in rows.entries.iter().take(MOST) {
        let mut reader = Reader { list, entry, findings };
        let keys = KEYS.iter().find(|(kind, _)| *kind == entry.kind).map_or(&[][..], |(_, keys)| keys);
        if !reader.keys_are_known(keys) {
            continue;
        }
        one(&mut reader, shelf);
    }
}

fn one(reader: &mut Reader<'_>, shelf: &mut Shelf) {
    match reader.entry.kind.as_str() {
        "can" => {
            let (size, price) = (reader.volume("size"), reader.price());
            if let (Some(size_ml), Some(price)) = (size, price) {
                shelf.cans.push(Can { name: reader.text("name"), size_ml, price, fluid: reader.maybe("fluid") });
            }
        }
        "stock" => {
            let (holds, count, opened) = (reader.volume("holds"), reader.count(), reader.yes_no("opened"));
            if let (Some(holds_ml), Some(count), Some(opened)) = (holds, count, opened) {
                let can = Stocked { name: reader.text("name"), holds_ml, opened, fluid: reader.maybe("fluid") };
                shelf.stock.extend(std::iter::repeat_n(can, count));
            }
        }
        "wrench" => {
            let (scale, calibrated) = (reader.scale(), reader.day("calibrated"));
            if let (Some(scale_nm), Some(calibrated)) = (scale, calibrated) {
                shelf.wrenches.push(Wrench { name: reader.text("name"), scale_nm, calibrated });
            }
        }
        "bit" => {
            if let Some(reach_mm) = reader.length("reach") {
                let drive = reader.text("drive");
                let name = reader.maybe("name").unwrap_or_else(|| drive.clone());
                shelf.bits.push(Bit { name, drive, reach_mm });
            }
        }
        "pump" => {
            let dead = if reader.maybe("dead").is_some() { reader.volume("dead") } else { Some(job::need::PUMP_DEAD) };
            if let Some(dead_ml) = dead {
                let adapters = reader.maybe("adapters").unwrap_or_default();
                let adapters = adapters.split('|').map(|one| one.trim().to_owned()).filter(|one| !one.is_empty());
                shelf.pumps.push(Pump { name: reader.text("name"), dead_ml, adapters: adapters.collect() });
            }
        }
        _ => {
            if let Some(holds_ml) = reader.volume("holds") {
                shelf.pans.push(Pan { name: reader.text("name"), holds_ml });
            }
        }
    }
}

struct Reader<'a> {
    list: ShelfKind,
    entry: &'a Entry,
    findings: &'a mut Vec<ShelfFinding>,
}

impl Reader<'_> {
    fn find(&mut self, line: usize, message: String, hint: &str) {
        self.findings.push(ShelfFinding { list: self.list, line, message, hint: hint.to_owned() });
    }

    fn keys_are_known(&mut self, keys: &[&str]) -> bool {
        let before = self.findings.len();
        let (kind, line) = (self.entry.kind.clone(), self.entry.line);
        for (name, (_, at)) in &self.entry.cells {
            if !keys.iter().any(|key| key.trim_end_matches('*') == name) {
                let known: Vec<&str> = keys.iter().map(|key| key.trim_end_matches('*')).collect();
                self.find(*at, format!("“{name}” is not known here"), &format!("{kind} takes: {}.", known.join(", ")));
            }
        }
        for key in keys.iter().filter_map(|key| key.strip_suffix('*')) {
            if self.maybe(key).is_none() {
                self.find(line, format!("“{key}” is missing"), &format!("Each {kind} needs it."));
            }
        }
        self.findings.len() == before
    }

    fn maybe(&self, key: &str) -> Option<String> {
        let (words, _) = self.entry.cells.get(key)?;
        let words = words.trim();
        (!words.is_empty()).then(|| words.chars().take(120).collect())
    }

    fn text(&self, key: &str) -> String {
        self.maybe(key).unwrap_or_default()
    }

    fn line(&self, key: &str) -> usize {
        self.entry.cells.get(key).map_or(self.entry.line, |(_, line)| *line)
    }

    fn volume(&mut self, key: &str) -> Option<Volume> {
        let (words, line) = (self.text(key), self.line(key));
        match read::volume_one(&words) {
            Err(why) => self.find(line, format!("{key}: {why}"), why.hint()),
            Ok(volume) => match CONTAINER.check(volume.ml()) {
                Ok(_) => return Some(volume),
                Err(why) => self.find(line, format!("{key}: {why}"), "Check the figure and its unit."),
            },
        }
        None
    }

    /// A price is a plain number above nothing.
    fn price(&mut self) -> Option<f64> {
        let (words, line) = (self.text("price"), self.line("price"));
        let hint = "Write a plain number above 0, such as 14.50; the currency stands once above the list.";
        match words.replace(',', ".").parse::<f64>() {
            Ok(price) if price < 0.0 => self.find(line, format!("the price {words} is negative"), hint),
            Ok(0.0) => self.find(line, format!("the price {words} is nothing: then nothing is the cheapest"), hint),
            Ok(price) if PRICE.check(price).is_ok() => return Some(price),
            _ => self.find(line, format!("“{words}” is no price"), hint),
        }
        None
    }

    fn count(&mut self) -> Option<usize> {
        let Some(words) = self.maybe("count") else { return Some(1) };
        match words.parse::<f64>() {
            Ok(count) if (1.0..=MOST_ALIKE).contains(&count) && count.fract() == 0.0 => Some(count as usize),
            _ => {
                let hint = format!("Write a whole number from 1 to {MOST_ALIKE}.");
                self.find(self.line("count"), format!("“{words}” is no number of containers"), &hint);
                None
            }
        }
    }

    fn yes_no(&mut self, key: &str) -> Option<bool> {
        match self.maybe(key).as_deref() {
            None | Some("no" | "false") => Some(false),
            Some("yes" | "true") => Some(true),
            Some(words) => {
                let message = format!("{key}: “{words}” is neither true nor false");
                self.find(self.line(key), message, "Write true or false.");
                None
            }
        }
    }

    fn scale(&mut self) -> Option<quantity::Span<quantity::Torque>> {
        let (words, line) = (self.text("scale"), self.line("scale"));
        match read::torque(&words) {
            Err(why) => self.find(line, format!("scale: {why}"), why.hint()),
            Ok(span) if span.low.nm() >= span.high.nm() => {
                self.find(line, format!("the scale “{words}” has no width"), "Write both ends: \"5–50 N·m\".");
            }
            Ok(span) => match (TORQUE.check(span.low.nm()), TORQUE.check(span.high.nm())) {
                (Ok(_), Ok(_)) => return Some(span),
                (Err(why), _) | (_, Err(why)) => self.find(line, format!("scale: {why}"), "Check the unit."),
            },
        }
        None
    }

    /// A length that may be absent; the outer `None` is a finding.
    fn length(&mut self, key: &str) -> Option<Option<Length>> {
        let Some(words) = self.maybe(key) else { return Some(None) };
        match read::length_one(&words) {
            Ok(length) if (1.0..=2000.0).contains(&length.mm()) => Some(Some(length)),
            Ok(_) => {
                self.find(self.line(key), format!("{key}: {words} is no reach of a bit"), "1 mm to 2 m.");
                None
            }
            Err(why) => {
                self.find(self.line(key), format!("{key}: {why}"), why.hint());
                None
            }
        }
    }

    /// A day that may be absent; the outer `None` is a finding.
    fn day(&mut self, key: &str) -> Option<Option<Day>> {
        let Some(words) = self.maybe(key) else { return Some(None) };
        match words.parse::<jiff::civil::Date>() {
            Ok(date) => Some(Some(Day { number: days_since_1970(date), written: words })),
            Err(_) => {
                self.find(self.line(key), format!("{key}: “{words}” is no day"), "Write it as 2026-03-31.");
                None
            }
        }
    }
}
