//! What every page must have, whatever it shows.

use askama::Template;

use crate::fixture;

/// The text between `start` and `end` for each place where they stand.
fn between<'a>(html: &'a str, start: &str, end: &str) -> Vec<&'a str> {
    html.split(start).skip(1).filter_map(|rest| rest.split_once(end).map(|(inside, _)| inside)).collect()
}

#[test]
fn law_no_page_carries_style_or_script_of_its_own() {
    for (name, html) in fixture::pages() {
        for forbidden in ["<style", " style=", " onclick=", " onload=", "javascript:"] {
            assert!(!html.contains(forbidden), "{name} contains {forbidden}");
        }
        for script in between(&html, "<script", "</script>") {
            assert!(script.contains(" src=\"/static/app.js?") && script.ends_with('>'), "{name}: {script}");
        }
    }
}

#[test]
fn law_every_field_has_a_label() {
    for (name, html) in fixture::pages() {
        let inside: String = between(&html, "<label", "</label>").concat();
        let hidden = html.matches("<input type=\"hidden\"").count();
        for (tag, all) in [("<select", 0), ("<textarea", 0), ("<input", hidden)] {
            let hidden_inside = if all == 0 { 0 } else { inside.matches("<input type=\"hidden\"").count() };
            assert_eq!(html.matches(tag).count() - all, inside.matches(tag).count() - hidden_inside, "{name}: {tag}");
        }
        for label in between(&html, "<label", "</label>") {
            let words = label.contains("class=\"name\">") || label.contains("class=\"what\">");
            assert!(words, "{name}: a label without words: {label}");
        }
    }
}

#[test]
fn law_every_form_that_enters_something_can_be_sent_twice() {
    for (name, html) in fixture::pages() {
        for form in between(&html, "<form", "</form>") {
            // What only asks enters nothing; the same print twice is one print.
            if form.trim_start().starts_with("method=\"get\"")
                || form.contains("action=\"/theme\"")
                || form.contains("action=\"/settings\"")
                || form.contains("/proof.pdf\"")
            {
                continue;
            }
            for field in ["name=\"id\"", "name=\"seq\"", "name=\"do\""] {
                assert!(form.contains(field), "{name}: a form without {field}");
            }
        }
    }
}

#[test]
fn law_names_on_a_page_are_unique() {
    for (name, html) in fixture::pages() {
        let mut ids = between(&html, " id=\"", "\"");
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(all, ids.len(), "{name}: {ids:?}");
    }
}

#[test]
fn law_a_demo_says_so_at_both_ends_and_in_the_title() {
    for (name, html) in fixture::pages() {
        let demo = html.contains("class=\"band top\"");
        assert_eq!(demo, html.contains("class=\"band bottom\""), "{name}");
        assert_eq!(demo, html.contains("<title>DEMO · "), "{name}");
    }
}

#[test]
fn law_words_from_outside_cannot_become_markup() {
    let mut under = fixture::cold();
    under.live.verb = "<script>alert(1)</script>".into();
    under.live.say = "\"><i>".into();
    let html = fixture::page(under, false).render().expect("a fixture renders");
    assert!(!html.contains("<script>alert") && !html.contains("\"><i>"));
}

#[test]
fn law_a_plug_that_is_out_is_said_in_words_on_the_page() {
    for (name, html) in fixture::pages() {
        if html.contains("class=\"cell out\"") {
            assert!(html.contains(" PLUG OUT</b>"), "{name}");
        }
    }
}

#[test]
fn hand_counts_are_written_as_a_clock() {
    // 36 s; 5 min 30 s; 1 h 2 min; a count that has run out stays at nothing.
    let cases = [(36, "0:36"), (330, "5:30"), (3720, "1:02:00"), (0, "0:00"), (-7, "0:00"), (i64::MIN, "0:00")];
    for (seconds, written) in cases {
        assert_eq!(web::view::clock(seconds), written);
    }
}
