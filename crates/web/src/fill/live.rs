//! The live figures of a job.

use app::JobView;
use job::prompt::Urgency;

use super::{seconds, span};
use crate::choice::current;
use crate::view::{self, Band, Cue, Forecast, Live, Mood, PlugOut, ScaleTick, ScaleView};

/// Degrees of the scale below and above the window.
const BELOW: f64 = 25.0;
const ABOVE: f64 = 20.0;

/// The live figures as the page and the stream show them.
pub(crate) fn live(view: &JobView) -> Live {
    let now = &view.live;
    let units = current().units;
    let band = band(view);
    let (mood, cue) = match now.urgency {
        Urgency::Calm => (Mood::Wait, Cue::None),
        Urgency::GetReady => (Mood::Wait, Cue::Ready),
        Urgency::ActNow => (Mood::Act, Cue::Act),
        Urgency::Stop => (Mood::Stop, Cue::Stop),
    };
    let (whole, tenths) = now.temperature_c.map_or_else(
        || ("–".to_owned(), String::new()),
        |t| {
            // Whole degrees stay whole in other units: tenths would claim more than was read.
            let shown = units.value(t, "°C");
            figure(if units.fahrenheit() && t.fract() == 0.0 { shown.round() } else { shown })
        },
    );
    let (verb, detail) = split_verb(&units.said(&now.verb));
    let source = view.state.last_reading().map_or("", |reading| source(reading.source));
    Live {
        seq: now.seq,
        speed: view.speed,
        whole,
        tenths,
        unit: units.unit("°C"),
        rate: now.rate_c_per_min.filter(|r| r.is_finite()).map_or_else(String::new, rate),
        age_s: now.reading_age_s.filter(|_| !now.ended).and_then(seconds),
        source: source.to_owned(),
        band,
        band_word: word(view, band).to_owned(),
        pointer: now.temperature_c.filter(|_| !now.ended).map(|t| along(view, t)),
        forecast: of_side(view, forecast(view, band)),
        mood,
        say: if cue == Cue::None { String::new() } else { verb.clone() },
        verb,
        why: units.said(&detail.map_or_else(|| now.why.clone(), |detail| format!("{detail}. {}", now.why))),
        cue: if now.ended { Cue::None } else { cue },
        out: now
            .plugs_out
            .iter()
            .map(|(name, s)| PlugOut { words: out_words(name), out_s: seconds(*s).unwrap_or(0) })
            .collect(),
    }
}

/// Of a unit with several circuits the count says whose window it is.
fn of_side(view: &JobView, forecast: Forecast) -> Forecast {
    let side = view.watched();
    let lead = match (side.is_empty(), forecast.lead.is_empty()) {
        (true, _) => forecast.lead,
        (false, true) => side.to_owned(),
        (false, false) => format!("{side}: {}", forecast.lead),
    };
    Forecast { lead, ..forecast }
}

/// "Open the drain plug (hexagon 8 mm, rear edge) and let it drain": the verb stays short, what stands in brackets goes
/// to the why.
pub(crate) fn split_verb(verb: &str) -> (String, Option<String>) {
    let parts = verb
        .split_once(" (")
        .and_then(|(before, rest)| rest.split_once(')').map(|(inside, after)| (before, inside, after)));
    let Some((before, inside, after)) = parts.filter(|(_, inside, _)| !inside.contains('(')) else {
        return (verb.to_owned(), None);
    };
    let mut letters = inside.chars();
    let first = letters.next().map(|c| c.to_uppercase().collect::<String>()).unwrap_or_default();
    (format!("{before}{after}"), Some(format!("{first}{}", letters.as_str())))
}

/// "LEVEL PLUG OUT".
pub(crate) fn out_words(name: &str) -> String {
    format!("{} OUT", name.to_uppercase())
}

fn source(source: job::entry::Source) -> &'static str {
    job::words::SOURCES.iter().find(|(_, s)| *s == source).map_or("", |(word, _)| word)
}

/// Whole degrees, and the tenths where there are any.
fn figure(t: f64) -> (String, String) {
    let tenths = (t * 10.0).round();
    let (whole, rest) = ((tenths.abs() / 10.0).floor(), tenths.abs() % 10.0);
    let sign = if tenths < 0.0 { "−" } else { "" };
    (format!("{sign}{whole:.0}"), if rest > 0.0 { format!(".{rest:.0}") } else { String::new() })
}

fn rate(r: f64) -> String {
    let sign = if r < 0.0 { "−" } else { "+" };
    let units = current().units;
    format!("{sign}{:.1} {}", units.value(r.abs(), "°C/min"), units.unit("°C/min"))
}

fn band(view: &JobView) -> Band {
    if view.live.ended {
        return Band::Unknown;
    }
    zone(&view.live)
}

/// Where the fluid is against the window, by the word that the live figures carry.
pub(crate) fn zone(live: &app::Live) -> Band {
    match serde_json::to_value(live.zone).ok().as_ref().and_then(serde_json::Value::as_str) {
        Some("cold") => Band::Cold,
        Some("open") => Band::Open,
        Some("hot") => Band::Hot,
        _ => Band::Unknown,
    }
}

/// Inside the window it is "open now" only while the level is still to be set.
fn word(view: &JobView, band: Band) -> &'static str {
    match band {
        _ if view.live.ended => "",
        Band::Cold => "COLD",
        Band::Open if view.state.setting_level() || view.live.urgency == Urgency::ActNow => "OPEN NOW",
        Band::Open => "INSIDE",
        Band::Hot if view.state.level_set() => "ABOVE",
        Band::Hot => "TOO HOT",
        Band::Unknown if view.live.temperature_c.is_some() => "OLD READING",
        Band::Unknown => "NO READING",
    }
}

/// The ends of the window; room temperature where the sheet states none, so that the scale has a middle.
fn window(view: &JobView) -> (f64, f64) {
    view.warmed().sheet.window_span().map_or((20.0, 20.0), |window| (window.low.celsius(), window.high.celsius()))
}

/// Where a temperature lies along the scale, 0 to 100.
fn along(view: &JobView, t: f64) -> f64 {
    let (low, high) = window(view);
    let (low, high) = (low - BELOW, high + ABOVE);
    let at = (t - low) / (high - low) * 100.0;
    if at.is_finite() { (at.clamp(0.0, 100.0) * 10.0).round() / 10.0 } else { 0.0 }
}

/// The scale under the figure.
pub(crate) fn scale(view: &JobView) -> ScaleView {
    let (low, high) = window(view);
    let tick = |t: f64| ScaleTick { at: along(view, t), label: format!("{:.0}", current().units.value(t, "°C")) };
    let mut ticks = [low - 15.0, low, high, high + 10.0].map(tick).to_vec();
    // Without a window both its ends are the same place.
    ticks.dedup_by(|b, a| a.label == b.label);
    ScaleView { low: along(view, low), high: along(view, high), ticks }
}

/// A missed window: how long until the fluid has cooled.
fn back(now: &app::Live, lead: &str) -> Forecast {
    match now.back_in_s {
        Some(back) if back[1] > 0.0 => Forecast {
            lead: lead.to_owned(),
            left_s: seconds(back[1]),
            doubt: format!("± {}", span((back[2] - back[0]) / 2.0)),
            then: "standing, engine off".to_owned(),
            ..Forecast::default()
        },
        _ => says("cool enough", "any moment", "read it again"),
    }
}

fn says(lead: &str, says: &str, then: &str) -> Forecast {
    Forecast { lead: lead.to_owned(), says: says.to_owned(), then: then.to_owned(), ..Forecast::default() }
}

/// "35–45 °C (95–113 °F)": the page counts in °C, so the other unit is left to the sheet.
fn in_celsius(printed: &str) -> &str {
    printed.split_once(" (").map_or(printed, |(first, _)| if first.contains("°C") { first } else { printed })
}

/// What is counted down, or why nothing is.
fn forecast(view: &JobView, band: Band) -> Forecast {
    let now = &view.live;
    let remark = current().units.said(&now.remark.clone().unwrap_or_default());
    let printed = &job::window::words(&view.warmed().sheet);
    let units = current().units;
    let window =
        format!("window {}", if units.fahrenheit() { units.said(printed) } else { in_celsius(printed).to_owned() });
    let count = |lead: &str, interval: [f64; 3], then: String| Forecast {
        lead: lead.to_owned(),
        left_s: seconds(interval[1]),
        says: String::new(),
        doubt: format!("± {}", span((interval[2] - interval[0]) / 2.0)),
        then,
    };
    let dwell = || now.dwell_s.and_then(seconds).map_or_else(String::new, |s| format!("then lasts {}", view::clock(s)));
    match band {
        _ if now.ended => Forecast::default(),
        _ if view.state.level_set() => says("", "Level set", "in the window"),
        _ if now.never => says("at this idle", "never", &remark),
        // Engine off and still above the low edge: it waits until it may be started again.
        _ if view.state.idling_since_ms.is_none() && now.back_in_s.is_some() => {
            back(now, "cool enough to start in about")
        }
        Band::Hot if now.back_in_s.is_some() => back(now, "missed; back in about"),
        Band::Hot => says("the window", "missed", "Engine off, let it cool; read it now and then."),
        Band::Open => match now.closes_in_s {
            Some(closes) if closes[1] > 0.0 => count("closes in", closes, String::new()),
            _ => says("", &window, &remark),
        },
        _ => match now.opens_in_s {
            Some(opens) if opens[1] > 0.0 => count("opens in", opens, dwell()),
            Some(_) => says("opens", "any moment", &dwell()),
            None if now.temperature_c.is_none() => says("", &window, &remark),
            None if remark.is_empty() => says(&window, "no forecast", ""),
            // What stands after the semicolon is said in small.
            None => {
                let (first, more) = remark.split_once("; ").unwrap_or((&remark, ""));
                says(&window, first, more)
            }
        },
    }
}
