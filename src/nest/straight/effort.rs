//! How much may still be done: the caller's stop sign and the work limit in one place.

use crate::nest::simplex::{Outcome, Simplex};
use crate::nest::watch::{Share, part};
use crate::nest::{Options, Watch};
use std::cell::Cell;

/// Counts work and listens for the stop sign.
pub(in crate::nest) struct Effort<'a> {
    watch: &'a dyn Watch,
    /// The watch's time from the beginning on.
    time: Share<'a>,
    all: u64,
    left: Cell<u64>,
    stopped: Cell<bool>,
}

impl<'a> Effort<'a> {
    /// Everything that the options allow.
    pub fn new(options: &Options, watch: &'a dyn Watch) -> Self {
        let (time, all) = (Share::all(watch), options.work);
        Self { watch, time, all, left: Cell::new(all), stopped: Cell::new(false) }
    }

    /// Spends work, in inner-loop operations of about a nanosecond each.
    pub fn spend(&self, operations: usize) {
        let steps = u64::try_from(operations / 1000).unwrap_or(u64::MAX).max(1);
        self.left.set(self.left.get().saturating_sub(steps));
    }

    /// Steps that are left; where there is a clock, no larger a part of all than of its time.
    pub fn left(&self) -> u64 {
        let (left, gone) = (self.left.get(), self.time.gone());
        if gone > 0.0 { left.min(part(self.all, 1.0 - gone)) } else { left }
    }

    /// Whether to wind up: out of work, or told to stop.
    pub fn over(&self) -> bool {
        if !self.stopped.get() && self.watch.stop() {
            self.stopped.set(true);
        }
        self.stopped.get() || self.left.get() == 0
    }

    /// Solves a programme over its columns ([`Simplex::optimise_within`]) and spends what it takes; whether it came to its
    /// end.
    pub fn optimise(&self, lp: &mut Simplex) -> bool {
        let before = lp.work();
        let outcome = lp.optimise_within(self.left.get(), self.all, &|| self.over());
        self.spend(usize::try_from(lp.work() - before).unwrap_or(0).saturating_mul(1000));
        outcome == Outcome::Optimal
    }

    /// Whether it was the caller who said so.
    pub fn stopped(&self) -> bool {
        self.stopped.get()
    }

    /// Who listens.
    pub fn watch(&self) -> &'a dyn Watch {
        self.watch
    }
}
