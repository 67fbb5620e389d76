//! One thumb on a phone: looks, types, presses, holds.

use std::time::{Duration, Instant};

use fantoccini::actions::{InputSource, KeyAction, KeyActions, MOUSE_BUTTON_LEFT, MouseActions, PointerAction};
use fantoccini::elements::Element;
use fantoccini::error::CmdError;
use fantoccini::{Client, Locator};
use serde_json::{Value, json};

/// Long enough for a loaded machine, short enough to tell a dead end.
pub const PATIENCE: Duration = Duration::from_secs(90);
/// The tabulator in the WebDriver standard’s table of keys.
const TAB: char = '\u{e004}';
const HOLD: Duration = Duration::from_millis(1000);

pub struct Hand {
    client: Client,
    base: String,
    /// The one button that was last seen to be there.
    button: std::sync::Mutex<String>,
}

impl Hand {
    pub fn new(client: Client, base: String) -> Self {
        Self { client, base: base.trim_end_matches('/').to_owned(), button: std::sync::Mutex::default() }
    }

    /// The browser's own name for this window.
    pub async fn session(&self) -> String {
        self.client.session_id().await.expect("a session").unwrap_or_default()
    }

    /// What a line of script on the page gives.
    pub async fn script(&self, script: &str) -> Value {
        self.run(script, Vec::new()).await
    }

    pub async fn close(self) {
        self.client.close().await.expect("the browser closes");
    }

    pub async fn go(&self, path: &str) {
        self.client.goto(&format!("{}{path}", self.base)).await.expect("the page opens");
    }

    /// Opens a job from the form on the floor; its page to prepare is then shown. Gives its name.
    pub async fn open_job(&self, vehicle: &str) -> String {
        self.open_job_on(vehicle, "").await
    }

    /// The same on the unit of a sheet, as the form names it; the first one for no name.
    pub async fn open_job_on(&self, vehicle: &str, sheet: &str) -> String {
        self.go("/").await;
        if !sheet.is_empty() {
            self.click(&format!(".opening select[name=sheet] option[value='{sheet}']")).await;
        }
        self.type_into(".opening input[name=vehicle]", vehicle).await;
        self.type_into(".opening input[name=technician]", "Thumb").await;
        self.click(".opening button.do").await;
        self.wait_for("/job/", "the job's own address").await;
        self.path().await.split('/').nth(2).expect("a job in the address").to_owned()
    }

    pub async fn reload(&self) {
        self.client.refresh().await.expect("the page loads again");
    }

    pub async fn path(&self) -> String {
        self.client.current_url().await.expect("an address").path().to_owned()
    }

    async fn run(&self, script: &str, args: Vec<Value>) -> Value {
        self.client.execute(script, args).await.expect("the page answers")
    }

    /// All text under a selector, empty when it is not there.
    pub async fn text(&self, selector: &str) -> String {
        let script = "return [...document.querySelectorAll(arguments[0])].map(e => e.textContent).join(' ')";
        self.run(script, vec![json!(selector)]).await.as_str().unwrap_or_default().to_owned()
    }

    pub async fn count(&self, text: &str, selector: &str) -> usize {
        self.text(selector).await.matches(text).count()
    }

    async fn until(&self, what: &str, script: &str, args: Vec<Value>) {
        let start = Instant::now();
        while self.run(script, args.clone()).await != json!(true) {
            if start.elapsed() > PATIENCE {
                let place = self.text("#wire, .dock, .verb, .news, .sight, details[open], .log").await;
                panic!(
                    "waited in vain for {what}; the page shows: {}",
                    place.split_whitespace().collect::<Vec<_>>().join(" ")
                );
            }
            tokio::time::sleep(Duration::from_millis(150)).await;
        }
    }

    pub async fn wait_for(&self, part: &str, what: &str) {
        self.until(what, "return location.pathname.includes(arguments[0])", vec![json!(part)]).await;
    }

    pub async fn wait_for_text(&self, text: &str, selector: &str) {
        let script = "return [...document.querySelectorAll(arguments[0])].some(e => !e.hidden && e.textContent.toLowerCase().includes(arguments[1].toLowerCase()))";
        self.until(&format!("“{text}” in {selector}"), script, vec![json!(selector), json!(text)]).await;
    }

    /// Waits until so many of these are on the page.
    pub async fn wait_for_count(&self, many: usize, selector: &str) {
        let script = "return document.querySelectorAll(arguments[0]).length === arguments[1]";
        self.until(&format!("{many} of {selector}"), script, vec![json!(selector), json!(many)]).await;
    }

    pub async fn wait_until_hidden(&self, selector: &str) {
        let script = "return !document.querySelector(arguments[0])?.checkVisibility()";
        self.until(&format!("{selector} to go"), script, vec![json!(selector)]).await;
    }

    /// Waits until the worker that keeps pages has this one in hand.
    pub async fn worker_ready(&self) {
        let script = "return !!navigator.serviceWorker?.controller";
        self.until("the worker that keeps pages", script, Vec::new()).await;
    }

    pub async fn choose_file(&self, selector: &str, path: &str) {
        let field = self.client.find(Locator::Css(selector)).await.expect("a field for a file");
        let path = std::fs::canonicalize(path).expect("the file is there");
        field.send_keys(path.to_str().expect("a path in UTF-8")).await.expect("it takes a file");
    }

    /// Waits until the one button enters this word, for this plug.
    pub async fn expect(&self, word: &str, plug: &str) {
        let script = "const f = document.querySelector('.dock form.act'); if (!f) return false;
            const plug = f.querySelector('input[name=plug]')?.value ?? '';
            return f.dataset.act === arguments[0] && (arguments[1] === '' || plug === arguments[1])
                && ![...f.querySelectorAll('button')].some(b => b.disabled)";
        self.until(&format!("the button “{word} {plug}”"), script, vec![json!(word), json!(plug)]).await;
        let of = if plug.is_empty() { String::new() } else { format!(":has(input[name=plug][value={plug}])") };
        *self.button.lock().expect("one thumb") = format!(".dock form.act[data-act={word}]{of} button.do");
    }

    pub async fn type_into(&self, selector: &str, text: &str) {
        let mut last = None;
        for _ in 0..12 {
            match self.try_type(selector, text).await {
                Ok(()) => return,
                Err(why) => last = Some(why),
            }
            tokio::time::sleep(Duration::from_millis(150)).await;
        }
        panic!("{selector} takes no text: {last:?}");
    }

    async fn try_type(&self, selector: &str, text: &str) -> Result<(), CmdError> {
        let field = self.client.find(Locator::Css(selector)).await?;
        field.clear().await?;
        field.send_keys(text).await
    }

    pub async fn fill(&self, fields: &[(&str, &str)]) {
        for (name, value) in fields {
            self.type_into(&format!(".dock form.act input[name={name}]:not([type=hidden])"), value).await;
        }
    }

    /// Scrolls to it, as one does when it stands at the edge, and clicks.
    pub async fn click(&self, selector: &str) {
        let scroll = "document.querySelector(arguments[0])?.scrollIntoView({ block: 'center', behavior: 'instant' })";
        self.run(scroll, vec![json!(selector)]).await;
        self.client.find(Locator::Css(selector)).await.expect("it is there").click().await.expect("it takes a click");
    }

    /// The one button: pressed, or held where it asks for that.
    pub async fn press(&self) {
        let button = self.button.lock().expect("one thumb").clone();
        self.push(&button).await;
    }

    /// The page may renew a part between looking and pressing; a person simply presses what is there then.
    pub async fn push(&self, selector: &str) {
        let mut last = None;
        for _ in 0..12 {
            match self.try_push(selector).await {
                Ok(()) => return,
                // Gone after an attempt: the press was taken and the page went on.
                Err(CmdError::Standard(why)) if last.is_some() && why.error() == "no such element" => return,
                Err(why) => last = Some(why),
            }
            tokio::time::sleep(Duration::from_millis(150)).await;
        }
        panic!("{selector} takes no press: {last:?}");
    }

    async fn try_push(&self, selector: &str) -> Result<(), CmdError> {
        let button = self.client.find(Locator::Css(selector)).await?;
        let class = button.attr("class").await?.unwrap_or_default();
        if class.split_whitespace().any(|word| word == "hold") { self.hold(button).await } else { button.click().await }
    }

    async fn hold(&self, button: Element) -> Result<(), CmdError> {
        let script = "arguments[0].scrollIntoView({ block: 'center' }); const r = arguments[0].getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]";
        let middle = self.client.execute(script, vec![serde_json::to_value(&button).expect("an element")]).await?;
        let (x, y) = (middle[0].as_f64().expect("x"), middle[1].as_f64().expect("y"));
        let thumb = MouseActions::new("thumb".to_owned())
            .then(PointerAction::MoveTo { duration: None, x: x.round(), y: y.round() })
            .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
            .then(PointerAction::Pause { duration: HOLD })
            .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
        self.client.perform_actions(thumb).await
    }

    async fn keys(&self, actions: Vec<KeyAction>) {
        let keys = actions.into_iter().fold(KeyActions::new("keys".to_owned()), KeyActions::then);
        self.client.perform_actions(keys).await.expect("the page takes keys");
        self.client.release_actions().await.expect("keys are let go");
    }

    /// Goes from field to field with the tabulator until this one is reached.
    async fn tab_to(&self, selector: &str) {
        for _ in 0..120 {
            if self.run("return document.activeElement?.matches(arguments[0]) ?? false", vec![json!(selector)]).await
                == json!(true)
            {
                return;
            }
            self.keys(vec![KeyAction::Down { value: TAB }, KeyAction::Up { value: TAB }]).await;
        }
        panic!("{selector} cannot be reached with the tabulator");
    }

    /// Types without a pointer; a box is ticked with the space bar.
    pub async fn type_by_keys(&self, selector: &str, text: &str) {
        self.tab_to(selector).await;
        let text = if text.is_empty() { " " } else { text };
        self.keys(text.chars().flat_map(|value| [KeyAction::Down { value }, KeyAction::Up { value }]).collect()).await;
    }

    /// Presses without a pointer; a button that is held is held with the space bar.
    pub async fn push_by_keys(&self, selector: &str) {
        self.tab_to(selector).await;
        let pause = KeyAction::Pause { duration: HOLD };
        self.keys(vec![KeyAction::Down { value: ' ' }, pause, KeyAction::Up { value: ' ' }]).await;
    }

    async fn unfold(&self, word: &str) {
        let script = "const d = document.querySelector(`details[data-act=${arguments[0]}]`); if (!d) return false; d.open = true; d.scrollIntoView(); return true";
        self.until(&format!("the act “{word}”"), script, vec![json!(word)]).await;
    }

    /// One of the quieter acts.
    pub async fn other(&self, word: &str) {
        self.unfold(word).await;
        self.push(&format!("details[data-act={word}] button.do")).await;
    }

    pub async fn note(&self, text: &str) {
        self.unfold("note").await;
        self.type_into("details[data-act=note] textarea", text).await;
        self.push("details[data-act=note] button.do").await;
    }

    pub async fn look(&self, flow: &str) {
        self.push(&format!(".dock .looks button[value={flow}]")).await;
        let script = "const b = document.querySelector(`.dock .looks button[value=${arguments[0]}]`); return !b || (b.getAttribute('aria-pressed') === 'true' && !b.disabled)";
        self.until(&format!("the look “{flow}”"), script, vec![json!(flow)]).await;
    }

    /// What the demo says is in the pan, in litres, once it no longer changes and is more than `least`.
    pub async fn until_steady(&self, lead: &str, least: f64) -> String {
        let (start, mut last, mut same) = (Instant::now(), String::new(), 0);
        loop {
            assert!(start.elapsed() < PATIENCE, "the pan is never full: {}", self.text(".sight").await);
            let seen = self.text(".sight").await;
            let litres =
                seen.split(lead).nth(1).and_then(|rest| rest.split_whitespace().next()).unwrap_or_default().to_owned();
            same =
                if litres == last && litres.parse::<f64>().is_ok_and(|litres| litres > least) { same + 1 } else { 0 };
            if same >= 6 {
                return litres;
            }
            last = litres;
            tokio::time::sleep(Duration::from_millis(500)).await;
        }
    }

    /// Enters something as another device would, without the page: the status and what it answers.
    pub async fn post(&self, job: &str, entry: Value) -> Value {
        let script = "const [path, body, done] = arguments; fetch(path, { method: 'POST', body: JSON.stringify(body),
            headers: { 'content-type': 'application/json', accept: 'application/json' } })
            .then(async r => done({ status: r.status, body: await r.json() })).catch(e => done(String(e)))";
        let args = vec![json!(format!("/job/{job}/log")), entry];
        self.client.execute_async(script, args).await.expect("the page answers")
    }

    /// In the demo, lets that many minutes pass; the page itself hears of it as it hears of every change.
    pub async fn let_pass(&self, job: &str, minutes: &str) {
        let script = "const [path, minutes, done] = arguments; fetch(path, { method: 'POST', redirect: 'manual', body: new URLSearchParams({ minutes }) })
            .then(r => done(r.type)).catch(e => done(String(e)))";
        let args = vec![json!(format!("/job/{job}/pass")), json!(minutes)];
        let answer = self.client.execute_async(script, args).await.expect("the page answers");
        assert_eq!(answer, "opaqueredirect", "{minutes} minutes do not pass");
    }

    /// What the accessibility engine finds wrong with the page as it stands, one line a rule with the places.
    pub async fn violations(&self, engine: &str) -> Vec<String> {
        let load = format!("{engine}; return typeof axe");
        self.client.execute(&load, Vec::new()).await.expect("the engine loads");
        let script = "const done = arguments[0]; axe.run(document, { resultTypes: ['violations'] })
            .then(r => done(r.violations.map(v => v.id + ': ' + v.help + ' ' + v.nodes.map(n => n.target + ' ' + (n.any[0]?.message ?? '')).join(' | '))))
            .catch(e => done(['engine: ' + e]))";
        let found = self.client.execute_async(script, Vec::new()).await.expect("the page answers");
        serde_json::from_value(found).expect("a list")
    }

    /// Chooses a theme for this device.
    pub async fn theme(&self, word: &str) {
        let script = "const [word, done] = arguments; fetch('/theme', { method: 'POST', redirect: 'manual', body: new URLSearchParams({ theme: word, back: '/' }) }).then(() => done(true)).catch(e => done(String(e)))";
        assert_eq!(self.client.execute_async(script, vec![json!(word)]).await.expect("the page answers"), json!(true));
    }

    /// The first four bytes of what an address answers with.
    pub async fn first_bytes(&self, path: &str) -> String {
        let script = "const [path, done] = arguments; fetch(path).then(r => r.arrayBuffer()).then(b => done(String.fromCharCode(...new Uint8Array(b).slice(0, 4)))).catch(e => done(String(e)))";
        let answer = self.client.execute_async(script, vec![json!(path)]).await.expect("the page answers");
        answer.as_str().unwrap_or_default().to_owned()
    }
}
