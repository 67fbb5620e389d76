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
    /// By how much the computer's clock was set while this one went on without it; 0 while they agree.
    fn moved_ms(&self) -> i64 {
        0
    }
    /// Goes on by that many milliseconds at once, where that can be done: only the demo's clock can.
    fn pass(&self, _ms: i64) {}
}

/// The computer's clock at this moment, whatever it says.
pub struct SystemClock;

impl Clock for SystemClock {
    fn now_ms(&self) -> i64 {
        SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_millis().min(i64::MAX as u128) as i64)
    }
}

/// The computer's clock is followed while it runs on by itself; set further than this it is not.
const SET_MS: i64 = 60_000;

/// The computer's clock for a server that stays up for days: it is followed as long as it runs on, small corrections
/// included. Set by more than a minute, back or ahead, it would make old readings fresh or waits pass that have not: then time
/// goes on from where it was, and [`Clock::moved_ms`] says so until the server is started again. Sleep counts as time.
pub struct SteadyClock {
    wall: Box<dyn Fn() -> i64 + Send + Sync>,
    since_start: Box<dyn Fn() -> i64 + Send + Sync>,
    /// Wall time less time since the start, as followed.
    offset_ms: AtomicI64,
    /// How far the wall was set, 0 while it is followed.
    moved_ms: AtomicI64,
}

impl SteadyClock {
    /// Follows the computer's clock from now on.
    pub fn new() -> Self {
        Self::of(Box::new(|| SystemClock.now_ms()), since_boot())
    }

    /// Any wall clock beside any clock that nobody sets, both in milliseconds.
    pub fn of(wall: Box<dyn Fn() -> i64 + Send + Sync>, since_start: Box<dyn Fn() -> i64 + Send + Sync>) -> Self {
        let offset_ms = AtomicI64::new(wall() - since_start());
        Self { wall, since_start, offset_ms, moved_ms: AtomicI64::new(0) }
    }
}

impl Default for SteadyClock {
    fn default() -> Self {
        Self::new()
    }
}

impl Clock for SteadyClock {
    fn now_ms(&self) -> i64 {
        let since = (self.since_start)();
        let offset = (self.wall)().saturating_sub(since);
        let followed = self.offset_ms.load(Ordering::SeqCst);
        let moved = offset.saturating_sub(followed);
        if moved.abs() <= SET_MS {
            self.offset_ms.store(offset, Ordering::SeqCst);
            self.moved_ms.store(0, Ordering::SeqCst);
            return since + offset;
        }
        self.moved_ms.store(moved, Ordering::SeqCst);
        since + followed
    }
    fn moved_ms(&self) -> i64 {
        self.now_ms();
        self.moved_ms.load(Ordering::SeqCst)
    }
}

/// Milliseconds since some moment before, sleep counted: a lid that was closed for an hour is an hour.
fn since_boot() -> Box<dyn Fn() -> i64 + Send + Sync> {
    #[cfg(target_os = "linux")]
    return Box::new(|| {
        let now = rustix::time::clock_gettime(rustix::time::ClockId::Boottime);
        now.tv_sec.saturating_mul(1000).saturating_add(now.tv_nsec / 1_000_000)
    });
    #[cfg(not(target_os = "linux"))]
    {
        let start = Instant::now();
        Box::new(move || i64::try_from(start.elapsed().as_millis()).unwrap_or(i64::MAX))
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
