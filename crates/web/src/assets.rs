//! Style, script and drawings that every page shares, each at an address that carries the hash of its content.

use std::sync::LazyLock;

const PAGE_STYLE: &str = concat!(
    include_str!("../static/style/paper.css"),
    include_str!("../static/style/form.css"),
    include_str!("../static/style/under.css"),
    include_str!("../static/style/office.css"),
    include_str!("../static/style/bench.css"),
    include_str!("../static/style/decide.css"),
    include_str!("../static/style/sheets.css"),
    include_str!("../static/style/picture.css"),
);

const SOURCES: &str = concat!(
    "'use strict';(()=>{\n",
    include_str!("../static/script/tool.js"),
    include_str!("../static/script/cue.js"),
    include_str!("../static/script/queue.js"),
    include_str!("../static/script/page.js"),
    include_str!("../static/script/hand.js"),
    include_str!("../static/script/draft.js"),
    include_str!("../static/script/live.js"),
    "})();\n",
);

/// For photos that wait on the device; a page loads it only when it needs it.
const ALBUM: &str = include_str!("../static/script/album.js");
const WORKER: &str = include_str!("../static/sw.js");
const ICON: &str = include_str!("../static/icon.svg");
const MANIFEST: &str = include_str!("../static/manifest.webmanifest");

/// One file that is served as it is.
#[derive(Clone, Debug)]
pub struct Asset {
    pub content_type: &'static str,
    pub body: String,
    /// Whether the address names the content, so that a browser may keep it for good.
    pub lasting: bool,
}

/// The script without its comments and indents: no line of it begins inside a text.
static SCRIPT: LazyLock<String> = LazyLock::new(|| {
    SOURCES
        .lines()
        .map(str::trim_start)
        .filter(|line| !line.starts_with("//"))
        .fold(String::new(), |all, line| all + line + "\n")
        .replace("ALBUM_ADDRESS", &ALBUM_ADDRESS)
});
static ALBUM_ADDRESS: LazyLock<String> = LazyLock::new(|| format!("/static/album.js?{:016x}", hash(ALBUM.as_bytes())));
/// The page's style and that of the pictures.
static STYLE: LazyLock<String> = LazyLock::new(|| format!("{PAGE_STYLE}{}\n", draw::STYLE));
static STYLE_ADDRESS: LazyLock<String> = LazyLock::new(|| format!("/static/app.css?{:016x}", hash(STYLE.as_bytes())));
static SCRIPT_ADDRESS: LazyLock<String> = LazyLock::new(|| format!("/static/app.js?{:016x}", hash(SCRIPT.as_bytes())));

/// Address of the style.
#[must_use]
pub fn style_address() -> &'static str {
    &STYLE_ADDRESS
}

/// Address of the script.
#[must_use]
pub fn script_address() -> &'static str {
    &SCRIPT_ADDRESS
}

/// The file at `path` under the server's root, `query` being what follows the question mark; `None` if there is none.
#[must_use]
pub fn find(path: &str, query: &str) -> Option<Asset> {
    let (content_type, body) = match path {
        "/static/app.css" => ("text/css; charset=utf-8", STYLE.clone()),
        "/static/app.js" => ("text/javascript; charset=utf-8", SCRIPT.clone()),
        "/static/album.js" => ("text/javascript; charset=utf-8", ALBUM.to_owned()),
        "/static/sw.js" => ("text/javascript; charset=utf-8", worker()),
        "/static/icon.svg" => ("image/svg+xml", ICON.to_owned()),
        "/manifest.webmanifest" => ("application/manifest+json", MANIFEST.to_owned()),
        _ => return None,
    };
    let address = format!("{path}?{query}");
    let lasting = [style_address(), script_address(), &ALBUM_ADDRESS].contains(&address.as_str());
    Some(Asset { content_type, body, lasting })
}

/// A drawing that is not text, by its path.
#[must_use]
pub fn drawing(path: &str) -> Option<&'static [u8]> {
    match path {
        "/static/icon-192.png" => Some(include_bytes!("../static/icon-192.png")),
        "/static/icon-512.png" => Some(include_bytes!("../static/icon-512.png")),
        _ => None,
    }
}

/// The service worker names the addresses it keeps, so a new style or script makes a new worker.
fn worker() -> String {
    WORKER
        .replace("STYLE_ADDRESS", style_address())
        .replace("SCRIPT_ADDRESS", script_address())
        .replace("ALBUM_ADDRESS", &ALBUM_ADDRESS)
}

/// FNV-1a, 64 bit: names a content, guards nothing.
fn hash(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |h, b| (h ^ u64::from(*b)).wrapping_mul(0x0100_0000_01b3))
}
