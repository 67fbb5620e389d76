//! Serving until told to stop: who may connect, for how long, and under which names.

use std::convert::Infallible;
use std::future::Future;
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use app::Workshop;
use axum::body::Body;
use axum::http::{HeaderMap, Request, StatusCode, header};
use axum::response::Response;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tower_service::Service;

use crate::router;
use crate::seats::{Seat, Seats};

/// A request line and its headers are there within this, also on a connection that is used again.
const HEADERS: Duration = Duration::from_secs(20);
/// Between two attempts to accept when the system has nothing left to give.
const BREATH: Duration = Duration::from_millis(100);

/// Serves the workshop on `listener` until `stop` is ready; open streams are then ended, not waited for. At most `most`
/// connections are open at once: a new one takes the place of the one that has waited longest without asking for anything.
///
/// # Errors
/// What the listener reports.
pub async fn serve(
    workshop: Arc<Workshop>,
    listener: TcpListener,
    most: usize,
    stop: impl Future<Output = ()> + Send + 'static,
) -> std::io::Result<()> {
    let names = Names { address: listener.local_addr()? };
    let server = accept(listener, router(workshop), names, Seats::new(most));
    // A live page holds its stream for hours; a graceful end would wait for it.
    tokio::select! {
        never = server => match never {},
        () = stop => Ok(()),
    }
}

async fn accept(listener: TcpListener, pages: axum::Router, names: Names, seats: Seats) -> Infallible {
    loop {
        let Ok((stream, peer)) = listener.accept().await else {
            // Out of descriptors, or a visitor that left again: what is open goes on, and the next attempt may do.
            seats.free_one();
            tokio::time::sleep(BREATH).await;
            continue;
        };
        // Without it everything still comes, only later: a live figure is a few small writes.
        let _ = stream.set_nodelay(true);
        if let Some(seat) = seats.take(peer.ip()) {
            tokio::spawn(answer(stream, pages.clone(), names, seat));
        }
    }
}

async fn answer(stream: TcpStream, pages: axum::Router, names: Names, seat: Seat) {
    let seat = Arc::new(seat);
    let (asked, left) = (seat.clone(), seat.clone());
    let service = service_fn(move |request: Request<hyper::body::Incoming>| {
        let busy = asked.busy();
        let mut pages = pages.clone();
        async move {
            let response = match names.serve(&request) {
                true => pages.call(request.map(Body::new)).await.unwrap_or_else(|never| match never {}),
                false => misdirected(request.headers()),
            };
            Ok::<_, Infallible>(busy.until_sent(response))
        }
    });
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(HEADERS);
    // A clock beyond the calendar of headers would end the connection; nobody needs the date.
    http.auto_date_header(false);
    tokio::select! {
        // A visitor that leaves or says nonsense is no news.
        _ = http.serve_connection(TokioIo::new(stream), service) => {}
        () = left.gone() => {}
    }
}

/// The names under which this server answers. A page of another site can point its own name at this machine and would then be
/// taken for the workshop's own page; addresses cannot be pointed elsewhere.
#[derive(Debug, Clone, Copy)]
struct Names {
    address: SocketAddr,
}

impl Names {
    fn serve<B>(self, request: &Request<B>) -> bool {
        let host = request.headers().get(header::HOST).map(|host| host.to_str().unwrap_or("?"));
        let target = request.uri().authority().map(axum::http::uri::Authority::as_str);
        // No name at all is no browser.
        target.is_none_or(|name| self.is_served(name)) && host.is_none_or(|name| self.is_served(name))
    }

    /// Whether a name, with or without a port, is one of ours.
    fn is_served(self, authority: &str) -> bool {
        let name = match authority.strip_prefix('[').and_then(|rest| rest.split_once(']')) {
            Some((inside, _)) => inside,
            None => authority.rsplit_once(':').map_or(authority, |(name, _)| name),
        };
        let name = name.trim_end_matches('.').to_ascii_lowercase();
        if name == "localhost" || name.ends_with(".localhost") {
            return true;
        }
        let listened = self.address.ip();
        name.parse::<IpAddr>().is_ok_and(|ip| {
            ip.is_loopback() || ip == listened || listened.is_unspecified() || mapped(ip) == mapped(listened)
        })
    }
}

/// An IPv4 address that came as IPv6 is the same address.
fn mapped(ip: IpAddr) -> IpAddr {
    ip.to_canonical()
}

fn misdirected(headers: &HeaderMap) -> Response {
    crate::route::trouble(
        headers,
        StatusCode::MISDIRECTED_REQUEST,
        "other-name",
        "This workshop is not served under that name",
        "The page was asked for under a name that this server does not have.",
        "Open the address that the server printed when it started.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fault_only_its_own_names_are_served() {
        let names = |address: &str| Names { address: address.parse().expect("an address") };
        let home = names("127.0.0.1:7878");
        for name in [
            "localhost",
            "LocalHost:7878",
            "localhost.",
            "shop.localhost:1",
            "127.0.0.1:7878",
            "127.9.9.9",
            "[::1]:7878",
            "[::1]",
        ] {
            assert!(home.is_served(name), "{name}");
        }
        for name in [
            "evil.example",
            "evil.example:7878",
            "127.0.0.1.evil.example",
            "localhost.evil.example",
            "",
            "10.0.0.9:7878",
            "[::",
            "a@localhost",
        ] {
            assert!(!home.is_served(name), "{name}");
        }
        assert!(names("192.168.7.5:80").is_served("192.168.7.5") && !names("192.168.7.5:80").is_served("192.168.7.6"));
        let all = names("0.0.0.0:7878");
        assert!(all.is_served("192.168.7.5:7878") && !all.is_served("evil.example"));
        assert!(names("[::]:7878").is_served("[fe80::1]:7878"));
    }
}
