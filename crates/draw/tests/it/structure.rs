//! What holds for every picture whatever it is given.

use draw::{
    FanPoint, Item, Moment, Picture, PlugState, RenewalBar, RenewalInput, SectionInput, SectionPlug, Size, Source,
    Standpipe, TapeInput, TapeReading, renewal, section, svg, svg_alone, tape, text_box,
};

const SIZES: [Size; 3] = [Size::Narrow, Size::Wide, Size::Paper];

/// No word outside the picture, no word upon another, nothing that is not a number, tags that close.
fn check(picture: &Picture, what: &str) {
    let boxes: Vec<_> = picture.items.iter().filter_map(|i| text_box(i).map(|b| (b, i))).collect();
    for (n, ((left, top, right, bottom), item)) in boxes.iter().enumerate() {
        assert!(
            *left >= -0.5 && *top >= -0.5 && *right <= picture.width + 0.5 && *bottom <= picture.height + 0.5,
            "{what}: outside {} × {}: {item:?}",
            picture.width,
            picture.height
        );
        for ((l, t, r, b), other) in &boxes[n + 1..] {
            let apart = *right <= l + 0.2 || r - 0.2 <= *left || *bottom <= t + 0.2 || b - 0.2 <= *top;
            assert!(apart, "{what}: one upon the other: {item:?} and {other:?}");
        }
    }
    for item in &picture.items {
        if let Item::Line { points, .. } | Item::Area { points, .. } = item {
            assert!(points.iter().all(|p| p.0.is_finite() && p.1.is_finite()), "{what}: {item:?}");
        }
    }
    let text = svg_alone(picture, "a <title>", "what & why");
    assert!(!text.contains("NaN") && !text.contains("inf\"") && !text.contains("a <title>"), "{what}");
    well_formed(&text);
}

/// A reader of the little XML that is written: every tag closes, every quote too, no bare ampersand.
fn well_formed(text: &str) {
    let mut open: Vec<&str> = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find('<') {
        let end = at + rest[at..].find('>').expect("a tag that ends");
        let tag = &rest[at + 1..end];
        assert!(tag.matches('"').count().is_multiple_of(2), "{tag}");
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !tag.ends_with('/') {
            open.push(tag.split(' ').next().unwrap_or_default());
        }
        rest = &rest[end + 1..];
    }
    assert!(open.is_empty(), "{open:?}");
    for part in text.split('&').skip(1) {
        assert!(["amp;", "lt;", "gt;", "quot;", "#39;"].iter().any(|e| part.starts_with(e)), "{part:.20}");
    }
}

#[test]
fn law_ordinary_pictures_hold() {
    for size in SIZES {
        for (what, input) in [
            ("warming", crate::warming_tape()),
            ("empty", crate::empty_tape()),
            ("finished", crate::finished_tape()),
            (
                "one reading",
                TapeInput { readings: crate::warming_tape().readings[..1].to_vec(), ..crate::empty_tape() },
            ),
        ] {
            check(&tape(&input, size), &format!("{what} {size:?}"));
        }
        for (what, input) in [("running", crate::running_section()), ("planned", crate::planned_section())] {
            check(&section(&input, size), &format!("{what} {size:?}"));
        }
        for count in 0..40 {
            check(&renewal(&crate::passes(count), size), &format!("{count} passes {size:?}"));
        }
        check(&renewal(&RenewalInput { bars: vec![] }, size), "no bars");
    }
}

#[test]
fn hand_readings_far_from_the_window_are_shown() {
    let mut input = crate::warming_tape();
    for temp_c in [-300.0, 900.0, 140.0] {
        input.readings.push(TapeReading { t_s: 200.0, temp_c, source: Source::Typed });
    }
    let picture = tape(&input, Size::Narrow);
    check(&picture, "far readings");
    // The two off the scale are arrow heads in the roles of hot and cold.
    let text = svg(&picture, "", "");
    assert_eq!(text.matches("d-hot d-solid").count(), 1);
    assert_eq!(text.matches("d-cold d-solid").count(), 1);
}

#[test]
fn hand_times_in_words() {
    // 38130 s after midnight is 10:35:30; 393.5 s later 10:42:03; half of 24 s is 12 s. 716 s later: 10:47:26.
    let text = svg(&tape(&crate::warming_tape(), Size::Wide), "", "");
    for words in [">10:42:03<", ">opens ± 12 s<", ">10:47:26<", ">closes ± 60 s<", ">10:40<", ">now<"] {
        assert!(text.contains(words), "{words}");
    }
    // After the job: 37 °C is 98.6 °F; 35–45 °C is 95–113 °F.
    let text = svg(&tape(&crate::finished_tape(), Size::Wide), "", "");
    for words in [">10:42:03<", ">opened<", ">10:47:26<", ">closed<", "window 95–113 °F", " earlier<"] {
        assert!(text.contains(words), "{words}");
    }
}

#[test]
fn hand_section_words() {
    let text = svg(&section(&crate::running_section(), Size::Wide), "", "");
    for words in [
        ">surplus 310 mL<",
        ">46 mL/min runs off<",
        ">12 of it expansion<",
        ">+3.9 mm<",
        ">−0.6 mm<",
        ">OUT<",
        ">PROVEN<",
        "◀ nose, 0.8° up.",
        "Heights drawn",
    ] {
        assert!(text.contains(words), "{words}");
    }
}

#[test]
fn law_nose_up_stands_higher_at_the_tail() {
    let ends = |tilt_deg: f64| {
        let picture = section(&SectionInput { tilt_deg, ..crate::running_section() }, Size::Wide);
        let surface = picture.items.iter().find_map(|i| match i {
            Item::Line { points, role: draw::Role::Surplus, dashed: false, .. } if points.len() == 2 => {
                Some(points.clone())
            }
            _ => None,
        });
        let surface = surface.expect("a surface");
        // The nose is at the left and heights grow upward on paper.
        surface[0].1 - surface[1].1
    };
    assert!(ends(1.0) > 1.0);
    assert!(ends(-1.0) < -1.0);
    assert!(ends(0.0).abs() < 1e-9);
}

#[test]
fn hand_renewal_percentages() {
    // 0.6² = 0.36, 0.6³ = 0.216.
    let text = svg(&renewal(&crate::passes(3), Size::Wide), "", "");
    for words in [">100 %<", ">60 %<", ">36 %<", ">22 %<", ">192 €<"] {
        assert!(text.contains(words), "{words}");
    }
}

/// Numbers of every awkward kind, in an order that a seed fixes.
struct Awkward(u64);

impl Awkward {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }
    fn number(&mut self) -> f64 {
        const KINDS: [f64; 14] = [
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
            0.0,
            -0.0,
            1e308,
            -1e308,
            5e-324,
            1e18,
            -1.0,
            40.0,
            600.0,
            0.5,
            1e5,
        ];
        let n = self.next();
        if n.is_multiple_of(3) { KINDS[(n / 3 % 14) as usize] } else { (n >> 40) as f64 / 10_000.0 - 300.0 }
    }
    fn maybe(&mut self) -> Option<f64> {
        (!self.next().is_multiple_of(4)).then(|| self.number())
    }
    fn words(&mut self) -> String {
        const KINDS: [&str; 7] = [
            "",
            "drain",
            "a & b <c>",
            "\u{0}\n\t",
            "one long word: aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa",
            "液体",
            "— 25 N·m",
        ];
        KINDS[(self.next() % 7) as usize].repeat((self.next() % 3) as usize + 1)
    }
    fn moment(&mut self) -> Option<Moment> {
        (!self.next().is_multiple_of(3)).then(|| Moment { p10: self.number(), p50: self.number(), p90: self.number() })
    }
    fn tape(&mut self) -> TapeInput {
        const SOURCES: [Source; 5] =
            [Source::Typed, Source::Reader, Source::Probe, Source::Infrared, Source::Simulated];
        TapeInput {
            window_c: self.maybe().map(|low| (low, self.number())),
            readings: (0..self.next() % 30)
                .map(|i| TapeReading { t_s: self.number(), temp_c: self.number(), source: SOURCES[(i % 5) as usize] })
                .collect(),
            fan: (0..self.next() % 20)
                .map(|_| FanPoint { t_s: self.number(), p10: self.number(), p50: self.number(), p90: self.number() })
                .collect(),
            fitted: (0..self.next() % 20).map(|_| (self.number(), self.number())).collect(),
            opens_s: self.moment(),
            closes_s: self.moment(),
            now_s: self.maybe(),
            notches: (0..self.next() % 50).map(|_| (self.number(), self.words())).collect(),
            start_clock_s: self.maybe(),
            fahrenheit: self.next().is_multiple_of(2),
        }
    }
    fn section(&mut self) -> SectionInput {
        const STATES: [PlugState; 3] = [PlugState::In, PlugState::Out, PlugState::Proven];
        SectionInput {
            sump_area_m2: self.number(),
            standpipe: self.maybe().map(|along_mm| Standpipe { along_mm, lip_height_mm: self.number() }),
            plugs: (0..self.next() % 7)
                .map(|i| SectionPlug {
                    label: self.words(),
                    along_mm: self.number(),
                    up_mm: self.number(),
                    state: STATES[(i % 3) as usize],
                })
                .collect(),
            tilt_deg: self.number(),
            level_now_mm: self.maybe(),
            level_reference_mm: self.maybe(),
            level_if_closed_mm: self.maybe(),
            surplus_ml: self.maybe(),
            runoff_ml_per_min: self.maybe(),
            expansion_ml_per_min: self.maybe(),
            by_ledger: false,
            unknown: String::new(),
        }
    }
}

#[test]
fn law_any_input_gives_a_sound_picture() {
    for seed in 1..600_u64 {
        let mut awkward = Awkward(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15));
        let size = SIZES[(seed % 3) as usize];
        check(&tape(&awkward.tape(), size), &format!("tape, seed {seed}"));
        check(&section(&awkward.section(), size), &format!("section, seed {seed}"));
        let bars = (0..seed % 9)
            .map(|_| RenewalBar {
                label: awkward.words(),
                old_fraction: awkward.number(),
                cost: awkward.words(),
                age: awkward.words(),
                chosen: seed % 2 == 0,
            })
            .collect();
        check(&renewal(&RenewalInput { bars }, size), &format!("renewal, seed {seed}"));
    }
}
