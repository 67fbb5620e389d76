//! Colour differences against the published pairs, colours and absorbances against worked numbers, photos that are refused.

use physics::colour::{CAMERA_DOUBT, Channel, ColourError, Lab, Patch, Photo, compare, difference, lab, old_share};
use proptest::prelude::*;

fn pairs() -> Vec<[f64; 8]> {
    let rows = include_str!("../data/ciede2000_34pairs.csv").lines().filter(|l| l.starts_with(char::is_numeric));
    rows.map(|l| {
        let cells: Vec<f64> = l.split(',').map(|c| c.parse().expect("a number")).collect();
        cells.try_into().expect("eight columns")
    })
    .collect()
}

fn photo(fluid: [f64; 3]) -> Photo {
    Photo { white: Patch::even([250.0; 3], 1.0), fluid: Patch::even(fluid, 2.0) }
}

const NEW: [f64; 3] = [200.0, 30.0, 35.0];
const OLD: [f64; 3] = [130.0, 35.0, 25.0];

/// Color Research & Application 30(1), 2005, 21–30, table 1, all pairs in both orders, to the printed digit. Pair 14 lies
/// on the step of the mean hue: either side of it is right.
#[test]
fn val_published_colour_pairs() {
    let pairs = pairs();
    assert_eq!(pairs.len(), 34);
    for [number, l1, a1, b1, l2, a2, b2, expected] in pairs {
        let (one, two) = (Lab { l: l1, a: a1, b: b1 }, Lab { l: l2, a: a2, b: b2 });
        for got in [difference(one, two).unwrap(), difference(two, one).unwrap()] {
            let other_branch = number == 14.0 && (got - 4.7461).abs() < 1e-4;
            assert!((got - expected).abs() < 1e-4 || other_branch, "pair {number}: {got} instead of {expected}");
        }
    }
}

/// Computed with the Python library `colour-science`, two decimals.
#[test]
fn val_colours_of_levels() {
    let cases =
        [(NEW, [43.26, 63.16, 42.66]), (OLD, [29.46, 39.96, 29.85]), ([70.0, 40.0, 20.0], [19.52, 11.83, 18.86])];
    for (levels, expected) in cases {
        let got = lab(levels).unwrap();
        let off = [got.l, got.a, got.b].iter().zip(expected).map(|(g, e)| (g - e).abs()).fold(0.0, f64::max);
        assert!(off < 0.02, "{levels:?}: {got:?} instead of {expected:?}");
    }
    let apart = |levels| difference(lab(NEW).unwrap(), lab(levels).unwrap()).unwrap();
    assert!((apart(OLD) - 13.55).abs() < 0.01 && (apart([70.0, 40.0, 20.0]) - 27.57).abs() < 0.01);
}

/// sRGB curve with numpy: white 250; new A = 0.2188, 1.8671, 1.7549; old 0.6317, 1.7549, 1.9927. 0.64 new in a blend gives
/// 0.3675 in red.
#[test]
fn val_absorbances() {
    let seen = compare(&photo(OLD), &photo(NEW)).unwrap();
    for (seen, expected) in [(seen.new, [0.2188, 1.8671, 1.7549]), (seen.old, [0.6317, 1.7549, 1.9927])] {
        for (got, expected) in seen.absorbance.iter().zip(expected) {
            assert!((got.value - expected).abs() < 5.1e-5, "{got:?} instead of {expected}");
        }
        assert_eq!(seen.saturated, [false, true, true]);
    }
    // 0.6317/0.2188.
    assert!((seen.red_ratio.unwrap().value - 2.887).abs() < 0.001);
    // Level 171.556 has red light 0.9560·10^−0.3675.
    let found = old_share(&photo(OLD), &photo(NEW), &photo([171.556, 32.0, 30.0])).unwrap();
    assert!((found.share.value - 0.36).abs() < 2e-4, "{found:?}");
    assert!(found.plausible && found.from_new > 0.0 && found.share.u > CAMERA_DOUBT);
}

/// Spread 2 at level 200: slope 2.4/1.055·(0.7953)^1.4… written out: relative light error 2·s/I, u(A) = that/ln 10.
#[test]
fn hand_doubt_of_an_absorbance() {
    let exact = Photo { white: Patch::even([250.0; 3], 0.0), fluid: Patch::even(NEW, 2.0) };
    let seen = compare(&photo(OLD), &exact).unwrap().new.absorbance[0];
    // ln I = 2.4 ln((v + 0.055)/1.055): relative error 2.4·dv/(v + 0.055), dv = √(4 + 1/12)/255 at v = 200/255;
    // the paper 2.4·√(1/12)/255/(250/255 + 0.055).
    let (fluid, paper): (f64, f64) = (2.4 * 2.0207 / 255.0 / 0.839_31, 2.4 * 0.288_68 / 255.0 / 1.035_39);
    let expected = (fluid * fluid + paper * paper).sqrt() / std::f64::consts::LN_10;
    assert!((seen.u - expected).abs() < 1e-6, "{} instead of {expected}", seen.u);
}

#[test]
fn hand_photos_that_are_refused() {
    let good = photo(OLD);
    let with = |change: &dyn Fn(&mut Photo)| {
        let mut photo = photo(NEW);
        change(&mut photo);
        compare(&good, &photo)
    };
    let level = |mean: f64| Channel { mean, spread: 1.0 };
    assert!(with(&|_| ()).is_ok());
    let nan = with(&|p| p.fluid.blue.mean = f64::NAN);
    assert!(matches!(nan, Err(ColourError::NoLevel { photo: "new", patch: "fluid", channel: "blue", .. })));
    assert!(matches!(with(&|p| p.white.red.spread = f64::NAN), Err(ColourError::NoLevel { .. })));
    assert!(matches!(with(&|p| p.white.red = level(256.0)), Err(ColourError::NoLevel { .. })));
    assert!(matches!(with(&|p| p.fluid.green.spread = 13.0), Err(ColourError::Uneven { channel: "green", .. })));
    assert!(matches!(with(&|p| p.white.red = level(253.0)), Err(ColourError::Clipped { patch: "white paper", .. })));
    assert!(matches!(with(&|p| p.fluid.red = level(255.0)), Err(ColourError::Clipped { patch: "fluid", .. })));
    let dim = with(&|p| p.white = Patch::even([110.0; 3], 1.0));
    assert!(matches!(dim, Err(ColourError::WhiteDark { .. })));
    // Linear 0.913 against 0.319: 2.9 times.
    let bulb = with(&|p| p.white = Patch::even([245.0, 200.0, 153.0], 1.0));
    assert!(matches!(bulb, Err(ColourError::Tinted { most: "red", least: "blue", .. })));
    // Linear 0.956 against 0.723: 1.32 times.
    let cloud = with(&|p| p.white = Patch::even([221.0; 3], 1.0));
    assert!(matches!(cloud, Err(ColourError::LightChanged { one: "old", other: "new", .. })));
    // Level 15: light 0.0048, A = 2.3.
    assert!(matches!(with(&|p| p.fluid.red = level(15.0)), Err(ColourError::FluidDark { .. })));
    let swapped = with(&|p| {
        p.white = Patch::even([230.0; 3], 1.0);
        p.fluid.red = level(245.0);
    });
    assert!(matches!(swapped, Err(ColourError::BrighterThanWhite { channel: "red", .. })));
    assert!(matches!(old_share(&good, &good, &photo(NEW)), Err(ColourError::NoContrast { .. })));
    // Far darker than the old fluid.
    assert!(!old_share(&good, &photo(NEW), &photo([70.0, 40.0, 20.0])).unwrap().plausible);
    assert!(difference(Lab { l: f64::NAN, a: 0.0, b: 0.0 }, Lab { l: 1.0, a: 0.0, b: 0.0 }).is_err());
    assert!(lab([0.0, 256.0, 0.0]).is_err());
}

proptest! {
    /// A difference is one both ways, none to itself, never negative.
    #[test]
    fn law_a_difference_is_mutual(one in any_lab(), two in any_lab()) {
        let there = difference(one, two).unwrap();
        prop_assert!(there >= 0.0 && there.is_finite());
        prop_assert!((there - difference(two, one).unwrap()).abs() < 1e-9 || hues_opposite(one, two));
        prop_assert!(difference(one, one).unwrap() < 1e-9);
    }

    /// A brighter exposure of all patches alike changes no absorbance (within the curve's own rounding).
    #[test]
    fn law_exposure_drops_out(share in 0.0..1.0_f64, exposure in 0.75..0.999_f64) {
        let light = |level: f64| ((level / 255.0 + 0.055) / 1.055).powf(2.4);
        let level = |light: f64| 255.0 * (1.055 * light.powf(1.0 / 2.4) - 0.055);
        let (dark, clear) = (light(OLD[0]), light(NEW[0]));
        let mixed = dark.powf(share) * clear.powf(1.0 - share);
        let exposed = |red: f64| Photo {
            white: Patch::even([level(exposure * light(250.0)); 3], 1.0),
            fluid: Patch::even([level(exposure * red), 30.0, 30.0], 1.0),
        };
        let found = old_share(&exposed(dark), &exposed(clear), &exposed(mixed)).unwrap();
        prop_assert!((found.share.value - share).abs() < 1e-9);
        prop_assert!(found.plausible);
    }

    #[test]
    fn law_any_photo_gives_an_answer_or_an_error(levels in any::<[f64; 6]>(), spread in any::<f64>()) {
        let [a, b, c, d, e, f] = levels;
        let odd = Photo { white: Patch::even([a, b, c], spread), fluid: Patch::even([d, e, f], spread) };
        prop_assert!(compare(&odd, &photo(NEW)).is_err() || a.is_finite());
    }
}

fn any_lab() -> impl Strategy<Value = Lab> {
    (0.0..100.0_f64, -128.0..128.0_f64, -128.0..128.0_f64).prop_map(|(l, a, b)| Lab { l, a, b })
}

/// Within rounding of the step where the mean hue has two values.
fn hues_opposite(one: Lab, two: Lab) -> bool {
    let turn = (one.b.atan2(one.a) - two.b.atan2(two.a)).abs();
    (turn - std::f64::consts::PI).abs() < 1e-6
}
