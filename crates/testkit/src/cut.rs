//! A connection that can be cut and restored.

use std::io::{Read, Write};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream, ToSocketAddrs};
use std::sync::atomic::{AtomicU8, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

const OPEN: u8 = 0;
const STALLED: u8 = 1;
const CUT: u8 = 2;
const ENDED: u8 = 3;

/// A proxy on a loopback port that hands bytes on to a server, until it is told not to.
#[derive(Debug)]
pub struct Cut {
    address: SocketAddr,
    shared: Arc<Shared>,
}

#[derive(Debug)]
struct Shared {
    state: AtomicU8,
    open: Mutex<Vec<TcpStream>>,
}

impl Shared {
    fn state(&self) -> u8 {
        self.state.load(Ordering::SeqCst)
    }

    fn hang_up(&self) {
        for stream in self.open.lock().unwrap_or_else(PoisonError::into_inner).drain(..) {
            // One that is closed already cannot be closed again; nothing is lost.
            let _ = stream.shutdown(Shutdown::Both);
        }
    }

    /// Waits while stalled; true when bytes may pass.
    fn passes(&self) -> bool {
        while self.state() == STALLED {
            std::thread::sleep(Duration::from_millis(5));
        }
        self.state() == OPEN
    }
}

impl Cut {
    /// A proxy to `host:port`, open at first.
    ///
    /// # Errors
    /// When the address cannot be resolved or no loopback port is left.
    pub fn to(server: &str) -> std::io::Result<Self> {
        let target = server.to_socket_addrs()?.next().ok_or(std::io::ErrorKind::AddrNotAvailable)?;
        let listener = TcpListener::bind(("127.0.0.1", 0))?;
        let address = listener.local_addr()?;
        let shared = Arc::new(Shared { state: AtomicU8::new(OPEN), open: Mutex::default() });
        let inside = Arc::clone(&shared);
        std::thread::spawn(move || {
            for client in listener.incoming().map_while(Result::ok) {
                match inside.state() {
                    ENDED => break,
                    // Dropped at once: the client sees its connection closed.
                    CUT => drop(client),
                    _ => serve(client, target, &inside),
                }
            }
        });
        Ok(Self { address, shared })
    }

    /// Where clients connect to.
    pub fn url(&self) -> String {
        format!("http://{}", self.address)
    }

    /// Host and port for clients.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Closes every connection and every new one at once, as a server that went away.
    pub fn cut(&self) {
        self.shared.state.store(CUT, Ordering::SeqCst);
        self.shared.hang_up();
    }

    /// Lets no byte pass but closes nothing, as a radio link in a dead spot. What was on its way arrives after
    /// [`restore`](Self::restore).
    pub fn stall(&self) {
        self.shared.state.store(STALLED, Ordering::SeqCst);
    }

    /// Lets bytes and new connections pass again.
    pub fn restore(&self) {
        self.shared.state.store(OPEN, Ordering::SeqCst);
    }
}

impl Drop for Cut {
    fn drop(&mut self) {
        self.shared.state.store(ENDED, Ordering::SeqCst);
        self.shared.hang_up();
        // Wakes the thread that waits for a client, so that it sees the end.
        let _ = TcpStream::connect(self.address);
    }
}

fn serve(client: TcpStream, target: SocketAddr, shared: &Arc<Shared>) {
    let Ok(server) = TcpStream::connect(target) else { return };
    for (from, to) in [(&client, &server), (&server, &client)] {
        // Out of file handles: this client sees a closed connection.
        let (Ok(from), Ok(to), Ok(kept)) = (from.try_clone(), to.try_clone(), from.try_clone()) else { return };
        shared.open.lock().unwrap_or_else(PoisonError::into_inner).push(kept);
        let shared = Arc::clone(shared);
        std::thread::spawn(move || hand_on(from, to, &shared));
    }
}

fn hand_on(mut from: TcpStream, mut to: TcpStream, shared: &Shared) {
    let mut buffer = [0; 16_384];
    while let Ok(count) = from.read(&mut buffer) {
        if count == 0 || !shared.passes() || to.write_all(&buffer[..count]).is_err() {
            break;
        }
    }
    let _ = to.shutdown(Shutdown::Write);
    if shared.state() != OPEN {
        let _ = from.shutdown(Shutdown::Both);
    }
}
