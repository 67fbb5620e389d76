//! The shipped sheets: complete, and their figures are those a technician would expect.

use quantity::Span;
use sheet::{Checked, Role, Sheet, Status};

fn shipped(n: usize) -> (Checked, Sheet) {
    let checked = sheet::check(sheet::shipped()[n].1);
    let sheet = checked.sheet.clone().unwrap_or_else(|| panic!("{:#?}", checked.findings));
    (checked, sheet)
}

#[track_caller]
fn close(found: f64, expected: f64, allowed: f64) {
    assert!((found - expected).abs() <= allowed, "{found} is not {expected} ± {allowed}");
}

#[test]
fn hand_keld_has_no_findings_and_typical_figures() {
    let (checked, sheet) = shipped(0);
    assert_eq!(checked.findings, []);
    assert_eq!((sheet.id.as_str(), sheet.family.word(), sheet.format), ("keld-o6", "overflow", sheet::FORMAT));
    close(sheet.capacity.total.mid().litres(), 9.0, 1e-9);
    close(sheet.capacity.drained.as_ref().map_or(0.0, |d| d.mid().litres()), 4.0, 1e-9);
    close(sheet.drained_fraction().unwrap_or(0.0), 4.0 / 9.0, 1e-9);
    let window = sheet.window_span().expect("a window");
    close(window.low.celsius(), 35.0, 1e-9);
    close(window.high.celsius(), 45.0, 1e-9);
    close(sheet.window_mid().celsius(), 40.0, 1e-9);
    close(sheet.sump_area().map_or(0.0, |a| a.mid().square_metres()), 0.08, 1e-12);
    let pipe = sheet.standpipe().expect("a standpipe");
    close(pipe.offset_along.mid().mm(), -100.0, 1e-9);
    close(pipe.bore.mid().mm(), 8.0, 1e-9);
    let selector = sheet.selector.as_ref().expect("a selector");
    close(selector.hold.seconds(), 3.0, 1e-9);
    close(selector.idle_after.seconds(), 60.0, 1e-9);
    assert_eq!(sheet.limits.tilt.value.low.degrees(), 0.0);
    close(sheet.tilt_limit().degrees(), 1.0, 1e-9);
    let torque = |role| sheet.plug_with(role).and_then(|p| p.torque.as_ref()).map_or(0.0, |t| t.mid().nm());
    close(torque(Role::Drain), 25.0, 1e-9);
    assert_eq!(sheet.plug("level").map(|p| p.roles.clone()), Some(vec![Role::Level]));
    assert!(sheet.plug("none").is_none());
    let interval = sheet.interval.as_ref().expect("an interval");
    close(interval.distance.as_ref().map_or(0.0, |d| d.mid().km()), 60_000.0, 1e-6);
}

/// Facts of the trade (common practice, no source), in a sheet that no user sees.
#[test]
fn trade_a_window_in_two_units_is_the_part_on_which_both_agree() {
    let checked = sheet::check(include_str!("../data/check-values.toml"));
    let sheet = checked.sheet.clone().expect("a whole sheet");
    let codes: Vec<_> = checked.findings.iter().map(|f| f.code).collect();
    assert_eq!(codes, ["units-disagree", "from-memory"], "{:#?}", checked.findings);
    // (115 − 32)·5/9 = 46.11 and (130 − 32)·5/9 = 54.44; 46 to 56 °C share 46.11 to 54.44 with it.
    let Span { low, high } = sheet.window_span().expect("a window");
    close(low.celsius(), 46.11, 0.005);
    close(high.celsius(), 54.44, 0.005);
    assert_eq!(sheet.window_printed(), "115 to 130 °F (46 to 56 °C)");
    // 1 US gal = 3.785411784 L (NIST SP 811): 3 US gal = 11.356 L, one third drained.
    close(sheet.capacity.total.mid().litres(), 11.356, 0.001);
    close(sheet.drained_fraction().unwrap_or(0.0), 1.0 / 3.0, 0.002);
    // 1 lbf·ft = 1.355818 N·m (NIST SP 811): 15 → 20.34 N·m, printed 20; 29 → 39.32 N·m, printed 39.
    let torque = |role| sheet.plug_with(role).and_then(|p| p.torque.as_ref()).map_or(0.0, |t| t.mid().nm());
    close(torque(Role::Level), 20.34, 0.35);
    close(torque(Role::Fill), 39.32, 0.35);
    assert_eq!(sheet.plug_with(Role::Level), sheet.plug_with(Role::Drain));
    assert_eq!(sheet.fluid.density15.as_ref().map(|d| d.status), Some(Status::FromMemory));
}

/// (110 − 32)·5/9 = 43.33 and (125 − 32)·5/9 = 51.67; 43 to 53 °C (53 °C is 127.4 °F) share 43.33 to 51.67 with it.
#[test]
fn hand_torvane_prints_two_units_that_disagree() {
    let (checked, sheet) = shipped(1);
    let codes: Vec<_> = checked.findings.iter().map(|f| f.code).collect();
    assert_eq!(codes, ["units-disagree", "from-memory"], "{:#?}", checked.findings);
    let Span { low, high } = sheet.window_span().expect("a window");
    close(low.celsius(), 43.33, 0.005);
    close(high.celsius(), 51.67, 0.005);
    assert_eq!(sheet.window_printed(), "110 to 125 °F (43 to 53 °C)");
}

#[test]
fn golden_sheet_as_json() {
    let (_, sheet) = shipped(0);
    let json = serde_json::to_value(&sheet).expect("serialises");
    assert_eq!(json["family"], "overflow");
    assert_eq!(json["level"]["window"]["status"], "read");
    assert_eq!(json["plugs"][0]["roles"][0], "fill");
    assert_eq!(json["level"]["window"]["value"]["low"], 35.0);
}
