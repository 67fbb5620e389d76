//! The one word list for commands: the same words and fields on the command line, in a form, in a
//! scanner app's request and in a test's table.

use std::collections::BTreeMap;

use quantity::read::{self, Region};
use quantity::{Angle, Length, Span, Temperature, Volume};

use crate::command::Command;
use crate::entry::{Flow, How, Mark, Measure, Of, Source, Subject, When};

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
    word("drained", "what the drain or the tube brought", &["volume", "at"], &["how", "circuit"]),
    word("residue", "what came with filter and pan", &["volume", "at"], &["how", "circuit"]),
    word("pour", "fluid went in", &["volume", "at"], &["how", "circuit", "fluid"]),
    word("run-off", "what ran off or was taken out again", &["volume", "at"], &["how", "circuit"]),
    word("start-engine", "engine idling", &[], &[]),
    word("stop-engine", "engine off", &[], &[]),
    word("cycle-selector", "each range held, selector back", &["nobody_underneath"], &[]),
    word("reading", "a fluid temperature", &["temperature"], &["source"]),
    word("look", "how the run-off looks", &["flow"], &["drops_per_min"]),
    word("dip", "both sides of a dipstick, from its low mark", &["mark", "one_side", "other_side"], &["circuit"]),
    word("probe", "the wetted length of a probe", &["reading"], &["circuit"]),
    word("edge", "how the level stands at its hole", &["seen"], &["below", "circuit"]),
    word("readout", "the level figure that is shown", &["value"], &["circuit"]),
    word("weigh", "the can with its pump and hose", &["when", "mass", "at"], &["circuit"]),
    word("rest", "the fluid has rested", &[], &["circuit"]),
    word("line", "the cooler line is open or joined", &["state"], &["circuit"]),
    word("exchange", "a portion passed through the line", &["out", "out_at", "in", "in_at"], &["circuit", "fluid"]),
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
    for (name, value) in fields {
        fits(name, value)?;
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
        "drained" => Command::MeasureDrained(measure(fields, "volume", "at")?),
        "residue" => Command::MeasureResidue(measure(fields, "volume", "at")?),
        "pour" => Command::Pour(measure(fields, "volume", "at")?),
        "run-off" => Command::MeasureRunOff(measure(fields, "volume", "at")?),
        "dip" => Command::ReadDip {
            mark: choice(fields, "mark", MARKS)?.unwrap_or(Mark::Hot),
            one: millimetres(fields, "one_side")?,
            other: millimetres(fields, "other_side")?,
            of: of(fields),
        },
        "probe" => Command::ReadProbe { mm: millimetres(fields, "reading")?, of: of(fields) },
        "edge" => edge(fields)?,
        "readout" => Command::TakeReadout { value: number("value", &text(fields, "value"))?, of: of(fields) },
        "weigh" => Command::WeighCan {
            when: choice(fields, "when", WHENS)?.unwrap_or(When::Before),
            mass: read::mass_one(&text(fields, "mass")).map_err(|why| from_read("mass", &why))?,
            temp: temperature(fields, "at")?,
            of: of(fields),
        },
        "rest" => Command::Rest { of: of(fields) },
        "line" if choice(fields, "state", LINES)? == Some(true) => Command::OpenLine { of: of(fields) },
        "line" => Command::CloseLine { of: of(fields) },
        "exchange" => {
            Command::Exchange { out: measure(fields, "out", "out_at")?, fresh: measure(fields, "in", "in_at")? }
        }
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
/// Words for what a photo shows, and how a sentence goes on with it, in the order of [`Subject`].
pub const SUBJECTS: &[(&str, &str, Subject)] = &[
    ("plug", "a plug", Subject::Plug),
    ("old-fluid", "the old fluid", Subject::OldFluid),
    ("new-fluid", "the new fluid", Subject::NewFluid),
    ("other", "something else", Subject::Other),
];
/// Words for how run-off looks.
pub const FLOWS: &[(&str, Flow)] =
    &[("stream", Flow::Stream), ("thin-stream", Flow::ThinStream), ("drops", Flow::Drops), ("nothing", Flow::Nothing)];
/// Words for how a volume was found.
pub const HOWS: &[(&str, How)] = &[("jug", How::Jug), ("scale", How::Scale), ("estimate", How::Estimate)];
/// Words for the marks of a dipstick.
pub const MARKS: &[(&str, Mark)] = &[("hot", Mark::Hot), ("cold", Mark::Cold)];
/// Words for when a can is weighed.
pub const WHENS: &[(&str, When)] = &[("before", When::Before), ("after", When::After)];
/// Words for how the level stands at a hole, with whether it runs over.
pub const EDGES: &[(&str, bool)] = &[("runs", true), ("below", false)];
const LINES: &[(&str, bool)] = &[("open", true), ("joined", false)];
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

/// Most letters of a note, and of any other field: what is said at a vehicle, not a book.
pub const LONGEST_NOTE: usize = 2000;
pub const LONGEST_FIELD: usize = 300;

/// A field that is no longer than what is kept, and holds nothing but text.
fn fits(name: &str, value: &str) -> Result<(), WordsError> {
    let most = if name == "text" { LONGEST_NOTE } else { LONGEST_FIELD };
    let letters = value.chars().count();
    if letters > most {
        let what = format!("“{name}” has {letters} letters; up to {most} are kept");
        return Err(error(name, what, "Say it shorter, or in several entries.".to_owned()));
    }
    if let Some(bad) = value.chars().find(|letter| letter.is_control() && !matches!(letter, '\n' | '\r' | '\t')) {
        let what = format!("“{name}” holds the control character U+{:04X}", u32::from(bad));
        return Err(error(name, what, "Type it again, without it.".to_owned()));
    }
    Ok(())
}

/// The circuit a command names, if any.
fn of(fields: &Fields) -> Of {
    Of { circuit: get(fields, "circuit").map(str::to_owned) }
}

/// A height from a mark: a length with its unit or a plain number of mm, below the mark with a minus.
fn millimetres(fields: &Fields, name: &str) -> Result<Length, WordsError> {
    let given = text(fields, name);
    let (sign, bare) = match given.strip_prefix(['-', '−', '–']) {
        Some(rest) => (-1.0, rest.trim()),
        None => (1.0, given.as_str()),
    };
    let length = match number(name, bare) {
        Ok(mm) if !bare.starts_with(['-', '+']) => Length::from_mm(mm),
        _ => read::length_one(bare).map_err(|why| from_read(name, &why))?,
    };
    Ok(length * sign)
}

fn edge(fields: &Fields) -> Result<Command, WordsError> {
    let runs = choice(fields, "seen", EDGES)?.unwrap_or(false);
    let below = match get(fields, "below") {
        Some(_) if !runs => millimetres(fields, "below")?,
        None if !runs => {
            let hint = "below=4 mm, felt with a finger or a bent wire; or seen=runs".to_owned();
            return Err(error("below", "“below” is missing: how far under the edge".to_owned(), hint));
        }
        _ => Length::from_mm(0.0),
    };
    Ok(Command::SeeEdge { below, runs, of: of(fields) })
}

/// A volume such as “4.3 L”, or “4.3 ± 0.05 L” with its half-width (rectangular, so ÷√3), and its temperature.
fn measure(fields: &Fields, volume: &str, at: &str) -> Result<Measure, WordsError> {
    let typed = text(fields, volume);
    let span: Span<Volume> = read::volume(&typed).map_err(|why| from_read(volume, &why))?;
    let how = choice(fields, "how", HOWS)?.unwrap_or(How::Jug);
    let volume_ml = (span.low + span.high) * 0.5;
    let half = (span.high - span.low) * 0.5;
    let u_ml = if half.ml() > 0.0 { half / 3f64.sqrt() } else { usual_doubt(volume_ml, how) };
    let named = |name| get(fields, name).map(str::to_owned);
    let temp_c = temperature(fields, at)?;
    Ok(Measure { volume_ml, u_ml, temp_c, how, typed, circuit: named("circuit"), fluid: named("fluid") })
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

pub use crate::sentence::sentence;
