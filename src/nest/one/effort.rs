//! How much has been done, and whether to go on.

use crate::nest::simplex::{Outcome, Simplex};
use crate::nest::{Options, Watch};
use std::cell::Cell;

/// Counts work in steps of about a microsecond and asks the watch.
pub(super) struct Effort<'a> {
    watch: &'a dyn Watch,
    limit: u64,
    done: Cell<u64>,
}

impl<'a> Effort<'a> {
    pub fn new(options: &Options, watch: &'a dyn Watch) -> Self {
        Self { watch, limit: options.work, done: Cell::new(0) }
    }

    /// The same watch, with no more than `steps` to be done from now on.
    pub fn part(&self, steps: u64) -> Self {
        let limit = self.limit.saturating_sub(self.done()).min(steps);
        Self { watch: self.watch, limit, done: Cell::new(0) }
    }

    /// Steps done so far.
    pub fn done(&self) -> u64 {
        self.done.get()
    }

    /// Adds steps.
    pub fn spend(&self, steps: u64) {
        self.done.set(self.done.get().saturating_add(steps));
    }

    /// Solves a programme over its columns ([`Simplex::optimise_within`]) and spends what it takes.
    pub fn optimise(&self, simplex: &mut Simplex) -> Outcome {
        let before = simplex.work();
        let left = self.limit.saturating_sub(self.done());
        let outcome = simplex.optimise_within(left, self.limit, &|| self.over());
        self.spend(simplex.work() - before);
        outcome
    }

    /// Whether the work allowed is done or the watch says stop.
    pub fn over(&self) -> bool {
        self.exhausted() || self.watch.stop()
    }

    /// Whether the work allowed is done.
    pub fn exhausted(&self) -> bool {
        self.done.get() >= self.limit
    }
}
