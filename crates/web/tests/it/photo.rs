//! A photo through the form of its page, without script.

use std::io::Cursor;

use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use image::{ImageFormat, RgbImage};

use crate::route::{Shop, text};

const PAGE: &str = "/job/test-job/photo";

/// A form as a browser sends it (RFC 7578).
fn form(of: &str, id: &str, file: &[u8]) -> Request<Body> {
    let mut body = Vec::new();
    for (name, value) in [("id", id), ("of", of)] {
        body.extend(format!("--line\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n").bytes());
    }
    let head = "--line\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\nContent-Type: image/jpeg\r\n\r\n";
    body.extend(head.bytes());
    body.extend(file);
    body.extend(b"\r\n--line--\r\n");
    let request = Request::post(PAGE).header(header::CONTENT_TYPE, "multipart/form-data; boundary=line");
    request.body(Body::from(body)).expect("a request")
}

/// Larger than any other request may be.
fn photo() -> Vec<u8> {
    let mut seed = 7_u32;
    let noise = RgbImage::from_fn(1000, 700, |_, _| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        image::Rgb([(seed >> 24) as u8, (seed >> 16) as u8, (seed >> 8) as u8])
    });
    let mut file = Cursor::new(Vec::new());
    noise.write_to(&mut file, ImageFormat::Png).expect("a file");
    file.into_inner()
}

#[tokio::test]
async fn script_a_photo_is_kept_shown_and_withdrawn() {
    let shop = Shop::new(false).await;
    let (status, empty) = shop.get(PAGE).await;
    assert_eq!(status, StatusCode::OK);
    assert!(
        empty.contains("capture=\"environment\"")
            && empty.contains("multipart/form-data")
            && empty.contains("No photo yet")
    );
    let file = photo();
    assert!(file.len() > 1 << 20);
    // Sent twice, as after a lost answer: kept once.
    for _ in 0..2 {
        assert_eq!(shop.send(form("old-fluid", "shot-1", &file)).await.status(), StatusCode::SEE_OTHER);
    }
    let state = shop.shop.view("test-job").await.expect("the job").state;
    assert_eq!((state.photos.len(), state.last_seq), (1, 2));
    let address = format!("{PAGE}/{}", state.photos[0].digest);
    for page in [PAGE, "/job/test-job/outcome"] {
        assert!(shop.get(page).await.1.contains(&format!("src=\"{address}\"")), "{page}");
    }
    assert!(shop.get("/job/test-job").await.1.contains("Photo of the old fluid"));
    let answer = shop.send(Request::get(&address).body(Body::empty()).expect("a request")).await;
    assert_eq!(answer.headers()[header::CONTENT_TYPE], "image/jpeg");
    let jpeg = to_bytes(answer.into_body(), app::LARGEST_KEPT).await.expect("small enough");
    let seen = image::load_from_memory(&jpeg).expect("a picture");
    assert_eq!((seen.width(), seen.height()), (state.photos[0].width, state.photos[0].height));
    // A wrong photo is withdrawn like any other entry, and is then shown nowhere.
    let withdraw = "do=correct&withdraw=yes&entry=2&because=wrong+job&id=w&held=yes";
    assert_eq!(shop.form("/job/test-job/log", withdraw).await.status(), StatusCode::SEE_OTHER);
    assert!(!shop.get("/job/test-job/outcome").await.1.contains(&address));
    assert_eq!(shop.get(&address).await.0, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn fault_what_is_no_photo_is_said_on_the_page() {
    let shop = Shop::new(false).await;
    for (of, file, status, says) in [
        ("plug", b"no photo at all".to_vec(), StatusCode::UNPROCESSABLE_ENTITY, "the file is no photo"),
        ("plug", Vec::new(), StatusCode::UNPROCESSABLE_ENTITY, "no photo was chosen"),
        ("moon", photo(), StatusCode::UNPROCESSABLE_ENTITY, "Choose one of the four"),
        ("plug", vec![0; app::LARGEST_UPLOAD + (1 << 20)], StatusCode::PAYLOAD_TOO_LARGE, "larger than 24 MB"),
    ] {
        let answer = shop.send(form(of, "shot-1", &file)).await;
        assert_eq!(answer.status(), status, "{says}");
        let page = text(answer).await;
        assert!(page.contains(says) && page.contains("Keep the photo"), "{says}: {page}");
    }
    let plain = shop.form(PAGE, "of=plug").await;
    assert!(plain.status().is_client_error());
    let none = format!("{PAGE}/{}", "0".repeat(64));
    assert_eq!(shop.get(&none).await.0, StatusCode::NOT_FOUND);
    assert_eq!(shop.get("/job/none/photo").await.0, StatusCode::NOT_FOUND);
    assert_eq!(shop.shop.view("test-job").await.expect("the job").state.last_seq, 1);
    // The other requests keep their own bound.
    let large = "x".repeat(2 << 20);
    assert!(shop.form("/job/test-job/log", &large).await.status().is_client_error());
    assert_eq!(shop.shop.view("test-job").await.expect("the job").state.last_seq, 1);
}
