//! What the workshop has, as it writes it down: price list, stock and tools, each a small text that is kept as it stands.

mod build;
mod rows;
mod stock;

pub use stock::{JobUse, StockNow};

use job::Shelf;
use serde::{Deserialize, Serialize};

use crate::error::AppError;
use crate::workshop::Workshop;

/// Which of the three lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ShelfKind {
    /// Containers that can be bought.
    Prices,
    /// Containers on the shelf.
    Stock,
    /// Wrenches, bits, pumps, pans.
    Tools,
}

impl ShelfKind {
    /// Every list.
    pub const ALL: [Self; 3] = [Self::Prices, Self::Stock, Self::Tools];
    /// Its word in commands, addresses and the store.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Prices => "prices",
            Self::Stock => "stock",
            Self::Tools => "tools",
        }
    }
    /// The list of a word.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
    /// The tables that belong in it.
    const fn tables(self) -> &'static [&'static str] {
        match self {
            Self::Prices => &["can"],
            Self::Stock => &["stock"],
            Self::Tools => &["wrench", "bit", "pump", "pan"],
        }
    }
    /// A list to start from, of an invented workshop.
    pub const fn example(self) -> &'static str {
        match self {
            Self::Prices => include_str!("../../data/prices.toml"),
            Self::Stock => include_str!("../../data/stock.toml"),
            Self::Tools => include_str!("../../data/tools.toml"),
        }
    }
}

/// Something wrong with a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ShelfFinding {
    /// Which list.
    pub list: ShelfKind,
    /// Line, counted from 1.
    pub line: usize,
    /// What is wrong and why.
    pub message: String,
    /// What to do about it.
    pub hint: String,
}

/// A list as read: what it says and everything that is wrong with it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShelfRead {
    pub shelf: Shelf,
    pub findings: Vec<ShelfFinding>,
}

/// Longest text of a list, bytes.
const LONGEST: usize = 200_000;

/// Reads a list: TOML, or for prices also CSV with the columns name, size, price and perhaps fluid. An empty text is an
/// empty list, which a finding says. Never panics, whatever the text.
pub fn read_shelf(kind: ShelfKind, text: &str) -> ShelfRead {
    let mut shelf = Shelf::default();
    if text.len() > LONGEST {
        let message = format!("the list has {} bytes; {LONGEST} are read at most", text.len());
        let finding = ShelfFinding { list: kind, line: 1, message, hint: "Keep one shop's list.".to_owned() };
        return ShelfRead { shelf, findings: vec![finding] };
    }
    let (rows, mut findings) = rows::rows(kind, text);
    build::build(kind, &rows, &mut shelf, &mut findings);
    if findings.is_empty() && rows.entries.is_empty() {
        let message = "the list is empty".to_owned();
        let tables: Vec<String> = kind.tables().iter().map(|table| format!("[[{table}]]")).collect();
        findings.push(ShelfFinding {
            list: kind,
            line: 1,
            message,
            hint: format!("Enter at least one {}.", tables.join(", ")),
        });
    }
    findings.sort_by_key(|finding| finding.line);
    ShelfRead { shelf, findings }
}

const DOCUMENT: &str = "shelf";

/// A list as it is kept: the text, and the moment that it describes.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Kept {
    text: String,
    as_of_ms: i64,
}

impl Workshop {
    /// Keeps a list as it was written, over the one before. A list with findings is not kept.
    ///
    /// `as_of_ms` is the moment that a list of stock describes, such as when the page with its text was made; jobs that
    /// ended later are taken off. `None`, and any moment to come, is now.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn keep_shelf(&self, kind: ShelfKind, text: &str, as_of_ms: Option<i64>) -> Result<ShelfRead, AppError> {
        let read = read_shelf(kind, text);
        if read.findings.is_empty() {
            let now_ms = self.clock.now_ms();
            let as_of_ms = as_of_ms.unwrap_or(now_ms).min(now_ms);
            let body = serde_json::json!(Kept { text: text.to_owned(), as_of_ms }).to_string();
            self.store.put_document(DOCUMENT, kind.word(), &body).await?;
        }
        Ok(read)
    }

    /// A list as it was kept, `None` when none was; the list of stock as it is now, see [`Workshop::stock`].
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn shelf_text(&self, kind: ShelfKind) -> Result<Option<String>, AppError> {
        match kind {
            ShelfKind::Stock => Ok(self.stock(None).await?.map(|now| now.text)),
            _ => Ok(self.kept(kind).await?.map(|kept| kept.text)),
        }
    }

    async fn kept(&self, kind: ShelfKind) -> Result<Option<Kept>, AppError> {
        let body = self.store.document(DOCUMENT, kind.word()).await?;
        Ok(body.and_then(|body| match serde_json::from_str(&body).ok()? {
            // As an earlier version kept it: nobody knows since when, so nothing is taken off until it is kept anew.
            serde_json::Value::String(text) => Some(Kept { text, as_of_ms: i64::MAX }),
            kept => serde_json::from_value(kept).ok(),
        }))
    }

    /// Everything the workshop has, from the lists that were kept and what ended jobs used since.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn shelf(&self) -> Result<Shelf, AppError> {
        self.shelf_before(None).await
    }

    /// The same without what jobs used that ended at this moment or later.
    pub(crate) async fn shelf_before(&self, ended_ms: Option<i64>) -> Result<Shelf, AppError> {
        let mut all = self.bought_from().await?;
        if let Some(now) = self.stock(ended_ms).await? {
            all.stock = now.stock;
        }
        Ok(all)
    }

    /// Prices and tools: what stock is chosen by.
    async fn bought_from(&self) -> Result<Shelf, AppError> {
        let mut all = Shelf::default();
        for kind in [ShelfKind::Prices, ShelfKind::Tools] {
            if let Some(kept) = self.kept(kind).await? {
                merge_shelf(&mut all, read_shelf(kind, &kept.text).shelf);
            }
        }
        Ok(all)
    }

    /// The bench list of a job with what the workshop has.
    ///
    /// # Errors
    /// [`AppError::Store`].
    pub async fn bench(&self, sheet: &sheet::Sheet) -> Result<job::Bench, AppError> {
        Ok(job::bench(sheet, &self.shelf().await?, Some(self.today())))
    }

    /// Days since 1970-01-01 by the workshop's clock and zone.
    pub fn today(&self) -> i64 {
        day_of(jiff::Timestamp::from_millisecond(self.clock.now_ms()).unwrap_or_default())
    }
}

/// Days since 1970-01-01 by this machine's clock and zone, for those who have no workshop open.
pub fn today() -> i64 {
    day_of(jiff::Timestamp::now())
}

fn day_of(at: jiff::Timestamp) -> i64 {
    days_since_1970(jiff::tz::TimeZone::system().to_datetime(at).date())
}

/// Puts what one list says beside what another said.
pub fn merge_shelf(into: &mut Shelf, from: Shelf) {
    if !from.currency.is_empty() {
        into.currency = from.currency;
    }
    into.cans.extend(from.cans);
    into.stock.extend(from.stock);
    into.wrenches.extend(from.wrenches);
    into.bits.extend(from.bits);
    into.pumps.extend(from.pumps);
    into.pans.extend(from.pans);
}

fn days_since_1970(date: jiff::civil::Date) -> i64 {
    let first = jiff::civil::date(1970, 1, 1);
    first.until(date).map_or(0, |span| i64::from(span.get_days()))
}

#[cfg(test)]
mod tests;
