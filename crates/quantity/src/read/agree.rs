//! Whether the units of one printed quantity say the same, and what they say together.

use super::{Part, unit::Unit};
use crate::print;

/// One printed value with its rounding.
#[derive(Debug, Clone)]
pub(crate) struct Value {
    pub(crate) text: String,
    pub(crate) unit: &'static Unit,
    pub(crate) low: f64,
    pub(crate) high: f64,
    /// Half a unit of the last digit of each end.
    pub(crate) low_rounding: f64,
    pub(crate) high_rounding: f64,
}

/// The most that rounding may explain, as a part of the value.
pub(crate) const ROUNDING_LIMIT: f64 = 0.05;
/// Two ends closer than this, as a part of their size or of one unit, are the same number after conversion.
const SAME: f64 = 1e-9;

/// Half a unit of the last digit, and never more than 5 % of the value.
pub(crate) fn rounding(value: f64, step: f64) -> f64 {
    (step / 2.0).min(ROUNDING_LIMIT * value.abs())
}

#[derive(Clone, Copy)]
enum End {
    Low,
    High,
}

impl Value {
    fn end(&self, end: End) -> (f64, f64) {
        match end {
            End::Low => (self.low, self.low_rounding),
            End::High => (self.high, self.high_rounding),
        }
    }
    /// The end as it may have been before rounding, in the canonical unit.
    fn possible(&self, end: End) -> (f64, f64) {
        let (value, rounding) = self.end(end);
        (self.unit.canonical(value - rounding), self.unit.canonical(value + rounding))
    }
    /// A canonical number in this value's unit.
    fn seen(&self, other: &Self, end: End) -> f64 {
        self.unit.printed(other.unit.canonical(other.end(end).0))
    }
}

fn tolerance(a: f64, b: f64) -> f64 {
    SAME * a.abs().max(b.abs()).max(1.0)
}

fn ends_agree(a: &Value, b: &Value, end: End) -> bool {
    let ((a_low, a_high), (b_low, b_high)) = (a.possible(end), b.possible(end));
    a_low <= b_high + tolerance(a_low, b_high) && b_low <= a_high + tolerance(b_low, a_high)
}

/// True when every two values agree at both ends within their rounding.
pub(crate) fn all_agree(values: &[Value]) -> bool {
    disagreeing(values).is_none()
}

/// The first two values that disagree.
fn disagreeing(values: &[Value]) -> Option<(&Value, &Value)> {
    let pairs = values.iter().enumerate().flat_map(|(i, a)| values[i + 1..].iter().map(move |b| (a, b)));
    pairs.into_iter().find(|(a, b)| !(ends_agree(a, b, End::Low) && ends_agree(a, b, End::High)))
}

/// The part that lies in every printed value, in the unit printed first. Where values agree only thanks to rounding,
/// the end of the first value that lies nearest to the others.
pub(crate) fn common_part(values: &[Value]) -> Option<Part> {
    let first = values.first()?;
    let agree = all_agree(values);
    let (mut low, mut high) = (first.low, first.high);
    for other in &values[1..] {
        let (other_low, other_high) = (first.seen(other, End::Low), first.seen(other, End::High));
        let allowed = tolerance(other_low, other_high);
        if other_low > high + allowed || other_high < low - allowed {
            if !agree {
                return None;
            }
            let nearest = if other_low > high { high } else { low };
            (low, high) = (nearest, nearest);
            continue;
        }
        if other_low > low + allowed {
            low = other_low.min(high);
        }
        if other_high < high - allowed {
            high = other_high.max(low);
        }
    }
    Some(Part { low, high, unit: first.unit.code })
}

/// Which end disagrees and by how much; `None` when nothing does.
pub(crate) fn disagreement(values: &[Value], common: Option<&Part>) -> Option<String> {
    let (a, b) = disagreeing(values)?;
    let single = a.low == a.high && b.low == b.high;
    let ends: &[(End, &str)] = if single {
        &[(End::Low, "The values disagree")]
    } else {
        &[(End::Low, "The low ends disagree"), (End::High, "The high ends disagree")]
    };
    let mut note = String::new();
    for (end, what) in ends.iter().filter(|(end, _)| !ends_agree(a, b, *end)) {
        let seen = a.seen(b, *end);
        note.push_str(&format!(
            "{what}: {} is {}, not {} ({} apart). ",
            print::amount(b.end(*end).0, b.unit.symbol),
            print::amount(seen, a.unit.symbol),
            print::amount(a.end(*end).0, a.unit.symbol),
            print::amount((seen - a.end(*end).0).abs(), a.unit.symbol),
        ));
    }
    note.push_str(&match common {
        Some(part) => {
            format!("Only {} is common to both.", print::amount_span(part.low, part.high, values[0].unit.symbol))
        }
        None => "They have no part in common.".to_owned(),
    });
    Some(note)
}
