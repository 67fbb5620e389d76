//! The window in words: as printed, or only the part on which its printed units agree.

use quantity::print;
use quantity::read::{Region, read};
use sheet::Sheet;

use crate::plan::lowered;

/// The window as it is to be worked in. Where the printed units disagree this is their common part, and says so.
pub fn words(sheet: &Sheet) -> String {
    let Some(window) = sheet.window() else { return sheet.window_printed().to_owned() };
    let printed = match read(&window.printed, Region::Us) {
        Ok(reading) if !reading.agree => reading.readings.len(),
        _ => return window.printed.clone(),
    };
    let how_many = if printed == 2 { "both" } else { "all" };
    let (low, high) = (print::trimmed(window.value.low.celsius(), 1), print::trimmed(window.value.high.celsius(), 1));
    format!("{low}–{high} °C, as {how_many} printed units allow")
}

/// The windows of all circuits, each under its name; alone as it is in a unit with one.
pub fn words_of_all(sheet: &Sheet) -> String {
    let circuits = sheet.circuits();
    if circuits.len() == 1 {
        return words(sheet);
    }
    let one = |id: &&str| Some(format!("{} {}", lowered(sheet.circuit_name(id)), words(&sheet.of_circuit(id)?)));
    circuits.iter().filter_map(one).collect::<Vec<_>>().join(", ")
}
