//! The grid against an independent computation in another language (scipy 1.x, same priors and noise).

use super::clean::{Clean, clean};
use super::forecast::{Knowledge, ReadingPoint};
use super::grid::{Posterior, Priors, crossing, posterior};

fn readings(values: &[f64]) -> Clean {
    let points: Vec<ReadingPoint> =
        values.iter().enumerate().map(|(i, &y)| ReadingPoint::new(60.0 * i as f64, y)).collect();
    clean(&points, &Knowledge::default(), &mut Vec::new()).unwrap()
}

/// Priors with a single end temperature and the shorter list of lags.
fn single_end() -> Priors {
    let lags = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0];
    Priors {
        lags: lags.iter().map(|&l| (l, if l == 0.0 { 0.25 } else { 3.0 / 28.0 })).collect(),
        ends: vec![(1.0, 85.0, 12.0)],
        ..Priors::wide()
    }
}

fn near(name: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{name}: {got} instead of {expected} ± {tolerance}");
}

fn mean(p: &Posterior, f: impl Fn(&super::grid::Cell) -> f64) -> f64 {
    p.cells.iter().map(|c| c.weight * f(c)).sum()
}

/// (target, 5 %, 50 %, 95 %), minutes; tails within 0.1, medians within 0.02.
fn arrivals(p: &Posterior, rows: &[(f64, f64, f64, f64)]) {
    for &(target, low, median, high) in rows {
        let at = |share: f64| crossing(|t| p.arrived(t, target), share, 0.0, 600.0, 1e-6);
        near(&format!("t{target} 5 %"), at(0.05), low, 0.1);
        near(&format!("t{target} 50 %"), at(0.5), median, 0.02);
        near(&format!("t{target} 95 %"), at(0.95), high, 0.1);
    }
}

const A: [f64; 6] = [22.0, 25.0, 27.0, 30.0, 32.0, 34.0];
const B: [f64; 7] = [18.0, 18.3, 19.1, 20.3, 21.8, 23.5, 25.3];

#[test]
fn val_single_end_prior_on_whole_degrees() {
    let c = readings(&A);
    let s = 0.419324854f64;
    near("noise", super::grid::reading_variance(&c).sqrt(), s, 1e-9);
    let p = posterior(&c, s * s, &single_end());
    near("tau", mean(&p, |c| c.tau), 22.375, 0.001);
    near("start", mean(&p, |c| c.start), 22.1375, 0.0001);
    near("end", mean(&p, |c| c.end), 82.091, 0.001);
    arrivals(&p, &[(40.0, 7.487, 7.926, 8.489), (45.0, 10.036, 10.775, 11.924), (50.0, 12.83, 14.04, 16.39)]);
    near("P(T(10) >= 40)", p.arrived(10.0, 40.0), 0.99986, 1e-5);
    near("P(T(10) >= 45)", p.arrived(10.0, 45.0), 0.0407, 1e-4);
}

#[test]
fn val_single_end_prior_on_a_lagging_start() {
    let c = readings(&B);
    let s = 0.115470054f64;
    near("noise", super::grid::reading_variance(&c).sqrt(), s, 1e-9);
    let p = posterior(&c, s * s, &single_end());
    near("tau", mean(&p, |c| c.tau), 20.007, 0.001);
    near("end", mean(&p, |c| c.end), 83.881, 0.001);
    near("lag", mean(&p, |c| c.lag), 5.345, 0.001);
    arrivals(&p, &[(40.0, 12.51, 13.33, 14.68)]);
}

#[test]
fn val_wide_priors() {
    let p = posterior(&readings(&A), 0.419324854f64.powi(2), &Priors::wide());
    near("tau", mean(&p, |c| c.tau), 21.204, 0.001);
    near("start", mean(&p, |c| c.start), 22.125, 0.001);
    near("end", mean(&p, |c| c.end), 79.263, 0.001);
    arrivals(&p, &[(40.0, 7.505, 7.972, 8.721), (45.0, 10.06, 10.87, 12.77), (50.0, 12.89, 14.22, 18.87)]);
    near("P(never 50)", 1.0 - p.arrived(1e5, 50.0), 0.007, 0.0006);
    let p = posterior(&readings(&B), 0.115470054f64.powi(2), &Priors::wide());
    near("tau", mean(&p, |c| c.tau), 18.115, 0.001);
    near("end", mean(&p, |c| c.end), 82.289, 0.001);
    near("lag", mean(&p, |c| c.lag), 6.110, 0.001);
    arrivals(&p, &[(40.0, 12.357, 13.289, 14.831), (45.0, 14.49, 15.98, 18.63), (50.0, 16.72, 18.97, 23.47)]);
}

proptest::proptest! {
    #[test]
    fn law_arrival_is_a_rising_share(values in proptest::collection::vec(10.0..60.0f64, 1..12), target in 30.0..90.0f64) {
        let p = posterior(&readings(&values), 0.02, &Priors::wide());
        let last = values.len() as f64;
        let shares: Vec<f64> = (0..60).map(|i| p.arrived(last + f64::from(i), target)).collect();
        proptest::prop_assert!(shares.iter().all(|s| (0.0..=1.0 + 1e-12).contains(s)));
        // Every cell whose end lies above its start gains with time.
        let rising = p.cells.iter().all(|c| c.end > c.start + 1.0);
        proptest::prop_assert!(!rising || shares.windows(2).all(|w| w[1] >= w[0] - 0.02));
    }
}
