//! Errors of the sizes that budgets and ledgers claim, drawn into a simulated vehicle, its instruments and whoever reads
//! them, so that what a job says can be held against a truth it was not told.
//!
//! The same seed draws the same errors; each is drawn apart from all others, so that one more changes no other.

use link::simulate::{Gauge, Stance, VehicleParams};
use quantity::{Angle, Length, Temperature, TemperatureDifference, Volume};
use sheet::{Level, Renewal, Sheet};

use super::sight::Beside;

/// Reader of the fluid's temperature, K.
const SENSOR_K: f64 = 2.0;
/// How the vehicle stands against what was read off a level, degrees along each axis.
const TILT_DEG: f64 = 0.2;
/// Fluid surface against what the sheet says, as a share; of a volume between marks that a manual prints.
const SURFACE: f64 = 0.10;
const BETWEEN: f64 = 0.05;
/// Height of an edge against where it belongs, mm.
const LIP_MM: f64 = 0.5;
/// Flow over an edge against any law, and what one calls a stream against what another does, as logarithms.
const EDGE_FLOW: f64 = 0.25;
const EYE: f64 = 0.25;
/// Where a stick, probe or sensor meets the fluid when the sheet does not say, mm from the middle along each axis.
const PLACE_MM: f64 = 100.0;
/// How a stick or probe seats and is marked, and a depth felt in a hole: with the scatter of single looks that the simulation
/// has (0.6 and 1.0 mm) it comes to the 1.0 and 1.5 mm that the budget claims.
const SEAT_MM: f64 = 0.8;
const FELT_MM: f64 = 1.118;
/// Density at 15 °C, half-width in kg/m³, and expansion, half-width as a share.
const DENSITY: f64 = 8.0;
const EXPANSION: f64 = 0.03;
/// A jug: as a share, never better than so many mL; a thermometer in it, K.
const JUG: f64 = 0.01;
const JUG_ML: f64 = 20.0;
const JUG_K: f64 = 1.5;
/// What a drain leaves behind, as a share of the charge, where nothing but the volume says how full it is.
const LEFT_BEHIND: f64 = 0.02;
/// How full it came, as a share of the charge too little and too much, rectangular.
const FOUND: (f64, f64) = (-0.10, 0.06);

/// Numbers of what is looked at begin here; below it are those of what is poured.
const FIRST_LOOK: u64 = 1 << 32;

/// What an error is drawn for.
#[derive(Debug, Clone, Copy)]
enum Of {
    Sensor,
    NoseUp,
    RightUp,
    Surface,
    Edge,
    EdgeFlow,
    Ahead,
    Right,
    Eye,
    Worth,
    Density,
    Expansion,
    LeftBehind,
    Found,
    Jug,
    JugHeat,
}

/// The errors of one seed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    seed: u64,
}

impl Drawn {
    /// All errors of that seed.
    pub const fn new(seed: u64) -> Self {
        Self { seed }
    }

    /// Two words from seed, purpose and number, each uniform in (0, 1].
    fn units(self, of: Of, n: u64) -> (f64, f64) {
        // SplitMix64's finisher (Steele, Lea and Flood 2014; constants from memory) over a counter.
        let word = |i: u64| {
            let mut z = self.seed.wrapping_mul(0xd129_0d3b_1a5f_27c9)
                ^ (of as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15)
                ^ (2 * n + i).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            for multiplier in [0xbf58_476d_1ce4_e5b9_u64, 0x94d0_49bb_1331_11eb, 0xbf58_476d_1ce4_e5b9] {
                z = (z ^ (z >> 30)).wrapping_mul(multiplier);
            }
            (((z ^ (z >> 31)) >> 11) + 1) as f64 / (1u64 << 53) as f64
        };
        (word(0), word(1))
    }

    /// Standard normal (Box and Muller).
    fn normal(self, of: Of, n: u64) -> f64 {
        let (a, b) = self.units(of, n);
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }

    /// Uniform from −1 to 1.
    fn rectangle(self, of: Of, n: u64) -> f64 {
        2.0 * self.units(of, n).0 - 1.0
    }

    /// How it really stands, where a level laid on it showed that.
    pub(super) fn stands(self, seen: &Stance) -> Stance {
        let off = |of| Angle::from_degrees(TILT_DEG * self.normal(of, 0));
        Stance { nose_up: seen.nose_up + off(Of::NoseUp), right_up: seen.right_up + off(Of::RightUp) }
    }

    /// Draws the errors of a vehicle that stands so into its parameters.
    pub(super) fn into_vehicle(self, sheet: &Sheet, stands: &Stance, params: &mut VehicleParams) {
        params.sensor_error = TemperatureDifference::from_kelvin(SENSOR_K * self.normal(Of::Sensor, 0));
        let ones = sheet.circuits().into_iter().filter_map(|id| sheet.of_circuit(id));
        for (n, (one, p)) in (0..).zip(ones.zip(std::iter::once(&mut params.circuit).chain(&mut params.further))) {
            let surface = if matches!(one.level, Level::Dipstick(_)) { BETWEEN } else { SURFACE };
            p.sump_area = p.sump_area * (1.0 + surface * self.normal(Of::Surface, n)).max(0.5);
            let edge = match p.gauge {
                Gauge::Standpipe { .. } => LIP_MM,
                Gauge::Hole { .. } if one.level.runs_off() => LIP_MM,
                Gauge::Hole { .. } => FELT_MM,
                Gauge::Stick { .. } | Gauge::Probe { .. } => SEAT_MM,
                Gauge::Readout { .. } | Gauge::Blind => 0.0,
            };
            p.lean = p.lean + Length::from_mm(edge * self.normal(Of::Edge, n));
            if one.level.lip().is_none() && one.level.is_read() {
                // Where it meets the fluid is somewhere under the case.
                let place = |of| Length::from_mm(PLACE_MM * self.normal(of, n));
                p.lean = p.lean + stands.lean(place(Of::Ahead), place(Of::Right));
            }
            if let Gauge::Readout { per_unit, .. } = &mut p.gauge {
                *per_unit = *per_unit * (1.0 + BETWEEN * self.normal(Of::Worth, n)).max(0.5);
            }
            p.edge_flow = (EDGE_FLOW * self.normal(Of::EdgeFlow, n)).exp();
            p.eye = (EYE * self.normal(Of::Eye, n)).exp();
            p.density15_kg_m3 += DENSITY * self.rectangle(Of::Density, n);
            p.expansion_per_k *= 1.0 + EXPANSION * self.rectangle(Of::Expansion, n);
            if matches!(one.level, Level::VolumeOnly(_)) {
                let more = p.charge * (LEFT_BEHIND * self.normal(Of::LeftBehind, n));
                p.held_at_rest = (p.held_at_rest + more).max(Volume::from_ml(50.0));
            }
            if !matches!(one.renewal, Renewal::DryFill(_)) {
                let share = 0.5 * (FOUND.0 + FOUND.1) + 0.5 * (FOUND.1 - FOUND.0) * self.rectangle(Of::Found, n);
                p.found_error = p.charge * share;
            }
        }
    }

    /// Reads what is seen of a circuit through jugs and thermometers; the number of the jug sets one look apart from the next.
    pub(super) fn into_jugs(self, seen: &mut Beside, jugs: u64) {
        let ml = |ml: f64, part: u64| self.jug(Volume::from_ml(ml), FIRST_LOOK + 4 * jugs + part).ml();
        seen.drained_ml = ml(seen.drained_ml, 0);
        seen.caught_ml = ml(seen.caught_ml, 1);
        seen.passed_ml = (ml(seen.passed_ml.0, 2), ml(seen.passed_ml.1, 3));
        seen.fluid_c = self.jug_heat(Temperature::from_celsius(seen.fluid_c), FIRST_LOOK + jugs).celsius().round();
    }

    /// What a jug shows of a volume; nothing where there is nothing. `n` numbers the measurement.
    pub(super) fn jug(self, volume: Volume, n: u64) -> Volume {
        if volume.ml() <= 0.0 {
            return volume;
        }
        let off = (volume * JUG).max(Volume::from_ml(JUG_ML)) * self.normal(Of::Jug, n);
        (volume + off).max(Volume::from_ml(0.0))
    }

    /// What a thermometer in that jug shows.
    pub(super) fn jug_heat(self, temp: Temperature, n: u64) -> Temperature {
        temp + TemperatureDifference::from_kelvin(JUG_K * self.normal(Of::JugHeat, n))
    }
}
