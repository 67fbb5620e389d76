//! What a plug's thread usually stands.

/// One line of `data/threads.csv`.
pub(super) struct Band {
    pub(super) thread: &'static str,
    pub(super) low_nm: f64,
    pub(super) high_nm: f64,
    pub(super) source: &'static str,
}

const DATA: &str = include_str!("../../data/threads.csv");

/// The lines of the data file; a line that is not four or more fields is a comment or the header.
fn bands() -> impl Iterator<Item = Band> {
    DATA.lines().filter(|line| !line.starts_with('#')).filter_map(|line| {
        let mut fields = line.split(',').map(str::trim);
        let (thread, low, high, source) = (fields.next()?, fields.next()?, fields.next()?, fields.next()?);
        Some(Band { thread, low_nm: low.parse().ok()?, high_nm: high.parse().ok()?, source })
    })
}

/// A thread as written by different hands: "M 18 × 1,50" and "m18x1.5" are one.
fn plain(thread: &str) -> String {
    let letters: String = thread.chars().take(40).filter(|c| !c.is_whitespace()).collect();
    let letters = letters.to_uppercase().replace(['×', '*'], "X").replace(',', ".").replace(['–', '‑'], "-");
    match letters.split_once('.') {
        Some((_, rest)) if rest.chars().all(|c| c.is_ascii_digit()) => {
            letters.trim_end_matches('0').trim_end_matches('.').to_owned()
        }
        _ => letters,
    }
}

/// The band of a thread, if the data file has it.
pub(super) fn band(thread: &str) -> Option<Band> {
    let wanted = plain(thread);
    bands().find(|band| plain(band.thread) == wanted)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hand_spellings_of_one_thread() {
        for text in ["M18x1.5", "m18X1.5", "M 18 × 1,5", "M18*1.50", "M18 x 1.5"] {
            assert_eq!(band(text).map(|b| b.thread), Some("M18x1.5"), "{text}");
        }
        for text in ["M10x1", "M10x1.0", "M10 × 1,00"] {
            assert_eq!(band(text).map(|b| b.thread), Some("M10x1"), "{text}");
        }
        assert!(band("M18").is_none() && band("").is_none() && band("M180x1.5").is_none());
    }

    #[test]
    fn trade_bands_lie_within_usual_plug_torques() {
        // Plug torques of 5 (plastic pans) to 80 N·m by thread: common practice, no source.
        let lines = DATA.lines().filter(|l| !l.starts_with('#') && !l.is_empty()).count();
        assert_eq!(bands().count() + 1, lines, "every line but the header is a band");
        for b in bands() {
            assert!(5.0 <= b.low_nm && b.low_nm < b.high_nm && b.high_nm <= 80.0, "{}", b.thread);
            assert!(!b.source.is_empty());
        }
    }
}
