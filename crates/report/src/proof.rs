//! The proof sheet on paper.

use crate::ReportError;
use crate::content::{Figure, Override, Proof};
use crate::font::Family;
use crate::paper::{BOTTOM, HEIGHT, Ink, LEFT, Mark, Part, RIGHT, Sheet, TOP, WIDTH};
use crate::set::{Column, Density};

/// What a demonstration sheet says of itself, on paper and on the page.
pub(crate) const DEMO: &str = "DEMO — simulated vehicle";
pub(crate) const DEMO_MORE: &str = "not a record of work done";

/// The proof sheet as a PDF: one A4 page, whatever the content. What does not fit is counted ("… 12 more in the log").
///
/// # Errors
/// [`ReportError`] if the shipped font is damaged or the PDF cannot be written.
pub fn pdf(proof: &Proof) -> Result<Vec<u8>, ReportError> {
    let family = Family::read()?;
    let sheet = laid(proof, family);
    let name = if proof.title.trim().is_empty() { "Proof sheet" } else { &proof.title };
    let title = if proof.demo { format!("{DEMO}: {name}") } else { name.to_owned() };
    sheet.pdf(family, title.trim(), &proof.verdict)
}

/// Letter heights of tables and remarks that are tried, points.
const LETTERS: [f32; 4] = [9.2, 8.6, 8.0, 7.4];

/// Overridden gates that are always printed, each with its reason.
const MOST_OVERRIDES: usize = 6;

fn laid(proof: &Proof, family: &Family) -> Sheet {
    let mut best = Sheet::default();
    for density in Density::all(&LETTERS) {
        let (sheet, end) = lay(proof, family, density);
        best = sheet;
        if end <= foot_top(proof, family) {
            break;
        }
    }
    foot(&mut best, proof, family);
    best
}

fn lay(proof: &Proof, family: &Family, density: Density) -> (Sheet, f32) {
    let mut sheet = Sheet::default();
    if proof.demo {
        let text = "DEMO".to_owned();
        sheet.add(Part::Decoration, vec![Mark::Aslant { x: WIDTH / 2.0, y: HEIGHT / 2.0, size: 210.0, text }]);
    }
    let mut y = head(&mut sheet, proof, family);
    if let Some(why) = &proof.stopped {
        y = stopped(&mut sheet, family, why, y);
    }
    y = figures(&mut sheet, proof, family, density, y + 6.0);

    let (left_half, right_half) = halves();
    let mut left = Column { family, density, left: left_half.0, right: left_half.1, y };
    let mut right = Column { family, density, left: right_half.0, right: right_half.1, y };
    left.pairs(&mut sheet, "Vehicle", &proof.vehicle);
    left.pairs(&mut sheet, "Unit", &proof.unit);
    tape(&mut sheet, proof, &mut left);
    right.table(&mut sheet, "Litre ledger", &proof.ledger);
    right.table(&mut sheet, "Where the doubt comes from", &proof.budget);
    right.table(&mut sheet, "Torques", &proof.torques);
    shorter(&mut left, &mut right).pairs(&mut sheet, "Fluid", &proof.fluid);
    shorter(&mut left, &mut right).pairs(&mut sheet, "Next due", &proof.next_due);
    let overrides: Vec<String> = proof.overrides.iter().map(override_words).collect();
    // An overridden gate is what the sheet owes the customer most: these are the last to be left out.
    let column = shorter(&mut left, &mut right);
    column.density.rows = density.rows.max(MOST_OVERRIDES);
    column.remarks(&mut sheet, "Gates overridden", &overrides);
    column.density.rows = density.rows;
    shorter(&mut left, &mut right).remarks(&mut sheet, "Entries corrected", &proof.corrections);
    shorter(&mut left, &mut right).remarks(&mut sheet, "Mind this", &proof.cautions);
    shorter(&mut left, &mut right).remarks(&mut sheet, "What this sheet does not claim", &proof.not_claimed);
    (sheet, left.y.max(right.y))
}

/// Left and right end of the two columns.
fn halves() -> ((f32, f32), (f32, f32)) {
    let middle = (LEFT + RIGHT) / 2.0;
    ((LEFT, middle - 10.0), (middle + 10.0, RIGHT))
}

fn shorter<'a, 'b>(left: &'a mut Column<'b>, right: &'a mut Column<'b>) -> &'a mut Column<'b> {
    if left.y <= right.y { left } else { right }
}

pub(crate) fn override_words(o: &Override) -> String {
    let when = if o.when.is_empty() { String::new() } else { format!(" ({})", o.when) };
    if o.gate.trim().is_empty() && o.reason.trim().is_empty() {
        return String::new();
    }
    let reason = if o.reason.is_empty() { "no reason given" } else { &o.reason };
    format!("{}: {reason}{when}", o.gate)
}

fn words(x: f32, y: f32, size: f32, bold: bool, ink: Ink, text: &str) -> Mark {
    Mark::Words { x, y, size, bold, ink, text: text.to_owned() }
}

/// Workshop, title and who did what when; gives back where the sheet goes on.
fn head(sheet: &mut Sheet, proof: &Proof, family: &Family) -> f32 {
    let wide = RIGHT - LEFT;
    let mut y = TOP + 8.0;
    let kind = "PROOF SHEET";
    let workshop = family.fit(&proof.workshop, 10.0, true, wide * 0.7);
    sheet.add(Part::Paragraph, vec![words(LEFT, y, 10.0, true, Ink::Black, &workshop)]);
    let kind_left = RIGHT - family.width(kind, 8.5, true);
    sheet.add(Part::Paragraph, vec![words(kind_left, y, 8.5, true, Ink::Accent, kind)]);
    y += 6.0;
    sheet.rule(LEFT, RIGHT, y, 1.6, Ink::Black);
    sheet.rule(LEFT, RIGHT, y + 2.6, 0.4, Ink::Black);
    y += 3.0;
    if proof.demo {
        y = demo_band(sheet, family, y + 5.0);
    }
    for (i, line) in family.wrap(&proof.title, 19.0, true, wide, 2).iter().enumerate() {
        y += if i == 0 { 23.0 } else { 21.0 };
        sheet.add(Part::Heading(1), vec![words(LEFT, y, 19.0, true, Ink::Black, line)]);
    }
    let parts = [&proof.job, &proof.date, &proof.technician];
    let who: Vec<&str> = parts.into_iter().map(|s| s.trim()).filter(|s| !s.is_empty()).collect();
    y += 13.0;
    let who = family.fit(&who.join("  ·  "), 9.2, false, wide);
    sheet.add(Part::Paragraph, vec![words(LEFT, y, 9.2, false, Ink::Grey, &who)]);
    y + 5.0
}

/// A hatched band from edge to edge with the words on a clear field.
fn demo_band(sheet: &mut Sheet, family: &Family, top: f32) -> f32 {
    let bottom = top + 20.0;
    sheet.hatch(LEFT, top, RIGHT, bottom, Ink::Accent);
    let text = format!("{DEMO} — {DEMO_MORE}");
    let wide = family.width(&text, 11.0, true);
    let left = (LEFT + RIGHT - wide) / 2.0;
    sheet.fill(left - 8.0, top, left + wide + 8.0, bottom, Ink::White);
    sheet.add(Part::Paragraph, vec![words(left, top + 14.0, 11.0, true, Ink::Accent, &text)]);
    for y in [top, bottom] {
        sheet.rule(LEFT, RIGHT, y, 0.8, Ink::Accent);
    }
    bottom
}

fn stopped(sheet: &mut Sheet, family: &Family, why: &str, y: f32) -> f32 {
    let top = y + 4.0;
    let lines = family.wrap(why, 10.0, false, RIGHT - LEFT - 24.0, 3);
    let bottom = top + 21.0 + 13.0 * lines.len() as f32;
    sheet.hatch(LEFT, top, LEFT + 10.0, bottom, Ink::Black);
    let outline = vec![(LEFT, top), (RIGHT, top), (RIGHT, bottom), (LEFT, bottom), (LEFT, top)];
    let frame = Mark::Line { points: outline, width: 1.2, ink: Ink::Black, dashed: false };
    sheet.add(Part::Decoration, vec![frame]);
    let heading = words(LEFT + 18.0, top + 14.0, 11.0, true, Ink::Black, "STOPPED BEFORE THE END");
    sheet.add(Part::Heading(2), vec![heading]);
    let marks = lines.iter().enumerate();
    let marks = marks.map(|(i, l)| words(LEFT + 18.0, top + 28.0 + 13.0 * i as f32, 10.0, false, Ink::Black, l));
    sheet.add(Part::Paragraph, marks.collect());
    bottom + 2.0
}

/// As found beside as left, the largest words of the sheet, and the verdict under them.
fn figures(sheet: &mut Sheet, proof: &Proof, family: &Family, density: Density, top: f32) -> f32 {
    let tall = if density.rows > 5 { 30.0 } else { 24.0 };
    let (left_half, right_half) = halves();
    let verdict = family.wrap(&proof.verdict, 11.0, true, RIGHT - LEFT - 12.0, density.lines.clamp(2, 3));
    let found = FigureLines::new(family, &proof.as_found, left_half.1 - 4.0 - left_half.0, tall);
    let left = FigureLines::new(family, &proof.as_left, right_half.1 - 6.0 - right_half.0, tall);
    let below = top + found.height().max(left.height()) + 8.0;
    let bottom = below + if verdict.is_empty() { 0.0 } else { 6.0 + 14.0 * verdict.len() as f32 };
    sheet.fill(right_half.0 - 10.0, top, RIGHT, below, Ink::Wash);
    sheet.rule(LEFT, RIGHT, top, 0.8, Ink::Black);
    found.set(sheet, family, left_half.0, top, Ink::Black);
    left.set(sheet, family, right_half.0, top, Ink::Accent);
    let middle = (LEFT + RIGHT) / 2.0 - 8.0;
    sheet.add(Part::Decoration, vec![words(middle - 9.0, top + 15.0 + tall * 0.8, 15.0, false, Ink::Grey, "→")]);
    sheet.rule(LEFT, RIGHT, below, 0.8, Ink::Black);
    let marks: Vec<Mark> = verdict
        .iter()
        .enumerate()
        .map(|(i, line)| words(LEFT, below + 15.0 + 14.0 * i as f32, 11.0, true, Ink::Black, line))
        .collect();
    sheet.add(Part::Paragraph, marks);
    if !verdict.is_empty() {
        sheet.rule(LEFT, RIGHT, bottom, 0.4, Ink::Rule);
    }
    bottom + 2.0
}

/// A result broken into lines: the doubt stands beside the value where both fit in letters that can be read from afar, else
/// on lines of its own.
struct FigureLines {
    label: String,
    tall: f32,
    /// Letter height of the value.
    size: f32,
    value: String,
    beside: String,
    doubt: Vec<String>,
    words: Vec<String>,
}

/// Lines of a doubt that stands below its value, and of the words under it.
const DOUBT_LETTER: f32 = 9.4;
const WORDS_LETTER: f32 = 8.8;

impl FigureLines {
    fn new(family: &Family, figure: &Figure, room: f32, tall: f32) -> Self {
        let value = if figure.value.trim().is_empty() { "—" } else { figure.value.trim() };
        let together =
            |size: f32| family.width(value, size, true) + size * 0.25 + family.width(&figure.doubt, size * 0.62, false);
        // Beside the value only if that costs it less than a fifth of its height.
        let shrunk =
            (0..=(tall * 0.2) as i32).map(|less| tall - less as f32).find(|size| together(*size) <= room - 12.0);
        let alone = || {
            let mut size = tall;
            while size > 12.0 && family.width(value, size, true) > room - 12.0 {
                size -= 1.0;
            }
            size
        };
        let size = shrunk.unwrap_or_else(alone);
        let doubt =
            if shrunk.is_some() { Vec::new() } else { family.wrap(&figure.doubt, DOUBT_LETTER, false, room, 3) };
        Self {
            label: family.fit(&figure.label.to_uppercase(), 8.5, true, room),
            tall,
            size,
            value: family.fit(value, size, true, room),
            beside: if shrunk.is_some() { figure.doubt.clone() } else { String::new() },
            doubt,
            words: family.wrap(&figure.words, WORDS_LETTER, false, room, 3),
        }
    }

    fn height(&self) -> f32 {
        // Two lines are kept at least, so that sheets look alike.
        let own = 11.8 * self.doubt.len() as f32 + 10.8 * self.words.len() as f32;
        14.0 + self.tall + own.max(21.6)
    }

    fn set(&self, sheet: &mut Sheet, family: &Family, left: f32, top: f32, ink: Ink) {
        sheet.add(Part::Heading(2), vec![words(left, top + 13.0, 8.5, true, Ink::Grey, &self.label)]);
        let mut y = top + 14.0 + self.tall;
        let mut marks = vec![words(left, y, self.size, true, ink, &self.value)];
        if !self.beside.is_empty() {
            let at = left + family.width(&self.value, self.size, true) + self.size * 0.25;
            marks.push(words(at, y, self.size * 0.62, false, ink, &self.beside));
        }
        y += 1.7;
        for line in &self.doubt {
            y += 11.8;
            marks.push(words(left, y, DOUBT_LETTER, false, ink, line));
        }
        for line in &self.words {
            y += 10.8;
            marks.push(words(left, y, WORDS_LETTER, false, Ink::Black, line));
        }
        sheet.add(Part::Paragraph, marks);
    }
}

/// The tape, as tall as the density leaves room for.
fn tape(sheet: &mut Sheet, proof: &Proof, column: &mut Column<'_>) {
    column.heading(sheet, "Temperature of the fluid");
    column.y += 3.0;
    let height = match column.density.rows {
        20.. => 290.0,
        10.. => 240.0,
        5.. => 200.0,
        _ => 150.0,
    };
    let picture = draw::tape_in(&proof.tape, f64::from(column.width()), height, 7.2);
    let words = tape_words(&proof.tape);
    sheet.picture(column.family, &picture, column.left, column.y, words);
    column.y += picture.height as f32 + 4.0;
}

/// The tape for those who cannot see it.
pub(crate) fn tape_words(tape: &draw::TapeInput) -> String {
    let temps = || tape.readings.iter().map(|r| r.temp_c).filter(|c| c.is_finite());
    if temps().next().is_none() {
        return "Strip chart of the fluid temperature; no reading.".to_owned();
    }
    let shown = |c: f64| if tape.fahrenheit { c * 1.8 + 32.0 } else { c };
    let unit = if tape.fahrenheit { "°F" } else { "°C" };
    let low = shown(temps().fold(f64::INFINITY, f64::min));
    let high = shown(temps().fold(f64::NEG_INFINITY, f64::max));
    let window =
        tape.window_c.map_or(String::new(), |w| format!(", window {:.0} to {:.0} {unit}", shown(w.0), shown(w.1)));
    format!(
        "Strip chart of the fluid temperature: {} readings from {low:.0} to {high:.0} {unit}{window}.",
        temps().count()
    )
}

/// Lines of the foot: two at most.
fn foot_lines(proof: &Proof, family: &Family) -> Vec<String> {
    family.wrap(&proof.footer, 7.4, false, RIGHT - LEFT, 2)
}

fn foot_top(proof: &Proof, family: &Family) -> f32 {
    let demo = if proof.demo { 12.0 } else { 0.0 };
    BOTTOM - 6.0 - 9.5 * foot_lines(proof, family).len() as f32 - demo
}

fn foot(sheet: &mut Sheet, proof: &Proof, family: &Family) {
    let mut y = foot_top(proof, family);
    sheet.rule(LEFT, RIGHT, y + 1.0, 0.6, Ink::Black);
    y += 2.0;
    if proof.demo {
        y += 11.0;
        let text = format!("{DEMO}: {DEMO_MORE}.");
        sheet.add(Part::Paragraph, vec![words(LEFT, y, 8.5, true, Ink::Accent, &text)]);
    }
    for line in foot_lines(proof, family) {
        y += 9.5;
        sheet.add(Part::Paragraph, vec![words(LEFT, y, 7.4, false, Ink::Grey, &line)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::content::Table;

    /// A sheet whose every list has `n` entries of words that occur nowhere else.
    fn proof(n: usize, more: &str) -> Proof {
        let list = |name: &str| (0..n).map(|i| format!("{name}{i} {more}")).collect::<Vec<_>>();
        let pairs = |name: &str| list(name).into_iter().map(|v| (format!("k{v}"), v)).collect::<Vec<_>>();
        let table = |name: &str| Table {
            head: ["part", "mL", "±"].map(String::from).to_vec(),
            rows: list(name).into_iter().map(|v| vec![v, "−12".into(), "30".into()]).collect(),
            total: vec![format!("{name}total"), "0".into(), "45".into()],
        };
        let figure = |label: &str| Figure {
            label: label.into(),
            value: "−310 mL".into(),
            doubt: "± 90 mL".into(),
            words: format!("{label}words {more}"),
        };
        Proof {
            workshop: "Workshop".into(),
            demo: n % 2 == 1,
            title: format!("Title {more}"),
            job: "Job 7".into(),
            date: "1 May".into(),
            technician: "Somebody".into(),
            vehicle: pairs("vehicle"),
            unit: pairs("unit"),
            verdict: format!("Verdict {more}"),
            as_found: figure("Found"),
            as_left: figure("Left"),
            ledger: table("ledger"),
            budget: table("budget"),
            tape: draw::TapeInput {
                window_c: Some((35.0, 45.0)),
                readings: vec![],
                fan: vec![],
                fitted: vec![],
                opens_s: None,
                closes_s: None,
                now_s: None,
                notches: list("notch").into_iter().map(|v| (60.0, v)).collect(),
                start_clock_s: None,
                fahrenheit: false,
            },
            torques: table("torque"),
            fluid: pairs("fluid"),
            overrides: list("gate")
                .into_iter()
                .map(|gate| Override { gate, reason: "reason".into(), when: "10:58".into() })
                .collect(),
            corrections: list("corrected"),
            cautions: list("caution"),
            next_due: pairs("due"),
            not_claimed: list("unclaimed"),
            stopped: n.is_multiple_of(3).then(|| format!("Stopped {more}")),
            footer: format!("Footer {more}"),
        }
    }

    #[test]
    fn law_words_stay_on_the_sheet_and_apart() {
        let family = Family::read().expect("the shipped font");
        for n in [0, 1, 3, 8, 40] {
            for more in ["", "and more", &"many more words that go on ".repeat(12), &"unbroken".repeat(40)] {
                let sheet = laid(&proof(n, more), family);
                let boxes: Vec<_> = sheet.words(family).collect();
                for (i, (left, top, right, bottom, text)) in boxes.iter().enumerate() {
                    let inside =
                        *left >= LEFT - 0.1 && *right <= RIGHT + 0.1 && *top >= TOP - 5.0 && *bottom <= BOTTOM + 3.0;
                    assert!(inside, "{n} {more}: {text} at {left} {top} {right} {bottom}");
                    for (l, t, r, b, other) in &boxes[i + 1..] {
                        let apart = *right <= l + 0.3 || r - 0.3 <= *left || *bottom <= t + 0.3 || b - 0.3 <= *top;
                        assert!(apart, "{n} {more}: {text} upon {other}");
                    }
                }
            }
        }
    }

    #[test]
    fn law_nothing_is_left_out_while_there_is_room() {
        let family = Family::read().expect("the shipped font");
        let sheet = laid(&proof(3, ""), family);
        let all = sheet.words(family).map(|w| w.4).collect::<Vec<_>>().join("\n");
        for name in ["vehicle", "unit", "ledger", "budget", "torque", "fluid", "gate", "corrected", "caution", "due"] {
            for i in 0..3 {
                assert!(all.contains(&format!("{name}{i}")), "{name}{i} is not in\n{all}");
            }
        }
        for words in
            ["unclaimed2", "ledgertotal", "Verdict", "Foundwords", "−310 mL", "± 90 mL", "Stopped", "Footer", DEMO]
        {
            assert!(all.contains(words), "{words}");
        }
        assert!(!all.contains("more in the log"));
        // Where there is no room the sheet says how many it does not show: 120 rows and 3 others that were not asked for.
        let sheet = laid(&proof(120, ""), family);
        let all = sheet.words(family).map(|w| w.4).collect::<Vec<_>>().join("\n");
        assert!(all.contains("more in the log"));
        for i in 0..5 {
            assert!(all.contains(&format!("gate{i}")));
        }
    }
}
