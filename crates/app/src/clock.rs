//! Time, as a port: the workshop's clock, or the demo's, which runs at a chosen multiple of life.

use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{Instant, SystemTime, UNIX_EPOCH};

/// Where the time comes from.
pub trait Clock: Send + Sync {
    /// Milliseconds since 1970-01-01 UTC.
    fn now_ms(&self) -> i64;
    /// How many seconds of this clock pass in one second of life.
    fn speed(&self) -> f64 {
        1.0
    }
    /// Goes on by that many milliseconds at once, where that can be done: only the demo's clock can.
    fn pass(&self, _ms: i64) {}
}

/// The computer's clock.
pub struct SystemClock;

impl Clock for SystemClock {
    fn now_ms(&self) -> i64 {
        SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_millis().min(i64::MAX as u128) as i64)
    }
}

/// A clock that starts at a moment and runs at a multiple of life.
pub struct ScaledClock {
    start_ms: i64,
    started: Instant,
    speed: f64,
    passed_ms: AtomicI64,
}

impl ScaledClock {
    /// A clock that shows `start_ms` now and runs `speed` times as fast as life; `speed` is held between 0.1 and 600.
    pub fn new(start_ms: i64, speed: f64) -> Self {
        let speed = if speed.is_finite() { speed.clamp(0.1, 600.0) } else { 1.0 };
        Self { start_ms, started: Instant::now(), speed, passed_ms: AtomicI64::new(0) }
    }
}

impl Clock for ScaledClock {
    fn now_ms(&self) -> i64 {
        let passed_ms = self.passed_ms.load(Ordering::SeqCst);
        self.start_ms + passed_ms + (self.started.elapsed().as_secs_f64() * 1000.0 * self.speed) as i64
    }
    fn speed(&self) -> f64 {
        self.speed
    }
    fn pass(&self, ms: i64) {
        self.passed_ms.fetch_add(ms.max(0), Ordering::SeqCst);
    }
}
