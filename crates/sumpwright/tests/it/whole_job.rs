//! One job from opening to proof sheet, typed command by command against a simulated vehicle whose truth is known.

use link::simulate::{Look, Plug, Vehicle, VehicleParams};
use quantity::{Temperature, Volume};

use crate::jobs::Bench;

/// A vehicle and the job on it, on one clock.
struct Bay {
    vehicle: Vehicle,
    bench: Bench,
}

impl Bay {
    fn wait(&mut self, seconds: f64) {
        self.vehicle.advance(seconds).unwrap();
    }
    #[track_caller]
    fn enters(&self, words: &[&str]) -> serde_json::Value {
        self.bench.enters(self.vehicle.elapsed_s(), words)
    }
    /// A volume as read off a jug, with the fluid's temperature.
    fn measured(&self, volume: Volume) -> [String; 2] {
        let at = self.vehicle.first().true_fluid().celsius();
        [format!("volume={:.2} L", volume.litres()), format!("at={at:.0} °C")]
    }
    #[track_caller]
    fn measures(&self, word: &str, volume: Volume) {
        let [volume, at] = self.measured(volume);
        self.enters(&[word, &volume, &at]);
    }
    #[track_caller]
    fn pours(&mut self, litres: f64) {
        self.vehicle.first_mut().pour(Volume::from_litres(litres), Temperature::from_celsius(20.0)).unwrap();
        self.enters(&["pour", &format!("volume={litres} L"), "at=20 °C"]);
    }
    fn plug(&mut self, plug: Plug, out: bool) {
        self.vehicle.first_mut().set_plug(plug, out);
    }
}

/// Drains and refills; leaves the engine idling with every range held.
fn drain_and_fill(bay: &mut Bay) {
    bay.wait(60.0);
    bay.enters(&["level-vehicle", "pitch=0.0°", "roll=0.0°"]);
    assert_eq!(bay.bench.log(61.0, &["open", "plug=drain"]).code, 1, "drained before the fill plug was proven");
    bay.enters(&["prove", "plug=fill"]);
    bay.enters(&["prove", "plug=level"]);
    bay.plug(Plug::Drain, true);
    bay.enters(&["open", "plug=drain"]);
    bay.wait(900.0);
    let drained = bay.vehicle.first().drained();
    bay.measures("drained", drained);
    // The simulated pan stays on, so nothing came with it.
    bay.enters(&["residue", "volume=0 mL", "at=20 °C"]);
    bay.plug(Plug::Drain, false);
    bay.enters(&["close", "plug=drain", "torque=25 N·m", "new_seal=yes"]);
    bay.plug(Plug::Fill, true);
    bay.enters(&["open", "plug=fill"]);
    bay.pours((drained.litres() * 10.0).round() / 10.0 - 0.8);
    bay.wait(60.0);
    bay.vehicle.set_engine(true);
    bay.enters(&["start-engine"]);
    bay.pours(1.6);
    bay.vehicle.cycle_selector();
    bay.enters(&["cycle-selector", "nobody_underneath=yes"]);
}

/// Reads every ten seconds until the window is well open; the readings go into a file, and from there into the job.
fn warm_up(bay: &mut Bay) {
    let start = bay.vehicle.elapsed_s();
    let mut csv = "elapsed_s,temperature_c\n".to_owned();
    let mut early = None;
    while bay.vehicle.display().celsius() < 38.0 {
        csv.push_str(&format!("{:.0},{}\n", bay.vehicle.elapsed_s() - start, bay.vehicle.display().celsius()));
        if early.is_none() && bay.vehicle.display().celsius() >= 31.0 {
            early = Some((csv.clone(), bay.vehicle.elapsed_s() - start));
        }
        assert!(bay.vehicle.elapsed_s() - start < 3600.0, "the vehicle does not warm up");
        bay.wait(10.0);
    }
    csv.push_str(&format!("{:.0},{}\n", bay.vehicle.elapsed_s() - start, bay.vehicle.display().celsius()));
    let file = bay.bench.path("readings.csv");
    // The first part alone already foretells the rest.
    let (part, told_at) = early.unwrap();
    std::fs::write(&file, part).unwrap();
    let told = crate::json(&["predict", "--readings", &file, "--sheet", "keld-o6"]);
    assert_eq!(told["reaches"], "yes");
    assert!(told["opens_s"]["p50"].as_f64().unwrap() > told_at && told["expansion_ml_per_min"].as_f64().unwrap() > 5.0);
    std::fs::write(&file, csv).unwrap();
    let job = bay.bench.job.clone();
    let entered = bay.bench.run(&["job", "log", &job, "readings", &file, "--json"]);
    assert_eq!(entered.code, 0, "{}", entered.err);
    let again = bay.bench.run(&["job", "log", &job, "readings", &file, "--json"]).json();
    assert_eq!((&again["entered"], &again["known"]), (&0.into(), &entered.json()["entered"]));
}

fn set_level(bay: &mut Bay) {
    bay.vehicle.first_mut().empty_pans();
    bay.plug(Plug::Level, true);
    bay.enters(&["open", "plug=level"]);
    let mut last = None;
    for _ in 0..60 {
        bay.wait(5.0);
        let look = bay.vehicle.first().run_off_look();
        if last != Some(look) {
            let word = match look {
                Look::Stream => "flow=stream",
                Look::ThinStream => "flow=thin-stream",
                Look::Drops => "flow=drops",
                Look::Nothing => "flow=nothing",
            };
            bay.enters(&["look", word]);
            last = Some(look);
        }
        if matches!(look, Look::Drops | Look::Nothing) {
            break;
        }
    }
    assert_eq!(last, Some(Look::Drops));
    bay.enters(&["reading", &format!("temperature={} °C", bay.vehicle.display().celsius())]);
    bay.plug(Plug::Level, false);
    bay.enters(&["close", "plug=level", "torque=12 N·m", "new_seal=yes"]);
    let caught = bay.vehicle.first().caught();
    assert!(caught.ml() > 50.0, "{caught:?}");
    bay.measures("run-off", caught);
}

#[test]
fn sim_a_whole_job_from_the_shell_ends_in_a_proof_on_one_page() {
    let bench = Bench::new(&["--odometer", "96 000 km", "--fluid-age", "96 000 km"]);
    let mut bay = Bay { vehicle: Vehicle::new(VehicleParams::demo(), 5).unwrap(), bench };
    drain_and_fill(&mut bay);
    warm_up(&mut bay);
    set_level(&mut bay);
    let early = bay.bench.log(bay.vehicle.elapsed_s(), &["finish"]);
    assert_eq!((early.code, &early.json()["code"]), (1, &"plug-out".into()), "finished with the fill plug out");
    bay.plug(Plug::Fill, false);
    bay.enters(&["close", "plug=fill", "torque=26 lbf·ft", "new_seal=yes"]);
    bay.wait(120.0);
    bay.enters(&["leak-check", "result=dry"]);
    bay.wait(900.0);
    bay.enters(&["road-test"]);
    let job = bay.bench.job.clone();
    let finished = bay.bench.run(&["job", "finish", &job, "--when", "2026-03-02T10:00:00Z"]);
    assert_eq!(finished.code, 0, "{}{}", finished.out, finished.err);
    bay.bench.log(9000.0, &["road-test"]).json()["code"].as_str().filter(|code| *code == "job-ended").unwrap();

    // Three standard uncertainties: a rare excess of the 95 % interval is no failure, a bias is.
    let outcome = &bay.bench.show()["outcome"];
    let within = |key: &str, truth: f64| {
        let (value, u) = (outcome[key]["value"].as_f64().unwrap(), outcome[key]["u"].as_f64().unwrap());
        assert!((value - truth).abs() <= 3.0 * u && u < 150.0, "{key}: {value} ± {u}, truth {truth}");
    };
    within("as_found_ml", -350.0);
    within("as_left_ml", bay.vehicle.first().charge_error_ml());
    proof(&bay, &job);
}

fn proof(bay: &Bay, job: &str) {
    let (pdf, page) = (bay.bench.path("proof.pdf"), bay.bench.path("proof.html"));
    let made =
        bay.bench.run(&["job", "proof", job, "--pdf", &pdf, "--page", &page, "--json", "--workshop", "Invented bay"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let document = made.json();
    assert_eq!(document["kept"].as_array().unwrap().len(), 2);
    assert_eq!(document["proof"]["workshop"], "Invented bay");
    let pdf = std::fs::read(pdf).unwrap();
    assert!(pdf.starts_with(b"%PDF-"));
    // One page object, apart from the tree of pages.
    let pages = |mark: &[u8]| pdf.windows(mark.len()).filter(|window| *window == mark).count();
    assert_eq!(pages(b"/Type/Page\n") + pages(b"/Type/Page/") + pages(b"/Type /Page\n"), 1);
    assert!(std::fs::read_to_string(page).unwrap().contains("Grey hatch"));
    let text = bay.bench.run(&["job", "proof", job]).out;
    for part in ["As found", "As left", "Drained", "Grey hatch", "96\u{202f}000\u{202f}km", "log "] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let list = bay.bench.run(&["job", "show"]).out;
    assert!(list.contains("finished"), "{list}");
}
