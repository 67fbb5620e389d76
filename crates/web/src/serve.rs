//! Serving until told to stop.

use std::future::Future;
use std::sync::Arc;

use app::Workshop;
use axum::serve::ListenerExt;
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
    // A live figure is a few small writes; held back to be sent together they would come a twenty-fifth of a second late.
    let listener = listener.tap_io(|stream| {
        // Without it everything still comes, only later.
        let _ = stream.set_nodelay(true);
    });
    let server = axum::serve(listener, router(workshop));
    // A live page holds its stream for hours; a graceful end would wait for it.
    tokio::select! {
        ended = server => ended,
        () = stop => Ok(()),
    }
}
