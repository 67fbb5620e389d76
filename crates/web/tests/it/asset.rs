//! Style and script: sizes, addresses, contrast.

use crate::fixture;
use web::assets::{find, script_address, style_address};

fn body(address: &str) -> String {
    let (path, query) = address.split_once('?').unwrap_or((address, ""));
    find(path, query).expect("an asset").body
}

#[test]
fn law_the_first_load_is_small() {
    let shared = body(style_address()).len() + body(script_address()).len();
    assert!(body(script_address()).len() < 25_000, "script {}", body(script_address()).len());
    for (name, html) in fixture::pages() {
        assert!(html.len() + shared < 150_000, "{name}: {} + {shared} bytes", html.len());
    }
}

#[test]
fn law_live_figures_fit_in_two_kilobytes() {
    for under in [fixture::fresh(), fixture::cold(), fixture::open(), fixture::hot()] {
        assert!(under.live.json().len() < 2048);
    }
}

#[test]
fn law_only_the_address_with_the_right_hash_is_kept_for_good() {
    for address in [style_address(), script_address()] {
        let (path, query) = address.split_once('?').expect("a hash");
        assert!(find(path, query).expect("an asset").lasting);
        assert!(!find(path, "0").expect("an asset").lasting);
    }
    assert!(find("/static/../Cargo.toml", "").is_none());
    let worker = body("/static/sw.js");
    assert!(worker.contains(style_address()) && worker.contains(script_address()));
    assert!(!worker.contains("STYLE_ADDRESS") && !worker.contains("SCRIPT_ADDRESS"));
}

/// Relative luminance of "#rrggbb". W3C, WCAG 2.2, "relative luminance".
fn luminance(colour: &str) -> f64 {
    let part = |from: usize| {
        let c = f64::from(u8::from_str_radix(&colour[from..from + 2], 16).expect("hexadecimal")) / 255.0;
        if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
}

/// Contrast ratio of two colours. W3C, WCAG 2.2, "contrast ratio".
fn contrast(a: &str, b: &str) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn val_contrast_of_black_on_white() {
    // WCAG 2.2: the ratio ranges from 1 to 21.
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    assert!((contrast("#767676", "#ffffff") - 4.54).abs() < 0.01);
}

#[test]
fn law_live_figures_stand_out_in_both_themes() {
    let style = body(style_address());
    let white = style.find(":root{").expect("the white theme");
    let dark = style.find(":root[data-theme=dark]{").expect("the dark theme");
    // The dark theme takes over what it does not name.
    let colour = |theme: usize, name: &str| -> String {
        let block = |from: usize| style[from..].split_once('}').map(|(b, _)| b.to_owned()).expect("a block");
        let key = format!("--{name}:#");
        let found = block(theme).find(&key).map(|at| block(theme)[at + key.len() - 1..][..7].to_owned());
        found.unwrap_or_else(|| {
            block(white)[block(white).find(&key).expect("a colour") + key.len() - 1..][..7].to_owned()
        })
    };
    for theme in [white, dark] {
        for (ink, ground, least) in [
            ("ink", "paper", 10.0),
            ("cold", "paper", 10.0),
            ("hot", "paper", 10.0),
            ("on-act", "act", 10.0),
            // Small words: WCAG 2.2 success criterion 1.4.6, level AAA.
            ("soft", "paper", 7.0),
            ("soft", "tint", 7.0),
            ("ink", "tint", 10.0),
        ] {
            let (a, b) = (colour(theme, ink), colour(theme, ground));
            let ratio = contrast(&a, &b);
            assert!(ratio >= least, "{ink} {a} on {ground} {b}: {ratio:.2} < {least}");
        }
    }
}

#[test]
fn law_the_accent_means_act_now_and_nothing_else() {
    // Where the style uses the accent, the selector is about acting now.
    for rule in body(style_address()).split('}') {
        let Some((selector, uses)) = rule.rsplit_once('{') else { continue };
        if uses.contains("var(--act)") {
            let acts = ["form.now", ".flag.open", "50%"].iter().any(|s| selector.contains(s));
            assert!(acts, "{selector} uses the accent");
        }
    }
}
