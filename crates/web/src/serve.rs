//! Serving until told to stop.

use std::future::Future;
use std::sync::Arc;

use app::Workshop;
use tokio::net::TcpListener;

use crate::router;

/// Serves the workshop on `listener` until `stop` is ready; open streams are then ended, not waited for.
///
/// # Errors
/// What the listener reports.
pub async fn serve(
    workshop: Arc<Workshop>,
    listener: TcpListener,
    stop: impl Future<Output = ()> + Send + 'static,
) -> std::io::Result<()> {
    let server = axum::serve(listener, router(workshop));
    // A live page holds its stream for hours; a graceful end would wait for it.
    tokio::select! {
        ended = server => ended,
        () = stop => Ok(()),
    }
}
