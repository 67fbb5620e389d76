//! The error budget of a level as left, family by family, and what is said where there is none.

use physics::level::{self, Setting as LevelSetting};
use quantity::{Angle, Length, TemperatureDifference, Uncertain, Volume};
use sheet::Level;

use crate::outcome::{self, Part};
use crate::state::{LevelRead, Read, Setting, SettingVerdict, State};

/// What the drain leaves behind differs from one drain to the next by about this share of the whole fill: common
/// practice, no source.
const LEFT_BEHIND: f64 = 0.02;
/// Where a stick, probe or sensor meets the fluid when the sheet does not say: so far from the middle of the surface along
/// each axis (common practice, no source).
const SOMEWHERE: Length = Length::from_mm(100.0);
const TILT_SOMEWHERE: &str = "tilt; where it is read is not on the sheet";
/// A chart is printed and read to about half a millimetre: common practice, no source.
const CHART_DOUBT_MM: f64 = 0.5;

/// The charge error as left and what it is made of; no figure where nobody can know.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Budget {
    /// Positive is too much.
    pub error: Option<Uncertain<Volume>>,
    /// Largest first.
    pub parts: Vec<Part>,
    /// What to improve.
    pub advice: Vec<String>,
}

/// The budget of one circuit as it was judged last.
pub fn budget(state: &State, verdict: Option<SettingVerdict>) -> Budget {
    match &state.sheet.level {
        level if level.runs_off() => run_off(state, verdict),
        Level::VolumeOnly(_) => by_volume(state),
        Level::SameBack => Budget::default(),
        _ => super::read::standing(state).and_then(|read| of_reading(state, read)).unwrap_or_default(),
    }
}

fn run_off(state: &State, verdict: Option<SettingVerdict>) -> Budget {
    use SettingVerdict as V;
    let known = matches!(verdict, Some(V::Set | V::ClosedHot | V::ClosedCold | V::StillStreaming));
    let setting: Option<&Setting> = state.settings.last().filter(|setting| known && !setting.preset);
    let reference = state.sheet.window_mid();
    let Some(error) = setting.and_then(|setting| outcome::level_error(state, setting, reference, None)) else {
        return Budget::default();
    };
    Budget {
        error: Some(error.error),
        parts: error.parts.iter().map(outcome::part).collect(),
        advice: error.advice.iter().map(|advice| advice.text.clone()).collect(),
    }
}

/// A figure against its limits, the heat of the fluid, the tilt where the sheet says where the level shows, and what was
/// left out.
fn of_reading(state: &State, read: &LevelRead) -> Option<Budget> {
    let sheet = &state.sheet;
    // The chart counts at the temperature of that moment, not of the last reading before it.
    let heat_then = crate::closing::heat_at(state, read.at_ms).map(|heat| heat.temp);
    let read = &LevelRead { temp_c: heat_then.or(read.temp_c), ..read.clone() };
    let against = super::read::against(&sheet.level, read)?;
    let off = against.error()?;
    let part = |name, ml: f64, u_ml: f64| Part { name, ml, u_ml };
    let mut parts = vec![part("reading against the middle of its limits", off.value.ml(), off.u.ml())];
    if let Read::Probe { .. } = read.read {
        parts.push(part("chart read between its points", 0.0, against.worth.value.ml().abs() * CHART_DOUBT_MM));
    }
    parts.extend(tilt_somewhere(state, read));
    let thermal = heat(state, read)?;
    // How well a mark, an edge or a figure repeats is in the doubt of the reading.
    let own = |part: &&level::Part| part.name != level::REPEATABILITY;
    parts.extend(thermal.parts.iter().filter(own).map(outcome::part));
    let mut budget = Budget { parts, ..Budget::default() }.summed();
    budget.advice = thermal.advice.iter().map(|advice| advice.text.clone()).collect();
    Some(budget)
}

/// What does not hang on the figure: temperature, tilt, selector.
fn heat(state: &State, read: &LevelRead) -> Option<level::LevelError> {
    let sheet = &state.sheet;
    read.temp_c?;
    let carried = crate::closing::heat_at(state, read.at_ms)?;
    let at = carried.temp;
    // A chart is drawn for the temperature that was read; marks and holes are stated for the middle of their range.
    let reference = if matches!(read.read, Read::Probe { .. }) { at } else { sheet.window_mid() };
    let fluid = physics::expansion::Expansion::Density15(outcome::density15(sheet));
    let mut given = LevelSetting::new(sheet.capacity.total.mid(), at, reference, fluid);
    given.sensor_u =
        Some(TemperatureDifference::from_kelvin(libm::hypot(outcome::reading_doubt(read.source), carried.u.kelvin())));
    given.selector_cycled = read.cycled || sheet.selector.is_none();
    if let Some((lip, tilt)) = sheet.level.lip().zip(read.tilt) {
        given.sump_area = sheet.level.surface();
        given.tilt = Some(outcome::level_tilt(tilt, lip));
    }
    level::level_error(&given).ok()
}

/// What a tilt may do to a figure that is taken somewhere on the surface: e = A x tan θ with x of any sign.
fn tilt_somewhere(state: &State, read: &LevelRead) -> Option<Part> {
    let sheet = &state.sheet;
    let area = sheet.level.surface().filter(|_| sheet.level.lip().is_none())?;
    let slope = |angle: Angle| libm::tan(libm::hypot(angle.degrees(), outcome::TILT_DOUBT.degrees()).to_radians());
    let (along, across) = match read.tilt {
        Some(tilt) => (slope(tilt.pitch_deg), slope(tilt.roll_deg)),
        // Nobody looked: it stands anywhere within what the sheet allows.
        None => [1.0; 2].map(|_| libm::tan(sheet.tilt_limit().radians()) / 3f64.sqrt()).into(),
    };
    let ml_per_m = area.square_metres() * 1e6;
    Some(Part { name: TILT_SOMEWHERE, ml: 0.0, u_ml: ml_per_m * SOMEWHERE.metres() * libm::hypot(along, across) })
}

fn by_volume(state: &State) -> Budget {
    let Level::VolumeOnly(by) = &state.sheet.level else { return Budget::default() };
    let Some(off) = super::volume::off(state, by).filter(|_| !state.poured.is_empty()) else {
        return Budget::default();
    };
    let left = state.sheet.capacity.total.mid().ml() * LEFT_BEHIND;
    let parts = vec![
        Part { name: "poured against the stated volume", ml: off.value.ml(), u_ml: off.u.ml() },
        Part { name: "what the drain left behind", ml: 0.0, u_ml: left },
    ];
    Budget { parts, ..Budget::default() }.summed()
}

impl Budget {
    /// Parts largest first, and their sum: errors add, doubts add squared (JCGM 100:2008, 5.1.2).
    fn summed(mut self) -> Self {
        self.parts.sort_by(|a, b| libm::hypot(b.ml, b.u_ml).total_cmp(&libm::hypot(a.ml, a.u_ml)));
        let value: f64 = self.parts.iter().map(|part| part.ml).sum();
        let u = self.parts.iter().map(|part| part.u_ml * part.u_ml).sum::<f64>().sqrt();
        self.error = Some(Uncertain::new(Volume::from_ml(value), Volume::from_ml(u)));
        self
    }
}

/// How the level was left, in words.
pub fn left_words(state: &State, verdict: Option<SettingVerdict>, error: Option<Uncertain<Volume>>) -> String {
    use SettingVerdict as V;
    let sheet = &state.sheet;
    let known = |words: &str| if error.is_some() { words.to_owned() } else { format!("{words}; how far is not known") };
    match (verdict, &sheet.level) {
        (None, Level::SameBack) => "not known: not both drained and refilled on record".to_owned(),
        (Some(V::SameAsBefore), _) => same_words(state),
        (Some(V::TooLow | V::TooHigh), Level::SameBack) => format!("not as it was: {}", same_words(state)),
        (Some(V::Set), level) if level.is_read() => known(&format!("read inside its limits{}", figure_words(state))),
        (Some(V::TooLow), level) if level.is_read() => format!("read below its limits{}", figure_words(state)),
        (Some(V::TooHigh), level) if level.is_read() => format!("read above its limits{}", figure_words(state)),
        (Some(V::Unwitnessed), level) if level.is_read() => "read without a temperature: not known".to_owned(),
        (Some(V::Set), Level::VolumeOnly(by)) => format!("filled with the stated {}", by.refill.printed),
        (Some(_), Level::VolumeOnly(by)) => format!("not filled with the stated {}", by.refill.printed),
        (Some(V::Set), Level::SideHole(_)) if error.is_some() => "a trickle ran inside the window".to_owned(),
        (Some(V::TooLow), Level::SideHole(_)) => "it had stopped running: the level is below the hole".to_owned(),
        (Some(V::PresetOnly), _) => "only the cold preset was done: a safe minimum, not the level".to_owned(),
        (Some(V::Set), _) if error.is_some() => "level set inside the window, stream broken to drops".to_owned(),
        (Some(V::ClosedHot), _) => "closed above the window".to_owned(),
        (Some(V::ClosedCold), _) => "closed below the window".to_owned(),
        (Some(V::StillStreaming), _) => "closed while it still streamed".to_owned(),
        (Some(V::NothingCame), _) => "nothing ran off: the level is below the lip, nobody knows how far".to_owned(),
        (Some(V::Spoilt), _) => "the engine stopped while the level plug was out".to_owned(),
        (Some(V::Unwitnessed), _) => "no temperature or no look at the run-off on record".to_owned(),
        (Some(V::Open), _) => "the level plug is out".to_owned(),
        _ if sheet.level.is_read() => "not known: the level was not read, or fluid went in or out since".to_owned(),
        _ => "not known: the level was not set".to_owned(),
    }
}

fn figure_words(state: &State) -> String {
    let read = super::read::standing(state).and_then(|read| super::read::against(&state.sheet.level, read));
    read.map_or_else(String::new, |read| {
        let number = |value: f64| quantity::print::trimmed(value, 1);
        let (low, high) = (number(read.right.low), number(read.right.high));
        format!(": {} {}, {low} to {high} is right", number(read.figure), read.unit)
    })
}

fn same_words(state: &State) -> String {
    let change = super::volume::change(state).map_or_else(String::new, |change| {
        format!("{} against as found", quantity::print::uncertain(change.value.ml(), 2.0 * change.u.ml(), "mL"))
    });
    format!("{change}; right only if it was right before: nothing on this unit shows the level")
}

/// What the figures of a family rest on beyond what holds for all.
pub fn assumptions(state: &State) -> Vec<String> {
    let sheet = &state.sheet;
    let mut said: Vec<String> = match &sheet.level {
        level @ (Level::Dipstick(_) | Level::Probe(_) | Level::ElectronicReadout(_)) if level.lip().is_none() => {
            vec![match level.surface() {
                Some(_) => "Where the figure is taken is not on the sheet: tilt is in the budget as a doubt, 100 mm from the middle \
                            of the surface either way (common practice)."
                    .to_owned(),
                None => "Where the figure is taken is not on the sheet: tilt is not in the budget.".to_owned(),
            }]
        }
        Level::VolumeOnly(_) => {
            vec![
                "A drain leaves as much behind as the maker's did; 2 % of the fill doubted (common practice)."
                    .to_owned(),
            ]
        }
        Level::SameBack => vec!["The level was right before: nobody checked.".to_owned()],
        _ => Vec::new(),
    };
    if let Some(against) = super::read::standing(state).and_then(|read| super::read::against(&sheet.level, read)) {
        let half = against.latitude();
        if half.ml() >= 1.0 {
            said.push(format!(
                "Right is the middle of the limits; they allow {} either way.",
                quantity::print::amount(half.ml().round(), "mL")
            ));
        }
    }
    if let Some(left) = super::renew::old_left(state) {
        said.push(format!(
            "Old fluid left by the exchange, well mixed: {:.0} %; nobody can promise less.",
            left * 100.0
        ));
    }
    if let Some(late) = super::renew::rest_late_s(state) {
        said.push(format!("The second part went in {late:.0} s after starting: later than the sheet allows."));
    }
    said
}
