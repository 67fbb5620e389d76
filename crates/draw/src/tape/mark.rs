//! The marks of readings: one shape for each source, so that they can be told apart without colour.

use super::{Face, Source, TapeInput, scale::Scale};
use crate::picture::{Pattern, Picture, Role};

pub(super) const SOURCES: [Source; 5] =
    [Source::Typed, Source::Reader, Source::Probe, Source::Infrared, Source::Simulated];

/// What a source is called in the key.
pub(super) fn word(source: Source) -> &'static str {
    match source {
        Source::Typed => "typed",
        Source::Reader => "reader",
        Source::Probe => "probe",
        Source::Infrared => "infrared",
        Source::Simulated => "simulated",
    }
}

/// Readings in order of time. Of many close together only as many are marked as can be told apart; the last always is.
pub(super) fn readings(picture: &mut Picture, input: &TapeInput, face: &Face, scale: &Scale) {
    let mut all: Vec<_> = input.readings.iter().filter(|r| scale.shows(r.t_s)).collect();
    all.sort_by(|a, b| a.t_s.total_cmp(&b.t_s));
    let apart = 0.75 * face.letter;
    let mut last: Option<((f64, f64), Source)> = None;
    for (i, reading) in all.iter().enumerate() {
        let at = (scale.x(reading.temp_c), scale.y(reading.t_s));
        let close = last
            .is_some_and(|(p, source)| source == reading.source && (p.0 - at.0).abs().max((p.1 - at.1).abs()) < apart);
        if close && i + 1 < all.len() {
            continue;
        }
        last = Some((at, reading.source));
        if scale.shows_c(reading.temp_c) {
            mark(picture, reading.source, at, 0.36 * face.letter);
        } else {
            off_scale(picture, at, reading.temp_c > 0.0, 0.5 * face.letter);
        }
    }
}

/// An arrow head that points off the edge of the scale.
fn off_scale(picture: &mut Picture, at: (f64, f64), rightward: bool, r: f64) {
    let (role, inward) = if rightward { (Role::Hot, -r) } else { (Role::Cold, r) };
    picture.area(&[at, (at.0 + inward, at.1 - r * 0.7), (at.0 + inward, at.1 + r * 0.7)], role, Pattern::Solid);
}

/// One mark around a point.
pub(super) fn mark(picture: &mut Picture, source: Source, at: (f64, f64), r: f64) {
    let (x, y) = at;
    let pen = 0.4 * r;
    match source {
        Source::Typed => {
            let d = 0.85 * r;
            picture.line(&[(x - d, y - d), (x + d, y + d)], Role::Ink, pen * 1.1);
            picture.line(&[(x - d, y + d), (x + d, y - d)], Role::Ink, pen * 1.1);
        }
        Source::Reader => {
            picture.area(&[(x, y - r), (x + r, y), (x, y + r), (x - r, y)], Role::Ink, Pattern::Solid);
        }
        Source::Probe => picture.area(&round((x, y), 0.85 * r), Role::Ink, Pattern::Solid),
        Source::Infrared => hollow(picture, &[(x, y - r), (x + r, y + 0.8 * r), (x - r, y + 0.8 * r)], pen),
        Source::Simulated => {
            let d = 0.8 * r;
            hollow(picture, &[(x - d, y - d), (x + d, y - d), (x + d, y + d), (x - d, y + d)], pen);
        }
    }
}

fn hollow(picture: &mut Picture, outline: &[(f64, f64)], pen: f64) {
    picture.area(outline, Role::Ground, Pattern::Solid);
    picture.outline(outline, Role::Ink, pen);
}

/// A circle as a closed outline of twelve sides: at this size the eye sees no corner.
fn round(centre: (f64, f64), r: f64) -> Vec<(f64, f64)> {
    // cos of 0°, 30°, 60°, 90°: tabled so that no machine rounds them otherwise.
    const COS: [f64; 12] = [1.0, H3, 0.5, 0.0, -0.5, -H3, -1.0, -H3, -0.5, 0.0, 0.5, H3];
    const H3: f64 = 0.866_025_403_784_438_6;
    (0..12).map(|i| (centre.0 + r * COS[i], centre.1 + r * COS[(i + 9) % 12])).collect()
}
