//! Forecast: the worked scenarios of the trade, and every finding that tells how a log was understood.

use physics::warmup::{Approach, Forecast, Knowledge, Reaches, ReadingPoint, cooling_time, forecast};
use quantity::{Duration, Span, Temperature};

fn c(celsius: f64) -> Temperature {
    Temperature::from_celsius(celsius)
}

fn window(low: f64, high: f64) -> Span<Temperature> {
    Span { low: c(low), high: c(high) }
}

fn approach(start: f64, end: f64, tau_min: f64) -> Approach {
    Approach::new(c(start), c(end), Duration::from_minutes(tau_min), Duration::from_minutes(0.0)).unwrap()
}

fn near(name: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{name}: {got} instead of {expected} ± {tolerance}");
}

/// A curve of °C over minutes as shown, one reading every `every_s`.
fn log(curve: impl Fn(f64) -> f64, n: usize, every_s: f64, step: f64) -> Vec<ReadingPoint> {
    (0..n)
        .map(|i| {
            let t = every_s * i as f64;
            ReadingPoint::new(t, (curve(t / 60.0) / step).round() * step)
        })
        .collect()
}

fn of(points: &[ReadingPoint], low: f64, high: f64) -> Forecast {
    forecast(points, window(low, high), &Knowledge::default()).unwrap()
}

fn has(f: &Forecast, code: &str) -> bool {
    f.findings.iter().any(|x| x.code == code)
}

/// Mechanical Engineers' Handbook, volume 2, page 333, table 6 "Response of a first-order system to a unit step input": the way gone and
/// the rate after 1 to 6 time constants, three digits as printed.
/// Incropera and others, Fundamentals of Heat and Mass Transfer, chapter 5, example 5.1, page 261, as worked in its companion at git.fossee.in:
/// a junction with a time constant of 1 s, from 25 °C in gas of 200 °C, reaches 199 °C after 5.16 s.
#[test]
fn val_first_order_step_response() {
    let a = approach(0.0, 100.0, 10.0);
    for (constants, way, rate) in [
        (1.0, 0.632, 0.368),
        (2.0, 0.865, 0.135),
        (3.0, 0.950, 0.050),
        (4.0, 0.982, 0.018),
        (5.0, 0.993, 0.007),
        (6.0, 0.998, 0.002),
    ] {
        let t = Duration::from_minutes(10.0 * constants);
        near("share of the way", a.at(t).celsius() / 100.0, way, 0.0005);
        near("rate, steps a time constant", a.rate_at(t).kelvin_per_minute() / 10.0, rate, 0.0005);
    }
    // By hand: half the way after ln 2 of one, and the tangent at the start meets the end after one.
    near("half, min", a.time_to(c(50.0)).unwrap().minutes(), 6.931, 0.0005);
    near("rate at the start, K/min", a.rate_at(Duration::default()).kelvin_per_minute(), 10.0, 1e-9);
    near("junction, s", approach(25.0, 200.0, 1.0 / 60.0).time_to(c(199.0)).unwrap().seconds(), 5.16, 0.005);
}

#[test]
fn trade_plain_warm_up_opens_and_closes() {
    // Common practice, no source: 20 °C, end 85 °C, 25 min, window 35–45 °C. 25·ln(65/50) = 6.56; 25·ln(65/40) = 12.14; dwell 5.58.
    let a = approach(20.0, 85.0, 25.0);
    near("opens", a.time_to(c(35.0)).unwrap().minutes(), 6.56, 0.005);
    near("closes", a.time_to(c(45.0)).unwrap().minutes(), 12.14, 0.005);
    near("dwell", a.dwell(c(35.0), c(45.0)).unwrap().minutes(), 5.58, 0.005);
    // The same from five minutes of readings, without knowing the curve.
    let f = of(&log(|t| a.at(Duration::from_minutes(t)).celsius(), 31, 10.0, 0.1), 35.0, 45.0);
    near("told to open", f.opens_s.unwrap().p50 / 60.0, 6.56, 0.15);
    near("told to close", f.closes_s.unwrap().p50 / 60.0, 12.14, 0.8);
    near("told dwell", f.dwell_s.unwrap().p50 / 60.0, 5.58, 0.7);
}

#[test]
fn trade_cold_yard_never_reaches_the_window() {
    // Common practice, no source: −10 °C towards 38 °C, 25 min. 40 °C never; 30 °C after 25·ln(48/8) = 44.8 min.
    let a = approach(-10.0, 38.0, 25.0);
    assert_eq!(a.time_to(c(40.0)), None);
    near("30 °C", a.time_to(c(30.0)).unwrap().minutes(), 44.8, 0.05);
    let points = log(|t| a.at(Duration::from_minutes(t)).celsius(), 181, 30.0, 0.1);
    let f = of(&points, 40.0, 50.0);
    assert_ne!(f.reaches, Reaches::Yes, "{f:?}");
    assert!(has(&f, "never_at_this_idle") || has(&f, "may_never_reach"));
    near("told to level off at", f.ends_at.unwrap().p50.celsius(), 38.0, 2.0);
    let low = of(&points[..61], 30.0, 50.0);
    near("30 °C told, min", low.opens_s.unwrap().p50 / 60.0, 44.8, 5.0);
}

#[test]
fn trade_missed_comes_back() {
    // Common practice, no source: 52 °C, air 20 °C, 150 min. 150·ln(32/24) = 43.2; 150·ln(32/20) = 70.5.
    let stand = |to| cooling_time(c(52.0), c(to), c(20.0), Duration::from_minutes(150.0)).unwrap().minutes();
    near("44 °C", stand(44.0), 43.2, 0.05);
    near("40 °C", stand(40.0), 70.5, 0.05);
    let points = log(|t| 46.0 + 2.0 * t, 4, 60.0, 1.0);
    for (ambient, least_width) in [(Some(c(20.0)), 0.0), (None, 45.0)] {
        let known = Knowledge { ambient, ..Knowledge::default() };
        let f = forecast(&points, window(40.0, 44.0), &known).unwrap();
        let back = f.back_s.unwrap();
        near("back, min", back.p50 / 60.0, 43.15, 0.01);
        assert!(has(&f, "already_past") && has(&f, "back_in_window"), "{f:?}");
        // Air that is not known makes the answer less sure, and is said.
        assert!((back.p90 - back.p10) / 60.0 > least_width, "{back:?}");
        assert_eq!(f.findings.iter().any(|x| x.message.contains("the air taken as 20.0 °C")), ambient.is_none());
    }
}

#[test]
fn hand_one_reading_foretells_nothing() {
    for n in [1, 2] {
        let f = of(&log(|t| 20.0 + 2.0 * t, n, 60.0, 1.0), 40.0, 50.0);
        assert!(has(&f, "too_few_readings"));
        assert_eq!((f.opens_s, f.closes_s, f.dwell_s, f.ends_at), (None, None, None, None), "{n}");
        assert!(f.curve.is_empty() && f.reaches == Reaches::Unsure);
    }
    assert!(of(&log(|t| 20.0 + 2.0 * t, 3, 60.0, 1.0), 40.0, 50.0).opens_s.is_some());
}

#[test]
fn hand_knee_is_found_where_it_is_and_not_in_a_smooth_curve() {
    // 0.6 K/min for 10 min, then 2.4: the bypass has opened.
    let f = of(&log(|t| 20.0 + 0.6 * t + 1.8 * (t - 10.0).max(0.0), 91, 10.0, 0.1), 40.0, 50.0);
    let told = f.findings.iter().find(|x| x.code == "knee").expect("a knee");
    assert!(told.message.contains("began to heat"), "{}", told.message);
    // 2.4 K/min, then 0.6: a cooler takes it away.
    let f = of(&log(|t| 20.0 + 2.4 * t - 1.8 * (t - 5.0).max(0.0), 91, 10.0, 0.1), 45.0, 50.0);
    assert!(f.findings.iter().any(|x| x.code == "knee" && x.message.contains("cool")), "{f:?}");
    for (end, tau, step) in [(85.0, 25.0, 0.1), (60.0, 8.0, 0.1), (95.0, 15.0, 1.0)] {
        let a = approach(20.0, end, tau);
        let f = of(&log(|t| a.at(Duration::from_minutes(t)).celsius(), 80, 10.0, step), 70.0, 80.0);
        assert!(!has(&f, "knee"), "{end} {tau} {step}: {f:?}");
    }
}

#[test]
fn hand_display_step_and_times_are_told() {
    let a = approach(20.0, 85.0, 25.0);
    let curve = |t: f64| a.at(Duration::from_minutes(t)).celsius();
    let whole = of(&log(curve, 60, 5.0, 1.0), 40.0, 45.0);
    assert!(has(&whole, "display_step") && !has(&whole, "irregular_times"));
    // 25·ln(65/45) = 9.19 min, from a display of whole degrees read for five.
    near("opens", whole.opens_s.unwrap().p50 / 60.0, 9.19, 0.35);
    assert!(!has(&of(&log(curve, 60, 5.0, 0.1), 40.0, 45.0), "display_step"));
    let times = [0.0, 7.0, 31.0, 38.0, 95.0, 101.0, 160.0, 171.0, 240.0, 290.0];
    let uneven: Vec<_> = times.iter().map(|t| ReadingPoint::new(*t, (10.0 * curve(t / 60.0)).round() / 10.0)).collect();
    let f = of(&uneven, 40.0, 45.0);
    assert!(has(&f, "irregular_times"));
    near("opens", f.opens_s.unwrap().p50 / 60.0, 9.19, 0.5);
}

#[test]
fn law_the_unit_of_the_readings_does_not_matter() {
    // Exact in both: 68 °F is 20 °C, 5 °F are 2.777… K.
    let fahrenheit: Vec<_> = (0..8)
        .map(|i| ReadingPoint {
            temperature: Temperature::from_fahrenheit(68.0 + 5.0 * f64::from(i)),
            ..ReadingPoint::new(60.0 * f64::from(i), 0.0)
        })
        .collect();
    let celsius: Vec<_> =
        (0..8).map(|i| ReadingPoint::new(60.0 * f64::from(i), (68.0 + 5.0 * f64::from(i) - 32.0) / 1.8)).collect();
    let (f, g) = (of(&fahrenheit, 46.0, 54.0).opens_s.unwrap(), of(&celsius, 46.0, 54.0).opens_s.unwrap());
    near("p10, s", f.p10, g.p10, 1e-3);
    near("p50, s", f.p50, g.p50, 1e-3);
    near("p90, s", f.p90, g.p90, 1e-3);
}

#[test]
fn law_any_coolant_is_borne() {
    let a = approach(20.0, 85.0, 25.0);
    let plain = log(|t| a.at(Duration::from_minutes(t)).celsius(), 20, 20.0, 0.1);
    let opens = |coolant: &dyn Fn(usize) -> f64| {
        let points: Vec<_> =
            plain.iter().enumerate().map(|(i, p)| ReadingPoint { coolant: Some(c(coolant(i))), ..*p }).collect();
        of(&points, 40.0, 50.0).opens_s.unwrap()
    };
    let without = of(&plain, 40.0, 50.0).opens_s.unwrap();
    for odd in [f64::NAN, f64::INFINITY, -40.0, 215.0, 1e300] {
        assert_eq!(opens(&|_| odd), without, "{odd}");
    }
    let warming = opens(&|i| 20.0 + 1.5 * i as f64);
    assert!(warming.p10 <= warming.p50 && warming.p50 <= warming.p90);
    near("opens, min", warming.p50 / 60.0, 9.19, 0.6);
}
