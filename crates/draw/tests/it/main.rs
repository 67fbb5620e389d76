//! The pictures as a whole: what is drawn, what never happens, and golden bytes.

mod golden;
mod structure;

use draw::{
    FanPoint, Moment, PlugState, RenewalBar, RenewalInput, SectionInput, SectionPlug, Source, Standpipe, TapeInput,
    TapeReading,
};

/// A warm-up from 20 °C: first order, end value 85 °C, time constant 25 min; plain arithmetic, no library.
fn warm(t_s: f64) -> f64 {
    85.0 - 65.0 * (-t_s / 1500.0).exp()
}

pub fn warming_tape() -> TapeInput {
    let readings = (0..13).map(|i| f64::from(i) * 30.0).map(|t_s| TapeReading {
        t_s,
        temp_c: (warm(t_s) * 10.0).round() / 10.0,
        source: if t_s < 100.0 { Source::Typed } else { Source::Reader },
    });
    let fan = (0..=24).map(|i| 360.0 + f64::from(i) * 20.0).map(|t_s| {
        let doubt = (t_s - 360.0) / 140.0;
        FanPoint { t_s, p10: warm(t_s) - doubt, p50: warm(t_s), p90: warm(t_s) + doubt }
    });
    TapeInput {
        window_c: Some((35.0, 45.0)),
        readings: readings.collect(),
        fan: fan.collect(),
        fitted: (0..=12).map(|i| f64::from(i) * 30.0).map(|t| (t, warm(t))).collect(),
        opens_s: Some(Moment { p10: 384.0, p50: 393.5, p90: 408.0 }),
        closes_s: Some(Moment { p10: 660.0, p50: 716.0, p90: 780.0 }),
        now_s: Some(360.0),
        notches: vec![
            (-60.0, "filled 5.00 L".into()),
            (0.0, "engine on".into()),
            (75.0, "selector cycled, nobody underneath".into()),
            (90.0, "tilt 0.4°".into()),
        ],
        start_clock_s: Some(38_130.0),
        fahrenheit: false,
    }
}

pub fn empty_tape() -> TapeInput {
    TapeInput {
        window_c: None,
        readings: vec![],
        fan: vec![],
        fitted: vec![],
        opens_s: None,
        closes_s: None,
        now_s: None,
        notches: vec![],
        start_clock_s: None,
        fahrenheit: false,
    }
}

/// Every reading of a job to its end, in °F, with more entries than the margin holds.
pub fn finished_tape() -> TapeInput {
    let mut tape = warming_tape();
    tape.readings = (0..900)
        .map(|t| TapeReading { t_s: f64::from(t), temp_c: warm(f64::from(t)), source: Source::Probe })
        .chain([TapeReading { t_s: 400.0, temp_c: 31.0, source: Source::Infrared }])
        .collect();
    tape.now_s = None;
    tape.fan.clear();
    tape.fahrenheit = true;
    tape.fitted = (0..=30).map(|i| f64::from(i) * 30.0).map(|t| (t, warm(t))).collect();
    for i in 0..40 {
        tape.notches.push((420.0 + f64::from(i) * 9.0, format!("entry {i} with more words than there is room for")));
    }
    tape
}

pub fn running_section() -> SectionInput {
    SectionInput {
        sump_area_m2: 0.08,
        standpipe: Some(Standpipe { along_mm: 20.0, lip_height_mm: 38.0 }),
        plugs: vec![
            SectionPlug { label: "fill, 40 N·m".into(), along_mm: 190.0, up_mm: 62.0, state: PlugState::Proven },
            SectionPlug { label: "level".into(), along_mm: 20.0, up_mm: 0.0, state: PlugState::Out },
            SectionPlug { label: "drain, 25 N·m".into(), along_mm: -110.0, up_mm: 0.0, state: PlugState::In },
        ],
        tilt_deg: 0.8,
        level_now_mm: Some(3.9),
        level_reference_mm: Some(1.2),
        level_if_closed_mm: Some(-0.6),
        surplus_ml: Some(310.0),
        runoff_ml_per_min: Some(46.0),
        expansion_ml_per_min: Some(12.0),
        by_ledger: false,
        unknown: String::new(),
    }
}

pub fn planned_section() -> SectionInput {
    SectionInput {
        standpipe: None,
        plugs: vec![
            SectionPlug { label: "fill and level".into(), along_mm: -150.0, up_mm: 45.0, state: PlugState::In },
            SectionPlug { label: "drain".into(), along_mm: 60.0, up_mm: 0.0, state: PlugState::In },
        ],
        tilt_deg: -1.5,
        level_now_mm: None,
        level_reference_mm: None,
        level_if_closed_mm: None,
        surplus_ml: None,
        runoff_ml_per_min: None,
        expansion_ml_per_min: None,
        by_ledger: false,
        unknown: String::new(),
        ..running_section()
    }
}

/// 4 of 10 L a pass: 0.6, 0.36, 0.216 of the old fluid is left.
pub fn passes(count: usize) -> RenewalInput {
    let mut old = 1.0;
    let bars = (0..=count).map(|n| {
        let bar = RenewalBar {
            label: if n == 0 { "now".into() } else { format!("{n} pass{}", if n == 1 { "" } else { "es" }) },
            old_fraction: old,
            cost: format!("{} €", n * 96),
            age: format!("{:.0} km", 100_000.0 * old),
            chosen: n == 2,
        };
        old *= 0.6;
        bar
    });
    RenewalInput { bars: bars.collect() }
}
