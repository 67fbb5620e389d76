//! The page that decides: with its form in the address, without script.

use axum::http::{StatusCode, header};

use crate::route::{Shop, text};

const SOUND: &str = "sheet=keld-o6&colour=darker&smell=fresh&paper=even&metal=film&symptom=none&codes=none&signal=good\
                     &level=near&history=on-record&use=normal&distance=61000&distance_unit=km&time=4&time_unit=years";

#[tokio::test]
async fn script_a_verdict_stands_on_the_page_with_reason_source_and_ways() {
    let shop = Shop::new(false).await;
    let (status, page) = shop.get(&format!("/decide?{SOUND}&price=12&vehicle=Blue+%3Cestate%3E")).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    assert!(page.contains("class=\"ruling service\"") && page.contains("derived: what is left"));
    // 4 of 9 L leave 56 %; 61 000 km of that are 33 900; 4 L at 12 are 48.
    assert!(
        page.contains(">56 %</td>") && page.contains("33\u{202f}900\u{202f}km") && page.contains(">48</td>"),
        "{page}"
    );
    assert!(page.contains("checked") && page.contains("name=\"distance\" value=\"61000\""), "what was entered stays");
    assert!(page.contains("/decide.pdf?") && !page.contains("<estate>"));
    // The law of every page: a label around each control, words in each label, no style of its own.
    let outside =
        page.split("<label").map(|part| part.split("</label>").last().unwrap_or_default()).collect::<String>();
    assert!(!outside.contains("type=\"radio\"") && !outside.contains("<select") && !page.contains(" style="));
    assert_eq!(page.matches("<fieldset").count(), page.matches("<legend").count());
}

/// Gear side: 1.7 of 2.0 L leave 15 %; clutch side: 3.2 of 6.5 L leave 51 %. A sheet with one circuit says nothing of any.
#[tokio::test]
async fn script_every_circuit_has_its_own_due_bars_and_ways() {
    let shop = Shop::new(false).await;
    let page =
        shop.get("/decide?sheet=vexel-k7&colour=darker&history=on-record&distance=30000&distance_unit=km&time=2&time_unit=years").await.1;
    for circuit in ["Gear side", "Clutch side"] {
        for heading in ["Not due yet", "Ways to renew"] {
            assert!(page.contains(&format!("<h2 class=\"label\">{circuit} · {heading}</h2>")), "{circuit} {heading}");
        }
        assert!(page.contains(&format!("What stays of the old fluid: {circuit}")), "{circuit}");
    }
    assert_eq!(page.matches("class=\"picture renewal\"").count(), 2);
    assert_eq!(page.matches("tends to ").count(), 2, "a policy each");
    let (gear, clutch) = page.split_once("Clutch side · Ways").expect("both circuits");
    assert!(gear.contains(">15 %</td>") && clutch.contains(">51 %</td>"));
    let one = shop.get("/decide?sheet=keld-o6&colour=darker").await.1;
    assert!(one.contains("<h2 class=\"label\">Ways to renew</h2>") && one.matches("picture renewal").count() == 1);
    // The bench of the same unit.
    shop.form("/decide/open", "sheet=vexel-k7&vehicle=Van&technician=T&id=two-sides").await;
    let page = shop.get("/job/two-sides/prepare").await.1;
    assert!(page.contains("<h3>Gear side</h3>") && page.contains("<h3>Clutch side</h3>"), "{page}");
    assert!(page.contains(">2.40 L<") && page.contains(">4.92 L<"));
    let ways = "Gear side: cold, by volume only, 15–30 °C · Clutch side: overflow in a window, engine idling, 35–45 °C";
    assert!(page.contains(ways));
}

#[tokio::test]
async fn script_a_refusal_offers_neither_ways_nor_a_job() {
    let shop = Shop::new(false).await;
    for (found, word) in [("colour=milky", "stop"), ("symptom=slip&smell=burnt", "diagnose-first")] {
        let (_, page) = shop.get(&format!("/decide?sheet=keld-o6&{found}")).await;
        assert!(page.contains(&format!("class=\"ruling {word}\"")), "{found}");
        assert!(page.contains("No job is planned") && !page.contains("Ways to renew"), "{found}");
        // Only against the gate, and only for a reason.
        let form = page.split("action=\"/decide/open\"").nth(1).unwrap_or_default();
        assert!(form.contains(&format!("value=\"verdict-{word}\"")) && form.contains("name=\"reason\""), "{form}");
        let body = |id: &str, more: &str| format!("sheet=keld-o6&vehicle=Van&technician=T&id={id}&{found}{more}");
        for refused in ["", "&reason=all+the+same", &format!("&override=verdict-{word}&reason=+")] {
            let answer = shop.form("/decide/open", &body(&format!("no-{word}"), refused)).await;
            assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY, "{refused}");
            assert!(text(answer).await.contains("What was found says"), "{refused}");
        }
        assert!(shop.shop.view(&format!("no-{word}")).await.is_err(), "nothing was opened");
        let passed = body(&format!("yes-{word}"), &format!("&override=verdict-{word}&reason=spread+test"));
        let answer = shop.form("/decide/open", &passed).await;
        assert_eq!(answer.headers()[header::LOCATION], format!("/job/yes-{word}/prepare"));
        let view = shop.shop.view(&format!("yes-{word}")).await.expect("the job");
        let paper = app::proof(&view, "");
        assert!(paper.overrides.iter().any(|over| over.reason == "spread test"), "{:?}", paper.overrides);
        assert!(paper.vehicle.iter().any(|(what, _)| what == "Verdict before"));
    }
}

/// What was found stands for the vehicle: the floor's form is refused as the verdict's own, and passes by a typed reason.
#[tokio::test]
async fn script_a_stop_is_remembered_by_vehicle() {
    let shop = Shop::new(false).await;
    let found = "sheet=keld-o6&vehicle=Blue+Estate&technician=T&id=stopped-1&colour=milky";
    let passed = format!("{found}&override=verdict-stop&reason=leak+test+only");
    let opened = "/job/stopped-1/prepare";
    assert_eq!(shop.form("/decide/open", &passed).await.headers()[header::LOCATION], opened);
    // The same form once more, as after a lost answer, with or without the reason: the first answer, and one entry.
    for again in [passed.as_str(), found] {
        assert_eq!(shop.form("/decide/open", again).await.headers()[header::LOCATION], opened, "{again}");
    }
    assert_eq!(shop.shop.view("stopped-1").await.expect("the job").state.last_seq, 1);
    let floor = |vehicle: &str, sheet: &str, id: &str| format!("sheet={sheet}&vehicle={vehicle}&technician=T&id={id}");
    for (vehicle, sheet) in [("blue+estate", "keld-o6"), ("+BLUE++ESTATE", "keld-o6"), ("BlueEstate", "brask-h4")] {
        let answer = shop.form("/job", &floor(vehicle, sheet, "again-1")).await;
        assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY, "{vehicle}");
        let page = text(answer).await;
        assert!(page.contains("job stopped-1") && page.contains("Open it all the same"), "{page}");
        assert!(page.contains("name=\"override\" value=\"verdict-stop\"") && page.contains("name=\"reason\""));
        assert!(page.contains(&format!("name=\"sheet\" value=\"{sheet}\"")) && page.contains("value=\"again-1\""));
    }
    assert!(shop.shop.view("again-1").await.is_err(), "nothing was opened");
    let with_reason = format!("{}&override=verdict-stop&reason=tow+only", floor("blue+estate", "keld-o6", "again-1"));
    assert_eq!(shop.form("/job", &with_reason).await.headers()[header::LOCATION], "/job/again-1/prepare");
    let view = shop.shop.view("again-1").await.expect("the job");
    assert_eq!(view.state.overrides[0].reason, "tow only");
    // Nobody is forced to answer: another vehicle opens, and the prepare page says that nothing was looked at.
    assert_eq!(shop.form("/job", &floor("Red+van", "keld-o6", "other-1")).await.status(), StatusCode::SEE_OTHER);
    let page = shop.get("/job/other-1/prepare").await.1;
    assert!(
        page.contains("Nothing was looked at") && page.contains("/decide?sheet=keld-o6&#38;vehicle=Red%20van"),
        "{page}"
    );
    assert!(shop.get("/job/stopped-1/prepare").await.1.contains("Found before: <b>Stop, do not run</b>"));
    // Later findings of the same unit clear it.
    let better = "sheet=keld-o6&vehicle=Blue+estate&technician=T&id=mended-1&colour=darker";
    assert_eq!(shop.form("/decide/open", better).await.status(), StatusCode::SEE_OTHER);
    let floored = shop.form("/job", &floor("Blue+Estate", "keld-o6", "after-1")).await;
    assert_eq!(floored.headers()[header::LOCATION], "/job/after-1/prepare");
}

#[tokio::test]
async fn script_the_paper_is_a_pdf_and_the_job_keeps_the_verdict() {
    let shop = Shop::new(false).await;
    let answer = shop
        .send(
            axum::http::Request::get(format!("/decide.pdf?{SOUND}"))
                .body(axum::body::Body::empty())
                .expect("a request"),
        )
        .await;
    assert_eq!(answer.headers()[header::CONTENT_TYPE], "application/pdf");
    for _ in 0..2 {
        let body = "sheet=keld-o6&vehicle=Van&technician=T&id=verdict-1&colour=darker&history=on-record&fluid_age=61000&fluid_age_unit=km&severe=yes";
        let answer = shop.form("/decide/open", body).await;
        assert_eq!(answer.headers()[header::LOCATION], "/job/verdict-1/prepare");
    }
    let view = shop.shop.view("verdict-1").await.expect("the job");
    assert_eq!(view.state.last_seq, 1, "opened once");
    // 61 000 km in hard use, where the sheet's 60 000 km are halved: two intervals and more.
    assert!(view.state.opening.severe && view.log[0].text.contains("Verdict: Service with consent. "));
}

#[tokio::test]
async fn fault_figures_that_cannot_be_are_named_and_kept() {
    let shop = Shop::new(false).await;
    for (given, says) in [
        ("distance=minus", "Fluid has run"),
        ("distance=-5&distance_unit=km", "Fluid has run"),
        ("price=free", "Price of fluid"),
        ("passes=0", "number of passes"),
        ("passes=1e30", "number of passes"),
        ("smell=bitter", "bitter"),
        ("method=magic", "magic"),
        ("time=900&time_unit=years", "time since"),
    ] {
        let (status, page) = shop.get(&format!("/decide?sheet=keld-o6&{given}")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{given}");
        assert!(page.contains("Not judged") && page.contains(says), "{given}");
    }
    let (status, page) = shop.get("/decide?sheet=none").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("no sheet"));
    let answer = shop.form("/decide/open", "sheet=keld-o6&vehicle=&technician=T&id=verdict-2").await;
    assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(answer).await.contains("vehicle"));
}
