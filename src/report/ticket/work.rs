//! How much there is to do: length of cuts and time, from the rates in the rules.

use crate::plan::{CutLength, Pull};
use crate::report::proof::counted;
use crate::rules::Rates;
use crate::units::Length;
use core::time::Duration;

/// Work and the time it takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// Length of straight cuts, as [`CutLength`] counts them.
    pub straight: Length,
    /// Length cut along outlines beyond these.
    pub outline: Length,
    /// Pulls drawn off.
    pub pulls: u64,
    /// Pieces marked and stacked.
    pub pieces: u64,
    /// Settings of the knives.
    pub setups: u64,
    /// Changes of the roll.
    pub roll_changes: u64,
    /// What all of it takes.
    pub takes: Duration,
}

impl Work {
    /// Adds other work.
    pub fn add(&mut self, other: &Self) {
        self.straight += other.straight;
        self.outline += other.outline;
        self.pulls += other.pulls;
        self.pieces += other.pieces;
        self.setups += other.setups;
        self.roll_changes += other.roll_changes;
        self.takes += other.takes;
    }

    /// How many pulls and pieces, in words: `1 pull, 3 pieces`.
    #[must_use]
    pub fn counts(&self) -> String {
        let (pulls, pieces) =
            (counted(self.pulls, "pull", "pulls"), counted(self.pieces, "piece", "pieces"));
        format!("{pulls}, {pieces}")
    }

    /// What all of it takes, in whole seconds, rounded up.
    #[must_use]
    pub fn seconds(&self) -> u64 {
        self.takes.as_secs() + u64::from(self.takes.subsec_nanos() > 0)
    }

    /// What all of it takes, in words.
    #[must_use]
    pub fn time(&self) -> String {
        in_hours(self.takes)
    }
}

/// The work of one pull, whose cuts are so long. With `new_roll` the roll is changed; with `new_setup`
/// the knives are set anew.
#[must_use]
pub fn work(
    pull: &Pull,
    cut: CutLength,
    (new_roll, new_setup): (bool, bool),
    rates: &Rates,
) -> Work {
    let pieces = pull.placements.len() as u64;
    let rest = rates.pull
        + pieces * rates.piece
        + u64::from(new_setup) * rates.setup
        + u64::from(new_roll) * rates.roll_change;
    let takes = along(cut.straight, rates.straight)
        + along(cut.outline, rates.outline)
        + Duration::from_secs(rest);
    Work {
        straight: cut.straight,
        outline: cut.outline,
        pulls: 1,
        pieces,
        setups: u64::from(new_setup),
        roll_changes: u64::from(new_roll),
        takes,
    }
}

/// What a length takes at a length a minute.
fn along(length: Length, rate: Length) -> Duration {
    let [length, rate] = [length, rate].map(|l| u128::from(l.nm().unsigned_abs()));
    let nanoseconds = (length * 60_000_000_000).div_ceil(rate.max(1));
    Duration::from_nanos(u64::try_from(nanoseconds).unwrap_or(u64::MAX))
}

/// A time in words, rounded up to a minute: `3 h 05 min`.
#[must_use]
pub fn in_hours(time: Duration) -> String {
    let minutes = time.as_nanos().div_ceil(60_000_000_000);
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, minutes) => format!("{hours} h {minutes:02} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_and_times_are_those_of_hand_reckoning() {
        let mm = Length::from_mm;
        // 9 m at 6 m a minute are 90 seconds; 0.1 mm more takes a millisecond.
        let secs = Duration::from_secs;
        assert_eq!(along(mm(9000), mm(6000)), secs(90));
        assert_eq!(along(Length::from_nm(9_000_100_000), mm(6000)), Duration::from_millis(90_001));
        assert_eq!(in_hours(secs(7441)), "2 h 05 min");
        let work = Work { takes: Duration::from_millis(90_001), ..Work::default() };
        assert_eq!((work.seconds(), work.time().as_str()), (91, "2 min"));
    }
}
