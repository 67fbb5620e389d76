//! What a job says of its level, held against vehicles whose errors it was not told.

use crate::drawn_job::{Said, worked};
use crate::whole_job::workshop;

const SEEDS: u64 = 3;

/// Three vehicles a sheet. If doubts are right the squares of said less truth over its doubt add up to about their number:
/// for n = 42 the sum lies between 0.5 n and 1.8 n for all but one draw in a thousand (chi-square: standard deviation
/// √(2/n) = 0.22), and doubts twice too large or too small would give 0.25 n or 4 n. Their mean lies within 3/√n.
/// `cargo xtask study truth` does the same with sixty.
#[tokio::test]
async fn sim_doubts_are_as_large_as_the_errors() {
    let (_folder, workshop) = workshop().await;
    let (mut left, mut found): (Vec<Said>, Vec<Said>) = (Vec::new(), Vec::new());
    for (file, text) in sheet::shipped() {
        let Some(sheet) = sheet::check(text).sheet else { continue };
        for seed in 0..SEEDS {
            let rows =
                worked(&workshop, file, text, &sheet, seed).await.unwrap_or_else(|why| panic!("{file} {seed}: {why}"));
            for row in rows {
                left.push(row.left.unwrap_or_else(|| panic!("{file} {seed}, circuit {}: {}", row.circuit, row.words)));
                found.extend(row.found);
            }
        }
    }
    for (what, list) in [("as left", left), ("as found", found)] {
        let n = list.len() as f64;
        let squares = list.iter().map(|said| said.z() * said.z()).sum::<f64>() / n;
        let mean = list.iter().map(Said::z).sum::<f64>() / n;
        println!("{what}: n {n}, mean square {squares:.2}, mean {mean:.2}");
        assert!(n >= 30.0, "{what}: {n}");
        assert!((0.5..1.8).contains(&squares), "{what}: mean square of z {squares:.2}");
        assert!(mean.abs() < 3.0 / n.sqrt(), "{what}: mean of z {mean:.2}");
    }
}
