//! One printed number: digits, marks, fractions, clock times.
//!
//! Which mark is the decimal one:
//! - both comma and point: the last one is decimal, the other groups thousands ("1,234.5", "1.234,5");
//! - one mark more than once: it groups thousands ("1,234,567", "1.234.567");
//! - one comma with exactly three digits after it and one to three before, not beginning with 0: thousands ("1,000");
//! - one comma otherwise: decimal ("1,5", "0,500");
//! - one point: decimal, always ("1.000" is one).
//!
//! Spaces of any width and apostrophes group thousands when exactly three digits follow ("60 000", "1’000").

/// One unsigned number as printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Number {
    pub(crate) value: f64,
    /// One unit of the last digit that says something.
    pub(crate) step: f64,
    /// How many parts a clock time has ("2:14" has two); 0 for any other number. The value is then in seconds.
    pub(crate) clock_parts: usize,
    /// The mark with three digits after it that could have meant the other thing.
    pub(crate) doubtful: Option<char>,
}

/// Why a run of digits is no number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Malformed(pub(crate) &'static str);

const FRACTIONS: &[(char, u32, u32)] = &[
    ('½', 1, 2),
    ('⅓', 1, 3),
    ('⅔', 2, 3),
    ('¼', 1, 4),
    ('¾', 3, 4),
    ('⅕', 1, 5),
    ('⅖', 2, 5),
    ('⅗', 3, 5),
    ('⅘', 4, 5),
    ('⅙', 1, 6),
    ('⅚', 5, 6),
    ('⅛', 1, 8),
    ('⅜', 3, 8),
    ('⅝', 5, 8),
    ('⅞', 7, 8),
];
const DENOMINATORS: &[u32] = &[2, 3, 4, 5, 6, 8, 16, 32, 64];

/// True for every white space of any width.
pub(crate) fn is_space(c: char) -> bool {
    c.is_whitespace() || c == '\u{2060}' || c == '\u{200b}' || c == '\u{feff}'
}

/// True when a number can begin with `c`, `next` being the character behind it.
pub(crate) fn begins(c: char, next: Option<char>) -> bool {
    c.is_ascii_digit() || vulgar(c).is_some() || (matches!(c, '.' | ',') && next.is_some_and(|n| n.is_ascii_digit()))
}

/// Reads the number at the beginning of `chars`; returns it and how many characters it takes.
pub(crate) fn number(chars: &[char]) -> Result<(Number, usize), Malformed> {
    if let Some((fraction, used)) = fraction(chars) {
        return Ok((fraction, used));
    }
    if let Some(found) = clock(chars) {
        return found;
    }
    let used = extent(chars);
    let whole = decimal(&chars[..used])?;
    let is_whole = !chars[..used].iter().any(|c| matches!(c, '.' | ','));
    if is_whole && let Some((part, more)) = following_fraction(&chars[used..]) {
        let mixed = Number { value: whole.value + part.value, step: part.step, ..whole };
        return Ok((mixed, used + more));
    }
    Ok(exponent(whole, &chars[used..]).map_or((whole, used), |(n, more)| (n, used + more)))
}

fn vulgar(c: char) -> Option<(u32, u32)> {
    FRACTIONS.iter().find(|(sign, ..)| *sign == c).map(|&(_, above, below)| (above, below))
}

fn ratio(above: u32, below: u32) -> Number {
    let (above, below) = (f64::from(above), f64::from(below));
    Number { value: above / below, step: 1.0 / below, clock_parts: 0, doubtful: None }
}

/// "½" or "1/2": a proper fraction with a denominator that occurs on a rule or a can.
fn fraction(chars: &[char]) -> Option<(Number, usize)> {
    if let Some((above, below)) = chars.first().and_then(|&c| vulgar(c)) {
        return Some((ratio(above, below), 1));
    }
    let above = digits(chars);
    if above == 0 || above > 2 || !matches!(chars.get(above), Some('/' | '⁄' | '∕')) {
        return None;
    }
    let rest = &chars[above + 1..];
    let below = digits(rest);
    if below == 0
        || below > 2
        || matches!(rest.get(below), Some('.' | ',')) && rest.get(below + 1).is_some_and(char::is_ascii_digit)
    {
        return None;
    }
    let (a, b) = (integer(&chars[..above]), integer(&rest[..below]));
    (0 < a && a < b && DENOMINATORS.contains(&b)).then(|| (ratio(a, b), above + 1 + below))
}

/// The fraction behind a whole number: "3 1/2", "3-1/2", "1½".
fn following_fraction(chars: &[char]) -> Option<(Number, usize)> {
    let gap = match chars.first()? {
        c if vulgar(*c).is_some() => 0,
        '-' | '‐' | '‑' => 1,
        _ => chars.iter().take_while(|c| is_space(**c)).count(),
    };
    if gap == 0 && vulgar(chars[0]).is_none() {
        return None;
    }
    fraction(&chars[gap..]).map(|(n, used)| (n, used + gap))
}

/// "2:14" (minutes and seconds) or "1:05:00".
fn clock(chars: &[char]) -> Option<Result<(Number, usize), Malformed>> {
    let mut at = digits(chars);
    if at == 0 || at > 4 || chars.get(at) != Some(&':') || digits(&chars[at + 1..]) == 0 {
        return None;
    }
    let mut seconds = f64::from(integer(&chars[..at]));
    let mut parts = 1;
    while chars.get(at) == Some(&':') {
        let part = &chars[at + 1..];
        if digits(part) != 2 || integer(&part[..2]) > 59 || parts == 3 {
            return Some(Err(Malformed("a clock time has two digits below 60 after each colon")));
        }
        seconds = seconds * 60.0 + f64::from(integer(&part[..2]));
        at += 3;
        parts += 1;
    }
    Some(Ok((Number { value: seconds, step: 1.0, clock_parts: parts, doubtful: None }, at)))
}

fn digits(chars: &[char]) -> usize {
    chars.iter().take_while(|c| c.is_ascii_digit()).count()
}

fn integer(chars: &[char]) -> u32 {
    chars.iter().filter_map(|c| c.to_digit(10)).fold(0u32, |n, d| n.saturating_mul(10).saturating_add(d))
}

/// How many characters belong to the digits and their marks.
fn extent(chars: &[char]) -> usize {
    let mut at = 0;
    while let Some(&c) = chars.get(at) {
        let behind = digits(&chars[at + 1..]);
        let belongs = match c {
            c if c.is_ascii_digit() => true,
            '.' | ',' => behind > 0,
            '\'' | '’' => at > 0 && behind == 3,
            c if is_space(c) => behind == 3 && groups_so_far(&chars[..at]),
            _ => false,
        };
        if !belongs {
            break;
        }
        at += 1;
    }
    at
}

/// True when what stands before a space can be the leading groups of a number: 1 to 3 digits, no decimal mark.
fn groups_so_far(before: &[char]) -> bool {
    let last = before.iter().rev().take_while(|c| c.is_ascii_digit()).count();
    let first = digits(before);
    (1..=3).contains(&last) && (1..=3).contains(&first) && !before.iter().any(|c| matches!(c, '.' | ','))
}

fn decimal(chars: &[char]) -> Result<Number, Malformed> {
    let marks: Vec<(usize, char)> = chars.iter().copied().enumerate().filter(|(_, c)| matches!(c, '.' | ',')).collect();
    let (decimal_at, doubtful) = decimal_mark(chars, &marks)?;
    let whole = &chars[..decimal_at.unwrap_or(chars.len())];
    let mut groups = whole.split(|c| !c.is_ascii_digit());
    let first = groups.next().map_or(0, <[char]>::len);
    let grouped = whole.iter().any(|c| !c.is_ascii_digit());
    if grouped && (!(1..=3).contains(&first) || groups.any(|g| g.len() != 3)) {
        return Err(Malformed("its thousands are not in groups of three digits"));
    }
    let figures: String = whole.iter().filter(|c| c.is_ascii_digit()).collect();
    let decimals: String = decimal_at.map_or(String::new(), |at| chars[at + 1..].iter().collect());
    let value: f64 = format!("0{figures}.{decimals}0").parse().map_err(|_| Malformed("its digits make no number"))?;
    if !value.is_finite() {
        return Err(Malformed("it is too large to be finite"));
    }
    let places = i32::try_from(decimals.len()).unwrap_or(i32::MAX);
    let zeros = figures.len() - figures.trim_end_matches('0').len();
    let step = match places {
        0 if value >= 1000.0 => 10f64.powi(i32::try_from(zeros).unwrap_or(0)),
        _ => 10f64.powi(-places),
    };
    Ok(Number { value, step, clock_parts: 0, doubtful })
}

/// Where the decimal mark is, and the mark that could have meant the other thing.
fn decimal_mark(chars: &[char], marks: &[(usize, char)]) -> Result<(Option<usize>, Option<char>), Malformed> {
    let Some(&(last, mark)) = marks.last() else { return Ok((None, None)) };
    let same = marks.iter().filter(|(_, c)| *c == mark).count();
    let behind = chars.len() - last - 1;
    match (marks.len(), same) {
        (1, _) => {
            let thousands_shape = behind == 3 && (1..=3).contains(&last) && chars[0] != '0';
            let doubtful = thousands_shape.then_some(mark);
            Ok((if thousands_shape && mark == ',' { None } else { Some(last) }, doubtful))
        }
        (all, same) if all == same => Ok((None, None)),
        (_, 1) => Ok((Some(last), None)),
        _ => Err(Malformed("its commas and points take turns")),
    }
}

/// "e3", "E-4" behind a number, when a digit follows.
fn exponent(whole: Number, chars: &[char]) -> Option<(Number, usize)> {
    matches!(chars.first(), Some('e' | 'E')).then_some(())?;
    let sign = usize::from(matches!(chars.get(1), Some('+' | '-' | '−')));
    let count = digits(&chars[1 + sign..]);
    if count == 0 {
        return None;
    }
    let size = integer(&chars[1 + sign..1 + sign + count]).min(400);
    let power = i32::try_from(size).unwrap_or(400) * if sign == 1 && chars[1] != '+' { -1 } else { 1 };
    let scale = 10f64.powi(power);
    Some((Number { value: whole.value * scale, step: whole.step * scale, ..whole }, 1 + sign + count))
}
