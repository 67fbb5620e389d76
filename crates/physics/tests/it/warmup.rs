//! Warm-up: closed forms by hand, behaviour of the forecast on awkward logs, laws on any log.

use physics::warmup::{
    Approach, FINDING_CODES, Forecast, Knowledge, Mixing, Reaches, ReadingPoint, cooling_time, forecast, learnt,
    mixing_temperature, pooled,
};
use proptest::prelude::*;
use quantity::{Density, Duration, Span, Temperature, TemperatureDifference, Volume};

fn c(celsius: f64) -> Temperature {
    Temperature::from_celsius(celsius)
}

fn window(low: f64, high: f64) -> Span<Temperature> {
    Span { low: c(low), high: c(high) }
}

fn approach(start: f64, end: f64, tau_min: f64, lag_min: f64) -> Approach {
    Approach::new(c(start), c(end), Duration::from_minutes(tau_min), Duration::from_minutes(lag_min)).unwrap()
}

fn near(name: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{name}: {got} instead of {expected} ± {tolerance}");
}

/// `n` readings of a curve, one every `every_s`, shown in steps of `step`.
fn shown(a: &Approach, n: usize, every_s: f64, step: f64) -> Vec<ReadingPoint> {
    (0..n)
        .map(|i| {
            let t = every_s * i as f64;
            let y = a.at(Duration::from_seconds(t)).celsius();
            ReadingPoint::new(t, (y / step).round() * step)
        })
        .collect()
}

fn codes(f: &Forecast) -> Vec<&'static str> {
    f.findings.iter().map(|x| x.code).collect()
}

#[test]
fn hand_first_order_window() {
    // 25·ln(65/50) = 6.559; 25·ln(65/40) = 12.138; difference 5.579 (5.5 on the rounded edges); (85 − 40)/25 = 1.8.
    let a = approach(20.0, 85.0, 25.0, 0.0);
    near("opens, min", a.time_to(c(35.0)).unwrap().minutes(), 6.559, 0.001);
    near("closes, min", a.time_to(c(45.0)).unwrap().minutes(), 12.138, 0.001);
    near("dwell, min", a.dwell(c(35.0), c(45.0)).unwrap().minutes(), 5.579, 0.001);
    let at_40 = a.time_to(c(40.0)).unwrap();
    near("slope at 40 °C, K/min", a.rate_at(at_40).kelvin_per_minute(), 1.8, 1e-9);
}

#[test]
fn hand_window_above_the_end_is_never_reached() {
    // From −10 towards 38 °C: 40 °C is beyond; 30 °C after 25·ln(48/8) = 44.79 min.
    let a = approach(-10.0, 38.0, 25.0, 0.0);
    assert_eq!(a.time_to(c(40.0)), None);
    assert_eq!(a.dwell(c(30.0), c(50.0)), None);
    near("30 °C, min", a.time_to(c(30.0)).unwrap().minutes(), 44.79, 0.01);
}

#[test]
fn hand_first_order_times() {
    // 15·ln(60/(80 − T)).
    let a = approach(20.0, 80.0, 15.0, 0.0);
    for (t, minutes) in [(40.0, 6.0820), (45.0, 8.0849), (50.0, 10.3972), (60.0, 16.4792)] {
        near("min", a.time_to(c(t)).unwrap().minutes(), minutes, 5e-5);
    }
    near("dwell 40–50", a.dwell(c(40.0), c(50.0)).unwrap().minutes(), 4.3152, 5e-5);
    near("T(10)", a.at(Duration::from_minutes(10.0)).celsius(), 49.1950, 5e-5);
}

#[test]
fn hand_lagging_curve() {
    // E(5) = (15·e^(−1/3) − 3·e^(−5/3))/12 = 0.848445; T = 80 − 60·E.
    let a = approach(20.0, 80.0, 15.0, 3.0);
    for (t, y) in [(5.0, 29.093286), (10.0, 42.028826), (20.0, 60.249304)] {
        near("T", a.at(Duration::from_minutes(t)).celsius(), y, 5e-7);
        near("back", a.time_to(c(y)).unwrap().minutes(), t, 1e-5);
    }
    // Equal time constants: E = (1 + t/τ)·e^(−t/τ); at t = τ it is 2/e.
    let equal = approach(0.0, 100.0, 10.0, 10.0);
    near("2/e left", equal.at(Duration::from_minutes(10.0)).celsius(), 100.0 - 200.0 / std::f64::consts::E, 1e-9);
    near("rate at start", equal.rate_at(Duration::default()).kelvin_per_minute(), 0.0, 1e-12);
}

#[test]
fn hand_cooling_back() {
    // 150·ln(32/24) = 43.15; 150·ln(32/20) = 70.50.
    let stand = |to| cooling_time(c(52.0), c(to), c(20.0), Duration::from_minutes(150.0)).map(|d| d.minutes());
    near("44 °C", stand(44.0).unwrap(), 43.15, 0.01);
    near("40 °C", stand(40.0).unwrap(), 70.50, 0.01);
    for never in [20.0, 10.0, 60.0, f64::NAN] {
        assert!(stand(never).is_err(), "{never}");
    }
}

#[test]
fn hand_cold_fluid_cannot_cool_a_hot_unit() {
    // 4 L·0.85·1.95 = 6.63 kJ/K at 20 °C; 5 L·0.85·1.95 + 36 = 44.29 kJ/K at 85 °C; 85 − 65·6.63/50.92 = 76.54.
    let m = Mixing {
        poured: Volume::from_litres(4.0),
        poured_at: c(20.0),
        left: Volume::from_litres(5.0),
        metal_kj_per_k: 36.0,
        unit_at: c(85.0),
        density: Density::from_kg_per_m3(850.0),
        specific_heat: 1.95,
    };
    near("mixed, °C", mixing_temperature(&m).unwrap().celsius(), 76.54, 0.01);
    assert!(mixing_temperature(&Mixing { density: Density::from_kg_per_m3(f64::NAN), ..m }).is_err());
}

#[test]
fn hand_forecast_finds_a_plain_curve() {
    // 40 °C after 25·ln(65/45) = 9.19 min, 45 °C after 12.14, seen half the way at 0.1 °C.
    let f =
        forecast(&shown(&approach(20.0, 85.0, 25.0, 0.0), 10, 30.0, 0.1), window(40.0, 45.0), &Knowledge::default());
    let f = f.unwrap();
    assert_eq!(f.reaches, Reaches::Yes, "{f:?}");
    near("opens", f.opens_s.unwrap().p50 / 60.0, 9.19, 0.3);
    near("closes", f.closes_s.unwrap().p50 / 60.0, 12.14, 0.6);
    near("dwell", f.dwell_s.unwrap().p50 / 60.0, 2.95, 0.3);
    near("rate", f.rate.unwrap().kelvin_per_minute(), 65.0 / 25.0 * (-4.5f64 / 25.0).exp(), 0.15);
    assert!(f.curve.last().unwrap().t_s > f.closes_s.unwrap().p90);
}

#[test]
fn hand_forecast_writes_the_unit_into_each_key() {
    let f =
        forecast(&shown(&approach(20.0, 85.0, 25.0, 0.0), 10, 30.0, 0.1), window(40.0, 45.0), &Knowledge::default());
    let json = serde_json::to_value(f.unwrap()).unwrap();
    for key in ["now_s", "temperature_c", "rate_c_per_min", "probability_never"] {
        assert!(json[key].is_number(), "{key}");
    }
    for key in ["opens_s", "closes_s", "dwell_s", "ends_at_c"] {
        assert!(["p10", "p50", "p90"].iter().all(|p| json[key][p].is_number()), "{key}");
    }
    assert_eq!(json["reaches"], "yes");
    assert!(json["model"].is_string() && json["findings"].is_array() && json["curve"][0]["t_s"].is_number());
}

#[test]
fn hand_forecast_says_never() {
    // Levels off at 45 °C: after four time constants 60 °C is out of the question.
    let f =
        forecast(&shown(&approach(20.0, 45.0, 10.0, 0.0), 81, 30.0, 0.1), window(60.0, 70.0), &Knowledge::default());
    let f = f.unwrap();
    assert_eq!((f.reaches, f.opens_s), (Reaches::No, None));
    assert!(codes(&f).contains(&"never_at_this_idle"), "{:?}", codes(&f));
    near("ends", f.ends_at.unwrap().p50.celsius(), 45.0, 2.0);
}

#[test]
fn hand_inside_and_past() {
    let a = approach(20.0, 85.0, 25.0, 0.0);
    let known = Knowledge { ambient: Some(c(20.0)), ..Knowledge::default() };
    let inside = forecast(&shown(&a, 21, 30.0, 0.1), window(40.0, 50.0), &known).unwrap();
    assert_eq!(inside.opens_s, None);
    assert!(codes(&inside).contains(&"already_inside"));
    near("closes", inside.closes_s.unwrap().p50 / 60.0, 15.46, 0.5);
    let past = forecast(&shown(&a, 40, 30.0, 0.1), window(35.0, 44.0), &known).unwrap();
    assert!(codes(&past).contains(&"already_past") && codes(&past).contains(&"back_in_window"));
    assert_eq!((past.opens_s, past.closes_s), (None, None));
    // From the last reading: 150·ln((T − 20)/24).
    let expected = 150.0 * ((past.temperature.celsius() - 20.0) / 24.0).ln();
    near("back, min", past.back_s.unwrap().p50 / 60.0, expected, 1e-6);
}

#[test]
fn hand_awkward_logs_are_named() {
    let a = approach(20.0, 85.0, 25.0, 0.0);
    let good = shown(&a, 10, 30.0, 0.1);
    let codes_of =
        |points: &[ReadingPoint]| codes(&forecast(points, window(60.0, 70.0), &Knowledge::default()).unwrap());
    assert!(codes_of(&good[..2]).contains(&"too_few_readings"));
    let flat: Vec<_> = (0..30).map(|i| ReadingPoint::new(30.0 * f64::from(i), 25.0)).collect();
    assert!(codes_of(&flat).contains(&"flat_line"));
    let mut spike = good.clone();
    spike[5].temperature = c(90.0);
    assert!(codes_of(&spike).contains(&"jump"));
    let mut swapped = good.clone();
    swapped.swap(2, 6);
    assert!(codes_of(&swapped).contains(&"out_of_order"));
    let mut nan = good.clone();
    nan[3].temperature = c(f64::NAN);
    assert!(codes_of(&nan).contains(&"not_finite"));
    let mut lost = good.clone();
    lost[0].temperature = c(-40.0);
    assert!(codes_of(&lost).contains(&"substitute_value"));
    let mut late = good.clone();
    late[9].elapsed_s += 900.0;
    late[9].temperature = c(35.0);
    assert!(codes_of(&late).contains(&"gap"));
    let mut stopped = good.clone();
    stopped.extend((0..10).map(|i| ReadingPoint::new(300.0 + 30.0 * f64::from(i), 30.0 - 0.5 * f64::from(i))));
    assert!(codes_of(&stopped).contains(&"engine_stopped"));
    let falling: Vec<_> = (0..10).map(|i| ReadingPoint::new(30.0 * f64::from(i), 40.0 - 0.5 * f64::from(i))).collect();
    assert!(codes_of(&falling).contains(&"cooling"));
    let mut frozen = good;
    let last = frozen[9];
    frozen.extend((1..20).map(|i| ReadingPoint { elapsed_s: last.elapsed_s + 30.0 * f64::from(i), ..last }));
    assert!(codes_of(&frozen).contains(&"substitute_value"));
}

#[test]
fn hand_a_spike_or_a_swap_changes_little() {
    let good = shown(&approach(20.0, 85.0, 25.0, 0.0), 10, 30.0, 0.1);
    let opens =
        |p: &[ReadingPoint]| forecast(p, window(40.0, 50.0), &Knowledge::default()).unwrap().opens_s.unwrap().p50;
    let mut spike = good.clone();
    spike[5].temperature = c(90.0);
    near("spike, s", opens(&spike), opens(&good), 10.0);
    let mut swapped = good.clone();
    swapped.swap(2, 6);
    near("swap, s", opens(&swapped), opens(&good), 0.0);
}

#[test]
fn hand_nothing_usable_is_an_error() {
    let w = window(40.0, 50.0);
    assert!(forecast(&[], w, &Knowledge::default()).is_err());
    assert!(forecast(&[ReadingPoint::new(0.0, f64::NAN)], w, &Knowledge::default()).is_err());
    assert!(forecast(&[ReadingPoint::new(0.0, -40.0)], w, &Knowledge::default()).is_err());
    assert!(forecast(&[ReadingPoint::new(0.0, 20.0)], window(50.0, 40.0), &Knowledge::default()).is_err());
    assert!(forecast(&[ReadingPoint::new(0.0, 20.0)], w, &Knowledge::default()).is_ok());
}

#[test]
fn hand_history_sharpens_a_short_log() {
    // 60 °C after 15·ln(65/25) = 14.33 min; two minutes of readings say little of that, an earlier job does.
    let a = approach(20.0, 85.0, 15.0, 0.0);
    let history = learnt(&shown(&a, 80, 30.0, 0.1), &Knowledge::default()).unwrap();
    // The grid of lags is coarse, so a little lag is traded for a little time constant.
    near("τ, min", history.time_constant.value.minutes(), 15.0, 0.8);
    near("end, °C", history.end.value.celsius(), 85.0, 1.0);
    let short = shown(&a, 9, 15.0, 0.1);
    let opens = |known: &Knowledge| forecast(&short, window(60.0, 70.0), known).unwrap().opens_s.unwrap();
    let without = opens(&Knowledge::default());
    let with = opens(&Knowledge { unit_history: pooled(&[history, history]), ..Knowledge::default() });
    near("opens with history, min", with.p50 / 60.0, 14.33, 1.5);
    assert!(with.p90 - with.p10 < 0.7 * (without.p90 - without.p10), "{with:?} {without:?}");
    assert!(learnt(&short, &Knowledge::default()).is_none() && pooled(&[]).is_none());
}

#[test]
fn hand_closing_is_never_before_opening() {
    // Two readings far below the window: half of the outcomes never open it, and those that close it are the quick ones.
    let points = [(0.0, 0.0), (3575.0, -32.5), (3994.0, -29.5)].map(|(t, y)| ReadingPoint::new(t, y));
    let f = forecast(&points, window(0.0, 10.9), &Knowledge::default()).unwrap();
    assert_eq!(f.reaches, Reaches::Unsure);
    ordered(&f);
}

#[test]
fn hand_engine_start_is_understood() {
    // The same log with and without the (right) engine start: the median stays near 25·ln(65/45) = 9.19 min.
    let points = shown(&approach(20.0, 85.0, 25.0, 0.0), 10, 30.0, 0.1);
    for started in [None, Some(0.0)] {
        let known = Knowledge { engine_started_s: started, ..Knowledge::default() };
        near("opens", forecast(&points, window(40.0, 50.0), &known).unwrap().opens_s.unwrap().p50 / 60.0, 9.19, 0.3);
    }
    let wrong = Knowledge { engine_started_s: Some(f64::NAN), ..Knowledge::default() };
    assert!(forecast(&points, window(40.0, 50.0), &wrong).is_err());
}

#[path = "../../examples/study_forecast/truth.rs"]
mod truth;

/// Forty simulated vehicles of one structure, cut at 60 % of the way: how many intervals hold, relative errors of the median
/// and of a straight line through the last half.
fn simulated(make: fn(&mut truth::Draws, &mut truth::Draws) -> truth::Truth, seed: u64) -> (usize, Vec<f64>, Vec<f64>) {
    let mut d = truth::Draws(seed);
    let (mut held, mut errors, mut of_line) = (0, Vec::new(), Vec::new());
    while errors.len() < 40 {
        let (mut unit, mut day) = (truth::Draws(d.seed()), truth::Draws(d.seed()));
        let truth::Truth { fluid, ambient, coolant } = make(&mut unit, &mut day);
        let Some(opens) = fluid.iter().position(|y| *y >= 45.0).filter(|i| (120..2700).contains(i)) else { continue };
        if fluid[0] > 35.0 {
            continue;
        }
        let every = (opens / 20).max(1);
        let points: Vec<_> = (0..=opens * 6 / 10)
            .step_by(every)
            .map(|i| ReadingPoint {
                coolant: coolant.get(i).map(|y| c(y.round())),
                ..ReadingPoint::new(truth::STEP_S * i as f64, (10.0 * fluid[i]).round() / 10.0)
            })
            .collect();
        let (truth_s, now) = (truth::STEP_S * opens as f64, points[points.len() - 1].elapsed_s);
        let known = Knowledge { ambient: Some(c(ambient)), ..Knowledge::default() };
        let f = forecast(&points, window(45.0, 55.0), &known).unwrap();
        let said = f.opens_s.map_or(f64::INFINITY, |o| o.p50);
        held += usize::from(f.opens_s.is_some_and(|o| o.p10 <= truth_s && truth_s <= o.p90));
        errors.push((said - truth_s).abs() / (truth_s - now));
        let (first, last) = (points[points.len() / 2], points[points.len() - 1]);
        let slope = (last.temperature - first.temperature).kelvin() / (last.elapsed_s - first.elapsed_s);
        let line = now + (45.0 - last.temperature.celsius()) / slope.max(1e-6);
        of_line.push((line - truth_s).abs() / (truth_s - now));
    }
    (held, errors, of_line)
}

#[test]
fn sim_intervals_hold_and_beat_a_straight_line() {
    let (mut errors, mut of_line) = (Vec::new(), Vec::new());
    type Make = fn(&mut truth::Draws, &mut truth::Draws) -> truth::Truth;
    // 80 % of 40 is 32; six fewer are two standard deviations. In the harsh world Z seven in ten hold.
    let worlds: [(&str, Make, u64, usize); 5] = [
        ("F", truth::f, 1, 26),
        ("X", truth::x, 2, 26),
        ("Y", truth::y, 3, 26),
        ("W", truth::w, 4, 26),
        ("Z", truth::z, 5, 20),
    ];
    for (name, make, seed, least) in worlds {
        let (held, said, line) = simulated(make, seed);
        println!("{name}, seed {seed}: {held} of 40 held");
        assert!(held >= least, "{name}, seed {seed}: {held} of 40 held");
        errors.extend(said);
        of_line.extend(line);
    }
    let middle = |all: &mut Vec<f64>| {
        all.sort_by(f64::total_cmp);
        all[all.len() / 2]
    };
    let (error, line) = (middle(&mut errors), middle(&mut of_line));
    assert!(error < 0.75 * line, "all: {error} against {line}");
}

fn ordered(f: &Forecast) {
    for i in [f.opens_s, f.closes_s, f.dwell_s, f.back_s].into_iter().flatten() {
        assert!(i.p10 <= i.p50 && i.p50 <= i.p90 && i.p10.is_finite() && i.p90.is_finite(), "{f:?}");
    }
    for p in &f.curve {
        assert!(p.p10 <= p.p50 && p.p50 <= p.p90 && p.t_s.is_finite(), "{f:?}");
    }
    if let Some(e) = f.ends_at {
        assert!(e.p10 <= e.p50 && e.p50 <= e.p90);
    }
    if let (Some(o), Some(s)) = (f.opens_s, f.closes_s) {
        assert!(o.p10 >= f.now_s - 1e-6 && o.p50 <= s.p50 + 1e-3 * (1.0 + s.p50.abs()), "{f:?}");
    }
    assert!((0.0..=1.0).contains(&f.probability_never));
    assert!(f.findings.iter().all(|x| FINDING_CODES.contains(&x.code)));
}

fn any_point() -> impl Strategy<Value = ReadingPoint> {
    (any::<f64>(), any::<f64>(), proptest::option::of(any::<f64>())).prop_map(|(t, y, q)| ReadingPoint {
        quantum: q.map(TemperatureDifference::from_kelvin),
        ..ReadingPoint::new(t, y)
    })
}

fn rough_point() -> impl Strategy<Value = ReadingPoint> {
    (-2000.0..4000.0f64, -60.0..160.0f64).prop_map(|(t, y)| ReadingPoint::new(t.round(), (2.0 * y).round() / 2.0))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn law_any_floats_never_panic(points in prop::collection::vec(any_point(), 0..30), low in any::<f64>(), high in any::<f64>(),
        ambient in any::<f64>(), start in any::<f64>()) {
        let known = Knowledge { ambient: Some(c(ambient)), engine_started_s: Some(start), unit_history: None };
        if let Ok(f) = forecast(&points, window(low, high), &known) {
            ordered(&f);
        }
    }

    #[test]
    fn law_rough_logs_keep_order(points in prop::collection::vec(rough_point(), 1..60), low in -20.0..90.0f64, width in 0.0..40.0f64) {
        if let Ok(f) = forecast(&points, window(low, low + width), &Knowledge::default()) {
            ordered(&f);
        }
    }

    #[test]
    fn law_same_input_same_bytes_and_shift(start in -10.0..30.0f64, end in 60.0..100.0f64, tau in 6.0..40.0f64,
        lag in 0.0..8.0f64, n in 3usize..40, shift in -5_000.0..5_000.0f64) {
        let a = approach(start, end, tau, lag);
        let points = shown(&a, n, 20.0, 0.1);
        let moved: Vec<_> = points.iter().map(|p| ReadingPoint { elapsed_s: p.elapsed_s + shift, ..*p }).collect();
        let f = forecast(&points, window(40.0, 50.0), &Knowledge::default()).unwrap();
        let again = forecast(&points, window(40.0, 50.0), &Knowledge::default()).unwrap();
        prop_assert_eq!(format!("{f:?}"), format!("{again:?}"));
        let g = forecast(&moved, window(40.0, 50.0), &Knowledge::default()).unwrap();
        prop_assert_eq!(f.reaches, g.reaches);
        if let (Some(x), Some(y)) = (f.opens_s, g.opens_s) {
            prop_assert!((x.p50 + shift - y.p50).abs() < 0.05, "{:?} {:?}", x, y);
        }
    }

    #[test]
    fn law_a_higher_target_is_reached_later(start in -20.0..30.0f64, end in 50.0..110.0f64, tau in 3.0..80.0f64,
        lag in 0.0..15.0f64, a in 0.01..0.98f64, b in 0.01..0.98f64) {
        let curve = approach(start, end, tau, lag);
        let target = |s: f64| c(start + (end - start) * s);
        let (low, high) = (a.min(b), a.max(b));
        let (t, u) = (curve.time_to(target(low)).unwrap(), curve.time_to(target(high)).unwrap());
        prop_assert!(t <= u);
        prop_assert!((curve.at(t).celsius() - target(low).celsius()).abs() < 1e-6);
    }
}
