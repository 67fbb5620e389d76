//! One cell: a number, a time.

/// A finite or non-finite number as written; a decimal comma is read where the separator leaves no doubt.
pub(super) fn number(cell: &str, decimal_comma: bool) -> Option<f64> {
    if decimal_comma && cell.contains(',') {
        // Two commas, or a comma and a point, would be thousands marks: not ours to guess.
        return if cell.matches(',').count() == 1 && !cell.contains('.') {
            cell.replace(',', ".").parse().ok()
        } else {
            None
        };
    }
    cell.parse().ok()
}

/// How the cells of a time column with an open name turned out to be written. The first readable cell settles it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum TimeStyle {
    /// RFC 3339 date and time with zone.
    Instant,
    /// hours:minutes:seconds, or minutes:seconds.
    Clock,
    /// Plain seconds.
    Seconds,
    /// Seconds since 1970-01-01 UTC.
    UnixSeconds,
    /// Milliseconds since 1970-01-01 UTC.
    UnixMilliseconds,
}

impl TimeStyle {
    /// The style of a cell, with its value in seconds (since 1970 for the absolute styles).
    pub(super) fn of(cell: &str, decimal_comma: bool) -> Option<(Self, f64)> {
        if let Ok(instant) = cell.parse::<jiff::Timestamp>() {
            // Whole milliseconds are exact in an f64 for any year that jiff knows.
            return Some((Self::Instant, instant.as_millisecond() as f64 / 1e3));
        }
        if cell.contains(':') {
            return clock(cell, decimal_comma).map(|s| (Self::Clock, s));
        }
        let value = number(cell, decimal_comma)?;
        // 1e9 s since 1970 is the year 2001; 1e9 s of elapsed time would be 31 years.
        Some(match value.abs() {
            v if v >= 1e11 => (Self::UnixMilliseconds, value / 1e3),
            v if v >= 1e9 => (Self::UnixSeconds, value),
            _ => (Self::Seconds, value),
        })
    }

    /// True when the value counts from 1970.
    pub(super) fn is_absolute(self) -> bool {
        !matches!(self, Self::Clock | Self::Seconds)
    }
}

/// "1:02:03.5" → 3723.5 s; "02:03" → 123 s. Minutes and seconds below 60.
fn clock(cell: &str, decimal_comma: bool) -> Option<f64> {
    let mut parts = cell.rsplit(':');
    let seconds = number(parts.next()?, decimal_comma).filter(|s| (0.0..60.0).contains(s))?;
    let minutes = parts.next()?.parse::<u32>().ok().filter(|m| *m < 60)?;
    let hours = match parts.next() {
        Some(h) => h.parse::<u32>().ok().filter(|h| *h < 100_000)?,
        None => 0,
    };
    parts.next().is_none().then(|| f64::from(hours) * 3600.0 + f64::from(minutes) * 60.0 + seconds)
}
