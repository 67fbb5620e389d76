//! A span from low to high, of any ordered quantity.

use serde::{Deserialize, Serialize};

/// Low and high of one quantity, both included; low ≤ high is the constructor's promise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Span<T> {
    /// The low end.
    pub low: T,
    /// The high end.
    pub high: T,
}

impl<T: PartialOrd + Copy> Span<T> {
    /// `None` when the ends are reversed or do not compare (NaN).
    pub fn new(low: T, high: T) -> Option<Self> {
        (low <= high).then_some(Self { low, high })
    }
    /// A single value: low = high.
    pub const fn at(value: T) -> Self {
        Self { low: value, high: value }
    }
    /// True when `value` lies inside, ends included.
    pub fn contains(&self, value: T) -> bool {
        self.low <= value && value <= self.high
    }
    /// The common part of two spans, if there is one.
    pub fn common(&self, other: &Self) -> Option<Self> {
        let low = if self.low > other.low { self.low } else { other.low };
        let high = if self.high < other.high { self.high } else { other.high };
        Self::new(low, high)
    }
    /// The same span seen through `f`, which must keep the order.
    pub fn map<U>(self, f: impl Fn(T) -> U) -> Span<U> {
        Span { low: f(self.low), high: f(self.high) }
    }
}
