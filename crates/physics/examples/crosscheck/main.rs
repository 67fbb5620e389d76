//! The cases of `cargo xtask crosscheck` with our results, as JSON: what is reckoned, from what, and what came out.
//!
//! `cargo run -q --release -p physics --example crosscheck`

mod fluid;
mod level;
mod renewal;
mod statistic;

#[path = "../../tests/it/nist.rs"]
mod nist;

use serde_json::{Value, json};

/// One case: `kind` chooses the reference and the tolerance, `input` is all that the reference may use.
fn case(kind: &str, name: String, input: Value, ours: Value) -> Value {
    json!({ "kind": kind, "name": name, "input": input, "ours": ours })
}

/// Evenly spread numbers between two ends, by the fractional parts of multiples of an irrational number.
fn spread(place: usize, dimension: u32, low: f64, high: f64) -> f64 {
    let step = 1.0 / 1.324_717_957_244_746_f64.powi(dimension as i32 + 1);
    low + (high - low) * (0.5 + step * place as f64).fract()
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut cases = Vec::new();
    fluid::cases(&mut cases)?;
    level::cases(&mut cases)?;
    renewal::cases(&mut cases)?;
    statistic::cases(&mut cases)?;
    println!("{}", serde_json::to_string(&cases)?);
    Ok(())
}
