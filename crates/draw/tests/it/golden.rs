//! Golden bytes: they show that a picture has changed, never that a number is right.

use draw::{Size, renewal, section, svg, svg_alone, tape};

macro_rules! golden {
    ($name:ident, $picture:expr) => {
        #[test]
        fn $name() {
            let bytes = svg_alone(&$picture, stringify!($name), "");
            insta::assert_snapshot!(stringify!($name), bytes.replace("><", ">\n<"));
        }
    };
}

golden!(golden_tape_narrow, tape(&crate::warming_tape(), Size::Narrow));
golden!(golden_tape_wide, tape(&crate::warming_tape(), Size::Wide));
golden!(golden_tape_paper, tape(&crate::finished_tape(), Size::Paper));
golden!(golden_tape_empty, tape(&crate::empty_tape(), Size::Narrow));
golden!(golden_section_narrow, section(&crate::running_section(), Size::Narrow));
golden!(golden_section_wide, section(&crate::running_section(), Size::Wide));
golden!(golden_section_planned, section(&crate::planned_section(), Size::Narrow));
golden!(golden_renewal_narrow, renewal(&crate::passes(4), Size::Narrow));
golden!(golden_renewal_wide, renewal(&crate::passes(3), Size::Wide));
golden!(golden_renewal_rows, renewal(&crate::passes(7), Size::Narrow));

#[test]
fn golden_same_bytes_twice() {
    let once = || svg(&tape(&crate::finished_tape(), Size::Wide), "tape", "a job");
    assert_eq!(once(), once());
}
