//! Joints tightened to one torque that do not rub alike: dry and oiled threads, washers of different materials.

use quantity::{Length, Torque, Uncertain};
use serde::Serialize;

use super::{THREAD, TORQUE};
use crate::{Limits, PhysicsError};

/// Pitch of a thread.
pub static PITCH: Limits = Limits::new("pitch of the thread", "mm", 0.25, 6.0);
/// Mean diameter at which a head or washer rubs.
pub static SEAT: Limits = Limits::new("mean diameter of the seat", "mm", 4.0, 120.0);
/// Coefficients of friction of a joint.
pub static FRICTION: Limits = Limits::new("coefficient of friction", "1", 0.02, 0.8);
/// Joints looked at together.
pub static JOINTS: Limits = Limits::new("number of joints", "1", 1.0, 200.0);
/// Above this ratio of the highest to the lowest expected force, one torque does not do for all (judgement: the ±30 % that a
/// torque wrench leaves anyway).
pub const MIXED_ABOVE: f64 = 1.3;

/// What rubs on what. Ranges from memory, for orientation: of a handbook kind, not of these parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Rubs {
    /// Steel on steel or aluminium, clean and dry.
    Dry,
    /// The same with the unit's own oil on it.
    Oiled,
    /// A copper washer, dry.
    Copper,
    /// An aluminium washer, dry.
    Aluminium,
    /// A steel washer with a bonded elastomer lip.
    Bonded,
    /// Thread-locking paste, still wet.
    Paste,
}

impl Rubs {
    /// Coefficient of friction, middle of its range and standard uncertainty (rectangular). From memory.
    pub fn friction(self) -> Uncertain<f64> {
        let (low, high) = match self {
            Self::Dry => (0.14, 0.22),
            Self::Oiled => (0.10, 0.16),
            Self::Copper => (0.16, 0.28),
            Self::Aluminium => (0.18, 0.32),
            Self::Bonded => (0.12, 0.20),
            Self::Paste => (0.12, 0.20),
        };
        Uncertain::new(f64::midpoint(low, high), (high - low) / 12.0_f64.sqrt())
    }
}

/// A plug or bolt with what rubs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// Nominal diameter.
    pub thread: Length,
    /// Pitch.
    pub pitch: Length,
    /// Mean diameter at which head or washer rubs.
    pub seat: Length,
    /// Friction in the thread and its doubt; [`Rubs::friction`] where nothing better is known.
    pub in_thread: Uncertain<f64>,
    /// Friction under the head and its doubt.
    pub under_head: Uncertain<f64>,
}

/// Several joints at one torque.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MixedJoints {
    /// Force in each, N, with its doubt.
    pub newtons: Vec<Uncertain<f64>>,
    /// Highest expected force over the lowest.
    pub ratio: f64,
    /// False when one torque does not do for all.
    pub alike: bool,
    /// What that means, in words.
    pub why: String,
}

/// The clamping force of a joint from what rubs in it: F = T/(P/2π + μ_t d₂/(2 cos 30°) + μ_h D_m/2), d₂ = D − 0.6495 P.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | T | `torque` and its standard uncertainty | N·m | 0.1 to 2000 |
/// | D, P | `joint.thread`, `joint.pitch` | mm | 3 to 60, 0.25 to 6, P below D/3 |
/// | D_m | `joint.seat` | mm | 4 to 120 |
/// | μ_t, μ_h | `joint.in_thread`, `joint.under_head` | 1 | 0.02 to 0.8 |
///
/// u²(F)/F² = u²(T)/T² + ((∂/∂μ_t)² + (∂/∂μ_h)²)/(sum)²: the two frictions are taken as independent.
///
/// # Source
/// Balance of moments on a screw with a thread of 60° (VDI 2230 part 1, ISO 16047; from memory); pitch diameter ISO 724.
/// Combination by JCGM 100:2008, 5.1.
///
/// # Errors
/// Any argument outside its range; a pitch that is no part of that thread.
///
/// # Example
/// M14 × 1.5, 35 N·m, seat 19 mm, μ 0.14 in both: d₂ = 13.026; 1.5/6.2832 + 0.14 × 13.026/1.7321 + 0.14 × 9.5 = 0.2387 + 1.0529 +
/// 1.33 = 2.6216 mm; 35/0.0026216 = 13 351 N, a nut factor of 2.6216/14 = 0.187.
/// ```
/// use physics::torque::{Joint, joint_newtons};
/// use quantity::{Length, Torque, Uncertain};
/// let mm = Length::from_mm;
/// let mu = Uncertain::new(0.14, 0.0);
/// let joint = Joint { thread: mm(14.0), pitch: mm(1.5), seat: mm(19.0), in_thread: mu, under_head: mu };
/// let force = joint_newtons(Uncertain::new(Torque::from_nm(35.0), Torque::default()), &joint).unwrap();
/// assert!((force.value - 13_351.0).abs() < 2.0 && force.u == 0.0);
/// ```
pub fn joint_newtons(torque: Uncertain<Torque>, joint: &Joint) -> Result<Uncertain<f64>, PhysicsError> {
    let t = TORQUE.check(torque.value.nm())?;
    let u_t = super::TORQUE_DOUBT.check(torque.u.nm() / t)?;
    let d = THREAD.check(joint.thread.mm())?;
    let p = PITCH.check(joint.pitch.mm())?;
    let seat = SEAT.check(joint.seat.mm())?;
    if p > d / 3.0 || seat < d / 2.0 {
        return Err(PhysicsError::Contradiction(format!(
            "a pitch of {p} mm and a seat of {seat} mm do not belong to a thread of {d} mm"
        )));
    }
    let per_thread = (d - 0.6495 * p) / (2.0 * libm::cos(std::f64::consts::FRAC_PI_6));
    let per_head = seat / 2.0;
    let arm = p / std::f64::consts::TAU
        + FRICTION.check(joint.in_thread.value)? * per_thread
        + FRICTION.check(joint.under_head.value)? * per_head;
    let doubt = |friction: Uncertain<f64>| super::TORQUE_DOUBT.check(friction.u);
    let by_thread = doubt(joint.in_thread)? * per_thread / arm;
    let by_head = doubt(joint.under_head)? * per_head / arm;
    let force = 1000.0 * t / arm;
    Ok(Uncertain::new(force, force * (u_t * u_t + by_thread * by_thread + by_head * by_head).sqrt()))
}

/// Joints that get one torque but do not rub alike, and whether that may be.
///
/// ratio = max F/min F over the joints, F as [`joint_newtons`]; alike up to 1.3.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | T | `torque` | N·m | 0.1 to 2000 |
/// | F | of each of `joints`, 1 to 200 | N | as [`joint_newtons`] |
///
/// # Source
/// As [`joint_newtons`]; the limit of 1.3 is judgement: the scatter that a torque wrench leaves anyway.
///
/// # Errors
/// As [`joint_newtons`]; no joint.
///
/// # Example
/// M6 × 1 pan bolts, 10 N·m, seat 9 mm; dry 0.18 and oiled 0.13 in thread and seat: arms 0.159 + 0.5561 + 0.81 = 1.525 and
/// 0.159 + 0.4016 + 0.585 = 1.146 mm: 6557 and 8727 N, ratio 1.33: not alike.
pub fn mixed_joints(torque: Uncertain<Torque>, joints: &[Joint]) -> Result<MixedJoints, PhysicsError> {
    JOINTS.check(joints.len() as f64)?;
    let mut newtons = Vec::with_capacity(joints.len());
    for joint in joints {
        newtons.push(joint_newtons(torque, joint)?);
    }
    let low = newtons.iter().map(|f| f.value).fold(f64::INFINITY, f64::min);
    let high = newtons.iter().map(|f| f.value).fold(0.0, f64::max);
    let ratio = high / low;
    let alike = ratio <= MIXED_ABOVE;
    let why = if alike {
        format!("{low:.0} to {high:.0} N at one torque: within what a torque wrench leaves anyway")
    } else {
        format!(
            "{low:.0} to {high:.0} N at one torque, a factor of {ratio:.2}: the slack ones leak, the tight ones pull threads or \
             crush the seal; oil all or none, and fit washers of one kind"
        )
    };
    Ok(MixedJoints { newtons, ratio, alike, why })
}
