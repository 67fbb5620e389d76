//! How often as found and as left hold, by family and sheet: whole jobs by the prompts on simulated vehicles into which
//! errors of the claimed sizes are drawn. `cargo xtask study truth` writes the table into the docs.
//!
//! Arguments: seeds a sheet (60), then names of sheets (all).

#[path = "../tests/it/drawn_job.rs"]
mod drawn_job;

use std::collections::BTreeMap;
use std::sync::Arc;

use app::demo::WORKSHOP;
use app::{ScaledClock, Workshop};
use drawn_job::{Said, worked};
use sheet::Sheet;

#[derive(Default)]
struct Family {
    left: Vec<Said>,
    found: Vec<Said>,
    /// Jobs in which nothing could be said, or that the prompts could not bring to an end.
    silent: usize,
    stuck: usize,
}

#[tokio::main(flavor = "current_thread")]
async fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let seeds: u64 = words.first().and_then(|word| word.parse().ok()).unwrap_or(60);
    let named = words.get(1..).unwrap_or_default();
    let mut families: BTreeMap<String, Family> = BTreeMap::new();
    for (file, text) in sheet::shipped() {
        let Some(sheet) = sheet::check(text).sheet else { continue };
        if !named.is_empty() && !named.iter().any(|name| file.starts_with(name.as_str())) {
            continue;
        }
        let folder = tempfile::tempdir().expect("a folder");
        let clock = Arc::new(ScaledClock::new(1_800_000_000_000, 1.0));
        let workshop = Workshop::open(&folder.path().join("w.db"), clock, WORKSHOP, true).await.expect("opened");
        for seed in 0..seeds {
            let rows = worked(&workshop, file, text, &sheet, seed).await;
            let names = rows_of(&sheet);
            match rows {
                Ok(rows) => rows.into_iter().for_each(|row| {
                    let family = families.entry(names[row.circuit].clone()).or_default();
                    family.silent += usize::from(row.left.is_none());
                    if row.left.is_none() {
                        eprintln!("{file} {seed}: {}", row.words);
                    }
                    family.left.extend(row.left);
                    family.found.extend(row.found);
                }),
                Err(why) => {
                    eprintln!("{file} {seed}: {why}");
                    names.into_iter().for_each(|name| families.entry(name).or_default().stuck += 1);
                }
            }
        }
    }
    print(&families);
}

/// Family and sheet of each circuit.
fn rows_of(sheet: &Sheet) -> Vec<String> {
    let circuits = sheet.circuits();
    let of = |id: &&str| {
        let family = sheet.of_circuit(id).map_or("?", |one| one.family.word());
        if circuits.len() > 1 { format!("{family} · {} {id}", sheet.id) } else { format!("{family} · {}", sheet.id) }
    };
    circuits.iter().map(of).collect()
}

/// How many, share inside k = 2, standard deviation and mean of z, mean of said less truth and root mean square of u.
fn figures(list: &[Said]) -> String {
    if list.is_empty() {
        return "– | – | – | – | –".to_owned();
    }
    let n = list.len() as f64;
    let mean_of = |of: &dyn Fn(&Said) -> f64| list.iter().map(of).sum::<f64>() / n;
    let held = mean_of(&|one| f64::from(u8::from(one.z().abs() <= 2.0)));
    let mean = mean_of(&Said::z);
    let sd = (mean_of(&|one| (one.z() - mean) * (one.z() - mean)) * n / (n - 1.0).max(1.0)).sqrt();
    let (bias, u) = (mean_of(&|one| one.off_ml), mean_of(&|one| one.u_ml * one.u_ml).sqrt());
    format!("{n:.0} | {:.0} % | {sd:.2} | {mean:+.2} | {bias:+.0} of {u:.0}", 100.0 * held)
}

fn print(families: &BTreeMap<String, Family>) {
    println!(
        "| family · sheet | as left: n | held | z-sd | bias, u | bias of u, mL | as found: n | held | z-sd | bias, u | bias of u, mL |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|---|");
    for (name, family) in families {
        println!("| {name} | {} | {} |", figures(&family.left), figures(&family.found));
    }
    let all = |of: fn(&Family) -> &Vec<Said>| families.values().flat_map(|f| of(f).iter().copied()).collect::<Vec<_>>();
    println!("| all | {} | {} |", figures(&all(|f| &f.left)), figures(&all(|f| &f.found)));
    let (silent, stuck) = families.values().fold((0, 0), |(a, b), f| (a + f.silent, b + f.stuck));
    println!("\nNo figure: {silent}. Not brought to an end: {stuck}.");
}
