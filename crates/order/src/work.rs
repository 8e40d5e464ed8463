//! Counts the tries of one worker and checks whether to stop.

use core::sync::atomic::{AtomicBool, Ordering};

use effort::SolverWatch;

/// Tries between two looks at the watch.
const LOOK_EVERY: u64 = 8192;

/// The tries of one worker.
pub(crate) struct TryCounter<'w> {
    spent: u64,
    looked: u64,
    most: u64,
    halt: &'w AtomicBool,
    /// Only one worker polls the watch; the others read `halt`.
    watch: Option<&'w dyn SolverWatch>,
}

impl<'w> TryCounter<'w> {
    pub(crate) fn new(most: u64, halt: &'w AtomicBool, watch: Option<&'w dyn SolverWatch>) -> Self {
        Self { spent: 0, looked: 0, most, halt, watch }
    }

    /// Counts tries; true when it is time to end.
    pub(crate) fn spend_tries(&mut self, tries: u64) -> bool {
        self.spent += tries;
        if self.spent >= self.looked + LOOK_EVERY {
            self.looked = self.spent;
            if self.watch.is_some_and(SolverWatch::should_stop) {
                self.halt.store(true, Ordering::Relaxed);
            }
        }
        self.spent >= self.most || self.is_stopped()
    }

    /// Whether the watch ended it.
    pub(crate) fn is_stopped(&self) -> bool {
        self.halt.load(Ordering::Relaxed)
    }

    pub(crate) fn tries_spent(&self) -> u64 {
        self.spent
    }

    /// What is left of the effort.
    pub(crate) fn tries_left(&self) -> u64 {
        self.most.saturating_sub(self.spent)
    }
}
