//! Two windows that want the same pair of hands.

use serde::Serialize;

use crate::view::Live;
use crate::workshop::Workshop;

/// Hands needed from opening the level plug to having it in again, seconds: common practice, no source.
const HANDS_S: f64 = 240.0;
/// A window whose closing cannot be foretold is taken to last so long, seconds.
const USUAL_DWELL_S: f64 = 600.0;

/// One job whose window opens or is open.
#[derive(Debug, Clone, PartialEq)]
pub struct Awaited {
    pub job: String,
    pub vehicle: String,
    /// Seconds from now.
    pub opens_s: f64,
    pub closes_s: f64,
}

/// Two jobs that want the same hands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Meeting {
    /// The one to set first, and the other.
    pub first: String,
    pub then: String,
    /// Names of the jobs, in that order.
    pub jobs: [String; 2],
    /// Seconds from now until the first is to be opened.
    pub in_s: f64,
    /// True when both can be set one after the other.
    pub both_fit: bool,
}

impl Meeting {
    /// What is coming, where that is not plain, and what to do about it.
    pub fn words(&self) -> (String, String) {
        let (first, then) = (&self.first, &self.then);
        if self.both_fit {
            return (String::new(), format!("Set {first} first, then go straight to {then}: both fit."));
        }
        let what = "One pair of hands misses one of them.".to_owned();
        (what, format!("Switch {then} off now and start it again once {first} is closed. Or get help."))
    }
}

impl Awaited {
    /// What a job's live figures say; `None` when nothing is awaited.
    pub fn of(job: &str, vehicle: &str, live: &Live) -> Option<Self> {
        if live.ended || live.idling_s.is_none() || live.zone == crate::view::Zone::Hot {
            return None;
        }
        let open = live.zone == crate::view::Zone::Open;
        let opens_s = if open { 0.0 } else { live.opens_in_s?[1].max(0.0) };
        let closes_s = live.closes_in_s.map_or(opens_s + live.dwell_s.unwrap_or(USUAL_DWELL_S), |closes| closes[1]);
        Some(Self { job: job.to_owned(), vehicle: vehicle.to_owned(), opens_s, closes_s })
    }

    /// When the hands are free again if this one is begun at `from` or when it opens; `None` when that is too late.
    fn done_from(&self, from: f64) -> Option<f64> {
        let begun = from.max(self.opens_s);
        (begun + HANDS_S <= self.closes_s.max(self.opens_s + HANDS_S)).then_some(begun + HANDS_S)
    }
}

/// Nobody reads more announcements than this; the first ones matter.
const MOST: usize = 5;

/// Two jobs that want the hands at the same time, each pair of them: those that cannot both be set first, then the soonest;
/// [`MOST`] at most.
pub fn meetings(awaited: &[Awaited]) -> Vec<Meeting> {
    let pairs = awaited.iter().enumerate().flat_map(|(i, a)| awaited[i + 1..].iter().map(move |b| (a, b)));
    foremost(pairs)
}

fn foremost<'a>(pairs: impl Iterator<Item = (&'a Awaited, &'a Awaited)>) -> Vec<Meeting> {
    let mut all: Vec<Meeting> = pairs.filter_map(|(a, b)| meeting(a, b)).collect();
    all.sort_by(|a, b| a.both_fit.cmp(&b.both_fit).then(a.in_s.total_cmp(&b.in_s)).then_with(|| a.jobs.cmp(&b.jobs)));
    all.truncate(MOST);
    all
}

fn meeting(a: &Awaited, b: &Awaited) -> Option<Meeting> {
    let (a, b) = if a.opens_s <= b.opens_s { (a, b) } else { (b, a) };
    if a.opens_s + HANDS_S <= b.opens_s {
        return None;
    }
    let order = |first: &Awaited, then: &Awaited| first.done_from(0.0).and_then(|free| then.done_from(free));
    let (first, then, both_fit) = match (order(a, b), order(b, a)) {
        (Some(_), _) => (a, b, true),
        (None, Some(_)) => (b, a, true),
        (None, None) => (a, b, false),
    };
    Some(Meeting {
        first: first.vehicle.clone(),
        then: then.vehicle.clone(),
        jobs: [first.job.clone(), then.job.clone()],
        in_s: first.opens_s,
        both_fit,
    })
}

impl Workshop {
    /// Meetings of one job with the others that are warming up, as far as they are in memory: an announcement, not a gate.
    pub(crate) fn meets(&self, job: &str, vehicle: &str, live: &Live) -> Vec<Meeting> {
        let Some(mine) = Awaited::of(job, vehicle, live) else { return Vec::new() };
        let others = self.warming(job);
        let now_ms = self.clock.now_ms();
        let awaited: Vec<Awaited> = others
            .iter()
            .filter_map(|other| {
                Awaited::of(&other.job, &other.state.opening.vehicle, &crate::view::live_of(other, now_ms).0)
            })
            .collect();
        foremost(awaited.iter().map(|other| (&mine, other)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn awaited(job: &str, opens_s: f64, closes_s: f64) -> Awaited {
        Awaited { job: job.to_owned(), vehicle: job.to_owned(), opens_s, closes_s }
    }

    #[test]
    fn hand_two_windows_meet_or_not() {
        // Hands are needed for 240 s each.
        let cases = [
            // Far apart: nothing to say.
            ((60.0, 400.0), (300.0, 700.0), None),
            // The first done at 300 s, the second open until 700: 300 + 240 = 540, both fit.
            ((60.0, 400.0), (200.0, 700.0), Some(("a", true))),
            // Second must be done by 420, first until 1000: second first (100–340, then 340–580).
            ((60.0, 1000.0), (100.0, 420.0), Some(("b", true))),
            // Either order ends at 540 or later, but both close before.
            ((60.0, 400.0), (100.0, 420.0), Some(("a", false))),
            // Open now and the other in a minute.
            ((0.0, 300.0), (60.0, 350.0), Some(("a", false))),
        ];
        for (a, b, expected) in cases {
            let found = meetings(&[awaited("a", a.0, a.1), awaited("b", b.0, b.1)]);
            let found = found.first().map(|meeting| (meeting.first.as_str(), meeting.both_fit));
            assert_eq!(found, expected, "{a:?} {b:?}");
        }
    }

    #[test]
    fn law_the_order_of_the_list_does_not_matter() {
        let list = [awaited("a", 60.0, 400.0), awaited("b", 100.0, 420.0), awaited("c", 90.0, 900.0)];
        let turned: Vec<Awaited> = list.iter().rev().cloned().collect();
        assert_eq!(meetings(&list), meetings(&turned));
        assert_eq!(meetings(&list).len(), 3);
    }

    #[test]
    fn law_a_crowd_is_told_of_its_foremost_pairs() {
        // Twenty that open a second apart and stay open for ten minutes: both of a pair fit, so the soonest come first.
        let crowd: Vec<Awaited> =
            (0..20).map(|n| awaited(&format!("j{n:02}"), f64::from(n), f64::from(n) + 600.0)).collect();
        let told: Vec<_> = meetings(&crowd).iter().map(|meeting| meeting.jobs.join(" ")).collect();
        assert_eq!(told, ["j00 j01", "j00 j02", "j00 j03", "j00 j04", "j00 j05"]);
    }
}
