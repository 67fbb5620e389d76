//! What a reader may choose on this device.

use app::Workshop;

use super::shell;
use crate::choice::Choices;
use crate::view::{Page, Pick, PickOf, SettingsView, Theme};

/// The settings as they are on this device.
pub(crate) fn settings(workshop: &Workshop, theme: Theme, choices: Choices) -> SettingsView {
    let themes = [
        (Theme::Device, "as the device"),
        (Theme::Dark, "dark, under the vehicle"),
        (Theme::White, "white, in the sun"),
    ];
    let mut picks = vec![Pick {
        name: "theme".to_owned(),
        label: "Theme".to_owned(),
        of: themes
            .iter()
            .map(|(t, label)| PickOf { value: t.word().to_owned(), label: (*label).to_owned(), chosen: *t == theme })
            .collect(),
    }];
    picks.extend(choices.units.chosen().map(|(kind, at)| {
        Pick {
            name: kind.name.to_owned(),
            label: kind.label.to_owned(),
            of: kind
                .units
                .iter()
                .enumerate()
                .map(|(i, unit)| PickOf {
                    value: crate::choice::word(unit),
                    label: (*unit).to_owned(),
                    chosen: i == at,
                })
                .collect(),
        }
    }));
    let (least, most) = crate::route::bounds();
    SettingsView {
        shell: shell(workshop, theme, Page::Settings, "Settings", "/settings"),
        picks,
        mm: choices.mm_text().unwrap_or_default(),
        least,
        most,
        workshop: workshop.name.clone(),
        model: app::MODEL_VERSION.to_owned(),
    }
}
