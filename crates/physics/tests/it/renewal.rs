//! Renewal and ageing: by hand, and laws.

use physics::ageing::{Rule, blend_time, energy_of_doubling, relative_rate, wear, weighted_distance};
use physics::containers::{Buyable, Shelved};
use physics::renewal::{
    Prices, Together, WrongFluid, age_of_concentration, exchange_volume, flow_through, last_pass, passes,
    passes_to_reach, plain_plan, plans, rescue, share_older_than, steady_state, transient,
};
use proptest::prelude::*;
use quantity::{Distance, Duration, Temperature, Volume};

fn near(name: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{name}: {got} instead of {expected} ± {tolerance}");
}

fn litres(l: f64) -> Volume {
    Volume::from_litres(l)
}

fn c(celsius: f64) -> Temperature {
    Temperature::from_celsius(celsius)
}

#[test]
fn hand_three_passes() {
    // 0.6³ = 0.216; 0.216·100 000 = 21 600 km.
    let all = passes(litres(10.0), &[litres(4.0); 3], Some(Distance::from_km(100_000.0))).unwrap();
    near("old", all[2].old_fraction, 0.216, 1e-12);
    near("age", all[2].blend_age.unwrap().km(), 21_600.0, 1e-6);
    near("poured", all[2].poured.litres(), 12.0, 1e-9);
    let json = serde_json::to_value(all[2]).unwrap();
    let keys: Vec<&String> = json.as_object().unwrap().keys().collect();
    assert_eq!(keys, ["n", "old_fraction", "new_fraction", "blend_age_km", "litres"]);
}

#[test]
fn hand_new_share_by_passes() {
    // 1 − 0.6^n.
    let all = passes(litres(10.0), &[litres(4.0); 6], None).unwrap();
    for (pass, share) in all.iter().zip([0.40, 0.64, 0.784, 0.8704, 0.92224, 0.953344]) {
        near("new", pass.new_fraction, share, 1e-12);
    }
    // Unequal: 1 − 0.55·0.6·0.6 = 0.802.
    let uneven = passes(litres(10.0), &[litres(4.5), litres(4.0), litres(4.0)], None).unwrap();
    near("uneven", uneven[2].new_fraction, 0.802, 1e-12);
}

#[test]
fn hand_passes_to_reach() {
    for (f, counts) in [(0.35, [4, 6, 7]), (0.40, [4, 5, 6]), (0.45, [3, 4, 6]), (0.50, [3, 4, 5])] {
        let got = [0.80, 0.90, 0.95].map(|p| passes_to_reach(f, p).unwrap());
        assert_eq!(got, counts, "f = {f}");
    }
    // Exact powers: 1 − 0.5^k is reached by k passes, not k + 1.
    for k in 1..25i32 {
        assert_eq!(passes_to_reach(0.5, 1.0 - 0.5f64.powi(k)).unwrap(), k as u32);
    }
    assert_eq!(passes_to_reach(1.0, 0.99).unwrap(), 1);
    assert_eq!(passes_to_reach(0.4, 0.0).unwrap(), 0);
    assert!(passes_to_reach(0.4, 1.0).is_err());
    // 1 − 0.1/0.6⁴ = 0.2284.
    near("last", last_pass(0.4, 0.9).unwrap(), 0.2284, 5e-5);
}

#[test]
fn hand_flow_through() {
    // ln(1/(1 − p)).
    for (p, ratio) in [(0.80, 1.609), (0.90, 2.303), (0.95, 2.996), (0.99, 4.605)] {
        near("volume", exchange_volume(litres(1.0), 1.0, p).unwrap().litres(), ratio, 5e-4);
    }
    near("12 L through 9 L", flow_through(12.0 / 9.0, 1).unwrap(), 0.7364, 5e-5);
    // Tanks in a row, volume mean; r = 1 and 4/3 (0.838 is 0.8378, 0.929 is 0.9288).
    for (r, rows) in [(1.0, [0.632, 0.729, 0.825]), (4.0 / 3.0, [0.736, 0.838, 0.929])] {
        for (n, share) in [1, 2, 5].into_iter().zip(rows) {
            near(&format!("N = {n}, r = {r}"), flow_through(r, n).unwrap(), share, 5.1e-4);
        }
    }
    // Many tanks: plug flow, min(1, r).
    near("plug", flow_through(0.5, 1000).unwrap(), 0.5, 1e-6);
}

#[test]
fn hand_steady_state() {
    let d = Distance::from_km(60_000.0);
    let s = steady_state(0.4, d).unwrap();
    assert_eq!((s.before.km().round(), s.after.km().round(), s.mean.km().round()), (150_000.0, 90_000.0, 120_000.0));
    near("older than three", share_older_than(0.4, 3).unwrap(), 0.216, 1e-12);
    near("older just before", share_older_than(0.4, 2).unwrap(), 0.36, 1e-12);
    let rows = transient(Distance::from_km(180_000.0), 0.4, d, 60).unwrap();
    let first = [
        (180_000.0, 108_000.0),
        (168_000.0, 100_800.0),
        (160_800.0, 96_480.0),
        (156_480.0, 93_888.0),
        (153_888.0, 92_332.8),
    ];
    for (row, (before, after)) in rows.iter().zip(first) {
        near("before", row.0.km(), before, 1e-6);
        near("after", row.1.km(), after, 1e-6);
    }
    near("limit", rows[59].0.km(), 150_000.0, 1e-3);
    near("from metal", age_of_concentration(45.0, 30.0, d).unwrap().km(), 90_000.0, 1e-6);
}

#[test]
fn hand_cost() {
    // 5·45 + 12·18 = 441; 120 + 12·9·ln 10 = 368.68.
    let prices = Prices { per_drain: 45.0, exchange_setup: 120.0, per_litre: 12.0, ..Prices::default() };
    let drains = plain_plan(litres(9.0), 0.4, 0.4, 5, Volume::default(), &prices).unwrap();
    near("five drains", drains.cost, 441.0, 1e-9);
    near("reaches", drains.new_fraction, 0.92224, 1e-9);
    let all = plans(litres(9.0), 0.4, 0.9, &prices).unwrap();
    assert_eq!(all.len(), 6);
    near("cheapest", all[0].cost, 368.7, 0.05);
    near("litres", all[0].fluid.litres(), 20.72, 0.005);
    assert_eq!(all[0].drains, 0);
    assert!(all.iter().all(|p| p.new_fraction >= 0.9 - 1e-12));
    // Two drains, then ln(0.36/0.1)·9 = 11.53 L: 90 + 120 + 12·(7.2 + 11.5284) = 434.741.
    let two = all.iter().find(|p| p.drains == 2).unwrap();
    near("two drains and an exchange", two.cost, 434.741, 0.001);
}

/// Cans of 1 L at 14 and 5 L at 55. Five drains take 9·(1.6 + 0.2284) = 16.456 L: 3·5 + 2·1 = 193 in cans, 225 + 193 = 418. Exchange
/// alone 20.72 L: 4·5 + 1 = 234 + 120 = 354. With 1 L on the shelf the exchange needs 19.72 L: 4·5 = 220, 340.
#[test]
fn hand_plans_in_whole_containers() {
    let can = |l, price| Buyable { size: litres(l), price };
    let mut prices = Prices {
        per_drain: 45.0,
        exchange_setup: 120.0,
        per_litre: 0.0,
        containers: vec![can(1.0, 14.0), can(5.0, 55.0)],
        shelf: Vec::new(),
    };
    let all = plans(litres(9.0), 0.4, 0.9, &prices).unwrap();
    let of = |drains: u32| all.iter().find(|p| p.drains == drains).unwrap();
    near("five drains", of(5).cost, 418.0, 1e-9);
    near("the last of them", of(5).last_drain.litres(), 9.0 * 0.228_395, 1e-5);
    near("exactly", of(5).new_fraction, 0.9, 1e-12);
    assert_eq!((of(0).cost, of(0).purchase.as_ref().unwrap().bought.clone()), (354.0, vec![1, 4]));
    assert!(all.windows(2).all(|w| w[0].cost <= w[1].cost));
    prices.shelf = vec![Shelved { holds: litres(1.0), opened: true }];
    let stocked = plans(litres(9.0), 0.4, 0.9, &prices).unwrap();
    let exchange = stocked.iter().find(|p| p.drains == 0).unwrap();
    assert_eq!((exchange.cost, exchange.purchase.as_ref().unwrap().taken.clone()), (340.0, vec![0]));
    // Stock alone that is not enough, and nothing to buy.
    assert!(plans(litres(9.0), 0.4, 0.9, &Prices { containers: Vec::new(), ..prices }).is_err());
}

#[test]
fn hand_the_wrong_fluid() {
    let wrong = WrongFluid {
        total: litres(10.0),
        foreign: litres(2.0),
        fraction: 0.4,
        may_stay: 0.01,
        together: Together::Compatible,
        has_run: true,
    };
    // 0.2·0.6ⁿ: .12, .072, .0432, .02592, .015552, .0093312.
    let found = rescue(&wrong).unwrap();
    for (got, expected) in found.after_each.iter().zip([0.12, 0.072, 0.0432, 0.02592, 0.015552, 0.0093312]) {
        near("left", *got, expected, 1e-12);
    }
    assert_eq!((found.passes, found.after_each.len()), (Some(6), 6));
    near("fluid", found.fluid.unwrap().litres(), 24.0, 1e-9);
    // Little enough from the start: nothing to do. 1 L in 10 and 10 % wanted: exactly there.
    assert_eq!(rescue(&WrongFluid { foreign: litres(1.0), may_stay: 0.1, ..wrong }).unwrap().passes, Some(0));
    // Where it does harm, no number and no table; before it has run, one more piece of advice.
    let harm = rescue(&WrongFluid { together: Together::Harmful, ..wrong }).unwrap();
    assert!(harm.passes.is_none() && harm.fluid.is_none() && harm.after_each.is_empty());
    assert!(harm.advice.iter().any(|a| a.contains("no number of drains is promised")));
    let fresh = rescue(&WrongFluid { together: Together::Unknown, has_run: false, ..wrong }).unwrap();
    assert!(
        fresh.advice[0].starts_with("do not start it") && fresh.advice.iter().any(|a| a.contains("not a clearance"))
    );
    for bad in [
        WrongFluid { foreign: litres(11.0), ..wrong },
        WrongFluid { foreign: litres(f64::NAN), ..wrong },
        WrongFluid { fraction: 0.0, ..wrong },
        WrongFluid { may_stay: 0.0, ..wrong },
        WrongFluid { fraction: 0.001, may_stay: 1e-6, ..wrong },
    ] {
        assert!(rescue(&bad).is_err(), "{bad:?}");
    }
}

/// 90 000 km × 1.60 = 144 000 km.
#[test]
fn hand_weighted_distance() {
    let of = |km: f64, index: f64| weighted_distance(Distance::from_km(km), index);
    near("km", of(90_000.0, 1.6).unwrap().km(), 144_000.0, 1e-6);
    assert!(of(-1.0, 1.6).is_err() && of(1.0, 0.0).is_err() && of(1.0, f64::NAN).is_err());
}

#[test]
fn hand_doubling_is_arrhenius_only_locally() {
    for (t, energy) in [(70.0, 69.8), (80.0, 73.9), (90.0, 78.1), (100.0, 82.4), (110.0, 86.8), (120.0, 91.3)] {
        near("kJ/mol", energy_of_doubling(c(t), c(t + 10.0)).unwrap(), energy, 0.051);
    }
    let energy = Rule::Arrhenius(90.94);
    for (t, factor) in [(80.0, 2.35), (90.0, 2.24), (100.0, 2.15)] {
        near("per 10 K", relative_rate(c(t + 10.0), c(t), energy).unwrap(), factor, 0.0051);
    }
}

#[test]
fn hand_wear_of_a_histogram() {
    let histogram =
        [(60.0, 0.10), (70.0, 0.15), (80.0, 0.40), (90.0, 0.25), (100.0, 0.07), (110.0, 0.02), (120.0, 0.01)]
            .map(|(t, p)| (c(t), p));
    // .10/4 + .15/2 + .40 + .25·2 + .07·4 + .02·8 + .01·16 = 1.6; 80 + 10·log2(1.6) = 86.78.
    let rule = wear(&histogram, c(80.0), Rule::COMMON).unwrap();
    near("index", rule.index, 1.6, 1e-12);
    near("equivalent", rule.equivalent.celsius(), 86.78, 0.005);
    near("mean", rule.mean.celsius(), 81.40, 1e-9);
    let arrhenius = wear(&histogram, c(80.0), Rule::Arrhenius(90.9)).unwrap();
    near("index", arrhenius.index, 1.8898, 5.1e-5);
    near("equivalent", arrhenius.equivalent.celsius(), 87.41, 0.0051);
    assert!(wear(&[(c(151.0), 1.0)], c(80.0), Rule::COMMON).is_err());
    assert!(wear(&[], c(80.0), Rule::COMMON).is_err());
    near("cold counts as 60 °C", relative_rate(c(10.0), c(80.0), Rule::COMMON).unwrap(), 0.25, 1e-12);
    near("time", blend_time(Duration::from_years(10.0), 0.216).unwrap().years(), 2.16, 1e-9);
}

proptest! {
    /// No mixture of full and partial drains and an exchange that reaches the share is cheaper than the first plan.
    #[test]
    fn law_no_plan_beats_the_first(f in 0.1..0.8f64, p in 0.3..0.98f64, shares in prop::collection::vec(0.05..1.0f64, 0..7),
        per_drain in 0.0..100f64, setup in 0.0..200f64, can in 1.0..40f64) {
        let prices = Prices {
            per_drain,
            exchange_setup: setup,
            per_litre: 0.0,
            containers: vec![Buyable { size: litres(1.0), price: can }, Buyable { size: litres(4.0), price: 3.5 * can }],
            shelf: vec![Shelved { holds: litres(0.7), opened: true }],
        };
        let total = litres(9.0);
        let best = plans(total, f, p, &prices).unwrap()[0].cost;
        let old: f64 = shares.iter().map(|s| 1.0 - s * f).product();
        let ratio = (old / (1.0 - p)).ln().max(0.0);
        let fluid = total * (shares.iter().map(|s| s * f).sum::<f64>() + ratio);
        let bought = physics::containers::cheapest(fluid, &prices.shelf, &prices.containers).unwrap().cost;
        let cost = shares.len() as f64 * per_drain + if ratio > 0.0 { setup } else { 0.0 } + bought;
        prop_assert!(best <= cost + 1e-6, "{best} {cost}");
    }

    #[test]
    fn law_passes_reach_and_one_fewer_does_not(f in 0.02..0.95f64, p in 0.01..0.999f64) {
        let n = passes_to_reach(f, p).unwrap();
        prop_assert!(1.0 - (1.0 - f).powi(n as i32) >= p - 1e-9);
        prop_assert!(1.0 - (1.0 - f).powi(n as i32 - 1) < p + 1e-9);
        let last = last_pass(f, p).unwrap();
        prop_assert!((1.0 - (1.0 - f).powi(n as i32 - 1) * (1.0 - last) - p).abs() < 1e-9 || last == f);
    }

    #[test]
    fn law_flow_through_lies_between_mixed_and_plug(r in 0.0..6.0f64, n in 1u32..200) {
        let share = flow_through(r, n).unwrap();
        prop_assert!(share >= 1.0 - (-r).exp() - 1e-9 && share <= r.min(1.0) + 1e-12);
        prop_assert!(flow_through(r, n + 1).unwrap() >= share - 1e-9);
    }

    #[test]
    fn law_any_floats_never_panic(a in any::<f64>(), b in any::<f64>(), n in any::<u32>()) {
        let v = Volume::from_ml(a);
        let _ = passes(v, &[Volume::from_ml(b)], Some(Distance::from_km(b)));
        let _ = (passes_to_reach(a, b), last_pass(a, b), flow_through(a, n % 3000), exchange_volume(v, a, b));
        let _ = (steady_state(a, Distance::from_km(b)), transient(Distance::from_km(a), b, Distance::from_km(a), n));
        let _ = plans(v, b, a, &Prices { per_drain: a, exchange_setup: b, per_litre: a, ..Prices::default() });
        let wrong = WrongFluid { total: v, foreign: Volume::from_ml(b), fraction: b, may_stay: a, together: Together::Unknown, has_run: n % 2 == 0 };
        let _ = (rescue(&wrong), weighted_distance(Distance::from_km(a), b));
        let _ = (relative_rate(c(a), c(b), Rule::Arrhenius(b)), energy_of_doubling(c(a), c(b)), wear(&[(c(a), b)], c(b), Rule::COMMON));
        let _ = (age_of_concentration(a, b, Distance::from_km(a)), blend_time(Duration::from_seconds(a), b), share_older_than(a, n));
    }
}
