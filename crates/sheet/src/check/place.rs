//! From byte offsets to lines and columns.

/// Line and column, both from 1, of each offset; the offsets must be in rising order. One pass over the text,
/// so that very many findings on one very long line cost no more than one.
pub(crate) fn places(text: &str, offsets: impl Iterator<Item = usize>) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let (mut line, mut column) = (1, 1);
    let mut letters = text.char_indices().peekable();
    for offset in offsets {
        while let Some((_, letter)) = letters.next_if(|(at, letter)| at + letter.len_utf8() <= offset) {
            if letter == '\n' {
                (line, column) = (line + 1, 1);
            } else {
                column += 1;
            }
        }
        found.push((line, column));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::places;

    #[test]
    fn hand_columns_are_characters() {
        // "ä°\nx": ä is bytes 0–1, ° bytes 2–3, line feed 4, x 5; 3 is inside °; 99 is past the end.
        let at = places("ä°\nx", [0, 2, 3, 4, 5, 6, 99].into_iter());
        assert_eq!(at, [(1, 1), (1, 2), (1, 2), (1, 3), (2, 1), (2, 2), (2, 2)]);
    }
    #[test]
    fn hand_empty_text() {
        assert_eq!(places("", [0, 5].into_iter()), [(1, 1), (1, 1)]);
    }
}
