//! The pages of sheets, without script: nothing is kept before somebody says so.

use axum::http::{StatusCode, header};

use crate::route::{Shop, text};

/// A text as a field of a form.
fn encoded(text: &str) -> String {
    text.bytes()
        .map(|byte| if byte.is_ascii_alphanumeric() { (byte as char).to_string() } else { format!("%{byte:02X}") })
        .collect()
}

fn keld() -> &'static str {
    sheet::shipped()[0].1
}

#[tokio::test]
async fn script_every_page_of_sheets_answers() {
    let shop = Shop::new(false).await;
    for path in [
        "/sheets",
        "/sheets/new?id=mine&family=dipstick",
        "/sheets/edit/keld-o6",
        "/sheets/edit/keld-o6?as=form",
        "/sheets/copy/keld-o6",
        "/sheets/compare",
        "/sheets/compare?a=keld-o6&b=keld-m6",
        "/sheets/passage",
        "/sheets/schema.json",
    ] {
        let (status, page) = shop.get(path).await;
        assert_eq!(status, StatusCode::OK, "{path}");
        assert!(!page.contains(" style=") && !page.contains("<style"), "{path}");
        let outside: String = page.split("<label").map(|p| p.split("</label>").last().unwrap_or_default()).collect();
        let bare =
            ["type=\"text\"", "<select", "<textarea", "type=\"checkbox\""].iter().any(|tag| outside.contains(tag));
        assert!(!bare, "{path}: a field without a label");
    }
    for path in
        ["/sheets/edit/none", "/sheets/edit/keld-o6?version=9", "/sheets/compare?a=keld-o6&b=none", "/sheets/copy/none"]
    {
        assert_eq!(shop.get(path).await.0, StatusCode::NOT_FOUND, "{path}");
    }
}

#[tokio::test]
async fn script_text_and_form_come_to_the_same_and_are_kept_with_history() {
    let shop = Shop::new(false).await;
    // By form: one value changed. Browsers send CR LF.
    let sent = encoded(&keld().replace('\n', "\r\n"));
    let body = format!("do=keep&as=form&based_on=0&by=T&why=capacity&text={sent}&v%3Acapacity.total.value=8.5+L");
    let answer = shop.form("/sheets/edit", &body).await;
    assert_eq!(answer.headers()[header::LOCATION], "/sheets/edit/keld-o6?kept=yes&as=form");
    let by_form = shop.shop.sheet_text("keld-o6").await.expect("kept");
    let expected = keld().replacen("\"9.0 L\"", "\"8.5 L\"", 1);
    assert_eq!(by_form, (expected.clone(), 1), "as a text editor would have done it");
    // By text, from the version kept before: the next one. From an older one: refused, and the text is not lost.
    let again = expected.replacen("\"8.5 L\"", "\"8.6 L\"", 1);
    let body = |based_on: u32| format!("do=keep&as=text&based_on={based_on}&text={}", encoded(&again));
    assert_eq!(shop.form("/sheets/edit", &body(0)).await.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(shop.form("/sheets/edit", &body(1)).await.status(), StatusCode::SEE_OTHER);
    let (_, page) = shop.get("/sheets/edit/keld-o6?version=1").await;
    assert!(page.contains("8.5 L") && page.contains("/sheets/compare?a=keld-o6@1&amp;b=keld-o6@2"));
    let (_, page) = shop.get("/sheets/compare?a=keld-o6@1&b=keld-o6@2").await;
    assert!(page.contains("capacity.total") && page.matches("<dl>").count() == 1);
    let (_, page) = shop.get("/job/test-job/prepare").await;
    assert!(page.contains("href=\"/sheets/compare?a=job:test-job&#38;b=keld-o6\""), "the way there");
    let (_, page) = shop.get("/sheets/compare?a=job:test-job&b=keld-o6").await;
    assert!(page.contains("9.0 L") && page.contains("8.6 L"), "the job's own copy beside the sheet of today");
    // Who plans now plans from the kept version; the job opened before has its own copy.
    assert!(shop.shop.sheets()[0].text.contains("8.6 L"));
    assert_eq!(shop.shop.view("test-job").await.expect("the job").state.sheet.capacity.total.printed, "9.0 L");
}

#[tokio::test]
async fn script_findings_come_while_typing() {
    let shop = Shop::new(false).await;
    let broken = keld().replacen("\"9.0 L\"", "\"9.0\"", 1);
    let line = broken.lines().position(|line| line.starts_with("total")).expect("a line") + 1;
    let page = text(shop.form("/sheets/findings", &format!("text={}", encoded(&broken))).await).await;
    assert!(page.contains("data-part=\"findings\"") && page.contains(&format!("line {line}, column")), "{page}");
    let page = text(shop.form("/sheets/findings", &format!("text={}", encoded("[unit\n"))).await).await;
    assert!(page.contains("not TOML"));
    // A form field that has no place is told when it is sent.
    let body = format!("do=check&as=form&text={}&v%3Anothing.here=x", encoded(keld()));
    assert_eq!(shop.form("/sheets/edit", &body).await.status(), StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn script_a_passage_is_proposed_and_only_the_confirmed_goes_in() {
    let shop = Shop::new(false).await;
    let passage = encoded("Set the level at a fluid temperature of 40 to 50 °C.\r\nTighten the drain plug to 22 N·m.");
    let body = format!("into=keld-o6&source=Booklet+B&passage={passage}");
    let page = text(shop.form("/sheets/passage", &body).await).await;
    assert!(page.contains("name=\"yes-1\" value=\"window.temperature\">") && page.contains("line 2, column 27"));
    assert_eq!(page.matches("<option value=\"\" selected>").count(), 2, "nothing is chosen beforehand");
    let take = "into=keld-o6&source=Booklet+B&printed-1=40+to+50+%C2%B0C&yes-1=window.temperature&printed-2=22+N%C2%B7m&path-2=";
    let page = text(shop.form("/sheets/take", take).await).await;
    assert!(page.contains("40 to 50 °C") && page.contains("Booklet B") && !page.contains("22 N·m"));
    assert_eq!(shop.shop.sheet_text("keld-o6").await.expect("a sheet").0, keld(), "shown, not kept");
    for wrong in
        ["into=keld-o6&source=x", "into=keld-o6&source=&printed-1=1+L&path-1=capacity.total", "into=none&source=x"]
    {
        assert!(shop.form("/sheets/take", wrong).await.status().is_client_error(), "{wrong}");
    }
    let page = text(shop.form("/sheets/passage", "into=keld-o6&passage=lorem+ipsum").await).await;
    assert!(page.contains("Found nothing"));
}

#[tokio::test]
async fn script_merging_takes_the_ticked_alone() {
    let shop = Shop::new(false).await;
    let page = text(shop.form("/sheets/merge", "a=keld-o6&b=torvane-r5&take=capacity.total").await).await;
    assert!(page.contains("10 US qt (9.5 L)") && page.contains("1 value(s) taken from torvane-r5"));
    assert!(!page.contains("Torvane TF-2"));
    let answer = shop.form("/sheets/merge", "a=keld-o6&b=torvane-r5&take=nothing.here").await;
    assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn fault_words_of_a_sheet_cannot_become_markup() {
    let shop = Shop::new(false).await;
    let text_sent = encoded("[unit]\nid = \"x\"\nname = \"</textarea><script>alert(1)</script>\"\n");
    for view in ["check", "as-form", "as-text"] {
        let page = text(shop.form("/sheets/edit", &format!("do={view}&text={text_sent}")).await).await;
        assert!(!page.contains("<script>alert") && page.contains("alert(1)"), "{view}");
    }
}
