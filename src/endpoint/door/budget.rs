//! A count of bytes shared by all connections: how much memory bodies may take together.

use std::sync::atomic::{AtomicUsize, Ordering};

/// Every share's first bytes are free: the number of connections bounds them, and a few large bodies must not keep
/// ordinary requests out.
const FREE: usize = 64 * 1024;

/// Bytes that may be held at once, beyond what is free.
pub(super) struct Budget {
    limit: usize,
    held: AtomicUsize,
}

impl Budget {
    pub fn new(limit: usize) -> Budget {
        Budget { limit, held: AtomicUsize::new(0) }
    }

    /// A share of nothing yet.
    pub fn share(&self) -> Share<'_> {
        Share { budget: self, charged: 0 }
    }
}

/// What one body holds of the budget; given back when dropped.
///
/// It grows as bytes arrive, not by what a client announces: an announcement costs nothing, and must not keep
/// others out.
pub(super) struct Share<'a> {
    budget: &'a Budget,
    charged: usize,
}

impl Share<'_> {
    /// Holds `bytes` in all from now on; false, and nothing changes, if the budget has no room for that.
    #[must_use]
    pub fn grow_to(&mut self, bytes: usize) -> bool {
        let more = bytes.saturating_sub(FREE + self.charged);
        let room = |held: usize| held.checked_add(more).filter(|&held| held <= self.budget.limit);
        let granted = self.budget.held.try_update(Ordering::Relaxed, Ordering::Relaxed, room);
        if granted.is_ok() {
            self.charged += more;
        }
        granted.is_ok()
    }
}

impl Drop for Share<'_> {
    fn drop(&mut self) {
        self.budget.held.fetch_sub(self.charged, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_together_stay_within_the_budget_and_give_back() {
        let budget = Budget::new(100);
        let mut first = budget.share();
        let mut second = budget.share();
        assert!(first.grow_to(FREE + 60));
        assert!(first.grow_to(FREE + 60));
        assert!(!second.grow_to(FREE + 41));
        assert!(second.grow_to(FREE + 40));
        assert!(budget.share().grow_to(FREE));
        drop(first);
        assert!(second.grow_to(FREE + 100));
        assert!(!second.grow_to(usize::MAX));
    }
}
