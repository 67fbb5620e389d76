//! How every page lies in every state, at three sizes and in both themes: nothing cut, nothing on top of something else,
//! nothing out of reach, and the same in dark and white. With `SUMPWRIGHT_LOOK=folder` it leaves pictures to be looked at.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde_json::json;
use testkit::Screen;

use super::Bay;
use super::audit::{OFFICE, STAGES, enter, pages_of};
use super::hand::Hand;

/// Looks for what is wrong and says where each text stands.
/// In one go in both themes.
const MEASURE: &str = include_str!("layout.js");

/// The sizes that the pages are made for: a phone, a tablet, a laptop.
const SIZES: [(u32, u32); 3] = [(360, 740), (820, 1180), (1440, 900)];

/// A folder to leave pictures in, when somebody wants to look.
pub(super) fn album() -> Option<PathBuf> {
    let folder = PathBuf::from(std::env::var_os("SUMPWRIGHT_LOOK")?);
    std::fs::create_dir_all(&folder).unwrap_or_else(|why| panic!("{}: {why}", folder.display()));
    Some(folder)
}

/// A name for a picture: where it was taken, in which state.
fn picture(stage: &str, page: &str, job: &str, width: u32, theme: &str) -> String {
    let page = page.replace(job, "").split('?').next().unwrap_or_default().replace('/', "-");
    let name = format!("{stage}{page}-{width}-{theme}.png").replace(' ', "-");
    name.replace("--", "-")
}

pub(super) async fn photograph(bay: &Bay, to: &Path) {
    let shot = bay.ask_browser("Page.captureScreenshot", json!({ "format": "png" })).await;
    let bytes =
        base64::Engine::decode(&base64::engine::general_purpose::STANDARD, shot["data"].as_str().expect("a picture"));
    std::fs::write(to, bytes.expect("a picture in base64")).unwrap_or_else(|why| panic!("{}: {why}", to.display()));
}

/// What is wrong with how the page lies, as it stands.
pub(super) async fn wrong(hand: &Hand) -> Vec<String> {
    serde_json::from_value(hand.script(MEASURE).await).expect("a list")
}

/// Measures one page at each size; gives what is wrong, each with the size it is wrong at.
async fn lies(bay: &Bay, page: &str, (stage, job): (&str, &str), album: Option<&Path>) -> Vec<(String, String)> {
    let mut wrong = Vec::new();
    bay.hand.go(page).await;
    for (width, height) in SIZES {
        bay.resize(width, height).await;
        let lines = self::wrong(&bay.hand).await;
        wrong.extend(lines.into_iter().map(|what| (what, format!("{page} ({stage}, {width} × {height})"))));
        for theme in ["dark", "white"].into_iter().filter(|_| album.is_some()) {
            bay.hand.script(&format!("document.documentElement.dataset.theme = '{theme}'")).await;
            let name = picture(stage, page, job, width, theme);
            photograph(bay, &album.unwrap_or(Path::new("")).join(name)).await;
        }
    }
    wrong
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn script_nothing_is_cut_covered_or_out_of_reach() {
    let album = album();
    let bay = Bay::open(Screen { width: 1440, height: 900, ..Screen::LAPTOP }, Some("1")).await;
    let job = bay.hand.open_job("Grey van, layout").await;
    let mut found = BTreeMap::<String, Vec<String>>::new();
    for stage in STAGES {
        for words in stage.entries {
            enter(&bay.hand, &job, words).await;
        }
        let office: &[&str] = if stage.name == STAGES[0].name { OFFICE } else { &["/"] };
        for page in pages_of(stage, &job).iter().map(String::as_str).chain(office.iter().copied()) {
            for (what, place) in lies(&bay, page, (stage.name, &job), album.as_deref()).await {
                found.entry(what).or_default().push(place);
            }
        }
    }
    assert!(found.is_empty(), "{found:#?}");
    bay.hand.close().await;
}
