//! From a model's prediction to the forecast as it is shown: what is said, what is withheld, and why.

use quantity::{Duration, Span, Temperature, TemperatureDifference, TemperatureRate};

use super::clean::Clean;
use super::forecast::{FanPoint, Finding, Forecast, Interval, Knowledge, Reaches, ReadingPoint};
use super::knee::knee;
use super::marks::{self, marks};
use super::outcome::{Arrival, Prediction};
use super::{HORIZON, first_order};

/// At most this share of "never" still counts as yes; as much of "yes" still counts as no.
const SURE: f64 = 0.1;
/// Cooling time constants of a transmission standing with the engine off: 150 min is common practice without a
/// source; the ends are a judgement of its spread.
const COOLING_MIN: Interval = Interval { p10: 100.0, p50: 150.0, p90: 225.0 };

/// Fewer readings than this foretell nothing, unless earlier jobs do.
const LEAST_READINGS: usize = 3;
/// Marks in which a knee is looked for.
const KNEE_MARKS: usize = 24;
/// Air of a workshop when it was not given, °C, and how far it may be off (judgement, no source).
const WORKSHOP_AIR: f64 = 20.0;
const WORKSHOP_SPREAD: f64 = 8.0;

/// Where the last reading lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    Below,
    Inside,
    Above,
}

/// Builds the forecast from cleaned readings and the answer of a model.
pub(crate) fn report(
    clean: &Clean,
    window: Span<Temperature>,
    known: &Knowledge,
    prediction: Prediction,
    mut findings: Vec<Finding>,
) -> Forecast {
    let last = Temperature::from_celsius(clean.last());
    let place = if last < window.low {
        Place::Below
    } else if last <= window.high {
        Place::Inside
    } else {
        Place::Above
    };
    let silent = data_findings(clean, known.unit_history.is_some(), &mut findings);
    let rate = if silent || clean.cooling { recent_pace(clean) } else { Some(prediction.rate) };
    let now_s = clean.origin_s + 60.0 * clean.now();
    let never = prediction.opens.never.clamp(0.0, 1.0);
    let mut out = Forecast {
        now_s,
        temperature: last,
        rate: rate.filter(|_| clean.minutes.len() > 1).map(TemperatureRate::from_kelvin_per_minute),
        reaches: Reaches::Yes,
        opens_s: None,
        closes_s: None,
        dwell_s: None,
        ends_at: None,
        probability_never: 0.0,
        back_s: None,
        model: prediction.model,
        findings: Vec::new(),
        curve: Vec::new(),
    };
    if silent || clean.cooling {
        out.model = "none";
    } else {
        out.ends_at = prediction.ends_at.map(|e| e.map(Temperature::from_celsius));
        out.curve = prediction.fan.iter().map(|(t, f)| fan_point(clean.origin_s, *t, f)).collect();
    }
    match place {
        Place::Above => missed(&mut out, clean, window, known, &mut findings),
        _ if silent || clean.cooling => {
            let inside = place == Place::Inside;
            out.reaches = if inside { Reaches::Yes } else { Reaches::Unsure };
            out.probability_never = if inside { 0.0 } else { never };
        }
        Place::Inside => {
            close(&mut out, clean.origin_s, &prediction, &mut findings);
        }
        Place::Below => {
            out.probability_never = never;
            out.reaches = match never {
                n if n <= SURE => Reaches::Yes,
                n if n < 1.0 - SURE => Reaches::Unsure,
                _ => Reaches::No,
            };
            if out.reaches != Reaches::No {
                out.opens_s = prediction.opens.when.map(|i| i.map(|t| clean.origin_s + 60.0 * t));
                close(&mut out, clean.origin_s, &prediction, &mut findings);
            }
            never_findings(&out, window, &mut findings);
        }
    }
    if !silent && !clean.cooling {
        remarks(clean, &mut findings);
    }
    if place == Place::Inside {
        findings.push(finding("already_inside", format!("{} °C is inside the window: it is open now", shown(last))));
    }
    out.findings = findings;
    out
}

fn finding(code: &'static str, message: impl Into<String>) -> Finding {
    Finding { code, message: message.into() }
}

fn shown(t: Temperature) -> String {
    format!("{:.1}", t.celsius())
}

/// Findings about the readings as a whole; true when they allow no forecast at all.
fn data_findings(clean: &Clean, taught: bool, findings: &mut Vec<Finding>) -> bool {
    if clean.cooling {
        return false;
    }
    let n = clean.minutes.len();
    let span = clean.now() - clean.minutes.first().copied().unwrap_or(0.0);
    let rise = clean.rise();
    if clean.frozen {
        findings.push(finding(
            "substitute_value",
            format!(
                "the reading stands still at {:.1} °C although it was rising before: a frozen signal or a substitute \
                 value; measure with a second instrument before you go on",
                clean.last()
            ),
        ));
        return true;
    }
    if n >= 3 && span >= 8.0 && rise < clean.believable() {
        findings.push(finding(
            "flat_line",
            format!(
                "no change in {span:.0} min: the engine does not warm it, it has levelled off, or the signal is frozen; \
                 nothing can be foretold"
            ),
        ));
        return true;
    }
    if n < LEAST_READINGS && !taught {
        findings.push(finding(
            "too_few_readings",
            format!("reading {n} of {LEAST_READINGS} for a forecast; one a minute is enough"),
        ));
        return true;
    }
    if n < LEAST_READINGS || rise < clean.believable() {
        findings.push(finding(
            "too_few_readings",
            format!(
                "{n} readings with a rise of {rise:.1} K say little: what is shown is what {} usually do; wait for \
                 a few more",
                if taught { "jobs on this unit" } else { "units" }
            ),
        ));
    }
    false
}

/// Findings that only tell how the readings were understood; they come last.
fn remarks(clean: &Clean, findings: &mut Vec<Finding>) {
    if let Some(k) = knee(&marks(clean, KNEE_MARKS)) {
        let what = if k.after > k.before {
            "something began to heat it (a cooler's bypass that opens, a faster idle)"
        } else {
            "something began to cool it, or stopped heating it (a cooler that opens, a fast idle let go)"
        };
        findings.push(finding(
            "knee",
            format!(
                "since {:.0} s it warms by {:.1} K/min instead of {:.1}: {what}; the pace since counts most",
                clean.origin_s + 60.0 * k.minutes,
                k.after,
                k.before
            ),
        ));
    }
    if marks::by_changes(clean) {
        findings.push(finding(
            "display_step",
            format!(
                "the display moves in steps of {:.2} K: the moments at which it changed were used, taken as rounded half way",
                clean.step
            ),
        ));
    }
}

/// Closing and dwell given that the window opens, and why they are missing if they are.
fn close(out: &mut Forecast, origin_s: f64, prediction: &Prediction, findings: &mut Vec<Finding>) {
    let Arrival { when, never } = prediction.closes;
    // Of the outcomes that open, those that level off inside.
    let opened = (1.0 - out.probability_never).max(1e-3);
    let stay = (1.0 - (1.0 - never) / opened).clamp(0.0, 1.0);
    let Some(when) = when.filter(|_| stay < 0.5) else {
        let near = prediction.ends_at.map_or(String::new(), |e| format!(" near {:.0} °C", e.p50));
        findings.push(finding(
            "stays_inside",
            format!("the warm-up most likely levels off inside the window{near}: no closing time can be given"),
        ));
        return;
    };
    if stay > SURE {
        findings.push(finding(
            "may_not_close",
            format!(
                "{:.0} % of outcomes level off inside the window; the closing time holds for the others",
                100.0 * stay
            ),
        ));
    }
    // Those that close are the quick ones; never say that it closes before it opens.
    let closes = when.map(|t| origin_s + 60.0 * t);
    let opens = out.opens_s.unwrap_or(Interval { p10: out.now_s, p50: out.now_s, p90: out.now_s });
    out.closes_s = Some(Interval {
        p10: closes.p10.max(opens.p10),
        p50: closes.p50.max(opens.p50),
        p90: closes.p90.max(opens.p90),
    });
    out.dwell_s = prediction.dwell.map(|i| i.map(|t| 60.0 * t));
}

fn never_findings(out: &Forecast, window: Span<Temperature>, findings: &mut Vec<Finding>) {
    let ends = out.ends_at.map_or(String::new(), |e| format!("; it levels off near {:.0} °C", e.p50.celsius()));
    match out.reaches {
        Reaches::No => findings.push(finding(
            "never_at_this_idle",
            format!(
                "{} °C is not reached at this idle within {:.0} h{ends}; warm the unit by driving, or shield the cooler",
                shown(window.low),
                HORIZON.hours()
            ),
        )),
        Reaches::Unsure => findings.push(finding(
            "may_never_reach",
            format!(
                "{:.0} % of outcomes never reach {} °C at this idle; the times hold if it does",
                100.0 * out.probability_never,
                shown(window.low)
            ),
        )),
        Reaches::Yes => {}
    }
}

/// Too hot: when it will have cooled back, standing with the engine off.
fn missed(
    out: &mut Forecast,
    clean: &Clean,
    window: Span<Temperature>,
    known: &Knowledge,
    findings: &mut Vec<Finding>,
) {
    let last = out.temperature;
    findings.push(finding(
        "already_past",
        format!("{} °C is above the window ({} °C): too hot to set the level", shown(last), shown(window.high)),
    ));
    // The coldest reading is no colder than the air was.
    let coldest = clean.celsius.iter().copied().fold(WORKSHOP_AIR, f64::min);
    let given = known.ambient.filter(|a| a.is_finite());
    let ambient = given.unwrap_or(Temperature::from_celsius(coldest));
    let spread = TemperatureDifference::from_kelvin(if given.is_some() { 0.0 } else { WORKSHOP_SPREAD });
    // A measured fall is better than a usual one.
    let measured = recent_pace(clean).filter(|r| clean.cooling && *r < -0.01).map(|r| (last - ambient).kelvin() / -r);
    let tau = match measured {
        Some(m) if m > 5.0 && m < 2000.0 => Interval { p10: 0.75 * m, p50: m, p90: 1.33 * m },
        _ => COOLING_MIN,
    };
    let standing_in = |m: f64, to, air| first_order::cooling_time(last, to, air, Duration::from_minutes(m)).ok();
    let standing = |m: f64, to| standing_in(m, to, ambient);
    let (Some(a), Some(b), Some(c)) = (
        standing_in(tau.p10, window.high, ambient - spread),
        standing(tau.p50, window.high),
        standing_in(tau.p90, window.high, ambient + spread),
    ) else {
        return;
    };
    let again =
        standing(tau.p50, window.low).map_or(String::new(), |t| format!(", out of it again after {:.0}", t.minutes()));
    findings.push(finding(
        "back_in_window",
        format!(
            "missed: standing with the engine off, back in the window in about {:.0} min ({:.0} to {:.0}){again}{}",
            b.minutes(),
            a.minutes(),
            c.minutes(),
            if given.is_some() { String::new() } else { format!("; the air taken as {} °C", shown(ambient)) }
        ),
    ));
    out.back_s = Some(Interval { p10: a.seconds(), p50: b.seconds(), p90: c.seconds() });
}

fn fan_point(origin_s: f64, minutes: f64, i: &Interval) -> FanPoint {
    let c = Temperature::from_celsius;
    FanPoint { t_s: origin_s + 60.0 * minutes, p10: c(i.p10), p50: c(i.p50), p90: c(i.p90) }
}

/// Straight line through the readings of the last three minutes (at least three of them), K/min.
fn recent_pace(clean: &Clean) -> Option<f64> {
    let n = clean.minutes.len();
    let recent = clean.minutes.iter().rev().take_while(|t| clean.now() - **t <= 3.0).count();
    let from = n - recent.max(3).min(n);
    let recent: Vec<_> = clean.minutes.iter().copied().zip(clean.celsius.iter().copied()).skip(from).collect();
    marks::slope(&recent)
}

/// The error for readings of which none is usable.
pub(crate) fn nothing_usable(readings: &[ReadingPoint], findings: &[Finding]) -> String {
    let why = findings.iter().map(|f| format!("; {}", f.message)).collect::<String>();
    format!("none of the {} readings can be used; give at least one time and temperature{why}", readings.len())
}
