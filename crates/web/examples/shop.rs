//! A demo workshop in a temporary folder, to look at: `cargo run -p web --example shop [PORT] [SPEED]`.

use std::sync::Arc;

use app::{Clock, ScaledClock, SystemClock, Workshop};

#[tokio::main]
async fn main() {
    let number = |n: usize| std::env::args().nth(n).and_then(|text| text.parse::<u16>().ok());
    let (port, speed) = (number(1).unwrap_or(8908), number(2).unwrap_or(20));
    let folder = tempfile::tempdir().expect("a temporary folder");
    let clock = Arc::new(ScaledClock::new(SystemClock.now_ms(), f64::from(speed)));
    let shop = Workshop::open(&folder.path().join("demo.sqlite"), clock, app::demo::WORKSHOP, true).await;
    let shop = Arc::new(shop.expect("a new workshop"));
    app::demo::furnish(&shop).await.expect("a furnished workshop");
    tokio::spawn(app::demo::run(shop.clone()));
    let listener = tokio::net::TcpListener::bind(("127.0.0.1", port)).await.expect("the port is free");
    println!("http://127.0.0.1:{port}/");
    axum::serve(listener, web::router(shop)).await.expect("the server runs");
}
