//! What a photo of fluid beside white paper must be like before anything is computed from it.

use quantity::Uncertain;

/// Highest level of a channel; beyond it the camera may have cut the light off.
pub const CLIPPED: f64 = 252.0;
/// Lowest level of a channel of the white paper.
pub const WHITE_DARK: f64 = 120.0;
/// Greatest ratio between the channels of the white paper, linear.
pub const TINT: f64 = 1.8;
/// Greatest ratio between the white papers of two photos, per channel, linear.
pub const LIGHT_CHANGE: f64 = 1.25;
/// Greatest spread of the levels within a patch.
pub const SPREAD: f64 = 12.0;
/// Above this absorbance 8-bit levels carry too little.
pub const SATURATED: f64 = 1.5;

/// Mean and standard deviation of the levels of one channel within a patch, 0 to 255.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Channel {
    /// Mean level.
    pub mean: f64,
    /// Standard deviation of the levels.
    pub spread: f64,
}

/// An evenly lit piece of a photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// Red channel.
    pub red: Channel,
    /// Green channel.
    pub green: Channel,
    /// Blue channel.
    pub blue: Channel,
}

impl Patch {
    /// A patch by its three means, with one spread.
    pub const fn even(means: [f64; 3], spread: f64) -> Self {
        let [red, green, blue] = means;
        Self {
            red: Channel { mean: red, spread },
            green: Channel { mean: green, spread },
            blue: Channel { mean: blue, spread },
        }
    }

    const fn channels(&self) -> [Channel; 3] {
        [self.red, self.green, self.blue]
    }
}

/// A layer of fluid and the white paper it stands on, in one photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Photo {
    /// The paper alone, in the same light.
    pub white: Patch,
    /// The paper seen through the fluid.
    pub fluid: Patch,
}

/// Names of the channels, in their order.
pub const CHANNELS: [&str; 3] = ["red", "green", "blue"];

/// Why a photo cannot be used. `photo` is the name of the sample in it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ColourError {
    /// A level or spread that none can be.
    #[error(
        "photo of the {photo} fluid: the {channel} level of the {patch} is {mean} with a spread of {spread}; levels lie between 0 and 255"
    )]
    NoLevel { photo: &'static str, patch: &'static str, channel: &'static str, mean: f64, spread: f64 },
    /// Shadow, glare or bubbles within a patch.
    #[error(
        "photo of the {photo} fluid: the {patch} is uneven (spread {spread:.0} of 255 in {channel}, at most {SPREAD} is usable); avoid shadow, glare and bubbles"
    )]
    Uneven { photo: &'static str, patch: &'static str, channel: &'static str, spread: f64 },
    /// Too much light.
    #[error(
        "photo of the {photo} fluid: the {patch} is overexposed ({channel} {mean:.0} of 255, at most {CLIPPED} is usable); take it darker"
    )]
    Clipped { photo: &'static str, patch: &'static str, channel: &'static str, mean: f64 },
    /// Too little light.
    #[error(
        "photo of the {photo} fluid: the white paper is too dark ({channel} {mean:.0} of 255, at least {WHITE_DARK} is needed); use daylight or expose longer"
    )]
    WhiteDark { photo: &'static str, channel: &'static str, mean: f64 },
    /// Coloured light.
    #[error(
        "photo of the {photo} fluid: the light is coloured, the white paper has {ratio:.1} times as much {most} as {least} (at most {TINT} is usable); use daylight and white balance"
    )]
    Tinted { photo: &'static str, ratio: f64, most: &'static str, least: &'static str },
    /// The light was not the same.
    #[error(
        "the light changed between the photos of the {one} and the {other} fluid: the white paper differs {ratio:.2} times in {channel} (at most {LIGHT_CHANGE} is usable); take all photos together"
    )]
    LightChanged { one: &'static str, other: &'static str, channel: &'static str, ratio: f64 },
    /// Nothing passes.
    #[error(
        "photo of the {photo} fluid: too little red light passes (absorbance {absorbance:.2}, at most {SATURATED} is usable); use a thinner layer"
    )]
    FluidDark { photo: &'static str, absorbance: f64 },
    /// Fluid cannot be brighter than the paper under it.
    #[error(
        "photo of the {photo} fluid: it is brighter than the white paper in {channel}; the patches are swapped or there is glare"
    )]
    BrighterThanWhite { photo: &'static str, channel: &'static str },
    /// Old and new look alike.
    #[error(
        "old and new fluid differ by {difference:.3} ± {u:.3} in red absorbance, too little to tell them apart; use a thicker layer, or do without"
    )]
    NoContrast { difference: f64, u: f64 },
}

/// The standard curve of a photo: share of the light for a level of 0 to 255, and its slope per level.
pub(super) fn linear(level: f64) -> (f64, f64) {
    let v = level / 255.0;
    if v <= 0.04045 {
        return (v / 12.92, 1.0 / 12.92 / 255.0);
    }
    let base = (v + 0.055) / 1.055;
    (libm::pow(base, 2.4), 2.4 / 1.055 * libm::pow(base, 1.4) / 255.0)
}

fn light(channel: Channel) -> Uncertain<f64> {
    let (share, slope) = linear(channel.mean);
    // Steps of one level add 1/√12 to the spread.
    Uncertain::new(share, slope * (channel.spread * channel.spread + 1.0 / 12.0).sqrt())
}

/// A photo that can be used.
pub(super) struct Usable {
    pub name: &'static str,
    pub white: [Uncertain<f64>; 3],
    pub fluid: [Uncertain<f64>; 3],
    pub absorbance: [Uncertain<f64>; 3],
}

pub(super) fn usable(photo: &Photo, name: &'static str) -> Result<Usable, ColourError> {
    for (patch, of) in [("white paper", &photo.white), ("fluid", &photo.fluid)] {
        for (channel, Channel { mean, spread }) in CHANNELS.into_iter().zip(of.channels()) {
            if !(0.0..=255.0).contains(&mean) || !(0.0..=255.0).contains(&spread) {
                return Err(ColourError::NoLevel { photo: name, patch, channel, mean, spread });
            }
            if spread > SPREAD {
                return Err(ColourError::Uneven { photo: name, patch, channel, spread });
            }
            if mean > CLIPPED {
                return Err(ColourError::Clipped { photo: name, patch, channel, mean });
            }
        }
    }
    let white = white_light(&photo.white, name)?;
    let fluid = photo.fluid.channels().map(light);
    for ((channel, w), f) in CHANNELS.into_iter().zip(&white).zip(&fluid) {
        if f.value > w.value + 2.0 * libm::hypot(f.u, w.u) {
            return Err(ColourError::BrighterThanWhite { photo: name, channel });
        }
    }
    let absorbance = [0, 1, 2].map(|i| absorbance(white[i], fluid[i]));
    if absorbance[0].value > SATURATED {
        return Err(ColourError::FluidDark { photo: name, absorbance: absorbance[0].value });
    }
    Ok(Usable { name, white, fluid, absorbance })
}

fn white_light(white: &Patch, name: &'static str) -> Result<[Uncertain<f64>; 3], ColourError> {
    for (channel, Channel { mean, .. }) in CHANNELS.into_iter().zip(white.channels()) {
        if mean < WHITE_DARK {
            return Err(ColourError::WhiteDark { photo: name, channel, mean });
        }
    }
    let light = white.channels().map(light);
    let by_light = |a: &usize, b: &usize| light[*a].value.total_cmp(&light[*b].value);
    let most = (0..3).max_by(by_light).unwrap_or_default();
    let least = (0..3).min_by(by_light).unwrap_or_default();
    let ratio = light[most].value / light[least].value;
    if ratio > TINT {
        return Err(ColourError::Tinted { photo: name, ratio, most: CHANNELS[most], least: CHANNELS[least] });
    }
    Ok(light)
}

/// A = −log₁₀(fluid/white); a channel without light counts as one step of it.
fn absorbance(white: Uncertain<f64>, fluid: Uncertain<f64>) -> Uncertain<f64> {
    let passed = fluid.value.max(linear(1.0).0);
    let relative = libm::hypot(fluid.u / passed, white.u / white.value);
    Uncertain::new(libm::log10(white.value / passed), relative / std::f64::consts::LN_10)
}

pub(super) fn same_light(one: &Usable, other: &Usable) -> Result<(), ColourError> {
    for ((channel, a), b) in CHANNELS.into_iter().zip(&one.white).zip(&other.white) {
        let ratio = (a.value / b.value).max(b.value / a.value);
        if ratio > LIGHT_CHANGE {
            return Err(ColourError::LightChanged { one: one.name, other: other.name, channel, ratio });
        }
    }
    Ok(())
}
