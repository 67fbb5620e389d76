//! One error for every formula: which argument, what it was, where it may lie.

/// The range of an argument: it gives the check, the message and the property-test generator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// What the argument is, in the technician's words.
    pub name: &'static str,
    /// Unit of both ends.
    pub unit: &'static str,
    /// Lowest accepted value.
    pub low: f64,
    /// Highest accepted value.
    pub high: f64,
}

impl Limits {
    /// A range by its parts.
    pub const fn new(name: &'static str, unit: &'static str, low: f64, high: f64) -> Self {
        Self { name, unit, low, high }
    }

    /// The value itself when it lies inside; NaN never does.
    ///
    /// # Errors
    /// [`PhysicsError::OutOfRange`] with this range.
    pub fn check(&'static self, value: f64) -> Result<f64, PhysicsError> {
        if value >= self.low && value <= self.high {
            Ok(value)
        } else {
            Err(PhysicsError::OutOfRange { limits: self, value })
        }
    }
}

/// Why a formula gave no number.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PhysicsError {
    /// An argument lies outside the range for which the formula holds.
    #[error("{} is {value} {}; it must lie between {} and {} {}", .limits.name, .limits.unit, .limits.low, .limits.high, .limits.unit)]
    OutOfRange {
        /// The accepted range.
        limits: &'static Limits,
        /// What was given, in the unit of the range.
        value: f64,
    },
    /// Arguments that are each in range but contradict each other.
    #[error("{0}")]
    Contradiction(String),
}
