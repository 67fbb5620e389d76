//! "Did you mean …".

/// Longest word looked at; longer ones are no slip of the finger.
const LONGEST: usize = 40;

/// Smallest number of letters inserted, dropped, changed or swapped with their neighbour that turns one word into
/// the other (optimal string alignment).
fn edits(a: &[char], b: &[char]) -> usize {
    let mut rows = vec![vec![0; b.len() + 1]; a.len() + 1];
    rows[0] = (0..=b.len()).collect();
    for i in 1..=a.len() {
        rows[i][0] = i;
        for j in 1..=b.len() {
            let changed = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = changed.min(rows[i - 1][j] + 1).min(rows[i][j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = best;
        }
    }
    rows[a.len()][b.len()]
}

/// The nearest of `known`, if it is near enough to be meant: one edit for every three letters, at least one.
pub(crate) fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = |w: &str| w.to_lowercase().replace(['-', ' '], "_").chars().take(LONGEST + 1).collect::<Vec<_>>();
    let word = plain(word);
    if word.len() > LONGEST {
        return None;
    }
    let allowed = (word.len() / 3).max(1);
    known.into_iter().map(|k| (edits(&word, &plain(k)), k)).filter(|(n, _)| *n <= allowed).min().map(|(_, k)| k)
}

#[cfg(test)]
mod tests {
    use super::{edits, nearest};

    fn count(a: &str, b: &str) -> usize {
        edits(&a.chars().collect::<Vec<_>>(), &b.chars().collect::<Vec<_>>())
    }
    #[test]
    fn hand_edits() {
        // toruqe → torque: one swap; bor → bore: one letter in; drian → drain: one swap; nothing → fill: four in.
        for (a, b, n) in [("toruqe", "torque", 1), ("bor", "bore", 1), ("drian", "drain", 1), ("", "fill", 4)] {
            assert_eq!((count(a, b), count(b, a)), (n, n), "{a} {b}");
        }
    }
    #[test]
    fn hand_nearest() {
        assert_eq!(nearest("Offset-Along", ["offset_across", "offset_along"]), Some("offset_along"));
        assert_eq!(nearest("colour", ["bore", "length"]), None);
        assert_eq!(nearest(&"x".repeat(1_000_000), ["bore"]), None);
    }
}
