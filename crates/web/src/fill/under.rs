//! The page under the vehicle.

use app::{Answer, JobView};
use job::plan::StepKey;
use job::prompt::{Act as Button, Urgency};
use job::words::Fields;

use super::floor::meeting;
use super::live::{live, out_words, scale};
use super::log::log;
use super::prepare::caution;
use super::sight::{pass, sight};
use super::{seconds, short, stamp};
use crate::view::{
    Act, Banner, BannerKind, Engine, Field, Flow, Input, LookView, OtherAct, PlugShape, PlugView, RunoffView, Side,
    Under, Weight,
};

/// What became of the form that led here.
#[derive(Default)]
pub(crate) struct Flash {
    /// The command word and the fields as entered, to be shown again.
    pub(crate) word: String,
    pub(crate) entered: Fields,
    /// The field that was not understood, and why.
    pub(crate) wrong: Option<(String, String)>,
    /// A refusal or a conflict.
    pub(crate) answer: Option<Answer>,
    /// The whole page was asked for, so whoever looks may have been away.
    pub(crate) arrived: bool,
}

/// Minutes of life after which someone who comes back is told where things stand.
const AWAY_MINUTES: i64 = 4;

/// The live page of a job.
pub(crate) fn under(view: &JobView, flash: &Flash) -> Under {
    let state = &view.state;
    let figures = live(view);
    let looking = state.setting_level();
    let mut buttons: Vec<&Button> = view.prompt.acts.iter().filter(|act| !(looking && act.word == "look")).collect();
    let main = if buttons.is_empty() { None } else { Some(buttons.remove(0)) };
    let first_is_main = main.is_some() && view.prompt.acts.first().map(|act| act.word) == main.map(|act| act.word);
    let loud = matches!(view.prompt.urgency, Urgency::ActNow | Urgency::Stop) && first_is_main;
    let weight = if loud { Weight::Now } else { Weight::Main };
    let mut under = Under {
        job: view.job.clone(),
        sides: sides(view),
        side: view.prompt.circuit.as_deref().map_or_else(String::new, |id| state.sheet.circuit_name(id).to_owned()),
        engine: engine(view),
        watched: view.watched().to_owned(),
        sight: sight(view),
        aside: aside(view),
        nobody: match view.prompt.step {
            Some(StepKey::CycleSelector) => "NOBODY UNDERNEATH while ranges are engaged".to_owned(),
            _ => String::new(),
        },
        banners: banners(view, flash),
        caution: view.prompt.caution.as_deref().map(caution),
        act: main.map(|button| main_act(view, button, looking).weight(weight)),
        scale: (!view.live.ended).then(|| scale(view)),
        runoff: looking.then(|| runoff(view)),
        tape: tape_svg(view),
        section: section_svg(view),
        others: others(view, &buttons),
        log: log(view),
        live: figures,
    };
    give_back(&mut under, flash);
    under
}

/// The plugs, circuit by circuit.
fn sides(view: &JobView) -> Vec<Side> {
    let sheet = &view.state.sheet;
    let plugs =
        |id: &str| sheet.plugs.iter().filter(|plug| plug.circuit == id).map(|plug| plug_view(view, plug)).collect();
    let name = |id: &str| if sheet.further.is_empty() { String::new() } else { sheet.circuit_name(id).to_owned() };
    sheet.circuits().into_iter().map(|id| Side { circuit: name(id), plugs: plugs(id) }).collect()
}

/// Under its circuit's own heading a plug needs no more than "Fill plug".
fn own_name(view: &JobView, plug: &sheet::Plug) -> String {
    let sheet = &view.state.sheet;
    let circuit = if sheet.further.is_empty() { "" } else { sheet.circuit_name(&plug.circuit) };
    let rest = plug.name.get(..circuit.len()).filter(|start| start.eq_ignore_ascii_case(circuit));
    let own = rest.and_then(|start| plug.name.get(start.len()..)).map(str::trim_start).filter(|own| !own.is_empty());
    let mut letters = own.unwrap_or(&plug.name).chars();
    let first = letters.next().map_or_else(String::new, |first| first.to_uppercase().collect());
    short(&format!("{first}{}", letters.as_str()))
}

fn plug_view(view: &JobView, plug: &sheet::Plug) -> PlugView {
    let now = view.state.plug_state(&plug.id);
    let owed = plug.torque.is_some() && now.disturbed && now.torque_nm.is_none();
    let (shape, state) = match (now.out, now.proven && !now.disturbed) {
        (true, _) => (PlugShape::Out, "OUT"),
        (false, true) => (PlugShape::Proven, "PROVEN"),
        (false, false) => (PlugShape::In, "IN"),
    };
    let detail = match now.torque_nm {
        _ if view.state.stuck.as_deref() == Some(&plug.id) => "does not turn".to_owned(),
        Some(torque) => quantity::print::torque(torque, quantity::print::Units::Metric),
        None if owed => "torque owed".to_owned(),
        None => String::new(),
    };
    let out_s = now.opened_ms.filter(|_| now.out).map(|since| (view.now_ms - since) / 1000);
    PlugView { name: own_name(view, plug), shape, state: state.to_owned(), detail, out_s }
}

fn engine(view: &JobView) -> Engine {
    Engine {
        idling: view.state.idling_since_ms.is_some(),
        since_s: view.live.idling_s.filter(|_| !view.live.ended).and_then(seconds),
    }
}

/// The page that helps with this step: the ladder before a plug has turned, the label once fluid is out.
fn aside(view: &JobView) -> Option<(String, String)> {
    let job = &view.job;
    match view.prompt.step? {
        StepKey::ProveFill | StepKey::ProveLevel => {
            Some((format!("/job/{job}/stubborn"), "What to try before giving up".to_owned()))
        }
        StepKey::MeasureResidue | StepKey::CloseDrain if app::used_volume(&view.state).ml() > 0.0 => {
            Some((format!("/job/{job}/label"), "Label for the used fluid".to_owned()))
        }
        _ => None,
    }
}

/// A button of the prompt as a form.
fn act(view: &JobView, button: &Button) -> Act {
    let mut form = Act::new(&view.job, &app::new_id(), view.state.last_seq, button.word, &button.label);
    form.hold = button.hold;
    form.hidden = button.fixed.iter().map(|(name, value)| ((*name).to_owned(), value.clone())).collect();
    form.fields = button.asks.iter().map(|ask| field(button.word, ask)).collect();
    form
}

/// While fluid runs, closing is one press; torque and seal are asked for once the plug is in.
fn main_act(view: &JobView, button: &Button, looking: bool) -> Act {
    let mut form = act(view, button);
    if looking && button.word == "close" {
        form.fields.clear();
        "torque and seal come after".clone_into(&mut form.under);
    }
    form
}

/// Help where the question arises: act, field, words.
const HINTS: &[(&str, &str, &str)] = &[
    ("level-vehicle", "pitch", "along; nose up is plus"),
    ("level-vehicle", "roll", "across; right side up is plus"),
    ("drained", "volume", "jug on level ground"),
    ("drained", "at", "thermometer in the pan"),
    ("residue", "volume", "0 if it was not opened"),
    ("pour", "volume", "what really went in"),
    ("pour", "at", "of the fluid in the can"),
    ("run-off", "volume", "all since the level plug came out"),
    ("run-off", "at", "thermometer in the pan"),
    ("reading", "temperature", "of the unit’s fluid, not the coolant"),
    ("tighten", "torque", "where the wrench was set"),
];

fn field(word: &str, ask: &job::prompt::Ask) -> Field {
    if !ask.options.is_empty() {
        // A new seal is said by somebody, never by a form that was sent as it stood.
        let unsaid = (ask.field == "new_seal").then_some(("", "not said yet"));
        let given = ask.options.iter().map(|(value, label)| (*value, label.as_str()));
        let options: Vec<(&str, &str)> = unsaid.into_iter().chain(given).collect();
        return Field::choice(ask.field, &ask.label, &options);
    }
    let kind = if ask.unit.is_empty() { Input::Text } else { Input::Number };
    let mut field = Field::new(ask.field, &ask.label, kind).with(&ask.suggestion);
    field.unit = ask.unit.to_owned();
    field.hint = HINTS.iter().find(|(act, name, _)| *act == word && *name == ask.field).map_or("", |h| h.2).to_owned();
    // A plug goes in first and is tightened when the hand is free.
    field.required = !(word == "close" && ask.field == "torque");
    field
}

/// Acts that are always at hand.
fn others(view: &JobView, further: &[&Button]) -> Vec<OtherAct> {
    if view.live.ended {
        return Vec::new();
    }
    let new = |word: &str, label: &str| {
        Act::new(&view.job, &app::new_id(), view.state.last_seq, word, label).weight(Weight::Quiet)
    };
    let other = |title: &str, about: &str, act| OtherAct { title: title.into(), about: about.into(), act, open: false };
    let mut all: Vec<OtherAct> = further
        .iter()
        .filter(|button| button.word != "reading")
        .map(|button| other(&button.label, "", act(view, button).weight(Weight::Quiet)))
        .collect();
    let sources = [
        ("reader", "Reader"),
        ("probe", "Probe in the fluid"),
        ("infrared", "Infrared on the pan"),
        ("typed", "Other display"),
    ];
    let reading = new("reading", "Enter the reading")
        .field(Field::number("temperature", "Fluid temperature", "°C"))
        .field(Field::choice("source", "Read from", &sources));
    all.push(other("Take a reading", "and say what it was read from", reading));
    for (circuit, button) in job::prompt::at_hand(&view.state) {
        let (title, about) = at_hand_words(&button);
        let title = if circuit.is_empty() { title } else { format!("{title}, {}", circuit.to_lowercase()) };
        all.push(other(&title, about, act(view, &button).weight(Weight::Quiet)));
    }
    all.extend(pass(view).map(|act| other("Let time pass", "the demo’s clock goes on, and the vehicle with it", act)));
    let tilt = new("level-vehicle", "Enter the tilt")
        .field(Field::number("pitch", "Nose up", "°"))
        .field(Field::number("roll", "Right side up", "°"));
    all.push(other("Tilt", "the vehicle stands differently now", tilt));
    let engine = if view.state.idling_since_ms.is_some() {
        other("Engine off", "", new("stop-engine", "Engine is off").held())
    } else {
        other("Engine on", "", new("start-engine", "Engine is idling").held())
    };
    all.push(engine);
    all.push(other("Note", "", new("note", "Keep the note").field(Field::new("text", "Note", Input::Long))));
    all.push(other(
        "Camera",
        "mark its start: chapters count from there",
        super::film::camera(view).weight(Weight::Quiet),
    ));
    if let Some(last) = view.log.iter().rev().find(|line| correctable(line)) {
        let form = new("correct", "Withdraw it")
            .hidden("withdraw", "yes")
            .held()
            .field(Field::new("entry", "Entry", Input::Number).with(&last.seq.to_string()))
            .field(Field::new("because", "Why", Input::Text));
        all.push(other("Withdraw an entry", &format!("last: {} {}", last.seq, last.text), form));
    }
    let stop = new("stop", "Stop the job").held().field(Field::new("because", "Reason, printed", Input::Text));
    all.push(other("Stop the job", "it ends here, with a printed reason", stop));
    all
}

/// Title of an act that is always at hand, and what it is about.
fn at_hand_words(button: &Button) -> (String, &'static str) {
    let (title, about) = match button.word {
        "pour" => ("Pour", "fluid went in"),
        "run-off" => ("Caught at the level plug", "fluid ran off or was taken out"),
        "dip" if button.fixed.contains(&("mark", "cold".to_owned())) => ("Cold marks", "a first check"),
        "dip" | "probe" | "edge" | "readout" => ("Read the level", "as it stands now"),
        _ => (button.label.as_str(), ""),
    };
    (title.to_owned(), about)
}

fn correctable(line: &app::LogLine) -> bool {
    !line.corrected && !matches!(line.kind, "job-opened" | "entry-withdrawn" | "entry-replaced")
}

fn runoff(view: &JobView) -> RunoffView {
    let last = view.setting().and_then(|setting| setting.looks.last()).map(|look| look.flow);
    let verdict = match last {
        None => "Not looked at yet.",
        Some(job::entry::Flow::Stream) => "Surplus is running.",
        Some(job::entry::Flow::ThinStream) => "Surplus is nearly out.",
        Some(job::entry::Flow::Drops) => "Drops: the surplus is out.",
        Some(job::entry::Flow::Nothing) => "Nothing comes.",
    };
    let figures = [flow_words(&view.level), breaks_words(&view.level)].join(" ").trim().to_owned();
    let look = |flow: Flow, label: &str, now| LookView {
        flow,
        label: label.into(),
        last: last == Some(now),
        id: app::new_id(),
    };
    let drops = Act::new(&view.job, &app::new_id(), view.state.last_seq, "look", "Enter the count")
        .weight(Weight::Quiet)
        .hidden("flow", "drops")
        .field(Field { unit: "per min".to_owned(), ..Field::new("drops_per_min", "Drops", Input::Drops) });
    RunoffView {
        verdict: verdict.to_owned(),
        figures,
        as_left: as_left_words(&view.level),
        looks: vec![
            look(Flow::Stream, "stream", job::entry::Flow::Stream),
            look(Flow::ThinStream, "thin stream", job::entry::Flow::ThinStream),
            look(Flow::Drops, "drops", job::entry::Flow::Drops),
            look(Flow::Nothing, "nothing", job::entry::Flow::Nothing),
        ],
        action: format!("/job/{}/log", view.job),
        seq: view.state.last_seq,
        drops: Some(drops),
    }
}

/// What runs, and how much of it goes on for as long as it warms.
fn flow_words(level: &app::LevelNow) -> String {
    let flow = |x: Option<f64>| x.filter(|x| x.is_finite() && *x >= 0.5);
    match (flow(level.runoff_ml_per_min), flow(level.expansion_ml_per_min)) {
        (Some(runs), Some(swells)) if runs <= 1.5 * swells => {
            format!("About {runs:.0} mL/min, all of it expansion: it goes on for as long as it warms.")
        }
        (Some(runs), Some(swells)) => format!("About {runs:.0} mL/min, {swells:.0} of it only expansion."),
        (Some(runs), None) => format!("About {runs:.0} mL/min."),
        (None, Some(swells)) => format!("{swells:.0} mL/min would be expansion, not surplus."),
        (None, None) => String::new(),
    }
}

/// When the stream breaks to drops, and what that rests on.
fn breaks_words(level: &app::LevelNow) -> String {
    let Some([low, best, high]) = level.breaks_in_s else { return String::new() };
    let learnt = match level.learnt_from {
        0 => String::new(),
        1 => ", learnt from 1 job".to_owned(),
        jobs => format!(", learnt from {jobs} jobs"),
    };
    match best {
        _ if high < 0.0 => "It should have broken to drops by now.".to_owned(),
        best if best < 1.0 => "It may break to drops at any moment.".to_owned(),
        best => format!("Breaks to drops in about {best:.0} s ({:.0} to {high:.0} s{learnt}).", low.max(0.0)),
    }
}

/// "as left if closed now −20 ± 45 mL": expanded, k = 2, as on the proof sheet.
fn as_left_words(level: &app::LevelNow) -> String {
    let Some(error) = level.if_closed_ml else { return String::new() };
    let text = quantity::print::uncertain(error.value.ml(), 2.0 * error.u.ml(), "mL");
    format!("As left if closed now: {text}")
}

fn banner(kind: BannerKind, title: &str, code: &str, why: String, cure: String) -> Banner {
    Banner { kind, title: title.into(), code: code.into(), why, cure, anyway: None, link: None }
}

fn banners(view: &JobView, flash: &Flash) -> Vec<Banner> {
    let mut all = Vec::new();
    if let Some((_, why)) = &flash.wrong {
        all.push(banner(BannerKind::Refused, "NOT UNDERSTOOD", "words", why.clone(), String::new()));
    }
    match &flash.answer {
        Some(Answer::Refused { code, reason, cure, overridable, also }) => {
            let mut refused = banner(BannerKind::Refused, "NOT YET", code, reason.clone(), cure.clone());
            refused.anyway = overridable.then(|| anyway(view, flash, code, also));
            all.push(refused);
        }
        Some(Answer::Conflict { newer, .. }) => {
            let lines: Vec<String> = newer
                .iter()
                .map(|line| format!("{}, {}: {}.", stamp(line.at_ms, "%H:%M:%S"), line.by, line.text))
                .collect();
            let cure = "Your entry was not kept. This is the newer state: look once more, then enter again.".to_owned();
            all.push(banner(BannerKind::Conflict, "SOMEONE ELSE ENTERED", "conflict", lines.join(" "), cure));
        }
        _ => {}
    }
    all.extend(interrupted(view).filter(|_| flash.arrived));
    all.extend(view.meets.iter().map(meeting));
    if view.live.ended {
        let when = view.state.ended_ms.map_or_else(String::new, |ms| stamp(ms, "%Y-%m-%d %H:%M"));
        let mut over = banner(BannerKind::Over, &when, "", "The log takes no more entries.".to_owned(), String::new());
        over.link = Some(("To the outcome".to_owned(), format!("/job/{}/outcome", view.job)));
        all.push(over);
    }
    all
}

/// The refused command once more, with the gates it asks to pass and a typed reason.
fn anyway(view: &JobView, flash: &Flash, code: &str, also: &[String]) -> Act {
    let gates = std::iter::once(code).chain(also.iter().map(String::as_str)).collect::<Vec<_>>().join(",");
    let mut form = Act::new(&view.job, &app::new_id(), view.state.last_seq, &flash.word, "Do it anyway")
        .weight(Weight::Quiet)
        .held()
        .hidden("override", &gates)
        .field(Field::new("reason", "Reason, printed", Input::Text));
    form.hidden.extend(flash.entered.iter().map(|(name, value)| (name.clone(), value.clone())));
    form
}

/// Somebody was away while a plug was out or the engine ran.
fn interrupted(view: &JobView) -> Option<Banner> {
    let last = view.log.iter().rev().find(|line| line.kind != "reading-taken")?;
    let life_ms = ((view.now_ms - last.at_ms) as f64 / view.speed.max(0.1)) as i64;
    let minutes = life_ms / 60_000;
    let out: Vec<String> = view.live.plugs_out.iter().map(|(name, _)| out_words(name)).collect();
    if view.live.ended || minutes < AWAY_MINUTES || (out.is_empty() && view.state.idling_since_ms.is_none()) {
        return None;
    }
    let mut parts = out;
    parts.extend(view.state.idling_since_ms.map(|_| "Engine running".to_owned()));
    parts.extend(view.live.temperature_c.map(|t| format!("{t:.1} °C")));
    let title = format!("YOU STOPPED {minutes} MIN AGO");
    let cure = format!("Do this now: {}", view.live.verb);
    Some(banner(BannerKind::Interrupted, &title, "", format!("{}.", parts.join(". ")), cure))
}

/// What was entered stands in the form again when it was not accepted.
fn give_back(under: &mut Under, flash: &Flash) {
    if flash.word.is_empty() {
        return;
    }
    let same = |act: &Act| {
        act.verb == flash.word
            && act.hidden.iter().all(|(name, value)| flash.entered.get(name).is_none_or(|e| e == value))
    };
    let fill = |act: &mut Act| {
        for field in &mut act.fields {
            if let Some(value) = flash.entered.get(&field.name) {
                *field = field.clone().with(value);
            }
            if let Some((_, why)) = flash.wrong.as_ref().filter(|(name, _)| *name == field.name) {
                field.wrong.clone_from(why);
            }
        }
    };
    if let Some(main) = under.act.as_mut().filter(|act| same(act)) {
        fill(main);
        return;
    }
    if let Some(other) = under.others.iter_mut().find(|other| same(&other.act)) {
        fill(&mut other.act);
        other.open = true;
    }
}

/// Room and letter of the pictures, in CSS pixels.
const LETTER: f64 = 14.0;

/// The tape as SVG; empty before the first reading.
pub(crate) fn tape_svg(view: &JobView) -> String {
    let input = draw::TapeInput { fahrenheit: crate::choice::current().units.fahrenheit(), ..app::tape(view) };
    if input.readings.is_empty() {
        return String::new();
    }
    let about = "Fluid temperature against time, downward, with the window, the readings and the forecast";
    draw::svg(&draw::tape_in(&input, 372.0, 430.0, LETTER), "Tape", about)
}

/// A lip this high is drawn where the sheet does not say how long the standpipe is.
/// Free surface drawn where the family does not need it: the middle of the usual 0.02–0.2 m² (common practice, no source).
const DRAWN_AREA_M2: f64 = 0.08;
const LIP_DRAWN_MM: f64 = 40.0;

/// The section as SVG.
pub(crate) fn section_svg(view: &JobView) -> String {
    let (state, sheet) = (&view.state, &view.warmed().sheet);
    let plug = |plug: &sheet::Plug| {
        let at = plug.at?;
        let now = state.plug_state(&plug.id);
        let drawn = match (now.out, now.proven) {
            (true, _) => draw::PlugState::Out,
            (false, true) => draw::PlugState::Proven,
            (false, false) => draw::PlugState::In,
        };
        Some(draw::SectionPlug {
            label: own_name(view, plug),
            along_mm: at.along.mm(),
            up_mm: at.up.mm(),
            state: drawn,
        })
    };
    let input = draw::SectionInput {
        sump_area_m2: sheet.sump_area().map_or(DRAWN_AREA_M2, |area| area.mid().square_metres()),
        standpipe: sheet.standpipe().map(|pipe| draw::Standpipe {
            along_mm: pipe.offset_along.mid().mm(),
            lip_height_mm: pipe.length.as_ref().map_or(LIP_DRAWN_MM, |length| length.mid().mm()),
        }),
        plugs: sheet.plugs.iter().filter_map(plug).collect(),
        tilt_deg: state.tilt.map_or(0.0, |tilt| tilt.pitch_deg.degrees()),
        level_now_mm: view.level.now_mm,
        level_reference_mm: view.level.reference_mm,
        level_if_closed_mm: view.level.if_closed_mm,
        surplus_ml: view.level.surplus_ml,
        runoff_ml_per_min: view.level.runoff_ml_per_min,
        expansion_ml_per_min: view.level.expansion_ml_per_min,
        by_ledger: view.level.by_ledger,
        unknown: view.level.unknown.to_owned(),
    };
    let about = "Side view of the sump with its standpipe and plugs";
    draw::svg(&draw::section_in(&input, 372.0, 300.0, LETTER), "Section", about)
}
