//! How many may be connected: a ceiling in all and one for each address. A new visitor takes the seat of the one that has
//! waited longest without asking for anything.

use std::net::IpAddr;
use std::pin::Pin;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::task::{Context, Poll};

use axum::body::{Body, Bytes};
use axum::response::Response;
use http_body::{Body as HttpBody, Frame, SizeHint};
use tokio::sync::Notify;

/// Of all seats one address may take this part.
const EACH: (usize, usize) = (3, 4);

/// The seats of a server.
#[derive(Debug, Clone)]
pub(crate) struct Seats {
    taken: Arc<Mutex<Vec<Arc<Taken>>>>,
    most: usize,
}

#[derive(Debug)]
struct Taken {
    from: IpAddr,
    /// Requests under way on it.
    busy: AtomicUsize,
    leave: Notify,
}

/// One seat, given back when it is dropped.
#[derive(Debug)]
pub(crate) struct Seat {
    own: Arc<Taken>,
    seats: Seats,
}

impl Seats {
    pub(crate) fn new(most: usize) -> Self {
        Self { taken: Arc::default(), most: most.max(4) }
    }

    /// A seat for a visitor; `None` when all are taken by visitors that are being answered.
    pub(crate) fn take(&self, from: IpAddr) -> Option<Seat> {
        let mut taken = self.taken.lock().ok()?;
        let each = self.most * EACH.0 / EACH.1;
        let theirs = taken.iter().filter(|one| one.from == from).count();
        if theirs >= each {
            send_away(&mut taken, |one| one.from == from)?;
        } else if taken.len() >= self.most {
            send_away(&mut taken, |_| true)?;
        }
        let own = Arc::new(Taken { from, busy: AtomicUsize::new(0), leave: Notify::new() });
        taken.push(own.clone());
        Some(Seat { own, seats: self.clone() })
    }

    /// Sends the longest waiting one away, so that the system has something to give again.
    pub(crate) fn free_one(&self) {
        if let Ok(mut taken) = self.taken.lock() {
            let _ = send_away(&mut taken, |_| true);
        }
    }
}

/// The first that waits without asking for anything: they stand in the order in which they came.
fn send_away(taken: &mut Vec<Arc<Taken>>, which: impl Fn(&Taken) -> bool) -> Option<()> {
    let at = taken.iter().position(|one| which(one) && one.busy.load(Ordering::SeqCst) == 0)?;
    taken.remove(at).leave.notify_one();
    Some(())
}

impl Seat {
    /// Ready when somebody else needs the seat.
    pub(crate) async fn gone(&self) {
        self.own.leave.notified().await;
    }

    /// A request is under way until what this gives is dropped.
    pub(crate) fn busy(&self) -> Busy {
        self.own.busy.fetch_add(1, Ordering::SeqCst);
        Busy(self.own.clone())
    }
}

impl Drop for Seat {
    fn drop(&mut self) {
        if let Ok(mut taken) = self.seats.taken.lock() {
            taken.retain(|one| !Arc::ptr_eq(one, &self.own));
        }
    }
}

/// A request under way.
#[derive(Debug)]
pub(crate) struct Busy(Arc<Taken>);

impl Busy {
    /// Busy until the last of the answer is sent; a live stream is busy as long as it lasts.
    pub(crate) fn until_sent(self, response: Response) -> Response {
        response.map(|body| Body::new(Sent { body, _busy: self }))
    }
}

impl Drop for Busy {
    fn drop(&mut self) {
        self.0.busy.fetch_sub(1, Ordering::SeqCst);
    }
}

/// A body that keeps its connection busy.
struct Sent {
    body: Body,
    _busy: Busy,
}

impl HttpBody for Sent {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        Pin::new(&mut self.body).poll_frame(cx)
    }

    fn is_end_stream(&self) -> bool {
        self.body.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.body.size_hint()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fault_a_new_visitor_takes_the_place_of_an_idle_one() {
        let seats = Seats::new(8);
        let address = |n: u8| IpAddr::from([10, 0, 0, n]);
        let first: Vec<Seat> = (0..6).map(|_| seats.take(address(1)).expect("a seat")).collect();
        let count = |of: u8| seats.taken.lock().expect("seats").iter().filter(|one| one.from == address(of)).count();
        // Six of eight are all that one address gets: the seventh sends the first away.
        let seventh = seats.take(address(1)).expect("a seat");
        assert_eq!(count(1), 6);
        let _other: Vec<Seat> = (2..4).map(|n| seats.take(address(n)).expect("a seat")).collect();
        let _full = seats.take(address(5)).expect("a seat");
        let all = seats.taken.lock().expect("seats").len();
        assert_eq!((all, count(1), count(5)), (8, 5, 1));
        // Whoever is being answered keeps the seat.
        let busy: Vec<Busy> = first.iter().chain([&seventh]).map(Seat::busy).collect();
        assert!(seats.take(address(6)).is_some(), "one of the others waits idle");
        drop(busy);
        drop((first, seventh));
        assert_eq!(count(1), 0);
    }
}
