//! Colour of fluid from photos beside white paper: how much darker, how different for the eye, how much old fluid is left.
//!
//! Never a number of an instrument scale: those are defined for other light, other vessels and undyed oil.

use quantity::Uncertain;

use crate::{Limits, PhysicsError};

mod difference;
mod photo;

use difference::apart;
pub use difference::{LIGHTNESS, Lab, OPPONENT, difference};
pub use photo::{
    CHANNELS, CLIPPED, Channel, ColourError, LIGHT_CHANGE, Patch, Photo, SATURATED, SPREAD, TINT, WHITE_DARK,
};
use photo::{Usable, linear, same_light, usable};

/// Level of a channel of a photo.
pub static LEVEL: Limits = Limits::new("level of a channel", "of 255", 0.0, 255.0);
/// Standard uncertainty of a share of old fluid for what a camera does to its picture: judgement, no source.
pub const CAMERA_DOUBT: f64 = 0.05;

/// Light of the sRGB primaries (columns) in XYZ; the rows sum to the white of D65.
const XYZ: [[f64; 3]; 3] = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];

/// The colour for the eye of a pixel or patch, with the white of the photo taken as D65.
///
/// Levels → linear light: v/12.92 up to 0.04045, else ((v + 0.055)/1.055)^2.4; → XYZ → L = 116 f(Y) − 16,
/// a = 500 (f(X) − f(Y)), b = 200 (f(Y) − f(Z)), each relative to white; f is the cube root, straight below (6/29)³.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | 255 v | `levels` (red, green, blue) | of 255 | 0 to 255 |
///
/// # Source
/// IEC 61966-2-1 (sRGB), ISO/CIE 11664-4 (CIELAB), from memory; checked with an independent program.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a level outside [`LEVEL`].
///
/// # Example
/// Grey of level 127.5: v = 0.5, light (0.555/1.055)^2.4 = 0.2140; L = 116 × 0.2140^⅓ − 16 = 53.4, a = b = 0.
/// ```
/// let grey = physics::colour::lab([127.5; 3]).unwrap();
/// assert!((grey.l - 53.4).abs() < 0.05 && grey.a.abs() < 1e-9 && grey.b.abs() < 1e-9);
/// ```
pub fn lab(levels: [f64; 3]) -> Result<Lab, PhysicsError> {
    let [red, green, blue] = levels;
    Ok(lab_of_light([LEVEL.check(red)?, LEVEL.check(green)?, LEVEL.check(blue)?].map(|v| linear(v).0)))
}

fn lab_of_light(light: [f64; 3]) -> Lab {
    const STRAIGHT: f64 = 6.0 / 29.0;
    let [x, y, z] = XYZ.map(|row| {
        let sum: f64 = row.iter().zip(light).map(|(m, v)| m * v).sum();
        let share = sum / row.iter().sum::<f64>();
        let straight = share / (3.0 * STRAIGHT * STRAIGHT) + 4.0 / 29.0;
        if share > STRAIGHT * STRAIGHT * STRAIGHT { libm::cbrt(share) } else { straight }
    });
    Lab { l: 116.0 * y - 16.0, a: 500.0 * (x - y), b: 200.0 * (y - z) }
}

/// The fluid of one photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Absorbance in red, green and blue relative to the paper.
    pub absorbance: [Uncertain<f64>; 3],
    /// Channels in which an 8-bit photo carries too little light for its absorbance to mean much.
    pub saturated: [bool; 3],
    /// Its colour with the paper as white.
    pub lab: Lab,
}

impl Usable {
    fn seen(&self) -> Seen {
        let relative = [0, 1, 2].map(|i| (self.fluid[i].value / self.white[i].value).min(1.0));
        Seen {
            absorbance: self.absorbance,
            saturated: self.absorbance.map(|a| a.value > SATURATED),
            lab: lab_of_light(relative),
        }
    }
}

/// Old fluid beside new.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// The old fluid.
    pub old: Seen,
    /// The new fluid.
    pub new: Seen,
    /// How many times as dark the old fluid is in red; `None` when the new one is too clear for a ratio.
    pub red_ratio: Option<Uncertain<f64>>,
    /// CIEDE2000 between the two.
    pub difference: f64,
}

/// How much darker, and how different for the eye, old fluid is than new, from a photo of each on the same white paper.
///
/// A = −log₁₀(I/I_white) per channel of linear light; ratio A_old/A_new in red, where dyed fluids still let light pass.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | I | `old.fluid`, `new.fluid` | of 255 | up to [`CLIPPED`], spread up to [`SPREAD`], red absorbance up to [`SATURATED`] |
/// | I_white | `old.white`, `new.white` | of 255 | [`WHITE_DARK`] to [`CLIPPED`], tint up to [`TINT`], alike within [`LIGHT_CHANGE`] |
///
/// Same vessel, same depth of fluid, same light: the paper corrects brightness, nothing corrects another depth.
///
/// # Source
/// Law of Beer and Lambert; sRGB as in [`lab`]; the limits of the light are judgement, no source.
///
/// # Errors
/// [`ColourError`]: light too dark, clipped, coloured, changed between the photos, patches uneven, fluid too dark for its
/// depth or brighter than the paper.
///
/// # Example
/// White 250 (light 0.9559); new (200, 30, 35): red light 0.5776, A = 0.2188; old (130, 35, 25): 0.2232, A = 0.6317;
/// ratio 2.89.
/// ```
/// use physics::colour::{Patch, Photo, compare};
/// let photo = |fluid| Photo { white: Patch::even([250.0; 3], 1.0), fluid: Patch::even(fluid, 2.0) };
/// let seen = compare(&photo([130.0, 35.0, 25.0]), &photo([200.0, 30.0, 35.0])).unwrap();
/// assert!((seen.red_ratio.unwrap().value - 2.89).abs() < 0.005);
/// ```
pub fn compare(old: &Photo, new: &Photo) -> Result<Comparison, ColourError> {
    let (old, new) = (usable(old, "old")?, usable(new, "new")?);
    same_light(&old, &new)?;
    let (dark, clear) = (old.absorbance[0], new.absorbance[0]);
    let ratio = dark.value / clear.value;
    let relative = libm::hypot(dark.u / dark.value, clear.u / clear.value);
    let (old, new) = (old.seen(), new.seen());
    Ok(Comparison {
        red_ratio: (clear.value > 3.0 * clear.u && dark.value > 0.0)
            .then(|| Uncertain::new(ratio, ratio.abs() * relative)),
        difference: apart(old.lab, new.lab),
        old,
        new,
    })
}

/// How much of a blend is old fluid, as its colour tells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OldShare {
    /// Share of old fluid, 0 to 1; a little outside by doubt, and never bent to the edge.
    pub share: Uncertain<f64>,
    /// False when the share lies outside 0 to 1 by more than twice its doubt: the samples do not belong together.
    pub plausible: bool,
    /// CIEDE2000 between the blend and the new fluid.
    pub from_new: f64,
}

/// The share of old fluid in a blend, from photos of the old fluid, the new fluid and the blend.
///
/// f = (A − A_new)/(A_old − A_new) in red: absorbance adds up by volume.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | A_old, A_new, A | `old`, `new`, `blend` | 1 | photos as in [`compare`] |
///
/// The doubt holds the spread of all patches and [`CAMERA_DOUBT`].
///
/// # Source
/// Law of Beer and Lambert: one and the same depth, fluids that do not react; propagation after JCGM 100:2008, 5.1.2.
///
/// # Errors
/// As [`compare`]; [`ColourError::NoContrast`] when old and new differ by less than six times their doubt.
///
/// # Example
/// A_new = 0.2188, A_old = 0.6317; a blend with 0.36 old has 0.2188 + 0.36 × 0.4129 = 0.3674: red light
/// 0.9559 × 10^−0.3674 = 0.4102, level 171.
/// ```
/// use physics::colour::{Patch, Photo, old_share};
/// let photo = |fluid| Photo { white: Patch::even([250.0; 3], 1.0), fluid: Patch::even(fluid, 2.0) };
/// let (old, new) = (photo([130.0, 35.0, 25.0]), photo([200.0, 30.0, 35.0]));
/// let found = old_share(&old, &new, &photo([171.0, 32.0, 30.0])).unwrap();
/// assert!((found.share.value - 0.36).abs() < 0.01 && found.share.u > 0.05 && found.plausible);
/// ```
pub fn old_share(old: &Photo, new: &Photo, blend: &Photo) -> Result<OldShare, ColourError> {
    let (old, new, blend) = (usable(old, "old")?, usable(new, "new")?, usable(blend, "blended")?);
    same_light(&old, &new)?;
    same_light(&old, &blend)?;
    same_light(&new, &blend)?;
    let [dark, clear, mixed] = [&old, &new, &blend].map(|photo| photo.absorbance[0]);
    let contrast = Uncertain::new(dark.value - clear.value, libm::hypot(dark.u, clear.u));
    if contrast.value.abs() <= 6.0 * contrast.u {
        return Err(ColourError::NoContrast { difference: contrast.value, u: contrast.u });
    }
    let share = (mixed.value - clear.value) / contrast.value;
    let parts = [mixed.u, (1.0 - share) * clear.u, share * dark.u].map(|u| u / contrast.value);
    let photos: f64 = parts.iter().map(|part| part * part).sum();
    let u = (photos + CAMERA_DOUBT * CAMERA_DOUBT).sqrt();
    Ok(OldShare {
        share: Uncertain::new(share, u),
        plausible: share > -2.0 * u && share < 1.0 + 2.0 * u,
        from_new: apart(blend.seen().lab, new.seen().lab),
    })
}
