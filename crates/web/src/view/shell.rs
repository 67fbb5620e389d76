//! What every page carries: title, theme, demo band, the job it belongs to.

use crate::assets;

/// Which ink and paper; `Device` follows the device's own setting.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    #[default]
    Device,
    /// For under the vehicle.
    Dark,
    /// For sunlight.
    White,
}

impl Theme {
    /// Reads the form field or cookie value; anything unknown is the device's own setting.
    #[must_use]
    pub fn from_word(word: &str) -> Self {
        match word {
            "dark" => Self::Dark,
            "white" => Self::White,
            _ => Self::Device,
        }
    }

    /// The word in the cookie, in the form and in the page.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Device => "device",
            Self::Dark => "dark",
            Self::White => "white",
        }
    }
}

/// Which page this is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    Floor,
    Decide,
    Sheets,
    /// One sheet in the editor.
    Sheet,
    Prepare,
    Under,
    Outcome,
    Settings,
    Film,
    Photos,
    Other,
}

impl Page {
    /// Class on the page's body.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Floor => "floor",
            Self::Decide => "decide",
            Self::Sheets => "sheets",
            Self::Sheet => "sheets one",
            Self::Prepare => "prepare",
            Self::Under => "under",
            Self::Outcome => "outcome",
            Self::Settings => "settings",
            Self::Film => "film",
            Self::Photos => "photo",
            Self::Other => "other",
        }
    }
}

/// An invented workshop is being shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Demo {
    /// How many times faster than life the clock runs, as written: "20".
    pub speed: String,
}

impl Demo {
    /// How fast its clock runs, in words.
    #[must_use]
    pub fn pace(&self) -> String {
        if self.speed == "1" { "as fast as life".to_owned() } else { format!("{}× faster than life", self.speed) }
    }
}

/// The job a page belongs to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JobHead {
    /// As in the address.
    pub id: String,
    pub unit: String,
    pub vehicle: String,
    /// Cells of the title block at the foot: (what, value).
    pub block: Vec<(String, String)>,
    /// "LEVEL PLUG OUT" with the seconds since: on every page of the job, and nothing takes it away but the plug.
    pub out: Vec<(String, i64)>,
    /// Whether the job is over (finished or stopped).
    pub over: bool,
}

/// What every page carries.
#[derive(Clone, Debug, PartialEq)]
pub struct Shell {
    pub title: String,
    pub page: Page,
    pub theme: Theme,
    pub demo: Option<Demo>,
    pub job: Option<JobHead>,
    /// The address of this page, for the way back from the theme switch.
    pub here: String,
}

impl Shell {
    /// Title of the browser's tab; a demo says so first.
    #[must_use]
    pub fn tab_title(&self) -> String {
        let demo = if self.demo.is_some() { "DEMO · " } else { "" };
        format!("{demo}{} · sumpwright", self.title)
    }

    /// The theme the switch leads to; from the device's own setting it leads to dark.
    #[must_use]
    pub fn other_theme(&self) -> Theme {
        if self.theme == Theme::Dark { Theme::White } else { Theme::Dark }
    }

    /// Address of the style, with the hash of its content.
    #[must_use]
    pub fn style(&self) -> &'static str {
        assets::style_address()
    }

    /// Address of the style that says how long a millimetre is here, if that was set.
    #[must_use]
    pub fn size(&self) -> Option<String> {
        crate::choice::current().mm_text().map(|mm| format!("/static/size.css?mm={mm}"))
    }

    /// Address of the script, with the hash of its content.
    #[must_use]
    pub fn script(&self) -> &'static str {
        assets::script_address()
    }
}
