//! One file, as written and with comments and texts blanked out.

/// A file of the workspace.
#[derive(Debug)]
pub struct Source {
    /// From the root of the workspace, with `/`.
    pub path: String,
    pub text: String,
    /// The same text, byte for byte as long, with spaces for whatever stands in comments, strings and characters. Empty
    /// for files that are not Rust.
    pub code: String,
}

/// A function found in a file.
#[derive(Debug)]
pub struct Function<'s> {
    pub name: &'s str,
    /// From `fn` up to its body, as code.
    pub signature: &'s str,
    /// Line of `fn`, counted from 1.
    pub line: usize,
    /// Lines from `fn` to the closing brace; 0 without a body.
    pub lines: usize,
    /// Where `fn` stands, in bytes.
    pub at: usize,
}

impl Source {
    pub fn new(path: &str, text: &str) -> Self {
        let code = if path.ends_with(".rs") { blanked(text) } else { String::new() };
        Self { path: path.to_owned(), text: text.to_owned(), code }
    }

    /// `path:line` of a place in bytes.
    pub fn place(&self, at: usize) -> String {
        format!("{}:{}", self.path, self.line(at))
    }

    pub fn line(&self, at: usize) -> usize {
        self.text.as_bytes()[..at].iter().filter(|b| **b == b'\n').count() + 1
    }

    /// Every place where a word of code stands, not as a part of a longer name.
    pub fn places<'a>(&'a self, word: &'a str) -> impl Iterator<Item = usize> + 'a {
        let name = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
        let (first, last) = (name(word.chars().next()), name(word.chars().next_back()));
        self.code.match_indices(word).map(|(at, _)| at).filter(move |at| {
            let (before, after) = (self.code[..*at].chars().next_back(), self.code[at + word.len()..].chars().next());
            let part_of_a_name = (first && name(before)) || (last && name(after));
            !part_of_a_name
        })
    }

    /// Every named function.
    pub fn functions(&self) -> Vec<Function<'_>> {
        self.places("fn").filter_map(|at| self.function(at)).collect()
    }

    fn function(&self, at: usize) -> Option<Function<'_>> {
        let rest = &self.code[at..];
        let name = rest[2..].trim_start();
        let name = &name[..name.find(|c: char| !c.is_alphanumeric() && c != '_')?];
        if name.is_empty() {
            return None;
        }
        let opens = body_or_end(rest)?;
        let mut depth = 0;
        let closes = rest[opens..].char_indices().find_map(|(i, c)| {
            depth += match c {
                '{' => 1,
                '}' => -1,
                _ => 0,
            };
            (depth == 0).then_some(opens + i)
        })?;
        let line = self.line(at);
        let lines = if rest[opens..].starts_with('{') { self.line(at + closes) + 1 - line } else { 0 };
        Some(Function { name, signature: &rest[..opens], line, lines, at })
    }

    /// The doc comment right above a line, attributes between them left out.
    pub fn doc_above(&self, line: usize) -> String {
        let lines: Vec<&str> = self.text.lines().take(line.saturating_sub(1)).collect();
        let above = lines.iter().rev().map(|l| l.trim());
        let mut doc: Vec<&str> = above.take_while(|l| l.starts_with("///") || l.starts_with("#[")).collect();
        doc.reverse();
        doc.join("\n")
    }
}

/// Where the body of a function begins, or the `;` that ends its signature; the one in `[u8; 3]` does not.
fn body_or_end(code: &str) -> Option<usize> {
    let mut depth = 0;
    code.char_indices().find_map(|(i, c)| {
        depth += match c {
            '(' | '[' => 1,
            ')' | ']' => -1,
            _ => 0,
        };
        (depth == 0 && matches!(c, '{' | ';')).then_some(i)
    })
}

/// Blanks out what is no code: comments, strings, raw strings, characters. Line ends stay.
fn blanked(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut out = bytes.to_vec();
    let mut i = 0;
    while i < bytes.len() {
        let end = match bytes[i] {
            b'/' if bytes[i..].starts_with(b"//") => i + find(&bytes[i..], b"\n").unwrap_or(bytes.len() - i),
            b'/' if bytes[i..].starts_with(b"/*") => block_comment_end(bytes, i),
            b'r' if raw_hashes(bytes, i).is_some() => raw_string_end(bytes, i),
            b'"' => string_end(bytes, i),
            b'\'' => char_end(bytes, i),
            _ => i,
        };
        if end == i {
            i += 1;
            continue;
        }
        for byte in &mut out[i..end] {
            if *byte != b'\n' {
                *byte = b' ';
            }
        }
        i = end;
    }
    // Whole characters are blanked or kept, so this is still UTF-8.
    String::from_utf8(out).unwrap_or_default()
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|w| w == what)
}

fn block_comment_end(bytes: &[u8], start: usize) -> usize {
    let (mut depth, mut i) = (0, start);
    while i < bytes.len() {
        if bytes[i..].starts_with(b"/*") {
            depth += 1;
            i += 2;
        } else if bytes[i..].starts_with(b"*/") {
            depth -= 1;
            i += 2;
            if depth == 0 {
                break;
            }
        } else {
            i += 1;
        }
    }
    i.min(bytes.len())
}

/// How many `#` open the raw string that begins here, if one does.
fn raw_hashes(bytes: &[u8], i: usize) -> Option<usize> {
    let part_of_a_name =
        i > 0 && (bytes[i - 1].is_ascii_alphanumeric() || bytes[i - 1] == b'_') && bytes[i - 1] != b'b';
    let hashes = bytes[i + 1..].iter().take_while(|b| **b == b'#').count();
    (!part_of_a_name && bytes.get(i + 1 + hashes) == Some(&b'"')).then_some(hashes)
}

fn raw_string_end(bytes: &[u8], start: usize) -> usize {
    let hashes = raw_hashes(bytes, start).unwrap_or(0);
    let inside = start + hashes + 2;
    let close = [b"\"".as_slice(), &vec![b'#'; hashes]].concat();
    find(&bytes[inside..], &close).map_or(bytes.len(), |at| inside + at + close.len())
}

fn string_end(bytes: &[u8], start: usize) -> usize {
    let mut i = start + 1;
    while i < bytes.len() && bytes[i] != b'"' {
        i += if bytes[i] == b'\\' { 2 } else { 1 };
    }
    (i + 1).min(bytes.len())
}

/// The end of a character; the start itself for a lifetime.
fn char_end(bytes: &[u8], start: usize) -> usize {
    if bytes.get(start + 1) == Some(&b'\\') {
        return find(&bytes[(start + 3).min(bytes.len())..], b"'").map_or(start, |at| start + 3 + at + 1);
    }
    // One character of up to four bytes between two marks.
    let Some(close) = bytes.iter().skip(start + 2).take(4).position(|b| *b == b'\'') else { return start };
    let inside = &bytes[start + 1..start + 2 + close];
    let one = std::str::from_utf8(inside).is_ok_and(|s| s.chars().count() == 1);
    if one { start + 3 + close } else { start }
}

#[cfg(test)]
mod tests {
    use super::Source;

    #[test]
    fn hand_only_code_is_left() {
        let text = "a // b\n/* c /* d */ */ e \"f\\\"g\" r#\"h\"i\"# 'j' '\\'' 'é' &'k l br\"m\" n";
        let source = Source::new("x.rs", text);
        assert_eq!(source.code.len(), text.len());
        let left: Vec<&str> = source.code.split_whitespace().collect();
        assert_eq!(left, ["a", "e", "&'k", "l", "b", "n"]);
    }

    #[test]
    fn hand_functions_and_their_length() {
        let text =
            "pub fn one() -> Result<(), E> {\n    if x { y }\n}\nfn two(a: [u8; 3]);\nlet f: fn(u8) = g; fn_x();\n";
        let source = Source::new("x.rs", text);
        let found: Vec<_> = source.functions().iter().map(|f| (f.name.to_owned(), f.line, f.lines)).collect();
        assert_eq!(found, [("one".to_owned(), 1, 3), ("two".to_owned(), 4, 0)]);
    }
}
