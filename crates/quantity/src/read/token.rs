//! The text cut into numbers, words and signs.

use super::{
    ReadError, number,
    number::{Number, is_space},
    unit::root,
};

/// What a piece of the text is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Kind {
    Number(Number),
    /// The root of a word, or of a sign that acts as one ("°", "%").
    Word(String),
    /// A mark inside a unit: "·", "*", ".", "_" …
    Joiner,
    /// Any dash: a sign before a number, a range between two, a joiner inside a unit.
    Dash,
    /// "~": a range between two numbers, "about" before the first.
    Tilde,
    Plus,
    PlusMinus,
    Slash,
    /// "…", "to", "bis": only ever a range.
    Range,
    /// ")": the second unit ends; a dash behind it is no sign.
    Close,
    /// "(", ",", ";", "=", "or": the next number belongs to another printed value.
    Separator,
    /// "approx.", "about": the number is rounded, nobody says how much.
    About,
    /// "from", "between": says nothing that the range does not say.
    Filler,
}

/// A piece of the text and where it stands, in characters.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Token {
    pub(crate) kind: Kind,
    pub(crate) start: usize,
    pub(crate) end: usize,
}

/// Signs that are one character long.
#[rustfmt::skip]
const SIGNS: &[(&str, Kind)] = &[
    ("-−–—‐‑‒―﹣－", Kind::Dash),
    ("+＋", Kind::Plus),
    ("±", Kind::PlusMinus),
    ("~〜～", Kind::Tilde),
    ("…÷", Kind::Range),
    ("/∕⁄", Kind::Slash),
    (")", Kind::Close),
    ("(,;=≙|\n", Kind::Separator),
    ("·⋅•∙.*×^_[]", Kind::Joiner),
    ("≈≃", Kind::About),
];

/// Words that are signs.
const SIGN_WORDS: &[(&str, Kind)] = &[
    ("to bis through thru until till à and und et y hasta", Kind::Range),
    ("or oder ou soit equals resp", Kind::Separator),
    ("approx approximately about around ca circa roughly etwa ungefähr environ env aproximadamente aprox", Kind::About),
    ("from between von zwischen entre desde", Kind::Filler),
];

/// Signs of several characters, longest first.
const LONG_SIGNS: &[(&str, Kind)] = &[
    ("+/-", Kind::PlusMinus),
    ("+/−", Kind::PlusMinus),
    ("+/–", Kind::PlusMinus),
    ("...", Kind::Range),
    ("+-", Kind::PlusMinus),
    ("+−", Kind::PlusMinus),
    ("..", Kind::Range),
];

/// Cuts `chars` into tokens; spaces only part them.
pub(crate) fn tokens(chars: &[char]) -> Result<Vec<Token>, ReadError> {
    let mut found: Vec<Token> = Vec::new();
    let mut at = 0;
    while let Some(&c) = chars.get(at) {
        if is_space(c) && c != '\n' {
            at += 1;
            continue;
        }
        let (kind, used) = token(&chars[at..], found.last())?;
        found.push(Token { kind, start: at, end: at + used });
        at += used;
    }
    Ok(found)
}

fn token(rest: &[char], before: Option<&Token>) -> Result<(Kind, usize), ReadError> {
    if let Some((kind, used)) = LONG_SIGNS.iter().find_map(|(sign, kind)| {
        let length = sign.chars().count();
        (rest.len() >= length && sign.chars().eq(rest[..length].iter().copied())).then(|| (kind.clone(), length))
    }) {
        return Ok((kind, used));
    }
    if let Some((word, used)) = region_in_brackets(rest) {
        return Ok((Kind::Word(word), used));
    }
    // "ft.5" cannot be told from "ft .5"; a point right behind a word belongs to the word.
    let point_of_abbreviation = rest[0] == '.' && matches!(before, Some(Token { kind: Kind::Word(_), .. }));
    if number::begins(rest[0], rest.get(1).copied()) && !point_of_abbreviation && !is_separating_comma(rest, before) {
        return number::number(rest).map(|(n, used)| (Kind::Number(n), used)).map_err(|e| ReadError::Malformed {
            printed: rest.iter().take_while(|c| c.is_ascii_digit() || ".,:'’".contains(**c)).collect(),
            why: e.0,
        });
    }
    if let Some((_, kind)) = SIGNS.iter().find(|(signs, _)| signs.contains(rest[0])) {
        return Ok((kind.clone(), 1));
    }
    if joins_in_spanish(rest, before) {
        return Ok((Kind::Range, 1));
    }
    Ok(word(rest))
}

/// "35 a 45 °C": an "a" between two numbers is the range, unless months follow as in "1 a 6 mo", where it is the year.
fn joins_in_spanish(rest: &[char], before: Option<&Token>) -> bool {
    let behind_number = matches!(before, Some(Token { kind: Kind::Number(_), .. }));
    if !behind_number || rest[0] != 'a' || !rest.get(1).is_some_and(|c| is_space(*c)) {
        return false;
    }
    let mut next = rest[1..].iter().copied().skip_while(|c| is_space(*c)).peekable();
    if !next.peek().is_some_and(char::is_ascii_digit) {
        return false;
    }
    let unit: String = next.skip_while(|c| !c.is_alphabetic() && *c != '°').take_while(|c| c.is_alphabetic()).collect();
    root(&unit.to_lowercase()) != "mo"
}

/// A comma right behind a word parts two values, even when a digit follows it at once.
fn is_separating_comma(rest: &[char], before: Option<&Token>) -> bool {
    rest[0] == ',' && matches!(before, Some(Token { kind: Kind::Word(_) | Kind::Close | Kind::Joiner, .. }))
}

/// "(US)" or "(imp.)" behind a unit belongs to the unit.
fn region_in_brackets(rest: &[char]) -> Option<(String, usize)> {
    if rest[0] != '(' {
        return None;
    }
    let close = rest.iter().take(12).position(|c| *c == ')')?;
    let inner: String = rest[1..close].iter().filter(|c| c.is_alphabetic()).flat_map(|c| c.to_lowercase()).collect();
    let found = root(&inner);
    matches!(found, "us" | "imp").then(|| (found.to_owned(), close + 1))
}

/// The longest run of letters; exponents and degree signs included where they belong to a unit.
fn word(rest: &[char]) -> (Kind, usize) {
    if let Some(plain) = single(rest[0]) {
        return (Kind::Word(plain.to_owned()), 1);
    }
    let mut used = rest.iter().take_while(|c| c.is_alphabetic() && single(**c).is_none()).count();
    if used == 0 {
        return (Kind::Word(root(&rest[0].to_string()).to_owned()), 1);
    }
    let letters: String = rest[..used].iter().flat_map(|c| c.to_lowercase()).map(plain_letter).collect();
    if let Some((_, kind)) = SIGN_WORDS.iter().find(|(words, _)| words.split(' ').any(|w| w == letters)) {
        return (kind.clone(), used);
    }
    let mut name = root(&letters).to_owned();
    if let Some((power, more)) = exponent(&name, &rest[used..]) {
        name.push(power);
        used += more;
    }
    (Kind::Word(name), used)
}

/// Characters that are a whole word.
fn single(c: char) -> Option<&'static str> {
    match c {
        '°' | 'º' | '˚' => Some("°"),
        '℃' => Some("°c"),
        '℉' => Some("°f"),
        _ => None,
    }
}

fn plain_letter(c: char) -> char {
    if matches!(c, 'µ' | 'μ') { 'u' } else { c }
}

/// "mm²", "cm^3", "mm2", "s⁻¹": the power behind a unit that can have one.
fn exponent(name: &str, behind: &[char]) -> Option<(char, usize)> {
    const POWERS: &[(char, char)] = &[('²', '2'), ('³', '3'), ('¹', '1'), ('2', '2'), ('3', '3')];
    const RAISED: &[&str] = &["m", "mm", "cm", "dm", "km", "in", "ft", "s"];
    let marks = behind.iter().take_while(|c| matches!(c, '^' | '⁻')).count();
    let sign = behind.get(marks)?;
    let power = POWERS.iter().find(|(c, _)| c == sign)?.1;
    let ends = !behind.get(marks + 1).is_some_and(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    let plain_digit = sign.is_ascii_digit();
    (RAISED.contains(&name) && (!plain_digit || ends)).then_some((power, marks + 1))
}
