//! What a reader may choose on this device.

use askama::Template;

use super::Shell;

/// One of a few, as a row of buttons.
#[derive(Clone, Debug, PartialEq)]
pub struct PickOf {
    pub value: String,
    pub label: String,
    pub chosen: bool,
}

/// One choice.
#[derive(Clone, Debug, PartialEq)]
pub struct Pick {
    pub name: String,
    pub label: String,
    pub of: Vec<PickOf>,
}

/// The settings page.
#[derive(Clone, Debug, PartialEq, Template)]
#[template(path = "settings.html")]
pub struct SettingsView {
    pub shell: Shell,
    pub picks: Vec<Pick>,
    /// Pixels to the millimetre, as set; empty for the device's usual.
    pub mm: String,
    pub least: String,
    pub most: String,
    pub workshop: String,
    /// Version of the program.
    pub model: String,
}
