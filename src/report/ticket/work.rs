//! How much there is to do: length of cuts and time, from the rates in the rules.

use crate::plan::{CutLength, Pull};
use crate::report::proof::counted;
use crate::rules::Rates;
use crate::units::Length;

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
    /// What all of it takes, in seconds.
    pub seconds: u64,
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
        self.seconds += other.seconds;
    }

    /// How many pulls and pieces, in words: `1 pull, 3 pieces`.
    #[must_use]
    pub fn counts(&self) -> String {
        let (pulls, pieces) =
            (counted(self.pulls, "pull", "pulls"), counted(self.pieces, "piece", "pieces"));
        format!("{pulls}, {pieces}")
    }

    /// The time in words: `3 h 05 min`.
    #[must_use]
    pub fn time(&self) -> String {
        let minutes = self.seconds.div_ceil(60);
        match (minutes / 60, minutes % 60) {
            (0, minutes) => format!("{minutes} min"),
            (hours, minutes) => format!("{hours} h {minutes:02} min"),
        }
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
    let seconds = minutes(cut.straight.nm(), rates.straight)
        + minutes(cut.outline.nm(), rates.outline)
        + rates.pull
        + pieces * rates.piece
        + u64::from(new_setup) * rates.setup
        + u64::from(new_roll) * rates.roll_change;
    Work {
        straight: cut.straight,
        outline: cut.outline,
        pulls: 1,
        pieces,
        setups: u64::from(new_setup),
        roll_changes: u64::from(new_roll),
        seconds,
    }
}

/// Seconds for a length at a length a minute, rounded up.
fn minutes(nm: i64, rate: Length) -> u64 {
    let all = i128::from(nm) * 60;
    let rate = i128::from(rate.nm().max(1));
    u64::try_from((all + rate - 1) / rate).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_and_times_are_those_of_hand_reckoning() {
        let mm = Length::from_mm;
        // 9 m at 6 m a minute are 90 seconds; 1 nm more rounds up.
        assert_eq!(minutes(mm(9000).nm(), mm(6000)), 90);
        assert_eq!(minutes(mm(9000).nm() + 1, mm(6000)), 91);
        assert_eq!(Work { seconds: 7441, ..Work::default() }.time(), "2 h 05 min");
    }
}
