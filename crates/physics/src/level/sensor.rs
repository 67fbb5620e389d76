//! Where the temperature is read, and how far from the sump that usually is.

use quantity::{TemperatureDifference, Uncertain};

use crate::PhysicsError;

/// Where the temperature is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SensorPlace {
    /// In the sump, or at the valve body in its fluid.
    #[default]
    Sump,
    /// At the outlet of the converter, or in the line to the cooler.
    ConverterOutlet,
    /// An infrared thermometer on a painted steel pan.
    InfraredOnPaint,
    /// An infrared thermometer on bare aluminium.
    InfraredOnBareAluminium,
}

impl SensorPlace {
    /// What it usually shows too much against the sump: half way of the usual range, rectangular.
    ///
    /// Common practice, no source: the outlet of the converter leads the sump by 5 to 25 K, paint reads 3 to 10 K low.
    ///
    /// # Errors
    /// Bare aluminium: it mirrors its surroundings, no correction helps.
    pub(super) fn offset(self) -> Result<Uncertain<TemperatureDifference>, PhysicsError> {
        let between = |low: f64, high: f64| {
            let kelvin = TemperatureDifference::from_kelvin;
            Ok(Uncertain::new(kelvin((low + high) / 2.0), kelvin((high - low) / 12.0_f64.sqrt())))
        };
        match self {
            Self::Sump => between(0.0, 0.0),
            Self::ConverterOutlet => between(5.0, 25.0),
            Self::InfraredOnPaint => between(-10.0, -3.0),
            Self::InfraredOnBareAluminium => Err(PhysicsError::Contradiction(
                "an infrared thermometer on bare aluminium shows its surroundings; read on paint or tape, or in the fluid".into(),
            )),
        }
    }
}
