//! The plots of the model book, each model beside what it was checked against, as JSON: file name to SVG text.
//!
//! `cargo run -q --release -p physics --example plots`; `cargo xtask study plots` writes them to `docs/physics/plots`.

mod chart;
mod fluid;
mod renewal;
mod statistic;
mod sump;

use std::error::Error;

/// What a plot comes to: its file name and its text.
type Plot = (&'static str, String);
type Outcome = Result<Plot, Box<dyn Error>>;

fn main() -> Result<(), Box<dyn Error>> {
    let plots: [fn() -> Outcome; 21] = [
        fluid::expansion,
        fluid::viscosity,
        fluid::blend,
        fluid::warm_up,
        fluid::forecast,
        sump::flow,
        sump::times,
        sump::drain,
        sump::tilt,
        sump::closed_off_reference,
        renewal::dilution,
        renewal::ageing,
        renewal::adapter,
        renewal::joint,
        sump::learnt,
        fluid::pump,
        statistic::ledger,
        statistic::certified,
        statistic::coverage,
        statistic::colours,
        statistic::absorbance,
    ];
    let mut files = serde_json::Map::new();
    for plot in plots {
        let (name, text) = plot()?;
        files.insert(format!("{name}.svg"), text.into());
    }
    println!("{}", serde_json::Value::Object(files));
    Ok(())
}
