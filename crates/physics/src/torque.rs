//! Tightening: what to set on the wrench when an adapter sits on it, whether the wrench suits the torque, and the
//! clamping force that a torque gives.

use crate::{Limits, PhysicsError};

mod joint;

pub use joint::{FRICTION, JOINTS, Joint, MIXED_ABOVE, MixedJoints, PITCH, Rubs, SEAT, joint_newtons, mixed_joints};
use quantity::{Angle, Length, Span, Torque, Uncertain};

/// A tightening torque in service work.
pub static TORQUE: Limits = Limits::new("torque", "N·m", 0.1, 2000.0);
/// From the middle of the grip to the square of the wrench.
pub static WRENCH_LENGTH: Limits = Limits::new("wrench length", "mm", 50.0, 2000.0);
/// From the square of the wrench to the fastener.
pub static ADAPTER_LENGTH: Limits = Limits::new("adapter length", "mm", 0.0, 500.0);
/// Between the wrench's axis and the adapter; 0 lengthens, 90 is square, 180 folds back.
pub static ADAPTER_ANGLE: Limits = Limits::new("adapter angle", "deg", -180.0, 180.0);
/// Nominal diameter of a thread.
pub static THREAD: Limits = Limits::new("thread diameter", "mm", 3.0, 60.0);
/// The nut factor of a threaded joint.
pub static NUT_FACTOR: Limits = Limits::new("nut factor", "1", 0.05, 0.6);

/// The lowest share of a wrench's scale at which it is used. Common practice, no source.
pub const LOWEST_SHARE: f64 = 0.20;
/// The share of the scale where a wrench reads best. Common practice, no source.
pub const BEST_SHARE: Span<f64> = Span { low: 0.30, high: 0.80 };

/// What to set on the wrench so that the fastener gets its torque through an adapter.
///
/// T_set = T L / (L + E cos θ).
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | T | `torque` | N·m | 0.1 to 2000 |
/// | L | `wrench`, middle of the grip to the square | mm | 50 to 2000 |
/// | E | `adapter`, square to the fastener | mm | 0 to 500 |
/// | θ | `angle` off the wrench's axis | deg | −180 to 180 |
///
/// Holds only when pulled square to the wrench at the marked grip. An extension along the socket's axis changes nothing.
///
/// # Source
/// Moment balance about the square and the fastener; the same form is on several public pages.
///
/// # Errors
/// Any argument outside its range; an adapter folded back by almost the length of the wrench or more.
///
/// # Example
/// 35 N·m, 300 mm wrench, 50 mm adapter straight ahead: 35 × 300 / 350 = 30 N·m.
/// ```
/// use quantity::{Angle, Length, Torque};
/// let (wrench, adapter) = (Length::from_mm(300.0), Length::from_mm(50.0));
/// let set = physics::torque::set_torque(Torque::from_nm(35.0), wrench, adapter, Angle::from_degrees(0.0)).unwrap();
/// assert!((set.nm() - 30.0).abs() < 1e-12);
/// ```
pub fn set_torque(torque: Torque, wrench: Length, adapter: Length, angle: Angle) -> Result<Torque, PhysicsError> {
    TORQUE.check(torque.nm())?;
    Ok(torque / lever_ratio(wrench, adapter, angle)?)
}

/// What the fastener gets when the wrench is set to `set`; the other way round of [`set_torque`].
///
/// T = T_set (L + E cos θ) / L; symbols as in [`set_torque`].
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | T_set | `set` | N·m | 0.1 to 2000 |
/// | L, E, θ | `wrench`, `adapter`, `angle` | mm, mm, deg | as [`set_torque`] |
///
/// # Source
/// As [`set_torque`].
///
/// # Errors
/// As [`set_torque`].
///
/// # Example
/// 35 N·m set and a straight 50 mm adapter forgotten: 35 × 350 / 300 = 40.83 N·m on the plug, 16.7 % too much.
/// ```
/// use quantity::{Angle, Length, Torque};
/// let (wrench, adapter) = (Length::from_mm(300.0), Length::from_mm(50.0));
/// let got = physics::torque::applied_torque(Torque::from_nm(35.0), wrench, adapter, Angle::from_degrees(0.0)).unwrap();
/// assert!((got.nm() - 40.83).abs() < 0.005);
/// ```
pub fn applied_torque(set: Torque, wrench: Length, adapter: Length, angle: Angle) -> Result<Torque, PhysicsError> {
    TORQUE.check(set.nm())?;
    Ok(set * lever_ratio(wrench, adapter, angle)?)
}

fn lever_ratio(wrench: Length, adapter: Length, angle: Angle) -> Result<f64, PhysicsError> {
    let l = WRENCH_LENGTH.check(wrench.mm())?;
    let e = ADAPTER_LENGTH.check(adapter.mm())?;
    let theta = ADAPTER_ANGLE.check(angle.degrees())?;
    // cos 90° is not exactly 0 in binary, and a square adapter must change nothing.
    let cosine = if theta.abs() == 90.0 { 0.0 } else { libm::cos(theta.to_radians()) };
    let ratio = (l + e * cosine) / l;
    if ratio < 0.1 {
        return Err(PhysicsError::Contradiction(format!(
            "an adapter of {e} mm folded back on a wrench of {l} mm leaves almost no lever; use a longer wrench or a smaller angle"
        )));
    }
    Ok(ratio)
}

/// Whether a wrench suits a torque, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct WrenchFit {
    /// True when the whole torque lies on the scale and within 20–100 % of its top.
    pub fits: bool,
    /// The torque as a share of the top of the scale.
    pub share: Span<f64>,
    /// The reason in words.
    pub why: String,
}

/// Whether a wrench suits a torque: on its scale, and between 20 and 100 % of the top of it.
///
/// share = T / T_max.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | T | `set`, what will be set on the wrench | N·m | 0.1 to 2000 |
/// | T_max | the high end of `scale` | N·m | 0.1 to 2000 |
///
/// # Source
/// Common practice, no source: use a wrench between 20 and 100 % of its scale, best 30 to 80 %.
///
/// # Errors
/// A torque or an end of the scale outside [`TORQUE`].
///
/// # Example
/// 12 N·m on a 40–200 N·m wrench: 12 / 200 = 6 %, below the scale: does not fit.
/// ```
/// use quantity::{Span, Torque};
/// let scale = Span { low: Torque::from_nm(40.0), high: Torque::from_nm(200.0) };
/// let fit = physics::torque::wrench_fit(Span::at(Torque::from_nm(12.0)), scale).unwrap();
/// assert!(!fit.fits);
/// ```
pub fn wrench_fit(set: Span<Torque>, scale: Span<Torque>) -> Result<WrenchFit, PhysicsError> {
    let low = TORQUE.check(set.low.nm())?;
    let high = TORQUE.check(set.high.nm())?;
    let bottom = TORQUE.check(scale.low.nm())?;
    let top = TORQUE.check(scale.high.nm())?;
    let share = Span { low: low / top, high: high / top };
    let percent = |x: f64| format!("{:.0} %", 100.0 * x);
    let (fits, why) = if high > top {
        (false, format!("above the top of the scale ({top:.1} N·m); take a larger wrench"))
    } else if low < bottom {
        (false, format!("below the lowest mark ({bottom:.1} N·m); take a smaller wrench"))
    } else if share.low < LOWEST_SHARE {
        (
            false,
            format!("only {} of the scale, where the wrench is not trusted; take a smaller one", percent(share.low)),
        )
    } else if share.low < BEST_SHARE.low || share.high > BEST_SHARE.high {
        (true, format!("{} of the scale: usable, best is 30–80 %", percent(share.high)))
    } else {
        (true, format!("{} of the scale", percent(share.high)))
    };
    Ok(WrenchFit { fits, share, why })
}

/// The clamping force in newtons that a tightening torque gives, with its doubt.
///
/// F = T / (K D), u²(F)/F² = u²(T)/T² + u²(K)/K².
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | T | `torque` and its standard uncertainty | N·m | 0.1 to 2000 |
/// | K | `nut_factor` and its standard uncertainty | 1 | 0.05 to 0.6 |
/// | D | `thread`, nominal diameter | mm | 3 to 60 |
///
/// # Source
/// The usual short form of the torque–preload relation; K = 0.20–0.25 dry and 0.15–0.20 oiled, second-hand. Combination
/// by JCGM 100:2008, 5.1.
///
/// # Errors
/// Any argument outside its range; a negative, infinite or missing uncertainty.
///
/// # Example
/// 35 N·m, K 0.20, M14: 35 / (0.20 × 0.014) = 12 500 N. With ±4 % and ±20 % (rectangular):
/// √(2.31² + 11.55²) = 11.8 %.
/// ```
/// use quantity::{Length, Torque, Uncertain};
/// let torque = Uncertain::new(Torque::from_nm(35.0), Torque::from_nm(0.808));
/// let force = physics::torque::preload_newtons(torque, Uncertain::new(0.20, 0.0231), Length::from_mm(14.0)).unwrap();
/// assert!((force.value - 12_500.0).abs() < 1e-6 && (force.u - 1472.0).abs() < 5.0);
/// ```
pub fn preload_newtons(
    torque: Uncertain<Torque>,
    nut_factor: Uncertain<f64>,
    thread: Length,
) -> Result<Uncertain<f64>, PhysicsError> {
    let t = TORQUE.check(torque.value.nm())?;
    let k = NUT_FACTOR.check(nut_factor.value)?;
    let d = THREAD.check(thread.mm())? / 1000.0;
    let u_t = TORQUE_DOUBT.check(torque.u.nm() / t)?;
    let u_k = TORQUE_DOUBT.check(nut_factor.u / k)?;
    let force = t / (k * d);
    Ok(Uncertain::new(force, force * (u_t * u_t + u_k * u_k).sqrt()))
}

/// A standard uncertainty as a share of its value.
pub static TORQUE_DOUBT: Limits = Limits::new("relative standard uncertainty", "1", 0.0, 1.0);
