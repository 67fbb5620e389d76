//! What a person reads off the live page: what is asked for, what would be seen at the simulated vehicle, and so what to do.

use std::time::{Duration, Instant};

use serde::Deserialize;

use super::hand::{Hand, PATIENCE};

/// A field of the one button's form that is still to be filled in.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Empty {
    pub name: String,
    label: String,
    pub tick: bool,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Asked {
    /// Every part of it is of the same moment.
    whole: bool,
    /// It is the live page; the one that asks once more is not.
    pub under: bool,
    /// The word that the one button enters; empty where there is none.
    pub word: String,
    plug: String,
    circuit: String,
    pub empty: Vec<Empty>,
    /// How the run-off was said to look last, where it can be looked at.
    looks: bool,
    looked: String,
    pub verb: String,
    why: String,
    pub sight: String,
    /// Number of the newest entry that the simulated reader did not send.
    pub entered: usize,
}

/// What a person does next.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// Waits that many minutes.
    Wait(&'static str),
    /// Says how the run-off looks.
    Look(String),
    /// Fills the form and presses the one button.
    Press,
}

const READ: &str = "const text = s => (document.querySelector(s)?.textContent ?? '').trim();
    const act = document.querySelector('.dock form.act'), looks = document.querySelector('.dock form.looks');
    const missing = f => f.type === 'checkbox' ? f.required && !f.checked : !f.value;
    // What was being pressed is renewed only once it is let go: until then the button is older than the log beside it.
    const of = (act ?? looks)?.querySelector('input[name=seq]')?.value, newest = document.querySelector('.log .seq')?.textContent ?? of;
    return { whole: !of || of === newest.trim(), under: !!document.querySelector('.strip'), word: act?.dataset.act ?? '', looks: !!looks,
        plug: act?.querySelector('input[name=plug]')?.value ?? '', circuit: act?.querySelector('input[name=circuit]')?.value ?? '',
        looked: looks?.querySelector('[aria-pressed=true]')?.value ?? '',
        empty: [...(act?.querySelectorAll('input:not([type=hidden])') ?? [])].filter(missing)
            .map(f => ({ name: f.name, label: f.closest('label')?.textContent ?? '', tick: f.type === 'checkbox' })),
        verb: text('#verb'), why: text('#why'), sight: text('.sight'),
        entered: Math.max(0, ...[...document.querySelectorAll('.log li')].filter(line => line.querySelector('.who').textContent.trim() !== 'simulated reader')
            .map(line => Number(line.querySelector('.seq').textContent))) }";

/// What the page shows, once every part of it is of the same moment.
pub async fn asked(hand: &Hand) -> Asked {
    let start = Instant::now();
    loop {
        let ask: Asked = serde_json::from_value(hand.script(READ).await).expect("what the page shows");
        if ask.whole {
            return ask;
        }
        assert!(start.elapsed() < PATIENCE, "the page never comes to rest: {}", ask.what());
        tokio::time::sleep(Duration::from_millis(60)).await;
    }
}

/// The figures of a sentence, with a minus as it is printed.
fn figures(text: &str) -> Vec<String> {
    let plain = text.replace('−', "-");
    let figure = |word: &str| {
        let word = word.trim_matches(|c: char| !c.is_ascii_digit() && c != '-' && c != '.').trim_end_matches('.');
        word.parse::<f64>().is_ok().then(|| word.to_owned())
    };
    plain.split_whitespace().filter_map(figure).collect()
}

impl Asked {
    /// The word and what it is for, to tell a reader of the test where it stands.
    pub fn what(&self) -> String {
        format!("{} {} {}: {} {}", self.word, self.plug, self.circuit, self.verb, self.sight)
    }

    fn says(&self, words: &str) -> bool {
        self.verb.contains(words)
    }

    /// What a person does now; `waited` when nothing was entered since the last wait.
    pub fn next(&self, waited: bool) -> Next {
        if self.sight.contains("still running") {
            return Next::Wait("5");
        }
        if self.looks {
            return self.while_open();
        }
        let went_in = figures(&self.sight).last().and_then(|litres| litres.parse::<f64>().ok());
        match self.word.as_str() {
            "drained" if !waited => Next::Wait("15"),
            "exchange" if went_in.is_none_or(|litres| litres < 0.5) => Next::Wait("5"),
            "reading" => self.while_waiting(waited),
            _ => Next::Press,
        }
    }

    /// The level plug is out.
    fn while_open(&self) -> Next {
        let seen = self.sight.trim_start_matches("Simulated: ").trim_end_matches(" at the level plug.");
        let flow = seen.replace(' ', "-");
        match () {
            () if self.says("Look") => Next::Look(flow),
            () if self.says("Let it run") && flow != self.looked => Next::Look(flow),
            () if self.says("Put ") || self.says("put ") || self.says("Pour ") => Next::Press,
            () => Next::Wait("1"),
        }
    }

    /// The page asks for a temperature: one waits for it, and reads it where no reader does.
    fn while_waiting(&self, waited: bool) -> Next {
        let by_hand = self.sight.contains("thermometer");
        if self.says("rest") {
            return Next::Wait("5");
        }
        if by_hand {
            let wait = self.says("cool") || self.says("Wait");
            return if wait && !waited { Next::Wait("15") } else { Next::Press };
        }
        let first = |text: &str| figures(text).first().and_then(|figure| figure.parse::<f64>().ok());
        let wanted = first(&self.verb).or_else(|| first(&self.why));
        let far = wanted.zip(first(&self.sight)).is_some_and(|(wanted, shown)| (wanted - shown).abs() > 15.0);
        Next::Wait(if far { "5" } else { "1" })
    }

    /// How the vehicle stands along one axis, as it is seen; where neither word stands there, level.
    fn stands(&self, up: &str, down: &str) -> String {
        let after = |words: &str| figures(self.sight.split_once(words)?.1).first().cloned();
        after(up).or_else(|| Some(format!("-{}", after(down)?))).unwrap_or_else(|| "0.0".to_owned())
    }

    /// What is typed into a field, as it is seen at the vehicle or printed on the page.
    pub fn typed(&self, field: &Empty) -> String {
        let seen = |n: usize| {
            figures(&self.sight).get(n).cloned().unwrap_or_else(|| panic!("nothing to read: {}", self.what()))
        };
        match (self.word.as_str(), field.name.as_str()) {
            ("drained" | "run-off", "volume") | ("weigh", "mass") | ("exchange", "out") => seen(0),
            ("drained" | "run-off", "at") | ("exchange", "out_at") | ("dip", "other_side") => seen(1),
            ("dip" | "probe" | "edge" | "readout" | "reading", _) => seen(0),
            ("exchange", "in") => seen(2),
            ("level-vehicle", "pitch") => self.stands("nose up ", "nose down "),
            ("level-vehicle", _) => self.stands("right side up ", "right side down "),
            // "Torque (15 lbf·ft (20 N·m))": the figure before the unit that stands beside the field.
            (_, "torque") => {
                let before = field.label.split("N·m").next().unwrap_or_default();
                let figure = before.split(['(', '–', ' ']).rfind(|word| word.parse::<f64>().is_ok());
                figure.unwrap_or("20").to_owned()
            }
            // "Fluid on the can (G-7 or C-7)": one for each circuit, in their order.
            (_, "fluid") => {
                let fluids =
                    field.label.split_once('(').map_or("", |(_, rest)| rest.split(')').next().unwrap_or_default());
                let own = usize::from(self.circuit.starts_with("clutch"));
                fluids.split(" or ").nth(own).unwrap_or_default().to_owned()
            }
            (_, "at" | "out_at" | "in_at") => "20".to_owned(),
            (_, "volume") => "0.3".to_owned(),
            (word, field) => panic!("{word} asks for {field}: {}", self.what()),
        }
    }
}
