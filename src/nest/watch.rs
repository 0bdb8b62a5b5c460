//! What the engine is told from outside: when to stop, how hard to try; and what it tells.
//!
//! The engine has no clock. Work is counted in steps of its own, so the same instance, seed and
//! work limit give the same answer on any machine and any number of threads; a clock or Ctrl-C
//! comes in through [`Watch::stop`], and an answer cut short by it says so.

use crate::cutting::Objective;

/// The engine's ear and mouth.
pub trait Watch: Sync {
    /// Whether to wind up and return the best answer so far. Asked often (at least every few
    /// milliseconds), so it must be cheap.
    fn stop(&self) -> bool;
    /// Told whenever the best answer or the bound improves.
    fn news(&self, news: &News<'_>);
    /// Whether there is an answer already. Then none within the work is as good as one beyond it; otherwise the first
    /// may take longer.
    fn answered(&self) -> bool {
        false
    }
}

/// An improvement.
#[derive(Clone, Copy, Debug)]
pub struct News<'a> {
    /// The instance's name.
    pub instance: &'a str,
    /// What values and bounds count.
    pub objective: Objective,
    /// The best value so far, in the objective's unit; `None` before there is one.
    pub value: Option<i64>,
    /// The best bound so far.
    pub bound: i64,
}

/// Never stops and tells nobody.
#[derive(Clone, Copy, Debug, Default)]
pub struct Quiet;

impl Watch for Quiet {
    fn stop(&self) -> bool {
        false
    }
    fn news(&self, _: &News<'_>) {}
}

/// Passes the stop sign on and tells nobody: for nests whose values and bounds are not those of what was
/// asked.
pub(crate) struct Hushed<'a>(pub &'a dyn Watch);

impl Watch for Hushed<'_> {
    fn stop(&self) -> bool {
        self.0.stop()
    }

    fn news(&self, _: &News<'_>) {}
}

/// Passes the stop sign on and tells nobody, as [`Hushed`], for nests beside an answer that stands already.
pub(crate) struct Beside<'a>(pub &'a dyn Watch);

impl Watch for Beside<'_> {
    fn stop(&self) -> bool {
        self.0.stop()
    }

    fn news(&self, _: &News<'_>) {}

    fn answered(&self) -> bool {
        true
    }
}

/// How hard to try.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Feeds every choice that is made by lot.
    pub seed: u64,
    /// How much work to do before giving up on a proof, in steps of about a microsecond each.
    pub work: u64,
}

impl Default for Options {
    fn default() -> Self {
        Self { seed: 1, work: 60_000_000 }
    }
}
