//! One amount read several times.

use quantity::{Uncertain, Volume};

use super::convert::{PORTION, READINGS, VOLUME_U};
use crate::PhysicsError;

/// Mean and doubt of one volume that was read several times, each time set up anew.
///
/// V = Σ Vᵢ/n; u² = Σ (Vᵢ − V)²/(n (n − 1)) + r²/12; n − 1 degrees of freedom go with it as [`super::Portion::readings`].
///
/// | symbol | argument | unit | valid range |
/// |---|---|---|---|
/// | Vᵢ | `readings`, 2 to 1000 | mL | 0 to 10⁶ |
/// | r | `resolution`, the step one can tell apart | mL | 0 to 10⁶ |
///
/// # Source
/// JCGM 100:2008, 4.2.2 and 4.2.3; resolution F.2.2.1. The n − 1 of the mean stand for the whole, which is on the safe side.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a reading, the resolution or their number.
///
/// # Example
/// 4.98, 5.02, 5.00 L on a 50 mL scale: 5.00 L; s²/n = 400/3 mL², 50²/12 = 208 mL²; u = √341.7 = 18.5 mL.
/// ```
/// use quantity::Volume;
/// let readings = [4.98, 5.02, 5.00].map(Volume::from_litres);
/// let mean = physics::balance::repeated(&readings, Volume::from_ml(50.0)).unwrap();
/// assert!((mean.value.litres() - 5.0).abs() < 1e-12 && (mean.u.ml() - 18.48).abs() < 0.01);
/// ```
pub fn repeated(readings: &[Volume], resolution: Volume) -> Result<Uncertain<Volume>, PhysicsError> {
    let count = READINGS.check(readings.len() as f64)?;
    let step = VOLUME_U.check(resolution.ml())?;
    let mut sum = 0.0;
    for reading in readings {
        sum += PORTION.check(reading.ml())?;
    }
    let mean = sum / count;
    let squares: f64 = readings.iter().map(|v| (v.ml() - mean) * (v.ml() - mean)).sum();
    let variance = squares / (count * (count - 1.0)) + step * step / 12.0;
    Ok(Uncertain::new(Volume::from_ml(mean), Volume::from_ml(variance.sqrt())))
}
