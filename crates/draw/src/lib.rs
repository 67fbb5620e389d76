//! The three pictures of a job as a small display list, written as SVG for the page and as vectors for paper.
//!
//! Must never know: what a job, a sheet or a page is, what time it is, or what colour anything has. It is handed numbers
//! and words and gives back lines, bands, hatching and text whose *roles* the page or the paper turns into ink.

mod hatch;
mod label;
mod picture;
mod renewal;
mod section;
mod svg;
mod tape;
mod text;

pub use hatch::{Stroke, hatch_strokes};
pub use picture::{Anchor, Item, Pattern, Picture, Role, Size};
pub use renewal::{RenewalBar, RenewalInput, renewal};
pub use section::{PlugState, SectionInput, SectionPlug, Standpipe, section, section_in};
pub use svg::{STYLE, escape, svg, svg_alone};
pub use tape::{FanPoint, Moment, Source, TapeInput, TapeReading, tape, tape_in};
pub use text::{text_box, text_width};
