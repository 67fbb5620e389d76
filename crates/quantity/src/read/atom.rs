//! Tokens put together to values: each number with its sign, its unit and how it hangs on the one before.

use super::{
    ReadError,
    number::Number,
    token::{Kind, Token},
    unit::{COMPOUNDS, Unit, spelled},
};

/// How a value hangs on the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Link {
    /// First of the text.
    Start,
    /// Nothing printed between.
    Next,
    /// A bracket, slash, comma … between: another printed value.
    Apart,
    /// The high end of a range.
    To,
    /// The half-width of a tolerance.
    PlusMinus,
}

/// One number with what belongs to it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Atom {
    pub(crate) value: f64,
    pub(crate) step: f64,
    pub(crate) doubtful: Option<char>,
    /// Every meaning of the printed unit; empty when none is printed.
    pub(crate) units: Vec<&'static Unit>,
    /// A tolerance in percent.
    pub(crate) is_percent: bool,
    /// The unit is a bare degree, which may be of temperature when a temperature follows.
    pub(crate) is_bare_degree: bool,
    pub(crate) link: Link,
    pub(crate) start: usize,
    pub(crate) end: usize,
}

/// The text while it is being read.
struct Reader<'a> {
    chars: &'a [char],
    tokens: &'a [Token],
    at: usize,
}

/// The values of a text in printed order.
pub(crate) fn atoms(chars: &[char], tokens: &[Token]) -> Result<Vec<Atom>, ReadError> {
    let mut reader = Reader { chars, tokens, at: 0 };
    let mut found: Vec<Atom> = Vec::new();
    while let Some(atom) = reader.atom(found.is_empty())? {
        let is_part = atom.link == Link::Next && found.last_mut().is_some_and(|last| last.absorbs(&atom));
        if !is_part {
            found.push(atom);
        }
    }
    if found.is_empty() {
        return Err(ReadError::NoNumber { text: chars.iter().collect() });
    }
    Ok(found)
}

impl Reader<'_> {
    fn text(&self, start: usize, end: usize) -> String {
        self.chars[start..end].iter().collect()
    }

    fn misplaced(&self, token: &Token) -> ReadError {
        ReadError::Misplaced { printed: self.text(token.start, token.end), text: self.chars.iter().collect() }
    }

    fn atom(&mut self, is_first: bool) -> Result<Option<Atom>, ReadError> {
        let Some((link, sign, start)) = self.link(is_first)? else { return Ok(None) };
        let token = &self.tokens[self.at];
        let Kind::Number(number) = token.kind else { return Err(self.misplaced(token)) };
        let (start, mut end) = (start.unwrap_or(token.start), token.end);
        self.at += 1;
        let mut units = Vec::new();
        let mut is_bare_degree = false;
        let is_percent = matches!(self.tokens.get(self.at), Some(Token { kind: Kind::Word(w), .. }) if w == "%");
        if is_percent && link == Link::PlusMinus {
            end = self.tokens[self.at].end;
            self.at += 1;
        } else if let Some((meanings, next, key)) = unit_at(&self.tokens[self.at..]) {
            end = self.tokens[self.at + next - 1].end;
            self.at += next;
            is_bare_degree = matches!(key.as_str(), "°" | "deg");
            units = meanings;
        }
        let is_percent = is_percent && link == Link::PlusMinus;
        // The closing bracket of a UCUM code belongs to it.
        let opened = self.chars[token.end..end].iter().rev().find(|c| matches!(c, '[' | ']')) == Some(&'[');
        end += usize::from(opened && self.chars.get(end) == Some(&']'));
        let Some((value, units)) = with_clock(number, units) else {
            let why = "a clock time is a duration, in hours or minutes";
            return Err(ReadError::Malformed { printed: self.text(start, end), why });
        };
        if !value.is_finite() {
            return Err(ReadError::NotFinite { printed: self.text(start, end) });
        }
        let Number { step, doubtful, .. } = number;
        // Adding zero makes a printed "−0" plain zero.
        Ok(Some(Atom {
            value: value * sign + 0.0,
            step,
            doubtful,
            units,
            is_percent,
            is_bare_degree,
            link,
            start,
            end,
        }))
    }

    /// Everything up to the next number: how it hangs on the last, its sign, where the sign stands.
    fn link(&mut self, is_first: bool) -> Result<Option<(Link, f64, Option<usize>)>, ReadError> {
        let mut link = if is_first { Link::Start } else { Link::Next };
        // Right behind a bracket that closed, a dash means a range, not a sign.
        let mut dash_is_range = !is_first;
        let mut sign: Option<(f64, usize)> = None;
        let mut pending: Option<&Token> = None;
        while let Some(token) = self.tokens.get(self.at) {
            let ends_something = sign.is_some() || matches!(link, Link::To | Link::PlusMinus);
            match &token.kind {
                Kind::Number(_) => return Ok(Some((link, sign.map_or(1.0, |s| s.0), sign.map(|s| s.1)))),
                Kind::Word(word) => return Err(self.strange_word(token, word)),
                Kind::Joiner if self.chars[token.start] == '[' && link == Link::Next => {
                    (link, dash_is_range) = (Link::Apart, false);
                }
                Kind::Joiner | Kind::Filler | Kind::About => {}
                Kind::Tilde if is_first => {}
                Kind::Separator | Kind::Slash | Kind::Close if !ends_something => {
                    dash_is_range = matches!(token.kind, Kind::Close) && !is_first;
                    if !is_first {
                        link = Link::Apart;
                    }
                }
                Kind::Dash | Kind::Tilde | Kind::Range if dash_is_range && !ends_something => link = Link::To,
                Kind::Range if !is_first && !ends_something => link = Link::To,
                Kind::PlusMinus if !is_first && !ends_something && link == Link::Next => link = Link::PlusMinus,
                Kind::Dash if sign.is_none() => sign = Some((-1.0, token.start)),
                Kind::Plus if sign.is_none() => sign = Some((1.0, token.start)),
                _ => return Err(self.misplaced(token)),
            }
            pending = matches!(token.kind, Kind::Dash | Kind::Plus | Kind::Tilde | Kind::Range | Kind::PlusMinus)
                .then_some(token)
                .or(pending);
            self.at += 1;
        }
        match pending {
            Some(token) if !is_first && (sign.is_some() || matches!(link, Link::To | Link::PlusMinus)) => {
                Err(self.misplaced(token))
            }
            _ => Ok(None),
        }
    }

    fn strange_word(&self, token: &Token, word: &str) -> ReadError {
        let is_number = |t: &Token| matches!(t.kind, Kind::Number(_));
        let printed = self.text(token.start, token.end);
        if matches!(word, "nan" | "inf" | "infinity" | "∞") {
            return ReadError::NotFinite { printed };
        }
        if !self.tokens.iter().any(is_number) {
            return ReadError::NoNumber { text: self.chars.iter().collect() };
        }
        if unit_at(&self.tokens[self.at..]).is_some() {
            return self.misplaced(token);
        }
        // The whole strange phrase up to the next number says more than its first word.
        let end = self.tokens[self.at..].iter().take_while(|t| matches!(t.kind, Kind::Word(_) | Kind::Joiner)).last();
        ReadError::UnknownUnit { word: self.text(token.start, end.map_or(token.end, |t| t.end)) }
    }
}

impl Atom {
    /// Takes up a smaller part of the same value ("1 h" then "05 min"); false when `part` is no such thing.
    fn absorbs(&mut self, part: &Self) -> bool {
        let found = COMPOUNDS.iter().find_map(|&(large, small, ratio)| {
            let large = self.units.iter().any(|u| u.code == large);
            let units: Vec<_> = part.units.iter().copied().filter(|u| u.code == small).collect();
            (large
                && !units.is_empty()
                && self.value.fract() == 0.0
                && self.step <= 1.0
                && (0.0..ratio).contains(&part.value))
            .then_some((units, ratio))
        });
        let Some((units, ratio)) = found else { return false };
        let size = self.value.abs() * ratio + part.value;
        self.value = if self.value.is_sign_negative() { -size } else { size };
        self.step = part.step;
        self.units = units;
        self.end = part.end;
        true
    }
}

/// The longest unit at the beginning of `tokens`: its meanings, how many tokens it takes, its key.
fn unit_at(tokens: &[Token]) -> Option<(Vec<&'static Unit>, usize, String)> {
    const LONGEST: usize = 10;
    let mut key = String::new();
    let mut best = None;
    for (index, token) in tokens.iter().take(LONGEST).enumerate() {
        match &token.kind {
            Kind::Word(word) => key.push_str(word),
            Kind::Slash if !key.is_empty() => key.push('/'),
            Kind::Joiner | Kind::Dash => continue,
            _ => break,
        }
        let meanings = spelled(&key);
        if !meanings.is_empty() {
            best = Some((meanings, index + 1, key.clone()));
        }
    }
    best
}

/// A clock time is in seconds unless a unit behind it says that its first part is hours; `None` with any other unit.
fn with_clock(number: Number, units: Vec<&'static Unit>) -> Option<(f64, Vec<&'static Unit>)> {
    let printed = |code| units.iter().any(|u| u.code == code);
    match number.clock_parts {
        0 => Some((number.value, units)),
        2 if printed("h") => Some((number.value * 60.0, spelled("s"))),
        2 if units.is_empty() || printed("min") => Some((number.value, spelled("s"))),
        3 if units.is_empty() || printed("h") => Some((number.value, spelled("s"))),
        _ => None,
    }
}
