//! What is true of the page that stands alone.

use report::page;

#[test]
fn law_nothing_is_fetched_and_nothing_runs() {
    for (name, proof) in [
        ("ordinary.html", crate::ordinary()),
        ("overfull.html", crate::overfull()),
        ("stopped.html", crate::stopped()),
        ("nothing.html", crate::nothing()),
    ] {
        let html = page(&proof);
        // The one address is the name of the SVG vocabulary, which no browser fetches.
        let html = html.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
        for word in ["http", "<script", "<link", "<img", "src=", "href=", "url(", "@import", "onload", "NaN"] {
            assert!(!html.contains(word), "{name}: {word}");
        }
        let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        std::fs::write(path, html.as_bytes()).expect("the folder for test files");
    }
}

#[test]
fn hand_words_are_escaped() {
    let mut proof = crate::ordinary();
    let nasty = "<script>alert(1)</script> & \"x\"";
    proof.workshop = nasty.into();
    proof.as_left.value = nasty.into();
    proof.ledger.rows[0][0] = nasty.into();
    proof.overrides[0].reason = nasty.into();
    proof.tape.notches[0].1 = nasty.into();
    proof.footer = nasty.into();
    let html = page(&proof);
    assert!(!html.contains("<script"));
    assert!(html.matches("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;x&quot;").count() >= 5);
}

#[test]
fn hand_every_row_is_there_and_the_demo_says_so() {
    let html = page(&crate::overfull());
    for words in ["Row 0 ", "Row 59 ", "Gate 39", "Name 39", "Net", "Together", "Stopped before the end"] {
        assert!(html.contains(words), "{words}");
    }
    assert!(html.matches("DEMO — simulated vehicle").count() >= 3);
    assert!(!page(&crate::ordinary()).contains("DEMO"));
}

#[test]
fn law_tables_are_well_formed() {
    let html = page(&crate::ordinary());
    for tag in ["table", "thead", "tbody", "tfoot", "tr", "td", "th", "section", "dl", "ul", "li", "svg", "p", "h2"] {
        let open = html.matches(&format!("<{tag}>")).count() + html.matches(&format!("<{tag} ")).count();
        assert_eq!(open, html.matches(&format!("</{tag}>")).count(), "{tag}");
    }
}
