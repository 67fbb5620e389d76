//! How long pumping fluid into a unit takes, and whether pump or hose sets the pace.

use quantity::{Density, Duration, Flow, KinematicViscosity, Length, Pressure, Volume};
use serde::Serialize;

use crate::runoff::VISCOSITY;
use crate::{Limits, PhysicsError};

/// Volumes one pumps.
pub static PUMPED: Limits = Limits::new("volume to pump", "mL", 1.0, 200_000.0);
/// Bore of a hose.
pub static HOSE: Limits = Limits::new("bore of the hose", "mm", 2.0, 60.0);
/// Length of a hose.
pub static HOSE_LENGTH: Limits = Limits::new("length of the hose", "mm", 50.0, 30_000.0);
/// From the level in the can up to the opening of the unit.
pub static LIFT: Limits = Limits::new("lift", "mm", -3000.0, 5000.0);
/// Pressure that a pump builds up.
pub static PRESSURE: Limits = Limits::new("pressure of the pump", "kPa", 0.1, 2000.0);
/// What a pump delivers when nothing holds it back.
pub static FREE_FLOW: Limits = Limits::new("free flow of the pump", "mL/min", 10.0, 1e6);
/// Density of what is pumped.
pub static DENSITY: Limits = Limits::new("density of what is pumped", "kg/m³", 600.0, 1400.0);

/// Inlet of the hose and the velocity that is lost at its end, in velocity heads.
const LOSSES: f64 = 1.5;
/// Reynolds number up to which the flow is taken for laminar.
const LAMINAR: f64 = 2300.0;
const G: f64 = 9.80665;

/// A pump, its hose and what goes through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pumping {
    /// How much is to be pumped.
    pub volume: Volume,
    /// Bore of the hose.
    pub bore: Length,
    /// Its length, suction and delivery together.
    pub length: Length,
    /// How much higher it comes out than the level in the can; negative when the can stands above.
    pub lift: Length,
    /// What the pump can build up.
    pub pressure: Pressure,
    /// What the pump delivers when nothing holds it back: strokes a minute times the volume of one.
    pub free_flow: Flow,
    /// Density at the temperature of the fluid.
    pub density: Density,
    /// Viscosity at the temperature of the fluid.
    pub viscosity: KinematicViscosity,
}

/// What sets the pace.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Pace {
    /// The pump: a wider hose or warmer fluid changes nothing.
    Pump,
    /// The hose: a wider or shorter one, or warmer fluid, helps.
    Hose,
}

/// How it goes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pumped {
    /// For all of it.
    #[serde(rename = "time_s")]
    pub time: Duration,
    /// What gets through.
    #[serde(rename = "flow_ml_per_min", serialize_with = "per_minute")]
    pub flow: Flow,
    /// What sets the pace.
    pub pace: Pace,
    /// Reynolds number in the hose; laminar below about 2300.
    pub reynolds: f64,
}

fn per_minute<S: serde::Serializer>(flow: &Flow, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64(flow.ml_per_minute())
}

/// How long pumping takes: t = V/q, q the smaller of what the pump delivers and what its pressure drives through the hose.
///
/// p − ρ g H = ρ (f L/d + 1.5) v²/2, f = 64/Re up to Re = 2300 and 0.3164/Re^¼ above, Re = v d/ν, q = v π d²/4.
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | V | `volume` | mL | 1 to 200 000 |
/// | d, L | `bore`, `length` | mm | 2 to 60, 50 to 30 000 |
/// | H | `lift` | mm | −3000 to 5000 |
/// | p | `pressure` | kPa | 0.1 to 2000 |
/// | – | `free_flow` | mL/min | 10 to 10⁶ |
/// | ρ | `density` | kg/m³ | 600 to 1400 |
/// | ν | `viscosity` | mm²/s | 1 to 5000 |
///
/// Good to ±20 %: bends and couplings are left aside, a hand tires.
///
/// # Source
/// Energy balance of a pipe; laminar friction 64/Re, turbulent by Blasius, as in Sukhatme, A Textbook on Heat Transfer, chapter 4. The change at 2300 is the
/// usual one; between 2000 and 4000 either may hold.
///
/// # Errors
/// Any argument outside its range; a pressure that does not lift the fluid as high.
///
/// # Example
/// 2 m of 8 mm, lift 0.8 m, 60 kPa, 850 kg/m³, 75 mm²/s: v = 0.830 m/s (Re 88), 41.7 mL/s, 2.5 L/min: 4 L take 96 s.
/// ```
/// use physics::pump::{Pace, Pumping, pump_time};
/// use quantity::{Density, Flow, KinematicViscosity, Length, Pressure, Volume};
/// let mm = Length::from_mm;
/// let pumping = Pumping {
///     volume: Volume::from_litres(4.0),
///     bore: mm(8.0),
///     length: mm(2000.0),
///     lift: mm(800.0),
///     pressure: Pressure::from_kpa(60.0),
///     free_flow: Flow::from_ml_per_minute(6000.0),
///     density: Density::from_kg_per_m3(850.0),
///     viscosity: KinematicViscosity::from_mm2_per_s(75.0),
/// };
/// let pumped = pump_time(&pumping).unwrap();
/// assert!(pumped.pace == Pace::Hose && (pumped.time.seconds() - 95.9).abs() < 0.1);
/// ```
pub fn pump_time(pumping: &Pumping) -> Result<Pumped, PhysicsError> {
    let volume = PUMPED.check(pumping.volume.ml())?;
    let d = HOSE.check(pumping.bore.mm())? / 1000.0;
    let length = HOSE_LENGTH.check(pumping.length.mm())? / 1000.0;
    let lift = LIFT.check(pumping.lift.mm())? / 1000.0;
    let pressure = PRESSURE.check(pumping.pressure.kpa())? * 1000.0;
    let free = FREE_FLOW.check(pumping.free_flow.ml_per_minute())? / 60.0;
    let rho = DENSITY.check(pumping.density.kg_per_m3())?;
    let nu = VISCOSITY.check(pumping.viscosity.mm2_per_s())? / 1e6;
    let drive = pressure / rho - G * lift;
    if drive <= 0.0 {
        return Err(PhysicsError::Contradiction(format!(
            "{:.0} kPa lift this fluid {:.2} m at most; raise the can or take a stronger pump",
            pressure / 1000.0,
            pressure / rho / G
        )));
    }
    let needed = |v: f64| {
        let reynolds = v * d / nu;
        let friction = if reynolds <= LAMINAR { 64.0 / reynolds } else { 0.3164 / reynolds.sqrt().sqrt() };
        (friction * length / d + LOSSES) * v * v / 2.0
    };
    // Without friction it is no faster than this; what is needed grows with v, so halving finds the only answer.
    let (mut low, mut high) = (0.0, (2.0 * drive / LOSSES).sqrt());
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if needed(middle) < drive { low = middle } else { high = middle }
    }
    let mouth = std::f64::consts::PI * d * d / 4.0 * 1e6;
    let through = 0.5 * (low + high) * mouth;
    let (q, pace) = if free <= through { (free, Pace::Pump) } else { (through, Pace::Hose) };
    Ok(Pumped {
        time: Duration::from_seconds(volume / q),
        flow: Flow::from_ml_per_second(q),
        pace,
        reynolds: q / mouth * d / nu,
    })
}
