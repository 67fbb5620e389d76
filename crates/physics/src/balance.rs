//! The ledger at one temperature: what went in and out, the charge error as found, and how sure it is.

mod entry;

pub use entry::{Amount, Balance, BudgetRow, Converted, Expansion, Ledger, Portion, Verdict, Way};
