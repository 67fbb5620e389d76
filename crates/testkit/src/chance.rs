//! Seeded chance for tests.

/// A small generator (SplitMix64; Steele, Lea and Flood 2014, constants from memory): the same seed gives the same
/// numbers. A test prints its seed in every message, so that a failure can be repeated.
#[derive(Debug, Clone)]
pub struct Chance(u64);

impl Chance {
    /// A generator; every seed is good.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// 64 even bits.
    pub fn word(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Uniform in [0, 1).
    pub fn unit(&mut self) -> f64 {
        (self.word() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Uniform in [low, high).
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A whole number below `end`; 0 when `end` is 0. The bias of the remainder is below 2⁻³² for every `end` a test uses.
    pub fn below(&mut self, end: usize) -> usize {
        (self.word() % (end.max(1) as u64)) as usize
    }

    /// One of several; `None` of none.
    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> Option<&'a T> {
        of.get(self.below(of.len()))
    }
}
