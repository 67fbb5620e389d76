//! The fluid: below the lip a tone, above it hatching, and the surfaces as lines.

use super::{Place, SectionInput};
use crate::hatch::cut;
use crate::picture::{Hand, Pattern, Picture, Role, rectangle};
use crate::text::wrap;

pub(super) fn fluid(picture: &mut Picture, input: &SectionInput, place: &Place) {
    let inside = rectangle(place.left, place.top, place.right, place.floor);
    let Some(now) = input.level_now_mm.or(input.level_reference_mm) else {
        let hand = Hand::new(place.letter, Role::Faint).middle().halo();
        let why = if input.unknown.is_empty() { "level not known yet" } else { &input.unknown };
        let lines = wrap(why, place.letter, false, (place.right - place.left) * 0.9, 4);
        for (i, line) in lines.iter().enumerate() {
            let y = place.top + (1.4 + 1.2 * i as f64) * place.letter;
            picture.words((place.left + place.right) / 2.0, y, hand, line);
        }
        return;
    };
    let wet = cut(&inside, |p| p.1 - place.surface(now, p.0));
    let below_lip = cut(&wet, |p| p.1 - place.surface(0.0, p.0));
    picture.area(&below_lip, Role::FluidNew, Pattern::Tone);
    let above_lip = cut(&wet, |p| place.surface(0.0, p.0) - p.1);
    if now > 0.0 {
        picture.area(&above_lip, Role::Surplus, Pattern::Tone);
        picture.area(&above_lip, Role::Surplus, Pattern::Hatch { angle_deg: 135.0, spacing: 0.45 * place.letter });
    }
    surface(picture, place, 0.0, Role::Ink, false);
    if let Some(level) = input.level_reference_mm {
        surface(picture, place, level, Role::FluidNew, false);
    }
    if let Some(level) = input.level_if_closed_mm {
        surface(picture, place, level, Role::Forecast, false);
    }
    let solid = input.level_now_mm.is_some() && !input.by_ledger;
    surface(picture, place, now, if now > 0.0 { Role::Surplus } else { Role::FluidNew }, solid);
}

fn surface(picture: &mut Picture, place: &Place, level_mm: f64, role: Role, solid: bool) {
    let line = [place.left, place.right].map(|x| (x, place.surface_inside(level_mm, x)));
    if solid {
        picture.line(&line, role, 0.18 * place.letter);
    } else {
        picture.dashes(&line, role, 0.1 * place.letter);
    }
}
