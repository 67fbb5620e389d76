//! Test support: a throw-away server, a browser driver, a connection that can be cut, seeded chance.
//!
//! This crate must never know the domain: it starts processes, moves bytes and draws numbers. Everything it starts ends
//! when its guard is dropped, also when the test panics.

mod chance;
mod cut;
mod driver;
mod server;

pub use chance::Chance;
pub use cut::Cut;
pub use driver::{Driver, Screen};
pub use server::Server;

/// A loopback port that was free a moment ago. Another process may take it before it is used: prefer port 0 where the
/// program under test can report what it got.
///
/// # Errors
/// When the system has no loopback port left.
pub fn free_port() -> std::io::Result<u16> {
    Ok(std::net::TcpListener::bind(("127.0.0.1", 0))?.local_addr()?.port())
}
