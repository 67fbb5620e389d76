//! A place to break a write on purpose, for this crate's own tests; outside of them it is empty.

use crate::StoreError;

/// Counts the steps of a write and breaks it before a chosen one.
#[derive(Debug, Clone, Default)]
pub(crate) struct Fault {
    #[cfg(test)]
    pub(crate) plan: std::sync::Arc<Plan>,
}

/// What the tests set.
#[cfg(test)]
#[derive(Debug, Default)]
pub(crate) struct Plan {
    /// Steps that still pass before the break; below zero: never break.
    pub(crate) left: std::sync::atomic::AtomicI64,
    /// Whether a break is set.
    pub(crate) set: std::sync::atomic::AtomicBool,
    /// Break by never going on (the caller then drops the write) instead of by an error.
    pub(crate) hang: std::sync::atomic::AtomicBool,
    /// Rung when a write hangs.
    pub(crate) hung: tokio::sync::Notify,
}

impl Fault {
    /// Passes, or breaks the write here.
    #[cfg(not(test))]
    pub(crate) async fn step(&self) -> Result<(), StoreError> {
        Ok(())
    }

    /// Passes, or breaks the write here.
    #[cfg(test)]
    pub(crate) async fn step(&self) -> Result<(), StoreError> {
        use std::sync::atomic::Ordering::SeqCst;
        if !self.plan.set.load(SeqCst) || self.plan.left.fetch_sub(1, SeqCst) > 0 {
            return Ok(());
        }
        self.plan.set.store(false, SeqCst);
        if self.plan.hang.load(SeqCst) {
            self.plan.hung.notify_one();
            std::future::pending::<()>().await;
        }
        Err(StoreError::Closed)
    }
}
