//! What a gloved thumb must hit, measured on the live page in the millimetres of the page itself.

use std::collections::BTreeSet;

use testkit::Screen;

use super::audit::{STAGES, enter};
use super::{Bay, SMALL};

/// Everything on the page that takes a press and is smaller than it must be, or too near its neighbour. What is typed into
/// is no target of this kind: it is reached through its steppers.
const SMALL_TARGETS: &str = r"
const mm = parseFloat(getComputedStyle(document.documentElement).getPropertyValue('--mm'));
const all = [...document.querySelectorAll('button, a[href], summary, label.tick, [role=button]')]
    .filter(e => !e.matches('.skip') && e.checkVisibility() && e.getBoundingClientRect().width > 0);
const name = e => (e.getAttribute('aria-label') ?? e.textContent).trim().replace(/\s+/g, ' ').slice(0, 30) + ' .' + e.className;
const wrong = [], size = e => e.getBoundingClientRect(), tall = e => size(e).height / mm, wide = e => size(e).width / mm;
for (const e of all) {
    const least = e.matches('.dock .do:not(.quiet *, .quiet)') ? 25 : 20;
    if (tall(e) < least - 0.1) wrong.push(`${name(e)}: ${tall(e).toFixed(1)} mm high, ${least} wanted`);
    if (e.matches('.steps button') && wide(e) < 14.9) wrong.push(`${name(e)}: ${wide(e).toFixed(1)} mm wide, 15 wanted`);
}
all.forEach((a, i) => all.slice(i + 1).forEach(b => {
    if (a.contains(b) || b.contains(a) || a.closest('.dock') !== b.closest('.dock')) return;
    const p = size(a), q = size(b);
    const across = Math.max(q.left - p.right, p.left - q.right), down = Math.max(q.top - p.bottom, p.top - q.bottom);
    const gap = Math.max(across, down) / mm;
    if (gap < 3.9) wrong.push(`${name(a)} and ${name(b)}: ${gap.toFixed(1)} mm apart, 4 wanted`);
}));
return wrong";

/// One stage after the other on one device; gives what is too small, with the stage.
async fn small_targets(screen: Screen) -> BTreeSet<String> {
    let bay = Bay::open(screen, Some("1")).await;
    let hand = &bay.hand;
    let job = hand.open_job("Grey van, thumb").await;
    let mut wrong = BTreeSet::new();
    for stage in STAGES {
        for words in stage.entries {
            enter(hand, &job, words).await;
        }
        hand.go(&format!("/job/{job}")).await;
        let found = hand.script(SMALL_TARGETS).await;
        let found: Vec<String> = serde_json::from_value(found).expect("a list");
        wrong.extend(found.into_iter().map(|what| format!("{what} ({})", stage.name)));
    }
    bay.hand.close().await;
    wrong
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_a_gloved_thumb_hits_every_button_of_the_live_page() {
    for screen in [SMALL, Screen { width: 820, height: 1180, ..Screen::TABLET }] {
        let wrong = small_targets(screen).await;
        assert!(wrong.is_empty(), "{} × {}: {wrong:#?}", screen.width, screen.height);
    }
}
