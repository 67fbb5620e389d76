//! Views of an invented workshop, one for each state a page can be in; shown by the example `face` and read by the tests.

use askama::Template;
use draw::{
    FanPoint, Moment, PlugState, SectionInput, SectionPlug, Source, Standpipe, TapeInput, TapeReading, section_in, svg,
    tape_in,
};
use web::view::*;

const JOB: &str = "7f3a";
const ID: &str = "0198c3d2-5b1e-7a60-9c41-2f6f0f7d1a11";

/// Every page by name, with its HTML.
pub fn pages() -> Vec<(&'static str, String)> {
    let pages: Vec<(&'static str, Result<String, askama::Error>)> = vec![
        ("floor", floor(false).render()),
        ("floor-empty", floor(true).render()),
        ("prepare", prepare().render()),
        ("fresh", page(fresh(), false).render()),
        ("cold", page(cold(), false).render()),
        ("open", page(open(), false).render()),
        ("hot", page(hot(), false).render()),
        ("refused", page(refused(), false).render()),
        ("conflict", page(conflict(), false).render()),
        ("interrupted", page(interrupted(), false).render()),
        ("volume", page(volume(), false).render()),
        ("finished", page(finished(), false).render()),
        ("stopped", page(stopped(), false).render()),
        ("demo", page(open(), true).render()),
        ("demo-cold", page(cold(), true).render()),
        ("outcome", outcome().render()),
        ("proof", proof().render()),
        ("confirm", confirm().render()),
        ("trouble", trouble().render()),
    ];
    pages.into_iter().map(|(name, html)| (name, html.expect("a fixture renders"))).collect()
}

fn shell(title: &str, page: Page, demo: bool) -> Shell {
    let block = [
        ("Unit", "Corvane K6, six gears"),
        ("Vehicle", "Halden Fjell 2.0, green"),
        ("Odometer", "142 300 km"),
        ("Sheet", "corvane-k6, edition 3"),
        ("Technician", "R. Ostrander"),
        ("Opened", "12 May, 10:31"),
    ];
    let job = (page != Page::Floor).then(|| JobHead {
        id: JOB.into(),
        unit: "Corvane K6".into(),
        vehicle: "Halden Fjell".into(),
        block: block.iter().map(|(a, b)| ((*a).into(), (*b).into())).collect(),
        over: false,
    });
    let here = if page == Page::Floor { "/".into() } else { format!("/job/{JOB}") };
    Shell {
        title: title.into(),
        page,
        theme: Theme::Device,
        demo: demo.then(|| Demo { speed: "20".into() }),
        job,
        here,
    }
}

/// The live page that shows `under`.
pub fn page(under: Under, demo: bool) -> UnderView {
    UnderView { shell: shell("Halden Fjell · Corvane K6", Page::Under, demo), under }
}

fn act(verb: &str, label: &str) -> Act {
    Act::new(JOB, ID, 14, verb, label)
}

fn reading() -> Act {
    act("reading", "Enter reading").hidden("source", "reader").field(Field::number("temperature", "Fluid", "°C"))
}

fn plug(name: &str, shape: PlugShape, detail: &str, out_s: Option<i64>) -> PlugView {
    let state = match shape {
        PlugShape::In => "IN",
        PlugShape::Out => "OUT",
        PlugShape::Proven => "PROVEN",
    };
    PlugView { name: name.into(), shape, state: state.into(), detail: detail.into(), out_s }
}

fn scale() -> ScaleView {
    let at = |t: f64| (t - 15.0) / 45.0 * 100.0;
    let ticks = [20.0, 35.0, 45.0, 55.0].map(|t| ScaleTick { at: at(t), label: format!("{t:.0}") }).to_vec();
    ScaleView { low: at(35.0), high: at(45.0), ticks }
}

fn live(temp: f64, band: Band, word: &str, forecast: Forecast) -> Live {
    let whole = temp.trunc();
    Live {
        seq: 14,
        speed: 1.0,
        whole: format!("{whole:.0}"),
        tenths: format!(".{:.0}", (temp - whole) * 10.0),
        unit: "°C".into(),
        rate: "+1.8 °C/min".into(),
        age_s: Some(4),
        source: "reader".into(),
        band,
        band_word: word.into(),
        pointer: Some((temp - 15.0) / 45.0 * 100.0),
        forecast,
        mood: Mood::Wait,
        verb: String::new(),
        why: String::new(),
        cue: Cue::None,
        say: String::new(),
        out: Vec::new(),
    }
}

fn tape_svg(until_s: f64) -> String {
    let at = |t: f64| 85.0 - 65.0 * (-t / 1500.0).exp();
    let readings = (0..=(until_s / 60.0) as i32)
        .map(|i| f64::from(i) * 60.0)
        .map(|t| TapeReading {
            t_s: t,
            temp_c: at(t) + if (t / 60.0) % 2.0 < 1.0 { 0.3 } else { -0.2 },
            source: Source::Reader,
        })
        .collect();
    let fan = (0..20)
        .map(|i| until_s + f64::from(i) * 30.0)
        .map(|t| FanPoint {
            t_s: t,
            p10: at(t) - (t - until_s) * 0.006,
            p50: at(t),
            p90: at(t) + (t - until_s) * 0.006,
        })
        .collect();
    let input = TapeInput {
        window_c: Some((35.0, 45.0)),
        readings,
        fan,
        fitted: (0..40).map(|i| f64::from(i) * until_s / 39.0).map(|t| (t, at(t))).collect(),
        opens_s: Some(Moment { p10: 376.0, p50: 396.0, p90: 416.0 }),
        closes_s: Some(Moment { p10: 696.0, p50: 726.0, p90: 756.0 }),
        now_s: Some(until_s),
        notches: vec![(0.0, "engine started".into()), (95.0, "selector cycled".into())],
        start_clock_s: Some(38_135.0),
        fahrenheit: false,
    };
    svg(&tape_in(&input, 372.0, 430.0, 14.0), "Tape", "Temperature against time, with the window and the forecast")
}

fn section_svg(out: bool) -> String {
    let plug = |label: &str, along_mm, up_mm, state| SectionPlug { label: label.into(), along_mm, up_mm, state };
    let level = if out { PlugState::Out } else { PlugState::Proven };
    let input = SectionInput {
        sump_area_m2: 0.08,
        standpipe: Some(Standpipe { along_mm: -40.0, lip_height_mm: 55.0 }),
        plugs: vec![plug("level", -40.0, 0.0, level), plug("drain, 25 N·m", 110.0, 0.0, PlugState::In)],
        tilt_deg: 0.8,
        level_now_mm: Some(3.9),
        level_reference_mm: Some(3.2),
        level_if_closed_mm: Some(3.1),
        surplus_ml: Some(310.0),
        runoff_ml_per_min: out.then_some(46.0),
        expansion_ml_per_min: out.then_some(12.0),
    };
    svg(&section_in(&input, 372.0, 300.0, 14.0), "Section", "Side view of the sump with its fluid, standpipe and plugs")
}

fn log() -> Vec<LogLine> {
    let line = |seq, time: &str, words: &str| LogLine {
        seq,
        time: time.into(),
        words: words.into(),
        who: "R. Ostrander".into(),
        corrected: seq == 9,
        overridden: seq == 6,
    };
    vec![
        line(14, "10:41:30", "Reading 34.2 °C, reader"),
        line(13, "10:40:28", "Reading 32.4 °C, reader"),
        line(12, "10:37:10", "Selector cycled, nobody underneath"),
        line(11, "10:35:35", "Engine started"),
        line(10, "10:34:02", "Poured in 5.00 L at 20 °C"),
        line(9, "10:33:40", "Poured in 50.0 L at 20 °C"),
        line(6, "10:32:10", "Drained 4.30 L at 75 °C"),
    ]
}

fn others() -> Vec<OtherAct> {
    let other = |title: &str, about: &str, act: Act| OtherAct {
        title: title.into(),
        about: about.into(),
        act: act.weight(Weight::Quiet),
        open: false,
    };
    let sources = [
        ("reader", "Reader"),
        ("probe", "Probe in the fluid"),
        ("infrared", "Infrared on the pan"),
        ("typed", "Other"),
    ];
    vec![
        other(
            "Take a reading",
            "temperature of the fluid",
            act("reading", "Enter reading")
                .field(Field::number("temperature", "Temperature", "°C"))
                .field(Field::choice("source", "Read from", &sources)),
        ),
        other(
            "Correct the last entry",
            "14: reading 34.2 °C",
            act("correct", "Withdraw entry 14")
                .hidden("entry", "14")
                .hidden("withdraw", "yes")
                .held()
                .field(Field::new("reason_for", "Why", Input::Text)),
        ),
        other("Note", "", act("note", "Keep the note").field(Field::new("text", "Note", Input::Long))),
        other(
            "Stop the job",
            "vehicle still drives, or does not",
            act("stop", "Stop the job").held().field(Field::new("reason", "Reason, printed", Input::Text)),
        ),
    ]
}

fn base(live: Live) -> Under {
    use PlugShape::{In, Proven};
    Under {
        job: JOB.into(),
        plugs: vec![plug("Fill", In, "snug", None), plug("Level", Proven, "", None), plug("Drain", In, "25 N·m", None)],
        engine: Engine { idling: true, since_s: Some(360) },
        nobody: String::new(),
        sight: String::new(),
        live,
        banners: Vec::new(),
        caution: None,
        act: Some(reading()),
        scale: Some(scale()),
        runoff: None,
        tape: tape_svg(375.0),
        section: section_svg(false),
        others: others(),
        log: log(),
    }
}

fn opens() -> Forecast {
    Forecast {
        lead: "opens in".into(),
        left_s: Some(36),
        doubt: "± 20 s".into(),
        then: "then lasts 5:30".into(),
        ..Forecast::default()
    }
}

pub fn fresh() -> Under {
    let mut u = base(live(0.0, Band::Unknown, "NO READING", Forecast::default()));
    u.live.whole = "–".into();
    u.live.tenths = String::new();
    u.live.rate = String::new();
    u.live.age_s = None;
    u.live.pointer = None;
    u.live.verb = "Turn the fill plug.".into();
    u.live.why = "Nothing is drained before the fill plug has been shown to turn.".into();
    u.live.forecast =
        Forecast { says: "Window 35–45 °C".into(), then: "no reading yet".into(), ..Forecast::default() };
    u.plugs = ["Fill", "Level", "Drain"].map(|n| plug(n, PlugShape::In, "", None)).to_vec();
    u.engine = Engine { idling: false, since_s: None };
    u.act = Some(act("prove", "It turns").hidden("plug", "fill").hidden("turned", "yes"));
    u.tape = String::new();
    u.log = Vec::new();
    u.caution = Some(CautionView {
        danger: "Hot pan.".into(),
        why: "The fluid may be above 60 °C.".into(),
        cure: "Sleeves, goggles, no bare skin.".into(),
    });
    u
}

pub fn cold() -> Under {
    let mut u = base(live(34.2, Band::Cold, "COLD", opens()));
    u.live.verb = "Wait. Have the 6 mm bit, pan and new seal in hand.".into();
    u.live.why = "Open the level plug at 35 °C.".into();
    u.live.cue = Cue::Ready;
    u.live.say = "Get ready. The window opens in half a minute.".into();
    u
}

pub fn open() -> Under {
    let closes =
        Forecast { lead: "closes in".into(), left_s: Some(250), doubt: "± 30 s".into(), ..Forecast::default() };
    let mut u = base(live(38.4, Band::Open, "OPEN NOW", closes));
    u.live.mood = Mood::Act;
    u.live.verb = "Let the surplus run. Close at drops.".into();
    u.live.why = "12 mL/min goes on for as long as it warms.".into();
    u.live.cue = Cue::Act;
    u.live.say = "Close the level plug when the stream breaks to drops.".into();
    u.live.out = vec![PlugOut { words: "LEVEL PLUG OUT".into(), out_s: 134 }];
    u.plugs[1] = plug("Level", PlugShape::Out, "", Some(134));
    u.act = Some(act("close", "Close level plug").weight(Weight::Now).hidden("plug", "level").held());
    let look = |flow, label: &str| LookView { flow, label: label.into(), last: flow == Flow::Stream, id: ID.into() };
    u.runoff = Some(RunoffView {
        verdict: "Surplus still running".into(),
        figures: "46 mL/min, of it 12 mL/min expansion ≈ 243 drops/min".into(),
        as_left: "If closed now: as left +140 ± 45 mL".into(),
        looks: vec![
            look(Flow::Stream, "stream"),
            look(Flow::ThinStream, "thin stream"),
            look(Flow::Drops, "drops"),
            look(Flow::Nothing, "nothing"),
        ],
        action: format!("/job/{JOB}/log"),
        seq: 14,
        drops: Some(
            act("look", "Enter the count")
                .weight(Weight::Quiet)
                .hidden("flow", "drops")
                .field(Field { unit: "per min".into(), ..Field::new("drops_per_min", "Drops", Input::Drops) }),
        ),
    });
    u.caution = Some(CautionView {
        danger: "Hot exhaust.".into(),
        why: "Engine running.".into(),
        cure: "Gloves, goggles.".into(),
    });
    u.section = section_svg(true);
    u.tape = tape_svg(480.0);
    u
}

pub fn hot() -> Under {
    let missed = Forecast {
        lead: "missed; engine off, back in about".into(),
        left_s: Some(43 * 60),
        doubt: "± 6 min".into(),
        ..Forecast::default()
    };
    let mut u = base(live(47.1, Band::Hot, "TOO HOT", missed));
    u.live.mood = Mood::Stop;
    u.live.verb = "Do not open. Stop the engine and let it cool.".into();
    u.live.why = "Opened now, about 40 mL too much would run off.".into();
    u.live.cue = Cue::Stop;
    u.live.say = "Too hot. Do not open.".into();
    u.act = Some(act("stop-engine", "Engine stopped"));
    u
}

pub fn refused() -> Under {
    let mut u = cold();
    let anyway = act("open", "Open it anyway")
        .weight(Weight::Quiet)
        .held()
        .hidden("plug", "level")
        .hidden("override", "yes")
        .field(Field::new("reason", "Reason, printed", Input::Text));
    u.banners = vec![Banner {
        kind: BannerKind::Refused,
        title: "NOT YET".into(),
        code: "below-window".into(),
        why: "34.2 °C is 0.8 °C below the window. Opened now, the unit ends about 5 mL overfilled.".into(),
        cure: "Wait about half a minute.".into(),
        anyway: Some(anyway),
        link: None,
    }];
    u
}

pub fn conflict() -> Under {
    let mut u = cold();
    u.banners = vec![Banner {
        kind: BannerKind::Conflict,
        title: "SOMEONE ELSE ENTERED".into(),
        code: "newer-entry".into(),
        why: "10:41:30, tablet 2: reading 34.2 °C. Your entry was not kept; this is the newer state.".into(),
        cure: "Look once more, then enter again.".into(),
        anyway: None,
        link: None,
    }];
    u.act = Some(Act { fields: vec![Field::number("temperature", "Fluid", "°C").with("34.0")], ..reading() });
    u
}

pub fn interrupted() -> Under {
    let mut u = open();
    u.banners = vec![Banner {
        kind: BannerKind::Interrupted,
        title: "YOU STOPPED 6 MIN AGO".into(),
        code: String::new(),
        why: "Level plug out. Engine running. 44.1 °C.".into(),
        cure: String::new(),
        anyway: None,
        link: None,
    }];
    u.live = Live {
        whole: "44".into(),
        tenths: ".1".into(),
        pointer: Some(64.7),
        verb: "Close the level plug now.".into(),
        ..u.live
    };
    u.live.why = "The window closes in half a minute.".into();
    u.live.forecast.left_s = Some(31);
    u.live.out[0].out_s = 372;
    u.plugs[1].out_s = Some(372);
    u
}

pub fn volume() -> Under {
    let mut u = fresh();
    u.live.verb = "Measure what came out.".into();
    u.live.why = "Its temperature decides how many millilitres that is at 20 °C.".into();
    u.plugs = vec![
        plug("Fill", PlugShape::Proven, "", None),
        plug("Level", PlugShape::Proven, "", None),
        plug("Drain", PlugShape::Out, "", Some(412)),
    ];
    u.live.out = vec![PlugOut { words: "DRAIN PLUG OUT".into(), out_s: 412 }];
    let wrong = Field {
        wrong: "“4,3,1” is not a volume: two decimal signs. Write 4.31 L.".into(),
        ..Field::number("volume", "Volume", "L").with("4,3,1")
    };
    u.act = Some(act("drained", "Enter").field(wrong).field(Field::number("at", "At", "°C").with("75")));
    u.log = log().split_off(5);
    u
}

fn over(title: &str, why: &str) -> Under {
    let mut u = base(live(38.0, Band::Unknown, "", Forecast::default()));
    u.live.verb = title.into();
    u.live.why = why.into();
    u.live.forecast = Forecast { says: "job over".into(), ..Forecast::default() };
    u.live.age_s = None;
    u.live.rate = String::new();
    u.engine = Engine { idling: false, since_s: None };
    u.act = None;
    u.others = Vec::new();
    u.banners = vec![Banner {
        kind: BannerKind::Over,
        title: "12 MAY, 11:20".into(),
        code: String::new(),
        why: "The log takes no more entries.".into(),
        cure: String::new(),
        anyway: None,
        link: Some(("To the outcome".into(), format!("/job/{JOB}/outcome"))),
    }];
    u
}

pub fn finished() -> Under {
    over("Finished.", "As left −20 ± 45 mL: right within the doubt.")
}

pub fn stopped() -> Under {
    over("Stopped, vehicle still drives.", "The fill plug does not turn.")
}

fn floor(empty: bool) -> FloorView {
    let row = |id: &str, vehicle: &str, stands: &str, waits: &str, temp: &str, band, word: &str, forecast| JobRow {
        id: id.into(),
        vehicle: vehicle.into(),
        unit: "Corvane K6".into(),
        stands: stands.into(),
        waits_for: waits.into(),
        temperature: temp.into(),
        band,
        band_word: word.into(),
        forecast,
        out: Vec::new(),
        fresh: temp.is_empty(),
    };
    let closes =
        Forecast { lead: "closes in".into(), left_s: Some(250), doubt: "± 30 s".into(), ..Forecast::default() };
    let mut second = row(
        "7f3b",
        "Brevik Tind 3.0",
        "Setting the level, 11 of 14",
        "drops",
        "38.4 °C",
        Band::Open,
        "OPEN NOW",
        closes,
    );
    second.out = vec![("LEVEL PLUG OUT".into(), 134)];
    let open = vec![
        second,
        row(JOB, "Halden Fjell 2.0", "Warming up, 9 of 14", "the window", "34.2 °C", Band::Cold, "COLD", opens()),
        row("7f3c", "Sundal Kombi", "Not started", "the bench list", "", Band::Unknown, "", Forecast::default()),
    ];
    let done = |vehicle: &str, result: &str| FinishedRow {
        id: "7e01".into(),
        vehicle: vehicle.into(),
        unit: "Corvane K6".into(),
        day: "11 May".into(),
        result: result.into(),
    };
    let sheets = [("corvane-k6", "Corvane K6, six gears"), ("brandal-t2", "Brandal T2, transfer case")];
    let mut opening = Act::new("", ID, 0, "open-job", "Open the job")
        .field(Field::choice("sheet", "Sheet", &sheets))
        .field(Field::new("vehicle", "Vehicle", Input::Text))
        .field(Field::number("odometer", "Odometer", "km").optional())
        .field(Field::new("technician", "Technician", Input::Text));
    opening.action = "/job".into();
    FloorView {
        shell: shell("On the floor", Page::Floor, true),
        open: if empty { Vec::new() } else { open },
        finished: if empty {
            Vec::new()
        } else {
            vec![done("Askvoll 4×4", "as left −20 ± 45 mL"), done("Lerum Van", "stopped: fill plug does not turn")]
        },
        speed: 20.0,
        opening,
        trouble: String::new(),
        damaged: Vec::new(),
    }
}

fn prepare() -> PrepareView {
    let line = |key: &str, amount: &str, what: &str, note: &str| BenchLine {
        key: key.into(),
        amount: amount.into(),
        what: what.into(),
        note: note.into(),
        ticked: false,
    };
    let group = |title: &str, lines| BenchGroup { title: title.into(), lines };
    let torque = |plug: &str, torque: &str, bit: &str| TorqueLine {
        plug: plug.into(),
        torque: torque.into(),
        bit: bit.into(),
        seal: "new washer".into(),
        wrench: "wrench 5–60 N·m fits".into(),
        source: "manual, page 12".into(),
    };
    let caution =
        |danger: &str, why: &str, cure: &str| CautionView { danger: danger.into(), why: why.into(), cure: cure.into() };
    PrepareView {
        shell: shell("Prepare · Halden Fjell", Page::Prepare, false),
        job: JOB.into(),
        method: "Overflow in a window, engine idling".into(),
        window: "window 35–45 °C".into(),
        notes: vec![
            "“46–56 °C (115–130 °F)” do not agree: 56 °C is 132.8 °F. The part on which both agree is used.".into(),
        ],
        groups: vec![
            group(
                "Fluid",
                vec![line(
                    "fluid",
                    "6 L",
                    "Norvik ATF-6",
                    "4.3 L expected out, 0.3 L residue, 0.6 L surplus; as 6 cans of 1 L",
                )],
            ),
            group(
                "Seals",
                vec![
                    line("seal-drain", "1 ×", "washer 18 × 24, drain plug", "single use"),
                    line("seal-level", "1 ×", "washer 14 × 20, level plug", "single use"),
                ],
            ),
            group(
                "Tools",
                vec![
                    line("bit", "6 mm", "hexagon bit", ""),
                    line("wrench", "", "torque wrench that reaches 25 and 39 N·m", ""),
                ],
            ),
        ],
        torques: vec![
            torque("Fill", "39 N·m (29 lbf·ft)", "17 mm"),
            torque("Level", "20 N·m (15 lbf·ft)", "6 mm"),
            torque("Drain", "25 N·m (18 lbf·ft)", "6 mm"),
        ],
        plugs: vec![
            PlugLine { name: "Fill".into(), whereabouts: "left side, above the cooler lines".into() },
            PlugLine { name: "Level".into(), whereabouts: "pan, the rear one; inside it the standpipe".into() },
        ],
        section: section_svg(false),
        cautions: vec![
            caution(
                "Carbon monoxide.",
                "The engine runs for a quarter of an hour.",
                "Exhaust outdoors; an open door is not ventilation.",
            ),
            caution("Crushing.", "You lie under it.", "Stands, chocks, push test."),
        ],
        steps: [
            "Level the vehicle",
            "Turn the fill plug",
            "Turn the level plug",
            "Drain",
            "Drain plug in, new seal",
            "Pour in",
            "Start, cycle the selector",
        ]
        .map(String::from)
        .to_vec(),
        start: "Start".into(),
    }
}

fn ledger() -> Vec<LedgerLine> {
    let line = |what: &str, measured: &str, at: &str, reference: &str, total| LedgerLine {
        what: what.into(),
        measured: measured.into(),
        at: at.into(),
        at_reference: reference.into(),
        doubt: "± 40 mL".into(),
        total,
    };
    vec![
        line("Drained", "4.30 L", "75 °C", "−4.13 L", false),
        line("Residue", "0.30 L", "20 °C", "−0.30 L", false),
        line("Poured in", "5.00 L", "20 °C", "+5.00 L", false),
        line("Run-off", "0.62 L", "38 °C", "−0.61 L", false),
        line("Balance", "", "", "−0.04 L", true),
    ]
}

fn figure(title: &str, value: &str, doubt: &str, says: &str) -> FigureView {
    FigureView { title: title.into(), value: value.into(), doubt: doubt.into(), says: says.into() }
}

fn outcome() -> OutcomeView {
    let part = |name: &str, ml: f64, advice: &str| BudgetLine {
        name: name.into(),
        size: format!("± {ml:.0} mL"),
        bar: ml / 34.0 * 100.0,
        advice: advice.into(),
    };
    OutcomeView {
        shell: shell("Outcome · Halden Fjell", Page::Outcome, false),
        job: JOB.into(),
        verdict: "Right within the doubt".into(),
        why: "Closed at drops inside the window, 38.0 °C, engine idling, 0.8° nose up.".into(),
        as_found: figure("As found", "−40", "± 110 mL", "a little low, or right: the doubt is larger"),
        as_left: figure("As left", "−20", "± 45 mL", "right within the doubt"),
        doubt_note: "expanded uncertainty, k = 2; positive is too much".into(),
        reference: "at 20 °C".into(),
        ledger: ledger(),
        balance: "Closes within ± 0.10 L.".into(),
        budget: vec![
            part("Sensor, ± 5 °C", 34.0, "A probe in the fluid, ± 1 °C, would leave ± 7 mL."),
            part("Tilt, 0.8 ± 0.2°", 22.0, "Shim the rear by 20 mm."),
            part("Minute of closing", 15.0, ""),
        ],
        next_due: "202 000 km or May 2030".into(),
        next_due_why: "Blend age now 67 000 km: two thirds of the charge stayed in.".into(),
        owed: Vec::new(),
        tape: tape_svg(480.0),
        log: log(),
        pdf: true,
    }
}

fn proof() -> ProofView {
    let line =
        |what: &str, value: &str, note: &str| ProofLine { what: what.into(), value: value.into(), note: note.into() };
    ProofView {
        shell: shell("Proof sheet · Halden Fjell", Page::Outcome, false),
        job: JOB.into(),
        workshop: "Workshop at the Sound".into(),
        verdict: "Right within the doubt".into(),
        figures: vec![figure("As found", "−40", "± 110 mL", ""), figure("As left", "−20", "± 45 mL", "")],
        lines: vec![
            line("Vehicle", "Halden Fjell 2.0", "142 300 km"),
            line("Fluid", "Norvik ATF-6", "5.00 L in"),
            line("Closed at", "38.0 °C", "window 35–45 °C"),
        ],
        ledger: ledger(),
        doubt_note: "expanded uncertainty, k = 2; positive is too much".into(),
        reference: "at 20 °C".into(),
        torques: vec![line("Drain", "25 N·m", "new seal"), line("Level", "20 N·m", "new seal")],
        overrides: vec!["Tilt above the limit: “floor slopes, computed instead”.".into()],
        tape: tape_svg(480.0),
        pdf: true,
        stamp: "Model 0.1.0 · log 3f9c…e1".into(),
    }
}

fn confirm() -> ConfirmView {
    ConfirmView {
        shell: shell("Open the level plug?", Page::Other, false),
        act: "Open the level plug".into(),
        why: "What runs off is gone; it cannot be put back by a button.".into(),
        action: format!("/job/{JOB}/log"),
        back: format!("/job/{JOB}"),
        hidden: vec![
            ("do".into(), "open".into()),
            ("plug".into(), "level".into()),
            ("id".into(), ID.into()),
            ("seq".into(), "14".into()),
        ],
    }
}

fn trouble() -> TroubleView {
    TroubleView {
        shell: shell("Not found", Page::Other, false),
        status: 404,
        code: "no-such-job".into(),
        title: "There is no such job".into(),
        what: "No job has the number 7f3a in this workshop.".into(),
        cure: "Look for it on the floor.".into(),
    }
}
