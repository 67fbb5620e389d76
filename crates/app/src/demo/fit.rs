//! A simulated vehicle that fits a unit sheet: the same charge, sump, fluid and range of temperature, and what the family
//! of each circuit judges its level by.

use job::plan::{Choices, plan};
use link::simulate::{CircuitParams, Gauge, Stance, VehicleParams};
use quantity::{Angle, Length, Span, Temperature, Volume};
use sheet::{EngineState, Level, Plug, Renewal, Role, Sheet, Sourced};

/// The demo vehicle is found this part of its charge low: 350 mL of 9 L.
const FOUND_LOW: f64 = 350.0 / 9000.0;
/// A drain brings this part of the charge where the sheet does not say: the middle of the usual 30–50 % (common
/// practice, no source).
const DRAINS: f64 = 0.4;
/// Of what a drain brings the pump lifts and the shift circuits take up these parts: chosen, as in the demo vehicle.
const LIFTED: f64 = 0.3;
const SHIFTS: f64 = 0.05;
/// A dry unit is wet all the same.
const WET: f64 = 0.01;
/// A level hole whose plug has no stated thread: common practice, no source.
const HOLE_BORE: Length = Length::from_mm(14.0);
/// A rest asked for is this many times as long as poured fluid takes to run down.
const RESTS: f64 = 4.0;
/// What an exchange machine's tank takes at a time.
pub(super) const TANK: Volume = Volume::from_litres(4.0);

/// Most that a demo vehicle stands off level, nose and right side, in tenths of a degree: what is left after a careful
/// set-up, inside every limit that a sheet states (common practice, no source).
const NOSE_TENTHS: i32 = 4;
const SIDE_TENTHS: i32 = 3;

/// How the vehicle of that seed stands: in tenths of a degree, each way alike. Level where the sheet does not say where the
/// fluid's edge is, for then nobody could reckon what it makes.
pub(super) fn stance(sheet: &Sheet, seed: u64) -> Stance {
    let ones = sheet.circuits().into_iter().filter_map(|id| sheet.of_circuit(id));
    if ones.filter_map(|one| one.level.lip()).next().is_none() {
        return Stance::default();
    }
    let tenths = |drawn: u64, most: i32| {
        let ways = (2 * most + 1) as u64;
        Angle::from_degrees(f64::from((drawn % ways) as i32 - most) / 10.0)
    };
    // Two rounds of multiplying and folding: seeds that follow each other stand differently.
    let drawn = [STANDS, !STANDS].iter().fold(seed, |drawn, word| {
        let mixed = (drawn ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        mixed ^ (mixed >> 32)
    });
    Stance { nose_up: tenths(drawn >> 48, NOSE_TENTHS), right_up: tenths(drawn >> 32 & 0xffff, SIDE_TENTHS) }
}

/// Sets how a vehicle stands apart from what else hangs on its seed: any word does.
const STANDS: u64 = 0x3c6e_f372_fe94_f82b;

/// A vehicle for a sheet that stands so, and for each circuit its id and what is pumped into it from a can.
pub(super) fn fit(sheet: &Sheet, stance: &Stance) -> (VehicleParams, Vec<(String, Volume)>) {
    let plan = plan(sheet, &Choices::default());
    let ones: Vec<Sheet> = sheet.circuits().into_iter().filter_map(|id| sheet.of_circuit(id)).collect();
    let pumped = ones.iter().map(|one| (one.circuit.0.clone(), plan.fill_of(&one.circuit.0).first_ml)).collect();
    let mut circuits: Vec<CircuitParams> = ones.iter().map(|one| circuit(one, stance)).collect();
    let demo = VehicleParams::demo();
    let size = circuits.iter().map(|c| c.charge.ml()).sum::<f64>() / demo.circuit.charge.ml();
    let first = if circuits.is_empty() { demo.circuit.clone() } else { circuits.remove(0) };
    let params = VehicleParams {
        // A small unit has a small case.
        case_j_per_k: (demo.case_j_per_k * size).clamp(5_000.0, 500_000.0),
        case_to_air_w_per_k: (demo.case_to_air_w_per_k * size).clamp(1.0, 100.0),
        engine_to_case_w_per_k: (demo.engine_to_case_w_per_k * size).clamp(1.0, 100.0),
        circuit: first,
        further: circuits,
        ..demo
    };
    (params, pumped)
}

fn circuit(one: &Sheet, stance: &Stance) -> CircuitParams {
    let demo = CircuitParams::demo();
    let charge = one.capacity.total.mid();
    let size = charge.ml() / demo.charge.ml();
    let none = Volume::from_ml(0.0);
    let tube_leaves = match &one.renewal {
        Renewal::Extraction(tube) => tube.leaves.as_ref().map_or(none, Sourced::mid),
        _ => none,
    };
    let drains = one.capacity.drained.as_ref().map_or(charge * DRAINS, Sourced::mid) + tube_leaves;
    // Only a unit whose engine is started for the level has a pump that lifts fluid out of the sump.
    let pumped = if one.level.engine().is_some() { drains } else { none };
    let set_at = one.level.window().map_or(demo.reference, |window| middle(window.value));
    let fluid = &one.fluid;
    let part = |watts: f64| watts * size;
    let mut fitted = CircuitParams {
        charge,
        set_at,
        set_idling: one.level.engine() == Some(EngineState::Idling),
        found_error: match one.renewal {
            Renewal::DryFill(_) => charge * (WET - 1.0),
            _ => charge * -FOUND_LOW,
        },
        held_at_rest: (charge - drains).max(Volume::from_ml(50.0)),
        drain_back: pumped * LIFTED,
        shift_circuits: pumped * SHIFTS,
        runs_down_s: one.level.rest().seconds() / RESTS,
        sump_area: one.level.surface().unwrap_or(demo.sump_area * size.clamp(0.1, 5.0)),
        sump_room: charge + Volume::from_litres(2.0),
        gauge: Gauge::Blind,
        lean: one.level.lip().map_or(Length::from_mm(0.0), |lip| stance.lean(lip.ahead, lip.right)),
        tube_leaves,
        line_opens: match &one.renewal {
            Renewal::Exchange(exchange) => {
                exchange.temperature.as_ref().map_or(Temperature::from_celsius(-50.0), |t| t.value.low)
            }
            _ => demo.line_opens,
        },
        kv40: fluid.kv40.as_ref().map_or(demo.kv40, Sourced::mid),
        kv100: fluid.kv100.as_ref().map_or(demo.kv100, Sourced::mid),
        density15_kg_m3: fluid.density15.as_ref().map_or(demo.density15_kg_m3, |d| d.mid().kg_per_m3()),
        drag_heat_w: part(demo.drag_heat_w),
        churning_heat_w: part(demo.churning_heat_w),
        cooler_w_per_k: part(demo.cooler_w_per_k).min(500.0),
        fluid_to_case_w_per_k: part(demo.fluid_to_case_w_per_k).clamp(1.0, 500.0),
        ..demo
    };
    let bore = one.plug_with(Role::Level).and_then(Plug::hole).unwrap_or(HOLE_BORE);
    gauge(&one.level, bore, &mut fitted);
    fitted
}

/// What shows the level, with what hangs on it; `bore` is that of a level hole.
fn gauge(level: &Level, bore: Length, fitted: &mut CircuitParams) {
    let zero = Length::from_mm(0.0);
    fitted.gauge = match level {
        Level::Dipstick(stick) => {
            let low_below_right = stick.apart.mid() * 0.5;
            Gauge::Stick { low_below_right, cold_at: stick.cold.as_ref().map(|cold| middle(cold.value)) }
        }
        Level::Probe(probe) => {
            let limits = |at| job::family::read::chart_limits(probe, at).map(|span| (span.low + span.high) * 0.5);
            // A chart rises faster than the fluid expands: cold, more of it clings.
            if let [first, .., last] = probe.chart.as_slice() {
                let rise = (last.low + last.high - first.low - first.high) * 0.5;
                let kelvin = (last.temperature - first.temperature).kelvin();
                let ml_per_k = rise.mm() * fitted.sump_area.square_metres() * 1000.0 / kelvin;
                fitted.clings_ml_per_k = (ml_per_k - fitted.expansion_per_k * fitted.charge.ml()).clamp(0.0, 100.0);
            }
            Gauge::Probe { right: limits(fitted.set_at).unwrap_or(zero) }
        }
        Level::BottomOfHole(hole) => Gauge::Hole { bore, above_right: hole.below.mid() },
        Level::SideHole(_) => Gauge::Hole { bore, above_right: zero },
        Level::ElectronicReadout(shown) => Gauge::Readout {
            right: (shown.low + shown.high) / 2.0,
            per_unit: shown.per_unit.mid(),
            step: shown.resolution,
            settles_s: (shown.rest.seconds() / RESTS).clamp(1.0, 600.0),
        },
        Level::VolumeOnly(_) | Level::SameBack => Gauge::Blind,
        level => level.overflow().map_or(Gauge::Blind, |o| Gauge::Standpipe { bore: o.standpipe.bore.mid() }),
    };
}

fn middle(span: Span<Temperature>) -> Temperature {
    span.low + (span.high - span.low) * 0.5
}
