//! The one word list for commands: the same words and fields on the command line, in a form, in a
//! scanner app's request and in a test's table.

use std::collections::BTreeMap;

use quantity::read::{self, Region};
use quantity::{Angle, Span, Temperature, Volume};

use crate::command::Command;
use crate::entry::{Flow, How, Measure, Source};

/// A command as words: what to do, and named fields as a person writes them.
pub type Fields = BTreeMap<String, String>;

/// Why words are no command.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{what}")]
pub struct WordsError {
    /// Which field, empty when it is the word itself.
    pub field: String,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub hint: String,
}

/// One row of the word list: it gives the check, the help text and the completion.
pub struct Word {
    /// The word.
    pub word: &'static str,
    /// What it does, for the help text.
    pub does: &'static str,
    /// Fields that must be there.
    pub needs: &'static [&'static str],
    /// Fields that may be there.
    pub may: &'static [&'static str],
}

/// Every command word.
pub const WORDS: &[Word] = &[
    word("level-vehicle", "how level the vehicle stands", &["pitch", "roll"], &[]),
    word("prove", "a plug was shown to turn, or does not", &["plug"], &["turned"]),
    word("open", "a plug is out", &["plug"], &[]),
    word("close", "a plug is in", &["plug"], &["torque", "new_seal"]),
    word("tighten", "the torque of a plug", &["plug", "torque"], &[]),
    word("seal", "a plug got a new seal", &["plug"], &[]),
    word("drained", "what the drain brought", &["volume", "at"], &["how"]),
    word("residue", "what came with filter and pan", &["volume", "at"], &["how"]),
    word("pour", "fluid went in", &["volume", "at"], &["how"]),
    word("run-off", "what ran off at the level plug", &["volume", "at"], &["how"]),
    word("start-engine", "engine idling", &[], &[]),
    word("stop-engine", "engine off", &[], &[]),
    word("cycle-selector", "each range held, selector back", &["nobody_underneath"], &[]),
    word("reading", "a fluid temperature", &["temperature"], &["source"]),
    word("look", "how the run-off looks", &["flow"], &["drops_per_min"]),
    word("leak-check", "dry or leaking", &["result"], &[]),
    word("road-test", "the vehicle was driven", &[], &[]),
    word("note", "a remark", &["text"], &[]),
    word("camera", "the camera was started", &[], &[]),
    word("tick", "something on the bench list is ready", &["item"], &["ready"]),
    word("correct", "withdraw or replace an earlier entry", &["entry", "because"], &["withdraw", "as"]),
    word("finish", "the job is done", &[], &[]),
    word("stop", "the job ends early", &["because"], &[]),
];

const fn word(
    word: &'static str,
    does: &'static str,
    needs: &'static [&'static str],
    may: &'static [&'static str],
) -> Word {
    Word { word, does, needs, may }
}

/// Reads words into a command.
///
/// # Errors
/// [`WordsError`] naming the field, what is wrong with it, and what to write instead.
pub fn command(what: &str, fields: &Fields) -> Result<Command, WordsError> {
    let Some(row) = WORDS.iter().find(|row| row.word == what) else {
        let known: Vec<_> = WORDS.iter().map(|row| row.word).collect();
        return Err(error("", format!("“{what}” is no command of a job"), format!("one of: {}", known.join(", "))));
    };
    if let Some(missing) = row.needs.iter().find(|field| get(fields, field).is_none()) {
        let hint = format!("{what} needs: {}", row.needs.join(", "));
        return Err(error(missing, format!("“{missing}” is missing"), hint));
    }
    let command = match row.word {
        "level-vehicle" => Command::LevelVehicle { pitch: angle(fields, "pitch")?, roll: angle(fields, "roll")? },
        "prove" => Command::ProvePlug { plug: text(fields, "plug"), turned: yes_no(fields, "turned")?.unwrap_or(true) },
        "open" => Command::OpenPlug { plug: text(fields, "plug") },
        "close" => Command::ClosePlug {
            plug: text(fields, "plug"),
            torque: get(fields, "torque").map(torque).transpose()?,
            new_seal: yes_no(fields, "new_seal")?,
        },
        "tighten" => Command::TightenPlug { plug: text(fields, "plug"), torque: torque(&text(fields, "torque"))? },
        "seal" => Command::ConfirmSeal { plug: text(fields, "plug") },
        "drained" => Command::MeasureDrained(measure(fields)?),
        "residue" => Command::MeasureResidue(measure(fields)?),
        "pour" => Command::Pour(measure(fields)?),
        "run-off" => Command::MeasureRunOff(measure(fields)?),
        "start-engine" => Command::StartEngine,
        "stop-engine" => Command::StopEngine,
        "cycle-selector" => {
            Command::CycleSelector { nobody_underneath: yes_no(fields, "nobody_underneath")?.unwrap_or(false) }
        }
        "reading" => Command::TakeReading {
            temp: temperature(fields, "temperature")?,
            source: choice(fields, "source", SOURCES)?.unwrap_or(Source::Typed),
        },
        "look" => Command::Look {
            flow: choice(fields, "flow", FLOWS)?.unwrap_or(Flow::Nothing),
            drops_per_min: get(fields, "drops_per_min").map(|given| number("drops_per_min", given)).transpose()?,
        },
        "leak-check" => Command::CheckLeaks { dry: choice(fields, "result", LEAKS)?.unwrap_or(false) },
        "road-test" => Command::RoadTest,
        "note" => Command::Note { text: text(fields, "text") },
        "camera" => Command::StartCamera,
        "tick" => Command::TickBench { item: text(fields, "item"), ready: yes_no(fields, "ready")?.unwrap_or(true) },
        "correct" => correction(fields)?,
        "finish" => Command::Finish,
        "stop" => Command::Stop { reason: text(fields, "because") },
        other => return Err(error("", format!("“{other}” cannot be carried out"), String::new())),
    };
    Ok(command)
}

/// Words for a temperature's source.
pub const SOURCES: &[(&str, Source)] = &[
    ("typed", Source::Typed),
    ("reader", Source::Reader),
    ("probe", Source::Probe),
    ("infrared", Source::Infrared),
    ("simulated", Source::Simulated),
];
/// Words for how run-off looks.
pub const FLOWS: &[(&str, Flow)] =
    &[("stream", Flow::Stream), ("thin-stream", Flow::ThinStream), ("drops", Flow::Drops), ("nothing", Flow::Nothing)];
/// Words for how a volume was found.
pub const HOWS: &[(&str, How)] = &[("jug", How::Jug), ("scale", How::Scale), ("estimate", How::Estimate)];
const LEAKS: &[(&str, bool)] = &[("dry", true), ("leak", false)];

fn error(field: &str, what: String, hint: String) -> WordsError {
    WordsError { field: field.to_owned(), what, hint }
}

fn get<'a>(fields: &'a Fields, name: &str) -> Option<&'a str> {
    fields.get(name).map(|value| value.trim()).filter(|value| !value.is_empty())
}

fn text(fields: &Fields, name: &str) -> String {
    get(fields, name).unwrap_or_default().to_owned()
}

fn yes_no(fields: &Fields, name: &str) -> Result<Option<bool>, WordsError> {
    choice(fields, name, &[("yes", true), ("no", false), ("true", true), ("false", false), ("on", true)])
}

fn choice<T: Copy>(fields: &Fields, name: &str, table: &[(&str, T)]) -> Result<Option<T>, WordsError> {
    let Some(given) = get(fields, name) else { return Ok(None) };
    match table.iter().find(|(word, _)| *word == given) {
        Some((_, value)) => Ok(Some(*value)),
        None => {
            let known: Vec<_> = table.iter().map(|(word, _)| *word).collect();
            Err(error(name, format!("“{given}” is no {name}"), format!("one of: {}", known.join(", "))))
        }
    }
}

fn number(name: &str, given: &str) -> Result<f64, WordsError> {
    match given.replace(',', ".").parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(error(name, format!("“{given}” is no number"), format!("give {name} as a plain number"))),
    }
}

fn from_read(name: &str, why: &read::ReadError) -> WordsError {
    error(name, format!("{name}: {why}"), why.hint().to_owned())
}

fn temperature(fields: &Fields, name: &str) -> Result<Temperature, WordsError> {
    read::temperature_one(&text(fields, name)).map_err(|why| from_read(name, &why))
}

fn angle(fields: &Fields, name: &str) -> Result<Angle, WordsError> {
    read::angle_one(&text(fields, name)).map_err(|why| from_read(name, &why))
}

fn torque(given: &str) -> Result<quantity::Torque, WordsError> {
    read::torque_one(given).map_err(|why| from_read("torque", &why))
}

/// Doubt of a volume when none was typed: common practice, no source. A jug is read to about 1 %, never
/// better than 20 mL; a scale to 5 mL; an estimate to 15 %, never better than 50 mL.
fn usual_doubt(volume: Volume, how: How) -> Volume {
    let part = |share: f64, least: f64| (volume * share).max(Volume::from_ml(least));
    match how {
        How::Jug => part(0.01, 20.0),
        How::Scale => part(0.001, 5.0),
        How::Estimate => part(0.15, 50.0),
    }
}

/// A volume such as “4.3 L”, or “4.3 ± 0.05 L” with its half-width (rectangular, so ÷√3), and its temperature.
fn measure(fields: &Fields) -> Result<Measure, WordsError> {
    let typed = text(fields, "volume");
    let span: Span<Volume> = read::volume(&typed).map_err(|why| from_read("volume", &why))?;
    let how = choice(fields, "how", HOWS)?.unwrap_or(How::Jug);
    let volume_ml = (span.low + span.high) * 0.5;
    let half = (span.high - span.low) * 0.5;
    let u_ml = if half.ml() > 0.0 { half / 3f64.sqrt() } else { usual_doubt(volume_ml, how) };
    Ok(Measure { volume_ml, u_ml, temp_c: temperature(fields, "at")?, how, typed })
}

fn correction(fields: &Fields) -> Result<Command, WordsError> {
    let given = text(fields, "entry");
    let entry = given
        .parse::<u64>()
        .map_err(|_| error("entry", format!("“{given}” is no entry number"), "the log shows it".to_owned()))?;
    let reason = text(fields, "because");
    if yes_no(fields, "withdraw")? == Some(true) {
        return Ok(Command::Withdraw { entry, reason });
    }
    match get(fields, "as") {
        Some("correct") | None => Err(error(
            "as",
            "a correction either withdraws the entry or says what it should have been".to_owned(),
            "give withdraw=yes, or as=WORD with that word's fields".to_owned(),
        )),
        Some(what) => Ok(Command::Replace { entry, with: Box::new(command(what, fields)?), reason }),
    }
}

/// The region assumed for an unnamed gallon or quart.
pub const REGION: Region = Region::Us;

/// One entry as a sentence for the log that people read.
pub fn sentence(fact: &crate::entry::Fact, sheet: &sheet::Sheet) -> String {
    use crate::entry::Fact as F;
    let name = |id: &str| sheet.plug(id).map_or_else(|| id.to_owned(), |plug| plug.name.clone());
    let amount =
        |m: &Measure| format!("{:.2} ± {:.2} L at {:.0} °C", m.volume_ml.litres(), m.u_ml.litres(), m.temp_c.celsius());
    let word = |table: &[(&'static str, Flow)], flow: Flow| {
        table.iter().find(|(_, value)| *value == flow).map_or("", |(word, _)| word).replace('-', " ")
    };
    match fact {
        F::JobOpened(opening) => format!("Job opened: {}, {}", opening.vehicle, sheet.name),
        F::VehicleLevelled { pitch_deg, roll_deg } => {
            format!("Tilt: nose up {:.1}°, right side up {:.1}°", pitch_deg.degrees(), roll_deg.degrees())
        }
        F::PlugProven { plug } => format!("{} turns", name(plug)),
        F::PlugStuck { plug } => format!("{} does not turn", name(plug)),
        F::PlugOpened { plug, .. } => format!("{} out", name(plug)),
        F::PlugClosed { plug, torque_nm, new_seal } => {
            let torque = torque_nm.map_or_else(String::new, |torque| format!(", {:.1} N·m", torque.nm()));
            let seal = if *new_seal == Some(true) { ", new seal" } else { "" };
            format!("{} in{torque}{seal}", name(plug))
        }
        F::PlugTightened { plug, torque_nm } => format!("{} tightened, {:.1} N·m", name(plug), torque_nm.nm()),
        F::SealConfirmed { plug } => format!("{}: new seal", name(plug)),
        F::FluidDrained(m) => format!("Drained {}", amount(m)),
        F::ResidueMeasured(m) => format!("Filter and pan held {}", amount(m)),
        F::FluidPoured(m) => format!("Poured {}", amount(m)),
        F::RunOffMeasured(m) => format!("Ran off {}", amount(m)),
        F::EngineStarted => "Engine idling".to_owned(),
        F::EngineStopped => "Engine off".to_owned(),
        F::SelectorCycled => "Selector cycled, nobody underneath".to_owned(),
        F::ReadingTaken { temp_c, .. } => format!("{:.1} °C", temp_c.celsius()),
        F::RunOffSeen { flow, drops_per_min } => {
            let rate = drops_per_min.map_or_else(String::new, |rate| format!(", {rate:.0} a minute"));
            format!("Run-off: {}{rate}", word(FLOWS, *flow))
        }
        F::LeaksChecked { dry: true } => "Leak check: all dry".to_owned(),
        F::LeaksChecked { dry: false } => "Leak check: it leaks".to_owned(),
        F::RoadTested => "Road test driven".to_owned(),
        F::NoteWritten { text } => format!("Note: {text}"),
        F::CameraStarted => "Camera started".to_owned(),
        F::BenchTicked { item, ready } => {
            let what = crate::bench::keys(sheet).into_iter().find(|(key, _)| key == item);
            let what = what.map_or_else(|| item.clone(), |(_, what)| what);
            format!("On the bench{}: {what}", if *ready { "" } else { " no more" })
        }
        F::EntryWithdrawn { entry, reason } => format!("Entry {entry} withdrawn: {reason}"),
        F::EntryReplaced { entry, with, reason } => {
            format!("Entry {entry} corrected to “{}”: {reason}", sentence(with, sheet))
        }
        F::JobFinished => "Job finished".to_owned(),
        F::JobStopped { reason } => format!("Job stopped: {reason}"),
    }
}
