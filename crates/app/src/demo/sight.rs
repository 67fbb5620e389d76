//! What a person beside a simulated vehicle would see, rounded as a person reads it.

use link::simulate::{Circuit, Look, Shown, Stance, Vehicle};
use quantity::{Mass, Temperature, Volume};
use serde::Serialize;

/// What a person beside the simulated vehicle would see.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sight {
    /// Each circuit, the first one first.
    pub circuits: Vec<Beside>,
    /// How it stands, as a level laid on it shows; whole 0.1°.
    pub stands: Stance,
    /// Lowest and highest figure that the reader showed lately, °C: what somebody may just have read off it.
    pub lately_c: (f64, f64),
}

/// What is seen of one circuit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Beside {
    /// Its id in the sheet.
    pub circuit: String,
    /// Word of the word list for the run-off.
    pub flow: &'static str,
    /// In the pan or jug, drained or sucked out, since it was last measured; whole 10 mL.
    pub drained_ml: f64,
    /// In the pan under the level plug since it was last measured; whole 10 mL.
    pub caught_ml: f64,
    /// What a thermometer in the fluid would show; whole °C.
    pub fluid_c: f64,
    /// What the reader shows, °C.
    pub display_c: f64,
    /// What the level reads as; `None` where nothing is read.
    pub shown: Option<Shown>,
    /// The same against cold marks.
    pub cold: Option<Shown>,
    /// The can with pump and hose on the scale, kg.
    pub can_kg: f64,
    /// Through the cooler line since the last portion was entered: old fluid out, fresh fluid in; whole 10 mL.
    pub passed_ml: (f64, f64),
    /// Fluid is still being moved: what is measured now is not the whole.
    pub moving: bool,
}

impl Sight {
    /// What is seen of a circuit; of the first one for an id that is not there.
    pub fn of(&self, circuit: Option<&str>) -> Option<&Beside> {
        let named = self.circuits.iter().find(|one| Some(one.circuit.as_str()) == circuit);
        named.or(self.circuits.first())
    }

    /// How it stands, in words that follow "stands".
    pub fn stands(&self) -> String {
        let off = |degrees: f64, up: &str, down: &str, flat: &str| match degrees {
            0.0 => format!("0.0° {flat}"),
            _ => format!("{} {:.1}°", if degrees > 0.0 { up } else { down }, degrees.abs()),
        };
        match (self.stands.nose_up.degrees(), self.stands.right_up.degrees()) {
            (0.0, 0.0) => "level, 0.0° both ways".to_owned(),
            (nose, side) => {
                let nose = off(nose, "nose up", "nose down", "along");
                format!("{nose}, {}", off(side, "right side up", "right side down", "across"))
            }
        }
    }
}

/// `entered` is what was entered of the exchange so far, out and in.
pub(super) fn beside(vehicle: &Vehicle, circuit: &Circuit, id: &str, entered: (Volume, Volume)) -> Beside {
    let tens = |volume: Volume| (volume.ml() / 10.0).round() * 10.0;
    let whole = |temperature: Temperature| temperature.celsius().round();
    let (out, fresh) = circuit.exchanged();
    Beside {
        circuit: id.to_owned(),
        flow: match circuit.run_off_look() {
            Look::Stream => "stream",
            Look::ThinStream => "thin-stream",
            Look::Drops => "drops",
            Look::Nothing => "nothing",
        },
        drained_ml: tens(circuit.drained()),
        caught_ml: tens(circuit.caught()),
        fluid_c: whole(circuit.true_fluid()),
        display_c: vehicle.display_of(circuit).celsius(),
        shown: circuit.shown(),
        cold: circuit.shown_cold(),
        can_kg: Mass::kg(circuit.can()),
        passed_ml: (tens(out - entered.0), tens(fresh - entered.1)),
        moving: circuit.moving(vehicle.engine()),
    }
}
