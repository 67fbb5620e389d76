//! Weighted outcomes: quantiles, and a few equally heavy ones that stand for many.

use super::forecast::Interval;

/// When something happens, given that it does, and the share of outcomes in which it does not.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Arrival {
    /// Minutes since the origin; `None` when practically never.
    pub when: Option<Interval>,
    /// Share of outcomes in which it does not happen within the horizon.
    pub never: f64,
}

/// What any model of the warm-up has to answer. Times in minutes since the origin, temperatures in °C.
#[derive(Debug, Clone)]
pub(crate) struct Prediction {
    pub opens: Arrival,
    pub closes: Arrival,
    /// Minutes from opening (or now) to closing, given that both happen.
    pub dwell: Option<Interval>,
    /// Where it levels off, if that can be said.
    pub ends_at: Option<Interval>,
    /// K/min now.
    pub rate: f64,
    /// Time and temperature of the fan.
    pub fan: Vec<(f64, Interval)>,
    pub model: &'static str,
}

/// Shares that make an 80 % interval.
pub(crate) const SHARES: [f64; 3] = [0.1, 0.5, 0.9];

/// An interval from three quantiles in order; sorts away rounding.
pub(crate) fn interval(q: [f64; 3]) -> Interval {
    Interval { p10: q[0].min(q[1]), p50: q[1], p90: q[2].max(q[1]) }
}

/// The 80 % interval of weighted values, linear between the middles of their weights; `None` without weight.
pub(crate) fn weighted_interval(values: &mut [(f64, f64)]) -> Option<Interval> {
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let all: f64 = values.iter().map(|v| v.1).sum();
    if values.is_empty() || !all.is_finite() || all <= 0.0 {
        return None;
    }
    let mut q = [values[values.len() - 1].0; 3];
    let (mut next, mut below, mut last) = (0, 0.0, None::<(f64, f64)>);
    for &(value, weight) in values.iter() {
        let middle = (below + 0.5 * weight) / all;
        while next < 3 && SHARES[next] <= middle {
            q[next] = match last {
                Some((v, m)) if middle > m => v + (value - v) * (SHARES[next] - m) / (middle - m),
                _ => value,
            };
            next += 1;
        }
        below += weight;
        last = Some((value, middle));
    }
    Some(interval(q))
}

/// Picks `n` of the weighted items so that each pick stands for the same weight: systematic, no chance in it.
pub(crate) fn even_picks<T: Copy>(items: &[(f64, T)], n: usize) -> Vec<T> {
    let all: f64 = items.iter().map(|i| i.0).sum();
    let mut picks = Vec::with_capacity(n);
    let mut below = 0.0;
    for &(weight, item) in items {
        below += weight;
        while picks.len() < n && (picks.len() as f64 + 0.5) * all <= below * n as f64 {
            picks.push(item);
        }
    }
    picks
}

/// Times at which the fan is drawn: from now to past the closing, evenly.
pub(crate) fn fan_times(now: f64, horizon: f64, opens: &Arrival, closes: &Arrival) -> Vec<f64> {
    const POINTS: usize = 41;
    let last = match (closes.when, opens.when) {
        (Some(c), _) => c.p90,
        (None, Some(o)) => o.p90 + 20.0,
        (None, None) => now + 30.0,
    };
    let end = (now + 1.08 * (last - now)).clamp(now + 5.0, horizon.max(now + 5.0));
    (0..POINTS).map(|i| now + (end - now) * i as f64 / (POINTS - 1) as f64).collect()
}

/// The 80 % interval of equally heavy values; `None` without values.
pub(crate) fn plain_interval(values: impl Iterator<Item = f64>) -> Option<Interval> {
    let mut keys: Vec<i64> = values.map(|x| ordered(x.to_bits().cast_signed())).collect();
    let count = keys.len();
    let place = |share: f64| ((share * count as f64) as usize).min(count.saturating_sub(1));
    let [low, middle, high] = SHARES.map(place);
    if keys.is_empty() {
        return None;
    }
    // The middle first: it leaves the lower half before it and the upper half behind it.
    let (below, &mut p50, above) = keys.select_nth_unstable(middle);
    let p10 = if low < middle { *below.select_nth_unstable(low).1 } else { p50 };
    let p90 = if high > middle { *above.select_nth_unstable(high - middle - 1).1 } else { p50 };
    Some(interval([p10, p50, p90].map(|key| f64::from_bits(ordered(key).cast_unsigned()))))
}

/// The bits of a number as an integer of the same order as [`f64::total_cmp`], and back.
fn ordered(bits: i64) -> i64 {
    bits ^ ((bits >> 63).cast_unsigned() >> 1).cast_signed()
}

#[cfg(test)]
mod tests {
    use super::{SHARES, plain_interval};

    /// Definition: the values at the three places once all are sorted.
    #[test]
    fn law_an_interval_is_read_from_the_sorted_values() {
        for count in 1..60 {
            let values: Vec<f64> = (0..count).map(|i| f64::from((i * 37) % 61) - 30.5 + f64::from(i % 3)).collect();
            let mut sorted = values.clone();
            sorted.sort_by(f64::total_cmp);
            let found = plain_interval(values.iter().copied()).unwrap();
            let places = SHARES.map(|share| sorted[((share * f64::from(count)) as usize).min(sorted.len() - 1)]);
            assert_eq!([found.p10, found.p50, found.p90], places, "{count}");
        }
        assert!(plain_interval(std::iter::empty()).is_none());
    }
}
