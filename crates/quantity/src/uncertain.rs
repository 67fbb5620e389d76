//! A value with its standard uncertainty.

use serde::{Deserialize, Serialize};

/// A value and its standard uncertainty (one standard deviation, JCGM 100), in the same unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Uncertain<T> {
    /// Best estimate.
    pub value: T,
    /// Standard uncertainty, never negative.
    pub u: T,
}

impl<T: Copy> Uncertain<T> {
    /// A value and its standard uncertainty.
    pub const fn new(value: T, u: T) -> Self {
        Self { value, u }
    }
    /// Both numbers seen through a linear `f`.
    pub fn map<U>(self, f: impl Fn(T) -> U) -> Uncertain<U> {
        Uncertain { value: f(self.value), u: f(self.u) }
    }
}
