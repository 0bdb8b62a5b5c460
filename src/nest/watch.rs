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
    /// How much of the time allowed has gone, from 0 to 1; always 0 where there is no clock.
    fn gone(&self) -> f64 {
        0.0
    }
}

/// A share of what is left of another watch's time. Work is divided among the parts of a search in steps, and so is the
/// clock: a part that keeps one processor busy, or a machine with less of one to give, would leave none for those behind it.
pub(crate) struct Share<'a> {
    watch: &'a dyn Watch,
    from: f64,
    length: f64,
}

impl<'a> Share<'a> {
    /// From now on, so many parts in so many of what is left.
    pub(crate) fn of(watch: &'a dyn Watch, parts: u64, all: u64) -> Self {
        Self::part(watch, if parts < all { float(parts) / float(all) } else { 1.0 })
    }

    /// From now on, so large a part of what is left.
    pub(crate) fn part(watch: &'a dyn Watch, part: f64) -> Self {
        let from = watch.gone();
        Self { watch, from, length: (1.0 - from) * part }
    }

    /// From now on, all that is left.
    pub(crate) fn all(watch: &'a dyn Watch) -> Self {
        Self::part(watch, 1.0)
    }
}

impl Watch for Share<'_> {
    fn stop(&self) -> bool {
        self.watch.stop() || self.gone() >= 1.0
    }

    fn news(&self, news: &News<'_>) {
        self.watch.news(news);
    }

    fn answered(&self) -> bool {
        self.watch.answered()
    }

    fn gone(&self) -> f64 {
        let since = self.watch.gone() - self.from;
        // Without a clock nothing ever goes.
        if since > 0.0 { (since / self.length).min(1.0) } else { 0.0 }
    }
}

/// Steps left of `work` when so many are `spent`, no more than the clock leaves at the pace since this share began.
pub(crate) fn left(share: &Share<'_>, work: u64, spent: u64) -> u64 {
    let (left, gone) = (work.saturating_sub(spent), share.gone());
    if gone <= 0.0 || spent == 0 {
        return left;
    }
    left.min(part(spent, (1.0 - gone) / gone))
}

/// So large a part of so many steps.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "no less than nothing")]
pub(crate) fn part(steps: u64, part: f64) -> u64 {
    (float(steps) * part) as u64
}

#[expect(clippy::cast_precision_loss, reason = "a share of work")]
const fn float(number: u64) -> f64 {
    number as f64
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

    fn gone(&self) -> f64 {
        self.0.gone()
    }
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

    fn gone(&self) -> f64 {
        self.0.gone()
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::straight::effort::Effort;
    use std::sync::atomic::{AtomicU64, Ordering};

    /// A clock of so many hundredths, set by hand.
    #[derive(Default)]
    struct Set(AtomicU64);

    impl Watch for Set {
        fn stop(&self) -> bool {
            self.0.load(Ordering::Relaxed) >= 100
        }

        fn news(&self, _: &News<'_>) {}

        fn gone(&self) -> f64 {
            float(self.0.load(Ordering::Relaxed)) / 100.0
        }
    }

    #[test]
    fn a_share_ends_when_its_part_of_the_time_that_was_left_has_gone() {
        let clock = Set::default();
        let at = |hundredths| clock.0.store(hundredths, Ordering::Relaxed);
        at(20);
        // A quarter of the 80 hundredths that are left ends at 40, half of that at 30.
        let quarter = Share::of(&clock, 1, 4);
        let half = Share::of(&quarter, 1, 2);
        at(29);
        assert!(!half.stop() && !quarter.stop());
        at(30);
        assert!((quarter.gone() - 0.5).abs() < 1e-9);
        at(31);
        assert!(half.stop() && !quarter.stop());
        at(41);
        assert!(quarter.stop() && !clock.stop());
        assert!(!Share::of(&Quiet, 1, 4).stop(), "no clock, no end");
    }

    #[test]
    fn what_is_left_is_no_more_than_the_clock_leaves_at_the_pace_so_far() {
        let clock = Set::default();
        let all = Share::all(&clock);
        assert_eq!(left(&all, 1_000, 0), 1_000);
        clock.0.store(50, Ordering::Relaxed);
        // A fifth of the work took half of the time: another fifth is all that there is time for.
        assert_eq!(left(&all, 1_000, 200), 200);
        assert_eq!(left(&all, 1_000, 900), 100);
        assert_eq!(left(&Share::all(&Quiet), 1_000, 200), 800);
    }

    #[test]
    fn the_work_left_of_a_search_falls_with_the_clock() {
        let clock = Set::default();
        clock.0.store(20, Ordering::Relaxed);
        let effort = Effort::new(&Options { seed: 1, work: 1_000 }, &clock);
        assert_eq!(effort.left(), 1_000);
        clock.0.store(60, Ordering::Relaxed);
        assert_eq!(effort.left(), 500);
        effort.spend(700_000);
        assert_eq!(effort.left(), 300);
    }
}
