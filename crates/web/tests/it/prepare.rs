//! The bench over HTTP, as a browser without script meets it.

use axum::http::{StatusCode, header};

use crate::route::{Shop, text};

const PREPARE: &str = "/job/test-job/prepare";

#[tokio::test]
async fn script_a_tick_is_kept_in_the_log_and_shown_again() {
    let shop = Shop::new(false).await;
    let tick = |ready: &str, id: &str| format!("do=tick&id={id}&seq=1&item=seal-fill&ready={ready}");
    let answer = shop.form(PREPARE, &tick("yes", "tick-one")).await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    assert_eq!(answer.headers()[header::LOCATION], format!("{PREPARE}#bench-seal-fill"));
    let (_, page) = shop.get(PREPARE).await;
    assert_eq!(page.matches("aria-pressed=\"true\"").count(), 1);
    assert!(page.contains("1 of ") && page.contains(">Start<"), "a tick is not work under the vehicle");
    // Sent twice it is one entry; another device's tick is no conflict.
    shop.form(PREPARE, &tick("yes", "tick-one")).await;
    assert_eq!(shop.shop.view("test-job").await.unwrap().state.last_seq, 2);
    assert_eq!(shop.form(PREPARE, &tick("no", "tick-two")).await.status(), StatusCode::SEE_OTHER);
    assert!(!shop.get(PREPARE).await.1.contains("aria-pressed=\"true\""));
    let wrong = shop.form(PREPARE, "do=tick&id=tick-3&seq=1&item=flud").await;
    assert_eq!(wrong.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let finish = shop.form(PREPARE, "do=finish&id=tick-4&seq=1").await;
    assert_eq!(finish.status(), StatusCode::BAD_REQUEST);
}

/// 85 °C in 20 °C air; nose up 3.18° over 2.7 m is 150 mm; −40 °C is no measurement.
#[tokio::test]
async fn script_the_small_forms_answer_and_keep_each_other() {
    let shop = Shop::new(false).await;
    let soak = "arrives=85&arrives_unit=%C2%B0C&air=20&air_unit=%C2%B0C";
    let shim = "pitch=3.18&pitch_unit=%C2%B0&wheelbase=2700&wheelbase_unit=mm";
    let test = "instruments=probe%3A+18.2%0Aunit%3A+-40&stood=12&stood_unit=h";
    let (status, page) = shop.get(&format!("{PREPARE}?{soak}&{shim}&{test}")).await;
    assert_eq!(status, StatusCode::OK);
    for words in ["Cold fluid does not cool it enough", "150 mm under rear left", "a substitute value"] {
        assert!(page.contains(words), "{words}");
    }
    assert!(page.contains("name=\"pitch\" value=\"3.18 °\""), "the other forms carry it on");
    for (query, says) in [
        ("arrives=hot&air=20+%C2%B0C", "Fluid on arrival"),
        ("arrives=85+%C2%B0C", "Air in the bay"),
        ("pitch=90+%C2%B0&wheelbase=2700+mm", "tilt is 90"),
        ("instruments=probe", "no reading"),
        ("instruments=%3Cb%3E%3A+18", "number of instruments"),
    ] {
        let (status, page) = shop.get(&format!("{PREPARE}?{query}")).await;
        assert_eq!(status, StatusCode::OK);
        assert!(page.contains("role=\"alert\"") && page.contains(says) && !page.contains("<b>: 18"), "{query}");
    }
}

#[tokio::test]
async fn script_lists_are_kept_or_told_what_is_wrong_with_them() {
    let shop = Shop::new(false).await;
    assert!(shop.get("/stock").await.1.contains("Nothing is kept yet"));
    let bad = "list=prices&text=%5B%5Bcan%5D%5D%0D%0Aname+%3D+%22a%22%0D%0Asize+%3D+%225+L%22%0D%0Aprice+%3D+-3";
    let answer = shop.form("/stock", bad).await;
    assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(answer).await;
    assert!(page.contains("Line 4:") && page.contains("negative") && page.contains("price = -3"), "{page}");
    assert_eq!(shop.form("/stock", &bad.replace("-3", "61")).await.status(), StatusCode::OK);
    let (_, page) = shop.get(PREPARE).await;
    // 4.4 + 0.3 + 0.5 + 0.2 + 0.5 = 5.9 L: two of 5 L at 61.
    assert!(page.contains("2 × a") && page.contains("122.00"), "{page}");
    assert_eq!(shop.form("/stock", "list=hammers&text=").await.status(), StatusCode::BAD_REQUEST);
}

/// 4.0 L poured, 1.2 L on the shelf: emptied, and the rest is told. A list describes the moment its page was made.
#[tokio::test]
async fn script_what_a_job_used_is_shown_and_the_list_goes_on_from_there() {
    let shop = Shop::new(false).await;
    let list = "list=stock&as_of=AT&text=%5B%5Bstock%5D%5D%0Aname%3D%22begun%22%0Aholds%3D%221.2+L%22%0Aopened%3Dtrue%0A\
        %5B%5Bstock%5D%5D%0Aname%3D%22other%22%0Aholds%3D%221+L%22%0Afluid%3D%22X-1%22";
    assert_eq!(shop.form("/stock", &list.replace("AT", "0")).await.status(), StatusCode::OK);
    let log = "/job/test-job/log";
    for (i, words) in [
        "prove&plug=fill",
        "prove&plug=level",
        "open&plug=fill",
        "pour&volume=4.0+L&at=20+%C2%B0C",
        "close&plug=fill&torque=35+N%C2%B7m&new_seal=yes",
        "stop&because=called+away",
    ]
    .iter()
    .enumerate()
    {
        shop.form(log, &format!("do={words}&id=u-{i}&seq={}", i + 1)).await;
    }
    let page = shop.get("/stock").await.1;
    assert!(page.contains("Used since it was kept (1)") && page.contains("empty now"), "{page}");
    assert!(page.contains("did not hold the other") && !page.contains("name = &#34;begun&#34;"), "{page}");
    assert!(page.contains("/job/test-job\""));
    // A bad list keeps the moment of the page it was written on, a good one takes nothing off that ended before.
    let now = shop.shop.clock().now_ms();
    let bad = shop.form("/stock", &list.replace("AT", "7").replace("1+L", "-1+L")).await;
    assert!(text(bad).await.contains("name=\"as_of\" value=\"7\""));
    shop.form("/stock", &list.replace("AT", &now.to_string())).await;
    assert!(!shop.get("/stock").await.1.contains("Used since"));
}

#[tokio::test]
async fn script_papers_and_pages_of_the_bench() {
    let shop = Shop::new(false).await;
    for path in ["bench.pdf", "card.pdf"] {
        let request = axum::http::Request::get(format!("/job/test-job/{path}")).body(axum::body::Body::empty());
        let answer = shop.send(request.expect("a request")).await;
        assert_eq!(answer.headers()[header::CONTENT_TYPE], "application/pdf", "{path}");
        let bytes = axum::body::to_bytes(answer.into_body(), 10_000_000).await.expect("a body");
        assert!(bytes.starts_with(b"%PDF"), "{path}");
    }
    for (path, says) in [("card", "torque card"), ("stubborn", "still drives")] {
        let (status, page) = shop.get(&format!("/job/test-job/{path}")).await;
        assert!(status == StatusCode::OK && page.contains(says), "{path}");
    }
    assert!(shop.get("/job/test-job").await.1.contains("Set the vehicle level"));
    let log = "/job/test-job/log";
    shop.form(log, "do=level-vehicle&pitch=0+%C2%B0&roll=0+%C2%B0&id=t-0&seq=1").await;
    assert!(
        shop.get("/job/test-job").await.1.contains("/job/test-job/stubborn"),
        "the ladder is one tap from the step"
    );
    assert_eq!(shop.get("/job/test-job/label").await.0, StatusCode::UNPROCESSABLE_ENTITY);
    for (i, words) in ["prove&plug=fill", "prove&plug=level", "open&plug=drain&held=yes"].iter().enumerate() {
        shop.form(log, &format!("do={words}&id=t-{}&seq={}", i + 1, i + 2)).await;
    }
    let page = shop.get("/job/test-job").await.1;
    assert!(page.contains("Milky or pink: stop") && page.contains("Metal to pick up: stop"), "{page}");
    shop.form(log, "do=drained&volume=4.3+L&at=35+%C2%B0C&id=t-9&seq=5").await;
    let (status, page) = shop.get("/job/test-job/label?code=13+02+06").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("USED OIL") && page.contains("4.3 L") && page.contains("class=\"this\""), "{page}");
    assert!(shop.get("/job/test-job").await.1.contains("/job/test-job/label"));
}
